"""The worth of a plate: the best value of blanks that edge-to-edge cuts can get from it.

Values are whole numbers, so what is said here is exact. `Prices` holds one table per layer
of cuts: the worth of every plate whose sides are points of the problem. From the same
tables come layouts of highest worth, and for any plate the most that the rest of a board
can add to it.

Imports: numpy, classplan.board.
Source: Gilmore & Gomory, Oper. Res. 13 (1965) and 14 (1966); Cintra, Miyazawa, Wakabayashi &
Xavier, Eur. J. Oper. Res. 191 (2008).
"""

from __future__ import annotations

import numpy as np

from popkit.classplan.board import Problem

__all__ = ["NOTHING", "Prices", "Tree", "count_blanks"]

Tree = tuple
"""A way to cut a plate: ("x", near, far) and ("y", near, far) split it across and along,
("-", blank, turn) trims it to one blank, () leaves it as an offcut."""

NOTHING = np.int64(-(2**62))
"""The outlook of a plate that no board leads to."""


class Prices:
    """Worth of every plate for given values of the blanks.

    values  int64, one for each blank, >= 0
    caps    how many of each blank may count. The worths are then bounds, not always reached,
            and no layouts can be had from them.
    """

    def __init__(self, problem: Problem, values: np.ndarray, caps: np.ndarray | None = None) -> None:
        self.problem = problem
        self.values = values
        self.clamp = None if caps is None else _by_area(problem, values, caps)
        self._laid_by_value: dict[int, dict[int, list[tuple[int, int]]]] = {}
        self.worth: list[np.ndarray] = []
        for number in range(len(problem.layers)):
            self.worth.append(self._table(number))

    def board(self, number: int) -> int:
        """The worth of a whole board."""
        i, j = self.problem.at(self.problem.boards[number])
        return max(int(self.worth[top][i, j]) for top in self.problem.tops[number])

    # Tables ---------------------------------------------------------------------

    def _table(self, number: int) -> np.ndarray:
        problem, layer = self.problem, self.problem.layers[number]
        if layer.below is None:
            table = np.zeros((len(problem.xs), len(problem.ys)), dtype=np.int64)
        else:
            table = self.worth[layer.below].copy()
        (x0, x1), (y0, y1) = layer.xs, layer.ys
        for blank, turn in self.laid(number):
            i, j = problem.least_plate(blank, turn)
            if x0 <= i < x1 and y0 <= j < y1:
                table[i, j] = max(table[i, j], self.values[blank])
        if number == 0:
            part = table[x0:x1, y0:y1]
            np.maximum.accumulate(part, axis=0, out=part)
            np.maximum.accumulate(part, axis=1, out=part)
            return table
        changed = True
        while changed:
            changed = False
            if "x" in layer.dirs:
                clamp = None if self.clamp is None else self.clamp[:, y0:y1]
                changed = _split(table[:, y0:y1], problem.splits_x, x0, x1, clamp)
            if "y" in layer.dirs:
                clamp = None if self.clamp is None else self.clamp[x0:x1].T
                changed |= _split(table[x0:x1].T, problem.splits_y, y0, y1, clamp)
            if len(layer.dirs) < 2:
                break
        return table

    def laid(self, number: int) -> list[tuple[int, int]]:
        """The blanks laid uncut in a layer, every turn of every blank in the lowest."""
        if number > 0:
            return list(self.problem.layers[number].uncut)
        return [(b, t) for b, blank in enumerate(self.problem.blanks) for t in range(len(blank.turns))]

    # Layouts of highest worth ---------------------------------------------------

    def best(self, number: int) -> Tree:
        """One layout of a board with the board's worth."""
        i, j = self.problem.at(self.problem.boards[number])
        top = max(self.problem.tops[number], key=lambda top: self.worth[top][i, j])
        return self.layout(top, i, j)

    def several(self, number: int, above: int, most: int) -> list[Tree]:
        """Layouts of a board worth more than `above`, the best first, one for each first cut."""
        i, j = self.problem.at(self.problem.boards[number])
        found: list[tuple[int, int, str, int, int]] = []
        for top in self.problem.tops[number]:
            dirs, table = self.problem.layers[top].dirs, self.worth[top]
            for way in dirs:
                a, b = self._pairs(way, i, j)
                sums = table[a, j] + table[b, j] if way == "x" else table[i, a] + table[i, b]
                order = np.argsort(-sums, kind="stable")[:most]
                found += [
                    (-int(sums[k]), top, way, int(a[k]), int(b[k])) for k in order if sums[k] > above
                ]
        found.sort()
        trees = [self.best(number)]
        for _, top, way, a, b in found[:most]:
            if way == "x":
                trees.append(("x", self.layout(top, a, j), self.layout(top, b, j)))
            else:
                trees.append(("y", self.layout(top, i, a), self.layout(top, i, b)))
        return trees

    def layout(self, number: int, i: int, j: int) -> Tree:
        """One way to cut a plate that has the plate's worth."""
        table = self.worth[number]
        layer = self.problem.layers[number]
        worth = table[i, j]
        if worth == 0:
            return ()
        if layer.below is not None and self.worth[layer.below][i, j] == worth:
            return self.layout(layer.below, i, j)
        for way in layer.dirs:
            a, b = self._pairs(way, i, j)
            sums = table[a, j] + table[b, j] if way == "x" else table[i, a] + table[i, b]
            hits = np.flatnonzero(sums == worth)
            if len(hits):
                k = hits[-1]
                if way == "x":
                    return ("x", self.layout(number, a[k], j), self.layout(number, b[k], j))
                return ("y", self.layout(number, i, a[k]), self.layout(number, i, b[k]))
        for blank, turn in self._by_value(number).get(int(worth), ()):
            w, h = self.problem.least_plate(blank, turn)
            if w <= i and h <= j and self._reaches(number, w, h):
                return ("-", blank, turn)
        if (number == 0 or "x" in layer.dirs) and i > 0 and table[i - 1, j] == worth:
            return self.layout(number, i - 1, j)
        return self.layout(number, i, j - 1)

    def _by_value(self, number: int) -> dict[int, list[tuple[int, int]]]:
        """The blanks laid in a layer, by their value."""
        if number not in self._laid_by_value:
            found: dict[int, list[tuple[int, int]]] = {}
            for blank, turn in self.laid(number):
                found.setdefault(int(self.values[blank]), []).append((blank, turn))
            self._laid_by_value[number] = found
        return self._laid_by_value[number]

    def _reaches(self, number: int, i: int, j: int) -> bool:
        (x0, x1), (y0, y1) = self.problem.layers[number].xs, self.problem.layers[number].ys
        return x0 <= i < x1 and y0 <= j < y1

    def _pairs(self, way: str, i: int, j: int) -> tuple[np.ndarray, np.ndarray]:
        return self.problem.splits_x[i] if way == "x" else self.problem.splits_y[j]

    # What the rest of a board can add -------------------------------------------

    def outlook(self, floors: list[int]) -> list[np.ndarray]:
        """For each layer and plate the most that the rest of a board can add, less its floor.

        floors  for each board the least worth of a layout that is of interest
        Returns: int64 tables; a plate can be part of such a layout only if its own worth
                 and its entry here add up to 0 or more.
        """
        problem = self.problem
        tables = [np.full_like(worth, NOTHING) for worth in self.worth]
        for number, board in enumerate(problem.boards):
            i, j = problem.at(board)
            for top in problem.tops[number]:
                tables[top][i, j] = max(tables[top][i, j], -floors[number])
        for number in reversed(range(len(tables))):
            layer, table, worth = problem.layers[number], tables[number], self.worth[number]
            (x0, x1), (y0, y1) = layer.xs, layer.ys
            changed = True
            while changed:
                changed = False
                if "x" in layer.dirs:
                    changed = _spread(table[:, y0:y1], worth[:, y0:y1], problem.splits_x, x0, x1)
                if "y" in layer.dirs:
                    changed |= _spread(table[x0:x1].T, worth[x0:x1].T, problem.splits_y, y0, y1)
                if len(layer.dirs) < 2:
                    break
            if number == 0:
                part = table[x0:x1, y0:y1][::-1, ::-1]
                np.maximum.accumulate(part, axis=0, out=part)
                np.maximum.accumulate(part, axis=1, out=part)
            elif layer.below is not None:
                below = problem.layers[layer.below]
                here = np.s_[
                    max(x0, below.xs[0]) : min(x1, below.xs[1]),
                    max(y0, below.ys[0]) : min(y1, below.ys[1]),
                ]
                np.maximum(tables[layer.below][here], table[here], out=tables[layer.below][here])
        return tables


