"""A text with its lengths restated on another ruler and everything else as it was.

Each length is replaced by itself, number and unit: "8½ x 5" becomes "216 mm x 127 mm", so that
every one stands alone and can be shown, linked and checked by itself.

Imports: lengths; lexicon and reading of this package.
Source: unit after each number of a size or range, NIST SP 811 (2008), 7.7, from memory;
nearest mark, ties to the even one, NIST SP 811 (2008), B.7.1.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from popkit.lengths import (
    Grid,
    Length,
    LengthError,
    Q,
    as_grid,
    as_length,
    from_mm,
    mm,
    show_exact,
    show_length,
    unit_of,
)
from popkit.wording.lexicon import INCH_FAMILY
from popkit.wording.reading import Found, find_lengths, unit_named

__all__ = ["Kept", "Replacement", "Rewritten", "WordingError", "rewrite", "rewritten"]


class WordingError(ValueError):
    """Decisions or values that fit no place of the text. `faults` holds each, a sentence."""

    def __init__(self, *faults: str) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(faults))


@dataclass(frozen=True, slots=True, kw_only=True)
class Replacement:
    """A length of the text and what stands there now.

    found        where it stood and what it said
    start, stop  where `text` stands in the rewritten text
    exact        the same length in the ruler's unit
    rounded      what the text now says, a mark of the ruler
    shift        rounded - exact, in the ruler's unit
    given        whether `rounded` came from the caller and not from the nearest mark
    """

    found: Found
    start: int
    stop: int
    text: str
    exact: Length
    rounded: Length
    shift: Length
    given: bool = False


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
    decided = _Decided.of(found, dict(decisions or {}), dict(values or {}), grid)
    both = _given_in_both(text, found, decided.lengths)
    out = _Output(text)
    for place in found:
        length = decided.lengths.get(place.start)
        why = _why_kept(place, length, place.start in both, grid, decided)
        if why is not None:
            out.keep(place, why, waiting=place.doubt is not None and place.start not in decided.choices)
            continue
        exact = from_mm(mm(length), grid.unit)
        rounded = decided.values.get(place.start) or grid.nearest(length)
        shown = show_length(rounded, grid)
        article = "" if keep_original or not mend_articles else _wrong_article(text, place.start, shown)
        out.replace(
            place,
            f"{place.text} ({shown})" if keep_original else shown,
            exact=exact,
            rounded=rounded,
            shift=from_mm(mm(rounded) - mm(exact), grid.unit),
            given=place.start in decided.values,
            article=article,
        )
    return out.finished(grid)


# What is restated -----------------------------------------------------------------


@dataclass(slots=True)
class _Decided:
    """The tutor's decisions and the caller's values, checked against the places of the text."""

    lengths: dict[int, Length]
    choices: dict[int, str]
    values: dict[int, Length]

    @classmethod
    def of(
        cls,
        found: list[Found],
        choices: dict[int, str],
        values: dict[int, Length | str],
        grid: Grid,
    ) -> _Decided:
        places = {place.start: place for place in found}
        faults = [
            f"No length stands at {start}."
            for start in [*choices, *values]
            if start not in places
        ]
        decided = cls({}, choices, {})
        for start, place in places.items():
            try:
                length = _as_decided(place, choices.get(start))
                if length is not None:
                    decided.lengths[start] = length
                if start in values:
                    decided.values[start] = _mark_of(grid, values[start])
            except LengthError as fault:
                faults.append(f"At {start}, “{place.text}”: {fault}")
        if faults:
            raise WordingError(*faults)
        return decided


def _as_decided(place: Found, choice: str | None) -> Length | None:
    if choice == "leave" or (choice is None and place.doubt is not None):
        return None
    if choice is None:
        return place.length
    if choice == "length":
        if place.length is None:
            raise LengthError(place.text, "has no unit", 'Decide for a unit, "in" or "mm"')
        return place.length
    if place.stated:
        raise LengthError(place.text, "says its own unit", 'Decide for "length" or "leave"')
    return Q(place.number, unit_named(choice))


def _mark_of(grid: Grid, value: Length | str) -> Length:
    length = as_length(value)
    if not grid.holds(length):
        raise LengthError(show_exact(length), f"is no mark of a ruler of {grid}")
    return from_mm(mm(length), grid.unit)


def _is_inch(length: Length) -> bool:
    return unit_of(length) in INCH_FAMILY


def _why_kept(
    place: Found, length: Length | None, in_both: bool, grid: Grid, decided: _Decided
) -> str | None:
    """Why a place stays as it is, or None if it is restated."""
    if decided.choices.get(place.start) == "leave":
        return "You decided to leave it."
    if length is None:
        return place.doubt
    if _is_inch(length) == _is_inch(grid.step):
        return "It is in the ruler's own kind of unit already."
    if in_both:
        return "It is given in both units already."
    if place.start not in decided.values and mm(length) and not mm(grid.nearest(length)):
        return f"It is less than half a mark of the ruler ({grid}) and would round to nothing."
    return None


# Lengths given twice ----------------------------------------------------------------

_TWICE = re.compile(
    r"\s*(?:wide|long|tall|high|deep|thick|square)?\s*(?:[(\[=/≈|]|\bor\b|\bis\b)\s*(?:about|approx\.?|ca\.?|[=≈~])?\s*",
    re.IGNORECASE,
)
_CLOSE = Fraction(3, 100)


def _given_in_both(text: str, found: list[Found], lengths: Mapping[int, Length]) -> set[int]:
    """The starts of lengths that the text gives in inches and in metric side by side."""
    breaths = list(_breaths(found, lengths))
    both: set[int] = set()
    for first, second in zip(breaths, breaths[1:], strict=False):
        between = text[first[-1].stop : second[0].start]
        if len(first) != len(second) or len(between) > 24 or not _TWICE.fullmatch(between):
            continue
        pairs = [(lengths[a.start], lengths[b.start]) for a, b in zip(first, second, strict=True)]
        if all(_is_inch(a) != _is_inch(b) and _same(mm(a), mm(b)) for a, b in pairs):
            both.update(place.start for place in (*first, *second))
    return both


def _breaths(found: list[Found], lengths: Mapping[int, Length]) -> Iterator[list[Found]]:
    """Lengths said together in one kind of unit."""
    breath: list[Found] = []
    for place in found:
        if place.start not in lengths:
            continue
        goes_on = (
            breath
            and place.group == breath[-1].group
            and _is_inch(lengths[place.start]) == _is_inch(lengths[breath[-1].start])
        )
        if breath and not goes_on:
            yield breath
            breath = []
        breath.append(place)
    if breath:
        yield breath


def _same(first: Fraction, second: Fraction) -> bool:
    """Whether two lengths can be one, rounded: within 3 % or half a millimetre."""
    return abs(first - second) <= max(max(first, second) * _CLOSE, Fraction(1, 2))


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
        self.kept.append(
            Kept(found=found, start=start, stop=self.length, why=why, waiting=waiting)
        )

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
