"""How long a card takes to weigh, to stand and to post. Each round has a card that no cache has seen.

Run: pytest tests/bench/bench_finishing.py --benchmark-only
"""

from dataclasses import replace
from pathlib import Path

import pytest

from popkit.posting import advice, box_envelope, check_post, envelopes_for
from popkit.recipe import load_recipe
from popkit.standing import masses, standing

CARD = load_recipe(Path(__file__).parents[2] / "notebooks" / "recipes" / "regatta.toml").card


@pytest.mark.parametrize(
    "work",
    [
        masses,
        lambda card: standing(card, helps=False),
        standing,
        envelopes_for,
        box_envelope,
        check_post,
        advice,
    ],
    ids=["masses", "standing", "standing with helps", "envelopes", "box", "check_post", "advice"],
)
def test_finishing(benchmark, work):
    assert benchmark.pedantic(work, setup=lambda: ((replace(CARD),), {}), rounds=30)
