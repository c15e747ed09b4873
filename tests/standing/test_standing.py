"""Standing up: masses, the centre of mass and tipping, against statics and a mesh library."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from popkit.card import (
    Card,
    ClearFront,
    CutStep,
    JoinedFront,
    Layer,
    OnePieceFront,
    Ornament,
    Tier,
    stepped_tiers,
)
from popkit.folding import FoldError, pose
from popkit.language import as_language
from popkit.lengths import from_mm, mm
from popkit.papers import Stock
from popkit.pieces import cut_list
from popkit.standing import STEADY, centre_of_mass, masses, portions, standing
from tests.strategies import cards

HEAVY = Stock(name="board", grammage=Fraction(100_000), caliper="1 mm", sheet="A2")
FEATHER = Stock(name="tissue", kind="paper", grammage=Fraction(1, 10**9), caliper="0.01 mm", sheet="A2")


def two_pages(back: str = "100 mm", front: str | None = None, **fields: object) -> Card:
    """Two pages joined at the fold, with one tier of no weight to speak of."""
    tier = Tier(face="10 mm", depth="10 mm", top_tab="2 mm", bottom_tab="2 mm")
    panel = OnePieceFront(length=front)
    made = {"width": "80 mm", "height": back, "tiers": (tier,), "front": panel, "stock": HEAVY}
    return Card(**made | {"tier_stock": FEATHER} | fields)


# Statics ----------------------------------------------------------------------------------------


def test_two_equal_pages_at_a_right_angle():
    """Closed form: the centre of mass is at (L/4, L/4); it tips at 45 degrees about the fold and at
    atan 3 = 71.57 degrees about the free edge."""
    long = 100
    card = two_pages(f"{long} mm")
    assert centre_of_mass(card, 90) == pytest.approx((long / 4, long / 4), abs=1e-6)
    found = standing(card, 90)
    assert found.tips_back == pytest.approx(45, abs=1e-6)
    assert found.tips_forward == pytest.approx(math.degrees(math.atan(3)), abs=1e-6)
    assert round(found.tips_forward, 2) == 71.57
    assert found.grams == pytest.approx(2 * 80 * long * 0.1)  # 100 kg/m2 is 0.1 g/mm2


@pytest.mark.parametrize("angle", [20, 45, 75, 90, 110, 120, 150])
def test_two_equal_pages_at_any_angle(angle):
    """Each page's centre is its middle: ((1 + cos t) L/4, sin t L/4)."""
    turn = math.radians(angle)
    wanted = (25 * (1 + math.cos(turn)), 25 * math.sin(turn))
    assert centre_of_mass(two_pages(), angle) == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize(("back", "front"), [(100, 40), (100, 150), (140, 100)])
def test_unequal_pages(back, front):
    """x = sum(m x) / sum(m) with masses as the lengths: front^2 / 2, back^2 / 2 over their sum. So
    the tangent of the backward angle is (front / back)^2."""
    card = two_pages(f"{back} mm", f"{front} mm")
    x, y = centre_of_mass(card)
    assert (x, y) == pytest.approx(
        (front**2 / 2 / (front + back), back**2 / 2 / (front + back)), abs=1e-6
    )
    found = standing(card, helps=False)
    assert math.tan(math.radians(found.tips_back)) == pytest.approx((front / back) ** 2, abs=1e-6)


def test_a_car_with_52_per_cent_on_its_front_axle():
    """OpenStax, University Physics vol. 1, example 12.1: wheelbase 2.5 m, 52 % of the weight on the
    front axle; its equation 0.48 x = 0.52 (2.5 - x) puts the centre of gravity 1.3 m from the rear.

    The car is a front panel 250 mm long with a weight glued on; the axles are its two edges, whose
    loads are found from where our centre lies."""
    base, at = 250, Fraction("0.52") * 250
    weight = Layer(on="front", stock=HEAVY, width="20 mm", length="20 mm", up=from_mm(at - 10 - 10))
    card = two_pages("100 mm", f"{base} mm", stock=FEATHER, layers=(weight,))
    x, y = centre_of_mass(card)
    assert x == pytest.approx(130, abs=1e-6)  # 1.3 m at a tenth of a thousandth
    assert y == pytest.approx(0, abs=1e-6)
    assert x / base == pytest.approx(0.52)  # the share of the weight on the front axle


