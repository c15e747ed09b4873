"""The side view shows the pose, point for point, and says where a slipped card stops."""

import math
import random
from dataclasses import replace

import numpy as np
import pytest

import popkit as pk
from popkit.card import Layer, Ornament
from popkit.drawing import describe_side, draw_side
from tests.drawing.drawing_samples import cut_step_card, random_cards, read_svg, tutor_card, words

PRINTED = 0.5e-3 + 1e-9  # coordinates are printed to a thousandth of a millimetre


def _lines(svg):
    return {
        shape.attributes["id"]: np.array(shape.geometry.coords)
        for shape in read_svg(svg)
        if shape.tag == "polyline" and "id" in shape.attributes
    }


def _texts(svg):
    return [shape.text for shape in words(read_svg(svg))]


@pytest.mark.parametrize("card", random_cards(25, seed=3), ids=range(25))
def test_every_edge_of_the_pose_is_drawn_where_it_is(card):
    for angle in (0, 45, 90, 180, random.Random(str(card.height)).uniform(0, 180)):
        lines = _lines(draw_side(card, angle, scale=1))
        pose = pk.pose(card, angle)
        for number in range(1, len(card.tiers) + 1):
            drawn = lines[f"tier-{number}"] * (1, -1)
            assert np.abs(drawn - pose[f"tier {number}"]).max() <= PRINTED
        assert np.abs(lines["back"] * (1, -1) - pose["back"]).max() <= PRINTED


@pytest.mark.parametrize("angle", [0, 30, 90, 151.5, 180])
def test_the_back_and_the_tiers_of_the_tutor_card_by_trigonometry(angle):
    # Side view, design of the card: the top edge of face i is at (X_i + h_i cos t, h_i sin t).
    lines = _lines(draw_side(tutor_card(), angle, scale=1))
    cosine, sine = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    assert lines["back"][1] == pytest.approx((177.8 * cosine, -177.8 * sine), abs=PRINTED)
    for number, (foot, face) in enumerate(((12.7, 88.9), (25.4, 76.2), (38.1, 63.5)), 1):
        edge = lines[f"tier-{number}"][1]
        assert edge == pytest.approx((foot + face * cosine, -face * sine), abs=PRINTED)


def test_both_tabs_of_each_strip_are_shown_and_none_of_a_cut_step():
    def tabs(card):
        shapes = read_svg(draw_side(card, 90, scale=1))
        return [shape.geometry for shape in shapes if shape.is_in("glue")]

    assert len(tabs(tutor_card())) == 6
    assert tabs(cut_step_card()) == []
    top = tabs(tutor_card())[0]
    assert top.bounds[3] - top.bounds[1] == pytest.approx(12.7, abs=2 * PRINTED)  # a tab of 1/2 in


def _slipped_card():
    # Smith College 2005: closes flat if p + r = q + s, opens to 180 only if p + q <= r + s; else the
    # law of cosines stops it, cos t = (p² + q² - (r + s)²) / 2pq. Here p 30, q 50, r 45, s 25: 120°.
    card = pk.Card(width="100 mm", height="120 mm", tiers=(pk.Tier(face="45 mm", depth="25 mm"),))
    return card, {1: "5 mm"}


@pytest.mark.parametrize("asked", [121, 150, 180])
def test_an_opening_past_the_limit_is_drawn_at_the_limit_and_said(asked):
    card, slips = _slipped_card()
    svg = draw_side(card, asked, slips, scale=1)
    assert "stops at 120°" in _texts(svg)
    assert f"asked for {asked}°" in _texts(svg)
    assert "stops at 120°" in describe_side(card, asked, slips)
    lines = _lines(svg)
    back = lines["back"][1]
    assert math.degrees(math.atan2(-back[1], back[0])) == pytest.approx(120, abs=1e-3)
    attachment, _edge, foot = lines["tier-1"]
    assert foot == pytest.approx((30, 0), abs=PRINTED)
    # At the limit shelf and face are stretched straight: 70 mm from end to end.
    assert math.dist(attachment, foot) == pytest.approx(70, abs=4 * PRINTED)
    asked_back = lines["asked-back"][1]
    assert math.degrees(math.atan2(-asked_back[1], asked_back[0])) % 360 == pytest.approx(
        asked, abs=1e-3
    )


def test_a_slipped_tier_is_shown_beside_where_it_belongs():
    card, slips = _slipped_card()
    svg = draw_side(card, 90, slips, scale=1)
    lines = _lines(svg)
    assert lines["true-tier-1"][2] == pytest.approx((25, 0), abs=PRINTED)
    assert lines["tier-1"][2] == pytest.approx((30, 0), abs=PRINTED)
    texts = _texts(svg)
    assert "foot glued 5 mm (³⁄₁₆ in) too far out" in texts
    assert "opens only to 120°" in texts
    assert "where it belongs" in texts


