"""What became of a sheet of exercises: every try kept, counted, and told in words.

Imports: lengths, lesson.exercise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from popkit.lengths import Grid
from popkit.lesson.exercise import Exercise, Marked, mark

__all__ = ["Attempt", "Results", "begun", "results_text"]

_ORDINALS = ("first", "second", "third", "fourth", "fifth")


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """One exercise and what was done about it.

    exercise  the exercise
    typed     every answer typed, in order, the same one twice in a row once
    shown     after how many tries the working was looked at; None if it was not
    """

    exercise: Exercise
    typed: tuple[str, ...] = ()
    shown: int | None = None

    def tried(self, text: str) -> Attempt:
        """With one more answer typed; nothing typed is no try."""
        text = text.strip()
        if not text or (self.typed and self.typed[-1] == text):
            return self
        return replace(self, typed=(*self.typed, text))

    def helped(self) -> Attempt:
        """With the working looked at now, if it was not before."""
        return self if self.shown is not None else replace(self, shown=len(self.typed))

    @property
    def marked(self) -> Marked:
        """What became of the last answer."""
        return mark(self.exercise, self.typed[-1] if self.typed else "")

    @property
    def right_at(self) -> int | None:
        """The number of the first right try; None if none was."""
        for number, text in enumerate(self.typed, 1):
            if mark(self.exercise, text).right:
                return number
        return None

    @property
    def right(self) -> bool:
        """Whether it was answered without a look at the working."""
        return self.right_at is not None and (self.shown is None or self.right_at <= self.shown)

    @property
    def state(self) -> str:
        """In a few words, how it stands."""
        at = self.right_at
        if at is None and self.shown is not None:
            return "working shown"
        if at is None:
            return "not yet right" if self.typed else "not tried"
        if not self.right:
            return "right, after a look at the working"
        return f"right at the {_ORDINALS[at - 1]} try" if at <= len(_ORDINALS) else "right in the end"


@dataclass(frozen=True, slots=True, kw_only=True)
class Results:
    """A sheet of exercises as far as it was answered.

    title     what the sheet is called
    name      whose it is, or ""
    seed      that makes the same sheet again
    grid      the ruler it is on
    attempts  one for each exercise
    """

    title: str
    name: str
    seed: int
    grid: Grid
    attempts: tuple[Attempt, ...]

    @property
    def right(self) -> int:
        """How many were answered without a look at the working."""
        return sum(attempt.right for attempt in self.attempts)

    @property
    def at_once(self) -> int:
        """How many were right at the first try."""
        return sum(attempt.right and attempt.right_at == 1 for attempt in self.attempts)

    @property
    def summary(self) -> str:
        """Two counts in a sentence."""
        return f"{self.right} of {len(self.attempts)} right, {self.at_once} of them at the first try."

    @property
    def again(self) -> tuple[Attempt, ...]:
        """Those tried and not right without help: to look at again."""
        return tuple(
            one for one in self.attempts if not one.right and (one.typed or one.shown is not None)
        )

    @property
    def made_of(self) -> str:
        """How to make the same sheet again, a sentence."""
        return f"Sheet {self.seed}, on a ruler of {self.grid}: the same number makes the same sheet."


def begun(
    exercises: Sequence[Exercise], *, seed: int, grid: Grid, title: str = "Why it folds", name: str = ""
) -> Results:
    """A sheet that nothing has been answered on yet."""
    attempts = tuple(Attempt(exercise=exercise) for exercise in exercises)
    return Results(title=title, name=name, seed=seed, grid=grid, attempts=attempts)


def results_text(results: Results) -> str:
    """The results as plain text: the counts, each exercise, the working of those to look at again."""
    lines = [results.title + (f": {results.name}" if results.name else "")]
    lines += [results.summary, results.made_of, ""]
    for attempt in results.attempts:
        exercise = attempt.exercise
        lines.append(f"{exercise.number}. {exercise.title}: {attempt.state}.")
        lines.append(f"   {exercise.question}")
        if attempt.typed:
            lines.append(f"   Answered: {', then '.join(attempt.typed)}.")
        if attempt in results.again:
            lines += [f"   {step}" for step in exercise.steps]
    return "\n".join(lines) + "\n"