@pytest.mark.parametrize(
    ("wide", "tall", "degrees", "source"),
    [
        (100, 100, 45.00, "a cube; visighta.com, classical mechanics 12.4, set-up"),
        (50, 200, 14.04, "a bookcase 0.5 m × 2 m, the same: atan(w / H)"),
        (36, 24, 56.31, "centre 1 ft over the middle of a 3 ft base: 56.3, homemadetools.net"),
    ],
)
def test_boxes_tip_where_the_textbook_says(wide, tall, degrees, source):
    """A uniform box w wide and H tall has its centre at (w/2, H/2) and tips at atan(w / H).

    Two equal weights put ours there: one on the back at height H, one on the front at w."""
    along = from_mm(Fraction(wide) - 10 - 1)  # the front's inside begins at the foot, 10 mm out
    low = Layer(on="front", stock=HEAVY, width="10 mm", length="2 mm", up=along)
    high = Layer(on="message", stock=HEAVY, width="10 mm", length="2 mm", up=from_mm(Fraction(tall - 1)))
    card = two_pages("300 mm", f"{wide + 1} mm", stock=FEATHER, layers=(low, high))
    assert centre_of_mass(card) == pytest.approx((wide / 2, tall / 2), abs=1e-4)
    assert standing(card, helps=False).tips_back == pytest.approx(degrees, abs=0.005), source


# Mass -------------------------------------------------------------------------------------------


@settings(deadline=None)
@given(cards(hidden=True))
def test_mass_is_that_of_every_piece_by_area_and_grammage(card):
    """ISO 536: mass = area × grammage. A step is never narrower than its own slits in `cards`."""
    weighed = {
        piece.name: piece.count * mm(piece.width) * mm(piece.length) * piece.stock.grammage / 10**6
        for piece in cut_list(card)
    }
    assert masses(card) == weighed


@given(cards(hidden=True, stepped=True), st.data())
def test_mass_is_additive(card, data):
    """A mat and an ornament add their own weight and change no other."""
    mat = Layer(on="message", width="20 mm", length="30 mm", stock="80 lb cover", name="mat")
    flower = Ornament(on="tier 1", height="9 mm", width="8 mm", grams=Fraction(5, 2), name="flower")
    chosen = data.draw(st.sampled_from([((mat,), ()), ((), (flower,)), ((mat,), (flower,))]))
    fuller = replace(card, layers=chosen[0], ornaments=chosen[1])
    added = {name: grams for name, grams in masses(fuller).items() if name in ("mat", "flower")}
    assert masses(fuller) == masses(card) | added
    known = {"mat": Fraction(20 * 30 * 216, 10**6), "flower": Fraction(5, 2)}
    assert added == {one.name: known[one.name] for one in (*chosen[0], *chosen[1])}


def test_an_ornament_without_a_weight_weighs_what_its_stock_does():
    card = two_pages(tier_stock="110 lb index")
    flower = Ornament(on="back", height="40 mm", width="30 mm", name="flower")
    assert masses(replace(card, ornaments=(flower,)))["flower"] == Fraction(40 * 30 * 199, 10**6)


def test_a_strip_glued_at_the_back_weighs_where_its_tabs_are():
    """A glued strip has four zones; its tabs' weight lies on what they are glued to."""
    card = two_pages(stock=FEATHER, tier_stock=HEAVY)
    parts = {portion.part: portion.grams for portion in portions(card) if portion.piece == "tier 1"}
    wide = Fraction(78)  # 80 mm less 1 mm each side
    assert parts == {
        "tier 1 top tab": wide * 2 / 10,
        "tier 1 shelf": wide * 10 / 10,
        "tier 1": wide * 10 / 10,
        "tier 1 bottom tab": wide * 2 / 10,
    }
    # middles at 90 degrees: tab (0, 9), shelf (5, 10), face (10, 5), tab (9, 0), weights 2 10 10 2
    x, y = centre_of_mass(card)
    assert x == pytest.approx((0 * 2 + 5 * 10 + 10 * 10 + 9 * 2) / 24, abs=1e-6)
    assert y == pytest.approx((9 * 2 + 10 * 10 + 5 * 10 + 0 * 2) / 24, abs=1e-6)


