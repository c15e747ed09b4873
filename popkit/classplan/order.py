"""What is asked of a plan, checked: pieces, sheets, the way pieces may lie, what fits.

Imports: lengths, papers, pieces, classplan.board, classplan.coarse.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from popkit.classplan.board import fits
from popkit.classplan.coarse import Posed, posed
from popkit.classplan.results import sheet_area
from popkit.lengths import Length, LengthError, as_length, from_mm, mm, show_exact, unit_of
from popkit.papers import SHEETS, Sheet, Stock, as_sheet
from popkit.pieces import Piece

__all__ = ["Order", "PlanError", "Supply"]

TURNS = ("grain", "free", "never")


class PlanError(ValueError):
    """Pieces that cannot be planned. `faults` holds every reason, each a sentence."""

    def __init__(self, *faults: str) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(faults))


# What was asked for --------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """One kind of sheet to cut from."""

    sheet: Sheet
    cost: int
    limit: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is to be planned, checked."""

    pieces: tuple[Piece, ...]
    demand: tuple[int, ...]
    supplies: tuple[Supply, ...]
    aim: str
    unit: int
    turn: str
    longest: Fraction | None
    stages: int | None


def _whole(name: str, value: object, least: int, faults: list[str]) -> None:
    if not isinstance(value, int) or isinstance(value, bool) or value < least:
        faults.append(f"{name} is {value!r}; write a whole number, {least} or more.")


def as_supplies(
    sheet: object,
    or_sheets: Iterable[object],
    cupboard: Iterable[tuple[object, int]],
    costs: Mapping[str, int] | None,
    faults: list[str],
) -> tuple[tuple[Supply, ...], str, int]:
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
        aim, units = "area", [-(-sheet_area(one) // 100) for one in choices]
    unit = 1
    if limited:
        # One sheet less to buy is worth any number of sheets out of the cupboard.
        unit = sum(count for _, count in limited) + 1
        aim = "sheets to buy" if aim == "sheets" else aim
    supplies = [
        Supply(sheet=one, cost=int(cost) * unit) for one, cost in zip(choices, units, strict=True)
    ]
    supplies += [Supply(sheet=one, cost=1, limit=count) for one, count in limited]
    return tuple(supplies), aim, unit


def ways_of(piece: Piece, turn: str) -> tuple[tuple[Fraction, Fraction], ...]:
    """How a piece may lie, (across, along) the sheet; along is the way of the sheet's grain."""
    listed = (mm(piece.width), mm(piece.length))
    turned = listed[::-1]
    if turn == "never":
        return (listed,)
    if turn == "grain" and piece.grain is not None:
        return (listed if piece.grain == "length" else turned,)
    return (listed,) if listed == turned else (listed, turned)


def unfit(piece: Piece, order: Order) -> str | None:
    """Why a piece cannot be had from any sheet that can be bought, and what would do."""

    def had(sheets: Iterable[Sheet], turn: str, longest: Fraction | None) -> list[Sheet]:
        return [
            one
            for one in sheets
            if any(fits(way, (mm(one.width), mm(one.height)), longest) for way in ways_of(piece, turn))
        ]

    bought = [supply.sheet for supply in order.supplies if supply.limit is None]
    if had(bought, order.turn, order.longest):
        return None
    names = " or ".join(one.name for one in bought)
    kept = " with its grain kept" if piece.grain is not None else ""
    how = {"grain": kept, "free": "", "never": " without turning"}[order.turn]
    size = f"{show_exact(piece.width)} × {show_exact(piece.length)}"
    said = f"{piece.name}, {size}, fits no {names} sheet{how}"
    if order.longest is not None and had(bought, order.turn, None):
        shown = show_exact(from_mm(order.longest, unit_of(piece.width)))
        return f"{said} when no cut may be longer than {shown}; a longer trimmer would do it."
    # One that is sold where these are: in inches beside Letter, in millimetres beside A4.
    sold = {unit_of(one.width) for one in bought}
    larger = sorted(
        had(SHEETS.values(), order.turn, order.longest),
        key=lambda one: (unit_of(one.width) not in sold, sheet_area(one)),
    )
    cupboard = had((s.sheet for s in order.supplies if s.limit is not None), order.turn, order.longest)
    remedies = []
    if cupboard:
        remedies.append(f"{cupboard[0].name} from the cupboard would, if it could also be bought")
    if larger:
        remedies.append(f"{larger[0].name} would do")
    if order.turn != "free" and had(bought, "free", order.longest):
        # In the words of the panel; in Python that is turn="free".
        remedies.append("it fits when a piece is turned as it suits, grain or not")
    if not remedies:
        across, along = min(ways_of(piece, order.turn), key=max)
        unit = unit_of(piece.width)
        remedies.append(
            f"it takes a sheet of at least {show_exact(from_mm(across, unit))} × "
            f"{show_exact(from_mm(along, unit))}, the grain along the second"
        )
    return f"{said}; {', or '.join(remedies)}."


def checked_terms(
    turn: str, longest_cut: Length | str | None, stages: int | None, stack: int
) -> tuple[list[str], Length | None]:
    """Everything wrong with how the sheets may be cut, and the longest cut."""
    faults: list[str] = []
    _whole("The stack", stack, 1, faults)
    if turn not in TURNS:
        faults.append(f'turn is {turn!r}; write "grain", "free" or "never".')
    if stages is not None:
        _whole("The number of stages", stages, 1, faults)
    longest = None
    if longest_cut is not None:
        try:
            longest = as_length(longest_cut)
        except LengthError as fault:
            faults.append(f"The longest cut {fault}")
    return faults, longest


def checked_demand(
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
    terms, longest = checked_terms(turn, longest_cut, stages, stack)
    faults += terms
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
    if faults:
        return faults, (), longest
    given = set()
    demand = []
    for piece in pieces:
        more = extra.get(piece.name, 0) if piece.name not in given else 0
        given.add(piece.name)
        demand.append(piece.count * (students + spares) + more)
    return faults, tuple(demand), longest


def by_stock(pieces: tuple[Piece, ...]) -> list[tuple[Stock | None, list[int]]]:
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


def kinds_of(order: Order) -> tuple[list[tuple], list[list[int]]]:
    """Pieces that are interchangeable on the sheet, together: their ways and their numbers."""
    grouped: dict[tuple, list[int]] = {}
    for number, piece in enumerate(order.pieces):
        ways = tuple(
            sorted(
                way
                for way in ways_of(piece, order.turn)
                if any(
                    fits(way, (mm(s.sheet.width), mm(s.sheet.height)), order.longest)
                    for s in order.supplies
                )
            )
        )
        grouped.setdefault(ways, []).append(number)
    return list(grouped), list(grouped.values())


def problem_of(order: Order, kinds: list[tuple], members: list[list[int]]) -> Posed:
    return posed(
        kinds,
        [sum(order.demand[number] for number in numbers) for numbers in members],
        [(mm(s.sheet.width), mm(s.sheet.height)) for s in order.supplies],
        costs=[s.cost for s in order.supplies],
        limits=[s.limit for s in order.supplies],
        longest=order.longest,
        stages=order.stages,
    )
