"""The grammar of lengths, written in the kinds of the lexicon.

A sentence reaches the grammar as a string of kinds, one character to a token, so a rule says
"number, of, article, unit" whatever the typography was. It finds series: lengths and bare
numbers joined by "x", "to", "and" or a comma. What a series means (a size, a range, a list,
a count) is settled by `reading`.

Imports: pyparsing (its global settings are left alone: matplotlib shares them), the lexicon.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, lru_cache

import pyparsing as pp

from popkit.wording import lexicon as lex

__all__ = ["Item", "Series", "series_in"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One length or bare number of a series, by the places of its tokens.

    start, stop  its first token, and the one after its last
    whole        tokens of the whole part, in figures or in words
    decimals     tokens said after "point"
    over, under  tokens of a fraction in words; without `over` it is one part
    figure       token of a fraction or decimal in figures
    unit         token of the unit, or None
    inches       where feet are followed by inches, the item of the inches
    side         token of "wide", "tall", ... after it, or None
    """

    start: int = 0
    stop: int = 0
    whole: tuple[int, ...] = ()
    decimals: tuple[int, ...] = ()
    over: tuple[int, ...] = ()
    under: int | None = None
    figure: int | None = None
    unit: int | None = None
    inches: Item | None = None
    side: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """Items in a row and, between each two, the kind of token that joins them."""

    items: tuple[Item, ...]
    joins: tuple[str, ...]


def _at(kinds: str) -> pp.ParserElement:
    """One token of any of these kinds; yields its place."""
    return pp.Char(kinds).leave_whitespace().set_parse_action(lambda _kinds, place, _found: place)


def _skip(kinds: str) -> pp.ParserElement:
    """One token of any of these kinds; yields nothing."""
    return pp.Char(kinds).leave_whitespace().set_parse_action(lambda: [])


_ONES = lex.ONE + lex.ODD + lex.EVEN
_SINGULAR, _PLURAL = lex.PART + lex.FINE_PART, lex.PARTS + lex.FINE_PARTS
_ANY_PART = lex.HALF + _SINGULAR + _PLURAL
_UNIT = lex.INCH + lex.FOOT + lex.METRIC
_TIES = lex.HYPHEN + lex.EN_DASH


def _gap() -> pp.ParserElement:
    """A hyphen or none: "three-quarter-inch" and "three quarter inch" are one."""
    return pp.Regex(f"[{_TIES}]?").leave_whitespace().set_parse_action(lambda: [])


def _cardinal() -> pp.ParserElement:
    """A whole number in words; yields the places of its words.

    "Twenty three-quarter-inch strips" are twenty strips: a last word before a part is left
    to that part.
    """
    no_part = ~(_gap() + _skip(_ANY_PART))
    tens = _at(lex.TENS) + pp.Opt(_gap() + _at(_ONES) + no_part)
    small = _at(_ONES) | _at(lex.TEEN) | tens
    rest = pp.Opt(pp.Opt(_skip(lex.AND)) + small + no_part)
    hundreds = _at(lex.HUNDRED) + rest
    thousands = _at(lex.THOUSAND) + pp.Opt(pp.Opt(small) + hundreds | rest)
    scale = hundreds | thousands
    return small + pp.Opt(scale) | pp.Opt(_at(lex.ARTICLE)) + scale


def _part() -> pp.ParserElement:
    """A fraction, in figures or in words; yields an `Item`.

    "Two quarter-inch strips" are two strips but "three-quarter-inch" is one size: before a
    single part, a number is its count unless a hyphen ties them or it is odd.
    """
    unit_next = pp.FollowedBy(_skip(_UNIT))
    in_words = (
        pp.Opt(_at(lex.ARTICLE + lex.ONE) + _gap()) + _at(lex.HALF + _SINGULAR)
        | _at(_ONES + lex.TEEN) + _gap() + _at(_PLURAL)
        | _at(_ONES + lex.TEEN) + _skip(lex.HYPHEN) + _at(lex.HALF + _SINGULAR)
        | _at(lex.ODD + lex.TEEN) + _at(_SINGULAR) + unit_next
        | _at(lex.TENS) + _gap() + _at(_ONES) + _gap() + _at(lex.FINE_PARTS)
    )
    in_words.set_parse_action(lambda found: Item(over=tuple(found)[:-1], under=found[-1]))
    in_figures = _at(lex.RATIO).add_parse_action(lambda found: Item(figure=found[0]))
    return in_figures | in_words


def _number() -> pp.ParserElement:
    """A number in any form; yields an `Item`."""
    part = _part()
    and_part = _gap() + _skip(lex.AND) + _gap() + part
    alone = _at(lex.RATIO + lex.DECIMAL + lex.TOP_HEAVY).add_parse_action(
        lambda found: Item(figure=found[0])
    )
    tied = _gap() + _at(lex.RATIO).add_parse_action(lambda found: Item(figure=found[0]))
    counted = (_at(lex.WHOLE) + _gap() + _at(_PLURAL)).set_parse_action(
        lambda found: Item(over=(found[0],), under=found[1])
    )
    decimals = (_skip(lex.POINT) + pp.OneOrMore(_at(_ONES + lex.ZERO))).set_parse_action(
        lambda found: Item(decimals=tuple(found))
    )

    def joined(found: pp.ParseResults) -> Item:
        *whole, last = found
        if isinstance(last, Item):
            return replace(last, whole=tuple(whole))
        return Item(whole=(*whole, last))

    in_figures = counted | (_at(lex.WHOLE) + pp.Opt(tied | and_part)).set_parse_action(joined)
    in_words = (
        _cardinal() + pp.Opt(and_part | decimals) | _at(lex.ZERO) + pp.Opt(decimals) | decimals
    ).set_parse_action(joined)
    return alone | in_figures | part | in_words


