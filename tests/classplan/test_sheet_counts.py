"""Sheets for a full demand, against counts proved elsewhere and against a search by brute force.

Sources: tests/data/guillotine/cutting_stock_small.json (cgcut and gcut as cutting stock, Hopper &
Turton 2002; each count proved by an exact mixed-integer programme). Free placement by CP-SAT
(OR-tools) bounds from outside: what it cannot place, no cuts can make.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import popkit as pk
from popkit.classplan.plan import plan_sheets
from popkit.lengths import mm
from tests.classplan.guillotine_data import comes_apart, instances, rectangles, sheet_of

STOCK = instances("cutting_stock_small")
RECIPES = Path(__file__).parents[2] / "notebooks" / "recipes"


def boxes_of(layout) -> list:
    return [(mm(one.x), mm(one.y), mm(one.width), mm(one.height)) for one in layout.placements]


def cut_from_outside(plan) -> None:
    """Every layout comes apart and every piece is made, by a check that is not popkit's."""
    made = [0] * len(plan.pieces)
    for layout in plan.layouts:
        sheet = (Fraction(0), Fraction(0), mm(layout.sheet.width), mm(layout.sheet.height))
        assert comes_apart(boxes_of(layout), sheet)
        for one in layout.placements:
            piece = plan.pieces[one.number]
            size, wanted = (mm(one.width), mm(one.height)), (mm(piece.width), mm(piece.length))
            assert size in (wanted, wanted[::-1])
            made[one.number] += layout.count
    assert all(have >= want for have, want in zip(made, plan.demand, strict=True))


@pytest.mark.parametrize("instance", STOCK, ids=[one["name"] for one in STOCK])
def test_the_full_demand_takes_the_proved_number_of_sheets(instance):
    items = instance["items"]
    counts = [row[2] if len(row) > 2 else 1 for row in items]
    plan = plan_sheets(
        rectangles(items, counts),
        students=1,
        sheet=sheet_of(instance),
        turn="free" if instance["rotation"] else "never",
    )
    assert (plan.sheets, plan.bound, plan.proved) == (instance["sheets_needed"],) * 2 + (True,)
    cut_from_outside(plan)


# Brute force ----------------------------------------------------------------------


