"""The language that a page is printed in: its words, its plurals, its numbers.

Source strings are whole sentences in British English with named places, "Fold tier {tier} back.";
the catalogues in `locale/` (GNU gettext .po files) hold the same sentences in other languages.
A language is an object that is passed along; there is no language of the whole program. A sentence
that a catalogue lacks is printed in English, so a page never fails for want of a word; a test does.

    python -m popkit.language            gather the strings of the source into the catalogues
    python -m popkit.language --check    only tell what is missing

Imports: lengths. babel when a language first says anything.
Sources: the catalogue format and its plural forms are those of the GNU gettext manual; lists, decimal
signs and money are written as Unicode CLDR has them for the language, through Babel.
"""

from __future__ import annotations

import argparse
import re
import string
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from popkit.lengths import Grid, Length, show_exact, show_length

if TYPE_CHECKING:
    from babel import Locale
    from babel.messages import Catalog

__all__ = [
    "BRITISH",
    "LANGUAGES",
    "Language",
    "LanguageError",
    "as_language",
    "fields_of",
    "message",
    "missing",
    "noun",
    "source_catalogue",
    "update_catalogues",
]

FOLDER = Path(__file__).parent / "locale"
_CODE = Path(__file__).parent


class LanguageError(ValueError):
    """A language that the kit does not speak."""


# Marking strings ------------------------------------------------------------------


def message(text: str) -> str:
    """The text itself, marked for the catalogues: it is said later, by `Language.say`."""
    return text


def noun(text: str) -> str:
    """As `message`, for the name of a piece, zone or stock that `Language.name` will look up."""
    return text


