"""Pieces, students and sheets -> the fewest sheets, how each is cut, and whether that is proved.

`plan_sheets` is the door to the package: what is asked is turned into whole numbers and
searched, what is found is turned into layouts and ordered cuts in the tutor's own units, and
every plan is carried out on paper before it is handed over.

Imports: lengths, papers, pieces, classplan.*.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from popkit.classplan.board import Problem, common_measure
from popkit.classplan.cutting import Heap, Schedule, Stroke, heap_of, scheduled
from popkit.classplan.master import fewest_layouts
from popkit.classplan.order import (
    Order,
    PlanError,
    Supply,
    as_supplies,
    by_stock,
    checked_demand,
    kinds_of,
    problem_of,
    unfit,
)
from popkit.classplan.replay import replay
from popkit.classplan.results import (
    Cut,
    Layout,
    Offcut,
    Pile,
    Placement,
    Progress,
    SheetPlan,
    Step,
    fineness,
)
from popkit.classplan.shapes import (
    Part,
    Piecewise,
    Row,
    Shape,
    drop_spare,
    neat,
    pieces_in,
    row,
    with_edges,
)
from popkit.classplan.solve import Outcome, solve
from popkit.lengths import Length, from_mm, mm, unit_of
from popkit.papers import Sheet, Stock
from popkit.pieces import Piece

__all__ = ["Wish", "carried_out", "letters", "plan_sheets"]

# The search ----------------------------------------------------------------------

# How hard to look for fewer layouts: (in a large class, in a class of so many pieces at most). More
# has found nothing in large classes, and takes longer there than all the rest.
_TIDY_PIECES = 1_500
_TIDY_NODES = (1, 300)  # branches of the integer programme
_TIDY_COLUMNS = (30, 60)  # layouts in it

# A first plan of so little work, of so few kinds of blank, is made before anybody can ask to stop.
_SOON = 1_000_000
_FEW = 16


def _piecewise(
    order: Order, problem: Problem, outcome: Outcome, kinds: list[tuple], tick: Fraction, tidy: bool
) -> list[Piecewise]:
    """The plan as shapes of blanks, none of them beyond need."""

    def short_cut_first(shape: Shape, form: str) -> Shape:
        """On a sheet too long to be cut both ways, the way it can be cut comes first."""
        way = {"rows": "y", "columns": "x"}.get(form)
        if way is None or (isinstance(shape, Row) and shape.way == way):
            return shape
        return Row(way, (shape,), shape.size, ("row", way, (shape.key,)))

    sizes = [[(int(w / tick), int(h / tick)) for w, h in ways] for ways in kinds]
    layouts = []
    for number in outcome.sheets.nonzero()[0].tolist():
        board = outcome.pool.boards[number]
        sheet = order.supplies[board].sheet
        layouts.append(
            Piecewise(
                board=board,
                sheet=(int(mm(sheet.width) / tick), int(mm(sheet.height) / tick)),
                count=int(outcome.sheets[number]),
                shape=neat(outcome.pool.tree(number), sizes),
            )
        )
    edged = order.stages is None
    if tidy:
        layouts = drop_spare(layouts, [blank.demand for blank in problem.blanks], edged)
    done = []
    for layout in layouts:
        form = problem.boards[layout.board].form
        shape = short_cut_first(layout.shape, form)
        if edged and form == "free":
            shape = with_edges(shape, layout.sheet)
        done.append(Piecewise(board=layout.board, sheet=layout.sheet, count=layout.count, shape=shape))
    return done


def _named(
    layouts: list[Piecewise], members: list[list[int]], demand: tuple[int, ...]
) -> list[Piecewise]:
    """Give every blank of a shape the number of a piece, so that each piece gets its demand.

    Pieces of one size are one blank to the search. A layout is taken apart into two that
    are cut alike only where its sheets cannot all carry the same pieces.
    """

    made: Counter[int] = Counter()
    for layout in layouts:
        for kind, held in pieces_in(layout.shape).items():
            made[kind] += held * layout.count
    left = {number: demand[number] for numbers in members for number in numbers}
    slack = {kind: made[kind] - sum(demand[n] for n in numbers) for kind, numbers in enumerate(members)}

    def name(shape: Shape, count: int) -> Shape | int:
        """The shape with pieces for blanks, or the number of sheets for which that would work."""
        if isinstance(shape, Part):
            kind, numbers = shape.piece, members[shape.piece]
            best = max(
                numbers, key=lambda n: (left[n] >= count, -left[n] if left[n] >= count else left[n])
            )
            short = max(0, count - left[best])
            if short > slack[kind]:
                return left[best]
            left[best] -= count - short
            slack[kind] -= short
            return Part(best, shape.width, shape.height)
        parts = []
        for part in shape.parts:
            done = name(part, count)
            if isinstance(done, int):
                return done
            parts.append(done)
        if len(parts) == 1:
            return type(shape)(shape.way, tuple(parts), shape.size, ("row", shape.way, (parts[0].key,)))
        return row(shape.way, parts)

    named: list[Piecewise] = []
    todo = sorted(layouts, key=lambda layout: layout.count)
    while todo:
        layout = todo.pop()
        before, room = dict(left), dict(slack)
        done = name(layout.shape, layout.count)
        if isinstance(done, int):
            left.update(before)
            slack.update(room)
            for count in (layout.count - done, done):
                todo.append(
                    Piecewise(board=layout.board, sheet=layout.sheet, count=count, shape=layout.shape)
                )
            continue
        named.append(Piecewise(board=layout.board, sheet=layout.sheet, count=layout.count, shape=done))
    return named


def _fewer_layouts(outcome: Outcome, problem: Problem, stop: Callable[[], bool]) -> Outcome:
    """The same number of sheets by fewer different layouts, if a short search finds that."""

    counts, boards, costs = outcome.pool.arrays()
    start = np.append(outcome.sheets, np.zeros(len(counts) - len(outcome.sheets), dtype=np.int64))
    if outcome.bound is None or np.count_nonzero(start) < 2:
        return outcome
    loss = costs * outcome.bound.share + np.array(outcome.bound.extra)[boards] - counts @ outcome.values
    usable = np.flatnonzero((loss <= outcome.bound.budget(outcome.cost)) | (start > 0))
    chosen = usable[np.argsort(np.where(start[usable] > 0, -1, loss[usable]), kind="stable")]
    small = int(problem.demand.sum() <= _TIDY_PIECES)
    chosen = chosen[: max(_TIDY_COLUMNS[small], np.count_nonzero(start))]
    weights = 20.0 + counts[chosen].sum(axis=1)
    sheets = np.zeros(len(counts), dtype=np.int64)
    sheets[chosen] = fewest_layouts(
        counts[chosen],
        costs[chosen],
        problem.demand,
        weights,
        start[chosen],
        boards=boards[chosen],
        limits={n: b.limit for n, b in enumerate(problem.boards) if b.limit is not None},
        nodes=_TIDY_NODES[small],
        stop=stop,
    )
    return replace(outcome, sheets=sheets)


# From whole numbers to the table --------------------------------------------------


class _Writer:
    """Turns ticks into lengths of one unit, and shapes and strokes into layouts and steps."""

    def __init__(self, order: Order, tick: Fraction, stock: Stock | None, stack: int) -> None:
        self.order, self.tick, self.stock, self.stack = order, tick, stock, stack
        self.units = tuple(dict.fromkeys(unit_of(piece.width) for piece in order.pieces))
        self.known: dict[int, Length] = {
            int(mm(side) / tick): side
            for piece in reversed(order.pieces)
            for side in (piece.length, piece.width)
            if (mm(side) / tick).denominator == 1
        }

    def length(self, ticks: int) -> Length:
        """In the unit of the pieces; where they have several, in the one of the coarsest mark."""
        if ticks not in self.known:
            ways = [from_mm(ticks * self.tick, unit) for unit in self.units]
            self.known[ticks] = min(ways, key=fineness)
        return self.known[ticks]

    def layout(self, piecewise: Piecewise, schedule: Schedule, name: str, shift: int) -> Layout:
        places, cuts, offcuts = schedule.placed(piecewise.shape, piecewise.sheet)
        supply = self.order.supplies[piecewise.board]
        placements = []
        for place in places:
            piece = self.order.pieces[place.piece]
            size = (self.length(place.rect.width), self.length(place.rect.height))
            placements.append(
                Placement(
                    piece=piece.name,
                    number=place.piece,
                    x=self.length(place.rect.x),
                    y=self.length(place.rect.y),
                    width=size[0],
                    height=size[1],
                    turned=mm(size[0]) != mm(piece.width),
                )
            )
        return Layout(
            name=name,
            sheet=supply.sheet,
            stock=self.stock,
            count=piecewise.count,
            placements=tuple(placements),
            cuts=tuple(
                Cut(
                    number=cut.number + shift,
                    runs="along" if cut.along else "across",
                    at=self.length(cut.at),
                    start=self.length(cut.plate.y if cut.along else cut.plate.x),
                    stop=self.length(
                        cut.plate.y + cut.plate.height if cut.along else cut.plate.x + cut.plate.width
                    ),
                    fence=self.length(cut.fence),
                )
                for cut in cuts
            ),
            offcuts=tuple(
                Offcut(
                    x=self.length(one.x),
                    y=self.length(one.y),
                    width=self.length(one.width),
                    height=self.length(one.height),
                )
                for one in sorted(offcuts, key=lambda one: -one.width * one.height)
            ),
            from_cupboard=supply.limit is not None,
        )

    def steps(self, schedule: Schedule, roots: dict[Heap, list[str]], shift: int) -> list[Step]:
        made_by: dict[Heap, list[int]] = {}
        taken_by = {stroke.heap: stroke.number + shift for stroke in schedule.strokes}
        for stroke in schedule.strokes:
            for heap in {*stroke.off, *([stroke.rest] if stroke.rest else [])}:
                made_by.setdefault(heap, []).append(stroke.number + shift)
        steps = []
        fence = None
        for stroke in schedule.strokes:
            steps.append(self._step(stroke, fence, made_by, taken_by, roots, shift))
            fence = stroke.fence
        return steps

    def _pile(self, heap: Heap, count: int, taken_by: dict[Heap, int]) -> Pile:
        done = not heap.way and heap.parts
        return Pile(
            width=self.length(heap.plate[0]),
            height=self.length(heap.plate[1]),
            count=count,
            piece=self.order.pieces[heap.parts[0].piece].name if done else None,
            to_step=taken_by.get(heap) if heap.way else None,
        )

    def _step(
        self,
        stroke: Stroke,
        fence: int | None,
        made_by: dict[Heap, list[int]],
        taken_by: dict[Heap, int],
        roots: dict[Heap, list[str]],
        shift: int,
    ) -> Step:
        heap = stroke.heap
        stacks = -(-stroke.plates // self.stack)
        return Step(
            number=stroke.number + shift,
            stock=self.stock,
            fence=self.length(stroke.fence),
            fence_moves=stroke.fence != fence,
            take=Pile(
                width=self.length(heap.plate[0]),
                height=self.length(heap.plate[1]),
                count=stroke.plates,
                from_steps=tuple(made_by.get(heap, ())),
                to_step=stroke.number + shift,
                layouts=tuple(roots.get(heap, ())),
            ),
            runs="along" if heap.way == "x" else "across",
            cut_length=self.length(heap.plate[1 - heap.side]),
            cuts_each=stroke.cuts,
            strokes=stacks * stroke.cuts,
            gives=tuple(
                self._pile(off, held * stroke.plates, taken_by)
                for off, held in Counter(stroke.off).items()
            ),
            rest=None if stroke.rest is None else self._pile(stroke.rest, stroke.plates, taken_by),
        )


def letters(number: int) -> str:
    """0 -> A, 25 -> Z, 26 -> AA."""
    name = ""
    number += 1
    while number:
        number, digit = divmod(number - 1, 26)
        name = chr(ord("A") + digit) + name
    return name


# The door ------------------------------------------------------------------------


def plan_sheets(
    pieces: Iterable[Piece],
    *,
    students: int,
    sheet: Sheet | str | tuple[Length | str, Length | str],
    turn: str = "grain",
    longest_cut: Length | str | None = None,
    stages: int | None = None,
    spares: int | Mapping[str, int] = 0,
    or_sheets: Iterable[Sheet | str | tuple] = (),
    cupboard: Iterable[tuple[Sheet | str | tuple, int]] = (),
    costs: Mapping[str, int] | None = None,
    stack: int = 1,
    tidy: bool = True,
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
    seconds: float | None = None,
) -> SheetPlan:
    """The fewest sheets that give a class its pieces, every cut running from edge to edge.

    pieces       for one kit; `Piece.count` of each. Pieces of different stocks never share a
                 sheet; pieces of no stock go with the stock that is used most
    students     how many kits
    sheet        a name ("A4"), a `Sheet`, or (width, height); its grain runs along the height
    turn         "grain": pieces with a grain are laid so that it runs with the sheet's, the
                 others as it suits; "free": everything as it suits; "never": the width
                 across, as listed
    longest_cut  what the trimmer takes; None for any length
    stages       how often cuts may change direction, the first direction counted and
                 trimming a piece to size not; None for as often as it suits
    spares       spare kits, or spare pieces by name
    or_sheets    other sizes that could be bought as well; then the area bought is made least
    cupboard     (sheet, how many) that are there already and are used first
    costs        what one sheet costs by name of the sheet, whole numbers; then the cost of
                 what is bought is made least
    stack        how many plates the trimmer takes at once
    tidy         whether to look for fewer layouts and fewer cuts once the number is known
    progress     told of every advance
    stop         asked often; once it answers True the best plan so far is returned, not
                 proved unless its number happens to meet the bound
    seconds      after which to stop likewise; without it a plan does not depend on the speed
                 of the machine
    Raises: PlanError with every fault; a piece that no sheet can give is named there with a
            sheet that could.
    Source: the method is in the modules of this package; the bound is Farley's (1990).
    """
    pieces = tuple(pieces)
    faults, demand, longest = checked_demand(pieces, students, spares, turn, longest_cut, stages, stack)
    cupboard = tuple(cupboard)
    if not faults and cupboard and len(by_stock(pieces)) > 1:
        faults.append(
            "The cupboard is given for one stock, and the pieces are of several: use plan_class."
        )
    supplies, aim, unit = as_supplies(sheet, or_sheets, cupboard, costs, faults)
    if faults:
        raise PlanError(*faults)
    wish = Wish(
        pieces=pieces,
        demand=demand,
        students=students,
        supplies=supplies,
        aim=aim,
        unit=unit,
        turn=turn,
        longest=longest,
        stages=stages,
        stack=stack,
    )
    faults = wish.unfit()
    if faults:
        raise PlanError(*faults)
    until = None if seconds is None else time.monotonic() + seconds
    return carried_out(wish, tidy=tidy, progress=progress, stop=stop, until=until)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A plan that is asked for, checked.

    demand  how many of each piece in all
    unit    how many units of cost are one unit of the aim
    """

    pieces: tuple[Piece, ...]
    demand: tuple[int, ...]
    students: int
    supplies: tuple[Supply, ...]
    aim: str
    unit: int
    turn: str
    longest: Length | None
    stages: int | None
    stack: int

    def order(self, numbers: Iterable[int]) -> Order:
        """The order for some of the pieces, by their numbers."""
        kept = set(numbers)
        return Order(
            pieces=self.pieces,
            demand=tuple(wanted if n in kept else 0 for n, wanted in enumerate(self.demand)),
            supplies=self.supplies,
            aim=self.aim,
            unit=self.unit,
            turn=self.turn,
            longest=None if self.longest is None else mm(self.longest),
            stages=self.stages,
        )

    def unfit(self) -> list[str]:
        """Why each piece that cannot be had cannot be had."""
        order = self.order(range(len(self.pieces)))
        return [fault for piece in self.pieces if (fault := unfit(piece, order)) is not None]


