"""What hides what, checked point by point against the depth of each strip along the line of sight."""

import math
import random
from dataclasses import replace

import numpy as np
import pytest
import shapely

import popkit as pk
from popkit.card import Layer, Ornament
from popkit.drawing import describe_oblique, draw_finished, draw_oblique
from popkit.drawing.oblique import painted, strips
from popkit.drawing.side import opened
from popkit.lengths import mm
from tests.drawing.drawing_samples import cut_step_card, random_cards, read_svg, tutor_card, words

# Cabinet projection (ISO 5456-3): the receding axis at 45 degrees, drawn half as long.
HALF = 0.5 / math.sqrt(2)


def _on_picture(x, y, z):
    return np.array([z - HALF * x, y - HALF * x])


def _depth_at(strip, u, v):
    """How far towards the eye the strip is at a point of the picture, or None if not there.

    Solves start + share (stop - start) at place z for share and z; the line of sight is
    (1, HALF, HALF), along which the picture does not change.
    """
    (x1, y1), (x2, y2) = strip.start, strip.stop
    fall = (y2 - HALF * x2) - (y1 - HALF * x1)
    if abs(fall) < 1e-9:
        return None
    share = (v - (y1 - HALF * x1)) / fall
    x = x1 + share * (x2 - x1)
    z = u + HALF * x
    if not (0 <= share <= 1 and strip.left <= z <= strip.right):
        return None
    if any(low <= share <= high and left <= z <= right for low, high, left, right in strip.holes):
        return None
    return x


def _order(card, angle, slips=None):
    view = opened(card, angle, slips)
    return painted(strips(card, view), view.angle)


def _wrong_points(order, rng, count=150):
    corners = np.array(
        [
            _on_picture(*end, side)
            for strip in order
            for end in (strip.start, strip.stop)
            for side in (strip.left, strip.right)
        ]
    )
    (u1, v1), (u2, v2) = corners.min(axis=0), corners.max(axis=0)
    checked = wrong = 0
    for _ in range(count):
        u, v = rng.uniform(u1, u2), rng.uniform(v1, v2)
        seen = [
            (depth, place)
            for place, strip in enumerate(order)
            if (depth := _depth_at(strip, u, v)) is not None
        ]
        if len(seen) < 2:
            continue
        nearest = max(depth for depth, _ in seen)
        top = max(seen, key=lambda pair: pair[1])[0]
        checked += 1
        wrong += top < nearest - 1e-6
    return checked, wrong


@pytest.mark.parametrize(
    "card", [tutor_card(), cut_step_card(), *random_cards(30, seed=11)], ids=range(32)
)
def test_the_strip_painted_last_is_the_nearest_at_every_point(card):
    rng = random.Random(1)
    total = 0
    for angle in (3, 15, 19, 20, 25, 60, 90, 120, 175, *(rng.uniform(1, 179) for _ in range(3))):
        checked, wrong = _wrong_points(_order(card, angle), rng)
        total += checked
        assert wrong == 0, angle
    assert total > 40


def test_the_strip_painted_last_is_the_nearest_in_slipped_cards_too():
    rng = random.Random(2)
    for slips in ({1: "1/8 in"}, {2: "-1/8 in"}, {1: "-1/16 in", 3: "1/4 in"}):
        for angle in (10, 45, 90, 110, 180):
            _, wrong = _wrong_points(_order(tutor_card(), angle, slips), rng)
            assert wrong == 0


def test_the_check_sees_a_wrong_order():
    for angle in (10, 90, 150):
        checked, wrong = _wrong_points(_order(tutor_card(), angle)[::-1], random.Random(3))
        assert wrong > checked / 2


def _seen_parts(card, angle):
    """What is seen of each part, from the areas of the picture in painting order."""
    shapes = [
        shape
        for shape in read_svg(draw_oblique(card, angle, scale=1, names=False))
        if shape.is_in("card") and "id" in shape.attributes
    ]
    seen, over = {}, shapely.Polygon()
    for shape in reversed(shapes):
        seen[shape.attributes["id"]] = shape.geometry.difference(over)
        if shape.attributes["fill"] != "none":
            over = shapely.union(over, shape.geometry)
    return seen


