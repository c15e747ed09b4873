"""The true-size sheets of the template as pictures: pieces, tiles of pieces, bars, key and map.

Everything here is in millimetres as they are to be when printed; a printer correction is put on by
the page. A piece carries its name, count, sizes and grain inside where no line crosses them, or
else below or beside it. A tile is a window on a piece: it shows what of the piece falls in it, and
the joins with its neighbours.

How a join works: of two tiles the later one starts at the join line, the earlier runs on under it
by the overlap. Both have the diamonds that stand across the line, so the later tile, cut along
its line and laid on the earlier one, closes them.

Imports: lengths, language, pieces, drawing.
Sources: half marks that close to a whole where two pieces meet are how sewing patterns are matched
(common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from popkit.drawing.conventions import (
    CUT,
    FOLD_LINES,
    INK,
    MOUNTAIN,
    PAPER,
    SECOND,
    TINT,
    VALLEY,
    Line,
)
from popkit.drawing.cutter import Lines, lines_of
from popkit.drawing.flat import named_areas
from popkit.drawing.lettering import ASCENT, DESCENT, Box, Readings
from popkit.drawing.svg import Sketch
from popkit.language import Language, message
from popkit.lengths import mm
from popkit.pieces import Piece

__all__ = [
    "EDGE",
    "HEAD",
    "OVERLAP",
    "Caption",
    "Join",
    "Plate",
    "caption_of",
    "draw_key",
    "draw_map",
    "draw_ruler",
    "draw_sheet",
    "facts_of",
    "holds_caption",
    "wrapped",
]

OVERLAP = Fraction(15)
"""Millimetres by which a tile runs on under its neighbour."""
EDGE = 1.0
"""Millimetres kept free around what is drawn on a sheet."""

JOIN = Line(ink=SECOND, weight=0.3, dashes=(0.5, 1.0))
_DIAMOND = 4.0  # from the middle of a joining mark to each of its points
_INNER = 2.0  # from a piece's edges and lines to its words
_ABOVE = 1.0  # from a line to words over or under it


def _tall(size: float) -> float:
    return (ASCENT + DESCENT) * size


HEAD = 1.25
"""How large the name of a piece is, of its other words."""


# Words on a piece ---------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Caption:
    """A block of words on a piece: (words, size) of each line, its grain arrow, the room it takes."""

    lines: tuple[tuple[str, float], ...]
    grain: str | None
    width: float
    height: float


def wrapped(facts: Sequence[str], size: float, width: float) -> list[str]:
    """Facts one after another, parted by dots, in lines no wider than asked.

    A fact is broken between words only where it must be, a word within only where that must be.
    """
    sketch, lines = Sketch(), []
    for fact in facts:
        joined = f"{lines[-1]} · {fact}" if lines else fact
        if lines and sketch.width_of(joined, size) <= width:
            lines[-1] = joined
            continue
        line, *words = [part for word in fact.split(" ") for part in _parts(sketch, word, size, width)]
        for word in words:
            if sketch.width_of(f"{line} {word}", size) <= width:
                line = f"{line} {word}"
            else:
                lines.append(line)
                line = word
        lines.append(line)
    return lines


def _parts(sketch: Sketch, word: str, size: float, width: float) -> list[str]:
    """A word, in parts where it is wider than a line."""
    parts = [""]
    for char in word:
        if parts[-1] and sketch.width_of(parts[-1] + char, size) > width:
            parts.append("")
        parts[-1] += char
    return parts


def facts_of(piece: Piece, shown: Readings) -> list[str]:
    """How many to cut, of what, how wide and how long."""
    language, say = shown.language, shown.language.say
    stock = [language.name(piece.stock.name)] if piece.stock is not None else []
    return [
        say("cut {count}", count=piece.count),
        *stock,
        say("{length} wide", length=shown.both(mm(piece.width))),
        say("{length} long", length=shown.both(mm(piece.length))),
    ]


def caption_of(
    piece: Piece, shown: Readings, size: float, width: float, tile: str = "", *, full: bool = True
) -> Caption:
    """Name, count, sizes and grain of a piece in a block at most `width` wide, if that can be.

    full  False: the name alone
    """
    sketch = Sketch()
    say, name = shown.language.say, shown.language.name(piece.name)
    if tile:
        name = say("{piece}, tile {tile}", piece=name, tile=tile)
    facts = facts_of(piece, shown) if full else []
    head = size * HEAD
    lines = [(line, head) for line in wrapped([name], head, width)]
    lines += [(line, size) for line in wrapped(facts, size, width)]
    grain = piece.grain if full else None
    if grain is not None:
        lines.append((say("grain"), size))
    wide = max(sketch.width_of(words, tall) for words, tall in lines)
    if grain == "width":
        wide = max(wide, sketch.width_of(lines[-1][0], size) + 14.0)
    elif grain == "length":
        wide += 4.0
    tall = sum(_tall(height) + 1.0 for _, height in lines) - 1.0
    return Caption(lines=tuple(lines), grain=grain, width=wide, height=tall)


def _write(sketch: Sketch, caption: Caption, left: float, top: float, plate: str = "") -> None:
    """The block of words with its left top corner there, on a plate of that colour if on any."""
    if plate:
        sketch.rect(left - 1, top - 0.5, caption.width + 2, caption.height + 1, fill=plate)
    x = left + (4.0 if caption.grain == "length" else 0.0)
    y, last = top, top
    for words, size in caption.lines:
        sketch.words(x, y + _tall(size) / 2, words, size=size)
        last, y = y + _tall(size) / 2, y + _tall(size) + 1.0
    if caption.grain == "width":
        start = x + sketch.width_of(*caption.lines[-1]) + 2.0
        sketch.measure(start, last, start + 12.0, last)
    elif caption.grain == "length":
        sketch.measure(left + 1.0, top, left + 1.0, top + caption.height)


# A piece, or a window on it -----------------------------------------------------


class Join(NamedTuple):
    """Where two tiles meet.

    letter   of its marks
    upright  whether the line runs along the piece
    at       of the line, in mm from the left side (upright) or the top end of the piece
    marks    the places of the marks along the line
    """

    letter: str
    upright: bool
    at: Fraction
    marks: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """What is drawn of a piece on a sheet.

    window   left, top, right, bottom of what is shown, in mm of the piece
    tile     "A1", "B1", ..., or "" for a whole piece
    joins    those that the tile has a part in
    caption  its words
    where    "inside", "below" or "right": where they stand
    """

    piece: Piece
    window: tuple[Fraction, Fraction, Fraction, Fraction]
    caption: Caption
    where: str = "inside"
    tile: str = ""
    joins: tuple[Join, ...] = ()

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the ground it takes, words beside it included."""
        left, top, right, bottom = self.window
        wide, tall = float(right - left), float(bottom - top)
        if self.where == "below":
            return max(wide, self.caption.width), tall + _INNER + self.caption.height
        if self.where == "right":
            return wide + _INNER + self.caption.width, max(tall, self.caption.height)
        return wide, tall


