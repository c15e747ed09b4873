"""Lengths: what people type, what a ruler shows, what the standards print, and nothing inexact."""

from __future__ import annotations

import copy
import pickle
import re
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from popkit.lengths import (
    LONGEST,
    Grid,
    Length,
    LengthError,
    Q,
    as_grid,
    as_length,
    as_offset,
    from_mm,
    mm,
    parse_length,
    quoted,
    show_both,
    show_exact,
    show_length,
    unit_of,
    ureg,
)
from tests.strategies import grids, lengths_on, rulers, sizes

# A registry of our own making, with pint's own table of units: independent of popkit's factors.
ARITHMETIC = pint.UnitRegistry(non_int_type=Fraction)


def in_mm_by_pint(length: Length) -> Fraction:
    return ARITHMETIC.Quantity(length.magnitude, str(length.units)).to("millimeter").magnitude


# What people type ----------------------------------------------------------------------------

TYPED = [
    # as typed, value, unit
    ("8 1/2 in", Fraction(17, 2), "inch"),
    ("8½ in", Fraction(17, 2), "inch"),
    ("8½", Fraction(17, 2), "inch"),
    ('8½"', Fraction(17, 2), "inch"),
    ('8-1/2"', Fraction(17, 2), "inch"),
    ("8-1/2 in", Fraction(17, 2), "inch"),
    ("8 - 1/2 in", Fraction(17, 2), "inch"),
    ("8–1/2 in", Fraction(17, 2), "inch"),  # an en dash
    ("8-1/2-inch", Fraction(17, 2), "inch"),
    ("8 1 / 2 in", Fraction(17, 2), "inch"),
    ("8 1⁄2 in", Fraction(17, 2), "inch"),  # a fraction slash
    ("8 ¹⁄₂ in", Fraction(17, 2), "inch"),  # raised and lowered figures
    ("8¹⁄₂ in", Fraction(17, 2), "inch"),
    ("8 1∕2 in", Fraction(17, 2), "inch"),  # a division slash
    ("8 1/2 inches", Fraction(17, 2), "inch"),
    ("8 1/2 IN.", Fraction(17, 2), "inch"),
    ("  8   1/2   in  ", Fraction(17, 2), "inch"),
    ("8\N{NO-BREAK SPACE}1/2\N{THIN SPACE}in", Fraction(17, 2), "inch"),
    ("8½ ″", Fraction(17, 2), "inch"),  # a double prime
    ("8½”", Fraction(17, 2), "inch"),  # a curly quote
    ("8½''", Fraction(17, 2), "inch"),  # two single quotes
    ("８ in", Fraction(8), "inch"),  # full width, as a Japanese keyboard types it
    ("4 15/16in", Fraction(79, 16), "inch"),
    ("4¹⁵⁄₁₆ in", Fraction(79, 16), "inch"),
    ("4⅟16 in", Fraction(65, 16), "inch"),  # the "one over" character
    ("15/16", Fraction(15, 16), "inch"),
    ("9/4 in", Fraction(9, 4), "inch"),
    ("⅜", Fraction(3, 8), "inch"),
    ("⅔ in", Fraction(2, 3), "inch"),
    ("5.5 in", Fraction(11, 2), "inch"),
    (".5in", Fraction(1, 2), "inch"),
    ("5. in", Fraction(5), "inch"),
    ("0.1 in", Fraction(1, 10), "inch"),
    ("140 mm", Fraction(140), "millimeter"),
    ("140mm", Fraction(140), "millimeter"),
    ("12.5 mm.", Fraction(25, 2), "millimeter"),
    ("0.1 millimetres", Fraction(1, 10), "millimeter"),
    ("14 cm", Fraction(14), "centimeter"),
    ("14 ㎝", Fraction(14), "centimeter"),
    ("0.14 m", Fraction(7, 50), "meter"),
    ("1/2 mm", Fraction(1, 2), "millimeter"),
    ("1 ft", Fraction(1), "foot"),
    ("1 1/2 feet", Fraction(3, 2), "foot"),
    ("1 ft 6 in", Fraction(18), "inch"),
    ("1' 6½\"", Fraction(37, 2), "inch"),
    ("1'6''", Fraction(18), "inch"),
    ("2 ft 0 in", Fraction(24), "inch"),
    ("1 foot 6-1/2 inches", Fraction(37, 2), "inch"),
]


