"""Benchmark data of edge-to-edge cutting as pieces and sheets, and a check of layouts from outside."""

from __future__ import annotations

import json
from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path

from popkit.lengths import Q
from popkit.pieces import Piece

DATA = Path(__file__).parents[1] / "data" / "guillotine"


def instances(family: str) -> list[dict]:
    """The instances of one file; sources stand in the file."""
    return json.loads((DATA / f"{family}.json").read_text(encoding="utf-8"))["instances"]


def length(number: int | Fraction) -> Q:
    """A number of the benchmark as a length; tenths of a millimetre keep sheets of 3000 under 2 m."""
    return Q(Fraction(number, 10), "millimeter")


def sheet_of(instance: dict) -> tuple[Q, Q]:
    return tuple(length(side) for side in instance["sheet"])


def rectangles(rows: Iterable[list[int]], counts: Iterable[int] | None = None) -> list[Piece]:
    """Pieces without a grain, one for each row, named by its number."""
    rows = list(rows)
    counts = [1] * len(rows) if counts is None else list(counts)
    return [
        Piece(name=f"item {number}", width=length(row[0]), length=length(row[1]), count=count)
        for number, (row, count) in enumerate(zip(rows, counts, strict=True))
    ]


Box = tuple[Fraction, Fraction, Fraction, Fraction]


def comes_apart(boxes: list[Box], plate: Box) -> bool:
    """Whether edge-to-edge cuts take these boxes (x, y, width, height) apart, each lying inside.

    By trying a cut at every side of a box; shares nothing with popkit.
    """
    x, y, width, height = plate
    if any(bx < x or by < y or bx + bw > x + width or by + bh > y + height for bx, by, bw, bh in boxes):
        return False
    if len(boxes) <= 1:
        return True
    for axis in (0, 1):
        for at in {box[axis] + box[axis + 2] for box in boxes}:
            near = [box for box in boxes if box[axis] + box[axis + 2] <= at]
            far = [box for box in boxes if box[axis] >= at]
            if len(near) + len(far) == len(boxes) and near and far:
                return comes_apart(near, plate) and comes_apart(far, plate)
    return False
