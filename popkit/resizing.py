"""A card at another finished size: a named one, the largest for an envelope, or for a sheet.

Sizes grow in proportion, heights and depths alike, so the mechanism is the same; what hands
and glue need (tabs, gaps, insets) stays as it is. The result is then restated on the ruler by
`regridding`, so that every law still holds.

Imports: lengths, papers, card, pieces, laws, regridding.
Sources stand in the rows of `CARD_SIZES`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product

from popkit.card import Card, CardError, CutStep, grid_for, usual
from popkit.laws import Law, sizes_of
from popkit.lengths import (
    Grid,
    Length,
    LengthError,
    as_grid,
    as_length,
    as_offset,
    from_mm,
    in_inches,
    mm,
    parse_length,
    show_exact,
    unit_of,
)
from popkit.papers import Envelope, Sheet, as_envelope, as_sheet
from popkit.pieces import Piece, cut_list
from popkit.regridding import Regridded, RegridError, restated

__all__ = [
    "CARD_SIZES",
    "CardSize",
    "as_card_size",
    "largest_from_sheet",
    "largest_in_envelope",
    "resize",
    "scaled",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class CardSize:
    """A finished size of a card, closed.

    name    what a shop or a class calls it
    short   length > 0
    long    length >= short
    turn    "upright", "wide", or None to lie the way the card does
    source  where it is published
    """

    name: str
    short: Length
    long: Length
    turn: str | None = None
    source: str = ""

    def __post_init__(self) -> None:
        for side in ("short", "long"):
            object.__setattr__(self, side, as_length(getattr(self, side)))

    def __str__(self) -> str:
        return f"{self.name}, {show_exact(self.short)} × {show_exact(self.long)}"

    def sides(self, card: Card) -> tuple[Length, Length]:
        """(width along the fold, height) for this card: upright unless the card is wider than tall."""
        wide = self.turn == "wide" or (self.turn is None and mm(card.width) > mm(card.height))
        return (self.long, self.short) if wide else (self.short, self.long)


def _card_sizes() -> dict[str, CardSize]:
    iso = "ISO 216:2007"
    chart = "card size chart, maymaymadeit.com, card-size-guides"
    rows = [
        ("A4", "210 mm", "297 mm", iso),
        ("A5", "148 mm", "210 mm", iso),
        ("A6", "105 mm", "148 mm", iso),
        ("A7", "74 mm", "105 mm", iso),
        ("DL", "99 mm", "210 mm", "a third of A4, the card a DL envelope takes (ISO 269)"),
        ("105 mm square", "105 mm", "105 mm", "common practice, no source"),
        ("148 mm square", "148 mm", "148 mm", "common practice, no source"),
        ("3 in square", "3 in", "3 in", chart),
        ("5¼ in square", "5 1/4 in", "5 1/4 in", chart),
        ("6 in square", "6 in", "6 in", chart),
        ("3½ x 4⅞", "3 1/2 in", "4 7/8 in", f"{chart}, A1 (4-bar)"),
        ("4¼ x 5½", "4 1/4 in", "5 1/2 in", f"{chart}, A2"),
        ("4½ x 6¼", "4 1/2 in", "6 1/4 in", f"{chart}, A6"),
        ("5 x 7", "5 in", "7 in", f"{chart}, A7"),
        ("5¼ x 7⅞", "5 1/4 in", "7 7/8 in", f"{chart}, A8"),
        ("5½ x 8½", "5 1/2 in", "8 1/2 in", f"{chart}, A9"),
        ("5¾ x 9¼", "5 3/4 in", "9 1/4 in", "from memory, A10"),
        ("3⅞ x 9¼", "3 7/8 in", "9 1/4 in", f"{chart}, #10"),
    ]
    return {
        name: CardSize(name=name, short=short, long=long, source=source)
        for name, short, long, source in rows
    }


CARD_SIZES: dict[str, CardSize] = _card_sizes()

_TURN = re.compile(r"\s*,?\s+(upright|portrait|wide|landscape)\s*$", re.IGNORECASE)
_SQUARE = re.compile(r"^(.+?)\s+square$", re.IGNORECASE)
_BY = re.compile(r"\s*(?:[x×]|\bby\b)\s*", re.IGNORECASE)
_UNIT = re.compile(r"(?:[a-z]+|[\"'″′”’])\.?\s*$", re.IGNORECASE)


def as_card_size(size: CardSize | str) -> CardSize:
    """A `CardSize` from its name or its sides.

    size  "A6", "DL", "5 x 7", "4¼ x 5½", "105 mm square", "120 x 170 mm", "14 x 20 cm", with
          "upright" or "wide" after it to say how it lies, else it lies the way the card does.
          Bare numbers are inches where they are a size of the table or have a fraction.
    Raises: LengthError.
    """
    if isinstance(size, CardSize):
        return size
    if not isinstance(size, str):
        raise LengthError(str(size), "is not a size", 'Write it as in "A6" or "120 x 170 mm"')
    text, turn = size.strip(), None
    if found := _TURN.search(text):
        turn = "wide" if found[1].lower() in ("wide", "landscape") else "upright"
        text = text[: found.start()]
    named = {_key(name): one for name, one in CARD_SIZES.items()}
    if one := named.get(_key(text)):
        return replace(one, turn=turn)
    if found := _SQUARE.match(text):
        side = parse_length(found[1])
        return CardSize(name=f"{show_exact(side)} square", short=side, long=side, turn=turn)
    sides = _BY.split(text)
    if len(sides) != 2:
        raise LengthError(size, "is no size we know", "Sizes are " + ", ".join(CARD_SIZES))
    unit = _UNIT.search(sides[1])
    first, second = (
        parse_length(side if _UNIT.search(side) or unit is None else f"{side} {unit[0]}")
        for side in sides
    )
    short, long = sorted((first, second), key=mm)
    name = f"{show_exact(first)} × {show_exact(second)}"
    return CardSize(name=name, short=short, long=long, turn=turn)


def _key(name: str) -> str:
    """A name without its accidents: 4 1/4 x 5 1/2 is 4¼ x 5½, with or without the unit."""
    try:
        sides = [parse_length(side, "in") for side in _BY.split(name)]
    except LengthError:
        return " ".join(name.casefold().split())
    if len(sides) == 2 and all(unit_of(side) == "inch" for side in sides):
        return " x ".join(str(mm(side)) for side in sorted(sides, key=mm))
    return " ".join(name.casefold().split())


def scaled(card: Card, across: Fraction, along: Fraction) -> Card:
    """The card `across` times as wide and `along` times as tall and deep, in exact sizes.

    Tabs, joining tab, gap and side insets stay as they are, being what glue and fingers need;
    a tab is cut down where its face or shelf would no longer hide it, and one that filled its
    shelf goes on filling it up to the usual tab. So do a mat's reveal and an ornament's pad and
    known weight, which are seen, bought and weighed.
    """

    def times(length: Length | None, factor: Fraction) -> Length | None:
        return None if length is None else length * factor

    def tab(length: Length, held: Length, factor: Fraction) -> Length:
        room = held * factor
        if mm(length) == mm(held):
            length = max(length, usual("tab", unit_of(held)), key=mm)
        return min(length, room, key=mm)

    tiers = []
    for tier in card.tiers:
        face, depth, width = tier.face * along, tier.depth * along, times(tier.width, across)
        if isinstance(tier, CutStep):
            tiers.append(replace(tier, face=face, depth=depth, width=width))
        else:
            tiers.append(
                replace(
                    tier,
                    face=face,
                    depth=depth,
                    width=width,
                    top_tab=tab(tier.top_tab, tier.face, along),
                    bottom_tab=tab(tier.bottom_tab, tier.depth, along),
                )
            )
    layers = tuple(
        replace(
            layer,
            width=times(layer.width, across),
            length=times(layer.length, along),
            across=times(layer.across, across),
            up=times(layer.up, along),
        )
        for layer in card.layers
    )
    ornaments = tuple(
        replace(
            ornament,
            height=ornament.height * along,
            width=ornament.width * across,
            along=times(ornament.along, across),
            up=times(ornament.up, along),
        )
        for ornament in card.ornaments
    )
    front = replace(card.front, length=times(card.front.length, along))
    if front.carries_feet:
        front = replace(front, **{front.flap_size: times(getattr(front, front.flap_size), along)})
    if front.panel_name is not None:
        front = replace(front, width=times(front.width, across))
    return replace(
        card,
        width=card.width * across,
        height=card.height * along,
        tiers=tuple(tiers),
        front=front,
        layers=layers,
        ornaments=ornaments,
    )


def resize(
    card: Card,
    size: CardSize | str | None = None,
    *,
    width: Length | str | None = None,
    height: Length | str | None = None,
    grid: Grid | Length | str | None = None,
    give_up: Iterable[Law | str] = (),
) -> Regridded:
    """The card at another finished size, on a ruler, with every law it keeps still kept.

    size    a name or two sides, as `as_card_size` reads them: "A6", "5 x 7", "105 mm square"
    width   along the fold; height of the back. With one of them the other follows in proportion
    grid    the ruler; unless given, the usual one for the unit that was asked for
    give_up laws not to ask for: `Law`s of a `RegridError`, or keys of `checks.RULES`
    Returns: as `regrid`; `source` is the exact card at the new size, and shifts are from it.
    The finished size is the mark nearest to what was asked.
    Raises: LengthError; RegridError if no card of that size on that ruler keeps the laws.
    """
    if (size is not None) == (width is not None or height is not None):
        raise LengthError(
            str(size or ""), "is not one finished size", "Give a size, or a width or a height or both"
        )
    if size is not None:
        width, height = as_card_size(size).sides(card)
    width, height = (None if side is None else as_length(side) for side in (width, height))
    unit = unit_of(height if height is not None else width)
    ruler = grid_for(unit) if grid is None else as_grid(grid)
    across = mm(width) / mm(card.width) if width is not None else mm(height) / mm(card.height)
    along = mm(height) / mm(card.height) if height is not None else across
    return _at(card, mm(card.width) * across, mm(card.height) * along, ruler, give_up)


def _at(
    card: Card, wide: Fraction, tall: Fraction, grid: Grid, give_up: Iterable[Law | str] = ()
) -> Regridded:
    """The card at a finished size in millimetres, pinned to the nearest marks."""
    pinned = {}
    for name, value in (("width", wide), ("height", tall)):
        mark = grid.nearest(from_mm(value, grid.unit))
        if mm(mark) <= 0:
            raise LengthError(
                show_exact(from_mm(value, grid.unit)), f"is too small for a ruler of {grid}"
            )
        pinned[name] = mm(mark)
    source = scaled(card, wide / mm(card.width), tall / mm(card.height))
    return restated(card, sizes_of(source), grid, source=source, give_up=give_up, pinned=pinned)


# The largest card ---------------------------------------------------------------

_ROOM = {"inch": "1/4 in", "millimeter": "6 mm"}


def largest_in_envelope(
    card: Card,
    envelope: Envelope | str | tuple[Length | str, Length | str],
    *,
    grid: Grid | Length | str | None = None,
    room: Length | str | None = None,
    give_up: Iterable[Law | str] = (),
) -> Regridded:
    """The largest card of these proportions that slips into an envelope, either way round.

    envelope  a name in `ENVELOPES`, an `Envelope`, or its two inside sizes
    grid      the ruler; unless given, the usual one for the envelope's unit
    room      to be left in all, each way; unless given 1/4 in (6 mm), or as little as the
              envelope's own card leaves
    Returns: as `resize`. How thick the closed card is does not come into it.
    Raises: LengthError if nothing fits; RegridError.
    Source: 1/4 in each way, visualfoodie.com; 1/8 in on the short side of A1 and A2 by the chart.
    """
    envelope = as_envelope(envelope)
    unit = unit_of(envelope.short)
    ruler = grid_for(unit) if grid is None else as_grid(grid)
    spare = mm(as_offset(_ROOM["inch" if in_inches(unit) else "millimeter"] if room is None else room))
    sides = [mm(envelope.short) - spare, mm(envelope.long) - spare]
    if room is None and envelope.card is not None:
        sides = [max(side, mm(own)) for side, own in zip(sides, envelope.card, strict=True)]
    if sides[0] <= 0:
        raise LengthError(str(envelope), "is too small for any card")
    short, long = sides
    wide, tall = max(
        (_inside(card, *way) for way in ((short, long), (long, short))),
        key=lambda size: size[0] * size[1],
    )
    wide, tall = _down(wide, ruler), _down(tall, ruler)
    return _at(card, wide, tall, ruler, give_up)


def _inside(card: Card, across: Fraction, along: Fraction) -> tuple[Fraction, Fraction]:
    """The largest width and height in the card's proportions inside a rectangle."""
    factor = min(across / mm(card.width), along / mm(card.height))
    return mm(card.width) * factor, mm(card.height) * factor