@pytest.mark.parametrize(("typed", "value", "unit"), TYPED, ids=[row[0] for row in TYPED])
def test_what_people_type_is_read_exactly(typed, value, unit):
    length = parse_length(typed)
    assert length.magnitude == value
    assert type(length.magnitude) is Fraction
    assert unit_of(length) == unit


@pytest.mark.parametrize(
    ("typed", "unit", "value", "read_in"),
    [
        ("5", "in", Fraction(5), "inch"),
        ("5.", "in", Fraction(5), "inch"),
        ("5", "IN", Fraction(5), "inch"),
        ("5.25", "inch", Fraction(21, 4), "inch"),
        ("140", "mm", Fraction(140), "millimeter"),
        ("1/2", "cm", Fraction(1, 2), "centimeter"),
        ("140 mm", "in", Fraction(140), "millimeter"),  # a unit that is typed goes before
    ],
)
def test_a_bare_number_is_in_the_unit_that_is_asked_for(typed, unit, value, read_in):
    length = parse_length(typed, unit)
    assert (length.magnitude, unit_of(length)) == (value, read_in)


REFUSED = [
    # as typed, what the message says is wrong, what it says to write
    ("", "empty", '"8½ in"'),
    ("   ", "empty", '"8½ in"'),
    ("5,5 mm", "comma", '"5.5 mm"'),
    ("5, 5 mm", "comma", '"5.5 mm"'),
    ("5，5 mm", "comma", '"5.5 mm"'),  # a full-width comma
    (",5 mm", "comma", '".5 mm"'),
    ("1,000 mm", "comma", '"1.000 mm", or a thousand without a mark, "1000 mm"'),
    ("1,234,567 mm", "comma", 'a thousand without a mark, "1234567 mm"'),
    ("5,5,5 mm", "comma", "a decimal with a point"),
    ("8,5", "comma", '"8.5"'),
    ("8.5", "no unit", '"8.5 in" or "8.5 mm"'),
    ("140", "no unit", '"140 in" or "140 mm"'),
    ("inf", "finite", "Write a number"),
    ("-infinity mm", "finite", "Write a number"),
    ("∞ in", "finite", "Write a number"),
    ("nan in", "finite", "Write a number"),
    ("0 in", "nothing", "above 0"),
    ("0.000 mm", "nothing", "above 0"),
    ("0/4 in", "nothing", "above 0"),
    ("-3 in", "less than nothing", "Leave out the minus"),
    ("−½ in", "less than nothing", "Leave out the minus"),
    ("2001 mm", "longer than 2 m", "slip"),
    ("200.1 cm", "longer than 2 m", "slip"),
    ("2.001 m", "longer than 2 m", "slip"),
    ("78 3/4 in", "longer than 2 m", "slip"),  # 2000.25 mm
    ("6 ft 7 in", "longer than 2 m", "slip"),
    ("9" * 40 + " in", "longer than 2 m", "slip"),
    ("1" * 70 + " in", "too long", "one length"),
    ("1/0 in", "divides by nought", '"8 1/2 in"'),
    ("8 1/0 in", "divides by nought", '"8 1/2 in"'),
    ("8 5/4 in", "5/4 after a whole number", '"8 1/2 in"'),
    ("8 4/4 in", "4/4 after a whole number", '"8 1/2 in"'),
    ("1 ft 12 in", "twelve inches", '"8 1/2 in"'),
    ("5e1 mm", "exponent", "Write it out"),
    ("1.5e-1 mm", "exponent", "Write it out"),
    ("5 x 7 in", "more than one length", "one length in each place"),
    ("5 × 7 in", "more than one length", "one length in each place"),
    ("5 by 7 in", "more than one length", "one length in each place"),
    ("5in x 7in", "more than one length", "one length in each place"),
    ("five inches", "no number in figures", '"8 1/2 in"'),
    ("in", "no number in figures", '"8 1/2 in"'),
    ("٥ mm", "no number in figures", '"8 1/2 in"'),  # an Arabic five
    ("5 pt", "“pt” where a unit should be", "in, mm, cm, ft and m"),
    ("5 yards", "“yards” where a unit should be", "in, mm, cm, ft and m"),
    ("5 inmm", "“inmm” where a unit should be", "in, mm, cm, ft and m"),
    ("5² in", "small figure", '"8 1/2 in"'),
    ("in 5", "not a length", '"8 1/2 in"'),
    ("5 in 7 in", "not a length", '"8 1/2 in"'),
    ("5.5.5 in", "not a length", '"8 1/2 in"'),
    ("8.5 1/2 in", "not a length", '"8 1/2 in"'),
    ("8 1/2 1/2 in", "not a length", '"8 1/2 in"'),
    ("1/2/3 in", "not a length", '"8 1/2 in"'),
    ("8½½ in", "not a length", '"8 1/2 in"'),
    ("1 000 mm", "not a length", '"140 mm"'),
    ("1_000 mm", "not a length", '"140 mm"'),
    ("$5 in", "not a length", '"8 1/2 in"'),
    ("5'6", "not a length", '"8 1/2 in"'),
    ("5%", "not a length", '"8 1/2 in"'),
    ("5 in;", "not a length", '"8 1/2 in"'),
]


