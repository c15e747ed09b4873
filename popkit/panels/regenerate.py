"""Make the outputs of the notebooks anew: `python -m popkit.panels.regenerate`.

Runs every notebook from top to bottom in a fresh kernel and writes its outputs back, without
anything that changes from run to run: two runs write the same bytes. With `--check` nothing is
written, and it fails if a notebook's outputs are not what a run gives.

Imports: nothing of popkit. nbformat and nbclient, which come with JupyterLab.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path

__all__ = ["main", "plain", "regenerated"]

_KERNEL = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}
_LIVE = "application/vnd.jupyter.widget-view+json"  # a model's id, new in every run


def plain(notebook: dict) -> dict:
    """The notebook without what changes from run to run: timings, widget models, versions."""
    notebook.metadata = type(notebook.metadata)(
        kernelspec=dict(_KERNEL), language_info={"name": "python"}
    )
    for cell in notebook.cells:
        cell.metadata.pop("execution", None)
        for output in cell.get("outputs", ()):
            output.get("data", {}).pop(_LIVE, None)
    return notebook


def _environment(folder: str) -> dict[str, str]:
    """What the kernel is started with: this popkit, installed or not, and a folder for handouts."""
    house = str(Path(__file__).parents[2])
    paths = [house, *filter(None, [os.environ.get("PYTHONPATH")])]
    return os.environ | {"PYTHONPATH": os.pathsep.join(paths), "POPKIT_HANDOUTS": folder}


def regenerated(path: Path) -> str:
    """The text of a notebook with the outputs of a fresh run.

    Raises: nbclient's CellExecutionError if a cell fails.
    """
    import nbformat
    from nbclient import NotebookClient

    notebook = nbformat.read(path, as_version=4)
    with tempfile.TemporaryDirectory(prefix="popkit-handouts-") as folder:
        NotebookClient(
            notebook,
            timeout=120,
            kernel_name="python3",
            record_timing=False,
            store_widget_state=False,
            resources={"metadata": {"path": str(path.parent)}},
        ).execute(env=_environment(folder))
    return nbformat.writes(plain(notebook)) + "\n"


def main(arguments: list[str] | None = None) -> int:
    """Regenerate the notebooks named, or all in `notebooks/`; returns 1 if `--check` finds a change."""
    parser = argparse.ArgumentParser(prog="python -m popkit.panels.regenerate", description=__doc__)
    parser.add_argument("notebooks", nargs="*", type=Path, help="notebooks to run; unless given, all")
    parser.add_argument("--check", action="store_true", help="write nothing, fail if anything changed")
    asked = parser.parse_args(arguments)
    stale = 0
    for path in asked.notebooks or sorted(Path("notebooks").glob("*.ipynb")):
        text = regenerated(path)
        same = text == path.read_text(encoding="utf-8")
        if not same and not asked.check:
            path.write_text(text, encoding="utf-8", newline="\n")
        stale += not same
        print(f"{path}: {'unchanged' if same else 'stale' if asked.check else 'regenerated'}")
    return 1 if asked.check and stale else 0


if __name__ == "__main__":
    sys.exit(main())
