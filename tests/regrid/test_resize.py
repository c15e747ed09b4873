"""Another finished size: named sizes, proportions, envelopes, sheets."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

import popkit as pk
from popkit.papers import ENVELOPES, as_envelope
from popkit.regridding import RegridError
from popkit.resizing import (
    CARD_SIZES,
    _packs,
    as_card_size,
    largest_from_sheet,
    largest_in_envelope,
    resize,
    scaled,
)
from tests.regrid.samples import mechanism, mm, on_ruler


def card_of(width: str, height: str, **changes: object) -> pk.Card:
    """Two steps on a card of any size, from a sheet that is large enough."""
    tall = pk.parse_length(height)
    tiers = (
        pk.Tier(face=tall * Fraction(1, 2), depth="1/2 in"),
        pk.Tier(face=tall * Fraction(1, 2) - pk.parse_length("3/8 in"), depth="1/2 in"),
    )
    stock = replace(pk.MEDIUM_CARD, sheet=("600 mm", "900 mm"))
    return pk.Card(
        **(
            {"width": width, "height": tall, "tiers": tiers, "front": pk.JoinedFront(), "stock": stock}
            | changes
        )
    )


def sides(card: pk.Card) -> tuple[Fraction, Fraction]:
    return mm(card.width), mm(card.height)


@pytest.mark.parametrize(
    ("name", "short", "long", "source"),
    [
        ("A5", 148, 210, "ISO 216:2007"),
        ("a6", 105, 148, "ISO 216:2007"),
        ("A7", 74, 105, "ISO 216:2007"),
        ("DL", 99, 210, "a third of A4, 297 / 3; what a DL envelope takes, ISO 269"),
        ("105 mm square", 105, 105, "the name says it"),
        ("6 in square", Fraction("152.4"), Fraction("152.4"), "6 x 25.4"),
        ("4¼ x 5½", Fraction("107.95"), Fraction("139.7"), "card size chart, A2; x 25.4"),
        ("4 1/4 x 5 1/2", Fraction("107.95"), Fraction("139.7"), "the same, typed"),
        ("4.25 in x 5.5 in", Fraction("107.95"), Fraction("139.7"), "the same, decimal"),
        ("5 x 7", 127, Fraction("177.8"), "card size chart, A7; x 25.4"),
        ("5 by 7", 127, Fraction("177.8"), "the same, in words"),
        ("7 x 5", 127, Fraction("177.8"), "the same, the other way"),
        ("120 x 170 mm", 120, 170, "the name says it"),
        ("12 × 17 cm", 120, 170, "the name says it"),
        ('3 3/4" x 8"', Fraction("95.25"), Fraction("203.2"), "x 25.4"),
        ("9 cm square", 90, 90, "the name says it"),
    ],
)
def test_sizes_by_name(name: str, short: object, long: object, source: str) -> None:
    size = as_card_size(name)
    assert (mm(size.short), mm(size.long)) == (short, long), source


def test_every_size_of_the_table_is_found_by_its_name_and_has_a_source() -> None:
    for name, size in CARD_SIZES.items():
        assert as_card_size(name) == size
        assert size.source
        assert mm(size.short) <= mm(size.long)


@pytest.mark.parametrize(
    "size", ["A11", "", "x", "5", "5 x 7 x 9", "5 x", "120 x 170", "0 x 5 in", "square"]
)
def test_what_is_no_size_is_refused(size: str) -> None:
    with pytest.raises(pk.LengthError):
        as_card_size(size)


def test_a_size_lies_the_way_the_card_does_unless_told() -> None:
    upright, wide = card_of("5 in", "7 in"), card_of("7 in", "5 in")
    assert sides(resize(upright, "A5", grid="1 mm").card) == (148, 210)
    assert sides(resize(wide, "A5", grid="1 mm").card) == (210, 148)
    assert sides(resize(wide, "A5 upright", grid="1 mm").card) == (148, 210)
    assert sides(resize(upright, "A5, landscape", grid="1 mm").card) == (210, 148)


@pytest.mark.parametrize(
    "asked", [{"size": "A5", "width": "5 in"}, {}, {"size": "A5", "height": "9 in"}], ids=str
)
def test_one_finished_size_must_be_asked_for(asked: dict) -> None:
    with pytest.raises(pk.LengthError):
        resize(card_of("5 in", "7 in"), grid="1 mm", **asked)


def test_one_side_brings_the_other_in_proportion() -> None:
    card = card_of("5 in", "7 in")
    assert sides(resize(card, width="100 mm", grid="1 mm").card) == (100, 140)  # 5:7
    assert sides(resize(card, height="210 mm", grid="1 mm").card) == (150, 210)


def test_the_ruler_is_that_of_what_was_asked() -> None:
    card = card_of("5 in", "7 in")
    assert resize(card, "A5").card.unit == "millimeter"
    assert resize(card, height="8 in").card.unit == "inch"


@pytest.mark.parametrize("size", ["A5", "DL", "6 in square", "5½ x 8½", "120 x 170 mm"])
@pytest.mark.parametrize("front", [pk.ClearFront(), pk.JoinedFront(), pk.OnePieceFront()])
@pytest.mark.parametrize("ruler", ["1 mm", "1/8 in"])
def test_laws_hold_at_another_size(size: str, front: pk.Front, ruler: str) -> None:
    card = card_of("5 in", "7 1/2 in", front=front)
    done = resize(card, size, grid=ruler)
    assert done.proved
    assert on_ruler(pk.cut_list(done.card), ruler)
    before, after = mechanism(card), mechanism(done.card)
    assert [law for law in before if before[law] >= 0 > after[law]] == []
    assert done.fresh == ()


def test_tabs_and_gaps_stay_what_glue_needs() -> None:
    """Half the size: shelves would be 1/4 in, but a tab of 3/8 in holds and must stay hidden."""
    small = scaled(card_of("8 in", "10 in", front=pk.ClearFront()), Fraction(1, 2), Fraction(1, 2))
    assert {mm(tier.top_tab) for tier in small.tiers} == {mm(pk.parse_length("1/2 in"))}
    assert {mm(tier.bottom_tab) for tier in small.tiers} == {mm(pk.parse_length("1/4 in"))}
    done = resize(card_of("8 in", "10 in", front=pk.ClearFront()), "A6", grid="1 mm")
    assert all(mm(tier.bottom_tab) >= Fraction("9.525") for tier in done.card.tiers)
    assert all(mm(tier.depth) >= mm(tier.bottom_tab) for tier in done.card.tiers)
    assert mm(done.card.front.gap or pk.parse_length("3 mm")) == 3


def test_a_tab_that_filled_its_shelf_fills_the_larger_one_up_to_the_usual() -> None:
    card = card_of("3 in", "4 in")
    card = replace(card, tiers=(pk.Tier(face="2 in", depth="3/8 in"),))
    large = scaled(card, Fraction(2), Fraction(2))
    assert mm(large.tiers[0].depth) == mm(pk.parse_length("3/4 in"))
    assert mm(large.tiers[0].bottom_tab) == mm(pk.parse_length("1/2 in"))


def test_a_size_that_cannot_carry_the_card_says_what_to_give_up() -> None:
    """A tab of 3/8 in is 10 mm on this ruler, and no shelf or face is shorter than its tab: eight
    shelves and the last face need 90 mm to hide in.
    """
    tiers = tuple(
        pk.Tier(face=f"{100 - 8 * place} mm", depth="12 mm", top_tab="10 mm", bottom_tab="10 mm")
        for place in range(8)
    )
    card = card_of("148 mm", "210 mm", tiers=tiers)
    assert resize(card, height="90 mm", grid="1 mm", give_up=["band"]).proved
    with pytest.raises(RegridError, match="finished size") as caught:
        resize(card, height="89 mm", grid="1 mm", give_up=["band"])
    assert caught.value.laws
    assert resize(card, height="89 mm", grid="1 mm", give_up=["band", *caught.value.laws]).proved


# Envelopes ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "short", "long", "source"),
    [
        ("C4", "229 mm", "324 mm", "ISO 269 table"),
        ("C5", "162 mm", "229 mm", "ISO 269 table"),
        ("C6", "114 mm", "162 mm", "ISO 269 table"),
        ("DL", "110 mm", "220 mm", "ISO 269 / DIN 678-1"),
        ("B6", "125 mm", "176 mm", "ISO 216"),
        ("A2", "4 3/8 in", "5 3/4 in", "PWG na_a2_4.375x5.75in"),
        ("#10", "4 1/8 in", "9 1/2 in", "PWG na_number-10_4.125x9.5in"),
        ("a7", "5.25 in", "7.25 in", "card size chart, maymaymadeit.com"),
    ],
)
def test_envelopes_as_published(name: str, short: str, long: str, source: str) -> None:
    envelope = as_envelope(name)
    assert (mm(envelope.short), mm(envelope.long)) == (
        mm(pk.parse_length(short)),
        mm(pk.parse_length(long)),
    ), source


def test_every_envelope_holds_its_card_and_has_a_source() -> None:
    for envelope in ENVELOPES.values():
        assert envelope.source
        if envelope.card is not None:
            assert mm(envelope.card[0]) < mm(envelope.short)
            assert mm(envelope.card[1]) < mm(envelope.long)


@pytest.mark.parametrize(
    ("envelope", "width", "height", "source"),
    [
        ("A2", "4 1/4 in", "5 1/2 in", "chart: A2 takes 4 1/4 x 5 1/2, only 1/8 in to spare"),
        ("A6", "4 1/2 in", "6 1/4 in", "chart"),
        ("A7", "5 in", "7 in", "chart"),
        ("A8", "5 1/4 in", "7 7/8 in", "chart"),
        ("A9", "5 1/2 in", "8 1/2 in", "chart"),
        ("#10", "3 7/8 in", "9 1/4 in", "chart"),
        ("6¼ in square", "6 in", "6 in", "chart"),
    ],
)
def test_the_largest_card_in_the_proportions_of_an_envelopes_own_card_is_that_card(
    envelope: str, width: str, height: str, source: str
) -> None:
    wide, tall = pk.parse_length(width), pk.parse_length(height)
    twice = card_of(str(float(wide.magnitude * 2)) + " in", str(float(tall.magnitude * 2)) + " in")
    done = largest_in_envelope(twice, envelope)
    assert sides(done.card) == (mm(wide), mm(tall)), source


@pytest.mark.parametrize("envelope", ["C5", "C6", "DL"])
def test_the_largest_card_is_no_smaller_than_what_the_envelope_takes(envelope: str) -> None:
    own = ENVELOPES[envelope].card
    card = card_of(*(f"{mm(side)} mm" for side in own))
    done = largest_in_envelope(card, envelope, grid="1 mm")
    wide, tall = sides(done.card)
    assert wide >= mm(own[0])
    assert tall >= mm(own[1])
    assert wide <= mm(ENVELOPES[envelope].short) - 6
    assert tall <= mm(ENVELOPES[envelope].long) - 6


def test_a_wide_card_goes_in_the_other_way_round() -> None:
    done = largest_in_envelope(card_of("14 in", "10 in"), "A7")
    assert sides(done.card) == (mm(pk.parse_length("7 in")), mm(pk.parse_length("5 in")))


def test_room_to_spare_may_be_asked_for() -> None:
    done = largest_in_envelope(card_of("10 in", "14 in"), "A7", room="1/2 in")
    # 5 1/4 - 1/2 = 4 3/4 wide; 4 3/4 x 7/5 = 6.65 tall, down to 6 5/8
    assert sides(done.card) == (Fraction("120.65"), Fraction("168.275"))


def test_an_envelope_too_small_for_any_card_is_refused() -> None:
    with pytest.raises(pk.LengthError):
        largest_in_envelope(card_of("5 in", "7 in"), ("5 mm", "9 mm"))


# Sheets ---------------------------------------------------------------------------------


def blank(width: str, length: str, grain: str | None = None) -> pk.Piece:
    return pk.Piece(name="blank", width=width, length=length, grain=grain)


@pytest.mark.parametrize(
    ("piece", "sheet", "most", "source"),
    [
        (
            blank("4 1/4 in", "11 in"),
            "Letter",
            2,
            "two A2 blanks to a letter sheet, stampingimperfection.com",
        ),
        (blank("5 1/2 in", "8 1/2 in"), "Letter", 2, "the same, scored the other way"),
        (blank("4 1/4 in", "11 in"), "Tabloid", 4, "11 x 17 is two letter sheets"),
        (blank("148 mm", "210 mm"), "A4", 2, "ISO 216: A5 is half of A4"),
        (blank("105 mm", "148 mm"), "A4", 4, "ISO 216: A6 is a quarter of A4"),
        (blank("105 mm", "148 mm"), "A3", 8, "ISO 216: A6 is an eighth of A3"),
        (blank("99 mm", "210 mm"), "A4", 3, "a third of A4"),
        (blank("148 mm", "210 mm", "width"), "A4", 2, "its grain turns it: 210 across, 148 along twice"),
        (blank("148 mm", "210 mm", "length"), "A4", 1, "its grain keeps it upright: 148 across once"),
        (blank("105 mm", "148 mm", "length"), "A4", 4, "its grain leaves it as it lies: 2 by 2"),
        (blank("9 in", "12 in"), "Letter", 0, "9 in is more than 8 1/2"),
    ],
)
def test_how_many_come_out_of_a_sheet(piece: pk.Piece, sheet: str, most: int, source: str) -> None:
    sheet = pk.as_sheet(sheet)
    assert most == 0 or _packs([piece] * most, sheet), source
    assert not _packs([piece] * (most + 1), sheet), source


def test_only_cuts_right_across_count() -> None:
    """Five pieces in a pinwheel fill the square but no cut across separates them: the textbook
    example of a pattern that a guillotine cannot cut (Gilmore and Gomory, 1965).
    """
    wheel = [blank("20 mm", "10 mm", "length")] * 2 + [blank("10 mm", "20 mm", "length")] * 2
    wheel.append(blank("10 mm", "10 mm"))
    assert not _packs(wheel, pk.as_sheet(("30 mm", "30 mm")))
    assert _packs(wheel, pk.as_sheet(("30 mm", "40 mm")))


@pytest.mark.parametrize("sheet", ["A4", "Letter"])
@pytest.mark.parametrize("front", [pk.ClearFront(), pk.JoinedFront()])
def test_the_largest_from_a_sheet_comes_out_and_a_little_more_does_not(
    sheet: str, front: pk.Front
) -> None:
    card = card_of("5 in", "7 in", front=front, stock=None)
    done = largest_from_sheet(card, sheet)
    assert done.proved
    size = pk.as_sheet(sheet)
    cut = [piece for piece in pk.cut_list(done.card) if piece.stock.kind == "card"]
    assert {piece.stock.sheet for piece in cut} == {size}
    assert _packs(cut, size)
    area = sum(mm(piece.width) * mm(piece.length) for piece in cut)
    assert area <= mm(size.width) * mm(size.height)
    ratio = mm(done.card.width) / mm(done.card.height)
    assert abs(ratio - Fraction(5, 7)) < Fraction(1, 50)
    larger = resize(card, height=done.card.height * Fraction(26, 25), grid=done.grid, give_up=["sheet"])
    assert not _packs([piece for piece in pk.cut_list(larger.card) if piece.stock.kind == "card"], size)


def test_a_sheet_too_small_for_the_card_is_said() -> None:
    with pytest.raises((pk.LengthError, RegridError)):
        largest_from_sheet(card_of("5 in", "7 in"), ("20 mm", "20 mm"))