@pytest.mark.parametrize(("typed", "why", "hint"), REFUSED, ids=[repr(row[0]) for row in REFUSED])
def test_what_cannot_be_read_is_quoted_with_what_to_write(typed, why, hint):
    with pytest.raises(LengthError) as caught:
        parse_length(typed)
    message = str(caught.value)
    assert message.startswith("“")
    assert message == f"{quoted(typed)}: {caught.value.why}. {caught.value.hint}."
    assert why in caught.value.why
    assert hint in caught.value.hint
    assert caught.value.text == typed


def test_a_long_text_is_quoted_short():
    with pytest.raises(LengthError) as caught:
        parse_length("5 in " * 10_000)
    assert len(str(caught.value)) < 160


@pytest.mark.parametrize(
    "typed", ["5,5\x1b[31m mm", "5\x00 in", "5\N{RIGHT-TO-LEFT OVERRIDE} in", "\ud800"]
)
def test_what_does_not_print_is_not_printed(typed):
    with pytest.raises(LengthError) as caught:
        parse_length(typed)
    assert str(caught.value).isprintable()


@pytest.mark.parametrize("given", [5, 5.5, None, b"5 in", ["5 in"], Q(5, "inch")])
def test_parse_length_reads_text_alone(given):
    with pytest.raises(LengthError, match="is not text"):
        parse_length(given)


@pytest.mark.parametrize("unit", ["xx", "", "furlong", "second", "px", 5])
def test_a_unit_that_is_none_is_named(unit):
    with pytest.raises(LengthError, match=f"“{unit}”: is no unit of length. Units are in, mm, cm, ft"):
        parse_length("5", unit)


@pytest.mark.parametrize(
    ("typed", "value"),
    [("0 in", Fraction(0)), ("-1/16 in", Fraction(-1, 16)), ("+½ in", Fraction(1, 2))],
)
def test_an_offset_may_be_nothing_or_less(typed, value):
    assert parse_length(typed, offset=True).magnitude == value
    assert as_offset(typed).magnitude == value


def test_two_metres_is_the_longest_and_can_be_had():
    assert mm(LONGEST) == 2000
    for typed in ("2000 mm", "200 cm", "2 m"):
        assert mm(parse_length(typed)) == 2000
    with pytest.raises(LengthError, match="longer than 2 m"):
        parse_length("-2001 mm", offset=True)


# Bugs that were ------------------------------------------------------------------------------


@pytest.mark.parametrize("typed", ["½5 in", "8½5 in", "½ 5 in", "1⁄₂5 in"])
def test_a_figure_after_a_fraction_was_read_as_more_of_its_foot(typed):
    with pytest.raises(LengthError, match="not a length"):  # it was 1/25 in
        parse_length(typed)


@pytest.mark.parametrize("typed", ["5₂ in", "¹² in", "1¹ in", "₅ in"])
def test_small_figures_were_read_as_whole_ones(typed):
    with pytest.raises(LengthError, match="small figure"):
        parse_length(typed)


