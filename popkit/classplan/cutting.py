"""The order of the cuts: few fence settings, heaps of like plates cut together.

A trimmer has one fence. Setting it is the slow part, so everything that can be cut at one
setting is cut before it is moved, and plates that are divided alike are put on one heap
whichever layout they came from. A heap is cut once, when all that will ever be on it is.

All in whole ticks, see `shapes`.

Imports: classplan.shapes.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import lru_cache

from popkit.classplan.shapes import Part, Shape, Size

__all__ = ["CutLine", "Heap", "Place", "Rect", "Schedule", "Stroke", "heap_of", "scheduled"]


@dataclass(frozen=True, slots=True)
class Heap:
    """Plates that are alike and will be divided alike.

    plate  their size
    way    the direction they are divided in next, "x" or "y"; "" if they are done
    parts  the shapes to come out of each; for a done plate the one `Part`, or none (offcut)
    """

    plate: Size
    way: str
    parts: tuple[Shape, ...]

    @property
    def key(self) -> tuple:
        """Something to sort by: largest plates first."""
        return (
            -self.plate[0] * self.plate[1],
            self.plate,
            self.way,
            tuple(part.key for part in self.parts),
        )

    @property
    def side(self) -> int:
        """The side that is divided: 0 across, 1 along."""
        return 0 if self.way == "x" else 1

    def fences(self) -> set[int]:
        """The settings at which something can be cut from these plates now."""
        return {part.size[self.side] for part in self.parts} if self.way else set()


def heap_of(shape: Shape, plate: Size) -> Heap:
    """The heap of plates to be cut to a shape."""
    if isinstance(shape, Part):
        if shape.size == plate:
            return Heap(plate, "", (shape,))
        return Heap(plate, "x" if shape.width < plate[0] else "y", (shape,))
    side = 0 if shape.way == "x" else 1
    if len(shape.parts) == 1 and shape.parts[0].size[side] == plate[side]:
        return heap_of(shape.parts[0], plate)
    return Heap(plate, shape.way, tuple(sorted(shape.parts, key=lambda part: part.key)))


@dataclass(frozen=True, slots=True)
class _Division:
    """What one plate of a heap gives at one setting of the fence.

    cuts  how many
    off   what is cut off, from the near edge on
    rest  what remains beyond the last cut; None if the last cut leaves the last of `off`
    """

    cuts: int
    off: tuple[Heap, ...]
    rest: Heap | None


def _divide(heap: Heap, fence: int) -> _Division:
    side, plate = heap.side, heap.plate
    cross = plate[1 - side]

    def sized(length: int) -> Size:
        return (length, cross) if side == 0 else (cross, length)

    off = [part for part in heap.parts if part.size[side] == fence]
    others = [part for part in heap.parts if part.size[side] != fence]
    left = plate[side] - len(off) * fence
    cut = tuple(heap_of(part, sized(fence)) for part in off)
    if left == 0:
        return _Division(len(off) - 1, cut, None)
    if not others:
        return _Division(len(off), cut, Heap(sized(left), "", ()))
    if len(others) == 1:
        rest = heap_of(others[0], sized(left))
        if rest.way and others[0].size[side] < left:
            rest = Heap(sized(left), heap.way, tuple(others))
    else:
        rest = Heap(sized(left), heap.way, tuple(others))
    return _Division(len(off), cut, rest)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """One heap cut at one setting of the fence.

    number  from 1; also the number of the cut lines drawn in the layouts
    plates  how many plates are on the heap
    cuts    how many cuts each plate gets
    off     what is cut off one plate
    rest    what is left of one plate, or None
    """

    number: int
    heap: Heap
    fence: int
    plates: int
    cuts: int
    off: tuple[Heap, ...]
    rest: Heap | None


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle on a sheet: from the left side and the top end."""

    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Place:
    """Where a piece lies on a sheet."""

    piece: int
    rect: Rect


@dataclass(frozen=True, slots=True)
class CutLine:
    """One cut on a sheet.

    number  of the stroke
    along   whether it runs along the sheet (at a distance from the left side) or across it
    at      that distance, or the distance from the top end
    plate   what is cut in two
    fence   how wide the part cut off is
    """

    number: int
    along: bool
    at: int
    plate: Rect
    fence: int


