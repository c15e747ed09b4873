"""The most that one sheet gives, against optima published for three families of benchmark.

Sources: Christofides & Whitlock, Oper. Res. 25 (1977) cgcut1-3, limited numbers of each piece;
Beasley, J. Oper. Res. Soc. 36 (1985) gcut1-13, values as on G. Cintra's page
www.ime.usp.br/~glauber/gcut/; Herz, IBM J. Res. Dev. 16 (1972). What was seen published, what is
from memory and what was solved independently stands with each value in tests/data/guillotine.
"""

from fractions import Fraction

import pytest

from popkit.classplan.one_sheet import BestSheet, best_sheet
from popkit.classplan.order import PlanError
from tests.classplan.guillotine_data import comes_apart, instances, rectangles, sheet_of

LIMITED = instances("cgcut")
UNLIMITED = instances("gcut_unconstrained")
# gcut13 turned takes a minute: it is held in tests/bench/bench_classplan.py.
FREE = [one for one in UNLIMITED if one["name"] != "gcut13"]


def held(instance: dict, best: BestSheet, value_column: int) -> int:
    """The value of what lies on the sheet, each piece of a size of the instance, cut edge to edge."""
    sides = [Fraction(side, 10) for side in instance["sheet"]]
    boxes, worth = [], 0
    for number, x, y, width, height in best.placements:
        row = instance["items"][number]
        assert sorted((width * 10, height * 10)) == sorted(row[:2])
        boxes.append((x, y, width, height))
        worth += row[value_column]
    assert comes_apart(boxes, (Fraction(0), Fraction(0), *sides))
    return worth


@pytest.mark.parametrize(
    ("instance", "turn", "optimum"),
    [
        pytest.param(one, turn, one[key]["optimum"], id=f"{one['name']}-{turn}")
        for one in LIMITED
        for turn, key in (("never", "fixed_orientation"), ("free", "rotation_allowed"))
        if key in one
    ],
)
def test_limited_numbers_of_weighted_pieces(instance, turn, optimum):
    items = instance["items"]
    most = [row[2] for row in items]
    best = best_sheet(
        rectangles(items),
        sheet_of(instance),
        values=[row[3] for row in items],
        at_most=most,
        turn=turn,
    )
    assert best.worth == optimum
    assert all(count <= limit for count, limit in zip(best.counts, most, strict=True))
    assert held(instance, best, 3) == optimum


@pytest.mark.parametrize("instance", LIMITED, ids=[one["name"] for one in LIMITED])
def test_two_stages(instance):
    """Strips in one direction, then pieces, trimming free; the better of the two directions."""
    known = instance["two_stage_fixed"]
    items = instance["items"]
    best = best_sheet(
        rectangles(items),
        sheet_of(instance),
        values=[row[3] for row in items],
        at_most=[row[2] for row in items],
        turn="never",
        stages=2,
    )
    strips = known["strips_span_first_dimension"], known["strips_span_second_dimension"]
    assert best.worth == max(strips)


@pytest.mark.parametrize("instance", UNLIMITED, ids=[one["name"] for one in UNLIMITED])
def test_any_number_as_listed(instance):
    values = [row[2] for row in instance["items"]]
    best = best_sheet(rectangles(instance["items"]), sheet_of(instance), values=values, turn="never")
    assert best.worth == instance["optimum_fixed"] == held(instance, best, 2)


@pytest.mark.parametrize("instance", FREE, ids=[one["name"] for one in FREE])
def test_any_number_turned(instance):
    values = [row[2] for row in instance["items"]]
    best = best_sheet(rectangles(instance["items"]), sheet_of(instance), values=values, turn="free")
    assert best.worth == instance["optimum_rotation"] == held(instance, best, 2)


def test_what_cannot_be_asked_is_refused():
    pieces = rectangles([[3, 4], [1, 1]])
    with pytest.raises(PlanError) as caught:
        best_sheet(pieces, "A4", values=[1], turn="sideways", stages=0)
    assert len(caught.value.faults) == 3
    with pytest.raises(PlanError, match="whole number"):
        best_sheet(pieces, "A4", values=[1, 2.5])


def test_a_piece_too_large_is_no_part_of_the_best_sheet():
    best = best_sheet(rectangles([[5000, 10], [10, 10]]), ("1 mm", "1 mm"), values=[100, 1])
    assert best == BestSheet(worth=1, counts=(0, 1), placements=((1, 0, 0, 1, 1),))
