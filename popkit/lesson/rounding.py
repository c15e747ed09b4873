"""Exercises on rounding: why a card must be rounded by its zones and not by its numbers.

Each is made from a card and a ruler, so its numbers and its answer are worked out and never typed in.

Imports: lengths, language, card, pieces, regridding, lesson.exercise.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from types import MappingProxyType

from popkit.card import Card, CutStep
from popkit.language import BRITISH, Language, as_language, message
from popkit.lengths import Grid, Length, LengthError, as_grid, from_mm, mm
from popkit.lesson.exercise import FLAT, WITHIN, Exercise, View, angle, slips
from popkit.pieces import cut_list
from popkit.regridding import Linkage, NumberByNumber, Regridded, number_by_number, regrid

__all__ = ["rounding_exercises"]

_AJAR = 179.95  # degrees; anything wider is printed as 180


def rounding_exercises(
    card: Card, number: int = 1, grid: Grid | str = "1 mm", *, language: Language | str = BRITISH
) -> tuple[Exercise, ...]:
    """Three exercises on tier `number` of a card: the shelf the rounded scores leave, how far the
    card then opens, and where its third score belongs.

    Raises: LengthError if there is no such tier, or it is a cut step, whose sizes no scores of its
    own give, or rounded by its numbers it cannot be made at all; RegridError if no card on the
    ruler keeps the laws; LanguageError.
    """
    grid, language = as_grid(grid), as_language(language)
    if not 1 <= number <= len(card.tiers):
        raise LengthError(f"tier {number}", "is not on this card", f"It has {len(card.tiers)}")
    if isinstance(card.tiers[number - 1], CutStep):
        raise LengthError(f"tier {number}", "is a cut step", "Choose a card with a glued tier")
    naive, restated = number_by_number(card, grid), regrid(card, grid)
    linkage = naive.linkages[number - 1]
    if naive.card is None or linkage.opens_to is None:
        raise LengthError(f"tier {number}", f"vanishes on a ruler of {grid}", "Choose a finer ruler")
    case = _Case(
        card=card,
        number=number,
        grid=grid,
        linkage=linkage,
        naive=naive,
        restated=restated,
        language=language,
    )
    return tuple(_made(make, case) for make in (_shelf, _opening, _third_score))


def _made(make: Callable[[_Case], Exercise], case: _Case) -> Exercise:
    """An exercise, and how it is made in another language."""

    def again(language: Language) -> Exercise:
        return _made(make, replace(case, language=language))

    return replace(make(case), language=case.language, again=again)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """A tier, rounded by its numbers and restated with its card."""

    card: Card
    number: int
    grid: Grid
    linkage: Linkage
    naive: NumberByNumber
    restated: Regridded
    language: Language

    @property
    def scores(self) -> tuple[Length, ...]:
        name = f"tier {self.number}"
        return next(piece.scores for piece in cut_list(self.card) if piece.name == name)

    def say(self, text: str, /, **values: object) -> str:
        """A sentence in which the tier's number fills its place by itself."""
        return self.language.say(text, **{"tier": self.number} | values)

    def shown(self, length: Length, grid: Grid | None = None) -> str:
        return self.language.show(length, self.grid if grid is None else grid)

    def listed(self, lengths: tuple[Length, ...], grid: Grid) -> str:
        return self.language.listed(self.shown(length, grid) for length in lengths)

    def view(self, caption: str, card: Card, degrees: float, *, slipped: bool = False) -> View:
        """The tier by itself on its card."""
        tier = card.tiers[self.number - 1]
        slip = mm(self.linkage.foot) - mm(self.linkage.shelf)
        found = {1: from_mm(slip, self.grid.unit)} if slipped and slip else {}
        return View(
            caption=self.say(caption),
            card=replace(card, tiers=(tier,)),
            angle=degrees,
            slips=MappingProxyType(found),
        )


def _shelf(case: _Case) -> Exercise:
    grid, linkage, say = case.grid, case.linkage, case.say
    rounded = tuple(grid.nearest(score) for score in case.scores)
    answer = from_mm(mm(rounded[1]) - mm(rounded[0]), grid.unit)
    sum_ = f"{case.shown(rounded[1])} − {case.shown(rounded[0])}"
    foot, shelf = case.shown(linkage.foot), case.shown(linkage.shelf)
    if linkage.parallel:
        because = say(
            "{sum} = {shelf}. And the foot is marked {foot} out, so this tier came through unharmed.",
            sum=sum_,
            shelf=shelf,
            foot=foot,
        )
    else:
        because = say(
            "{sum} = {shelf}. But the foot is still marked {foot} out: {foot} and {shelf} are not the "
            "same, so it is no longer a parallelogram.",
            sum=sum_,
            shelf=shelf,
            foot=foot,
        )
    alone = grid.nearest(case.card.tiers[case.number - 1].depth)
    return Exercise(
        kind="rounded shelf",
        number=1,
        title=say("The shelf that the rounded scores leave"),
        question=say(
            "Tier {tier} of the card is scored at {scores}. Rounded one by one to {mark}, that is "
            "{rounded}. How deep is the shelf now?",
            scores=case.listed(case.scores, case.card.grid),
            mark=case.shown(grid.step),
            rounded=case.listed(rounded, grid),
        ),
        writes=say("a length, as in “{example}”", example=case.shown(grid.at(20))),
        grid=grid,
        answer=answer,
        because=because,
        hint=say(
            "The shelf lies between the first score and the second: take the first from the second."
        ),
        steps=(
            say("The shelf lies between the first score and the second."),
            f"{sum_} = {shelf}",
        ),
        slips=slips(
            answer,
            grid,
            (
                (
                    mm(alone),
                    say(
                        "That is the shelf rounded by itself. But it was the scores that were rounded, "
                        "and the shelf is what is left between them."
                    ),
                ),
                (
                    mm(rounded[1]),
                    say(
                        "That is the second score. The shelf begins at the first, not at the end of the "
                        "strip."
                    ),
                ),
                (
                    mm(rounded[0]),
                    say("That is the top tab, down to the first score. The shelf follows it."),
                ),
                (
                    mm(rounded[2]) - mm(rounded[1]),
                    say("That is the face, between the second score and the third."),
                ),
            ),
        ),
        before=case.view(message("The tier as it was, on show."), case.card, 90.0),
        after=case.view(message("The tier as rounded, on show."), case.naive.card, 90.0, slipped=True),
    )


