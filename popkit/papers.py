"""Sheets, stocks and envelopes: what a card is cut from and goes in, with the published tables.

Also paper's own arithmetic: grammage from pounds by definition, points and what they mean, bulk.

Imports: lengths.
Sources stand in the rows. A size is exact; a caliper is typical of its grade, and the
label on the packet goes before it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from numbers import Rational

from popkit.lengths import Grid, Length, LengthError, Q, as_length, from_mm, mm, show_exact

__all__ = [
    "CALIPER_POINT",
    "CLEAR_SHEET",
    "ENVELOPES",
    "GRADES",
    "GRAMS_PER_OUNCE",
    "LIGHT_CARD",
    "MEDIUM_CARD",
    "PADDED",
    "PET_DENSITY",
    "SHEETS",
    "SIZES",
    "STOCKS",
    "TYPE_POINT",
    "Envelope",
    "Grade",
    "Sheet",
    "Stock",
    "as_envelope",
    "as_grade",
    "as_sheet",
    "as_stock",
    "bulk",
    "caliper",
    "clear_sheet",
    "grammage",
    "points",
    "pounds",
]


# Pounds, grams and points --------------------------------------------------------

_GRAMS_PER_POUND = Fraction("453.59237")  # exactly, international yard and pound agreement, 1959
GRAMS_PER_OUNCE = _GRAMS_PER_POUND / 16
_REAM = 500  # sheets

CALIPER_POINT = Q(Fraction(1, 1000), "inch")
"""The point that card is sold by, also called a mil: a thousandth of an inch of thickness."""
TYPE_POINT = Q(Fraction(1, 72), "inch")
"""The point that letters are set in (PostScript, CSS): 13.9 times the point of card."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """A North American grade of paper: its pounds are what a ream of the basic size weighs.

    name           as on the packet
    width, height  the basic size, lengths > 0
    also           other names of grades with the same basic size
    source         where the basic size is published
    """

    name: str
    width: Length
    height: Length
    also: tuple[str, ...] = ()
    source: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "width", as_length(self.width))
        object.__setattr__(self, "height", as_length(self.height))

    @property
    def factor(self) -> Fraction:
        """Grams per square metre for one pound: 453.59237 g over 500 sheets of the basic size."""
        square_metres = mm(self.width) * mm(self.height) / 1_000_000
        return _GRAMS_PER_POUND / (_REAM * square_metres)


def _grades() -> dict[str, Grade]:
    wiki = "printwiki.org, Grammage"
    xerox = "Xerox Nuvera Paper Guide, p. A-2"
    rows = [
        ("bond", "17 in", "22 in", ("writing", "ledger"), f"{wiki}; {xerox}"),
        ("text", "25 in", "38 in", ("book", "offset"), f"{wiki}; {xerox}"),
        ("cover", "20 in", "26 in", (), f"{wiki}; {xerox}"),
        ("index", "25.5 in", "30.5 in", (), xerox),
        ("bristol", "22.5 in", "28.5 in", (), xerox),
        ("tag", "24 in", "36 in", (), f"{wiki}; {xerox}"),
    ]
    return {
        name: Grade(name=name, width=width, height=height, also=also, source=source)
        for name, width, height, also, source in rows
    }


GRADES: dict[str, Grade] = _grades()


def as_grade(grade: Grade | str) -> Grade:
    """A `Grade` from its name, from another of its names, or from itself.

    Raises: LengthError if no grade is called that.
    """
    if isinstance(grade, Grade):
        return grade
    wanted = str(grade).strip().casefold()
    for known in GRADES.values():
        if wanted in (known.name, *known.also):
            return known
    raise LengthError(str(grade), "is no grade of paper we know", "Grades are " + ", ".join(GRADES))


def _exact_above_nothing(value: object, what: str, hint: str) -> Fraction:
    if not isinstance(value, Rational) or isinstance(value, bool) or value <= 0:
        raise LengthError(str(value), f"is no {what}", hint)
    return Fraction(int(value.numerator), int(value.denominator))


def _as_grammage(value: object) -> Fraction:
    return _exact_above_nothing(value, "grammage", "Write whole grams per square metre")


def grammage(pounds: Fraction | int, grade: Grade | str) -> Fraction:
    """Grams per square metre of so many pounds of a grade, exactly.

    pounds  what a ream of 500 sheets of the basic size weighs, a whole number or Fraction > 0
    Raises: LengthError if the pounds are no exact number, or the grade is none of ours.
    Source: the definition of basis weight and 1 lb = 453.59237 g; grammage as ISO 536.
    """
    return (
        _exact_above_nothing(pounds, "weight in pounds", "Write whole pounds") * as_grade(grade).factor
    )


def pounds(grammage: Fraction | int, grade: Grade | str) -> Fraction:
    """What a ream of the grade weighs at so many grams per square metre; `grammage` backwards."""
    return _as_grammage(grammage) / as_grade(grade).factor


def caliper(points: Fraction | int) -> Length:
    """The thickness of card sold as so many points (mils), thousandths of an inch each."""
    return _exact_above_nothing(points, "number of points", "Write whole points") * CALIPER_POINT


def points(thickness: Length | str) -> Fraction:
    """How many points of caliper a thickness is; not points of type (`TYPE_POINT`)."""
    return mm(as_length(thickness)) / mm(CALIPER_POINT)


def bulk(grammage: Fraction | int, thickness: Length | str) -> Fraction:
    """Cubic centimetres that a gram of paper takes up: micrometres over grams per square metre.

    Source: ISO 534 (number from memory); one over it is the apparent density.
    """
    return mm(as_length(thickness)) * 1000 / _as_grammage(grammage)


# Sheets -------------------------------------------------------------------------


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
"""What a card tutor buys and a printer takes."""


def _iso_sizes() -> dict[str, Sheet]:
    """A0 to A8, B0 to B8 and C0 to C8: each the half of the one above, the odd half dropped.

    Source: ISO 216:2007 (A, B), ISO 269:1985 (C; withdrawn, sizes in trade use).
    """
    tops = {"A": (841, 1189, "ISO 216:2007"), "B": (1000, 1414, "ISO 216:2007")}
    tops["C"] = (917, 1297, "ISO 269:1985 (withdrawn, sizes in trade use)")
    sizes = {}
    for letter, (short, long, source) in tops.items():
        for number in range(9):
            name = f"{letter}{number}"
            width, height = (Q(Fraction(side), "millimeter") for side in (short, long))
            sizes[name] = Sheet(name=name, width=width, height=height, source=source)
            short, long = long // 2, short
    return sizes


def _north_american_sizes() -> dict[str, Sheet]:
    rows = [
        ("Statement", "5.5 in", "8.5 in", "half of Letter; name from memory"),
        ("Executive", "7.25 in", "10.5 in", "from memory"),
        ("Ledger", "11 in", "17 in", "PWG 5101.1, na_ledger_11x17in"),
        ("ANSI C", "17 in", "22 in", "ASME Y14.1 size C; also the basic size of bond"),
        ("ANSI D", "22 in", "34 in", "ASME Y14.1 size D"),
        ("ANSI E", "34 in", "44 in", "ASME Y14.1 size E"),
        ("20 × 26 in", "20 in", "26 in", "the basic size of cover, printwiki.org, Grammage"),
        ("25 × 38 in", "25 in", "38 in", "the basic size of text, printwiki.org, Grammage"),
    ]
    return {
        name: Sheet(name=name, width=width, height=height, source=source)
        for name, width, height, source in rows
    }


SIZES: dict[str, Sheet] = _iso_sizes() | _north_american_sizes() | SHEETS
"""Every published size by name, also those that no shop sells to a tutor; `SHEETS` among them."""


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
        named = {name.casefold(): one for name, one in SIZES.items()}.get(sheet.strip().casefold())
        if named is None:
            raise LengthError(sheet, "is no sheet we know", "Sheets are " + ", ".join(SHEETS))
        return named
    width, height = _two_sides(sheet)
    return Sheet(name=f"{show_exact(width)} × {show_exact(height)}", width=width, height=height)


@dataclass(frozen=True, slots=True, kw_only=True)
class Envelope:
    """An envelope as it is bought.

    name      what the packet says
    short     inside, length > 0
    long      inside, length >= short
    card      (short, long) of the card it is sold for, or None
    source    where the sizes are published
    outside   (short, long) that the post measures; unless given as inside, paper being thin
    wall      thickness of one wall; unless given that of 24 lb bond
    grammage  of one wall, grams per square metre; unless given that of 24 lb bond
    padded    whether its walls are cushioned
    """

    name: str
    short: Length
    long: Length
    card: tuple[Length, Length] | None = None
    source: str = ""
    outside: tuple[Length, Length] | None = None
    wall: Length = "0.0045 in"  # 24 lb bond, stodioo.com, calliper and paper weight
    grammage: Fraction = Fraction(90)  # 24 lb bond, Xerox KB0028900
    padded: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "short", as_length(self.short))
        object.__setattr__(self, "long", as_length(self.long))
        if mm(self.long) < mm(self.short):
            raise LengthError(show_exact(self.long), "is less than the short side", "Swap the two")
        if self.card is not None:
            object.__setattr__(self, "card", tuple(as_length(side) for side in self.card))
        outside = (self.short, self.long) if self.outside is None else self.outside
        outside = tuple(as_length(side) for side in outside)
        if any(mm(out) < mm(side) for out, side in zip(outside, (self.short, self.long), strict=True)):
            raise LengthError(
                show_exact(outside[0]), "is smaller outside than inside", "Swap inside and outside"
            )
        object.__setattr__(self, "outside", outside)
        object.__setattr__(self, "wall", as_length(self.wall))
        object.__setattr__(self, "grammage", _as_grammage(self.grammage))

    @property
    def grams(self) -> Fraction:
        """Grams of the empty envelope: two walls and a fifth over for flaps and seams.

        Source: area × grammage (ISO 536); the fifth is common practice, no source.
        """
        short, long = (mm(side) for side in self.outside)
        return 2 * short * long * self.grammage * Fraction(6, 5) / 1_000_000

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

# Cushioned walls: a bag 240 mm × 350 mm outside is 220 mm × 340 mm inside (DIN A4, size F, as
# printed in an encyclopaedia under "padded envelope"), so the seams and the cushion take 20 mm of
# the width and 10 mm of the length. Thickness and grammage of a cushioned wall: from memory.
_PADDING_TAKES = (Fraction(20), Fraction(10))


def _padded() -> dict[str, Envelope]:
    chart = "outside: size chart, us.usmex.mx, bubble mailer sizes; inside 20 mm and 10 mm less"
    rows = [
        ("#000 padded", "4 in", "7 in", chart),
        ("#00 padded", "5 in", "9 in", chart),
        ("#0 padded", "6 in", "9 in", chart),
        ("#CD padded", "7 in", "7.25 in", chart),
        ("#1 padded", "7.25 in", "11 in", chart),
        ("#2 padded", "8.5 in", "11 in", chart),
        ("#4 padded", "9.5 in", "13 in", chart),
        ("#5 padded", "10.5 in", "15 in", chart),
        ("F padded", "240 mm", "350 mm", "DIN A4 size F, inside and outside as printed"),
    ]
    found = {}
    for name, short, long, source in rows:
        outside = (as_length(short), as_length(long))
        inside = sorted(mm(side) - takes for side, takes in zip(outside, _PADDING_TAKES, strict=True))
        ruler = Grid("1/16 in" if short.endswith("in") else "1 mm")  # down to a mark: the safe side
        found[name] = Envelope(
            name=name,
            short=ruler.down(from_mm(inside[0])),
            long=ruler.down(from_mm(inside[1])),
            outside=outside,
            wall="3 mm",
            grammage=Fraction(120),
            padded=True,
            source=source,
        )
    return found


PADDED: dict[str, Envelope] = _padded()
"""Cushioned envelopes with their usable inside; makers differ, so go by the packet."""


def as_envelope(envelope: Envelope | str | tuple[Length | str, Length | str]) -> Envelope:
    """An `Envelope` from its name ("C6", "A7"), from its two inside sizes, or from itself.

    Raises: LengthError if no envelope has that name, or a side is no length.
    """
    if isinstance(envelope, Envelope):
        return envelope
    if isinstance(envelope, str):
        named = {name.casefold(): one for name, one in (ENVELOPES | PADDED).items()}
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
        object.__setattr__(self, "grammage", _as_grammage(self.grammage))
        object.__setattr__(self, "caliper", as_length(self.caliper))
        object.__setattr__(self, "sheet", as_sheet(self.sheet))

    @property
    def density(self) -> Fraction:
        """Grams per cubic centimetre: grammage over caliper (ISO 534, apparent density)."""
        return self.grammage / (mm(self.caliper) * 1000)

    @property
    def bulk(self) -> Fraction:
        """Cubic centimetres per gram: caliper over grammage (ISO 534)."""
        return bulk(self.grammage, self.caliper)


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

PET_DENSITY = Fraction("1.38")
"""Grams per cubic centimetre of polyester film: hongbinsprayer; matweb.com has 1.37 on average."""


def clear_sheet(
    thickness: Length | str,
    *,
    density: Fraction = PET_DENSITY,
    sheet: Sheet | str = "Letter",
    name: str | None = None,
) -> Stock:
    """A clear sheet of any thickness: its grammage is thickness times density.

    thickness  of the sheet; 0.005 in, 0.007 in and 0.010 in are usual
    density    grams per cubic centimetre; cellulose acetate is 1.3 (makeitfrom.com)
    """
    thick = as_length(thickness)
    exact = _exact_above_nothing(density, "density", 'Write it as in Fraction("1.38")')
    return Stock(
        name=name or f"{show_exact(thick)} clear sheet",
        kind="plastic",
        grammage=Fraction(round(mm(thick) * 1000 * exact)),
        caliper=thick,
        sheet=sheet,
        source=f"thickness × density, {float(exact):g} g/cm3",
    )


def _stocks() -> tuple[Stock, ...]:
    """What a card tutor buys by the pound, by the gram and by the thousandth of an inch."""
    forms = "stodioo.com, calliper and paper weight"
    chart = "comparison chart of Micro Format, Inc., info.5y1.org; a guide only"
    coated = "elegantepress.com, coated"
    rows = [
        (20, "bond", "4", "Letter", forms),
        (24, "bond", "4.5", "Letter", forms),
        (28, "bond", "5.2", "Letter", forms),
        (32, "bond", "6", "Letter", forms),
        (50, "text", "3.8", "Letter", f"{chart}; velasciences.com"),
        (60, "text", "4.8", "Letter", f"{chart}; velasciences.com"),
        (70, "text", "5.8", "Letter", f"{chart}; velasciences.com"),
        (100, "text", "7.2", "Letter", chart),
        (60, "cover", "7.4", "Letter", chart),
        (65, "cover", "8", "Letter", chart),
        (80, "cover", "9.5", "Letter", chart),
        (100, "cover", "11", "Letter", chart),
        (90, "index", "7.4", "Letter", chart),
        (110, "index", "9", "Letter", chart),
        (67, "bristol", "8", "Letter", "from memory"),
        (80, "coated cover", "8", "12 in square", coated),
        (100, "coated cover", "10", "12 in square", coated),
        (110, "coated cover", "12", "12 in square", coated),
        (120, "coated cover", "14", "12 in square", coated),
    ]
    found = []
    for weight, grade, thousandths, sheet, source in rows:
        basic = grade.removeprefix("coated ")
        found.append(
            Stock(
                name=f"{weight} lb {grade}",
                kind="paper" if basic in ("bond", "text") else "card",
                grammage=Fraction(round(grammage(weight, basic))),
                caliper=caliper(Fraction(thousandths)),
                sheet=sheet,
                source=f"grammage of {weight} lb {basic} by definition; caliper: {source}",
            )
        )
    metric = [(80, "0.1"), (120, "0.15"), (160, "0.2"), (200, "0.26"), (250, "0.32"), (300, "0.38")]
    for grams, thick in metric:
        kind = "card" if grams >= 160 else "paper"
        found.append(
            Stock(
                name=f"{grams} g {kind}",
                kind=kind,
                grammage=Fraction(grams),
                caliper=f"{thick} mm",
                sheet="A4",
                source="grammage by name; caliper from memory, bulk near 1.25 cm3/g",
            )
        )
    found += [clear_sheet(f"{mils}/1000 in", name=f"{mils} mil clear sheet") for mils in (5, 7, 10)]
    return tuple(found)


STOCKS: dict[str, Stock] = {
    stock.name: stock for stock in (LIGHT_CARD, MEDIUM_CARD, CLEAR_SHEET, *_stocks())
}


def as_stock(stock: Stock | str) -> Stock:
    """A `Stock` from its name or from itself. Raises: LengthError if none has that name."""
    if isinstance(stock, Stock):
        return stock
    named = {name.casefold(): one for name, one in STOCKS.items()}.get(str(stock).strip().casefold())
    if named is None:
        raise LengthError(str(stock), "is no stock we know", "Stocks are " + ", ".join(STOCKS))
    return named
