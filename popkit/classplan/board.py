"""The cutting problem in whole numbers: blanks, boards, places to cut, layers of cuts.

A length here is a count of grid units, one grid across and one along, each the greatest
common measure of the blanks; a board is what is left of a sheet when it is floored to it.
Only sums of blank sizes can matter as places to cut (normal points), and of those only the
ones that can still be reached from a board's edge.

Imports: numpy. Knows nothing of pint, pieces or papers.
Source: Herz, IBM J. Res. Dev. 16 (1972) and Christofides & Whitlock, Oper. Res. 25 (1977) for
normal points; Terno, Lindemann & Scheithauer (1987) for the reduced set.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import gcd, lcm

import numpy as np

__all__ = [
    "BASE",
    "Blank",
    "Board",
    "Layer",
    "Problem",
    "common_measure",
    "fits",
    "pose_problem",
    "subset_sums",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """One size of rectangle to cut.

    turns   the ways it may lie, each (across, along) in grid units; at least one
    demand  how many are wanted in all, >= 1
    """

    turns: tuple[tuple[int, int], ...]
    demand: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """One size of sheet.

    width, height  in whole grid units
    cost           what one costs in the sum to be made least, a whole number >= 1
    limit          how many there are, or None for as many as you like
    form           what the longest cut leaves possible: "free"; "rows" (only cuts right
                   across, until a strip is short enough); "columns" (the same the other
                   way); "whole" (no cut at all)
    uncut          (blank, turn) that fill the sheet across ("rows"), along ("columns") or
                   altogether ("whole"), so that they may be longer than the longest cut
    """

    width: int
    height: int
    cost: int = 1
    limit: int | None = None
    form: str = "free"
    uncut: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """Cuts that may alternate freely among the directions given; then the layer below.

    dirs    "x" splits across (a cut along the height), "y" splits along
    below   the layer whose plates this one is made of; None for the lowest
    xs, ys  the plates it deals with, as ranges of the points across and along
    uncut   (blank, turn) laid whole in this layer
    """

    dirs: str
    below: int | None
    xs: tuple[int, int]
    ys: tuple[int, int]
    uncut: tuple[tuple[int, int], ...] = ()


BASE = 0
"""The layer of single blanks, trimmed to size and not cut further."""


@dataclass(frozen=True, eq=False)
class Problem:
    """Blanks to be cut from boards.

    reach   the longest plate side across and along that a cut may run, in grid units
    stages  how many times cuts may change direction, the first direction counted; None
            for any number. Trimming a blank to size is not counted.
    points  places across and along to make do with, rising from 0, every side of a blank and of a
            board among them; None for all that matter. With fewer places every plan can still be
            cut, but what is the best of them may not be the best there is.
    """

    blanks: tuple[Blank, ...]
    boards: tuple[Board, ...]
    reach: tuple[int, int] | None = None
    stages: int | None = None
    points: tuple[np.ndarray, np.ndarray] | None = None

    @cached_property
    def demand(self) -> np.ndarray:
        """How many of each blank, int64."""
        return np.array([blank.demand for blank in self.blanks], dtype=np.int64)

    @cached_property
    def xs(self) -> np.ndarray:
        """Points across, rising, from 0."""
        return self._points(0)

    @cached_property
    def ys(self) -> np.ndarray:
        """Points along, rising, from 0."""
        return self._points(1)

    def _points(self, axis: int) -> np.ndarray:
        if self.points is not None:
            return self.points[axis]
        sums = self.sums(axis)
        if any(board.form != "free" for board in self.boards):
            return sums
        return _reached(sums, sorted({(board.width, board.height)[axis] for board in self.boards}))

    def sums(self, axis: int) -> np.ndarray:
        """Every sum of sides across (0) or along (1) that a board can hold."""
        return subset_sums(
            [(sorted({turn[axis] for turn in blank.turns}), blank.demand) for blank in self.blanks],
            max((board.width, board.height)[axis] for board in self.boards),
        )

    @cached_property
    def work(self) -> int:
        """How many sums one look at every way to cut every plate takes."""
        across, along = (
            sum(len(first) for first, _ in splits) for splits in (self.splits_x, self.splits_y)
        )
        return across * len(self.ys) + along * len(self.xs)

    @cached_property
    def splits_x(self) -> list[tuple[np.ndarray, np.ndarray]]:
        """For each point across, the pairs of points a cut there can leave."""
        return _splits(self.xs)

    @cached_property
    def splits_y(self) -> list[tuple[np.ndarray, np.ndarray]]:
        """The same along."""
        return _splits(self.ys)

    def at(self, board: Board) -> tuple[int, int]:
        """The plate a board is, as indices of its points."""
        return (
            int(np.searchsorted(self.xs, board.width, side="right")) - 1,
            int(np.searchsorted(self.ys, board.height, side="right")) - 1,
        )

    def least_plate(self, blank: int, turn: int) -> tuple[int, int]:
        """The smallest plate that holds a blank lying so; past the end if none does."""
        return self._least_plates[blank][turn]

    @cached_property
    def _least_plates(self) -> list[list[tuple[int, int]]]:
        return [
            [
                (int(np.searchsorted(self.xs, w)), int(np.searchsorted(self.ys, h)))
                for w, h in blank.turns
            ]
            for blank in self.blanks
        ]

    @cached_property
    def step(self) -> int:
        """What the cost of every plan is a multiple of."""
        return gcd(*(board.cost for board in self.boards))

    @cached_property
    def layers(self) -> tuple[Layer, ...]:
        """The layers of cuts, each after the one below it."""
        return self._layering[0]

    @cached_property
    def tops(self) -> tuple[tuple[int, ...], ...]:
        """For each board, the layers that its first cut may belong to."""
        return self._layering[1]

    @cached_property
    def _layering(self) -> tuple[tuple[Layer, ...], tuple[tuple[int, ...], ...]]:
        xs, ys = (0, len(self.xs)), (0, len(self.ys))
        if self.reach is not None:
            xs = (0, int(np.searchsorted(self.xs, self.reach[0], side="right")))
            ys = (0, int(np.searchsorted(self.ys, self.reach[1], side="right")))
        layers = [Layer(dirs="", below=None, xs=xs, ys=ys)]
        made: dict[tuple, int] = {}

        def regular(stages: int | None, first: str) -> int:
            """The layer of plates short enough to be cut either way."""
            if stages == 0:
                return BASE
            key = ("xy",) if stages is None else (first, stages)
            if key not in made:
                below = BASE if stages is None else regular(stages - 1, "y" if first == "x" else "x")
                dirs = "xy" if stages is None else first
                layers.append(Layer(dirs=dirs, below=below, xs=xs, ys=ys))
                made[key] = len(layers) - 1
            return made[key]

        def special(board: Board) -> int:
            i, j = self.at(board)
            less = None if self.stages is None else self.stages - 1
            if board.form == "rows":
                here = Layer(
                    dirs="y", below=regular(less, "x"), xs=(i, i + 1), ys=(0, j + 1), uncut=board.uncut
                )
            elif board.form == "columns":
                here = Layer(
                    dirs="x", below=regular(less, "y"), xs=(0, i + 1), ys=(j, j + 1), uncut=board.uncut
                )
            else:
                here = Layer(dirs="", below=None, xs=(i, i + 1), ys=(j, j + 1), uncut=board.uncut)
            layers.append(here)
            return len(layers) - 1

        tops = []
        for board in self.boards:
            if board.form != "free":
                tops.append((special(board),))
            elif self.stages is None:
                tops.append((regular(None, ""),))
            else:
                tops.append((regular(self.stages, "x"), regular(self.stages, "y")))
        return tuple(layers), tuple(tops)


def subset_sums(sizes: list[tuple[list[int], int]], end: int) -> np.ndarray:
    """Every sum up to `end` of blank sides, each blank used at most as often as wanted.

    A whole number is the set of its one bits here, so one shift adds a blank to every sum.
    """
    keep = (1 << (end + 1)) - 1
    bits = 1
    for sides, demand in sizes:
        for _ in range(min(demand, end // sides[0])):
            more = bits
            for side in sides:
                more |= bits << side
            more &= keep
            if more == bits:
                break
            bits = more
    raw = np.frombuffer(bits.to_bytes(end // 8 + 1, "little"), dtype=np.uint8)
    return np.flatnonzero(np.unpackbits(raw, bitorder="little")[: end + 1]).astype(np.int64)


def _reached(sums: np.ndarray, ends: list[int]) -> np.ndarray:
    """Those sums that can be what is left of an end when other sums are cut off it.

    A cut can always be moved until the part beyond it is the largest sum that still fits,
    so no other place needs trying; the set is closed under cutting again.
    """
    seen = np.zeros(len(sums), dtype=bool)
    fresh = np.unique(np.searchsorted(sums, ends, side="right") - 1)
    while len(fresh):
        seen[fresh] = True
        left = np.concatenate([sums[i] - sums[: i + 1] for i in fresh])
        found = np.unique(np.searchsorted(sums, np.unique(left), side="right") - 1)
        fresh = found[~seen[found]]
    seen[0] = True
    return sums[seen]


def _splits(points: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
    """For each point the pairs (a, b) of point indices, 0 < a <= b, that fit side by side in it.

    Only pairs in which neither part could be larger beside the other.
    """
    pairs = []
    for end in points:
        half = int(np.searchsorted(points, end // 2, side="right"))
        a = np.arange(1, half)
        b = np.searchsorted(points, end - points[1:half], side="right") - 1
        last = np.append(b[:-1] != b[1:], True) if len(b) else np.zeros(0, dtype=bool)
        pairs.append((a[last], b[last]))
    return pairs


# From exact lengths to whole numbers ---------------------------------------------


def common_measure(lengths: list[Fraction]) -> Fraction:
    """The greatest length of which each of these is a whole number."""
    under = lcm(*(length.denominator for length in lengths))
    return Fraction(gcd(*(int(length * under) for length in lengths)), under)


def _form(width: Fraction, height: Fraction, longest: Fraction | None) -> str:
    if longest is None or (width <= longest and height <= longest):
        return "free"
    if width <= longest:
        return "rows"
    return "columns" if height <= longest else "whole"


def _lies(
    turn: tuple[Fraction, Fraction], sheet: tuple[Fraction, Fraction], longest: Fraction | None
) -> str:
    """How a blank can be had from a sheet: "cut", "uncut" along its long side, or "no"."""
    (across, along), (width, height) = turn, sheet
    if across > width or along > height:
        return "no"
    form = _form(width, height, longest)
    if form == "free":
        return "cut"
    if form == "rows":
        return "cut" if along <= longest else "uncut" if across == width else "no"
    if form == "columns":
        return "cut" if across <= longest else "uncut" if along == height else "no"
    return "uncut" if turn == sheet else "no"


def fits(
    turn: tuple[Fraction, Fraction], sheet: tuple[Fraction, Fraction], longest: Fraction | None
) -> bool:
    """Whether a blank lying so can be had from a sheet with cuts no longer than `longest`."""
    return _lies(turn, sheet, longest) != "no"


def pose_problem(
    turns: list[tuple[tuple[Fraction, Fraction], ...]],
    demand: list[int],
    sheets: list[tuple[Fraction, Fraction]],
    *,
    costs: list[int] | None = None,
    limits: list[int | None] | None = None,
    longest: Fraction | None = None,
    stages: int | None = None,
) -> Problem:
    """The problem in whole numbers.

    turns    for each blank the ways it may lie, (across, along); each must fit some sheet
    sheets   (width, height), uncut
    Returns: a `Problem` whose blanks, turns and boards are in the order given; a turn that
             fits no sheet may be left in, it is never used.
    """
    costs = costs or [1] * len(sheets)
    limits = limits or [None] * len(sheets)
    across = common_measure([turn[0] for ways in turns for turn in ways])
    along = common_measure([turn[1] for ways in turns for turn in ways])
    boards = []
    for (width, height), cost, limit in zip(sheets, costs, limits, strict=True):
        boards.append(
            Board(
                width=int(width // across),
                height=int(height // along),
                cost=cost,
                limit=limit,
                form=_form(width, height, longest),
                uncut=tuple(
                    (blank, way)
                    for blank, ways in enumerate(turns)
                    for way, turn in enumerate(ways)
                    if _lies(turn, (width, height), longest) == "uncut"
                ),
            )
        )
    blanks = tuple(
        Blank(turns=tuple((int(w / across), int(h / along)) for w, h in ways), demand=wanted)
        for ways, wanted in zip(turns, demand, strict=True)
    )
    reach = None if longest is None else (int(longest // across), int(longest // along))
    return Problem(blanks=blanks, boards=tuple(boards), reach=reach, stages=stages)