class _Drawing:
    """A plate being drawn, the left top corner of its window at (0, 0)."""

    def __init__(self, plate: Plate, size: float, language: Language, prefix: str = "") -> None:
        self.plate, self.size, self.language = plate, size, language
        self.lines: Lines = lines_of(plate.piece, words=False)
        self.left, self.top, self.right, self.bottom = map(float, plate.window)
        self.wide, self.tall = self.right - self.left, self.bottom - self.top
        self.window = Box(0.0, 0.0, self.wide, self.tall)
        self.sketch = Sketch(prefix=prefix, exact=True)
        self.steps, self.zones = named_areas(plate.piece)
        self.taken = self._taken()

    def _in_window(self, box: Box) -> Box | None:
        """A box of the piece as it falls in the window, or None."""
        found = Box(
            max(box.left - self.left, 0.0),
            max(box.top - self.top, 0.0),
            min(box.right - self.left, self.wide),
            min(box.bottom - self.top, self.tall),
        )
        return found if found.left <= found.right and found.top <= found.bottom else None

    def _segments(self, lines: Iterable[tuple[tuple, tuple]]) -> list[Box]:
        """Lines of the piece as thin boxes, what of them falls in the window."""
        found = []
        for (x1, y1), (x2, y2) in lines:
            box = self._in_window(Box(float(x1), float(y1), float(x2), float(y2)))
            if box is not None and (box.right > box.left or box.bottom > box.top):
                found.append(box)
        return found

    def _taken(self) -> list[Box]:
        """Lines, cut steps and joining marks: what words keep clear of."""
        lines = self.lines
        taken = self._segments([*lines.valley, *lines.mountain, *lines.slits])
        taken += [box for _, box in self._step_grounds()]
        for join in self.plate.joins:
            taken += [box for box, _ in self._mark_boxes(join)]
            at = float(join.at) - (self.left if join.upright else self.top)
            if join.upright:
                taken.append(Box(at, 0.0, at, self.tall))
            else:
                taken.append(Box(0.0, at, self.wide, at))
        return taken

    def _step_grounds(self) -> list[tuple[int, Box]]:
        """The ground of each cut step, with its place."""
        found = []
        for place, (shelf, face) in enumerate(zip(self.steps[::2], self.steps[1::2], strict=True)):
            sides = shelf.left, shelf.top, shelf.right, face.bottom
            box = self._in_window(Box(*map(float, sides)))
            if box is not None:
                found.append((place, box))
        return found

    # Words

    def _place(
        self, region: Box, wide: float, tall: float, taken: Sequence[Box]
    ) -> tuple[float, float] | None:
        """The left top corner of a free place of that size, in the middle across if there is one."""
        room_x, room_y = region.right - region.left - wide, region.bottom - region.top - tall
        if room_x < 2 * _INNER or room_y < 2 * _ABOVE:
            return None
        for share_x in _SHARES:
            for share_y in _SHARES:
                x = region.left + _INNER + (room_x - 2 * _INNER) * share_x
                y = region.top + _ABOVE + (room_y - 2 * _ABOVE) * share_y
                box = Box(x, y, x + wide, y + tall)
                if self.sketch.free(box, 1.5) and not any(box.meets(one, 1.0) for one in taken):
                    return x, y
        return None

    def _regions(self) -> list[Box]:
        """Zones as they fall in the window, the largest first, those for glue last."""
        boxes = [(zone.glue, self._in_window(Box(*map(float, zone[1:5])))) for zone in self.zones]
        if not boxes:
            boxes = [(False, self.window)]
        held = [(glue, box) for glue, box in boxes if box is not None]
        return [box for _, box in sorted(held, key=lambda row: (row[0], -_ground(row[1])))]

    def caption_place(self, caption: Caption) -> tuple[float, float] | None:
        """Where the caption can stand inside, or None."""
        for region in self._regions():
            place = self._place(region, caption.width, caption.height, self.taken)
            if place is not None:
                return place
        return None

    def _names(self) -> None:
        """The name of each part where there is room for it; the words of the page have them all."""
        if len(self.zones) < 2 and not self.steps:
            return
        grounds = dict(self._step_grounds())
        for number, area in enumerate([*self.steps, *self.zones]):
            region = self._in_window(Box(*map(float, area[1:5])))
            if region is None or area.name == self.plate.piece.name:
                continue
            own = number // 2 if number < len(self.steps) else -1
            inner = [box for place, box in grounds.items() if place > own]
            outer = [box for box in self.taken if box not in grounds.values()]
            name = self.language.name(area.name)
            wide = self.sketch.width_of(name, self.size)
            place = self._place(region, wide, _tall(self.size), [*outer, *inner])
            if place is not None:
                self.sketch.words(
                    place[0],
                    place[1] + _tall(self.size) / 2,
                    name,
                    size=self.size,
                    plate=TINT if area.glue else "",
                )

    # Joins

    def _mark_boxes(self, join: Join) -> list[tuple[Box, tuple[float, float]]]:
        """For each mark of a join its box, letter included, and its middle, in the window."""
        found = []
        half = _DIAMOND
        wide = self.sketch.width_of(join.letter, self.size)
        for mark in join.marks:
            if join.upright:
                x, y = float(join.at) - self.left, float(mark) - self.top
                high = max(half, _tall(self.size) / 2)
                box = Box(x - half, y - high, x + half + 1 + wide, y + high)
            else:
                x, y = float(mark) - self.left, float(join.at) - self.top
                high = max(half, wide / 2)
                box = Box(x - high, y - half, x + high, y + half + 0.5 + _tall(self.size))
            if self.window.left <= x <= self.window.right and self.window.top <= y <= self.window.bottom:
                found.append((box, (x, y)))
        return found

    def _joins(self) -> None:
        sketch = self.sketch
        with sketch.group("join", JOIN):
            for join in self.plate.joins:
                at = float(join.at) - (self.left if join.upright else self.top)
                if join.upright:
                    sketch.line(at, 0.0, at, self.tall)
                else:
                    sketch.line(0.0, at, self.wide, at)
        for join in self.plate.joins:
            starts = (float(join.at) - (self.left if join.upright else self.top)) < 0.5
            for _, (x, y) in self._mark_boxes(join):
                half = _DIAMOND
                points = [(x, y - half), (x + half, y), (x, y + half), (x - half, y)]
                if starts and join.upright:
                    points = points[:3]
                elif starts:
                    points = points[1:]
                sketch.area(points, fill=INK)
                if join.upright:
                    sketch.words(x + half + 1, y, join.letter, size=self.size, plate=PAPER)
                else:
                    at = y + half + 0.5 + _tall(self.size) / 2
                    sketch.words(x, at, join.letter, size=self.size, anchor="middle", plate=PAPER)

    # Lines

    def _edges(self) -> list[tuple[tuple, tuple]]:
        """The sides of the piece, each a line of its own, so that a window shows its part of each."""
        points = self.lines.outline
        pairs = zip(points, (*points[1:], points[0]), strict=True)
        return [(min(pair), max(pair)) for pair in pairs]

    def draw(self) -> Sketch:
        sketch, plate = self.sketch, self.plate
        with sketch.group("piece"):
            sketch.rect(0.0, 0.0, self.wide, self.tall, fill=PAPER if _clear(plate.piece) else TINT)
            for ring in self.lines.glue:
                box = self._in_window(Box(*map(float, (*ring[0], *ring[2]))))
                if box is not None and box.bottom > box.top and box.right > box.left:
                    sketch.hatched(box.left, box.top, box.right - box.left, box.bottom - box.top)
        with sketch.group(message("cut"), CUT):
            for box in self._segments([*self._edges(), *self.lines.slits]):
                sketch.line(*box)
        for kind, line in FOLD_LINES.items():
            drawn = self._segments(getattr(self.lines, kind))
            if drawn:
                with sketch.group(kind, line):
                    for box in drawn:
                        sketch.line(*box)
        self._joins()
        with sketch.group("names"):
            caption = plate.caption
            if plate.where == "below":
                _write(sketch, caption, 0.0, self.tall + _INNER)
            elif plate.where == "right":
                _write(sketch, caption, self.wide + _INNER, 0.0)
            else:
                place = self.caption_place(caption)
                if place is not None:
                    left, top = place
                    right, bottom = left + caption.width, top + caption.height
                    self.taken.append(Box(left - 2, top - 2, right + 2, bottom + 2))
                    _write(sketch, caption, *place, PAPER if _clear(plate.piece) else TINT)
            self._names()
        return sketch


