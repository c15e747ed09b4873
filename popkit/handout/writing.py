"""Handouts as files and as pictures of their pages.

Imports: lengths, language, card, recipe, classplan, files, typesetting, printer, job, editions.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from popkit.card import Card
from popkit.classplan.classes import ClassPlan
from popkit.handout.editions import EDITIONS, Edition
from popkit.handout.files import pdf_path, write_whole
from popkit.handout.job import Job, job
from popkit.handout.printer import PrinterCorrection
from popkit.handout.typesetting import typeset
from popkit.language import BRITISH, Language
from popkit.lengths import Grid, Length
from popkit.recipe import Recipe

__all__ = [
    "Bound",
    "bound_data",
    "edition_of",
    "handout_bytes",
    "job_for",
    "preview_pages",
    "typeset_handouts",
    "write_handout",
]


def edition_of(name: object, faults: list[str]) -> Edition:
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
    seed: int | Sequence[int] | None = None,
    minutes: int | Sequence[int] | None = None,
    plan: ClassPlan | None = None,
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
    seed         of the worksheet, a whole number that is printed on it: the same makes the same sums.
                 For the answers and for the tutor one or several whose answers are wanted
    minutes      for the tutor: for all steps, or one number for each; unless given, the recipe's,
                 shared out by what there is to do
    plan         for the tutor: of the class, with sheets, cuts, bags and what to buy
    Returns: the path.
    Raises: HandoutError with every fault; then nothing was written.
    """
    faults: list[str] = []
    path = pdf_path(path, faults)
    (pdf,) = _pages(
        recipe,
        edition,
        faults,
        form="pdf",
        paper=paper,
        grid=grid,
        large_print=large_print,
        name=name,
        correction=correction,
        language=language,
        seed=seed,
        minutes=minutes,
        plan=plan,
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
    seed: int | Sequence[int] | None = None,
    minutes: int | Sequence[int] | None = None,
    plan: ClassPlan | None = None,
) -> bytes:
    """The PDF of `write_handout`, as bytes. The same request makes the same bytes."""
    (pdf,) = _pages(
        recipe,
        edition,
        [],
        form="pdf",
        paper=paper,
        grid=grid,
        large_print=large_print,
        name=name,
        correction=correction,
        language=language,
        seed=seed,
        minutes=minutes,
        plan=plan,
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
    seed: int | Sequence[int] | None = None,
    minutes: int | Sequence[int] | None = None,
    plan: ClassPlan | None = None,
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
        recipe,
        edition,
        faults,
        form=form,
        ppi=ppi,
        paper=paper,
        grid=grid,
        large_print=large_print,
        name=name,
        correction=correction,
        language=language,
        seed=seed,
        minutes=minutes,
        plan=plan,
    )


def _pages(
    recipe: Recipe | Card,
    edition: str,
    faults: list[str],
    *,
    form: str,
    ppi: float = 96,
    **asked: object,
) -> list[bytes]:
    chosen = edition_of(edition, faults)
    made = job_for(recipe, chosen, faults, **asked)
    data = chosen.contents(made)
    whole = bound_data(data["title"], [Bound(kind="", data=data, edition=chosen)])
    return typeset_handouts(whole, form=form, ppi=ppi)


def job_for(
    recipe: Recipe | Card, edition: Edition, faults: list[str] | tuple[str, ...] = (), **asked: object
) -> Job:
    """The job of one handout, all that is asked checked for its edition.

    faults  found before, reported with the rest
    Raises: HandoutError with every fault.
    """
    found = list(faults)
    _check_correction(asked.get("correction"), edition, found)
    _check_extras(edition, asked, found)
    if asked.get("seed") is None and edition.unseeded is not None:
        asked["seed"] = edition.unseeded
    return job(recipe, faults=tuple(found), **asked)


def _check_extras(edition: Edition, asked: dict, faults: list[str]) -> None:
    """Put on the list what an edition has no place for."""
    seed = asked.get("seed")
    if seed is not None and edition.seeds == 0:
        suited = " or ".join(repr(one.name) for one in EDITIONS.values() if one.seeds != 0)
        faults.append(
            f"The {edition.name} edition has no sums, so the number of a worksheet does nothing for it. "
            f"Leave it out, or choose {suited}."
        )
    elif edition.seeds == 1 and isinstance(seed, list | tuple | range) and len(seed) != 1:
        faults.append("A worksheet has one number. Write one, or print a worksheet for each.")
    for name, what in (("minutes", "hours"), ("plan", "plan of the class")):
        if asked.get(name) is not None and not edition.tutors:
            faults.append(f"The {edition.name} edition has no {what}. Leave it out, or choose 'tutor'.")


# Handouts bound together ------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """One handout of a file.

    kind     key of what it shares with others: all but name and fonts
    data     from `Edition.contents`
    edition  its `Edition`
    name     in place of the one in the data, or None
    """

    kind: str
    data: Mapping[str, object]
    edition: Edition
    name: str | None = None


def bound_data(title: str, handouts: Sequence[Bound], *, two_sided: bool = False) -> dict:
    """The data of `handout.typ`.

    two_sided  every handout begins on a sheet of its own where both sides are printed
    """
    kinds: dict[str, dict] = {}
    listed, families = [], {}
    for one in handouts:
        if one.kind not in kinds:
            kinds[one.kind] = {**one.data, "template": one.edition.template}
        families |= dict.fromkeys(one.data["families"])
        name = one.data["name"] if one.name is None else one.name
        listed.append({"kind": one.kind, "name": name, "families": one.data["families"]})
    return {
        "title": title,
        "two-sided": two_sided,
        "families": tuple(families),
        "kinds": kinds,
        "handouts": listed,
    }


def typeset_handouts(data: dict, *, form: str = "pdf", ppi: float = 96) -> list[bytes]:
    """The pages of `bound_data`. Raises: HandoutError."""
    return typeset("handout.typ", data, form=form, ppi=ppi)
