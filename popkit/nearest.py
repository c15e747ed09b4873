"""Whole numbers near given fractions, under linear laws: first the worst shift, then the sum.

A `Programme` knows nothing of cards. The least worst shift is found and proved by an exact
search in whole numbers; the least sum of shifts, and which of several equals to take, by the
integer solver HiGHS, whose answers are checked in whole numbers before they are believed.

Imports: nothing of popkit. highspy and numpy only when solving.
Source of the method: bounds propagation and depth-first search, and mixed-integer programming,
as any textbook of the field has them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

__all__ = [
    "FAR",
    "Answer",
    "Mark",
    "Programme",
    "Row",
    "TooMany",
    "any_point",
    "optimum",
    "solve",
]

Row = tuple[tuple[tuple[int, int], ...], int, int]
"""((column, times), ...), least, most: whole numbers."""

FAR = 10**9
"""The `most` of a row that has none."""


@dataclass(frozen=True)
class Mark:
    """A fraction that a sum of columns should be near.

    terms   ((column, times), ...)
    exact   the fraction
    weight  how often its shift counts in the total
    """

    terms: tuple[tuple[int, int], ...]
    exact: Fraction
    weight: int

    @cached_property
    def floor(self) -> int:
        """The whole number at or below it."""
        return math.floor(self.exact)

    def at(self, values: Sequence[int]) -> int:
        """Where these whole values put it."""
        return sum(times * values[column] for column, times in self.terms)

    def within(self, worst: Fraction, strict: bool = False) -> tuple[int, int]:
        """The first and last whole number no further than `worst` (or nearer than it)."""
        if strict:
            return math.floor(self.exact - worst) + 1, math.ceil(self.exact + worst) - 1
        return math.ceil(self.exact - worst), math.floor(self.exact + worst)

    def lines(self) -> list[tuple[Fraction, Fraction]]:
        """(slope, height at 0) of lines whose maximum is |n - exact| at every whole n.

        Without the middle one the relaxation would think every mark could be met exactly.
        """
        part = self.exact - self.floor
        ends = [(Fraction(-1), self.exact), (Fraction(1), -self.exact)]
        if part:
            slope = 1 - 2 * part
            ends.append((slope, part - slope * self.floor))
        return ends


@dataclass(frozen=True, slots=True)
class Programme:
    """Whole columns between bounds, rows over them, and marks to stay near.

    low, high  of each column
    rows       sums of columns that must lie between two whole numbers
    marks      sums of columns that should be near a fraction
    exact      what the first columns would be if they need not be whole, for the tie-break
    first      columns that the tie-break moves least of all
    """

    low: tuple[int, ...]
    high: tuple[int, ...]
    rows: tuple[Row, ...]
    marks: tuple[Mark, ...]
    exact: tuple[Fraction, ...]
    first: tuple[int, ...]

    def keeps(self, values: Sequence[int]) -> bool:
        """Whether whole values satisfy every bound and row, in whole numbers."""
        return all(
            low <= value <= high for value, low, high in zip(values, self.low, self.high, strict=True)
        ) and all(
            least <= sum(times * values[column] for column, times in terms) <= most
            for terms, least, most in self.rows
        )

    def worst(self, values: Sequence[int]) -> Fraction:
        """The largest shift of any mark."""
        return max((abs(mark.at(values) - mark.exact) for mark in self.marks), default=Fraction(0))

    @property
    def alone(self) -> Fraction:
        """The worst shift if every mark could go to its own nearest place: a lower bound."""
        return max((abs(round(mark.exact) - mark.exact) for mark in self.marks), default=Fraction(0))

    def near(self, worst: Fraction, strict: bool = False) -> tuple[Row, ...]:
        """The rows, and one for each mark that keeps it within `worst`."""
        return self.rows + tuple((mark.terms, *mark.within(worst, strict)) for mark in self.marks)


def tighten(rows: Sequence[Row], low: list[int], high: list[int]) -> bool:
    """Narrow the bounds until no row narrows them further. False if nothing is left."""
    changed = True
    while changed:
        changed = False
        for terms, least, most in rows:
            small = large = 0
            for column, times in terms:
                if times > 0:
                    small += times * low[column]
                    large += times * high[column]
                else:
                    small += times * high[column]
                    large += times * low[column]
            if small > most or large < least:
                return False
            if small >= least and large <= most:
                continue
            for column, times in terms:
                here, there = low[column], high[column]
                if times > 0:
                    top = here + (most - small) // times
                    bottom = there - (large - least) // times
                else:
                    top = here + (large - least) // -times
                    bottom = there - (most - small) // -times
                if bottom > here or top < there:
                    here, there = max(here, bottom), min(there, top)
                    if here > there:
                        return False
                    # The row's own span moves with the bound; refresh it before the next column.
                    if times > 0:
                        small += times * (here - low[column])
                        large -= times * (high[column] - there)
                    else:
                        small -= times * (high[column] - there)
                        large += times * (here - low[column])
                    low[column], high[column] = here, there
                    changed = True
    return True


class TooMany(Exception):
    """The exact search has looked at as many cases as it may."""


def any_point(programme: Programme, rows: Sequence[Row], cases: int = 20_000) -> list[int] | None:
    """Whole values that satisfy the rows, or None if there are none: an exact search.

    Raises: TooMany after so many cases.
    """
    stack = [(list(programme.low), list(programme.high))]
    for case in range(cases):
        # A search that drags on is mostly one that will find nothing; ask for a short proof of it.
        if not stack or (case == _PATIENCE and _empty(rows, programme.low, programme.high)):
            return None
        low, high = stack.pop()
        if not tighten(rows, low, high):
            continue
        widths = [there - here for here, there in zip(low, high, strict=True)]
        if not any(widths):
            return low
        column = min((width, place) for place, width in enumerate(widths) if width)[1]
        middle = (low[column] + high[column]) // 2
        upper, lower = list(low), list(high)
        upper[column], lower[column] = middle + 1, middle
        stack += [(upper, high), (low, lower)]
    raise TooMany


_PATIENCE = 100


def _empty(rows: Sequence[Row], low: Sequence[int], high: Sequence[int]) -> bool:
    """Whether some sum of the rows, each so many times, is more than the bounds allow.

    The solver proposes how many times to take each row; the sum is then worked out in fractions,
    so True is a proof. False proves nothing.
    Source: Farkas' lemma.
    """
    count = len(low)
    loose: list[tuple[Sequence[tuple[int, float]], float, float]] = []
    for terms, least, most in rows:  # how far must every row give way until all can hold?
        loose.append(([*terms, (count, 1.0)], least, math.inf))
        if most < FAR:
            loose.append(([*terms, (count, -1.0)], -math.inf, most))
    solver = _solved([0.0] * count + [1.0], [*low, 0.0], [*high, math.inf], 0, loose)
    if solver is None:
        return False
    total, needed = [Fraction(0)] * count, Fraction(0)
    for (terms, least, most), dual in zip(loose, solver.getSolution().row_dual, strict=True):
        times = Fraction(dual).limit_denominator(1000)
        limit = least if times > 0 else most
        if times == 0 or math.isinf(limit):
            continue
        needed += times * limit
        for column, often in terms[:-1]:
            total[column] += times * often
    reached = sum(
        times * (high[column] if times > 0 else low[column]) for column, times in enumerate(total)
    )
    return reached < needed


def _solved(
    costs: Sequence[float],
    low: Sequence[float],
    high: Sequence[float],
    whole: int,
    rows: Sequence[tuple[Sequence[tuple[int, float]], float, float]],
) -> object | None:
    """HiGHS after it has solved; None if nothing satisfies the rows."""
    import highspy
    import numpy as np

    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(costs), len(rows)
    model.col_cost_ = np.array(costs, dtype=float)
    model.col_lower_, model.col_upper_ = np.array(low, dtype=float), np.array(high, dtype=float)
    model.row_lower_ = np.array([row[1] for row in rows], dtype=float)
    model.row_upper_ = np.array([row[2] for row in rows], dtype=float)
    if whole:
        kinds = highspy.HighsVarType
        model.integrality_ = [kinds.kInteger] * whole + [kinds.kContinuous] * (len(costs) - whole)
    matrix = model.a_matrix_
    matrix.format_ = highspy.MatrixFormat.kRowwise
    matrix.start_ = np.cumsum([0, *(len(row[0]) for row in rows)], dtype=np.int32)
    matrix.index_ = np.array([column for row in rows for column, _ in row[0]], dtype=np.int32)
    matrix.value_ = np.array([times for row in rows for _, times in row[0]], dtype=float)
    solver = highspy.Highs()
    for option, value in (
        ("output_flag", False),
        ("threads", 1),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 0.0),
    ):
        solver.setOptionValue(option, value)
    solver.passModel(model)
    solver.run()
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return None
    if status != highspy.HighsModelStatus.kOptimal:
        raise RuntimeError(f"HiGHS stopped without an answer: {solver.modelStatusToString(status)}")
    return solver


def solve(
    costs: Sequence[float],
    low: Sequence[float],
    high: Sequence[float],
    whole: int,
    rows: Sequence[tuple[Sequence[tuple[int, float]], float, float]],
) -> tuple[list[int], float] | None:
    """The first `whole` columns, whole numbers, where all columns together cost least; by HiGHS.

    costs, low, high  one for each column
    rows              ((column, times), ...), least, most
    Returns: with them the solver's lower bound on the cost; None if nothing satisfies the rows.
    """
    solver = _solved(costs, low, high, whole, rows)
    if solver is None:
        return None
    values = [round(value) for value in solver.getSolution().col_value[:whole]]
    return values, solver.getInfo().mip_dual_bound


@dataclass(frozen=True, slots=True)
class Answer:
    """The best whole values of a programme.

    values  one for each column
    worst   the largest shift of any mark
    total   the sum of the shifts, each mark counted as often as it is made
    bound   no values that keep the rows have a smaller worst shift: proved in whole numbers
    proved  `worst` equals `bound`, and HiGHS closed the gap of the total
    """

    values: list[int]
    worst: Fraction
    total: Fraction
    bound: Fraction
    proved: bool


def optimum(programme: Programme) -> Answer | None:
    """Least worst shift, then least total, then the tie-break. None if no card keeps the rows."""
    try:
        found = _least_worst(programme)
    except TooMany:
        found = _least_worst_by_solver(programme)
    if found is None:
        return None
    values, bound = found
    worst = programme.worst(values)
    better = _least_total(programme, worst)
    proved = bound == worst and better is not None
    values = values if better is None else better
    total = sum(mark.weight * abs(mark.at(values) - mark.exact) for mark in programme.marks)
    return Answer(values, worst, total, bound, proved and programme.keeps(values))


def _least_worst(programme: Programme) -> tuple[list[int], Fraction] | None:
    """Whole values with the least worst shift, and that shift, all in whole numbers.

    Halves the span between what cannot be and what can, then asks until nothing is nearer.
    Raises: TooMany.
    """
    values = any_point(programme, programme.rows)
    if values is None:
        return None
    # No mark alone comes nearer than its nearest; that is very often the answer.
    least = programme.alone
    for share in (0, *[Fraction(1, 2)] * 6):
        most = programme.worst(values)
        if most == least:
            return values, most
        middle = least + share * (most - least)
        nearer = any_point(programme, programme.near(middle))
        if nearer is not None:
            values = nearer
        else:
            least = middle
    while True:
        most = programme.worst(values)
        nearer = any_point(programme, programme.near(most, strict=True))
        if nearer is None:
            return values, most
        values = nearer


def _least_worst_by_solver(programme: Programme) -> tuple[list[int], Fraction] | None:
    """As `_least_worst` by HiGHS, for a card with too many cases to search.

    Returns: with the bound that needs no proof, how near each mark could come alone.
    """
    count = len(programme.low)
    rows: list = list(programme.rows)
    for mark in programme.marks:
        for slope, height in mark.lines():
            terms = [(column, float(-slope * times)) for column, times in mark.terms]
            rows.append(([(count, 1.0), *terms], float(height), math.inf))
    found = solve([0.0] * count + [1.0], [*programme.low, 0.0], [*programme.high, math.inf], count, rows)
    if found is None:
        return None
    values = found[0]
    if not programme.keeps(values):
        raise RuntimeError("HiGHS answered with a card that does not keep the laws")
    return values, programme.alone


def _least_total(programme: Programme, worst: Fraction) -> list[int] | None:
    """Whole values with the least sum of shifts among those within `worst`, ties broken.

    Returns: None if HiGHS cannot close the gap.
    """
    low, high = list(programme.low), list(programme.high)
    rows = programme.near(worst)
    if not tighten(rows, low, high):
        return None
    if low == high:
        return low
    count = len(low)
    scale = math.lcm(*(mark.exact.denominator for mark in programme.marks), 1)
    scale = min(scale, 10**6)
    costs = _Costs(count, low, high)
    for mark in programme.marks:
        costs.add(mark, mark.weight * scale)
    found = solve(costs.columns, costs.low, costs.high, count, [*rows, *costs.rows])
    if found is None:
        return None
    values = found[0]

    def total(values: list[int]) -> Fraction:
        return scale * sum(mark.weight * abs(mark.at(values) - mark.exact) for mark in programme.marks)

    least = total(values)
    if not programme.keeps(values) or least - Fraction(found[1] + costs.constant) >= 1:
        return None
    # Ties: the first columns nearest to what they were, then all columns, then even marks where
    # two are as near. Each weighs more than all that come after it.
    ties = _Costs(count, low, high, offset=len(costs.columns) - count)
    halves = [mark for mark in programme.marks if mark.exact.denominator == 2]
    fine = min(scale, 1000)
    each = len(halves) + 1
    for column, exact in enumerate(programme.exact):
        if high[column] > low[column]:
            whole = 16 * count * fine if column in programme.first else 1
            ties.add(Mark(((column, 1),), exact, 1), each * whole * fine)
    for mark in halves:
        ties.prefer_even(mark)
    if not any(ties.columns):
        return values
    extra = len(costs.columns) - count
    cap = [(column, cost) for column, cost in enumerate(costs.columns) if cost]
    again = solve(
        [*ties.columns[:count], *[0.0] * extra, *ties.columns[count:]],
        [*costs.low, *ties.low[count:]],
        [*costs.high, *ties.high[count:]],
        count,
        [*rows, *costs.rows, *ties.rows, (cap, -math.inf, float(least) - costs.constant + 0.5)],
    )
    if again is None:
        return values
    other = again[0]
    return other if programme.keeps(other) and total(other) == least else values


class _Costs:
    """Shifts as linear costs: straight on the columns where a mark has two places to go, else
    through a column of its own that lies above the lines of its shift.
    """

    def __init__(self, count: int, low: list[int], high: list[int], offset: int = 0) -> None:
        self.columns = [0.0] * count
        self.low: list[float] = list(low)
        self.high: list[float] = list(high)
        self.rows: list = []
        self.constant = 0.0
        self._offset = offset

    def add(self, mark: Mark, weight: int) -> None:
        """Add `weight` times the shift of a mark."""
        first = sum(t * (self.low[c] if t > 0 else self.high[c]) for c, t in mark.terms)
        last = sum(t * (self.high[c] if t > 0 else self.low[c]) for c, t in mark.terms)
        if first >= mark.floor and last <= mark.floor + 1:
            slope, height = mark.lines()[-1]
            if mark.exact.denominator == 1 and last == mark.floor:
                return
            self._linear(mark, weight * slope, weight * height)
            return
        column = len(self.columns) + self._offset
        self.columns.append(float(weight))
        self.low.append(0.0)
        self.high.append(math.inf)
        for slope, height in mark.lines():
            terms = [(place, float(-slope * times)) for place, times in mark.terms]
            self.rows.append(([(column, 1.0), *terms], float(height), math.inf))

    def prefer_even(self, mark: Mark) -> None:
        """Add 1 where a mark that lies half way goes to the odd one."""
        slope = -1 if mark.floor % 2 else 1
        self._linear(mark, Fraction(slope), Fraction(-slope * mark.floor))

    def _linear(self, mark: Mark, slope: Fraction, height: Fraction) -> None:
        for column, times in mark.terms:
            self.columns[column] += float(slope * times)
        self.constant += float(height)
