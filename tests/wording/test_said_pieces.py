"""Pieces and cards read from a tutor's text, and a regridded card written back into it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from popkit.card import ClearFront, JoinedFront, OnePieceFront
from popkit.lengths import LengthError, mm
from popkit.pieces import Piece
from popkit.regridding import regrid
from popkit.wording import card_in, find_lengths, pieces_in, rewrite, values_for

INCH = Fraction(127, 5)

# The Tidewell hall's own card. Strip of tier 1: tab ½, shelf ½, face 3½, tab ½, so scores at
# ½, 1 and 4½ of 5 in; of tier 2 the same with a face of 2½, so scores at ½, 1 and 3½ of 4 in.
TIDEWELL = """Tidewell stepped card

Back: cut 1 piece 5 x 8½ in and score it at 7½ in.
Clear front: cut 5 x 7⅜.
Tier 1: 4 15/16 x 5, scored at half an inch, one and four and a half.
Tier 2: 4 15/16 x 4. Score at ½, 1 and 3½.
Fold 24 cards in 10 minutes and post them in No. 10 envelopes.
"""


def sums(text: str, unit: str = "in") -> list[tuple]:
    """Name, how many, width, length and scores of each piece, in inches."""
    return [
        (
            piece.name,
            piece.count,
            mm(piece.width) / INCH,
            mm(piece.length) / INCH,
            *(mm(place) / INCH for place in piece.score_positions),
        )
        for piece in pieces_in(text, unit)
    ]


def f(text: str) -> Fraction:
    return Fraction(text)


def test_the_pieces_of_a_whole_text() -> None:
    strip = f("79/16")
    assert sums(TIDEWELL) == [
        ("back", 1, 5, f("17/2"), f("15/2")),
        ("clear front", 1, 5, f("59/8")),
        ("tier 1", 1, strip, 5, f("1/2"), 1, f("9/2")),
        ("tier 2", 1, strip, 4, f("1/2"), 1, f("7/2")),
    ]


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("cut 4 strips ½ x 5", [("strips", 4, f("1/2"), 5)]),
        ("Cut three 4 x 6 panels.", [("panels", 3, 4, 6)]),
        ("Cut 2 5 x 7 cards", [("cards", 2, 5, 7)]),
        ("Mat 4 x 5¼ (cut 3)", [("mat", 3, 4, f("21/4"))]),
        ("(2) 4 x 5½ mats", [("mats", 2, 4, f("11/2"))]),
        ("5 sheets of card 8½ x 11", [("sheets of card", 5, f("17/2"), 11)]),
        ("a panel 7 in tall and 5 in wide", [("panel", 1, 5, 7)]),
        ("a panel 7 in tall by 5 in wide", [("panel", 1, 5, 7)]),
        ("8½ x 5", [("piece 1", 1, f("17/2"), 5)]),
        # scored at 7, which lies off a length of 5: so 8½ is its length
        ("Cut 8½ x 5 and score at 7 in.", [("piece 1", 1, 5, f("17/2"), 7)]),
        ("Strip 2 x 6: score ½ in from each end.", [("strip", 1, 2, 6, f("1/2"), f("11/2"))]),
        ("Strip 2 x 6: score 1 in from the bottom.", [("strip", 1, 2, 6, 5)]),
        (
            "Cut the back 5 x 8½ and a strip 5 x 4. Score the back at 7½ in.",
            [("back", 1, 5, f("17/2"), f("15/2")), ("strip", 1, 5, 4)],
        ),
        (
            "Tier 1: 5 x 5. Tier 2: 5 x 4. Score each tier at ½ in and 1 in.",
            [("tier 1", 1, 5, 5, f("1/2"), 1), ("tier 2", 1, 5, 4, f("1/2"), 1)],
        ),
        ("A box 4 x 4 x 2", []),
        ("Score at ½ in before anything is cut.", []),
        ("a 5 x 7 grid of dots", []),
        ("Nothing to cut here, all 24 of you.", []),
    ],
)
def test_pieces(text: str, pieces: list[tuple]) -> None:
    assert sums(text) == pieces


def test_a_piece_said_is_a_piece() -> None:
    (said,) = pieces_in("cut 4 strips 2 x 6, scored at 1 in and 5 in")
    piece = said.as_piece()
    assert isinstance(piece, Piece)
    assert (piece.name, piece.count, [mm(one) / INCH for one in piece.scores]) == ("strips", 4, [1, 5])
    assert said.fault is None


def test_a_piece_that_cannot_be_says_why() -> None:
    (said,) = pieces_in("Strip 2 x 6: score at 7 in.")
    assert "off the piece" in said.fault


def test_a_doubtful_size_is_a_piece_once_decided() -> None:
    text = "draw a 5 x 7 grid"
    assert pieces_in(text) == ()
    places = [one.start for one in find_lengths(text)]
    (said,) = pieces_in(text, decisions=dict.fromkeys(places, "length"))
    assert (mm(said.width) / INCH, mm(said.length) / INCH) == (5, 7)


# Cards -------------------------------------------------------------------------------


def test_the_card_of_a_whole_text() -> None:
    said = card_in(TIDEWELL)
    card = said.card
    assert [mm(size) / INCH for size in (card.width, card.height, card.flap)] == [5, f("15/2"), 1]
    assert [(mm(t.face) / INCH, mm(t.depth) / INCH) for t in card.tiers] == [
        (f("7/2"), f("1/2")),
        (f("5/2"), f("1/2")),
    ]
    assert isinstance(card.front, ClearFront)
    assert "taken" in said.why


def test_other_fronts() -> None:
    tier = "Tier 1: 4 x 5, score at ½, 1 and 4½."
    joined = card_in(f"Back: 5 x 8, score at 7½. Front panel: 5 x 7½. {tier}").card
    assert isinstance(joined.front, JoinedFront)
    whole = card_in(f"Card: 5 x 15, score at 7½. {tier}").card
    assert isinstance(whole.front, OnePieceFront)
    assert mm(whole.height) / INCH == f("15/2")


def test_tiers_are_put_largest_first() -> None:
    said = card_in(
        "Card: 5 x 15, score at 7½. Small strip: 4 x 4, score at ½, 1 and 3½. "
        "Large strip: 4 x 5, score at ½, 1 and 4½."
    )
    assert [name for name, piece in said.roles] == ["back and front", "tier 1", "tier 2"]
    assert [piece.name for _, piece in said.roles] == ["card", "large strip", "small strip"]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("Cut 5 x 7.", "three scores"),
        ("Strip: 5 x 5, score at ½, 1 and 4½.", "one score alone"),
        ("Back 5 x 8, score at 7½. Strip 5 x 5, score at ½, 1 and 4½.", "too short"),
        (
            "Back 5 x 8, score at 7½. Lid 5 x 3, score at 1 in. Strip 5 x 5, score at ½, 1 and 4½.",
            "2 pieces",
        ),
    ],
)
def test_no_card_says_why(text: str, why: str) -> None:
    said = card_in(text)
    assert said.card is None
    assert why in said.why


def test_the_rewritten_text_makes_the_regridded_card() -> None:
    """Read again, the text with the regridded values says exactly the regridded card."""
    said = card_in(TIDEWELL)
    result = regrid(said.card, "1 mm")
    text = rewrite(TIDEWELL, "1 mm", values=values_for(said, result.moves))
    again = card_in(text, "mm").card
    assert [(mm(t.top_tab), mm(t.depth), mm(t.face), mm(t.bottom_tab)) for t in again.tiers] == [
        (mm(t.top_tab), mm(t.depth), mm(t.face), mm(t.bottom_tab)) for t in result.card.tiers
    ]
    assert (mm(again.width), mm(again.height)) == (mm(result.card.width), mm(result.card.height))
    # A shelf of ½ in is 12.7 mm: rounded by its scores alone tier 1's would be 25 - 13 = 12 mm,
    # while its foot, ½ in from the fold, goes to 13.
    assert rewrite(TIDEWELL, "1 mm") != text
    assert text.endswith("Fold 24 cards in 10 minutes and post them in No. 10 envelopes.\n")


def test_scores_from_the_other_end_are_written_back_from_it() -> None:
    turned = TIDEWELL.replace("score it at 7½ in", "score it at 1 in")
    plain, other = card_in(TIDEWELL), card_in(turned)
    assert mm(plain.card.height) == mm(other.card.height)
    result = regrid(other.card, "1 mm")
    text = rewrite(turned, "1 mm", values=values_for(other, result.moves))
    flap = mm(result.card.flap)
    assert f"score it at {flap} mm" in text


def test_one_place_cannot_become_two_lengths() -> None:
    text = "Card: 5 x 15, score at 7½. Cut 2 strips 4 x 5, score at ½, 1 and 4½."
    said = card_in(text)
    moves = [move for move in regrid(said.card, "1 mm").moves if move.piece != "tier 2"]

    class Other:
        def __init__(self, move: object, mark: str) -> None:
            self.piece, self.mark, self.rounded = "tier 2", mark, move.rounded

    tier = [move for move in moves if move.piece == "tier 1"]
    same = [Other(move, move.mark) for move in tier]
    assert values_for(said, [*moves, *same])
    shifted = [Other(tier[0], move.mark) for move in tier]
    with pytest.raises(LengthError, match="differ"):
        values_for(said, [*moves, *shifted])


DICTATED = """First up, the back. Cut that five by eight and a half and score it at seven and a half.
Then cut your front from the acetate, five inches by seven and three eighths; it came as a piece of
acetate at least five by eight. Now the tiers. The first one is four and fifteen sixteenths by five
and we score it at half an inch, one and four and a half. The second is four and fifteen sixteenths
by four, and that one gets scored at half an inch, one inch and three and a half inches. The sheet is
210 x 297 mm (8.27 x 11.69 in). Finally fold the whole at 7½ and post it in an A7 envelope."""


def test_a_dictated_text_makes_the_same_card() -> None:
    """Names from the sentence before, what a piece is cut from, and a size that is said twice."""
    typed, said = card_in(TIDEWELL), card_in(DICTATED)
    assert said.card == typed.card
    assert [piece.cut_from for piece in said.pieces[:2]] == ["", "acetate"]
    assert [piece.name for piece in said.pieces[:3]] == ["back", "front", "acetate"]
