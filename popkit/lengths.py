"""Lengths in and out of popkit: reading them, checking them, printing them.

The only module that builds a pint registry; everything else takes `Q` from here,
because pint refuses to mix quantities of two registries. Magnitudes are ints or
Fractions, never floats, so 1/16 in stays 1/16 in however often it is converted.

Imports: pint only.
Source: 1 in = 25.4 mm exactly, international yard and pound agreement, 1959.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from numbers import Rational

import pint

__all__ = [
    "LONGEST",
    "Grid",
    "Length",
    "LengthError",
    "Q",
    "as_grid",
    "as_length",
    "as_offset",
    "from_mm",
    "in_inches",
    "mm",
    "parse_length",
    "quoted",
    "show_both",
    "show_exact",
    "show_length",
    "unit_of",
    "ureg",
]


def _registry() -> pint.UnitRegistry:
    """One exact registry, from pint's own cache folder where the disk allows it."""
    try:
        return pint.UnitRegistry(non_int_type=Fraction, cache_folder=":auto:")
    except OSError:
        return pint.UnitRegistry(non_int_type=Fraction)


ureg = _registry()
pint.set_application_registry(ureg)
Q = ureg.Quantity
Length = pint.Quantity

LONGEST = Q(2000, "millimeter")
"""A size above this is a slip of the keyboard, not a card: two metres."""


class LengthError(ValueError):
    """A length that cannot be read or cannot be used.

    text  what was given, as it was typed
    why   what is wrong with it
    hint  what to write instead, or ""
    """

    def __init__(self, text: str, why: str, hint: str = "") -> None:
        self.text, self.why, self.hint = text, why, hint
        super().__init__(text, why, hint)

    def __str__(self) -> str:
        return f"{quoted(self.text)}: {self.why}." + (f" {self.hint}." if self.hint else "")


def quoted(text: str) -> str:
    """Text as a message quotes it: 40 characters at most, nothing that does not print."""
    shown = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text)
    return f"“{shown if len(shown) <= 40 else shown[:39] + '…'}”"


# Millimetres in one of each unit that a tutor types.
_PER_UNIT = {
    "millimeter": Fraction(1),
    "centimeter": Fraction(10),
    "meter": Fraction(1000),
    "inch": Fraction(127, 5),
    "foot": Fraction(1524, 5),
}
_SYMBOLS = {
    "millimeter": "mm",
    "centimeter": "cm",
    "meter": "m",
    "inch": "in",
    "foot": "ft",
}
_WRITTEN_IN = {name: (ureg.Unit(name), factor) for name, factor in _PER_UNIT.items()}
_FACTORS = {ureg.Unit(name): factor for name, factor in _PER_UNIT.items()}
_BY_CONTAINER = {unit._units: factor for unit, factor in _FACTORS.items()}
_NAMES = {ureg.Unit(name): name for name in _PER_UNIT}
_ALIASES = {
    alias: unit
    for unit, aliases in {
        "millimeter": "mm mms millimetre millimetres millimeter millimeters",
        "centimeter": "cm cms centimetre centimetres centimeter centimeters",
        "meter": "m metre metres meter meters",
        "inch": 'in ins inch inches "',
        "foot": "ft foot feet '",
    }.items()
    for alias in aliases.split()
}


def in_inches(unit: str) -> bool:
    """Whether a unit is of the inch's kind, inch or foot, and no metric one."""
    return unit in ("inch", "foot")


def unit_of(length: Length) -> str:
    """The unit a length is written in: "inch", "millimeter", "centimeter", ..."""
    return _NAMES.get(length.units) or str(length.units)


def _named(unit: str) -> str:
    """The full name of a unit given as "in", "inch", "mm", ... Raises: LengthError if it is none."""
    known = _ALIASES.get(unit.strip().lower()) if isinstance(unit, str) else None
    if known is None:
        raise LengthError(str(unit), "is no unit of length", "Units are in, mm, cm, ft and m")
    return known


def mm(length: Length) -> Fraction:
    """A length as an exact number of millimetres.

    Raises: LengthError if it is not a length, carries a float, or is of another pint registry.
    """
    if type(length) is Q:  # the short way, as this is called hundreds of times for one picture
        magnitude, factor = length._magnitude, _BY_CONTAINER.get(length._units)
        if factor is not None and type(magnitude) is Fraction and type(magnitude.numerator) is int:
            return magnitude * factor if factor != 1 else magnitude
    if not isinstance(length, pint.Quantity):
        raise LengthError(str(length), "is not a length", 'Write it with its unit, as in "5 in"')
    if length._REGISTRY is not ureg:
        raise LengthError(str(length), "is of another pint registry", "Make it with popkit.Q")
    magnitude = length.magnitude
    if not isinstance(magnitude, Rational) or isinstance(magnitude, bool):
        raise LengthError(
            str(length),
            "carries an inexact number",
            'Write it as text, as in "4.5 in", or with a Fraction',
        )
    factor = _FACTORS.get(length.units)
    if factor is None:
        if not length.check("[length]"):
            raise LengthError(str(length), "is not a length")
        factor = Q(Fraction(1), length.units).m_as("millimeter")
    return _exact(magnitude) * factor