class Schedule:
    """Every stroke in order, and with them the place of everything on each layout."""

    def __init__(self) -> None:
        self.strokes: list[Stroke] = []
        self._of: dict[Heap, Stroke] = {}

    def placed(self, shape: Shape, sheet: Size) -> tuple[list[Place], list[CutLine], list[Rect]]:
        """Pieces, cuts in order, and offcuts of one sheet."""
        places: list[Place] = []
        cuts: list[CutLine] = []
        offcuts: list[Rect] = []
        todo = [(heap_of(shape, sheet), 0, 0)]
        while todo:
            heap, x, y = todo.pop()
            rect = Rect(x, y, *heap.plate)
            if not heap.way:
                if heap.parts:
                    places.append(Place(heap.parts[0].piece, rect))
                else:
                    offcuts.append(rect)
                continue
            stroke = self._of[heap]
            across = heap.way == "x"
            inner = []
            for place, off in enumerate(stroke.off):
                shift = place * stroke.fence
                spot = (x + shift, y) if across else (x, y + shift)
                inner.append((off, *spot))
                if place < stroke.cuts:
                    left = heap.plate[heap.side] - shift
                    size = (left, heap.plate[1]) if across else (heap.plate[0], left)
                    at = (spot[0] if across else spot[1]) + stroke.fence
                    cuts.append(CutLine(stroke.number, across, at, Rect(*spot, *size), stroke.fence))
            if stroke.rest is not None:
                shift = len(stroke.off) * stroke.fence
                inner.append((stroke.rest, *((x + shift, y) if across else (x, y + shift))))
            todo += reversed(inner)
        cuts.sort(key=lambda cut: cut.number)
        return places, cuts, offcuts


def scheduled(sheets: list[tuple[Shape, Size, int]]) -> Schedule:
    """Strokes for so many sheets of each shape.

    sheets  (shape, sheet size, count)
    """
    schedule = Schedule()
    waiting: Counter[Heap] = Counter()
    for shape, sheet, count in sheets:
        heap = heap_of(shape, sheet)
        if heap.way:
            waiting[heap] += count
    fence: int | None = None
    while waiting:
        ready = [heap for heap in waiting if not any(_leads_to(other, heap) for other in waiting)]
        at_hand = [heap for heap in ready if fence in heap.fences()]
        if not at_hand:
            fence = _next_fence(ready, waiting)
            at_hand = [heap for heap in ready if fence in heap.fences()]
        heap = min(at_hand, key=lambda one: one.key)
        plates = waiting.pop(heap)
        division = _divide(heap, fence)
        stroke = Stroke(
            number=len(schedule.strokes) + 1,
            heap=heap,
            fence=fence,
            plates=plates,
            cuts=division.cuts,
            off=division.off,
            rest=division.rest,
        )
        schedule.strokes.append(stroke)
        schedule._of[heap] = stroke
        for made in (*division.off, *([division.rest] if division.rest else [])):
            if made.way:
                waiting[made] += plates
    return schedule


@lru_cache(maxsize=10_000)
def _within(heap: Heap) -> tuple[Heap, ...]:
    """The heap and every heap its parts will make, remainders of rows left out."""
    found = [heap]
    if heap.way:
        for part in heap.parts:
            size = part.size[heap.side]
            plate = (size, heap.plate[1]) if heap.side == 0 else (heap.plate[0], size)
            found += _within(heap_of(part, plate))
    return tuple(found)


@lru_cache(maxsize=50_000)
def _leads_to(heap: Heap, other: Heap) -> bool:
    """Whether cutting one heap may put more plates on another."""
    if heap == other or heap.plate[0] * heap.plate[1] <= other.plate[0] * other.plate[1]:
        return False
    for inner in _within(heap):
        if inner == other and inner is not heap:
            return True
        side = inner.side
        if inner.way and inner.plate[1 - side] == other.plate[1 - side]:
            spare = Counter(inner.parts) - Counter(other.parts)
            gone = sum(part.size[side] * n for part, n in spare.items())
            if inner.plate[side] - gone == other.plate[side] and (
                inner.way == other.way or len(inner.parts) - spare.total() <= 1
            ):
                return True
    return False


def _next_fence(ready: list[Heap], waiting: Counter[Heap]) -> int:
    """The setting with the least work at it still out of reach; of those the widest."""
    later: Counter[int] = Counter()
    for heap in waiting:
        for inner in _within(heap)[1:]:
            for fence in inner.fences():
                later[fence] += 1
        if heap not in ready:
            for fence in heap.fences():
                later[fence] += 1
    options = set().union(*(heap.fences() for heap in ready))
    return min(options, key=lambda fence: (later[fence] > 0, later[fence], -fence))
