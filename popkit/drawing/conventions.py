"""The one home of how popkit's pictures look: inks, lines, type sizes, tints.

Two inks on white paper and one tint of the second. Meaning is carried by the kind of line and
by words, never by ink alone, so every picture reads the same in grey. Each picture paints its
own white ground, so it also stands on a dark page.

Imports: nothing.
Sources: valley dashed and mountain dash-dot, Yoshizawa-Randlett convention (Yoshizawa 1954, Randlett
1961); contrast 4.5:1 for words and 3:1 for lines, WCAG 2.2, SC 1.4.3 and 1.4.11; x-height of 2 mm or
more, Clear Print (RNIB): it sets the size of the smallest words. Weights in the steps of ISO 128.
"""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = [
    "ARROW",
    "CARD_EDGE",
    "CLEAR_EDGE",
    "CUT",
    "FOLD_LINES",
    "FONTS",
    "GHOST",
    "HAIR",
    "HEADING",
    "INK",
    "IN_HAND",
    "LEADER",
    "MOUNTAIN",
    "OUTLINE",
    "PAPER",
    "SECOND",
    "TAB_EDGE",
    "TINT",
    "TINT_DEEP",
    "VALLEY",
    "WORDS",
    "Line",
    "mixed",
    "shade",
]

PAPER = "#ffffff"
"""The ground of every picture."""
INK = "#1f2730"
"""Paper edges, folds and words."""
SECOND = "#0d5960"
"""Measures, notes, glue: what is said about the paper rather than the paper itself."""
TINT = "#f1f7f6"
"""The lightest tint of the second ink: what lies nearest."""
TINT_DEEP = "#b4d0ce"
"""The deepest: what lies farthest back."""
IN_HAND = "#7ea9aa"
"""Deeper than any tint: the piece that a step is about. Ink on it has 6:1."""

FONTS = "'DejaVu Sans', Verdana, sans-serif"
"""DejaVu Sans comes with matplotlib; where it is missing the next is as wide."""
WORDS = 3.7
"""Millimetres of the smallest words: DejaVu's x-height is 0.547 of it, 2.02 mm."""
HEADING = 4.8
"""Millimetres of the words over a picture."""
ARROW = 2.2
"""Length of an arrowhead, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """How a line is drawn: ink, weight in mm, dashes in mm (ink, gap, ink, gap ...; none: solid).

    stroke      the same as SVG presentation attributes
    attributes  with no filling, as a line of its own or a group's
    """

    ink: str
    weight: float
    dashes: tuple[float, ...] = ()
    stroke: str = field(init=False)
    attributes: str = field(init=False)

    def __post_init__(self) -> None:
        text = f'stroke="{self.ink}" stroke-width="{self.weight:g}"'
        if self.dashes:
            text += f' stroke-dasharray="{" ".join(f"{dash:g}" for dash in self.dashes)}"'
        object.__setattr__(self, "stroke", text)
        object.__setattr__(self, "attributes", f'fill="none" {text}')


CUT = Line(ink=INK, weight=0.5)
VALLEY = Line(ink=INK, weight=0.35, dashes=(2.6, 1.3))
MOUNTAIN = Line(ink=INK, weight=0.35, dashes=(4.2, 1.1, 0.5, 1.1))
FOLD_LINES = {"valley": VALLEY, "mountain": MOUNTAIN}

CARD_EDGE = Line(ink=INK, weight=0.7)
"""Card seen on edge, in the side view."""
CLEAR_EDGE = Line(ink=SECOND, weight=0.25)
"""The outline of a clear sheet, on edge or from above."""
TAB_EDGE = Line(ink=PAPER, weight=0.25)
"""Around a glued tab on edge: keeps it apart from its neighbours."""
OUTLINE = Line(ink=INK, weight=0.35)
"""Edges of card in the oblique view."""
HAIR = Line(ink=SECOND, weight=0.18)
"""Measures: extension and dimension lines, hatching."""
LEADER = Line(ink=SECOND, weight=0.18)
GHOST = Line(ink=SECOND, weight=0.25, dashes=(0.9, 0.9))
"""Where a thing would be: the true place of a slipped tier, the path of an edge."""


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def mixed(deep: str, light: str, share: float) -> str:
    """The colour `share` of the way from `deep` (0) to `light` (1)."""
    pairs = zip(_channels(deep), _channels(light), strict=True)
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)


def shade(place: int, of: int) -> str:
    """The tint of layer `place` from the back (0) to the nearest (`of`)."""
    return mixed(TINT_DEEP, TINT, place / of if of else 1.0)
