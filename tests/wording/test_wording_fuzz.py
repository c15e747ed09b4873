"""Whatever is pasted in: nothing is raised, nothing is lost, nothing takes long.

What is untouched, put together again, is the text that was given. A run of 100,000 strings is
marked slow: pytest -m slow tests/wording/test_wording_fuzz.py
"""

from __future__ import annotations

import random

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from popkit.wording import card_in, find_lengths, rewritten

_BITS = (
    "0 1 2 3 4 5 8 10 16 32 100 216 12345678 1.5 .5 0.75 1. ½ ¼ ⅛ ¾ ⅟₁₆ ¹⁄₂ 1/2 15/16 1/0 9/2 3⁄4 "
    "one two three half quarter eighth sixteenth thirty-second seven-eighths hundred thousand point "
    "zero twenty a an and or of to by x × * in in. inch inches ft feet foot ' \" ′ ″ “ ” ’ '' mm cm m "
    "yd lb gsm minutes % ° # £ $ No. Step page tier cut score fold mark at about it the strips card "
    "grid dots wide tall deep square , ; . : ! ? ( ) [ ] - – — ~ + ± / \\ _ @ = & \0 \u200b \u200f "
    "\ud800 \ufeff 😀 👩‍👩‍👧 אבג ٥ ² ß İ ǆ http:// www. a@b.com .com <b> &frac12; ```"
)
BITS = [*_BITS.split(" "), "\n", "\r\n", "\n\n", "\t", "\N{NO-BREAK SPACE}", "\N{THIN SPACE}"]


def nasty(rng: random.Random) -> str:
    """A string of the words and signs that matter, of any signs at all, or of one many times."""
    kind = rng.random()
    if kind < 0.7:
        count = rng.randint(0, 25)
        return "".join(rng.choice(BITS) + rng.choice(("", " ", " ")) for _ in range(count))
    if kind < 0.9:
        tops = (0x7F, 0x2FFF, 0x10FFFF)
        return "".join(chr(rng.randint(0, rng.choice(tops))) for _ in range(rng.randint(0, 60)))
    return rng.choice(BITS) * rng.randint(1, 40)


def verify(text: str, unit: str, grid: str) -> None:
    """Nothing raised; places in order; every slice that was not restated is there again."""
    found = find_lengths(text, unit)
    result = rewritten(text, grid, unit)
    places = sorted((*result.replacements, *result.kept), key=lambda place: place.found.start)
    assert [place.found for place in places] == found
    back, at, now = "", 0, 0
    for place in places:
        one = place.found
        assert at <= one.start < one.stop <= len(text)
        assert text[one.start : one.stop] == one.text
        between = result.text[now : place.start]
        # The one thing added: a gap where a number would touch a letter.
        if len(between) != one.start - at:
            between = between.removeprefix(" ") if text[at : at + 1] != " " else between
            between = between.removesuffix(" ") if len(between) != one.start - at else between
        back += between + one.text
        at, now = one.stop, place.stop
    rest = result.text[now:]
    back += rest if len(rest) == len(text) - at else rest.removeprefix(" ")
    assert back == text
    if not result.replacements:
        assert result.text == text
    card_in(text, unit)


@given(st.text(max_size=80), st.sampled_from(["in", "mm"]), st.sampled_from(["1 mm", "1/16 in"]))
@example("\ud800 5 in", "in", "1 mm")
@example("5x5", "in", "1 mm")
def test_any_text(text: str, unit: str, grid: str) -> None:
    verify(text, unit, grid)


@given(
    st.lists(st.tuples(st.sampled_from(BITS), st.sampled_from(["", " "])), max_size=30),
    st.sampled_from(["in", "mm"]),
    st.sampled_from(["1 mm", "0.5 mm", "1/16 in"]),
)
def test_any_text_of_words_that_matter(bits: list[tuple[str, str]], unit: str, grid: str) -> None:
    verify("".join(bit + gap for bit, gap in bits), unit, grid)


def _many(seed: int, count: int) -> None:
    rng = random.Random(seed)
    for _ in range(count):
        text = nasty(rng)
        try:
            verify(text, rng.choice(("in", "mm")), rng.choice(("1 mm", "0.5 mm", "1/16 in")))
        except Exception as fault:
            raise AssertionError(f"failed on {text!r}") from fault


def test_six_hundred_nasty_strings() -> None:
    _many(1, 600)


@pytest.mark.slow
def test_a_hundred_thousand_nasty_strings() -> None:
    _many(2, 100_000)


@pytest.mark.parametrize(
    "bit",
    [
        "1, ",
        "half ",
        "5' ",
        '"',
        "one hundred ",
        "5 x ",
        "an inch and ",
        "1,000,",
        "a.b.",
        "@a ",
        "in ",
        "5\n",
    ],
)
def test_one_bit_two_hundred_times(bit: str) -> None:
    verify(bit * 200, "in", "1 mm")
