"""The check of a plan, tried on plans that are wrong in one way each; and what it is made of."""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import pytest

import popkit.classplan.replay as replay_module
from popkit.classplan.plan import plan_sheets
from popkit.classplan.replay import replay
from popkit.lengths import Q, from_mm
from popkit.pieces import Piece


def a_plan(**more):
    kit = [
        Piece(name="back", width="80 mm", length="120 mm", count=2, grain="length"),
        Piece(name="mat", width="70 mm", length="50 mm", count=3),
        Piece(name="strip", width="15 mm", length="90 mm"),
    ]
    return plan_sheets(kit, students=4, sheet="A4", **more)


PLAN = a_plan()


def test_it_shares_nothing_with_the_search():
    """Its only knowledge is lengths and the plan itself; and that knows neither numpy nor HiGHS."""

    def taken(module: str) -> set[str]:
        path = Path(replay_module.__file__).with_name(f"{module}.py")
        found = set()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                found.add(node.module)
        return found

    assert {name for name in taken("replay") if name.startswith("popkit")} == {
        "popkit.classplan.results",
        "popkit.lengths",
    }
    assert taken("results") <= {
        "__future__",
        "collections",
        "collections.abc",
        "dataclasses",
        "fractions",
        "popkit.classplan.naming",
        "popkit.language",
        "popkit.lengths",
        "popkit.papers",
        "popkit.pieces",
    }
    words = {name for name in taken("naming") if name.startswith("popkit")}
    assert words <= {"popkit.language", "popkit.lengths", "popkit.papers", "popkit.pieces"}


def test_a_good_plan_has_no_faults():
    assert replay(PLAN) == ()
    assert replay(a_plan(longest_cut="22 cm", turn="free", stack=3)) == ()
    assert replay(a_plan(stages=2)) == ()


def with_layout(place: int = 0, **changes):
    layouts = list(PLAN.layouts)
    layouts[place] = replace(layouts[place], **changes)
    return replace(PLAN, layouts=tuple(layouts))


def with_cut(place: int, **changes):
    cuts = list(PLAN.layouts[0].cuts)
    cuts[place] = replace(cuts[place], **changes)
    return with_layout(cuts=tuple(cuts))


def with_step(place: int, **changes):
    steps = list(PLAN.steps)
    steps[place] = replace(steps[place], **changes)
    return replace(PLAN, steps=tuple(steps))


ONE = Q(1, "mm")
FIRST = PLAN.layouts[0]
CUT = FIRST.cuts[0]
STEP = PLAN.steps[0]
GIVES = STEP.gives[0]


def lying(name: str) -> int:
    return next(n for n, one in enumerate(FIRST.placements) if one.piece == name)


def with_placement(number: int, **changes):
    places = list(FIRST.placements)
    places[number] = replace(places[number], **changes)
    return with_layout(placements=tuple(places))


BACK = FIRST.placements[lying("back")]

WRONG = {
    "a cut that stops short": (with_cut(0, stop=CUT.stop - ONE), "edge to edge of one plate"),
    "a cut that runs past a plate": (with_cut(-1, start=FIRST.cuts[-1].start - ONE), "edge to edge"),
    "a cut off the sheet": (with_cut(0, at=from_mm(400)), "edge to edge"),
    "a cut that is left out": (with_layout(cuts=FIRST.cuts[1:]), "plate of its own"),
    "a cut away from its fence": (with_cut(0, fence=CUT.fence + ONE), "where the fence puts it"),
    "a cut too long for the trimmer": (
        replace(PLAN, longest_cut=from_mm(100)),
        "longer than the trimmer takes",
    ),
    "two pieces on one place": (
        with_layout(placements=(*FIRST.placements, FIRST.placements[0])),
        "does not come out as a plate of its own",
    ),
    "a piece shifted over its neighbour": (
        with_placement(0, x=FIRST.placements[0].x + ONE),
        "does not come out as a plate of its own",
    ),
    "a piece of the wrong size": (
        replace(PLAN, pieces=(replace(PLAN.pieces[0], length="121 mm"), *PLAN.pieces[1:])),
        "back has the wrong size",
    ),
    "a piece across the grain": (
        replace(PLAN, pieces=(replace(PLAN.pieces[0], grain="width"), *PLAN.pieces[1:])),
        "back lies across the grain",
    ),
    "a piece turned where none may be": (
        replace(a_plan(turn="free"), turn="never"),
        "is turned, and nothing may turn",
    ),
    "a piece that is not counted": (
        with_layout(placements=FIRST.placements[:-1]),
        "neither a piece nor an offcut",
    ),
    "an offcut that is not there": (
        with_layout(offcuts=(*FIRST.offcuts, replace(FIRST.offcuts[0], width=ONE))),
        "an offcut is not left over",
    ),
    "an offcut that is not told": (
        with_layout(offcuts=FIRST.offcuts[1:]),
        "neither a piece nor an offcut",
    ),
    "more stages than were asked": (replace(PLAN, stages=1), "stages"),
    "too few of a piece": (
        replace(PLAN, demand=tuple(count + 9 for count in PLAN.demand)),
        "made, 17 wanted",
    ),
    "spares that are not so": (replace(PLAN, spares={"mat": 40}), "spares are not what is left"),
    "a layout on no sheet": (with_layout(count=0), "is cut from no sheet"),
    "proved, and not at the bound": (replace(PLAN, bound=PLAN.bound - 1), "does not agree"),
    "below its own bound": (replace(PLAN, bound=PLAN.bound + 1), "does not agree"),
    "at the bound, and not proved": (replace(PLAN, proved=False), "does not agree"),
    "a step that takes what is not there": (
        with_step(0, take=replace(STEP.take, count=STEP.take.count + 1)),
        "plates that are not there",
    ),
    "a step at the wrong fence": (with_step(0, fence=STEP.fence + ONE), "does not give what it says"),
    "a fence that is said to stand": (with_step(0, fence_moves=False), "wrong about the fence"),
    "a step beyond the edge": (with_step(0, cuts_each=40), "cuts beyond the edge"),
    "a step that gives more than it cuts": (
        with_step(0, gives=(replace(GIVES, count=GIVES.count + 1), *STEP.gives[1:])),
        "does not give what it says",
    ),
    "a step left out": (replace(PLAN, steps=PLAN.steps[:-1]), "do not end with the pieces"),
    "steps in the wrong order": (replace(PLAN, steps=PLAN.steps[::-1]), "not there"),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_each_way_to_be_wrong_is_found(wrong):
    plan, said = WRONG[wrong]
    assert any(said in fault for fault in replay(plan)), replay(plan)
