"""One sheet by itself: the most that edge-to-edge cuts can get from it, and what offcuts still give.

The same tables that give a sheet its worth in the search answer both.

Imports: lengths, papers, pieces, classplan.*.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from popkit.classplan.board import common_measure, fits, pose_problem
from popkit.classplan.cutting import scheduled
from popkit.classplan.listing import list_layouts
from popkit.classplan.naming import ored, piece_name
from popkit.classplan.order import PlanError, checked_terms, ways_of
from popkit.classplan.pricing import Prices, count_blanks
from popkit.classplan.results import Layout, Offcut, SheetPlan, size_text
from popkit.classplan.shapes import neat
from popkit.language import BRITISH, Language, as_language
from popkit.lengths import Length, mm
from popkit.papers import Sheet, Stock, as_sheet
from popkit.pieces import Piece

__all__ = ["BestSheet", "OffcutGives", "best_sheet", "offcuts_give"]

_LABELS = 2_000_000
_UNBOUNDED = 10_000


@dataclass(frozen=True, slots=True, kw_only=True)
class BestSheet:
    """The most valuable way to cut one sheet.

    worth       the values of all the pieces on it; no way is worth more
    counts      how many of each piece, in the order they were given
    placements  (number of the piece, x, y, width, height) in millimetres from the left side and
                the top end
    """

    worth: int
    counts: tuple[int, ...]
    placements: tuple[tuple[int, Fraction, Fraction, Fraction, Fraction], ...]


def best_sheet(
    pieces: Iterable[Piece],
    sheet: Sheet | str | tuple[Length | str, Length | str],
    *,
    values: Sequence[int],
    at_most: Sequence[int | None] | None = None,
    turn: str = "grain",
    longest_cut: Length | str | None = None,
    stages: int | None = None,
) -> BestSheet:
    """The most valuable way to cut one sheet, every cut from edge to edge; proved, not guessed.

    values   of one of each piece, whole numbers >= 0
    at_most  how many of each may count, or None for any number
    turn, longest_cut, stages  as in `plan_sheets`
    Returns: a `BestSheet`; empty where nothing fits. A piece beyond its number is left out.
    Raises: PlanError for what cannot be asked; `listing.TooMany` where limited numbers leave more
            than two million half-finished layouts to look at.
    Source: Gilmore & Gomory (1965, 1966) without limits, Christofides & Whitlock (1977) with them.
    """
    pieces, sheet = tuple(pieces), as_sheet(sheet)
    faults, longest = checked_terms(turn, longest_cut, stages, 1)
    limits = [None] * len(pieces) if at_most is None else list(at_most)
    if not len(pieces) == len(values) == len(limits) or not pieces:
        faults.append("Each piece needs one value and, where they are given, one number at most.")
    if any(not isinstance(value, int | np.integer) or value < 0 for value in values):
        faults.append("A value is a whole number, 0 or more.")
    if faults:
        raise PlanError(*faults)
    size = (mm(sheet.width), mm(sheet.height))
    reach = None if longest is None else mm(longest)
    kept = [
        (number, ways)
        for number, piece in enumerate(pieces)
        if (ways := [way for way in ways_of(piece, turn) if fits(way, size, reach)])
        and limits[number] != 0
        and values[number] > 0
    ]
    if not kept:
        return BestSheet(worth=0, counts=(0,) * len(pieces), placements=())
    room = size[0] * size[1]
    caps = [
        min(int(room // (ways[0][0] * ways[0][1])), _UNBOUNDED if limit is None else limit)
        for number, ways in kept
        for limit in (limits[number],)
    ]
    problem = pose_problem([tuple(ways) for _, ways in kept], caps, [size], longest=reach, stages=stages)
    worths = np.array([int(values[number]) for number, _ in kept], dtype=np.int64)
    if all(limits[number] is None for number, _ in kept):
        prices = Prices(problem, worths)
        worth, tree = prices.board(0), prices.best(0)
    else:
        worth, tree = _capped(problem, worths, np.array(caps, dtype=np.int64))
    tick = common_measure([side for _, ways in kept for way in ways for side in way] + list(size))
    sizes = [[(int(w / tick), int(h / tick)) for w, h in ways] for _, ways in kept]
    counts = [0] * len(pieces)
    for (number, _), count, cap in zip(kept, count_blanks(tree, len(kept)), caps, strict=True):
        counts[number] = min(int(count), cap)
    placements = []
    if (shape := neat(tree, sizes)) is not None:
        plate = (int(size[0] / tick), int(size[1] / tick))
        left = Counter(dict(enumerate(counts)))
        for place in scheduled([(shape, plate, 1)]).placed(shape, plate)[0]:
            number, rect = kept[place.piece][0], place.rect
            if left[number]:
                left[number] -= 1
                sides = (rect.x, rect.y, rect.width, rect.height)
                placements.append((number, *(side * tick for side in sides)))
    return BestSheet(worth=worth, counts=tuple(counts), placements=tuple(placements))


def _capped(problem, worths: np.ndarray, caps: np.ndarray) -> tuple[int, tuple]:
    """The best layout with so many of each at most: lists of ever less worthy layouts, until one
    is not empty; it then holds the best.
    """
    prices = Prices(problem, worths, caps)
    most = prices.board(0)
    for part in (128, 64, 32, 16, 8, 4, 2, 1):
        found = list_layouts(prices, [max(1, most - most // part)], caps, most=_LABELS)
        if len(found):
            best = int(found.worth.argmax())
            return int(found.worth[best]), found.tree(best)
    return 0, ()


# Offcuts ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class OffcutGives:
    """What offcuts of one size still give.

    width, height  across and along the sheet they came from: its grain runs along the second
    stock          of which they are
    count          how many there are
    alone          {piece: how many of it alone one offcut gives}, those it gives
    together       {piece: how many} of the mixture that leaves least of one offcut
    """

    width: Length
    height: Length
    stock: Stock | None
    count: int
    alone: dict[str, int]
    together: dict[str, int]

    def text(self, language: Language | str = BRITISH) -> str:
        """The same as one would say it."""
        language = as_language(language)
        each = ored(
            (f"{number} × {piece_name(name, language)}" for name, number in self.alone.items()),
            language,
        )
        places = {"size": size_text(self.width, self.height, language), "pieces": each}
        if self.stock is None:
            return language.many(
                self.count,
                "{count} offcut, {size}: it gives {pieces}.",
                "{count} offcuts, {size}: each gives {pieces}.",
                **places,
            )
        return language.many(
            self.count,
            "{count} offcut of {stock}, {size}: it gives {pieces}.",
            "{count} offcuts of {stock}, {size}: each gives {pieces}.",
            stock=language.name(self.stock.name),
            **places,
        )


def offcuts_give(plan: SheetPlan | object, pieces: Iterable[Piece]) -> tuple[OffcutGives, ...]:
    """What else the offcuts of a plan give: spare mats, strips, labels.

    plan    a `SheetPlan` or a `ClassPlan`
    pieces  what would be of use; one of a stock is cut only from that stock, whatever the sheet
    Returns: for each size of offcut that gives anything, largest first. Grain, turning and the
             longest cut are the plan's.
    """
    pieces = tuple(pieces)
    plans: tuple[SheetPlan, ...] = getattr(plan, "plans", (plan,))
    found = []
    for one in plans:
        for (stock, _, _), (offcut, count) in _offcuts(one.layouts).items():
            useful = [piece for piece in pieces if piece.stock is None or _alike(piece.stock, stock)]
            gives = _gives(one, offcut, stock, count, useful)
            if gives.alone:
                found.append(gives)
    return tuple(sorted(found, key=lambda one: -mm(one.width) * mm(one.height)))


def _alike(first: Stock, second: Stock | None) -> bool:
    return second is None or (first.name, first.kind, first.grammage) == (
        second.name,
        second.kind,
        second.grammage,
    )


def _offcuts(layouts: Iterable[Layout]) -> dict[tuple, tuple[Offcut, int]]:
    """{(stock, width, height): (one such offcut, how many there are)}."""
    found: dict[tuple, tuple[Offcut, int]] = {}
    for layout in layouts:
        for one in layout.offcuts:
            key = (layout.stock, mm(one.width), mm(one.height))
            found[key] = (one, found.get(key, (one, 0))[1] + layout.count)
    return found


def _gives(
    plan: SheetPlan, offcut: Offcut, stock: Stock | None, count: int, useful: list[Piece]
) -> OffcutGives:
    alone: dict[str, int] = {}
    terms = {"turn": plan.turn, "longest_cut": plan.longest_cut}
    side = (offcut.width, offcut.height)
    for piece in useful:
        number = best_sheet([piece], side, values=[1], **terms).counts[0]
        if number:
            alone[piece.name] = number
    together: dict[str, int] = {}
    held = [piece for piece in useful if piece.name in alone]
    if held:
        areas = [mm(piece.width) * mm(piece.length) for piece in held]
        part = common_measure(areas)
        best = best_sheet(held, side, values=[int(area / part) for area in areas], **terms)
        together = {piece.name: n for piece, n in zip(held, best.counts, strict=True) if n}
    return OffcutGives(
        width=offcut.width,
        height=offcut.height,
        stock=stock,
        count=count,
        alone=alone,
        together=together,
    )
