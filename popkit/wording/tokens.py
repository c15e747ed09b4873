"""A text cut into tokens, each with its place and its kind.

Typography is settled here (fractions in every form, dashes, quotation marks that are inch
marks, "in" the unit against "in" the small word) so that the grammar sees kinds alone.
Nothing is thrown away but the gaps: every token knows where it starts and stops in the text.

Imports: the lexicon.
"""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from popkit.wording import lexicon as lex

__all__ = ["Token", "Tokens"]

_INVISIBLE = "\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff"
_SUPER, _SUB = "⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉"
_GLYPHS = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"
_SLASH = "/⁄∕"
_TOKEN = re.compile(
    rf"""
    (?P<gap>     [\s{_INVISIBLE}]+)
  | (?P<code>    [0-9]++ (?: (?: :[0-9]++ )+ | (?P<by>[./-]) [0-9]++ (?: (?P=by) [0-9]++ )+ ))
  | (?P<ratio>   [0-9]{{1,3}} [ \u00a0\u2009\u202f]? [{_SLASH}] [ \u00a0\u2009\u202f]? [0-9]{{1,3}} (?![0-9])
               | [{_SUPER}]{{1,3}} [{_SLASH}] [{_SUB}0-9]{{1,3}} | ⅟ [{_SUB}0-9]{{1,3}})
  | (?P<glyph>   [{_GLYPHS}])
  | (?P<number>  [0-9]++ (?: \.[0-9]++ )? | \.[0-9]++)
  | (?P<word>    [^\W\d_{_GLYPHS}⅟]++ (?: ['’] [^\W\d_{_GLYPHS}]++ )*)
  | (?P<sign>    .)
    """,
    re.VERBOSE | re.DOTALL,
)
_PLAIN_DIGITS = str.maketrans(_SUPER + _SUB, "0123456789" * 2)
_ADDRESS = re.compile(rf"://|www\.|@[a-z]|[\w-]\.(?:{lex.DOMAINS})\b|\\[A-Za-z]", re.IGNORECASE)
_EDGE = re.compile(r"[\s<>()\[\]“”]")
_ORDINAL = frozenset(("st", "nd", "rd", "th", "ths", "nds", "rds"))
_CURRENCY = frozenset("$£€¥₹¢")
_NEVER_BEFORE = frozenset("#.\\^°№/") | _CURRENCY
_NEVER_AFTER = frozenset("%‰°℃℉#^\\№") | _CURRENCY
_INCH_MARKS, _FOOT_MARKS = frozenset("\"”“″˝＂〃‶"), frozenset("'’‘′＇‵")
_ALWAYS_MARKS = frozenset("″′˝＂＇〃‶‵")
_BULLETS = frozenset("•·‣▪◦*–—-")
_SIGNS = {
    ",": lex.COMMA,
    ";": lex.COMMA,
    "&": lex.AND,
    "+": lex.AND,
    "±": lex.PLUS_MINUS,
    ".": lex.STOP,
    "!": lex.STOP,
    "?": lex.STOP,
    "…": lex.STOP,
    "(": lex.OPENING,
    "[": lex.OPENING,
    **dict.fromkeys("×✕✖⨯╳*", lex.TIMES),
}
_HYPHENS, _DASHES = frozenset("-‐‑"), frozenset("–‒−")
_LONG_NUMBER = 7
"""Figures in a row that make a code, not a length: telephone and order numbers."""


@dataclass(slots=True)
class Token:
    """A word, number or sign.

    kind   a kind of the lexicon
    start, stop  where it stands in the text
    word   as it is written, in small letters
    value  of a number or a part; the name of a unit
    gap    what comes before it: "" nothing, " " a gap, "\\n" a new line, "¶" an empty line
    doubt  why it may not be what its kind says, or None
    """

    kind: str
    start: int
    stop: int
    word: str
    value: object = None
    gap: str = ""
    doubt: str | None = None
    capital: bool = False


