"""Files for cutting machines: every line of a piece, or of a whole sheet, at its true size.

The lines stand in groups named for what is done along them: cut, valley, mountain, glue, print. A
machine's own program is told what to do with each group; nothing else tells them apart, so they are
named by id and title and all drawn in one ink. A group without a line is left out. Each line is one
path from end to end: the dashes of a fold are its looks alone. Slits come before outlines, so that
nothing works loose while it is being cut.

The width of the cut is not modelled: a line is where the middle of the blade goes. Where two pieces
of a sheet touch, each has its own outline and the common side is there twice.

Imports: lengths, pieces, classplan.results, drawing.conventions, drawing.lettering, drawing.svg.
ezdxf when the first DXF is made.
Sources: SVG 1.1, W3C 2011; DXF as AutoCAD Release 12 wrote it, through ezdxf.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from popkit.classplan.results import Layout
from popkit.drawing.conventions import FONTS, INK, MOUNTAIN, VALLEY, WORDS
from popkit.drawing.lettering import ASCENT, DESCENT, Readings, text_width
from popkit.drawing.svg import escaped, number
from popkit.lengths import Grid, Length, mm, show_exact
from popkit.pieces import Piece, Slit

__all__ = [
    "GROUPS",
    "CutterError",
    "Label",
    "Lines",
    "cutter_dxf",
    "cutter_svg",
    "layout_dxf",
    "layout_svg",
    "lines_of",
]

Point = tuple[Fraction, Fraction]

GROUPS = {
    "print": "Names and sizes: to be drawn, or left out.",
    "glue": "Outlines of the areas that glue or tape goes on: to be drawn, or left out.",
    "valley": "Scores that are folded towards you.",
    "mountain": "Scores that are folded away from you.",
    "cut": "Lines to cut right through: slits first, then outlines.",
}
"""The groups in the order they are worked through, and what each is for."""

_DASHES = {"valley": VALLEY.dashes, "mountain": MOUNTAIN.dashes, "glue": (0.6, 0.6)}
_HAIR = 0.2  # millimetres, as drawn on a screen: a machine follows the line's middle


class CutterError(ValueError):
    """A cutting file that cannot be made; the message says what is missing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Words to draw on a piece: `left` and `base` of their baseline, and their size, floats in mm."""

    text: str
    left: float
    base: float
    size: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """A piece as a machine meets it, in exact millimetres, x to the right and y downwards.

    name                    of the piece
    outline                 its corners in order; the last joins the first
    slits, valley, mountain lines, each from a point to a point
    glue                    corners of each area for glue
    label                   its name and size, or None where there is no room
    """

    name: str
    outline: tuple[Point, ...]
    slits: tuple[tuple[Point, Point], ...]
    valley: tuple[tuple[Point, Point], ...]
    mountain: tuple[tuple[Point, Point], ...]
    glue: tuple[tuple[Point, ...], ...]
    label: Label | None


def lines_of(
    piece: Piece,
    *,
    x: Fraction = Fraction(0),
    y: Fraction = Fraction(0),
    turned: bool = False,
    grids: Sequence[Grid | Length | str] | None = None,
    words: bool = True,
) -> Lines:
    """Every line of a piece with the left top corner of the ground it takes at (x, y).

    turned  a quarter clockwise, its top end to the right; never turned over, so the good side
            stays up
    grids   two rulers for the size in its label; unless given the usual two
    words   False: without a label
    """
    wide, long = mm(piece.width), mm(piece.length)

    def at(across: Fraction, along: Fraction) -> Point:
        return (x + long - along, y + across) if turned else (x + across, y + along)

    def box(top: Fraction, bottom: Fraction) -> tuple[Point, ...]:
        return at(Fraction(0), top), at(wide, top), at(wide, bottom), at(Fraction(0), bottom)

    folds: dict[str, list[tuple[Point, Point]]] = {"valley": [], "mountain": []}
    for crease in sorted(piece.creases, key=lambda one: (mm(one.position), mm(one.start))):
        along = mm(crease.position)
        folds[crease.fold].append((at(mm(crease.start), along), at(mm(crease.stop), along)))
    slits = sorted(piece.slits, key=lambda slit: (mm(slit.across), mm(slit.start)))
    glue, top = [], Fraction(0)
    for zone in piece.zones:
        bottom = top + mm(zone.length)
        if zone.glue:
            glue.append(box(top, bottom))
        top = bottom
    outline = box(Fraction(0), long)
    return Lines(
        name=piece.name,
        outline=outline,
        slits=tuple(
            (at(mm(slit.across), mm(slit.start)), at(mm(slit.across), mm(slit.stop))) for slit in slits
        ),
        valley=tuple(folds["valley"]),
        mountain=tuple(folds["mountain"]),
        glue=tuple(glue),
        label=_label(piece, slits, at, grids) if words else None,
    )


_LEAST = 1.2  # millimetres: smaller words than these cannot be drawn with a pen


def _label(
    piece: Piece,
    slits: Sequence[Slit],
    at: Callable[[Fraction, Fraction], Point],
    grids: Sequence[Grid | Length | str] | None,
) -> Label | None:
    """Name and size in the roomiest place that no line crosses, level, as large as usual if it can be.

    Places are looked for in the piece as it lies, between one line and the next along it; beside
    a slit only what is left of the first one.
    """
    shown = Readings.of(piece.length, grids)
    text = f"{piece.name}: {shown.both(mm(piece.width))} × {shown.both(mm(piece.length))}"
    ems = text_width(text, 1.0)
    inside = sorted({mm(crease.position) for crease in piece.creases})
    ends = {end for slit in slits for end in (mm(slit.start), mm(slit.stop))}
    marks = sorted({Fraction(0), mm(piece.length), *inside, *ends})
    best: Label | None = None
    for top, bottom in pairwise(marks):
        beside = [mm(slit.across) for slit in slits if mm(slit.start) < bottom and mm(slit.stop) > top]
        right = min(beside, default=mm(piece.width))
        corners = at(Fraction(0), top), at(right, bottom)
        left, low = (float(max(one)) for one in zip(*corners, strict=True))
        x, y = (float(min(one)) for one in zip(*corners, strict=True))
        wide, tall = left - x, low - y
        size = min(WORDS, (wide - 2) / ems, (tall - 1) / (ASCENT + DESCENT))
        if size >= _LEAST and (best is None or size > best.size):
            middle = (y + low) / 2 + (ASCENT - DESCENT) * size / 2
            best = Label(text=text, left=x + (wide - ems * size) / 2, base=middle, size=size)
    return best


# SVG ----------------------------------------------------------------------------


def _n(value: Fraction | float) -> str:
    return number(float(value))


def _path(points: Iterable[Point], *, closed: bool) -> str:
    drawn = "L".join(f"{_n(x)} {_n(y)}" for x, y in points)
    return f'<path d="M{drawn}{"Z" if closed else ""}"/>'


def _drawn(lines: Lines, group: str, words: bool) -> list[str]:
    """What one piece has in one group."""
    if group == "print":
        label = lines.label
        if label is None or not words:
            return []
        return [
            f'<text x="{_n(label.left)}" y="{_n(label.base)}" font-size="{_n(label.size)}" '
            f'fill="{INK}" stroke="none">{escaped(label.text)}</text>'
        ]
    if group == "glue":
        return [_path(ring, closed=True) for ring in lines.glue]
    if group == "cut":
        return [
            *(_path(slit, closed=False) for slit in _straight(lines, group)),
            _path(lines.outline, closed=True),
        ]
    return [_path(line, closed=False) for line in _straight(lines, group)]


def _svg(
    pieces: Sequence[Lines], size: tuple[Fraction, Fraction], title: str, desc: str, words: bool
) -> str:
    wide, tall = map(_n, size)
    several = len(pieces) > 1
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{wide}mm" height="{tall}mm" '
        f'viewBox="0 0 {wide} {tall}" role="img" aria-labelledby="title desc" '
        f'font-family="{FONTS}" font-size="{WORDS:g}">',
        f'<title id="title">{escaped(title)}</title>',
        f'<desc id="desc">{escaped(desc)}</desc>',
    ]
    for group, what in GROUPS.items():
        held = [(place, one, _drawn(one, group, words)) for place, one in enumerate(pieces, 1)]
        held = [row for row in held if row[2]]
        if not held:
            continue
        dashes = " ".join(map(_n, _DASHES.get(group, ())))
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        parts.append(
            f'<g id="{group}" fill="none" stroke="{INK}" stroke-width="{_HAIR}"{dashed}>'
            f"<title>{group}</title><desc>{what}</desc>"
        )
        for place, one, drawn in held:
            if several:
                parts.append(f'<g id="{group}-{place}"><title>{escaped(one.name)}, {group}</title>')
            parts += drawn
            if several:
                parts.append("</g>")
        parts.append("</g>")
    return "\n".join([*parts, "</svg>", ""])


_GUIDE = (
    "One unit is one millimetre. Groups by what is done: {groups}. "
    "A line is where the middle of the blade goes."
)


def _guide(lines: Sequence[Lines], words: bool) -> str:
    groups = [group for group in GROUPS if any(_drawn(one, group, words) for one in lines)]
    return _GUIDE.format(groups=", ".join(groups))


def cutter_svg(
    piece: Piece,
    *,
    words: bool = True,
    grids: Sequence[Grid | Length | str] | None = None,
    title: str | None = None,
) -> str:
    """One piece as SVG in millimetres, its left top corner at (0, 0), lines grouped by id.

    words  False: without its name and size
    grids  two rulers for the size in its label
    title  unless given, the name of the piece
    """
    lines = [lines_of(piece, grids=grids)]
    shown = Readings.of(piece.length, grids)
    size = f"{shown.both(mm(piece.width))} wide, {shown.both(mm(piece.length))} long"
    desc = f"{piece.name}: {size}, good side up, top end at the top. {_guide(lines, words)}"
    return _svg(lines, (mm(piece.width), mm(piece.length)), title or piece.name, desc, words)


def _laid(
    layout: Layout, pieces: Sequence[Piece], grids: Sequence[Grid | Length | str] | None
) -> list[Lines]:
    return [
        lines_of(
            pieces[placed.number], x=mm(placed.x), y=mm(placed.y), turned=placed.turned, grids=grids
        )
        for placed in layout.placements
    ]


def layout_svg(
    layout: Layout,
    pieces: Sequence[Piece],
    *,
    words: bool = True,
    grids: Sequence[Grid | Length | str] | None = None,
    title: str | None = None,
) -> str:
    """A whole sheet as SVG in millimetres, the sheet's left top corner at (0, 0).

    pieces  those of the plan that the layout is from, in their order there
    title   unless given, the layout's name and its sheet
    """
    lines = _laid(layout, pieces, grids)
    desc = f"{_sheet_words(layout)} {_guide(lines, words)}"
    size = mm(layout.sheet.width), mm(layout.sheet.height)
    return _svg(lines, size, title or f"Sheet {layout.name}, {layout.sheet.name}", desc, words)


def _sheet_words(layout: Layout) -> str:
    names: dict[str, int] = {}
    for placed in layout.placements:
        names[placed.piece] = names.get(placed.piece, 0) + 1
    held = ", ".join(f"{count} × {name}" for name, count in names.items())
    size = f"{show_exact(layout.sheet.width)} × {show_exact(layout.sheet.height)}"
    return f"A sheet of {size} with {held}."


# DXF ----------------------------------------------------------------------------


def cutter_dxf(
    piece: Piece, *, words: bool = True, grids: Sequence[Grid | Length | str] | None = None
) -> str:
    """One piece as DXF R12, one unit to the millimetre, a layer for each group; left bottom at (0, 0).

    Raises: CutterError where ezdxf is not installed.
    """
    return _dxf([lines_of(piece, grids=grids)], mm(piece.length), words)


def layout_dxf(
    layout: Layout,
    pieces: Sequence[Piece],
    *,
    words: bool = True,
    grids: Sequence[Grid | Length | str] | None = None,
) -> str:
    """A whole sheet as DXF R12, as `cutter_dxf`. Raises: CutterError where ezdxf is not installed."""
    return _dxf(_laid(layout, pieces, grids), mm(layout.sheet.height), words)


def _dxf(pieces: Sequence[Lines], tall: Fraction, words: bool) -> str:
    try:
        from ezdxf.addons import r12writer
    except ImportError:
        raise CutterError(
            'DXF files need the library ezdxf. Install it with "pip install popkit[dxf]", or write '
            "SVG files."
        ) from None

    def up(point: Point) -> tuple[float, float]:
        return float(point[0]), float(tall - point[1])

    out = io.StringIO()
    with r12writer(out, fixed_tables=True) as file:
        for group in GROUPS:
            line = {"layer": group, "linetype": _LINE_TYPES.get(group, "CONTINUOUS")}
            for one in pieces:
                if group == "print" and one.label is not None and words:
                    where = one.label.left, float(tall) - one.label.base
                    height = one.label.size * _CAPITALS
                    file.add_text(_ascii(one.label.text), where, height=height, layer=group)
                for start, stop in _straight(one, group):
                    file.add_line(up(start), up(stop), **line)
                for ring in {"glue": one.glue, "cut": (one.outline,)}.get(group, ()):
                    file.add_polyline_2d([up(point) for point in ring], closed=True, **line)
    return out.getvalue()


def _straight(lines: Lines, group: str) -> tuple[tuple[Point, Point], ...]:
    """The lines from a point to a point of one group."""
    return {"cut": lines.slits, "valley": lines.valley, "mountain": lines.mountain}.get(group, ())


_LINE_TYPES = {"valley": "DASHED", "mountain": "DASHDOT", "glue": "DOT"}
_CAPITALS = 0.73  # DXF sizes words by their capitals: of an em in DejaVu Sans


def _ascii(text: str) -> str:
    """Words as R12 can hold them: plain ASCII, all else as \\U+ and four figures."""
    plain = text.replace("⁄", "/").replace("×", "x")
    return "".join(char if " " <= char <= "~" else _written_out(char) for char in plain)


def _written_out(char: str) -> str:
    return f"\\U+{ord(char if ord(char) <= 0xFFFF else chr(0xFFFD)):04X}"
