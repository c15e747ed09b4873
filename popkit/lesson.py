"""Exercises on rounding: why a card must be rounded by its zones and not by its numbers.

Each exercise is made from a card and a ruler, so its numbers and its answers are worked out and
never typed in. What a student types is read as any length is, and told why it is right or not.

Imports: lengths, card, folding, pieces, regridding.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from types import MappingProxyType

from popkit.card import Card, CutStep
from popkit.lengths import Grid, Length, LengthError, as_grid, from_mm, mm, parse_length, show_length
from popkit.pieces import cut_list
from popkit.regridding import Linkage, NumberByNumber, Regridded, number_by_number, regrid

__all__ = ["WITHIN", "Answer", "Exercise", "View", "rounding_exercises"]

WITHIN = 10
"""Degrees by which a guess at an opening may be out. Common practice, no source."""
_FLAT = 180.0
_AJAR = 179.95  # degrees; anything wider is printed as 180


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What became of a typed answer: whether it is right, and why."""

    right: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A card to look at from the side.

    caption  what it shows, a sentence
    angle    degrees it is asked to open
    slips    as `folding.pose` takes them
    """

    caption: str
    card: Card
    angle: float
    slips: Mapping[int, Length] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Exercise:
    """A question, how an answer is read, and what is said to it.

    number  from 1
    title   a few words
    ask     the question, with every number it needs
    hint    how to write the answer
    judge   called with what was typed
    before  what to look at with the question; it gives nothing away
    after   what to look at once the answer is right
    """

    number: int
    title: str
    ask: str
    hint: str
    judge: Callable[[str], Answer]
    before: View
    after: View

    def answered(self, text: str) -> Answer:
        """Whether what was typed is right, and why. Never raises for anything typed."""
        if not text.strip():
            return Answer(right=False, words="")
        try:
            return self.judge(text)
        except LengthError as fault:
            return Answer(right=False, words=str(fault))


def _listed(lengths: tuple[Length, ...], grid: Grid) -> str:
    words = [show_length(length, grid) for length in lengths]
    return f"{', '.join(words[:-1])} and {words[-1]}"


def rounding_exercises(card: Card, number: int = 1, grid: Grid | str = "1 mm") -> tuple[Exercise, ...]:
    """Three exercises on tier `number` of a card: the shelf the rounded scores leave, how far the
    card then opens, and where its third score belongs.

    Raises: LengthError if there is no such tier, or it is a cut step, whose sizes no scores of its
    own give, or rounded by its numbers it cannot be made at all; RegridError if no card on the
    ruler keeps the laws.
    """
    grid = as_grid(grid)
    if not 1 <= number <= len(card.tiers):
        raise LengthError(f"tier {number}", "is not on this card", f"It has {len(card.tiers)}")
    if isinstance(card.tiers[number - 1], CutStep):
        raise LengthError(f"tier {number}", "is a cut step", "Choose a card with a glued tier")
    naive, restated = number_by_number(card, grid), regrid(card, grid)
    linkage = naive.linkages[number - 1]
    if naive.card is None or linkage.opens_to is None:
        raise LengthError(f"tier {number}", f"vanishes on a ruler of {grid}", "Choose a finer ruler")
    case = _Case(card=card, number=number, grid=grid, linkage=linkage, naive=naive, restated=restated)
    return (_shelf(case), _opening(case), _third_score(case))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """A tier, rounded by its numbers and restated with its card."""

    card: Card
    number: int
    grid: Grid
    linkage: Linkage
    naive: NumberByNumber
    restated: Regridded

    @property
    def scores(self) -> tuple[Length, ...]:
        name = f"tier {self.number}"
        return next(piece.scores for piece in cut_list(self.card) if piece.name == name)

    def shown(self, length: Length) -> str:
        return show_length(length, self.grid)

    def view(self, caption: str, card: Card, angle: float, *, slipped: bool = False) -> View:
        """The tier by itself on its card."""
        tier = card.tiers[self.number - 1]
        slip = mm(self.linkage.foot) - mm(self.linkage.shelf)
        slips = {1: from_mm(slip, self.grid.unit)} if slipped and slip else {}
        return View(
            caption=caption,
            card=replace(card, tiers=(tier,)),
            angle=angle,
            slips=MappingProxyType(slips),
        )


def _read(text: str, grid: Grid) -> Fraction:
    return mm(parse_length(text, grid.unit))


def _shelf(case: _Case) -> Exercise:
    grid, linkage = case.grid, case.linkage
    rounded = tuple(grid.nearest(score) for score in case.scores)
    answer = mm(rounded[1]) - mm(rounded[0])
    sum_ = f"{case.shown(rounded[1])} − {case.shown(rounded[0])}"
    foot, shelf = case.shown(linkage.foot), case.shown(linkage.shelf)
    then = (
        f"And the foot is marked {foot} out, so this tier came through unharmed."
        if linkage.parallel
        else f"But the foot is still marked {foot} out: {foot} and {shelf} are not the same, "
        "so it is no longer a parallelogram."
    )

    def judge(text: str) -> Answer:
        if _read(text, grid) == answer:
            return Answer(right=True, words=f"Yes: {sum_} = {shelf}. {then}")
        return Answer(
            right=False,
            words=f"Not quite. The shelf lies between the first score and the second: {sum_}.",
        )

    return Exercise(
        number=1,
        title="The shelf that the rounded scores leave",
        ask=(
            f"Tier {case.number} of the card is scored at {_listed(case.scores, case.card.grid)}. "
            f"Rounded one by one to {case.shown(grid.step)}, that is {_listed(rounded, grid)}. "
            "How deep is the shelf now?"
        ),
        hint=f"a length, as in “{case.shown(grid.at(20))}”",
        judge=judge,
        before=case.view("The tier as it was, on show.", case.card, 90.0),
        after=case.view("The tier as rounded, on show.", case.naive.card, 90.0, slipped=True),
    )


def _opening(case: _Case) -> Exercise:
    linkage, limit = case.linkage, case.linkage.opens_to
    slip = mm(linkage.foot) - mm(linkage.shelf)
    apart = case.shown(from_mm(abs(slip), case.grid.unit))
    told = (
        f"{apart} {'more' if slip > 0 else 'less'} than the shelf" if slip else "the same as the shelf"
    )
    right = (
        f"Yes, near enough: it stops at {limit:.1f}°. The shelf and the face are pulled straight, and "
        "nothing is left to open."
        if limit < _AJAR
        else "Yes: it opens flat, 180°."
    )

    def judge(text: str) -> Answer:
        plain = text.strip().removesuffix("°").strip().lower()
        plain = plain.removesuffix("degrees").strip().replace(",", ".")
        if not re.fullmatch(r"[0-9]{1,4}(\.[0-9]{1,6})?", plain):
            return Answer(right=False, words="Write degrees in figures, as in “150”.")
        typed = float(plain)
        if typed > _FLAT:
            return Answer(right=False, words="180° is flat: no card of this kind opens further.")
        if abs(typed - limit) <= WITHIN:
            return Answer(right=True, words=right)
        return Answer(
            right=False,
            words=(
                f"It opens {'less' if typed > limit else 'further'} than that. Fold one and see, or set "
                "a foot off its mark in the workshop demo."
            ),
        )

    return Exercise(
        number=2,
        title="How far it opens",
        ask=(
            f"The face is {case.shown(linkage.face)} high, the shelf {case.shown(linkage.shelf)} deep, "
            f"and the foot is glued {case.shown(linkage.foot)} from what stands behind it, {told}. "
            f"A card should open flat, to 180°. Guess to within {WITHIN}°: at how many degrees does "
            "this tier stop it?"
        ),
        hint="degrees, as in “150”",
        judge=judge,
        before=case.view("The tier as it was, open flat.", case.card, _FLAT),
        after=case.view(
            "The tier as rounded, opened as far as it goes.", case.naive.card, _FLAT, slipped=True
        ),
    )


def _third_score(case: _Case) -> Exercise:
    tier = case.restated.card.tiers[case.number - 1]
    top, shelf, face = map(case.shown, (tier.top_tab, tier.depth, tier.face))
    answer = from_mm(mm(tier.top_tab) + mm(tier.depth) + mm(tier.face), case.grid.unit)
    sum_ = f"{top} + {shelf} + {face}"

    def judge(text: str) -> Answer:
        if _read(text, case.grid) == mm(answer):
            return Answer(
                right=True,
                words=(
                    f"Yes: {sum_} = {case.shown(answer)}. Zones first, then the scores: the foot "
                    f"goes {shelf} out, the same as the shelf, and the card opens flat."
                ),
            )
        return Answer(right=False, words=f"Not quite. The third score ends the third zone: {sum_}.")

    return Exercise(
        number=3,
        title="Zones first",
        ask=(
            f"Restated as a card, tier {case.number} has a top tab of {top}, a shelf of {shelf} "
            f"and a face of {face}. Where is its third score, from the top end?"
        ),
        hint=f"a length, as in “{case.shown(case.grid.at(90))}”",
        judge=judge,
        before=case.view("The tier restated, on show.", case.restated.card, 90.0),
        after=case.view("The tier restated, open flat.", case.restated.card, _FLAT),
    )