_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9, 0.0, 1.0)


def _ground(box: Box) -> float:
    return (box.right - box.left) * (box.bottom - box.top)


def _clear(piece: Piece) -> bool:
    return piece.stock is not None and piece.stock.kind == "plastic"


def holds_caption(plate: Plate, size: float, language: Language) -> bool:
    """Whether the words of a plate can stand inside it, clear of every line."""
    return _Drawing(plate, size, language).caption_place(plate.caption) is not None


def draw_sheet(
    placed: Sequence[tuple[Plate, float, float]],
    width: float,
    height: float,
    size: float,
    language: Language,
    title: str,
    description: str,
) -> str:
    """A sheet of that size with plates on it, each with its left top corner where it is told.

    size  of all words, mm
    Returns: SVG text in millimetres.
    """
    sketch = Sketch(prefix="sheet-", exact=True)
    for plate, x, y in placed:
        sketch.place(_Drawing(plate, size, language, "sheet-").draw(), x, y)
    return sketch.svg(title, description, margin=0.0, frame=Box(0.0, 0.0, width, height))


# Bars, key, map -----------------------------------------------------------------


def _pitch(size: float) -> float:
    return round(max(5.0, _tall(size) + 0.6), 1)


_THICK = 4.0
_BAR_FILL = "#e1e1e1"


