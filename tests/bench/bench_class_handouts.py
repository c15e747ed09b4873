"""How long a class takes, and how much memory. Run: pytest tests/bench/bench_class_handouts.py

Aims: 200 personal handouts under 10 s; the process under 500 MB at its highest.
"""

from __future__ import annotations

import resource

import pytest

import popkit as pk
from popkit.handout import handout_bytes, write_class
from popkit.roster import Roster, Student

STUDENTS = 200
RECIPE = pk.Recipe(
    title="Harbour lights",
    card=pk.Card(width="5 in", height="7 in", tiers=pk.stepped_tiers("7 in", 3), front=pk.ClearFront()),
    minutes=75,
)
PEOPLE = Roster(
    students=tuple(
        Student(name=f"Student {n}", unit=("in", "mm")[n % 2], large_print=n % 10 == 0)
        for n in range(STUDENTS)
    )
)


@pytest.mark.parametrize("edition", ["tutor", "worksheet", "answers"])
def test_one_of_each_edition_for_another_sheet(benchmark, edition: str) -> None:
    seeds = iter(range(10**6))
    assert benchmark(lambda: handout_bytes(RECIPE, edition=edition, seed=next(seeds)))


def test_a_class_of_200_personal_handouts(benchmark, tmp_path) -> None:
    """The files of the students, without the one of all of them."""

    def each() -> list:
        done = []
        return write_class(
            RECIPE, PEOPLE, tmp_path, done.append, lambda: len(done) == STUDENTS, edition="student"
        )

    paths = benchmark.pedantic(each, rounds=1, warmup_rounds=0)
    assert len(paths) == STUDENTS
    used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    benchmark.extra_info["megabytes at the highest"] = round(used)


def test_a_class_of_200_with_the_one_of_all(benchmark, tmp_path) -> None:
    paths = benchmark.pedantic(lambda: write_class(RECIPE, PEOPLE, tmp_path), rounds=1, warmup_rounds=0)
    assert len(paths) == STUDENTS + 1
    used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    benchmark.extra_info["megabytes at the highest"] = round(used)