def _down(value: Fraction, grid: Grid) -> Fraction:
    mark = mm(grid.down(from_mm(value, grid.unit)))
    if mark <= 0:
        raise _too_small(value, grid)
    return mark


def _too_small(value: Fraction, grid: Grid) -> LengthError:
    return LengthError(show_exact(from_mm(value, grid.unit)), f"is too small for a ruler of {grid}")


def largest_from_sheet(
    card: Card,
    sheet: Sheet | str | tuple[Length | str, Length | str],
    *,
    grid: Grid | Length | str | None = None,
    give_up: Iterable[Law | str] = (),
) -> Regridded:
    """The largest card of these proportions whose pieces all come out of one sheet.

    sheet   a name in `SHEETS`, a `Sheet`, or (width, height); its grain runs along the height
    grid    the ruler; unless given, the usual one for the sheet's unit
    Returns: as `resize`, its stocks cut from this sheet. Pieces of one stock share one sheet,
    cut right across at every cut and each with its grain; a clear front comes out of one sheet
    of its own stock. Mats and ornaments come out of other sheets.
    Raises: RegridError or LengthError if no card of these proportions comes out of the sheet.
    """
    sheet = as_sheet(sheet)
    ruler = grid_for(unit_of(sheet.height)) if grid is None else as_grid(grid)
    card = replace(
        card,
        stock=replace(card.stock, sheet=sheet),
        tier_stock=replace(card.tier_stock, sheet=sheet),
    )
    low, high = Fraction(0), mm(sheet.width) * mm(sheet.height) / (mm(card.width) * mm(card.height))
    for _ in range(12):
        middle = (low + high) / 2
        low, high = (middle, high) if _comes_out(card, middle) else (low, middle)
    # Rounding may win or lose a mark or two against the exact card, so start above and come down.
    step, last = mm(ruler.step), None
    top = math.floor(mm(card.height) * low / step) + 2
    for marks in range(top, max(0, top - _TRIES), -1):
        tall = marks * step
        try:
            wide = _down(mm(card.width) * tall / mm(card.height), ruler)
            found = _at(card, wide, tall, ruler, give_up)
        except (RegridError, CardError) as fault:
            last = fault
            continue
        if _comes_out(found.card):
            return found
    if last is not None:
        raise last
    raise LengthError(str(sheet), f"is too small for a card of these proportions on a ruler of {ruler}")


