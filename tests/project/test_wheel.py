"""popkit as a wheel: everything inside, and at work far from this checkout."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
DATA = {".css", ".js", ".po", ".pot", ".typ"}  # what popkit reads of itself beside its modules

# Run outside the checkout: a recipe written by hand, a handout printed, a panel made.
ELSEWHERE = """
import sys
from pathlib import Path
import popkit as pk
from popkit.panels import DemoPanel, HandoutPanel, ready

assert Path(pk.__file__).is_relative_to(sys.argv[1]), pk.__file__
recipe = pk.load_recipe("recipes/harbour-lights.toml")
for language in ("en_GB", "de"):
    pk.write_handout(recipe, f"handout-{language}.pdf", language=language)
print(DemoPanel(recipe, folder="recipes"))
print(HandoutPanel("recipes", ".", chosen=("harbour-lights",)))
print(ready("recipes", "."))
print(ready("elsewhere", "."))
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    """Built once, from a copy, without the network."""
    place = tmp_path_factory.mktemp("wheel")
    source = place / "source"
    source.mkdir()
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(TOP / name, source)
    shutil.copytree(TOP / "popkit", source / "popkit", ignore=shutil.ignore_patterns("__pycache__"))
    options = ["--no-build-isolation", "--no-deps", "--no-index", "--quiet", "--wheel-dir", str(place)]
    command = [sys.executable, "-m", "pip", "wheel", *options, str(source)]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    (built,) = place.glob("*.whl")
    return built


def test_the_wheel_holds_every_file_that_popkit_reads(wheel):
    inside = set(zipfile.ZipFile(wheel).namelist())
    ours = {
        path.relative_to(TOP).as_posix()
        for path in (TOP / "popkit").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert {Path(name).suffix for name in ours} == DATA | {".py"}
    assert ours - inside == set()
    assert {name for name in inside if not name.startswith("popkit/")} == {
        name for name in inside if ".dist-info/" in name
    }


def test_a_handout_is_printed_far_from_the_checkout(wheel, tmp_path):
    site = tmp_path / "site"
    command = [sys.executable, "-m", "pip", "install", "--no-deps", "--no-index", "--quiet"]
    subprocess.run([*command, "--target", str(site), str(wheel)], check=True, capture_output=True)
    place = tmp_path / "class"
    shutil.copytree(TOP / "notebooks" / "recipes", place / "recipes")
    # before whatever popkit the interpreter knows, and nothing else of this checkout
    environment = {**os.environ, "PYTHONPATH": str(site), "PYTHONSAFEPATH": "1"}
    done = subprocess.run(
        [sys.executable, "-c", ELSEWHERE, str(site)],
        cwd=place,
        env=environment,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    for language in ("en_GB", "de"):
        assert (place / f"handout-{language}.pdf").read_bytes().startswith(b"%PDF-")
    assert "Harbour lights" in done.stdout
    assert "Ready. Packages, fonts, recipes" in done.stdout
    assert "There is no folder of recipes “elsewhere”" in done.stdout  # said, not taken for empty
