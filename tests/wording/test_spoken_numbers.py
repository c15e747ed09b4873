"""Numbers in words and on rulers, against spelling them out another way, and against pint."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from popkit.lengths import Grid, from_mm, mm, show_length, unit_of
from popkit.wording import find_lengths

_SMALL = (
    "nought one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen "
    "sixteen seventeen eighteen nineteen"
)
_TENS = "- - twenty thirty forty fifty sixty seventy eighty ninety"
SMALL, TENS = _SMALL.split(" "), _TENS.split(" ")
PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty-second"}


def spelled(number: int, dash: str = "-", link: str = " and ") -> str:
    """A number below 10,000 as it is said in English."""
    if number >= 1000:
        rest = number % 1000
        return f"{SMALL[number // 1000]} thousand" + (
            f"{link if rest < 100 else ' '}{spelled(rest, dash, link)}" if rest else ""
        )
    if number >= 100:
        rest = number % 100
        return f"{SMALL[number // 100]} hundred" + (f"{link}{spelled(rest, dash, link)}" if rest else "")
    if number >= 20:
        return TENS[number // 10] + (f"{dash}{SMALL[number % 10]}" if number % 10 else "")
    return SMALL[number]


def only(text: str, unit: str = "in") -> tuple[Fraction, str]:
    """The one length of a text, which must be sure and cover the whole of it."""
    (found,) = find_lengths(text, unit)
    assert (found.text, found.doubt) == (text, None)
    return found.length.magnitude, unit_of(found.length)


@pytest.mark.parametrize(("dash", "link"), [("-", " and "), (" ", " ")])
def test_every_whole_number_in_words(dash: str, link: str) -> None:
    for number in [*range(1, 1000), 1000, 1001, 1200, 1216, 2999]:
        text = f"{spelled(number, dash, link)} millimetres"
        assert only(text) == (number, "millimeter"), text


@pytest.mark.parametrize("part", [4, 8, 16, 32])
def test_every_fraction_of_a_ruler_in_words(part: int) -> None:
    for over in range(1, part, 2):
        plural = "s" if over > 1 else ""
        said = f"{spelled(over)} {PARTS[part]}{plural}"
        value = Fraction(over, part)
        assert only(f"{said} of an inch") == (value, "inch")
        assert only(f"five and {said} inches") == (5 + value, "inch")
        assert only(f"an inch and {said}") == (1 + value, "inch")
        if over < 20:
            assert only(f"{said.replace(' ', '-')}-inch") == (value, "inch")


def test_halves_in_words() -> None:
    for text, value in [
        ("half an inch", Fraction(1, 2)),
        ("a half inch", Fraction(1, 2)),
        ("one half of an inch", Fraction(1, 2)),
        ("half-inch", Fraction(1, 2)),
        ("two and a half inches", Fraction(5, 2)),
        ("two inches and a half", Fraction(5, 2)),
        ("two-and-a-half-inch", Fraction(5, 2)),
        ("twenty-one and one half inches", Fraction(43, 2)),
    ]:
        assert only(text) == (value, "inch"), text


SIGNS = {
    "mixed": "{whole} {over}/{under}",
    "hyphen": "{whole}-{over}/{under}",
    "fraction stroke": "{whole} {over}⁄{under}",
    "and": "{whole} and {over}/{under}",
    "ordinal": "{whole} {over}/{under}ths",
}
UNITS = {
    "in": "inch",
    " in": "inch",
    " inches": "inch",
    '"': "inch",
    "″": "inch",
    "”": "inch",
    "''": "inch",
}


@pytest.mark.parametrize("form", SIGNS.values(), ids=SIGNS)
@pytest.mark.parametrize("unit", UNITS)
def test_every_sixteenth_in_figures(form: str, unit: str) -> None:
    if form.endswith("ths") and unit == "in":
        unit = " in"
    for over, under in [(n, part) for part in (2, 4, 8, 16) for n in range(1, part, 2)]:
        for whole in (1, 4, 11):
            text = form.format(whole=whole, over=over, under=under) + unit
            assert only(text) == (whole + Fraction(over, under), "inch"), text


GRIDS = [
    "1/2 in",
    "1/4 in",
    "1/8 in",
    "1/16 in",
    "1/32 in",
    "1/64 in",
    "1 mm",
    "0.5 mm",
    "0.1 cm",
    "1 cm",
]


@given(st.integers(1, 4000), st.sampled_from(GRIDS))
def test_what_popkit_prints_it_reads(marks: int, step: str) -> None:
    """The text of every mark of every ruler is that length: parse(show(x)) = x."""
    grid = Grid(step)
    assert only(show_length(grid.at(marks), grid)) == (grid.at(marks).magnitude, grid.unit)


plain = pint.UnitRegistry()


@given(
    st.decimals(min_value="0.01", max_value=999, places=2),
    st.sampled_from(
        ["in", "inch", "inches", "mm", "cm", "m", "ft", "feet", "millimeter", "centimeters"]
    ),
)
def test_plain_decimals_as_pint_reads_them(number, unit: str) -> None:
    """pint's own parser is right about one decimal and one unit; it is another arithmetic."""
    text = f"{number:f} {unit}"
    (found,) = find_lengths(text)
    assert float(mm(found.length)) == pytest.approx(plain(text).m_as("mm"), rel=1e-12)
    assert mm(found.length) == mm(from_mm(Fraction(str(number)), "mm")) * Fraction(
        str(plain(f"1 {unit}").m_as("mm").__round__(6))
    )
