"""Every layout worth keeping above a given worth, no blank more often than it is wanted.

The worth of plates from `pricing` bounds what a half-finished layout can still become, so
whole regions are never looked at. What comes out is complete: any layout at least as
worthy as asked for is in the list or holds no more of any blank than one that is.

Counts of blanks are packed into a few 64-bit words, a field to each blank with a guard bit
on top, so that adding, capping and comparing two layouts takes a handful of operations.

Imports: numpy, classplan.board, classplan.pricing.
Source: Christofides & Whitlock, Oper. Res. 25 (1977), layouts with capped counts.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from popkit.classplan.board import Problem
from popkit.classplan.pricing import NOTHING, Prices, Tree

__all__ = ["Listing", "TooMany", "list_layouts"]


_COLUMNS = ("packed", "value", "first", "second", "across")


class TooMany(Exception):
    """The list grew past what was allowed; nothing can be concluded from it."""


class _Packing:
    """Counts of blanks in 64-bit words."""

    def __init__(self, caps: np.ndarray) -> None:
        self.caps = caps
        self.bits = int(caps.max()).bit_length() + 1
        per = 64 // self.bits
        self.words = -(-len(caps) // per)
        self.word = np.arange(len(caps)) // per
        self.shift = ((np.arange(len(caps)) % per) * self.bits).astype(np.uint64)
        self.field = np.uint64((1 << (self.bits - 1)) - 1)
        self.guard = self._all(np.full(len(caps), 1 << (self.bits - 1)))
        self.limit = self._all(caps)
        self.bias = self._all((1 << (self.bits - 1)) - 1 - caps)
        self.back = np.uint64(self.bits - 1)

    def _all(self, counts: np.ndarray) -> np.ndarray:
        return self.pack(np.asarray(counts)[None, :])[0]

    def pack(self, counts: np.ndarray) -> np.ndarray:
        """(n, blanks) counts -> (n, words)."""
        out = np.zeros((len(counts), self.words), dtype=np.uint64)
        for k in range(counts.shape[1]):
            out[:, self.word[k]] |= counts[:, k].astype(np.uint64) << self.shift[k]
        return out

    def unpack(self, packed: np.ndarray) -> np.ndarray:
        """(n, words) -> (n, blanks) counts, int64."""
        fields = (packed[:, self.word] >> self.shift) & self.field
        return fields.astype(np.int64)

    def capped(self, packed: np.ndarray) -> np.ndarray:
        """Sums of two packed counts, each field cut down to its cap; changed in place.

        Returns: which rows had to be cut down.
        """
        over = (packed + self.bias) & self.guard
        rows = over.any(axis=1)
        if rows.any():
            flagged = over[rows]
            mask = (flagged - (flagged >> self.back)) | flagged
            packed[rows] = (packed[rows] & ~mask) | (self.limit & mask)
        return rows


class Listing:
    """Layouts found by `list_layouts`.

    boards  for each layout the number of its board
    counts  (layouts, blanks) how many of each it holds, int64
    worth   of each
    labels  half-finished layouts it took to find them
    """

    def __init__(self, maker: _Maker, labels: np.ndarray, boards: np.ndarray) -> None:
        self._maker = maker
        self._labels = labels
        self.boards = boards
        self.counts = maker.packing.unpack(maker.packed[labels])
        self.worth = maker.value[labels]
        self.labels = maker.used

    def __len__(self) -> int:
        return len(self._labels)

    def tree(self, number: int) -> Tree:
        """How layout `number` is cut. It may hold more of a blank than its count says: the
        blank was capped at what is wanted, and the rest is left on the board.
        """
        return self._maker.tree(int(self._labels[number]))


class _Maker:
    """Labels: one for each kept way to fill a plate, linked to the two it is made of."""

    def __init__(
        self,
        prices: Prices,
        floors: list[int],
        caps: np.ndarray,
        most: int,
        width: int | None,
        tick: Callable[[], None],
    ) -> None:
        self.prices, self.problem, self.caps = prices, prices.problem, caps
        self.floors, self.most, self.width, self.tick = floors, most, width, tick
        self.packing = _Packing(caps)
        self.values = prices.values
        size = 1024
        self.used = 0
        self.packed = np.zeros((size, self.packing.words), dtype=np.uint64)
        self.value = np.zeros(size, dtype=np.int64)
        self.first = np.zeros(size, dtype=np.int32)  # a label, or -1 for a single blank
        self.second = np.zeros(size, dtype=np.int32)  # a label, or the number of the single blank
        self.across = np.zeros(size, dtype=bool)  # whether the cut splits across
        self.singles: list[tuple[int, int]] = []
        self.start: list[np.ndarray] = []  # for each layer and plate its first label
        self.count: list[np.ndarray] = []
        self.top: list[np.ndarray] = []  # the worth of that label, or NOTHING

    def run(self) -> None:
        """Fill every plate that matters, layer by layer, small plates first."""
        outlook = self.prices.outlook(self.floors)
        shape = self.prices.worth[0].shape
        for number, layer in enumerate(self.problem.layers):
            worth, need = self.prices.worth[number], -outlook[number]
            (x0, x1), (y0, y1) = layer.xs, layer.ys
            matter = np.zeros(shape, dtype=bool)
            matter[x0:x1, y0:y1] = True
            matter &= (outlook[number] != NOTHING) & (worth > 0) & (worth >= need)
            self.start.append(np.zeros(shape, dtype=np.int64))
            self.count.append(np.zeros(shape, dtype=np.int64))
            self.top.append(np.full(shape, NOTHING))
            laid: dict[tuple[int, int], list[int]] = {}
            for blank, turn in self.prices.laid(number):
                spot = self.problem.least_plate(blank, turn)
                laid.setdefault(spot, []).append(len(self.singles))
                self.singles.append((blank, turn))
            for i, j in np.argwhere(matter).tolist():
                self.tick()
                self._fill(number, i, j, int(need[i, j]), laid.get((i, j), []))

    def _fill(self, number: int, i: int, j: int, need: int, laid: list[int]) -> None:
        parts = []  # each: packed, value, first, second, across
        shared = set()
        for start, count in self._inherited(number, i, j):
            # Labels of a plate are stored with the worthiest first.
            room = int(np.searchsorted(-self.value[start : start + count], -need, side="right"))
            if room:
                shared.add((start, room))
        for start, room in sorted(shared):
            parts.append([getattr(self, name)[start : start + room] for name in _COLUMNS])
        for single in laid:
            blank = self.singles[single][0]
            if self.values[blank] >= need and self.caps[blank] > 0:
                one = np.zeros((1, len(self.caps)), dtype=np.int64)
                one[0, blank] = 1
                parts.append(
                    [
                        self.packing.pack(one),
                        self.values[blank : blank + 1],
                        np.array([-1], dtype=np.int32),
                        np.array([single], dtype=np.int32),
                        np.array([False]),
                    ]
                )
        top, start, count = self.top[number], self.start[number], self.count[number]
        for way in self.problem.layers[number].dirs:
            if way == "x":
                a, b = self.problem.splits_x[i]
                good = top[a, j] + top[b, j] >= need
                near, far = (a[good], j), (b[good], j)
            else:
                a, b = self.problem.splits_y[j]
                good = top[i, a] + top[i, b] >= need
                near, far = (i, a[good]), (i, b[good])
            if len(near[way == "y"]):
                joined = self._joined(start[near], count[near], start[far], count[far], need)
                if joined is not None:
                    parts.append([*joined, np.full(len(joined[1]), way == "x")])
        if not parts:
            return
        if len(parts) == len(shared) == 1:
            start[i, j], count[i, j] = next(iter(shared))
            top[i, j] = self.value[start[i, j]]
            return
        packed, value, first, second, across = (
            parts[0]
            if len(parts) == 1
            else [np.concatenate(column) for column in zip(*parts, strict=True)]
        )
        keep = self._best(packed, value)[: self.width]
        start[i, j], count[i, j] = self.used, len(keep)
        top[i, j] = value[keep[0]]
        self._store(packed[keep], value[keep], first[keep], second[keep], across[keep])

    def _inherited(self, number: int, i: int, j: int) -> list[tuple[int, int]]:
        layer = self.problem.layers[number]
        found = []
        if layer.below is not None:
            found.append((layer.below, i, j))
        if (number == 0 or "x" in layer.dirs) and i > layer.xs[0]:
            found.append((number, i - 1, j))
        if (number == 0 or "y" in layer.dirs) and j > layer.ys[0]:
            found.append((number, i, j - 1))
        spans = [(int(self.start[n][p, q]), int(self.count[n][p, q])) for n, p, q in found]
        return [span for span in spans if span[1]]

    def _joined(
        self,
        near: np.ndarray,
        near_count: np.ndarray,
        far: np.ndarray,
        far_count: np.ndarray,
        need: int,
    ) -> tuple | None:
        """Sums of a label of one plate and one of the other beside it that are worth enough.

        near, near_count, far, far_count  where the labels of the two plates are, a row for
                                          each place to cut
        """
        first = _ranges(near, near_count)
        low, room = np.repeat(far, near_count), np.repeat(far_count, near_count)
        # How many of the far labels, worthiest first, are worth enough beside each near one.
        least = need - self.value[first]
        lower, upper = np.zeros_like(room), room
        while (lower < upper).any():
            middle = (lower + upper) // 2
            enough = (lower < upper) & (self.value[low + np.minimum(middle, room - 1)] >= least)
            upper = np.where(enough | (lower >= upper), upper, middle)
            lower = np.where(enough, middle + 1, lower)
        total = int(lower.sum())
        if total == 0:
            return None
        if total > 20 * self.most:
            raise TooMany
        first, second = np.repeat(first, lower), _ranges(low, lower)
        packed = self.packed[first] + self.packed[second]
        value = self.value[first] + self.value[second]
        cut = self.packing.capped(packed)
        if cut.any():
            value[cut] = self.packing.unpack(packed[cut]) @ self.values
            keep = value >= need
            packed, value, first, second = packed[keep], value[keep], first[keep], second[keep]
            if not len(value):
                return None
        return packed, value, first.astype(np.int32), second.astype(np.int32)

    def _best(self, packed: np.ndarray, value: np.ndarray) -> np.ndarray:
        """Which labels to keep, worthiest first: no two alike, none within another."""
        keys = tuple(packed[:, word] for word in range(self.packing.words))
        order = np.lexsort((*keys, -value))
        if len(order) > 1:
            ranked = packed[order]
            order = order[np.append(True, (ranked[1:] != ranked[:-1]).any(axis=1))]
        return order[self._undominated(packed[order])]

    def _undominated(self, packed: np.ndarray) -> np.ndarray:
        """Rows that are not within an earlier row; later rows are worth no more."""
        guard = self.packing.guard
        count = len(packed)
        if count <= 1:
            return np.arange(count)
        kept = np.zeros(count, dtype=bool)
        block = 256
        held = packed[:0]
        for start in range(0, count, block):
            rows = packed[start : start + block]
            lost = np.zeros(len(rows), dtype=bool)
            for from_ in range(0, len(held), 4096):
                lost |= _within(rows, held[from_ : from_ + 4096], guard).any(axis=1)
            rest = np.flatnonzero(~lost)
            among = _within(rows[rest], rows[rest], guard)
            np.fill_diagonal(among, False)
            rest = rest[~among.any(axis=1)]
            kept[start + rest] = True
            held = np.concatenate([held, rows[rest]])
        return np.flatnonzero(kept)

    def _store(self, packed, value, first, second, across) -> None:
        start, stop = self.used, self.used + len(value)
        if stop > self.most:
            raise TooMany
        if stop > len(self.value):
            size = max(stop, 2 * len(self.value))
            for name in _COLUMNS:
                old = getattr(self, name)
                new = np.zeros((size, *old.shape[1:]), dtype=old.dtype)
                new[: self.used] = old[: self.used]
                setattr(self, name, new)
        self.packed[start:stop] = packed
        self.value[start:stop] = value
        self.first[start:stop] = first
        self.second[start:stop] = second
        self.across[start:stop] = across
        self.used = stop

    def tree(self, label: int) -> Tree:
        if self.first[label] < 0:
            return ("-", *self.singles[self.second[label]])
        way = "x" if self.across[label] else "y"
        return (way, self.tree(int(self.first[label])), self.tree(int(self.second[label])))


def _ranges(starts: np.ndarray, counts: np.ndarray) -> np.ndarray:
    """start, start + 1, ... for each start, so many as its count, one after another."""
    ends = np.cumsum(counts)
    return np.arange(int(ends[-1]) if len(ends) else 0) + np.repeat(starts - ends + counts, counts)


def _within(rows: np.ndarray, others: np.ndarray, guard: np.ndarray) -> np.ndarray:
    """(n, m): whether row n holds no more of any blank than other m."""
    inside = np.ones((len(rows), len(others)), dtype=bool)
    for word in range(rows.shape[1]):
        top = guard[word]
        inside &= (((others[None, :, word] | top) - rows[:, None, word]) & top) == top
    return inside


def list_layouts(
    prices: Prices,
    floors: list[int],
    caps: np.ndarray,
    *,
    most: int,
    width: int | None = None,
    tick: Callable[[], None] = lambda: None,
) -> Listing:
    """All layouts of each board worth at least its floor, each blank at most `caps` times.

    prices  for the values in which the floors are given
    floors  one for each board, in the same values
    caps    int64, >= 0; a layout that holds more counts only so many
    most    how many labels may be kept while searching
    width   keep only so many labels to a plate, the worthiest; the list is then not complete
    tick    called often; whatever it raises ends the search
    Returns: a `Listing` without layouts that lie within another of the same board.
    Raises: TooMany if `most` is passed.
    """
    problem: Problem = prices.problem
    maker = _Maker(prices, floors, np.asarray(caps, dtype=np.int64), most, width, tick)
    maker.run()
    labels, boards = [], []
    for number, board in enumerate(problem.boards):
        spot = problem.at(board)
        for top in problem.tops[number]:
            start, count = int(maker.start[top][spot]), int(maker.count[top][spot])
            if count:
                found = np.arange(start, start + count)
                found = found[maker.value[found] >= floors[number]]
                labels.append(found)
                boards.append(np.full(len(found), number))
    empty = np.zeros(0, dtype=np.int64)
    return Listing(
        maker,
        np.concatenate(labels) if labels else empty,
        np.concatenate(boards) if boards else empty,
    )
