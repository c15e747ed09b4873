"""Whether a number is a length, is none, or cannot be known: the rules, with their reasons.

Three kinds of place are judged: those that say a unit, the sides of a size that says none,
and bare numbers. A rule sets `sure` and, where it cannot know, `doubt`.

Imports: the lexicon, settling, grammar, context and terms of this package.
Source: English usage in paper-craft instructions; common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from popkit.wording import lexicon as lex
from popkit.wording.context import After, after, governor, verb_before
from popkit.wording.grammar import Item
from popkit.wording.settling import Tokens
from popkit.wording.terms import Place, Term

__all__ = ["judge_bare", "judge_size", "judge_stated"]

_NO_UNIT = "It says no unit: it may be a length, a count or a time."
_BARE_FRACTION = "It says no unit: a number like this is usually a length."
_SHARE = "It says no unit: it may be a length, or a share of something."
_METRIC_FRACTION = "It says no unit: a fraction is usually inches, but this text is metric."
_COUNT_OR_SIDE = "It may be a side of the size, or how many pieces."
_INCHES = "It says no unit: it may be inches that go with the feet before it."
_FEET = "Feet may be a length, or the feet of the tiers."


# Lengths that say so ---------------------------------------------------------------


def judge_stated(tokens: Tokens, place: Place) -> None:
    """A length with a unit: sure, unless how it is written leaves two readings."""
    item = place.item
    place.sure = True
    doubts = (token.doubt for token in tokens.all[item.start : item.stop])
    place.doubt = next((doubt for doubt in doubts if doubt), None) or _two_readings(tokens, place)
    if place.doubt or item.unit is None:
        return
    unit = tokens.all[item.unit]
    if place.is_whole and lex.OF in tokens.kinds[item.start : item.stop]:
        place.doubt = "It says a whole number “of” a unit: a part of it may be missing."
    elif unit.word == "in" and place.number > lex.LARGE["inch"]:
        place.doubt = lex.MAYBE_IN if after(tokens, item.stop) is After.THING else None
    elif _may_count(tokens, place):
        place.doubt = f"It may be one number, {place.number}, or two: how many, and how long."
    elif unit.word in ("foot", "feet") and item.inches is None:
        _judge_foot(tokens, place)


def _two_readings(tokens: Tokens, place: Place) -> str | None:
    """Why the figures of a place could mean two numbers, or None."""
    item = place.item
    if item.figure is None:
        return None
    figure = tokens.all[item.figure]
    if figure.kind == lex.TOP_HEAVY:
        return "The fraction is one or more: a gap may be missing, as in 8 1/2."
    if figure.kind != lex.RATIO:
        return None
    if figure.value.denominator not in lex.RULER_PARTS and figure.value.numerator > 1:
        return "The stroke may make a fraction, or stand for “or”."
    if item.whole and figure.gap == "\n":
        return "The line ends between the whole number and the fraction."
    if item.whole and figure.gap and _counts_strips(tokens, place):
        return f"It may be one size, or {tokens.all[item.whole[0]].word} pieces of the fraction."
    return None


def _counts_strips(tokens: Tokens, place: Place) -> bool:
    """Whether "cut 2 ½-inch strips" stands here: two strips, or strips of two and a half?"""
    if tokens.at(place.item.start - 1).word not in lex.COUNTED or place.number < 2:
        return False
    for at in range(place.item.stop, place.item.stop + 6):
        token = tokens.at(at)
        if token.kind in (lex.STOP, lex.BREAK, lex.FUNCTION):
            return False
        if token.word in lex.THIN_PIECES:
            return True
    return False


def _may_count(tokens: Tokens, place: Place) -> bool:
    """Whether "twenty two inch strips" stands here: twenty of two inches, or of twenty-two?"""
    item = place.item
    if len(item.whole) < 2 or item.unit is None or tokens.all[item.unit].word not in lex.SINGULAR_UNITS:
        return False
    apart = item.whole[-1] - item.whole[-2] == 1 and tokens.all[item.whole[-1]].kind in lex.SMALL
    return apart and place.is_whole and tokens.at(item.stop).word.endswith("s")


_AWAY = frozenset(("away", "from", "back", "or", "-"))


def _judge_foot(tokens: Tokens, place: Place) -> None:
    """A foot in words may be part of a tier: "glue a foot down", "both feet"."""
    item = place.item
    first, before = tokens.all[item.start], tokens.at(item.start - 1)
    if first.kind in lex.IN_FIGURES or not place.is_whole or item.side is not None:
        return
    follows, of_what = tokens.at(item.stop), tokens.at(item.stop + 1)
    if follows.word in _AWAY or (follows.word == "of" and of_what.word not in lex.DETERMINERS):
        return
    if first.kind == lex.ARTICLE or before.word in lex.DETERMINERS:
        place.sure = False
    else:
        place.doubt = _FEET


# Sizes that say no unit ---------------------------------------------------------------


def judge_size(tokens: Tokens, term: Term, assumed: str) -> None:
    """A size is in the assumed unit where it says none, unless it may be no size."""
    if term.is_bare:
        sure = _is_size(tokens, term)
        doubt = _size_doubt(tokens, term, assumed)
        for place in term.places:
            place.unit, place.sure = assumed, sure
            place.doubt = doubt or _two_readings(tokens, place)
            _doubt_metric_fraction(tokens, place)
    if _leads_with_count(tokens, term):
        term.places[0].sure, term.places[0].doubt = True, _COUNT_OR_SIDE


_IDIOMS = frozenset(("one", "two", "three"))


def _is_size(tokens: Tokens, term: Term) -> bool:
    last = term.places[-1]
    follows = after(tokens, last.stop)
    if follows is After.TIED or tokens.at(last.stop).kind == lex.OTHER_UNIT:
        return False
    if not all(place.is_whole for place in term.places):
        return True
    words = {tokens.all[place.item.start].word for place in term.places}
    if len(words) == 1 and words <= _IDIOMS and follows is not After.THING:
        return False  # "one by one", "two by two"
    return tokens.at(term.places[0].item.start - 1).word not in lex.DIVIDING


def _size_doubt(tokens: Tokens, term: Term, assumed: str) -> str | None:
    word = tokens.at(term.places[-1].stop).word
    if word in lex.PATTERNS and all(place.is_whole for place in term.places):
        many = "dots" if word in ("grid", "grids") else word.removesuffix("s") + "s"
        return f"It may be a size, or how many {many}."
    largest = max(place.number for place in term.places)
    if largest > lex.LARGE[assumed]:
        return f"It says no unit, and {largest} would be too long for a card in the unit of this text."
    return None


def _leads_with_count(tokens: Tokens, term: Term) -> bool:
    """Whether "cut 2 x 8½ x 5 panels" stands here: the first of three may be how many."""
    first, last = term.places[0], term.places[-1]
    if len(term.places) != 3 or first.stated or not first.is_whole:
        return False
    verb, noun = tokens.at(first.item.start - 1), tokens.at(last.stop)
    several = noun.kind == lex.WORD and noun.word.endswith("s")
    return verb.word in lex.COUNTED and several and noun.word not in ("boxes", "blocks", "cubes")


def _doubt_metric_fraction(tokens: Tokens, place: Place) -> None:
    """No metric ruler has fractions, so the unit of one in a metric text is not known."""
    if place.unit not in lex.INCH_FAMILY and _inch_part(tokens, place.item):
        place.unit, place.doubt = None, place.doubt or _METRIC_FRACTION


# Bare numbers ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Setting:
    """Bare numbers that stand together, and what stands around them.

    unit      of the nearest sure length in the sentence, or None
    governor  the word that governs them, or ""
    follows   the word after them, or ""
    works     whether the nearest verb cuts, scores, folds, measures or makes
    part      whether a half, quarter, eighth, ... as on a ruler in inches is among them
    fine      whether eighths or finer are
    mixed     whether a whole number with a fraction is
    whole     whether all are whole numbers
    figures   whether they are in figures
    several   whether there are more than one
    """

    unit: str | None
    governor: str
    follows: str
    works: bool
    part: bool
    fine: bool
    mixed: bool
    whole: bool
    figures: bool
    several: bool

    @property
    def exact(self) -> bool:
        """Whether their fraction is written so that it can be no share of something."""
        return self.part and (self.figures or self.mixed or self.several)


def judge_bare(tokens: Tokens, places: list[Place], unit: str | None, assumed: str) -> None:
    """Bare numbers that stand together: lengths, doubtful, or none of our business.

    unit  of the nearest sure length in their sentence, or None
    """
    sure, doubt = _bare(tokens, places, unit)
    if not sure:
        return
    for place in places:
        place.sure, place.unit = True, "inch" if doubt == _INCHES else unit or assumed
        place.doubt = doubt or _two_readings(tokens, place)
        if unit is None:
            _doubt_metric_fraction(tokens, place)


_Verdict = tuple[bool, str | None]
_LENGTH: _Verdict = (True, None)
_NONE: _Verdict = (False, None)


def _bare(tokens: Tokens, places: list[Place], unit: str | None) -> _Verdict:
    first, last = places[0].item, places[-1]
    follows = after(tokens, last.stop)
    verb = verb_before(tokens, first.start)
    around = _Setting(
        unit=unit,
        governor=governor(tokens, first.start),
        follows=tokens.at(last.stop).word,
        works=verb in lex.SCORING or verb in lex.CUTTING or verb in lex.MAKING,
        part=any(_inch_part(tokens, place.item) for place in places),
        fine=any(_inch_part(tokens, place.item) and place.number.denominator >= 8 for place in places),
        mixed=any(place.item.whole and not place.is_whole for place in places),
        whole=all(place.is_whole for place in places),
        figures=tokens.all[first.start].kind in lex.IN_FIGURES,
        several=len(places) > 1,
    )
    if around.figures and (around.fine or around.mixed) and around.follows in lex.NARROW:
        return _LENGTH  # "a 3/16 reveal", "at the 4½ mark"
    in_place = around.works and around.follows == "in" and around.governor in ("at", "to")
    if follows in (After.TIED, After.THING, After.NUMBER) and not in_place:
        return _NONE
    if tokens.at(first.start - 1).kind == lex.FOOT:
        return True, _INCHES  # "two foot six"
    if first.side is not None:
        return _beside(around, tokens.all[first.side].word)
    if around.governor in lex.SCORING or around.governor in lex.CUTTING:
        return _after_verb(around)
    at_place = around.works and around.governor in lex.PLACING | lex.SIZED_NOUNS
    if at_place or around.governor in lex.MARKS | lex.SIZES:
        return _at_place(around)
    return _elsewhere(around)


def _beside(around: _Setting, side: str) -> _Verdict:
    """ "5 wide", "three across", "4½ deep"."""
    if around.part or (around.unit and side in lex.SURE_SIDES):
        return _LENGTH
    if around.figures and side in ("wide", "long", "tall"):
        return _LENGTH
    return (True, _NO_UNIT) if around.figures or side in lex.SURE_SIDES else _NONE


def _after_verb(around: _Setting) -> _Verdict:
    """ "Score 4½", "cut 24": at once after a verb that cuts or scores."""
    if around.exact or (around.fine and around.unit):
        return _LENGTH
    if around.whole and around.follows in ("from", "with"):
        if around.governor in lex.CUTTING:
            return _NONE  # "cut 6 from the gold card"
        if around.unit and around.follows == "from":
            return _LENGTH  # "score 4 from the top"
    return (True, _NO_UNIT) if around.figures or around.several or not around.whole else _NONE


def _at_place(around: _Setting) -> _Verdict:
    """ "Score at 4½", "trim it to 6", "make the tab 2"."""
    loose = around.governor in ("it", "them", "this", "each")
    if around.exact and not loose:
        return _LENGTH
    if around.unit and (around.fine or around.governor in ("at", "to", "than")):
        return _LENGTH
    return True, _NO_UNIT


def _elsewhere(around: _Setting) -> _Verdict:
    """A number nothing speaks for: only a fraction as on a ruler is worth a question."""
    given = around.governor in lex.PLACING | lex.GIVING
    if around.part and (around.figures or around.mixed):
        if around.unit:
            return _LENGTH if given or around.mixed else (True, _SHARE)
        if around.figures and (around.mixed or around.fine or given):
            return True, _BARE_FRACTION
    if around.whole and around.figures and around.unit and around.governor in ("is", "be", "not"):
        return True, _NO_UNIT
    left = around.figures and around.governor in ("leave", "leaving", "allow", "overlap")
    if around.whole and (left or (around.unit and around.follows in ("down", "up", "along"))):
        return True, _NO_UNIT
    return _NONE


def _inch_part(tokens: Tokens, item: Item) -> bool:
    """Whether the number has a half, quarter, eighth ... as a ruler in inches has."""
    if item.figure is not None and tokens.all[item.figure].kind == lex.RATIO:
        return tokens.all[item.figure].value.denominator in lex.INCH_PARTS
    return item.under is not None and tokens.all[item.under].value in lex.INCH_PARTS
