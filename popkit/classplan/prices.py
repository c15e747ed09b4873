"""Price lists: the packs a tutor buys, what is in one and what one costs, as a TOML file.

The currency stands at the top of the file. Each [[sheet]] names the stock and the size of the
sheets in a pack; [[tape]] says how long a roll is, [[glue]] how many square centimetres a bottle
covers, [[pad]], [[envelope]] and [[other]] how many are in a pack. A [[pad]] may say how thick its pads
are; without that it serves any. A price is money, exact: "4.50". One
that is not known yet is left out, and what it would have paid for is named wherever sums are made.

Imports: lengths, papers, sections, textfiles, tomltext.
"""

from __future__ import annotations

import difflib
import os
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from numbers import Rational
from pathlib import Path

from popkit.language import BRITISH, Language, as_language
from popkit.lengths import Length, LengthError, as_length, mm, parse_length, quoted, show_exact
from popkit.papers import SHEETS, Sheet, Stock, as_sheet
from popkit.sections import is_whole, kind_of, length_fault, text_fault, written
from popkit.textfiles import FaultsError, read_text, save_text
from popkit.tomltext import Document, Fault, Number, child, read_toml, write_toml

__all__ = [
    "KINDS",
    "Pack",
    "PriceError",
    "PriceList",
    "load_prices",
    "price_text",
    "read_prices",
    "save_prices",
    "show_money",
]

LARGEST_FILE = 1_000_000  # bytes
MOST_PACKS = 500
KINDS = ("sheet", "tape", "glue", "pad", "envelope", "other")
_DEAREST = 1_000_000
_THICKEST_PAD = 50  # mm
_SAME = Fraction(1, 4)  # mm


class PriceError(FaultsError):
    """A price list that cannot be used, with every fault that was found.

    faults   each a `Fault`: key, what, remedy, line
    """

    noun = "price list"


def as_money(value: object) -> Fraction:
    """An amount of money from a decimal text ("4.50"), a whole number, a `Decimal` or a Fraction.

    Raises: ValueError with the reason; a float is refused, since it is not exact.
    """
    if isinstance(value, Number):
        value = value.text
    if isinstance(value, str):
        if re.fullmatch(r"\s*[0-9]{1,7}(\.[0-9]{1,4})?\s*", value, re.ASCII):
            value = Fraction(value.strip())
        elif re.fullmatch(r"\s*[0-9]{1,7},[0-9]{1,2}\s*", value):
            raise ValueError(
                f'{quoted(value)} has a decimal comma. Write "{value.strip().replace(",", ".")}".'
            )
        else:
            raise ValueError(f'{quoted(value)} is no price. Write figures alone, as in "4.50".')
    elif isinstance(value, Decimal) and value.is_finite():
        value = Fraction(value)
    elif isinstance(value, bool) or not isinstance(value, Rational):
        raise ValueError(f'This is {kind_of(value)}, no exact price. Write it in quotes, as in "4.50".')
    if not 0 <= value <= _DEAREST or (10_000 * Fraction(value)).denominator != 1:
        raise ValueError(
            f"{value} is no price. Write 0 to {_DEAREST}, with four figures at most after the point."
        )
    return Fraction(value)


def show_money(amount: Fraction | None, currency: str = "", language: Language | str = BRITISH) -> str:
    """ "£4.50"; "about £1.33" where it is no whole number of hundredths; "not known" for None.

    A currency of letters stands behind: "4.50 EUR", and so does any where that is the custom.
    """
    language = as_language(language)
    if amount is None:
        return language.say("not known")
    amount = Fraction(amount)
    hundredths = round(amount * 100)
    text = language.decimal(f"{abs(hundredths) // 100}.{abs(hundredths) % 100:02d}")
    sign = "−" if hundredths < 0 else ""
    behind = any(char.isalnum() for char in currency)
    if behind or (currency and language != BRITISH and not language.money_first):
        shown = f"{sign}{text} {currency}"
    else:
        shown = f"{sign}{currency}{text}"
    if amount * 100 == hundredths:
        return shown
    return language.say("about {amount}", amount=shown)