@pytest.mark.parametrize("typed", ["5-", "5 -", "5..", "5 ."])
def test_a_stop_or_dash_with_no_unit_was_let_by(typed):
    with pytest.raises(LengthError, match="not a length"):
        parse_length(typed, "in")


def test_a_numpy_integer_stayed_inside_the_fraction():
    for number in (np.int64(5), np.int8(5), np.uint16(5)):
        for exact in (
            mm(Q(number, "inch")),
            as_length(Q(number, "inch")).magnitude,
            mm(from_mm(number)),
        ):
            assert type(exact.numerator) is int
            assert type(exact.denominator) is int
    assert mm(Q(np.int8(100), "inch")) == 2540  # which no int8 holds


def test_a_quantity_of_another_registry_was_a_traceback_out_of_pint():
    for unit in ("inch", "millimeter", "yard"):
        with pytest.raises(LengthError, match="another pint registry"):
            mm(ARITHMETIC.Quantity(Fraction(1), unit))


def test_a_size_in_a_unit_no_ruler_has_was_a_key_error_later():
    assert mm(Q(Fraction(1), "yard")) == Fraction("914.4")
    with pytest.raises(LengthError, match="is in no unit of ours"):
        as_length(Q(Fraction(1), "yard"))
    with pytest.raises(LengthError, match="no unit of length"):
        from_mm(Fraction(5), "yard")


def test_a_third_that_is_not_quite_was_shown_as_a_third():
    nearly = Fraction(333_333_333_333_333_333, 10**18)
    assert show_length(Q(nearly, "inch"), Grid(Q(Fraction(1, 10**18), "inch"))) == (
        "333333333333333333⁄1000000000000000000 in"
    )


def test_the_error_could_not_cross_to_another_process():
    fault = LengthError("5,5", "has a comma", "Write 5.5")
    for again in (pickle.loads(pickle.dumps(fault)), copy.copy(fault)):
        assert str(again) == str(fault)
        assert (again.text, again.why, again.hint) == (fault.text, fault.why, fault.hint)


# No float gets in ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "number", [5.0, 0.5, float("inf"), float("nan"), np.float64(5), Decimal("5.5"), 5j]
)
def test_no_inexact_number_gets_in(number):
    length = Q(number, "inch")
    for reader in (mm, as_length, as_offset, Grid, as_grid, lambda one: show_length(one, "1 mm")):
        with pytest.raises(LengthError, match="inexact"):
            reader(length)
    with pytest.raises(LengthError, match="not an exact number"):
        from_mm(number)


@pytest.mark.parametrize("given", [5, 5.0, None, True, np.ones(2), object()])
def test_what_is_no_length_is_said_to_be_none(given):
    for reader in (mm, as_length, as_grid):
        with pytest.raises(LengthError, match="is not a length"):
            reader(given)
    for unit in ("second", "kilogram", "degree", ""):
        with pytest.raises(LengthError, match="is not a length"):
            mm(Q(5, unit))


@given(sizes())
def test_millimetres_agree_with_pints_own_table(length):
    exact = mm(length)
    assert type(exact) is Fraction
    assert exact == in_mm_by_pint(length)


@given(sizes(), st.sampled_from(["inch", "millimeter", "centimeter", "meter", "foot"]))
def test_a_length_comes_back_from_any_unit(length, unit):
    there = from_mm(mm(length), unit)
    assert mm(there) == mm(length)
    assert unit_of(there) == unit
    assert in_mm_by_pint(there) == in_mm_by_pint(length)


def test_popkits_registry_is_pints_own():
    assert pint.get_application_registry().get() is ureg
    assert mm(pint.Quantity(Fraction(1), "inch")) == Fraction("25.4")


# Standards -------------------------------------------------------------------------------------

AGREEMENT = "international yard and pound agreement, 1959: yard = 0.9144 m exactly"


