"""Mats and strips: their sizes against the trade's, and what must hold on any card."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import box

from popkit.areas import areas, glue_areas, placed_layers
from popkit.card import Card, CardError, ClearFront, CutStep, Layer, OnePieceFront, Tier, usual
from popkit.checks import RULES, check, mended
from popkit.findings import Bench
from popkit.finishing import LAYER_RULES, ORNAMENT_RULES
from popkit.folding import pose
from popkit.lengths import mm, parse_length
from popkit.pieces import cut_list
from tests.strategies import cards, finished_cards

FIVE_BY_SEVEN = Card(
    width="5 in",
    height="7 in",
    tiers=(Tier(face="3 1/2 in", depth="1/2 in"), Tier(face="3 in", depth="1/2 in")),
    front=ClearFront(),
)
A2 = Card(width="4 1/4 in", height="5 1/2 in", tiers=(Tier(face="2 in", depth="1/2 in"),))


def piece(card: Card, name: str) -> object:
    return next(one for one in cut_list(card) if one.name == name)


@pytest.mark.parametrize(
    ("card", "layers", "name", "width", "length", "source"),
    [
        (FIVE_BY_SEVEN, [Layer(on="back")], "mat for the back", "4 3/4 in", "3 1/4 in",
         "common practice, no source: the mat above a 3½ in face of a 5 x 7 card"),
        (FIVE_BY_SEVEN, [Layer(on="outside front")], "mat for the outside front", "4 3/4 in", "6 3/4 in",
         "common practice, no source: the mat on the outside of a 5 x 7 card"),
        (FIVE_BY_SEVEN, [Layer(on="front", name="greeting mat", width="4 3/4 in", length="1 in"),
                         Layer(on="greeting mat", name="greeting", width="4 1/2 in", length="7/8 in")],
         "greeting", "4 1/2 in", "7/8 in", "common practice, no source: a greeting on its 4¾ x 1 mat"),
        (A2, [Layer(on="message")], "mat for the message", "4 in", "5 1/4 in",
         "stampingimperfection.com: 1/8 in border on all sides, 4¼ x 5½ -> 4 x 5¼"),
        (A2, [Layer(on="message"), Layer(on="mat for the message")], "mat for the message (2)",
         "3 3/4 in", "5 in", "stampingimperfection.com: ... -> 3¾ x 5"),
        # A size chart's "1/8 mat" is 1/8 in smaller in all, so its reveal is 1/16 in on each side.
        (A2, [Layer(on="message", reveal="1/16 in")], "mat for the message", "4 1/8 in", "5 3/8 in",
         "maymaymadeit.com card size chart: A2 with a 1/8 mat -> 4⅛ x 5⅜"),
    ],
)  # fmt: skip
def test_a_mat_has_the_published_size(card, layers, name, width, length, source):
    cut = piece(replace(card, layers=tuple(layers)), name)
    assert (cut.width, cut.length) == (parse_length(width), parse_length(length))
    assert (cut.grain, cut.scores, cut.count) == (None, (), 1)


def test_a_metric_mat_leaves_three_millimetres():
    """cursa.app: a reveal of 1/8 in or 3 mm."""
    card = Card(width="105 mm", height="148 mm", tiers=(Tier(face="74 mm", depth="12 mm"),))
    cut = piece(replace(card, layers=(Layer(on="back"),)), "mat for the back")
    assert (mm(cut.width), mm(cut.length)) == (105 - 6, 148 - 74 - 6)


def test_every_piece_has_a_name_of_its_own_and_layers_come_in_their_order():
    layers = (Layer(on="back"), Layer(on="band 1"), Layer(on="mat for the back"), Layer(on="back"))
    names = [one.name for one in cut_list(replace(FIVE_BY_SEVEN, layers=layers))]
    assert names[4:] == [
        "mat for the back",
        "mat for band 1",
        "mat for the back (2)",
        "mat for the back (3)",
    ]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(
    ("layers", "fault"),
    [
        ([Layer(on="shelf 1")], "Layer 1 lies on “shelf 1”"),
        ([Layer(on="tier 3")], "Layer 1 lies on “tier 3”"),
        ([Layer(on="mat"), Layer(on="back", name="mat")], "Layer 1 lies on “mat”"),
        ([Layer(on="back", name="clear front")], "Layer 1's name “clear front” is taken"),
        ([Layer(on="back", name="x"), Layer(on="back", name="x")], "Layer 2's name “x” is taken"),
        (["back"], "Layer 1 is a str"),
        ("back", "Card.layers is a str"),
    ],
)
def test_a_layer_that_cannot_be_is_refused(layers, fault):
    with pytest.raises(CardError) as caught:
        replace(FIVE_BY_SEVEN, layers=layers)
    assert fault in str(caught.value)
    assert len(caught.value.faults) == 1


def test_a_layer_without_any_size_stops_the_cut_list_but_not_the_check():
    card = replace(FIVE_BY_SEVEN, layers=(Layer(on="band 1", reveal="1/4 in"),))
    with pytest.raises(CardError, match="no size"):
        cut_list(card)
    assert [found.rule for found in check(card)] == ["layer-gone"]


@given(cards())
def test_the_bands_and_the_back_are_what_shows_when_one_looks_at_the_standing_card(card):
    """Seen square on at 90 degrees: the heights of the pose, each strip hiding what is behind."""
    posed = pose(card, 90)
    tops = [posed[f"tier {number}"][1][1] for number in range(1, len(card.tiers) + 1)]
    assume(all(low < high for high, low in pairwise(tops)))
    seen = {area.name: area for area in areas(card)}
    for number, top in enumerate(tops, 1):
        low = tops[number] if number < len(tops) else 0.0
        assert float(seen[f"band {number}"].length_mm) == pytest.approx(top - low, abs=1e-6)
    if tops[0] < float(mm(card.height)) - 1e-6:
        assert float(seen["back"].length_mm) == pytest.approx(posed["back"][1][1] - tops[0], abs=1e-6)


@given(cards(), st.data())
def test_a_mat_and_its_reveals_make_its_area(card, data):
    area = data.draw(st.sampled_from(areas(card)))
    nested = data.draw(st.integers(1, 3))
    layers = [Layer(on=area.name, name="mat 1")]
    layers += [Layer(on=f"mat {one}", name=f"mat {one + 1}") for one in range(1, nested)]
    reveal = mm(usual("reveal", card.unit))
    for number, mat in enumerate(placed_layers(replace(card, layers=tuple(layers))), 1):
        assert mat.width_mm + 2 * number * reveal == area.width_mm
        assert mat.length_mm + 2 * number * reveal == area.length_mm
        assert mat.left_mm - number * reveal == area.left_mm
        assert mat.start_mm - number * reveal == area.start_mm


@given(cards(stepped=True, hidden=True), st.data())
def test_a_mat_on_what_shows_has_no_findings_of_its_own(card, data):
    """Unless tabs stick out into sight, which is a finding already, or there is too little of it."""
    area = data.draw(st.sampled_from([one for one in areas(card) if not one.name.startswith("tier")]))
    bench = Bench(card, card.grid)
    assume(not any(found for rule in ("tab-long", "width") for found in RULES[rule](bench)))
    after = spoken(replace(card, layers=(Layer(on=area.name, name="mat"),)))
    assert {one.rule for one in after} <= {"layer-gone"}


@given(finished_cards())
def test_glue_is_found_wherever_rectangles_meet(card):
    """The overlaps that `check` speaks of, by a general-purpose geometry library."""

    def flat(one):
        return box(*(float(at) for at in (one.left_mm, one.start_mm, one.right_mm, one.stop_mm)))

    names = {layer.name for layer in card.layers}
    found = {one.where for one in spoken(card, ("layer-glue",))}
    worse = {one.where for one in spoken(card, ("layer-edge", "layer-fold"))}
    for layer in placed_layers(card):
        if not layer.is_there or layer.source.on in names:
            continue
        meets = any(
            flat(layer).intersection(flat(tab)).area > 1e-6
            for tab in glue_areas(card)
            if (tab.part, tab.side) == (layer.part, layer.side)
        )
        assert (layer.name in found) == (meets and layer.name not in worse)


def spoken(card: Card, rules: tuple[str, ...] = (*LAYER_RULES, *ORNAMENT_RULES)) -> list:
    """What the rules of finishing alone say."""
    bench = Bench(card, card.grid)
    return [found for rule in rules for found in RULES[rule](bench)]


@given(finished_cards(most=3), st.data())
def test_a_remedy_clears_its_finding(card, data):
    findings = spoken(card)
    assume(findings)
    finding = data.draw(st.sampled_from(findings))

    def count(one: Card) -> int:
        return sum(found.where == finding.where for found in spoken(one, (finding.rule,)))

    after = mended(card, finding)
    assert count(after) < count(card), finding

    def stops(one: Card) -> set[str]:
        return {
            found.rule
            for found in spoken(one)
            if found.severity == "stop" and found.where == finding.where
        }

    assert stops(after) <= stops(card), finding


def test_a_narrower_reveal_does_not_lay_a_mat_across_the_slits_of_the_next_step():
    """Face 30 x 5 mm, slit for a step 10 mm wide and 3 mm high: 2 mm of it can be covered."""
    steps = (
        CutStep(face="5 mm", depth="20 mm", width="30 mm"),
        CutStep(face="3 mm", depth="20 mm", width="10 mm"),
    )
    card = Card(width="100 mm", height="100 mm", tiers=steps, layers=(Layer(on="tier 1"),))
    (gone,) = spoken(card, ("layer-gone",))
    after = mended(card, gone)
    assert [found for found in spoken(after) if found.severity == "stop"] == []
    assert all(layer.length_mm <= 2 for layer in placed_layers(after))


@pytest.mark.parametrize("below", ["back", "a"])
def test_three_mats_over_each_other_are_laid_one_on_another_in_one_go(below):
    """Laid on “a”, “c” would come to lie over “b” where that lies on “a” too."""
    tiers = (Tier(face="3 1/2 in", depth="1/2 in"), Tier(face="3 in", depth="1/2 in"))
    mats = (Layer(on="back", name="a"), Layer(on=below, name="b"), Layer(on="back", name="c"))
    card = Card(width="5 in", height="7 in", tiers=tiers, front=ClearFront(), layers=mats)
    for finding in check(card):
        if finding.rule == "layers-meet":
            had = {(one.rule, one.where) for one in check(card)} - {(finding.rule, finding.where)}
            assert {(one.rule, one.where) for one in check(mended(card, finding))} <= had
    while found := [one for one in check(card) if one.rule == "layers-meet"]:
        card = mended(card, found[0])
    assert [layer.on for layer in card.layers] == ["back", "a", "b"]


def test_what_lies_on_the_clear_sheet_says_so():
    layers = (Layer(on="front", name="on it"), Layer(on="back", name="off it"))
    clear = placed_layers(replace(FIVE_BY_SEVEN, layers=layers))
    assert [one.on_plastic for one in clear] == [True, False]
    solid = replace(FIVE_BY_SEVEN, front=OnePieceFront(), layers=layers)
    assert [one.on_plastic for one in placed_layers(solid)] == [False, False]
