"""Whether a notebook has all it needs, told in plain words before anything is tried.

Imports: recipe and handout, places, each when it is asked for: this module itself loads nothing, so
that it can still tell what is missing.
"""

from __future__ import annotations

import html
import os
import sys
import uuid
from collections.abc import Iterable
from importlib.util import find_spec
from pathlib import Path

__all__ = ["PACKAGES", "NotReadyError", "Ready", "missing_packages", "ready"]

OLDEST = (3, 11)
"""The Python that popkit is written for, as in pyproject.toml."""

PACKAGES = {
    "anywidget": ("anywidget", "pictures that move"),
    "babel": ("babel", "pages in other languages"),
    "fontTools": ("fonttools", "names in other scripts"),
    "highspy": ("highspy", "other rulers and class plans"),
    "ipywidgets": ("ipywidgets", "boxes, buttons and sliders"),
    "jupyterlab": ("jupyterlab", "the page you are looking at"),
    "jupyterlab_widgets": ("jupyterlab_widgets", "boxes, buttons and sliders on the page"),
    "matplotlib": ("matplotlib", "charts, and the letters of the handouts"),
    "numpy": ("numpy", "the sums"),
    "pint": ("pint", "every length"),
    "pyparsing": ("pyparsing", "reading instructions as text"),
    "typst": ("typst", "printing"),
}
"""{module: (its name for pip, what popkit does with it)}."""


class NotReadyError(RuntimeError):
    """popkit cannot run here. `faults` holds every reason and what to do about it."""

    def __init__(self, *faults: str) -> None:
        self.faults = faults
        super().__init__(" ".join(faults))

    def _render_traceback_(self) -> list[str]:
        """What IPython prints in place of a traceback when a cell ends in this error."""
        return ["popkit is not ready to run here.", *(f"- {fault}" for fault in self.faults)]


class Ready:
    """What was looked at, and what is missing.

    faults  each a sentence or two, with what to do; none if all is there
    """

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)

    def __bool__(self) -> bool:
        return not self.faults

    @property
    def _lines(self) -> tuple[str, tuple[str, ...]]:
        if self:
            return "Ready. Packages, fonts, recipes and the folder for handouts are all in place.", ()
        return "Not everything is in place. The rest works without it.", self.faults

    def __repr__(self) -> str:
        head, faults = self._lines
        return "\n".join([head, *(f"- {fault}" for fault in faults)])

    def _repr_html_(self) -> str:
        head, faults = self._lines
        rows = "".join(f"<li>{html.escape(fault)}</li>" for fault in faults)
        role = "status" if self else "alert"
        return (
            f'<div role="{role}"><p>{html.escape(head)}</p>'
            + (f"<ul>{rows}</ul>" if rows else "")
            + ("</div>")
        )


def missing_packages() -> tuple[str, ...]:
    """A sentence or two for everything that is missing of Python and its packages."""
    faults = []
    if sys.version_info < OLDEST:
        here, oldest = (".".join(map(str, version)) for version in (sys.version_info[:2], OLDEST))
        faults.append(f"This is Python {here}. Install Python {oldest} or newer.")
    for module, (name, use) in PACKAGES.items():
        if find_spec(module) is None:
            faults.append(
                f"The package {name} is missing: popkit needs it for {use}. Run “python -m pip install "
                f"{name}” in a terminal, then restart the kernel."
            )
    return tuple(faults)


def ready(recipes: str | os.PathLike = "recipes", handouts: str | os.PathLike = "../handouts") -> Ready:
    """Look at all that a notebook needs: packages, fonts, recipes, the folder for handouts.

    recipes   folder of recipe files
    handouts  folder to print into
    Returns: what was found; a notebook shows it, and goes on.
    Raises: NotReadyError where Python or a package is missing, since then nothing can go on.
    """
    missing = missing_packages()
    if missing:
        raise NotReadyError(*missing)
    return Ready([*_fonts(), *_recipes(Path(recipes)), *_handouts(handouts)])


def _fonts() -> list[str]:
    from popkit.handout.files import HandoutError
    from popkit.handout.typesetting import families_for

    try:
        families_for(["½ ⅜ ⁄ − “ ”"])
    except HandoutError as error:
        return list(error.faults)
    return []


def _recipes(folder: Path) -> list[str]:
    from popkit.recipe import RecipeError, load_recipe, recipe_files

    faults = []
    try:
        files = recipe_files(folder)
    except RecipeError:
        return [f"There is no folder of recipes “{folder.name}”. Look at the cell with the parameters."]
    if not files:
        return [f"The folder “{folder.name}” holds no recipe. Put a .toml file into it."]
    for path in files:
        try:
            load_recipe(path)
        except RecipeError as error:
            faults.append(f"{error.heading} {error.faults[0]}")
    return faults


def _handouts(given: str | os.PathLike) -> list[str]:
    from popkit.panels.places import handout_folder

    try:
        part = handout_folder(given) / f".{uuid.uuid4().hex}.part"
        try:
            part.write_bytes(b"popkit")
        finally:
            part.unlink(missing_ok=True)
    except OSError:
        name = Path(given).name
        return [
            f"Nothing can be written to the folder for handouts, “{name}”. "
            "Choose another in the cell with the parameters."
        ]
    return []