def test_a_cut_step_takes_its_weight_from_back_and_front():
    """By hand: 80 wide, back and front 100; a step 40 wide, 30 high and 20 deep takes 40 × 30 from
    the back (now its shelf and face) and 40 × 20 from the front."""
    step = CutStep(face="30 mm", depth="20 mm", width="40 mm")
    card = two_pages(tiers=(step,))
    whole = 80 * 200
    x = (80 * 100 * 50 - 40 * 20 * 10 + 40 * 20 * 10 + 40 * 30 * 20) / whole
    y = (80 * 100 * 50 - 40 * 30 * 15 + 40 * 20 * 30 + 40 * 30 * 15) / whole
    assert centre_of_mass(card) == pytest.approx((x, y), abs=1e-9)


# Against a mesh library ---------------------------------------------------------------------------


def meshed(card: Card, angle: float) -> tuple[float, np.ndarray]:
    """Grams and centre of mass of the card as thin boxes, by trimesh.

    Built from the cut list, the zones and the pose alone, for cards of glued tiers: one box a zone,
    as thick as it weighs (a grammage of 1 g/m2 is 1e-3 mm at 1 g/cm3)."""
    view = pose(card, angle)
    solids = []

    def box(points: np.ndarray, width: float, grammage: float, start: float = 0.0) -> None:
        one, two = points
        along = (two - one) / np.linalg.norm(two - one)
        one = one + along * start
        thick = grammage * 1e-3
        solid = trimesh.creation.box((np.linalg.norm(two - one), thick, width))
        turn = trimesh.transformations.rotation_matrix(math.atan2(along[1], along[0]), (0, 0, 1))
        solid.apply_transform(turn)
        solid.apply_translation((*((one + two) / 2), 0))
        solids.append(solid)

    pieces = {piece.name: piece for piece in cut_list(card)}
    back = pieces.pop("back", None) or pieces.pop("back and front")
    box(view["back"], float(mm(card.width)), back.stock.grammage)
    flap = float(mm(back.length) - mm(card.height))
    box(np.array([[0.0, 0.0], [flap, 0.0]]), float(mm(card.width)), back.stock.grammage)
    for name, piece in pieces.items():
        width, grammage = float(mm(piece.width)), piece.stock.grammage
        if name.startswith("tier "):
            attached, edge, foot = view[name]
            for line in (
                view[f"{name} top tab"],
                (attached, edge),
                (edge, foot),
                view[f"{name} bottom tab"],
            ):
                box(np.array(line), width, grammage)
        else:
            box(view["front"], width, grammage, start=float(mm(card.front_length) - mm(piece.length)))
    whole = trimesh.util.concatenate(solids)
    assert whole.is_watertight
    return whole.volume * 1e-3, whole.center_mass[:2]


@settings(deadline=None)
@given(cards(cut_steps=False), st.floats(5, 175))
def test_mass_and_centre_are_those_of_thin_boxes(card, angle):
    grams, centre = meshed(card, angle)
    assert float(sum(masses(card).values())) == pytest.approx(grams, rel=1e-9)
    assert centre_of_mass(card, angle) == pytest.approx(tuple(centre), abs=1e-6)


# What helps, and what it says -----------------------------------------------------------------------


def five_by_seven(front: object = None, **fields: object) -> Card:
    made = {"width": "5 in", "height": "7 in", "tiers": stepped_tiers("7 in", 3)}
    return Card(**made, front=front or ClearFront(), **fields)


def test_a_five_by_seven_with_a_clear_front_and_layers_stands_by_itself():
    """The trade says so (no source); mats 4¾ × 3¼ above a 3½ face and 4¾ × 6¾ on the outside."""
    mats = (
        Layer(on="back", width="4 3/4 in", length="3 1/4 in"),
        Layer(on="message", width="4 3/4 in", length="6 3/4 in"),
    )
    found = standing(five_by_seven(layers=mats))
    assert found.stands
    assert found.is_steady


