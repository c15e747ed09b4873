"""Which lengths of a text to work with: what the tutor decided, and what is said twice.

Imports: lengths; lexicon and reading of this package.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import groupby, pairwise

from popkit.lengths import Length, LengthError, Q, mm, unit_of
from popkit.wording.lexicon import INCH_FAMILY
from popkit.wording.reading import Found, unit_named

__all__ = ["WordingError", "decided_lengths", "given_in_both"]


class WordingError(ValueError):
    """Decisions or values that fit no place of the text. `faults` holds each, a sentence."""

    def __init__(self, *faults: str) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(faults))


def decided_lengths(found: list[Found], decisions: Mapping[int, str]) -> dict[int, Length]:
    """The lengths to work with, by `Found.start`: the sure ones and those decided to be one.

    decisions  by `Found.start`: "length", or a unit ("in", "mm") where none is said, or "leave"
    Raises: WordingError with every decision that fits no place.
    """
    faults = [
        f"No length stands at {start}." for start in decisions.keys() - {place.start for place in found}
    ]
    lengths = {}
    for place in found:
        try:
            length = _decided(place, decisions.get(place.start))
        except LengthError as fault:
            faults.append(f"At {place.start}: {fault}")
            continue
        if length is not None:
            lengths[place.start] = length
    if faults:
        raise WordingError(*faults)
    return lengths


def _decided(place: Found, choice: str | None) -> Length | None:
    if choice == "leave" or (choice is None and place.doubt is not None):
        return None
    if choice is None:
        return place.length
    if choice == "length":
        if place.length is None:
            raise LengthError(place.text, "has no unit", 'Decide for a unit, "in" or "mm"')
        return place.length
    unit = unit_named(choice)
    if place.stated:
        raise LengthError(place.text, "says its own unit", 'Decide for "length" or "leave"')
    return Q(place.number, unit)


# Lengths said twice -----------------------------------------------------------------

_TWICE = re.compile(
    r"""\s* (?: wide | long | tall | high | deep | thick | square )?
        \s* (?: [(\[=/≈|] | \bor\b | \bis\b )
        \s* (?: about | approx\.? | ca\.? | [=≈~] )? \s*""",
    re.IGNORECASE | re.VERBOSE,
)
_LONGEST_BETWEEN = 24
_CLOSE = Fraction(3, 100)


def given_in_both(text: str, found: list[Found], lengths: Mapping[int, Length]) -> dict[int, int]:
    """The lengths that a text gives in inches and in metric side by side: "8½ in (216 mm)".

    Returns: the start of the second by the start of the first.
    """
    twice: dict[int, int] = {}
    for first, second in pairwise(_breaths(found, lengths)):
        between = text[first[-1].stop : second[0].start]
        if len(first) != len(second) or len(between) > _LONGEST_BETWEEN or not _TWICE.fullmatch(between):
            continue
        pairs = [(a.start, b.start) for a, b in zip(first, second, strict=True)]
        if all(_is_same(lengths[a], lengths[b]) for a, b in pairs):
            twice.update(pairs)
    return twice


def _is_inch(length: Length) -> bool:
    return unit_of(length) in INCH_FAMILY


def _breaths(found: list[Found], lengths: Mapping[int, Length]) -> Iterator[list[Found]]:
    """Lengths said together in one kind of unit."""
    places = [place for place in found if place.start in lengths]
    for _, breath in groupby(places, key=lambda one: (one.group, _is_inch(lengths[one.start]))):
        yield list(breath)


def _is_same(first: Length, second: Length) -> bool:
    """Whether two lengths of two systems can be one, rounded: within 3 % or half a millimetre."""
    one, other = mm(first), mm(second)
    close = abs(one - other) <= max(max(one, other) * _CLOSE, Fraction(1, 2))
    return close and _is_inch(first) != _is_inch(second)