@pytest.mark.parametrize(
    ("length", "millimetres", "source"),
    [
        (Q(36, "inch"), Fraction("914.4"), AGREEMENT),
        (Q(3, "foot"), Fraction("914.4"), AGREEMENT),
        (Q(1, "inch"), Fraction("25.4"), f"{AGREEMENT}; / 36"),
        (Q(36, "foot"), Fraction("10972.8"), "NIST SP 811 (2008), B.7.2: 36 ft -> 10.9728 m"),
        (Q(1, "point"), Fraction(254, 720), "PostScript and CSS: 72 points to the inch; from memory"),
        (Q(7, "thou"), Fraction("0.1778"), "USPS minimum caliper 0.007 in; 0.001 in = 25.4 um"),
    ],
)
def test_units_are_what_the_agreements_say(length, millimetres, source):
    assert mm(length) == millimetres, source


NIST = "NIST SP 811 (2008), B.7.1"
NIST_FEET = "NIST SP 811 (2008), B.7.2"
LC_1137 = "NIST LC 1137, Metric Style Guide, as quoted"
USPS = "USPS postage calculator help"


@pytest.mark.parametrize(
    ("length", "grid", "published", "source"),
    [
        ("6.9749515 mm", "0.1 mm", "7.0", f"{NIST}, two figures"),
        ("6.9749515 mm", "0.01 mm", "6.97", f"{NIST}, three figures"),
        ("6.9749515 mm", "0.0001 mm", "6.9750", f"{NIST}, five figures"),
        ("6.9749515 mm", "0.000001 mm", "6.974952", f"{NIST}, seven figures: a tie, to the even digit"),
        ("6.9749505 mm", "0.000001 mm", "6.974950", f"{NIST}, seven figures: a tie, to the even digit"),
        ("36 in", "1 cm", "91", f"{LC_1137}: not 91.44"),
        ("40.1 in", "0.1 cm", "101.9", LC_1137),
        ("3.5 in", "0.001 cm", "8.890", USPS),
        # USPS prints 15.557: cut off, not rounded. 6.125 x 2.54 = 15.5575 exactly, and its even
        # neighbour is 15.558.
        ("6 1/8 in", "0.001 cm", "15.558", f"{USPS}, its 15.557 corrected"),
        ("11 1/2 in", "0.001 cm", "29.210", USPS),
        ("5 in", "0.001 cm", "12.700", USPS),
        ("0.007 in", "0.001 cm", "0.018", USPS),
        ("1/4 in", "0.001 cm", "0.635", USPS),
    ],
)
def test_rounding_is_what_the_standards_print(length, grid, published, source):
    assert Grid(grid).nearest(parse_length(length)).magnitude == Fraction(published), source


def test_thirty_six_feet_to_three_figures():
    rounded = Grid("10 cm").nearest(Q(36, "foot"))
    assert mm(rounded) == 11_000, NIST_FEET


@pytest.mark.parametrize(
    ("halves", "mark"), [(1, 0), (3, 2), (5, 2), (7, 4), (9, 4), (11, 6), (-1, 0), (-3, -2), (-5, -2)]
)
@pytest.mark.parametrize("step", ["1/16 in", "1 mm", "0.5 mm", "2 mm", "1 cm"])
def test_ties_go_to_the_even_mark(halves, mark, step):
    """ISO 80000-1:2009, annex B, rule A, from memory; NIST SP 811, B.7.1."""
    grid = Grid(step)
    half = Q(grid.step.magnitude / 2 * halves, grid.unit)
    assert grid.nearest(half).magnitude == mark * grid.step.magnitude


# Rulers ----------------------------------------------------------------------------------------


@given(st.data(), grids())
def test_what_a_ruler_shows_reads_back_as_the_mark(data, grid):
    mark = data.draw(lengths_on(grid, sizes=False))
    assert grid.holds(mark)
    back = parse_length(show_length(mark, grid), offset=True)
    assert mm(back) == mm(mark)
    assert unit_of(back) == grid.unit


@given(st.data(), rulers())
def test_a_size_on_a_ruler_reads_back_as_a_size(data, grid):
    mark = data.draw(lengths_on(grid))
    assert parse_length(show_length(mark, grid)) == mark
    assert parse_length(show_exact(mark)) == mark


