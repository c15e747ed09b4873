"""How much room words take, and where to put them so that they never meet.

Widths are DejaVu Sans's own, so a picture can be laid out without loading a font; the tests
hold them against the font file. Where a page falls back to another sans-serif the words
come out narrower or about as wide.

Imports: lengths, language, card, assembly.
Source of the widths: DejaVu Sans 2.35, table hmtx, in units of 1/2048 em.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from popkit.assembly import Rulers
from popkit.card import grid_for
from popkit.language import BRITISH, Language
from popkit.lengths import Grid, Length, as_grid, from_mm, in_inches, mm, show_length, unit_of

__all__ = ["ASCENT", "DESCENT", "MIDDLE", "Box", "Readings", "figures", "spread", "text_width"]

_EM = 2048
_WIDTHS = {
    char: width
    for width, chars in {
        342: "⁄",
        409: "\u2009\u202f",
        563: "'",
        569: "ijlìíîï",
        604: "IJÌÍÎÏ",
        651: " ,.\xa0·‘’",
        690: "/:;\\|¦",
        721: "f",
        739: "-\xad",
        799: "()[]",
        803: "t",
        821: "!¡²³¹⁰⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉",
        842: "r",
        942: '"',
        965: "ªº",
        1024: "*_`§¨¯°´¸–",
        1061: "“”",
        1067: "s",
        1075: "z",
        1087: "?¿",
        1126: "cç",
        1141: "L",
        1178: "F",
        1186: "k",
        1208: "•",
        1212: "vxyýÿ",
        1235: "P",
        1239: "Þ",
        1251: "TYÝ",
        1253: "o«»ðòóôõöø",
        1255: "aàáâãäå",
        1260: "eèéêë",
        1290: "ß",
        1294: "EÈÉÊË",
        1298: "hnuñùúûü",
        1300: "Sbdgpqþ",
        1303: "$0123456789{}¢£¤¥µ¶",
        1343: "K",
        1401: "AVÀÁÂÃÄÅ",
        1403: "XZ",
        1405: "B",
        1423: "R",
        1430: "CÇ",
        1499: "UÙÚÛÜ",
        1532: "NÑ",
        1540: "H",
        1577: "D",
        1587: "GÐ",
        1597: "&",
        1612: "OQÒÓÔÕÖØ",
        1675: "w",
        1716: "#+<=>^~¬±×÷−≈≤≥≠→←↑↓↔↕",
        1767: "M",
        1946: "%",
        1985: "¼½¾⅓⅔⅛⅜⅝⅞⅕⅖⅗⅘⅙⅚",
        1995: "mÆ",
        2011: "æ",
        2025: "W",
        2048: "@©®—…",
        2100: "\N{REPLACEMENT CHARACTER}",
    }.items()
    for char in chars
}

ASCENT = 0.78
"""Of the size, above the baseline: taller than every letter, accents of capitals apart."""
DESCENT = 0.24
"""Of the size, below the baseline."""
MIDDLE = 0.33
"""Of the size, from the baseline to the height that the eye takes for the middle of a line."""


def _advance(char: str) -> int:
    """Width of a character that is not in the table: on the generous side."""
    if unicodedata.category(char) in ("Mn", "Me", "Cf"):
        return 0
    return 2048 if unicodedata.east_asian_width(char) in ("W", "F") else 1950


def text_width(text: str, size: float) -> float:
    """Millimetres that one line of text is wide at a type size in millimetres, unkerned."""
    return sum(_WIDTHS.get(char) or _advance(char) for char in text) / _EM * size


class Box(NamedTuple):
    """An upright rectangle on the picture, mm, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box, clear: float = 0.0) -> bool:
        """Whether the two come nearer than `clear` to each other."""
        return (
            self.left < other.right + clear
            and other.left < self.right + clear
            and self.top < other.bottom + clear
            and other.top < self.bottom + clear
        )

    def within(self, other: Box, clear: float = 0.0) -> bool:
        """Whether it lies inside the other, `clear` from its sides."""
        return (
            self.left >= other.left + clear
            and self.right <= other.right - clear
            and self.top >= other.top + clear
            and self.bottom <= other.bottom - clear
        )


