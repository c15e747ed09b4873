"""A sketch: lines, areas and words gathered in millimetres, then written out as SVG text.

Coordinates are millimetres, x to the right and y downwards. Whatever words come in are escaped
on the way in, attributes are only ever numbers and our own names, and every word's box is
kept, so a picture can ask for room before it writes.

Imports: drawing.conventions, drawing.lettering.
Source: SVG 1.1, W3C 2011 (the parts that SVG 2 keeps).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from math import hypot
from typing import NamedTuple

from popkit.drawing.conventions import ARROW, FONTS, HAIR, INK, PAPER, SECOND, WORDS, Line
from popkit.drawing.lettering import ASCENT, DESCENT, MIDDLE, Box, figures, text_width

__all__ = ["Sketch", "as_prefix", "escaped", "number", "plain_text"]

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_NAME = re.compile(r"[A-Za-z_][\w.-]*", re.ASCII)


def plain_text(text: str) -> str:
    """Words as XML may carry them: what no XML file can hold becomes the replacement character."""
    return _NOT_XML.sub("\N{REPLACEMENT CHARACTER}", str(text))


def escaped(text: str) -> str:
    """Words as SVG text: markup in them is only characters."""
    text = plain_text(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return text.replace("\r", "&#13;")  # a parser would read a bare one as a new line


def as_prefix(prefix: str) -> str:
    """A prefix for the ids of a picture, checked.

    Raises: ValueError unless it is "" or starts with a letter and has letters, figures, -, _ and .
    """
    if prefix and not _NAME.fullmatch(prefix):
        raise ValueError(
            f"The prefix {prefix!r} cannot start an id. Write a letter first, "
            'then letters, figures, "-" or "_", as in "demo-".'
        )
    return prefix


class _Lettered(NamedTuple):
    """Words as they are shown, as SVG text carries them, and their width in ems."""

    shown: str
    escaped: str
    ems: float


@lru_cache(maxsize=8192)
def _lettered(words: str) -> _Lettered:
    shown = figures(plain_text(words))
    return _Lettered(shown, escaped(shown), text_width(shown, 1.0))


@lru_cache(maxsize=16384)
def number(value: float) -> str:
    """A coordinate to a millionth of a millimetre, without the noughts at its end."""
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


@lru_cache(maxsize=16384)
def _coarse(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


class Sketch:
    """A picture being drawn.

    prefix  begins every id, so that several pictures can stand in one page
    exact   coordinates to a millionth of a millimetre, for what is measured off the picture;
            otherwise to a thousandth
    boxes   the boxes of all words so far
    """

    def __init__(self, *, prefix: str = "", exact: bool = False) -> None:
        self.prefix = as_prefix(prefix)
        self.boxes: list[Box] = []
        self._parts: list[str] = []
        self._number = number if exact else _coarse
        self._left = self._top = float("inf")
        self._right = self._bottom = float("-inf")
        self._hatched = False

    # Room -----------------------------------------------------------------------

    @property
    def bounds(self) -> Box:
        """What is covered so far."""
        if self._left > self._right:
            return Box(0.0, 0.0, 0.0, 0.0)
        return Box(self._left, self._top, self._right, self._bottom)

    def cover(self, *points: tuple[float, float]) -> None:
        """Stretch the bounds to take these points in."""
        for x, y in points:
            if x < self._left:
                self._left = x
            if x > self._right:
                self._right = x
            if y < self._top:
                self._top = y
            if y > self._bottom:
                self._bottom = y

    def free(self, box: Box, clear: float = 0.6) -> bool:
        """Whether no word written so far comes nearer than `clear` to the box."""
        return not any(box.meets(other, clear) for other in self.boxes)

    # Groups ---------------------------------------------------------------------

    @contextmanager
    def group(self, kind: str, line: Line | None = None, *, name: str = "") -> Iterator[None]:
        """Everything drawn inside it stands in one <g class="kind">, drawn with that line."""
        label = f' id="{self.prefix}{name}"' if name else ""
        attributes = f" {line.attributes}" if line else ""
        self._parts.append(f'<g class="{kind}"{label}{attributes}>')
        yield
        self._parts.append("</g>")

    def place(self, other: Sketch, x: float, y: float) -> None:
        """Set a finished sketch into this one, its own (0, 0) at (x, y)."""
        n = self._number
        self._parts.append(f'<g transform="translate({n(x)} {n(y)})">')
        self._parts.extend(other._parts)
        self._parts.append("</g>")
        self.boxes += [Box(b.left + x, b.top + y, b.right + x, b.bottom + y) for b in other.boxes]
        self._hatched |= other._hatched
        left, top, right, bottom = other.bounds
        self.cover((left + x, top + y), (right + x, bottom + y))

    # Lines and areas ------------------------------------------------------------

    def line(self, x1: float, y1: float, x2: float, y2: float, line: Line | None = None) -> None:
        """A straight line, in the group's line unless one is given."""
        n = self._number
        attributes = f" {line.attributes}" if line else ""
        self._parts.append(f'<line x1="{n(x1)}" y1="{n(y1)}" x2="{n(x2)}" y2="{n(y2)}"{attributes}/>')
        self.cover((x1, y1), (x2, y2))

    def _points(self, points: Sequence[tuple[float, float]]) -> str:
        n = self._number
        self.cover(*points)
        return " ".join([f"{n(x)},{n(y)}" for x, y in points])

    def polyline(
        self, points: Sequence[tuple[float, float]], line: Line | None = None, *, name: str = ""
    ) -> None:
        """An open line through points; `name` becomes its id."""
        label = f' id="{self.prefix}{name}"' if name else ""
        attributes = f" {line.attributes}" if line else ""
        self._parts.append(f'<polyline points="{self._points(points)}"{label}{attributes}/>')

    def area(
        self,
        points: Sequence[tuple[float, float]],
        *,
        fill: str = "none",
        line: Line | None = None,
        holes: Iterable[Sequence[tuple[float, float]]] = (),
        kind: str = "",
        name: str = "",
    ) -> None:
        """A closed area, with holes if need be."""
        label = (f' id="{self.prefix}{name}"' if name else "") + (f' class="{kind}"' if kind else "")
        edge = f" {line.stroke}" if line else ' stroke="none"'
        holes = list(holes)
        if holes:
            rings = "".join(f"M{self._points(ring).replace(' ', 'L')}Z" for ring in (points, *holes))
            shape = f'<path d="{rings}" fill-rule="evenodd"'
        else:
            shape = f'<polygon points="{self._points(points)}"'
        self._parts.append(f'{shape}{label} fill="{fill}"{edge}/>')

    def rect(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        fill: str = "none",
        line: Line | None = None,
        kind: str = "",
    ) -> None:
        """An upright rectangle, filled, outlined or (in a group with a line) drawn with that."""
        n = self._number
        if line:
            paint = f' fill="{fill}" {line.stroke}'
        else:
            paint = f' fill="{fill}" stroke="none"' if fill != "none" else ""
        label = f' class="{kind}"' if kind else ""
        self._parts.append(
            f'<rect x="{n(x)}" y="{n(y)}" width="{n(width)}" height="{n(height)}"{label}{paint}/>'
        )
        self.cover((x, y), (x + width, y + height))

    def hatched(self, x: float, y: float, width: float, height: float) -> None:
        """A rectangle hatched as a glue area."""
        self._hatched = True
        self.rect(x, y, width, height, fill=f"url(#{self.prefix}hatch)", kind="glue")

    def arc(
        self, radius: float, start: tuple[float, float], stop: tuple[float, float], line: Line
    ) -> None:
        """An arc of a circle, less than half of it, from one point to another, anticlockwise."""
        n = self._number
        self._parts.append(
            f'<path d="M{n(start[0])} {n(start[1])}A{n(radius)} {n(radius)} 0 0 0 '
            f'{n(stop[0])} {n(stop[1])}" {line.attributes}/>'
        )
        self.cover(start, stop)

    def dot(self, x: float, y: float, radius: float, *, fill: str, line: Line | None = None) -> None:
        """A small disc, or with a paper fill and a line a small ring."""
        n = self._number
        edge = f" {line.stroke}" if line else ' stroke="none"'
        self._parts.append(f'<circle cx="{n(x)}" cy="{n(y)}" r="{n(radius)}" fill="{fill}"{edge}/>')
        self.cover((x - radius, y - radius), (x + radius, y + radius))

    def arrowhead(
        self,
        x: float,
        y: float,
        dx: float,
        dy: float,
        *,
        fill: str = SECOND,
        size: float = ARROW,
        across: float = 0.22,
    ) -> None:
        """An arrowhead with its point at (x, y), flying along (dx, dy), twice `across` as broad."""
        long = hypot(dx, dy) or 1.0
        dx, dy = dx / long * size, dy / long * size
        self.area(
            [
                (x, y),
                (x - dx - dy * across, y - dy + dx * across),
                (x - dx + dy * across, y - dy - dx * across),
            ],
            fill=fill,
        )

    def measure(self, x1: float, y1: float, x2: float, y2: float, line: Line = HAIR) -> None:
        """A dimension line with arrowheads at both ends, or from outside where there is no room."""
        long = hypot(x2 - x1, y2 - y1) or 1.0
        dx, dy = (x2 - x1) / long, (y2 - y1) / long
        if long > 2.6 * ARROW:
            self.line(x1, y1, x2, y2, line)
            self.arrowhead(x1, y1, -dx, -dy)
            self.arrowhead(x2, y2, dx, dy)
            return
        tail = 2 * ARROW
        self.line(x1 - dx * tail, y1 - dy * tail, x2 + dx * tail, y2 + dy * tail, line)
        self.arrowhead(x1, y1, dx, dy)
        self.arrowhead(x2, y2, -dx, -dy)

    # Words ----------------------------------------------------------------------

    def box_of(
        self, x: float, y: float, words: str, *, size: float = WORDS, anchor: str = "start"
    ) -> Box:
        """The box that words would take with their middle height at y."""
        wide = _lettered(words).ems * size
        left = x if anchor == "start" else x - wide if anchor == "end" else x - wide / 2
        return Box(left, y - (ASCENT - MIDDLE) * size, left + wide, y + (MIDDLE + DESCENT) * size)

    def width_of(self, words: str, size: float = WORDS) -> float:
        """Millimetres that one line of words is wide."""
        return _lettered(words).ems * size

    def words(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float = WORDS,
        anchor: str = "start",
        ink: str = INK,
        plate: str = "",
        upright: bool = True,
    ) -> Box:
        """One line of words with their middle height at y; returns the box they take.

        anchor   "start", "middle" or "end": which part of the line stands at x
        plate    the colour of a small plate laid under them
        upright  False: turned a quarter to read from below, ending at (x, y) at its top end
        """
        text = _lettered(words)
        n = self._number
        down = MIDDLE * size
        anchored = "" if anchor == "start" else f' text-anchor="{anchor}"'
        if upright:
            box = self.box_of(x, y, words, size=size, anchor=anchor)
            at = f'x="{n(x)}" y="{n(y + down)}"'
        else:
            wide = text.ems * size
            top = y if anchor == "end" else y - wide / 2 if anchor == "middle" else y - wide
            box = Box(x - (ASCENT - MIDDLE) * size, top, x + (MIDDLE + DESCENT) * size, top + wide)
            at = f'transform="translate({n(x + down)} {n(y)}) rotate(-90)"'
        if plate:
            self.rect(
                box.left - 0.5,
                box.top - 0.1,
                box.right - box.left + 1,
                box.bottom - box.top + 0.2,
                fill=plate,
            )
        sized = "" if size == WORDS else f' font-size="{size:g}"'
        self._parts.append(
            f'<text {at}{anchored}{sized} fill="{ink}" stroke="none">{text.escaped}</text>'
        )
        self.boxes.append(box)
        self.cover((box.left, box.top), (box.right, box.bottom))
        return box

    # Out ------------------------------------------------------------------------

    def svg(self, title: str, description: str, *, margin: float = 3.0, frame: Box | None = None) -> str:
        """The finished picture: SVG text, one millimetre to the unit.

        title        its name
        description  what it shows, in words
        margin       ground around what is drawn, mm
        frame        the least the picture shows, so that a moving one keeps still
        """
        left, top, right, bottom = self.bounds
        if frame is not None:
            left, top = min(left, frame.left), min(top, frame.top)
            right, bottom = max(right, frame.right), max(bottom, frame.bottom)
        left, top = left - margin, top - margin
        wide, tall = right + margin - left, bottom + margin - top
        left, top, wide, tall = (_coarse(side) for side in (left, top, wide, tall))
        prefix = self.prefix
        hatch = (
            f'<defs><pattern id="{prefix}hatch" patternUnits="userSpaceOnUse" width="2" height="2" '
            f'patternTransform="rotate(45)"><path d="M0 0V2" {HAIR.attributes}/></pattern></defs>\n'
            if self._hatched
            else ""
        )
        body = "\n".join(self._parts)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{tall}mm" '
            f'viewBox="{left} {top} {wide} {tall}" role="img" '
            f'aria-labelledby="{prefix}title {prefix}desc" style="max-width:100%;height:auto" '
            f'font-family="{FONTS}" font-size="{WORDS:g}">\n'
            f'<title id="{prefix}title">{escaped(title)}</title>\n'
            f'<desc id="{prefix}desc">{escaped(description)}</desc>\n'
            f'{hatch}<rect class="ground" x="{left}" y="{top}" width="{wide}" height="{tall}" '
            f'fill="{PAPER}"/>\n{body}\n</svg>\n'
        )
