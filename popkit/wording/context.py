"""What the words around a number say about it: what follows, what governs, which verb.

Every look goes a bounded number of tokens, so reading a text takes time in proportion to it.

Imports: the lexicon and tokens of this package.
"""

from __future__ import annotations

from enum import Enum

from popkit.wording import lexicon as lex
from popkit.wording.tokens import Token, Tokens

__all__ = ["After", "after", "governor", "token_at", "verb_before"]

_REACH = 16
"""How many tokens back a verb still governs a number."""


class After(Enum):
    """What follows a number."""

    END = "nothing, or a mark that ends what is said"
    FUNCTION = "a small word that goes on with something else"
    THING = "a word that it counts, measures or names"
    NUMBER = "another number, so that it counts that"
    TIED = "a sign or a letter that it is tied to"


def token_at(tokens: Tokens, place: int) -> Token | None:
    """The token, or None past either end of the text."""
    return tokens.all[place] if 0 <= place < len(tokens.all) else None


def after(tokens: Tokens, place: int) -> After:
    """What the token at `place`, the first after a number, is to that number."""
    token = token_at(tokens, place)
    if token is None or token.kind in (lex.BREAK, lex.STOP, lex.COMMA, lex.OPENING):
        return After.END
    if token.kind in (lex.HYPHEN, lex.EN_DASH) or (token.kind == lex.TIMES and token.word != "by"):
        return After.TIED
    if token.kind == lex.SIGN:
        tied = token.word == "=" or (token.word in _TYING and not token.gap)
        return After.TIED if tied else After.END
    if token.kind in lex.NUMBERS and token.gap != "\n":
        return After.NUMBER
    if token.gap == "\n" and token.capital:
        return After.END
    following = token_at(tokens, place + 1)
    if token.kind == lex.OF or token.word in _COUNTING:
        return After.THING
    if token.word == "at" and following is not None and following.word in ("a", "once"):
        return After.THING
    if token.kind in _SMALL or token.word in lex.FUNCTIONS or token.word.endswith("ly"):
        return After.FUNCTION
    if token.word in lex.VERBS and following is not None and following.word in _OBJECTS:
        return After.FUNCTION
    return After.THING


_TYING = frozenset("%°/:#^_@$£€'’")
_COUNTING = frozenset(
    "in of for per out more extra spare left each apiece times together altogether total that which who "
    "is are was were will can must should".split()
)
"""After a number these show that it counts: "2 in each", "4 more", "3 are spare"."""
_OBJECTS = lex.DETERMINERS | frozenset(("up", "down", "over", "back", "and", "along"))
_SMALL = frozenset(
    (lex.ARTICLE, lex.AND, lex.OR, lex.TO, lex.FUNCTION, lex.TIMES, lex.SIDE, lex.PLUS_MINUS)
)


def governor(tokens: Tokens, place: int) -> Token | None:
    """The word that governs the number at `place`: the one before it, hedges left out."""
    at = place - 1
    while at >= 0 and at > place - 6 and tokens.all[at].word in lex.HEDGES:
        at -= 1
    token = token_at(tokens, at)
    return None if token is None or tokens.sentence[at] != tokens.sentence[place] else token


def verb_before(tokens: Tokens, place: int) -> str:
    """The nearest verb before the number in its sentence, or ""."""
    for at in range(place - 1, max(-1, place - 1 - _REACH), -1):
        if tokens.sentence[at] != tokens.sentence[place]:
            break
        if tokens.all[at].word in lex.VERBS:
            return tokens.all[at].word
    return ""
