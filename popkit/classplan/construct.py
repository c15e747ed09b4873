"""Plans made piece by piece, many times over with shuffled rules: a start for small classes.

Each blank goes into the offcut it fits best, and the offcut is cut in two around it. One
such plan is seldom good; the sheets of some hundred of them, offered to the integer master
together, often are.

Imports: classplan.board, classplan.pricing. Shuffling is seeded, so plans come out the same.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

from popkit.classplan.board import Problem
from popkit.classplan.pricing import Tree

__all__ = ["constructed", "filled"]


class _Offcut:
    """A free rectangle of a sheet; once cut it holds the two parts."""

    __slots__ = ("height", "node", "width")

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height, self.node = width, height, None

    def tree(self) -> Tree:
        """How it was cut."""
        if self.node is None:
            return ()
        if self.node[0] == "-":
            return self.node
        way, near, far = self.node
        return (way, near.tree(), far.tree())


def _place(
    offcut: _Offcut, blank: int, turn: int, size: tuple[int, int], across_first: bool
) -> list[_Offcut]:
    """Lay a blank in the corner of an offcut. Returns the offcuts around it."""
    (w, h), left = size, []
    here = offcut
    for way in "xy" if across_first else "yx":
        if way == "x" and here.width > w:
            near, far = _Offcut(w, here.height), _Offcut(here.width - w, here.height)
        elif way == "y" and here.height > h:
            near, far = _Offcut(here.width, h), _Offcut(here.width, here.height - h)
        else:
            continue
        here.node = (way, near, far)
        left.append(far)
        here = near
    here.node = ("-", blank, turn)
    return left


def _one(
    problem: Problem, board: int, order: list[int], fit: int, split: int, open_all: bool
) -> list[_Offcut]:
    """One plan: every blank of `order` into the offcut that fits best, or a new sheet."""
    sheet = problem.boards[board]
    sheets: list[_Offcut] = []
    free: list[_Offcut] = []
    for blank in order:
        best = None
        for place, offcut in enumerate(free):
            for turn, (w, h) in enumerate(problem.blanks[blank].turns):
                a, b = offcut.width - w, offcut.height - h
                if a >= 0 and b >= 0:
                    score = (min(a, b), offcut.width * offcut.height - w * h, max(a, b), a, b)[fit]
                    if best is None or score < best[0]:
                        best = (score, place, turn)
        if best is None:
            sheets.append(_Offcut(sheet.width, sheet.height))
            if not open_all:
                free = []
            free.append(sheets[-1])
            turns = [
                turn
                for turn, (w, h) in enumerate(problem.blanks[blank].turns)
                if w <= sheet.width and h <= sheet.height
            ]
            best = (0, len(free) - 1, turns[len(sheets) % len(turns)])
        _, place, turn = best
        offcut = free.pop(place)
        w, h = problem.blanks[blank].turns[turn]
        a, b = offcut.width - w, offcut.height - h
        across = (a > b, a < b, a * offcut.height > b * offcut.width, a * h > b * w)[split]
        free += _place(offcut, blank, turn, (w, h), across)
    return sheets


def _shelved(
    problem: Problem, board: int, order: list[int], way: str, chance: random.Random
) -> list[Tree]:
    """One plan of shelves: strips right across the sheet ("y") or along it ("x"), each filled
    with blanks side by side. Two stages; one if the problem allows no more.
    """
    sheet = problem.boards[board]
    side = 0 if way == "x" else 1  # the side that shelves divide
    deep, long = (sheet.width, sheet.height)[:: 1 if side == 0 else -1]
    shelves: list[list] = []  # sheet, depth, length left, blanks
    room: list[int] = []  # depth left of each sheet
    for blank in order:
        turns = [
            (turn, size[side], size[1 - side])
            for turn, size in enumerate(problem.blanks[blank].turns)
            if size[side] <= deep and size[1 - side] <= long
        ]
        fitting = [
            (shelf[1] - depth, place, turn, depth, length)
            for place, shelf in enumerate(shelves)
            for turn, depth, length in turns
            if depth <= shelf[1] and length <= shelf[2]
        ]
        if fitting:
            _, place, turn, depth, length = min(fitting)
        else:
            turn, depth, length = min(turns, key=lambda t: t[1]) if chance.random() < 0.7 else turns[0]
            new = next((n for n, left in enumerate(room) if left >= depth and problem.stages != 1), None)
            if new is None:
                room.append(deep)
                new = len(room) - 1
            room[new] -= depth
            shelves.append([new, depth, long, []])
            place = len(shelves) - 1
        shelves[place][2] -= length
        shelves[place][3].append(("-", blank, turn))
    other = "y" if way == "x" else "x"
    plan: list[list[Tree]] = [[] for _ in room]
    for number, _, _, blanks in shelves:
        plan[number].append(_beside(other, blanks))
    return [_beside(way, strips) for strips in plan]


def _beside(way: str, trees: list[Tree]) -> Tree:
    """Trees side by side."""
    tree = trees[-1]
    for one in reversed(trees[:-1]):
        tree = (way, one, tree)
    return tree


def filled(problem: Problem, board: int, blank: int, turn: int) -> Tree:
    """A board of the form "free" full of one blank, all lying one way; in one row where cuts may not
    change direction.
    """
    sheet, (wide, tall) = problem.boards[board], problem.blanks[blank].turns[turn]
    strip = _beside("y", [("-", blank, turn)] * (sheet.height // tall))
    return strip if problem.stages == 1 else _beside("x", [strip] * (sheet.width // wide))


def constructed(problem: Problem, board: int, runs: int, seed: int = 1) -> Iterator[list[Tree]]:
    """Plans on one kind of board, each a list of layouts.

    board  a board of the form "free" that every blank fits
    """
    chance = random.Random(seed)
    wanted = [b for b, blank in enumerate(problem.blanks) for _ in range(blank.demand)]
    size = [(max(blank.turns[0]), min(blank.turns[0])) for blank in problem.blanks]
    keys = (
        lambda b: size[b][0] * size[b][1],
        lambda b: size[b][0],
        lambda b: size[b][0] * size[b][0] * size[b][1],
        lambda b: size[b][1],
        lambda b: size[b][0] + size[b][1],
        lambda b: problem.blanks[b].turns[0][1],
    )
    for run in range(runs):
        key = keys[run % len(keys)]
        noise = 0.0 if run < 24 else chance.choice((0.1, 0.3, 0.6))
        alike = chance.random() < 0.5  # shuffle each kind of blank as one, or every blank
        factor = {b: 1 + noise * chance.random() for b in range(len(size))}
        order = sorted(
            wanted,
            key=lambda b, key=key, noise=noise, alike=alike, factor=factor: (
                -key(b) * (factor[b] if alike else 1 + noise * chance.random())
            ),
        )
        if problem.stages is not None or run % 4 == 3:
            yield _shelved(problem, board, order, "yx"[run % 2], chance)
            continue
        fit, split = chance.randrange(5), chance.randrange(4)
        if run < 24:
            fit, split = run % 3, run % 4
        yield [sheet.tree() for sheet in _one(problem, board, order, fit, split, run % 3 < 2)]