def _exact(value: Rational) -> Fraction:
    """A Fraction of Python's own ints: a numpy integer inside one would overflow unseen."""
    return Fraction(int(value.numerator), int(value.denominator))


def from_mm(value: Fraction | int, unit: str = "millimeter") -> Length:
    """An exact number of millimetres as a length written in `unit`.

    Raises: LengthError if the number is not exact, or the unit is none of ours.
    """
    if not isinstance(value, Rational):
        raise LengthError(str(value), "is not an exact number of millimetres", "Give a Fraction")
    unit_, factor = _WRITTEN_IN.get(unit) or _WRITTEN_IN[_named(unit)]
    exact = value if type(value) is Fraction and type(value.numerator) is int else _exact(value)
    return Q(exact / factor if factor != 1 else exact, unit_)


# What people type ---------------------------------------------------------------

_RAISED, _LOWERED = "⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉"
_BARS = "/⁄∕"
_STRAY = re.compile(  # a raised figure is the top of a fraction or nothing, a lowered one the foot
    rf"[{_RAISED}](?![{_RAISED}]|\s*[{_BARS}])|(?<![{_LOWERED}{_BARS}])[{_LOWERED}]"
)
_WHOLE = r"[0-9]+"
_FRACTION = rf"{_WHOLE}\s*/\s*{_WHOLE}"
_NUMBER = rf"(?:{_WHOLE}(?:\s*-\s*|\s+){_FRACTION}|{_FRACTION}|{_WHOLE}\.[0-9]+|\.[0-9]+|{_WHOLE}\.?)"
_ONE = re.compile(rf"(?P<sign>[-+]?)\s*(?P<number>{_NUMBER})(?:\s*-?\s*(?P<unit>[^\W\d]+|[\"'])\.?)?")
_FEET_INCHES = re.compile(
    rf"(?P<feet>{_WHOLE})\s*(?:'|ft\.?|foot|feet)\s*-?\s*"
    rf"(?P<inches>{_NUMBER})\s*(?:\"|in\.?|ins\.?|inch|inches)"
)


def _plain(text: str) -> str:
    """Typed text with its many kinds of fraction, dash, quote and space made one kind."""
    text = re.sub(rf"(?<=[0-9])(?=[{_RAISED}])|(?<=[{_LOWERED}])(?=[0-9])", " ", text)
    parts = []
    for char in text:
        spelled = unicodedata.normalize("NFKC", char)
        if "\N{FRACTION SLASH}" in spelled and spelled != char:  # so that 8½ is not 81/2, nor ½5 1/25
            spelled = f" {spelled}" if spelled.endswith("\N{FRACTION SLASH}") else f" {spelled} "
        parts.append(spelled)
    text = "".join(parts)
    for many, one in (("⁄∕÷", "/"), ("‐‑‒–—−", "-"), ("“”″‶", '"'), ("‘’′", "'")):
        text = re.sub(f"[{many}]", one, text)
    return " ".join(text.replace("''", '"').split()).lower()


def _value(number: str) -> Fraction:
    """The exact value of a number matched by `_NUMBER`. Raises ValueError with the reason."""
    mixed = re.fullmatch(rf"(?:({_WHOLE})(?:\s*-\s*|\s+))?({_WHOLE})\s*/\s*({_WHOLE})", number)
    if mixed is None:
        return Fraction(number.rstrip(".") if number.endswith(".") else number)
    whole, over, under = mixed.groups()
    if int(under) == 0:
        raise ValueError("divides by nought")
    if whole is not None and int(over) >= int(under):
        raise ValueError(f"has {over}/{under} after a whole number, which is one or more")
    return int(whole or 0) + Fraction(int(over), int(under))


def _comma_hint(plain: str) -> str:
    """What to write for a number with a comma, if there is no doubt which numbers it may be."""
    ways = [("a decimal with a point", re.sub(r"\s*,\s*", ".", plain, count=1))]
    if re.search(r"[0-9],\s?[0-9]{3}(?![0-9])", plain):
        ways.append(("a thousand without a mark", re.sub(r"(?<=[0-9]),\s?(?=[0-9]{3})", "", plain)))
    clear = [f'{how}, "{bare}"' for how, bare in ways if _ONE.fullmatch(bare)]
    return "Write " + ", or ".join(clear or ['a decimal with a point, as in "5.5 mm"'])


