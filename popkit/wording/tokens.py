"""A text cut into tokens, each with its place, its kind and what stands before it.

Typography is settled here: fractions in every form, and figures that belong to a name, a code
or a price (A4, #10, £5) and are no numbers. Nothing is lost but the gaps, and every token knows
where it starts and stops in the text.

Imports: the lexicon.
"""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from popkit.wording import lexicon as lex

__all__ = ["EDGE", "Token", "glued", "split", "token_at"]


@dataclass(slots=True)
class Token:
    """A word, a number or a sign.

    kind     a kind of the lexicon
    start, stop  where it stands in the text
    word     as it is written, in small letters
    value    of a number or a part; the name of a unit
    gap      what comes before it: "" nothing, " " a gap, "\\n" a new line, "¶" an empty line
    capital  whether it begins with a capital
    doubt    why it may not be what its kind says, or None
    """

    kind: str
    start: int
    stop: int
    word: str
    value: object = None
    gap: str = ""
    capital: bool = False
    doubt: str | None = None


EDGE = Token(lex.BREAK, 0, 0, "", gap="¶")
"""What stands before the first and after the last token."""


def token_at(tokens: Sequence[Token], place: int) -> Token:
    """The token at a place, or `EDGE` beyond either end."""
    return tokens[place] if 0 <= place < len(tokens) else EDGE


# Shapes ---------------------------------------------------------------------------

_INVISIBLE = "\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff"
_SUPER, _SUB = "⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉"
_GLYPHS = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"
_STROKE = "/⁄∕"
_THIN = "[ \u00a0\u2009\u202f]?"
_TOKEN = re.compile(
    rf"""
    (?P<gap>     [\s{_INVISIBLE}]+)
  | (?P<code>    [0-9]++ (?: (?: :[0-9]++ )+ | (?P<by>[./-]) [0-9]++ (?: (?P=by) [0-9]++ )+ ))
  | (?P<ratio>   [0-9]{{1,3}} {_THIN} [{_STROKE}] {_THIN} [0-9]{{1,3}} (?![0-9])
               | [{_SUPER}]{{1,3}} [{_STROKE}] [{_SUB}0-9]{{1,3}}
               | ⅟ [{_SUB}0-9]{{1,3}})
  | (?P<glyph>   [{_GLYPHS}])
  | (?P<number>  [0-9]++ (?: \.[0-9]++ )? | \.[0-9]++)
  | (?P<clock>   [apAP]\.[mM]\b\.?)
  | (?P<word>    [^\W\d_{_GLYPHS}⅟]++ (?: ['’] [^\W\d_{_GLYPHS}]++ )*)
  | (?P<sign>    .)
    """.replace("[ \u00a0", "[\\ \u00a0"),
    re.VERBOSE | re.DOTALL,
)
_PLAIN_FIGURES = str.maketrans(_SUPER + _SUB, "0123456789" * 2)
_ADDRESS = re.compile(rf"://|www\.|@[a-z]|[\w-]\.(?:{lex.DOMAINS})\b|\\[A-Za-z]", re.IGNORECASE)
_ADDRESS_EDGE = re.compile(r"[\s<>()\[\]“”]")
_LONGEST_NUMBER = 7
"""More figures in a row make a code, not a length: telephone and order numbers."""
_SIGNS = {
    ",": lex.COMMA,
    ";": lex.COMMA,
    "&": lex.AND,
    "+": lex.AND,
    "±": lex.PLUS_MINUS,
    **dict.fromkeys(".!?…", lex.STOP),
    **dict.fromkeys("([", lex.OPENING),
    **dict.fromkeys("×✕✖⨯╳*", lex.TIMES),
}


def split(text: str) -> list[Token]:
    """The tokens of a text by their shape alone; an empty line is a token of its own."""
    tokens: list[Token] = []
    addresses = _addresses(text)
    covered, gap = 0, "¶"
    for found in _TOKEN.finditer(text):
        raw, start, stop = found.group(), found.start(), found.end()
        if found.lastgroup == "gap":
            gap = _gap(raw)
            continue
        if gap == "¶" and tokens:
            tokens.append(Token(lex.BREAK, start, start, "", gap=gap))
        while covered < len(addresses) and addresses[covered][1] <= start:
            covered += 1
        if covered < len(addresses) and addresses[covered][0] <= start:
            tokens.append(Token(lex.WORD, start, stop, "", gap=gap))
        else:
            tokens.append(_token(found.lastgroup, start, stop, raw, gap))
        gap = ""
    return tokens


def _gap(raw: str) -> str:
    lines = raw.count("\n") or raw.count("\r") or raw.count("\u2028")
    return "¶" if lines > 1 or "\u2029" in raw or "\f" in raw else "\n" if lines else " "


def _addresses(text: str) -> list[tuple[int, int]]:
    """Where web and mail addresses and file names stand, each out to the nearest gap."""
    places: list[tuple[int, int]] = []
    edges: list[int] | None = None
    at = 0
    while mark := _ADDRESS.search(text, at):
        if edges is None:
            edges = [edge.start() for edge in _ADDRESS_EDGE.finditer(text)]
        after = bisect_right(edges, mark.start())
        stop = edges[after] if after < len(edges) else len(text)
        places.append((edges[after - 1] + 1 if after else 0, stop))
        at = max(stop, mark.end())
    return places


