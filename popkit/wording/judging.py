"""Whether a number is a length, is none, or cannot be known: the rules, with their reasons.

Three kinds of place are judged: those that say a unit, the sides of a size that says none,
and bare numbers. A rule sets `sure` and, where it cannot know, `doubt`.

Imports: the lexicon, tokens, context and terms of this package.
Source: English usage in paper-craft instructions; common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from popkit.wording import lexicon as lex
from popkit.wording.context import After, after, governor, token_at, verb_before
from popkit.wording.grammar import Item
from popkit.wording.terms import Place, Term
from popkit.wording.tokens import Token, Tokens

__all__ = ["judge_bare", "judge_size", "judge_stated"]

NO_UNIT = "It says no unit: it may be a length, a count or a time."
_BARE_FRACTION = "It says no unit: a number like this is usually a length."
_SHARE = "It says no unit: it may be a length, or a share of something."
_METRIC_FRACTION = "It says no unit: a fraction is usually inches, but this text is metric."
_COUNT_OR_SIDE = "It may be a side of the size, or how many pieces."
_FEET = "Feet may be a length, or the feet of the tiers."

_RULER_PARTS = frozenset((2, 3, 4, 8, 10, 16, 20, 32, 64, 100))
_INCH_PARTS = frozenset((2, 4, 8, 16, 32, 64))


# Lengths that say so ---------------------------------------------------------------


def judge_stated(tokens: Tokens, place: Place) -> None:
    """A length with a unit: sure, unless how it is written leaves two readings."""
    item = place.item
    place.sure = True
    doubts = (token.doubt for token in tokens.all[item.start : item.stop])
    place.doubt = next((doubt for doubt in doubts if doubt), None) or _two_readings(tokens, place)
    if item.unit is None or place.doubt:
        return
    unit = tokens.all[item.unit]
    if place.is_whole and lex.OF in tokens.kinds[item.start : item.stop]:
        place.doubt = "It says a whole number “of” a unit: a part of it may be missing."
    elif unit.word == "in" and place.number > lex.LARGE["inch"]:
        if after(tokens, item.stop) is After.THING:
            place.doubt = lex.MAYBE_IN
    elif unit.kind == lex.FOOT and item.inches is None:
        _judge_foot(tokens, place, unit)


def _two_readings(tokens: Tokens, place: Place) -> str | None:
    """Why the figures of a place could mean two numbers, or None."""
    item = place.item
    figure = tokens.all[item.figure] if item.figure is not None else None
    if figure is None:
        return None
    if figure.kind == lex.TOP_HEAVY:
        return "The fraction is one or more: a gap may be missing, as in 8 1/2."
    if figure.kind != lex.RATIO:
        return None
    if figure.value.denominator not in _RULER_PARTS and figure.value.numerator > 1:
        return "The stroke may make a fraction, or stand for “or”."
    if item.whole and figure.gap == "\n":
        return "The line ends between the whole number and the fraction."
    if item.whole and figure.gap and _counts_strips(tokens, place):
        whole = tokens.all[item.whole[0]].word
        return f"It may be one size, or {whole} pieces of the fraction."
    return None


def _counts_strips(tokens: Tokens, place: Place) -> bool:
    """Whether "cut 2 ½-inch strips" stands here: two strips, or strips of two and a half?"""
    verb = token_at(tokens, place.item.start - 1)
    if verb is None or verb.word not in lex.COUNTED or place.number < 2:
        return False
    for at in range(place.item.stop, place.item.stop + 6):
        token = token_at(tokens, at)
        if token is None or token.kind in (lex.STOP, lex.BREAK, lex.FUNCTION):
            return False
        if token.word in lex.THIN_PIECES:
            return True
    return False


def _judge_foot(tokens: Tokens, place: Place, unit: Token) -> None:
    """A foot may be part of a tier: "glue a foot down", "both feet"."""
    first = tokens.all[place.item.start]
    if unit.word not in ("foot", "feet") or first.kind in lex.IN_FIGURES:
        return
    if not place.is_whole or place.item.side is not None:
        return
    follows, of_what = token_at(tokens, place.item.stop), token_at(tokens, place.item.stop + 1)
    if follows is not None and follows.word in ("away", "from", "back", "or", "-", "of"):
        if follows.word != "of" or of_what is None or of_what.word not in lex.DETERMINERS:
            return
    before = token_at(tokens, place.item.start - 1)
    if first.kind == lex.ARTICLE or (before is not None and before.word in lex.DETERMINERS):
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
            if assumed not in lex.INCH_FAMILY and _inch_part(tokens, place.item):
                place.unit, place.doubt = None, doubt or _METRIC_FRACTION
    if _leads_with_count(tokens, term):
        term.places[0].sure, term.places[0].doubt = True, _COUNT_OR_SIDE


def _is_size(tokens: Tokens, term: Term) -> bool:
    first, last = term.places[0], term.places[-1]
    follows, word = after(tokens, last.stop), token_at(tokens, last.stop)
    if follows is After.TIED or (word is not None and word.kind == lex.OTHER_UNIT):
        return False
    if not all(place.is_whole for place in term.places):
        return True
    words = {tokens.all[place.item.start].word for place in term.places}
    if len(words) == 1 and words <= _IDIOMS and follows is not After.THING:
        return False  # "one by one", "two by two"
    before = token_at(tokens, first.item.start - 1)
    return before is None or before.word not in lex.DIVIDING


_IDIOMS = frozenset(("one", "two", "three"))


def _size_doubt(tokens: Tokens, term: Term, assumed: str) -> str | None:
    word = token_at(tokens, term.places[-1].stop)
    if word is not None and word.word in lex.PATTERNS and all(p.is_whole for p in term.places):
        many = "dots" if word.word in ("grid", "grids", "dot") else word.word.removesuffix("s") + "s"
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
    verb, noun = token_at(tokens, first.item.start - 1), token_at(tokens, last.stop)
    if verb is None or verb.word not in lex.COUNTED or noun is None or noun.kind != lex.WORD:
        return False
    return noun.word.endswith("s") and noun.word not in ("boxes", "blocks", "cubes")


# Bare numbers ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Setting:
    """What stands around bare numbers.

    unit     of the nearest sure length in the sentence, or None
    governor the word that governs them, "" if none
    works    whether the nearest verb cuts, scores, folds, measures or makes
    part     whether a half, quarter, eighth, ... as on a ruler in inches is among them
    fine     whether eighths or finer in figures are
    mixed    whether a whole number with a fraction is among them
    whole    whether all are whole numbers
    figures  whether they are in figures
    several  whether there are more than one
    follows  the word after them
    """

    unit: str | None
    governor: str
    works: bool
    part: bool
    fine: bool
    mixed: bool
    whole: bool
    figures: bool
    several: bool
    follows: str


def judge_bare(tokens: Tokens, places: list[Place], unit: str | None, assumed: str) -> None:
    """Bare numbers that stand together: lengths, doubtful, or none of our business.

    unit  of the nearest sure length in their sentence, or None
    """
    sure, doubt = _bare(tokens, places, unit)
    if not sure:
        return
    for place in places:
        place.sure, place.unit = True, unit or assumed
        place.doubt = doubt or _two_readings(tokens, place)
        if unit is None and assumed not in lex.INCH_FAMILY and _inch_part(tokens, place.item):
            place.unit, place.doubt = None, _METRIC_FRACTION


_LENGTH, _NONE = (True, None), (False, None)


def _bare(tokens: Tokens, places: list[Place], unit: str | None) -> tuple[bool, str | None]:
    first, last = places[0].item, places[-1]
    follows, word = after(tokens, last.stop), token_at(tokens, last.stop)
    before = governor(tokens, first.start)
    verb = verb_before(tokens, first.start)
    around = _Setting(
        unit=unit,
        governor=before.word if before is not None else "",
        works=verb in lex.SCORING or verb in lex.CUTTING or verb in lex.MAKING,
        part=any(_inch_part(tokens, place.item) for place in places),
        fine=any(place.item.figure is not None and place.number.denominator >= 8 for place in places),
        mixed=any(place.item.whole and not place.is_whole for place in places),
        whole=all(place.is_whole for place in places),
        figures=tokens.all[first.start].kind in lex.IN_FIGURES,
        several=len(places) > 1,
        follows=word.word if word is not None else "",
    )
    in_place = word is not None and word.word == "in" and around.governor in ("at", "to")
    if follows in (After.TIED, After.THING, After.NUMBER) and not (in_place and around.works):
        return _NONE
    if places[0].item.side is not None:
        return _beside(around, tokens.all[places[0].item.side].word)
    if around.governor in lex.SCORING or around.governor in lex.CUTTING:
        return _after_verb(around)
    at_place = around.works and around.governor in lex.PLACING | lex.SIZED_NOUNS
    if at_place or around.governor in lex.MARKS | lex.SIZES:
        return _at_place(around)
    return _elsewhere(around)


def _beside(around: _Setting, side: str) -> tuple[bool, str | None]:
    """ "5 wide", "three across", "4½ deep"."""
    if around.part or (around.unit and side in lex.SURE_SIDES):
        return _LENGTH
    if around.figures and side in ("wide", "long", "tall"):
        return _LENGTH
    return (True, NO_UNIT) if around.figures or side in lex.SURE_SIDES else _NONE


def _after_verb(around: _Setting) -> tuple[bool, str | None]:
    """ "Score 4½", "cut 24": at once after a verb that cuts or scores."""
    if around.part and (around.figures or around.mixed or around.several):
        return _LENGTH
    if around.follows in ("from", "with") and around.whole:
        if around.governor in lex.CUTTING:
            return _NONE  # "cut 6 from the gold card"
        if around.unit and around.follows == "from":
            return _LENGTH  # "score 4 from the top"
    if around.figures or around.several or not around.whole:
        return True, NO_UNIT
    return _NONE


def _at_place(around: _Setting) -> tuple[bool, str | None]:
    """ "Score at 4½", "trim it to 6", "make the tab 2"."""
    loose = around.governor in ("it", "them", "this", "each")
    if around.part and not loose and (around.figures or around.mixed or around.several):
        return _LENGTH
    if around.unit and around.governor in ("at", "to", "every", "than"):
        return _LENGTH
    return True, NO_UNIT


def _elsewhere(around: _Setting) -> tuple[bool, str | None]:
    """A number nothing speaks for: only a fraction as on a ruler is worth a question."""
    given = around.governor in lex.PLACING | lex.GIVING
    if around.part and (around.figures or around.mixed) and around.unit and given:
        return _LENGTH
    if around.part and around.figures and (around.mixed or around.fine or given):
        return True, _BARE_FRACTION
    if around.part and around.unit and (around.figures or around.mixed):
        return True, _SHARE
    if around.whole and around.figures and around.governor in ("leave", "leaving", "allow", "overlap"):
        return True, NO_UNIT
    return _NONE


def _inch_part(tokens: Tokens, item: Item) -> bool:
    """Whether the number has a half, quarter, eighth ... as a ruler in inches has."""
    if item.figure is not None and tokens.all[item.figure].kind == lex.RATIO:
        return tokens.all[item.figure].value.denominator in _INCH_PARTS
    return item.under is not None and tokens.all[item.under].value in _INCH_PARTS
