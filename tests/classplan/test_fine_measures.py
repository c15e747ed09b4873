"""Problems too fine to be searched as they are: plans still exact, bounds still true."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from popkit.classplan import coarse
from popkit.classplan.plan import plan_sheets
from popkit.classplan.replay import replay
from popkit.lengths import Q
from popkit.pieces import Piece

DATA = Path(__file__).parents[1] / "data" / "guillotine" / "class_instances.json"
INSTANCES = json.loads(DATA.read_text(encoding="utf-8"))["instances"]


@pytest.fixture
def nothing_is_too_coarse(monkeypatch):
    """Every problem is taken for one that is too fine, and few places are left to it."""
    monkeypatch.setattr(coarse, "_ROOM", 0)
    monkeypatch.setattr(coarse, "_PLACES", 40)


@pytest.mark.parametrize("instance", INSTANCES[::2], ids=[one["id"] for one in INSTANCES[::2]])
def test_with_fewer_places_the_proved_count_lies_between_bound_and_plan(instance, nothing_is_too_coarse):
    """Source: tests/data/guillotine/class_instances.json, counts proved by a separate program."""
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
    plan = plan_sheets(
        pieces,
        students=instance["students"],
        sheet=tuple(Q(Fraction(side), "inch") for side in instance["sheet_in"]),
        turn={"grain": "grain", "rot": "free"}[instance["rotation"]],
        seconds=3,
    )
    assert replay(plan) == ()
    assert plan.bound <= instance["optimum"] <= plan.sheets


side = st.integers(20, 120)


@given(
    kit=st.lists(st.tuples(side, side, st.integers(1, 3)), min_size=1, max_size=3),
    longest=st.sampled_from([None, "160 mm"]),
    stages=st.sampled_from([None, 2]),
)
def test_bounds_with_and_without_fewer_places_agree(kit, longest, stages):
    """Two ways to the same number: neither bound may pass the other's plan."""
    pieces = [
        Piece(name=f"{n}", width=f"{min(w, 109)} mm", length=f"{min(h, 109)} mm", count=count)
        for n, (w, h, count) in enumerate(kit)
    ]
    terms = {"students": 2, "sheet": ("150 mm", "200 mm"), "longest_cut": longest, "stages": stages}
    exact = plan_sheets(pieces, **terms, tidy=False)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(coarse, "_ROOM", 0)
        patch.setattr(coarse, "_PLACES", 20)
        fewer = plan_sheets(pieces, **terms, tidy=False)
    assert replay(fewer) == ()
    assert fewer.bound <= exact.sheets
    assert exact.bound <= fewer.sheets