def _opening(case: _Case) -> Exercise:
    linkage, limit, say = case.linkage, case.linkage.opens_to, case.say
    slip = mm(linkage.foot) - mm(linkage.shelf)
    apart = case.shown(from_mm(abs(slip), case.grid.unit))
    if slip > 0:
        told = say("{amount} more than the shelf", amount=apart)
    elif slip < 0:
        told = say("{amount} less than the shelf", amount=apart)
    else:
        told = say("the same as the shelf")
    if limit < _AJAR:
        because = say(
            "It stops at {limit}°. The shelf and the face are pulled straight, and nothing is left to "
            "open.",
            limit=case.language.decimal(f"{limit:.1f}"),
        )
    else:
        because = say("It opens flat, 180°.")
    return Exercise(
        kind="rounded opening",
        number=2,
        title=say("How far it opens"),
        question=say(
            "The face is {face} high, the shelf {shelf} deep, and the foot is glued {foot} from what "
            "stands behind it, {off}. A card should open flat, to 180°. Guess to within {within}°: at "
            "how many degrees does this tier stop it?",
            face=case.shown(linkage.face),
            shelf=case.shown(linkage.shelf),
            foot=case.shown(linkage.foot),
            off=told,
            within=WITHIN,
        ),
        writes=say("degrees, as in “150”"),
        grid=case.grid,
        answer=angle(limit),
        within=angle(WITHIN),
        because=because,
        hint=say("Fold one and see, or set a foot off its mark in the workshop demo."),
        steps=(
            say(
                "Shelf and face together: {straight}. The card stops when they are pulled straight "
                "between foot and attachment.",
                straight=case.shown(linkage.shelf + linkage.face),
            ),
            say("Law of cosines: {limit}°", limit=f"{limit:.0f}"),
        ),
        before=case.view(message("The tier as it was, open flat."), case.card, FLAT),
        after=case.view(
            message("The tier as rounded, opened as far as it goes."),
            case.naive.card,
            FLAT,
            slipped=True,
        ),
    )


def _third_score(case: _Case) -> Exercise:
    say, tier = case.say, case.restated.card.tiers[case.number - 1]
    top, shelf, face = map(case.shown, (tier.top_tab, tier.depth, tier.face))
    answer = from_mm(mm(tier.top_tab) + mm(tier.depth) + mm(tier.face), case.grid.unit)
    sum_ = f"{top} + {shelf} + {face}"
    return Exercise(
        kind="third score",
        number=3,
        title=say("Zones first"),
        question=say(
            "Its zones restated on a ruler of {grid}, tier {tier} has a top tab of {top}, a shelf of "
            "{shelf} and a face of {face}. Where is its third score, from the top end?",
            grid=case.language.show_exact(case.grid.step),
            top=top,
            shelf=shelf,
            face=face,
        ),
        writes=say("a length, as in “{example}”", example=case.shown(case.grid.at(90))),
        grid=case.grid,
        answer=answer,
        because=say(
            "{sum} = {answer}. Zones first, then the scores: the foot goes {shelf} out, the same as the "
            "shelf, and the card opens flat.",
            sum=sum_,
            answer=case.shown(answer),
            shelf=shelf,
        ),
        hint=say("The third score ends the third zone: add up the three zones above it."),
        steps=(say("The third score ends the third zone."), f"{sum_} = {case.shown(answer)}"),
        slips=slips(
            answer,
            case.grid,
            (
                (
                    mm(tier.depth) + mm(tier.face),
                    say(
                        "You left out the top tab. Positions are counted from the top end of the strip."
                    ),
                ),
                (
                    mm(tier.top_tab) + mm(tier.depth),
                    say("That is the second score, where the shelf ends and the face begins."),
                ),
                (
                    mm(case.grid.nearest(case.scores[2])),
                    say(
                        "That is the old score rounded by itself. Add the zones, which were rounded "
                        "first."
                    ),
                ),
                (
                    mm(tier.top_tab) + mm(tier.depth) + mm(tier.face) + mm(tier.bottom_tab),
                    say("That is the whole strip. The third score comes before the bottom tab."),
                ),
            ),
        ),
        before=case.view(message("The tier restated, on show."), case.restated.card, 90.0),
        after=case.view(message("The tier restated, open flat."), case.restated.card, FLAT),
    )
