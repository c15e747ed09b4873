"""How long the pictures of the demo card take: side, oblique, and all flat pieces.

Run: pytest tests/bench/bench_drawing.py --benchmark-only
"""

import popkit as pk
from popkit.drawing import draw_oblique, draw_pieces, draw_side

FACES = ("3 1/2 in", "3 in", "2 1/2 in")
CARD = pk.Card(
    width="5 in",
    height="7 in",
    tiers=tuple(pk.Tier(face=face, depth="1/2 in") for face in FACES),
    front=pk.ClearFront(),
)
PIECES = pk.cut_list(CARD)


def _new_angle():
    """A fresh opening every time, as a hand on the slider gives."""
    _new_angle.at = (_new_angle.at + 0.37) % 180
    return _new_angle.at


_new_angle.at = 0.0


def test_side_oblique_and_pieces(benchmark):
    def draw():
        angle = _new_angle()
        return draw_side(CARD, angle), draw_oblique(CARD, angle), draw_pieces(CARD, pieces=PIECES)

    assert all(benchmark(draw))


def test_side(benchmark):
    assert benchmark(lambda: draw_side(CARD, _new_angle()))


def test_oblique(benchmark):
    assert benchmark(lambda: draw_oblique(CARD, _new_angle()))


def test_pieces(benchmark):
    assert benchmark(lambda: draw_pieces(CARD, pieces=PIECES))
