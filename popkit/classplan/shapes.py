"""How a sheet is divided, in whole ticks: neat, with no cut and no piece to spare.

A shape is a piece or a row of shapes side by side; its size is what it needs, and where the
plate it is cut from is larger the rest is an offcut. A tick is a
length of which every piece and every sheet is a whole number, so nothing is rounded. The search
knows only that its pieces fit; here neighbouring cuts in one direction become one row, the waste
round a whole sheet is taken off first where that leaves it in one piece, and blanks cut beyond
the demand are left
uncut where that saves cuts.

Imports: classplan.pricing (for the type of a tree).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from popkit.classplan.pricing import Tree

__all__ = [
    "Part",
    "Piecewise",
    "Row",
    "Shape",
    "Size",
    "cost_of",
    "drop_spare",
    "neat",
    "pieces_in",
    "row",
    "with_edges",
]

Size = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Part:
    """A piece: which, and how it lies, across and along."""

    piece: int
    width: int
    height: int

    @property
    def size(self) -> Size:
        """Across and along."""
        return self.width, self.height

    @property
    def key(self) -> tuple:
        """Something to sort by; equal for shapes that are cut alike."""
        return ("", self.piece, self.width, self.height)


@dataclass(frozen=True, slots=True)
class Row:
    """Shapes beside each other: way "x" across the sheet, "y" along it."""

    way: str
    parts: tuple[Shape, ...]
    size: Size
    key: tuple


Shape = Part | Row


@dataclass(frozen=True, slots=True, kw_only=True)
class Piecewise:
    """A kind of sheet divided in one way, and how many sheets are.

    board   the number of the kind of sheet
    sheet   its size
    """

    board: int
    sheet: Size
    count: int
    shape: Shape


def row(way: str, parts: list[Shape]) -> Shape:
    """Shapes side by side, rows of the same direction taken into one, widest part first."""
    flat: list[Shape] = []
    for part in parts:
        flat += part.parts if isinstance(part, Row) and part.way == way else [part]
    flat.sort(key=lambda part: (-part.size[way == "y"], part.key))
    side = 0 if way == "x" else 1
    along = sum(part.size[side] for part in flat)
    across = max(part.size[1 - side] for part in flat)
    size = (along, across) if way == "x" else (across, along)
    return Row(way, tuple(flat), size, ("row", way, tuple(part.key for part in flat)))


def neat(tree: Tree, sizes: list[list[Size]]) -> Shape | None:
    """The shape of a layout found by the search.

    sizes  for each blank and turn, across and along
    Returns: a shape whose pieces are numbered as the blanks; None if it holds none.
    """
    if not tree:
        return None
    if tree[0] == "-":
        return Part(tree[1], *sizes[tree[1]][tree[2]])
    parts = [part for part in (neat(tree[1], sizes), neat(tree[2], sizes)) if part is not None]
    if len(parts) < 2:
        return parts[0] if parts else None
    return row(tree[0], parts)


def pieces_in(shape: Shape) -> Counter[int]:
    """How many of each piece."""
    if isinstance(shape, Part):
        return Counter([shape.piece])
    return sum((pieces_in(part) for part in shape.parts), Counter())


def with_edges(shape: Shape, sheet: Size) -> Shape:
    """The shape with the waste along one or both edges of the sheet taken off whole, first.

    Of the two orders of those cuts the one that leaves the larger offcut. Only for sheets
    that may be cut in any direction, with any number of changes of it.
    """
    if isinstance(shape, Part):
        return shape
    (wide, tall), (width, height) = shape.size, sheet
    right, bottom = width - wide, height - tall
    if (shape.way == "x" and bottom == 0) or (shape.way == "y" and right == 0):
        return shape
    if shape.way == "x":
        own_first = right * height > max(width * bottom, right * tall)
    else:
        own_first = width * bottom > max(right * height, bottom * wide)
    other = "y" if shape.way == "x" else "x"
    trimmed = Row(other, (shape,), shape.size, ("row", other, (shape.key,)))
    if not own_first or (right if shape.way == "x" else bottom) == 0:
        return trimmed
    return Row(shape.way, (trimmed,), shape.size, ("row", shape.way, (trimmed.key,)))


@lru_cache(maxsize=20_000)
def cost_of(shape: Shape, plate: Size) -> tuple[int, int]:
    """Cuts it takes to get a shape from a plate, and the area of the largest offcut."""
    (wide, tall), (width, height) = shape.size, plate
    if isinstance(shape, Part):
        right, bottom = (width - wide) * height, wide * (height - tall)
        return (wide < width) + (tall < height), max(right, bottom)
    side = 0 if shape.way == "x" else 1
    left = plate[side] - shape.size[side]
    cuts = len(shape.parts) - (left == 0)
    largest = left * plate[1 - side]
    for part in shape.parts:
        inner = (part.size[0], height) if shape.way == "x" else (width, part.size[1])
        more, area = cost_of(part, inner)
        cuts += more
        largest = max(largest, area)
    return cuts, largest


def _without(shape: Shape, piece: int) -> Iterator[Shape | None]:
    """The shape less one of a piece, each way that can be done."""
    if isinstance(shape, Part):
        if shape.piece == piece:
            yield None
        return
    tried = set()
    for place, part in enumerate(shape.parts):
        if part.key in tried:
            continue
        tried.add(part.key)
        rest = [*shape.parts[:place], *shape.parts[place + 1 :]]
        for less in _without(part, piece):
            parts = rest if less is None else [*rest, less]
            yield None if not parts else parts[0] if len(parts) == 1 else row(shape.way, parts)


def drop_spare(layouts: list[Piecewise], demand: list[int], edged: bool) -> list[Piecewise]:
    """Leave blanks beyond the demand uncut where that saves a cut or leaves a larger offcut.

    edged  whether `with_edges` will be applied to the shapes
    """

    def cost(shape: Shape, sheet: Size) -> tuple[int, int]:
        cuts, area = cost_of(with_edges(shape, sheet) if edged else shape, sheet)
        return cuts, -area

    extra = Counter[int]()
    for layout in layouts:
        for piece, held in pieces_in(layout.shape).items():
            extra[piece] += held * layout.count
    extra.subtract(dict(enumerate(demand)))
    kept = []
    for layout in sorted(layouts, key=lambda one: one.count):
        shape: Shape | None = layout.shape
        trying = True
        while trying and shape is not None:
            trying = False
            here = cost(shape, layout.sheet)
            for piece in sorted(pieces_in(shape)):
                if extra[piece] < layout.count:
                    continue
                options = list(_without(shape, piece))
                if None in options:
                    better = None
                else:
                    better = min(options, key=lambda one: (*cost(one, layout.sheet), one.key))
                    if cost(better, layout.sheet) >= here:
                        continue
                extra[piece] -= layout.count
                shape, trying = better, True
                break
        if shape is not None:
            kept.append(
                Piecewise(board=layout.board, sheet=layout.sheet, count=layout.count, shape=shape)
            )
    return kept
