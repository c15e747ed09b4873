"""Lengths in a tutor's own words: found in a text, and the text restated on another ruler.

    find_lengths("Score at half an inch, one and four and a half.")
    rewrite("Cut 4 strips ½ x 5.", "1 mm")  ->  "Cut 4 strips 13 mm x 127 mm."

The modules, each importing only those before it: lexicon (which word is of which kind),
tokens, settling, grammar (in kinds of token, pyparsing), context, terms, judging, reading, deciding,
rewriting, pieces, cards. Imports of popkit: lengths, card, pieces.
"""

from popkit.wording.cards import CardSaid, card_in, values_for
from popkit.wording.deciding import WordingError
from popkit.wording.pieces import PieceSaid, ScoreSaid, pieces_in
from popkit.wording.reading import Found, find_lengths
from popkit.wording.rewriting import Kept, Replacement, Rewritten, rewrite, rewritten

__all__ = [
    "CardSaid",
    "Found",
    "Kept",
    "PieceSaid",
    "Replacement",
    "Rewritten",
    "ScoreSaid",
    "WordingError",
    "card_in",
    "find_lengths",
    "pieces_in",
    "rewrite",
    "rewritten",
    "values_for",
]
