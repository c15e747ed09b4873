"""What the numbers of a text are: lengths, things that may be lengths, or something else.

The grammar says which numbers stand together; here the words around them decide. A number is
a length when it says so, when it is a side of a size, or when a neighbour in its size, range
or list says so. A number that stands where a length could stand but does not say so is
found with a doubt and a reason. Everything else is left alone.

Imports: lengths; the lexicon, tokens, grammar and context of this package.
Source: English usage in paper-craft instructions; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from popkit.lengths import Length, LengthError, Q, from_mm, unit_of
from popkit.wording import lexicon as lex
from popkit.wording.context import After, after, governor, token_at, verb_before
from popkit.wording.grammar import Item, Series, series_in
from popkit.wording.tokens import Token, Tokens

__all__ = ["Found", "find_lengths", "unit_named"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A place in a text where a length stands, or may stand.

    length  as it is written, magnitude a Fraction; where `doubt` is set, what it would be if
            it is one, or None if even the unit cannot be told
    start, stop, text  the slice of the text that says it
    doubt   None, or why it cannot be known, in plain words
    number  the bare number
    group   lengths said in one breath (a size, a range, a list) share a number
    role    "one", "side" of a size, "end" of a range
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
    stated: bool = True


def unit_named(unit: str) -> str:
    """ "in" -> "inch", "mm" -> "millimeter". Raises: LengthError for what is no unit of length."""
    try:
        return unit_of(from_mm(1, unit))
    except (KeyError, TypeError):
        raise LengthError(str(unit), "is no unit", 'Write "in", "mm", "cm", "ft" or "m"') from None


@dataclass(slots=True)
class _Place:
    """An item on its way to being found: `sure` is None until it is known what it is."""

    item: Item
    number: Fraction
    unit: str | None
    stated: bool
    sure: bool | None = None
    doubt: str | None = None


@dataclass(slots=True)
class _Term:
    """A single item ("one"), a size ("side") or a range ("end") of a series."""

    places: list[_Place]
    role: str
    link: str | None

    @property
    def unit(self) -> str | None:
        return next((place.unit for place in self.places if place.unit is not None), None)

    @property
    def bare(self) -> bool:
        return self.unit is None


def find_lengths(text: str, unit: str = "in") -> list[Found]:
    """Every length in a tutor's text, and every place that may be one.

    text  anything, typed or dictated
    unit  what a size without a unit is in, as in "8½ x 5"
    Returns: in the order of the text, never overlapping; `text[f.start:f.stop] == f.text`.
    Raises: LengthError for what is no unit of length; nothing for any text.
    """
    tokens = Tokens.of(text)
    default = unit_named(unit)
    groups = [_terms(tokens, series) for series in series_in(tokens.kinds)]
    for terms in groups:
        _share_units(tokens, terms)
        for term in terms:
            if term.role == "side":
                _judge_size(tokens, term, default)
            for place in term.places:
                if place.unit is not None and place.sure is None:
                    _judge_stated(tokens, place)
    said = _units_said(tokens, groups)
    for terms in groups:
        _judge_bare(tokens, terms, default, said)
    return list(_report(tokens, groups))


# Series to terms -------------------------------------------------------------------

_RANGE = frozenset((lex.TO, lex.HYPHEN, lex.EN_DASH, lex.PLUS_MINUS))


def _terms(tokens: Tokens, series: Series) -> list[_Term]:
    """A series as singles, sizes and ranges, with the joins between them."""
    places = [_place(tokens, item) for item in series.items]
    terms = [_Term([places[0]], "one", None)]
    for join, place in zip(series.joins, places[1:], strict=True):
        last = terms[-1]
        if join == lex.TIMES and last.role == "end":
            # "4 - ½ x 5", "4 x 6 to 5 x 7": what looked like a range ends where a size begins.
            first = last.places.pop()
            last.role = "one" if len(last.places) == 1 else "end"
            terms.append(_Term([first, place], "side", lex.TO))
        elif join == lex.TIMES:
            last.role = "side"
            last.places.append(place)
        elif join in _RANGE and last.role == "one":
            last.role = "end"
            last.places.append(place)
        else:
            terms.append(_Term([place], "one", join))
    return terms


def _place(tokens: Tokens, item: Item) -> _Place:
    number = _value(tokens, item)
    if item.unit is None:
        return _Place(item, number, None, False)
    unit = tokens.all[item.unit].value
    if item.inches is not None:
        number, unit = 12 * number + _value(tokens, item.inches), "inch"
    return _Place(item, number, unit, True)


def _value(tokens: Tokens, item: Item) -> Fraction:
    """The number of an item; one where only the unit is said."""
    value = _cardinal(tokens.all[place] for place in item.whole)
    for digit, place in enumerate(item.decimals, 1):
        value += Fraction(tokens.all[place].value, 10**digit)
    if item.figure is not None:
        value += tokens.all[item.figure].value
    if item.under is not None:
        over = _cardinal(tokens.all[place] for place in item.over) if item.over else Fraction(1)
        value += over / tokens.all[item.under].value
    only_unit = not item.whole and not item.decimals and item.figure is None and item.under is None
    return Fraction(1) if only_unit else value


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


# Units that carry ------------------------------------------------------------------


def _share_units(tokens: Tokens, terms: list[_Term]) -> None:
    """Give each bare number of a size, a range or a list the unit its neighbours say."""
    for term in terms:
        _share(term.places)
    stretch: list[_Term] = []
    for term in terms:
        if stretch and (term.role == "side") != (stretch[-1].role == "side"):
            _share_in_list(tokens, stretch)
            stretch = []
        stretch.append(term)
    _share_in_list(tokens, stretch)


def _share(places: list[_Place]) -> None:
    """The next unit said, or else the last one, for each place that says none."""
    unit = None
    for place in reversed(places):
        unit = place.unit = place.unit or unit
    for place in places:
        unit = place.unit = place.unit or unit


def _share_in_list(tokens: Tokens, terms: list[_Term]) -> None:
    if all(term.bare for term in terms) or len(terms) == 1:
        return
    last = terms[-1]
    listed = len(terms) > 2 or any(term.link not in (None, lex.COMMA) for term in terms)
    if not listed and terms[0].bare:
        # "Cut two, 5 in wide": a comma alone makes no list of two.
        return
    if last.bare and not _may_take_unit(tokens, last):
        terms = terms[:-1]
    units: list[str | None] = [term.unit for term in terms]
    following = None
    for at in range(len(terms) - 1, -1, -1):
        following = units[at] = units[at] or following
    for at in range(1, len(terms)):
        units[at] = units[at] or units[at - 1]
    for term, unit in zip(terms, units, strict=True):
        for place in term.places:
            place.unit = place.unit or unit


def _may_take_unit(tokens: Tokens, term: _Term) -> bool:
    """Whether the last, bare number of a list goes with it, or counts what comes next."""
    place = term.places[-1]
    follows = after(tokens, place.item.stop if place.item.side is None else place.item.side + 1)
    if follows in (After.END, After.FUNCTION):
        return True
    if follows is After.THING and place.number.denominator > 1:
        word = token_at(tokens, place.item.stop)
        return word is not None and word.kind == lex.WORD and not word.word.endswith("s")
    return False


# Lengths that say so ---------------------------------------------------------------

_RULER_PARTS = frozenset((2, 3, 4, 8, 10, 16, 20, 32, 64, 100))
_THIN = frozenset("strip strips tab tabs piece pieces band bands border borders length lengths".split())


def _judge_stated(tokens: Tokens, place: _Place) -> None:
    """A length with a unit: sure, unless how it is written leaves two readings."""
    item = place.item
    place.sure = True
    for token in tokens.all[item.start : item.stop]:
        if token.doubt is not None:
            place.doubt = token.doubt
    if place.doubt is None:
        place.doubt = _two_readings(tokens, place)
    if place.number.denominator == 1 and lex.OF in tokens.kinds[item.start : item.stop]:
        place.doubt = place.doubt or "says a whole number “of” a unit"
    unit = tokens.all[item.unit] if item.unit is not None else None
    if unit is not None and unit.kind == lex.FOOT and item.inches is None:
        _judge_foot(tokens, place, unit)


def _two_readings(tokens: Tokens, place: _Place) -> str | None:
    """Why the number of a place could be two numbers, or None."""
    item = place.item
    figure = tokens.all[item.figure] if item.figure is not None else None
    if figure is not None and figure.kind == lex.TOP_HEAVY:
        return "the fraction is more than one: a gap may be missing, as in 8 1/2"
    if figure is not None and figure.kind == lex.RATIO:
        under = figure.value.denominator
        if under not in _RULER_PARTS and figure.value.numerator > 1:
            return "the stroke may be a fraction, or stand for “or”"
        if item.whole and figure.gap == "\n":
            return "the line breaks between the whole number and the fraction"
        if item.whole and figure.gap and _counts_before(tokens, place):
            whole = tokens.all[item.whole[0]].word
            return f"may be one size, or {whole} pieces of the fraction"
        if item.whole and tokens.all[item.figure - 1].kind == lex.TO:
            return "the dash may join the fraction to the number, or part them"
    return None


def _counts_before(tokens: Tokens, place: _Place) -> bool:
    """Whether "cut 2 ½-inch strips" stands here: two strips, or strips of two and a half?"""
    verb = token_at(tokens, place.item.start - 1)
    if verb is None or verb.word not in lex.COUNTED or place.number < 2:
        return False
    at = place.item.stop
    while (token := token_at(tokens, at)) is not None and at < place.item.stop + 6:
        if token.word in _THIN and token.word.endswith("s"):
            return True
        if token.kind in (lex.STOP, lex.BREAK, lex.FUNCTION):
            break
        at += 1
    return False


def _judge_foot(tokens: Tokens, place: _Place, unit: Token) -> None:
    """A foot may be part of a tier: "glue a foot down", "both feet"."""
    if unit.word in ("ft", "'", "’", "′") or tokens.all[place.item.start].kind in lex.IN_FIGURES:
        return
    if place.number.denominator > 1 or place.item.side is not None:
        return
    follows = token_at(tokens, place.item.stop)
    if follows is not None and follows.word in ("of", "away", "from", "back", "or", "-"):
        of_what = token_at(tokens, place.item.stop + 1)
        if follows.word != "of" or of_what is None or of_what.word not in lex.DETERMINERS:
            return
    before = token_at(tokens, place.item.start - 1)
    if tokens.all[place.item.start].kind == lex.ARTICLE or (
        before is not None and before.word in lex.DETERMINERS
    ):
        place.sure = False
    else:
        place.doubt = "feet may be a length, or the feet of the tiers"


# Sizes -----------------------------------------------------------------------------

_IDIOMS = frozenset("one two three".split())


def _judge_size(tokens: Tokens, term: _Term, default: str) -> None:
    """A size without a unit is in the assumed one, unless it may be no size."""
    places = term.places
    if not term.bare:
        if len(places) > 2 and _leads_with_count(tokens, term):
            places[0].sure, places[0].doubt = True, "may be how many pieces, or a side"
        return
    first, last = places[0].item, places[-1].item
    stop = last.stop if last.side is None else last.side + 1
    following, word = after(tokens, stop), token_at(tokens, stop)
    whole = all(place.number.denominator == 1 for place in places)
    words = [tokens.all[place.item.start].word for place in places]
    before = token_at(tokens, first.start - 1)
    if following is After.TIED or (word is not None and word.kind == lex.OTHER_UNIT):
        sure = False
    elif whole and len(set(words)) == 1 and words[0] in _IDIOMS and following is not After.THING:
        sure = False
    elif whole and before is not None and before.word in lex.DIVIDING:
        sure = False
    else:
        sure = True
    doubt = _size_doubt(tokens, term, default, word, whole)
    for place in places:
        place.unit, place.sure, place.doubt = default, sure, doubt or _two_readings(tokens, place)
    if _leads_with_count(tokens, term):
        places[0].doubt = "may be how many pieces, or a side"


def _size_doubt(
    tokens: Tokens, term: _Term, default: str, word: Token | None, whole: bool
) -> str | None:
    if whole and word is not None and word.word in lex.PATTERNS:
        return f"may be a size, or how many {_plural(word.word)}"
    largest = max(place.number for place in term.places)
    if largest > lex.LARGE[default]:
        return f"says no unit, and {largest} {default}s would be too long for a card"
    return None


def _plural(word: str) -> str:
    return "dots" if word in ("grid", "grids", "dot") else word if word.endswith("s") else f"{word}s"


def _leads_with_count(tokens: Tokens, term: _Term) -> bool:
    """ "Cut 2 x 8½ x 5 panels": the first of three may be how many."""
    places = term.places
    if len(places) != 3 or places[0].stated or places[0].number.denominator > 1:
        return False
    verb, noun = (
        token_at(tokens, places[0].item.start - 1),
        token_at(tokens, places[-1].item.stop),
    )
    return (
        verb is not None
        and verb.word in lex.COUNTED
        and noun is not None
        and noun.kind == lex.WORD
        and noun.word.endswith("s")
        and noun.word not in ("boxes", "blocks")
    )


# Bare numbers ----------------------------------------------------------------------


def _units_said(tokens: Tokens, groups: list[list[_Term]]) -> dict[int, list[tuple[int, str]]]:
    """For each sentence, the units of its sure lengths and the token where each stands."""
    said: dict[int, list[tuple[int, str]]] = {}
    for terms in groups:
        for term in terms:
            for place in term.places:
                if place.sure and place.doubt is None and place.unit is not None:
                    start = place.item.start
                    said.setdefault(tokens.sentence[start], []).append((start, place.unit))
    return said


def _judge_bare(
    tokens: Tokens,
    terms: list[_Term],
    default: str,
    said: dict[int, list[tuple[int, str]]],
) -> None:
    """Numbers that say no unit and have none to borrow in their own series."""
    bare = [place for term in terms for place in term.places if place.sure is None]
    if not bare:
        return
    first, last = bare[0], bare[-1]
    nearby = said.get(tokens.sentence[first.item.start])
    unit = None
    if nearby:
        before = [name for at, name in nearby if at < first.item.start]
        unit = before[-1] if before else nearby[0][1]
    verdict, why = _bare_verdict(tokens, bare, unit, default)
    if verdict is False:
        return
    for place in bare:
        place.sure, place.unit = True, unit or default
        place.doubt = why or _two_readings(tokens, place)
        metric = place.unit not in ("inch", "foot", "yard")
        if metric and unit is None and _has_ruler_part(tokens, place.item):
            place.unit = None
            place.doubt = "has no unit: a fraction is usually inches, but this text is metric"
    _ = last


def _has_ruler_part(tokens: Tokens, item: Item) -> bool:
    """Whether the number has a half, quarter, eighth ... as a ruler in inches has."""
    if item.figure is not None and tokens.all[item.figure].kind == lex.RATIO:
        under = tokens.all[item.figure].value.denominator
    elif item.under is not None:
        under = tokens.all[item.under].value
    else:
        return False
    return under in (2, 4, 8, 16, 32, 64)


def _bare_verdict(
    tokens: Tokens, bare: list[_Place], unit: str | None, default: str
) -> tuple[bool, str | None]:
    """Whether bare numbers are lengths at all, and the doubt if that cannot be known."""
    first, last = bare[0].item, bare[-1].item
    stop = last.stop if last.side is None else last.side + 1
    follows, word = after(tokens, stop), token_at(tokens, stop)
    if word is not None and word.word in lex.CALIPER_WORDS:
        return False, None
    if follows in (After.TIED, After.THING, After.NUMBER):
        return False, None
    figures = tokens.all[first.start].kind in lex.IN_FIGURES
    part = any(_has_ruler_part(tokens, place.item) for place in bare)
    whole = all(place.number.denominator == 1 for place in bare)
    mixed = any(place.item.whole and place.number.denominator > 1 for place in bare)
    if first.side is not None and (whole or mixed or unit):
        return _side_verdict(tokens, first, figures, part, unit)
    before = governor(tokens, first.start)
    verb = verb_before(tokens, first.start)
    by = before.word if before is not None else ""
    works = verb in lex.SCORING or verb in lex.CUTTING or verb in lex.MAKING
    placed = works and by in _PLACING
    at_once = by in lex.SCORING or by in lex.CUTTING
    marks = by in _MARK_NOUNS
    if placed or marks or (at_once and (part or not whole)):
        if part and (figures or mixed or len(bare) > 1) and by not in _LOOSE:
            return True, None
        if unit is not None and (placed or marks) and by in _SURE_PLACING:
            return True, None
        return True, _NO_UNIT
    if at_once and whole:
        counted = by in lex.CUTTING and word is not None and word.word in _AFTER_COUNT
        spoken_one = not figures and len(bare) == 1
        return (False, None) if counted or spoken_one else (True, _NO_UNIT)
    if mixed and figures:
        return True, "has no unit: a fraction like this is usually a length"
    if part and figures and unit is not None and (placed or by in _PLACING or by in _GIVING):
        return True, None if by in _SURE_PLACING or by in _GIVING else _NO_UNIT
    if part and figures and unit is not None:
        return True, "has no unit: it may be a length, or a share of something"
    return False, None


_PLACING = frozenset("at to by it them this each every down from : strip piece card".split())
_SURE_PLACING = frozenset("at to every".split())
_LOOSE = frozenset("it them this each".split())
_MARK_NOUNS = frozenset("lines marks scores creases folds".split())
_GIVING = frozenset("take give overlap least most leave".split())
_AFTER_COUNT = frozenset("of for per each more out in from with".split())
_NO_UNIT = "has no unit: it may be a length, a count or a time"


def _side_verdict(
    tokens: Tokens, item: Item, figures: bool, part: bool, unit: str | None
) -> tuple[bool, str | None]:
    side = tokens.all[item.side].word
    if part or (unit is not None and side in lex.SURE_SIDES):
        return True, None
    if figures and side in ("wide", "long", "tall"):
        return True, None
    if figures:
        return True, _NO_UNIT
    return (True, _NO_UNIT) if side in lex.SURE_SIDES else (False, None)


# Places to Found --------------------------------------------------------------------


def _report(tokens: Tokens, groups: list[list[_Term]]) -> Iterator[Found]:
    for group, terms in enumerate(groups):
        for term in terms:
            for place in term.places:
                if not place.sure:
                    continue
                start = tokens.all[_first_token(tokens, place.item)].start
                stop = tokens.all[place.item.stop - 1].stop
                unit = place.unit
                yield Found(
                    length=None if unit is None else Q(place.number, unit),
                    start=start,
                    stop=stop,
                    text=tokens.text[start:stop],
                    doubt=place.doubt,
                    number=place.number,
                    group=group,
                    role=term.role,
                    stated=place.stated,
                )


def _first_token(tokens: Tokens, item: Item) -> int:
    """The first token of the length itself: "a" is left to the noun in "a half-inch tab"."""
    start = item.start
    if tokens.all[start].kind != lex.ARTICLE or item.unit is None:
        return start
    tied = tokens.kinds[item.unit - 1] in (lex.HYPHEN, lex.EN_DASH)
    stop = item.stop if item.side is None else item.side + 1
    of_one = lex.OF in tokens.kinds[start : item.stop + 1]
    if not of_one and (tied or after(tokens, stop) is After.THING):
        return start + 1
    return start
