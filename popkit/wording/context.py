"""What the words around a number say about it: what follows, what governs it, which verb.

Every look goes a bounded number of tokens, so reading a text takes time in proportion to it.

Imports: the lexicon, tokens and settling of this package.
"""

from __future__ import annotations

from enum import Enum

from popkit.wording import lexicon as lex
from popkit.wording.settling import Tokens

__all__ = ["After", "after", "governor", "verb_before"]

_REACH = 16
"""How many tokens back a verb still governs a number."""


class After(Enum):
    """What follows a number."""

    END = "nothing, or a mark that ends what is said"
    FUNCTION = "a small word that goes on with something else"
    THING = "a word that it counts, measures or names"
    NUMBER = "another number, so that it counts that"
    TIED = "a sign or a letter that it is tied to"


_TYING = frozenset("%°/#^_@$£€'’")
_OBJECTS = lex.DETERMINERS | {"up", "down", "over", "back", "and", "along"}
_ENDS = frozenset((lex.BREAK, lex.STOP, lex.COMMA, lex.OPENING))
_SMALL = frozenset(
    (lex.ARTICLE, lex.AND, lex.OR, lex.TO, lex.FUNCTION, lex.TIMES, lex.SIDE, lex.PLUS_MINUS)
)


def after(tokens: Tokens, place: int) -> After:
    """What the token at `place`, the first after a number, is to that number."""
    token, following = tokens.at(place), tokens.at(place + 1)
    ended = 0 < place < len(tokens.all) and tokens.sentence[place] != tokens.sentence[place - 1]
    if ended or token.kind in _ENDS:
        return After.END
    if token.kind in (lex.HYPHEN, lex.EN_DASH) or (token.kind == lex.TIMES and token.word != "by"):
        return After.TIED
    if token.kind == lex.SIGN:
        tied = token.word == "=" or (token.word in _TYING and not token.gap)
        return After.TIED if tied else After.END
    if token.kind in lex.NUMBERS and token.gap != "\n":
        return After.NUMBER
    if token.word in lex.COUNTING or (token.word == "at" and following.word in ("a", "once")):
        return After.THING
    if token.kind in _SMALL or token.word.endswith("ly") or token.word in lex.COMPARATIVES:
        return After.FUNCTION
    if token.word in lex.VERBS and following.word in _OBJECTS:
        return After.FUNCTION
    return After.THING


def governor(tokens: Tokens, place: int) -> str:
    """The word that governs the number at `place`: the one before it, hedges left out; or ""."""
    at = place - 1
    while at > place - 6 and tokens.at(at).word in lex.HEDGES:
        at -= 1
    same = at >= 0 and tokens.sentence[at] == tokens.sentence[place]
    return tokens.at(at).word if same else ""


def verb_before(tokens: Tokens, place: int) -> str:
    """The nearest verb before the number in its sentence, or ""."""
    for at in range(place - 1, max(-1, place - 1 - _REACH), -1):
        if tokens.sentence[at] != tokens.sentence[place]:
            break
        if tokens.all[at].word in lex.VERBS:
            return tokens.all[at].word
    return ""
