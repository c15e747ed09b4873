"""Ornaments: how high, where else, and that what is allowed hides and touches nothing."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from popkit.areas import placed_ornaments
from popkit.assembly import assembly_steps
from popkit.card import Card, CardError, ClearFront, CutStep, Ornament, Tier
from popkit.checks import check, mended
from popkit.findings import Bench
from popkit.finishing import ORNAMENT_RULES
from popkit.folding import pose, tallest_ornament
from popkit.lengths import from_mm, mm, parse_length
from popkit.ornaments import ornament_places, places_for, swing
from popkit.pieces import cut_list
from tests.strategies import cards, finished_cards

# Feet at ½, 1 and 1½ in on a 7 in card: 7, 6½, 6 and 5½ in hide (X + h <= H, Smith College 2005).
CARD = Card(
    width="5 in",
    height="7 in",
    tiers=tuple(Tier(face=face, depth="1/2 in") for face in ("3 1/2 in", "2 3/4 in", "2 in")),
    front=ClearFront(),
)
INCH = Fraction(127, 5)


def lengths(*texts: str) -> list:
    return [parse_length(text) for text in texts]


def test_each_place_says_how_high_what_shows_and_how_deep():
    places = ornament_places(CARD)
    assert [place.on for place in places] == ["back", "tier 1", "tier 2", "tier 3"]
    assert [place.tallest for place in places] == lengths("7 in", "6 1/2 in", "6 in", "5 1/2 in")
    assert [place.behind for place in places[:3]] == lengths("3 1/2 in", "2 3/4 in", "2 in")
    assert [place.shows for place in places] == lengths("3 1/2 in", "3 3/4 in", "4 in", "5 1/2 in")
    assert [place.before for place in places] == [*lengths("1/2 in", "1/2 in", "1/2 in"), None]
    assert tuple(place.tallest for place in places[1:]) == tallest_ornament(CARD)


def test_a_flower_is_told_where_it_can_go_and_what_would_have_to_change():
    fits = places_for(CARD, "6 1/4 in")
    assert [fit.fits for fit in fits] == [True, True, False, False]
    assert [fit.spare for fit in fits[:2]] == lengths("3/4 in", "1/4 in")
    tier_3 = fits[3]
    assert str(tier_3).startswith(
        "Tier 3: too tall by ¾ in. To fit, make the card taller by ¾ in, to 7¾ in"
    )
    # The shelves, 1½ in in all, would have to give ¾ in: ¼ in each, under the ⅜ in of a tab that
    # holds. So that change is not offered.
    assert len(tier_3.changes) == 1


def test_shallower_shelves_are_offered_where_they_still_hold_their_tabs():
    fit = next(fit for fit in places_for(CARD, "5 3/4 in") if fit.on == "tier 3")
    taller, shallower = fit.changes
    changed = shallower.apply(CARD)
    assert mm(changed.height) == mm(CARD.height)
    assert sum(mm(tier.depth) for tier in changed.tiers) == mm(parse_length("1 1/4 in"))
    assert all(mm(tier.depth) >= mm(parse_length("3/8 in")) for tier in changed.tiers)
    assert all(mm(tier.bottom_tab) <= mm(tier.depth) for tier in changed.tiers)
    assert mm(taller.apply(CARD).height) == mm(parse_length("7 1/4 in"))


def test_a_taller_card_that_no_longer_comes_out_of_its_sheet_says_so():
    """A4 is 210 x 297 mm (ISO 216): a blank of 100 x 230 mm comes out across the grain, which was a
    caution already, and one of 100 x 310 mm not at all.
    """
    low = Card(width="100 mm", height="115 mm", tiers=(Tier(face="50 mm", depth="15 mm"),))
    on_tier = next(fit for fit in places_for(low, "140 mm") if fit.on == "tier 1")
    assert any("But then" in change.text and "sheet" in change.text for change in on_tier.changes)


def test_an_ornament_moved_in_from_the_side_does_not_come_to_stand_in_a_shelf():
    """Beside the narrow tier 2 a padded flower hangs 1 in past the card's side; moved in, it would lie
    over that tier's shelf.
    """
    tiers = (CARD.tiers[0], replace(CARD.tiers[1], width=parse_length("4 in")), CARD.tiers[2])
    flower = Ornament(
        on="tier 1", height="3 1/4 in", width="1 in", along="4 15/16 in", pad="1/8 in", name="flower"
    )
    card = replace(CARD, tiers=tiers, ornaments=(flower,))
    (side,) = (one for one in check(card) if one.rule == "ornament-side")
    after = mended(card, side)
    assert [one.rule for one in check(after) if one.where == "flower" and one.severity == "stop"] == []
    assert "above the shelf" in str(side.remedy)


@given(cards(hidden=True), st.integers(1, 400))
def test_every_change_that_is_offered_lets_the_ornament_stand_there(card, tall):
    for fit in places_for(card, from_mm(Fraction(tall))):
        limit = min(mm(card.height), card.front.length_in(card))
        foot = 0 if fit.on == "back" else card.feet_mm[int(fit.on[5:]) - 1]
        assert fit.fits == (foot + tall <= limit)
        assert bool(fit.changes) != fit.fits
        for change in fit.changes:
            again = places_for(change.apply(card), from_mm(Fraction(tall)))
            assert next(one for one in again if one.on == fit.on).fits


def test_an_ornament_is_a_piece_of_its_stock():
    kite = Ornament(on="tier 2", height="3 in", width="1 in", grams=2.5)
    card = replace(CARD, ornaments=(kite, kite))
    first, second = cut_list(card)[-2:]
    assert (first.name, second.name) == ("ornament on tier 2", "ornament on tier 2 (2)")
    assert (first.width, first.length) == tuple(lengths("1 in", "3 in"))
    assert (first.stock, first.grain) == (card.tier_stock, None)
    assert card.ornaments[0].grams == Fraction(5, 2)


@pytest.mark.parametrize("grams", [0, -1, float("nan"), float("inf"), "2 g", True])
def test_a_weight_that_is_none_is_refused(grams):
    with pytest.raises(CardError, match="is no weight"):
        Ornament(on="back", height="1 in", width="1 in", grams=grams)


def test_a_pad_makes_an_ornament_touch_only_all_but_closed():
    """A pad of p under a shelf of depth d meets the next face at sin t = p / d: from memory of any
    right triangle, and half of d is 30 degrees."""
    thin = replace(CARD.stock, caliper="1/100000 in")
    kite = Ornament(
        on="tier 1", height="1 in", width="1 in", up="3 3/4 in", pad="1/4 in", stock=thin, name="kite"
    )
    low, high = swing(replace(CARD, ornaments=(kite,)), "kite")
    assert low == pytest.approx(30, abs=0.01)
    assert high == pytest.approx(150, abs=0.01)


def with_kite(**kite: object) -> Card:
    """5 x 7 in, three tiers whose shelves are 1/2 in deep; their faces 3 1/2, 3 and 2 1/2 in."""
    tiers = tuple(Tier(face=face, depth="1/2 in") for face in ("3 1/2 in", "3 in", "2 1/2 in"))
    card = Card(width="5 in", height="7 in", tiers=tiers, front=ClearFront(), spine="single")
    return replace(card, ornaments=(Ornament(name="kite", **kite),))


@pytest.mark.parametrize(("pad", "spoken"), [("7/16 in", True), ("5/16 in", True), ("3/16 in", False)])
def test_a_thick_pad_keeps_a_card_from_closing_flat_and_that_is_said(pad, spoken):
    """A pad over half of the 1/2 in to the next face. The kite starts right at the shelf, which leaves
    its face at 0 degrees and stands square to it at 90: from there down it presses on the foam."""
    card = with_kite(on="tier 1", height="2 in", width="2 in", up="3 in", pad=pad)
    found = [one for one in check(card) if one.severity in ("stop", "caution")]
    last = assembly_steps(card)[-1]
    assert "Open it flat, then close it." in last.text
    assert ("do not force it flat" in last.text) is spoken
    if not spoken:
        assert found == []
        return
    (caution,) = found
    assert (caution.rule, caution.severity, caution.where) == ("ornament-pad", "caution", "kite")
    assert "from 90° down to 0°" in caution.message
    assert "a thinner pad" in caution.remedy.text
    assert "glue it on flat" in caution.remedy.text
    assert check(mended(card, caution)) == ()


@pytest.mark.parametrize("angle", [91, 100, 116, 130, 150, 170, 179])
def test_a_thick_pad_above_the_shelf_does_not_keep_a_card_from_opening_flat(angle):
    card = with_kite(on="tier 1", height="2 in", width="2 in", up="3 in", pad="7/16 in")
    (kite,) = placed_ornaments(card)
    posed = pose(card, angle)
    line = standing(card, kite, angle)
    assert all(line.distance(LineString(posed[f"tier {number}"])) > 0.1 for number in (2, 3))


def test_an_ornament_too_high_is_stood_where_no_shelf_cuts_it():
    """On tier 2 of a 7 in card, 1 in out, 6 in hide. Starting 6 1/2 in up nothing of it would; on its
    foot 4 in do without being lowered. On a pad it has to start above the shelf of tier 3, 2 1/2 in
    up, which leaves 3 1/2 in."""
    card = with_kite(on="tier 2", height="4 in", width="1 in", up="6 1/2 in")
    (high,) = check(card)
    assert str(high.remedy) == "Stand “kite” on the foot of its face."
    assert check(mended(card, high)) == ()
    card = with_kite(on="tier 2", height="4 in", width="1 in", up="6 1/2 in", pad="1/8 in")
    (high,) = check(card)
    assert high.rule == "ornament-high"
    after = mended(card, high)
    assert check(after) == ()
    (kite,) = after.ornaments
    assert (mm(kite.up), mm(kite.height)) == (Fraction(5, 2) * INCH, Fraction(7, 2) * INCH)
    assert "0 in," not in high.remedy.text


# The law, against shapely and the pose ---------------------------------------------------------


def standing(card: Card, one, angle: float) -> LineString:
    """The ornament in the side view: from the pose of its face, a pad's thickness out from it."""
    posed = pose(card, angle)
    foot = np.zeros(2) if one.part == "back" else posed[one.part][2]
    up = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    out = np.array([up[1], -up[0]]) * float(one.out_mm)
    return LineString([foot + out + up * float(end) for end in (one.start_mm, one.stop_mm)])


