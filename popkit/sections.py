"""Models filled from the sections of a file, and the sections of a model.

The keys of a section are the fields of the dataclass it fills, so a new field or a new form of
front or tier is read and written without a change here. Every length stands in quotes with its
unit. A value that is at fault gives way to a stand-in, one that cannot be at fault itself, so
that all that is wrong with a file is found in one reading.

Imports: lengths, papers, card, tomltext.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import MISSING, fields, replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import get_args, get_type_hints

from popkit.card import (
    FRONTS,
    TIER_FORMS,
    Card,
    CardError,
    CutStep,
    Layer,
    OnePieceFront,
    Ornament,
    Tier,
)
from popkit.lengths import (
    LONGEST,
    Length,
    LengthError,
    mm,
    parse_length,
    quoted,
    show_exact,
    unit_of,
)
from popkit.papers import SHEETS, STOCKS, Sheet, Stock, as_sheet, as_stock
from popkit.tomltext import Document, Fault, Number, child

__all__ = [
    "CARD_SECTIONS",
    "LIST_SECTIONS",
    "MOST_ROWS",
    "MOST_TIERS",
    "SectionReader",
    "card_sections",
    "is_whole",
    "kind_of",
    "length_fault",
    "text_fault",
    "written",
]

CARD_SECTIONS = ("card", "front", "tier", "layer", "ornament")
LIST_SECTIONS = ("tier", "layer", "ornament")
"""The sections that come in any number, headed [[tier]]."""
MOST_TIERS = 8
MOST_ROWS = 60
"""Layers, and ornaments, that one card may carry in a file."""
_ROWS: Mapping[str, tuple[str, type]] = MappingProxyType(
    {"layer": ("layers", Layer), "ornament": ("ornaments", Ornament)}
)
# Fields of a card that have sections of their own.
_BESIDE_CARD = ("tiers", "front", "layers", "ornaments")


# What a value is ----------------------------------------------------------------


def is_whole(value: object, least: int | None = None, most: int | None = None) -> bool:
    """Whether a value is a whole number, within limits where they are given."""
    whole = isinstance(value, int) and not isinstance(value, bool)
    return whole and (least is None or value >= least) and (most is None or value <= most)


def kind_of(value: object) -> str:
    """What a value is, in a tutor's words."""
    if isinstance(value, bool):
        return "true or false"
    if isinstance(value, str):
        return "a text in quotes"
    if isinstance(value, int | float | Number | Fraction):
        return "a number without quotes"
    if isinstance(value, Mapping):
        return "a section"
    if isinstance(value, list | tuple):
        return "a list"
    return "a date or a time" if hasattr(value, "isoformat") else "something else"


def text_fault(text: object, key: str, limit: int, *, empty: bool = False) -> Fault | None:
    """Why a value cannot stand as a text at `key`, or None.

    limit  characters at most
    empty  whether it may hold nothing to see
    """
    if not isinstance(text, str):
        name = re.sub(r"\[\d+\]$", "", key).rpartition(".")[2]
        example = f'["…", "{shown(text)}"]' if key.endswith("]") else f'"{shown(text)}"'
        return Fault(key=key, what=f"This is {kind_of(text)}.", remedy=f"Write {name} = {example}.")
    for char in text:
        if unicodedata.category(char) in ("Cc", "Cs") and char not in "\t\n\r":
            what = f"{quoted(text)} holds a control character, code {ord(char)}."
            return Fault(key=key, what=what, remedy="Delete it, or type the text again.")
    if len(text) > limit:
        what = f"{quoted(text)} is {len(text)} characters long."
        return Fault(key=key, what=what, remedy=f"Write {limit} at most.")
    if not empty and not any(char.isprintable() and not char.isspace() for char in text):
        return Fault(key=key, what="There is nothing here to read.", remedy="Write a text.")
    return None


def shown(value: object) -> str:
    """A number as it was typed, or "…" for anything that is no number of a decent length."""
    text = (
        value.text
        if isinstance(value, Number)
        else str(value)
        if is_whole(value, -(10**9), 10**9)
        else ""
    )
    return text if 0 < len(text) <= 20 else "…"


def length_fault(key: str, fault: LengthError) -> Fault:
    """A `LengthError` as the fault of a key."""
    return Fault(key=key, what=f"{quoted(fault.text)} {fault.why}.", remedy=_sentence(fault.hint))


