"""Exercises on rounding: why a card must be rounded by its zones and not by its numbers.

Each exercise is made from a card and a ruler, so its numbers and its answers are worked out and
never typed in. What a student types is read as any length is, and told why it is right or not.

Imports: lengths, card, folding, pieces, regridding.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from popkit.card import Card, CutStep
from popkit.lengths import Grid, Length, LengthError, as_grid, mm, parse_length, show_exact, show_length
from popkit.pieces import cut_list
from popkit.regridding import Linkage, number_by_number, regrid

__all__ = ["Answer", "Exercise", "rounding_exercises"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What became of a typed answer: whether it is right, and why."""

    right: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Exercise:
    """A question, how an answer is read, and what is said to it.

    number  from 1
    title   a few words
    ask     the question, with every number it needs
    hint    how to write the answer
    judge   called with what was typed
    """

    number: int
    title: str
    ask: str
    hint: str
    judge: Callable[[str], Answer]

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

    Raises: LengthError if the tier is a cut step, whose sizes no scores of its own give.
    """
    grid = as_grid(grid)
    if isinstance(card.tiers[number - 1], CutStep):
        raise LengthError(f"tier {number}", "is a cut step", "Choose a card with a glued tier")
    piece = next(piece for piece in cut_list(card) if piece.name == f"tier {number}")
    scores = piece.scores
    rounded = tuple(grid.nearest(score) for score in scores)
    naive = number_by_number(card, grid)
    linkage = naive.linkages[number - 1]
    restated = regrid(card, grid)
    moved = {(move.piece, move.mark): move.rounded for move in restated.moves}
    told = (
        f"Tier {number} of the card is scored at {_listed(scores, card.grid)}. Rounded one by one to "
        f"{show_length(grid.step, grid)}, that is {_listed(rounded, grid)}."
    )
    return (
        _shelf(told, rounded, linkage, grid),
        _opening(card, linkage, number, grid),
        _third_score(restated.card.tiers[number - 1], moved[piece.name, "score 3"], number, grid),
    )


def _read(text: str, grid: Grid) -> Length:
    return parse_length(text, grid.unit)


def _shelf(told: str, rounded: tuple[Length, ...], linkage: Linkage, grid: Grid) -> Exercise:
    answer = mm(rounded[1]) - mm(rounded[0])

    def judge(text: str) -> Answer:
        typed = mm(_read(text, grid))
        sum_ = f"{show_length(rounded[1], grid)} − {show_length(rounded[0], grid)}"
        if typed == answer:
            foot, shelf = show_length(linkage.foot, grid), show_length(linkage.shelf, grid)
            then = (
                f"But the foot is still marked {foot} out: {foot} and {shelf} are not the same, "
                "so it is no longer a parallelogram."
                if not linkage.parallel
                else f"And the foot is marked {foot} out, so this tier came through unharmed."
            )
            return Answer(right=True, words=f"Yes: {sum_} = {shelf}. {then}")
        return Answer(
            right=False,
            words=f"Not quite. The shelf lies between the first score and the second: {sum_}.",
        )

    return Exercise(
        number=1,
        title="The shelf that the rounded scores leave",
        ask=f"{told} How deep is the shelf now?",
        hint="a length, as in “12 mm”",
        judge=judge,
    )


def _opening(card: Card, linkage: Linkage, number: int, grid: Grid) -> Exercise:
    limit = 180.0 if linkage.opens_to is None else linkage.opens_to

    def judge(text: str) -> Answer:
        plain = text.strip().rstrip("°").strip().lower().removesuffix("degrees").strip()
        try:
            typed = Fraction(plain)
        except (ValueError, ZeroDivisionError):
            return Answer(right=False, words="Write degrees in figures, as in “150”.")
        if abs(float(typed) - limit) <= 10:
            return Answer(
                right=True,
                words=(
                    f"Yes, near enough: it stops at {limit:.1f}°. The shelf and the face are pulled "
                    "straight, and nothing is left to open."
                    if limit < 180
                    else "Yes: it opens flat, 180°."
                ),
            )
        more = "less" if float(typed) > limit else "further"
        return Answer(
            right=False,
            words=f"It opens {more} than that. Try it: set the foot too far out in notebook 1.",
        )

    slip = show_length(linkage.foot - linkage.shelf, grid)
    return Exercise(
        number=2,
        title="How far it opens",
        ask=(
            f"The face is {show_length(linkage.face, grid)} high, the shelf "
            f"{show_length(linkage.shelf, grid)} deep, and the foot is glued "
            f"{show_length(linkage.foot, grid)} from what stands behind it, {slip} more than the shelf. "
            "A card should open flat, to 180°. Guess to within 10°: at how many degrees does this "
            "tier stop it?"
        ),
        hint="degrees, as in “150”",
        judge=judge,
    )


def _third_score(tier: object, answer: Length, number: int, grid: Grid) -> Exercise:
    zones = (tier.top_tab, tier.depth, tier.face)
    words = [show_length(zone, grid) for zone in zones]

    def judge(text: str) -> Answer:
        typed = mm(_read(text, grid))
        sum_ = " + ".join(words)
        if typed == mm(answer):
            return Answer(
                right=True,
                words=(
                    f"Yes: {sum_} = {show_length(answer, grid)}. Zones first, then the scores: the foot "
                    f"goes {words[1]} out, the same as the shelf, and the card opens flat."
                ),
            )
        return Answer(right=False, words=f"Not quite. The third score ends the third zone: {sum_}.")

    return Exercise(
        number=3,
        title="Zones first",
        ask=(
            f"Restated as a card, tier {number} has a top tab of {words[0]}, a shelf of {words[1]} "
            f"and a face of {words[2]}. Where is its third score, from the top end?"
        ),
        hint=f"a length, as in “{show_exact(grid.step)}”",
        judge=judge,
    )
