"""What a recipe says of its envelope and its post: read, checked, and printed in two languages."""

from dataclasses import replace
from pathlib import Path

import pytest

from popkit.card import Card, ClearFront, stepped_tiers
from popkit.language import as_language
from popkit.lengths import mm, parse_length
from popkit.papers import ENVELOPES
from popkit.posting import box_envelope
from popkit.recipe import load_recipe
from popkit.sending import read_envelope, sending_lines

REGATTA = load_recipe(Path(__file__).parents[2] / "notebooks" / "recipes" / "regatta.toml").card


@pytest.mark.parametrize(
    ("text", "short", "long", "padded", "source"),
    [
        ("A7", "5 1/4 in", "7 1/4 in", False, "card size chart, maymaymadeit.com: A7"),
        ("an envelope nobody sells", None, None, False, "not a name, not two sizes"),
        ("C6", "114 mm", "162 mm", False, "ISO 269:1985"),
        ("dl envelope", "110 mm", "220 mm", False, "ISO 269 / DIN 678-1"),
        ("padded, 6 x 9 in inside", "6 in", "9 in", True, "as written"),
        ("170 mm × 120 mm", "120 mm", "170 mm", False, "as written, the short side first"),
        ("6 x 9", None, None, False, "no unit"),
        ("box", None, None, False, "no envelope"),
        ("", None, None, False, "nothing"),
    ],
)
def test_what_a_tutor_calls_an_envelope_is_read(text, short, long, padded, source):
    found = read_envelope(text)
    if short is None:
        assert found is None, source
        return
    assert (mm(found.short), mm(found.long)) == (mm(parse_length(short)), mm(parse_length(long))), source
    assert found.padded is padded


def test_every_envelope_is_read_by_its_own_name():
    for name, envelope in ENVELOPES.items():
        assert read_envelope(name) == envelope


def test_lines_of_a_card_that_is_sent_in_something_too_small_name_one_that_fits():
    lines = sending_lines(REGATTA, "C6", ["USPS", "the ferry"], unit="millimeter")
    assert "C6" in lines[0]
    assert "too small" in lines[0]
    assert "C5" in lines[1]  # 5 x 7 in is 127 x 178 mm; C5 is 162 x 229 mm (ISO 269)
    assert lines[2].startswith("USPS: ")
    assert lines[3] == "the ferry"
    assert "current rules" in lines[4]


def test_words_that_are_no_envelope_are_printed_as_they_were_typed():
    assert sending_lines(REGATTA, "brown paper & string") == ("It goes in: brown paper & string.",)


def test_without_a_word_of_the_tutor_the_envelope_is_of_the_papers_own_measure():
    # The card is 5 x 7 in, 127 x 178 mm: C6 (114 x 162) is too small, C5 (162 x 229) takes it; the A7
    # (5 1/4 x 7 1/4) is sold for it and leaves its 4.6 mm room.
    assert [line for line in sending_lines(REGATTA, unit="millimeter") if "C5" in line]
    assert [line for line in sending_lines(REGATTA, unit="inch") if "A7" in line]


def test_a_box_is_a_box():
    assert sending_lines(REGATTA, " Box ") == ("It goes in a box of its own.",)


def test_the_lines_are_german_and_what_was_typed_stays():
    said = sending_lines(
        REGATTA, "padded, 6 x 9 in inside", ["Royal Mail", "by ferry"], language=as_language("de")
    )
    assert said[0] == "Sie passt in einen gepolsterten Umschlag, innen 6 Zoll × 9 Zoll."
    assert said[1].startswith("Royal Mail: ")
    assert said[2] == "by ferry"
    assert "Regeln" in said[3]


def test_a_box_is_told_in_german_to_the_last_word():
    told = " ".join(box_envelope(REGATTA).lines(as_language("de")))
    assert "Rille es bei " in told
    for english in ("Score", "Cut", "Glue", "Lay", "Fold", "from", "comes"):
        assert english not in told.split()


@pytest.mark.parametrize("asked", ["", "box"])
def test_a_card_too_large_for_any_box_is_told_so(asked):
    """The box would need a piece over 2 m long, which no length in popkit may be."""
    banner = Card(width="2 m", height="2 m", tiers=stepped_tiers("2 m", 2), front=ClearFront())
    (told,) = sending_lines(banner, asked)
    assert "too large" in told
    wide = replace(banner, width="1.88 m", height="900 mm", tiers=stepped_tiers("900 mm", 2))
    assert all("too large" not in line for line in sending_lines(wide, asked))
