"""Sheet counts of class plans against instances proved outside the project, cut by cut.

Source: tests/data/guillotine/class_instances.json, counts proved by column generation with an exact
integer bound and replayed by a separate program.
"""

import json
from fractions import Fraction
from pathlib import Path

import pytest

from popkit.classplan.plan import plan_sheets
from popkit.lengths import Q, mm
from popkit.pieces import Piece

DATA = Path(__file__).parents[1] / "data" / "guillotine" / "class_instances.json"
INSTANCES = json.loads(DATA.read_text(encoding="utf-8"))["instances"]


def inches(text: str) -> Q:
    return Q(Fraction(text), "inch")


def pieces_of(instance: dict) -> list[Piece]:
    return [
        Piece(
            name=row["name"],
            width=inches(row["w_in"]),
            length=inches(row["h_in"]),
            count=row["per_kit"],
            grain=None if row["may_rotate"] else "length",
        )
        for row in instance["pieces"]
    ]


@pytest.mark.parametrize("instance", INSTANCES, ids=[one["id"] for one in INSTANCES])
def test_the_proved_count_is_met_and_proved(instance):
    plan = plan_sheets(
        pieces_of(instance),
        students=instance["students"],
        sheet=tuple(inches(side) for side in instance["sheet_in"]),
        turn={"grain": "grain", "rot": "free"}[instance["rotation"]],
    )
    assert (plan.sheets, plan.bound, plan.proved) == (instance["optimum"], instance["optimum"], True)
    assert sum(layout.count for layout in plan.layouts) == plan.sheets


def test_a_plan_covers_no_more_than_its_sheets():
    """Area is what no arrangement can cheat: pieces fit their sheets, and none lies outside."""
    instance = INSTANCES[0]
    sheet = [inches(side) for side in instance["sheet_in"]]
    plan = plan_sheets(pieces_of(instance), students=instance["students"], sheet=tuple(sheet))
    cut = sum(
        Fraction(row["w_in"]) * Fraction(row["h_in"]) * row["demand"] for row in instance["pieces"]
    )
    assert cut * Fraction(127, 5) ** 2 <= plan.sheets * mm(sheet[0]) * mm(sheet[1])