def _sentence(hint: str) -> str:
    return f"{hint or 'Write another'}."


def _or(names: Iterable[str]) -> str:
    *most, last = (f'"{name}"' for name in names)
    return f"{', '.join(most)} or {last}" if most else last


# Which keys a section has -------------------------------------------------------


@cache
def _kinds(model: type) -> Mapping[str, tuple[type, bool]]:
    """{field: (what it holds, whether it must be given)} of a model."""
    hints = get_type_hints(model)
    return MappingProxyType(
        {
            each.name: (
                next(iter(get_args(hints[each.name])), hints[each.name]),  # Length of Length | None
                each.default is MISSING and each.default_factory is MISSING,
            )
            for each in fields(model)
        }
    )


def _forms(section: str) -> Mapping[str, type]:
    return {"front": FRONTS, "tier": TIER_FORMS}.get(section, {})


def _keys(section: str) -> tuple[str, ...]:
    """The keys of a section; where it has several forms, of all of them."""
    if section == "card":
        return tuple(key for key in _kinds(Card) if key not in _BESIDE_CARD)
    if section in _ROWS:
        return tuple(_kinds(_ROWS[section][1]))
    keys = (key for model in _forms(section).values() for key in ("form", *_kinds(model)))
    return tuple(dict.fromkeys(keys))


def _heading(section: str) -> str:
    return f"[[{section}]]" if section in LIST_SECTIONS else f"[{section}]"


# What people call a size where no spelling is near: the words of our own messages.
_ALSO = {
    "tier": {"shelf": "depth", "height": "face"},
    "layer": {"height": "length", "border": "reveal", "area": "on", "along": "across"},
    "ornament": {"length": "height", "across": "along", "foam": "pad", "weight": "grams", "tier": "on"},
}

# Why a card cannot exist although each of its sizes can: (as `Card` says it, key, remedy unless
# `Card` gives one after a colon, whether sizes have a part in it).
_REASONS = (
    (
        r"^A cut step ",
        "front.form",
        f'Write form = "{OnePieceFront.form}", or make every tier a "{Tier.form}".',
        False,
    ),
    (
        rf"^Tier (\d+) is a {CutStep.form}",
        "tier[{}].form",
        f'List the cut steps first, or write form = "{Tier.form}" here.',
        False,
    ),
    (
        r"leave no width for tier (\d+)",
        "tier[{}]",
        "Write a smaller side_inset, a wider card, or a width for this tier.",
        True,
    ),
    (r"^Tier (\d+)'s slits .* front", "tier[{}].depth", "Write less.", True),
    (r"^Tier (\d+)'s slits", "tier[{}].face", "Write less.", True),
    (r"past its own end", "front.gap", "", True),
    (r"^The spine ", "card.spine", "", False),
    (r"^Layer (\d+) lies", "layer[{}].on", "", False),
    (r"^Layer (\d+)'s name", "layer[{}].name", "", False),
    (r"^Ornament (\d+) stands", "ornament[{}].on", "", False),
    (r"^Ornament (\d+)'s name", "ornament[{}].name", "", False),
    (r"", "card", "Change one of the sizes it speaks of.", True),
)
_ANY_TIERS = (Tier(face=LONGEST, depth=LONGEST, width=LONGEST),)


def _nearest(word: str, words: Iterable[str]) -> str | None:
    """The word that was meant, if one is near: letter case, hyphens and spaces do not count."""

    def plain(text: str) -> str:
        return re.sub(r"[\s_-]+", "_", text.strip().casefold())

    known = {plain(one): one for one in words}
    close = difflib.get_close_matches(plain(word[:60]), known, n=1)
    return known[close[0]] if close else None


