"""Traps that planners of cuts have fallen into, each with an answer worked out by hand."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from importlib.metadata import version

import pytest

from popkit.classplan.order import PlanError
from popkit.classplan.plan import plan_sheets
from popkit.classplan.replay import replay
from popkit.lengths import mm
from popkit.pieces import Piece


def piece(name: str, width: str, length: str, count: int = 1, grain: str | None = None) -> Piece:
    return Piece(name=name, width=width, length=length, count=count, grain=grain)


# (a) The longest cut of the trimmer --------------------------------------------------


def test_a_long_sheet_is_cut_across_anywhere_not_only_at_half():
    """A trimmer of 4 in and a sheet of 4 x 10: one short cut gives 4 x 7 and 4 x 3, nothing wasted."""
    kit = [piece("long", "4 in", "7 in"), piece("short", "4 in", "3 in")]
    plan = plan_sheets(kit, students=5, sheet=("4 in", "10 in"), turn="never", longest_cut="4 in")
    assert (plan.sheets, plan.proved, plan.waste) == (5, True, 0)


def test_the_offcut_of_a_long_sheet_is_cut_further():
    """4 x 10 trimmed to 4 + 4 + 2: four of 2 x 4 and two of 2 x 2 fill it, 16 cm2 of 2 x 2 wasted by
    whoever floors the sheet to 4 x 8.
    """
    kit = [piece("tall", "2 cm", "4 cm", 4), piece("square", "2 cm", "2 cm", 2)]
    plan = plan_sheets(kit, students=6, sheet=("4 cm", "10 cm"), turn="never", longest_cut="4 cm")
    assert (plan.sheets, plan.proved, plan.waste) == (6, True, 0)
    assert all(mm(cut.stop) - mm(cut.start) <= 40 for layout in plan.layouts for cut in layout.cuts)


def test_a_piece_that_needs_too_long_a_cut_is_named():
    """3 x 7 out of 4 x 10 needs a cut 7 long, whatever is done first."""
    with pytest.raises(PlanError, match=r"strip, 3 in × 7 in, fits no .* a longer trimmer would do it"):
        plan_sheets(
            [piece("strip", "3 in", "7 in")], students=1, sheet=("4 in", "10 in"), longest_cut="4 in"
        )


def test_a_sheet_too_large_both_ways_is_not_cut_at_all():
    kit = [piece("whole", "30 cm", "40 cm")]
    plan = plan_sheets(kit, students=3, sheet=("30 cm", "40 cm"), longest_cut="25 cm")
    assert (plan.sheets, plan.strokes) == (3, 0)
    with pytest.raises(PlanError, match="a longer trimmer would do it"):
        plan_sheets(
            [piece("half", "30 cm", "20 cm")],
            students=3,
            sheet=("30 cm", "40 cm"),
            longest_cut="25 cm",
        )


# (b) Grain is a relation ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("grain", "turn", "sheets"),
    [
        ("length", "grain", 4),  # 3 across, 2 along: one column of three on 4 x 6
        ("width", "grain", 3),  # 2 across, 3 along: two columns of two
        ("length", "free", 3),
        (None, "grain", 3),
        ("width", "never", 4),
    ],
)
def test_grain_is_kept_to_the_sheet_not_to_the_width_as_listed(grain, turn, sheets):
    """Twelve pieces listed 3 wide and 2 long, on sheets 4 wide and 6 along the grain."""
    plan = plan_sheets(
        [piece("panel", "3 cm", "2 cm", grain=grain)], students=12, sheet=("4 cm", "6 cm"), turn=turn
    )
    assert (plan.sheets, plan.proved) == (sheets, True)
    if turn == "grain" and grain is not None:
        along = {"length": 20, "width": 30}[grain]
        assert {mm(one.height) for layout in plan.layouts for one in layout.placements} == {along}


def test_a_piece_wider_than_the_sheet_fits_with_its_grain_along_it():
    plan = plan_sheets(
        [piece("back", "6 cm", "2 cm", grain="width")], students=4, sheet=("4 cm", "6 cm")
    )
    assert plan.sheets == 2


# (c) A piece that fits no sheet ---------------------------------------------------------


def test_every_piece_that_fits_no_sheet_is_named_with_one_that_would():
    """A4 is 210 x 297, A3 297 x 420, A2 420 x 594 (ISO 216)."""
    kit = [
        piece("base", "200 mm", "300 mm"),
        piece("good", "50 mm", "50 mm"),
        piece("wall", "400 mm", "500 mm"),
    ]
    with pytest.raises(PlanError) as caught:
        plan_sheets(kit, students=1, sheet="A4")
    first, second = caught.value.faults
    assert "base, 200 mm × 300 mm, fits no A4 sheet" in first
    assert "A3 would do" in first
    assert "wall, 400 mm × 500 mm, fits no A4 sheet" in second
    assert "A2 would do" in second


def test_a_piece_larger_than_every_sheet_is_told_the_size_it_takes():
    with pytest.raises(PlanError, match="takes a sheet of at least 700 mm × 900 mm"):
        plan_sheets([piece("scenery", "700 mm", "900 mm", grain="length")], students=1, sheet="A4")


# (d) A library that prints ---------------------------------------------------------------


def test_planning_prints_nothing():
    """highspy 1.16 prints a banner to standard output, past what Python can silence."""
    assert tuple(map(int, version("highspy").split(".")[:2])) < (1, 15)
    code = (
        "from popkit.pieces import Piece\n"
        "from popkit.classplan.plan import plan_sheets\n"
        "kit = [Piece(name='a', width='7 cm', length='9 cm', count=3),"
        " Piece(name='b', width='4 cm', length='11 cm', count=2)]\n"
        "for n in (1, 5, 40): plan_sheets(kit, students=n, sheet='A4')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120
    )
    assert json.dumps([done.stdout, done.stderr]) == '["", ""]'


# (e) Free placement fits what no cuts can make ---------------------------------------------


def test_a_pinwheel_takes_a_second_sheet():
    """Four of 2 x 3 round a 1 x 1 fill 5 x 5 without a gap, and no cut from edge to edge parts them."""
    kit = [piece("arm", "2 cm", "3 cm", 4), piece("hub", "1 cm", "1 cm")]
    plan = plan_sheets(kit, students=1, sheet=("5 cm", "5 cm"), turn="free")
    assert (plan.sheets, plan.proved) == (2, True)
    assert replay(plan) == ()


# (f) The last one is looked at, too --------------------------------------------------------


def test_a_fault_in_the_last_piece_of_the_last_layout_is_found():
    kit = [piece("panel", "7 cm", "9 cm", 3), piece("strip", "2 cm", "11 cm", 2)]
    plan = plan_sheets(kit, students=3, sheet="A4")
    assert replay(plan) == ()
    layout = plan.layouts[-1]
    last = layout.placements[-1]
    wrong = replace(last, x=last.x + plan.layouts[0].placements[0].width)
    bad = replace(layout, placements=(*layout.placements[:-1], wrong))
    assert replay(replace(plan, layouts=(*plan.layouts[:-1], bad)))
    step = plan.steps[-1]
    short = replace(step, take=replace(step.take, count=step.take.count + 1))
    assert replay(replace(plan, steps=(*plan.steps[:-1], short)))
