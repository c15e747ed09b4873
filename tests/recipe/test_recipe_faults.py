"""Bad recipe files: each is named for what is wrong with it, and each says so to a tutor.

The places follow from what each file breaks; the phrases are what a tutor needs to mend it.
"""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from popkit.recipe import Fault, RecipeError, load_recipe, read_recipe

BAD = Path(__file__).parent / "bad"

# {file: [(key, phrase in what is said)]}, every fault and no other
EXPECTED = {
    "absurd-size": [("card.width", "longer than 2 m")],
    "backslash-in-text": [("title", "backslash")],
    "binary": [("", "UTF-8")],
    "card-is-a-list": [("card", "[card]")],
    "card-missing": [("card", "missing")],
    "colon-for-equals": [("", "colon")],
    "comma-decimal": [("card.width", '"4.25 in"')],
    "control-character": [("", "control character")],
    "cut-step-off-the-back": [("tier[1].face", "Lower its face")],
    "cut-step-off-the-front": [("tier[1].depth", "shelf shallower")],
    "curly-quotes": [("card.width", "Curly")],
    "cut-step-on-glued-strip": [("tier[2].form", "cut steps first")],
    "cut-step-with-clear-front": [("front.form", '"one-piece"')],
    "decimal-without-quotes": [("card.width", 'width = "4.25 in"')],
    "empty": [("title", "missing"), ("front", "missing"), ("tier", "no tiers"), ("card", "missing")],
    "envelope-is-a-number": [("envelope", 'envelope = "7"')],
    "exponent": [("card.width", "exponent")],
    "face-missing": [("tier[1].face", "missing")],
    "finishing-six-faults": [
        ("layer[1].on", "Write “back”"),
        ("layer[2].width", "no unit"),
        ("ornament[1].on", "back, tier 1, tier 2"),
        ("ornament[1].widht", "Write width"),
        ("ornament[2].height", "minus"),
        ("ornament[2].width", 'width = "1 in"'),
    ],
    "form-is-a-number": [("front.form", "a number")],
    "form-missing": [("front.form", '"clear", "joined" or "one-piece"')],
    "form-unknown": [("front.form", 'form = "clear"')],
    "fraction-without-unit": [("card.width", "no unit")],
    "front-is-a-text": [("front", "[front]")],
    "front-missing": [("front", "missing")],
    "grammage-in-pounds": [("card.stock.grammage", "grams per square metre")],
    "heading-not-closed": [("card", "Write [card]")],
    "heading-of-two-words": [("", "cannot be read")],
    "inch-mark-in-quotes": [("card.width", "write in for inches")],
    "infinite": [("card.width", "finite")],
    "gap-past-the-front": [("front.gap", "Write a smaller gap")],
    "insets-too-wide": [("tier[1]", "no width"), ("tier[2]", "no width")],
    "key-hyphen": [("card.side-inset", "Write side_inset")],
    "key-in-wrong-section": [("card.series", "top of the file")],
    "key-of-another-form": [("front.joining_tab", '"joined"')],
    "key-twice": [("card.width", "second time")],
    "key-with-space": [("", "Write side_inset")],
    "layer-before-its-mat": [("layer[1].on", "“greeting mat”, which is not there")],
    "layer-is-a-text": [("layer", "[[layer]]")],
    "layer-key-misspelt": [("layer[1].reveel", "Write reveal")],
    "layer-name-of-a-piece": [("layer[1].name", "“tier 1” is taken")],
    "layer-name-twice": [("layer[2].name", "“mat” is taken")],
    "layer-on-nothing": [("layer[1].on", "Write “band 1”")],
    "layer-on-tier-that-is-not-there": [("layer[1].on", "tier 1, tier 2, front")],
    "layer-reveal-negative": [("layer[1].reveal", "Write 0 or more")],
    "layer-single-bracket": [("layer", "Write [[layer]]")],
    "layer-size-without-unit": [("layer[1].width", '"3 in" or "3 mm"')],
    "layer-trade-word": [("layer[1].border", "Write reveal")],
    "layer-on-nothing-written": [("layer[1].on", "nothing here to read")],
    "layer-without-place": [("layer[1].on", "missing")],
    "length-empty": [("card.width", "empty")],
    "length-in-words": [("card.width", "figures")],
    "length-is-a-date": [("card.width", "a date")],
    "length-is-a-list": [("card.width", "a list")],
    "length-is-true": [("card.width", "true or false")],
    "length-with-markup": [("card.width", "<b>4 in</b>")],
    "length-without-quotes": [("card.width", 'width = "4 1/4 in"')],
    "list-comma-missing": [("", "comma after each text")],
    "list-not-closed": [("card", "closed with ]")],
    "lists-too-deep": [("", "too deep")],
    "long-text-not-closed": [("", 'opened with """')],
    "minutes-hexadecimal-giant": [("minutes", "1 to 1440")],
    "minutes-is-a-text": [("minutes", "without quotes")],
    "minutes-negative": [("minutes", "1 to 1440")],
    "negative-size": [("card.width", "minus")],
    "no-tiers": [("tier", "no tiers")],
    "no-value": [("card.width", "no value")],
    "not-utf8": [("", "UTF-8")],
    "notes-too-long": [("notes", "4000")],
    "number-too-long": [("", "number")],
    "ornament-on-a-band": [("ornament[1].on", "back, tier 1, tier 2")],
    "ornament-pad-of-nothing": [("ornament[1].pad", "nothing")],
    "ornament-weight-in-quotes": [("ornament[1].grams", "grams = 2.5")],
    "ornament-without-sizes": [("ornament[1].height", "missing"), ("ornament[1].width", "missing")],
    "post-is-a-text": [("post", "a list")],
    "quotes-not-closed": [("card.width", "not closed")],
    "remarks-only": [
        ("title", "missing"),
        ("front", "missing"),
        ("tier", "no tiers"),
        ("card", "missing"),
    ],
    "ruler-no-mark": [("ruler", "“1/3 mm” is no mark")],
    "ruler-without-unit": [("ruler", "no unit")],
    "section-twice": [("card", "second time")],
    "sheet-unknown": [("card.stock.sheet", "no sheet we know")],
    "sizes-missing": [("card.width", "missing"), ("card.height", "missing")],
    "step-is-a-number": [("steps[2]", '"7"')],
    "steps-is-a-text": [("steps", "a list")],
    "stock-kind-unknown": [("card.stock.kind", "card, paper or plastic")],
    "stock-own-without-weight": [("card.stock.grammage", "missing"), ("card.stock.caliper", "missing")],
    "stock-unknown": [("card.stock", '"card stock"')],
    "ten-faults": [
        ("title", "nothing here"),
        ("minutes", "without quotes"),
        ("ruler", "no unit"),
        ("card.width", "comma"),
        ("card.heigth", "Write height"),
        ("front.form", 'form = "clear"'),
        ("tier[1].face", 'face = "2.75 in"'),
        ("tier[1].depth", "minus"),
        ("tier[2].face", "2 m"),
        ("tier[2].depth", 'depth = "1/2 in"'),
    ],
    "text-of-bare-words": [("title", "missing"), ("", "cannot be read")],
    "tier-form-unknown": [("tier[1].form", '"glued strip" or "cut step"')],
    "tier-heading-half-closed": [("tier[1]", "Write [[tier]]")],
    "tier-is-a-text": [("tier", "[[tier]]")],
    "tier-list-empty": [("tier", "no tiers")],
    "tier-single-bracket": [("tier", "Write [[tier]]")],
    "tier-single-bracket-twice": [("tier", "Write [[tier]]"), ("tier", "Write [[tier]]")],
    "title-control-character": [("title", "code 7")],
    "title-empty": [("title", "nothing here")],
    "title-is-a-number": [("title", 'title = "5"')],
    "title-missing": [("title", "missing")],
    "title-of-spaces": [("title", "nothing here")],
    "title-too-long": [("title", "100 characters")],
    "too-many-tiers": [("tier", "9 tiers")],
    "trade-word-for-key": [("tier[1].shelf", "Write depth")],
    "two-lengths": [("card.width", "more than one length")],
    "unit-missing": [("card.width", '"4.25 in" or "4.25 mm"')],
    "unit-unknown": [("card.width", "parsecs")],
    "unknown-key": [("card.heigth", "Write height")],
    "unknown-key-far": [("colour", "The keys here are title")],
    "utf16": [("", "UTF-16")],
    "whole-number-without-quotes": [("card.width", 'width = "4 in"')],
    "zero-size": [("card.width", "nothing")],
}

