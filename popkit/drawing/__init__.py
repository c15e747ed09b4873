"""Pictures of cards and pieces: models in, true-scale SVG text in millimetres out.

Nothing here works out a size or saves a file: sizes come from `card`, `pieces` and `folding`.
Charts are in `popkit.drawing.charts`, the only module that loads matplotlib.
"""

from popkit.drawing.flat import describe_piece, describe_pieces, draw_piece, draw_pieces
from popkit.drawing.oblique import describe_finished, describe_oblique, draw_finished, draw_oblique
from popkit.drawing.side import describe_side, draw_side

__all__ = [
    "describe_finished",
    "describe_oblique",
    "describe_piece",
    "describe_pieces",
    "describe_side",
    "draw_finished",
    "draw_oblique",
    "draw_piece",
    "draw_pieces",
    "draw_side",
]