def spread(wanted: Sequence[float], gap: float, least: float = float("-inf")) -> list[float]:
    """Places in the order given, `gap` apart or more, together as near to `wanted` as can be.

    wanted  rising places
    least   no place is before this
    Source: least squares under order constraints, pool adjacent violators (Ayer and others 1955).
    """
    pools: list[list[float]] = []  # sum, count
    for number, place in enumerate(wanted):
        pools.append([place - number * gap, 1])
        while len(pools) > 1 and pools[-2][0] * pools[-1][1] >= pools[-1][0] * pools[-2][1]:
            total, count = pools.pop()
            pools[-1][0] += total
            pools[-1][1] += count
    placed = [total / count for total, count in pools for _ in range(int(count))]
    return [max(place, least) + number * gap for number, place in enumerate(placed)]


# Readings -----------------------------------------------------------------------

_SUPERIOR = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_INFERIOR = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_BUILT = re.compile("( ?)([0-9]+)⁄([0-9]+)")


def figures(text: str) -> str:
    """ "2 15⁄16 in" with raised and lowered figures, which read as a fraction in any font."""
    if "⁄" not in text:
        return text
    return _BUILT.sub(_built, text)


def _built(match: re.Match[str]) -> str:
    space, over, under = match.groups()
    thin = "\N{THIN SPACE}" if space else ""
    return f"{thin}{over.translate(_SUPERIOR)}⁄{under.translate(_INFERIOR)}"


class Readings:
    """Lengths in exact millimetres as two rulers show them, each worked out once.

    first, second  the ruler to work on, and the one whose reading stands beside it
    language       that they are shown in, and the words beside them
    """

    def __init__(self, first: Grid, second: Grid, language: Language = BRITISH) -> None:
        self._rulers, self.language = Rulers(first, second), language
        self._known: dict[tuple[int, int], tuple[str, str]] = {}

    @classmethod
    def of(cls, length: Length, grids: Sequence[Grid | Length | str] | None = None) -> Readings:
        """For the rulers named, or else for the usual pair, the one of that length's unit first.

        Rulers that bring a language of their own (`assembly.Rulers`) are shown in it.
        """
        if grids is None:
            return _usual(in_inches(unit_of(length)))
        first, second = (as_grid(grid) for grid in tuple(grids)[:2])
        language = getattr(grids, "language", BRITISH)
        return _readings(mm(first.step), first.unit, mm(second.step), second.unit, language)

    def said(self, language: Language) -> Readings:
        """The same rulers in a language."""
        first, second, *_ = self._rulers
        return self if language == self.language else Readings(first, second, language)

    def pair(self, value: Fraction) -> tuple[str, str]:
        """("8½ in", "216 mm")."""
        key = value.numerator, value.denominator
        found = self._known.get(key)
        if found is None:
            if len(self._known) > 4096:
                self._known.clear()
            length = from_mm(value, self._rulers.first.unit)
            found = self._known[key] = tuple(
                _shown(value, ruler, self.language) for ruler in self._rulers.read_on(length)
            )
        return found

    def both(self, value: Fraction) -> str:
        """ "8½ in (216 mm)"."""
        first, second = self.pair(value)
        return first if first == second else f"{first} ({second})"


def _shown(value: Fraction, ruler: Grid, language: Language) -> str:
    length = from_mm(value, ruler.unit)
    if value and show_length(length, ruler).startswith("0 "):
        return language.show_exact(length)  # too small for that ruler, yet not nothing
    return language.show(length, ruler)


@lru_cache(maxsize=16)
def _readings(
    step: Fraction, unit: str, other_step: Fraction, other_unit: str, language: Language
) -> Readings:
    return Readings(Grid(from_mm(step, unit)), Grid(from_mm(other_step, other_unit)), language)


@lru_cache(maxsize=2)
def _usual(inch_first: bool) -> Readings:
    pair = grid_for("inch"), grid_for("millimeter")
    return Readings(*(pair if inch_first else pair[::-1]))