@settings(deadline=None)
@given(cards(hidden=True), st.integers(30, 150))
def test_each_help_gives_what_it_says(card, angle):
    """Worked out anew on the changed card; weight on the front never harms a backward lean."""
    found = standing(card, angle)
    for one in found.helps:
        again = standing(one.card or card, one.angle, helps=False)
        way = "tips_back" if found.tips_back <= found.tips_forward else "tips_forward"
        assert getattr(again, way) - getattr(found, way) == pytest.approx(one.gain)
        assert one.gain > 0
        assert f"{one.gain:.0f}°" in str(one)
    assert [one.gain for one in found.helps] == sorted((one.gain for one in found.helps), reverse=True)


def test_the_three_helps_of_a_card_that_leans_back():
    helps = standing(five_by_seven(JoinedFront()), 100).helps
    words = " ".join(str(one) for one in helps)
    assert "A mat of card stock on the front" in words
    assert "15° narrower, 85°" in words
    assert "A front 1 in longer" in words


def test_a_clear_front_is_left_clear():
    words = " ".join(str(one) for one in standing(five_by_seven()).helps)
    assert "A strip of card stock ½ in deep at the free edge of the front" in words


def test_a_card_that_leans_forward_is_helped_by_a_wider_opening():
    """Back 100, front 30, open to 30 degrees: x = (100 × 50 cos 30 + 30 × 15) / 130 = 36.8 mm is past
    the free edge. At 45 degrees it is 30.7: nearly up; at 75 degrees it stands."""
    card = two_pages("100 mm", "30 mm")
    found = standing(card, 30)
    assert found.centre[0] == pytest.approx(36.77, abs=0.005)
    assert "falls over forwards" in found.text
    assert any("15° wider, 45°" in str(one) for one in found.helps)
    assert standing(card, 75).stands


def test_a_card_opened_too_far_falls_over_backwards():
    """Two equal pages never fall; a back twice as long as the front falls once (cos t) is less
    than -(front/back)^2 = -1/4, that is past 104.48 degrees."""
    card = two_pages("100 mm", "50 mm")
    assert standing(card, 104).stands
    found = standing(card, 105)
    assert not found.stands
    assert "falls over backwards" in found.text
    assert standing(two_pages(), 179).stands


def test_open_flat_it_lies():
    found = standing(two_pages(), 180)
    assert found.tips_back == pytest.approx(90)
    assert found.tips_forward == pytest.approx(90)
    assert "lies on the table" in found.text


def test_the_text_says_what_is_not_in_the_sum():
    text = standing(five_by_seven()).text
    assert "Spring-back is not in this sum" in text
    assert "stands firmly" in text
    assert "in front of the fold" in text
    wobbly = standing(two_pages("100 mm", "40 mm"))
    assert wobbly.stands
    assert not wobbly.is_steady
    assert wobbly.weakest < STEADY
    assert "a knock turns it over" in wobbly.text


@pytest.mark.parametrize("angle", [-1, 181, float("nan")])
def test_an_opening_that_is_none_is_refused(angle):
    with pytest.raises(FoldError):
        standing(two_pages(), angle)


def test_every_piece_of_a_finished_card_is_weighed():
    """Mats and ornaments are pieces of the cut list: area × grammage of each, none forgotten."""
    card = five_by_seven(
        layers=(Layer(on="back"), Layer(on="band 1"), Layer(on="message")),
        ornaments=(Ornament(on="tier 2", height="2 in", width="1 in"),),
    )
    assert masses(card) == {
        piece.name: mm(piece.width) * mm(piece.length) * piece.stock.grammage / 10**6
        for piece in cut_list(card)
    }
    assert len(masses(card)) == 9  # back, clear front, three tiers, three mats, one ornament


def test_a_front_too_narrow_for_a_strip_was_an_index_error():
    narrow = ClearFront(width="1/8 in")  # no wider than one reveal
    words = [str(one) for one in standing(five_by_seven(narrow), 30).helps]
    assert not any("strip" in one for one in words)


def test_how_it_stands_is_said_in_german():
    found = standing(five_by_seven(JoinedFront()), 100)
    german = as_language("de")
    assert "Sie steht fest." in found.said(german)
    assert "Das Rückfedern ist hier nicht mitgerechnet" in found.said(german)
    for one in found.helps:
        assert one.said(german) != str(one)
        assert f"{one.gain:.0f}°" in one.said(german)
