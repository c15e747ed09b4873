"""What is asked of a handout: one card, one reader, one paper, checked once for every edition.

Imports: lengths, language, papers, card, pieces, assembly, recipe, files, typesetting; regridding
when a card has to be restated on another ruler.
"""

from __future__ import annotations

from dataclasses import dataclass

from popkit.assembly import Rulers, rulers, with_article
from popkit.card import Card, CardError, CutStep
from popkit.handout.files import HandoutError
from popkit.handout.printer import PrinterCorrection
from popkit.handout.typesetting import families_for, plain_text
from popkit.language import BRITISH, Language, LanguageError, as_language
from popkit.lengths import Grid, Length, LengthError, as_grid
from popkit.recipe import Recipe

__all__ = ["MARGIN", "PAPERS", "Job", "job"]

PAPERS = {"A4": "a4", "Letter": "us-letter"}
"""Papers a handout is printed on, and what Typst calls them."""

MARGIN = 18
"""Millimetres around the text of a page."""

_LONGEST_NAME = 200  # characters: a name, not a page of text


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One handout to make.

    card         as it is printed: on the ruler that was asked for
    rulers       the one to work on and the one in brackets
    moved        a sentence on how the card was restated on that ruler, or ""
    title        one line
    series       what it belongs to, or ""
    name         whom it is for, or ""
    remarks      of the tutor, each one line
    paper        "A4" or "Letter"
    large_print  18 pt instead of 14
    families     of fonts that the texts need
    correction   of the printer, for what is drawn at its true size, or None
    language     that the page is printed in; that of `rulers` too
    envelope     what it is sent in, as the tutor calls it, or ""
    post         services it is sent by, each one line
    """

    card: Card
    rulers: Rulers
    moved: str
    title: str
    series: str
    name: str
    remarks: tuple[str, ...]
    paper: str
    large_print: bool
    families: tuple[str, ...]
    correction: PrinterCorrection | None = None
    language: Language = BRITISH
    envelope: str = ""
    post: tuple[str, ...] = ()


def job(
    recipe: Recipe | Card,
    *,
    paper: str = "A4",
    grid: Grid | Length | str | None = None,
    large_print: bool = False,
    name: str | None = None,
    correction: PrinterCorrection | None = None,
    language: Language | str = BRITISH,
    faults: tuple[str, ...] = (),
) -> Job:
    """Everything asked, checked together.

    language  what it is printed in, one of `popkit.language.LANGUAGES`
    faults    what was found wrong before, to be reported with the rest
    Raises: HandoutError with every fault.
    """
    found = list(faults)
    if not isinstance(recipe, Recipe | Card):
        given = with_article(type(recipe).__name__)
        found.append(f"This is {given}, neither a recipe nor a card. Give one of them.")
    paper = _paper(paper, found)
    if not isinstance(large_print, bool):
        found.append(f"Large print is {large_print!r}. Write True or False.")
    if name is not None and not isinstance(name, str):
        found.append(f"The name is {with_article(type(name).__name__)}. Write text, or leave it out.")
        name = None
    name = plain_text(name or "")
    if len(name) > 2 * _LONGEST_NAME:
        found.append(f"The name is longer than {_LONGEST_NAME} characters. Write a shorter one.")
    if grid is not None:
        try:
            grid = as_grid(grid)
        except (LengthError, TypeError, AttributeError) as fault:
            found.append(f'The ruler is no ruler: {fault} Write it as in "1/16 in" or "1 mm".')
            grid = None
    try:
        language = as_language(language)
    except LanguageError as fault:
        found.append(str(fault))
    if found:
        raise HandoutError(*found)

    card = recipe.card if isinstance(recipe, Recipe) else recipe
    try:
        own = recipe.ruler if isinstance(recipe, Recipe) else None
        card, used, moved = _on_ruler(card, grid, own, language)
    except CardError as error:
        raise HandoutError(*error.faults) from None
    title = plain_text(recipe.title) if isinstance(recipe, Recipe) else _title(card, language)
    series = plain_text(recipe.series) if isinstance(recipe, Recipe) else ""
    remarks = tuple(map(plain_text, recipe.steps)) if isinstance(recipe, Recipe) else ()
    typed = tuple(one.name for one in (*card.layers, *card.ornaments))
    envelope, post = "", ()
    if isinstance(recipe, Recipe):
        envelope, post = plain_text(recipe.envelope), tuple(map(plain_text, recipe.post))
    return Job(
        card=card,
        rulers=used,
        moved=moved,
        title=title,
        series=series,
        name=name,
        remarks=remarks,
        paper=paper,
        large_print=large_print,
        families=families_for((title, series, name, envelope, *post, *remarks, *typed)),
        correction=correction,
        language=language,
        envelope=envelope,
        post=post,
    )


def _paper(paper: object, found: list[str]) -> str:
    named = {name.casefold(): name for name in PAPERS}
    if isinstance(paper, str) and paper.strip().casefold() in named:
        return named[paper.strip().casefold()]
    found.append(f"Handouts are not printed on {paper!r}. Write {' or '.join(PAPERS)}.")
    return "A4"


def _title(card: Card, language: Language) -> str:
    count = len(card.tiers)
    several = language.spelled(count)
    if all(isinstance(tier, CutStep) for tier in card.tiers):
        return language.many(
            count,
            "Pop-up card with one cut step",
            "Pop-up card with {several} cut steps",
            several=several,
        )
    return language.many(
        count, "Pop-up card with one tier", "Pop-up card with {several} tiers", several=several
    )


def _on_ruler(
    card: Card, grid: Grid | None, own: Grid | None, language: Language
) -> tuple[Card, Rulers, str]:
    """The card on the ruler asked for, restated if it has to be; else on its own ruler.

    Rounding each printed number by itself would break the mechanism, so another ruler means
    another card: the nearest one whose tiers still work.
    """
    if grid is None:
        used = rulers(card, own, language=language)
        return card, used if used.exact else rulers(card, language=language), ""
    used = rulers(card, grid, language=language)
    if used.exact:
        return card, used, ""
    from popkit.regridding import RegridError, regrid

    try:
        restated = regrid(card, grid)
    except RegridError as error:
        raise HandoutError(f"This card cannot be made on a ruler of {grid}. {error}") from None
    used = rulers(restated.card, grid, language=language)
    worst = used.show(restated.worst)
    if restated.finishing:
        shift = language.say(
            "No cut or score of back, front and tiers moved by more than {worst}; mats and ornaments "
            "follow them.",
            worst=worst,
        )
    else:
        shift = language.say("No cut or score moved by more than {worst}.", worst=worst)
    moved = (
        language.say(
            "This card was restated on a ruler of {grid}, so that its tiers still work.",
            grid=language.show_exact(grid.step),
        ),
        shift,
    )
    return restated.card, used, " ".join(moved)
