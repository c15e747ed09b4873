"""Lengths in a tutor's own words: found in a text, and the text restated on another ruler.

    find_lengths("Score at half an inch, one and four and a half.")
    rewrite("Cut 4 strips ½ x 5.", "1 mm")  ->  "Cut 4 strips 13 mm x 127 mm."

The modules, each importing only those before it: lexicon (which word is of which kind),
tokens, grammar (in kinds of token, pyparsing), context, terms, judging, reading, rewriting,
pieces. Imports of popkit: lengths, pieces.
"""

from popkit.wording.reading import Found, find_lengths
from popkit.wording.rewriting import Kept, Replacement, Rewritten, WordingError, rewrite, rewritten

__all__ = [
    "Found",
    "Kept",
    "Replacement",
    "Rewritten",
    "WordingError",
    "find_lengths",
    "rewrite",
    "rewritten",
]