def test_a_foot_too_near_is_said_and_does_not_jam():
    card, _ = _slipped_card()
    texts = _texts(draw_side(card, 180, {1: "-5 mm"}))
    assert "foot glued 5 mm (³⁄₁₆ in) too near the fold" in texts
    assert not any("stops" in text or "only" in text for text in texts)


def test_a_face_that_would_show_is_marked_and_measured():
    # Hidden iff X + h <= H: foot 20, face 90, back 100: 10 mm show.
    card = pk.Card(width="80 mm", height="100 mm", tiers=(pk.Tier(face="90 mm", depth="20 mm"),))
    texts = _texts(draw_side(card, 90))
    assert "shows by 10 mm (⅜ in)" in texts
    hidden = pk.Card(width="80 mm", height="110 mm", tiers=card.tiers)
    assert not any("shows" in text for text in _texts(draw_side(hidden, 90)))


def test_dimensions_are_printed_only_when_asked_for():
    plain, measured = (
        _texts(draw_side(tutor_card(), 90)),
        _texts(draw_side(tutor_card(), 90, dimensions=True)),
    )
    assert not any("mm" in text for text in plain)
    assert "foot ½ in (13 mm), reaches 4 in (102 mm)" in measured
    assert "edge of the closed card, 7 in (178 mm)" in measured


def test_a_moving_picture_keeps_its_frame():
    frames = {
        draw_side(tutor_card(), angle, steady=True).split("viewBox")[1][:60]
        for angle in range(0, 181, 9)
    }
    assert len(frames) == 1


@pytest.mark.parametrize("angle", [-1, 180.5, float("nan")])
def test_an_impossible_opening_is_refused(angle):
    for slips in (None, {1: "1/16 in"}):
        with pytest.raises(pk.FoldError, match="write 0"):
            draw_side(tutor_card(), angle, slips)


def test_a_piece_in_hand_is_drawn_heavier():
    def weight(svg):
        return next(
            float(shape.attributes["stroke-width"])
            for shape in read_svg(svg)
            if shape.attributes.get("id") == "tier-2"
        )

    assert weight(draw_side(tutor_card(), 90, marked=("tier 2",))) > weight(draw_side(tutor_card(), 90))


# What is pasted on, and peeling --------------------------------------------------------------------


def dressed_card():
    # Faces stand 1/2, 1 and 1 1/2 in from the fold: 12.7, 25.4 and 38.1 mm.
    return replace(
        tutor_card(),
        layers=(Layer(on="back"), Layer(on="message"), Layer(on="front")),
        ornaments=(Ornament(on="tier 3", height="2 in", width="3/4 in", pad="1/8 in", up="1/4 in"),),
    )


def _shapes(svg, kind):
    return [shape.geometry.bounds for shape in read_svg(svg) if shape.is_in(kind)]


def test_a_mat_is_on_its_own_side_of_the_card():
    inside, outside, front = _shapes(draw_side(dressed_card(), 90, scale=1), "mat")
    assert inside[0] > 0 > outside[2]  # before the back, behind it
    assert inside[2] < 12.7
    assert front[3] < 0  # above the front, as y runs downwards
    # What lies on the front lies beyond the last foot.
    assert front[0] > 38.1


def test_an_ornament_stands_off_its_face_by_its_pad():
    (bounds,) = _shapes(draw_side(dressed_card(), 90, scale=1), "ornament")
    left, top, _, bottom = bounds
    assert left >= 38.1 + 3.175  # 1/8 in of foam
    assert (-top, -bottom) == pytest.approx((57.15, 6.35), abs=2 * PRINTED)  # 2 1/4 and 1/4 in
    (pad,) = _shapes(draw_side(dressed_card(), 90, scale=1), "pad")
    assert pad[2] - pad[0] == pytest.approx(3.175, abs=2 * PRINTED)


@pytest.mark.parametrize("angle", [0, 90, 180])
def test_a_peeled_card_keeps_its_frame(angle):
    frames = {
        draw_side(dressed_card(), angle, steady=True, tiers=tiers, ornaments=False).split("viewBox")[1][
            :60
        ]
        for tiers in range(4)
    }
    assert len(frames) == 1


def test_a_peeled_tier_leaves_its_bar_and_its_tabs_with_it():
    svg = draw_side(dressed_card(), 90, tiers=1)
    assert set(_lines(svg)) & {"tier-1", "tier-2", "tier-3"} == {"tier-1"}
    assert "tier 2" not in _texts(svg)
    assert len(_shapes(svg, "glue")) == 2
    assert _shapes(svg, "ornament") == []
