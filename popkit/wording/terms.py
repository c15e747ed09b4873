"""Series made into terms: singles, sizes and ranges, with their numbers and shared units.

Imports: the lexicon, tokens, settling, grammar and context of this package.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from popkit.wording import lexicon as lex
from popkit.wording.context import After, after
from popkit.wording.grammar import Item, Series
from popkit.wording.settling import Tokens
from popkit.wording.tokens import Token

__all__ = ["Place", "Term", "in_terms", "share_units"]


@dataclass(slots=True)
class Place:
    """A number of a text on its way to being known.

    unit    name of its unit, its own or borrowed; None while it has none
    stated  whether the unit is its own
    sure    True for a length (with a doubt or without), False for none, None while unknown
    doubt   why it cannot be known, or None
    """

    item: Item
    number: Fraction
    unit: str | None
    stated: bool
    sure: bool | None = None
    doubt: str | None = None

    @property
    def stop(self) -> int:
        """The first token after the number, its unit and its side."""
        return self.item.stop if self.item.side is None else self.item.side + 1

    @property
    def is_whole(self) -> bool:
        """Whether the number has no fraction."""
        return self.number.denominator == 1


@dataclass(slots=True)
class Term:
    """A part of a series: one number ("one"), a size ("side") or a range ("end").

    link  the kind of token that joins it to the term before, or None for the first
    """

    places: list[Place]
    role: str
    link: str | None

    @property
    def is_bare(self) -> bool:
        """Whether none of its numbers has a unit."""
        return all(place.unit is None for place in self.places)


_RANGE = frozenset((lex.TO, lex.HYPHEN, lex.EN_DASH, lex.PLUS_MINUS))


def in_terms(tokens: Tokens, series: Series) -> list[Term]:
    """The terms of a series; a size binds closer than a range, a range closer than a list."""
    places = [_place(tokens, item) for item in series.items]
    terms = [Term([places[0]], "one", None)]
    for join, place in zip(series.joins, places[1:], strict=True):
        last = terms[-1]
        if join == lex.TIMES and last.role == "end":
            # "4 - ½ x 5", "4 x 6 to 5 x 7": what looked like a range ends where a size begins.
            first = last.places.pop()
            last.role = "one" if len(last.places) == 1 else "end"
            terms.append(Term([first, place], "side", lex.TO))
        elif join == lex.TIMES:
            last.role = "side"
            last.places.append(place)
        elif join in _RANGE and last.role == "one":
            last.role = "end"
            last.places.append(place)
        else:
            terms.append(Term([place], "one", join))
    return terms


def _place(tokens: Tokens, item: Item) -> Place:
    number = _value(tokens, item)
    if item.unit is None:
        return Place(item, number, None, False)
    unit = tokens.all[item.unit].value
    if item.inches is not None:
        number, unit = 12 * number + _value(tokens, item.inches), "inch"
    return Place(item, number, unit, True)


def _value(tokens: Tokens, item: Item) -> Fraction:
    """The number of an item; a unit without a number is one."""
    value = _cardinal(tokens.all[place] for place in item.whole)
    for digit, place in enumerate(item.decimals, 1):
        value += Fraction(tokens.all[place].value, 10**digit)
    if item.figure is not None:
        value += tokens.all[item.figure].value
    if item.under is not None:
        over = _cardinal(tokens.all[place] for place in item.over) if item.over else 1
        value += Fraction(over) / tokens.all[item.under].value
    part = item.under if item.figure is None else item.figure
    unit_first = item.unit is not None and (part is None or item.unit < part)
    if unit_first and not item.whole and not item.decimals:
        value += 1  # "another inch", "inch and a quarter"
    return value


def _cardinal(tokens: Iterable[Token]) -> Fraction:
    """The whole number that words or figures say: two, hundred, sixteen -> 216."""
    total = below = Fraction(0)
    for token in tokens:
        if token.kind == lex.HUNDRED:
            below = (below or 1) * 100
        elif token.kind == lex.THOUSAND:
            total, below = (below or 1) * 1000, Fraction(0)
        elif token.kind == lex.ARTICLE:
            below = Fraction(1)
        else:
            below += token.value
    return total + below


def share_units(tokens: Tokens, terms: list[Term]) -> None:
    """Give each bare number of a size, a range or a list the unit that its neighbours say."""
    for term in terms:
        _drop_counts(tokens, term)
        _share(term.places)
    for stretch in _lists(terms):
        _share_in_list(tokens, stretch)


def _lists(terms: list[Term]) -> Iterator[list[Term]]:
    """The terms that are listed together: sizes or single lengths, and none after the "and"."""
    stretch: list[Term] = []
    for term in terms:
        if stretch:
            other = (term.role == "side") != (stretch[-1].role == "side")
            ended = term.link == lex.COMMA and stretch[-1].link in (lex.AND, lex.OR)
            if other or ended:
                yield stretch
                stretch = []
        stretch.append(term)
    yield stretch


def _drop_counts(tokens: Tokens, term: Term) -> None:
    """The numbers that are no lengths in "5 in by 3 pm", "5 in to 2 students", "4 - ½ in strips"."""
    if term.is_bare or term.role == "one":
        return
    first, last = term.places[0], term.places[-1]
    if last.unit is None:
        timed = tokens.at(last.stop).kind == lex.OTHER_UNIT
        if timed or (term.role == "end" and not _goes_with_list(tokens, last)):
            last.sure = False
    dash = tokens.all[first.stop]
    if term.role == "end" and dash.kind == lex.TO and not dash.word.isalpha():
        falling = first.unit is None and first.number > last.number
        first.sure = False if falling else first.sure


def _share(places: list[Place]) -> None:
    """The next unit said, or else the last one, for each place that says none."""
    open_places = [place for place in places if place.sure is None]
    unit = None
    for place in reversed(open_places):
        unit = place.unit = place.unit or unit
    for place in open_places:
        unit = place.unit = place.unit or unit


def _share_in_list(tokens: Tokens, terms: list[Term]) -> None:
    if len(terms) == 1 or all(term.is_bare for term in terms):
        return
    listed = len(terms) > 2 or any(term.link not in (None, lex.COMMA) for term in terms)
    if not listed and terms[0].is_bare:
        return  # "Cut two, 5 in wide": a comma alone makes no list of two.
    if terms[-1].is_bare and not _goes_with_list(tokens, terms[-1].places[-1]):
        # "5 in, 2 or 3 students": the bare numbers at the end share what they count.
        while terms[-1].is_bare:
            terms = terms[:-1]
    _share([place for term in terms for place in term.places])


def _goes_with_list(tokens: Tokens, place: Place) -> bool:
    """Whether the last, bare number of a list goes with it, or counts what comes next."""
    follows, word = after(tokens, place.stop), tokens.at(place.stop)
    if place.item.side is not None and tokens.kinds[place.item.stop] == lex.HYPHEN:
        return False  # "four-square"
    if not place.is_whole and not place.item.whole and word.word in lex.DETERMINERS:
        return place.item.figure is not None  # "half the students"
    if follows is After.THING and not place.is_whole and place.item.whole:
        # "half an inch, one and four and a half apart": nothing comes in four and a half
        # pieces unless it is named in the plural.
        return word.kind == lex.WORD and not word.word.endswith("s")
    return follows in (After.END, After.FUNCTION) and word.word != "off"
