"""Problems too fine to be searched as they are: fewer places to cut, and a bound that still holds.

Pieces measured in millimetres and pieces measured in inches on one sheet have a common measure of
some hundredths of a millimetre, and nearly every mark of it is a sum of sides. Such a problem is
posed twice:

- to be searched, with some of the places to cut only. Blanks and boards keep their exact sizes; a
  plate that ends between two places counts as the smaller one, so every plan can be cut;
- for its bound, with blanks and boards rounded down to a coarse grid. Whatever fits a board as it is
  fits it rounded down, cut for cut, so no true plan costs less than the best one there.

Imports: numpy, classplan.board.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from popkit.classplan.board import Blank, Problem, common_measure, pose_problem, subset_sums

__all__ = ["Posed", "posed"]

_ROOM = 100_000_000  # sums that one look at every plate may take; beyond it a problem is too fine
_BOUND_ROOM = 2_500_000  # the same of the problem that its bound is taken from
_UNITS = 4_000_000  # grid units along a sheet, beyond which sums of sides are not even listed
_SUMS = 4_000  # sums of sides along a sheet, likewise
_PLACES = 160  # places to cut along each side that a problem too fine is left with
_GRIDS = [Fraction(1, 2), *(Fraction(2) ** n for n in range(12))]  # millimetres, of the bound
_INCH = Fraction(127, 5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Posed:
    """A problem to be searched, and what its bound rests on.

    search  every plan of it can be cut
    under   None where the bound of `search` holds; else a problem whose bound does
    """

    search: Problem
    under: Problem | None = None


def posed(
    turns: list[tuple[tuple[Fraction, Fraction], ...]],
    demand: list[int],
    sheets: list[tuple[Fraction, Fraction]],
    *,
    longest: Fraction | None = None,
    **terms,
) -> Posed:
    """The problem in whole numbers, as of `pose_problem`; with fewer places where it is too fine."""
    problem = pose_problem(turns, demand, sheets, longest=longest, **terms)
    if not _too_fine(problem):
        return Posed(search=problem)
    points = tuple(_places(problem, turns, demand, sheets, axis) for axis in (0, 1))
    return Posed(
        search=replace(problem, points=points), under=_under(problem, turns, demand, sheets, longest)
    )


def _too_fine(problem: Problem) -> bool:
    for axis in (0, 1):
        if max((board.width, board.height)[axis] for board in problem.boards) > _UNITS:
            return True
        if len(problem.sums(axis)) > _SUMS:
            return True
    return problem.work > _ROOM


def _places(
    problem: Problem,
    turns: list[tuple[tuple[Fraction, Fraction], ...]],
    demand: list[int],
    sheets: list[tuple[Fraction, Fraction]],
    axis: int,
) -> np.ndarray:
    """Sums of sides of one system of measures each, the sides themselves all among them.

    Strips of both systems side by side on a sheet lose nothing: what one leaves is rounded down to a
    sum of the other. Of very many sums some are taken, evenly.
    """
    tick = common_measure([turn[axis] for ways in turns for turn in ways])
    end = max(sheet[axis] for sheet in sheets)
    found = [np.zeros(1, dtype=np.int64)]
    for inches in (False, True):
        held = [
            (sorted({turn[axis] for turn in ways if turn[axis] <= end}), wanted)
            for ways, wanted in zip(turns, demand, strict=True)
            if all(_in_inches(side) for turn in ways for side in turn) == inches
        ]
        held = [(sides, wanted) for sides, wanted in held if sides]
        if held:
            found.append(_sums(held, end, tick))
    sides = {int(turn[axis] / tick) for ways in turns for turn in ways if turn[axis] <= end}
    sides |= {int(sheet[axis] // tick) for sheet in sheets} | {0}
    places = np.unique(np.concatenate([*found, np.array(sorted(sides), dtype=np.int64)]))
    if len(places) <= _PLACES:
        return places
    rest = np.setdiff1d(places, np.array(sorted(sides), dtype=np.int64))
    chosen = np.linspace(0, len(rest) - 1, max(1, _PLACES - len(sides))).round().astype(np.int64)
    return np.unique(np.concatenate([rest[chosen], np.array(sorted(sides), dtype=np.int64)]))


def _in_inches(side: Fraction) -> bool:
    """Whether a side in millimetres is a binary fraction of an inch."""
    under = (side / _INCH).denominator
    return under & (under - 1) == 0


def _sums(held: list[tuple[list[Fraction], int]], end: Fraction, tick: Fraction) -> np.ndarray:
    """Sums of the sides up to `end`, in ticks; of a measure too fine for that the sides alone."""
    own = common_measure([side for sides, _ in held for side in sides])
    if end // own > _UNITS:
        return np.array(sorted({int(side / tick) for sides, _ in held for side in sides}))
    sums = subset_sums([([int(side / own) for side in sides], n) for sides, n in held], int(end // own))
    return sums * int(own / tick)


def _under(
    problem: Problem,
    turns: list[tuple[tuple[Fraction, Fraction], ...]],
    demand: list[int],
    sheets: list[tuple[Fraction, Fraction]],
    longest: Fraction | None,
) -> Problem | None:
    """Blanks and boards rounded down to the finest grid that can be searched; None if none can.

    The part of a plate that is cut off and the part that is left, both rounded down, are never more
    than the plate rounded down, and no cut becomes longer. What a board can be cut to at all is
    taken from the exact sizes.
    """
    smallest = min(side for ways in turns for turn in ways for side in turn)
    for grid in _GRIDS:
        if grid > smallest:
            return None
        coarse = Problem(
            blanks=tuple(
                Blank(turns=tuple((int(w // grid), int(h // grid)) for w, h in ways), demand=wanted)
                for ways, wanted in zip(turns, demand, strict=True)
            ),
            boards=tuple(
                replace(board, width=int(width // grid), height=int(height // grid))
                for board, (width, height) in zip(problem.boards, sheets, strict=True)
            ),
            reach=None if longest is None else (int(longest // grid), int(longest // grid)),
            stages=problem.stages,
        )
        ends = [max(b.width for b in coarse.boards), max(b.height for b in coarse.boards)]
        if max(ends) <= _SUMS and coarse.work <= _BOUND_ROOM:
            return coarse
    return None
