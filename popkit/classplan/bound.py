"""What no plan can beat, in whole numbers.

Give every blank a value. A plan that meets the demand carries at least the values of all
the blanks wanted, and no sheet can carry more than its worth; so there must be enough sheets.
Any values give a true bound, and nothing here is rounded but in the safe direction.

Imports: numpy, classplan.board.
Source: Farley, Oper. Res. 38 (1990), a bound from any stage of column generation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from popkit.classplan.board import Problem

__all__ = ["Bound", "bound_from"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """A lower bound on the cost of every plan, and what it rests on.

    least   no plan costs less; a multiple of `step`
    step    what every cost is a multiple of
    share   no unlimited board is worth more than its cost times this
    extra   for each board how much its worth may exceed that (limited boards only)
    need    the values of all blanks wanted, less all the extra there is
    costs   of the boards
    """

    least: int
    step: int
    share: int
    extra: tuple[int, ...]
    need: int
    costs: tuple[int, ...]

    def budget(self, cost: int) -> int:
        """What all the sheets of a plan of this cost can fall short of full worth together."""
        return cost * self.share - self.need

    def floors(self, budget: int) -> list[int]:
        """For each board the worth below which one sheet alone overdraws the budget."""
        return [c * self.share + e - budget for c, e in zip(self.costs, self.extra, strict=True)]


def bound_from(problem: Problem, values: np.ndarray, worths: list[int]) -> Bound:
    """The bound that values of blanks and the worths of boards for them give.

    values  int64, >= 0
    worths  for each board a number that no layout of wanted blanks exceeds
    """
    boards = problem.boards
    costs = tuple(board.cost for board in boards)
    share = max(
        1,
        *(
            -(-worth // board.cost)
            for board, worth in zip(boards, worths, strict=True)
            if board.limit is None
        ),
    )
    extra = tuple(
        0 if board.limit is None else max(0, worth - board.cost * share)
        for board, worth in zip(boards, worths, strict=True)
    )
    need = sum(int(v) * blank.demand for v, blank in zip(values, problem.blanks, strict=True))
    need -= sum(more * (board.limit or 0) for board, more in zip(boards, extra, strict=True))
    step = problem.step
    least = max(0, -(-need // (share * step))) * step
    return Bound(least=least, step=step, share=share, extra=extra, need=need, costs=costs)