def carried_out(
    wish: Wish,
    *,
    tidy: bool = True,
    quick: bool = False,
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
    until: float | None = None,
) -> SheetPlan:
    """The plan for what is asked, replayed.

    wish   every piece of it to be had from its sheets
    quick  whether to leave out the long proofs
    until  when to stop, as `time.monotonic` counts
    """
    layouts: list[Layout] = []
    steps: list[Step] = []
    reached = bound = 0
    proofs = []
    for stock, numbers in by_stock(wish.pieces):
        part = _plan_stock(
            wish.order(numbers),
            stock,
            numbers,
            wish.stack,
            tidy,
            progress,
            stop,
            until,
            len(layouts),
            len(steps),
            quick,
        )
        layouts += part.layouts
        steps += part.steps
        reached, bound = reached + part.reached, bound + part.bound
        proofs.append(part.proof)
    made: Counter[int] = Counter()
    for layout in layouts:
        for placement in layout.placements:
            made[placement.number] += layout.count
    extra: Counter[str] = Counter()
    for number, piece in enumerate(wish.pieces):
        extra[piece.name] += made[number] - wish.demand[number]
    plan = SheetPlan(
        students=wish.students,
        pieces=wish.pieces,
        demand=wish.demand,
        turn=wish.turn,
        longest_cut=wish.longest,
        stages=wish.stages,
        stack=wish.stack,
        layouts=tuple(layouts),
        aim=wish.aim,
        reached=reached,
        bound=bound,
        proved=reached == bound,
        proof="" if reached != bound else "search" if "search" in proofs else "bound",
        spares=dict(+extra),
        steps=tuple(steps),
    )
    _checked(plan)
    return plan


