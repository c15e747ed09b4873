"""The pieces of a card: blanks, zones, scores, slits, and which side runs with the grain.

Every piece is described as it lies on the cutting board with its good side up and its top
end away from you. Positions along it are measured from the top end, positions across it
from the left side.

Imports: lengths, papers, card, areas.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from popkit.areas import Placed, placed_layers, placed_ornaments
from popkit.card import Card, CardError, CutStep, kept
from popkit.lengths import Length, LengthError, as_length, as_offset, from_mm, mm, show_exact, unit_of
from popkit.papers import Stock, as_stock

__all__ = ["Crease", "Piece", "Slit", "Zone", "cut_list", "finishing_pieces"]

FOLDS = ("valley", "mountain")


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A stretch of a piece between two scores: its name, its length, whether glue goes on it."""

    name: str
    length: Length
    glue: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "length", as_length(self.length))


@dataclass(frozen=True, slots=True, kw_only=True)
class Crease:
    """A scored line across a piece.

    position    from the top end
    fold        "valley" (towards you) or "mountain" (away from you), good side up
    start, stop from the left side
    """

    position: Length
    fold: str
    start: Length
    stop: Length

    def __post_init__(self) -> None:
        _check_line(self, "position")
        if self.fold not in FOLDS:
            raise CardError(f"A crease is {self.fold!r}; write valley or mountain.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Slit:
    """A cut along a piece: `across` from the left side, from `start` to `stop` of the top end."""

    across: Length
    start: Length
    stop: Length

    def __post_init__(self) -> None:
        _check_line(self, "across")


def _check_line(line: Crease | Slit, place: str) -> None:
    """Read the three lengths of a line; it must have a beginning before its end."""
    for name in (place, "start", "stop"):
        object.__setattr__(line, name, as_offset(getattr(line, name)))
    if mm(line.start) >= mm(line.stop):
        kind = type(line).__name__.lower()
        raise CardError(f"A {kind} stops at {show_exact(line.stop)}, not past where it starts.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A rectangle to cut, and what is done to it.

    name    "back", "clear front", "front panel", "back and front", "tier 1", ...
    width   along the fold of the card, length > 0
    length  across the fold, length > 0
    scores  positions from the top end, rising, inside the piece
    folds   "valley" or "mountain" for each score; unless given all valley
    zones   what lies between the scores, from the top end; their lengths add up to `length`
    count   how many for one card, >= 1
    stock   a `Stock`, or None where it does not matter
    grain   which side runs with the sheet's grain: "width", "length", or None for either
    creases where the score lines run; unless given right across at each score
    slits   cuts inside the piece
    Raises: CardError with every fault.
    """

    name: str
    width: Length
    length: Length
    scores: tuple[Length, ...] = ()
    folds: tuple[str, ...] = ()
    zones: tuple[Zone, ...] = ()
    count: int = 1
    stock: Stock | None = None
    grain: str | None = None
    creases: tuple[Crease, ...] = ()
    slits: tuple[Slit, ...] = ()

    def __post_init__(self) -> None:
        faults: list[str] = []
        for name in ("scores", "folds", "zones", "creases", "slits"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        for name in ("width", "length"):
            object.__setattr__(self, name, self._read(name, getattr(self, name), as_length, faults))
        scores = (self._read("score", score, as_length, faults) for score in self.scores)
        object.__setattr__(self, "scores", tuple(scores))
        if not faults:
            self._check_lengths(faults)
        if self.stock is not None:
            object.__setattr__(self, "stock", self._read("stock", self.stock, as_stock, faults))
        self._check(faults)
        if faults:
            raise CardError(*faults)
        if not self.folds:
            object.__setattr__(self, "folds", ("valley",) * len(self.scores))
        if not self.creases:
            none = from_mm(0, unit_of(self.width))
            object.__setattr__(
                self,
                "creases",
                tuple(
                    Crease(position=score, fold=fold, start=none, stop=self.width)
                    for score, fold in zip(self.scores, self.folds, strict=True)
                ),
            )

    def _read(
        self, what: str, value: object, read: Callable[[object], object], faults: list[str]
    ) -> object:
        """The value as `read` makes it, or as it came with what is wrong with it among the faults."""
        try:
            return read(value)
        except LengthError as fault:
            faults.append(f"{self.name}: {what} {fault}")
            return value

    def _check_lengths(self, faults: list[str]) -> None:
        at = [mm(score) for score in self.scores]
        if any(here >= there for here, there in pairwise(at)):
            faults.append(f"{self.name}: the scores do not rise from the top end.")
        if at and at[-1] >= mm(self.length):
            faults.append(f"{self.name}: a score lies off the piece.")
        if self.zones and sum(mm(zone.length) for zone in self.zones) != mm(self.length):
            faults.append(f"{self.name}: the zones do not add up to the length.")
        if any(not 0 < mm(crease.position) < mm(self.length) for crease in self.creases):
            faults.append(f"{self.name}: a crease lies off the piece.")
        if any(mm(slit.start) < 0 or mm(slit.stop) > mm(self.length) for slit in self.slits):
            faults.append(f"{self.name}: a slit runs off the piece.")

    def _check(self, faults: list[str]) -> None:
        if self.folds and len(self.folds) != len(self.scores):
            faults.append(f"{self.name}: {len(self.scores)} scores but {len(self.folds)} folds.")
        if any(fold not in FOLDS for fold in self.folds):
            faults.append(f"{self.name}: a fold is valley or mountain.")
        if not isinstance(self.count, int) or isinstance(self.count, bool) or self.count < 1:
            faults.append(f"{self.name}: the count is {self.count}; write 1 or more.")
        if self.grain not in ("width", "length", None):
            faults.append(f'{self.name}: the grain is {self.grain!r}; write "width", "length" or None.')


def _tier_piece(card: Card, number: int) -> Piece:
    """The strip of glued tier `number` (from 1), good side out.

    All three folds go the same way, away from the good side, so the strip closes to a
    tube; the glue goes on the good side of both tabs.
    """
    tier = card.tiers[number - 1]
    zones = (
        Zone(name="top tab", length=card.length(mm(tier.top_tab)), glue=True),
        Zone(name="shelf", length=card.length(mm(tier.depth))),
        Zone(name="face", length=card.length(mm(tier.face))),
        Zone(name="bottom tab", length=card.length(mm(tier.bottom_tab)), glue=True),
    )
    ends = _running(zones)
    return Piece(
        name=f"tier {number}",
        width=card.tier_width(number),
        length=card.length(ends[-1]),
        scores=tuple(card.length(end) for end in ends[:-1]),
        folds=("mountain",) * 3,
        zones=zones,
        stock=card.tier_stock,
        grain="width",
    )


def _running(zones: tuple[Zone, ...]) -> list[Fraction]:
    ends, end = [], Fraction(0)
    for zone in zones:
        end += mm(zone.length)
        ends.append(end)
    return ends


def _back_piece(card: Card) -> Piece:
    """The back with its flap: landing, joining tab or the whole front, scored at the fold."""
    front, height = card.front, mm(card.height)
    flap = front.flap_in(card)
    zones = (
        Zone(name="back", length=card.height),
        Zone(name=front.flap_name, length=card.length(flap), glue=front.panel_name is not None),
    )
    creases, slits = _cut_steps(card)
    scores = sorted({mm(crease.position) for crease in creases} or {height})
    return Piece(
        name="back" if front.panel_name is not None else "back and front",
        width=card.width,
        length=card.length(height + flap),
        scores=tuple(card.length(score) for score in scores),
        folds=_folds(creases, scores) if creases else ("valley",),
        zones=zones,
        stock=card.stock,
        grain="width",
        creases=creases,
        slits=slits,
    )


def _folds(creases: tuple[Crease, ...], scores: list[Fraction]) -> tuple[str, ...]:
    """The fold at each position; the fold of the card itself where two share one position."""
    first = {mm(crease.position): crease.fold for crease in reversed(creases)}
    return tuple(first[score] for score in scores)


def _cut_steps(card: Card) -> tuple[tuple[Crease, ...], tuple[Slit, ...]]:
    """Creases and slits of the cut steps on a one-piece blank, the card's own fold first.

    Step i is slit from its attachment to its foot; its shelf edge is a mountain, its
    attachment and its foot are valleys, and the valley it is cut across stops at its slits.
    """
    steps = [tier for tier in card.tiers if isinstance(tier, CutStep)]
    if not steps:
        return (), ()
    wide, height = mm(card.width), mm(card.height)
    creases: list[Crease] = []
    slits: list[Slit] = []

    def crease(position: Fraction, fold: str, start: Fraction, stop: Fraction) -> None:
        if start >= stop:  # the step beyond it is as wide as this: no card is left beside it to fold
            return
        creases.append(
            Crease(
                position=card.length(position),
                fold=fold,
                start=card.length(start),
                stop=card.length(stop),
            )
        )

    def interrupted(position: Fraction, width: Fraction, inner: Fraction | None) -> None:
        left, right = (wide - width) / 2, (wide + width) / 2
        if inner is None:
            crease(position, "valley", left, right)
        else:
            crease(position, "valley", left, (wide - inner) / 2)
            crease(position, "valley", (wide + inner) / 2, right)

    widths = [step.width_in(card, place) for place, step in enumerate(steps)]
    interrupted(height, wide, widths[0])
    foot = height
    for place, step in enumerate(steps):
        behind, foot = foot, foot + mm(step.depth)
        left, right = (wide - widths[place]) / 2, (wide + widths[place]) / 2
        top = behind - mm(step.face)
        crease(top, "valley", left, right)
        crease(foot - mm(step.face), "mountain", left, right)
        interrupted(foot, widths[place], widths[place + 1] if place + 1 < len(steps) else None)
        for side in (left, right):
            slits.append(Slit(across=card.length(side), start=card.length(top), stop=card.length(foot)))
    return tuple(creases), tuple(slits)


def _panel_piece(card: Card) -> Piece:
    """The separate front: from its gap below the score to the free edge."""
    front = card.front
    long = front.length_in(card) - front.gap_in(card)
    return Piece(
        name=front.panel_name,
        width=card.length(front.width_in(card)),
        length=card.length(long),
        zones=(Zone(name=front.panel_name, length=card.length(long)),),
        stock=front.stock_in(card),
    )


@kept
def cut_list(card: Card) -> tuple[Piece, ...]:
    """Every piece of the card, in the order they are used: back, front, tiers largest first,
    then layers and ornaments as the card lists them.

    Grain: folds run with the grain, so a scored piece has it along the width
    (source: printers' advice in the trade, "fold with the grain").
    Layers and ornaments are not folded, so their grain is free.
    Raises: CardError if a layer would have no size, as a mat on a band that is lower than its
    reveals.
    """
    pieces = [_back_piece(card)]
    if card.front.panel_name is not None:
        pieces.append(_panel_piece(card))
    pieces += [
        _tier_piece(card, number)
        for number, tier in enumerate(card.tiers, 1)
        if not isinstance(tier, CutStep)
    ]
    gone = [placed.name for placed in placed_layers(card) if not placed.is_there]
    if gone:
        raise CardError(*(f"The layer “{name}” has no size: its reveals leave none." for name in gone))
    return (*pieces, *finishing_pieces(card))


def finishing_pieces(card: Card) -> tuple[Piece, ...]:
    """The layers and ornaments of a card, without those that came to nothing."""
    placed = (*placed_layers(card), *placed_ornaments(card))
    return tuple(_flat_piece(one) for one in placed if one.is_there)


def _flat_piece(placed: Placed) -> Piece:
    """A layer, or the rectangle that an ornament is cut out of: no score, its grain free."""
    return Piece(
        name=placed.name,
        width=placed.width,
        length=placed.length,
        zones=(Zone(name=placed.name, length=placed.length),),
        stock=placed.stock,
    )