_TRIES = 12


def _comes_out(card: Card, factor: Fraction = Fraction(1)) -> bool:
    """Whether the pieces of each stock come out of one sheet of it, cut right across."""
    if card.layers or card.ornaments:
        card = replace(card, layers=(), ornaments=())
    try:
        pieces = cut_list(card if factor == 1 else scaled(card, factor, factor))
    except CardError:
        return False
    groups: dict[tuple[str, Sheet], list[Piece]] = {}
    for piece in pieces:
        groups.setdefault((piece.stock.name, piece.stock.sheet), []).append(piece)
    return all(_packs(group, sheet) for (_, sheet), group in groups.items())


def _packs(pieces: list[Piece], sheet: Sheet) -> bool:
    """Whether the pieces come out of one sheet by cuts right across, each with its grain.

    Builds, for every set of pieces, the boxes that just hold it: a box is two smaller ones side
    by side or one above the other, which is what a cut right across means.
    """
    across, along = float(mm(sheet.width)), float(mm(sheet.height))
    near = 1e-9 * along  # two halves of a sheet still come out of it
    boxes: list[list[tuple[float, float]]] = [[] for _ in range(1 << len(pieces))]
    for place, piece in enumerate(pieces):
        wide, long = float(mm(piece.width)), float(mm(piece.length))
        ways = {"length": [(wide, long)], "width": [(long, wide)]}
        boxes[1 << place] = [
            (w, h)
            for w, h in ways.get(piece.grain, [(wide, long), (long, wide)])
            if w <= across + near and h <= along + near
        ]
    for whole in range(1, len(boxes)):
        if whole & (whole - 1) == 0:
            continue
        found = set()
        part = (whole - 1) & whole
        while part > whole ^ part:  # each split once
            for (w, h), (x, y) in product(boxes[part], boxes[whole ^ part]):
                if w + x <= across + near:
                    found.add((w + x, max(h, y)))
                if h + y <= along + near:
                    found.add((max(w, x), h + y))
            part = (part - 1) & whole
        boxes[whole] = _smallest(found)
    return bool(boxes[-1])


def _smallest(boxes: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """The boxes that hold no other."""
    kept: list[tuple[float, float]] = []
    for wide, tall in sorted(boxes):
        if not kept or tall < kept[-1][1]:
            kept.append((wide, tall))
    return kept
