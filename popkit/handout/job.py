"""What is asked of a handout: one card, one reader, one paper, checked once for every edition.

Imports: lengths, language, papers, card, pieces, assembly, recipe, classplan, files, typesetting;
regridding when a card has to be restated on another ruler.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from popkit.assembly import Rulers, rulers, with_article
from popkit.card import Card, CardError, CutStep
from popkit.classplan.classes import ClassPlan
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
    seeds        of the worksheet, or of those that answers are wanted to
    minutes      for all steps together, or for each, or None
    notes        of the recipe, for the tutor's eye, each one line
    plan         of the class, for the tutor's edition, or None
    envelope     what it is sent in, as the tutor calls it, or ""
    post         services it is sent by, each one line
    measure      unit of the recipe's card, whatever ruler this one is on; or ""
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
    seeds: tuple[int, ...] = ()
    minutes: int | tuple[int, ...] | None = None
    notes: tuple[str, ...] = ()
    plan: ClassPlan | None = None
    envelope: str = ""
    post: tuple[str, ...] = ()
    measure: str = ""


def job(
    recipe: Recipe | Card,
    *,
    paper: str = "A4",
    grid: Grid | Length | str | None = None,
    large_print: bool = False,
    name: str | None = None,
    correction: PrinterCorrection | None = None,
    language: Language | str = BRITISH,
    seed: int | Sequence[int] | None = None,
    minutes: int | Sequence[int] | None = None,
    plan: ClassPlan | None = None,
    faults: tuple[str, ...] = (),
) -> Job:
    """Everything asked, checked together.

    language  what it is printed in, one of `popkit.language.LANGUAGES`
    seed      of a worksheet, or several that answers are wanted to: whole numbers, 0 or more
    minutes   for all steps, or one for each; unless given, those of the recipe
    plan      of the class, for the tutor's edition
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
    seeds = _seeds(seed, found)
    minutes = _minutes(minutes, found)
    if plan is not None and not isinstance(plan, ClassPlan):
        found.append("The plan is no plan of a class. Give what plan_class returns, or leave it out.")
    if found:
        raise HandoutError(*found)

    card = recipe.card if isinstance(recipe, Recipe) else recipe
    measure = card.unit
    try:
        own = recipe.ruler if isinstance(recipe, Recipe) else None
        card, used, moved = _on_ruler(card, grid, own, language)
    except CardError as error:
        raise HandoutError(*error.faults) from None
    title = plain_text(recipe.title) if isinstance(recipe, Recipe) else _title(card, language)
    series = plain_text(recipe.series) if isinstance(recipe, Recipe) else ""
    remarks = tuple(map(plain_text, recipe.steps)) if isinstance(recipe, Recipe) else ()
    notes = _paragraphs(recipe.notes) if isinstance(recipe, Recipe) else ()
    typed = [one.name for one in (*card.layers, *card.ornaments)]
    typed += _words_of(plan)
    if minutes is None and isinstance(recipe, Recipe):
        minutes = recipe.minutes
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
        families=families_for((title, series, name, *remarks, *notes, envelope, *post, *typed)),
        correction=correction,
        language=language,
        seeds=seeds,
        minutes=minutes,
        notes=notes,
        plan=plan,
        envelope=envelope,
        post=post,
        measure=measure,
    )


def _paragraphs(notes: str) -> tuple[str, ...]:
    """Lines as they were meant: one that breaks off in a sentence goes on in the next."""
    found: list[str] = []
    going_on = False
    for line in map(plain_text, notes.splitlines()):
        if line and going_on:
            found[-1] += f" {line}"
        elif line:
            found.append(line)
        going_on = bool(line) and not line.endswith((".", "!", "?", ":", ";", "…", "”"))
    return tuple(found)


_MOST_SEEDS = 10_000


def _seeds(seed: object, found: list[str]) -> tuple[int, ...]:
    """The seeds asked for, with the fault put on the list."""
    try:
        seeds = () if seed is None else (seed,) if isinstance(seed, int | str) else tuple(seed)
    except TypeError:
        seeds = (seed,)
    for one in seeds:
        if isinstance(one, bool) or not isinstance(one, int) or not 0 <= one < 10**9:
            found.append(f"The number of the worksheet is {one!r}. Write a whole number, as in 7.")
            return ()
    if len(seeds) > _MOST_SEEDS:
        found.append(f"There are {len(seeds)} worksheets. Write {_MOST_SEEDS} at most.")
    return tuple(dict.fromkeys(seeds))


def _minutes(minutes: object, found: list[str]) -> int | tuple[int, ...] | None:
    """The minutes asked for, with the fault put on the list."""
    several = isinstance(minutes, list | tuple)
    for one in minutes if several else [] if minutes is None else [minutes]:
        if isinstance(one, bool) or not isinstance(one, int) or not 0 <= one <= 1440:
            found.append(
                f"The minutes are {one!r}. Write a whole number of 0 to 1440, or one for each step."
            )
            return None
    return tuple(minutes) if several else minutes


def _words_of(plan: ClassPlan | None) -> list[str]:
    """What people typed that a plan prints."""
    kits = () if plan is None else plan.kits
    typed = [text for kit in kits for text in (kit.name, *(name for name, _ in kit.extras))]
    typed += [text for kit in kits for one in kit.students for text in (one.label, one.needs)]
    return [plain_text(text) for text in typed]


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
