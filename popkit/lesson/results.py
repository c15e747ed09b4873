"""What became of a sheet of exercises: every try kept, counted, and told in words.

Its words are in the language of its exercises; `Results.said` says them in another.

Imports: lengths, language, lesson.exercise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from popkit.language import BRITISH, Language, as_language, message
from popkit.lengths import Grid
from popkit.lesson.exercise import Exercise, Marked, mark

__all__ = ["Attempt", "Results", "begun", "results_text", "tries"]

_RIGHT_AT = (
    message("right at the first try"),
    message("right at the second try"),
    message("right at the third try"),
    message("right at the fourth try"),
    message("right at the fifth try"),
)
_TITLE = message("Why it folds")


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
        at, say = self.right_at, self.exercise.language.say
        if at is None and self.shown is not None:
            return say("working shown")
        if at is None:
            return say("not yet right") if self.typed else say("not tried")
        if not self.right:
            return say("right, after a look at the working")
        return say(_RIGHT_AT[at - 1]) if at <= len(_RIGHT_AT) else say("right in the end")


@dataclass(frozen=True, slots=True, kw_only=True)
class Results:
    """A sheet of exercises as far as it was answered.

    title     what the sheet is called; a title of the kit's own is printed in the language
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
    def language(self) -> Language:
        """That of its exercises."""
        return self.attempts[0].exercise.language if self.attempts else BRITISH

    def said(self, language: Language | str) -> Results:
        """The same in a language; what was typed stays as it was. Raises: LanguageError."""
        language = as_language(language)
        attempts = (replace(one, exercise=one.exercise.said(language)) for one in self.attempts)
        return replace(self, attempts=tuple(attempts))

    @property
    def heading(self) -> str:
        """The title, in the language."""
        return self.language.template(self.title)

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
        return self.language.say(
            "{right} of {all} right, {first} of them at the first try.",
            right=self.right,
            all=len(self.attempts),
            first=self.at_once,
        )

    @property
    def again(self) -> tuple[Attempt, ...]:
        """Those tried and not right without help: to look at again."""
        return tuple(
            one for one in self.attempts if not one.right and (one.typed or one.shown is not None)
        )

    @property
    def made_of(self) -> str:
        """How to make the same sheet again, a sentence."""
        return self.language.say(
            "Sheet {seed}, on a ruler of {grid}: the same number makes the same sheet.",
            seed=self.seed,
            grid=self.language.show_exact(self.grid.step),
        )


def begun(
    exercises: Sequence[Exercise], *, seed: int, grid: Grid, title: str = _TITLE, name: str = ""
) -> Results:
    """A sheet that nothing has been answered on yet."""
    attempts = tuple(Attempt(exercise=exercise) for exercise in exercises)
    return Results(title=title, name=name, seed=seed, grid=grid, attempts=attempts)


def results_text(results: Results) -> str:
    """The results as plain text: the counts, each exercise, the working of those to look at again."""
    say = results.language.say
    lines = [results.heading + (f": {results.name}" if results.name else "")]
    lines += [results.summary, results.made_of, ""]
    for attempt in results.attempts:
        exercise = attempt.exercise
        lines.append(f"{exercise.number}. {exercise.title}: {attempt.state}.")
        lines.append(f"   {exercise.question}")
        if attempt.typed:
            lines.append("   " + say("Answered: {answers}.", answers=tries(attempt)))
        if attempt in results.again:
            lines += [f"   {step}" for step in exercise.steps]
    return "\n".join(lines) + "\n"


def tries(attempt: Attempt) -> str:
    """Every answer typed, in order: "12 mm, then 14 mm"."""
    say, shown = attempt.exercise.language.say, "".join(attempt.typed[:1])
    for text in attempt.typed[1:]:
        shown = say("{answers}, then {next}", answers=shown, next=text)
    return shown
