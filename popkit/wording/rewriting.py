"""A text with its lengths restated on another ruler and everything else as it was.

Each length is replaced by itself, number and unit: "8½ x 5" becomes "216 mm x 127 mm", so that
every one stands alone and can be shown, linked and checked by itself.

Imports: lengths; lexicon, reading and deciding of this package.
Source: unit after each number of a size or range, NIST SP 811 (2008), 7.7, from memory;
nearest mark, ties to the even one, NIST SP 811 (2008), B.7.1.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from popkit.lengths import (
    Grid,
    Length,
    LengthError,
    as_grid,
    as_length,
    from_mm,
    mm,
    show_exact,
    show_length,
    unit_of,
)
from popkit.wording.deciding import WordingError, decided_lengths, given_in_both
from popkit.wording.lexicon import INCH_FAMILY
from popkit.wording.reading import Found, find_lengths

__all__ = ["Kept", "Replacement", "Rewritten", "rewrite", "rewritten"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Replacement:
    """A length of the text and what stands there now.

    found        where it stood and what it said
    start, stop  where `text` stands in the rewritten text
    exact_mm, rounded_mm  what it was, and the mark of the ruler that the text now says
    unit         of the ruler
    given        whether the mark came from the caller and is not simply the nearest
    """

    found: Found
    start: int
    stop: int
    text: str
    exact_mm: Fraction
    rounded_mm: Fraction
    unit: str
    given: bool = False

    @property
    def exact(self) -> Length:
        """What the length was, in the ruler's unit."""
        return from_mm(self.exact_mm, self.unit)

    @property
    def rounded(self) -> Length:
        """What the text now says, a mark of the ruler."""
        return from_mm(self.rounded_mm, self.unit)

    @property
    def shift(self) -> Length:
        """rounded - exact, in the ruler's unit."""
        return from_mm(self.rounded_mm - self.exact_mm, self.unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A length, or a place that may be one, that was left as it was.

    start, stop  where it stands in the rewritten text
    why          a sentence
    waiting      whether the tutor has yet to decide
    """

    found: Found
    start: int
    stop: int
    why: str
    waiting: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Rewritten:
    """A text on another ruler.

    source        the text as it was given
    text          the text as it is now
    grid          the ruler
    replacements  every length that was restated, in the order of the text
    kept          every length or doubtful place that was not, in the order of the text
    """

    source: str
    text: str
    grid: Grid
    replacements: tuple[Replacement, ...]
    kept: tuple[Kept, ...]

    @property
    def waiting(self) -> tuple[Found, ...]:
        """The places that the tutor has yet to decide."""
        return tuple(kept.found for kept in self.kept if kept.waiting)


def rewrite(
    text: str,
    grid: Grid | Length | str,
    unit: str = "in",
    keep_original: bool = False,
    *,
    decisions: Mapping[int, str] | None = None,
    values: Mapping[int, Length | str] | None = None,
    mend_articles: bool = False,
) -> str:
    """The text of `rewritten`, which takes the same arguments."""
    return rewritten(
        text,
        grid,
        unit,
        keep_original,
        decisions=decisions,
        values=values,
        mend_articles=mend_articles,
    ).text


def rewritten(
    text: str,
    grid: Grid | Length | str,
    unit: str = "in",
    keep_original: bool = False,
    *,
    decisions: Mapping[int, str] | None = None,
    values: Mapping[int, Length | str] | None = None,
    mend_articles: bool = False,
) -> Rewritten:
    """A tutor's text with its lengths on a ruler, the rest byte for byte as it was.

    text           anything, typed or dictated
    grid           a `Grid` or text such as "1 mm"
    unit           what a size is in where it says no unit
    keep_original  write both: "8½ in (216 mm)"
    decisions      by `Found.start`: "length" or a unit ("in", "mm") for a doubtful place that is
                   a length, "leave" for any place that is to stay
    values         by `Found.start`: the length to write, a mark of the ruler, where the nearest
                   mark would break the card
    mend_articles  let "an 8 in strip" become "a 203 mm strip", not "an 203 mm strip"

    Left as they are: doubtful places without a decision; lengths in a unit of the ruler's own
    family (mm, cm, m or in, ft, yd); lengths given in both already, "8½ in (216 mm)"; lengths
    that would round to nothing.
    Raises: WordingError with every decision or value that fits no place; LengthError for a
    unit or ruler that is none; nothing for any text.
    """
    grid = as_grid(grid)
    found = find_lengths(text, unit)
    choices = decisions or {}
    lengths = decided_lengths(found, choices)
    known = {start: _Known.of(length) for start, length in lengths.items()}
    given = _given_marks(found, values or {}, grid)
    twice = given_in_both(text, found, lengths)
    both = twice.keys() | set(twice.values())
    ruler = _Ruler(grid)
    out = _Output(text)
    for place in found:
        start, length = place.start, known.get(place.start)
        marks = given.get(start) if length is None or start in given else ruler.nearest(length.exact_mm)
        if choices.get(start) == "leave":
            why = "You decided to leave it."
        elif length is None:
            why = place.doubt
        elif length.in_inches == ruler.in_inches:
            why = "It is in the ruler's own kind of unit already."
        elif start in both:
            why = "It is given in both units already."
        elif marks == 0 and length.exact_mm:
            why = f"It is less than half a mark of the ruler ({grid}) and would round to nothing."
        else:
            shown = ruler.show(marks)
            article = _wrong_article(text, start, shown) if mend_articles and not keep_original else ""
            out.replace(
                place,
                f"{place.text} ({shown})" if keep_original else shown,
                article=article,
                exact_mm=length.exact_mm,
                rounded_mm=marks * ruler.step_mm,
                unit=grid.unit,
                given=start in given,
            )
            continue
        out.keep(place, why, waiting=place.doubt is not None and start not in choices)
    return out.finished(grid)


# What is restated -----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Known:
    """A length of the text that is known, as the sums here need it."""

    exact_mm: Fraction
    in_inches: bool

    @classmethod
    def of(cls, length: Length) -> _Known:
        return cls(mm(length), unit_of(length) in INCH_FAMILY)


class _Ruler:
    """A ruler in plain millimetres, and what its marks are called: pint is slow at the core."""

    def __init__(self, grid: Grid) -> None:
        self.grid, self.step_mm = grid, mm(grid.step)
        self.in_inches = grid.unit in INCH_FAMILY
        self.shown: dict[int, str] = {}

    def nearest(self, value_mm: Fraction) -> int:
        """The nearest mark, counted from 0, ties to the even one."""
        return round(value_mm / self.step_mm)

    def show(self, marks: int) -> str:
        """A mark as it is read."""
        if marks not in self.shown:
            self.shown[marks] = show_length(self.grid.at(marks), self.grid)
        return self.shown[marks]


def _given_marks(found: list[Found], values: Mapping[int, Length | str], grid: Grid) -> dict[int, int]:
    """The caller's values as marks of the ruler, counted from 0."""
    places = {place.start: place for place in found}
    faults = [f"No length stands at {start}." for start in values if start not in places]
    given = {}
    for start in [start for start in values if start in places]:
        try:
            length = as_length(values[start])
            if not grid.holds(length):
                raise LengthError(show_exact(length), f"is no mark of a ruler of {grid}")
            given[start] = int(grid.marks(length))
        except LengthError as fault:
            faults.append(f"At {start}, “{places[start].text}”: {fault}")
    if faults:
        raise WordingError(*faults)
    return given


# The new text -------------------------------------------------------------------------

_ARTICLE = re.compile(r"(?<!\w)(an?)([ \u00a0]+)$", re.IGNORECASE)


def _wrong_article(text: str, start: int, shown: str) -> str:
    """The "a" or "an" with its gap right before a place, if it is wrong before `shown`."""
    found = _ARTICLE.search(text[max(0, start - 5) : start])
    if found is None or (len(found[1]) == 2) == _begins_with_vowel(shown):
        return ""
    return found[0]


def _begins_with_vowel(shown: str) -> bool:
    """Whether a number is said with a vowel first: eight, eleven, eighteen, eighty ..."""
    whole = re.match("[0-9]*", shown)[0]
    return whole.startswith("8") or (whole[:2] in ("11", "18") and len(whole) % 3 == 2)


class _Output:
    """The rewritten text as it grows."""

    def __init__(self, source: str) -> None:
        self.source = source
        self.parts: list[str] = []
        self.length = self.read = 0
        self.replacements: list[Replacement] = []
        self.kept: list[Kept] = []

    def _add(self, part: str) -> None:
        self.parts.append(part)
        self.length += len(part)

    def _copy(self, stop: int) -> None:
        self._add(self.source[self.read : stop])
        self.read = stop

    def keep(self, found: Found, why: str, *, waiting: bool) -> None:
        """Leave a place as it is."""
        self._copy(found.stop)
        start = self.length - len(found.text)
        self.kept.append(Kept(found=found, start=start, stop=self.length, why=why, waiting=waiting))

    def replace(self, found: Found, new: str, *, article: str, **sums: object) -> None:
        """Put a new length where the old one stood, with gaps where it would touch a letter."""
        self._copy(found.start - len(article))
        if article:
            letter = article[0] + ("" if len(article.rstrip()) == 2 else "n")
            self._add(letter + article[len(article.rstrip()) :])
        before, after = self.source[: found.start][-1:], self.source[found.stop : found.stop + 1]
        if before.isalnum() and not article and new[:1].isalnum() and not new.startswith(found.text):
            self._add(" ")
        start = self.length
        self._add(new)
        stop = self.length
        if after.isalnum():
            self._add(" ")
        self.read = found.stop
        self.replacements.append(Replacement(found=found, start=start, stop=stop, text=new, **sums))

    def finished(self, grid: Grid) -> Rewritten:
        """The whole, with what follows the last place."""
        self._copy(len(self.source))
        return Rewritten(
            source=self.source,
            text="".join(self.parts),
            grid=grid,
            replacements=tuple(self.replacements),
            kept=tuple(self.kept),
        )