def _read(text: str, unit: str | None) -> Length:
    unit = None if unit is None else _named(unit)
    plain = _plain(text)
    if not plain:
        raise LengthError(text, "is empty", 'Write a length and its unit, as in "8½ in" or "140 mm"')
    if len(plain) > 60:
        raise LengthError(text, "is too long for a length", 'Write one length, as in "8½ in"')
    if _STRAY.search(text):
        raise LengthError(text, "has a small figure that is no part of a fraction", 'Write "8 1/2 in"')
    if re.search(r",\s*[0-9]", plain):
        raise LengthError(text, "has a comma", _comma_hint(plain))
    if re.search(r"\binf|\bnan\b|∞", plain):
        raise LengthError(text, "is not a finite length", 'Write a number, as in "8½ in"')
    try:
        if feet := _FEET_INCHES.fullmatch(plain):
            inches = _value(feet["inches"])
            if inches >= 12:
                raise ValueError("has twelve inches or more after the feet")
            return Q(12 * int(feet["feet"]) + inches, "inch")
        found = _ONE.fullmatch(plain)
        if found is None:
            raise LengthError(text, *_why_not(plain))
        value = _value(found["number"])
    except ValueError as fault:
        if isinstance(fault, LengthError):
            raise
        raise LengthError(text, str(fault), 'Write it as in "8 1/2 in", "8.5 in" or "140 mm"') from None
    if found["sign"] == "-":
        value = -value
    if found["unit"]:
        named = _ALIASES.get(found["unit"])
        if named is None:
            raise LengthError(
                text, f"has “{found['unit']}” where a unit should be", "Units are in, mm, cm, ft and m"
            )
        return Q(value, named)
    if unit is not None:
        return Q(value, unit)
    if "/" in found["number"]:
        return Q(value, "inch")  # no metric ruler is marked in fractions
    raise LengthError(text, "has no unit", f'Write "{plain} in" or "{plain} mm"')


def _why_not(plain: str) -> tuple[str, str]:
    if re.search(r"[0-9\"a-z]\s*(?:x|×|\*|by)\s*[0-9.]", plain):
        return "is more than one length", 'Write one length in each place, as in "5 in"'
    if re.search(r"[0-9]e[-+]?[0-9]", plain):
        return "is written with an exponent", 'Write it out, as in "0.5 mm"'
    if not re.search(r"[0-9]", plain):
        return "has no number in figures", 'Write it as in "8 1/2 in" or "140 mm"'
    return "is not a length", 'Write it as in "8 1/2 in", "8½ in", "8.5 in" or "140 mm"'


def parse_length(text: str, unit: str | None = None, *, offset: bool = False) -> Length:
    """The exact length that a person typed.

    text    "8 1/2 in", '8½"', "8-1/2 in", "4 15/16in", "5.5 in", "140 mm", "14 cm", "1 ft 6 in"
    unit    the unit of a bare number ("in", "mm", ...). Without it a bare number is
            refused, save a fraction, which is inches: no metric ruler has fractions.
    offset  True where the length is a shift rather than a size: it may then be
            zero or negative.
    Returns: a quantity in the unit that was typed; magnitude a Fraction.
    Raises: LengthError, quoting the text and saying what to write instead; also if `unit` is none.
    """
    if not isinstance(text, str):
        raise LengthError(str(text), "is not text", 'Write a length and its unit, as in "8½ in"')
    length = _read(text, unit)
    _within(text, mm(length), least=None if offset else "above")
    return length


_LONGEST_MM = mm(LONGEST)


def _within(given: str | Length, value: Fraction, least: str | None) -> None:
    if least == "above" and value == 0:
        fault = ("is nothing, where a size is needed", "Write a length above 0")
    elif least is not None and value < 0:
        fault = ("is less than nothing, where a size is needed", "Leave out the minus")
    elif abs(value) > _LONGEST_MM:
        fault = ("is longer than 2 m", "Look for a slip in the number or the unit")
    else:
        return
    raise LengthError(given if isinstance(given, str) else show_exact(given), *fault)


def as_length(value: Length | str, unit: str | None = None) -> Length:
    """A size (above 0, 2 m at most) from text or from a quantity, checked, magnitude a Fraction.

    Raises: LengthError.
    """
    if isinstance(value, str):
        return parse_length(value, unit)
    return _checked(value, "above")


def as_offset(value: Length | str, unit: str | None = None) -> Length:
    """As `as_length`, but zero and less are allowed: for insets, gaps and shifts."""
    if isinstance(value, str):
        return parse_length(value, unit, offset=True)
    return _checked(value, None)


def _checked(value: Length, least: str | None) -> Length:
    size = mm(value)
    if value._units not in _BY_CONTAINER:
        raise LengthError(str(value), "is in no unit of ours", "Units are in, mm, cm, ft and m")
    if not isinstance(value.magnitude, Fraction) or type(value.magnitude.numerator) is not int:
        value = Q(_exact(value.magnitude), value.units)
    _within(value, size, least)
    return value