def _token(shape: str | None, start: int, stop: int, raw: str, gap: str) -> Token:
    if shape == "word":
        word = raw.lower().replace("’", "'")
        kind, value = lex.WORD_KINDS.get(word, (lex.WORD, None))
        return Token(kind, start, stop, word, value, gap, raw[0].isupper())
    if shape == "clock":
        return Token(lex.OTHER_UNIT, start, stop, raw.lower(), gap=gap)
    if shape == "sign":
        return Token(_SIGNS.get(raw, lex.SIGN), start, stop, raw, gap=gap)
    if shape == "number" and len(raw) <= _LONGEST_NUMBER:
        return Token(lex.DECIMAL if "." in raw else lex.WHOLE, start, stop, raw, Fraction(raw), gap)
    if shape == "glyph":
        value = Fraction(unicodedata.numeric(raw)).limit_denominator(10)
        return Token(lex.RATIO, start, stop, raw, value, gap)
    if shape == "ratio":
        over, under = re.split(f"[{_STROKE}]", raw.replace("⅟", "1/").translate(_PLAIN_FIGURES))
        if int(under):
            value = Fraction(int(over), int(under))
            return Token(lex.RATIO if 0 < value < 1 else lex.TOP_HEAVY, start, stop, raw, value, gap)
    return Token(lex.WORD, start, stop, raw, gap=gap)


# Figures grown together with their neighbours -----------------------------------------

_ORDINAL = frozenset(("st", "nd", "rd", "th", "ths", "nds", "rds"))
_CURRENCY = frozenset("$£€¥₹¢")
_NAME_BEFORE = frozenset("#.\\^°№/") | _CURRENCY
_NAME_AFTER = frozenset("%‰°℃℉#^\\№") | _CURRENCY


def glued(tokens: list[Token]) -> list[Token]:
    """The tokens with A4, 3D, #10 and £5 made words; 16ths, 1,200 mm and 21,6 cm made one token."""
    out: list[Token] = []
    place = 0
    while place < len(tokens):
        token = tokens[place]
        place += 1
        if token.kind in lex.IN_FIGURES:
            after = token_at(tokens, place)
            if not after.gap and after.word in _ORDINAL:
                token = _with_ordinal(token, after)
                place += 1
            elif not after.gap and after.word == ",":
                token, place = _with_commas(tokens, place - 1)
            if _is_name(out, token, token_at(tokens, place)):
                token.kind = lex.WORD
        out.append(token)
    return out


def _with_ordinal(token: Token, after: Token) -> Token:
    """1/16th is the fraction, 16ths are parts, the 5th is a word."""
    token.stop, token.word = after.stop, token.word + after.word
    if token.kind != lex.WHOLE:
        return token
    part, plural = int(token.value), after.word.endswith("s")
    if part not in lex.PART_FIGURES or (part <= 3 and not plural):
        token.kind = lex.WORD
    elif part > 12:
        token.kind = lex.FINE_PARTS if plural else lex.FINE_PART
    else:
        token.kind = lex.PARTS if plural else lex.PART
    token.value = part
    return token


def _with_commas(tokens: list[Token], place: int) -> tuple[Token, int]:
    """1,200 mm as one number, 21,6 cm as a doubtful one; any other comma parts two numbers.

    Returns: the token, and the place after it.
    """
    first, stop = tokens[place], place + 1
    groups = [first.word]
    while (
        len(groups) < 3
        and token_at(tokens, stop).word == ","
        and not token_at(tokens, stop + 1).gap
        and token_at(tokens, stop + 1).kind == lex.WHOLE
    ):
        groups.append(tokens[stop + 1].word)
        stop += 2
    unit = token_at(tokens, stop)
    if len(groups) == 1 or first.kind != lex.WHOLE:
        return first, place + 1
    if unit.kind not in lex.UNITS and unit.word not in ("in", '"'):
        return first, place + 1
    joined = Token(lex.WHOLE, first.start, tokens[stop - 1].stop, ",".join(groups), gap=first.gap)
    if all(len(group) == 3 for group in groups[1:]) and groups[0].strip("0"):
        joined.value = Fraction("".join(groups))
    elif len(groups) == 2:
        joined.kind, joined.value = lex.DECIMAL, Fraction(".".join(groups))
        joined.doubt = "Its comma may be a decimal point, or may part two numbers."
    else:
        return first, place + 1
    return joined, stop


def _is_name(before: list[Token], token: Token, after: Token) -> bool:
    """Whether figures are part of a name, a code or a price through what they touch."""
    last, last_but_one = token_at(before, len(before) - 1), token_at(before, len(before) - 2)
    if token.gap:
        if last.word in _CURRENCY:
            return True
    elif last.kind in lex.IN_FIGURES:
        if (last.kind, token.kind) != (lex.WHOLE, lex.RATIO):
            last.kind = lex.WORD
            return True
    elif last.word in _NAME_BEFORE:
        unit = last_but_one.kind in lex.UNITS or last_but_one.word in ("in", '"')
        if not (last.word == "/" and unit):
            return True
    elif last.word == "_":
        if not last.gap and last_but_one is not EDGE:
            return True
    elif last.kind == lex.WORD and not last.word:
        return True
    elif last.word[-1:].isalpha() and last.kind not in (lex.TIMES, lex.AND, *lex.UNITS):
        return last.word not in ("in", "at", "to")
    if after.gap:
        return False
    if after.word in _NAME_AFTER:
        return True
    if after.word[:1].isalpha() and after.kind in (lex.WORD, lex.FUNCTION, lex.ARTICLE, lex.OF):
        plural_size = after.word == "s" and last.kind == lex.TIMES
        return after.word != "in" and not plural_size
    return after.word in ("_", "/") and token.kind == lex.WHOLE