@dataclass(slots=True)
class Tokens:
    """All tokens of a text, and their kinds as one string."""

    text: str
    all: list[Token]
    kinds: str
    sentence: list[int]

    @classmethod
    def of(cls, text: str) -> Tokens:
        """Read a text."""
        tokens = _split(text)
        for settle in (_glue, _marks, _labels, _parts, _units, _dashes):
            tokens = settle(tokens)
        return cls(text, tokens, "".join(token.kind for token in tokens), _sentences(tokens))


# First pass: shapes ---------------------------------------------------------------


def _addresses(text: str) -> list[tuple[int, int]]:
    """Where web and mail addresses and file names stand, each out to the nearest gap."""
    places: list[tuple[int, int]] = []
    edges: list[int] | None = None
    at = 0
    while mark := _ADDRESS.search(text, at):
        if edges is None:
            edges = [edge.start() for edge in _EDGE.finditer(text)]
        after = bisect_right(edges, mark.start())
        start = edges[after - 1] + 1 if after else 0
        stop = edges[after] if after < len(edges) else len(text)
        places.append((start, stop))
        at = max(stop, mark.end())
    return places


def _split(text: str) -> list[Token]:
    tokens: list[Token] = []
    addresses = _addresses(text)
    covered = 0
    gap = "¶"
    for found in _TOKEN.finditer(text):
        shape, start, stop = found.lastgroup, found.start(), found.end()
        raw = found.group()
        if shape == "gap":
            lines = raw.count("\n") or raw.count("\r") or raw.count("\u2028")
            gap = "¶" if lines > 1 or "\u2029" in raw or "\f" in raw else "\n" if lines else " "
            continue
        if gap == "¶" and tokens:
            tokens.append(Token(lex.BREAK, start, start, "", None, gap))
        while covered < len(addresses) and addresses[covered][1] <= start:
            covered += 1
        if covered < len(addresses) and addresses[covered][0] <= start:
            tokens.append(Token(lex.WORD, start, stop, "", None, gap))
        else:
            tokens.append(_token(shape, start, stop, raw, gap))
        gap = ""
    return tokens


def _token(shape: str | None, start: int, stop: int, raw: str, gap: str) -> Token:
    if shape == "word":
        word = raw.lower().replace("’", "'")
        kind, value = _WORD_KINDS.get(word, (lex.WORD, None))
        return Token(kind, start, stop, word, value, gap, None, raw[0].isupper())
    if shape == "sign":
        return Token(_SIGNS.get(raw, lex.SIGN), start, stop, raw, None, gap)
    if shape == "number":
        if len(raw) > _LONG_NUMBER:
            return Token(lex.WORD, start, stop, raw, None, gap)
        return Token(lex.DECIMAL if "." in raw else lex.WHOLE, start, stop, raw, Fraction(raw), gap)
    if shape == "glyph":
        value = Fraction(unicodedata.numeric(raw)).limit_denominator(10)
        return Token(lex.RATIO, start, stop, raw, value, gap)
    if shape == "ratio":
        over, under = re.split(f"[{_SLASH}]", raw.replace("⅟", "1/").translate(_PLAIN_DIGITS))
        if int(under) == 0:
            return Token(lex.WORD, start, stop, raw, None, gap)
        value = Fraction(int(over), int(under))
        return Token(lex.RATIO if 0 < value < 1 else lex.TOP_HEAVY, start, stop, raw, value, gap)
    return Token(lex.WORD, start, stop, raw, None, gap)


