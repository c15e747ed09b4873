"""The master problem: how many sheets to cut by each layout.

`Relaxed` is the linear programme that grows by columns and gives the values of blanks;
`whole_sheets` is the integer programme over a fixed list of layouts. Both are HiGHS; nothing
that is claimed as proved rests on its floating point alone, see `bound`.

Imports: numpy; highspy only when a programme is first built.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

__all__ = ["Relaxed", "Verdict", "fewest_layouts", "whole_sheets"]


def _quiet():
    """A HiGHS that prints nothing and gives the same answer on every run."""
    import highspy

    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 0)
    return solver


def _run(solver) -> None:
    """Solve; HiGHS keeps one pool of threads to a process, so a pool left over from somebody
    else's settings is put away first.
    """
    import highspy

    if solver.run() == highspy.HighsStatus.kError:
        highspy.Highs.resetGlobalScheduler(True)
        solver.run()


class Relaxed:
    """Least cost of layouts, fractions of a sheet allowed; columns are added as they come.

    demand  of each blank
    limits  for each board how many there are, or None
    """

    def __init__(self, demand: np.ndarray, limits: list[int | None]) -> None:
        import highspy

        self._inf = highspy.kHighsInf
        self._solver = _quiet()
        self._kinds = len(demand)
        self._row = {}
        for wanted in demand:
            self._solver.addRow(float(wanted), self._inf, 0, [], [])
        for number, limit in enumerate(limits):
            if limit is not None:
                self._row[number] = self._kinds + len(self._row)
                self._solver.addRow(-float(limit), self._inf, 0, [], [])

    def add(self, counts: np.ndarray, board: int, cost: int) -> None:
        """One more layout."""
        rows = np.flatnonzero(counts)
        values = counts[rows].astype(np.float64)
        if board in self._row:
            rows, values = np.append(rows, self._row[board]), np.append(values, -1.0)
        self._solver.addCol(float(cost), 0.0, self._inf, len(rows), rows.astype(np.int32), values)

    def solve(self) -> tuple[np.ndarray, dict[int, float], np.ndarray]:
        """The values of blanks, of each limited board, and the sheets by layout."""
        _run(self._solver)
        solution = self._solver.getSolution()
        dual = np.maximum(np.array(solution.row_dual), 0.0)
        limited = {number: float(dual[row]) for number, row in self._row.items()}
        return dual[: self._kinds], limited, np.array(solution.col_value)


def _programme(costs: np.ndarray, rows: np.ndarray, lower, upper, most) -> Any:
    """A HiGHS with the integer programme: least cost, lower <= rows x <= upper, 0 <= x <= most."""
    import highspy

    solver, model = _quiet(), highspy.HighsLp()
    model.num_row_, model.num_col_ = rows.shape
    model.col_cost_ = costs.astype(np.float64)
    model.col_lower_ = np.zeros(model.num_col_)
    model.col_upper_ = np.zeros(model.num_col_) + most
    model.row_lower_, model.row_upper_ = np.asarray(lower, float), np.asarray(upper, float)
    held = rows.T != 0
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = np.append(0, np.cumsum(held.sum(axis=1))).astype(np.int32)
    model.a_matrix_.index_ = np.nonzero(held)[1].astype(np.int32)
    model.a_matrix_.value_ = rows.T[held].astype(np.float64)
    model.integrality_ = [highspy.HighsVarType.kInteger] * model.num_col_
    solver.passModel(model)
    return solver


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What came of an integer programme.

    sheets  how many by each layout, int64, or None if no plan was found
    closed  whether the search ended by itself: the plan is the best there is of these
            layouts, or there is none within what was allowed
    """

    sheets: np.ndarray | None
    closed: bool