@given(sizes(), grids())
def test_the_nearest_mark_lies_no_further_than_half_a_step(length, grid):
    step, exact = mm(grid.step), in_mm_by_pint(length)
    near, down, up = (in_mm_by_pint(mark(length)) for mark in (grid.nearest, grid.down, grid.up))
    assert abs(near - exact) * 2 <= step
    assert down <= exact <= up
    assert up - down in (0, step)
    assert (up == down) == grid.holds(length)
    for mark in (near, down, up):
        assert (mark / step).denominator == 1
    if abs(near - exact) * 2 == step:
        assert (near / step) % 2 == 0


@given(sizes(longest_mm=1100), grids())  # the nearest mark may be 32 in further on
def test_a_ruler_shows_the_nearest_mark(length, grid):
    assert mm(parse_length(show_length(length, grid), offset=True)) == in_mm_by_pint(
        grid.nearest(length)
    )


SHOWN = [
    # length, ruler, as printed
    ("8 1/2 in", "1/16 in", "8½ in"),
    ("2 15/16 in", "1/16 in", "2 15⁄16 in"),
    ("15/16 in", "1/16 in", "15⁄16 in"),
    ("3/8 in", "1/8 in", "⅜ in"),
    ("2 2/3 in", "1/3 in", "2⅔ in"),
    ("7 in", "1/16 in", "7 in"),
    ("8 1/2 in", "1 mm", "216 mm"),  # 215.9
    ("1/2 in", "0.5 mm", "12.5 mm"),  # 12.7: 25.4 steps, so 25
    ("1/2 in", "0.1 mm", "12.7 mm"),
    ("4 1/4 in", "0.1 cm", "10.8 cm"),  # 10.795
    ("216 mm", "1/16 in", "8½ in"),  # 8.504
    ("148 mm", "1/8 in", "5⅞ in"),  # 5.827: 46.6 eighths, so 47
    ("1/64 in", "1/16 in", "0 in"),
    ("1/10 in", "1/10 in", "1⁄10 in"),
    ("12.0 mm", "0.5 mm", "12 mm"),
]


@pytest.mark.parametrize(("length", "ruler", "printed"), SHOWN)
def test_a_length_is_printed_as_the_ruler_reads(length, ruler, printed):
    assert show_length(parse_length(length), ruler) == printed
    assert show_length(parse_length(length), Grid(ruler)) == printed
    assert show_length(parse_length(length), parse_length(ruler)) == printed


def test_both_rulers_stand_side_by_side():
    assert show_both(parse_length("8½ in"), "1/16 in", "1 mm") == "8½ in (216 mm)"
    assert show_both(parse_length("140 mm"), "1 mm", "1/16 in") == "140 mm (5½ in)"  # 5.512


@pytest.mark.parametrize(
    ("length", "printed"),
    [
        (Q(Fraction(17, 2), "inch"), "8½ in"),
        (Q(Fraction(2159, 10), "millimeter"), "215.9 mm"),
        (Q(Fraction(1, 64), "inch"), "1⁄64 in"),
        (Q(Fraction(1, 128), "inch"), "0.0078125 in"),
        (Q(Fraction(3, 2), "foot"), "1½ ft"),
        (Q(Fraction(1, 3), "millimeter"), "≈0.333 mm"),
        (Q(Fraction(-1, 3), "millimeter"), "≈−0.333 mm"),
        (Q(Fraction(-5, 2), "millimeter"), "−2.5 mm"),
        (Q(0, "inch"), "0 in"),
        (Q(5, "yard"), "5 yard"),
    ],
)
def test_a_length_in_its_own_unit_is_printed_in_full(length, printed):
    assert show_exact(length) == printed


@given(sizes())
def test_what_is_printed_in_full_is_exact_or_says_that_it_is_not(length):
    shown = show_exact(length)
    if shown.startswith("≈"):
        back = parse_length(shown[1:], offset=True)
        assert abs(back.magnitude - length.magnitude) <= Fraction(1, 2000)
    else:
        assert parse_length(shown) == length


@pytest.mark.parametrize(
    ("step", "why"),
    [
        ("0 in", "nothing"),
        ("-1 mm", "less than nothing"),
        ("1 ft", "no mark of a ruler"),
        ("1 m", "no mark of a ruler"),
        ("1/3 mm", "no mark of a metric ruler"),
        ("1/7 cm", "no mark of a metric ruler"),
        ("3 m", "longer than 2 m"),
        ("16th", "“th” where a unit should be"),
        ("", "empty"),
    ],
)
def test_what_is_no_ruler_is_refused(step, why):
    with pytest.raises(LengthError, match=why):
        Grid(step)