def _by_area(problem: Problem, values: np.ndarray, caps: np.ndarray) -> np.ndarray:
    """For each plate what its area could hold of blanks that fit it, none beyond its cap.

    Blanks are poured in by value for area, the last of them in part: never too little.
    """
    left = (problem.xs[:, None] * problem.ys[None, :]).astype(np.float64)
    most = np.zeros_like(left)
    sizes = [blank.turns[0][0] * blank.turns[0][1] for blank in problem.blanks]
    for blank in sorted(range(len(sizes)), key=lambda b: -values[b] / sizes[b]):
        fits = np.zeros(left.shape, dtype=bool)
        for turn in range(len(problem.blanks[blank].turns)):
            i, j = problem.least_plate(blank, turn)
            fits[i:, j:] = True
        poured = np.where(fits, np.minimum(left, float(sizes[blank]) * int(caps[blank])), 0.0)
        left -= poured
        most += poured * (int(values[blank]) / sizes[blank])
    # Rounding in a dozen sums is far below a millionth of a millionth of the whole.
    return np.ceil(most * (1 + 1e-12)).astype(np.int64) + len(sizes)


def _split(
    table: np.ndarray, splits: list, start: int, stop: int, clamp: np.ndarray | None = None
) -> bool:
    """Let every row be the best of itself, the row before and any two rows beside each other.

    Works in place, rows in rising order, so that one pass covers any number of cuts in
    this direction. Returns whether anything grew.
    """
    rows = np.ascontiguousarray(table)
    before = rows.copy()
    for i in range(max(start, 1), stop):
        a, b = splits[i]
        row = rows[i]
        if i > start:
            np.maximum(row, rows[i - 1], out=row)
        if len(a):
            best = (rows[a] + rows[b]).max(axis=0)
            if clamp is not None:
                np.minimum(best, clamp[i], out=best)
            np.maximum(row, best, out=row)
    if np.array_equal(rows, before):
        return False
    table[...] = rows
    return True


def _spread(table: np.ndarray, worth: np.ndarray, splits: list, start: int, stop: int) -> bool:
    """The reverse of `_split`: hand every row's outlook down to the rows it is made of."""
    rows, worths = np.ascontiguousarray(table), np.ascontiguousarray(worth)
    before = rows.copy()
    for i in range(stop - 1, max(start, 1) - 1, -1):
        row = rows[i]
        a, b = splits[i]
        if len(a):
            rows[a] = np.maximum(rows[a], row + worths[b])
            rows[b] = np.maximum(rows[b], row + worths[a])
        if i > start:
            np.maximum(rows[i - 1], row, out=rows[i - 1])
    if np.array_equal(rows, before):
        return False
    table[...] = rows
    return True


def count_blanks(tree: Tree, kinds: int) -> np.ndarray:
    """How many of each blank a layout holds, int64."""
    counts = np.zeros(kinds, dtype=np.int64)
    todo = [tree]
    while todo:
        node = todo.pop()
        if not node:
            continue
        if node[0] == "-":
            counts[node[1]] += 1
        else:
            todo += node[1:]
    return counts
