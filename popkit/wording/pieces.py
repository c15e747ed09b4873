"""The pieces that a tutor's text tells to cut: name, size, scores and how many.

A size in a text is a piece; the words around it say what it is called and how many there are,
and the scores told after it are its scores. Every number keeps the place it was read from, so
that a regridded card can be written back into the same sentence.

Imports: lengths, card, pieces; lexicon, settling, context, reading and deciding of this package.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import groupby

from popkit.card import CardError
from popkit.lengths import Length, LengthError, from_mm, mm, unit_of
from popkit.pieces import Piece
from popkit.wording import lexicon as lex
from popkit.wording.context import verb_before
from popkit.wording.deciding import decided_lengths, given_in_both
from popkit.wording.reading import Found, find_lengths
from popkit.wording.settling import Tokens

__all__ = ["PieceSaid", "ScoreSaid", "pieces_in"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoreSaid:
    """A score of a piece as the text tells it.

    found        where it says so
    measured     what it says
    from_bottom  whether that is measured from the bottom end and not from the top
    """

    found: Found
    measured: Length
    from_bottom: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceSaid:
    """A piece as the text tells it.

    name           in the text's own words, or "piece 1", ...
    count          how many, 1 unless the text says
    wide, long     where the text says its width and its length
    width, length  along the fold and across it; unless the text says which is wide or tall, the
                   first number is the width, but the scores must lie within the length
    scores         in the order of the text
    cut_from       what it is cut from, in the text's own words, or ""
    """

    name: str
    count: int
    cut_from: str = ""
    wide: Found
    long: Found
    width: Length
    length: Length
    scores: tuple[ScoreSaid, ...] = ()

    @property
    def score_positions(self) -> tuple[Length, ...]:
        """From the top end, rising."""
        unit = unit_of(self.length)
        places = {
            mm(self.length) - mm(score.measured) if score.from_bottom else mm(score.measured)
            for score in self.scores
        }
        return tuple(from_mm(place, unit) for place in sorted(places))

    def as_piece(self) -> Piece:
        """The same as a `Piece`. Raises: CardError, LengthError where it cannot exist."""
        return Piece(
            name=self.name,
            width=self.width,
            length=self.length,
            scores=self.score_positions,
            count=self.count,
        )

    @property
    def fault(self) -> str | None:
        """Why it cannot be a piece, or None."""
        try:
            self.as_piece()
        except (CardError, LengthError) as fault:
            return str(fault)
        return None


def pieces_in(
    text: str, unit: str = "in", *, decisions: Mapping[int, str] | None = None
) -> tuple[PieceSaid, ...]:
    """The pieces that a text tells to cut, in its order.

    text       anything, typed or dictated
    unit       what a size is in where it says no unit
    decisions  as for `rewritten`
    Left out: sizes of three sides, doubtful places without a decision, scores before any piece.
    Raises: WordingError for decisions that fit no place; nothing for any text.
    """
    found = find_lengths(text, unit)
    return _Pieces(Tokens.of(text), decided_lengths(found, decisions or {})).read(found)


_ACROSS, _ALONG = (
    frozenset(("wide", "w", "width")),
    frozenset(("long", "tall", "high", "deep", "h", "length", "height")),
)
_ALL = frozenset(("each", "both", "all", "every"))
_ENDS = frozenset(("end", "ends", "side", "sides", "edge", "edges"))
_FILLERS = frozenset(
    ("piece", "pieces", "measures", "measuring", "about", "size", "sized", "qty", "quantity")
)
_NAME_LIMIT = 5
_REACH = 16
"""How many tokens, or pieces, back a name is looked for."""
_COUNTS = frozenset((lex.WHOLE, lex.ODD, lex.EVEN, lex.TEEN, lex.TENS))


class _Pieces:
    """The pieces of one text as they come up, and the sentence that the size of each stands in."""

    def __init__(self, tokens: Tokens, lengths: Mapping[int, Length]) -> None:
        self.tokens, self.lengths = tokens, lengths
        self.at = {token.start: place for place, token in enumerate(tokens.all)}
        self.begins = {tokens.sentence[at]: at for at in range(len(tokens.all) - 1, -1, -1)}
        self.taken: set[int] = set()
        self.pieces: list[PieceSaid] = []
        self.scores: list[list[ScoreSaid]] = []
        self.sentences: list[int] = []

    def read(self, found: list[Found]) -> tuple[PieceSaid, ...]:
        for place in found:
            self.taken.update(range(self.at[place.start], self._after(place)))
        again = set(given_in_both(self.tokens.text, found, self.lengths).values())
        known = [place for place in found if place.start in self.lengths and place.start not in again]
        for (_, size), run in groupby(known, key=lambda place: (place.group, place.size)):
            places = list(run)
            if size is not None:
                self._take_size(places)
                continue
            while len(places) > 1 and _is_size(places[:2]):
                self._take_size(places[:2])
                places = places[2:]
            if places:
                self._take_scores(places)
        return tuple(
            _turned(replace(piece, scores=tuple(scores)))
            for piece, scores in zip(self.pieces, self.scores, strict=True)
        )

    # Sizes ------------------------------------------------------------------------

    def _take_size(self, places: list[Found]) -> None:
        if len(places) != 2:
            return
        wide, long = places
        if (wide.side in _ALONG and long.side not in _ALONG) or long.side in _ACROSS:
            wide, long = long, wide
        start = self.at[places[0].start]
        name, count, cut_from = self._name(start, self._after(places[-1]))
        self.sentences.append(self.tokens.sentence[start])
        self.scores.append([])
        self.pieces.append(
            PieceSaid(
                name=name or f"piece {len(self.pieces) + 1}",
                count=count,
                cut_from=cut_from,
                wide=wide,
                long=long,
                width=self.lengths[wide.start],
                length=self.lengths[long.start],
            )
        )

    def _after(self, place: Found) -> int:
        """The first token after a place and the side it lies."""
        at = self.at[place.start]
        while at < len(self.tokens.all) and self.tokens.all[at].start < place.stop:
            at += 1
        return at + (place.side is not None)

    def _name(self, start: int, stop: int) -> tuple[str, int, str]:
        """What the piece of a size is called, how many of it there are, what it is cut from."""
        words, count, cut_from = self._before(start)
        words = words or self._heading(start) or self._words_after(stop) or self._said_before(start)
        return " ".join(words), count or self._count_after(stop) or 1, cut_from

    def _before(self, start: int) -> tuple[list[str], int | None, str]:
        """The words that lead up to a size, the number before them, and what they are cut from."""
        words: list[str] = []
        count, cut_from = None, ""
        for at in range(start - 1, max(-1, start - 1 - _REACH), -1):
            token, before = self.tokens.all[at], self.tokens.at(at - 1).word
            if at in self.taken or self.tokens.sentence[at] != self.tokens.sentence[start]:
                break
            if token.word in lex.HEDGES:
                continue
            if token.kind == lex.LABEL and not self._heads_line(at):
                words.append(token.word)
            elif token.kind in lex.NUMBERS and token.kind != lex.ONE:
                count = int(token.value) if token.kind in _COUNTS else None
                break
            elif token.word in lex.VERBS or token.kind in (lex.LABEL, lex.STOP):
                break
            elif token.word in lex.DETERMINERS and words:
                if before != "from":
                    break
                cut_from, words = " ".join(reversed(words)), []
            elif token.kind == lex.OF and words:
                words.append("of")
            elif token.kind != lex.WORD and words:
                break
            elif token.kind == lex.WORD and token.word.isalpha() and token.word not in _FILLERS:
                words.append(token.word)
        if words and words[-1] == "of":
            words.pop()
        return (
            [word for word in reversed(words) if word not in lex.HEDGES][-_NAME_LIMIT:],
            count,
            cut_from,
        )

    def _said_before(self, start: int) -> list[str]:
        """The last words of a sentence without a verb: "Now the back. Cut that 5 x 8½"."""
        at = self.begins[self.tokens.sentence[start]]
        words: list[str] = []
        for place in range(at - 1, max(-1, at - 1 - _REACH), -1):
            token = self.tokens.all[place]
            if self.tokens.sentence[place] != self.tokens.sentence[at - 1]:
                break
            if token.word in lex.VERBS or place in self.taken:
                return []
            if token.kind == lex.WORD and token.word.isalpha() and len(words) < _NAME_LIMIT:
                words.append(token.word)
            elif words:
                break
        return words[::-1]

    def _heading(self, start: int) -> list[str]:
        """The words before the colon in "Back: cut 1 piece 5 x 8½"."""
        at = self.begins[self.tokens.sentence[start]]
        at += self.tokens.at(at).kind == lex.BREAK
        words = []
        for token in self.tokens.all[at : at + _NAME_LIMIT]:
            if token.word == ":":
                return words
            if token.kind not in (lex.WORD, lex.LABEL) or token.word in lex.VERBS:
                break
            words.append(token.word)
        return []

    def _heads_line(self, at: int) -> bool:
        """Whether the number is that of a line or step, "1. Back", and no part of a name."""
        return self.tokens.all[at].gap in ("\n", "¶") and not self.tokens.at(at + 1).gap

    def _words_after(self, stop: int) -> list[str]:
        words = []
        for token in self.tokens.all[stop : stop + _NAME_LIMIT]:
            if token.kind != lex.WORD or not token.word.isalpha() or token.word in lex.VERBS:
                break
            if token.word not in _FILLERS:
                words.append(token.word)
        return words

    def _count_after(self, stop: int) -> int | None:
        """The number in "(cut 3)", "make 2 of these"."""
        for at in range(stop, min(stop + 8, len(self.tokens.all) - 1)):
            token, number = self.tokens.all[at], self.tokens.all[at + 1]
            if token.kind == lex.STOP or self.tokens.sentence[at] != self.tokens.sentence[stop]:
                break
            ended = self.tokens.at(at + 2).kind in (lex.SIGN, lex.STOP, lex.OF, lex.COMMA, lex.BREAK)
            if token.word in ("cut", "make", "need") and number.kind == lex.WHOLE and ended:
                return int(number.value)
        return None

    # Scores -----------------------------------------------------------------------

    def _take_scores(self, places: list[Found]) -> None:
        """Scores of the piece that their sentence names, or else of the last one."""
        first = self.at[places[0].start]
        if not self.pieces or verb_before(self.tokens, first) not in lex.SCORING:
            return
        if any(place.side for place in places) or self.tokens.at(first - 1).word in ("every", "by"):
            return
        bottom, mirrored = self._measured_from(self._after(places[-1]))
        scores = [
            ScoreSaid(found=place, measured=self.lengths[place.start], from_bottom=far)
            for place in places
            for far in ((False, True) if mirrored else (bottom,))
        ]
        for at in self._scored(first):
            self.scores[at] += scores

    def _measured_from(self, at: int) -> tuple[bool, bool]:
        """Whether scores are measured from the bottom, and whether from both ends."""
        if self.tokens.at(at).word != "from":
            return False, False
        words = [self.tokens.at(place).word for place in range(at + 1, at + 4)]
        both = words[0] in ("each", "both", "either") and bool(_ENDS & set(words))
        return "bottom" in words, both

    def _scored(self, first: int) -> list[int]:
        """The places in `pieces` of the pieces that a sentence's scores belong to."""
        sentence = self.tokens.sentence[first]
        said = []
        for at in range(first - 1, max(-1, first - 1 - 3 * _REACH), -1):
            if self.tokens.sentence[at] != sentence:
                break
            said.append(self.tokens.all[at].word)
        recent = range(max(0, len(self.pieces) - _REACH), len(self.pieces))
        singular = {_singular(word) for word in said}
        named = [at for at in recent if singular & set(map(_singular, self._calling(at)))]
        exact = [at for at in named if all(word in said for word in self._calling(at))]
        if named:
            return (exact or named) if _ALL & set(said) else (exact or named)[-1:]
        # "Fold it at 7½" some sentences on may be about the whole card.
        scored = verb_before(self.tokens, first).startswith(("scor", "creas", "perforat"))
        return [recent[-1]] if scored or self.sentences[-1] == sentence else []

    def _calling(self, at: int) -> list[str]:
        """The words of a piece's name that a sentence can call it by."""
        return [word for word in self.pieces[at].name.split() if len(word) > 2 or word.isdigit()]


def _singular(word: str) -> str:
    return word.removesuffix("s")


def _is_size(places: list[Found]) -> bool:
    """Whether "5 in wide and 7 in tall" stands here."""
    sides = {place.side for place in places}
    return bool(sides & _ACROSS) and bool(sides & _ALONG)


def _turned(piece: PieceSaid) -> PieceSaid:
    """The piece with its scores across it: turned where they would lie off it otherwise."""
    if piece.wide.side or piece.long.side or not piece.scores:
        return piece
    furthest = max(mm(score.measured) for score in piece.scores)
    if mm(piece.length) <= furthest < mm(piece.width):
        return replace(piece, wide=piece.long, long=piece.wide, width=piece.length, length=piece.width)
    return piece
