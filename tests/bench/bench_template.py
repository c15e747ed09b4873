"""How long the printed pieces take. Run: pytest tests/bench/bench_template.py

Aims: a template or a score chart under 100 ms, median, once the first is made; cutting files of a
card under 50 ms.
"""

from __future__ import annotations

import pytest

import popkit as pk
from popkit.drawing.cutter import cutter_dxf, cutter_svg
from popkit.handout import handout_bytes
from popkit.handout.job import job
from popkit.handout.template import _for_anyone

CARDS = {
    "three tiers": pk.Card(
        width="5 in", height="7 in", tiers=pk.stepped_tiers("7 in", 3), front=pk.ClearFront()
    ),
    "in tiles": pk.Card(
        width="12 in", height="12 in", tiers=pk.stepped_tiers("12 in", 3), front=pk.ClearFront()
    ),
    "cut steps": pk.Card(
        width="5 1/2 in",
        height="5 1/2 in",
        tiers=(pk.CutStep(face="2 in", depth="1 in"), pk.CutStep(face="1 in", depth="3/4 in")),
    ),
}


@pytest.mark.parametrize("edition", ["template", "scores"])
@pytest.mark.parametrize("name", CARDS)
def test_the_same_page_again(benchmark, name: str, edition: str) -> None:
    handout_bytes(CARDS[name], edition)
    assert benchmark(handout_bytes, CARDS[name], edition)


@pytest.mark.parametrize("name", CARDS)
def test_arranging_and_drawing_alone(benchmark, name: str) -> None:
    asked = job(CARDS[name])

    def made() -> dict:
        _for_anyone.cache_clear()
        return _for_anyone(asked)

    assert benchmark(made)


@pytest.mark.parametrize("form", [cutter_svg, cutter_dxf], ids=["svg", "dxf"])
def test_cutting_files_of_a_card(benchmark, form) -> None:
    pieces = pk.cut_list(CARDS["three tiers"])
    assert benchmark(lambda: [form(piece) for piece in pieces])
