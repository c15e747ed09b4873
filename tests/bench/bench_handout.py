"""How long a handout takes once the first is made. Run: pytest tests/bench/bench_handout.py

Aim: a student handout under 50 ms, median.
"""

from __future__ import annotations

from itertools import count

import pytest

import popkit as pk
from popkit.assembly import assembly_steps
from popkit.handout import handout_bytes, preview_pages

CARDS = {
    "clear": pk.Card(
        width="5 in", height="7 in", tiers=pk.stepped_tiers("7 in", 3), front=pk.ClearFront()
    ),
    "joined": pk.Card(
        width="105 mm", height="148 mm", tiers=pk.stepped_tiers("148 mm", 2), front=pk.JoinedFront()
    ),
    "cut": pk.Card(
        width="5 1/2 in",
        height="5 1/2 in",
        tiers=(pk.CutStep(face="2 in", depth="1 in"), pk.CutStep(face="1 in", depth="3/4 in")),
    ),
}


@pytest.mark.parametrize("large_print", [False, True], ids=["14 pt", "18 pt"])
@pytest.mark.parametrize("name", CARDS)
def test_the_same_handout_again(benchmark, name: str, large_print: bool) -> None:
    handout_bytes(CARDS[name], large_print=large_print)
    assert benchmark(handout_bytes, CARDS[name], large_print=large_print)


def test_a_handout_for_another_student(benchmark) -> None:
    number = count()
    assert benchmark(lambda: handout_bytes(CARDS["clear"], name=f"Student {next(number)}"))


def test_its_pages_as_pictures(benchmark) -> None:
    assert benchmark(preview_pages, CARDS["clear"], ppi=60)


def test_the_steps_alone(benchmark) -> None:
    assert benchmark(assembly_steps, CARDS["clear"])
