"""How long a card takes to weigh, to stand and to post. Each round has a card that no cache has seen.

Run: pytest tests/bench/bench_finishing.py --benchmark-only
"""

import asyncio
from dataclasses import replace
from pathlib import Path

import pytest

from popkit import finishbench, workbench
from popkit.card import Layer, Ornament
from popkit.checks import check
from popkit.panels import DemoPanel, FinishingPanel
from popkit.posting import advice, box_envelope, check_post, envelopes_for
from popkit.recipe import load_recipe
from popkit.standing import masses, standing
from popkit.thickness import thickness

RECIPES = Path(__file__).parents[2] / "notebooks" / "recipes"
CARD = load_recipe(RECIPES / "regatta.toml").card


@pytest.mark.parametrize(
    "work",
    [
        check,
        thickness,
        masses,
        lambda card: standing(card, helps=False),
        standing,
        envelopes_for,
        box_envelope,
        check_post,
        advice,
    ],
    ids=[
        "check",
        "thickness",
        "masses",
        "standing",
        "standing with helps",
        "envelopes",
        "box",
        "check_post",
        "advice",
    ],
)
def test_finishing(benchmark, work):
    assert benchmark.pedantic(work, setup=lambda: ((replace(CARD, spine=None),), {}), rounds=30)


def demo_recipe():
    """The card of the demo notebook with a mat, a strip on a mat and two ornaments."""
    recipe = load_recipe(RECIPES / "harbour-lights.toml")
    card = replace(
        recipe.card,
        layers=(
            Layer(on="back", name="sky"),
            Layer(on="front", width="3 in", length="1 in", name="greeting mat"),
            Layer(on="greeting mat", reveal="1/16 in", name="greeting"),
        ),
        ornaments=(
            Ornament(on="tier 2", height="3 in", width="1 in", along="1/4 in"),
            Ornament(on="tier 3", height="2 in", width="1 in"),
        ),
    )
    return replace(recipe, card=card)


def marks():
    """Other heights of the back, over and over."""
    while True:
        yield from (f"{5 + mark / 16} in" for mark in range(8, 16))


def test_the_finishing_sums_of_the_demo_card(benchmark):
    """Tables, findings, standing, thickness, envelope and post: what the panel does at rest."""
    bench, heights = workbench.laid_out(demo_recipe()), marks()

    def again():
        changed = workbench.edited(bench, ("height",), next(heights))
        finishbench.rows(changed, "layers")
        finishbench.rows(changed, "ornaments")
        finishbench.finishing_findings(changed)
        finishbench.stands_words(changed)
        finishbench.thickness_words(changed)
        finishbench.sent(changed)

    benchmark(again)


@pytest.mark.parametrize("beside", [False, True], ids=["demo alone", "with the finishing panel"])
def test_the_demo_follows_a_size(benchmark, beside):
    """In a kernel's loop, where the finishing panel waits for the card to rest."""
    demo = DemoPanel(demo_recipe(), folder=RECIPES)
    kept = FinishingPanel(demo) if beside else None
    heights = marks()

    async def sliding():
        benchmark(lambda: demo.do(workbench.edited, ("height",), next(heights)))

    asyncio.run(sliding())
    assert kept is None or kept.bench is demo.bench


def test_the_finishing_panel_follows_its_own_slider(benchmark):
    panel = FinishingPanel(DemoPanel(demo_recipe(), folder=RECIPES))
    panel.ornaments.pick.value = panel.bench.card.ornaments[0].name
    slider = panel.ornaments._rows["ornaments", 0, "height"].slider
    places = iter(range(10**9))

    async def sliding():
        benchmark(lambda: setattr(slider, "value", 30 + next(places) % 12))

    asyncio.run(sliding())
