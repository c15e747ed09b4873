"""Sheets and stocks: what a card is cut from, with the published tables.

Imports: lengths.
Sources stand in the rows. A size is exact; a caliper is typical of its grade, and the
label on the packet goes before it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from numbers import Rational

from popkit.lengths import Length, LengthError, as_length, mm, show_exact

__all__ = [
    "CLEAR_SHEET",
    "ENVELOPES",
    "LIGHT_CARD",
    "MEDIUM_CARD",
    "SHEETS",
    "STOCKS",
    "Envelope",
    "Sheet",
    "Stock",
    "as_envelope",
    "as_sheet",
    "as_stock",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A flat rectangle of paper as it is bought; its grain runs along the height.

    name    what the packet says
    width   length > 0, across the grain
    height  length > 0, along the grain
    source  where the size is published, or ""
    """

    name: str
    width: Length
    height: Length
    source: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "width", as_length(self.width))
        object.__setattr__(self, "height", as_length(self.height))

    def __str__(self) -> str:
        return f"{self.name}, {show_exact(self.width)} × {show_exact(self.height)}"


def _sheets() -> dict[str, Sheet]:
    iso = "ISO 216:2007"
    north = "ASME Y14.1 and PWG 5101.1"
    rows = [
        ("A2", "420 mm", "594 mm", iso),
        ("A3", "297 mm", "420 mm", iso),
        ("A4", "210 mm", "297 mm", iso),
        ("A5", "148 mm", "210 mm", iso),
        ("A6", "105 mm", "148 mm", iso),
        ("Letter", "8.5 in", "11 in", north),
        ("Legal", "8.5 in", "14 in", "PWG 5101.1"),
        ("Tabloid", "11 in", "17 in", north),
        ("12 in square", "12 in", "12 in", "common practice, no source"),
    ]
    return {
        name: Sheet(name=name, width=width, height=height, source=source)
        for name, width, height, source in rows
    }


SHEETS: dict[str, Sheet] = _sheets()


def _two_sides(sides: object) -> tuple[Length, Length]:
    """Both sides of a (width, height) pair. Raises: LengthError if it is no pair of lengths."""
    if not isinstance(sides, (tuple, list)) or len(sides) != 2:
        raise LengthError(str(sides), "is no pair of sides", 'Write two, as in ("8 1/2 in", "11 in")')
    return as_length(sides[0]), as_length(sides[1])


def as_sheet(sheet: Sheet | str | tuple[Length | str, Length | str]) -> Sheet:
    """A `Sheet` from its name ("A4"), from a (width, height) pair, or from itself.

    Raises: LengthError if no sheet has that name, or a side is no length.
    """
    if isinstance(sheet, Sheet):
        return sheet
    if isinstance(sheet, str):
        named = {name.casefold(): one for name, one in SHEETS.items()}.get(sheet.strip().casefold())
        if named is None:
            raise LengthError(sheet, "is no sheet we know", "Sheets are " + ", ".join(SHEETS))
        return named
    width, height = _two_sides(sheet)
    return Sheet(name=f"{show_exact(width)} × {show_exact(height)}", width=width, height=height)


@dataclass(frozen=True, slots=True, kw_only=True)
class Envelope:
    """An envelope as it is bought.

    name    what the packet says
    short   inside, length > 0
    long    inside, length >= short
    card    (short, long) of the card it is sold for, or None
    source  where the sizes are published
    """

    name: str
    short: Length
    long: Length
    card: tuple[Length, Length] | None = None
    source: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "short", as_length(self.short))
        object.__setattr__(self, "long", as_length(self.long))
        if mm(self.long) < mm(self.short):
            raise LengthError(show_exact(self.long), "is less than the short side", "Swap the two")
        if self.card is not None:
            object.__setattr__(self, "card", tuple(as_length(side) for side in self.card))

    def __str__(self) -> str:
        return f"{self.name} envelope, {show_exact(self.short)} × {show_exact(self.long)}"


