"""The search for the fewest sheets: columns, bound, whole numbers, and closing the gap.

1. Columns: the relaxed master gives values to blanks, `pricing` finds layouts worth more than
   a sheet costs, until there are none. The work does not grow with the class.
2. Those values give a bound in whole numbers.
3. The integer master over the layouts found gives a plan, as a rule at the bound.
4. For small classes, plans made piece by piece add layouts that count every blank.
5. If the bound is still not met, all layouts are listed that a plan at the bound could use,
   nearest to full worth first; the integer master over them finds such a plan or, once the
   list is complete, shows that there is none, and the bound goes up a step.

Efforts are counted in steps, not seconds, and nothing looks at a clock unless asked to: the
same input gives the same plan on every machine.

Imports: numpy, classplan.board, .bound, .construct, .cover, .listing, .master, .pricing.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from popkit.classplan.board import Problem
from popkit.classplan.bound import Bound, bound_from
from popkit.classplan.construct import constructed, filled
from popkit.classplan.cover import cover
from popkit.classplan.listing import Listing, TooMany, list_layouts
from popkit.classplan.master import Relaxed, Verdict, whole_sheets
from popkit.classplan.pricing import Prices, Tree, count_blanks

__all__ = ["Outcome", "Pool", "solve"]

_LABELS = 1_500_000  # half-finished layouts in one listing
_ALL_LABELS = 5_000_000  # and in all of them
_NODES = 200  # branches of an integer programme that only looks for a better plan
_LAST_NODES = 5_000  # and of one that is to settle the question
_COLUMNS = 2_500  # layouts in an integer programme that only looks for a better plan
_SUMS = 10_000_000  # the largest cost whose sums are worked out
_IN_HASTE = 200  # pieces of a plan made piece by piece when there is no time
_HASTY_RUNS = 6  # and how many such plans
_COMPARED = 3_000_000_000  # counts compared when few sheets are tried one by one


class _Stopped(Exception):
    """The caller asked to stop, or time is up."""


@dataclass(slots=True)
class _Clock:
    """Whether to go on."""

    stop: Callable[[], bool] | None = None
    until: float | None = None

    def over(self) -> bool:
        return (self.stop is not None and bool(self.stop())) or (
            self.until is not None and time.monotonic() > self.until
        )

    def tick(self) -> None:
        if self.over():
            raise _Stopped

    def left(self) -> float | None:
        return None if self.until is None else self.until - time.monotonic()


@dataclass(slots=True)
class Pool:
    """Layouts known so far, no two alike.

    counts  of each, no blank counted oftener than it is wanted
    boards  the number of the board of each
    """

    problem: Problem
    counts: list[np.ndarray] = field(default_factory=list)
    boards: list[int] = field(default_factory=list)
    _trees: list[Tree | Callable[[], Tree]] = field(default_factory=list)
    _known: dict[tuple[int, bytes], int] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.counts)

    def add(self, counts: np.ndarray, board: int, tree: Tree | Callable[[], Tree]) -> int:
        """Take a layout in, unless it is known. Returns its number."""
        counts = np.minimum(counts, self.problem.demand)
        key = (board, counts.tobytes())
        if key not in self._known:
            self._known[key] = len(self.counts)
            self.counts.append(counts)
            self.boards.append(board)
            self._trees.append(tree)
        return self._known[key]

    def add_listing(self, found: Listing) -> list[int]:
        """Take in every layout of a listing. Returns their numbers."""
        return [
            self.add(found.counts[k], int(found.boards[k]), lambda k=k: found.tree(k))
            for k in range(len(found))
        ]

    def tree(self, number: int) -> Tree:
        """How a layout is cut; it may hold more of a blank than is counted."""
        tree = self._trees[number]
        return tree() if callable(tree) else tree

    def arrays(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Counts (layouts, blanks), boards and costs, int64."""
        boards = np.array(self.boards, dtype=np.int64)
        costs = np.array([board.cost for board in self.problem.boards], dtype=np.int64)
        return np.array(self.counts, dtype=np.int64), boards, costs[boards]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What the search came to.

    sheets  of each layout in `pool`, int64
    cost    of all of them
    least   no plan costs less
    values  of the blanks, and the bound they give: what `least` first rested on
    proof   "bound" (by values in whole numbers alone), "search" (every layout that a
            cheaper plan could use was listed, and none of their sums will do), or ""
    """

    pool: Pool
    sheets: np.ndarray
    cost: int
    least: int
    values: np.ndarray
    bound: Bound | None
    proof: str


class _Search:
    """One problem, what is known of it, and the best plan so far."""

    def __init__(
        self,
        problem: Problem,
        clock: _Clock,
        report: Callable[[str, int | None, int], None],
        unit: int,
    ) -> None:
        self.problem, self.clock, self._report, self.unit = problem, clock, report, unit
        # Worths must stay below 2**53, where whole numbers in floating point end.
        self.one = min(10**9, 4 * 10**15 // max(board.cost for board in problem.boards))
        self.pool = Pool(problem)
        self.limits = {n: b.limit for n, b in enumerate(problem.boards) if b.limit is not None}
        self.kinds = len(problem.blanks)
        self.area = np.array([b.turns[0][0] * b.turns[0][1] for b in problem.blanks], dtype=float)
        self.bound: Bound | None = None
        self.values = np.zeros(self.kinds, dtype=np.int64)
        self.least = 0
        self.searched = False
        self.relaxed = False
        self.known = 0  # no plan costs less, whatever comes of the search
        self.sums: int | None = None  # the costs that can be had, one bit each
        self.best = np.zeros(0, dtype=np.int64)
        self.cost: int | None = None

    @property
    def done(self) -> bool:
        return self.cost is not None and self.cost <= max(self.least, self.known)

    @property
    def good_enough(self) -> bool:
        return self.cost is not None and self.cost // self.unit <= self.least // self.unit

    def report(self, phase: str) -> None:
        self._report(phase, self.cost, self.least)

    # Plans ----------------------------------------------------------------------

    def offer(self, sheets: np.ndarray) -> None:
        """Keep a plan if it meets the demand for less than the one we have."""
        counts, boards, costs = self.pool.arrays()
        sheets = np.append(sheets, np.zeros(len(counts) - len(sheets), dtype=np.int64))
        if (sheets < 0).any() or (sheets @ counts < self.problem.demand).any():
            return
        if any(int(sheets[boards == n].sum()) > limit for n, limit in self.limits.items()):
            return
        cost = int(sheets @ costs)
        if self.cost is None or cost < self.cost:
            self.best, self.cost = sheets, cost

    def complete(self, sheets: np.ndarray) -> None:
        """Bring a plan up to the demand with whatever layout helps most for its cost."""
        counts, boards, costs = self.pool.arrays()
        sheets = np.append(sheets, np.zeros(len(counts) - len(sheets), dtype=np.int64))
        left = np.maximum(self.problem.demand - sheets @ counts, 0)
        free = np.array([self.problem.boards[b].limit is None for b in boards])
        while left.any():
            gain = np.where(free, np.minimum(counts, left) @ self.area / costs, -1.0)
            k = int(gain.argmax())
            held = counts[k] > 0
            times = max(1, int((left[held] // counts[k][held]).min()))
            sheets[k] += times
            left = np.maximum(left - times * counts[k], 0)
        self.offer(sheets)

    def master(self, demand: np.ndarray, rows: np.ndarray, **more) -> Verdict:
        """The integer master over some of the layouts known."""
        self.clock.tick()
        counts, boards, costs = self.pool.arrays()
        return whole_sheets(
            counts[rows],
            costs[rows],
            demand,
            boards=boards[rows],
            seconds=self.clock.left(),
            stop=self.clock.over,
            **({"limits": self.limits, "nodes": _NODES} | more),
        )

    def mix(self) -> None:
        """Offer the best whole numbers of the layouts known.

        A layout so far from full worth that it alone would overdraw the budget of a better
        plan is left out, and of very many only the nearest to full worth are tried.
        """
        counts, boards, costs = self.pool.arrays()
        rows, more = np.arange(len(counts)), {}
        if self.cost is not None:
            more["at_most"] = self.cost - self.problem.step
            loss = self.loss(counts, boards, costs)
            rows = np.flatnonzero(loss <= self.bound.budget(more["at_most"]))
            if len(rows) > _COLUMNS:
                rows = np.sort(rows[np.argsort(loss[rows], kind="stable")[:_COLUMNS]])
        if not len(rows):
            return
        verdict = self.master(self.problem.demand, rows, good_enough=self.least, **more)
        if verdict.sheets is not None:
            sheets = np.zeros(len(counts), dtype=np.int64)
            sheets[rows] = verdict.sheets
            self.offer(sheets)

    def loss(self, counts: np.ndarray, boards: np.ndarray, costs: np.ndarray) -> np.ndarray:
        """How far each layout is from full worth, in the values of the bound."""
        return costs * self.bound.share + np.array(self.bound.extra)[boards] - counts @ self.values

    def mix_rest(self, sure: np.ndarray) -> None:
        """Take the sheets that are sure as given and mix only the rest of a large class."""
        _, boards, costs = self.pool.arrays()
        counts = np.array(self.pool.counts)
        verdict = self.master(
            np.maximum(self.problem.demand - sure @ counts, 0),
            np.arange(len(counts)),
            good_enough=self.least - int(sure @ costs),
            limits={n: limit - int(sure[boards == n].sum()) for n, limit in self.limits.items()},
        )
        if verdict.sheets is not None:
            self.offer(sure + verdict.sheets)

    def holds(self, board: int, blank: int, turn: int) -> bool:
        """Whether a board can be cut to a blank lying so."""
        problem = self.problem
        i, j = problem.at(problem.boards[board])
        w, h = problem.least_plate(blank, turn)
        number: int | None = problem.tops[board][0]
        while number is not None:
            layer = problem.layers[number]
            inside = layer.xs[0] <= w < layer.xs[1] and layer.ys[0] <= h < layer.ys[1]
            if (number == 0 or (blank, turn) in layer.uncut) and inside and w <= i and h <= j:
                return True
            number = layer.below
        return False

    def singles(self) -> None:
        """The plainest layouts, one blank to a sheet: there is always some plan."""
        for board in range(len(self.problem.boards)):
            for blank in range(self.kinds):
                for turn in range(len(self.problem.blanks[blank].turns)):
                    if self.holds(board, blank, turn):
                        tree = ("-", blank, turn)
                        self.pool.add(count_blanks(tree, self.kinds), board, tree)
        self.complete(np.zeros(len(self.pool), dtype=np.int64))

    def construct(self, runs: int) -> None:
        """Plans made piece by piece, on every board that alone could do."""
        problem = self.problem
        for number, board in enumerate(problem.boards):
            fits_all = all(
                any(self.holds(number, blank, turn) for turn in range(len(problem.blanks[blank].turns)))
                for blank in range(self.kinds)
            )
            if board.form != "free" or board.limit is not None or not fits_all:
                continue
            for trees in constructed(problem, number, runs):
                self.clock.tick()
                chosen = [self.pool.add(count_blanks(tree, self.kinds), number, tree) for tree in trees]
                if self.cost is None or len(trees) * board.cost < self.cost:
                    sheets = np.zeros(len(self.pool), dtype=np.int64)
                    np.add.at(sheets, chosen, 1)
                    self.offer(sheets)
                if self.done:
                    return

    def in_haste(self) -> None:
        """A plan for somebody who will not wait: sheets filled with one blank each, and a few plans made
        piece by piece for a part of the class, taken as often as the class has parts.
        """
        problem = self.problem
        for number, board in enumerate(problem.boards):
            if board.form != "free" or board.limit is not None:
                continue
            for blank in range(self.kinds):
                for turn in range(len(problem.blanks[blank].turns)):
                    if self.holds(number, blank, turn):
                        tree = filled(problem, number, blank, turn)
                        self.pool.add(count_blanks(tree, self.kinds), number, tree)
        self.complete(np.zeros(len(self.pool), dtype=np.int64))
        parts = -(-int(problem.demand.sum()) // _IN_HASTE)
        blanks = tuple(replace(blank, demand=-(-blank.demand // parts)) for blank in problem.blanks)
        few = _Search(replace(problem, blanks=blanks), _Clock(), self._report, self.unit)
        few.construct(_HASTY_RUNS)
        sheets = np.zeros(len(self.pool), dtype=np.int64)
        for number, count in zip(few.best.nonzero()[0], few.best[few.best > 0], strict=True):
            place = self.pool.add(
                few.pool.counts[number], few.pool.boards[number], few.pool.tree(number)
            )
            sheets = np.append(sheets, np.zeros(len(self.pool) - len(sheets), dtype=np.int64))
            sheets[place] += count * parts
        self.offer(sheets)

    # Columns and bound ----------------------------------------------------------

    def relax(self) -> np.ndarray:
        """Columns until none is missing. A layout may hold a blank oftener than it is wanted,
        so the answer scales with the class.

        Returns: the sheets of the relaxed plan rounded down, for each layout in the pool.
        """
        problem = self.problem
        master = Relaxed(problem.demand, [board.limit for board in problem.boards])
        columns: list[int] = []
        seen = set()

        def take(trees: list[Tree], board: int) -> bool:
            new = False
            for tree in trees:
                counts = count_blanks(tree, self.kinds)
                key = (board, counts.tobytes())
                if counts.any() and key not in seen:
                    seen.add(key)
                    columns.append(self.pool.add(counts, board, tree))
                    master.add(counts, board, problem.boards[board].cost)
                    new = True
            return new

        for number in range(len(self.pool)):
            take([self.pool.tree(number)], self.pool.boards[number])
        fullest = max(b.width * b.height / b.cost for b in problem.boards)
        for tilt in (1.0, 0.9, 1.1, 0.8):
            self.clock.tick()
            prices = self._priced(np.floor(self.one * (self.area / fullest) ** tilt).astype(np.int64))
            for board in range(len(problem.boards)):
                take(prices.several(board, 0, 6), board)
        new = True
        while new:
            self.clock.tick()
            dual, extra, shares = master.solve()
            prices = self._priced(np.floor(dual * self.one).astype(np.int64))
            new = False
            for number, board in enumerate(problem.boards):
                floor = int((board.cost + extra.get(number, 0.0)) * self.one * (1 + 1e-7)) + 1
                if prices.board(number) >= floor:
                    new |= take(prices.several(number, floor, 8), number)
        whole = np.zeros(len(self.pool), dtype=np.int64)
        np.add.at(whole, columns[: len(shares)], np.floor(shares + 1e-9).astype(np.int64))
        return whole

    def _priced(self, values: np.ndarray) -> Prices:
        """Worths for these values, whose bound is kept if it is the sharpest yet."""
        prices = Prices(self.problem, values)
        bound = bound_from(
            self.problem, values, [prices.board(n) for n in range(len(self.problem.boards))]
        )
        if self.bound is None or bound.need * self.bound.share > self.bound.need * bound.share:
            self.bound, self.values = bound, values
            self.least = max(self.least, bound.least)
        return prices

    # Closing the gap ------------------------------------------------------------

    def close(self) -> None:
        """List layouts ever further from full worth until the question is settled."""
        problem = self.problem
        prices = Prices(problem, self.values, problem.demand)
        bound = bound_from(problem, self.values, [prices.board(n) for n in range(len(problem.boards))])
        self.least = self.next_cost(max(self.least, bound.least))
        mixed, labels = 0, _ALL_LABELS
        while not self.good_enough:
            # With sheets of several costs there are many targets; then the question is put
            # once, for every plan cheaper than the one we have.
            one = len(problem.boards) == 1
            target = self.least if one else self.cost - problem.step
            for part in (64, 16, 4, 2, 1):
                floors = bound.floors(bound.budget(target) // part)
                found = list_layouts(
                    prices,
                    [max(1, floor) for floor in floors],
                    problem.demand,
                    most=min(_LABELS, labels),
                    tick=self.clock.tick,
                )
                labels -= found.labels
                known = self.pool.add_listing(found)
                if part > 1:
                    if len(self.pool) > mixed:
                        self.mix()
                        mixed = len(self.pool)
                elif not self._settle(found, known, bound, target):
                    return
                self.report("closing the gap")
                if self.done:
                    return

    def _settle(self, found: Listing, known: list[int], bound: Bound, target: int) -> bool:
        """Find a plan of the target's cost in a complete list, or raise the bound.

        Returns: False if neither could be done.
        """
        counts, boards = found.counts, found.boards
        sheets = np.zeros(len(self.pool), dtype=np.int64)
        few = target // bound.step
        if len(self.problem.boards) == 1 and few <= 5 and len(found):
            try:
                chosen = cover(
                    counts,
                    self.values,
                    bound.share,
                    self.problem.demand,
                    few,
                    work=_COMPARED,
                    tick=self.clock.tick,
                )
            except TooMany:
                pass
            else:
                if chosen is None:
                    self._none_at(target)
                else:
                    np.add.at(sheets, [known[k] for k in chosen], 1)
                    self.offer(sheets)
                return True
        if not len(found):
            self._none_at(target)
            return True
        self.clock.tick()
        verdict = whole_sheets(
            counts,
            np.array([board.cost for board in self.problem.boards])[boards],
            self.problem.demand,
            boards=boards,
            limits=self.limits,
            at_most=target,
            good_enough=self.least,
            nodes=_LAST_NODES,
            seconds=self.clock.left(),
            stop=self.clock.over,
        )
        if verdict.sheets is not None:
            np.add.at(sheets, known, verdict.sheets)
            self.offer(sheets)
        if verdict.closed:
            # No plan is cheaper than the best of a complete list, nor than what was asked for.
            cheapest = target + self.problem.step if verdict.sheets is None else self.cost
            if cheapest > self.least:
                self._none_at(cheapest - self.problem.step)
        return verdict.closed

    def _none_at(self, target: int) -> None:
        self.least, self.searched = self.next_cost(target + self.problem.step), True

    def next_cost(self, cost: int) -> int:
        """The least cost from this one on that some number of sheets of each kind has."""
        boards = self.problem.boards
        if len(boards) == 1 or not self.cost or self.cost > _SUMS:
            return cost
        if self.sums is None:
            keep, bits = (1 << (self.cost + 1)) - 1, 1
            for board in boards:
                for _ in range(self.cost // board.cost if board.limit is None else board.limit):
                    more = (bits | bits << board.cost) & keep
                    if more == bits:
                        break
                    bits = more
            self.sums = bits
        above = self.sums >> cost
        return cost + (above & -above).bit_length() - 1 if above else cost


def _search(search: _Search, quick: bool) -> None:
    """Everything in turn, until the best plan is proved or the caller asks to stop."""
    pieces = int(search.problem.demand.sum())
    search.singles()
    try:
        if pieces <= 200:
            search.construct(min(24, 2_000 // pieces))
        search.report("first plan")
        if search.cost <= search.known:
            return
        whole = search.relax()
        search.complete(whole)
        search.relaxed = True
        search.report("layouts")
        if not search.done and whole.sum() > 60:
            search.mix_rest(np.maximum(whole - 2, 0))
        if not search.done:
            search.mix()
        search.report("whole sheets")
        if not search.done and not quick and pieces <= 3_000:
            search.construct(min(400, 20_000 // pieces))
            if not search.done:
                search.mix()
            search.report("whole sheets")
        if not search.good_enough and not quick:
            search.close()
    except (_Stopped, TooMany):
        if not search.relaxed:
            search.in_haste()


def solve(
    problem: Problem,
    *,
    under: Problem | None = None,
    exact: bool = True,
    stop: Callable[[], bool] | None = None,
    seconds: float | None = None,
    report: Callable[[str, int | None, int], None] = lambda phase, cost, least: None,
    unit: int = 1,
    quick: bool = False,
) -> Outcome:
    """The cheapest plan that can be found, and how far it is proved.

    problem  at least one of its boards without a limit, every blank to be had from such a one
    exact    whether every place to cut that matters is among its points, so that its bound holds
    under    where it is not: a problem of the same boards whose bound holds, or None if only the
             area of the blanks is left to go by
    stop     asked often; when it answers True the best plan so far is returned
    seconds  after which to stop likewise; None for as long as it takes
    report   told (phase, cost of the best plan so far or None, bound) as things move
    quick    whether to be content with the layouts that the bound needs
    unit     a gap that does not matter for so many units of cost is not worth a long proof
    """
    clock = _Clock(stop=stop, until=None if seconds is None else time.monotonic() + seconds)
    if exact:
        search = _Search(problem, clock, report, unit)
        _search(search, quick)
        least, searched = search.least, search.searched
    else:
        least, searched = _by_area(problem), False
        search = _Search(problem, clock, lambda phase, cost, _: report(phase, cost, least), unit)
        search.known = least
        _search(search, quick)
        if under is not None and search.cost > least and not clock.over():
            bound = _Search(under, clock, lambda phase, *_: report(phase, search.cost, least), unit)
            _search(bound, quick)
            if bound.least > least:
                least, searched = bound.least, bound.searched
        least = min(least, search.cost)
    assert search.cost is not None
    proof = ("search" if searched else "bound") if search.cost <= least else ""
    return Outcome(
        pool=search.pool,
        sheets=search.best,
        cost=search.cost,
        least=least,
        values=search.values,
        bound=search.bound,
        proof=proof,
    )


def _by_area(problem: Problem) -> int:
    """The least cost of boards that have the area of all the blanks wanted."""
    areas = np.array([b.turns[0][0] * b.turns[0][1] for b in problem.blanks], dtype=np.int64)
    return bound_from(problem, areas, [board.width * board.height for board in problem.boards]).least