INTERNALS = re.compile(
    r"Traceback|Error|Exception|<class|object at|\bNone\b|NoneType|\bdict\b|\bstr\b|\bint\b|\bfloat\b"
    r"|\btuple\b|Fraction|Quantity|tomllib|pint|Errno|Decimal|Number\(|\\x|\\u|millimeter|__"
)


def faults_of(name):
    with pytest.raises(RecipeError) as caught:
        load_recipe(BAD / f"{name}.toml")
    assert type(caught.value) is RecipeError
    return caught.value


def test_every_bad_file_is_in_the_table():
    assert {path.stem for path in BAD.iterdir()} == set(EXPECTED)
    assert len(EXPECTED) >= 25


@pytest.mark.parametrize("name", EXPECTED)
def test_a_bad_file_gives_every_fault_and_no_other(name):
    error = faults_of(name)
    assert sorted(fault.key for fault in error.faults) == sorted(key for key, _ in EXPECTED[name])
    for key, phrase in EXPECTED[name]:
        assert any(key == fault.key and phrase in str(fault) for fault in error.faults), (key, phrase)


@pytest.mark.parametrize("name", EXPECTED)
def test_what_a_tutor_sees(name):
    error = faults_of(name)
    heading, *rows = str(error).split("\n")
    assert heading.startswith(f"{name}.toml ")
    assert f"{len(error.faults)} fault" in heading
    assert [int(row[:2]) for row in rows] == list(range(1, len(error.faults) + 1))
    assert not INTERNALS.search(str(error)), str(error)
    for fault in error.faults:
        for sentence in (fault.what, fault.remedy):
            assert re.fullmatch(r"\S.*\.", sentence), sentence
        assert str(BAD) not in str(fault)


