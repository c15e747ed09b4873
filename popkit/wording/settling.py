"""What a token is where its neighbours decide: marks, labels, units, dashes, sentences.

An inch mark or a quotation mark, "in" the unit or "in" the small word, step 3 or 3 steps, a
hyphen that ties or a dash that means "to": each pass settles one of these.

Imports: the lexicon and tokens of this package.
Source: English usage in paper-craft instructions; common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from popkit.wording import lexicon as lex
from popkit.wording.tokens import EDGE, Token, glued, split, token_at

__all__ = ["Tokens"]


@dataclass(frozen=True, slots=True)
class Tokens:
    """All tokens of a text, their kinds as one string, and the sentence each stands in."""

    text: str
    all: list[Token]
    kinds: str
    sentence: list[int]

    @classmethod
    def of(cls, text: str) -> Tokens:
        """Read a text."""
        tokens = glued(split(text))
        for settled in (_marks, _labels, _thirty_seconds, _units, _dashes):
            tokens = settled(tokens)
        return cls(text, tokens, "".join(token.kind for token in tokens), _sentences(tokens))

    def at(self, place: int) -> Token:
        """The token at a place, or `EDGE` beyond either end."""
        return token_at(self.all, place)


# Quotation marks that are inch and foot marks ------------------------------------------

_INCH_MARKS, _FOOT_MARKS = frozenset('"”“″˝＂〃‶'), frozenset("'’‘′＇‵")
_NEVER_QUOTES = frozenset("″′˝＂＇〃‶‵")


def _marks(tokens: list[Token]) -> list[Token]:
    """Inch and foot marks after figures, told from quotation marks that close."""
    out: list[Token] = []
    closes_later = _closes_later(tokens)
    open_quotes: set[str] = set()
    place = 0
    while place < len(tokens):
        token, after = tokens[place], token_at(tokens, place + 1)
        family = _family(token)
        if token.kind == lex.BREAK:
            open_quotes.clear()
        if family:
            twice = family == "'" and not after.gap and after.word == token.word
            closing = (
                family in open_quotes and token.word not in _NEVER_QUOTES and not closes_later[place]
            )
            if not closing and _measures(tokens, place, family, twice):
                token.kind, token.value = (
                    (lex.INCH, "inch") if family == '"' or twice else (lex.FOOT, "foot")
                )
                if twice:
                    token.stop, token.word = after.stop, token.word * 2
                    place += 1
            elif _opens(tokens, place):
                open_quotes.add(family)
            else:
                open_quotes.discard(family)
        out.append(token)
        place += 1
    return out


def _family(token: Token) -> str:
    if token.kind != lex.SIGN:
        return ""
    return '"' if token.word in _INCH_MARKS else "'" if token.word in _FOOT_MARKS else ""


def _measures(tokens: list[Token], place: int, family: str, twice: bool) -> bool:
    """Whether a mark stands where an inch or foot mark can."""
    mark, before, after = tokens[place], token_at(tokens, place - 1), token_at(tokens, place + 1)
    if before.kind not in lex.IN_FIGURES or mark.gap not in ("", " "):
        return False
    if mark.gap and _opens(tokens, place):
        return False
    letter = not after.gap and after.word[:1].isalpha() and after.word not in ("x", "by")
    return not (letter and family == "'" and not twice)


def _opens(tokens: list[Token], place: int) -> bool:
    """Whether a quotation mark can open what it stands before."""
    mark, before = tokens[place], token_at(tokens, place - 1)
    if mark.word in "“‘”":
        return mark.word != "”"
    fresh = bool(mark.gap) or before.kind in (lex.OPENING, lex.BREAK)
    return fresh and not token_at(tokens, place + 1).gap


def _closes_later(tokens: list[Token]) -> list[bool]:
    """For each token, whether the next quotation mark of its family can close a quotation."""
    later = [False] * len(tokens)
    can_close = {'"': False, "'": False}
    for place in range(len(tokens) - 1, -1, -1):
        family = _family(tokens[place])
        if tokens[place].kind == lex.BREAK:
            can_close = dict.fromkeys(can_close, False)
        elif family:
            later[place] = can_close[family]
            can_close[family] = not _opens(tokens, place)
    return later


# Step 3, figure 2, No. 10 ---------------------------------------------------------------


def _labels(tokens: list[Token]) -> list[Token]:
    """Numbers that name a step, a page, an envelope, or that head the items of a list."""
    for place, token in enumerate(tokens):
        if token.kind == lex.WHOLE and token.gap in ("\n", "¶") and _heads_item(tokens, place):
            token.kind = lex.LABEL
        elif token.word in lex.LABELS:
            _label(tokens, place)
    return tokens


def _heads_item(tokens: list[Token], place: int) -> bool:
    mark, text = token_at(tokens, place + 1), token_at(tokens, place + 2)
    return not mark.gap and mark.word in (".", ")", ":") and bool(text.gap)


def _label(tokens: list[Token], place: int) -> None:
    """Make the numbers after a label word its labels: "steps 3, 4 and 5", "No. 10"."""
    label, at = tokens[place].word, place + 1
    while at <= place + 2 and token_at(tokens, at).word in (".", "#", "no", "number"):
        at += 1
    if label in ("no", "number") and token_at(tokens, at).kind != lex.WHOLE:
        return
    while _is_label(tokens, at, label):
        tokens[at].kind = lex.LABEL
        joined = token_at(tokens, at + 1).kind in _LABEL_JOINS
        if not joined or token_at(tokens, at + 2).kind != lex.WHOLE:
            break
        at += 2


_LABEL_JOINS = frozenset((lex.AND, lex.OR, lex.TO, lex.COMMA, lex.HYPHEN))
_LABEL_NUMBERS = frozenset((lex.WHOLE, lex.ONE, lex.ODD, lex.EVEN, lex.TEEN, lex.TENS))


def _is_label(tokens: list[Token], at: int, label: str) -> bool:
    """Whether the number at a place is the name of what the label names, and no length."""
    if token_at(tokens, at).kind not in _LABEL_NUMBERS or tokens[at].gap == "¶":
        return False
    after, then = token_at(tokens, at + 1), token_at(tokens, at + 2)
    if after.kind in lex.UNITS | lex.ANY_PART or after.kind in (lex.TIMES, lex.HYPHEN):
        return False
    if after.kind == lex.RATIO:
        return bool(after.gap) and label not in lex.SOFT_LABELS
    if after.kind == lex.AND and then.kind in (lex.RATIO, lex.ARTICLE):
        return then.kind != lex.RATIO and token_at(tokens, at + 3).kind not in lex.ANY_PART
    if after.word == "in":
        return then.kind not in (lex.SIDE, lex.TIMES, lex.OF)
    return True


# Thirty-seconds and sixty-fourths ----------------------------------------------------------

_FINE = {"thirty": ("second", 32), "sixty": ("fourth", 64)}
_HYPHENS, _DASHES = frozenset("-‐‑"), frozenset("–‒−")


def _thirty_seconds(tokens: list[Token]) -> list[Token]:
    """The tokens with "thirty-second(s)" made one where it is a part and no time."""
    out: list[Token] = []
    place = 0
    while place < len(tokens):
        token = tokens[place]
        place += 1
        if token.word in _FINE:
            ending, part = _FINE[token.word]
            tied = token_at(tokens, place).word in _HYPHENS
            last = token_at(tokens, place + tied)
            part_of = tied or _of_unit(tokens, place + 1)
            if last.word.removesuffix("s") == ending and part_of:
                kind = lex.FINE_PARTS if last.word.endswith("s") else lex.FINE_PART
                token = Token(kind, token.start, last.stop, f"{token.word}-{last.word}", part, token.gap)
                place += tied + 1
        out.append(token)
    return out


def _of_unit(tokens: list[Token], place: int) -> bool:
    """Whether "inch", "-inch" or "of an inch" stands here."""
    nearby = [token_at(tokens, at) for at in range(place, place + 3)]
    if nearby[0].kind in lex.UNITS:
        return True
    if nearby[0].word in _HYPHENS:
        return nearby[1].kind in lex.UNITS
    return nearby[0].kind == lex.OF and bool({nearby[1].kind, nearby[2].kind} & lex.UNITS)


# Units -----------------------------------------------------------------------------------


def _units(tokens: list[Token]) -> list[Token]:
    """Tell "in" the unit from "in" the small word, and lengths from areas; take in the stop of "in."."""
    out: list[Token] = []
    place = 0
    while place < len(tokens):
        token, after = tokens[place], token_at(tokens, place + 1)
        if token.word == "in":
            _settle_in(tokens, place)
        if token.kind in lex.UNITS:
            before, counted = (
                token_at(out, len(out) - 1),
                token_at(out, len(out) - 2).kind in lex.NUMBERS,
            )
            if _is_area(tokens, place) or (token.word == "m" and before.kind not in lex.IN_FIGURES):
                token.kind = lex.OTHER_UNIT
            elif token.word in lex.SHORT_UNITS and _shortened(tokens, place + 1):
                token.stop = after.stop
                place += 1
            if token.word in lex.SINGULAR_UNITS and before.word in lex.BEFORE_ONE and not counted:
                before.kind = lex.WHOLE_ONE
        out.append(token)
        place += 1
    return out


def _is_area(tokens: list[Token], place: int) -> bool:
    after, before = token_at(tokens, place + 1), token_at(tokens, place - 1)
    if tokens[place].word.isalpha() and not after.gap and after.word in ("2", "3", "^", "²", "³"):
        return True
    if before.word == ".":
        before = token_at(tokens, place - 2)
    return before.word in ("square", "sq", "cubic", "cu")


_GOING_ON = frozenset(":-–×/")


def _shortened(tokens: list[Token], place: int) -> bool:
    """Whether a full stop only shortens the unit before it: the sentence goes on."""
    stop, after = token_at(tokens, place), token_at(tokens, place + 1)
    if stop.word != "." or stop.gap or after.gap in ("\n", "¶"):
        return False
    if not after.gap:
        return after.kind == lex.COMMA or after.word[:1] in _GOING_ON or after.word[:1].isalnum()
    goes_on = not after.capital or after.kind in (lex.SIDE, lex.TIMES)
    return after.word[:1].isalnum() and goes_on


def _settle_in(tokens: list[Token], place: int) -> None:
    """Make "in" an inch where it is one, with a doubt where that cannot be known."""
    token, before, after = tokens[place], token_at(tokens, place - 1), token_at(tokens, place + 1)
    verdict: bool | str = False
    if before.word in _HYPHENS:
        # "5-in", but not "5-in-1" or "three-in-one".
        named = after.word in _HYPHENS and token_at(tokens, place + 2).kind in lex.NUMBERS | {
            lex.ARTICLE
        }
        verdict = not token.gap and token_at(tokens, place - 2).kind in lex.NUMBERS and not named
    elif before.kind in lex.NUMBERS and token.gap in ("", " "):
        verdict = _reads_as_inch(tokens, place)
    if verdict:
        token.kind, token.value = lex.INCH, "inch"
        token.doubt = None if verdict is True else verdict


_ENDS = frozenset((lex.STOP, lex.BREAK, lex.SIGN, lex.COMMA, lex.OPENING))


def _reads_as_inch(tokens: list[Token], place: int) -> bool | str:
    """True for the unit, False for the small word, a reason where it cannot be known."""
    number, after = tokens[place - 1], token_at(tokens, place + 1)
    start = place - 1
    while start and tokens[start - 1].kind in lex.NUMBERS:
        start -= 1
    lead = token_at(tokens, start - 1)
    if lead.word in ("all", "both") and token_at(tokens, start - 2).word in lex.PUTTING:
        lead = tokens[start - 2]
    if not tokens[place].gap or after.kind in (lex.SIDE, lex.TIMES) or after.word in ("in", "from"):
        return True
    if number.kind in lex.IN_WORDS:
        # Nobody writes "two in" for two inches, but "seven and a half in." is one.
        return number.kind in lex.ANY_PART and after.kind in _ENDS and start < place - 1
    if after.kind == lex.OF:
        return True
    if number.kind != lex.WHOLE:
        small_word = (
            after.kind in lex.NUMBERS or after.word in lex.DETERMINERS or after.word in lex.IN_PHRASES
        )
        return lex.MAYBE_IN if small_word else True
    return _whole_reads_as_inch(lead, after)


def _whole_reads_as_inch(lead: Token, after: Token) -> bool | str:
    """As above, for a whole number in figures: what leads up to it, what comes after "in"."""
    if lead.word in lex.PUTTING:
        thing = after.kind == lex.WORD and after.word not in lex.IN_PHRASES
        return lex.MAYBE_IN if thing else False
    if after.kind in _ENDS:
        return lead.word not in ("all", "both", "the", "these", "those")
    if after.word in lex.DETERMINERS:
        return lex.MAYBE_IN if lead.word in ("at", "to", "by") or lead.word in lex.SCORING else False
    if after.kind in lex.NUMBERS or after.word in lex.IN_PHRASES:
        return False
    counted = lead.word in lex.COUNTED
    if after.word in lex.COLOURS and (counted or lead.kind == lex.AND):
        return False
    return lex.MAYBE_IN if after.word in lex.MATERIALS and counted else True


# Dashes and sentences ---------------------------------------------------------------------


def _dashes(tokens: list[Token]) -> list[Token]:
    """Hyphens that tie, dashes that mean "to", stars that mean "by"; "½- and ¼-inch" loses its own."""
    out: list[Token] = []
    for place, token in enumerate(tokens):
        before, after = token_at(tokens, place - 1), token_at(tokens, place + 1)
        if token.kind == lex.SIGN and token.word in _HYPHENS | _DASHES and EDGE not in (before, after):
            goes_on = after.kind == lex.COMMA or (after.gap and after.kind in (lex.AND, lex.OR, lex.TO))
            if goes_on and not token.gap and before.kind in lex.NUMBERS:
                continue
            if not after.gap and (not token.gap or after.kind in lex.UNITS):
                token.kind = lex.HYPHEN if token.word in _HYPHENS else lex.EN_DASH
            elif token.gap == " " and after.gap == " ":
                token.kind = lex.TO
        elif token.word == "*" and not (
            before.kind in lex.NUMBERS | lex.UNITS and after.kind in lex.NUMBERS
        ):
            token.kind = lex.SIGN
        out.append(token)
    return out


_BULLETS = frozenset("•·‣▪◦*–—-")


def _sentences(tokens: list[Token]) -> list[int]:
    """The number of the sentence that each token stands in."""
    numbers, number = [], 0
    for place, token in enumerate(tokens):
        before = token_at(tokens, place - 1)
        if before is not EDGE and token.gap:
            shortened = before.word == "." and token_at(tokens, place - 2).word in lex.ABBREVIATIONS
            begins = token.capital or token.kind == lex.LABEL or token.word in _BULLETS
            ended = before.kind == lex.STOP and not shortened
            if ended or token.kind == lex.BREAK or (token.gap == "\n" and begins):
                number += 1
        numbers.append(number)
    return numbers
