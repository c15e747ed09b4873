"""Which envelope takes a card, the box where none does, and what a tutor is told."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from popkit.card import (
    Card,
    CardError,
    ClearFront,
    OnePieceFront,
    Ornament,
    stepped_tiers,
)
from popkit.checks import Finding
from popkit.drawing.flat import draw_pieces
from popkit.language import as_language
from popkit.lengths import LengthError, mm, parse_length
from popkit.papers import ENVELOPES, PADDED, SHEETS, Envelope
from popkit.posting import (
    CHECK_CURRENT,
    EASE,
    SERVICES,
    advice,
    box_envelope,
    check_post,
    envelopes_for,
    packet,
)
from popkit.standing import masses
from popkit.thickness import thickness
from tests.strategies import cards


def plain(width: str, height: str, tiers: int = 1, **fields: object) -> Card:
    return Card(width=width, height=height, tiers=stepped_tiers(height, tiers), **fields)


FLAT = "0.5 mm"  # two leaves of card stock, with nothing between

# Card size chart, maymaymadeit.com "card-size-guides": the card that each envelope is sold for.
CHART = [
    ("A1 (4-bar)", "3 1/2 in", "4 7/8 in"),
    ("A2", "4 1/4 in", "5 1/2 in"),
    ("A6", "4 1/2 in", "6 1/4 in"),
    ("A7", "5 in", "7 in"),
    ("A8", "5 1/4 in", "7 7/8 in"),
    ("A9", "5 1/2 in", "8 1/2 in"),
    ("#10", "3 7/8 in", "9 1/4 in"),
    ("5½ in square", "5 1/4 in", "5 1/4 in"),
    ("6¼ in square", "6 in", "6 in"),
]
# ISO 269: C6 takes A6, C5 takes A5, C4 takes A4.
ISO = [("C6", "105 mm", "148 mm"), ("C5", "148 mm", "210 mm"), ("C4", "210 mm", "297 mm")]


@pytest.mark.parametrize(("name", "short", "long"), CHART + ISO)
def test_a_flat_card_goes_in_the_envelope_it_is_sold_with(name, short, long):
    """Either side may lie along the fold: 4¼ × 5½ scored at the top is the same packet."""
    for width, height in ((short, long), (long, short)):
        fits = envelopes_for(plain(width, height), FLAT, padded=False)
        assert name in [fit.envelope.name for fit in fits]
        assert fits[0].envelope.name == name


def test_a_thick_card_does_not_go_in_its_own_a2():
    """The trap of the chart: A2 leaves 1/8 in (3.2 mm) on its short side, not 1/4. A card 2 mm thick
    leaves 1.2 mm of it, too little for a hand, so it takes the next size."""
    card = plain("4 1/4 in", "5 1/2 in")
    assert envelopes_for(card, "1.5 mm", padded=False)[0].envelope.name == "A2"
    thicker = envelopes_for(card, "2 mm", padded=False)[0].envelope.name
    assert thicker == "A6"


@pytest.mark.parametrize("thick", ["0.3 mm", "2 mm", "1/4 in"])
@given(card=cards(hidden=True))
@settings(deadline=None)
def test_what_fits_fits_round_the_card(thick, card):
    """The girth of a flat envelope is twice its width, that of the card 2 (w + t), on either axis."""
    deep = mm(parse_length(thick))
    closed = sorted((mm(card.width), max(mm(card.height), mm(card.front_length))))
    fits = envelopes_for(card, thick)
    for fit in fits:
        for inside, side in zip((fit.envelope.short, fit.envelope.long), closed, strict=True):
            assert 2 * mm(inside) - 2 * (side + deep) >= 2 * mm(EASE)
    fitted = {fit.envelope.name for fit in fits}
    for name, envelope in (ENVELOPES | PADDED).items():
        if name not in fitted:
            gaps = [
                mm(i) - s - deep for i, s in zip((envelope.short, envelope.long), closed, strict=True)
            ]
            assert min(gaps) < mm(EASE)
    assert [fit.envelope.padded for fit in fits] == sorted(fit.envelope.padded for fit in fits)


def test_a_front_longer_than_the_back_is_what_has_to_go_in():
    card = plain("5 in", "6 in", front=OnePieceFront(length="7 in"))
    assert envelopes_for(card, FLAT)[0].envelope.name == "A7"


def test_a_packet_is_the_card_and_its_walls():
    card = plain("105 mm", "148 mm", 3)
    found = packet(card, "C6")
    thick = thickness(card).greatest_mm
    assert mm(found.thick) == thick + 3 * Fraction("0.0045") * Fraction("25.4")
    assert found.grams == sum(masses(card).values()) + Fraction(2 * 114 * 162 * 90, 10**6) * Fraction(
        6, 5
    )
    assert (mm(found.short), mm(found.long)) == (114, 162)
    padded = packet(card, "F padded")
    assert (mm(padded.short), mm(padded.long)) == (240, 350)
    assert mm(padded.thick) == thick + 6


# The box -------------------------------------------------------------------------------------------


def inner(piece: object, place: int, caliper: Fraction) -> Fraction:
    """What a panel measures inside the folds: from score to score less one caliper."""
    return mm(piece.zones[place].length) - caliper


@given(cards(hidden=True), st.sampled_from([None, "1/2 in", "40 mm"]))
@settings(deadline=None)
def test_the_card_lies_in_the_tray_and_the_tray_goes_in_the_sleeve(card, depth):
    thick = thickness(card).greatest_mm
    if depth is not None and mm(parse_length(depth)) < thick:
        with pytest.raises(CardError, match="does not close over this card"):
            box_envelope(card, depth)
        return
    box = box_envelope(card, depth)
    caliper = mm(box.stock.caliper)
    tray, sleeve = box.pieces
    closed = (mm(card.width), max(mm(card.height), mm(card.front_length)))
    # the card in the tray
    assert mm(tray.width) > closed[0]
    assert [zone.name for zone in tray.zones] == ["lip", "wall", "base", "wall", "lip"]
    assert inner(tray, 2, caliper) > closed[1]
    assert inner(tray, 1, caliper) >= thick
    assert 2 * mm(tray.zones[0].length) <= mm(tray.zones[2].length)  # the lips do not meet
    # the tray in the sleeve: as wide, as tall as wall, base and lip, no longer than the tube
    names = [zone.name for zone in sleeve.zones]
    assert names in (["glue flap", "side", "panel", "side", "panel"], ["glue flap", "side", "panel"])
    assert sleeve.count == (2 if len(names) == 3 else 1)
    assert inner(sleeve, names.index("panel"), caliper) > mm(tray.width)
    assert inner(sleeve, 1, caliper) > inner(tray, 1, caliper) + 2 * caliper
    assert mm(sleeve.width) >= mm(tray.zones[2].length) + caliper
    # every score on the ruler, every fold one way, with the grain
    for piece in box.pieces:
        assert set(piece.folds) == {"mountain"}
        assert piece.grain == "width"
        assert all(card.grid.holds(score) for score in (*piece.scores, piece.width, piece.length))
    # and what is said of the outside holds the inside
    for out, side in zip(box.outside, box.inside, strict=True):
        assert mm(out) > mm(side)
    for piece, sheet in zip(box.pieces, box.sheets, strict=True):
        if sheet is not None:
            assert mm(piece.width) <= mm(sheet.height)
            assert mm(piece.length) <= mm(sheet.width)
            assert sheet in SHEETS.values()


def test_a_box_deeper_than_a_sheet_is_long_has_its_sleeve_in_halves():
    """5 × 7 in: round a sleeve is twice panel and side and a flap. At 1/4 in deep that is 11 3/4 in and
    comes out of 12 in; at 1 in deep it is over 13 in and does not."""
    card = plain("5 in", "7 in", front=ClearFront())
    shallow, deep = box_envelope(card, "1/4 in"), box_envelope(card, "1 in")
    assert [piece.name for piece in shallow.pieces] == ["tray", "sleeve"]
    assert shallow.sheets[1].name == "12 in square"
    assert [piece.name for piece in deep.pieces] == ["tray", "half sleeve"]
    assert deep.pieces[1].count == 2
    assert "Glue the flap of each half sleeve under the panel of the other." in deep.text
    assert "Glue the sleeve's flap" in shallow.text


def test_a_box_weighs_its_rectangles():
    box = box_envelope(plain("105 mm", "148 mm"), "10 mm", stock="300 g card")
    area = sum(piece.count * mm(piece.width) * mm(piece.length) for piece in box.pieces)
    assert box.grams == area * 300 / 10**6
    assert box.stock.name == "300 g card"


def test_a_box_is_drawn_like_any_other_pieces():
    card = plain("5 in", "7 in")
    svg = draw_pieces(card, pieces=box_envelope(card).pieces)
    for word in ("tray", "sleeve", "lip", "wall", "base", "glue flap", "side", "panel"):
        assert word in svg


# Findings ------------------------------------------------------------------------------------------


def test_a_card_that_suits_every_service_has_no_findings():
    """A6 in a C6: 114 × 162 mm is 1.421, within 120 × 235 mm, and a light card is under 20 g."""
    card = plain("105 mm", "148 mm", 1, stock="160 g card", tier_stock="160 g card")
    assert check_post(card, "C6") == ()


def test_too_small_an_envelope_is_a_stop_with_the_right_one_as_remedy():
    findings = check_post(plain("5 in", "7 in"), "C6", services=["Royal Mail"])
    (found,) = [one for one in findings if one.rule == "envelope"]
    assert isinstance(found, Finding)
    assert found.severity == "stop"
    assert "A7" in found.remedy.text
    assert found.remedy.apply(plain("5 in", "7 in")) == plain("5 in", "7 in")


def test_an_envelope_that_the_thickness_alone_fills_is_a_caution():
    card = plain("4 1/4 in", "5 1/2 in", 3)
    assert thickness(card).greatest_mm > 2
    (found,) = check_post(card, "A2", services=["USPS"])
    assert (found.rule, found.severity) == ("envelope", "caution")
    assert "A6" in found.remedy.text


def test_a_card_that_no_envelope_takes_goes_in_a_box():
    card = plain("11 in", "12 in")
    assert envelopes_for(card) == ()
    found = check_post(card, services=["USPS"])
    assert [one.rule for one in found] == ["envelope", "post"]
    assert "tray" in found[0].remedy.text
    assert "does not bend" in found[1].message
    assert any("box of its own" in line for line in advice(card))


def test_a_square_card_is_told_that_it_costs_more():
    card = plain("5 1/4 in", "5 1/4 in")
    (found,) = check_post(card, "5½ in square", services=["USPS"])
    assert found.rule == "post"
    assert found.where == "USPS"
    assert "nonmachinable letter" in found.message
    assert "it is square" in found.message
    # A remedy may be a larger, oblong envelope; whatever it names is better by the published rule.
    assert "A8" in found.remedy.text or "A9" in found.remedy.text
    envelope = ENVELOPES["A8"]
    assert 1.3 <= float(mm(envelope.long) / mm(envelope.short)) <= 2.5


def test_a_remedy_on_the_card_clears_the_finding():
    """Foam 6 mm thick makes a large letter of it; glued flat it is a letter (5 mm, Royal Mail)."""
    flower = Ornament(on="tier 1", height="30 mm", width="30 mm", pad="6 mm")
    card = plain("105 mm", "148 mm", 1, ornaments=(flower,))
    (found,) = check_post(card, "C6", services=["Royal Mail"])
    assert "thicker than 5 mm" in found.message
    flat = found.remedy.apply(card)
    assert flat.ornaments[0].pad is None
    assert check_post(flat, "C6", services=["Royal Mail"]) == ()


@given(cards(hidden=True))
@settings(deadline=None, max_examples=25)
def test_findings_say_what_the_classes_say(card):
    for found in check_post(card, services=["USPS", "Deutsche Post"]):
        assert found.rule in ("envelope", "post")
        assert found.message
        assert found.remedy.text
        if found.rule == "post":
            assert found.where in SERVICES
            assert CHECK_CURRENT in found.remedy.text
            assert found.remedy.apply(card) is not None


def test_an_envelope_of_any_make_may_be_asked_for():
    card = plain("105 mm", "148 mm")
    assert (
        check_post(card, Envelope(name="odd", short="115 mm", long="165 mm"), services=["Royal Mail"])
        == ()
    )
    assert check_post(card, ("115 mm", "165 mm"), services=["Royal Mail"]) == ()
    with pytest.raises(LengthError, match="is no envelope we know"):
        check_post(card, "pillow case")
    with pytest.raises(LengthError, match="is no service we know"):
        check_post(card, services=["Pony Express"])


def test_advice_is_sentences_that_end_with_the_current_rules():
    lines = advice(plain("5 in", "7 in", 3, front=ClearFront()))
    assert lines[-1] == CHECK_CURRENT
    assert all(line.endswith((".", ")")) for line in lines)
    words = " ".join(lines)
    assert "It goes in an envelope A7, 5¼ in × 7¼ in." in words
    assert "Padded, it goes in an envelope #" in words
    for service in SERVICES:
        assert service in words
    assert not any(sign in words for sign in "$£€¢")
    (only,) = [line for line in advice(plain("5 in", "7 in"), services=["USPS"]) if "USPS" in line]
    assert only.startswith("USPS: letter.")


def test_advice_and_box_are_said_in_german():
    """The sizes with a decimal comma; the services keep their own names."""
    card = plain("105 mm", "148 mm", 3)
    german = as_language("de")
    there, here = advice(card, language=german), advice(card)
    assert len(there) == len(here)
    assert "Umschlag C6, 114 mm × 162 mm" in there[1]
    same = [line for line in there if line in here]
    assert same == []
    assert "2,2 mm" in there[0]
    assert "Einsatz" in box_envelope(card).said(german)
    assert "Royal Mail: letter." in " ".join(there)
