"""Laws: what is written reads back the same, and no text whatever gives anything but a recipe
or a `RecipeError`. The standard library's `tomllib` is the independent reader."""

import pickle
import tomllib
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import ClassVar

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from popkit.card import (
    FRONTS,
    Card,
    CardError,
    ClearFront,
    CutStep,
    Front,
    JoinedFront,
    Layer,
    OnePieceFront,
    Ornament,
    Tier,
    place_names,
)
from popkit.lengths import Grid, Length, Q, parse_length
from popkit.papers import SHEETS, STOCKS, Sheet, Stock
from popkit.recipe import Recipe, RecipeError, load_recipe, read_recipe, recipe_text
from popkit.sections import written
from popkit.tomltext import read_toml, write_toml

OURS = sorted((Path(__file__).parents[2] / "notebooks" / "recipes").glob("*.toml"))
BAD = sorted((Path(__file__).parent / "bad").glob("*.toml"))
TEXTS = [path.read_text(encoding="utf-8") for path in OURS]
BYTES = [path.read_bytes() for path in (*OURS, *BAD)]

NASTY = [
    'He said "tea"',
    "back\\slash \\n \\u0041",
    "triple \"\"\" and '''",
    "line\nbreak",
    "ends in a backslash \\",
    "# no remark",
    "[card]",
    "👩‍👩‍👧 card 🎄",
    "כרטיס ברכה",
    "\u202eturned\u202c",
    "e\u0301te\u0301",
    "<b>bold</b> $x$ #let",
    "= ",
    '"',
]
marks = st.characters(blacklist_categories=["Cc", "Cs"])
lines = st.text(marks, min_size=1, max_size=80) | st.sampled_from(NASTY)
seen = lines.filter(lambda text: any(char.isprintable() and not char.isspace() for char in text))
notes = st.lists(lines | st.just(""), max_size=6).map("\n".join)


def sizes(least, most):
    """Lengths between two numbers of millimetres, in every unit and with every denominator."""
    return st.builds(
        lambda value, unit, parts: Q(
            Fraction(round(value / unit[0] * parts)) / parts or Fraction(1, parts), unit[1]
        ),
        st.floats(least, most),
        st.sampled_from([(1, "mm"), (10, "cm"), (25.4, "inch"), (304.8, "foot"), (1000, "m")]),
        st.sampled_from([1, 2, 3, 7, 10, 16, 64, 1000]),
    )


size = sizes(1, 400)
names = st.text(marks, min_size=1, max_size=60).filter(str.strip)
sheets = st.sampled_from(list(SHEETS.values())) | st.builds(
    Sheet, name=names, width=size, height=size, source=names | st.just("")
)
stocks = st.sampled_from(list(STOCKS.values())) | st.builds(
    Stock,
    name=names | st.sampled_from(["card stock", "Light Card", " clear sheet"]),
    kind=st.sampled_from(["card", "paper", "plastic"]),
    grammage=st.fractions(1, 999, max_denominator=50),
    caliper=sizes(1, 2),
    sheet=sheets,
    source=names | st.just(""),
)
maybe = st.none() | size
inset = st.none() | st.just(Q(Fraction(0), "inch")) | sizes(0, 3)
fronts = st.one_of(
    st.builds(ClearFront, length=maybe, landing=maybe, gap=inset, width=maybe, stock=stocks),
    st.builds(JoinedFront, length=maybe, joining_tab=maybe, width=maybe),
    st.builds(OnePieceFront, length=maybe),
)
strips = st.builds(Tier, face=size, depth=size, top_tab=maybe, bottom_tab=maybe, width=maybe)
steps = st.builds(CutStep, face=size, depth=size, width=size)


labels = st.text(marks, max_size=40).filter(lambda text: " ".join(text.split()).isprintable())
place = st.none() | size | st.just(Q(Fraction(-1, 3), "inch"))


@st.composite
def finishings(draw, tiers):
    """(layers, ornaments) of a card with so many tiers, layers lying on layers too."""
    layers = []
    for number in range(draw(st.integers(0, 4))):
        below = [layer.name for layer in layers]
        layers.append(
            Layer(
                on=draw(st.sampled_from([*place_names(tiers), *below])),
                reveal=draw(inset),
                width=draw(maybe),
                length=draw(maybe),
                across=draw(place),
                up=draw(place),
                stock=draw(st.none() | stocks),
                name=f"{number} {draw(labels)}",
            )
        )
    ornaments = st.builds(
        Ornament,
        on=st.sampled_from(place_names(tiers, standing=True)),
        height=size,
        width=size,
        along=place,
        up=inset,
        pad=maybe,
        stock=st.none() | stocks,
        grams=st.none() | st.fractions(Fraction(1, 50), 999, max_denominator=50),
    )
    return tuple(layers), draw(st.lists(ornaments, max_size=3))