def beside(card: Card, number: int, one) -> bool:
    """Whether a tier and an ornament have no line of sight in common, across the card."""
    width = card.tiers[number - 1].width_in(card, number - 1)
    left = (mm(card.width) - width) / 2
    return one.right_mm <= left or one.left_mm >= left + width


@given(finished_cards(hidden=True, stepped=True, most=3), st.data())
def test_an_ornament_allowed_is_hidden_at_0_and_touches_nothing_from_0_to_180(card, data):
    for _ in range(12):  # what is not allowed is mended until it is, or left out
        bench = Bench(card, card.grid)
        wrong = [found for rule in ORNAMENT_RULES.values() for found in rule(bench)]
        if not wrong:
            break
        card = mended(card, wrong[0])
    share = data.draw(st.floats(0.001, 0.999))
    refused = {found.where for found in wrong}
    for one in placed_ornaments(card):
        if one.name not in refused:
            hides_and_touches_nothing(card, one, share)


def hides_and_touches_nothing(card: Card, one, share: float) -> None:
    """One ornament closed, and `share` of the way through the openings it is to be clear at."""
    closed = standing(card, one, 0)
    limit = float(min(mm(card.height), card.front.length_in(card)))
    assert closed.bounds[2] <= limit + 1e-9
    assert one.left_mm >= 0
    assert one.right_mm <= mm(card.width)
    low, high = swing(card, one)
    angle = low + (high - low) * share
    line, posed = standing(card, one, angle), pose(card, angle)
    own = 0 if one.part == "back" else int(one.part[5:])
    for number in range(own + 1, len(card.tiers) + 1):
        if beside(card, number, one):
            continue
        strip = LineString(posed[f"tier {number}"])
        near = line.distance(strip)
        if number == own + 1 and one.out_mm == 0:
            # Glued flat it may lie under the next top tab: they meet there, at the attachment.
            joint = Point(posed[f"tier {number}"][0])
            assert near > 1e-9 or line.intersection(strip).difference(joint.buffer(1e-6)).is_empty
            assert not isinstance(card.tiers[number - 1], CutStep) or near > 1e-9 or (
                float(one.start_mm) >= float(mm(card.tiers[number - 1].face)) - 1e-9
            )  # fmt: skip
        else:
            assert near > 1e-9, (angle, number)


@given(finished_cards(hidden=True, most=3))
def test_an_ornament_that_shows_is_always_found(card):
    limit = float(min(mm(card.height), card.front.length_in(card)))
    found = {one.where for one in check(card) if one.rule == "ornament-high"}
    for one in placed_ornaments(card):
        past = standing(card, one, 0).bounds[2] - limit
        if abs(past) > 1e-6:
            assert (one.name in found) == (past > 0)