class SectionReader:
    """Reads the sections of one document, gathering its faults.

    top  the keys that stand at the top of the file, above every section
    """

    def __init__(self, document: Document, top: Sequence[str]) -> None:
        self.document, self.top = document, tuple(top)
        self.faults = list(document.faults)
        self._spoiled = {fault.key for fault in document.faults}
        self._stood_in = False  # whether a stand-in takes the place of any size

    def fault(self, key: str, what: str, remedy: str) -> None:
        """Note a fault, with the line of its key."""
        line = self.document.line_of(key)
        self.faults.append(Fault(key=key, what=what, remedy=remedy, line=line))

    def add(self, fault: Fault) -> None:
        """Note a fault that was found elsewhere, with the line of its key."""
        self.fault(fault.key, fault.what, fault.remedy)

    def missing(self, key: str, remedy: str) -> None:
        """Note that a key is missing, unless its line could not be read."""
        if key not in self._spoiled:
            self.fault(key, "This is missing.", remedy)

    # keys

    def unknown(self, table: Mapping[str, object], at: str, keys: Sequence[str]) -> dict[str, str]:
        """A fault for each key that has no place in the section `at`, with where it belongs.

        Returns: {key that was meant: key as it was typed} where the right one is not there too.
        """
        typed = {}
        for key in table:
            if key not in keys:
                meant, remedy = self._home(key, at.partition("[")[0], keys)
                self.fault(child(at, key), f"{quoted(key)} is no key here.", remedy)
                if meant is not None and meant not in table:
                    typed[meant] = key
        return typed

    def _home(self, key: str, section: str, keys: Sequence[str]) -> tuple[str | None, str]:
        """The key that was meant, if it is plain, and what to do about one that has no place."""
        also = _ALSO.get(section, {}).get(key.casefold())
        if also in keys:
            return also, f"Write {also}."
        forms = [form for form, model in _forms(section).items() if key in _kinds(model)]
        if forms:
            return None, f"Leave it out: it goes with form = {_or(forms)}."
        homes = [f"under {_heading(one)}" for one in CARD_SECTIONS if key in _keys(one)]
        if key in self.top:
            homes = ["at the top of the file"]
        if homes:
            return None, f"It belongs {' or '.join(homes)}."
        # With so many at fault the file is no recipe, and each look for a near word takes time.
        if len(self.faults) < 500 and (near := _nearest(key, keys)):
            return near, f"Write {near}."
        return None, f"Leave it out. The keys here are {', '.join(keys)}."

    def outermost(self, keys: Sequence[str], aside: Sequence[str] = ()) -> Mapping[str, object]:
        """The values of the document with every key spelled as it was meant.

        aside  keys that the caller sees to itself
        """
        values, lines = dict(self.document.values), dict(self.document.lines)
        looked_at = {key: value for key, value in values.items() if key not in aside}
        for meant, typed in self.unknown(looked_at, "", keys).items():
            values[meant] = values.pop(typed)
            for key, line in self.document.lines.items():
                if re.split(r"[.\[]", key)[0] == typed:
                    lines[meant + key[len(typed) :]] = line
        self.document = replace(self.document, values=values, lines=lines)
        return values

    # sections

    def card(self) -> Card:
        """The card of the document; a stand-in where it has faults."""
        values = self.document.values
        front = None
        if "front" in values:
            front = self._formed(values["front"], "front")
        else:
            self.missing("front", f"Write [front], and under it form = {_or(FRONTS)}.")
        tiers = [self._formed(row, at, default=Tier.form) for at, row in self._tier_rows()]
        if "card" not in values:
            self.missing("card", "Write [card], and under it width and height.")
            self._spoiled.update(f"card.{key}" for key in _kinds(Card))
        whole = bool(tiers) and None not in tiers
        self._stood_in |= front is None or not whole
        given = {
            "front": front or OnePieceFront(),
            "tiers": tuple(tiers) if whole else _ANY_TIERS * max(1, len(tiers)),
        }
        for section, (name, model) in _ROWS.items():
            rows = [self._record(model, row, at) for at, row in self._rows(section)]
            # Without its tiers a card has no places to check them against.
            given[name] = tuple(rows) if tiers else ()
        return self._record(Card, values.get("card", {}), "card", given=given, hidden=_BESIDE_CARD)

    def _rows(self, section: str) -> list[tuple[str, object]]:
        """(key path, section) of each layer or ornament."""
        rows = self.document.values.get(section, [])
        if isinstance(rows, Mapping):
            self.fault(section, f"The heading is written [{section}].", f"Write [[{section}]].")
            return [(section, rows)]
        if not isinstance(rows, list):
            remedy = f"Write [[{section}]] as a heading for each {section}."
            self.fault(section, f"This is {kind_of(rows)}.", remedy)
            return []
        if len(rows) > MOST_ROWS:
            self.fault(section, f"There are {len(rows)} {section}s.", f"Write {MOST_ROWS} at most.")
        return [(f"{section}[{number}]", row) for number, row in enumerate(rows[:MOST_ROWS], 1)]

    def _tier_rows(self) -> list[tuple[str, object]]:
        """(key path, section) of each tier."""
        rows = self.document.values.get("tier", [])
        if isinstance(rows, Mapping):
            self.fault("tier", "The heading is written [tier].", "Write [[tier]].")
            return [("tier", rows)]
        if not isinstance(rows, list):
            self.fault("tier", f"This is {kind_of(rows)}.", "Write [[tier]] as a heading for each tier.")
            return []
        if not rows and "tier" not in self._spoiled:
            needs = " and ".join(f'{key} = "…"' for key, (_, must) in _kinds(Tier).items() if must)
            self.fault(
                "tier", "The card has no tiers.", f"Write [[tier]] for each, and under it {needs}."
            )
        if len(rows) > MOST_TIERS:
            self.fault("tier", f"There are {len(rows)} tiers.", f"Write {MOST_TIERS} at most.")
        return [(f"tier[{number}]", row) for number, row in enumerate(rows[:MOST_TIERS], 1)]

    def _formed(self, table: object, at: str, default: str | None = None) -> object | None:
        """The model of a section that names its form; None where the form is unknown."""
        section = at.partition("[")[0]
        forms, key = _forms(section), child(at, "form")
        if not isinstance(table, Mapping):
            self._not_a_section(table, at)
            return None
        form = table.get("form", default)
        if isinstance(form, str) and form in forms:
            return self._record(forms[form], table, at, extra=("form",))
        if form is None:
            self.missing(key, f"Write form = {_or(forms)}.")
        elif not isinstance(form, str):
            self.fault(key, f"This is {kind_of(form)}.", f"Write form = {_or(forms)}.")
        else:
            near = _nearest(form, forms)
            remedy = f'Write form = "{near}".' if near else f"Write form = {_or(forms)}."
            self.fault(key, f"{quoted(form)} is no form we know.", remedy)
        # Its sizes are still looked at, as any of the forms might hold them.
        self.unknown(table, at, _keys(section))
        kinds = {name: kind for model in forms.values() for name, (kind, _) in _kinds(model).items()}
        for name, value in table.items():
            if name in kinds:
                self._read(kinds[name], value, child(at, name))
        return None

    def _not_a_section(self, value: object, at: str) -> None:
        remedy = f"Write {_heading(at.partition('[')[0])} as a heading, and its keys below it."
        self.fault(at, f"This is {kind_of(value)}.", remedy)

    def _record(
        self,
        model: type,
        table: object,
        at: str,
        *,
        given: Mapping[str, object] = MappingProxyType({}),
        hidden: Sequence[str] = (),
        extra: Sequence[str] = (),
    ) -> object:
        """A model filled from a section.

        given   values of fields on which the section is silent
        hidden  fields that have no key in the section
        extra   keys of the section that are no fields
        """
        kinds, values = _kinds(model), dict(given)
        if isinstance(table, Mapping):
            keys = [key for key in kinds if key not in hidden]
            typed = self.unknown(table, at, [*extra, *keys])
        else:
            self._not_a_section(table, at)
            table, keys, typed = {}, [], {}
        for key in keys:
            kind, needed = kinds[key]
            name = typed.get(key, key)
            if name in table:
                value = self._read(kind, table[name], child(at, name))
                if value is not None:
                    values[key] = value
                self._stood_in |= value is None
            elif needed and key not in values:
                self._stood_in = True
                example = "220" if kind is Fraction else '"…"'
                self.missing(child(at, key), f"Write {key} = {example}.")
        for key, (kind, needed) in kinds.items():
            if needed and key not in values:
                values[key] = _stand_in(model, key, kind)
        return self._built(model, values, table, at)

    def _built(self, model: type, values: dict[str, object], table: Mapping, at: str) -> object:
        """The model of these values; each that it refuses is a fault and gives way."""

        def give_way(key: str) -> None:
            self._stood_in = True
            kind, needed = _kinds(model)[key]
            values.pop(key, None)
            if needed:
                values[key] = _stand_in(model, key, kind)

        while True:  # ends: what has given way is not refused again
            try:
                return model(**values)
            except LengthError as error:  # of a stock or a sheet
                key = next(key for key, value in values.items() if _refused_as(value) == error.text)
                fault = length_fault(child(at, key), error)
                self.fault(fault.key, fault.what, fault.remedy)
                give_way(key)
            except CardError as error:
                for reason in error.faults:
                    own = re.fullmatch(
                        rf"{model.__name__}\.(\w+) (?:“(.*?)”: )?(.*?)\. ?(.*)", reason, re.S
                    )
                    if own:
                        typed = table.get(own[1])
                        what = "There is nothing here to read."
                        if own[2] is not None:
                            what = f"{quoted(typed if isinstance(typed, str) else own[2])} {own[3]}."
                        self.fault(child(at, own[1]), what, own[4])
                        give_way(own[1])
                    else:
                        self._misfit(reason, values)

    def _misfit(self, reason: str, values: dict[str, object]) -> None:
        """Why the parts of a card do not go together, as a fault; they give way."""
        pattern, place, cure, of_sizes = next(row for row in _REASONS if re.search(row[0], reason))
        found = re.search(pattern, reason)
        what, _, hint = reason.partition(": ")
        if not (of_sizes and self._stood_in):
            remedy = hint[:1].upper() + hint[1:] if hint else cure
            self.fault(place.format(*found.groups()), what.rstrip(".") + ".", remedy)
        section, _, key = place.partition("[{}].")
        if section in _ROWS:  # that one alone gives way
            name, row = _ROWS[section][0], int(found[1]) - 1
            rows = list(values[name])
            freed = {"on": "back"} if key == "on" else {"name": ""}
            rows[row] = replace(rows[row], **freed)
            values[name] = tuple(rows)
            return
        values["front"] = OnePieceFront()
        if place != "front.form":
            values["tiers"] = _ANY_TIERS * max(1, len(values["tiers"]))

    # values

    def _read(self, kind: type, value: object, key: str) -> object | None:
        """A value of a kind, or None after a fault."""
        return _READERS[kind](self, value, key)

    def length(self, value: object, key: str) -> Length | None:
        """A length from a text with a unit, or None after a fault; it may be 0 or less."""
        name = key.rpartition(".")[2]
        if is_whole(value) or isinstance(value, Number):
            typed = shown(value)
            self.fault(
                key,
                f"{typed} stands without quotes and without a unit.",
                f'Write {name} = "{typed} in" or {name} = "{typed} mm".',
            )
            return None
        if not isinstance(value, str):
            self.fault(
                key, f"This is {kind_of(value)}.", f'Write one length, as in {name} = "4 1/4 in".'
            )
            return None
        try:
            length = parse_length(value, offset=True)
            # A fraction without a unit is read as inches; here its unit must be written.
            bare = parse_length(value, "mm", offset=True).units != length.units
        except LengthError as fault:
            self.add(length_fault(key, fault))
            return None
        if not bare:
            return length
        text = " ".join(value.split())
        self.fault(key, f"{quoted(value)} has no unit.", f'Write "{text} in" or "{text} mm".')
        return None

    def _text(self, value: object, key: str) -> str | None:
        fault = text_fault(value, key, 200, empty=True)
        if fault is not None:
            self.add(fault)
        return value if fault is None else None

    def _grammage(self, value: object, key: str) -> Fraction | None:
        text = (
            value.text
            if isinstance(value, Number)
            else str(value)
            if is_whole(value, 0, 9999)
            else value
        )
        number = r"[0-9]{1,4}(\.[0-9]{1,9})?|[0-9]{1,12}/[1-9][0-9]{0,11}"
        if isinstance(text, str) and re.fullmatch(number, text) and 0 < Fraction(text) < 10_000:
            return Fraction(text)
        name = key.rpartition(".")[2]
        what, remedy = "This is no grammage.", "Write grams per square metre, without quotes or unit:"
        if name == "grams":
            what, remedy = "This is no weight.", "Write grams, without quotes or unit:"
        self.fault(key, what, f"{remedy} {name} = {'2.5' if name == 'grams' else '220'}.")
        return None

    def _sheet(self, value: object, key: str) -> Sheet | None:
        if isinstance(value, Mapping):
            return self._record(Sheet, value, key)
        return self._named(as_sheet, value, SHEETS, key)

    def _stock(self, value: object, key: str) -> Stock | None:
        if not isinstance(value, Mapping):
            return self._named(as_stock, value, STOCKS, key)
        base = None
        if isinstance(value.get("name"), str):
            base = {name.casefold(): one for name, one in STOCKS.items()}.get(
                value["name"].strip().casefold()
            )
        if base is None:
            return self._record(Stock, value, key)
        kept = {field: getattr(base, field) for field in _kinds(Stock) if field not in value}
        stock = self._record(Stock, value, key, given=kept)
        return replace(stock, name=base.name) if set(value) <= {"name", "sheet"} else stock

    def _named(
        self, find: Callable[[str], object], value: object, known: Iterable[str], key: str
    ) -> object | None:
        """A sheet or a stock by its name."""
        if not isinstance(value, str):
            self.fault(key, f"This is {kind_of(value)}.", f"Write {_or(known)}.")
            return None
        try:
            return find(value)
        except LengthError as fault:
            near = _nearest(value, known)
            self.fault(key, f"{quoted(value)} {fault.why}.", f"Write {_or([near] if near else known)}.")
            return None


