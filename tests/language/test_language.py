"""Words, plurals and numbers in each language, and the catalogues in step with the source.

Sources: lists, decimal signs and money as Unicode CLDR has them (typed from its charts of en, en-GB
and de, from memory); plural forms: GNU gettext manual, "Plural forms", Germanic family: n != 1.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from fractions import Fraction

import pytest
from babel.lists import format_list
from babel.messages.pofile import read_po
from hypothesis import given
from hypothesis import strategies as st

from popkit.areas import areas
from popkit.card import CardError
from popkit.language import (
    BRITISH,
    FOLDER,
    LANGUAGES,
    LanguageError,
    as_language,
    fields_of,
    missing,
    source_catalogue,
    update_catalogues,
)
from popkit.lengths import parse_length
from popkit.papers import STOCKS
from popkit.pieces import cut_list
from tests.strategies import cards

GERMAN, AMERICAN = LANGUAGES["de"], LANGUAGES["en_US"]
UPDATE = "The catalogues are out of date: run python -m popkit.language"


def kept(name):
    with (FOLDER / name).open("rb") as file:
        return {entry.id: entry for entry in read_po(file) if entry.id}


# Speaking -------------------------------------------------------------------------


def test_a_language_is_named_by_its_code_however_it_is_written():
    assert as_language("de") is GERMAN
    assert as_language(" EN-us ") is AMERICAN
    assert as_language("en") is as_language("en_GB") is BRITISH
    assert as_language(GERMAN) is GERMAN
    assert (GERMAN.tag, AMERICAN.tag) == ("de", "en-US")
    assert (GERMAN.paper, AMERICAN.paper, BRITISH.paper) == ("A4", "Letter", "A4")


@pytest.mark.parametrize("wrong", ["xx", "", "../de", "german", None, 3])
def test_a_language_that_is_not_spoken_is_refused_in_words(wrong):
    with pytest.raises(LanguageError, match=r"is no language of the kit\. Write en_GB or en_US or de"):
        as_language(wrong)


@pytest.mark.parametrize(
    ("language", "count", "said"),
    [
        # Germanic family: n != 1, so nothing and many alike are plural
        (BRITISH, 0, "no tiers"),
        (BRITISH, 1, "one tier"),
        (BRITISH, 2, "two tiers"),
        (BRITISH, 11, "11 tiers"),
        (GERMAN, 0, "keine Stufen"),
        (GERMAN, 1, "eine Stufe"),
        (GERMAN, 2, "zwei Stufen"),
        (GERMAN, 11, "11 Stufen"),
    ],
)
def test_one_and_many(language, count, said):
    several = language.spelled(count)
    assert language.many(count, "one tier", "{several} tiers", several=several) == said


@pytest.mark.parametrize(
    ("names", "british", "american", "german"),
    [
        ([], "", "", ""),
        (["a"], "a", "a", "a"),
        (["a", "b"], "a and b", "a and b", "a und b"),
        (["a", "b", "c"], "a, b and c", "a, b, and c", "a, b und c"),
    ],
)
def test_lists_in_words(names, british, american, german):
    assert [one.listed(names) for one in (BRITISH, AMERICAN, GERMAN)] == [british, american, german]
    assert BRITISH.listed(["a", "b"], "or") == "a or b"
    assert GERMAN.listed(["a", "b"], "or") == "a oder b"


@pytest.mark.parametrize(
    ("length", "grid", "british", "german"),
    [
        ("12.5 mm", "0.5 mm", "12.5 mm", "12,5 mm"),
        ("216 mm", "1 mm", "216 mm", "216 mm"),
        ("8 1/2 in", "1/16 in", "8½ in", "8½ Zoll"),
        ("2 15/16 in", "1/16 in", "2 15⁄16 in", "2 15⁄16 Zoll"),
        ("5.5 cm", "0.1 cm", "5.5 cm", "5,5 cm"),
    ],
)
def test_lengths_have_the_decimal_sign_of_the_language(length, grid, british, german):
    length = parse_length(length)
    assert (BRITISH.show(length, grid), GERMAN.show(length, grid)) == (british, german)
    assert GERMAN.show_exact(length) == german


def test_numbers_and_money_as_cldr_writes_them():
    assert (BRITISH.number(1250.5), GERMAN.number(1250.5)) == ("1,250.5", "1.250,5")
    assert GERMAN.number(Fraction(1, 4)) == "0,25"
    assert (BRITISH.number(Fraction(1, 3), 2), GERMAN.number(Fraction(1, 3), 2)) == ("0.33", "0,33")
    assert BRITISH.money(Fraction(2501, 2), "GBP") == "£1,250.50"
    assert GERMAN.money(Fraction(2501, 2), "EUR") == "1.250,50\N{NO-BREAK SPACE}€"
    assert AMERICAN.money(5, "USD") == "$5.00"


def test_what_has_no_words_yet_is_said_in_english():
    assert GERMAN.say("A sentence of {year} that nobody translated.", year=1999) == (
        "A sentence of 1999 that nobody translated."
    )
    assert GERMAN.many(2, "one thing nobody translated", "{count} things") == "2 things"
    assert (
        GERMAN.many(1, "one thing nobody translated", "{count} things") == "one thing nobody translated"
    )


# Names ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "german"),
    [
        ("tier 2", "Stufe 2"),
        ("tier 12", "Stufe 12"),
        ("back", "Rückwand"),
        ("mat for tier 1 (2)", "Auflage Stufe 1 (2)"),
        ("mat for the greeting strip", "Auflage „greeting strip“"),
    ],
)
def test_the_names_of_pieces_are_printed_in_the_language(name, german):
    assert GERMAN.name(name) == german
    assert BRITISH.name(name) == name


@pytest.mark.parametrize(
    "typed", ["moon {x}", "{number}", "12 {number} {}", "灯台", "", "tier one", "%s"]
)
def test_a_name_that_a_tutor_typed_is_never_changed_or_filled(typed):
    assert GERMAN.name(typed) == AMERICAN.name(typed) == typed


@given(st.text())
def test_any_typed_name_comes_out_whole(typed):
    assert BRITISH.name(typed) == typed
    assert isinstance(GERMAN.name(typed), str)


def typed_names(card):
    """What the tutor called things, in whatever words."""
    mine = {one.name for one in (*card.layers, *card.ornaments) if one.name != one.usual_name}
    return {name for name in mine if not re.fullmatch(r"(mat for|ornament on) .*, [0-9]+", name)}


@given(cards())
def test_every_name_of_every_card_has_its_word(card):
    try:
        pieces = cut_list(card)
    except CardError:
        return
    names = {piece.name for piece in pieces} | {zone.name for piece in pieces for zone in piece.zones}
    names |= {area.name for area in areas(card)} | {piece.stock.name for piece in pieces if piece.stock}
    assert {name for name in names - typed_names(card) if GERMAN.name(name) == name} == set()


def test_every_stock_has_its_word():
    assert [name for name in STOCKS if GERMAN.name(name) == name] == []


# Catalogues -----------------------------------------------------------------------


def test_every_string_of_the_source_is_in_the_template():
    assert set(kept("popkit.pot")) == {entry.id for entry in source_catalogue() if entry.id}, UPDATE


@pytest.mark.parametrize("code", [code for code, one in LANGUAGES.items() if one.complete])
def test_a_complete_language_has_words_for_everything(code):
    assert set(kept(f"{code}.po")) == set(kept("popkit.pot")), UPDATE
    assert missing(code) == []


def test_american_holds_only_what_differs():
    entries = kept("en_US.po")
    assert entries
    assert set(entries) <= set(kept("popkit.pot")), UPDATE
    assert [one for one, entry in entries.items() if entry.string in ("", one)] == []


# Oxford and Merriam-Webster, from memory: spellings that one side of the water has and not the other.
BRITISH_ONLY = (
    r"\b(towards|grey|colour\w*|centre\w*|(milli|centi)?metres?|mould\w*|\w+ising|to and fro)\b"
)


def test_no_british_spelling_is_left_in_american():
    said = [AMERICAN.template(text) for text in kept("popkit.pot") if isinstance(text, str)]
    assert any(re.search(BRITISH_ONLY, text) for text in kept("popkit.pot") if isinstance(text, str))
    assert [text for text in said if re.search(BRITISH_ONLY, text)] == []


def pairs(code):
    """(source, translation) of every entry that has one, the two forms of a plural apart."""
    for source, entry in kept(f"{code}.po").items():
        if isinstance(source, tuple):
            yield from zip(source, entry.string, strict=True)
        elif entry.string:
            yield source, entry.string


@pytest.mark.parametrize("code", ["en_US", "de"])
def test_a_translation_has_the_places_of_its_source(code):
    wrong = [
        (source, said)
        for source, said in pairs(code)
        if sorted(set(fields_of(source))) != sorted(set(fields_of(said)))
    ]
    assert wrong == []


@pytest.mark.parametrize("code", ["en_US", "de"])
def test_a_translation_ends_as_its_source_does(code):
    """A full stop, a colon or none; no space doubled, none at an end that the source has not."""
    for source, said in pairs(code):
        assert said[-1:] in (source[-1:], "“" if source[-1:] == "”" else source[-1:]) or (
            source[-1:] not in ".:!?" and said[-1:] not in ".:!?"
        ), (source, said)
        assert "  " not in said
        assert (said[:1] == " ") == (source[:1] == " ")
        assert not said.endswith(" ")


def test_plain_places_only():
    """A place is a name in braces: nothing that reaches into what fills it."""
    for text in kept("popkit.pot"):
        for one in text if isinstance(text, tuple) else (text,):
            assert all(re.fullmatch("[a-z_]+", field) for field in fields_of(one)), one
            assert one.format(**dict.fromkeys(fields_of(one), "x"))


def test_the_checker_sees_a_place_that_is_missing():
    assert fields_of("Glue {what} to {where}.") == ["what", "where"]
    assert fields_of("Klebe {what}.") != fields_of("Glue {what} to {where}.")


@pytest.mark.skipif(shutil.which("msgfmt") is None, reason="install gettext for its own checker")
@pytest.mark.parametrize("code", ["en_US", "de"])
def test_gettext_itself_reads_the_catalogue(code, tmp_path):
    subprocess.run(
        ["msgfmt", "--check-format", "-o", tmp_path / "out.mo", FOLDER / f"{code}.po"], check=True
    )


def test_gathering_again_changes_nothing_and_keeps_the_words(tmp_path):
    for path in FOLDER.glob("*.po*"):
        shutil.copy(path, tmp_path)
    update_catalogues(tmp_path)
    for name in ("de.po", "en_US.po"):
        with (tmp_path / name).open("rb") as file:
            fresh = {entry.id: entry.string for entry in read_po(file) if entry.id}
        assert fresh == {one: entry.string for one, entry in kept(name).items()}
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    update_catalogues(tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_the_command_only_looks_if_asked_to():
    before = {path.name: path.read_bytes() for path in FOLDER.iterdir()}
    done = subprocess.run(
        [sys.executable, "-m", "popkit.language", "--check"],
        capture_output=True,
        text=True,
        cwd=FOLDER.parents[1],
        check=False,
    )
    assert (done.returncode, done.stdout) == (0, "")
    assert {path.name: path.read_bytes() for path in FOLDER.iterdir()} == before


@pytest.mark.parametrize("last", ["and", "or"])
@given(names=st.lists(st.text(min_size=1), max_size=5))
def test_british_lists_are_those_of_cldr(names, last):
    """They are joined without Babel, which takes long to load."""
    style = {"and": "standard", "or": "or"}[last]
    assert BRITISH.listed(names, last) == format_list(names, style=style, locale="en_GB")
