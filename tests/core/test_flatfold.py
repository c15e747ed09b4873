"""The flat-folding checker, tried on what is known to fold, and on what is known not to."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import accumulate

import pytest

from tests.flatfold import (
    Line,
    folds_flat_at,
    folds_flat_round,
    kawasaki,
    maekawa,
    meeting,
    on_line,
    overlaps,
    vertices,
)

# Kawasaki's theorem, profilpelajar.com: the worked example,
# 90 - 45 + 22.5 - 22.5 + 45 - 90 + 22.5 - 22.5 = 0
PUBLISHED = (90, 45, 22.5, 22.5, 45, 90, 22.5, 22.5)


def star(angles, folds):
    """Creases from the origin with those angles between them."""
    directions = accumulate((0, *angles[:-1]))
    ends = [(math.cos(math.radians(at)), math.sin(math.radians(at))) for at in directions]
    return [Line((0, 0), end, fold) for end, fold in zip(ends, folds, strict=True)]


FIVE_AND_THREE = ("valley", "mountain") * 3 + ("valley", "valley")


def test_the_published_vertex_folds_flat():
    assert kawasaki(PUBLISHED)
    (rays,) = [
        rays for point, rays in vertices(star(PUBLISHED, FIVE_AND_THREE), []).items() if point == (0, 0)
    ]
    assert len(rays) == 8
    assert folds_flat_at(rays)


@pytest.mark.parametrize(
    "angles",
    [
        (90, 45, 22.5, 22.5, 45, 90, 22, 23),  # one crease half a degree out
        (90, 45, 22.5, 22.5, 45, 90, 45),  # one crease left out: an odd number
        (100, 80, 100, 80),
        (90, 90, 90, 80),  # not all the way round
    ],
)
def test_a_vertex_that_does_not_fold_flat_is_told(angles):
    assert not kawasaki(angles)


def test_four_square_creases_fold_flat_with_three_of_a_kind():
    """The map fold, from memory: four right angles, three valleys and a mountain."""
    for folds, flat in (
        (("valley", "valley", "valley", "mountain"), True),
        (("mountain", "mountain", "valley", "mountain"), True),
        (("valley", "mountain", "valley", "mountain"), False),
        (("valley", "valley", "valley", "valley"), False),
    ):
        assert maekawa(folds) is flat
        assert folds_flat_at(vertices(star((90,) * 4, folds), [])[(0, 0)]) is flat


def test_a_crease_that_stops_in_the_middle_of_the_sheet_is_a_vertex_that_does_not_fold():
    edge = [Line((0, 0), (0, 9)), Line((5, 0), (5, 9))]
    found = vertices([Line((0, 4), (3, 4), "valley")], edge)
    assert list(found) == [(3, 4)]
    assert not folds_flat_at(found[3, 4])
    assert vertices([Line((0, 4), (5, 4), "valley")], edge) == {}


def test_creases_that_cross_are_a_vertex():
    creases = [Line((0, 2), (4, 2), "valley"), Line((1, 0), (1, 4), "valley")]
    assert meeting(*creases) == (1, 2)
    rays = vertices(creases, [])[1, 2]
    assert [direction for direction, _ in rays] == [0, 90, 180, 270]
    assert not folds_flat_at(rays)  # all valleys: two sheets cannot both go inside


def test_lines_that_lie_on_each_other_overlap():
    a = Line((0, 1), (4, 1))
    for b, lies in (
        (Line((3, 1), (6, 1)), True),
        (Line((1, 1), (2, 1)), True),
        (Line((4, 1), (6, 1)), False),  # end to end
        (Line((5, 1), (6, 1)), False),
        (Line((0, 2), (4, 2)), False),
        (Line((2, 0), (2, 3)), False),
    ):
        assert bool(overlaps([a, b])) is lies
        assert bool(overlaps([b, a])) is lies
    assert on_line((Fraction(4), Fraction(1)), a)
    assert not on_line((Fraction(9, 2), Fraction(1)), a)


def a_step(edge: int = 8, foot: int = 12, edge_fold: str = "mountain"):
    """One step 4 wide in a sheet 10 wide, folded at 10: shelf 2, face 4."""
    creases = [
        Line((0, 10), (3, 10), "valley"),
        Line((7, 10), (10, 10), "valley"),
        Line((3, 6), (7, 6), "valley"),
        Line((3, edge), (7, edge), edge_fold),
        Line((3, foot), (7, foot), "valley"),
    ]
    return creases, [Line((3, 6), (3, 12)), Line((7, 6), (7, 12))]


def test_the_box_step_of_every_first_workshop_folds_flat():
    """common practice, no source: shelf and face of a step are the foot's and the back's lengths."""
    creases, slits = a_step()
    assert all(folds_flat_round(creases, slit) for slit in slits)
    edges = [Line((0, 0), (0, 20)), Line((10, 0), (10, 20))]
    assert vertices(creases, [*slits, *edges]) == {}


@pytest.mark.parametrize("wrong", [{"edge": 9}, {"foot": 11}, {"edge_fold": "valley"}])
def test_a_step_with_one_crease_wrong_does_not_fold_flat(wrong):
    creases, slits = a_step(**wrong)
    assert not any(folds_flat_round(creases, slit) for slit in slits)


def test_a_step_with_no_crease_at_its_foot_does_not_fold_flat():
    creases, slits = a_step()
    assert not folds_flat_round(creases[:-1], slits[0])