def test_a_ruler_says_what_it_is():
    grid = Grid("1/16 in")
    assert (str(grid), grid.unit) == ("1⁄16 in", "inch")
    assert as_grid("1/16 in") == as_grid(grid) == as_grid(parse_length("1/16 in")) == grid
    assert grid.marks(parse_length("8½ in")) == 136
    assert grid.at(136) == parse_length("8½ in")
    assert repr(Grid("1 mm")) == "Grid(step=<Quantity(1, 'millimeter')>)"
    with pytest.raises(AttributeError):
        grid.step = parse_length("1 in")


# Anything at all -------------------------------------------------------------------------------

KEYS = st.text(
    st.sampled_from("0123456789 ½⅓¼⅛¹²⁵₁₂₆/⁄.,-–−+\"'″incmftx×e" + "\N{NO-BREAK SPACE}\t∞"), max_size=14
)


def read_or_refused(text: str, unit: str | None, offset: bool) -> Length | LengthError:
    try:
        return parse_length(text, unit, offset=offset)
    except LengthError as fault:
        return fault


def only_a_length_or_a_refusal(text: str, unit: str | None, offset: bool) -> None:
    length = read_or_refused(text, unit, offset)
    if isinstance(length, LengthError):
        assert length.text == text
        assert str(length).startswith(quoted(text))
        assert str(length).isprintable()
        return
    assert type(length.magnitude) is Fraction
    assert unit_of(length) in ("inch", "millimeter", "centimeter", "meter", "foot")
    assert abs(mm(length)) <= 2000
    assert offset or mm(length) > 0


@given(st.one_of(KEYS, st.text(max_size=80)), st.sampled_from([None, "in", "mm"]), st.booleans())
@example("5 1/2\N{COMBINING ENCLOSING CIRCLE} in", None, False)
@example("ﷺ" * 30, None, False)
@example("1" * 5000 + " in", None, False)
def test_any_text_is_a_length_or_a_clear_refusal(text, unit, offset):
    only_a_length_or_a_refusal(text, unit, offset)


PLAIN = re.compile(
    r"(?:([0-9]{1,2})[ -])?([0-9]{1,3})/([0-9]{1,3}) in|([0-9]{1,3}(?:\.[0-9]{1,3})?) ?(in|mm|cm)"
)


@given(st.one_of(st.from_regex(PLAIN, fullmatch=True), KEYS.map(str.strip)))
@example("8-1/2 in")
@example("12.50 mm")
def test_what_is_read_is_what_a_second_reader_reads(text):
    """A reader of the plainest forms, written apart: wherever both read a length they agree."""
    found = PLAIN.fullmatch(text)
    try:
        read = mm(parse_length(text, offset=True))
    except LengthError:
        return
    if found is None:
        return
    whole, over, under, decimal, unit = found.groups()
    if decimal is not None:
        factor = {"in": Fraction("25.4"), "mm": 1, "cm": 10}[unit]
        assert read == Fraction(decimal) * factor
    else:
        assert read == (int(whole or 0) + Fraction(int(over), int(under))) * Fraction("25.4")


@given(
    st.integers(0, 70), st.integers(0, 127), st.sampled_from([2, 4, 8, 16, 32, 64, 128]), st.booleans()
)
def test_every_way_of_writing_a_mixed_fraction_is_read_alike(whole, over, under, unit_apart):
    over %= under
    value = whole + Fraction(over, under)
    if value == 0:
        return
    unit = " in" if unit_apart else "in"
    raised = str(over).translate(str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹"))
    lowered = str(under).translate(str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉"))
    ways = [f"{whole} {over}/{under}", f"{whole}-{over}/{under}", f"{whole} {over}⁄{under}"]
    ways += [f"{whole}{raised}⁄{lowered}", f"{whole} {raised}⁄{lowered}", f"{float(value):.10f}"]
    for way in ways:
        assert parse_length(way + unit).magnitude == value
