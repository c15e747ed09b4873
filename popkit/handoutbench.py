"""The handout panel without its widgets: what was typed, read, and the class printed from it.

Every fault is put beside the box it stands in.

Imports: lengths, language, assembly, regridding, recipe, roster, classplan, workbench, handout.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path

from popkit.assembly import rulers
from popkit.classplan.classes import ClassPlan, plan_class
from popkit.classplan.kits import makers
from popkit.classplan.order import PlanError
from popkit.handout import EDITIONS, ClassProgress, Edition, HandoutError, PrinterCorrection, write_class
from popkit.language import BRITISH, Language, as_language
from popkit.lengths import Length, LengthError, parse_length
from popkit.recipe import Recipe
from popkit.regridding import regrid
from popkit.roster import Roster, RosterError, read_roster
from popkit.workbench import handout_stem

__all__ = ["HandoutAsked", "HandoutForm", "printed_class", "read_form"]

_MOST_SEEDS = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class HandoutForm:
    """What stands in the boxes, as it was typed or chosen.

    grid     a ruler, or None for each recipe's own
    seed     "7"; for answers also "1 to 24" or "3, 5, 8"; "" for none
    minutes  "90", or one for each step as in "10, 5, 5"; "" for the recipe's
    students "24", for whom the tutor's pages plan kits and cuts; "" for no plan
    across, along
             what a ruler shows on the bars of a page at true size; "" where it is true
    roster   its text, or None where no class is printed
    Boxes that the edition has no place for are not read.
    """

    edition: str = "student"
    language: str = BRITISH.code
    paper: str = "A4"
    grid: str | None = None
    large_print: bool = False
    name: str = ""
    seed: str = ""
    minutes: str = ""
    students: str = ""
    across: str = ""
    along: str = ""
    roster: str | None = None
    two_sided: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HandoutAsked:
    """The form, read.

    how      as `handout.write_handout` takes it, but for a plan: see `how_for`
    edition  the `Edition`
    roster   of the class, or None
    students for whom the tutor's pages plan kits and cuts, or None
    remarks  what to look at on the roster
    faults   {box: reasons}
    """

    how: dict[str, object]
    edition: Edition
    roster: Roster | None = None
    students: int | None = None
    two_sided: bool = False
    remarks: tuple[str, ...] = ()
    faults: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def wrong(self) -> bool:
        """Whether a handout cannot be made of it; the roster is another matter."""
        return any(box != "roster" for box in self.faults)

    def how_for(self, recipe: Recipe) -> dict[str, object]:
        """How `handout.write_handout` prints a recipe, the plan of its class included.

        Raises: PlanError where no sheet gives a piece, RegridError where the card cannot be made on
        the ruler asked for.
        """
        if self.students is None:
            return self.how
        return {**self.how, "plan": _planned(recipe, self.how["grid"], self.students)}

    def file_name(self, recipe: str) -> str:
        """ "harbour-lights-a4-worksheet-7.pdf": tells one handout of a recipe from another.

        recipe  its file's name, without its ending
        """
        how = self.how
        seed = how.get("seed")
        seeds = "" if seed is None else f"{seed}" if isinstance(seed, int) else f"{seed[0]}-{seed[-1]}"
        parts = (
            "" if self.edition.name == "student" else self.edition.name,
            "" if how["language"] == BRITISH else how["language"].code,
            seeds,
        )
        return handout_stem(
            recipe,
            paper=" ".join([how["paper"], *filter(None, parts)]),
            grid=how["grid"],
            large_print=how["large_print"],
            name=how["name"],
        )


@lru_cache(maxsize=8)  # the pages are set again with every change of the form
def _planned(recipe: Recipe, grid: str | None, students: int) -> ClassPlan:
    """A good plan of the card as it is printed, without the long proofs: a page waits for it, and
    says how sure it is.
    """
    if grid is not None and not rulers(recipe.card, grid).exact:
        recipe = replace(recipe, card=regrid(recipe.card, grid).card)
    return plan_class([(recipe, students)], prove=False)


def read_form(form: HandoutForm, recipes: Mapping[str, Recipe] | None = None) -> HandoutAsked:
    """The form, read; the roster against the recipes there are, by name."""
    faults: dict[str, tuple[str, ...]] = {}
    edition, language = EDITIONS[form.edition], as_language(form.language)
    how: dict[str, object] = {
        "edition": edition.name,
        "paper": form.paper,
        "grid": form.grid,
        "large_print": form.large_print,
        "name": form.name.strip() or None,
        "language": language,
    }
    if edition.seeds != 0:
        how["seed"] = _seeds(form.seed, edition, faults)
    students = None
    if edition.tutors:
        how["minutes"] = _minutes(form.minutes, faults)
        students = _students(form.students, faults)
    if edition.true_size:
        how["correction"] = _correction(form, language, faults)
    roster, remarks = None, ()
    if form.roster is not None:
        roster = _roster(form.roster, recipes or {}, faults)
        remarks = () if roster is None else roster.remarks
    return HandoutAsked(
        how=how,
        edition=edition,
        roster=roster,
        students=students,
        two_sided=form.two_sided,
        remarks=remarks,
        faults=faults,
    )


def _seeds(text: str, edition: Edition, faults: dict) -> int | tuple[int, ...] | None:
    text = text.strip()
    if not text:
        return edition.unseeded
    if edition.seeds == 1:
        if re.fullmatch("[0-9]{1,9}", text, re.ASCII):
            return int(text)
        faults["seed"] = (f"“{text}” is no number of a worksheet. Write a whole number, as in 7.",)
        return edition.unseeded
    found: list[int] = []
    for part in text.split(","):
        run = re.fullmatch(r"\s*([0-9]{1,9})(?:\s*(?:to|-|–)\s*([0-9]{1,9}))?\s*", part, re.ASCII)
        first, last = (int(run[1]), int(run[2] or run[1])) if run else (1, 0)
        if not first <= last < first + _MOST_SEEDS or len(found) > _MOST_SEEDS:
            faults["seed"] = (
                f"“{part.strip()}” is no number of a worksheet. Write numbers, as in 7, or 1 to 24, "
                f"{_MOST_SEEDS} at most.",
            )
            return edition.unseeded
        found += range(first, last + 1)
    return tuple(found)


def _minutes(text: str, faults: dict) -> int | tuple[int, ...] | None:
    text = text.strip()
    if not text:
        return None
    parts = [part.strip() for part in text.split(",")]
    if not all(re.fullmatch("[0-9]{1,4}", part, re.ASCII) for part in parts):
        faults["minutes"] = (
            f"“{text}” is no number of minutes. Write one for all, as in 90, or one for each step, "
            "as in 10, 5, 5.",
        )
        return None
    numbers = tuple(map(int, parts))
    return numbers[0] if len(numbers) == 1 else numbers


def _students(text: str, faults: dict) -> int | None:
    text = text.strip()
    if not text:
        return None
    if re.fullmatch("[0-9]{1,4}", text, re.ASCII) and int(text):
        return int(text)
    faults["students"] = (f"“{text}” is no number of students. Write a whole number, as in 24.",)
    return None


def _correction(form: HandoutForm, language: Language, faults: dict) -> PrinterCorrection | None:
    read: dict[str, Length] = {}
    for box in ("across", "along"):
        text = getattr(form, box).strip()
        if not text:
            continue
        try:
            read[box] = parse_length(text, "mm")
        except LengthError as fault:
            faults[box] = (str(fault),)
            continue
        try:
            PrinterCorrection(**{box: read[box]})
        except HandoutError as error:
            faults[box] = error.faults
    if not read or "across" in faults or "along" in faults:
        return None
    return PrinterCorrection(**read)


def _roster(text: str, recipes: Mapping[str, Recipe], faults: dict) -> Roster | None:
    if not text.strip():
        faults["roster"] = ("Nobody is on the roster yet. Choose a file, or type one student a line.",)
        return None
    try:
        # A text of one line would be taken for a path.
        roster = read_roster(text.strip("\r\n") + "\n\n", "")
        makers(roster, recipes)
    except RosterError as error:
        faults["roster"] = tuple(map(str, error.faults))
        return None
    except PlanError as error:
        faults["roster"] = tuple(error.faults)
        return None
    return roster


def printed_class(
    asked: HandoutAsked,
    recipes: Mapping[str, Recipe],
    folder: Path,
    tell: Callable[[ClassProgress], None],
    stop: Callable[[], bool],
) -> list[Path]:
    """The handouts of the class, as `write_class`. Raises: HandoutError."""
    how = {key: value for key, value in asked.how.items() if key not in ("name", "minutes")}
    return write_class(recipes, asked.roster, folder, tell, stop, two_sided=asked.two_sided, **how)