def _checked(plan: SheetPlan) -> None:
    """Refuse a plan that does not do what it says; that would be a fault of popkit's."""

    if faults := replay(plan):
        raise AssertionError("popkit made a plan that cannot be cut: " + "; ".join(faults))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """The plan for one stock."""

    layouts: list[Layout]
    steps: list[Step]
    reached: int
    bound: int
    proof: str


def _plan_stock(
    order: Order,
    stock: Stock | None,
    numbers: list[int],
    stack: int,
    tidy: bool,
    progress: Callable[[Progress], None] | None,
    stop: Callable[[], bool] | None,
    until: float | None,
    layouts_before: int,
    steps_before: int,
    quick: bool,
) -> _Part:

    def report(phase: str, cost: int | None, least: int) -> None:
        if progress is not None:
            best = None if cost is None else cost // order.unit
            name = stock.name if stock is not None else ""
            progress(Progress(phase=phase, stock=name, best=best, bound=least // order.unit))

    all_kinds, all_members = kinds_of(order)
    members = [[n for n in group if n in numbers] for group in all_members]
    kinds = [ways for ways, group in zip(all_kinds, members, strict=True) if group]
    members = [group for group in members if group]
    asked = problem_of(order, kinds, members)
    problem = asked.search
    if quick and problem.work <= _SOON and len(problem.blanks) <= _FEW:
        stop = until = None
    seconds = None if until is None else max(0.0, until - time.monotonic())
    outcome = solve(
        problem,
        under=asked.under,
        exact=problem.points is None,
        stop=stop,
        seconds=seconds,
        report=report,
        unit=order.unit,
        quick=quick,
    )

    def over() -> bool:
        return (stop is not None and bool(stop())) or (until is not None and time.monotonic() > until)

    if tidy and not over():
        outcome = _fewer_layouts(outcome, problem, over)
    tick = common_measure(
        [side for ways in kinds for way in ways for side in way]
        + [mm(side) for s in order.supplies for side in (s.sheet.width, s.sheet.height)]
    )
    shapes = _named(_piecewise(order, problem, outcome, kinds, tick, tidy), members, order.demand)
    shapes.sort(key=lambda one: (one.board, -one.count, one.shape.key))
    cost = sum(order.supplies[one.board].cost * one.count for one in shapes)
    schedule = scheduled([(one.shape, one.sheet, one.count) for one in shapes])
    writer = _Writer(order, tick, stock, stack)
    names = [letters(layouts_before + k) for k in range(len(shapes))]
    roots: dict[Heap, list[str]] = {}
    for one, name in zip(shapes, names, strict=True):
        roots.setdefault(heap_of(one.shape, one.sheet), []).append(name)
    reached, least = cost // order.unit, outcome.least // order.unit
    return _Part(
        layouts=[
            writer.layout(one, schedule, name, steps_before)
            for one, name in zip(shapes, names, strict=True)
        ],
        steps=writer.steps(schedule, roots, steps_before),
        reached=reached,
        bound=least,
        proof=outcome.proof or ("bound" if reached == least else ""),
    )