@st.composite
def cards(draw):
    cut = draw(st.lists(steps, max_size=3))
    glued = draw(st.lists(strips, min_size=0 if cut else 1, max_size=4))
    front = draw(st.builds(OnePieceFront, length=maybe) if cut else fronts)
    layers, ornaments = draw(finishings(len(cut) + len(glued)))
    try:
        return Card(
            width=draw(sizes(20, 1000)),
            height=draw(size),
            tiers=(*cut, *glued),
            front=front,
            side_inset=draw(inset),
            stock=draw(st.none() | stocks),
            tier_stock=draw(st.none() | stocks),
            layers=layers,
            ornaments=ornaments,
        )
    except CardError:
        assume(False)


recipes = st.builds(
    Recipe,
    title=seen,
    series=lines | st.just(""),
    notes=notes,
    minutes=st.none() | st.integers(1, 1440),
    ruler=st.none() | st.sampled_from([Grid("1/16 in"), Grid("1/4 in"), Grid("1 mm"), Grid("0.5 mm")]),
    steps=st.lists(seen, max_size=4).map(tuple),
    envelope=lines | st.just(""),
    post=st.lists(seen, max_size=3).map(tuple),
    card=cards(),
)


@given(recipes)
def test_a_written_recipe_reads_back_as_the_same_recipe(recipe):
    text = recipe_text(recipe)
    again = read_recipe(text)
    assert again == recipe
    assert [tier.face.units for tier in again.card.tiers] == [
        tier.face.units for tier in recipe.card.tiers
    ]
    assert tomllib.loads(text)["title"] == recipe.title


@pytest.mark.parametrize("title", NASTY)
def test_a_nasty_title_is_only_a_title(title):
    recipe = Recipe(title=title, card=load_recipe(OURS[0]).card, notes=title, steps=(title,))
    assert recipe.title == " ".join(title.split())
    assert read_recipe(recipe_text(recipe)) == recipe


@given(sizes(0.01, 1400))
def test_a_written_length_is_the_same_length(length):
    again = parse_length(written(length))
    assert again == length
    assert again.units == length.units
    assert written(length).isascii()


@given(st.text(st.characters(blacklist_categories=["Cs"])))
@example('"""')
@example("\r\n\x7f\x00\\")
def test_any_text_is_written_so_that_tomllib_reads_it(text):
    assert tomllib.loads(write_toml({"a": text, "b": [text, text]})) == {"a": text, "b": [text, text]}


def test_sections_are_written_below_what_stands_above_them():
    values = {
        "card": {"width": "1 in", "stock": {"name": "x", "sheet": {"name": "y"}}},
        "n": 3,
        "t": "u",
    }
    values |= {"tier": [{"face": "1 in"}, {"face": "2 in"}], "none": []}
    assert tomllib.loads(write_toml(values)) == values


def test_a_new_form_of_front_needs_no_change_here(monkeypatch):
    @dataclass(frozen=True, slots=True, kw_only=True)
    class HingedFront(Front):
        form: ClassVar[str] = "hinged"
        flap_name: ClassVar[str] = "hinge"
        flap_size: ClassVar[str] = "hinge"
        panel_name: ClassVar[str] = "front panel"
        hinge: Length | None = None

        def _readers(self):
            return {"length": parse_any, "hinge": parse_any}

        def flap_in(self, card):
            return Fraction(1)

    def parse_any(value):
        return value

    monkeypatch.setitem(FRONTS, "hinged", HingedFront)
    card = load_recipe(OURS[0]).card
    front = HingedFront(hinge=Q(Fraction(3, 8), "inch"))
    recipe = Recipe(title="x", card=Card(width="4 in", height="5 in", tiers=card.tiers, front=front))
    text = recipe_text(recipe)
    assert 'form = "hinged"\nhinge = "3/8 in"' in text
    assert read_recipe(text).card.front == front
    with pytest.raises(RecipeError, match="Write hinge"):
        read_recipe(text.replace("hinge =", "hinges ="))


# Whatever is in the file --------------------------------------------------------


def recipe_or_error(read, given):
    """Anything but a recipe or a `RecipeError` with its faults fails here."""
    try:
        result = read(given)
    except RecipeError as error:
        result = error
    if isinstance(result, RecipeError):
        assert result.faults
        assert result.heading in str(result)
        assert pickle.loads(pickle.dumps(result)).faults == result.faults
    else:
        assert isinstance(result, Recipe)