# Languages ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """A language that pages are printed in.

    code      as its catalogue is called: "en_GB", "en_US", "de"
    title     its name in itself
    paper     the usual paper where it is spoken: "A4" or "Letter"
    complete  whether its catalogue must hold every string; else only those that differ
    """

    code: str
    title: str
    paper: str = "A4"
    complete: bool = False

    @property
    def tag(self) -> str:
        """As PDF and HTML name it: "en-GB". Source: BCP 47."""
        return self.code.replace("_", "-")

    def template(self, text: str) -> str:
        """The sentence in this language, its places still open."""
        return _catalogue(self.code).get(text, text)

    def say(self, text: str, /, **values: object) -> str:
        """A sentence with its places filled: `say("Glue tier {tier}.", tier=2)`."""
        return self.template(text).format(**values)

    def many(self, count: int, one: str, more: str, /, **values: object) -> str:
        """A sentence that depends on a number: `many(3, "one piece", "{count} pieces")`.

        The number fills the place {count}.
        """
        forms = _catalogue(self.code).get((one, more))
        place = _plural(self.code)(count) if forms else int(count != 1)
        chosen = (forms or (one, more))[place]
        return chosen.format(**{"count": count} | values)

    def name(self, name: str) -> str:
        """The name of a piece, zone or stock, as printed: "tier 2" -> "Stufe 2".

        A name that the kit did not give (a tutor's own ornament) is printed as it was typed.
        """
        known = _catalogue(self.code)
        if name in known:
            return known[name]
        numbers = re.findall("[0-9]+", name)
        places = iter(_PLACES)
        pattern = re.sub("[0-9]+", lambda _: f"{{{next(places, '?')}}}", name)
        if numbers and pattern in known and len(numbers) <= len(_PLACES):
            return known[pattern].format(**dict(zip(_PLACES, numbers, strict=False)))
        for start in _STARTS:
            pattern = f"{start}{{name}}"
            if name.startswith(start) and pattern in known:
                return known[pattern].format(name=name.removeprefix(start))
        return name

    def listed(self, names: Iterable[str], last: str = "and") -> str:
        """ "a", "a and b", "a, b and c"; with "or" before the last where `last` is "or"."""
        names = list(names)
        if self.code == BRITISH.code:  # as CLDR has it, and no babel is loaded for it
            return f" {last} ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))
        from babel.lists import format_list

        style = {"and": "standard", "or": "or"}[last]
        return format_list(names, style=style, locale=_locale(self.code))

    def spelled(self, count: int) -> str:
        """ "no", "one", … "ten"; figures from 11."""
        return self.template(_COUNTS[count]) if 0 <= count < len(_COUNTS) else self.number(count)

    # Numbers

    def show(self, length: Length, grid: Grid | Length | str) -> str:
        """As `show_length`: "8½ in", "12.5 mm"; "8½ Zoll", "12,5 mm"."""
        return self._length(show_length(length, grid))

    def show_exact(self, length: Length) -> str:
        """As `lengths.show_exact`."""
        return self._length(show_exact(length))

    def _length(self, text: str) -> str:
        if self.code == BRITISH.code:  # the pictures of a live panel ask for many
            return text
        number, _, unit = text.rpartition(" ")
        number = self.decimal(number)
        return self.template(_UNITS[unit]).format(number=number) if unit in _UNITS else text

    def decimal(self, figures: str) -> str:
        """Figures with the decimal sign of the language: "12.5" -> "12,5"."""
        return figures if self.code == BRITISH.code else figures.replace(".", _decimal_sign(self.code))

    def typed(self, text: str) -> str:
        """A typed length as `parse_length` reads it: "12,5 mm" -> "12.5 mm", "2½ Zoll" -> "2½ in"."""
        if self.code == BRITISH.code:
            return text
        if self.decimal(".") == ",":
            text = text.replace(",", ".")
        for unit, shown in _UNITS.items():
            word = self.template(shown).replace("{number}", "").strip()
            if word != unit:
                text = re.sub(rf"(?i)(?<![a-z]){re.escape(word)}(?!\w)", unit, text)
        return text

    def number(self, value: int | float | Fraction | Decimal, places: int | None = None) -> str:
        """A number with the decimal and thousands signs of the language: "1,250.5", "1.250,5".

        places  decimals to print, ties to even; unless given, as many as needed, 3 at most
        """
        from babel.numbers import format_decimal

        if isinstance(value, Fraction):
            value = Decimal(value.numerator) / Decimal(value.denominator)
        pattern = None if places is None else f"#,##0.{'0' * places}" if places else "#,##0"
        return format_decimal(value, format=pattern, locale=_locale(self.code))

    @property
    def money_first(self) -> bool:
        """Whether the sign of a currency stands before the amount. Source: Unicode CLDR."""
        return _locale(self.code).currency_formats["standard"].pattern.lstrip().startswith("¤")

    def money(self, amount: Fraction | Decimal | int, currency: str) -> str:
        """An amount in a currency of ISO 4217: "£1,250.50", "1.250,50 £"."""
        from babel.numbers import format_currency

        if isinstance(amount, Fraction):
            amount = Decimal(amount.numerator) / Decimal(amount.denominator)
        return format_currency(amount, currency, locale=_locale(self.code))


BRITISH = Language(code="en_GB", title="British English")
"""The language of the source, which needs no catalogue."""

LANGUAGES: dict[str, Language] = {
    language.code: language
    for language in (
        BRITISH,
        Language(code="en_US", title="American English", paper="Letter"),
        Language(code="de", title="Deutsch", complete=True),
    )
}


def as_language(language: Language | str) -> Language:
    """A `Language` from itself or from its code: "de", "en_US", "en-us"; "en" is British.

    Raises: LanguageError.
    """
    if isinstance(language, Language):
        return language
    if isinstance(language, str):
        wanted = language.strip().replace("-", "_").casefold()
        for code, found in LANGUAGES.items():
            if wanted in (code.casefold(), {"en_GB": "en"}.get(code)):
                return found
    raise LanguageError(f"{language!r} is no language of the kit. Write {' or '.join(LANGUAGES)}.")


# Words that stand here because numbers need them -----------------------------------

_COUNTS = (
    message("no"),
    message("one"),
    message("two"),
    message("three"),
    message("four"),
    message("five"),
    message("six"),
    message("seven"),
    message("eight"),
    message("nine"),
    message("ten"),
)
_UNITS = {
    "in": message("{number} in"),
    "mm": message("{number} mm"),
    "cm": message("{number} cm"),
    "ft": message("{number} ft"),
    "m": message("{number} m"),
}
_PLACES = ("number", "second", "third")  # what stands for the numbers in a name
_STARTS = ("mat for the ",)  # of names that end in one that a tutor gave


@cache
def _locale(code: str) -> Locale:
    from babel import Locale

    return Locale.parse(code)


@cache
def _decimal_sign(code: str) -> str:
    from babel.numbers import get_decimal_symbol

    return get_decimal_symbol(_locale(code))


# Catalogues -----------------------------------------------------------------------


@cache
def _catalogue(code: str) -> dict[str | tuple[str, str], str | tuple[str, ...]]:
    """What a language says for each source string; a plural is kept under both its strings."""
    if code == BRITISH.code:
        return {}
    found = {}
    for entry in _read(code):
        done = entry.string if isinstance(entry.string, tuple) else (entry.string,)
        if entry.id and all(done) and not entry.fuzzy:
            found[entry.id] = entry.string
    return found


@cache
def _plural(code: str) -> Callable[[int], int]:
    """Which form of a plural a number takes. Source: the Plural-Forms line of the catalogue."""
    from gettext import c2py

    return c2py(_read(code).plural_expr)


@cache
def _read(code: str) -> Catalog:
    from babel.messages.pofile import read_po

    with (FOLDER / f"{code}.po").open("rb") as file:
        return read_po(file, locale=code, abort_invalid=True)


# Keeping the catalogues in step with the source -------------------------------------

_KEYWORDS = {"message": None, "noun": None, "say": None, "many": (2, 3)}
_HEADER = "# {name}: what popkit prints. Made by: python -m popkit.language"


def _new_catalogue(code: str | None = None) -> Catalog:
    from babel.messages import Catalog

    never = datetime(2026, 1, 1, tzinfo=UTC)  # a date that stays, so that the file stays the same
    return Catalog(
        locale=code,
        project="popkit",
        version="as its source",
        msgid_bugs_address="none",
        last_translator="none",
        language_team="none",
        creation_date=never,
        revision_date=never,
        header_comment=_HEADER.format(name=code or "Template"),
        fuzzy=False,
    )


def source_catalogue() -> Catalog:
    """Every string of the source that is marked to be said, with the files that say it."""
    from babel.messages.extract import extract_from_file

    catalogue = _new_catalogue()
    for path in sorted(_CODE.rglob("*.py")):
        for found in extract_from_file("python", path, keywords=_KEYWORDS):
            texts = found[1]
            where = [(path.relative_to(_CODE.parent).as_posix(), 0)]
            if isinstance(texts, tuple):
                texts = tuple(text for text in texts if text is not None)
                texts = texts if len(texts) == 2 else texts[0]
            catalogue.add(texts, locations=where)
    return catalogue


def missing(code: str) -> list[str | tuple[str, str]]:
    """Source strings that the catalogue of a language has no words for."""
    return [entry.id for entry in source_catalogue() if entry.id and entry.id not in _catalogue(code)]


def update_catalogues(folder: Path = FOLDER) -> list[Path]:
    """Write the template and every catalogue anew from the source, translations kept.

    What the source no longer says is dropped. A language that is not complete keeps only what
    differs from the source.
    """
    from babel.messages.pofile import read_po, write_po

    source = source_catalogue()
    written = {"popkit.pot": source}
    for code, language in LANGUAGES.items():
        path = folder / f"{code}.po"
        if language == BRITISH:
            continue
        catalogue = _new_catalogue(code)
        kept = {}
        if path.exists():
            with path.open("rb") as file:
                kept = {entry.id: entry for entry in read_po(file, locale=code) if entry.id}
        for entry in source:
            if not entry.id:
                continue
            old = kept.get(entry.id)
            string = old.string if old is not None else ("", "") if isinstance(entry.id, tuple) else ""
            if language.complete or any(string):
                notes = old.user_comments if old is not None else ()
                catalogue.add(entry.id, string, locations=entry.locations, user_comments=notes)
        written[path.name] = catalogue
    for name, catalogue in written.items():
        for entry in catalogue:
            entry.flags.discard("python-format")  # a per cent sign is a per cent sign
        with (folder / name).open("wb") as file:
            write_po(file, catalogue, width=100, sort_output=True, include_lineno=False)
    _catalogue.cache_clear()
    _read.cache_clear()
    return [folder / name for name in written]


def fields_of(text: str) -> list[str]:
    """The places of a sentence, in their order: "Glue {what} to {where}." -> ["what", "where"]."""
    return [field for _, field, _, _ in string.Formatter().parse(text) if field]


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description="Gather what popkit prints into its catalogues.")
    parser.add_argument("--check", action="store_true", help="only tell what is missing")
    if not parser.parse_args().check:
        for path in update_catalogues():
            print(path)
    lacking = [(code, one) for code, its in LANGUAGES.items() if its.complete for one in missing(code)]
    for code, one in lacking:
        print(f"{code} has no words for {one!r}")
    sys.exit(1 if lacking else 0)


if __name__ == "__main__":
    main()
