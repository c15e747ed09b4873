"""Handouts for a whole class: one PDF for each student, one with all of them to print in one go.

Each is in the student's own unit, of their card, in their size of print. A name is printed as it was
typed; of a file name it is only a part, and only its letters and figures.

Imports: language, card, roster, recipe, classplan.kits, files, job, editions, worksheet, writing.
"""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from popkit.card import grid_for
from popkit.classplan.kits import Maker, makers
from popkit.classplan.order import PlanError
from popkit.handout.editions import EDITIONS, Edition
from popkit.handout.files import HandoutError, write_whole
from popkit.handout.job import Job
from popkit.handout.printer import PrinterCorrection
from popkit.handout.typesetting import families_for, plain_text
from popkit.handout.worksheet import key_of
from popkit.handout.writing import Bound, bound_data, edition_of, job_for, typeset_handouts
from popkit.language import BRITISH, Language
from popkit.lengths import Grid, Length, quoted
from popkit.recipe import Recipe
from popkit.roster import Roster

__all__ = ["ClassProgress", "write_class"]

_LONGEST = 60  # bytes of a name in a file name
_BOUND = 40
"""Handouts in one file to print from: a longer class has several, so that memory stays small."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassProgress:
    """How far the printing of a class has come.

    done, of  files that are there, and how many there will be
    what      the file that is next, in words
    """

    done: int
    of: int
    what: str

    def text(self) -> str:
        """ "Printing 3 of 26: Zoë Kowalczyk"."""
        return f"Printing {self.done + 1} of {self.of}: {self.what}"


def write_class(
    recipes: Recipe | Iterable[Recipe] | Mapping[str, Recipe],
    roster: Roster,
    folder: str | os.PathLike,
    progress: Callable[[ClassProgress], None] | None = None,
    stop: Callable[[], bool] | None = None,
    *,
    edition: str = "student",
    seed: int | None = None,
    paper: str = "A4",
    grid: Grid | Length | str | None = None,
    large_print: bool = False,
    correction: PrinterCorrection | None = None,
    language: Language | str = BRITISH,
    two_sided: bool = False,
) -> list[Path]:
    """Write a handout for each student of a roster, and a PDF with all of them, for printing.

    recipes      those that the roster names by title, or by their key; a student without a card makes
                 the only one there is
    folder       that is there already; the files are "01-zoë-kowalczyk-student.pdf" by place on the
                 roster and name, then "class-student.pdf" with all of them; more than 40 are bound in
                 "class-student-1.pdf" and so on. Worksheets have "class-answers.pdf" too
    progress     told before each file
    stop         asked before each file; once it answers True nothing more is written
    edition      one of `EDITIONS`, but not "tutor" or "answers", which are for one
    seed         of the first student's worksheet, 1 unless given; each of the others has one more
    grid         the ruler of those whose unit the roster does not say
    large_print  for everybody; else for those of whom the roster says so
    two_sided    the PDF with all of them begins every handout on a fresh sheet of paper
    The rest is as for `write_handout`.
    Returns: the paths, students first. After a stop those that were written.
    Raises: HandoutError with every fault before anything is written. When the disk fails, what was
    written is whole and stays. A file that is there with the same bytes is left alone, so another run
    takes up where one was stopped; any other file of these names is replaced whole.
    """
    faults: list[str] = []
    chosen = edition_of(edition, faults)
    folder = _checked(roster, folder, chosen, seed, faults)
    try:
        made = makers(roster, recipes) if isinstance(roster, Roster) else ()
    except (PlanError, TypeError) as error:
        made = ()
        told = error.faults if isinstance(error, PlanError) else ("The recipes are none. Give some.",)
        faults += told
    asked = {"paper": paper, "correction": correction, "language": language}
    if seed is None and chosen.seeds:
        seed = chosen.unseeded
    if not made:
        _check_rest(recipes, chosen, asked | {"grid": grid, "large_print": large_print}, faults)
    if faults and not isinstance(seed, int | None):
        seed = None
    those = list(_handouts(made, chosen, asked, grid, large_print, seed, faults))
    if faults:
        raise HandoutError(*dict.fromkeys(faults))
    return _write(
        those, folder, chosen, two_sided, progress or (lambda _: None), stop or (lambda: False)
    )


def _checked(
    roster: object, folder: object, edition: Edition, seed: object, faults: list[str]
) -> Path | None:
    """The folder, with what is wrong with it and with the rest put on the list."""
    if not isinstance(roster, Roster):
        faults.append("The roster is no roster. Give what read_roster returns.")
    if edition.seeds is None:
        faults.append(
            f"The {edition.name} edition is for the tutor alone. Print it by itself, or choose another."
        )
    if seed is not None and (isinstance(seed, bool) or not isinstance(seed, int)):
        faults.append(f"The number of the first worksheet is {seed!r}. Write a whole number, as in 7.")
    try:
        folder = Path(os.fsdecode(os.fspath(folder)))
    except (TypeError, ValueError):
        faults.append("The folder is no path. Write the name of a folder.")
        return None
    if "\0" in str(folder) or not folder.is_dir():
        name = quoted(folder.name or str(folder))
        faults.append(f"There is no folder {name}. Make it, or choose another.")
    return folder


def _check_rest(recipes: object, edition: Edition, asked: dict, faults: list[str]) -> None:
    """Put on the list what else is wrong where the roster cannot be matched to the recipes."""
    if isinstance(recipes, Mapping):
        recipes = recipes.values()
    every = (
        [recipes] if isinstance(recipes, Recipe) else recipes if isinstance(recipes, Iterable) else []
    )
    for recipe in every:
        if isinstance(recipe, Recipe):
            try:
                job_for(recipe, edition, **asked)
            except HandoutError as error:
                faults += error.faults
            return


# One handout for each -----------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _One:
    """The handout of one student.

    label  as they are called in messages
    stem   of the file name
    job    with their name
    bound  its data
    """

    label: str
    stem: str
    job: Job
    bound: Bound


def _handouts(
    made: tuple[Maker, ...],
    edition: Edition,
    asked: dict,
    grid: object,
    large_print: object,
    seed: int | None,
    faults: list[str],
) -> Iterator[_One]:
    """A handout for each, what they share worked out once; what cannot be is put on the list."""
    jobs: dict[tuple, Job | None] = {}
    shared: dict[tuple, dict] = {}
    digits = max(2, len(str(len(made))))
    for place, one in enumerate(made):
        student = one.student
        key = (one.recipe.title, one.unit, large_print or student.large_print)
        ruler = grid_for("inch" if one.unit == "in" else "millimeter") if one.unit else None
        if not student.unit:
            ruler = grid
            key = (*key, "grid")
        if key not in jobs:
            large = large_print if not isinstance(large_print, bool) else key[2]
            how = asked | {"grid": ruler, "large_print": large, "seed": seed}
            try:
                jobs[key] = job_for(one.recipe, edition, **how)
            except HandoutError as error:
                faults += error.faults
                jobs[key] = None
        job = jobs[key]
        if job is None:
            continue
        try:
            name = plain_text(student.label)
            job = replace(job, name=name, families=_families(job.families, name))
            if seed is not None:
                job = replace(job, seeds=(seed + place,))
                key = (*key, seed + place)
            if key not in shared:
                shared[key] = edition.contents(job)
        except HandoutError as error:
            faults += [f"{student.label}: {fault}" for fault in error.faults]
            continue
        data = shared[key] | {
            "name": name,
            "families": tuple(dict.fromkeys((*shared[key]["families"], *job.families))),
        }
        yield _One(
            label=student.label,
            stem=f"{place + 1:0{digits}}{_part(student.label)}-{edition.name}",
            job=job,
            bound=Bound(kind=" ".join(map(str, key)), data=data, edition=edition),
        )


def _families(families: tuple[str, ...], name: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*families, *families_for((name,)))))


def _part(label: str) -> str:
    """ "-zoë-kowalczyk": letters, marks and figures of any script, the rest hyphens; "" for none.

    A number stands before it and the edition after it, so that it is never a name of its own.
    """
    kept = [
        char if unicodedata.category(char)[0] in "LNM" else "-"
        for char in unicodedata.normalize("NFC", label.casefold())
    ]
    plain = re.sub("-+", "-", "".join(kept)).strip("-")
    plain = plain.encode()[:_LONGEST].decode(errors="ignore").rstrip("-")
    return f"-{plain}" if plain else ""


# Files ----------------------------------------------------------------------------------


def _write(
    those: list[_One],
    folder: Path,
    edition: Edition,
    two_sided: bool,
    progress: Callable[[ClassProgress], None],
    stop: Callable[[], bool],
) -> list[Path]:
    language = those[0].job.language
    titles = dict.fromkeys(one.job.title for one in those)
    title = language.say("{titles}: the class", titles=language.listed(titles))
    keyed = edition.seeds == 1
    parts = [those[at : at + _BOUND] for at in range(0, len(those), _BOUND)]
    of = len(those) + len(parts) + keyed
    written: list[Path] = []

    def write(what: str, stem: str, handouts: list[Bound], called: str) -> bool:
        """Whether it was written and not stopped before."""
        if stop():
            return False
        progress(ClassProgress(done=len(written), of=of, what=what))
        (pdf,) = typeset_handouts(bound_data(called, handouts, two_sided=two_sided))
        written.append(_keep(folder / f"{stem}.pdf", pdf))
        return True

    for one in those:
        if not write(one.label, one.stem, [one.bound], one.bound.data["title"]):
            return written
    for number, part in enumerate(parts, 1):
        last = f"-{number}" if len(parts) > 1 else ""
        if not write("all in one", f"class-{edition.name}{last}", [one.bound for one in part], title):
            return written
    if keyed:
        write("the answers", "class-answers", [_key(those, title)], title)
    return written


def _keep(path: Path, pdf: bytes) -> Path:
    """Write a file, or leave alone one that is there and equal."""
    try:
        if path.stat().st_size == len(pdf) and path.read_bytes() == pdf:
            return path
    except OSError:
        pass
    return write_whole(path, pdf)


def _key(those: list[_One], title: str) -> Bound:
    """The answers to the worksheets of a class, each under the student's name."""
    first = those[0].job
    edition = EDITIONS["answers"]
    families = tuple(dict.fromkeys(family for one in those for family in one.job.families))
    data = edition.contents(replace(first, seeds=(), name="", large_print=False, families=families))
    keys = [key_of(one.job, one.job.seeds[0], one.label) for one in those]
    title = first.language.say("{title}: answers to the worksheets", title=title)
    return Bound(kind="answers", data=data | {"keys": keys, "title": title}, edition=edition)
