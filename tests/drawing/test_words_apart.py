"""No two words of a picture meet, for 200 random cards, measured on the font's own outlines."""

import random

import pytest
import shapely

import popkit as pk
from popkit.drawing import draw_oblique, draw_piece, draw_pieces, draw_side
from tests.drawing.drawing_samples import (
    SVG,
    cut_step_card,
    random_card,
    random_cards,
    read_svg,
    tutor_card,
    view_box,
    words,
)

CARDS = random_cards(200)
BATCHES = [range(start, start + 25) for start in range(0, 200, 25)]


def check_words(svg: str, crossing: tuple[str, ...] = ()) -> None:
    shapes = read_svg(svg)
    texts = words(shapes)
    tree = shapely.STRtree([text.geometry for text in texts])
    for one, other in zip(*tree.query([text.geometry for text in texts], "intersects"), strict=True):
        assert one == other, f"{texts[one].text!r} meets {texts[other].text!r}"
    page = view_box(svg)
    for text in texts:
        assert page.contains(text.geometry), f"{text.text!r} runs off the picture"
    lines = [shape for shape in shapes if any(shape.is_in(kind) for kind in crossing)]
    strokes = [
        shape.geometry.boundary if shape.geometry.geom_type == "Polygon" else shape.geometry
        for shape in lines
        if shape.tag != "text"
    ]
    for one, other in zip(
        *shapely.STRtree(strokes).query([text.geometry for text in texts]), strict=True
    ):
        assert not texts[one].geometry.intersects(strokes[other]), f"{texts[one].text!r} is crossed"


@pytest.mark.parametrize("batch", BATCHES, ids=str)
def test_pieces(batch):
    rng = random.Random(batch.start)
    for number in batch:
        pieces = pk.cut_list(CARDS[number])
        for piece in pieces:
            scale = rng.choice(("1", "1/2", "1/3", "1/5", "1/8"))
            check_words(draw_piece(piece, scale=scale), ("cut", "valley", "mountain"))
        check_words(draw_pieces(CARDS[number], pieces=pieces), ("cut", "valley", "mountain"))


@pytest.mark.parametrize("batch", BATCHES, ids=str)
def test_side_views(batch):
    rng = random.Random(batch.start)
    for number in batch:
        card = CARDS[number]
        for angle in (0, 90, 180, rng.uniform(0, 180), rng.uniform(0, 20), rng.uniform(160, 180)):
            dimensions, steady = rng.random() < 0.5, rng.random() < 0.5
            check_words(draw_side(card, angle, dimensions=dimensions, steady=steady), ("tier", "pages"))


def test_side_views_with_slipped_feet():
    rng = random.Random(5)
    drawn = 0
    while drawn < 100:
        card = random_card(rng)
        slips = {
            number: rng.choice(("2 mm", "1/16 in", "-1 mm"))
            for number in range(1, len(card.tiers) + 1)
            if rng.random() < 0.5
        }
        try:
            svg = draw_side(card, rng.uniform(0, 180), slips, dimensions=rng.random() < 0.5)
        except pk.FoldError:  # a foot slipped past what stands behind it
            continue
        check_words(svg)
        drawn += 1


@pytest.mark.parametrize("batch", BATCHES, ids=str)
def test_oblique_views(batch):
    rng = random.Random(batch.start)
    for number in batch:
        for angle in (0, 90, 180, rng.uniform(0, 180)):
            svg = draw_oblique(CARDS[number], angle, steady=rng.random() < 0.5)
            check_words(svg)


def test_the_check_sees_words_that_meet():
    svg = draw_side(tutor_card(), 90)
    doubled = svg.replace("</svg>", svg[svg.index("<text") : svg.index("</text>") + 7] + "</svg>")
    with pytest.raises(AssertionError, match="meets"):
        check_words(doubled)


def test_the_check_sees_words_that_are_crossed():
    svg = draw_piece(pk.cut_list(cut_step_card())[0])
    moved = svg.replace('<g class="cut"', '<g class="cut" transform="translate(0 -3)"')
    assert SVG  # the namespace the reader expects
    with pytest.raises(AssertionError, match="crossed"):
        check_words(moved, ("cut",))