# Packs --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """What is bought at once.

    kind      "sheet", "tape", "glue", "pad", "envelope" or "other"
    name      of a sheet the stock's, of an envelope its own; for the rest what the label says
    holds     how much: sheets, pads, envelopes, pieces; for tape the length of a roll, in
              millimetres; for glue what a bottle covers, in square millimetres; > 0
    price     of one, in money, exact; None where it is not known
    sheet     the `Sheet` of a pack of sheets
    grammage  of a pack of sheets, where the name alone does not tell two stocks apart. Without it a
              pack serves whatever weight a class takes of that name, and no class that takes two
    thick     of a pack of pads, a length; None where it serves every thickness
    Raises: PriceError with every fault.
    """

    kind: str
    name: str
    holds: Fraction
    price: Fraction | None = None
    sheet: Sheet | None = None
    grammage: Fraction | None = None
    thick: Length | None = None

    def __post_init__(self) -> None:
        faults: list[Fault] = []
        if self.kind not in KINDS:
            what = f"{quoted(str(self.kind))} is no kind of pack."
            faults.append(Fault(key="kind", what=what, remedy=f"Write {', '.join(KINDS)}."))
        fault = text_fault(self.name, "name", 80)
        if fault is not None:
            faults.append(fault)
        else:
            object.__setattr__(self, "name", " ".join(self.name.split()))
        finest = Fraction(1, 1000) if self.kind == "tape" else 100 if self.kind == "glue" else 1
        if (
            isinstance(self.holds, bool)
            or not isinstance(self.holds, Rational)
            or not 0 < self.holds <= 10**9
            or (self.holds / Fraction(finest)).denominator != 1
        ):
            what = f"A pack holds {self.holds!r}."
            faults.append(Fault(key="holds", what=what, remedy="Write a whole number, 1 or more."))
        else:
            object.__setattr__(self, "holds", Fraction(self.holds))
        if self.price is not None:
            try:
                object.__setattr__(self, "price", as_money(self.price))
            except ValueError as error:
                what, _, remedy = str(error).rpartition(". ")
                faults.append(Fault(key="price", what=f"{what}.", remedy=remedy))
        if self.kind == "sheet":
            try:
                object.__setattr__(self, "sheet", as_sheet(self.sheet))
            except (LengthError, TypeError) as error:
                faults.append(
                    length_fault("sheet", error)
                    if isinstance(error, LengthError)
                    else Fault(key="sheet", what="There is no sheet.", remedy='Write sheet = "A4".')
                )
        if self.thick is not None:
            try:
                object.__setattr__(self, "thick", as_length(self.thick))
                if not 0 < mm(self.thick) <= _THICKEST_PAD:
                    raise LengthError(show_exact(self.thick), "is no thickness of a pad", "Write 2 mm")
            except (LengthError, TypeError) as error:
                faults.append(
                    length_fault("thick", error)
                    if isinstance(error, LengthError)
                    else Fault(key="thick", what="This is no length.", remedy='Write thick = "2 mm".')
                )
        if faults:
            raise PriceError(faults, "pack")

    def suits(self, stock: Stock, sheet: Sheet) -> bool:
        """Whether a pack of sheets is of that stock, in that size, whichever side is named first.

        Weights are compared in whole grams per square metre, as they are sold.
        """
        return (
            self.kind == "sheet"
            and self.name.casefold() == stock.name.casefold()
            and (self.grammage is None or round(self.grammage) == round(stock.grammage))
            and _sides(self.sheet) == _sides(sheet)
        )


def _sides(sheet: Sheet) -> tuple[Fraction, ...]:
    return tuple(sorted((mm(sheet.width), mm(sheet.height))))


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceList:
    """Packs, and the currency of their prices.

    packs     in the order of the list
    currency  text that is only printed: "£", "EUR", 8 characters at most
    """

    packs: tuple[Pack, ...] = ()
    currency: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "packs", tuple(self.packs))
        faults: list[Fault] = []
        fault = text_fault(self.currency, "currency", 8, empty=True)
        if fault is not None:
            faults.append(fault)
        for number, pack in enumerate(self.packs, 1):
            if not isinstance(pack, Pack):
                what = f"Pack {number} is {kind_of(pack)}."
                faults.append(Fault(key="", what=what, remedy="Give a Pack."))
        if faults:
            raise PriceError(faults)

    def of(self, kind: str, name: str | None = None) -> tuple[Pack, ...]:
        """The packs of a kind, and where it is given of a name."""
        return tuple(
            pack
            for pack in self.packs
            if pack.kind == kind and (name is None or pack.name.casefold() == name.casefold())
        )

    def sheets(self, stock: Stock, sheet: Sheet, *, weighed: bool = False) -> tuple[Pack, ...]:
        """The packs of sheets of a stock, in one size.

        weighed  whether only those that say their weight, as where two weights have one name
        """
        return tuple(
            pack
            for pack in self.packs
            if pack.suits(stock, sheet) and not (weighed and pack.grammage is None)
        )

    def pads(self, thick: Length) -> tuple[Pack, ...]:
        """The packs of pads of a thickness; where there is none, those that do not say theirs.

        Source: a pad of 1/16 in is sold as 1.5 mm, so a quarter of a millimetre counts as the same;
        common practice, no source.
        """
        every = self.of("pad")
        near = [
            one for one in every if one.thick is not None and abs(mm(one.thick) - mm(thick)) <= _SAME
        ]
        return tuple(near) or tuple(one for one in every if one.thick is None)

    def with_pack(self, pack: Pack) -> PriceList:
        """The list with a pack more, as when a tutor types one; it goes before one of the same kind,
        name, sheet, thickness and number that is there.
        """

        def same(one: Pack) -> bool:
            return replace(one, price=None) == replace(pack, price=None)

        kept = [pack if same(one) else one for one in self.packs]
        return replace(self, packs=kept if pack in kept else [pack, *kept])


# Reading ------------------------------------------------------------------------

_ROLL_UNITS = {
    "m": Fraction(1000),
    "cm": Fraction(10),
    "mm": Fraction(1),
    "ft": Fraction(1524, 5),
    "yd": Fraction(4572, 5),
    "in": Fraction(127, 5),
}
_ROLL = r"\s*([0-9]{1,6}(?:\.[0-9]{1,3})?)\s*(" + "|".join(_ROLL_UNITS) + r")\s*"

_KEYS = {
    "sheet": ("stock", "sheet", "grammage", "pack", "price"),
    "tape": ("name", "length", "price"),
    "glue": ("name", "covers_cm2", "price"),
    "pad": ("name", "thick", "pack", "price"),
    "envelope": ("name", "pack", "price"),
    "other": ("name", "pack", "price"),
}
_EXAMPLES = {
    "stock": '"card stock"',
    "sheet": '"A4"',
    "name": '"…"',
    "length": '"10 m"',
    "covers_cm2": "4000",
    "pack": "25",
}


def read_prices(text: str, name: str = "price list") -> PriceList:
    """The price list in a TOML text.

    name  what messages call it
    Raises: PriceError with every fault of the text.
    """
    if not isinstance(text, str):
        what = f"This is {kind_of(text)}."
        raise PriceError([Fault(key="", what=what, remedy="Give the text of a price list.")], name)
    document = read_toml(text, lists=KINDS)
    reader = _Reader(document)
    packs = reader.packs() if document.values is not None else []
    if reader.faults:
        raise PriceError(sorted(dict.fromkeys(reader.faults), key=lambda one: one.line or 0), name)
    return PriceList(packs=packs, currency=document.values.get("currency", ""))


def load_prices(path: str | os.PathLike) -> PriceList:
    """The price list in a TOML file.

    Raises: PriceError with every fault of the file, also where there is no such file.
    """
    path = Path(path)
    return read_prices(read_text(path, LARGEST_FILE, PriceError), path.name)


class _Reader:
    """Reads the packs of one document, gathering its faults."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.faults = list(document.faults)
        self._spoiled = {fault.key for fault in document.faults}

    def fault(self, key: str, what: str, remedy: str) -> None:
        line = self.document.line_of(key)
        self.faults.append(Fault(key=key, what=what, remedy=remedy, line=line))

    def packs(self) -> list[Pack]:
        values = self.document.values
        self._unknown(values, "", ("currency", *KINDS))
        fault = text_fault(values.get("currency", ""), "currency", 8, empty=True)
        if fault is not None:
            self.fault(fault.key, fault.what, fault.remedy)
        found: list[Pack] = []
        for kind in KINDS:
            rows = values.get(kind, [])
            if isinstance(rows, Mapping) or not isinstance(rows, list):
                self.fault(kind, f"This is {kind_of(rows)}.", f"Write [[{kind}]] as a heading for each.")
                if isinstance(rows, Mapping):
                    self._pack(kind, rows, kind)
                rows = []
            if len(rows) > MOST_PACKS:
                self.fault(kind, f"There are {len(rows)} packs.", f"Write {MOST_PACKS} at most.")
            for number, row in enumerate(rows[:MOST_PACKS], 1):
                pack = self._pack(kind, row, f"{kind}[{number}]")
                if pack is not None:
                    found.append(pack)
        return found

    def _unknown(self, table: Mapping[str, object], at: str, keys: Iterable[str]) -> set[str]:
        """A fault for each key that has no place there. Returns: the keys that were plainly meant."""
        keys, meant = tuple(keys), set()
        for key in table:
            if key not in keys:
                near = difflib.get_close_matches(key[:60].casefold(), keys, n=1)
                meant.update(near)
                remedy = (
                    f"Write {near[0]}."
                    if near
                    else f"Leave it out. The keys here are {', '.join(keys)}."
                )
                self.fault(child(at, key), f"{quoted(key)} is no key here.", remedy)
        return meant

    def _pack(self, kind: str, row: object, at: str) -> Pack | None:
        if not isinstance(row, Mapping):
            self.fault(
                at, f"This is {kind_of(row)}.", f"Write [[{kind}]] as a heading, its keys below it."
            )
            return None
        before = len(self.faults)
        meant = self._unknown(row, at, _KEYS[kind])
        values: dict[str, object] = {}
        for key in _KEYS[kind]:
            place = child(at, key)
            if key in row:
                values[key] = _READERS[key](self, row[key], place)
            elif key in _EXAMPLES and key not in meant and place not in self._spoiled:
                self.fault(place, "This is missing.", f"Write {key} = {_EXAMPLES[key]}.")
        missing = [key for key in _EXAMPLES if key in _KEYS[kind] and key not in values]
        if len(self.faults) > before or missing:  # a line that could not be read has its fault already
            return None
        holds = values.get("pack", values.get("length", values.get("covers_cm2")))
        return Pack(
            kind=kind,
            name=values["stock"] if kind == "sheet" else values["name"],
            holds=holds * 100 if kind == "glue" else holds,
            price=values.get("price"),
            sheet=values.get("sheet"),
            grammage=values.get("grammage"),
            thick=values.get("thick"),
        )

    # values

    def _name(self, value: object, key: str) -> str | None:
        fault = text_fault(value, key, 80)
        if fault is not None:
            self.fault(key, fault.what, fault.remedy)
        return value if fault is None else None

    def _pack_size(self, value: object, key: str) -> int | None:
        return self._whole(value, key, 25, 10**6)

    def _grammage(self, value: object, key: str) -> int | None:
        return self._whole(value, key, 220, 9999)

    def _covers(self, value: object, key: str) -> int | None:
        return self._whole(value, key, 4000, 10**6)

    def _whole(self, value: object, key: str, example: int, most: int) -> int | None:
        if is_whole(value, 1, most):
            return value
        what = f"{value} is out of reach" if is_whole(value) else f"This is {kind_of(value)}"
        if isinstance(value, Number):
            what = f"{value.text} is no whole number"
        name = key.rpartition(".")[2]
        self.fault(key, f"{what}.", f"Write a whole number without quotes, as in {name} = {example}.")
        return None

    def _length(self, value: object, key: str) -> Fraction | None:
        """Millimetres of a roll, which may be longer than any piece of a card."""
        found = re.fullmatch(_ROLL, value) if isinstance(value, str) else None
        if found is not None and Fraction(found[1]) > 0:
            return Fraction(found[1]) * _ROLL_UNITS[found[2]]
        what = f"{quoted(value)} is no length of a roll" if isinstance(value, str) else None
        self.fault(
            key,
            f"{what or 'This is ' + kind_of(value)}.",
            'Write it in quotes with its unit, as in length = "10 m".',
        )
        return None

    def _thick(self, value: object, key: str) -> Length | None:
        example = 'Write it in quotes with its unit, as in thick = "2 mm".'
        if not isinstance(value, str):
            self.fault(key, f"This is {kind_of(value)}.", example)
            return None
        try:
            thick = parse_length(value)
        except LengthError as error:
            fault = length_fault(key, error)
            self.fault(key, fault.what, fault.remedy)
            return None
        if 0 < mm(thick) <= _THICKEST_PAD:
            return thick
        self.fault(key, f"{quoted(value)} is no thickness of a pad.", example)
        return None

    def _sheet(self, value: object, key: str) -> Sheet | None:
        if isinstance(value, list):
            value = tuple(value)
        if not isinstance(value, str | tuple):
            self.fault(key, f"This is {kind_of(value)}.", 'Write sheet = "A4", or ["9 in", "12 in"].')
            return None
        try:
            return as_sheet(value)
        except (LengthError, TypeError) as error:
            if isinstance(error, LengthError):
                fault = length_fault(key, error)
                self.fault(key, fault.what, fault.remedy)
            else:
                self.fault(key, "This is no sheet.", 'Write sheet = "A4", or ["9 in", "12 in"].')
            return None

    def _price(self, value: object, key: str) -> Fraction | None:
        try:
            return as_money(value)
        except ValueError as error:
            what, _, remedy = str(error).rpartition(". ")
            self.fault(key, f"{what}.", remedy)
            return None


