"""Layers and ornaments on another ruler and at another size: they follow, they stay allowed.

What must hold is read off the finished cards with pint's own arithmetic and the shear map; the
example's numbers are worked out by hand from 1 in = 25.4 mm.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import popkit as pk
from popkit.areas import placed_layers
from popkit.card import Layer, Ornament
from popkit.checks import MECHANISM_RULES, RULES, check
from popkit.converting import converted_card
from popkit.lengths import mm
from popkit.ornaments import ornament_places
from popkit.recipe import load_recipe
from popkit.regridding import regrid
from popkit.resizing import CARD_SIZES, largest_from_sheet, resize, scaled
from tests.regrid.samples import RULERS
from tests.strategies import cards, finished

REGATTA = Path(__file__).parents[2] / "notebooks" / "recipes" / "regatta.toml"


@pytest.fixture(scope="module")
def regatta() -> pk.Card:
    return load_recipe(REGATTA).card


def size(card: pk.Card, name: str) -> tuple:
    piece = next(one for one in pk.cut_list(card) if one.name == name)
    return mm(piece.width), mm(piece.length)


def stops(card: pk.Card) -> set[tuple[str, str]]:
    return {(one.rule, one.where) for one in check(card) if one.severity == "stop"}


def test_own_sizes_go_to_the_nearest_mark_and_mats_follow_their_areas(regatta):
    done = regrid(regatta, "1 mm")
    # 4¾ × 1 in = 120.65 × 25.4 mm, 4½ × ⅞ in = 114.3 × 22.225 mm, 1½ × 2½ in = 38.1 × 63.5 mm
    # (a tie, to the even mark: NIST SP 811, B.7.1)
    assert size(done.card, "greeting mat") == (121, 25)
    assert size(done.card, "greeting") == (114, 22)
    assert size(done.card, "tall sail") == (38, 64)
    # A reveal of 1/8 in is the usual one, and the usual one of a millimetre ruler is 3 mm.
    wide, low = mm(done.card.width), mm(done.card.height) - mm(done.card.tiers[0].face)
    assert size(done.card, "sky") == (wide - 6, low - 6)
    assert done.card.layers[0].reveal is None
    # Half a millimetre less than a bought 1/16 in would do nobody any good.
    assert done.card.ornaments[1].pad == regatta.ornaments[1].pad


def test_every_move_is_listed_and_says_how_far(regatta):
    done = regrid(regatta, "1 mm")
    moved = {(move.piece, move.mark): move for move in done.moves}
    for side, card in (("exact", regatta), ("rounded", done.card)):
        for piece in pk.cut_list(card):
            assert mm(getattr(moved[piece.name, "width"], side)) == mm(piece.width)
            assert mm(getattr(moved[piece.name, "length"], side)) == mm(piece.length)
    assert mm(moved["greeting mat", "lower edge"].rounded) == 98  # 3⅞ in = 98.425 mm
    assert mm(moved["sky", "reveal"].rounded) == 3
    assert all(mm(one.rounded) - mm(one.exact) == mm(one.shift) for one in done.moves)
    assert set(done.moves) == {*done.mechanism, *done.finishing}
    assert {one.piece for one in done.finishing} == {
        one.name for one in (*regatta.layers, *regatta.ornaments)
    }


@pytest.mark.parametrize("ruler", RULERS)
def test_what_is_put_on_a_card_does_not_sway_its_mechanism(regatta, ruler):
    plain = replace(regatta, layers=(), ornaments=())
    done, bare = regrid(regatta, ruler), regrid(plain, ruler)
    assert replace(done.card, layers=(), ornaments=()) == bare.card
    assert (done.mechanism, done.worst, done.bound) == (bare.moves, bare.worst, bare.bound)
    assert done.proved == bare.proved
    assert stops(done.card) <= stops(regatta)


def test_a_finished_card_already_on_the_ruler_comes_back_as_it_is(regatta):
    again = regrid(regatta, "1/16 in")
    assert again.card == regatta
    assert {mm(move.shift) for move in again.moves} == {0}
    assert again.notes == ()


def test_an_ornament_as_tall_as_may_be_stays_hidden(regatta):
    """Each exactly as high as hides, which rounding up would show."""
    ornaments = tuple(
        Ornament(on=place.on, height=place.tallest, width="1 in") for place in ornament_places(regatta)
    )
    card = replace(regatta, layers=(), ornaments=ornaments)
    for ruler in RULERS:
        done = regrid(card, ruler).card
        for was, one, place in zip(ornaments, done.ornaments, ornament_places(done), strict=True):
            assert mm(one.height) == min(mm(pk.Grid(ruler).nearest(was.height)), mm(place.tallest))


def test_what_a_coarse_ruler_leaves_no_room_for_is_told():
    """A band of ½ in is 10 or 15 mm on a ruler of 5 mm, a reveal 5 mm at least."""
    card = pk.Card(
        width="5 in",
        height="7 in",
        tiers=tuple(pk.Tier(face=face, depth="1/2 in") for face in ("3 1/2 in", "3 in")),
        front=pk.ClearFront(),
        layers=(Layer(on="band 1", name="waves"),),
    )
    done = regrid(card, "5 mm")
    assert stops(done.card) == set()
    assert all(value % 5 == 0 for value in size(done.card, "waves"))
    assert min(size(done.card, "waves")) > 0


@given(cards(hidden=True, stepped=True, most_tiers=3).flatmap(finished), st.sampled_from(RULERS))
def test_a_finished_card_on_a_ruler_has_no_new_stops_and_lies_on_its_marks(card, ruler):
    beside = RULES.keys() - MECHANISM_RULES.keys()
    try:
        pk.cut_list(card)
        done = regrid(card, ruler)
    except (pk.CardError, pk.RegridError):
        assume(False)
    names = {one.name for one in (*card.layers, *card.ornaments)}
    step = mm(pk.Grid(ruler).step)
    fresh = stops(done.card) - stops(card)
    assert not {(rule, where) for rule, where in fresh if rule in beside or where in names}
    for one in (*done.card.layers, *done.card.ornaments):
        for field in ("width", "length", "height", "across", "along", "up", "reveal"):
            value = getattr(one, field, None)
            assert value is None or mm(value) % step == 0, (one.name, field)
    for placed in placed_layers(done.card):
        if placed.is_there:
            assert placed.width_mm % step == 0
            assert placed.length_mm % step == 0


def test_another_size_keeps_reveals_pads_and_known_weights(regatta):
    grams = replace(regatta.ornaments[0], grams=3)
    card = replace(regatta, ornaments=(grams, *regatta.ornaments[1:]))
    twice = scaled(card, 2, 2)
    assert [layer.reveal for layer in twice.layers] == [layer.reveal for layer in card.layers]
    assert twice.layers[4].width == card.layers[4].width * 2
    assert twice.ornaments[0].height == card.ornaments[0].height * 2
    assert twice.ornaments[0].grams == 3
    assert twice.ornaments[1].pad == card.ornaments[1].pad


@pytest.mark.parametrize("name", ["A6", "A5", "4¼ x 5½", "5½ x 8½"])
def test_a_finished_card_at_another_size_has_no_new_stops(regatta, name):
    done = resize(regatta, CARD_SIZES[name], give_up=("sheet",))  # a larger back wants a larger sheet
    assert stops(done.card) <= stops(regatta)
    assert len(done.card.layers) == len(regatta.layers)
    assert len(done.card.ornaments) == len(regatta.ornaments)


def test_the_largest_card_from_a_sheet_does_not_count_its_mats(regatta):
    plain = replace(regatta, layers=(), ornaments=())
    done, bare = largest_from_sheet(regatta, "A4"), largest_from_sheet(plain, "A4")
    assert (done.card.width, done.card.height) == (bare.card.width, bare.card.height)


def test_a_converted_card_lists_its_mats(regatta):
    conversion = converted_card(regatta, "1 mm")
    assert "greeting mat: 121 mm × 25 mm, lower edge at 98 mm" in conversion.words
    assert conversion.faults == ()
