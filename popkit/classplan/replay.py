"""A plan carried out on paper, cut by cut: does it do what it says?

Takes a finished plan and nothing else. Each layout starts as one whole sheet; every cut must
run from edge to edge of one plate and be no longer than the trimmer takes; every piece must
end up as a plate of its own, the right size and the right way round. Then the steps are
carried out on heaps of plates, and what lies on the table at the end is counted.

Imports: lengths, classplan.results. Shares nothing with the search for plans.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from popkit.classplan.results import Layout, SheetPlan
from popkit.lengths import mm

__all__ = ["replay"]

Box = tuple[Fraction, Fraction, Fraction, Fraction]


def replay(plan: SheetPlan) -> tuple[str, ...]:
    """Everything in which the plan fails to do what it says; empty for a good plan."""
    faults = []
    for layout in plan.layouts:
        faults += [f"Layout {layout.name}: {fault}" for fault in _layout(plan, layout)]
    return (*faults, *_counts(plan), *_steps(plan))


def _boxes(items) -> list[Box]:
    return [(mm(one.x), mm(one.y), mm(one.width), mm(one.height)) for one in items]


def _layout(plan: SheetPlan, layout: Layout) -> list[str]:
    faults = []
    longest = None if plan.longest_cut is None else mm(plan.longest_cut)
    zero = Fraction(0)
    plates: list[Box] = [(zero, zero, mm(layout.sheet.width), mm(layout.sheet.height))]
    history: dict[Box, tuple[tuple[str, Box], ...]] = {plates[0]: ()}
    for cut in layout.cuts:
        at, start, stop = mm(cut.at), mm(cut.start), mm(cut.stop)
        if longest is not None and stop - start > longest:
            faults.append(f"cut {cut.number} is longer than the trimmer takes")
        along = cut.runs == "along"
        for plate in plates:
            x, y, width, height = plate
            if along:
                right = (start, stop) == (y, y + height) and x < at < x + width
                halves = [(x, y, at - x, height), (at, y, x + width - at, height)]
            else:
                right = (start, stop) == (x, x + width) and y < at < y + height
                halves = [(x, y, width, at - y), (x, at, width, y + height - at)]
            if right:
                if halves[0][2 if along else 3] != mm(cut.fence):
                    faults.append(f"cut {cut.number} is not where the fence puts it")
                plates.remove(plate)
                plates += halves
                for half, other in (halves, halves[::-1]):
                    history[half] = (*history[plate], (cut.runs, other))
                break
        else:
            faults.append(f"cut {cut.number} does not run from edge to edge of one plate")
    left = Counter(plates)
    for placement, box in zip(layout.placements, _boxes(layout.placements), strict=True):
        if left[box] < 1:
            faults.append(f"{placement.piece} does not come out as a plate of its own")
        left[box] -= 1
        faults += _as_wanted(plan, placement, box)
        if plan.stages is not None:
            faults += _turns(plan, placement.piece, history.get(box, ()), layout)
    for box in _boxes(layout.offcuts):
        if left[box] < 1:
            faults.append("an offcut is not left over")
        left[box] -= 1
    if +left:
        faults.append("a plate is neither a piece nor an offcut")
    return faults


def _as_wanted(plan: SheetPlan, placement, box: Box) -> list[str]:
    piece = plan.pieces[placement.number]
    size = (mm(piece.width), mm(piece.length))
    turned = size[::-1]
    faults = []
    if box[2:] != (turned if placement.turned else size):
        faults.append(f"{placement.piece} has the wrong size")
    upright = {"width": True, "length": False, None: placement.turned}[piece.grain]
    if plan.turn == "never" and placement.turned and size != turned:
        faults.append(f"{placement.piece} is turned, and nothing may turn")
    if plan.turn == "grain" and placement.turned != upright and size != turned:
        faults.append(f"{placement.piece} lies across the grain")
    return faults


def _turns(plan: SheetPlan, name: str, cuts: tuple[tuple[str, Box], ...], layout: Layout) -> list[str]:
    """Changes of direction on the way to a piece; trimming it to size is not counted."""
    runs: list[list[Box]] = []
    way = None
    for runs_, other in cuts:
        if runs_ != way:
            runs.append([])
        way = runs_
        runs[-1].append(other)
    offcuts = set(_boxes(layout.offcuts))
    if runs and all(other in offcuts for other in runs[-1]):
        runs.pop()
    return [f"{name} takes {len(runs)} stages"] if len(runs) > plan.stages else []


def _counts(plan: SheetPlan) -> list[str]:
    faults = []
    made = Counter()
    for layout in plan.layouts:
        if layout.count < 1:
            faults.append(f"Layout {layout.name} is cut from no sheet")
        for placement in layout.placements:
            made[placement.number] += layout.count
    spares: Counter[str] = Counter()
    for number, (piece, wanted) in enumerate(zip(plan.pieces, plan.demand, strict=True)):
        if made[number] < wanted:
            faults.append(f"{piece.name}: {made[number]} made, {wanted} wanted")
        spares[piece.name] += made[number] - wanted
    if +spares != Counter(plan.spares):
        faults.append("the spares are not what is left over")
    if sum(layout.count for layout in plan.layouts) != plan.sheets:
        faults.append("the layouts do not add up to the sheets")
    if plan.reached < plan.bound or plan.proved != (plan.reached == plan.bound):
        faults.append("what is proved does not agree with the bound")
    return faults


def _steps(plan: SheetPlan) -> list[str]:
    faults = []
    longest = None if plan.longest_cut is None else mm(plan.longest_cut)
    table: Counter[tuple] = Counter()
    wanted: Counter[tuple] = Counter()
    stocks: list[object] = []
    numbers: dict[int, int] = {}

    def number(stock: object) -> int:
        """A number for each stock: to hash its lengths again for every plate is slow."""
        if id(stock) not in numbers:
            numbers[id(stock)] = next((n for n, one in enumerate(stocks) if one == stock), len(stocks))
            stocks.append(stock)
        return numbers[id(stock)]

    for layout in plan.layouts:
        stock = number(layout.stock)
        table[stock, mm(layout.sheet.width), mm(layout.sheet.height)] += layout.count
        for one in (*layout.placements, *layout.offcuts):
            wanted[stock, mm(one.width), mm(one.height)] += layout.count
    fence = None
    for step in plan.steps:
        size = (mm(step.take.width), mm(step.take.height))
        stock = number(step.stock)
        here = (stock, *size)
        if table[here] < step.take.count:
            faults.append(f"step {step.number} takes plates that are not there")
        table[here] -= step.take.count
        set_to = mm(step.fence)
        if step.fence_moves != (set_to != fence):
            faults.append(f"step {step.number} is wrong about the fence")
        fence = set_to
        along = step.runs == "along"
        across_side, cut_side = size if along else size[::-1]
        if longest is not None and cut_side > longest:
            faults.append(f"step {step.number} makes a cut longer than the trimmer takes")
        rest = across_side - step.cuts_each * set_to
        if rest <= 0:
            faults.append(f"step {step.number} cuts beyond the edge")
        made: Counter[tuple] = Counter()
        strip = (set_to, cut_side) if along else (cut_side, set_to)
        end = (rest, cut_side) if along else (cut_side, rest)
        made[stock, *strip] += step.cuts_each * step.take.count
        made[stock, *end] += step.take.count
        said: Counter[tuple] = Counter()
        for pile in (*step.gives, *([step.rest] if step.rest else [])):
            said[stock, mm(pile.width), mm(pile.height)] += pile.count
        if said != made:
            faults.append(f"step {step.number} does not give what it says")
        table.update(made)
    if +table != wanted:
        faults.append("the steps do not end with the pieces and offcuts of the layouts")
    return faults