def draw_ruler(size: float, language: Language, *, upright: bool, description: str) -> str:
    """A bar of 100 mm and one of 4 in, side by side, each with its marks and its length in words.

    upright  along the height of the page, read from below
    Returns: SVG text; the bars start 0.5 mm from the left (or the foot), to leave room for a line.
    """
    sketch = Sketch(prefix="ruler-up-" if upright else "ruler-", exact=True)
    pitch, start, reach = _pitch(size), 0.5, 101.6
    labels = language.say("{number} mm", number=100), language.say("{number} in", number=4)
    words = max(sketch.width_of(text, size) for text in labels)
    long = start + reach + 2.0 + words + 1.0
    for row, (length, step, text) in enumerate(((100.0, 10.0, labels[0]), (101.6, 25.4, labels[1]))):
        middle = pitch * (row + 0.5)
        low, high = middle - _THICK / 2, middle + _THICK / 2
        if upright:
            foot = long - start
            sketch.rect(low, foot - length, _THICK, length, fill=_BAR_FILL, kind="bar")
        else:
            sketch.rect(start, low, length, _THICK, fill=_BAR_FILL, kind="bar")
        with sketch.group("marks", Line(ink=INK, weight=0.3)):
            for mark in range(round(length / step) + 1):
                at = start + mark * step
                if upright:
                    sketch.line(low, long - at, high, long - at)
                else:
                    sketch.line(at, low, at, high)
            if upright:
                sketch.line(middle, long - start, middle, long - start - length)
            else:
                sketch.line(start, middle, start + length, middle)
        end = start + reach + 2.0
        if upright:
            sketch.words(middle, long - end, text, size=size, upright=False)
        else:
            sketch.words(end, middle, text, size=size)
    across = 2 * pitch
    frame = Box(0.0, 0.0, across, long) if upright else Box(0.0, 0.0, long, across)
    return sketch.svg(" · ".join(labels), description, margin=0.0, frame=frame)