_WORD_KINDS: dict[str, tuple[str, object]] = {
    **{word: (lex.FUNCTION, None) for word in lex.FUNCTIONS},
    **lex.NUMBER_WORDS,
    **lex.PART_WORDS,
    **lex.UNIT_WORDS,
    **dict.fromkeys(lex.OTHER_UNITS - lex.SIDES - set(lex.PART_WORDS), (lex.OTHER_UNIT, None)),
    **dict.fromkeys(lex.SIDES, (lex.SIDE, None)),
    **dict.fromkeys(("a", "an"), (lex.ARTICLE, None)),
    **dict.fromkeys(("and", "n", "plus"), (lex.AND, None)),
    **dict.fromkeys(("x", "by"), (lex.TIMES, None)),
    **dict.fromkeys(("to", "through", "thru"), (lex.TO, None)),
    "or": (lex.OR, None),
    "of": (lex.OF, None),
    "point": (lex.POINT, 0),
    "in": (lex.FUNCTION, None),
}


# Second pass: numbers that belong to a name, a code, a price ------------------------


def _glue(tokens: list[Token]) -> list[Token]:
    """Numbers grown together with their neighbours: A4, 3D, #10, £5, 16ths, 1,200 mm."""
    out: list[Token] = []
    count = len(tokens)
    place = 0
    while place < count:
        token = tokens[place]
        place += 1
        after = tokens[place] if place < count and not tokens[place].gap else None
        if token.kind not in lex.IN_FIGURES:
            out.append(token)
            continue
        if after is not None and after.word in _ORDINAL:
            token = _ordinal(token, after)
            place += 1
            after = tokens[place] if place < count and not tokens[place].gap else None
        elif after is not None and after.kind == lex.COMMA and after.word == ",":
            place = _comma_number(tokens, place - 1)
            token = tokens[place - 1]
            after = tokens[place] if place < count and not tokens[place].gap else None
        if _is_name(out, token, after):
            token.kind = lex.WORD
        out.append(token)
    return out


def _ordinal(token: Token, after: Token) -> Token:
    token.stop, token.word = after.stop, token.word + after.word
    if token.kind == lex.WHOLE:
        part = int(token.value)
        plural = after.word.endswith("s")
        if part in lex.PART_FIGURES and (part > 3 or plural):
            fine = part > 12
            token.kind = (lex.FINE_PARTS if plural else lex.FINE_PART) if fine else (
                lex.PARTS if plural else lex.PART
            )
            token.value = part
        else:
            token.kind = lex.WORD
    return token


def _comma_number(tokens: list[Token], place: int) -> int:
    """Join "1,200 mm" and "21,6 cm" into one token; return the place after it."""
    first, stop = tokens[place], place + 1
    groups = [first.word]
    while (
        stop + 1 < len(tokens)
        and tokens[stop].word == ","
        and not tokens[stop].gap
        and not tokens[stop + 1].gap
        and tokens[stop + 1].kind == lex.WHOLE
        and len(groups) < 3
    ):
        groups.append(tokens[stop + 1].word)
        stop += 2
    unit = tokens[stop] if stop < len(tokens) else None
    if len(groups) == 1 or first.kind != lex.WHOLE or unit is None:
        return place + 1
    if unit.kind not in lex.UNITS and unit.word not in ("in", '"'):
        return place + 1
    joined = Token(lex.WHOLE, first.start, tokens[stop - 1].stop, ",".join(groups), None, first.gap)
    if all(len(group) == 3 for group in groups[1:]) and groups[0].strip("0"):
        joined.value = Fraction("".join(groups))
    elif len(groups) == 2:
        joined.value = Fraction(".".join(groups))
        joined.kind = lex.DECIMAL
        joined.doubt = "Its comma may be a decimal point, or may part two numbers."
    else:
        return place + 1
    tokens[stop - 1] = joined
    return stop


