"""Cutting files on the disk: one for each piece of a card, one for each sheet layout of a plan.

Imports: lengths, card, pieces, classplan.results, recipe, workbench, drawing.cutter, files.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from popkit.card import Card, CardError
from popkit.classplan.results import Layout, SheetPlan
from popkit.drawing.cutter import CutterError, cutter_dxf, cutter_svg, layout_dxf, layout_svg
from popkit.handout.files import HandoutError, write_together
from popkit.lengths import Grid, Length, LengthError, as_grid
from popkit.pieces import Piece, cut_list
from popkit.recipe import Recipe
from popkit.workbench import handout_stem

__all__ = ["CUT_FORMS", "write_cut_files"]

CUT_FORMS = ("svg", "dxf")
"""The forms of cutting files; DXF needs the extra popkit[dxf]."""


def write_cut_files(
    recipe: Recipe | Card,
    folder: str | os.PathLike,
    form: str = "svg",
    *,
    plan: SheetPlan | None = None,
    words: bool = True,
    grids: Sequence[Grid | Length | str] | None = None,
) -> list[Path]:
    """Write a file for a cutting machine for each piece, and one for each layout of a plan.

    recipe  a `Recipe`, or a bare `Card`; its title begins every file name
    folder  that they are written to; files of the same names are replaced
    form    "svg", in millimetres, or "dxf" (R12), with "mm" in the name as R12 has no unit
    plan    of `plan_sheets` for these or other pieces: a file for each of its layouts as well
    words   False: without names and sizes in the group "print"
    grids   two rulers for the sizes in words; unless given the usual two
    Returns: the paths, pieces first.
    Raises: HandoutError with every fault; then no file was written. Should the disk fail while the
    finished files are moved into place, those already moved are new and the rest as they were.
    The width of the cut is not modelled: see `popkit.drawing.cutter`.
    """
    faults: list[str] = []
    if not isinstance(recipe, Recipe | Card):
        kind = type(recipe).__name__
        faults.append(f"This is a thing of kind {kind}, not a recipe or a card. Give one of them.")
    kind = form.strip().casefold() if isinstance(form, str) else form
    if kind not in CUT_FORMS:
        faults.append(f"Cutting files are not written as {form!r}. Write 'svg' or 'dxf'.")
    if plan is not None and not isinstance(plan, SheetPlan):
        faults.append("The plan is no plan of sheets. Give what plan_sheets returns, or leave it out.")
    try:
        folder = Path(os.fsdecode(os.fspath(folder)))
    except (TypeError, ValueError):
        faults.append("The folder is no path. Write the name of a folder.")
    if grids is not None:
        try:
            grids = tuple(as_grid(grid) for grid in grids)
            if len(grids) != 2:
                raise ValueError
        except (LengthError, TypeError, ValueError, AttributeError):
            faults.append('The rulers are not two rulers. Write them as in ("1/16 in", "1 mm").')
    if faults:
        raise HandoutError(*faults)
    card = recipe.card if isinstance(recipe, Recipe) else recipe
    title = recipe.title if isinstance(recipe, Recipe) else "card"
    try:
        made = _texts(cut_list(card), title, kind, plan, {"words": words, "grids": grids})
    except CardError as error:
        raise HandoutError(*error.faults) from None
    except CutterError as error:
        raise HandoutError(str(error)) from None
    return write_together({folder / name: text.encode() for name, text in made.items()})


def _texts(
    pieces: tuple[Piece, ...], title: str, form: str, plan: SheetPlan | None, asked: dict
) -> dict[str, str]:
    """{file name: text}; a name that is taken already has a number at its end."""
    made: dict[str, str] = {}

    def keep(text: str, *parts: str) -> None:
        unit = "mm" if form == "dxf" else ""
        number, name = 1, ""
        while not name or name in made:
            again = str(number) if number > 1 else ""
            name = f"{_stem(title, *parts, again, unit)}.{form}"
            number += 1
        made[name] = text

    def one(piece: Piece) -> str:
        if form == "dxf":
            return cutter_dxf(piece, **asked)
        return cutter_svg(piece, title=f"{title}: {piece.name}", **asked)

    def whole(layout: Layout) -> str:
        if form == "dxf":
            return layout_dxf(layout, plan.pieces, **asked)
        return layout_svg(layout, plan.pieces, title=f"{title}: sheet {layout.name}", **asked)

    for piece in pieces:
        keep(one(piece), piece.name)
    for layout in plan.layouts if plan is not None else ():
        keep(whole(layout), "sheet", layout.name, layout.stock.name if layout.stock else "")
    return made


def _stem(title: str, *parts: str) -> str:
    """ "harbour-lights-back-mm": each part on its own, so that a long title crowds out none."""
    plain = (handout_stem(part, paper="") for part in (title, *parts) if part)
    first, *rest = plain
    return "-".join([first.encode()[:60].decode(errors="ignore").rstrip("-"), *rest])
