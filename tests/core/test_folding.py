"""How the card opens: the published conditions, values worked by hand, and a solver of its own."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from itertools import accumulate, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import fsolve

from popkit.card import Card, ClearFront, CutStep, JoinedFront, OnePieceFront, Tier
from popkit.folding import (
    FoldError,
    closed_margins,
    closed_reach,
    is_hidden,
    opening_limit,
    opens_to,
    pose,
    room,
    tallest_ornament,
)
from popkit.lengths import LengthError, Q, mm
from popkit.pieces import cut_list
from tests.flatfold import maekawa
from tests.strategies import cards, slips

DERIVED = (
    "worked by hand from the parallelogram of the side view; agrees with the Smith College conditions"
)


def metric(*tiers: tuple[int, int], height: int = 200, **fields: object) -> Card:
    """Tiers as (depth, face) in millimetres, on a card tall enough to hide them."""
    return Card(
        width="105 mm",
        height=f"{height} mm",
        tiers=tuple(Tier(depth=f"{depth} mm", face=f"{face} mm") for depth, face in tiers),
        **fields,
    )


def length_of(edge: np.ndarray) -> float:
    return math.dist(*edge)


# Values worked by hand -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("angle", "edge"),
    [  # d = 30, h = 40: (30 + 40 cos t, 40 sin t)
        (0, (70, 0)),
        (60, (50, 34.641016151377546)),  # 20 sqrt 3
        (90, (30, 40)),
        (120, (10, 34.641016151377546)),
        (180, (-10, 0)),
    ],
)
def test_the_edge_of_a_shelf_30_deep_on_a_face_40_high(angle, edge):
    attachment, shelf_edge, foot = pose(metric((30, 40)), angle)["tier 1"]
    assert shelf_edge == pytest.approx(edge, abs=1e-9), DERIVED
    assert foot == pytest.approx((30, 0), abs=1e-9)
    assert attachment == pytest.approx((edge[0] - 30, edge[1]), abs=1e-9)


@pytest.mark.parametrize("angle", [0, 30, 60, 90, 120, 150, 180])
def test_a_step_on_the_face_of_another(angle):
    """R2 = (d1 + d2 + h2 cos t, h2 sin t): d1 = 30, d2 = 10, h2 = 15, closed 55."""
    _, edge, foot = pose(metric((30, 40), (10, 15)), angle)["tier 2"]
    t = math.radians(angle)
    assert edge == pytest.approx((40 + 15 * math.cos(t), 15 * math.sin(t)), abs=1e-9)
    assert foot == pytest.approx((40, 0), abs=1e-9)
    assert [mm(reach) for reach in closed_reach(metric((30, 40), (10, 15)))] == [70, 55]


def test_a_point_at_20_35_lies_at_55_when_closed():
    """Shear map (x, y) -> (x + y cos t, y sin t): a thing 35 high on a foot 20 out."""
    card = metric((20, 35))
    assert pose(card, 90)["tier 1"][1] == pytest.approx((20, 35))
    assert pose(card, 0)["tier 1"][1] == pytest.approx((55, 0))


@given(cards(), st.floats(0, 180))
def test_every_point_moves_as_the_shear_map_says(card, angle):
    """(x, y) at 90 degrees -> (x + y cos t, y sin t), for every tier and tab of any card."""
    upright, opened = pose(card, 90), pose(card, angle)
    t = math.radians(angle)
    for part in upright:
        x, y = upright[part].T
        sheared = np.array([x + y * math.cos(t), y * math.sin(t)]).T
        assert np.abs(opened[part] - sheared).max() < 1e-9


@pytest.mark.parametrize(
    ("height", "margin", "hidden"),
    [(70, 0, True), (69, -1, False), (71, 1, True)],
)
def test_shelf_and_face_together_hide_in_the_height(height, margin, hidden):
    """d + h <= L, margin L - (d + h): d = 30, h = 40."""
    card = metric((30, 40), height=height)
    assert [mm(one) for one in closed_margins(card)] == [margin]
    assert is_hidden(card) is hidden


@pytest.mark.parametrize(("x", "y"), [(1, 69), (35, 35), (69, 1), (20, 50), (50, 20)])
@pytest.mark.parametrize("over", [0, 1])
def test_what_hides_is_the_triangle_under_the_line_from_fold_to_fold(x, y, over):
    """x >= 0, y >= 0, x + y <= L: points of the edge x + y = 70, and one past it."""
    card = metric((x, y + over), height=70)
    assert is_hidden(card) is (over == 0)
    assert mm(tallest_ornament(card)[0]) == 70 - x


@pytest.mark.parametrize(("front", "limit"), [(None, 70), ("60 mm", 60), ("70 mm", 70), ("90 mm", 70)])
def test_the_shorter_of_back_and_front_hides(front, limit):
    """Unequal pages: the lesser of the two depths."""
    for form in (ClearFront, JoinedFront, OnePieceFront):
        card = metric((20, 30), height=70, front=form(length=front))
        assert mm(room(card)) == limit
        assert mm(closed_margins(card)[0]) == limit - 50
        assert mm(tallest_ornament(card)[0]) == limit - 20


@pytest.mark.parametrize(
    ("foot", "shelf", "face", "attachment", "limit", "source"),
    [
        # pages p = 30 and q = 50, panels r = 45 at p and s = 25 at q: closes, 75 = 75;
        # cos t = (900 + 2500 - 4900) / 3000 = -1/2
        (30, 25, 45, 50, 120, "values worked by hand; Smith College, A+D <= B+C fails"),
        (30, 25, 45, None, 120, "30 + 45 - 25 = 50"),
        # the parallelogram: A+D = B+C, an equality
        (30, 30, 40, 40, 180, "Smith College"),
        (30, 30, 40, None, 180, "Smith College"),
        # p + q = 70 <= r + s = 90: opens with slack
        (30, 50, 40, 40, 180, "Smith College"),
        # a right angle: 3, 4, 5 with panels 2 and 3
        (3, 2, 3, 4, 90, "Euclid I.47"),
        # stretched as it is joined: q - p = r + s
        (10, 10, 20, 40, 0, "law of cosines, cos t = 1"),
    ],
)
def test_how_far_a_four_bar_linkage_opens(foot, shelf, face, attachment, limit, source):
    sides = {"foot": foot, "shelf": shelf, "face": face, "attachment": attachment}
    given = {name: f"{side} mm" for name, side in sides.items() if side is not None}
    assert opening_limit(**given) == pytest.approx(limit, abs=1e-9), source


def test_a_foot_a_millimetre_out_stops_the_card_at_145_degrees():
    """Shelf 12, face 89, foot glued at 13 instead of 12, glued closed.

    The shelf then lands 13 + 89 - 12 = 90 up the back. The card stops when shelf and face lie in
    line, 12 + 89 = 101 from foot to attachment: law of cosines on 13, 90, 101,
    cos t = (13^2 + 90^2 - 101^2) / (2 x 13 x 90) = (169 + 8100 - 10201) / 2340 = -1932 / 2340.
    """
    by_hand = math.degrees(math.acos(-1932 / 2340))
    assert by_hand == pytest.approx(145.65, abs=0.005)
    assert opening_limit(foot="13 mm", shelf="12 mm", face="89 mm") == pytest.approx(by_hand)
    card = metric((12, 89))
    assert opens_to(card, {1: "1 mm"}) == pytest.approx(by_hand, abs=1e-6)
    assert opens_to(card) == 180
    stopped = pose(card, by_hand - 1e-7, {1: "1 mm"})["tier 1"]
    assert length_of(stopped[[0, 2]]) == pytest.approx(101, abs=1e-6)
    with pytest.raises(FoldError, match="Tier 1 at 146°: The tier is stretched straight"):
        pose(card, 146, {1: "1 mm"})


# The published conditions -----------------------------------------------------------------------------


@given(cards(hidden=True))
def test_smith_colleges_conditions_hold_for_every_hidden_card(card):
    """Spasova, O'Rourke, Weller, O'Rourke, Smith College 2005: A+B = C+D closes, A+D <= B+C opens,
    A+B <= a hides. A and D on front and back, B and C the panels; measured on the pose.
    """
    opened = pose(card, 90)
    hinge = 0.0
    for number in range(1, len(card.tiers) + 1):
        attachment, edge, foot = opened[f"tier {number}"]
        a, b = foot[0] - hinge, length_of((edge, foot))
        c, d = length_of((attachment, edge)), attachment[1]
        assert a + b == pytest.approx(c + d, abs=1e-9)
        assert a + d <= b + c + 1e-9
        assert hinge + a + b <= float(mm(card.height)) + 1e-9
        hinge = foot[0]
    assert is_hidden(card)
    assert opens_to(card) == 180


@given(cards())
def test_a_card_is_hidden_exactly_when_every_foot_and_face_fit_in_the_height(card):
    """X_i + h_i <= H, summed here from the cut list alone, and seen in the closed pose."""
    limit = mm(card.height) if card.front.length is None else min(mm(card.height), mm(card.front.length))
    feet = list(accumulate(mm(tier.depth) for tier in card.tiers))
    reach = [foot + mm(tier.face) for foot, tier in zip(feet, card.tiers, strict=True)]
    fits = max(reach) <= limit
    assert is_hidden(card) is fits
    assert [mm(one) for one in closed_reach(card)] == reach
    assert [mm(one) for one in closed_margins(card)] == [limit - one for one in reach]
    assert [mm(one) for one in tallest_ornament(card)] == [limit - foot for foot in feet]
    closed = pose(card, 0)
    furthest = max(closed[f"tier {number}"][:, 0].max() for number in range(1, len(card.tiers) + 1))
    assert (
        bool(furthest <= float(limit) + 1e-6) is fits
    )  # sizes lie on marks, a tenth of a millimetre apart
    assert np.abs(np.concatenate([closed[part][:, 1] for part in closed])).max() < 1e-9


@given(cards(hidden=True), st.data())
def test_a_face_raised_to_the_tallest_ornament_just_hides(card, data):
    number = data.draw(st.integers(1, len(card.tiers)))
    tallest = tallest_ornament(card)[number - 1]

    def raised(face: object) -> Card:
        tiers = list(card.tiers)
        tiers[number - 1] = replace(tiers[number - 1], face=face)
        return replace(card, tiers=tuple(tiers))

    assert is_hidden(raised(tallest))
    assert mm(closed_margins(raised(tallest))[number - 1]) == 0
    assert not is_hidden(raised(tallest + Q(Fraction(1, 1000), "mm")))


@given(cards(stepped=True))
def test_each_closed_loop_folds_flat(card):
    """Kawasaki and Maekawa on the side view: round fold, attachment, shelf edge and foot the four
    lengths come to nothing, and the two that fold go the same way, seen from outside.
    """
    shut, upright = pose(card, 0), pose(card, 90)
    pieces = {piece.name: piece for piece in cut_list(card)}
    hinge = np.zeros(2)
    for number, tier in enumerate(card.tiers, 1):
        name = f"tier {number}"
        attachment, edge, foot = upright[name]
        loop = [hinge, attachment, edge, foot]
        sides = [length_of(side) for side in pairwise([*loop, hinge])]
        up, out, down, home = sides
        assert up + out - down - home == pytest.approx(0, abs=1e-9)
        # Closed, the path turns back at the shelf edge and at the hinge, and nowhere else.
        x = [hinge[0], *shut[name][:, 0], hinge[0]]
        ways = [math.copysign(1, after - before) for before, after in pairwise(x)]
        assert ways == [1, 1, -1, -1]
        if isinstance(tier, Tier):
            at_edge = pieces[name].folds[1]  # good side out, so seen from outside
        else:
            blank = pieces["back and front"]
            (at_edge,) = [
                crease.fold
                for crease in blank.creases
                if crease.fold == "mountain"
                and mm(crease.stop) - mm(crease.start) == mm(card.tier_width(number))
            ]
        # The fold of the card is a valley from inside the loop, so a mountain from outside; so is
        # the foot that a later step is cut across or glued over.
        assert maekawa(["mountain", at_edge])
        hinge = foot


@given(cards(), st.floats(0, 180))
def test_every_face_stays_parallel_to_the_back(card, angle):
    opened = pose(card, angle)
    back = opened["back"][1] / np.hypot(*opened["back"][1])
    area = 0.0
    for number, tier in enumerate(card.tiers, 1):
        attachment, edge, foot = opened[f"tier {number}"]
        assert (edge - foot) / float(mm(tier.face)) == pytest.approx(back, abs=1e-9)
        assert (edge - attachment) / float(mm(tier.depth)) == pytest.approx((1, 0), abs=1e-9)
        # the parallelogram's area, d h sin t
        side, out = edge - foot, edge - attachment
        area = out[0] * side[1] - out[1] * side[0]
        expected = float(mm(tier.face) * mm(tier.depth)) * math.sin(math.radians(angle))
        assert area == pytest.approx(expected, abs=1e-6)


# Edges keep their lengths ------------------------------------------------------------------------------


def edges_of(card: Card, opened: object) -> list[tuple[float, float]]:
    """(length measured, length it should have) of every edge in the side view."""
    front = card.front.length if card.front.length is not None else card.height
    found = [
        (length_of(opened["back"]), mm(card.height)),
        (length_of(opened["front"]), mm(front)),
    ]
    for number, tier in enumerate(card.tiers, 1):
        attachment, edge, foot = opened[f"tier {number}"]
        found.append((length_of((attachment, edge)), mm(tier.depth)))
        found.append((length_of((edge, foot)), mm(tier.face)))
        if isinstance(tier, CutStep):
            assert f"tier {number} top tab" not in opened.parts
        else:
            found.append((length_of(opened[f"tier {number} top tab"]), mm(tier.top_tab)))
            found.append((length_of(opened[f"tier {number} bottom tab"]), mm(tier.bottom_tab)))
    return [(measured, float(true)) for measured, true in found]


@given(cards(), st.one_of(st.floats(0, 180), st.sampled_from([0, 1e-9, 90, 180 - 1e-9, 180])))
def test_edges_keep_their_lengths_at_every_opening(card, angle):
    for measured, true in edges_of(card, pose(card, angle)):
        assert abs(measured - true) < 1e-9


@given(st.data())
def test_edges_keep_their_lengths_with_slipped_feet(data):
    card = data.draw(cards())
    slipped = data.draw(slips(card))
    share = data.draw(
        st.one_of(st.floats(0, 1), st.sampled_from([0, 1e-310, 1e-160, 1e-12, 1e-6, 1 - 1e-6, 1]))
    )
    opened = pose(card, opens_to(card, slipped) * share, slipped)
    for measured, true in edges_of(card, opened):
        assert abs(measured - true) < 1e-9
    feet = accumulate(mm(tier.depth) for tier in card.tiers)
    hinge, behind = np.zeros(2), opened["back"][1] / np.hypot(*opened["back"][1])
    for number, (tier, foot) in enumerate(zip(card.tiers, feet, strict=True), 1):
        attachment, edge, landed = opened[f"tier {number}"]
        glued = float(foot + mm(slipped.get(number, Q(0, "mm"))))
        assert landed == pytest.approx((glued, 0), abs=1e-9)
        # The top tab lies on what stands behind, where the shelf landed when the card was closed.
        up = glued - hinge[0] + float(mm(tier.face) - mm(tier.depth))
        assert attachment == pytest.approx(hinge + up * behind, abs=1e-6)
        if isinstance(tier, Tier):
            tab = opened[f"tier {number} top tab"]
            assert tab[1] == pytest.approx(attachment - float(mm(tier.top_tab)) * behind, abs=1e-6)
        hinge, behind = landed, (edge - landed) / np.hypot(*(edge - landed))


def test_a_slipped_tier_was_refused_closed_or_not_quite_flat():
    """Shelf and face a hair apart: rounding made the gap shorter than their difference, or left the
    shelf edge half a thousandth of a millimetre off the table.
    """
    for hair in range(1, 60):
        tier = Tier(depth="100.1 mm", face=Q(Fraction(1001, 10) + Fraction(hair, 7000), "mm"))
        card = Card(width="105 mm", height="300 mm", tiers=(tier,))
        shut = pose(card, 0, {1: Q(Fraction(hair, 7), "mm")})["tier 1"]
        assert np.abs(shut[:, 1]).max() < 1e-9


def test_a_card_opened_by_next_to_nothing_lost_the_length_of_its_shelf():
    """Shelf as deep as the face is high, and an angle whose square is nothing to a computer."""
    for angle in (0, 5e-324, 1e-310, 1e-170, 1e-150, 1e-99, 1e-9):
        shut = pose(metric((30, 30)), angle, {1: "1 mm"})
        assert shut["tier 1"] == pytest.approx(np.array([[31, 0], [61, 0], [31, 0]]), abs=1e-7)
        assert length_of(shut["tier 1"][:2]) == pytest.approx(30, abs=1e-12)


# An independent solution -------------------------------------------------------------------------------


def loop_closure(foot: float, shelf: float, face: float, up: float):
    """The four-bar linkage as a solver sees it: up the backing, along the shelf, down the face and
    home along the front must come to nothing. Unknown: the leans of shelf and face.
    """
    size = foot + shelf + face + up

    def residual(leans, backing):
        at_shelf, at_face = leans
        return (
            (up * math.cos(backing) + shelf * math.cos(at_shelf) - face * math.cos(at_face) - foot)
            / size,
            (up * math.sin(backing) + shelf * math.sin(at_shelf) - face * math.sin(at_face)) / size,
        )

    def slope(leans, backing):
        at_shelf, at_face = leans
        return (
            (-shelf * math.sin(at_shelf) / size, face * math.sin(at_face) / size),
            (shelf * math.cos(at_shelf) / size, -face * math.cos(at_face) / size),
        )

    return residual, slope


def first_rates(foot: float, shelf: float, face: float, up: float) -> tuple[float, float]:
    """How fast shelf and face start to lean as the backing leaves 0, on the branch that opens.

    To first and second order the loop says q + s a = r b and q + s a^2 = r b^2 (q up, s shelf,
    r face), with p = q + s - r. One root is the parallelogram's own, a = 0 and b = 1 where q = r;
    the other folds the shelf back through the face.
    """
    a = up * (face - up) / (math.sqrt(up * shelf * face * foot) + up * shelf)
    return a, (up + shelf * a) / face


def solved(card: Card, slipped: dict, angle: float, steps: int) -> list[np.ndarray]:
    """Attachment, shelf edge, foot of every tier, marched open from closed with fsolve."""
    linkages, hinge = [], Fraction(0)
    feet = accumulate(mm(tier.depth) for tier in card.tiers)
    for number, (tier, true) in enumerate(zip(card.tiers, feet, strict=True), 1):
        foot = true + (mm(slipped[number]) if number in slipped else 0) - hinge
        sizes = (foot, mm(tier.depth), mm(tier.face), foot + mm(tier.face) - mm(tier.depth))
        linkages.append((float(hinge), tuple(float(size) for size in sizes)))
        hinge += foot
    backings = [math.radians(angle) * (step + 1) / steps for step in range(steps)]
    points = []
    leans_of_backing = backings
    for start, sizes in linkages:
        foot, shelf, _, up = sizes
        residual, slope = loop_closure(*sizes)
        path = [np.zeros(2), np.array(first_rates(*sizes)) * leans_of_backing[0]]
        before = 0.0
        for place, backing in enumerate(leans_of_backing):
            if place == 0:
                guess = path[-1]
                path = path[:1]
            else:
                stride = (backing - leans_of_backing[place - 1]) / (leans_of_backing[place - 1] - before)
                before = leans_of_backing[place - 1]
                guess = path[-1] + (path[-1] - path[-2]) * stride
            leans, _, _, message = fsolve(
                residual, guess, args=(backing,), fprime=slope, xtol=1e-13, full_output=True
            )
            assert np.abs(residual(leans, backing)).max() < 1e-12, message
            path.append(leans)
        backing = leans_of_backing[-1]
        at_shelf, _ = path[-1]
        attachment = np.array([start + up * math.cos(backing), up * math.sin(backing)])
        edge = attachment + shelf * np.array([math.cos(at_shelf), math.sin(at_shelf)])
        points.append(np.array([attachment, edge, [start + foot, 0.0]]))
        leans_of_backing = [leans[1] for leans in path[1:]]
    return points


@given(st.data())
def test_the_pose_is_the_one_a_general_solver_finds(data):
    card = data.draw(cards(most_tiers=3))
    slipped = data.draw(slips(card, share=Fraction(1, 6)))
    angle = opens_to(card, slipped) * data.draw(st.floats(0.05, 0.97))
    opened = pose(card, angle, slipped)
    for number, points in enumerate(solved(card, slipped, angle, steps=24), 1):
        assert np.abs(opened[f"tier {number}"] - points).max() < 1e-6


@given(cards(most_tiers=3), st.floats(1, 179))
def test_a_true_card_is_the_one_a_general_solver_finds(card, angle):
    opened = pose(card, angle)
    for number, points in enumerate(solved(card, {}, angle, steps=24), 1):
        assert np.abs(opened[f"tier {number}"] - points).max() < 1e-6


# How far a slipped card opens ------------------------------------------------------------------------


def swept(card: Card, slipped: dict, step: float) -> float:
    """The last opening, in steps from closed, at which every linkage can still be joined: the
    triangle inequality and the law of cosines, tier by tier.
    """
    rows, hinge = [], 0.0
    feet = accumulate(mm(tier.depth) for tier in card.tiers)
    for number, (tier, true) in enumerate(zip(card.tiers, feet, strict=True), 1):
        foot = float(true + (mm(slipped[number]) if number in slipped else 0)) - hinge
        shelf, face = float(mm(tier.depth)), float(mm(tier.face))
        rows.append((foot, shelf, face, foot + face - shelf))
        hinge += foot
    last = 0.0
    for angle in np.arange(step, 180 + step / 2, step):
        lean = math.radians(angle)
        for foot, shelf, face, up in rows:
            across = math.sqrt(max(0.0, foot**2 + up**2 - 2 * foot * up * math.cos(lean)))
            if across > shelf + face + 1e-9:
                return last
            # at the foot: from the front round to the attachment, less the corner up to the face
            to_attachment = math.atan2(up * math.sin(lean), up * math.cos(lean) - foot)
            corner = (across**2 + face**2 - shelf**2) / (2 * across * face)
            lean = to_attachment - math.acos(max(-1.0, min(1.0, corner)))
        last = float(angle)
    return last


@given(st.data())
def test_opens_to_is_what_a_sweep_finds(data):
    card = data.draw(cards(most_tiers=4))
    slipped = data.draw(slips(card))
    found, step = opens_to(card, slipped), 1.0
    sweep = swept(card, slipped, step)
    assert sweep - 1e-6 <= found < sweep + step + 1e-6
    pose(card, max(0.0, found - 1e-6), slipped)
    if found < 180 - 1e-3:
        with pytest.raises(FoldError, match="stretched straight"):
            pose(card, found + 1e-3, slipped)


@given(cards(most_tiers=1), st.data())
def test_one_slipped_tier_opens_as_far_as_the_law_of_cosines_says(card, data):
    slipped = data.draw(slips(card))
    (tier,) = card.tiers
    foot = tier.depth + slipped[1]
    limit = opening_limit(foot=foot, shelf=tier.depth, face=tier.face)
    assert opens_to(card, slipped) == pytest.approx(limit, abs=1e-5)
    assert (limit == 180) == (mm(slipped[1]) <= 0)  # A+D <= B+C: too near the fold opens, too far jams


@given(cards(), st.data())
def test_a_card_with_no_slip_opens_flat(card, data):
    assert opens_to(card) == 180
    number = data.draw(st.integers(1, len(card.tiers)))
    assert opens_to(card, {number: "0 mm"}) == 180


# What is refused ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("angle", [-0.001, 180.001, -90, 360, float("nan"), float("inf")])
def test_an_opening_is_nothing_to_a_half_turn(angle):
    with pytest.raises(FoldError, match=r"write 0 \(closed\) to 180 \(flat\)"):
        pose(metric((30, 40)), angle)


@pytest.mark.parametrize("numbers", [(0,), (2,), (-1,), ("tier 1",), (3, 4)])
def test_a_slip_is_of_a_tier_that_is_there(numbers):
    """A name in place of a number was a TypeError, and of two wrong ones only one was told."""
    slipped = dict.fromkeys(numbers, "1 mm")
    for ask in (
        lambda: pose(metric((30, 40)), 90, slipped),
        lambda: opens_to(metric((30, 40)), slipped),
    ):
        with pytest.raises(FoldError) as caught:
            ask()
        named = " or ".join(str(number) for number in numbers)
        assert str(caught.value) == f"There is no tier {named}: the card has 1."


def test_a_slip_is_a_length():
    with pytest.raises(LengthError, match="comma"):
        pose(metric((30, 40)), 90, {1: "1,5 mm"})
    with pytest.raises(LengthError, match="inexact"):
        pose(metric((30, 40)), 90, {1: Q(1.5, "mm")})


def test_a_foot_does_not_slip_past_what_stands_behind_it():
    for slipped in ({1: "-30 mm"}, {1: "-31 mm"}):
        with pytest.raises(FoldError, match="Tier 1's foot has slipped past"):
            pose(metric((30, 40)), 90, slipped)
    with pytest.raises(FoldError, match="Tier 2's foot has slipped past"):
        opens_to(metric((30, 40), (10, 20)), {1: "10 mm"})
    with pytest.raises(FoldError, match="Tier 1's foot has slipped past"):
        opens_to(metric((30, 5)), {1: "-6 mm"})  # the shelf would be glued below the fold: 24 + 5 - 30


@pytest.mark.parametrize(
    ("sides", "why"),
    [
        ((10, 5, 5, 100), "too short"),  # 5 + 5 does not span 100 - 10
        ((100, 5, 5, 10), "too short"),
        ((10, 40, 10, None), "so deep that it would be glued below the fold"),  # 10 + 10 - 40 < 0
        ((10, 20, 10, None), "so deep that it would be glued below the fold"),  # at the fold itself
    ],
)
def test_a_linkage_that_cannot_be_joined_is_refused(sides, why):
    names = ("foot", "shelf", "face", "attachment")
    given = {name: f"{side} mm" for name, side in zip(names, sides, strict=True) if side is not None}
    with pytest.raises(FoldError, match=why):
        opening_limit(**given)


def test_a_linkage_with_a_side_longer_than_the_rest_was_said_to_open_flat():
    """Foot 1, attachment 1: no triangle on 10 and 1 comes as near as 2."""
    for shelf, face in (("10 mm", "1 mm"), ("1 mm", "10 mm")):
        with pytest.raises(FoldError, match="differ by more than foot and attachment"):
            opening_limit(foot="1 mm", shelf=shelf, face=face, attachment="1 mm")
    assert opening_limit(foot="1 mm", shelf="3 mm", face="1 mm", attachment="1 mm") == 180  # just


def test_every_side_of_a_linkage_is_a_length():
    with pytest.raises(LengthError, match="nothing"):
        opening_limit(foot="0 mm", shelf="1 mm", face="1 mm")
    with pytest.raises(LengthError, match="no unit"):
        opening_limit(foot="1 mm", shelf="1", face="1 mm")


def test_a_pose_is_read_and_not_written():
    opened = pose(metric((30, 40)), 90)
    assert list(opened) == ["back", "front", "tier 1", "tier 1 top tab", "tier 1 bottom tab"]
    assert len(opened) == 5
    assert opened.angle == 90.0
    with pytest.raises(ValueError, match="read-only"):
        opened["tier 1"][0, 0] = 5
    with pytest.raises(KeyError):
        opened["tier 2"]
    assert opened == opened  # comparing arrays was a ValueError
    assert opened != pose(metric((30, 40)), 90)


def test_tabs_lie_on_what_they_are_glued_to():
    """Top tab down the back from the attachment; bottom tab from the foot towards the fold."""
    card = Card(
        width="5 in",
        height="7 in",
        tiers=(Tier(face="40 mm", depth="30 mm", top_tab="12 mm", bottom_tab="10 mm"),),
    )
    t = math.radians(60)
    opened = pose(card, 60)
    up = np.array([math.cos(t), math.sin(t)])
    assert opened["tier 1 top tab"] == pytest.approx(np.array([40 * up, 28 * up]))
    assert opened["tier 1 bottom tab"] == pytest.approx(np.array([[30, 0], [20, 0]]))
