"""What the tutor decided about the places that could not be known.

Imports: lengths; reading of this package.
"""

from __future__ import annotations

from collections.abc import Mapping

from popkit.lengths import Length, LengthError, Q
from popkit.wording.reading import Found, unit_named

__all__ = ["WordingError", "decided_lengths"]


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