_KEY = {
    "cut": (message("cut"), CUT),
    "valley": (message("valley: fold towards you"), VALLEY),
    "mountain": (message("mountain: fold away from you"), MOUNTAIN),
    "glue": (message("glue or tape goes here"), None),
    "join": (message("join: cut the later sheet here"), JOIN),
}


def draw_key(kinds: Sequence[str], size: float, language: Language, description: str) -> str:
    """What each kind of line means, one a row."""
    sketch = Sketch(prefix="key-", exact=True)
    pitch = _tall(size) + 1.6
    for row, kind in enumerate(kinds):
        words, line = _KEY[kind]
        y = pitch * (row + 0.5)
        if line is not None:
            sketch.line(0.0, y, 18.0, y, line)
        else:
            sketch.hatched(0.0, y - size * 0.4, 18.0, size * 0.8)
        sketch.words(21.0, y, language.template(words), size=size)
    frame = Box(0.0, 0.0, 21.0, pitch * len(kinds))
    return sketch.svg(description, description, margin=0.5, frame=frame)


def draw_map(
    piece: Piece,
    across: Sequence[Fraction],
    along: Sequence[Fraction],
    names: Sequence[Sequence[str]],
    size: float,
    room: tuple[float, float],
    description: str,
) -> str:
    """Which tile goes where: the piece made small, its joins dotted, each tile named.

    across, along  where the joins are, in mm of the piece
    names          of the tiles, row by row, one or two lines each
    room           the most it may be, mm; it grows past it where the names need it
    """
    sketch = Sketch(prefix="map-", exact=True)
    wide, long = float(mm(piece.width)), float(mm(piece.length))
    columns, rows = (
        [0.0, *map(float, across), wide],
        [0.0, *map(float, along), long],
    )
    every = [name.split("\n") for row in names for name in row]
    need_x = max(sketch.width_of(line, size) for lines in every for line in lines)
    need_y = max(map(len, every)) * (_tall(size) + 0.5)
    k = min(room[0] / wide, room[1] / long)
    kx = max(k, (need_x + 2) / min(b - a for a, b in pairwise(columns)))
    ky = max(k, (need_y + 2) / min(b - a for a, b in pairwise(rows)))
    with sketch.group("piece"):
        sketch.rect(0.0, 0.0, wide * kx, long * ky, fill=TINT)
    with sketch.group("join", JOIN):
        for x in columns[1:-1]:
            sketch.line(x * kx, 0.0, x * kx, long * ky)
        for y in rows[1:-1]:
            sketch.line(0.0, y * ky, wide * kx, y * ky)
    with sketch.group(message("cut"), CUT):
        sketch.rect(0.0, 0.0, wide * kx, long * ky)
    with sketch.group("names"):
        for row, (top, bottom) in zip(names, pairwise(rows), strict=True):
            for name, (left, right) in zip(row, pairwise(columns), strict=True):
                lines = name.split("\n")
                for number, line in enumerate(lines):
                    y = (top + bottom) / 2 * ky + (number - (len(lines) - 1) / 2) * (_tall(size) + 0.5)
                    sketch.words((left + right) / 2 * kx, y, line, size=size, anchor="middle")
    return sketch.svg(piece.name, description, margin=0.5)
