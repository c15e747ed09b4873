"""Conversions that somebody else printed, met by rewriting the sentence they stand in."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from popkit.lengths import Grid, mm
from popkit.wording import find_lengths, rewrite, rewritten

LC1137 = "NIST LC 1137, Metric Style Guide"
USPS = "USPS postage calculator help, postcalc.usps.com/PopUps/Letter.htm"
CANADA = "Canada Post, size requirements"


@pytest.mark.parametrize(
    ("said", "grid", "printed", "source"),
    [
        ("36 in", "1 cm", "91 cm", f"{LC1137}: not 91.44"),
        ("40.1 in", "0.1 cm", "101.9 cm", LC1137),
        ("36 ft", "10 cm", "1100 cm", "NIST SP 811 (2008), B.7.2: 10.9728 m -> 11.0 m"),
        ("3.5 in", "0.001 cm", "8.89 cm", f"{USPS}: 8.890"),
        ("11 1/2 in", "0.001 cm", "29.21 cm", f"{USPS}: 29.210"),
        ("5 in", "0.001 cm", "12.7 cm", f"{USPS}: 12.700"),
        ("1/4 in", "0.001 cm", "0.635 cm", USPS),
        ("0.007 in", "0.001 cm", "0.018 cm", USPS),
        # misprint: the page has 15.557; 6.125 x 2.54 = 15.5575, a tie, and 8 is the even digit
        ("6 1/8 in", "0.001 cm", "15.558 cm", f"{USPS}, truncated there"),
        ("140 x 90 mm", "1/10 in", "5½ in x 3½ in", f"{CANADA}: 5.5 x 3.5 in"),
        ("380 mm", "1/2 in", "15 in", f"{CANADA}: 15 in"),
    ],
)
def test_published_conversion(said: str, grid: str, printed: str, source: str) -> None:
    assert rewrite(f"It is {said} long.", grid) == f"It is {printed} long."


@pytest.mark.parametrize(
    ("said", "exact", "misprinted", "source"),
    [
        (
            "An A2 envelope is 4 3/8 x 5 3/4 in.",
            ("111.125", "146.05"),
            ("110.3", "144.9"),
            "the-uncensored-wiki, Envelope size; inches PWG 5101.1 na_a2_4.375x5.75in",
        ),
        (
            "A #10 envelope is 4⅛ x 9½ in.",
            ("104.775", "241.3"),
            ("104.0", "239.4"),
            "the-uncensored-wiki, Envelope size; inches PWG 5101.1 na_number-10_4.125x9.5in",
        ),
    ],
)
def test_envelopes_and_the_misprints_about_them(
    said: str, exact: tuple[str, str], misprinted: tuple[str, str], source: str
) -> None:
    """The table's millimetres are off by up to 2 mm: it says so when they are set side by side."""
    found = find_lengths(said)
    assert [mm(one.length) for one in found] == [Fraction(side) for side in exact]
    beside = f"{said[:-1]} ({misprinted[0]} x {misprinted[1]} mm)."
    shifts = [
        abs(mm(inch.length) - mm(metric.length))
        for inch, metric in zip(find_lengths(beside)[:2], find_lengths(beside)[2:], strict=True)
    ]
    assert max(shifts) > 1


@pytest.mark.parametrize(
    ("inches", "even"),
    [("1/2 in", 12), ("1½ in", 38)],
)
def test_not_ties_but_near_them(inches: str, even: int) -> None:
    """12.7 and 38.1 mm are no ties; on a ruler of 2 mm they still go to the nearest mark.

    Source of the rule: NIST SP 811 (2008), B.7.1; the products are worked by hand.
    """
    assert rewrite(inches, "2 mm") == f"{even} mm"


@pytest.mark.parametrize(
    ("said", "grid", "mark"),
    [
        # by hand: 127 mm is 50.8 marks of 2.5 mm; 6.35 mm is half of 12.7, and a tie of 12.7 mm
        ("2.38125 mm", "1/16 in", "⅛ in"),  # 1.5 sixteenths: ties to 2, the even one
        ("3.96875 mm", "1/16 in", "⅛ in"),  # 2.5 sixteenths: ties to 2
        ("5.55625 mm", "1/16 in", "¼ in"),  # 3.5 sixteenths: ties to 4
        ("1 1/4 in", "63.5 mm", "0 mm"),  # half a mark: ties to 0, so it is left, see below
        ("3¾ in", "63.5 mm", "127 mm"),  # 95.25 mm is 1.5 marks: ties to 2
    ],
)
def test_ties_go_to_the_even_mark(said: str, grid: str, mark: str) -> None:
    """Source: NIST SP 811 (2008), B.7.1: ties to the even digit; the products worked by hand."""
    result = rewritten(said, grid)
    if mark == "0 mm":
        assert (result.text, result.replacements) == (said, ())
        assert "nothing" in result.kept[0].why
    else:
        assert result.text == mark


def test_iso_sizes_in_inches_come_back_as_themselves() -> None:
    """ISO 216 sizes to 1/64 in and back to whole millimetres: 1/64 in is finer than 1 mm."""
    sides = [1189, 841, 594, 420, 297, 210, 148, 105, 74]  # A0 to A7
    for height, width in pairwise(sides):
        there = rewrite(f"{width} x {height} mm", "1/64 in")
        assert rewrite(there, Grid("1 mm")) == f"{width} mm x {height} mm"
