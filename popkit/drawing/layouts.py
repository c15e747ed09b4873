"""A sheet as it is cut up: pieces in their places, the cuts numbered in order, what is left over.

The sheet lies with its grain up and down the page, its top end away from you. Cuts are solid, each
with the number of its step in a dark disc at its end; offcuts are hatched. A piece too small for
its name bears a letter that a key under the picture explains, and one too small for a letter has
it beside the sheet, with a leader.

Imports: lengths, language, classplan.naming, classplan.results; conventions, lettering, flat (scales)
and svg of this package.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import product
from math import hypot

from popkit.classplan.naming import piece_name
from popkit.classplan.results import Layout
from popkit.drawing.conventions import CUT, HAIR, HEADING, INK, LEADER, OUTLINE, PAPER, SECOND, WORDS
from popkit.drawing.flat import SCALES, scale_words
from popkit.drawing.lettering import ASCENT, DESCENT, Box, Readings, spread
from popkit.drawing.svg import Sketch
from popkit.language import BRITISH, Language, as_language, message
from popkit.lengths import Grid, Length, mm

__all__ = ["describe_layout", "draw_layout", "layout_heading", "layout_scale"]

_TALL = (ASCENT + DESCENT) * WORDS
_PITCH = _TALL + 0.3
_AIR = 0.9  # around words inside a piece
_HATCH = 3.4  # from one line of the hatching to the next
_BEYOND = 0.8  # from the edge of the sheet to a disc outside it
_HELD = "\N{NO-BREAK SPACE}"
_SLIVER = Fraction(127, 20)  # 1/4 in: an offcut that is narrower is waste, and not named
_WASTE = message("Hatched strips under ¼ in (6 mm) are waste.")
_LEAST = 34.0  # millimetres that a line of the key or of the heading may always take


def layout_scale(layouts: Iterable[Layout], room: tuple[float, float]) -> Fraction:
    """The largest of our scales at which every one of these sheets fits the room.

    room  width and height, mm, that a page or a screen has for the sheet itself
    """
    sides = [(mm(one.sheet.width), mm(one.sheet.height)) for one in layouts]
    wide, tall = (max((side[n] for side in sides), default=Fraction(1)) for n in (0, 1))
    fit = [one for one in SCALES if wide * one <= room[0] and tall * one <= room[1]]
    return max(fit, default=SCALES[-1])


def layout_heading(layout: Layout, *, language: Language | str = BRITISH) -> str:
    """ "Layout A: 12 sheets of A4 card stock"."""
    language = as_language(language)
    sheet = layout.sheet.name
    if layout.stock is not None:
        stock = language.name(layout.stock.name)
        sheet = language.say("{sheet} {stock}", sheet=sheet, stock=stock)
    if layout.from_cupboard:
        return language.many(
            layout.count,
            "Layout {name}: {count} sheet of {sheet} from the cupboard",
            "Layout {name}: {count} sheets of {sheet} from the cupboard",
            name=layout.name,
            sheet=sheet,
        )
    return language.many(
        layout.count,
        "Layout {name}: {count} sheet of {sheet}",
        "Layout {name}: {count} sheets of {sheet}",
        name=layout.name,
        sheet=sheet,
    )


def _grained(layout: Layout) -> bool:
    """Whether the sheet has a grain: a plastic has none."""
    return layout.stock is None or layout.stock.kind != "plastic"


# In words -------------------------------------------------------------------------


def describe_layout(
    layout: Layout,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
    language: Language | str = BRITISH,
) -> str:
    """What the picture shows, in words.

    grids     two rulers for the sizes; unless given the usual two
    language  of the words and of the sizes
    """
    language = as_language(language)
    read, say = Readings.of(layout.sheet.width, grids).said(language), language.say

    def size(wide: Length, tall: Length) -> str:
        return _both(read, mm(wide), mm(tall))

    heading = layout_heading(layout, language=language)
    whole = size(layout.sheet.width, layout.sheet.height)
    if _grained(layout):
        lines = [say("{heading}, {size}, grain from top to bottom.", heading=heading, size=whole)]
    else:
        lines = [f"{heading}, {whole}."]
    kinds: dict[tuple, int] = {}
    for one in layout.placements:
        key = (piece_name(one.piece, language), size(one.width, one.height))
        kinds[key] = kinds.get(key, 0) + 1
    lines += [f"{count} × {name}, {sized}." for (name, sized), count in kinds.items()]
    for cut in layout.cuts:
        told = _ALONG if cut.runs == "along" else _ACROSS
        long = read.both(mm(cut.stop) - mm(cut.start))
        lines.append(say(told, number=cut.number, at=read.both(mm(cut.at)), length=long))
    left: dict[str, int] = {}
    for one in layout.offcuts:
        key = size(one.width, one.height)
        left[key] = left.get(key, 0) + 1
    lines += [say("Left over: {count} × {size}.", count=n, size=key) for key, n in left.items()]
    return "\n".join(lines)


_ALONG = message("Cut {number}: along, {at} from the left side, {length} long.")
_ACROSS = message("Cut {number}: across, {at} from the top end, {length} long.")


def _sizes(read: Readings, wide: Fraction, tall: Fraction) -> tuple[str, str]:
    """(4¾ × 8 in, 121 × 203 mm)."""
    pairs = list(zip(read.pair(wide), read.pair(tall), strict=True))
    return tuple(_joined(*pair) for pair in pairs)


def _joined(first: str, second: str) -> str:
    unit = first.rsplit(" ", 1)[-1]
    return (
        f"{first.removesuffix(' ' + unit)} × {second}"
        if second.endswith(f" {unit}")
        else (f"{first} × {second}")
    )


def _both(read: Readings, wide: Fraction, tall: Fraction) -> str:
    first, second = _sizes(read, wide, tall)
    return first if first == second else f"{first} ({second})"


# Places ---------------------------------------------------------------------------


@dataclass(slots=True)
class _Plate:
    """A rectangle of the sheet to be named, on the page: a piece or an offcut.

    name   of the piece, or "" for an offcut
    sizes  on the two rulers
    sliver whether it is an offcut too narrow to be of use
    times  how many alike it stands for, lying side by side
    letter in the key, or ""
    """

    name: str
    box: Box
    sizes: tuple[str, str]
    offcut: bool
    sliver: bool = False
    times: int = 1
    letter: str = ""

    @property
    def kind(self) -> tuple:
        return (self.name, self.sizes, self.offcut)


@dataclass(slots=True)
class _Table:
    """What is taken already, and what had to go beside the sheet."""

    sketch: Sketch
    language: Language
    taken: list[Box] = field(default_factory=list)
    outside: list[tuple[str, float, float, bool]] = field(default_factory=list)

    def free(self, box: Box, clear: float = 0.4) -> bool:
        return not any(box.meets(other, clear) for other in self.taken)


def draw_layout(
    layout: Layout,
    *,
    scale: Fraction | float | str | None = None,
    grids: Sequence[Grid | Length | str] | None = None,
    heading: bool = True,
    prefix: str = "",
    language: Language | str = BRITISH,
) -> str:
    """SVG text of one sheet, true to scale, cut lines and all.

    scale    page over paper, as in Fraction(1, 3); unless given, one that fits 120 x 150 mm
    grids    two rulers for the sizes; unless given the usual two, that of the sheet first
    heading  whether its name, its number and the scale stand over it
    prefix   for the ids in it
    language of the words and of the sizes
    Returns: text; no word lies on another, no disc on a word.
    """
    scale = layout_scale([layout], (120, 150)) if scale is None else Fraction(scale)
    if scale <= 0:
        raise ValueError(f"A scale of {scale}: write a number above 0, as in Fraction(1, 2).")
    language = as_language(language)
    read = Readings.of(layout.sheet.width, grids).said(language)
    factor = float(scale)
    sketch = Sketch(prefix=prefix, exact=True)
    wide, tall = (float(mm(side)) * factor for side in (layout.sheet.width, layout.sheet.height))
    sheet = Box(0.0, 0.0, wide, tall)
    plates = list(_plates(layout, read, factor))
    with sketch.group("sheet"):
        sketch.rect(0, 0, wide, tall, fill=PAPER, line=OUTLINE)
    with sketch.group("offcut", HAIR):
        for plate in plates:
            if plate.offcut:
                _hatch(sketch, plate.box)
    with sketch.group("cut", CUT):
        for line in _lines(layout, factor):
            sketch.line(*line[1:])
    table = _Table(sketch, language)
    discs = _discs(layout, factor, sheet, table)
    slivers = [plate for plate in plates if plate.sliver]
    named, letters = _named([plate for plate in plates if not plate.sliver], table)
    _beside(table, sheet, discs)
    for plate, lines, box, upright in named:
        _write(sketch, plate, lines, box, upright)
    with sketch.group("numbers"):
        for words, x, y in discs:
            sketch.dot(x, y, _radius(sketch, words), fill=INK)
            sketch.words(x, y, words, anchor="middle", ink=PAPER)
    if _grained(layout):
        _grain(sketch, tall, language)
    if heading:
        _heading(sketch, layout, read, scale, wide)
    _key(sketch, letters, bool(slivers), wide, language)
    return sketch.svg(
        layout_heading(layout, language=language),
        describe_layout(layout, grids=grids, language=language),
    )


def _plates(layout: Layout, read: Readings, factor: float) -> Iterator[_Plate]:
    placed = [(one, piece_name(one.piece, read.language), False) for one in layout.placements]
    placed += [(one, "", True) for one in layout.offcuts]
    for one, name, offcut in placed:
        x, y, w, h = (mm(side) for side in (one.x, one.y, one.width, one.height))
        box = Box(*(float(side) * factor for side in (x, y, x + w, y + h)))
        sliver = offcut and min(w, h) < _SLIVER
        yield _Plate(name=name, box=box, sizes=_sizes(read, w, h), offcut=offcut, sliver=sliver)


def _lines(layout: Layout, factor: float) -> Iterator[tuple[str, float, float, float, float]]:
    for cut in layout.cuts:
        at, start, stop = (float(mm(side)) * factor for side in (cut.at, cut.start, cut.stop))
        ends = (at, start, at, stop) if cut.runs == "along" else (start, at, stop, at)
        yield (str(cut.number), *ends)


def _hatch(sketch: Sketch, box: Box) -> None:
    """Lines rising to the right, fewer than a glue area has."""
    wide, tall = box.right - box.left, box.bottom - box.top
    step, at = _HATCH * 2**0.5, _HATCH * 2**0.5 / 2
    while at < wide + tall:
        x1, y1 = (box.left, box.top + at) if at <= tall else (box.left + at - tall, box.bottom)
        x2, y2 = (box.left + at, box.top) if at <= wide else (box.right, box.top + at - wide)
        sketch.line(x1, y1, x2, y2)
        at += step


# Numbers of the cuts ----------------------------------------------------------------


def _radius(sketch: Sketch, words: str) -> float:
    return max(2.3, hypot(sketch.width_of(words) / 2, WORDS * 0.36) + 0.35)


def _round(x: float, y: float, radius: float) -> Box:
    return Box(x - radius, y - radius, x + radius, y + radius)


def _discs(layout: Layout, factor: float, sheet: Box, table: _Table) -> list[tuple[str, float, float]]:
    """(number, x, y) of a disc for each cut, at its end or as near to it as there is room."""
    lines = list(_lines(layout, factor))
    found = []
    for words, x1, y1, x2, y2 in lines:
        radius = _radius(table.sketch, words)
        long = hypot(x2 - x1, y2 - y1)
        dx, dy = ((x2 - x1) / long, (y2 - y1) / long) if long else (1.0, 0.0)
        spots = []
        for x, y, out in ((x2, y2, 1), (x1, y1, -1)):
            edge = (
                min(abs(x - sheet.left), abs(x - sheet.right))
                if dx
                else (min(abs(y - sheet.top), abs(y - sheet.bottom)))
            )
            if edge < 1e-6:
                away = out * (radius + _BEYOND)
                spots.append((x + dx * away, y + dy * away))
        inside = radius + 0.3
        while inside <= long - radius - 0.3:
            spots.append((x2 - dx * inside, y2 - dy * inside))
            inside += 1.0
        own = (words, x1, y1, x2, y2)
        # Where two cuts run a hair apart a disc on one lies on both; better that than far away.
        others = [other for other in lines if other != own]
        askew = [other for other in others if (other[1] == other[3]) != (x1 == x2)]
        free = (
            (x, y)
            for crossing in (others, askew)
            for x, y in spots
            if table.free(box := _round(x, y, radius), 0.3)
            and not any(_crosses(box, other) for other in crossing)
        )
        spot = next(free, None)
        if spot is None:
            table.outside.append((words, (x1 + x2) / 2, (y1 + y2) / 2, True))
            continue
        table.taken.append(_round(*spot, radius))
        found.append((words, *spot))
    return found


def _crosses(box: Box, line: tuple) -> bool:
    """Whether an upright or level line runs through a box."""
    _, x1, y1, x2, y2 = line
    return (
        min(x1, x2) < box.right
        and max(x1, x2) > box.left
        and min(y1, y2) < box.bottom
        and max(y1, y2) > box.top
    )


# Names of the pieces ----------------------------------------------------------------

_Label = tuple[_Plate, tuple[str, ...], Box, bool]


def _named(plates: list[_Plate], table: _Table) -> tuple[list[_Label], dict[tuple, _Plate]]:
    """(plate, lines, box, upright) of every name that found its place, and who has a letter."""
    named: list[_Label] = []
    tiny: list[_Plate] = []
    # All of a kind are named alike, so that nobody looks for a difference.
    kinds: dict[tuple, list[_Plate]] = {}
    for plate in plates:
        kinds.setdefault(plate.kind, []).append(plate)
    for same in kinds.values():
        for lines_of in (_full, _in_one_line, _shorter):
            placed = _all_placed(same, lines_of, table)
            if placed is not None:
                named += placed
                break
        else:
            tiny += same
    letters: dict[tuple, _Plate] = {}
    unnamed = []
    for plate in tiny:
        first = letters.setdefault(plate.kind, plate)
        first.letter = first.letter or _letter(len(letters) - 1)
        found = _placed(plate, (first.letter,), table)
        if found is None:
            unnamed.append(replace(plate, letter=first.letter))
        else:
            named.append(found)
    for plate in _merged(unnamed):
        mark = f"{plate.times} × {plate.letter}" if plate.times > 1 else plate.letter
        middle = (plate.box.left + plate.box.right) / 2, (plate.box.top + plate.box.bottom) / 2
        table.outside.append((mark, *middle, False))
    return named, letters


def _letter(number: int) -> str:
    name = ""
    number += 1
    while number:
        number, digit = divmod(number - 1, 26)
        name = chr(ord("a") + digit) + name
    return name


def _full(plate: _Plate, width: float, table: _Table) -> tuple[str, ...]:
    first, second = plate.sizes
    sizes = (first,) if first == second else (first, f"({second})")
    return (*_wrapped(table.sketch, plate.name or table.language.say("offcut"), width), *sizes)


def _in_one_line(plate: _Plate, width: float, table: _Table) -> tuple[str, ...]:
    name = f"{plate.name}, " if plate.name else ""
    return (f"{name}{_sized(plate)}",)


def _sized(plate: _Plate) -> str:
    first, second = plate.sizes
    return first if first == second else f"{first} ({second})"


def _shorter(plate: _Plate, width: float, table: _Table) -> tuple[str, ...]:
    return (
        *(_wrapped(table.sketch, plate.name, width) if plate.name else ()),
        plate.sizes[0],
    )


def _wrapped(sketch: Sketch, text: str, width: float) -> list[str]:
    """The words in lines no wider than they must be."""
    lines: list[str] = []
    for word in text.split():
        if lines and sketch.width_of(f"{lines[-1]} {word}") <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _all_placed(same: list[_Plate], lines_of: object, table: _Table) -> list[_Label] | None:
    """A place for the label of every one of them, or None; nothing is taken then."""
    before = len(table.taken)
    placed = []
    for plate in same:
        box = plate.box
        sides = (box.right - box.left, box.bottom - box.top)
        found = None
        for across in (sides[0], sides[1]):
            lines = lines_of(plate, across - 2 * _AIR, table)
            found = _placed(
                plate, lines, table, (across == sides[0],) if sides[0] != sides[1] else (True,)
            )
            if found is not None:
                break
        if found is None:
            del table.taken[before:]
            return None
        placed.append(found)
    return placed


def _placed(
    plate: _Plate, lines: tuple[str, ...], table: _Table, ways: tuple[bool, ...] = (True, False)
) -> _Label | None:
    """The lines at a free spot of their plate, the nearest to its middle; upright if they may be."""
    long = max(table.sketch.width_of(line) for line in lines)
    deep = _TALL + (len(lines) - 1) * _PITCH
    for upright in ways:
        wide, tall = (long, deep) if upright else (deep, long)
        room = (
            plate.box.right - plate.box.left - 2 * _AIR - wide,
            plate.box.bottom - plate.box.top - 2 * _AIR - tall,
        )
        if min(room) < 0:
            continue
        spots = sorted(
            product(_shifts(room[0]), _shifts(room[1])),
            key=lambda at: abs(at[0] - room[0] / 2) + abs(at[1] - room[1] / 2),
        )
        for right, down in spots:
            left, top = plate.box.left + _AIR + right, plate.box.top + _AIR + down
            box = Box(left, top, left + wide, top + tall)
            if table.free(box):
                table.taken.append(box)
                return plate, lines, box, upright
    return None


def _shifts(room: float) -> list[float]:
    count = min(12, int(room / 1.5)) + 1
    return [room / 2] if count < 2 else sorted({room / 2, *(room * n / count for n in range(count + 1))})


def _merged(plates: list[_Plate]) -> list[_Plate]:
    """Plates of one kind that lie side by side as one, so many times."""
    found: list[_Plate] = []
    for plate in sorted(plates, key=lambda one: (one.kind, one.box.top, one.box.left)):
        for last in found:
            if last.kind == plate.kind and (joined := _joint(last.box, plate.box)) is not None:
                last.box, last.times = joined, last.times + 1
                break
        else:
            found.append(plate)
    return found


def _joint(one: Box, other: Box) -> Box | None:
    """The two as one rectangle, where they share a whole side."""
    level = abs(one.top - other.top) + abs(one.bottom - other.bottom) < 1e-6
    plumb = abs(one.left - other.left) + abs(one.right - other.right) < 1e-6
    if level and min(abs(one.right - other.left), abs(other.right - one.left)) < 1e-6:
        return Box(min(one.left, other.left), one.top, max(one.right, other.right), one.bottom)
    if plumb and min(abs(one.bottom - other.top), abs(other.bottom - one.top)) < 1e-6:
        return Box(one.left, min(one.top, other.top), one.right, max(one.bottom, other.bottom))
    return None


def _write(sketch: Sketch, plate: _Plate, lines: tuple[str, ...], box: Box, upright: bool) -> None:
    # On its own ground, so that neither hatching nor a leader runs through it.
    sketch.rect(
        box.left - 0.5,
        box.top - 0.2,
        box.right - box.left + 1.0,
        box.bottom - box.top + 0.4,
        fill=PAPER,
    )
    ink = SECOND if plate.offcut else INK
    for number, line in enumerate(lines):
        shift = ASCENT * WORDS - 0.33 * WORDS + number * _PITCH
        if upright:
            sketch.words((box.left + box.right) / 2, box.top + shift, line, anchor="middle", ink=ink)
        else:
            middle = (box.top + box.bottom) / 2
            sketch.words(box.left + shift, middle, line, anchor="middle", ink=ink, upright=False)


# Beside the sheet ---------------------------------------------------------------------


def _beside(table: _Table, sheet: Box, discs: list[tuple[str, float, float]]) -> None:
    """What found no room on the sheet, in a column to its right, each with a leader."""
    if not table.outside:
        return
    sketch = table.sketch
    edge = max([sheet.right, *(box.right for box in table.taken)])
    column = edge + 5.0
    ordered = sorted(table.outside, key=lambda one: (one[2], one[1]))
    widest = max((_radius(sketch, words) for words, *_, number in ordered if number), default=0.0)
    heights = spread([one[2] for one in ordered], max(_PITCH + 0.6, 2 * widest + 0.6))
    with sketch.group("leader", LEADER):
        for (_, x, y, _number), at in zip(ordered, heights, strict=True):
            sketch.line(x, y, column - 0.8, at)
    for (words, x, y, number), at in zip(ordered, heights, strict=True):
        sketch.dot(x, y, 0.55, fill=SECOND)
        if number:
            radius = _radius(sketch, words)
            discs.append((words, column + radius, at))
            table.taken.append(_round(column + radius, at, radius))
        else:
            sketch.words(column, at, words)


def _grain(sketch: Sketch, tall: float, language: Language) -> None:
    """An arrow along the grain, to the left of the sheet and of all that stands there."""
    x = sketch.bounds.left - 3.2
    middle = tall / 2
    half = min(tall / 2, 14.0)
    sketch.line(x, middle - half, x, middle + half, HAIR)
    sketch.arrowhead(x, middle - half, 0, -1)
    sketch.arrowhead(x, middle + half, 0, 1)
    sketch.words(x - 2.6, middle, language.say("grain"), anchor="middle", ink=SECOND, upright=False)


def _heading(sketch: Sketch, layout: Layout, read: Readings, scale: Fraction, wide: float) -> None:
    sheet = layout.sheet
    size = _both(read, mm(sheet.width), mm(sheet.height)).replace(" ", _HELD).replace(f"{_HELD}(", " (")
    width = max(wide, sketch.bounds.right, _LEAST)
    title = _wrapped_at(sketch, layout_heading(layout, language=read.language), width, HEADING)
    scaled = scale_words(scale, read.language).replace(" ", _HELD)
    note = read.language.say("{size}, drawn {scale}", size=size, scale=scaled)
    notes = _wrapped_at(sketch, note, width, WORDS)
    y = sketch.bounds.top - 2.2
    for lines, size_mm, ink in ((notes, WORDS, SECOND), (title, HEADING, INK)):
        for line in reversed(lines):
            y -= DESCENT * size_mm + ASCENT * size_mm / 2
            sketch.words(0, y, line, size=size_mm, ink=ink)
            y -= ASCENT * size_mm / 2 + 0.6


def _wrapped_at(sketch: Sketch, text: str, width: float, size: float) -> list[str]:
    lines: list[str] = []
    for word in text.split(" "):
        if lines and sketch.width_of(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _key(
    sketch: Sketch, letters: dict[tuple, _Plate], slivers: bool, wide: float, language: Language
) -> None:
    """What each letter stands for, under the picture."""
    if not letters and not slivers:
        return
    width, offcut = max(wide, sketch.bounds.right, _LEAST) - 5.0, language.say("offcut")
    y = sketch.bounds.bottom + 2.0
    with sketch.group("key"):
        for plate in letters.values():
            size = _sized(plate).replace(" ", _HELD).replace(f"{_HELD}(", " (")
            lines = _wrapped_at(sketch, f"{plate.name or offcut}, {size}", width, WORDS)
            for number, line in enumerate(lines):
                y += _PITCH
                if number == 0:
                    sketch.words(0, y - _PITCH / 2, plate.letter)
                sketch.words(max(5.0, sketch.width_of(plate.letter) + 2), y - _PITCH / 2, line)
            y += 0.6
        for line in _wrapped_at(sketch, language.say(_WASTE), width + 5.0, WORDS) if slivers else ():
            y += _PITCH
            sketch.words(0, y - _PITCH / 2, line, ink=SECOND)
