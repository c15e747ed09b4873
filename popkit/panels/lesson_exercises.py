"""The exercise panel: a sheet with fresh numbers, answered in the notebook, its results printed.

Imports: lengths, lesson, handout, workbench, and conversion, lesson_scene and parts. ipywidgets.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial
from pathlib import Path
from secrets import randbelow

import ipywidgets as widgets

from popkit.handout import PAPERS, HandoutError
from popkit.handout.exercises import write_results, write_results_text
from popkit.lengths import Grid, as_grid
from popkit.lesson import KINDS, TOPICS, ExerciseError, exercises
from popkit.lesson.results import Attempt, begun, results_text
from popkit.panels.conversion import own_style
from popkit.panels.lesson_scene import lesson_style, told, working
from popkit.panels.parts import (
    beside,
    button,
    choice,
    group,
    heading,
    said,
    style_sheet,
    text_box,
    words,
)
from popkit.workbench import RULERS, handout_stem

__all__ = ["ExercisesPanel"]

_SEEDS = 10_000
_ALL = "every topic"


class _Row(widgets.VBox):
    """One exercise on the sheet: the question, a box, what is said to it, the working."""

    def __init__(self, number: int, typed: Callable, helped: Callable) -> None:
        self.title, self.ask = heading("", 4), words("popkit-ask")
        self.told, self.working = words("popkit-told"), words("popkit-working")
        self.box = text_box(
            "Your answer", f"sheet-{number}-answer", tip=f"Your answer to exercise {number}"
        )
        self.show = button(
            "Show the working", f"sheet-{number}-show", helped, f"Show the working of exercise {number}"
        )
        self.box.observe(lambda change: typed(change["new"]), "value")
        super().__init__([self.title, self.ask, self.box, self.told, self.working, self.show])
        self.add_class("popkit-sheet-row")
        self.add_class(f"popkit-sheet-{number}")

    def lay(self, attempt: Attempt) -> None:
        """Show an exercise and how it stands."""
        exercise = attempt.exercise
        self.title.value = f"<h4>{exercise.number}. {exercise.title}</h4>"
        self.ask.value = said(exercise.question)
        self.box.placeholder = exercise.writes
        self.told.value, self.working.value = told(attempt), working(attempt)
        self.show.disabled = not attempt.typed


class ExercisesPanel(widgets.VBox):
    """A sheet of exercises on why a card folds.

    folder  that results are printed to
    seed    a whole number: the same makes the same sheet, so that a class can share one
    count   of exercises
    grid    the ruler
    paper   "A4" or "Letter"
    results what has been answered so far
    """

    def __init__(
        self,
        folder: str | Path = "../handouts",
        seed: int = 1,
        count: int = 8,
        grid: Grid | str = "1 mm",
        paper: str = "A4",
    ) -> None:
        self._folder, self._count, self._settling = Path(folder), count, False
        self.written: tuple[Path, ...] = ()
        self._saved: list[tuple[str, str]] = []
        self._make(seed, count, as_grid(grid), paper)
        super().__init__(
            [
                style_sheet(),
                own_style(),
                lesson_style(),
                group(
                    "The sheet",
                    [
                        beside([self.seed, self.fresh, self.ruler, self.topic], "popkit-sheet-choices"),
                        self.seed_why,
                    ],
                    "sheet-choices-group",
                ),
                *self._rows,
                self.summary,
                group(
                    "Keep the results",
                    [
                        beside([self.name, self.paper, self.print, self.save], "popkit-sheet-choices"),
                        self.saved,
                    ],
                    "sheet-keep-group",
                ),
            ]
        )
        for name in ("popkit-panel", "popkit-sheet"):
            self.add_class(name)
        self.results = None
        self._deal()

    def _make(self, seed: int, count: int, grid: Grid, paper: str) -> None:
        self.seed = text_box(
            "Sheet number",
            "seed",
            str(seed),
            "a whole number",
            "Sheet number: the same makes the same sheet",
        )
        self.fresh = button("Fresh numbers", "fresh", self._freshen, "Deal a sheet with fresh numbers")
        rulers = [str(ruler) for unit in RULERS.values() for ruler in unit]
        rulers += [] if str(grid) in rulers else [str(grid)]
        self.ruler = choice("Sizes on a ruler of", "sheet-ruler", rulers, str(grid))
        topics = [(_ALL, ""), *((title, name) for name, title in TOPICS.items())]
        self.topic = choice("About", "sheet-topic", topics, "")
        self.seed_why = words("popkit-seed-why")
        self._rows = [
            _Row(number, partial(self._typed, number - 1), partial(self._helped, number - 1))
            for number in range(1, count + 1)
        ]
        self.summary = words("popkit-score")
        self.name = text_box("Name", "results-name", "", "leave empty for none", "Name on the results")
        self.paper = choice("Paper", "results-paper", PAPERS, None)
        self.paper.value = paper if paper in dict(self.paper.options) else self.paper.value
        self.print = button("Print the results", "results-print", self._print)
        self.save = button("Save as text", "results-save", self._save)
        self.saved = words("popkit-results-saved")
        for part in (self.seed, self.ruler, self.topic):
            part.observe(lambda _: self._deal(), "value")

    # The sheet --------------------------------------------------------------------

    def _freshen(self) -> None:
        old = self.seed.value
        while self.seed.value == old:
            self.seed.value = str(1 + randbelow(_SEEDS))

    def _kinds(self) -> Iterable[str] | None:
        if not self.topic.value:
            return None
        return tuple(kind.name for kind in KINDS.values() if kind.topic == self.topic.value)

    def _deal(self) -> None:
        """A new sheet from the number, ruler and topic chosen; or the reason why not."""
        text = self.seed.value.strip()
        try:
            if not re.fullmatch("[0-9]{1,9}", text):
                raise ExerciseError("A sheet number is a whole number of nine figures at most, as in 7.")
            seed, grid = int(text), as_grid(self.ruler.value)
            dealt = exercises(kinds=self._kinds(), count=self._count, grid=grid, seed=seed)
        except ExerciseError as fault:
            self.seed_why.value = said(str(fault), "popkit-wrong", role="alert")
            return
        self.seed_why.value, self._saved = "", []
        self.results = begun(dealt, seed=seed, grid=grid)
        self._settling = True
        for row in self._rows:
            row.box.value = ""
        self._settling = False
        self._update()

    def _attempted(self, place: int, attempt: Attempt) -> None:
        attempts = list(self.results.attempts)
        attempts[place] = attempt
        self.results = replace(self.results, attempts=tuple(attempts))
        self._update()

    def _typed(self, place: int, text: str) -> None:
        if self.results is not None and not self._settling:
            self._attempted(place, self.results.attempts[place].tried(text))

    def _helped(self, place: int) -> None:
        if self.results is not None and self.results.attempts[place].typed:
            self._attempted(place, self.results.attempts[place].helped())

    def _update(self) -> None:
        for row, attempt in zip(self._rows, self.results.attempts, strict=True):
            row.lay(attempt)
        self.summary.value = said(self.results.summary, role="status")
        self._tell()

    # Keeping it -------------------------------------------------------------------

    def _named(self) -> str:
        name = self.name.value.strip()
        self.results = replace(self.results, name=name)
        sheet = f"exercises-{self.results.seed}"
        return handout_stem(sheet, paper=self.paper.label, name=name or None)

    def _keep(self, how: Callable, ending: str, done: str) -> None:
        if self.results is None:
            return
        try:
            path = how(self._folder / f"{self._named()}.{ending}")
            self.written = (*self.written, path)
            self._saved = [(f"{done} {path.name} in {path.parent.name}.", "popkit-done")]
        except HandoutError as error:
            self._saved = [(fault, "popkit-wrong") for fault in error.faults]
        self._tell()

    def _print(self) -> None:
        self._keep(
            lambda path: write_results(self.results, path, paper=self.paper.label), "pdf", "Printed"
        )

    def _save(self) -> None:
        self._keep(lambda path: write_results_text(self.results, path), "txt", "Saved as")

    def _tell(self) -> None:
        self.saved.value = "".join(
            said(text, kind, role="alert" if kind == "popkit-wrong" else "status")
            for text, kind in self._saved
        )

    # As text and as a still picture -----------------------------------------------

    def __repr__(self) -> str:
        if self.results is None:
            return "There is no sheet."
        return results_text(self.results) + "\n".join(text for text, _ in self._saved)

    def _repr_mimebundle_(self, **_: object) -> dict[str, object]:
        live = super()._repr_mimebundle_() or {}
        asked = "".join(
            said(f"{one.exercise.number}. {one.exercise.question}") for one in self.results.attempts
        )
        note = said("Run the notebook to answer, and to deal a sheet of your own.")
        return {**live, "text/plain": repr(self), "text/html": asked + note}