@pytest.mark.parametrize("card", random_cards(60, seed=21), ids=range(60))
def test_nothing_shows_when_closed_unless_it_reaches_past_the_edge(card):
    # Hidden iff X + h <= H for every tier: Smith College 2005, A + B <= a, front as long as the back.
    card = pk.Card(
        width=card.width,
        height=card.height,
        tiers=card.tiers,
        front=type(card.front)(),
        side_inset=card.side_inset,
    )
    seen = _seen_parts(card, 0)
    back = next(
        shape.geometry
        for shape in read_svg(draw_oblique(card, 0, scale=1, names=False))
        if shape.attributes.get("id") == "back"
    )
    outline = shapely.Polygon(back.exterior)  # through the hole of a cut step one sees the step
    shown = sum(
        part.difference(outline).area
        for name, part in seen.items()
        if name.startswith("tier") and name.endswith(("face", "shelf"))
    )
    reach = max(foot + mm(tier.face) for foot, tier in zip(card.feet_mm, card.tiers, strict=True))
    # Corners are printed to a thousandth of a millimetre, so a hidden edge may show a sliver.
    sliver = 0.02 * float(mm(card.width))
    if reach <= mm(card.height):
        assert shown < sliver
    else:
        assert shown > sliver


def test_upright_parts_are_drawn_true_at_a_right_angle():
    seen = {name: part.area for name, part in _seen_parts(tutor_card(), 90).items()}
    # Of the back one sees its full width above tier 1: 5 x (7 - 3½) in; the last face is seen whole.
    assert seen["back"] > 127.0 * 88.9
    inset = 25.4 / 32  # common practice, no source: tiers 1/32 in in from each side
    assert seen["tier-3-face"] == pytest.approx((127.0 - 2 * inset) * 63.5, rel=1e-4)


def test_what_comes_towards_you_is_half_as_long_at_45_degrees():
    shapes = {
        shape.attributes["id"]: shape.geometry
        for shape in read_svg(draw_oblique(tutor_card(), 90, scale=1, names=False))
        if "id" in shape.attributes
    }
    ring = list(shapes["tier-3-shelf"].exterior.coords)
    (x1, y1), (x2, y2) = ring[0], ring[3]
    assert math.dist(ring[0], ring[3]) == pytest.approx(12.7 / 2, abs=2e-3)
    assert abs(x1 - x2) == pytest.approx(abs(y1 - y2), abs=2e-3)


def test_a_cut_step_leaves_its_hole_in_what_it_is_cut_from():
    card = cut_step_card()
    shapes = {
        shape.attributes["id"]: shape.geometry
        for shape in read_svg(draw_oblique(card, 90, scale=1, names=False))
        if "id" in shape.attributes
    }
    width, face, depth = 105 - 24, mm(card.tiers[0].face), mm(card.tiers[0].depth)
    # common practice, no source: each step 12 mm in from each side of what it is cut from.
    assert shapes["back"].area == pytest.approx(105 * 148 - float(width * face), rel=1e-4)
    taken = float(depth) * (width + (width - 24) + (width - 48))
    assert shapes["front"].area == pytest.approx((105 * 148 - taken) * HALF, rel=1e-4)
    assert shapes["tier-1-face"].area == pytest.approx(
        float(width * face) - (width - 24) * float(mm(card.tiers[1].face)), rel=1e-4
    )


def test_a_clear_front_is_seen_through():
    (front,) = [
        shape
        for shape in read_svg(draw_oblique(tutor_card(), 90))
        if shape.attributes.get("id") == "clear-front"
    ]
    assert front.attributes["fill"] == "none"


def test_the_parts_that_are_seen_are_named_and_no_others():
    def names(angle):
        return {shape.text for shape in words(read_svg(draw_oblique(tutor_card(), angle)))}

    assert names(90) == {"back", "tier 1", "tier 2", "tier 3", "clear front"}
    assert names(0) == {"outside of the back"}


def test_a_card_half_made_shows_only_the_tiers_that_are_on():
    ids = {shape.attributes.get("id") for shape in read_svg(draw_oblique(tutor_card(), 90, tiers=1))}
    assert "tier-1-face" in ids
    assert "tier-2-face" not in ids


def test_the_finished_card_has_no_words():
    assert words(read_svg(draw_finished(tutor_card()))) == []
    assert "Tier 3, glued strip" in describe_oblique(tutor_card(), 90)