TOKENS = [
    '"',
    '"""',
    "'",
    "[",
    "]",
    "[[",
    "{",
    "}",
    "=",
    ",",
    "\\",
    "#",
    "\n",
    "\0",
    "\r",
    "½",
    "½ in",
    "1e9",
]
TOKENS += [
    "[[tier]]\n",
    "[card]\n",
    "[tier]\n",
    "form = ",
    "tier.face = 1\n",
    '"" = ""\n',
    "a.b.c = 1\n",
]
TOKENS += [
    "“",
    "true",
    "1979-05-27",
    "0x",
    "inf",
    "nan",
    "\ud800",
    "\ufeff",
    "-",
    "99999999999999999999",
]


@given(
    st.sampled_from(TEXTS),
    st.lists(
        st.tuples(st.floats(0, 1), st.integers(0, 40), st.sampled_from(TOKENS) | st.text(max_size=4)),
        min_size=1,
        max_size=6,
    ),
)
def test_a_spoiled_text_gives_a_recipe_or_its_faults(text, spoils):
    for place, gone, put in spoils:
        start = int(place * len(text))
        text = text[:start] + put + text[start + gone :]
    recipe_or_error(read_recipe, text)


@given(st.sampled_from(BYTES), st.floats(0, 1), st.binary(max_size=3))
def test_a_torn_file_gives_a_recipe_or_its_faults(tmp_path_factory, data, place, end):
    path = tmp_path_factory.getbasetemp() / "torn.toml"
    path.write_bytes(data[: int(place * len(data))] + end)
    recipe_or_error(load_recipe, path)


@given(st.text(max_size=200))
def test_any_text_at_all_gives_a_recipe_or_its_faults(text):
    recipe_or_error(read_recipe, text)


VALUES = ["5", "-1", "1.5", "inf", "nan", "1e400", "true", "1979-05-27", "07:32:00", "[]", "[[]]", "{}"]
VALUES += [
    "{ a = 1 }",
    '[{ name = "x" }]',
    '""',
    '"x"',
    '"1 in"',
    '"0 mm"',
    '"-2 in"',
    '"9 m"',
    "0xFFFFFFFFFF",
]
VALUES += [
    '"1/0 in"',
    '"A4"',
    '"clear"',
    '"cut step"',
    '{ name = "card stock", sheet = 3 }',
    "1e999999999",
]
VALUES += ['{ name = "mine", grammage = 0, caliper = "0 mm", kind = "wood" }', '"card stock"', "'''x'''"]


@given(st.sampled_from(TEXTS), st.dictionaries(st.integers(0, 60), st.sampled_from(VALUES), max_size=8))
def test_any_value_under_any_key_gives_a_recipe_or_its_faults(text, swaps):
    rows = text.split("\n")
    pairs = [number for number, row in enumerate(rows) if " = " in row]
    for place, value in swaps.items():
        number = pairs[place % len(pairs)]
        rows[number] = f"{rows[number].partition(' = ')[0]} = {value}"
    recipe_or_error(read_recipe, "\n".join(rows))


@given(st.sampled_from(TEXTS), st.sets(st.integers(0, 40), min_size=1))
def test_every_fault_is_reported_wherever_the_others_are(text, places):
    """Each length that loses its unit is one fault, on its own line, and nothing else is."""
    rows = text.split("\n")
    lengths = [number for number, row in enumerate(rows) if row.endswith((' in"', ' mm"'))]
    spoiled = sorted({lengths[place % len(lengths)] for place in places})
    for number in spoiled:
        rows[number] = rows[number][:-4].rstrip() + '"'
    with pytest.raises(RecipeError) as caught:
        read_recipe("\n".join(rows))
    assert [fault.line for fault in caught.value.faults] == [number + 1 for number in spoiled]
    assert all("no unit" in fault.what for fault in caught.value.faults)


@given(st.sampled_from(TEXTS), st.sets(st.integers(0, 40), min_size=1))
def test_every_length_without_quotes_is_reported(text, places):
    rows = text.split("\n")
    lengths = [number for number, row in enumerate(rows) if row.endswith((' in"', ' mm"'))]
    spoiled = sorted({lengths[place % len(lengths)] for place in places})
    for number in spoiled:
        rows[number] = rows[number].replace('"', "")
    with pytest.raises(RecipeError) as caught:
        read_recipe("\n".join(rows))
    assert [fault.line for fault in caught.value.faults] == [number + 1 for number in spoiled]


@given(st.sampled_from(TEXTS))
def test_the_lines_of_a_good_file_are_those_of_its_keys(text):
    document = read_toml(text, lists=("tier",))
    rows = text.split("\n")
    assert document.faults == ()
    for key, line in document.lines.items():
        assert key.rpartition(".")[2].partition("[")[0] in rows[line - 1]
