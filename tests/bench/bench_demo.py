"""How long the demo takes to follow a change: card, pieces, checks and pictures of one recipe.

Run: python -m pytest tests/bench/bench_demo.py
"""

from __future__ import annotations

from pathlib import Path

import pytest

from popkit import workbench
from popkit.checks import check
from popkit.drawing import draw_oblique, draw_pieces, draw_side
from popkit.panels import DemoPanel
from popkit.pieces import cut_list
from popkit.recipe import load_recipe

RECIPES = Path(__file__).parents[2] / "notebooks" / "recipes"
FACE = ("tiers", 0, "face")


@pytest.fixture
def bench():
    return workbench.laid_out(load_recipe(RECIPES / "harbour-lights.toml"))


def test_a_size_is_changed_and_everything_is_worked_out_again(benchmark, bench):
    faces = iter(range(10**9))

    def again():
        card = workbench.edited(bench, FACE, f"{2 + next(faces) % 8 * 0.125} in").card
        pieces = cut_list(card)
        check(card, bench.ruler)
        draw_pieces(card, grids=bench.grids, pieces=pieces)
        draw_side(card, 90, grids=bench.grids, steady=True)
        draw_oblique(card, 90, grids=bench.grids, steady=True)

    benchmark(again)


def test_the_opening_is_changed(benchmark, bench):
    angles = iter(range(10**9))

    def again():
        angle = next(angles) % 181
        draw_side(bench.card, angle, grids=bench.grids, steady=True)
        draw_oblique(bench.card, angle, grids=bench.grids, steady=True)

    benchmark(again)


def test_the_panel_follows_a_size(benchmark):
    panel = DemoPanel(load_recipe(RECIPES / "harbour-lights.toml"), folder=RECIPES)
    slider = panel._rows[FACE].slider
    marks = iter(range(10**9))
    benchmark(lambda: setattr(slider, "value", 32 + next(marks) % 12))


def test_the_panel_follows_the_opening(benchmark):
    panel = DemoPanel(load_recipe(RECIPES / "harbour-lights.toml"), folder=RECIPES)
    angles = iter(range(10**9))
    benchmark(lambda: setattr(panel.stage, "angle", next(angles) % 181))
