"""An exercise as plain data: what is asked, what is right and why, which slips are usual.

Nothing here knows a panel or a page, so a notebook and a printed worksheet ask the same thing.
Numbers come from a card, and `mark` reads what was typed as any length is read. Its words are of one
language; `Exercise.said` says them in another.

Imports: lengths, language, card.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from types import MappingProxyType

from popkit.card import Card
from popkit.language import BRITISH, Language, as_language
from popkit.lengths import Grid, Length, LengthError, Q, mm, parse_length, unit_of

__all__ = ["FLAT", "WITHIN", "Exercise", "Marked", "Slip", "View", "angle", "mark", "slips"]

FLAT = 180
"""Degrees at which a card lies flat: none of this kind opens further."""
WITHIN = 10
"""Degrees by which a guess at an opening may be out. Common practice, no source."""


def angle(degrees: float | Fraction) -> Q:
    """Degrees as a quantity with an exact magnitude, as an answer takes them."""
    return Q(Fraction(degrees), "degree")


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """What became of a typed answer: whether it is right, and why."""

    right: bool
    feedback: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A wrong answer that people give, and what to say to it.

    answer  a length
    why     how one comes to it, a sentence or two
    """

    answer: Length
    why: str


def slips(answer: Length, grid: Grid, found: Iterable[tuple[Fraction, str]]) -> tuple[Slip, ...]:
    """The slips that can be told from the right answer and from one another.

    found  (millimetres, why), the likeliest first; what is nothing or less is no answer
    """
    kept: dict[Fraction, Slip] = {}
    for value, why in found:
        if value > 0 and value != mm(answer) and value not in kept:
            kept[value] = Slip(answer=Q(value / mm(grid.step) * grid.step.magnitude, grid.unit), why=why)
    return tuple(kept.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A card to look at from the side.

    caption  what it shows, a sentence
    angle    degrees it is asked to open
    slips    as `folding.pose` takes them
    tier     the one that it is about, from 1
    """

    caption: str
    card: Card
    angle: float
    slips: Mapping[int, Length] = field(default_factory=lambda: MappingProxyType({}))
    tier: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Exercise:
    """A question with its answer, the way to it, and the usual ways past it.

    kind      what it practises: a key of `KINDS`, or the name of one of the rounding exercises
    number    from 1, its place on the sheet
    title     a few words
    question  with every number it needs
    writes    how to write the answer
    grid      the ruler it is asked on: a bare number is in its unit
    answer    a length, or an angle in degrees (`angle`)
    within    how far out a guess may be, in the answer's unit; unless given, not at all
    because   said after "Yes", a sentence or two
    hint      said to a wrong answer that is none of the slips; it does not give the answer away
    steps     the working, each a line, the answer in the last
    slips     wrong answers that people give, none of them the answer
    before    what to look at with the question; it gives nothing away
    after     what to look at once the answer is right
    language  of its words
    again     makes it in another language; None where its words are its own
    """

    kind: str
    number: int
    title: str
    question: str
    writes: str
    grid: Grid
    answer: Q
    within: Q | None = None
    because: str
    hint: str
    steps: tuple[str, ...]
    slips: tuple[Slip, ...] = ()
    before: View
    after: View
    language: Language = BRITISH
    again: Callable[[Language], Exercise] | None = field(default=None, repr=False, compare=False)

    def __post_init__(self) -> None:
        faults = []
        if isinstance(self.number, bool) or not isinstance(self.number, int) or self.number < 1:
            faults.append(f"Its number is {self.number!r}: write 1 or more.")
        for name in ("kind", "title", "question", "because", "hint"):
            if not getattr(self, name).strip():
                faults.append(f"It has no {name}.")
        if not self.steps:
            faults.append("It has no working.")
        if not self.in_degrees:
            if mm(self.answer) <= 0 or (self.within is None and not self.grid.holds(self.answer)):
                faults.append(f"Its answer {self.answer} is no mark of a ruler of {self.grid}.")
            if any(mm(slip.answer) == mm(self.answer) for slip in self.slips):
                faults.append("One of its slips is the right answer.")
        if faults:
            raise ValueError(f"This is no exercise. {' '.join(faults)}")

    @property
    def in_degrees(self) -> bool:
        """Whether an angle is asked for rather than a length."""
        return self.answer.units == Q(1, "degree").units

    @property
    def shown(self) -> str:
        """The answer as it is printed."""
        if self.in_degrees:
            return f"{float(self.answer.magnitude):.0f}°"
        return self.language.show(self.answer, self.grid)

    def said(self, language: Language | str) -> Exercise:
        """The same exercise in a language. Raises: LanguageError."""
        language = as_language(language)
        if self.again is None or language == self.language:
            return self
        return self.again(language)


def mark(exercise: Exercise, typed: str) -> Marked:
    """Whether what was typed answers the exercise, and why. Never raises for anything typed.

    A length may be typed in any unit: in another than the exercise's it is right if its nearest
    mark is the answer. Nothing is said to nothing.
    """
    if not typed.strip():
        return Marked(right=False, feedback="")
    if exercise.in_degrees:
        return _mark_degrees(exercise, typed)
    try:
        length = parse_length(exercise.language.typed(typed), exercise.grid.unit)
    except LengthError as fault:
        return Marked(right=False, feedback=_unread(exercise, fault))
    return _mark_length(exercise, length)


def _unread(exercise: Exercise, fault: LengthError) -> str:
    """What to say to something that is no length: its faults are told in English only."""
    language = exercise.language
    if language == BRITISH:
        return str(fault)
    example = language.show(exercise.grid.at(24), exercise.grid)
    return language.say("That is no length. Write one as in “{example}”.", example=example)


def _same(exercise: Exercise, length: Length, wanted: Length) -> bool:
    """Whether a typed length is the wanted one, read on the exercise's ruler if it must be."""
    if mm(length) == mm(wanted):
        return True
    other = ("inch" in (unit_of(length), exercise.grid.unit)) and unit_of(length) != exercise.grid.unit
    return other and mm(exercise.grid.nearest(length)) == mm(wanted)


def _mark_length(exercise: Exercise, length: Length) -> Marked:
    say = exercise.language.say
    if _same(exercise, length, exercise.answer):
        return Marked(right=True, feedback=say("Yes. {why}", why=exercise.because))
    for slip in exercise.slips:
        if _same(exercise, length, slip.answer):
            return Marked(right=False, feedback=say("Not quite. {why}", why=slip.why))
    figure = exercise.grid.marks(exercise.answer) * exercise.grid.step.magnitude
    if length.magnitude == figure:
        return Marked(right=False, feedback=say("The figure is right, but look at the unit."))
    if abs(mm(length) - mm(exercise.answer)) < mm(exercise.grid.step):
        told = say("Very near, but it must be exact. {hint}", hint=exercise.hint)
        return Marked(right=False, feedback=told)
    return Marked(right=False, feedback=say("Not quite. {why}", why=exercise.hint))


def _mark_degrees(exercise: Exercise, typed: str) -> Marked:
    say = exercise.language.say
    plain = typed.strip().removesuffix("°").strip().lower()
    plain = plain.removesuffix("degrees").removesuffix("grad").strip().replace(",", ".")
    if not re.fullmatch(r"[0-9]{1,4}(\.[0-9]{1,6})?", plain):
        return Marked(right=False, feedback=say("Write degrees in figures, as in “150”."))
    guess, answer = Fraction(plain), exercise.answer.magnitude
    if guess > FLAT:
        told = say("180° is flat: no card of this kind opens further.")
        return Marked(right=False, feedback=told)
    if abs(guess - answer) <= (exercise.within.magnitude if exercise.within is not None else 0):
        told = say("Yes, near enough. {why}", why=exercise.because)
        return Marked(right=True, feedback=told)
    if guess > answer:
        told = say("It opens less than that. {hint}", hint=exercise.hint)
    else:
        told = say("It opens further than that. {hint}", hint=exercise.hint)
    return Marked(right=False, feedback=told)
