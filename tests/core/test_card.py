"""The card: derived sizes, the usual sizes, and every card that cannot exist refused in one go."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from popkit.card import (
    FRONTS,
    TIER_FORMS,
    Card,
    CardError,
    ClearFront,
    CutStep,
    JoinedFront,
    OnePieceFront,
    Tier,
    grid_for,
    stepped_tiers,
    usual,
)
from popkit.lengths import Grid, LengthError, Q, as_length, mm, parse_length
from popkit.papers import LIGHT_CARD, MEDIUM_CARD, SHEETS
from tests.strategies import cards, rulers

NO_SOURCE = "common practice, no source"


def strips(*faces: str, depth: str = "1/2 in") -> tuple[Tier, ...]:
    return tuple(Tier(face=face, depth=depth) for face in faces)


THREE = ("3 1/2 in", "3 in", "2 1/2 in")


def card(**changes: object) -> Card:
    """5 x 7 in, three strips; common practice, no source."""
    return Card(**({"width": "5 in", "height": "7 in", "tiers": strips(*THREE)} | changes))


def inches(*lengths: object) -> list[Fraction]:
    return [mm(length) * Fraction(5, 127) for length in lengths]


# Derived sizes -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "front", "feet", "flap", "bands", "source"),
    [
        # 5 x 7 with a clear front: the landing carries three half-inch tabs exactly
        (("5 in", "7 in"), ClearFront(), ("1/2", "1", "1 1/2"), "1 1/2", "3 1/2", NO_SOURCE),
        (("5 in", "7 in"), JoinedFront(), ("1/2", "1", "1 1/2"), "1/2", "3 1/2", NO_SOURCE),
        (("5 in", "7 in"), OnePieceFront(), ("1/2", "1", "1 1/2"), "7", "3 1/2", NO_SOURCE),
        # the same card made 6 x 6
        (("6 in", "6 in"), ClearFront(), ("1/2", "1", "1 1/2"), "1 1/2", "2 1/2", NO_SOURCE),
    ],
)
def test_sizes_that_follow_from_card_faces_and_shelves(size, front, feet, flap, bands, source):
    made = card(width=size[0], height=size[1], front=front)
    assert made.feet == tuple(parse_length(foot, "in") for foot in feet), source
    assert made.flap == parse_length(flap, "in"), source
    assert made.front_length == parse_length(size[1]), source
    # the back behind tier 1, then each face behind the next: 3 1/2 - 3 and 3 - 2 1/2
    assert made.bands == tuple(parse_length(band, "in") for band in (bands, "1/2", "1/2")), source


def test_the_mats_of_the_trade_fit_what_is_seen():
    """Mat above tier 1 4¾ x 3¼, message panel 4¾ x 6¾: common practice, no source; an eighth of
    reveal per side (stampingimperfection.com, inkspirationcards.com).
    """
    made, reveal = card(front=ClearFront()), 2 * parse_length("1/8 in")
    assert (made.width - reveal, made.bands[0] - reveal) == (
        Q(Fraction("4.75"), "inch"),
        Q(Fraction("3.25"), "inch"),
    )
    assert (made.width - reveal, made.height - reveal) == (
        Q(Fraction("4.75"), "inch"),
        Q(Fraction("6.75"), "inch"),
    )


def test_each_tier_is_a_little_narrower_than_the_card():
    """A thirty-second, or a millimetre, in from each side: common practice, no source."""
    assert inches(card().tier_width(1), card().tier_width(3)) == [Fraction("4.9375")] * 2
    metric = Card(width="105 mm", height="148 mm", tiers=(Tier(face="60 mm", depth="12 mm"),))
    assert mm(metric.tier_width(1)) == 103
    assert inches(card(side_inset="1/4 in").tier_width(2)) == [Fraction("4.5")]
    assert inches(card(tiers=(Tier(face="3 in", depth="1 in", width="2 in"),)).tier_width(1)) == [2]
    assert inches(card(side_inset="0 in").tier_width(1)) == [5]


def test_each_cut_step_is_set_in_from_what_it_is_cut_from():
    """Half an inch each side: common practice, no source. 5 - 1 = 4, 4 - 1 = 3."""
    steps = tuple(CutStep(face=face, depth="1/2 in") for face in ("3 in", "2 in"))
    made = card(tiers=(*steps, Tier(face="1 in", depth="1/2 in")))
    assert inches(*(made.tier_width(number) for number in (1, 2, 3))) == [4, 3, Fraction("4.9375")]
    wider = (CutStep(face="3 in", depth="1/2 in", width="4 1/2 in"), steps[1])
    assert inches(card(tiers=wider).tier_width(2)) == [Fraction("3.5")]


@pytest.mark.parametrize(
    ("height", "unit", "grid", "sheet", "inset"),
    [
        ("7 in", "inch", "1/16 in", "Letter", "1/32 in"),
        ("148 mm", "millimeter", "1 mm", "A4", "1 mm"),
        ("14.8 cm", "centimeter", "1 mm", "A4", "1 mm"),
        ("0.148 m", "meter", "1 mm", "A4", "1 mm"),
        ("1 ft", "foot", "1/16 in", "Letter", "1/32 in"),
    ],
)
def test_the_unit_of_the_height_is_the_cards(height, unit, grid, sheet, inset):
    made = card(height=height)
    assert made.unit == unit
    assert made.grid == Grid(grid)
    assert made.stock.sheet is SHEETS[sheet]
    assert made.stock.grammage == MEDIUM_CARD.grammage
    assert made.side_inset == parse_length(inset)
    assert made.tier_stock is made.stock
    assert {str(length.units) for length in (*made.feet, *made.bands, made.flap)} == {unit}


def test_a_tab_is_never_longer_than_what_hides_it():
    tier = Tier(face="1/4 in", depth="3/8 in")
    assert (tier.top_tab, tier.bottom_tab) == (parse_length("1/4 in"), parse_length("3/8 in"))
    tall = Tier(face="50 mm", depth="20 mm")
    assert (mm(tall.top_tab), mm(tall.bottom_tab)) == (12, 12)  # common practice, no source
    own = Tier(face="1/4 in", depth="3/8 in", top_tab="2 in", bottom_tab="3 in")  # bad craft, but a card
    assert inches(own.top_tab, own.bottom_tab) == [2, 3]


def test_text_lengths_and_names_are_all_taken():
    """Text and quantities alike, and stocks by name."""
    made = Card(
        width=Q(5, "inch"),
        height="7 in",
        tiers=[Tier(face=Q(Fraction(7, 2), "inch"), depth="0.5 in")],
        stock="light card",
        tier_stock=MEDIUM_CARD,
    )
    assert isinstance(made.tiers, tuple)
    assert made.stock is LIGHT_CARD
    assert made.tier_stock is MEDIUM_CARD
    assert type(made.width.magnitude) is Fraction


@given(cards())
def test_any_card_holds_exact_lengths_alone(made):
    lengths = [made.width, made.height, made.side_inset, made.flap, made.front_length]
    lengths += [*made.feet, *made.bands]
    lengths += [made.tier_width(number) for number in range(1, len(made.tiers) + 1)]
    for tier in made.tiers:
        lengths += [tier.face, tier.depth]
    assert all(type(length.magnitude) is Fraction for length in lengths)
    # X_i = d_1 + ... + d_i, in pint's own arithmetic
    total = Q(Fraction(0), "millimeter")
    for tier, foot in zip(made.tiers, made.feet, strict=True):
        total = total + tier.depth
        assert foot == total
    heights = [made.height, *(tier.face for tier in made.tiers)]
    assert made.bands == tuple(tall - low for tall, low in pairwise(heights))


# Cards that cannot exist ---------------------------------------------------------------------------


def faults_of(make: object, **fields: object) -> tuple[str, ...]:
    with pytest.raises(CardError) as caught:
        make(**fields)
    assert str(caught.value) == " ".join(caught.value.faults)
    return caught.value.faults


BAD_LENGTHS = ["0 in", "-1 in", "5,5 in", "5", "", "3 m", "wide", 5, 5.5, Q(5.5, "inch"), Q(5, "second")]


@pytest.mark.parametrize("bad", BAD_LENGTHS, ids=repr)
def test_every_size_must_be_a_length_above_nothing(bad):
    with pytest.raises(LengthError) as why:
        as_length(bad)
    said = str(why.value)
    good = {"face": "3 in", "depth": "1 in"}
    for field in ("face", "depth", "top_tab", "bottom_tab", "width"):
        assert faults_of(Tier, **(good | {field: bad})) == (f"Tier.{field} {said}",)
    for field in ("face", "depth", "width"):
        assert faults_of(CutStep, **(good | {field: bad})) == (f"CutStep.{field} {said}",)
    for field in ("length", "landing", "width"):
        assert faults_of(ClearFront, **{field: bad}) == (f"ClearFront.{field} {said}",)
    for field in ("length", "joining_tab", "width"):
        assert faults_of(JoinedFront, **{field: bad}) == (f"JoinedFront.{field} {said}",)
    assert faults_of(OnePieceFront, length=bad) == (f"OnePieceFront.length {said}",)
    for field in ("width", "height"):
        assert faults_of(card, **{field: bad}) == (f"Card.{field} {said}",)


def test_a_gap_and_an_inset_may_be_nothing_but_not_less():
    assert mm(ClearFront(gap="0 mm").gap) == 0
    assert mm(card(side_inset="0 mm").side_inset) == 0
    (fault,) = faults_of(ClearFront, gap="-1 mm")
    assert fault.startswith("ClearFront.gap “−1 mm”: is less than nothing. Write 0 or more")
    (fault,) = faults_of(card, side_inset="-1/8 in")
    assert fault.startswith("Card.side_inset “−⅛ in”: is less than nothing")


def test_every_fault_of_a_tier_is_told_at_once():
    faults = faults_of(Tier, face="0 in", depth="x", top_tab="1,5 in", bottom_tab=5, width="9 m")
    assert [fault.split()[0] for fault in faults] == [
        "Tier.face",
        "Tier.depth",
        "Tier.top_tab",
        "Tier.bottom_tab",
        "Tier.width",
    ]
    assert len(faults_of(CutStep, face=None, depth=None, width="0 in")) == 3
    assert faults_of(Tier, face=None, depth="1 in") == ("Tier.face is missing. Write a length.",)


def test_every_fault_of_a_front_is_told_at_once():
    faults = faults_of(ClearFront, length="0", landing="0 in", gap="-1 in", width="x", stock="vellum")
    assert len(faults) == 5
    assert "Stocks are" in faults[-1]


def test_every_fault_of_a_card_is_told_at_once():
    faults = faults_of(
        Card,
        width="0 in",
        height="7,5 in",
        side_inset="-1 mm",
        stock="vellum",
        tier_stock=7,
        tiers=(Tier(face="3 in", depth="1 in"), CutStep(face="2 in", depth="1 in"), "a tier"),
        front=ClearFront(),
    )
    words = [
        "Card.width",
        "Card.height",
        "Card.side_inset",
        "Card.stock",
        "Card.tier_stock",
        "Tier 3 is a str, not a tier.",
        "A cut step is cut across the fold, so back and front must be one piece.",
        "Tier 2 is a cut step, but tier 1 behind it is glued on.",
    ]
    assert len(faults) == len(words)
    assert all(fault.startswith(word) for fault, word in zip(faults, words, strict=True))


def test_a_card_has_a_tier():
    assert faults_of(card, tiers=()) == ("A tiered card needs at least one tier.",)


@pytest.mark.parametrize("tiers", [Tier(face="3 in", depth="1 in"), None, 3])
def test_a_tier_with_its_comma_forgotten_was_a_traceback(tiers):
    (fault,) = faults_of(card, tiers=tiers)
    assert fault == (
        f"Card.tiers is a {type(tiers).__name__}, not a row of tiers. Write (tier,) with its comma."
    )


@pytest.mark.parametrize("front", ["clear", None, ClearFront])
def test_a_front_is_a_front(front):
    (fault,) = faults_of(card, front=front)
    assert fault.startswith("The front is a ")


@pytest.mark.parametrize("front", [ClearFront(), JoinedFront()])
def test_a_cut_step_needs_one_piece(front):
    (fault,) = faults_of(card, tiers=(CutStep(face="3 in", depth="1 in"),), front=front)
    assert "back and front must be one piece" in fault


def test_insets_that_leave_nothing_are_told_for_each_tier():
    faults = faults_of(card, tiers=strips(*THREE), side_inset="2 1/2 in")
    assert faults == tuple(f"The side insets leave no width for tier {number}." for number in (1, 2, 3))
    # 2.5 in from each side of 5 in leaves nothing; a hair less leaves a hair
    assert inches(card(side_inset="2.499 in").tier_width(1)) == [Fraction("0.002")]
    steps = tuple(CutStep(face=f"{face} in", depth="1/4 in") for face in (3, 2, 1))
    assert faults_of(card, width="3 in", tiers=steps) == ("The step insets leave no width for tier 3.",)


def test_slits_stay_on_the_blank():
    """A first step as tall as the back, a foot as far out as the front is long: one short of it can."""
    for face, exists in (("6.99 in", True), ("7 in", False), ("8 in", False)):
        step = (CutStep(face=face, depth="1 in"),)
        if exists:
            assert card(tiers=step).tiers == step
        else:
            assert faults_of(card, tiers=step) == (
                "Tier 1's slits run off the top of the back: lower its face.",
            )
    for depth, exists in (("6.99 in", True), ("7 in", False)):
        step = (CutStep(face="1 in", depth=depth),)
        if exists:
            assert card(tiers=step).tiers == step
        else:
            assert faults_of(card, tiers=step) == (
                "Tier 1's slits run off the front: make its shelf shallower.",
            )
    # the second hangs from the foot of the first, an inch further down: 7 + 1 > 7.5
    steps = (CutStep(face="5 in", depth="1 in"), CutStep(face="7 1/2 in", depth="1 in"))
    assert card(tiers=steps).tiers == steps


def test_a_card_does_not_change():
    made = card()
    for owner, field in ((made, "width"), (made.tiers[0], "face"), (made.front, "length")):
        with pytest.raises(AttributeError):
            setattr(owner, field, "1 in")
    with pytest.raises(TypeError):
        Tier("3 in", "1 in")


def test_every_form_has_its_name():
    assert {"clear": ClearFront, "joined": JoinedFront, "one-piece": OnePieceFront} == FRONTS
    assert {"glued strip": Tier, "cut step": CutStep} == TIER_FORMS


@pytest.mark.parametrize(
    ("what", "inch", "metric"),
    [
        ("tab", "1/2 in", "12 mm"),
        ("least tab", "3/8 in", "10 mm"),
        ("gap", "1/8 in", "3 mm"),
        ("mark", "1/16 in", "1 mm"),
    ],
)
def test_the_usual_sizes_of_the_trade(what, inch, metric):
    """common practice, no source; glue tab 3/8 to 1/2 in (10 to 12 mm)."""
    for unit in ("inch", "foot"):
        assert usual(what, unit) == parse_length(inch)
    for unit in ("millimeter", "centimeter", "meter"):
        assert usual(what, unit) == parse_length(metric)
    assert (grid_for("inch"), grid_for("millimeter")) == (Grid("1/16 in"), Grid("1 mm"))


# Proposed tiers --------------------------------------------------------------------------------------


def test_the_tiers_proposed_for_seven_inches_are_those_of_the_trade():
    """Faces 3½, 3, 2½ on half-inch shelves: common practice, no source."""
    proposed = stepped_tiers("7 in", 3)
    assert [inches(tier.face, tier.depth) for tier in proposed] == [
        [Fraction(7, 2), Fraction(1, 2)],
        [3, Fraction(1, 2)],
        [Fraction(5, 2), Fraction(1, 2)],
    ]


@given(
    st.integers(60, 330),
    st.integers(1, 8),
    st.sampled_from(["1/16 in", "1/8 in", "1 mm", "0.5 mm"]),
    st.sampled_from([Tier, CutStep]),
)
def test_tiers_are_proposed_for_a_card_of_any_height(height, count, ruler, form):
    grid = Grid(ruler)
    proposed = stepped_tiers(Q(height, "millimeter"), count, grid=grid, form=form)
    assert [type(tier) for tier in proposed] == [form] * count
    faces = [mm(tier.face) for tier in proposed]
    depths = [mm(tier.depth) for tier in proposed]
    assert all(grid.holds(length) for tier in proposed for length in (tier.face, tier.depth))
    assert len({tall - low for tall, low in pairwise(faces)}) <= 1  # equal bands
    assert all(tall > low for tall, low in pairwise(faces))
    assert len(set(depths)) == 1
    foot = Fraction(0)
    for face, depth in zip(faces, depths, strict=True):
        foot += depth
        assert foot + face <= height
    assert faces[0] <= Fraction(height, 2) < faces[0] + mm(grid.step)
    if form is Tier:
        Card(width="100 mm", height=Q(height, "millimeter"), tiers=proposed)


@given(st.integers(60, 330), st.integers(1, 8), rulers())
def test_tiers_are_refused_only_where_half_the_card_has_too_few_marks(height, count, grid):
    """Each face, and one more, needs a mark below half the card. A tall half-inch mark was refused
    where a fourteenth of the card is less than half of it.
    """
    tall = Q(height, "millimeter")
    if Fraction(height, 2) // mm(grid.step) < count + 1:
        tiers = "1 tier" if count == 1 else f"{count} tiers"
        with pytest.raises(CardError, match=f"is too low for {tiers} on a ruler of {grid}"):
            stepped_tiers(tall, count, grid=grid)
    else:
        for tier in stepped_tiers(tall, count, grid=grid):
            assert grid.holds(tier.face)
            assert grid.holds(tier.depth)


@pytest.mark.parametrize("count", [0, 9, -1, 2.0, "3", None, True])
def test_one_to_eight_tiers(count):
    with pytest.raises(CardError, match="a card carries 1 to 8"):
        stepped_tiers("7 in", count)


def test_a_card_too_low_for_its_tiers_is_told():
    with pytest.raises(CardError, match="½ in is too low for 8 tiers on a ruler of 1⁄16 in"):
        stepped_tiers("1/2 in", 8)
    with pytest.raises(LengthError, match="comma"):
        stepped_tiers("7,5 in", 3)