@pytest.mark.parametrize("name", sorted(set(EXPECTED) - {"binary", "utf16", "not-utf8"}))
def test_a_line_number_leads_to_the_key(name):
    lines = (BAD / f"{name}.toml").read_text(encoding="utf-8").split("\n")
    for fault in faults_of(name).faults:
        if fault.line is None or not fault.key:
            continue
        words = [re.sub(r"\[\d+\]", "", part) for part in fault.key.split(".")]
        wanted = words[-2] if "missing" in fault.what else words[-1]
        assert wanted in lines[fault.line - 1]


def test_ten_faults_are_found_in_one_reading_with_their_lines():
    error = faults_of("ten-faults")
    assert len(error.faults) == 10
    assert [fault.line for fault in error.faults] == [1, 2, 3, 6, 7, 10, 13, 14, 17, 18]


GOOD = """
title = "The cobbler's window"
ruler = "1/16 in"

[card]
width = "4 1/4 in"
height = "5 1/2 in"
side_inset = "1/32 in"

[front]
form = "clear"
landing = "1 in"
gap = "1/8 in"

[[tier]]
face = "2 3/4 in"
depth = "1/2 in"
top_tab = "3/8 in"

[[tier]]
face = "2 1/4 in"
depth = "7/16 in"
bottom_tab = "5/16 in"
width = "3 in"
"""


def test_the_base_of_the_tests_below_is_good():
    assert read_recipe(GOOD).title == "The cobbler's window"


@pytest.mark.parametrize(
    ("typed", "phrase"),
    [
        ('heigth = "5 in"', "Write height"),
        ('Height = "5 in"', "Write height"),
        ('"side inset" = "5 in"', "Write side_inset"),
        ('sideinset = "5 in"', "Write side_inset"),
        ('tier_stok = "card stock"', "Write tier_stock"),
        ('form = "clear"', "It belongs under [front] or under [[tier]]"),
        ('landing = "1 in"', "It belongs under [front]"),
        ('face = "1 in"', "It belongs under [[tier]]"),
        ('notes = "x"', "at the top of the file"),
        ('zzz = "x"', "The keys here are width, height"),
    ],
)
def test_an_unknown_key_is_refused_with_the_nearest_right_one(typed, phrase):
    with pytest.raises(RecipeError) as caught:
        read_recipe(GOOD.replace("[front]", f"{typed}\n\n[front]"))
    assert any("no key here" in fault.what and phrase in fault.remedy for fault in caught.value.faults)


def test_a_misspelt_key_is_not_missing_too_and_its_value_is_read():
    with pytest.raises(RecipeError) as caught:
        read_recipe(GOOD.replace('height = "5 1/2 in"', 'heigth = "5,5 in"'))
    assert [(fault.key, fault.line) for fault in caught.value.faults] == [("card.heigth", 7)] * 2


def test_a_misspelt_section_is_still_looked_into():
    with pytest.raises(RecipeError) as caught:
        read_recipe(GOOD.replace("[[tier]]", "[[tiers]]").replace('"7/16 in"', '"7/16"'))
    assert [fault.key for fault in caught.value.faults] == ["tiers", "tier[2].depth"]
    assert caught.value.faults[1].line == 22


