"""How long it takes to read and rewrite a tutor's text. Run: pytest tests/bench/bench_wording.py

Aim: 2,000 words under 100 ms. "Fresh" forgets every run of kinds that was parsed before.
"""

from __future__ import annotations

import time

import pytest

from popkit.wording import find_lengths, grammar, pieces_in, rewrite

PARAGRAPH = (
    'Cut the card base 8½ x 5 from 65 lb card and trim the front to 4-3/4" x 3-1/4". Score each strip '
    "at half an inch, one and four and a half, then fold. Put 5 in the box and wait 10 minutes. Step 3: "
    "cut 4 strips ½ x 5 and glue a quarter-inch tab to the back, leaving 1/16th of an inch all round so "
    "that the tier can move freely when the card is closed and opened again by the people who watch. "
    "Tier 2 is 2 and 3/4 inches tall and between 3 and 4 inches deep; cut it at 5, or two and "
    "three-quarter inches, and post it in a No. 10 envelope (4⅛ x 9½ in) before 12 May. "
)
pytestmark = pytest.mark.benchmark(timer=time.process_time)  # a busy machine is no slower by this clock


def text(words: int) -> str:
    """Running instructions of at least so many words."""
    return PARAGRAPH * (words // len(PARAGRAPH.split()) + 1)


@pytest.mark.parametrize("words", [2000, 8000])
@pytest.mark.parametrize("job", [find_lengths, pieces_in, lambda said: rewrite(said, "1 mm")])
def test_read_or_rewrite(benchmark, words: int, job) -> None:
    assert benchmark(job, text(words))


def test_rewrite_fresh(benchmark) -> None:
    said = text(2000)
    assert benchmark.pedantic(
        lambda: rewrite(said, "1 mm"), setup=grammar.remembered.cache_clear, rounds=20
    )


@pytest.mark.parametrize("bit", ["5 in, ", "one hundred and ", "5' ", "a half ", "http://", '"'])
@pytest.mark.parametrize("times", [500, 2000])
def test_one_bit_again_and_again(benchmark, bit: str, times: int) -> None:
    """Four times the text takes four times as long: no rule looks further than a few words."""
    assert benchmark.pedantic(rewrite, (bit * times, "1 mm"), rounds=3)