_READERS = {
    Length: SectionReader.length,
    Stock: SectionReader._stock,
    Sheet: SectionReader._sheet,
    Fraction: SectionReader._grammage,
    str: SectionReader._text,
}
_STAND_INS = {Length: LONGEST, Sheet: SHEETS["A4"], Fraction: Fraction(1), str: "card"}


def _stand_in(model: type, key: str, kind: type) -> object:
    """A value that cannot be at fault itself."""
    return "back" if key == "on" and model in (Layer, Ornament) else _STAND_INS[kind]


def _refused_as(value: object) -> str:
    """How a `LengthError` quotes a value that it refuses."""
    return show_exact(value) if isinstance(value, Length) else str(value)


# The sections of a card ---------------------------------------------------------


def card_sections(card: Card) -> dict[str, object]:
    """The sections of a card as plain data: "card", "front", and lists of "tier", "layer" and
    "ornament", the last two where there are any.
    """
    main = _table(card, hidden=_BESIDE_CARD)
    if card.tier_stock == card.stock:
        del main["tier_stock"]
    return {
        "card": main,
        "front": {"form": card.front.form, **_table(card.front)},
        "tier": [{"form": tier.form, **_table(tier)} for tier in card.tiers],
        **{
            section: [_table(row) for row in getattr(card, name)]
            for section, (name, _) in _ROWS.items()
            if getattr(card, name)
        },
    }