def _envelopes() -> dict[str, Envelope]:
    iso = "ISO 269:1985 (withdrawn, sizes in trade use); what it takes: the same"
    german = "ISO 269 / DIN 678-1:1998"
    chart = "card size chart, maymaymadeit.com, card-size-guides"
    rows = [
        ("C4", "229 mm", "324 mm", ("210 mm", "297 mm"), iso),
        ("C5", "162 mm", "229 mm", ("148 mm", "210 mm"), iso),
        ("C6", "114 mm", "162 mm", ("105 mm", "148 mm"), iso),
        ("DL", "110 mm", "220 mm", ("99 mm", "210 mm"), f"{german}; takes a third of A4"),
        ("C6/C5", "114 mm", "229 mm", ("99 mm", "210 mm"), f"{german}; takes a third of A4"),
        ("C7/C6", "81 mm", "162 mm", None, german),
        ("B4", "250 mm", "353 mm", None, "ISO 216:2007"),
        ("B5", "176 mm", "250 mm", None, "ISO 216:2007"),
        ("B6", "125 mm", "176 mm", None, "ISO 216:2007"),
        ("A1 (4-bar)", "3 5/8 in", "5 1/8 in", ("3 1/2 in", "4 7/8 in"), chart),
        ("A2", "4 3/8 in", "5 3/4 in", ("4 1/4 in", "5 1/2 in"), f"{chart}; PWG 5101.1"),
        ("A6", "4 3/4 in", "6 1/2 in", ("4 1/2 in", "6 1/4 in"), chart),
        ("A7", "5 1/4 in", "7 1/4 in", ("5 in", "7 in"), chart),
        ("A8", "5 1/2 in", "8 1/8 in", ("5 1/4 in", "7 7/8 in"), chart),
        ("A9", "5 3/4 in", "8 3/4 in", ("5 1/2 in", "8 1/2 in"), chart),
        ("A10", "6 in", "9 1/2 in", ("5 3/4 in", "9 1/4 in"), "trade size; its card from memory"),
        ("#10", "4 1/8 in", "9 1/2 in", ("3 7/8 in", "9 1/4 in"), f"{chart}; PWG 5101.1"),
        ("#9", "3 7/8 in", "8 7/8 in", None, "trade size, the-uncensored-wiki, Envelope size"),
        ("#6¾", "3 5/8 in", "6 1/2 in", None, "trade size, the-uncensored-wiki, Envelope size"),
        ("3¼ in square", "3 1/4 in", "3 1/4 in", ("3 in", "3 in"), chart),
        ("5½ in square", "5 1/2 in", "5 1/2 in", ("5 1/4 in", "5 1/4 in"), chart),
        ("6¼ in square", "6 1/4 in", "6 1/4 in", ("6 in", "6 in"), chart),
    ]
    return {
        name: Envelope(name=name, short=short, long=long, card=card, source=source)
        for name, short, long, card, source in rows
    }


ENVELOPES: dict[str, Envelope] = _envelopes()
"""Published sizes; the trade does not say which are inside and which outside, so leave room."""


def as_envelope(envelope: Envelope | str | tuple[Length | str, Length | str]) -> Envelope:
    """An `Envelope` from its name ("C6", "A7"), from its two inside sizes, or from itself.

    Raises: LengthError if no envelope has that name, or a side is no length.
    """
    if isinstance(envelope, Envelope):
        return envelope
    if isinstance(envelope, str):
        named = {name.casefold(): one for name, one in ENVELOPES.items()}
        if (found := named.get(envelope.strip().casefold())) is None:
            raise LengthError(
                envelope, "is no envelope we know", "Envelopes are " + ", ".join(ENVELOPES)
            )
        return found
    short, long = sorted(_two_sides(envelope), key=mm)
    return Envelope(name=f"{show_exact(short)} × {show_exact(long)}", short=short, long=long)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What a piece is made of.

    name      what the tutor calls it
    kind      "card", "paper" or "plastic": decides glue or tape
    grammage  grams per square metre, a whole number or Fraction > 0
    caliper   thickness of one layer, length > 0
    sheet     the `Sheet` it is cut from
    source    where grammage and caliper are from
    """

    name: str
    kind: str = "card"
    grammage: Fraction
    caliper: Length
    sheet: Sheet
    source: str = ""

    def __post_init__(self) -> None:
        if self.kind not in ("card", "paper", "plastic"):
            raise LengthError(str(self.kind), "is no kind of stock", "Write card, paper or plastic")
        if not isinstance(self.grammage, Rational) or self.grammage <= 0:
            raise LengthError(str(self.grammage), "is no grammage", "Write whole grams per square metre")
        object.__setattr__(self, "grammage", Fraction(self.grammage))
        object.__setattr__(self, "caliper", as_length(self.caliper))
        object.__setattr__(self, "sheet", as_sheet(self.sheet))

    @property
    def density(self) -> Fraction:
        """Grams per cubic centimetre: grammage over caliper (ISO 534, apparent density)."""
        return self.grammage / (mm(self.caliper) * 1000)


_UNCOATED = "grammage of 80 lb cover (20 x 26 in basis); caliper from memory, bulk near 1.3 cm3/g"

LIGHT_CARD = Stock(
    name="light card",
    grammage=Fraction(176),
    caliper="0.23 mm",
    sheet="Letter",
    source="grammage of 65 lb cover, from memory; caliper from memory, bulk near 1.3 cm3/g",
)
MEDIUM_CARD = Stock(
    name="card stock", grammage=Fraction(216), caliper="0.28 mm", sheet="12 in square", source=_UNCOATED
)
CLEAR_SHEET = Stock(
    name="clear sheet",
    kind="plastic",
    grammage=Fraction(245),
    caliper="0.1778 mm",
    sheet="Letter",
    source="polyester film, 0.007 in at 1.38 g/cm3 (handbook density of PET)",
)
STOCKS: dict[str, Stock] = {stock.name: stock for stock in (LIGHT_CARD, MEDIUM_CARD, CLEAR_SHEET)}


def as_stock(stock: Stock | str) -> Stock:
    """A `Stock` from its name or from itself. Raises: LengthError if none has that name."""
    if isinstance(stock, Stock):
        return stock
    named = {name.casefold(): one for name, one in STOCKS.items()}.get(str(stock).strip().casefold())
    if named is None:
        raise LengthError(str(stock), "is no stock we know", "Stocks are " + ", ".join(STOCKS))
    return named
