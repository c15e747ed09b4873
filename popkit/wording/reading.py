"""The lengths of a text: every one that is sure, every place that may be one and its reason.

The grammar says which numbers stand together; the words around them decide what they are. A
number is a length when it says so, when it is a side of a size, or when a neighbour in its
size, range, list or sentence says so. One that stands where a length could stand but does not
say so is found with a doubt. Everything else is left alone.

Imports: lengths; the lexicon, settling, grammar, context, terms and judging of this package.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import count

from popkit.lengths import Length, LengthError, Q, from_mm, unit_of
from popkit.wording import lexicon as lex
from popkit.wording.context import After, after
from popkit.wording.grammar import series_in
from popkit.wording.judging import judge_bare, judge_size, judge_stated
from popkit.wording.settling import Tokens
from popkit.wording.terms import Place, Term, in_terms, share_units

__all__ = ["Found", "find_lengths", "unit_named"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A place in a text where a length stands, or may stand.

    length  as it is written, magnitude a Fraction; where `doubt` is set, what it would be if
            it is one, or None if even the unit cannot be told
    start, stop, text  the slice of the text that says it
    doubt   None, or why it cannot be known, a sentence
    number  the bare number
    group   lengths said in one breath (a size, a range, a list) share a number
    role    "one", "side" of a size, "end" of a range
    size    the sides of one size share a number; None for what is no side of a size
    side    "wide", "tall", ... where the text says which way it lies
    stated  whether it says its own unit
    """

    length: Length | None
    start: int
    stop: int
    text: str
    doubt: str | None = None
    number: Fraction
    group: int = 0
    role: str = "one"
    size: int | None = None
    side: str | None = None
    stated: bool = True


def unit_named(unit: str) -> str:
    """ "in" -> "inch", "mm" -> "millimeter". Raises: LengthError for what is no unit of length."""
    try:
        return unit_of(from_mm(1, unit))
    except (KeyError, TypeError):
        raise LengthError(str(unit), "is no unit", 'Write "in", "mm", "cm", "ft" or "m"') from None


def find_lengths(text: str, unit: str = "in") -> list[Found]:
    """Every length in a tutor's text, and every place that may be one.

    text  anything, typed or dictated
    unit  what a size is in where it says no unit, as in "8½ x 5"
    Returns: in the order of the text, never overlapping; `text[f.start:f.stop] == f.text`.
    Raises: LengthError for what is no unit of length; nothing for any text.
    """
    assumed = unit_named(unit)
    tokens = Tokens.of(text)
    groups = [in_terms(tokens, series) for series in series_in(tokens.kinds)]
    for terms in groups:
        share_units(tokens, terms)
        for term in terms:
            if term.role == "side":
                judge_size(tokens, term, assumed)
            for place in term.places:
                if place.unit is not None and place.sure is None:
                    judge_stated(tokens, place)
    said = _units_said(tokens, groups)
    for terms in groups:
        bare = [place for term in terms for place in term.places if place.sure is None]
        if bare:
            judge_bare(tokens, bare, _nearest_unit(tokens, bare[0], said), assumed)
    return list(_found(tokens, groups))


_Said = dict[int, list[tuple[int, str]]]


def _units_said(tokens: Tokens, groups: list[list[Term]]) -> _Said:
    """For each sentence, the units of its sure lengths and the token where each stands."""
    said: _Said = {}
    for terms in groups:
        for term in terms:
            for place in term.places:
                if place.sure and place.doubt is None and place.unit is not None:
                    start = place.item.start
                    said.setdefault(tokens.sentence[start], []).append((start, place.unit))
    return said


def _nearest_unit(tokens: Tokens, place: Place, said: _Said) -> str | None:
    """The last unit said before the place in its sentence, or else the first after it."""
    nearby = said.get(tokens.sentence[place.item.start])
    if not nearby:
        return None
    return nearby[max(0, bisect_left(nearby, (place.item.start, "")) - 1)][1]


def _found(tokens: Tokens, groups: list[list[Term]]) -> Iterator[Found]:
    sizes = count()
    for group, terms in enumerate(groups):
        for term in terms:
            size = next(sizes) if term.role == "side" else None
            for place in term.places:
                if not place.sure:
                    continue
                start = tokens.all[_first_token(tokens, place)].start
                stop = tokens.all[place.item.stop - 1].stop
                yield Found(
                    length=None if place.unit is None else Q(place.number, place.unit),
                    start=start,
                    stop=stop,
                    text=tokens.text[start:stop],
                    doubt=place.doubt,
                    number=place.number,
                    group=group,
                    role=term.role,
                    size=size,
                    side=None if place.item.side is None else tokens.all[place.item.side].word,
                    stated=place.stated,
                )


def _first_token(tokens: Tokens, place: Place) -> int:
    """The first token of the length itself: "a" is left to the noun in "a half-inch tab"."""
    item = place.item
    if tokens.all[item.start].kind != lex.ARTICLE or item.unit is None:
        return item.start
    tied = tokens.kinds[item.unit - 1] in (lex.HYPHEN, lex.EN_DASH)
    said = tokens.kinds[item.start : item.stop + 1]
    of_one = lex.OF in said and lex.HYPHEN not in said
    belongs_to_noun = not of_one and (tied or after(tokens, place.stop) is After.THING)
    return item.start + 1 if belongs_to_noun else item.start