def _table(model: object, hidden: Sequence[str] = ()) -> dict[str, object]:
    """The fields of a model as plain data, without those left open."""
    values = {key: getattr(model, key) for key in _kinds(type(model)) if key not in hidden}
    return {key: _plain(value) for key, value in values.items() if value is not None}


def _plain(value: object) -> object:
    if isinstance(value, Sheet):
        return value.name if SHEETS.get(value.name) == value else _table(value)
    if isinstance(value, Stock):
        known = STOCKS.get(value.name)
        if known == value:
            return value.name
        table = _table(value)
        same_paper = known is not None and replace(known, sheet=value.sheet) == value
        return {key: table[key] for key in ("name", "sheet")} if same_paper else table
    if isinstance(value, Fraction):
        return int(value) if value.denominator == 1 else str(value)
    return value if isinstance(value, str) else written(value)


def written(length: Length) -> str:
    """A length in full, in letters that every keyboard has: "8 1/2 in", "215.9 mm", "1/3 mm"."""
    unit, value = unit_of(length), Fraction(length.magnitude)
    if unit not in ("inch", "foot", "millimeter", "centimeter", "meter"):
        unit, value = "millimeter", mm(length)
    symbol = {"inch": "in", "foot": "ft", "millimeter": "mm", "centimeter": "cm", "meter": "m"}[unit]
    if symbol not in ("in", "ft"):
        decimal = format(Decimal(value.numerator) / Decimal(value.denominator), "f")
        if Fraction(decimal) == value:
            return f"{decimal} {symbol}"
    whole, rest = divmod(abs(value), 1)
    figures = [str(part) for part in (whole, rest) if part]
    return ("-" if value < 0 else "") + " ".join([*(figures or ["0"]), symbol])
