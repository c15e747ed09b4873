"""Exercises on rounding: why a card must be rounded by its zones and not by its numbers.

Each is made from a card and a ruler, so its numbers and its answer are worked out and never typed in.

Imports: lengths, card, pieces, regridding, lesson.exercise.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import MappingProxyType

from popkit.card import Card, CutStep
from popkit.lengths import Grid, Length, LengthError, as_grid, from_mm, mm, show_length
from popkit.lesson.exercise import FLAT, WITHIN, Exercise, View, angle, slips
from popkit.pieces import cut_list
from popkit.regridding import Linkage, NumberByNumber, Regridded, number_by_number, regrid

__all__ = ["rounding_exercises"]

_AJAR = 179.95  # degrees; anything wider is printed as 180


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

    def view(self, caption: str, card: Card, degrees: float, *, slipped: bool = False) -> View:
        """The tier by itself on its card."""
        tier = card.tiers[self.number - 1]
        slip = mm(self.linkage.foot) - mm(self.linkage.shelf)
        found = {1: from_mm(slip, self.grid.unit)} if slipped and slip else {}
        return View(
            caption=caption,
            card=replace(card, tiers=(tier,)),
            angle=degrees,
            slips=MappingProxyType(found),
        )


def _shelf(case: _Case) -> Exercise:
    grid, linkage = case.grid, case.linkage
    rounded = tuple(grid.nearest(score) for score in case.scores)
    answer = from_mm(mm(rounded[1]) - mm(rounded[0]), grid.unit)
    sum_ = f"{case.shown(rounded[1])} − {case.shown(rounded[0])}"
    foot, shelf = case.shown(linkage.foot), case.shown(linkage.shelf)
    then = (
        f"And the foot is marked {foot} out, so this tier came through unharmed."
        if linkage.parallel
        else f"But the foot is still marked {foot} out: {foot} and {shelf} are not the same, "
        "so it is no longer a parallelogram."
    )
    alone = grid.nearest(case.card.tiers[case.number - 1].depth)
    return Exercise(
        kind="rounded shelf",
        number=1,
        title="The shelf that the rounded scores leave",
        question=(
            f"Tier {case.number} of the card is scored at {_listed(case.scores, case.card.grid)}. "
            f"Rounded one by one to {case.shown(grid.step)}, that is {_listed(rounded, grid)}. "
            "How deep is the shelf now?"
        ),
        writes=f"a length, as in “{case.shown(grid.at(20))}”",
        grid=grid,
        answer=answer,
        because=f"{sum_} = {shelf}. {then}",
        hint="The shelf lies between the first score and the second: take the first from the second.",
        steps=(
            "The shelf lies between the first score and the second.",
            f"{sum_} = {shelf}",
        ),
        slips=slips(
            answer,
            grid,
            (
                (
                    mm(alone),
                    "That is the shelf rounded by itself. But it was the scores that were rounded, and "
                    "the shelf is what is left between them.",
                ),
                (
                    mm(rounded[1]),
                    "That is the second score. The shelf begins at the first, not at the end of the "
                    "strip.",
                ),
                (mm(rounded[0]), "That is the top tab, down to the first score. The shelf follows it."),
                (
                    mm(rounded[2]) - mm(rounded[1]),
                    "That is the face, between the second score and the third.",
                ),
            ),
        ),
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
    because = (
        f"It stops at {limit:.1f}°. The shelf and the face are pulled straight, and nothing is left to "
        "open."
        if limit < _AJAR
        else "It opens flat, 180°."
    )
    foot, shelf, face = map(case.shown, (linkage.foot, linkage.shelf, linkage.face))
    return Exercise(
        kind="rounded opening",
        number=2,
        title="How far it opens",
        question=(
            f"The face is {face} high, the shelf {shelf} deep, "
            f"and the foot is glued {foot} from what stands behind it, {told}. "
            f"A card should open flat, to 180°. Guess to within {WITHIN}°: at how many degrees does "
            "this tier stop it?"
        ),
        writes="degrees, as in “150”",
        grid=case.grid,
        answer=angle(limit),
        within=angle(WITHIN),
        because=because,
        hint="Fold one and see, or set a foot off its mark in the workshop demo.",
        steps=(
            f"Shelf and face together: {case.shown(linkage.shelf + linkage.face)}. The card stops when "
            "they are pulled straight between foot and attachment.",
            f"Law of cosines: {limit:.0f}°",
        ),
        before=case.view("The tier as it was, open flat.", case.card, FLAT),
        after=case.view(
            "The tier as rounded, opened as far as it goes.", case.naive.card, FLAT, slipped=True
        ),
    )


def _third_score(case: _Case) -> Exercise:
    tier = case.restated.card.tiers[case.number - 1]
    top, shelf, face = map(case.shown, (tier.top_tab, tier.depth, tier.face))
    answer = from_mm(mm(tier.top_tab) + mm(tier.depth) + mm(tier.face), case.grid.unit)
    sum_ = f"{top} + {shelf} + {face}"
    return Exercise(
        kind="third score",
        number=3,
        title="Zones first",
        question=(
            f"Its zones restated on a ruler of {case.grid}, tier {case.number} has a top tab of {top}, "
            f"a shelf of {shelf} and a face of {face}. Where is its third score, from the top end?"
        ),
        writes=f"a length, as in “{case.shown(case.grid.at(90))}”",
        grid=case.grid,
        answer=answer,
        because=(
            f"{sum_} = {case.shown(answer)}. Zones first, then the scores: the foot "
            f"goes {shelf} out, the same as the shelf, and the card opens flat."
        ),
        hint="The third score ends the third zone: add up the three zones above it.",
        steps=("The third score ends the third zone.", f"{sum_} = {case.shown(answer)}"),
        slips=slips(
            answer,
            case.grid,
            (
                (
                    mm(tier.depth) + mm(tier.face),
                    "You left out the top tab. Positions are counted from the top end of the strip.",
                ),
                (
                    mm(tier.top_tab) + mm(tier.depth),
                    "That is the second score, where the shelf ends and the face begins.",
                ),
                (
                    mm(case.grid.nearest(case.scores[2])),
                    "That is the old score rounded by itself. Add the zones, which were rounded first.",
                ),
                (
                    mm(tier.top_tab) + mm(tier.depth) + mm(tier.face) + mm(tier.bottom_tab),
                    "That is the whole strip. The third score comes before the bottom tab.",
                ),
            ),
        ),
        before=case.view("The tier restated, on show.", case.restated.card, 90.0),
        after=case.view("The tier restated, open flat.", case.restated.card, FLAT),
    )