_READERS = {
    "stock": _Reader._name,
    "name": _Reader._name,
    "sheet": _Reader._sheet,
    "grammage": _Reader._grammage,
    "pack": _Reader._pack_size,
    "length": _Reader._length,
    "thick": _Reader._thick,
    "covers_cm2": _Reader._covers,
    "price": _Reader._price,
}


# Writing ------------------------------------------------------------------------


def price_text(prices: PriceList) -> str:
    """The price list as TOML text that reads back as the same list."""
    values: dict[str, object] = {"currency": prices.currency} if prices.currency else {}
    for kind in KINDS:
        rows = []
        for pack in prices.of(kind):
            row: dict[str, object] = {"stock" if kind == "sheet" else "name": pack.name}
            if kind == "sheet":
                known = SHEETS.get(pack.sheet.name)
                row["sheet"] = (
                    pack.sheet.name
                    if known == pack.sheet
                    else [written(pack.sheet.width), written(pack.sheet.height)]
                )
                if pack.grammage is not None:
                    row["grammage"] = int(pack.grammage)
            if pack.thick is not None:
                row["thick"] = written(pack.thick)
            if kind == "tape":
                row["length"] = f"{_decimal(pack.holds / 1000)} m"
            elif kind == "glue":
                row["covers_cm2"] = int(pack.holds / 100)
            else:
                row["pack"] = int(pack.holds)
            if pack.price is not None:
                row["price"] = _decimal(pack.price)
            rows.append(row)
        if rows:
            values[kind] = rows
    return "# A popkit price list. What is not known yet is left out.\n" + write_toml(values)


def _decimal(amount: Fraction) -> str:
    text = f"{Decimal(amount.numerator) / Decimal(amount.denominator):f}"
    whole, _, part = text.partition(".")
    return f"{whole}.{part:0<2}"


def save_prices(prices: PriceList, path: str | os.PathLike, *, overwrite: bool = False) -> Path:
    """Write the price list to a TOML file, whole or not at all.

    overwrite  True to write over a file of that name
    Returns: the path.
    Raises: PriceError if the file exists, or cannot be written there.
    """
    return save_text(price_text(prices), path, PriceError, overwrite=overwrite)