def test_a_moving_picture_keeps_its_frame():
    for card in (tutor_card(), cut_step_card()):
        frames = {
            draw_oblique(card, angle, steady=True).split("viewBox")[1][:50] for angle in range(0, 181, 5)
        }
        assert len(frames) == 1


# What is pasted on ---------------------------------------------------------------------------------


def dressed_card():
    """The card of 5 x 7 in with faces of 3 1/2, 3 and 2 1/2 in, with mats and cut-outs."""
    return replace(
        tutor_card(),
        layers=(
            Layer(on="back", reveal="1/8 in", name="sky"),
            Layer(on="tier 1", reveal="1/4 in", name="sea"),
            Layer(on="message", reveal="1/2 in", name="letter"),
        ),
        ornaments=(
            # Above the shelf of tier 2, which is glued to face 1 at 3 in.
            Ornament(on="tier 1", height="1 1/2 in", width="1 in", up="3 1/8 in", pad="1/8 in"),
            Ornament(on="tier 3", height="2 in", width="3/4 in", name="buoy"),
        ),
    )


def _painted_order(card, angle):
    return [strip.part for strip in _order(card, angle)]


def test_mats_and_ornaments_hide_and_are_hidden_like_everything_else():
    rng = random.Random(7)
    total = 0
    for angle in (3, 15, 25, 60, 90, 120, 150, 175):
        checked, wrong = _wrong_points(_order(dressed_card(), angle), rng)
        total += checked
        assert wrong == 0, angle
    assert total > 300


@pytest.mark.parametrize("angle", [30, 90, 150, 180])
def test_a_mat_lies_over_its_own_ground_and_under_the_tier_in_front(angle):
    order = _painted_order(dressed_card(), angle)
    assert order.index("back") < order.index("sky")
    assert order.index("tier 1 face") < order.index("sea") < order.index("tier 2 face")


def test_the_message_is_on_the_outside():
    for angle, seen in ((0, True), (10, True), (90, False), (180, False)):
        order = _painted_order(dressed_card(), angle)
        assert (order.index("letter") > order.index("back")) == seen
    closed = _painted_order(dressed_card(), 0)
    assert closed[-2:] == ["back", "letter"]


def test_a_mat_and_an_ornament_are_drawn_to_their_size_on_an_upright_part():
    shapes = read_svg(draw_oblique(dressed_card(), 90, scale=1, names=False))
    mats = [shape.geometry for shape in shapes if shape.is_in("mat")]
    # The back shows 7 - 3 1/2 in above tier 1; 1/8 in of reveal on each side leaves 4 3/4 x 3 1/4 in.
    assert max(mat.area for mat in mats) == pytest.approx(
        (5 - 2 * 0.5) * (7 - 2 * 0.5) * 25.4**2, rel=1e-4
    )  # the message panel, behind the back
    sky = sorted(mats, key=lambda mat: mat.area)[1]
    assert sky.area == pytest.approx(4.75 * 3.25 * 25.4**2, rel=1e-4)
    sizes = sorted(
        (
            round(shape.geometry.bounds[3] - shape.geometry.bounds[1], 2),
            round(shape.geometry.bounds[2] - shape.geometry.bounds[0], 2),
        )
        for shape in shapes
        if shape.is_in("ornament")
    )
    assert sizes == [
        (pytest.approx(38.1, abs=0.01), pytest.approx(25.4, abs=0.01)),  # 1 1/2 x 1 in
        (pytest.approx(50.8, abs=0.01), pytest.approx(19.05, abs=0.01)),  # 2 x 3/4 in
    ]


def test_peeling_takes_off_a_tier_with_what_is_on_it():
    shapes = read_svg(draw_oblique(dressed_card(), 90, tiers=1))
    assert len([shape for shape in shapes if shape.is_in("ornament")]) == 1
    bare = read_svg(draw_oblique(dressed_card(), 90, layers=False, ornaments=False))
    assert not [shape for shape in bare if shape.is_in("ornament") or shape.is_in("mat")]


def test_the_names_stay_beside_a_card_covered_with_mats():
    names = {shape.text for shape in words(read_svg(draw_oblique(dressed_card(), 90)))}
    assert names == {"back", "tier 1", "tier 2", "tier 3", "clear front"}