def _placed(_kinds: str, place: int, found: pp.ParseResults) -> Item:
    """The item with its first and last token, and the side it lies if that is said."""
    item, *side = found
    last = item.inches or item
    named = (*item.whole, *item.decimals, *item.over, item.under, item.figure, item.unit)
    named += (*last.whole, *last.decimals, *last.over, last.under, last.figure, last.unit)
    places = {token for token in named if token is not None}
    return replace(
        item,
        start=item.unit if item.unit == min(places) else place,
        stop=max(places) + 1,
        side=side[0] if side else None,
    )


_BEGINS = "".join(sorted(lex.NUMBERS | lex.UNITS)) + lex.ARTICLE + lex.WHOLE_ONE
_JOIN = (
    rf"[{_TIES}]?(?P<size>{lex.TIMES})[{_TIES}]?"
    rf"|(?P<comma>{lex.COMMA})[{lex.AND}{lex.OR}]?"
    rf"|[{lex.AND}{lex.OR}{lex.TO}{lex.PLUS_MINUS}{lex.EN_DASH}{lex.HYPHEN}]"
)


@cache
def _series() -> pp.ParserElement:
    number, part, unit = _number(), _part(), _at(_UNIT)
    one = lex.ARTICLE + lex.ONE
    # "An inch and a quarter"; but in "an inch and a quarter inch" the quarter has its own unit.
    own_unit = _gap() + pp.Opt(_skip(lex.OF)) + pp.Opt(_skip(one)) + _skip(_UNIT)
    and_part = _gap() + _skip(lex.AND) + _gap() + part + ~own_unit
    after_whole = pp.PrecededBy(
        pp.Regex(rf"[{lex.WHOLE}{_ONES}{lex.TEEN}{lex.TENS}{lex.HUNDRED}][{_TIES}]?[{_UNIT}]"), retreat=3
    )
    inches = (number + _gap() + _at(lex.INCH)).set_parse_action(
        lambda found: replace(found[0], unit=found[1])
    )
    feet_and_inches = _gap() + _at(lex.FOOT) + _gap() + inches
    plain = _gap() + unit + pp.Opt(pp.FollowedBy(_gap() + _skip(lex.AND)) + after_whole + and_part)
    of_one = _gap() + _skip(lex.OF) + _gap() + pp.Opt(_skip(one) + _gap()) + unit
    after_part = pp.PrecededBy(pp.Char(lex.RATIO + _ANY_PART), retreat=1)
    an = after_part + _gap() + _skip(lex.ARTICLE) + _gap() + unit

    def measured(found: pp.ParseResults) -> Item:
        number, *rest = found
        match rest:
            case []:
                return number
            case [place]:
                return replace(number, unit=place)
            case [place, part] if part.unit is None:
                return replace(part, whole=number.whole, decimals=number.decimals, unit=place)
            case [place, inches]:
                return replace(number, unit=place, inches=inches)

    def single(found: pp.ParseResults) -> Item:
        """One unit, "an inch", with its part if it has one."""
        *article, place = [token for token in found if not isinstance(token, Item)]
        part = next((token for token in found if isinstance(token, Item)), Item())
        return replace(part, whole=tuple(article), unit=place)

    side = _gap() + _at(lex.SIDE)
    measure = (number + pp.Opt(feet_and_inches | plain | of_one | an)).set_parse_action(measured)
    an_inch = (
        _at(lex.ARTICLE) + unit + pp.Opt(and_part)
        | _skip(lex.WHOLE_ONE) + unit + pp.Opt(and_part)
        | unit + (and_part | pp.FollowedBy(side))
    ).set_parse_action(single)
    begins = pp.FollowedBy(pp.Char(_BEGINS))
    item = (begins + (measure | an_inch) + pp.Opt(side)).set_parse_action(_placed)
    join = pp.Regex(_JOIN).set_parse_action(lambda found: found.size or found.comma or found[0])
    return (item + pp.ZeroOrMore(join + item)).leave_whitespace().parse_with_tabs()


_RUN = re.compile(f"[{re.escape(lex.MEASURING)}]+")
_WORTH_READING = re.compile(f"[{''.join(sorted(lex.NUMBERS | lex.UNITS))}]")
_SHORT_RUN = 40


def series_in(kinds: str) -> Iterator[Series]:
    """Every series in a text, in order, from the kinds of its tokens."""
    for run in _RUN.finditer(kinds):
        if _WORTH_READING.search(kinds, run.start(), run.end()) is None:
            continue
        read = remembered if run.end() - run.start() <= _SHORT_RUN else _series_of
        for series in read(run.group()):
            items = tuple(_moved(item, run.start()) for item in series.items)
            yield Series(items=items, joins=series.joins)


def _series_of(run: str) -> tuple[Series, ...]:
    return tuple(
        Series(items=tuple(found)[::2], joins=tuple(found)[1::2])
        for found, _start, _stop in _series().scan_string(run, always_skip_whitespace=False)
    )


# The same few runs come again and again ("dn" is every "5 in"), and parsing one costs a
# thousand times what looking it up does.
remembered = lru_cache(maxsize=4096)(_series_of)


def _moved(item: Item, by: int) -> Item:
    def to(place: int | None) -> int | None:
        return None if place is None else place + by

    return Item(
        start=item.start + by,
        stop=item.stop + by,
        whole=tuple(map(to, item.whole)),
        decimals=tuple(map(to, item.decimals)),
        over=tuple(map(to, item.over)),
        under=to(item.under),
        figure=to(item.figure),
        unit=to(item.unit),
        inches=_moved(item.inches, by) if item.inches else None,
        side=to(item.side),
    )
