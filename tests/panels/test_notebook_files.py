"""The committed notebooks: house style, and outputs that a check would miss a change in."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import nbformat
import pytest

from popkit.panels.regenerate import plain

ROOT = Path(__file__).parents[2]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
LIVE = "application/vnd.jupyter.widget-view+json"


@pytest.fixture(params=NOTEBOOKS, ids=lambda path: path.stem)
def notebook(request):
    return nbformat.read(request.param, as_version=4)


def code(notebook):
    return [cell for cell in notebook.cells if cell.cell_type == "code"]


def test_a_notebook_follows_the_house_style(notebook):
    nbformat.validate(notebook)
    assert notebook.cells[0].cell_type == "markdown"
    assert notebook.cells[0].source.startswith("# ")
    assert notebook.metadata.kernelspec.name == "python3"
    assert "widgets" not in notebook.metadata
    assert sum("parameters" in cell.metadata.get("tags", ()) for cell in code(notebook)) == 1
    for cell in code(notebook):
        assert cell.metadata.jupyter.source_hidden is True
        assert len(cell.source.splitlines()) <= 8
        assert not re.search(r"^\s*(def|class|for|while)\b|import pint", cell.source, re.M)
        for line in re.findall(r"^\s*(?:from|import)\s.*", cell.source, re.M):
            assert re.match(r"(from|import) popkit\b", line)


def test_cell_names_are_plain_words(notebook):
    names = [cell.id for cell in notebook.cells]
    assert len(set(names)) == len(names)
    assert all(re.fullmatch("[a-z-]+", name) for name in names)


def test_every_picture_is_followed_by_its_facts(notebook):
    cells = code(notebook)
    for cell, after in zip(cells, [*cells[1:], None], strict=True):
        kinds = {kind for output in cell.outputs for kind in output.get("data", ())}
        if "image/png" in kinds or any("<img" in str(output) for output in cell.outputs):
            assert after is not None
            assert any(output.get("name") == "stdout" for output in after.outputs), cell.id


def test_outputs_hold_nothing_that_changes_from_run_to_run(notebook):
    for number, cell in enumerate(code(notebook), 1):
        # without its number a cell's outputs are not compared at all
        assert cell.execution_count == number
        assert "execution" not in cell.metadata
        for output in cell.outputs:
            assert output.output_type != "error"
            assert LIVE not in output.get("data", {})
    text = json.dumps(notebook)
    assert not re.search(r"/(tmp|home|root|work|opt|Users)/", text)
    assert plain(nbformat.from_dict(json.loads(text))) == notebook


@pytest.mark.parametrize("name", ["1-workshop-demo", "2-student-handouts"])
def test_cautions_come_before_the_first_tool(name):
    notebook = nbformat.read(ROOT / "notebooks" / f"{name}.ipynb", as_version=4)
    text = " ".join(
        str(cell.source) + " ".join(str(output) for output in cell.get("outputs", ()))
        for cell in notebook.cells[:8]
    ).casefold()
    for word in ("knife", "trimmer", "clear sheet", "hot glue", "label", "venue", "law"):
        assert word in text


@pytest.mark.slow
def test_a_changed_fact_fails_the_check(tmp_path):
    """nbval must compare what panels and prints say; a fact altered by one digit is caught."""
    folder = tmp_path / "notebooks"
    folder.mkdir()
    (folder / "recipes").symlink_to(ROOT / "notebooks" / "recipes")
    notebook = nbformat.read(ROOT / "notebooks" / "1-workshop-demo.ipynb", as_version=4)
    kept = {"imports", "parameters", "load", "try", "facts"}
    notebook.cells = [cell for cell in notebook.cells if cell.id in kept]
    for cell in notebook.cells:
        for output in cell.outputs:
            if cell.id == "try":
                plain_text = output["data"]["text/plain"]
                output["data"]["text/plain"] = plain_text.replace("2¾", "2⅞", 1)
            elif cell.id == "facts":
                output["text"] = output["text"].replace("(140 mm)", "(141 mm)", 1)
    nbformat.write(notebook, folder / "changed.ipynb")
    run = subprocess.run(
        [
            sys.executable,
            *("-m", "pytest", "-q", "-p", "no:cacheprovider", "--rootdir", str(tmp_path)),
            *("--nbval", "--nbval-current-env", "--nbval-cell-timeout", "120"),
            *("--nbval-sanitize-with", str(ROOT / "tests" / "pictures.cfg")),
            str(folder / "changed.ipynb"),
        ],
        capture_output=True,
        text=True,
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "POPKIT_HANDOUTS": str(tmp_path),
            "PYTEST_ADDOPTS": "",  # options for the run around this one could hide its counts
        },
        check=False,
    )
    assert run.returncode == 1, run.stdout
    assert "2 failed" in run.stdout, run.stdout
    assert "3 passed" in run.stdout, run.stdout


@pytest.mark.slow
def test_a_run_without_a_page_prints_the_handout(tmp_path):
    """`jupyter execute` from top to bottom, as the README has it."""
    run = subprocess.run(
        [sys.executable, "-m", "jupyter", "execute", str(ROOT / "notebooks" / "1-workshop-demo.ipynb")],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "POPKIT_HANDOUTS": str(tmp_path)},
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert (tmp_path / "workshop-demo-a4.pdf").read_bytes().startswith(b"%PDF-")
