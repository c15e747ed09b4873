"""Pieces, students and sheets -> the fewest sheets, how each is cut, and whether that is proved.

`plan_sheets` is the door to the package: it turns lengths into whole numbers, has them
searched, turns what was found into layouts and ordered cuts in the tutor's own units, and
carries every plan out on paper before handing it over.

Imports: lengths, papers, pieces, classplan.*; the search (numpy, highspy) when first used.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

from popkit.lengths import Length, LengthError, as_length, from_mm, mm, show_exact, show_length, unit_of
from popkit.papers import SHEETS, Sheet, Stock, as_sheet
from popkit.pieces import Piece

if TYPE_CHECKING:
    from popkit.classplan.board import Problem
    from popkit.classplan.cutting import Heap, Schedule, Stroke
    from popkit.classplan.shapes import Piecewise, Shape
    from popkit.classplan.solve import Outcome

__all__ = [
    "Cut",
    "Layout",
    "Offcut",
    "Pile",
    "Placement",
    "PlanError",
    "Progress",
    "SheetPlan",
    "Step",
    "plan_sheets",
]

TURNS = ("grain", "free", "never")


class PlanError(ValueError):
    """Pieces that cannot be planned. `faults` holds every reason, each a sentence."""

    def __init__(self, *faults: str) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(faults))


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a plan has come, as `progress` is told.

    phase  what was last done: "first plan", "layouts", "whole sheets", "closing the gap"
    stock  name of the stock that is being planned, or ""
    best   the best plan so far, in what is made least (sheets as a rule); None if none yet
    bound  no plan has less
    """

    phase: str
    stock: str
    best: int | None
    bound: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """A piece on a sheet.

    piece          its name; number: its place among the pieces of the plan
    x, y           from the left side and from the top end of the sheet
    width, height  across and along the sheet, as it lies
    turned         whether its own width runs along the sheet
    """

    piece: str
    number: int
    x: Length
    y: Length
    width: Length
    height: Length
    turned: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A cut on a sheet, from edge to edge of what is left of it.

    number       of the step it belongs to
    runs         "along" the sheet (at a distance from its left side) or "across" it
    at           that distance, or the distance from the top end
    start, stop  where it begins and ends, measured the other way
    fence        the width of the part cut off
    """

    number: int
    runs: str
    at: Length
    start: Length
    stop: Length
    fence: Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Offcut:
    """What is left of a sheet, in one rectangle: place and size as for a `Placement`."""

    x: Length
    y: Length
    width: Length
    height: Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """One way to divide a sheet, and how many sheets are divided so.

    name          "A", "B", ...
    cuts          in the order they are made
    offcuts       largest first
    from_cupboard whether the sheets are some of those already there
    """

    name: str
    sheet: Sheet
    stock: Stock | None
    count: int
    placements: tuple[Placement, ...]
    cuts: tuple[Cut, ...]
    offcuts: tuple[Offcut, ...]
    from_cupboard: bool = False

    @property
    def waste(self) -> Fraction:
        """The share of the sheet that is offcut."""
        used = sum(mm(one.width) * mm(one.height) for one in self.placements)
        return 1 - used / (mm(self.sheet.width) * mm(self.sheet.height))


@dataclass(frozen=True, slots=True, kw_only=True)
class Pile:
    """Plates of one size on the table.

    count      how many
    piece      the name of the piece they are, or None
    from_steps the steps that made them; none for whole sheets
    to_step    the step that takes them, or None
    layouts    for whole sheets the names of their layouts
    """

    width: Length
    height: Length
    count: int
    piece: str | None = None
    from_steps: tuple[int, ...] = ()
    to_step: int | None = None
    layouts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One pile cut at one setting of the fence.

    fence        the distance from fence to blade
    fence_moves  whether it has to be set, or still stands so from the step before
    take         the plates that are cut
    runs         which way the cut runs on the sheet they came from, "along" or "across"
    cut_length   how long it is
    cuts_each    cuts to a plate
    strokes      of the blade in all, when plates are stacked as high as the trimmer takes
    gives        what is cut off
    rest         what is left beyond the last cut, if that is not one more of the same
    """

    number: int
    stock: Stock | None
    fence: Length
    fence_moves: bool
    take: Pile
    runs: str
    cut_length: Length
    cuts_each: int
    strokes: int
    gives: tuple[Pile, ...]
    rest: Pile | None

    def text(self) -> str:
        """The step as one would say it."""
        return _step_text(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPlan:
    """Sheets for a class.

    pieces       as given; demand: how many of each are wanted in all
    layouts      how sheets are divided, most used first
    sheets       how many in all
    aim          what is made least: "sheets", "sheets to buy", "area" (of the sheets, cm²)
                 or "cost" (of the sheets, in the units of the costs given)
    reached      how much of that the plan takes; bound: no plan takes less
    proved       whether the two agree; proof: "bound" if the bound rests on whole numbers
                 alone, "search" if every layout a better plan could use was tried
    spares       pieces made beyond the demand, by name
    steps        the cuts as they are made, in order
    stack        how many plates the trimmer takes at once
    """

    students: int
    pieces: tuple[Piece, ...]
    demand: tuple[int, ...]
    turn: str
    longest_cut: Length | None
    stages: int | None
    stack: int
    layouts: tuple[Layout, ...]
    aim: str
    reached: int
    bound: int
    proved: bool
    proof: str
    spares: Mapping[str, int]
    steps: tuple[Step, ...] = field(default=())

    @property
    def sheets(self) -> int:
        """How many sheets in all."""
        return sum(layout.count for layout in self.layouts)

    @property
    def gap(self) -> int:
        """How far the plan may be from the best there is; 0 when proved."""
        return self.reached - self.bound

    @property
    def bought(self) -> int:
        """How many of the sheets are not in the cupboard."""
        return sum(layout.count for layout in self.layouts if not layout.from_cupboard)

    @property
    def waste(self) -> Fraction:
        """The share of all the sheets that is offcut."""
        total = sum(_area(layout.sheet) * layout.count for layout in self.layouts)
        return sum(layout.waste * _area(layout.sheet) * layout.count for layout in self.layouts) / total

    @property
    def sheet_counts(self) -> tuple[tuple[Sheet, Stock | None, bool, int], ...]:
        """Sheets by size, stock and whether they come from the cupboard, with their number."""
        found: Counter[tuple] = Counter()
        for layout in self.layouts:
            found[layout.sheet, layout.stock, layout.from_cupboard] += layout.count
        return tuple((*key, count) for key, count in found.items())

    @property
    def fence_settings(self) -> int:
        """How often the fence is moved."""
        return sum(step.fence_moves for step in self.steps)

    @property
    def strokes(self) -> int:
        """How often the blade comes down."""
        return sum(step.strokes for step in self.steps)

    def cut_list(self) -> str:
        """The steps as numbered lines to cut by."""
        return "\n".join(f"{step.number}. {step.text()}" for step in self.steps)

    def summary(self) -> str:
        """The plan in a sentence or two."""
        return _summary(self)


def _area(sheet: Sheet) -> Fraction:
    return mm(sheet.width) * mm(sheet.height)


# What was asked for --------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Supply:
    """One kind of sheet to cut from."""

    sheet: Sheet
    cost: int
    limit: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Order:
    """What is to be planned, checked."""

    pieces: tuple[Piece, ...]
    demand: tuple[int, ...]
    supplies: tuple[_Supply, ...]
    aim: str
    unit: int
    turn: str
    longest: Fraction | None
    stages: int | None


def _whole(name: str, value: object, least: int, faults: list[str]) -> None:
    if not isinstance(value, int) or isinstance(value, bool) or value < least:
        faults.append(f"{name} is {value!r}; write a whole number, {least} or more.")


def _as_supplies(
    sheet: object,
    or_sheets: Iterable[object],
    cupboard: Iterable[tuple[object, int]],
    costs: Mapping[str, int] | None,
    faults: list[str],
) -> tuple[tuple[_Supply, ...], str, int]:
    """The kinds of sheet, the aim, and how many units of cost are one unit of the aim."""
    choices, limited = [], []
    for one in (sheet, *or_sheets):
        try:
            choices.append(as_sheet(one))
        except (LengthError, TypeError, ValueError) as fault:
            faults.append(f"Sheet {fault}")
    for entry in cupboard:
        try:
            one, count = entry
            chosen = as_sheet(one)
        except (LengthError, TypeError, ValueError) as fault:
            faults.append(f"Cupboard: {fault}")
            continue
        _whole(f"Cupboard, {chosen.name}: the number of sheets", count, 0, faults)
        if isinstance(count, int) and count > 0:
            limited.append((chosen, count))
    if costs is not None:
        for one in choices:
            _whole(f"The cost of {one.name}", costs.get(one.name), 1, faults)
    if faults:
        return (), "", 1
    aim, units = "sheets", [1]
    if costs is not None:
        aim, units = "cost", [costs[one.name] for one in choices]
    elif len(choices) > 1:
        aim, units = "area", [-(-_area(one) // 100) for one in choices]
    unit = 1
    if limited:
        # One sheet less to buy is worth any number of sheets out of the cupboard.
        unit = sum(count for _, count in limited) + 1
        aim = "sheets to buy" if aim == "sheets" else aim
    supplies = [
        _Supply(sheet=one, cost=int(cost) * unit) for one, cost in zip(choices, units, strict=True)
    ]
    supplies += [_Supply(sheet=one, cost=1, limit=count) for one, count in limited]
    return tuple(supplies), aim, unit


def _ways(piece: Piece, turn: str) -> tuple[tuple[Fraction, Fraction], ...]:
    """How a piece may lie, (across, along) the sheet; along is the way of the sheet's grain."""
    listed = (mm(piece.width), mm(piece.length))
    turned = listed[::-1]
    if turn == "never":
        return (listed,)
    if turn == "grain" and piece.grain is not None:
        return (listed if piece.grain == "length" else turned,)
    return (listed,) if listed == turned else (listed, turned)


def _unfit(piece: Piece, order: _Order) -> str | None:
    """Why a piece cannot be had from any sheet that can be bought, and what would do."""
    from popkit.classplan.board import fits

    def had(sheets: Iterable[Sheet], turn: str, longest: Fraction | None) -> list[Sheet]:
        return [
            one
            for one in sheets
            if any(fits(way, (mm(one.width), mm(one.height)), longest) for way in _ways(piece, turn))
        ]

    bought = [supply.sheet for supply in order.supplies if supply.limit is None]
    if had(bought, order.turn, order.longest):
        return None
    names = " or ".join(one.name for one in bought)
    how = {"grain": " with its grain kept", "free": "", "never": " without turning"}[order.turn]
    size = f"{show_exact(piece.width)} × {show_exact(piece.length)}"
    said = f"{piece.name}, {size}, fits no {names} sheet{how}"
    if order.longest is not None and had(bought, order.turn, None):
        shown = show_exact(from_mm(order.longest, unit_of(piece.width)))
        return f"{said} when no cut may be longer than {shown}; a longer trimmer would do it."
    larger = sorted(had(SHEETS.values(), order.turn, order.longest), key=_area)
    cupboard = had((s.sheet for s in order.supplies if s.limit is not None), order.turn, order.longest)
    remedies = []
    if cupboard:
        remedies.append(f"{cupboard[0].name} from the cupboard would, if it could also be bought")
    if larger:
        remedies.append(f"{larger[0].name} would do")
    if order.turn != "free" and had(bought, "free", order.longest):
        remedies.append('it fits when turned, with turn="free"')
    if not remedies:
        across, along = min(_ways(piece, order.turn), key=max)
        unit = unit_of(piece.width)
        remedies.append(
            f"it takes a sheet of at least {show_exact(from_mm(across, unit))} × "
            f"{show_exact(from_mm(along, unit))}, the grain along the second"
        )
    return f"{said}; {', or '.join(remedies)}."


# The search ----------------------------------------------------------------------


def _kinds(order: _Order) -> tuple[list[tuple], list[list[int]]]:
    """Pieces that are interchangeable on the sheet, together: their ways and their numbers."""
    from popkit.classplan.board import fits

    grouped: dict[tuple, list[int]] = {}
    for number, piece in enumerate(order.pieces):
        ways = tuple(
            sorted(
                way
                for way in _ways(piece, order.turn)
                if any(
                    fits(way, (mm(s.sheet.width), mm(s.sheet.height)), order.longest)
                    for s in order.supplies
                )
            )
        )
        grouped.setdefault(ways, []).append(number)
    return list(grouped), list(grouped.values())


def _problem(order: _Order, kinds: list[tuple], members: list[list[int]]) -> Problem:
    from popkit.classplan.board import pose_problem

    return pose_problem(
        kinds,
        [sum(order.demand[number] for number in numbers) for numbers in members],
        [(mm(s.sheet.width), mm(s.sheet.height)) for s in order.supplies],
        costs=[s.cost for s in order.supplies],
        limits=[s.limit for s in order.supplies],
        longest=order.longest,
        stages=order.stages,
    )


def _piecewise(
    order: _Order, problem: Problem, outcome: Outcome, kinds: list[tuple], tick: Fraction, tidy: bool
) -> list[Piecewise]:
    """The plan as shapes of blanks, none of them beyond need."""
    from popkit.classplan.shapes import Part, Piecewise, Row, drop_spare, neat, with_edges

    def row_of_one(part: Shape, form: str) -> Shape:
        """A lone piece of a sheet too long to cut both ways: the short cut comes first."""
        way = {"rows": "y", "columns": "x"}.get(form)
        if way is None or not isinstance(part, Part):
            return part
        return Row(way, (part,), part.size, ("row", way, (part.key,)))

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
        shape = row_of_one(layout.shape, form)
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
    from popkit.classplan.shapes import Part, Piecewise, pieces_in, row

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
    from dataclasses import replace

    import numpy as np

    from popkit.classplan.master import fewest_layouts

    counts, boards, costs = outcome.pool.arrays()
    start = np.append(outcome.sheets, np.zeros(len(counts) - len(outcome.sheets), dtype=np.int64))
    if outcome.bound is None or np.count_nonzero(start) < 2:
        return outcome
    loss = costs * outcome.bound.share + np.array(outcome.bound.extra)[boards] - counts @ outcome.values
    usable = np.flatnonzero((loss <= outcome.bound.budget(outcome.cost)) | (start > 0))
    chosen = usable[np.argsort(np.where(start[usable] > 0, -1, loss[usable]), kind="stable")]
    chosen = chosen[: max(60, np.count_nonzero(start))]
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
        nodes=1,
        stop=stop,
    )
    return replace(outcome, sheets=sheets)


# From whole numbers to the table --------------------------------------------------


class _Writer:
    """Turns ticks into lengths of one unit, and shapes and strokes into layouts and steps."""

    def __init__(self, order: _Order, tick: Fraction, stock: Stock | None, stack: int) -> None:
        self.order, self.tick, self.stock, self.stack = order, tick, stock, stack
        self.unit = unit_of(order.pieces[0].width)
        self.known: dict[int, Length] = {}

    def length(self, ticks: int) -> Length:
        if ticks not in self.known:
            self.known[ticks] = from_mm(ticks * self.tick, self.unit)
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


def _letters(number: int) -> str:
    """0 -> A, 25 -> Z, 26 -> AA."""
    name = ""
    number += 1
    while number:
        number, digit = divmod(number - 1, 26)
        name = chr(ord("A") + digit) + name
    return name


# Words ---------------------------------------------------------------------------


def say(length: Length) -> str:
    """A length as read off a ruler; "about" leads where it lies between marks."""
    value = Fraction(length.magnitude)
    if unit_of(length) in ("inch", "foot"):
        return (
            show_exact(length) if value.denominator <= 64 else f"about {show_length(length, '1/16 in')}"
        )
    if (mm(length) * 10).denominator == 1:
        return show_exact(length)
    return f"about {show_length(length, '0.5 mm')}"


def _many(count: int, one: str, more: str | None = None) -> str:
    return f"{count} {one if count == 1 else more or one + 's'}"


def _size(pile: Pile) -> str:
    return f"{say(pile.width)} × {say(pile.height)}"


def _pile_text(pile: Pile) -> str:
    if pile.piece is not None:
        return f"{pile.count} × {pile.piece} ({_size(pile)}, done)"
    if pile.to_step is not None:
        return f"{pile.count} of {_size(pile)} for step {pile.to_step}"
    return f"{_many(pile.count, 'offcut')} of {_size(pile)}"


def _step_text(step: Step) -> str:
    fence = f"Set the fence to {say(step.fence)}" if step.fence_moves else "Leave the fence"
    take = step.take
    if take.from_steps:
        steps = " and ".join(str(number) for number in take.from_steps)
        plural = "s" * (len(take.from_steps) > 1)
        what = f"{_many(take.count, 'plate')} of {_size(take)} from step{plural} {steps}"
        if take.layouts:
            what += " and whole sheets"
    else:
        name = f" of {step.stock.name}" if step.stock is not None else ""
        what = f"{_many(take.count, 'sheet')}{name} for layout {' and '.join(take.layouts)}"
    cuts = _many(step.cuts_each, "cut") + (" each" if take.count > 1 else "")
    text = f"{fence}; cut {what}, {cuts}, {say(step.cut_length)} long: "
    text += ", ".join(_pile_text(pile) for pile in step.gives)
    if step.rest is not None:
        text += (
            f"; keep what is left, {_pile_text(step.rest)}"
            if step.rest.to_step or step.rest.piece
            else (f"; {_pile_text(step.rest)}")
        )
    return text + "."


def _summary(plan: SheetPlan) -> str:
    sizes = ", ".join(
        f"{_many(count, 'sheet')} of {sheet.name}"
        + (f" {stock.name}" if stock else "")
        + (" from the cupboard" if kept else "")
        for sheet, stock, kept, count in plan.sheet_counts
    )
    if plan.proved:
        sure = (
            f"No plan takes fewer {plan.aim}."
            if plan.aim.startswith("sheets")
            else f"No plan has less {plan.aim}."
        )
    else:
        sure = f"Not proved: {plan.reached} {plan.aim}, and at least {plan.bound} are needed."
    return f"{sizes}, in {_many(len(plan.layouts), 'layout')}. {sure}"


# The door ------------------------------------------------------------------------


def _checked(
    pieces: tuple[Piece, ...],
    students: int,
    spares: int | Mapping[str, int],
    turn: str,
    longest_cut: Length | str | None,
    stages: int | None,
    stack: int,
) -> tuple[list[str], tuple[int, ...], Length | None]:
    """Everything wrong with what was asked, the demand for each piece, the longest cut."""
    faults: list[str] = []
    for piece in pieces:
        if not isinstance(piece, Piece):
            faults.append(f"{piece!r} is no Piece.")
    if not pieces:
        faults.append("There are no pieces to cut.")
    _whole("The number of students", students, 1, faults)
    _whole("The stack", stack, 1, faults)
    if turn not in TURNS:
        faults.append(f'turn is {turn!r}; write "grain", "free" or "never".')
    if stages is not None:
        _whole("The number of stages", stages, 1, faults)
    extra: Mapping[str, int] = {}
    if isinstance(spares, Mapping):
        extra, spares = spares, 0
        names = {piece.name for piece in pieces if isinstance(piece, Piece)}
        faults += [
            f"Spares are asked for {name!r}, which is no piece." for name in extra if name not in names
        ]
        for name, number in extra.items():
            _whole(f"Spares of {name}", number, 0, faults)
    else:
        _whole("The number of spare kits", spares, 0, faults)
    longest = None
    if longest_cut is not None:
        try:
            longest = as_length(longest_cut)
        except LengthError as fault:
            faults.append(f"The longest cut {fault}")
    if faults:
        return faults, (), longest
    given = set()
    demand = []
    for piece in pieces:
        more = extra.get(piece.name, 0) if piece.name not in given else 0
        given.add(piece.name)
        demand.append(piece.count * (students + spares) + more)
    return faults, tuple(demand), longest


def _by_stock(pieces: tuple[Piece, ...]) -> list[tuple[Stock | None, list[int]]]:
    """Numbers of the pieces of each stock. Those of no stock go with the stock used most."""
    found: dict[Stock | None, list[int]] = {}
    for number, piece in enumerate(pieces):
        found.setdefault(piece.stock, []).append(number)
    if len(found) > 1 and None in found:
        free = found.pop(None)

        def area(numbers: list[int]) -> Fraction:
            return sum(mm(pieces[n].width) * mm(pieces[n].length) * pieces[n].count for n in numbers)

        found[max(found, key=lambda stock: area(found[stock]))] += free
    return [(stock, sorted(numbers)) for stock, numbers in found.items()]


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
    faults, demand, longest = _checked(pieces, students, spares, turn, longest_cut, stages, stack)
    supplies, aim, unit = _as_supplies(sheet, or_sheets, cupboard, costs, faults)
    if faults:
        raise PlanError(*faults)
    until = None if seconds is None else time.monotonic() + seconds
    stocks = _by_stock(pieces)
    orders = [
        _Order(
            pieces=pieces,
            demand=tuple(demand[n] if n in numbers else 0 for n in range(len(pieces))),
            supplies=supplies,
            aim=aim,
            unit=unit,
            turn=turn,
            longest=None if longest is None else mm(longest),
            stages=stages,
        )
        for _, numbers in stocks
    ]
    faults = [fault for piece in pieces if (fault := _unfit(piece, orders[0])) is not None]
    if faults:
        raise PlanError(*faults)
    layouts: list[Layout] = []
    steps: list[Step] = []
    reached = bound = 0
    proofs = []
    for (stock, numbers), order in zip(stocks, orders, strict=True):
        part = _plan_stock(
            order, stock, numbers, stack, tidy, progress, stop, until, len(layouts), len(steps)
        )
        layouts += part.layouts
        steps += part.steps
        reached, bound = reached + part.reached, bound + part.bound
        proofs.append(part.proof)
        if cupboard and len(stocks) > 1:
            raise PlanError(
                "The cupboard is given for one stock, and the pieces are of several: use plan_class."
            )
    made: Counter[int] = Counter()
    for layout in layouts:
        for placement in layout.placements:
            made[placement.number] += layout.count
    extra: Counter[str] = Counter()
    for number, piece in enumerate(pieces):
        extra[piece.name] += made[number] - demand[number]
    plan = SheetPlan(
        students=students,
        pieces=pieces,
        demand=demand,
        turn=turn,
        longest_cut=longest,
        stages=stages,
        stack=stack,
        layouts=tuple(layouts),
        aim=aim,
        reached=reached,
        bound=bound,
        proved=reached == bound,
        proof="" if reached != bound else "search" if "search" in proofs else "bound",
        spares=dict(+extra),
        steps=tuple(steps),
    )
    _carried_out(plan)
    return plan


def _carried_out(plan: SheetPlan) -> None:
    """Refuse a plan that does not do what it says; that would be a fault of popkit's."""
    from popkit.classplan.replay import replay

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
    order: _Order,
    stock: Stock | None,
    numbers: list[int],
    stack: int,
    tidy: bool,
    progress: Callable[[Progress], None] | None,
    stop: Callable[[], bool] | None,
    until: float | None,
    layouts_before: int,
    steps_before: int,
) -> _Part:
    from popkit.classplan.board import common_measure
    from popkit.classplan.cutting import heap_of, scheduled
    from popkit.classplan.solve import solve

    def report(phase: str, cost: int | None, least: int) -> None:
        if progress is not None:
            best = None if cost is None else cost // order.unit
            name = stock.name if stock is not None else ""
            progress(Progress(phase=phase, stock=name, best=best, bound=least // order.unit))

    all_kinds, all_members = _kinds(order)
    members = [[n for n in group if n in numbers] for group in all_members]
    kinds = [ways for ways, group in zip(all_kinds, members, strict=True) if group]
    members = [group for group in members if group]
    problem = _problem(order, kinds, members)
    seconds = None if until is None else max(0.0, until - time.monotonic())
    outcome = solve(problem, stop=stop, seconds=seconds, report=report, unit=order.unit)

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
    names = [_letters(layouts_before + k) for k in range(len(shapes))]
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
