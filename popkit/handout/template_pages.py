"""Which piece goes on which sheet of the template: whole where it fits, in tiles where it does not.

Small pieces stand on shelves, tallest first, as many to a sheet as fit. A piece that fits the
sheet only on its side is given a sheet on its side. A larger one is cut into the fewest tiles,
all of nearly one size, each seam moved a little where a score or a slit would lie along it.

Imports: lengths, pieces, drawing.lettering, template_drawing.
Source of the shelves: first fit, decreasing height (Coffman and others 1980).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import count, product

from popkit.drawing.lettering import Readings, text_width
from popkit.handout.template_drawing import (
    EDGE,
    HEAD,
    OVERLAP,
    Join,
    Plate,
    caption_of,
    facts_of,
    holds_caption,
)
from popkit.lengths import mm
from popkit.pieces import Piece

__all__ = ["Room", "Sheet", "Tiling", "arranged"]

_GAP = 6.0  # between pieces on one sheet: room for the scissors
_NARROW = 12  # millimetres: a strip too narrow for joining marks is matched by its sides


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What a sheet has for drawings, mm: for whole pieces, and for tiles, which need more words.

    flipped  whether the sheet lies on its long side
    """

    flipped: bool
    width: float
    whole: float
    tile: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One page: its number from 1, which way it lies, and each plate with its left top corner."""

    number: int
    room: Room
    placed: tuple[tuple[Plate, float, float], ...]

    @property
    def tile(self) -> Plate | None:
        """The tile that fills it, if one does."""
        first = self.placed[0][0]
        return first if first.tile else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """A piece in tiles.

    across, along  the join lines, in mm from its left side and from its top end
    names          of the tiles, row by row
    sheets         the sheet of each, likewise
    """

    piece: Piece
    across: tuple[Fraction, ...]
    along: tuple[Fraction, ...]
    names: tuple[tuple[str, ...], ...]
    sheets: tuple[tuple[int, ...], ...]


def arranged(
    pieces: Sequence[Piece], shown: Readings, size: float, upright: Room, flipped: Room
) -> tuple[tuple[Sheet, ...], tuple[Tiling, ...]]:
    """Every piece once, on sheets in the order of the pieces; size of words in mm."""
    pools: dict[bool, list[tuple[int, Plate]]] = {False: [], True: []}
    tiled: list[tuple[int, Room, _Tiles]] = []
    for number, piece in enumerate(pieces):
        for room in (upright, flipped):
            plate = _whole(piece, shown, size, room)
            if plate is not None:
                pools[room.flipped].append((number, plate))
                break
        else:
            tiled.append((number, *_tiled(piece, shown, size, upright, flipped)))
    found: list[tuple[int, Room, tuple[tuple[Plate, float, float], ...], int]] = []
    for room in (upright, flipped):
        for page in _shelved(pools[room.flipped], room):
            found.append((min(number for number, *_ in page), room, tuple(row[1:] for row in page), -1))
    for number, room, tiles in tiled:
        for place, plate in enumerate(tiles.plates):
            found.append((number, room, ((plate, EDGE, EDGE),), place))
    found.sort(key=lambda row: (row[0], row[3]))
    sheets = tuple(
        Sheet(number=number, room=room, placed=placed)
        for number, (_, room, placed, _) in enumerate(found, 1)
    )
    return sheets, tuple(_tiling(tiles, sheets) for _, _, tiles in tiled)


# Whole pieces -------------------------------------------------------------------


def _natural(piece: Piece, shown: Readings, size: float, tile: str = "") -> float:
    """How wide the words of a piece are with none of its facts broken, nor a name of usual length."""
    name = text_width(f"{shown.language.name(piece.name)}{tile}", size * HEAD)
    facts = max(text_width(fact, size) for fact in facts_of(piece, shown))
    return (max(name, facts) if name < 1.5 * facts else facts) + 0.01


def _window(piece: Piece) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    return Fraction(0), Fraction(0), mm(piece.width), mm(piece.length)


def _whole(piece: Piece, shown: Readings, size: float, room: Room) -> Plate | None:
    """A piece in one, its words inside if they can be, if it fits the sheet at all."""
    wide, tall = room.width - 2 * EDGE, room.whole - 2 * EDGE
    if mm(piece.width) > wide or mm(piece.length) > tall:
        return None
    natural = _natural(piece, shown, size)
    for width in _inner_widths(float(mm(piece.width)), natural):
        plate = Plate(piece=piece, window=_window(piece), caption=caption_of(piece, shown, size, width))
        if holds_caption(plate, size, shown.language):
            return plate
    beside = []
    for where, width in (("below", max(float(mm(piece.width)), natural)), ("right", natural)):
        caption = caption_of(piece, shown, size, min(width, wide))
        plate = Plate(piece=piece, window=_window(piece), caption=caption, where=where)
        if plate.size[0] <= wide and plate.size[1] <= tall:
            beside.append(plate)
    return min(beside, key=lambda plate: plate.size[0] * plate.size[1], default=None)


def _inner_widths(wide: float, natural: float) -> list[float]:
    """Widths of words to try inside a piece, from a block of short lines to one that fills it."""
    most = wide - 5.0
    return [width for width in (natural, (natural + most) / 2, most) if natural <= width <= most]


def _shelved(
    pool: Sequence[tuple[int, Plate]], room: Room
) -> list[list[tuple[int, Plate, float, float]]]:
    """Plates on pages: each on the first shelf, or else on the first page, that has room for it."""
    wide, tall = room.width - 2 * EDGE, room.whole - 2 * EDGE
    pages: list[list[tuple[int, Plate, float, float]]] = []
    shelves: list[list[float]] = []  # page, top, height, how far it is filled
    filled: list[float] = []  # for each page, the foot of its last shelf
    for number, plate in sorted(pool, key=lambda row: (-row[1].size[1], row[0])):
        across, along = plate.size
        for shelf in shelves:
            page, top, height, reach = shelf
            if along <= height and reach + _GAP + across <= wide:
                x, y = reach + _GAP, top
                shelf[3] = x + across
                break
        else:
            page = next(
                (place for place, foot in enumerate(filled) if foot + _GAP + along <= tall), len(pages)
            )
            if page == len(pages):
                pages.append([])
                filled.append(-_GAP)
            x, y = 0.0, filled[page] + _GAP
            filled[page] = y + along
            shelves.append([page, y, along, across])
        pages[int(page)].append((number, plate, x + EDGE, y + EDGE))
    return [sorted(page, key=lambda row: (row[3], row[2])) for page in pages]


# Tiles --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tiles:
    piece: Piece
    across: tuple[Fraction, ...]
    along: tuple[Fraction, ...]
    plates: tuple[Plate, ...]


def _tiled(
    piece: Piece, shown: Readings, size: float, upright: Room, flipped: Room
) -> tuple[Room, _Tiles]:
    """The fewest tiles, on sheets that all lie one way."""
    made = [(room, _tiles(piece, shown, size, room)) for room in (upright, flipped)]
    return min(made, key=lambda row: len(row[1].plates))


def _tiles(piece: Piece, shown: Readings, size: float, room: Room) -> _Tiles:
    """Tiles with their words inside each; or else under each, which leaves less for the tile."""
    natural = _natural(piece, shown, size, ", tile A1")
    wide, tall = Fraction(room.width - 2 * EDGE), Fraction(room.tile - 2 * EDGE)
    inside = _cut_up(piece, wide, tall)
    plates = []
    for plate in _plates(piece, *inside):
        for full, width in ((True, natural), (True, float(wide)), (False, float(wide))):
            caption = caption_of(piece, shown, size, width, plate["tile"], full=full)
            made = Plate(**plate, caption=caption)
            if holds_caption(made, size, shown.language):
                plates.append(made)
                break
        else:
            break
    else:
        return _Tiles(piece=piece, across=inside[0], along=inside[1], plates=tuple(plates))
    caption = caption_of(piece, shown, size, float(wide), "AA99")
    under = _cut_up(piece, wide, tall - Fraction(caption.height + 4))
    return _Tiles(
        piece=piece,
        across=under[0],
        along=under[1],
        plates=tuple(
            Plate(
                **plate,
                caption=caption_of(piece, shown, size, float(wide), plate["tile"]),
                where="below",
            )
            for plate in _plates(piece, *under)
        ),
    )


def _cut_up(
    piece: Piece, wide: Fraction, tall: Fraction
) -> tuple[tuple[Fraction, ...], tuple[Fraction, ...]]:
    """Where the join lines are, across and along."""
    slits = [mm(slit.across) for slit in piece.slits]
    scores = [mm(crease.position) for crease in piece.creases]
    scores += [end for slit in piece.slits for end in (mm(slit.start), mm(slit.stop))]
    ends = [end for crease in piece.creases for end in (mm(crease.start), mm(crease.stop))]
    inner = [end for end in ends if 0 < end < mm(piece.width)]
    return (
        _seams(mm(piece.width), wide, [*slits, *inner]),
        _seams(mm(piece.length), tall, scores),
    )


def _seams(total: Fraction, room: Fraction, lines: Sequence[Fraction]) -> tuple[Fraction, ...]:
    """Places of the join lines: tiles as even as can be, no line of the piece along the overlap.

    Each tile reaches from one line to the overlap past the next, and is no longer than `room`.
    """
    if total <= room:
        return ()
    reach = room - OVERLAP  # from one line to the next, at most
    fewest = math.ceil((total - OVERLAP) / reach)
    for parts in range(fewest, fewest + 3):  # a tile or two more, rather than marks on a score
        seams, clear = _even_seams(total, parts, reach, lines)
        if clear:
            return seams
    return _even_seams(total, fewest, reach, lines)[0]


def _even_seams(
    total: Fraction, parts: int, reach: Fraction, lines: Sequence[Fraction]
) -> tuple[tuple[Fraction, ...], bool]:
    """The join lines of that many tiles, and whether none has a line of the piece along its overlap."""
    part = (total - OVERLAP) / parts
    seams: list[Fraction] = []
    all_clear = True
    for number in range(1, parts):
        even, before = number * part, seams[-1] if seams else Fraction(0)
        least = max(total - OVERLAP - (parts - number) * reach, before + reach / 2)
        tries = (even, *(Fraction(round(even)) + way for way in _NEAR_FIRST))
        clear = (
            at
            for at in tries
            if least <= at <= before + reach
            and not any(at - 2 <= line <= at + OVERLAP + 2 for line in lines)
        )
        found = next(clear, None)
        all_clear = all_clear and found is not None
        seams.append(max(least, min(even, before + reach)) if found is None else found)
    return tuple(seams), all_clear


_NEAR_FIRST = tuple(sorted(range(-60, 61), key=abs))
"""Whole millimetres to either side of a place, the nearest first."""


def _plates(piece: Piece, across: Sequence[Fraction], along: Sequence[Fraction]) -> list[dict]:
    """The windows and joins of every tile, row by row, as `Plate` takes them."""
    columns, rows = (Fraction(0), *across, mm(piece.width)), (Fraction(0), *along, mm(piece.length))
    wide, tall = len(columns) - 1, len(rows) - 1
    letters = (_letters(number) for number in count())
    joins: dict[tuple[int, int], list[Join]] = {place: [] for place in product(range(tall), range(wide))}
    for row, column in product(range(tall), range(wide)):
        if column + 1 < wide:
            start, stop = _own(rows, row)
            at = columns[column + 1]
            marks = _marks(start, stop, _crossing(piece, at, upright=True))
            join = Join(next(letters) if marks else "", True, at, marks)
            joins[row, column].append(join)
            joins[row, column + 1].append(join)
        if row + 1 < tall:
            start, stop = _own(columns, column)
            at = rows[row + 1]
            marks = _marks(start, stop, _crossing(piece, at, upright=False))
            join = Join(next(letters) if marks else "", False, at, marks)
            joins[row, column].append(join)
            joins[row + 1, column].append(join)
    return [
        {
            "piece": piece,
            "window": (
                columns[column],
                rows[row],
                columns[column + 1] + (OVERLAP if column + 1 < wide else 0),
                rows[row + 1] + (OVERLAP if row + 1 < tall else 0),
            ),
            "tile": f"{_letters(column).upper()}{row + 1}",
            "joins": tuple(joins[row, column]),
        }
        for row, column in product(range(tall), range(wide))
    ]


def _letters(number: int) -> str:
    """0 -> "a", 25 -> "z", 26 -> "aa"."""
    text = ""
    number += 1
    while number:
        number, place = divmod(number - 1, 26)
        text = chr(ord("a") + place) + text
    return text


def _own(lines: Sequence[Fraction], place: int) -> tuple[Fraction, Fraction]:
    """The stretch between two lines that the tile there shares with no tile before it."""
    start = lines[place] + (OVERLAP if place else 0)
    return start, lines[place + 1]


def _crossing(piece: Piece, at: Fraction, *, upright: bool) -> list[Fraction]:
    """Where lines of a piece cross or end in the strip along a join line."""
    low, high = at - 5, at + OVERLAP + 1
    found = []
    for crease in piece.creases:
        start, stop, position = mm(crease.start), mm(crease.stop), mm(crease.position)
        if upright and start <= high and stop >= low:
            found.append(position)
        elif not upright and low <= position <= high:
            found += [start, stop]
    for slit in piece.slits:
        start, stop, across = mm(slit.start), mm(slit.stop), mm(slit.across)
        if not upright and start <= high and stop >= low:
            found.append(across)
        elif upright and low <= across <= high:
            found += [start, stop]
    return found


def _marks(start: Fraction, stop: Fraction, lines: Sequence[Fraction]) -> tuple[Fraction, ...]:
    """One mark or two along a join, moved off the lines that cross it where there is room."""
    long = stop - start
    if long < _NARROW:
        return ()
    wanted = [start + long / 4, stop - long / 4] if long > 5 * _NARROW else [start + long / 2]
    marks = []
    for number, place in enumerate(wanted):
        low = start + 6 if number == 0 else marks[0] + 12
        tries = (place + way for way in _NEAR_FIRST)
        clear = (at for at in tries if low <= at <= stop - 6 and _clear(at, lines))
        marks.append(next(clear, place))
    return tuple(marks)


def _clear(at: Fraction, lines: Sequence[Fraction]) -> bool:
    return all(abs(at - line) >= 6 for line in lines)


def _tiling(tiles: _Tiles, sheets: Sequence[Sheet]) -> Tiling:
    """Where each tile of a piece came to be, for its map."""
    where = {id(plate): sheet.number for sheet in sheets for plate, _, _ in sheet.placed}
    columns = len(tiles.across) + 1
    rows = [tiles.plates[at : at + columns] for at in range(0, len(tiles.plates), columns)]
    return Tiling(
        piece=tiles.piece,
        across=tiles.across,
        along=tiles.along,
        names=tuple(tuple(plate.tile for plate in row) for row in rows),
        sheets=tuple(tuple(where[id(plate)] for plate in row) for row in rows),
    )