def fewest_by_brute_force(
    sheet: tuple[int, int], pieces: list[tuple[int, int]], demand: list[int], turn: bool, longest: int
) -> int | None:
    """The fewest sheets, by every way to cut and every sum of those; None if a piece fits none."""
    kinds = [{piece, piece[::-1]} if turn else {piece} for piece in pieces]

    @cache
    def ways(width: int, height: int) -> frozenset[tuple[int, ...]]:
        """Everything that can be got from a plate, every whole-number cut tried."""
        found = {(0,) * len(pieces)}
        for number, kind in enumerate(kinds):
            if (width, height) in kind:
                found.add(tuple(int(k == number) for k in range(len(pieces))))
        cuts = []
        if height <= longest:
            cuts += [((at, height), (width - at, height)) for at in range(1, width // 2 + 1)]
        if width <= longest:
            cuts += [((width, at), (width, height - at)) for at in range(1, height // 2 + 1)]
        for near, far in cuts:
            for one, other in product(ways(*near), ways(*far)):
                found.add(tuple(min(a + b, most) for a, b, most in zip(one, other, demand, strict=True)))
        return frozenset(found)

    reached, sheets = {(0,) * len(pieces)}, 0
    while tuple(demand) not in reached:
        more = {
            tuple(min(a + b, most) for a, b, most in zip(one, other, demand, strict=True))
            for one in reached
            for other in ways(*sheet)
        }
        if more == reached:
            return None
        reached, sheets = more, sheets + 1
    return sheets


tiny = st.tuples(st.integers(1, 5), st.integers(1, 5))


@settings(max_examples=60)
@given(
    sheet=st.tuples(st.integers(2, 6), st.integers(2, 6)),
    pieces=st.lists(tiny, min_size=1, max_size=3, unique=True),
    counts=st.lists(st.integers(1, 3), min_size=3, max_size=3),
    turn=st.booleans(),
    longest=st.integers(2, 7),
)
def test_tiny_sheets_against_brute_force(sheet, pieces, counts, turn, longest):
    counts = counts[: len(pieces)]
    known = fewest_by_brute_force(sheet, pieces, counts, turn, longest)
    terms = {
        "students": 1,
        "sheet": tuple(f"{side} cm" for side in sheet),
        "turn": "free" if turn else "never",
        "longest_cut": f"{longest} cm",
    }
    kit = [
        pk.Piece(name=f"item {n}", width=f"{w} cm", length=f"{h} cm", count=count)
        for n, ((w, h), count) in enumerate(zip(pieces, counts, strict=True))
    ]
    if known is None:
        with pytest.raises(ValueError, match="fits no"):
            plan_sheets(kit, **terms)
        return
    plan = plan_sheets(kit, **terms)
    assert (plan.sheets, plan.proved) == (known, True)
    cut_from_outside(plan)


# Free placement as a bound ----------------------------------------------------------


def fewest_by_placing(
    sheet: tuple[int, int], boxes: list[tuple[int, int, bool]], most: int
) -> tuple[int, bool]:
    """(sheets, proved) of the best free placement CP-SAT finds; boxes: (width, height, may turn)."""
    cp = pytest.importorskip("ortools.sat.python.cp_model")
    for count in range(1, most + 1):
        model = cp.CpModel()
        # Sheets lie side by side, with a strip between them that nothing may cross.
        across, along, on = [], [], []
        for wide, high, turns in boxes:
            here = [model.new_bool_var("") for _ in range(count)]
            model.add_exactly_one(here)
            turned = model.new_bool_var("") if turns else 0
            w = wide + (high - wide) * turned
            h = high + (wide - high) * turned
            x, y = model.new_int_var(0, sheet[0], ""), model.new_int_var(0, sheet[1], "")
            model.add(x + w <= sheet[0])
            model.add(y + h <= sheet[1])
            place = sum(number * flag for number, flag in enumerate(here))
            left = x + (sheet[0] + 1) * place
            size_w, size_h = model.new_int_var(1, 10**6, ""), model.new_int_var(1, 10**6, "")
            model.add(size_w == w)
            model.add(size_h == h)
            start, end = model.new_int_var(0, 10**7, ""), model.new_int_var(0, 10**7, "")
            model.add(start == left)
            top = model.new_int_var(0, 10**6, "")
            model.add(top == y + h)
            across.append(model.new_interval_var(start, size_w, end, ""))
            along.append(model.new_interval_var(y, size_h, top, ""))
            on.append(place)
        model.add_no_overlap_2d(across, along)
        solver = cp.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = 20
        status = solver.solve(model)
        if status in (cp.OPTIMAL, cp.FEASIBLE):
            return count, True
        if status != cp.INFEASIBLE:
            return count, False
    return most, False


@pytest.mark.parametrize(
    "recipe", ["allotment", "bandstand", "chapel-row", "harbour-lights", "lamplighter"]
)
def test_one_student_is_never_below_what_free_placement_needs(recipe):
    """And where placing one sheet less is impossible, cutting it is: the count needs no other proof."""
    recipe = pk.load_recipe(RECIPES / f"{recipe}.toml")
    by_stock: dict = {}
    for piece in pk.cut_list(recipe.card):
        by_stock.setdefault(piece.stock, []).append(piece)
    for stock, pieces in by_stock.items():
        plan = plan_sheets(pieces, students=1, sheet=stock.sheet)
        scale = 10 * 127 * 64  # every inch fraction and every tenth of a millimetre, whole
        units = [mm(side) * scale for piece in pieces for side in (piece.width, piece.length)]
        step = units[0]
        for unit in units:
            while unit:
                step, unit = unit, step % unit
        sheet = tuple(int(mm(side) * scale // step) for side in (stock.sheet.width, stock.sheet.height))
        boxes = []
        for piece in pieces:
            w, h = int(mm(piece.width) * scale / step), int(mm(piece.length) * scale / step)
            boxes.append((h, w, False) if piece.grain == "width" else (w, h, piece.grain is None))
        placed, sure = fewest_by_placing(sheet, boxes, plan.sheets)
        assert placed <= plan.sheets
        assert plan.proved
        assert sure
        assert placed == plan.sheets  # true of these cards: what they take, no placement improves