def _is_name(before: list[Token], token: Token, after: Token | None) -> bool:
    """Whether a number is part of a name, code or price through what it touches."""
    last = before[-1] if before else None
    if last is not None and not token.gap:
        if last.kind in lex.IN_FIGURES:
            if not (last.kind == lex.WHOLE and token.kind == lex.RATIO):
                last.kind = lex.WORD
                return True
        elif last.word in _NEVER_BEFORE:
            unit_slash = last.word == "/" and len(before) > 1 and (
                before[-2].kind in lex.UNITS or before[-2].word in ("in", '"')
            )
            if not unit_slash:
                return True
        elif last.word == "_":
            if len(before) > 1 and not last.gap:
                return True
        elif last.word[-1:].isalpha() and last.kind not in (lex.TIMES, *lex.UNITS, lex.AND):
            return last.word not in ("in", "at", "to", "by")
        elif last.kind == lex.WORD and not last.word:
            return True
    elif last is not None and last.word in _CURRENCY:
        return True
    if after is None:
        return False
    if after.word in _NEVER_AFTER:
        return True
    if after.kind in (lex.WORD, lex.FUNCTION, lex.ARTICLE, lex.OF) and after.word[:1].isalpha():
        plural_size = after.word == "s" and last is not None and last.kind == lex.TIMES
        return after.word not in ("in", "x") and not plural_size
    return after.word in ("_", "/") and token.kind == lex.WHOLE


# Third pass: quotation marks that are inch and foot marks ---------------------------


def _marks(tokens: list[Token]) -> list[Token]:
    """Inch and foot marks after figures, told from quotation marks that close."""
    out: list[Token] = []
    ahead = _next_quote(tokens)
    pending: dict[str, bool] = {}
    place, count = 0, len(tokens)
    while place < count:
        token = tokens[place]
        place += 1
        if token.kind == lex.BREAK:
            pending.clear()
        mark = token.word
        if token.kind != lex.SIGN or mark not in _INCH_MARKS | _FOOT_MARKS:
            out.append(token)
            continue
        family = '"' if mark in _INCH_MARKS else "'"
        last = out[-1] if out else None
        after = tokens[place] if place < count else None
        twice = after is not None and not after.gap and after.word == mark and family == "'"
        after_figure = (
            last is not None
            and last.kind in lex.IN_FIGURES
            and (not token.gap or (token.gap == " " and not _opens(tokens, place - 1)))
        )
        closes = pending.get(family) and mark not in _ALWAYS_MARKS and not ahead[place - 1]
        letter = after is not None and not after.gap and after.word[:1].isalpha()
        if after_figure and not closes and not (
            letter and family == "'" and not twice and after.word not in ("x", "by")
        ):
            inch = family == '"' or twice
            token.kind, token.value = (lex.INCH, "inch") if inch else (lex.FOOT, "foot")
            if twice:
                token.stop = after.stop
                token.word += mark
                place += 1
        elif _opens(tokens, place - 1):
            pending[family] = True
        else:
            pending[family] = False
        out.append(token)
    return out


def _opens(tokens: list[Token], place: int) -> bool:
    token = tokens[place]
    if token.word in "“‘":
        return True
    if token.word in "”":
        return False
    before = tokens[place - 1] if place else None
    fresh = bool(token.gap) or before is None or before.kind == lex.OPENING or before.kind == lex.BREAK
    return fresh and place + 1 < len(tokens) and not tokens[place + 1].gap


def _next_quote(tokens: list[Token]) -> list[bool]:
    """For each token, whether the next quotation mark of its family could still close."""
    ahead = [False] * len(tokens)
    closer = {'"': False, "'": False}
    for place in range(len(tokens) - 1, -1, -1):
        token = tokens[place]
        if token.kind == lex.BREAK:
            closer = {'"': False, "'": False}
        if token.kind != lex.SIGN:
            continue
        for family, marks in (('"', _INCH_MARKS), ("'", _FOOT_MARKS)):
            if token.word in marks:
                ahead[place] = closer[family]
                closer[family] = not _opens(tokens, place)
    return ahead


# Fourth pass: step 3, figure 2, No. 10 ----------------------------------------------


def _labels(tokens: list[Token]) -> list[Token]:
    """Numbers that name a step, a page, an envelope; and the numbers that head a list's items."""
    for place, token in enumerate(tokens):
        if token.kind == lex.WHOLE and token.gap in ("\n", "¶") and _heads_item(tokens, place):
            token.kind = lex.LABEL
        elif token.word in lex.LABELS:
            _label(tokens, place)
    return tokens


