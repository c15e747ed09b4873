"""Rewriting: what is written, what is kept and why, the tutor's decisions, the card's own values."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import pytest

from popkit.lengths import Grid, LengthError, mm, show_length
from popkit.wording import WordingError, find_lengths, rewrite, rewritten


@pytest.mark.parametrize(
    ("text", "grid", "now"),
    [
        # by hand: 8½ in = 215.9, 5 in = 127, ½ in = 12.7, 4½ in = 114.3, 1 in = 25.4 mm
        ("8½ x 5", "1 mm", "216 mm x 127 mm"),
        ("score at ½, 1 and 4½", "1 mm", "score at 13 mm, 25 mm and 114 mm"),
        ("score at ½, 1 and 4½", "0.5 mm", "score at 12.5 mm, 25.5 mm and 114.5 mm"),
        ("a quarter-inch tab", "1 mm", "a 6 mm tab"),
        ("half an inch deep", "1 mm", "13 mm deep"),
        ("4 to 5 in", "1 mm", "102 mm to 127 mm"),
        ("5 ft of ribbon", "1 cm", "152 cm of ribbon"),
        # by hand: 13 mm = 8.19 sixteenths, 25 mm = 15.75, 114 mm = 71.81; 216 mm = 136.06
        ("mark 13, 25 and 114 mm", "1/16 in", "mark ½ in, 1 in and 4½ in"),
        ("216 x 127 mm", "1/8 in", "8½ in x 5 in"),
        ("5x7in", "1 mm", "127 mm x 178 mm"),
    ],
)
def test_rewritten_text(text: str, grid: str, now: str) -> None:
    assert rewrite(text, grid) == now


@pytest.mark.parametrize(
    ("text", "now"),
    [
        ("Cut 8½ in off.", "Cut 8½ in (216 mm) off."),
        ("8½ x 5 in", "8½ (216 mm) x 5 in (127 mm)"),
        ("a quarter-inch tab", "a quarter-inch (6 mm) tab"),
        ("5x7 card", "5 (127 mm) x7 (178 mm) card"),
    ],
)
def test_the_original_is_kept_beside_it(text: str, now: str) -> None:
    assert rewrite(text, "1 mm", keep_original=True) == now


@pytest.mark.parametrize(
    "text",
    [
        "a 127 mm strip, 5 cm wide, 2 m long",
        "8½ in (216 mm)",
        "8½ x 5 in (216 × 127 mm)",
        "A4 is 210 x 297 mm (8¼ x 11¾ in)",
        "1 in = 25.4 mm",
        "6 in or 15 cm",
        "½ in wide (about 13 mm)",
        "acetate of 0.007 in",
        "0.01 in of glue",
    ],
)
def test_left_byte_for_byte_on_a_metric_ruler(text: str) -> None:
    """In metric already, given in both, or finer than the ruler: each with a reason that says so."""
    result = rewritten(text, "1 mm")
    assert result.text == text
    assert len(result.kept) == len(find_lengths(text))
    assert all(kept.why and not kept.waiting for kept in result.kept)


def test_two_units_that_do_not_agree_are_both_said() -> None:
    """½ in is no 25 mm: the text is wrong, and popkit must not hide it."""
    assert rewrite("½ in (25 mm)", "1 mm") == "13 mm (25 mm)"


@pytest.mark.parametrize("text", ["5 ft wide", "2½ in", "a yard of ribbon"])
def test_inches_are_left_on_a_ruler_in_inches(text: str) -> None:
    assert rewrite(text, "1/16 in") == text


def test_grid_as_text_or_ruler_is_the_same() -> None:
    assert rewrite("5 in", Grid("1 mm")) == rewrite("5 in", "1 mm")


def test_each_replacement_says_what_became_of_its_length() -> None:
    result = rewritten("Cut ½ in, then 5 mm.", "1 mm")
    (one,) = result.replacements
    assert (one.found.start, one.found.stop, one.found.text) == (4, 8, "½ in")
    assert result.text[one.start : one.stop] == one.text == "13 mm"
    assert (mm(one.exact), mm(one.rounded), mm(one.shift)) == (Fraction(127, 10), 13, Fraction(3, 10))
    assert [kept.found.text for kept in result.kept] == ["5 mm"]
    assert result.text[result.kept[0].start : result.kept[0].stop] == "5 mm"


# Decisions -------------------------------------------------------------------------


def test_a_doubtful_place_waits_until_it_is_decided() -> None:
    text = "Cut it at 5 and fold."
    assert [place.text for place in rewritten(text, "1 mm").waiting] == ["5"]
    assert rewrite(text, "1 mm") == text
    assert rewrite(text, "1 mm", decisions={10: "length"}) == "Cut it at 127 mm and fold."
    assert rewrite(text, "1 mm", decisions={10: "leave"}) == text
    assert rewritten(text, "1 mm", decisions={10: "leave"}).waiting == ()
    assert rewrite(text, "1 mm", decisions={10: "cm"}) == text  # it is metric already
    assert rewrite(text, "1/16 in", decisions={10: "cm"}) == "Cut it at 1 15⁄16 in and fold."


def test_a_sure_place_may_be_left_too() -> None:
    assert rewrite("8½ x 5", "1 mm", decisions={0: "leave"}) == "8½ x 127 mm"


def test_the_unit_of_a_bare_size_may_be_decided() -> None:
    text = "Cut 100 x 50."
    assert rewrite(text, "1/16 in") == text
    assert rewrite(text, "1/16 in", decisions={4: "mm", 10: "mm"}) == "Cut 3 15⁄16 in x 1 15⁄16 in."


def test_every_wrong_decision_is_told_at_once() -> None:
    with pytest.raises(WordingError) as caught:
        rewrite(
            "Cut it at 5, score at ½.",
            "1 mm",
            "mm",
            decisions={3: "length", 10: "ell", 22: "length"},
        )
    assert len(caught.value.faults) == 3
    assert "stands at 3" in str(caught.value)
    assert "“ell”" in str(caught.value)
    assert "Decide for a unit" in str(caught.value)


def test_a_length_that_says_its_unit_takes_no_other() -> None:
    with pytest.raises(WordingError, match="says its own unit"):
        rewrite("5 in", "1 mm", decisions={0: "cm"})


# Values of the card ------------------------------------------------------------------


def test_a_given_mark_stands_in_for_the_nearest() -> None:
    result = rewritten("score at 1 in and 2 in", "1 mm", values={9: "26 mm"})
    assert result.text == "score at 26 mm and 51 mm"
    assert [one.given for one in result.replacements] == [True, False]
    assert mm(result.replacements[0].shift) == Fraction(3, 5)  # 26 - 25.4


def test_values_that_fit_no_place_or_no_mark_are_refused_together() -> None:
    with pytest.raises(WordingError) as caught:
        rewrite("score at 1 in", "1 mm", values={9: "25.5 mm", 2: "26 mm"})
    assert len(caught.value.faults) == 2
    assert "no mark" in str(caught.value)


# Articles and gaps -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "now"),
    [
        ("an 8½ x 11 sheet", "a 216 mm x 279 mm sheet"),
        ("An eighth-inch gap", "A 3 mm gap"),
        ("a 3½ in tab", "an 89 mm tab"),
        ("a 7⅛-inch strip", "a 181 mm strip"),  # one hundred and eighty-one
        ("a half-inch tab", "a 13 mm tab"),
        ("China 3½ in", "China 89 mm"),
    ],
)
def test_articles_are_mended_where_asked(text: str, now: str) -> None:
    assert rewrite(text, "1 mm", mend_articles=True) == now


def test_articles_are_left_unless_asked() -> None:
    assert rewrite("an 8½ x 11 sheet", "1 mm") == "an 216 mm x 279 mm sheet"


# Text in, text out ------------------------------------------------------------------------

ODD = [
    "Fold it.\r\nThen glue.\r\n",
    "\ttabs\tand  gaps \n\n\n",
    "“odd” ‘quotes’ „and“ «more»",
    "emoji 👩‍👩‍👧 and ✂️",
    "עברית ואז 12 דקות",
    "nul \0 and bell \a",
    "\ud800 alone",
    "a\u200bb\ufeffc",
    "",
]


@pytest.mark.parametrize("text", ODD)
def test_text_without_lengths_is_the_same_text(text: str) -> None:
    assert find_lengths(text) == []
    assert rewrite(text, "1 mm") == text
    assert rewrite(text, "1 mm", keep_original=True) == text


@pytest.mark.parametrize("text", ODD)
def test_odd_text_around_a_length_stays(text: str) -> None:
    assert rewrite(f"{text}\n\n5 in\n\n{text}", "1 mm") == f"{text}\n\n127 mm\n\n{text}"


def test_a_unit_that_is_none_is_refused() -> None:
    for unit in ("ell", "", "kg"):
        with pytest.raises(LengthError, match="is no unit"):
            find_lengths("8½ x 5", unit)


def test_the_assumed_unit_is_the_callers() -> None:
    (wide, tall) = find_lengths("216 x 127", "mm")
    assert (show_length(wide.length, "1 mm"), show_length(tall.length, "1 mm")) == ("216 mm", "127 mm")


def test_reading_loads_no_drawing_and_minds_no_packrat() -> None:
    """matplotlib switches pyparsing's memory on for the whole process; the lengths stay the same."""
    program = (
        "import sys, popkit\n"
        "assert 'pyparsing' not in sys.modules\n"
        "from popkit.wording import find_lengths, grammar\n"
        "assert not {'matplotlib', 'ipywidgets', 'highspy', 'typst'} & set(sys.modules)\n"
        "text = 'Score at half an inch, one and four and a half; 4-3/4 x 3-1/4, 1/16th of an inch.'\n"
        "before = find_lengths(text)\n"
        "import pyparsing\n"
        "pyparsing.ParserElement.enable_packrat()\n"
        "grammar.remembered.cache_clear()\n"
        "assert find_lengths(text) == before and len(before) == 6\n"
    )
    subprocess.run([sys.executable, "-c", program], check=True)