# Rulers -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, init=False)
class Grid:
    """The finest mark on a ruler: `Grid("1/16 in")`, `Grid("1 mm")`, `Grid("0.5 mm")`.

    step  length > 0, in inches, millimetres or centimetres
    """

    step: Length

    def __init__(self, step: Length | str) -> None:
        step = as_length(step)
        unit = unit_of(step)
        if unit not in ("inch", "millimeter", "centimeter"):
            raise LengthError(show_exact(step), "is no mark of a ruler", "Rulers are in in, mm or cm")
        if unit != "inch" and _decimal(step.magnitude) is None:
            raise LengthError(str(step), "is no mark of a metric ruler", 'Write it as in "0.5 mm"')
        object.__setattr__(self, "step", step)

    @property
    def unit(self) -> str:
        """ "inch", "millimeter" or "centimeter": what this ruler is marked in."""
        return unit_of(self.step)

    def marks(self, length: Length) -> Fraction:
        """How many marks from 0 the length is; a whole number if it lies on one."""
        return mm(length) / mm(self.step)

    def at(self, marks: int) -> Length:
        """The length at a mark counted from 0."""
        return Q(marks * self.step.magnitude, self.step.units)

    def holds(self, length: Length) -> bool:
        """Whether the length lies exactly on a mark."""
        return self.marks(length).denominator == 1

    def nearest(self, length: Length) -> Length:
        """The nearest mark, ties to the even mark.

        Source: NIST SP 811 (2008), B.7.1: ties go to the even digit.
        """
        return self.at(round(self.marks(length)))

    def down(self, length: Length) -> Length:
        """The last mark not beyond the length."""
        marks = self.marks(length)
        return self.at(marks.numerator // marks.denominator)

    def up(self, length: Length) -> Length:
        """The first mark not short of the length."""
        marks = self.marks(length)
        return self.at(-(-marks.numerator // marks.denominator))

    def __str__(self) -> str:
        return show_exact(self.step)


def as_grid(grid: Grid | Length | str) -> Grid:
    """A `Grid` from itself, a length or text."""
    return grid if isinstance(grid, Grid) else Grid(grid)


# Printing -----------------------------------------------------------------------

_VULGAR = {Fraction(unicodedata.numeric(char)).limit_denominator(8): char for char in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"}


def _mixed(value: Fraction) -> str:
    """7/2 -> "3½", 47/16 -> "2 15⁄16", 15/16 -> "15⁄16"."""
    sign, value = ("\N{MINUS SIGN}" if value < 0 else ""), abs(value)
    whole, rest = divmod(value, 1)
    if rest == 0:
        return f"{sign}{whole}"
    if glyph := _VULGAR.get(rest):
        return f"{sign}{whole or ''}{glyph}"
    return f"{sign}{f'{whole} ' if whole else ''}{rest.numerator}\N{FRACTION SLASH}{rest.denominator}"


def _decimal(value: Fraction) -> str | None:
    """The value written out in full as a decimal, or None if it never ends."""
    left = value.denominator
    twos = (left & -left).bit_length() - 1
    left >>= twos
    fives = 0
    while left % 5 == 0:
        left //= 5
        fives += 1
    if left != 1:
        return None
    places = max(twos, fives)
    digits = f"{abs(value.numerator) * 10**places // value.denominator:0{places + 1}d}"
    sign = "\N{MINUS SIGN}" if value < 0 else ""
    return sign + (f"{digits[:-places]}.{digits[-places:]}" if places else digits)


def show_length(length: Length, grid: Grid | Length | str) -> str:
    """A length as it is read off a ruler: the nearest mark, ties to the even one.

    Returns: "8½ in", "2 15⁄16 in", "216 mm", "12.5 mm".
    """
    grid = as_grid(grid)
    mark = grid.nearest(length).magnitude
    text = _mixed(mark) if grid.unit == "inch" else _decimal(mark)
    return f"{text} {_SYMBOLS[grid.unit]}"


def show_both(length: Length, first: Grid | str, second: Grid | str) -> str:
    """A length on two rulers, as handouts and drawings print it: "8½ in (216 mm)"."""
    return f"{show_length(length, first)} ({show_length(length, second)})"


def show_exact(length: Length) -> str:
    """A length in its own unit, in full: "8½ in", "215.9 mm"; "≈" leads where it never ends."""
    unit, value = unit_of(length), Fraction(length.magnitude)
    symbol = _SYMBOLS.get(unit, unit)
    if in_inches(unit) and value.denominator <= 64:
        return f"{_mixed(value)} {symbol}"
    text = _decimal(value)
    if text is None or len(text) > 12:
        text = "≈" + _decimal(Fraction(round(value * 1000), 1000))
    return f"{text} {symbol}"