def _heads_item(tokens: list[Token], place: int) -> bool:
    if place + 1 >= len(tokens):
        return False
    after = tokens[place + 1]
    follows = place + 2 < len(tokens) and bool(tokens[place + 2].gap)
    return not after.gap and after.word in (".", ")", ":") and follows


def _label(tokens: list[Token], place: int) -> None:
    label = tokens[place]
    at = place + 1
    while at < len(tokens) and at <= place + 2 and tokens[at].word in (".", "#", "no", "number", ":"):
        at += 1
    if at >= len(tokens) or tokens[at].kind not in (lex.WHOLE, *lex.IN_WORDS) or tokens[at].gap == "¶":
        return
    if tokens[at - 1].word == ":" or (label.word == "no" and at == place + 1 and not tokens[at].gap):
        return
    if label.word in ("no", "number") and tokens[at].kind != lex.WHOLE:
        return
    while at < len(tokens) and _is_label_number(tokens, at, label):
        tokens[at].kind = lex.LABEL
        at += 1
        if at + 1 < len(tokens) and tokens[at].kind in (
            lex.AND, lex.OR, lex.TO, lex.COMMA, lex.HYPHEN
        ) and tokens[at + 1].kind == lex.WHOLE:
            at += 1
        else:
            break


def _is_label_number(tokens: list[Token], at: int, label: Token) -> bool:
    """Whether the number at `at` is the name of what the label names, and no length."""
    token = tokens[at]
    if token.kind not in (lex.WHOLE, lex.ONE, lex.ODD, lex.EVEN, lex.TEEN, lex.TENS):
        return False
    after = tokens[at + 1] if at + 1 < len(tokens) else None
    if after is None:
        return True
    if after.kind in lex.UNITS or after.kind == lex.TIMES:
        return False
    if after.kind == lex.RATIO:
        glued = not after.gap
        return not glued and label.word not in lex.SOFT_LABELS
    if after.kind in (lex.PART, lex.PARTS, lex.HALF, lex.FINE_PART, lex.FINE_PARTS, lex.HYPHEN):
        return False
    if after.kind == lex.AND and at + 3 < len(tokens) and (
        tokens[at + 2].kind in (lex.RATIO, lex.ARTICLE)
        and (tokens[at + 2].kind == lex.RATIO or tokens[at + 3].kind in (lex.HALF, lex.PART))
    ):
        return False
    if after.word == "in":
        follows = tokens[at + 2] if at + 2 < len(tokens) else None
        return not (follows is not None and follows.kind in (lex.SIDE, lex.TIMES, lex.OF))
    return True


# Fifth pass: thirty-seconds and sixty-fourths ----------------------------------------


def _parts(tokens: list[Token]) -> list[Token]:
    """Join "thirty-second(s)" and "sixty-fourth(s)" where they are parts and not seconds."""
    out: list[Token] = []
    place, count = 0, len(tokens)
    while place < count:
        token = tokens[place]
        place += 1
        joined = _fine_part(tokens, place - 1) if token.word in ("thirty", "sixty") else 0
        if joined:
            last = tokens[joined - 1]
            plural = last.word.endswith("s")
            kind = lex.FINE_PARTS if plural else lex.FINE_PART
            value = 32 if token.word == "thirty" else 64
            token = Token(kind, token.start, last.stop, f"{token.word}-{last.word}", value, token.gap)
            place = joined
        out.append(token)
    return out