def test_a_large_number_without_a_unit_is_not_taken_for_inches():
    with pytest.raises(RecipeError) as caught:
        read_recipe(GOOD.replace('"4 1/4 in"', '"105"'))
    assert [fault.what for fault in caught.value.faults] == ["“105” has no unit."]


def test_what_stands_inside_a_long_text_is_no_key():
    with pytest.raises(RecipeError) as caught:
        read_recipe('notes = """\n[card]\nwidth = 4\n"""\n' + GOOD.replace('"4 1/4 in"', "4"))
    assert [(fault.key, fault.line) for fault in caught.value.faults] == [("card.width", 10)]


def test_inline_sections_have_lines_too():
    text = 'title = "x"\ncard = { width = "4 in", height = "5" }\nfront = { form = "joined" }\n'
    with pytest.raises(RecipeError) as caught:
        read_recipe(text + 'tier = [\n  { face = "2 in", depth = "0 mm" },\n]\n')
    assert [(fault.key, fault.line) for fault in caught.value.faults] == [
        ("card.height", 2),
        ("tier[1].depth", 4),
    ]


def test_faults_of_fit_are_found_beside_faults_of_size():
    text = GOOD.replace('"5 1/2 in"', '"5 1/2"').replace(
        'face = "2 3/4', 'form = "cut step"\nface = "2 3/4'
    )
    text = text.replace('top_tab = "3/8 in"\n', "")
    with pytest.raises(RecipeError) as caught:
        read_recipe(text)
    assert [fault.key for fault in caught.value.faults] == ["card.height", "front.form"]


def test_many_faults_are_all_kept_and_the_message_stays_short():
    extra = "".join(f'x{number} = "1"\n' for number in range(500))
    with pytest.raises(RecipeError) as caught:
        read_recipe(extra + GOOD)
    assert len(caught.value.faults) == 500
    assert "500 faults" in str(caught.value)
    assert len(str(caught.value).split("\n")) == 52


@pytest.mark.parametrize(
    ("text", "phrase"),
    [
        ("[" + "a." * 100_000 + "a]", "thirty parts"),
        ("a." * 100_000 + "a = 1", "thirty parts"),
        ("x" + " " * 90_000 + "\n", "too long"),
        ("[[tier]]\n" * 100_000, "100000 tiers"),
        ("a = " + "[" * 100_000, "too deep"),
    ],
    ids=["heading", "key", "spaces", "tiers", "lists"],
)
def test_a_hostile_text_is_refused_without_long_thought(text, phrase):
    with pytest.raises(RecipeError, match=phrase):
        read_recipe(text)


def test_full_stops_in_a_text_are_no_parts_of_a_key():
    assert read_recipe(GOOD.replace("window", "w" + ".o" * 31)).title.endswith(".o")


@pytest.mark.parametrize("given", [None, 5, b"title = 'x'", ["title"]])
def test_something_that_is_no_text(given):
    with pytest.raises(RecipeError):
        read_recipe(given)


def test_text_from_a_file_is_never_markup():
    hostile = "<script>alert(1)</script>"
    with pytest.raises(RecipeError) as caught:
        read_recipe(f'"{hostile}" = "<img src=x>"\n', name=hostile)
    shown = caught.value._repr_html_()
    assert hostile in str(caught.value)
    assert "<script" not in shown
    assert "<img" not in shown
    assert "&lt;script&gt;" in shown


def test_a_fault_says_where_what_and_what_instead():
    fault = Fault(key="tier[2].face", what="“3” has no unit.", remedy='Write "3 in".', line=9)
    assert str(fault) == 'Line 9, tier[2].face: “3” has no unit. Write "3 in".'


def test_a_cell_with_a_bad_recipe_shows_the_faults_and_no_traceback(tmp_path):
    path = BAD / "ten-faults.toml"
    code = f"from popkit.recipe import load_recipe; load_recipe({str(path)!r})"
    run = subprocess.run(
        [sys.executable, "-m", "IPython", "--no-banner", "--colors=NoColor", "-c", code],
        capture_output=True,
        text=True,
        check=False,
        env={"IPYTHONDIR": str(tmp_path), "PYTHONPATH": ":".join(sys.path), "HOME": str(tmp_path)},
    )
    shown = run.stdout + run.stderr
    assert "ten-faults.toml cannot be used yet: 10 faults." in shown
    assert "Line 18" in shown
    assert not INTERNALS.search(shown), shown
