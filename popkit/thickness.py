"""How thick the closed card is, from the fold to its free edge, and what lies in the stack.

Closed, a point that stood at height y on a face whose foot is x from the fold lies x + y from
the fold (shear map), so every piece is a stretch of that length and a stretch across. The
thickness at a place is the sum of the calipers of what lies there; paper is taken as lying flat
and foam as keeping its thickness, so a card fresh from the bone folder is somewhat thicker.

Imports: lengths, papers, card, areas.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from popkit.areas import Placed, placed_layers, placed_ornaments
from popkit.card import Card, CutStep, kept
from popkit.lengths import Length, from_mm, in_inches, mm, show_length

__all__ = [
    "SPINE_FROM",
    "Stretch",
    "ThicknessProfile",
    "ThicknessStep",
    "spine_of",
    "stretches",
    "thickness",
]

SPINE_FROM = Fraction(2)
"""Millimetres between back and front from which one score no longer closes flat and two, the
thickness apart, are advisable: common practice, no source.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One piece, or a part of one, in the closed card.

    name          of the piece
    start_mm, stop_mm  from the fold
    left_mm, right_mm  from the left side of the card
    thick_mm      its caliper, with a pad's thickness
    between       whether it lies between back and front, and so holds them apart
    """

    name: str
    start_mm: Fraction
    stop_mm: Fraction
    left_mm: Fraction
    right_mm: Fraction
    thick_mm: Fraction
    between: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class ThicknessStep:
    """A length of the closed card over which the stack stays the same.

    start_mm, stop_mm  from the fold
    thick_mm  the thickest place across, exact
    inner_mm  what lies there between back and front, at its thickest
    lies      names of what makes the thickest place, back first
    """

    start_mm: Fraction
    stop_mm: Fraction
    thick_mm: Fraction
    inner_mm: Fraction
    lies: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ThicknessProfile:
    """The stack of a closed card along its height.

    steps   from the fold to the free edge, each a `ThicknessStep`
    unit    that the card is designed in
    spine   how far apart two scores should be at the fold, or None where one will do
    """

    steps: tuple[ThicknessStep, ...]
    unit: str
    spine: Length | None = None

    @property
    def thickest(self) -> ThicknessStep:
        """The thickest step; of equals, the one nearest the fold."""
        return max(self.steps, key=lambda step: step.thick_mm)

    @property
    def greatest_mm(self) -> Fraction:
        """The greatest thickness, in exact millimetres."""
        return self.thickest.thick_mm

    @property
    def greatest(self) -> Length:
        """The greatest thickness."""
        return from_mm(self.greatest_mm, self.unit)

    @property
    def least_mm(self) -> Fraction:
        """The least thickness, in exact millimetres."""
        return min(step.thick_mm for step in self.steps)

    @property
    def inner_mm(self) -> Fraction:
        """The most that lies between back and front, in exact millimetres."""
        return max(step.inner_mm for step in self.steps)

    @property
    def uneven_mm(self) -> Fraction:
        """Between the thickest and the thinnest place, in exact millimetres."""
        return self.greatest_mm - self.least_mm

    def at(self, from_fold: Fraction) -> Fraction:
        """Millimetres of thickness so many millimetres from the fold; where two steps meet, the
        thicker; 0 past the card.
        """
        return max(
            (step.thick_mm for step in self.steps if step.start_mm <= from_fold <= step.stop_mm),
            default=Fraction(0),
        )

    @property
    def advice(self) -> str:
        """Whether to score the spine twice, in a sentence."""
        inner = show_length(from_mm(self.inner_mm), "0.1 mm")
        if self.spine is None:
            return f"One score is enough: {inner} lies between back and front."
        width = show_length(self.spine, "1/16 in" if in_inches(self.unit) else "0.5 mm")
        return f"Score the fold twice, {width} apart: {inner} lies between back and front."

    def __str__(self) -> str:
        thick, worst = show_length(from_mm(self.greatest_mm), "0.1 mm"), self.thickest
        place = " to ".join(show_length(from_mm(at), "1 mm") for at in (worst.start_mm, worst.stop_mm))
        return f"{thick} at its thickest, {place} from the fold. {self.advice}"


def _blank(card: Card) -> Iterator[Stretch]:
    """Back and front, without what the cut steps take out of them."""
    wide, tall, front = mm(card.width), mm(card.height), card.front
    thick = mm(card.stock.caliper)
    none = Fraction(0)

    def sheet(name: str, stop: Fraction, **more: object) -> Stretch:
        given = {"start_mm": none, "left_mm": none, "right_mm": wide, "thick_mm": thick} | more
        return Stretch(name=name, stop_mm=stop, between=False, **given)

    cut = [(place, tier) for place, tier in enumerate(card.tiers) if isinstance(tier, CutStep)]
    flap = front.flap_in(card)
    if not cut:
        yield sheet("back", tall)
        yield sheet(front.flap_name, flap)
    else:
        # Beside the first step the blank is whole; within it the back begins where the step is cut
        # off, and the front at the foot of the last step that is cut from there.
        widths = [step.width_in(card, place) for place, step in cut]
        left, right = (wide - widths[0]) / 2, (wide + widths[0]) / 2
        for name, stop in (("back", tall), (front.flap_name, flap)):
            yield sheet(name, stop, right_mm=left)
            yield sheet(name, stop, left_mm=right)
        yield sheet("back", tall, left_mm=left, right_mm=right, start_mm=mm(cut[0][1].face))
        for (place, _), width, inner in zip(cut, widths, [*widths[1:], none], strict=True):
            for side in (-1, 1):
                ends = sorted((wide + side * width) / 2 for width in (width, inner))
                start = card.feet_mm[place]
                yield sheet(front.flap_name, flap, left_mm=ends[0], right_mm=ends[1], start_mm=start)
    if front.panel_name is not None:
        across = front.width_in(card)
        yield sheet(
            front.panel_name,
            front.length_in(card),
            start_mm=front.gap_in(card),
            left_mm=(wide - across) / 2,
            right_mm=(wide + across) / 2,
            thick_mm=mm(front.stock_in(card).caliper),
        )


def _tiers(card: Card) -> Iterator[Stretch]:
    wide, behind = mm(card.width), Fraction(0)
    for place, (tier, foot) in enumerate(zip(card.tiers, card.feet_mm, strict=True)):
        name, face, width = f"tier {place + 1}", mm(tier.face), tier.width_in(card, place)
        stock = card.stock if isinstance(tier, CutStep) else card.tier_stock
        top = behind + face
        parts = [("shelf", top, top + mm(tier.depth)), ("face", foot, foot + face)]
        if not isinstance(tier, CutStep):
            parts.append(("top tab", top - mm(tier.top_tab), top))
            parts.append(("bottom tab", foot - mm(tier.bottom_tab), foot))
        next_step = card.tiers[place + 1] if place + 1 < len(card.tiers) else None
        for part, start, stop in parts:
            sides = [((wide - width) / 2, (wide + width) / 2, start, stop)]
            if isinstance(next_step, CutStep) and part in ("shelf", "face"):
                sides = list(_without_step(card, place, part, (start, stop), width))
            for left, right, low, high in sides:
                if low < high and left < right:
                    yield Stretch(
                        name=f"{name} {part}",
                        start_mm=max(low, Fraction(0)),
                        stop_mm=high,
                        left_mm=left,
                        right_mm=right,
                        thick_mm=mm(stock.caliper),
                    )
        behind = foot


def _without_step(
    card: Card, place: int, part: str, ends: tuple[Fraction, Fraction], width: Fraction
) -> Iterator[tuple[Fraction, Fraction, Fraction, Fraction]]:
    """(left, right, start, stop) of what the next cut step leaves of a face or of the front.

    A further step is cut across the foot of this one: from its attachment on this face down
    to the foot, and on from there into the front.
    """
    wide, step = mm(card.width), card.tiers[place + 1]
    inner = step.width_in(card, place + 1)
    start, stop = ends
    left, right = (wide - width) / 2, (wide + width) / 2
    if part == "shelf":
        yield left, right, start, stop
        return
    yield left, (wide - inner) / 2, start, stop
    yield (wide + inner) / 2, right, start, stop
    yield (wide - inner) / 2, (wide + inner) / 2, start + mm(step.face), stop


def _finishing(card: Card) -> Iterator[Stretch]:
    feet = {"back": Fraction(0), "front": Fraction(0)}
    feet |= {f"tier {number}": foot for number, foot in enumerate(card.feet_mm, 1)}

    def stretch(placed: Placed) -> Stretch:
        foot = feet[placed.part]
        return Stretch(
            name=placed.name,
            start_mm=max(foot + placed.start_mm, Fraction(0)),
            stop_mm=foot + placed.stop_mm,
            left_mm=placed.left_mm,
            right_mm=placed.right_mm,
            thick_mm=placed.thickness_mm,
            between=placed.side == "inside",
        )

    for placed in (*placed_layers(card), *placed_ornaments(card)):
        if placed.is_there:
            yield stretch(placed)


def stretches(card: Card) -> tuple[Stretch, ...]:
    """Everything in the stack of the closed card as it lies, from the outside of the back to the
    outside of the front; what lies between the two in the order of tiers, layers, ornaments.
    """
    message = {layer.name for layer in placed_layers(card) if layer.side == "outside"}
    backs = {layer.name for layer in placed_layers(card) if layer.part == "back"} & message

    def depth(one: Stretch) -> int:
        if one.name in message:
            return 0 if one.name in backs else 4
        return 2 if one.between else 1 if one.name == "back" else 3

    return tuple(sorted((*_blank(card), *_tiers(card), *_finishing(card)), key=depth))


@kept
def thickness(card: Card) -> ThicknessProfile:
    """The stack of the closed card as a profile along its height.

    Returns: exact millimetres. `spine` is the most that lies between back and front, up to the
    next mark of the card's ruler, where that is more than `SPINE_FROM`; else None.
    """
    found = stretches(card)
    # Whole numbers of one common part of a millimetre: the sums are exact and quick.
    parts = math.lcm(
        *(
            value.denominator
            for one in found
            for value in (one.start_mm, one.stop_mm, one.left_mm, one.right_mm, one.thick_mm)
        )
    )

    def whole(value: Fraction) -> int:
        return value.numerator * (parts // value.denominator)

    rows = [
        (
            whole(one.start_mm),
            whole(one.stop_mm),
            whole(one.left_mm),
            whole(one.right_mm),
            whole(one.thick_mm),
            one.between,
            one.name,
        )
        for one in found
        if one.start_mm < one.stop_mm
    ]
    ends = sorted({end for row in rows for end in row[:2]})
    steps: list[ThicknessStep] = []
    for start, stop in pairwise(ends):
        here = [row for row in rows if row[0] <= start and stop <= row[1]]
        thick, inner, lies = _thickest(here)
        if steps and steps[-1].lies == lies and steps[-1].inner_mm * parts == inner:
            last = steps.pop()
            start = whole(last.start_mm)
        steps.append(
            ThicknessStep(
                start_mm=Fraction(start, parts),
                stop_mm=Fraction(stop, parts),
                thick_mm=Fraction(thick, parts),
                inner_mm=Fraction(inner, parts),
                lies=lies,
            )
        )
    profile = ThicknessProfile(steps=tuple(steps), unit=card.unit)
    if profile.inner_mm <= SPINE_FROM:
        return profile
    spine = card.grid.up(from_mm(profile.inner_mm, card.unit))
    return ThicknessProfile(steps=profile.steps, unit=card.unit, spine=spine)


def spine_of(card: Card) -> Length | None:
    """How far apart the two scores of a fold that is scored twice are; None for one scored once.

    What the card says of its spine goes first, else what its thickness advises.
    """
    if card.spine == "single":
        return None
    profile = thickness(card)
    if profile.spine is None and card.spine == "double":
        return card.grid.up(from_mm(profile.inner_mm, card.unit))
    return profile.spine


def _thickest(here: list[tuple]) -> tuple[int, int, tuple[str, ...]]:
    """(greatest sum, greatest sum between back and front, names of the first) over the width."""
    sides = sorted({side for row in here for side in row[2:4]})
    best, most, lies = 0, 0, ()
    for left, right in pairwise(sides):
        stack = [row for row in here if row[2] <= left and right <= row[3]]
        thick = sum(row[4] for row in stack)
        most = max(most, sum(row[4] for row in stack if row[5]))
        if thick > best:
            best, lies = thick, tuple(row[6] for row in stack)
    return best, most, lies
