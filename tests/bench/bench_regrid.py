"""How long it takes to restate a card. Run: pytest tests/bench/bench_regrid.py

Aim: a card of three tiers under 50 ms, median.
"""

from __future__ import annotations

import pytest

import popkit as pk
from popkit.regridding import number_by_number, regrid
from popkit.resizing import largest_from_sheet, resize


def card(tiers: int = 3) -> pk.Card:
    """The Tidewell hall's workshop card, with as many steps as asked."""
    return pk.Card(
        width="5 in",
        height="7 1/2 in",
        tiers=tuple(
            pk.Tier(face=pk.Q(28 - 3 * place, "inch") / 8, depth="7/16 in", bottom_tab="7/16 in")
            for place in range(tiers)
        ),
        front=pk.ClearFront(),
    )


@pytest.mark.parametrize("ruler", ["1 mm", "2 mm", "5 mm", "1/16 in", "1/8 in"])
def test_regrid_three_tiers(benchmark, ruler: str) -> None:
    assert benchmark(regrid, card(), ruler).proved


@pytest.mark.parametrize("tiers", [1, 5, 8])
def test_regrid_other_cards(benchmark, tiers: int) -> None:
    assert benchmark(regrid, card(tiers), "1 mm").proved


def test_number_by_number(benchmark) -> None:
    assert benchmark(number_by_number, card(), "1 mm").breaks


def test_resize(benchmark) -> None:
    assert benchmark(resize, card(), "A5").proved


def test_largest_from_sheet(benchmark) -> None:
    assert benchmark(largest_from_sheet, card(), "A4").proved