def whole_sheets(
    counts: np.ndarray,
    costs: np.ndarray,
    demand: np.ndarray,
    *,
    boards: np.ndarray | None = None,
    limits: dict[int, int] | None = None,
    at_most: int | None = None,
    good_enough: int | None = None,
    nodes: int | None = None,
    seconds: float | None = None,
    stop: Callable[[], bool] | None = None,
) -> Verdict:
    """The cheapest whole numbers of sheets that meet the demand.

    counts       (layouts, blanks)
    costs        of one sheet by each layout
    at_most      a plan that costs more is of no interest
    good_enough  a plan that costs no more ends the search
    nodes        how many branches to try before giving up
    """
    import highspy

    rows, lower, upper = [counts.T], [demand], [np.full(len(demand), np.inf)]
    if at_most is not None:
        rows.append(costs[None, :])
        lower.append([-np.inf])
        upper.append([at_most])
    for board, limit in (limits or {}).items():
        rows.append((boards == board)[None, :])
        lower.append([-np.inf])
        upper.append([limit])
    solver = _programme(
        costs, np.concatenate(rows), np.concatenate(lower), np.concatenate(upper), int(demand.sum())
    )
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.999)
    if good_enough is not None:
        solver.setOptionValue("objective_target", float(good_enough) + 1e-6)
    if nodes is not None:
        solver.setOptionValue("mip_max_nodes", nodes)
    if seconds is not None:
        solver.setOptionValue("time_limit", max(seconds, 0.01))
    if stop is not None:
        solver.cbMipInterrupt += lambda event: event.interrupt(bool(stop()))
    _run(solver)
    status = solver.getModelStatus()
    ended = highspy.HighsModelStatus
    if status == ended.kInfeasible:
        return Verdict(sheets=None, closed=True)
    info = solver.getInfo()
    sheets = None
    if info.primal_solution_status == 2:
        sheets = np.rint(np.array(solver.getSolution().col_value)).astype(np.int64)
        if (sheets @ counts < demand).any():
            sheets = None
    return Verdict(sheets=sheets, closed=status in (ended.kOptimal, ended.kObjectiveTarget))


def fewest_layouts(
    counts: np.ndarray,
    costs: np.ndarray,
    demand: np.ndarray,
    weights: np.ndarray,
    start: np.ndarray,
    *,
    boards: np.ndarray,
    limits: dict[int, int],
    nodes: int,
    seconds: float | None = None,
    stop: Callable[[], bool] | None = None,
) -> np.ndarray:
    """A plan of the same cost as `start` with the least weight of layouts that are used at all.

    weights  of each layout, a number > 0
    Returns: sheets by each layout, int64; `start` itself if nothing lighter is found.
    """
    import highspy

    layouts = len(counts)
    with np.errstate(divide="ignore"):
        most = np.ceil(np.where(counts > 0, demand / np.maximum(counts, 1), 0)).max(axis=1)
    most = np.maximum(np.minimum(most, start @ costs / costs), start)
    none = np.zeros((len(demand), layouts))
    rows = [np.hstack([counts.T, none]), np.hstack([costs[None, :], none[:1]])]
    rows.append(np.hstack([np.eye(layouts), -np.diag(most)]))
    lower = [demand, [-np.inf], np.full(layouts, -np.inf)]
    upper = [np.full(len(demand), np.inf), [start @ costs], np.zeros(layouts)]
    for board, limit in limits.items():
        rows.append(np.hstack([(boards == board)[None, :], none[:1]]))
        lower.append([-np.inf])
        upper.append([limit])
    solver = _programme(
        np.append(np.zeros(layouts), weights),
        np.concatenate(rows),
        np.concatenate(lower),
        np.concatenate(upper),
        np.append(most, np.ones(layouts)),
    )
    first = highspy.HighsSolution()
    first.col_value = np.append(start, start > 0).astype(float).tolist()
    solver.setSolution(first)
    solver.setOptionValue("mip_max_nodes", nodes)
    if seconds is not None:
        solver.setOptionValue("time_limit", max(seconds, 0.01))
    if stop is not None:
        solver.cbMipInterrupt += lambda event: event.interrupt(bool(stop()))
    _run(solver)
    if solver.getInfo().primal_solution_status != 2:
        return start
    sheets = np.rint(np.array(solver.getSolution().col_value)[:layouts]).astype(np.int64)
    short = (sheets @ counts < demand).any() or sheets @ costs > start @ costs
    over = any(sheets[boards == board].sum() > limit for board, limit in limits.items())
    lighter = weights[sheets > 0].sum() < weights[start > 0].sum()
    return sheets if lighter and not short and not over else start
