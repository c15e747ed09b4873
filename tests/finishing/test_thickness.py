"""The closed stack, against stacks counted by hand and against points put through the pose."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from popkit.card import (
    Card,
    CardError,
    ClearFront,
    CutStep,
    JoinedFront,
    Layer,
    OnePieceFront,
    Ornament,
    Tier,
)
from popkit.folding import pose
from popkit.lengths import from_mm, mm
from popkit.papers import Stock
from popkit.thickness import SPINE_FROM, spine_of, stretches, thickness
from tests.strategies import cards, finished_cards

BOARD = Stock(name="half board", grammage=Fraction(300), caliper="1/2 mm", sheet="A3")
SHEET = Stock(name="film", kind="plastic", grammage=Fraction(200), caliper="1/5 mm", sheet="A3")

# One tier, face 60, shelf 20, tabs 10 mm, on a card 100 mm high. Closed, from the fold: bottom tab
# 10-20, face 20-80, top tab 50-60 on the back, shelf 60-80. Counted by hand: 0-10 back and front,
# 10-20 one more, 20-50 face, 50-60 face and tab, 60-80 face and shelf, 80-100 back and front.
ONE = Card(
    width="100 mm",
    height="100 mm",
    tiers=(Tier(face="60 mm", depth="20 mm", top_tab="10 mm", bottom_tab="10 mm"),),
    front=OnePieceFront(),
    stock=BOARD,
)


def steps(card: Card) -> list[tuple]:
    return [(step.start_mm, step.stop_mm, step.thick_mm) for step in thickness(card).steps]


def test_a_stack_counted_by_hand():
    half = Fraction(1, 2)
    assert steps(ONE) == [
        (0, 10, 2 * half),
        (10, 20, 3 * half),
        (20, 50, 3 * half),
        (50, 60, 4 * half),
        (60, 80, 4 * half),
        (80, 100, 2 * half),
    ]
    profile = thickness(ONE)
    assert profile.greatest_mm == 2
    assert (profile.thickest.start_mm, profile.thickest.stop_mm) == (50, 60)
    assert profile.thickest.lies == ("back", "tier 1 face", "tier 1 top tab", "front")
    assert (profile.inner_mm, profile.uneven_mm) == (1, 1)
    assert profile.spine is None


def test_a_clear_front_lies_over_its_landing_and_stops_at_its_gap():
    card = replace(ONE, front=ClearFront(landing="20 mm", gap="5 mm", stock=SHEET))
    found = {end: thick for _, end, thick in steps(card)}
    assert found[5] == Fraction(1)  # back and landing
    assert found[10] == Fraction(1) + Fraction(1, 5)  # and the sheet
    assert found[100] == Fraction(1, 2) + Fraction(1, 5)


def test_a_joined_front_is_thicker_by_its_tab():
    card = replace(ONE, front=JoinedFront(joining_tab="8 mm"))
    assert thickness(card).at(Fraction(4)) == Fraction(3, 2)
    assert thickness(card).at(Fraction(9)) == Fraction(1)


def test_mats_lie_where_their_faces_come_to_lie():
    """A mat on the face, 3 mm in, closes to 20 + 3 and 20 + 57 mm; its pad counts in full."""
    flower = Ornament(on="tier 1", height="70 mm", width="10 mm", pad="2 mm", name="flower")
    card = replace(ONE, layers=(Layer(on="band 1", name="mat"),), ornaments=(flower,))
    profile = thickness(card)
    assert profile.at(Fraction(40)) == Fraction(3, 2) + Fraction(1, 2) + Fraction(1, 2) + 2
    assert profile.at(Fraction(78, 1)) == Fraction(4, 2) + Fraction(1, 2) + 2
    assert profile.at(Fraction(85)) == 1 + Fraction(1, 2) + 2
    assert profile.at(Fraction(95)) == 1
    assert "flower" in profile.thickest.lies


def test_outside_layers_thicken_the_card_and_not_what_the_fold_takes():
    card = replace(
        ONE, layers=(Layer(on="message", name="panel"), Layer(on="outside front", name="mat"))
    )
    assert thickness(card).greatest_mm == thickness(ONE).greatest_mm + 1
    assert thickness(card).inner_mm == thickness(ONE).inner_mm
    assert thickness(card).thickest.lies[0] == "panel"
    assert thickness(card).thickest.lies[-1] == "mat"


def test_a_cut_step_takes_the_place_of_what_it_is_cut_from():
    """Step 60 high, 20 deep: its slits leave the back from 60 mm up and the front from 20 mm out,
    and its shelf and face, 60-80 and 20-80, lie between; two sheets, and four where they meet.
    """
    card = replace(ONE, tiers=(CutStep(face="60 mm", depth="20 mm", width="50 mm"),))
    assert steps(card) == [(0, 20, 1), (20, 60, 1), (60, 80, 2), (80, 100, 1)]


@given(cards(cut_steps=True, stepped=True))
def test_cutting_steps_neither_adds_nor_takes_away_paper(card):
    paper = sum((one.stop_mm - one.start_mm) * (one.right_mm - one.left_mm) for one in stretches(card))
    assert paper == mm(card.width) * (mm(card.height) + card.front.length_in(card))


def test_a_thick_stack_asks_for_a_spine_as_wide_as_it_is():
    tiers = tuple(
        Tier(face=from_mm(60 - 10 * place), depth="10 mm", top_tab="10 mm", bottom_tab="10 mm")
        for place in range(3)
    )
    profile = thickness(replace(ONE, tiers=tiers))
    assert profile.inner_mm > SPINE_FROM
    assert mm(profile.spine) >= profile.inner_mm > mm(profile.spine) - 1
    assert "Score the fold twice" in profile.advice


def test_what_the_card_says_of_its_spine_goes_before_its_thickness():
    """ONE holds two sheets of 1/2 mm between back and front (counted above), so one score will do; on
    a ruler of 1 mm two scores for it are 1 mm apart. With sheets of 2 mm it holds 4 mm."""
    thick = replace(ONE, tier_stock=replace(BOARD, caliper="2 mm"))
    for card, apart, anyhow in ((ONE, None, 1), (thick, 4, 4)):
        found = spine_of(card)
        assert (found if found is None else mm(found)) == apart
        assert mm(spine_of(replace(card, spine="double"))) == anyhow
        assert spine_of(replace(card, spine="single")) is None
    with pytest.raises(CardError, match='write spine = "single" or spine = "double"'):
        replace(ONE, spine="triple")


@given(finished_cards(), st.data())
def test_no_stack_anywhere_is_thicker_than_the_profile_says(card, data):
    """Any column of paper, found by looking through every piece, is within the profile; and the
    profile is reached by one."""
    profile, found = thickness(card), stretches(card)
    top = max(one.stop_mm for one in found)
    parts = st.fractions(0, 1, max_denominator=97)
    for _ in range(5):
        at, side = data.draw(parts) * top, data.draw(parts) * mm(card.width)
        column = [
            one
            for one in found
            if one.start_mm <= at <= one.stop_mm and one.left_mm < side < one.right_mm
        ]
        edges = {end for one in found for end in (one.start_mm, one.stop_mm)}
        if at not in edges:
            assert sum(one.thick_mm for one in column) <= profile.at(at)
    worst = profile.thickest
    assert worst.thick_mm >= max(one.thick_mm for one in found)
    assert profile.steps[0].start_mm == 0
    for before, after in zip(profile.steps, profile.steps[1:], strict=False):
        assert before.stop_mm == after.start_mm
        assert (before.lies, before.inner_mm) != (after.lies, after.inner_mm)


@given(finished_cards())
def test_thickness_is_additive(card):
    """Every caliper doubled doubles the stack; a layer more is at most its caliper more."""

    def doubled(stock: Stock) -> Stock:
        return replace(stock, caliper=stock.caliper * 2)

    plain = replace(card, ornaments=(), layers=tuple(replace(one, stock=None) for one in card.layers))
    front = plain.front
    if isinstance(front, ClearFront):
        front = replace(front, stock=doubled(front.stock))
    twice = replace(plain, stock=doubled(plain.stock), tier_stock=doubled(plain.tier_stock), front=front)
    assert [2 * step.thick_mm for step in thickness(plain).steps] == [
        step.thick_mm for step in thickness(twice).steps
    ]
    more = replace(plain, layers=(*plain.layers, Layer(on="message", reveal="0 mm", name="one more")))
    added = mm(plain.stock.caliper)
    assert thickness(more).greatest_mm <= thickness(plain).greatest_mm + added
    assert thickness(more).least_mm >= thickness(plain).least_mm


@given(finished_cards(most=1))
def test_the_closed_places_are_those_of_the_pose(card):
    """Faces and shelves lie in the profile where `pose` puts them at 0 degrees."""
    closed = pose(card, 0)
    at = {one.name: one for one in stretches(card)}
    for number in range(1, len(card.tiers) + 1):
        attachment, edge, foot = (point[0] for point in closed[f"tier {number}"])
        face, shelf = at.get(f"tier {number} face"), at.get(f"tier {number} shelf")
        if shelf is not None:
            assert (float(shelf.start_mm), float(shelf.stop_mm)) == pytest.approx((attachment, edge))
        if face is not None:
            assert float(face.stop_mm) == pytest.approx(edge)
            assert float(face.start_mm) >= foot - 1e-9