def _fine_part(tokens: list[Token], place: int) -> int:
    at = place + 1
    hyphen = at < len(tokens) and tokens[at].word in _HYPHENS and not tokens[at].gap
    at += hyphen
    if at >= len(tokens):
        return 0
    wanted = ("second", "seconds") if tokens[place].word == "thirty" else ("fourth", "fourths")
    if tokens[at].word not in wanted:
        return 0
    after = tokens[at + 1] if at + 1 < len(tokens) else None
    if hyphen and tokens[at].word.startswith("fourth"):
        return at + 1
    if after is not None and (
        after.kind in lex.UNITS
        or (after.word in _HYPHENS and at + 2 < len(tokens) and tokens[at + 2].kind == lex.INCH)
        or (after.kind == lex.OF and at + 3 < len(tokens) and tokens[at + 3].kind in lex.UNITS)
    ):
        return at + 1
    return 0


# Sixth pass: units -----------------------------------------------------------------


def _units(tokens: list[Token]) -> list[Token]:
    """Tell "in" the unit from "in" the small word, areas from lengths; take abbreviating stops."""
    out: list[Token] = []
    place, count = 0, len(tokens)
    while place < count:
        token = tokens[place]
        place += 1
        if token.word == "in":
            _settle_in(tokens, place - 1)
        if token.kind in lex.UNITS:
            after = tokens[place] if place < count else None
            if _is_area(tokens, place - 1):
                token.kind = lex.OTHER_UNIT
            elif (
                after is not None
                and after.word == "."
                and not after.gap
                and token.word in lex.SHORT_UNITS
                and _abbreviates(tokens, place)
            ):
                token.stop = after.stop
                place += 1
            before = out[-1] if out else None
            if (
                token.word in lex.SINGULAR_UNITS
                and before is not None
                and before.word in _BEFORE_ONE
                and not (len(out) > 1 and out[-2].kind in lex.NUMBERS)
            ):
                before.kind = lex.WHOLE_ONE
        out.append(token)
    return out


_BEFORE_ONE = frozenset(
    "another every each extra full whole scant good generous bare last first next final further "
    "additional single clear mere top bottom outer inner spare same".split()
)


def _is_area(tokens: list[Token], place: int) -> bool:
    after = tokens[place + 1] if place + 1 < len(tokens) else None
    word = tokens[place].word.isalpha()
    if word and after is not None and not after.gap and after.word in ("2", "3", "^", "²", "³"):
        return True
    before = tokens[place - 1] if place else None
    return before is not None and before.word in ("square", "sq", "cubic", "cu") or (
        before is not None
        and before.word == "."
        and place > 1
        and tokens[place - 2].word in ("sq", "cu")
    )


def _abbreviates(tokens: list[Token], place: int) -> bool:
    """Whether the stop at `place` only shortens the unit: the sentence goes on after it."""
    after = tokens[place + 1] if place + 1 < len(tokens) else None
    if after is None or after.gap in ("\n", "¶"):
        return False
    if not after.gap:
        return after.word not in (".", "…") and after.kind != lex.STOP
    return after.word[:1].isalnum() and not after.capital


def _settle_in(tokens: list[Token], place: int) -> None:
    """Decide what "in" is, and mark it where that cannot be known."""
    token = tokens[place]
    before = tokens[place - 1] if place else None
    if before is None:
        return
    after = tokens[place + 1] if place + 1 < len(tokens) else None
    if before.word in _HYPHENS and not token.gap:
        number = tokens[place - 2] if place > 1 else None
        hyphen_after = after is not None and not after.gap and after.word in _HYPHENS
        named = hyphen_after and place + 2 < len(tokens) and (
            tokens[place + 2].kind in lex.NUMBERS or tokens[place + 2].kind == lex.ARTICLE
        )
        if number is not None and number.kind in lex.NUMBERS and not named:
            token.kind, token.value = lex.INCH, "inch"
        return
    if before.kind not in lex.NUMBERS or token.gap in ("\n", "¶"):
        return
    verdict = _reads_as_inch(tokens, place)
    if verdict is not False:
        token.kind, token.value = lex.INCH, "inch"
        if verdict is not True:
            token.doubt = verdict


