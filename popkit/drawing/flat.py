"""Pieces as they lie on the cutting board: good side up, top end away from you, true to scale.

Cut lines solid, valleys dashed, mountains dash-dot, glue areas hatched. Positions run from the
top end along the left side, as they are read off a score board; names stand in their zones,
or beside them with a leader where a zone is too small for words.

Imports: lengths, language, card, pieces, drawing.conventions, drawing.lettering, drawing.svg.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from popkit.card import Card
from popkit.drawing.conventions import (
    CLEAR_EDGE,
    CUT,
    FOLD_LINES,
    HAIR,
    HEADING,
    INK,
    LEADER,
    MOUNTAIN,
    PAPER,
    SECOND,
    TINT,
    VALLEY,
    WORDS,
)
from popkit.drawing.lettering import ASCENT, DESCENT, Box, Readings, spread
from popkit.drawing.svg import Sketch
from popkit.language import BRITISH, Language, message
from popkit.lengths import Grid, Length, mm
from popkit.pieces import Piece, cut_list

__all__ = [
    "SCALES",
    "describe_piece",
    "describe_pieces",
    "draw_piece",
    "draw_pieces",
    "named_areas",
    "scale_words",
]

SCALES = tuple(Fraction(1, under) for under in (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20))
"""The scales that `draw_pieces` chooses from."""

_TALL = (ASCENT + DESCENT) * WORDS
_PITCH = _TALL + 1.0  # from one line of words to the next


def _as_scale(scale: Fraction | float | str) -> Fraction:
    value = Fraction(scale)
    if value <= 0:
        raise ValueError(f"A scale of {scale}: write a number above 0, as in 1 or Fraction(1, 2).")
    return value


def scale_words(scale: Fraction, language: Language = BRITISH) -> str:
    """ "full size", "half size", "1 : 3", "2 : 1", "1 : 2.5"."""
    if scale == 1:
        return language.say("full size")
    if scale == Fraction(1, 2):
        return language.say("half size")
    return f"{float(scale):g} : 1" if scale > 1 else f"1 : {float(1 / scale):.4g}"


# What a piece says about itself -------------------------------------------------


class _Area(NamedTuple):
    """A named part of a piece, in exact millimetres from its left side and its top end."""

    name: str
    left: Fraction
    top: Fraction
    right: Fraction
    bottom: Fraction
    glue: bool = False


class _Score(NamedTuple):
    fold: str
    at: Fraction
    start: Fraction
    stop: Fraction


class _Cut(NamedTuple):
    across: Fraction
    start: Fraction
    stop: Fraction


class _Read:
    """A piece with every length read once, in exact millimetres."""

    def __init__(self, piece: Piece) -> None:
        self.piece = piece
        self.wide, self.long = mm(piece.width), mm(piece.length)
        self.scores = [
            _Score(crease.fold, mm(crease.position), mm(crease.start), mm(crease.stop))
            for crease in piece.creases
        ]
        self.slits = [_Cut(mm(slit.across), mm(slit.start), mm(slit.stop)) for slit in piece.slits]
        self.zones: list[_Area] = []
        top, none = Fraction(0), Fraction(0)
        for zone in piece.zones:
            bottom = top + mm(zone.length)
            self.zones.append(_Area(zone.name, none, top, self.wide, bottom, zone.glue))
            top = bottom
        self.steps = self._cut_steps() if self.slits else []
        marks = {none, self.long, *(score.at for score in self.scores)}
        if len(piece.scores) > len(self.scores):
            marks.update(mm(score) for score in piece.scores)
        for slit in self.slits:
            marks.update((slit.start, slit.stop))
        self.along = sorted(marks)
        """Every position that is measured from the top end, both ends included."""
        self.across = sorted({none, self.wide, *(slit.across for slit in self.slits)})
        """Every position that is measured from the left side, both sides included."""
        self.clear = piece.stock is not None and piece.stock.kind == "plastic"

    def _cut_steps(self) -> list[_Area]:
        """Shelf and face of every cut step: what lies between two slits of one reach."""
        sides: dict[tuple[Fraction, Fraction], list[Fraction]] = {}
        for slit in self.slits:
            sides.setdefault((slit.start, slit.stop), []).append(slit.across)
        edges = {
            (score.start, score.stop): score.at for score in self.scores if score.fold == "mountain"
        }
        areas = []
        for step, ((top, bottom), across) in enumerate(sides.items(), 1):
            left, right = min(across), max(across)
            edge = edges.get((left, right))
            if edge is not None:
                areas.append(_Area(f"tier {step} shelf", left, top, right, edge))
                areas.append(_Area(f"tier {step} face", left, edge, right, bottom))
        return areas


def named_areas(piece: Piece) -> tuple[list[_Area], list[_Area]]:
    """Shelves and faces of the cut steps, in turn, and the zones: in exact millimetres."""
    read = _Read(piece)
    return read.steps, read.zones


def _notes(piece: Piece, language: Language) -> list[str]:
    notes = [language.say("cut {count}", count=piece.count)]
    if piece.stock is not None:
        notes.append(language.name(piece.stock.name))
    notes.append(language.say("good side up"))
    return notes


def describe_piece(
    piece: Piece,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
    scale: Fraction | float | str = 1,
) -> str:
    """What `draw_piece` shows, in words: size, scores, zones, slits, grain.

    grids  two rulers; unless given the usual two, that of the piece's unit first
    Returns: one line a fact.
    """
    return _described(_Read(piece), Readings.of(piece.length, grids), _as_scale(scale))


def _described(read: _Read, shown: Readings, scale: Fraction) -> str:
    both, piece, say, name = shown.both, read.piece, shown.language.say, shown.language.name
    drawn = say("drawn {scale}", scale=scale_words(scale, shown.language))
    lines = [
        say(
            "{piece}: {width} wide, {length} long; {notes}.",
            piece=name(piece.name),
            width=both(read.wide),
            length=both(read.long),
            notes=", ".join([*_notes(piece, shown.language), drawn]),
        )
    ]
    for score in read.scores:
        told = {"fold": name(score.fold), "at": both(score.at)}
        if score.start or score.stop != read.wide:
            lines.append(
                say(
                    "{fold} {at} from the top end, from {start} to {stop} of the left side.",
                    start=both(score.start),
                    stop=both(score.stop),
                    **told,
                )
            )
        else:
            lines.append(say("{fold} {at} from the top end.", **told))
    for slit in read.slits:
        lines.append(
            say(
                "slit {across} from the left side, from {start} to {stop} of the top end.",
                across=both(slit.across),
                start=both(slit.start),
                stop=both(slit.stop),
            )
        )
    if len(read.zones) > 1:
        zones = []
        for zone in read.zones:
            told = {"zone": name(zone.name), "length": both(zone.bottom - zone.top)}
            zones.append(
                say("{zone} {length}, glue", **told) if zone.glue else say("{zone} {length}", **told)
            )
        lines.append(say("Zones from the top end: {zones}.", zones="; ".join(zones)))
    if piece.grain == "width":
        lines.append(say("The grain runs along the width."))
    elif piece.grain is not None:
        lines.append(say("The grain runs along the length."))
    return "\n".join(lines)


# One piece ----------------------------------------------------------------------


class _Flat:
    """A piece being drawn with its top left corner at (0, 0), `k` times its size."""

    def __init__(
        self, read: _Read, shown: Readings, k: float, prefix: str, widest: float = float("inf")
    ) -> None:
        self.read, self.shown, self.k, self.widest = read, shown, k, widest
        self.say, self.name = shown.language.say, shown.language.name
        self.wide, self.long = float(read.wide) * k, float(read.long) * k
        self.sketch = Sketch(prefix=prefix, exact=True)
        self.scores = [
            (score.fold, float(score.at) * k, float(score.start) * k, float(score.stop) * k)
            for score in read.scores
        ]
        self.slits = [
            (float(slit.across) * k, float(slit.start) * k, float(slit.stop) * k) for slit in read.slits
        ]
        self.cut_out = [
            Box(*self._drawn(shelf)[:3], self._drawn(face).bottom)
            for shelf, face in zip(read.steps[::2], read.steps[1::2], strict=True)
        ]
        """The ground that each cut step takes out of what lies behind it."""
        self.taken = [Box(start, at, stop, at) for _, at, start, stop in self.scores]
        self.taken += [Box(at, start, at, stop) for at, start, stop in self.slits]
        """The lines inside the piece, as thin boxes that words keep clear of."""

    def _drawn(self, area: _Area) -> Box:
        k = self.k
        return Box(
            float(area.left) * k, float(area.top) * k, float(area.right) * k, float(area.bottom) * k
        )

    def draw(self, more: list[str]) -> None:
        """All of it; `more` ends the line of notes over the piece."""
        self._paper()
        self._lines()
        with self.sketch.group("names"):
            outside = self._names()
            grain_inside = self.read.piece.grain is None or self._grain()
        lowest = max(self._measure_along(), self._names_beside(outside) if outside else self.long)
        self._measure_across(lowest)
        self._head(more, grain_inside)

    def _paper(self) -> None:
        sketch = self.sketch
        with sketch.group("piece"):
            sketch.rect(0, 0, self.wide, self.long, fill=PAPER if self.read.clear else TINT)
            for zone in self.read.zones:
                if zone.glue:
                    box = self._drawn(zone)
                    sketch.hatched(0, box.top, self.wide, box.bottom - box.top)
        if self.read.clear:
            self._gleam()

    def _gleam(self) -> None:
        """Two slanting strokes in a corner: this sheet is clear."""
        side = min(self.wide, self.long)
        corner = side * 0.06
        with self.sketch.group("gleam", CLEAR_EDGE):
            for reach in (side * 0.17, side * 0.28):
                self.sketch.line(self.wide - corner - reach, corner, self.wide - corner, corner + reach)

    def _lines(self) -> None:
        sketch = self.sketch
        with sketch.group("cut", CUT):
            sketch.rect(0, 0, self.wide, self.long)
            for across, start, stop in self.slits:
                sketch.line(across, start, across, stop)
        for kind, line in FOLD_LINES.items():
            scores = [score for score in self.scores if score[0] == kind]
            if scores:
                with sketch.group(kind, line):
                    for _, at, start, stop in scores:
                        sketch.line(start, at, stop, at)

    def _room_for(
        self, region: Box, wide: float, tall: float, taken: list[Box], heights: Sequence[float]
    ) -> tuple[float, float] | None:
        """The middle of a free place of that size inside a region, or None."""
        if wide > region.right - region.left - 1 or tall > region.bottom - region.top - 1:
            return None
        for height in heights:
            for share in (0.5, 0.25, 0.75):
                x = region.left + (region.right - region.left) * share
                y = region.top + (region.bottom - region.top) * height
                box = Box(x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2)
                if (
                    box.within(region, 0.5)
                    and not any(box.meets(other, 0.7) for other in taken)
                    and self.sketch.free(box)
                ):
                    return x, y
        return None

    def _names(self) -> list[_Area]:
        """Write each name into its area where it fits; return the areas that need a leader.

        A plain strip has all its names inside or all beside it, so that they read as one list.
        """
        sketch, steps = self.sketch, self.read.steps
        found = []
        for number, area in enumerate([*steps, *self.read.zones]):
            inner = self.cut_out[number // 2 + 1 :] if number < len(steps) else self.cut_out
            wide = sketch.width_of(self.name(area.name))
            place = self._room_for(self._drawn(area), wide, _TALL, [*self.taken, *inner], _MIDDLE_FIRST)
            found.append((area, place))
        if not steps and any(place is None for _, place in found):
            return self.read.zones
        outside = []
        for area, place in found:
            name = self.name(area.name)
            if place is None or not sketch.free(sketch.box_of(*place, name, anchor="middle")):
                outside.append(area)
            else:
                sketch.words(*place, name, anchor="middle", plate=TINT if area.glue else "")
        return outside

    def _grain(self) -> bool:
        """A grain arrow in the largest zone, as on a sewing pattern; False if there is no room."""
        sketch = self.sketch
        zones = [zone for zone in self.read.zones if not zone.glue] or self.read.zones
        region = Box(0.0, 0.0, self.wide, self.long)
        if zones:
            region = self._drawn(max(zones, key=lambda zone: zone.bottom - zone.top))
        taken = [*self.taken, *self.cut_out]
        grain = self.say("grain")
        word = sketch.width_of(grain)
        wide, tall = region.right - region.left, region.bottom - region.top
        if self.read.piece.grain == "width":
            span = max(word + 6, min(40.0, wide * 0.45))
            place = self._room_for(region, span, _TALL + 2.4, taken, _LOW_FIRST)
            if place is None:
                return False
            x, y = place
            sketch.words(x, y - 1.2, grain, anchor="middle", ink=SECOND)
            at = y + _TALL / 2
            sketch.measure(x - span / 2, at, x + span / 2, at)
        else:
            span = max(9.0, min(40.0, tall * 0.3))
            place = self._room_for(region, word + 4, span, taken, (0.5, *_LOW_FIRST))
            if place is None:
                return False
            x, y = place
            left = x - (word + 4) / 2
            sketch.measure(left + 1, y - span / 2, left + 1, y + span / 2)
            sketch.words(left + 3, y, grain, ink=SECOND)
        return True

    def _names_beside(self, areas: list[_Area]) -> float:
        """Names to the right of the piece, each on a leader; returns the middle of the lowest."""
        sketch, wide = self.sketch, self.wide
        areas = sorted(areas, key=lambda area: area.top + area.bottom)
        boxes = [self._drawn(area) for area in areas]
        middles = [(box.top + box.bottom) / 2 for box in boxes]
        places = spread(middles, _PITCH, least=1.0)  # clear of the words over the piece
        with sketch.group("leaders", LEADER):
            for box, middle, place in zip(boxes, middles, places, strict=True):
                start = max(box.right - 1.2, (box.left + box.right) / 2)
                sketch.polyline(
                    [(start, middle), (wide + 1.5, middle), (wide + 4, place), (wide + 5, place)]
                )
                sketch.dot(start, middle, 0.4, fill=SECOND)
        with sketch.group("names"):
            for area, place in zip(areas, places, strict=True):
                sketch.words(wide + 5.6, place, self.name(area.name))
        return places[-1]

    def _pairs(self, marks: Sequence[Fraction]) -> list[tuple[str, str]]:
        """Both readings of each mark; the second is "" where it says nothing new."""
        pairs = [self.shown.pair(mark) for mark in marks[1:]]
        return [("0", ""), *((first, "" if second == first else second) for first, second in pairs)]

    def _measure_along(self) -> float:
        """Positions from the top end down the left side; returns the middle of the lowest."""
        sketch, marks = self.sketch, self.read.along
        at = [float(mark) * self.k for mark in marks]
        places = spread(at, _PITCH, least=0.0)
        pairs = self._pairs(marks)
        with sketch.group("measures", HAIR):
            sketch.line(-3, at[0], -3, at[-1])
            for y, place in zip(at, places, strict=True):
                sketch.polyline([(-0.8, y), (-3.8, y), (-5.8, place), (-6.4, place)])
            sketch.dot(-3, 0, 0.8, fill=PAPER, line=HAIR)
        with sketch.group("figures"):
            first = min(
                sketch.words(-7, place, pair[0], anchor="end").left
                for pair, place in zip(pairs, places, strict=True)
            )
            for pair, place in zip(pairs, places, strict=True):
                if pair[1]:
                    sketch.words(first - 2.4, place, pair[1], anchor="end", ink=SECOND)
        return places[-1]

    def _measure_across(self, lowest: float) -> None:
        """The width under the piece; with slits, every position from the left side."""
        sketch, marks, long = self.sketch, self.read.across, self.long
        at = [float(mark) * self.k for mark in marks]
        base = max(long, lowest) + 5
        pairs = self._pairs(marks)
        if len(marks) == 2:
            with sketch.group("measures", HAIR):
                sketch.line(at[0], long + 1, at[0], base + 1)
                sketch.line(at[1], long + 1, at[1], base + 1)
                sketch.measure(at[0], base, at[1], base)
            first, second = pairs[-1]
            with sketch.group("figures"):
                one, gap = sketch.width_of(first), 2.4 if second else 0.0
                left = at[1] / 2 - (one + gap + sketch.width_of(second)) / 2
                sketch.words(left, base + 3.8, first)
                if second:
                    sketch.words(left + one + gap, base + 3.8, second, ink=SECOND)
            return
        places = spread(at, _PITCH)
        with sketch.group("measures", HAIR):
            sketch.line(at[0], base - 1, at[-1], base - 1)
            for x, place in zip(at, places, strict=True):
                sketch.polyline([(x, long + 1), (x, base), (place, base + 2.4), (place, base + 3)])
            sketch.dot(at[0], base - 1, 0.8, fill=PAPER, line=HAIR)
        with sketch.group("figures"):
            below = max(
                sketch.words(place, base + 3.6, pair[0], anchor="end", upright=False).bottom
                for pair, place in zip(pairs, places, strict=True)
            )
            for pair, place in zip(pairs, places, strict=True):
                if pair[1]:
                    sketch.words(place, below + 2.4, pair[1], anchor="end", ink=SECOND, upright=False)

    def _head(self, more: list[str], grain_inside: bool) -> None:
        """Which end is the top, and over it the name and what to know before cutting."""
        sketch, piece = self.sketch, self.read.piece
        with sketch.group("head"):
            top = self.say("top end")
            half = sketch.width_of(top) / 2
            middle = max(self.wide / 2, half - 2)
            sketch.arrowhead(middle - half - 2.2, -4.7, 0, -1, fill=INK, size=2.6, across=0.42)
            sketch.words(middle, -3.3, top, anchor="middle")
            grain = self.say("grain")
            behind = 0.0 if grain_inside else 2.4 + sketch.width_of(grain) + 1.6 + 8
            lines = self._in_lines(" · ".join([*_notes(piece, self.shown.language), *more]), behind)
            wide = max(sketch.width_of(line) for line in lines)
            left = max(sketch.bounds.left, min(0.0, self.wide - wide))
            above = -9.2 - _PITCH * (len(lines) - 1)
            for number, line in enumerate(lines):
                box = sketch.words(left, above + _PITCH * number, line, ink=SECOND)
            if not grain_inside:
                at = sketch.words(box.right + 2.4, -9.2, grain, ink=SECOND).right + 1.6
                if piece.grain == "width":
                    sketch.measure(at, -9.2, at + 8, -9.2)
                else:
                    sketch.measure(at + 1, -12.2, at + 1, -6.2)
            names = self._in_lines(self.name(piece.name), size=HEADING)
            for number, line in enumerate(reversed(names)):
                sketch.words(left, above - 5.4 - number * _PITCH * HEADING / WORDS, line, size=HEADING)

    def _in_lines(self, words: str, behind: float = 0.0, size: float = WORDS) -> list[str]:
        """The words in lines that are no wider than the picture may be; a longer word stays whole.

        behind  room kept free after the last line
        """
        room, sketch = self.widest - 2 * _EDGE, self.sketch
        if sketch.width_of(words, size) + behind <= room:
            return [words]
        lines = [""]
        for part in _PARTS.split(words):
            longer = f"{lines[-1]}{part}"
            if lines[-1] and sketch.width_of(longer.rstrip(" ·"), size) + behind > room:
                longer = part
                lines.append("")
            lines[-1] = longer
        return [line.rstrip(" ·") for line in lines]


_PARTS = re.compile("(?<= · )|(?<=[^·] )(?!· )")
_EDGE = 3.0  # ground around a picture, as `Sketch.svg` leaves it
_MIDDLE_FIRST = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.15, 0.85, 0.1, 0.9, 0.07, 0.05)
_LOW_FIRST = (0.8, 0.75, 0.85, 0.7, 0.9, 0.65, 0.95, 0.2, 0.15, 0.1)


def _drawn_flat(
    read: _Read,
    shown: Readings,
    scale: Fraction,
    prefix: str,
    more: list[str],
    widest: float = float("inf"),
) -> Sketch:
    flat = _Flat(read, shown, float(scale), prefix, widest)
    flat.draw(more)
    return flat.sketch


# Keys and whole pictures --------------------------------------------------------

_KEY = {
    "cut": (message("cut"), CUT),
    "valley": (message("valley: fold towards you"), VALLEY),
    "mountain": (message("mountain: fold away from you"), MOUNTAIN),
}


def _key(
    sketch: Sketch,
    pieces: Sequence[_Read],
    left: float,
    top: float,
    wide: float,
    language: Language,
) -> None:
    """What each kind of line means, only those that are used, wrapped to a width."""
    folds = {score.fold for piece in pieces for score in piece.scores}
    glue = any(zone.glue for piece in pieces for zone in piece.zones)
    kinds = [kind for kind in _KEY if kind == "cut" or kind in folds] + ["glue"] * glue
    x, y = left, top
    with sketch.group("key"):
        for kind in kinds:
            words, line = _KEY.get(kind, (message("glue"), None))
            words = language.say(words)
            span = 14 + sketch.width_of(words)
            if x > left and x + span > left + wide:
                x, y = left, y + _PITCH + 0.6
            if line is not None:
                sketch.line(x, y, x + 11, y, line)
            else:
                sketch.hatched(x, y - 1.6, 11, 3.2)
            sketch.words(x + 12.8, y, words)
            x += span + 5


def draw_piece(
    piece: Piece,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
    scale: Fraction | float | str = 1,
    key: bool = True,
    says_scale: bool = True,
    widest_mm: float = float("inf"),
    prefix: str = "",
    title: str | None = None,
) -> str:
    """One piece, flat and true to scale, with names, scores, glue areas, grain and measures.

    grids   two rulers: the one to work on, and the one whose reading stands beside it; unless
            given the usual two, that of the piece's unit first
    scale   1 is full size, Fraction(1, 2) half
    key     say under the piece what each kind of line means
    says_scale  name the scale over the piece; False for a page that enlarges the picture
    widest_mm   what stands over the piece is broken into lines so that the picture is no wider, where
            the piece with its names and figures is not
    prefix  begins every id, so that several pictures can stand in one page
    title   of the picture, for screen readers; unless given, the name of the piece
    Returns: SVG text in millimetres. The groups "cut", "valley" and "mountain" hold the lines of
    the piece, their origin its top left corner.
    Raises: ValueError if the scale is not above 0 or the prefix cannot start an id.
    """
    scale = _as_scale(scale)
    read, shown = _Read(piece), Readings.of(piece.length, grids)
    more = [scale_words(scale, shown.language)] if says_scale else []
    sketch = _drawn_flat(read, shown, scale, prefix, more, widest_mm)
    if key:
        left, _, right, bottom = sketch.bounds
        _key(sketch, [read], left, bottom + 6, max(right - left, 70.0), shown.language)
    return sketch.svg(title or shown.language.name(piece.name), _described(read, shown, scale))


def _common_scale(pieces: Sequence[_Read]) -> Fraction:
    """The largest of `SCALES` at which no piece is drawn longer than 75 mm."""
    longest = max(max(read.wide, read.long) for read in pieces)
    return next((scale for scale in SCALES if longest * scale <= 75), SCALES[-1])


def describe_pieces(
    card: Card,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
    scale: Fraction | float | str | None = None,
    pieces: Sequence[Piece] | None = None,
) -> str:
    """What `draw_pieces` shows, in words, a blank line between pieces."""
    every = [_Read(piece) for piece in pieces or cut_list(card)]
    at = _common_scale(every) if scale is None else _as_scale(scale)
    return _all_described(every, Readings.of(card.height, grids), at)


def _all_described(every: Sequence[_Read], shown: Readings, scale: Fraction) -> str:
    return "\n\n".join(_described(read, shown, scale) for read in every)


def draw_pieces(
    card: Card,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
    scale: Fraction | float | str | None = None,
    width_mm: float = 240.0,
    pieces: Sequence[Piece] | None = None,
    prefix: str = "",
    title: str | None = None,
) -> str:
    """All pieces of a card at one scale, in rows, the key once below them.

    grids     two rulers, as for `draw_piece`
    scale     of every piece; unless given, the largest of `SCALES` that keeps each within 75 mm
    width_mm  of a row; a piece that is wider by itself makes the picture wider
    pieces    to draw; unless given, the card's cut list
    Returns: SVG text in millimetres.
    """
    every = [_Read(piece) for piece in pieces or cut_list(card)]
    shown = Readings.of(card.height, grids)
    at = _common_scale(every) if scale is None else _as_scale(scale)
    sketch = Sketch(prefix=prefix, exact=True)
    x, y, row_bottom = 0.0, 0.0, 0.0
    for read in every:
        one = _drawn_flat(read, shown, at, prefix, [])
        left, top, right, bottom = one.bounds
        if x > 0 and x + right - left > width_mm:
            x, y = 0.0, row_bottom + 8
        sketch.place(one, x - left, y - top)
        row_bottom = max(row_bottom, y + bottom - top)
        x += right - left + 7
    left, _, right, bottom = sketch.bounds
    language = shown.language
    _key(sketch, every, left, bottom + 8, max(right - left, width_mm), language)
    note = language.say("All pieces drawn {scale}", scale=scale_words(at, language))
    with sketch.group("head"):
        sketch.words(left, -7, note, ink=SECOND)
    return sketch.svg(title or note, _all_described(every, shown, at))
