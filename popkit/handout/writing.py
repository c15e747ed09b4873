"""Handouts as files and as pictures of their pages.

Imports: lengths, language, card, recipe, files, typesetting, printer, job, editions.
"""

from __future__ import annotations

import os
from pathlib import Path

from popkit.card import Card
from popkit.handout.editions import EDITIONS, Edition
from popkit.handout.files import pdf_path, write_whole
from popkit.handout.job import job
from popkit.handout.printer import PrinterCorrection
from popkit.handout.typesetting import typeset
from popkit.language import BRITISH, Language
from popkit.lengths import Grid, Length
from popkit.recipe import Recipe

__all__ = ["handout_bytes", "preview_pages", "write_handout"]


def _edition(name: object, faults: list[str]) -> Edition:
    """The edition of that name, or any, with the fault put on the list."""
    if isinstance(name, str) and name.strip().casefold() in EDITIONS:
        return EDITIONS[name.strip().casefold()]
    faults.append(f"There is no edition {name!r}. Write {' or '.join(map(repr, EDITIONS))}.")
    return next(iter(EDITIONS.values()))


def _check_correction(correction: object, edition: Edition, faults: list[str]) -> None:
    """Put on the list what is wrong with a printer correction for that edition."""
    if correction is None:
        return
    if not isinstance(correction, PrinterCorrection):
        faults.append(
            'The printer correction is none. Write it as in PrinterCorrection(across="98.5 mm"), or '
            "leave it out."
        )
    elif not edition.true_size:
        suited = " or ".join(repr(one.name) for one in EDITIONS.values() if one.true_size)
        faults.append(
            f"The {edition.name} edition has nothing drawn at its true size, so a printer correction "
            f"does nothing for it. Leave it out, or choose {suited}."
        )


def write_handout(
    recipe: Recipe | Card,
    path: str | os.PathLike,
    edition: str = "student",
    paper: str = "A4",
    grid: Grid | Length | str | None = None,
    large_print: bool = False,
    name: str | None = None,
    correction: PrinterCorrection | None = None,
    language: Language | str = BRITISH,
) -> Path:
    """Write a handout as a tagged PDF (PDF/UA-1), whole or not at all.

    recipe       a `Recipe`, or a bare `Card`
    path         of the PDF; a file of that name is replaced
    edition      one of `EDITIONS`
    paper        "A4" or "Letter"
    grid         the ruler to work on, as in "1 mm"; a card that does not lie on it is restated on
                 it with its mechanism intact, and the handout says so. Unless given, the recipe's own.
    large_print  18 pt instead of 14 pt, laid out anew
    name         whom it is for, printed under the title
    correction   what a ruler shows on the bars of an uncorrected page, for an edition at true size
    language     that it is printed in: "en_GB", "en_US" or "de"
    Returns: the path.
    Raises: HandoutError with every fault; then nothing was written.
    """
    faults: list[str] = []
    path = pdf_path(path, faults)
    (pdf,) = _pages(
        recipe, edition, paper, grid, large_print, name, correction, language, faults, form="pdf"
    )
    return write_whole(path, pdf)


def handout_bytes(
    recipe: Recipe | Card,
    edition: str = "student",
    paper: str = "A4",
    grid: Grid | Length | str | None = None,
    large_print: bool = False,
    name: str | None = None,
    correction: PrinterCorrection | None = None,
    language: Language | str = BRITISH,
) -> bytes:
    """The PDF of `write_handout`, as bytes. The same request makes the same bytes."""
    (pdf,) = _pages(
        recipe, edition, paper, grid, large_print, name, correction, language, [], form="pdf"
    )
    return pdf


def preview_pages(
    recipe: Recipe | Card,
    edition: str = "student",
    paper: str = "A4",
    grid: Grid | Length | str | None = None,
    large_print: bool = False,
    name: str | None = None,
    correction: PrinterCorrection | None = None,
    language: Language | str = BRITISH,
    *,
    form: str = "png",
    ppi: float = 96,
) -> list[bytes]:
    """The pages of a handout as pictures, one for each page, for a notebook.

    form  "png" or "svg"
    ppi   pixels to an inch, 20 to 600, for "png"
    Raises: HandoutError with every fault.
    """
    faults = []
    if form not in ("png", "svg"):
        faults.append(f"Pages are not shown as {form!r}. Write 'png' or 'svg'.")
    if isinstance(ppi, bool) or not isinstance(ppi, int | float) or not 20 <= ppi <= 600:
        faults.append(f"{ppi!r} pixels to an inch is no size of picture. Write 20 to 600.")
    return _pages(
        recipe, edition, paper, grid, large_print, name, correction, language, faults, form=form, ppi=ppi
    )


def _pages(
    recipe: Recipe | Card,
    edition: str,
    paper: str,
    grid: Grid | Length | str | None,
    large_print: bool,
    name: str | None,
    correction: PrinterCorrection | None,
    language: Language | str,
    faults: list[str],
    **picture: object,
) -> list[bytes]:
    chosen = _edition(edition, faults)
    _check_correction(correction, chosen, faults)
    asked = job(
        recipe,
        paper=paper,
        grid=grid,
        large_print=large_print,
        name=name,
        correction=correction,
        language=language,
        faults=tuple(faults),
    )
    return typeset(chosen.template, chosen.contents(asked), **picture)