def _reads_as_inch(tokens: list[Token], place: int) -> bool | str:
    """True for the unit, False for the small word, a reason where it cannot be known."""
    before, after = tokens[place - 1], tokens[place + 1] if place + 1 < len(tokens) else None
    start = place - 1
    while start and tokens[start - 1].kind in lex.NUMBERS:
        start -= 1
    verb = tokens[start - 1] if start else None
    spoken = before.kind in lex.IN_WORDS
    whole = before.kind == lex.WHOLE
    if not tokens[place].gap and before.kind in lex.IN_FIGURES:
        return True
    if after is not None and after.word == "in":
        return True
    if after is not None and (after.kind in (lex.SIDE, lex.TIMES) or after.word == "from"):
        return True
    if after is not None and after.kind == lex.OF:
        return not spoken
    article = verb is not None and verb.kind == lex.ARTICLE
    if spoken:
        part = before.kind in (lex.HALF, lex.PART, lex.PARTS, lex.FINE_PART, lex.FINE_PARTS)
        ended = after is None or after.kind in (lex.STOP, lex.COMMA, lex.BREAK)
        return part and ended and start < place - 1
    if verb is not None and verb.word in lex.PUTTING and whole:
        thing = after is not None and after.kind == lex.WORD and after.word not in lex.IN_PHRASES
        return lex.MAYBE_IN if thing else False
    if after is None or after.kind in (lex.STOP, lex.BREAK, lex.SIGN, lex.COMMA, lex.OPENING):
        return not (whole and verb is not None and verb.word in ("all", "both", "the", "these", "those"))
    if after.kind in lex.NUMBERS:
        return False if whole else lex.MAYBE_IN
    if after.word in lex.DETERMINERS:
        at_place = verb is not None and (verb.word in lex.PLACING or verb.word in lex.SCORING)
        return lex.MAYBE_IN if at_place or not whole else False
    if after.word in lex.IN_PHRASES or after.word in lex.MONTHS:
        return lex.MAYBE_IN if not whole else False
    if article:
        return True
    if whole and verb is not None and verb.word in lex.COUNTED:
        if after.word in lex.COLOURS:
            return False
        if after.word in lex.MATERIALS:
            return lex.MAYBE_IN
    if after.word in lex.COLOURS and verb is not None and verb.kind == lex.AND and whole:
        return False
    return True


# Last pass: dashes -----------------------------------------------------------------


def _dashes(tokens: list[Token]) -> list[Token]:
    """Hyphens that tie, dashes that mean "to"; "½- and ¼-inch" without its loose hyphen."""
    out: list[Token] = []
    for place, token in enumerate(tokens):
        out.append(token)
        after = tokens[place + 1] if place + 1 < len(tokens) else None
        if after is None or not place or token.word not in _HYPHENS | _DASHES:
            continue
        suspended = after.kind == lex.COMMA or (after.gap and after.kind in (lex.AND, lex.OR, lex.TO))
        if suspended and not token.gap and tokens[place - 1].kind in lex.NUMBERS:
            out.pop()
        elif not after.gap and (not token.gap or after.kind in lex.UNITS):
            token.kind = lex.HYPHEN if token.word in _HYPHENS else lex.EN_DASH
        elif token.gap == " " and after.gap == " ":
            token.kind = lex.TO
    return out


def _sentences(tokens: list[Token]) -> list[int]:
    """The number of the sentence that each token stands in."""
    numbers, number = [], 0
    for place, token in enumerate(tokens):
        before = tokens[place - 1] if place else None
        if before is not None and token.gap:
            ended = before.kind == lex.STOP and not (
                before.word == "." and place > 1 and tokens[place - 2].word in lex.ABBREVIATIONS
            )
            if ended or token.kind == lex.BREAK or (token.gap == "\n" and _begins(token)):
                number += 1
        numbers.append(number)
    return numbers


def _begins(token: Token) -> bool:
    return token.capital or token.kind == lex.LABEL or token.word in _BULLETS
