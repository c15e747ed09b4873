"""A text and a card on another ruler: every length, every reason, nothing lost."""

from __future__ import annotations

from fractions import Fraction

import pytest

import popkit as pk
from popkit.converting import UNTITLED, converted_card, converted_text, signed, title_in
from popkit.lengths import mm
from tests.converting.converted_by_hand import TEXT, law_of_cosines

INCH = Fraction(254, 10)


@pytest.fixture(scope="module")
def done():
    return converted_text(TEXT, "1 mm")


@pytest.fixture(scope="module")
def card():
    return pk.Card(
        width="5 in",
        height="6 in",
        tiers=(pk.Tier(face="3 1/4 in", depth="1/2 in", top_tab="1/2 in", bottom_tab="1/2 in"),),
        front=pk.ClearFront(landing="1 1/2 in"),
    )


def row(conversion, where):
    return next(row for row in conversion.rows if row.where == where)


def test_the_scores_go_where_the_zones_need_them(done):
    strip = [mm(row.rounded) for row in done.rows[-4:]]
    assert strip == [121, 13, 26, 108]
    assert [mm(row.exact) for row in done.rows[-4:]] == [
        INCH * Fraction(19, 4),
        INCH / 2,
        INCH,
        INCH * Fraction(17, 4),
    ]
    assert [mm(row.shift) for row in done.rows[-4:]] == [
        Fraction("0.35"),
        Fraction("0.3"),
        Fraction("0.6"),
        Fraction("0.05"),
    ]


def test_only_a_mark_that_is_not_the_nearest_needs_a_reason(done):
    one = row(done, "“1”")
    assert mm(one.nearest) == 25
    assert "25 mm" in one.why
    assert [other.why for other in done.rows if other is not one] == [""] * (len(done.rows) - 1)


def test_the_verdict_says_where_the_careless_card_stops(done):
    jams = law_of_cosines(foot=13, shelf=12, face=108 - 25)
    assert done.naive.opens_to == pytest.approx(jams, abs=1e-6)
    by_numbers, as_a_card, *_ = done.verdict
    assert "foot is 13 mm out but its shelf is 12 mm deep" in by_numbers
    assert f"The whole card stops at {jams:.0f}°." in by_numbers
    assert as_a_card.startswith("Restated as a card:")


def test_stretches_lose_nothing_and_lead_to_their_rows(done):
    assert "".join(stretch.words for stretch in done.original) == TEXT
    assert done.words == done.text.text
    for side in (done.original, done.restated):
        assert [stretch.row for stretch in side if stretch.row is not None] == list(
            range(len(done.rows))
        )
        (doubt,) = [stretch for stretch in side if stretch.place is not None]
        assert doubt.words == "2"
    assert "<b>for the posts</b>, use 3 sheets and wait 10 minutes." in done.words


@pytest.mark.parametrize(
    ("choice", "words"),
    [
        ("in", "Leave 51 mm at"),  # 2 x 25.4 = 50.8
        ("mm", "Leave 2 at"),  # in millimetres already
        ("leave", "Leave 2 at"),
    ],
)
def test_a_doubt_is_decided_by_its_place(choice, words):
    start = TEXT.index("2 at each")
    done = converted_text(TEXT, "1 mm", decisions={start: choice})
    assert words in done.words
    assert done.waiting == ()


def test_a_decision_about_a_place_that_is_gone_is_dropped():
    done = converted_text("Cut a strip 2 in long.", "1 mm", decisions={999: "in"})
    assert done.words == "Cut a strip 51 mm long."  # 50.8


def test_a_text_without_a_card_says_what_is_missing():
    done = converted_text("Cut a strip 4 x 5 in.", "1 mm")
    assert done.card is None
    assert done.card_words
    assert done.verdict == ()
    assert done.words == "Cut a strip 102 mm x 127 mm."  # 101.6, 127.0


def test_keep_the_original():
    assert converted_text("Cut it 2 in long.", "1 mm", keep_original=True).words == (
        "Cut it 2 in (51 mm) long."
    )


def test_back_to_inches():
    done = converted_text("Cut a strip 100 mm long.", "1/16 in", "mm")
    # 100 / 25.4 = 3.937 in = 62.99 sixteenths: 63/16 = 3 15/16 in
    assert mm(done.rows[0].rounded) == Fraction(63, 16) * INCH


def test_a_card_has_a_row_for_every_mark(card):
    done = converted_card(card, "1 mm")
    assert [mm(row(done, f"tier 1, {mark}").rounded) for mark in ("length", "score 1", "score 2")] == [
        121,
        13,
        26,
    ]
    lines = done.words.splitlines()
    assert [line.split(":")[0] for line in lines] == ["back", "clear front", "tier 1"]
    assert lines[2].endswith("× 121 mm, score 1 at 13 mm, score 2 at 26 mm, score 3 at 108 mm")
    assert (
        "".join(stretch.words for stretch in done.original)
        .splitlines()[2]
        .endswith("× 4¾ in, score 1 at ½ in, score 2 at 1 in, score 3 at 4¼ in")
    )


def test_a_ruler_too_coarse_is_told_in_words(card):
    done = converted_card(card, "150 mm")
    assert done.regridded is None
    assert done.faults
    assert str(done.faults[0]) in str(done)


def test_what_cannot_be_made_by_numbers_is_told(card):
    done = converted_card(card, "60 mm")  # 12.7 and 25.4 both go to nothing
    assert done.naive is None or done.naive.opens_to is None
    assert not any("The whole card stops" in line for line in done.verdict)


@pytest.mark.parametrize(
    ("shift", "shown"), [("0 mm", "no shift"), ("0.5 mm", "+0.5 mm"), ("-0.5 mm", "−0.5 mm")]
)
def test_a_shift_has_its_sign(shift, shown):
    assert signed(pk.parse_length(shift, offset=True)) == shown


def test_a_title_is_the_first_line_and_never_too_long():
    assert title_in("\n\n  A  gate \nCut it") == "A gate"
    assert title_in("") == title_in("\n \n") == UNTITLED
    long = title_in("gate " * 100)
    assert len(long) <= 80
    assert long.endswith("gate…")
