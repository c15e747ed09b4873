"""Among plans with the fewest sheets: few layouts, few cuts, few settings, the offcut in one piece."""

from __future__ import annotations

import json
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

import popkit as pk
from popkit.classplan.plan import plan_sheets
from popkit.lengths import Q, mm
from popkit.pieces import Piece
from tests.classplan.guillotine_data import DATA

RECIPES = Path(__file__).parents[2] / "notebooks" / "recipes"
KITS = json.loads((DATA / "class_instances.json").read_text(encoding="utf-8"))["instances"]


def piece(name: str, width: int, length: int, count: int = 1) -> Piece:
    return Piece(name=name, width=f"{width} mm", length=f"{length} mm", count=count)


def cut(pieces: list[Piece], students: int, sheet: tuple[int, int], **more):
    sides = tuple(f"{side} mm" for side in sheet)
    return plan_sheets(pieces, students=students, sheet=sides, turn="never", **more)


def test_the_offcut_is_kept_in_the_larger_piece():
    """40 x 60 from 100 x 100: cut to 40 first and 60 x 100 is left whole, cut to 60 first 100 x 40."""
    plan = cut([piece("mat", 40, 60)], 1, (100, 100))
    offcut, count = plan.largest_offcut
    assert ((mm(offcut.width), mm(offcut.height)), count) == ((60, 100), 1)
    assert plan.cuts == 2


def test_one_layout_and_a_spare_go_before_two_layouts():
    """Three of 50 x 100 take two sheets of 100 x 100: halved both, not one and then the other."""
    plan = cut([piece("half", 50, 100)], 3, (100, 100))
    assert (plan.sheets, len(plan.layouts), plan.spares) == (2, 1, {"half": 1})


def test_one_layout_does_where_one_can():
    """A whole kit fills one sheet, so every sheet can be cut alike."""
    kit = [piece("a", 60, 100), piece("b", 40, 50), piece("c", 40, 30), piece("d", 40, 20)]
    plan = cut(kit, 12, (100, 100))
    assert (plan.sheets, len(plan.layouts)) == (12, 1)


def test_plates_of_several_layouts_are_cut_at_one_setting():
    """100 x 100 in halves and in a half with two quarters: the fence stands at 50 throughout."""
    plan = cut([piece("half", 50, 100, 3), piece("quarter", 50, 50, 2)], 6, (100, 100))
    assert (plan.sheets, plan.fence_settings) == (12, 1)
    assert {mm(step.fence) for step in plan.steps} == {50}


def test_a_stack_takes_fewer_strokes():
    """Twelve sheets cut once each: 12 strokes by one, 4 by three, 3 by five."""
    strokes = [cut([piece("half", 50, 100)], 24, (100, 100), stack=stack).strokes for stack in (1, 3, 5)]
    assert strokes == [12, 4, 3]


@pytest.mark.parametrize("instance", KITS, ids=[one["id"] for one in KITS])
def test_tidying_costs_no_sheet_and_adds_no_layout(instance):
    pieces = [
        Piece(
            name=row["name"],
            width=Q(Fraction(row["w_in"]), "inch"),
            length=Q(Fraction(row["h_in"]), "inch"),
            count=row["per_kit"],
            grain=None if row["may_rotate"] else "length",
        )
        for row in instance["pieces"]
    ]
    terms = {
        "students": instance["students"],
        "sheet": tuple(Q(Fraction(side), "inch") for side in instance["sheet_in"]),
        "turn": {"grain": "grain", "rot": "free"}[instance["rotation"]],
    }
    tidy, rough = plan_sheets(pieces, **terms), plan_sheets(pieces, **terms, tidy=False)
    assert tidy.sheets == rough.sheets == instance["optimum"]
    assert (len(tidy.layouts), tidy.cuts) <= (len(rough.layouts), rough.cuts)


def test_every_fence_setting_of_the_demo_is_used_once_or_for_a_reason():
    """No setting comes back while nothing that it needs was made in between."""
    recipe = pk.load_recipe(RECIPES / "allotment.toml")
    pieces = [one for one in pk.cut_list(recipe.card) if one.stock.name == "card stock"]
    plan = plan_sheets(pieces, students=24, sheet="A4")
    fences = [mm(step.fence) for step in plan.steps if step.fence_moves]
    assert len(fences) == plan.fence_settings
    assert all(one != other for one, other in pairwise(fences))
