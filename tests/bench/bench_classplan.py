"""How long class plans take, how many sheets, and beside peers: pytest tests/bench/bench_classplan.py

Aims: the demo class of 24 on three stocks proved under 1 s, 1,000 students under 2.5 s, one student
proved under 10 s, 10,000 no slower than 1,000; memory under 500 MB. Peers, in the same run: rectpack's
best guillotine setting, and shelves filled first-fit by falling height. Neither may ever need fewer
sheets. The peers' counts stand in `extra_info` of each row.

rectpack is given what its best setting takes: all pieces at once, sorted by area, guillotine, best
area fit, longer axis, merging. Its packings are cut edge to edge by construction.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from fractions import Fraction
from pathlib import Path

import pytest

import popkit as pk
from popkit.classplan.classes import plan_class
from popkit.classplan.one_sheet import best_sheet
from popkit.classplan.plan import plan_sheets
from popkit.lengths import Q, mm
from popkit.pieces import Piece

HERE = Path(__file__).parents[2]
DATA = HERE / "tests" / "data" / "guillotine"
KITS = json.loads((DATA / "class_instances.json").read_text(encoding="utf-8"))["instances"]
# Processor time, that of every thread: on a busy machine the clock on the wall says nothing.
pytestmark = pytest.mark.benchmark(timer=time.process_time)
DEMO = pk.load_recipe(HERE / "notebooks" / "recipes" / "allotment.toml")


def kit_of(instance: dict) -> list[Piece]:
    return [
        Piece(
            name=row["name"],
            width=Q(Fraction(row["w_in"]), "inch"),
            length=Q(Fraction(row["h_in"]), "inch"),
            count=row["per_kit"],
            grain=None if row["may_rotate"] else "length",
        )
        for row in instance["pieces"]
    ]


def terms_of(instance: dict) -> dict:
    return {
        "sheet": tuple(Q(Fraction(side), "inch") for side in instance["sheet_in"]),
        "turn": {"grain": "grain", "rot": "free"}[instance["rotation"]],
    }


# Peers ------------------------------------------------------------------------------


def boxes_of(pieces: list[Piece], students: int, turn: str) -> list[tuple[int, int, bool]]:
    """(width, height, may turn) of every single piece, in whole units of 1/640 of 0.1 mm."""
    found = []
    for piece in pieces:
        wide, high = (int(mm(side) * 6400) for side in (piece.width, piece.length))
        if turn == "grain" and piece.grain == "width":
            wide, high = high, wide
        turns = turn == "free" or (turn == "grain" and piece.grain is None)
        found += [(wide, high, turns)] * (piece.count * students)
    return found


def shelves(sheet: tuple[int, int], boxes: list[tuple[int, int, bool]]) -> int:
    """Sheets for shelves filled first-fit by falling height, each box lying down where it may."""
    lying = []
    for wide, high, turns in boxes:
        ways = [(wide, high), *([(high, wide)] if turns else [])]
        ways = [way for way in ways if way[0] <= sheet[0] and way[1] <= sheet[1]]
        lying.append(min(ways, key=lambda way: way[1]))
    sheets: list[list[list[int]]] = []  # of shelves [height, width left]
    for wide, high in sorted(lying, key=lambda box: (-box[1], -box[0])):
        for shelf_list in sheets:
            shelf = next((one for one in shelf_list if one[0] >= high and one[1] >= wide), None)
            if shelf is None and sum(one[0] for one in shelf_list) + high <= sheet[1]:
                shelf = [high, sheet[0]]
                shelf_list.append(shelf)
            if shelf is not None:
                shelf[1] -= wide
                break
        else:
            sheets.append([[high, sheet[0] - wide]])
    return len(sheets)


def packed(sheet: tuple[int, int], boxes: list[tuple[int, int, bool]]) -> int | None:
    """Sheets of rectpack's best guillotine setting; None where grain lets only some pieces turn and
    it cannot be told so: it turns all or none, so then none.
    """
    rectpack = pytest.importorskip("rectpack")
    best = None
    turning = {turns for _, _, turns in boxes}
    for rotation in {turning == {True}, False}:
        for algorithm in ("GuillotineBafLlas", "GuillotineBssfSas", "GuillotineBlsfMaxas"):
            packer = rectpack.newPacker(
                mode=rectpack.PackingMode.Offline,
                bin_algo=rectpack.PackingBin.BFF,
                pack_algo=getattr(rectpack, algorithm),
                sort_algo=rectpack.SORT_AREA,
                rotation=rotation,
            )
            for wide, high, _ in boxes:
                packer.add_rect(wide, high)
            packer.add_bin(*sheet, count=len(boxes))
            packer.pack()
            assert len(packer.rect_list()) == len(boxes)
            best = len(packer) if best is None else min(best, len(packer))
    return best


def units(sheet: tuple) -> tuple[int, int]:
    return tuple(int(mm(side) * 6400) for side in sheet)


# The rows ---------------------------------------------------------------------------


@pytest.mark.parametrize("students", [1, 24, 1_000, 10_000])
def test_the_demo_class_on_three_stocks(benchmark, students):
    plan = benchmark.pedantic(plan_class, ([(DEMO, students)],), rounds=3)
    assert plan.proved
    assert len(plan.stocks) == 3
    benchmark.extra_info |= {"sheets": plan.sheets, "bound": plan.bound}


@pytest.mark.parametrize("each", [1, 12])
def test_a_matted_card_on_both_rulers(benchmark, each):
    """Millimetre and inch pieces share sheets; aim: two under 2 s, two dozen under 10 s."""
    recipe = pk.load_recipe(HERE / "notebooks" / "recipes" / "regatta.toml")
    rows = "".join(f"{n},regatta,{('mm', 'in')[n % 2]}\n" for n in range(1, 2 * each + 1))
    who = pk.read_roster(f"seat,card,unit\n{rows}")
    benchmark.extra_info["in haste"] = plan_class(who, {"regatta": recipe}, stop=lambda: True).sheets
    terms = {"prove": False}
    plan = benchmark.pedantic(plan_class, (who, {"regatta": recipe}), terms, rounds=3)
    benchmark.extra_info |= {"sheets": plan.sheets, "bound": plan.bound, "proved": plan.proved}


@pytest.mark.parametrize("instance", KITS, ids=[one["id"] for one in KITS])
@pytest.mark.parametrize("students", [1, 6, 24, 1_000, 10_000])
def test_a_kit_of_many_pieces(benchmark, instance, students):
    pieces, terms = kit_of(instance), terms_of(instance)
    plan = benchmark.pedantic(plan_sheets, (pieces,), {"students": students, **terms}, rounds=1)
    benchmark.extra_info |= {"sheets": plan.sheets, "bound": plan.bound, "proved": plan.proved}
    if students == 1:
        assert plan.proved
    if students <= 24:
        boxes, sheet = boxes_of(pieces, students, terms["turn"]), units(terms["sheet"])
        peers = {"shelves": shelves(sheet, boxes), "rectpack": packed(sheet, boxes)}
        benchmark.extra_info |= peers
        assert all(plan.sheets <= count for count in peers.values())


def test_gcut13_turned(benchmark):
    """3000 x 3000 with 32 pieces that may turn: filled to the last corner (Beasley 1985; Cintra)."""
    family = json.loads((DATA / "gcut_unconstrained.json").read_text(encoding="utf-8"))
    instance = next(one for one in family["instances"] if one["name"] == "gcut13")
    pieces = [
        Piece(name=f"{n}", width=Q(Fraction(w, 10), "mm"), length=Q(Fraction(h, 10), "mm"))
        for n, (w, h, _) in enumerate(instance["items"])
    ]
    sheet = tuple(Q(Fraction(side, 10), "mm") for side in instance["sheet"])
    values = [row[2] for row in instance["items"]]
    best = benchmark.pedantic(best_sheet, (pieces, sheet), {"values": values, "turn": "free"}, rounds=1)
    assert best.worth == instance["optimum_rotation"]


def test_memory(benchmark):
    """Every kit above for 1, 24 and 1,000 students in an interpreter of its own: its peak, in MB."""
    code = (
        "from tests.bench.bench_classplan import KITS, kit_of, terms_of, plan_sheets\n"
        "import resource\n"
        "for one in KITS:\n"
        "    for n in (1, 24, 1_000): plan_sheets(kit_of(one), students=n, **terms_of(one))\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)\n"
    )

    def peak() -> int:
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=HERE
        )
        return int(done.stdout)

    benchmark.extra_info["MB"] = benchmark.pedantic(peak, rounds=1)
    assert benchmark.extra_info["MB"] < 500
