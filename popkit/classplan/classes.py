"""A whole class: several cards, rulers and stocks -> sheets of each stock, bags, shopping, hours.

`plan_class` plans the sheets of each stock by the same search as `plan_sheets`, pieces of all the
cards together, and joins what comes of it: sheets and layouts are lettered and steps numbered
right through the class.

Imports: lengths, language, papers, pieces, classplan.*.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from popkit.classplan.kits import Kit, kits_of, with_sundries
from popkit.classplan.naming import card_name
from popkit.classplan.order import PlanError, as_supplies, checked_terms
from popkit.classplan.plan import Wish, carried_out, letters
from popkit.classplan.results import Layout, Pile, Progress, SheetPlan, Step, sheet_area
from popkit.language import BRITISH, Language
from popkit.lengths import LengthError, mm, quoted
from popkit.papers import Sheet, Stock, as_sheet
from popkit.pieces import Piece
from popkit.recipe import Recipe
from popkit.roster import Roster

__all__ = ["ClassPlan", "StockPlan", "called", "plan_class", "stock_label"]


@dataclass(frozen=True, slots=True, kw_only=True)
class StockPlan:
    """The sheets of one stock.

    stock   None only where no piece of the class has one
    sheets  the sizes it may be bought in
    kept    (sheet, how many) that were in the cupboard
    plan    how they are cut; its pieces are named by card where the class makes several
    """

    stock: Stock | None
    sheets: tuple[Sheet, ...]
    plan: SheetPlan
    kept: tuple[tuple[Sheet, int], ...] = ()

    @property
    def name(self) -> str:
        """What the stock is called, or "card" where it has no name."""
        return self.stock.name if self.stock is not None else "card"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassPlan:
    """Everything a class takes.

    kits    what goes in the bags
    stocks  the sheets, stock by stock, most sheets first
    """

    kits: tuple[Kit, ...]
    stocks: tuple[StockPlan, ...]

    @property
    def students(self) -> int:
        """How many come."""
        return sum(kit.count for kit in self.kits)

    @property
    def bags(self) -> int:
        """How many kits are made, spares and all."""
        return sum(kit.bags for kit in self.kits)

    @property
    def plans(self) -> tuple[SheetPlan, ...]:
        """The plan of each stock."""
        return tuple(one.plan for one in self.stocks)

    @property
    def sheets(self) -> int:
        """How many sheets in all."""
        return sum(plan.sheets for plan in self.plans)

    @property
    def bought(self) -> int:
        """How many of them are not in the cupboard."""
        return sum(plan.bought for plan in self.plans)

    @property
    def proved(self) -> bool:
        """Whether the plan of every stock is."""
        return all(plan.proved for plan in self.plans)

    @property
    def bound(self) -> int | None:
        """No plan takes fewer sheets in all; None where something else is made least."""
        return self._total("bound")

    @property
    def gap(self) -> int | None:
        """How many sheets fewer the best plan might take; None where something else is made least."""
        return self._total("gap")

    def _total(self, name: str) -> int | None:
        if any(plan.aim != "sheets" for plan in self.plans):
            return 0 if name == "gap" and self.proved else None
        return sum(getattr(plan, name) for plan in self.plans)

    @property
    def layouts(self) -> tuple[Layout, ...]:
        """Of every stock, A, B, ..."""
        return tuple(layout for plan in self.plans for layout in plan.layouts)

    @property
    def steps(self) -> tuple[Step, ...]:
        """Of every stock, numbered right through."""
        return tuple(step for plan in self.plans for step in plan.steps)

    @property
    def strokes(self) -> int:
        """How often the blade comes down."""
        return sum(plan.strokes for plan in self.plans)

    @property
    def fence_settings(self) -> int:
        """How often the fence is moved."""
        return sum(plan.fence_settings for plan in self.plans)

    @property
    def waste(self) -> Fraction:
        """The share of all the sheets that is offcut."""
        areas = [sheet_area(layout.sheet) * layout.count for layout in self.layouts]
        lost = sum(layout.waste * area for layout, area in zip(self.layouts, areas, strict=True))
        return Fraction(lost) / sum(areas)

    def cut_list(self) -> str:
        """The steps as numbered lines to cut by."""
        return "\n".join(plan.cut_list() for plan in self.plans)

    def remarks(self, language: Language = BRITISH) -> tuple[str, ...]:
        """What the tutor has to know of the envelopes: one that is too small, a card that none takes."""
        found = (
            kit.sent.remark(card_name(kit.name, language), language)
            for kit in self.kits
            if kit.sent is not None
        )
        return tuple(one for one in found if one)

    def summary(self) -> str:
        """The plan of each stock in a sentence or two."""
        return "\n".join(plan.summary() for plan in self.plans)


# Which sheets for which stock -------------------------------------------------------


def _paper(stock: Stock | None) -> object:
    """What makes two stocks the same on the shelf, whatever sheet they come in."""
    if stock is None:
        return None
    return (stock.name.casefold(), stock.kind, stock.grammage, mm(stock.caliper))


@dataclass(slots=True)
class _Group:
    """Pieces that are cut from the same sheets."""

    stock: Stock | None
    choices: tuple[Sheet, ...]
    pieces: list[Piece]
    demand: list[int]


def _choices(value: object, what: str, faults: list[str]) -> tuple[Sheet, ...]:
    """The sheets of one choice or of several."""
    if isinstance(value, Sheet | str):
        wanted = [value]
    else:
        try:
            return (as_sheet(value),)
        except (LengthError, TypeError, ValueError):
            wanted = list(value) if isinstance(value, Iterable) else [value]
    if not wanted:
        faults.append(f"No sheet is chosen for {what}; write its name, or leave it out.")
    found = []
    for one in wanted:
        try:
            found.append(as_sheet(one))
        except (LengthError, TypeError, ValueError) as fault:
            faults.append(f"Sheet for {what}: {fault}")
    return tuple(dict.fromkeys(found))


def stock_label(stock: Stock, among: Iterable[Stock]) -> str:
    """What a stock is called among others: its name, and its weight where another has that name too."""
    name = stock.name.casefold()
    weights = {one.grammage for one in among if one.name.casefold() == name} | {stock.grammage}
    return stock.name if len(weights) < 2 else _weighed(stock)


def _weighed(stock: Stock) -> str:
    return f"{stock.name}, {round(stock.grammage)} g/m²"


def called(stock: Stock) -> tuple[str, str]:
    """What a tutor may call a stock, folded: with its weight and without."""
    return _weighed(stock).casefold(), stock.name.casefold()


def _given(stock: Stock, folded: Mapping[str, object]) -> object:
    """What is given for a stock by what it is called; None where nothing is."""
    return next((folded[name] for name in called(stock) if name in folded), None)


def _named(stocks: Iterable[Stock], given: object, what: str, faults: list[str]) -> dict[str, object]:
    """A mapping by what a stock is called, folded; a name that no piece has is a fault."""
    stocks = tuple(stocks)
    labels = dict.fromkeys(stock_label(stock, stocks) for stock in stocks)
    names = {name for stock in stocks for name in called(stock)}
    folded: dict[str, object] = {}
    for key, value in given.items():
        name = stock_label(key, stocks) if isinstance(key, Stock) else str(key).strip()
        if name.casefold() not in names:
            known = ", ".join(map(quoted, labels)) or "none"
            faults.append(
                f"{what} is given for {quoted(name)}, and nothing is cut from it; stocks here: {known}."
            )
        folded[name.casefold()] = value
    return folded


def _grouped(kits: tuple[Kit, ...], sheets: object, faults: list[str]) -> list[_Group]:
    """The pieces of all the kits, by what they are cut from."""
    stocks = list(
        dict.fromkeys(piece.stock for kit in kits for piece in kit.pieces if piece.stock is not None)
    )
    by_name: dict[str, tuple[Sheet, ...]] = {}
    for_all: tuple[Sheet, ...] = ()
    if isinstance(sheets, Mapping):
        for name, value in _named(stocks, sheets, "A sheet", faults).items():
            by_name[name] = _choices(value, quoted(name), faults)
    elif sheets is not None:
        for_all = _choices(sheets, "the class", faults)
    groups: dict[object, _Group] = {}
    free: list[tuple[Piece, int]] = []
    several = len(kits) > 1
    for kit in kits:
        for piece in kit.pieces:
            wanted = piece.count * kit.bags
            if several:
                piece = replace(piece, name=f"{kit.name}: {piece.name}")
            if piece.stock is None:
                free.append((piece, wanted))
                continue
            choices = _given(piece.stock, by_name) or for_all or (piece.stock.sheet,)
            key = (_paper(piece.stock), choices)
            group = groups.setdefault(
                key, _Group(replace(piece.stock, sheet=choices[0]), choices, [], [])
            )
            group.pieces.append(replace(piece, stock=group.stock))
            group.demand.append(wanted)
    if free:
        if groups:
            group = max(groups.values(), key=lambda one: _area(one.pieces, one.demand))
        else:
            if not for_all:
                faults.append("The pieces have no stock; write which sheet they are cut from.")
            group = groups[None] = _Group(None, for_all, [], [])
        group.pieces += [replace(piece, stock=group.stock) for piece, _ in free]
        group.demand += [wanted for _, wanted in free]
    return list(groups.values())


def _area(pieces: list[Piece], demand: list[int]) -> Fraction:
    return sum(
        (mm(piece.width) * mm(piece.length) * n for piece, n in zip(pieces, demand, strict=True)),
        Fraction(0),
    )


# The door ---------------------------------------------------------------------------


def plan_class(
    who: Roster | Iterable[tuple[Recipe | Kit, int]],
    recipes: object = None,
    *,
    spares: int | Mapping[str, int] = 0,
    sheets: object = None,
    cupboard: Mapping[str, Iterable[tuple[Sheet | str | tuple, int]]] | None = None,
    costs: Mapping[str, Mapping[str, int]] | None = None,
    envelopes: object = "smallest",
    extras: Mapping[str, int] | None = None,
    turn: str = "grain",
    longest_cut: object = None,
    stages: int | None = None,
    stack: int = 1,
    tidy: bool = True,
    prove: bool = True,
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
    seconds: float | None = None,
) -> ClassPlan:
    """The fewest sheets of each stock that give a class its kits.

    who          a `Roster`, or pairs (recipe, how many)
    recipes      for a roster: the `Recipe`s it names by title, or {name: Recipe}
    spares       kits more of each card, or by its title
    sheets       what to cut from in place of the stock's own sheet: one sheet or a list to choose
                 among, for all stocks or by the stock's name
    cupboard     by the stock's name, (sheet, how many) that are there already and are used first; of a
                 stock that is cut from several sheets each goes to what is cut from its size
    costs        by the stock's name, what one sheet costs by name of the sheet, whole numbers. Where two
                 weights have one name, "card stock, 216 g/m²" is one of them
    envelopes    "smallest" for the recipe's own or the smallest that takes the card, from the tables of
                 the recipe's own measure; None for none; or one for all or by the card's title. One
                 that does not take its card is not bought, but the one that does (`ClassPlan.remarks`).
                 "box", here or in the recipe, for a box that is cut with the card
    extras       what else goes in every bag, {name: how many}
    turn, longest_cut, stages, stack, tidy
                 as in `plan_sheets`
    prove        whether to go on to the long proofs where a first good plan is not proved
    progress     told of every advance, with the stock it is about and its place among the stocks
    stop         asked often; once it answers True the best plan so far is returned. A first good
                 plan of a stock is waited for where that takes a second or so; where it takes
                 longer there is a plainer one at once
    seconds      after which to stop likewise
    Returns: a `ClassPlan`. Pieces of one size and stock share layouts whichever card they are for.
    Raises: PlanError with every fault; a piece that no sheet can give is named there with a
            sheet that could.
    """
    until = None if seconds is None else time.monotonic() + seconds
    kits = kits_of(who, recipes)
    faults, longest = checked_terms(turn, longest_cut, stages, stack)
    kits = with_sundries(_with_spares(kits, spares, faults), envelopes, extras or {}, faults)
    groups = _grouped(kits, sheets, faults)
    supplies = _supplied(groups, cupboard or {}, costs or {}, faults)
    if faults:
        raise PlanError(*faults)
    wishes = [
        Wish(
            pieces=tuple(group.pieces),
            demand=tuple(group.demand),
            students=sum(kit.count for kit in kits),
            supplies=supply[0],
            aim=supply[1],
            unit=supply[2],
            turn=turn,
            longest=longest,
            stages=stages,
            stack=stack,
        )
        for group, supply in zip(groups, supplies, strict=True)
    ]
    if faults := [fault for wish in wishes for fault in wish.unfit()]:
        raise PlanError(*faults)
    plans = _planned(wishes, tidy, prove, progress, stop, until)
    found = [
        StockPlan(
            stock=group.stock,
            sheets=group.choices,
            plan=plan,
            kept=tuple((one.sheet, one.limit) for one in supply[0] if one.limit is not None),
        )
        for group, supply, plan in zip(groups, supplies, plans, strict=True)
    ]
    found.sort(key=lambda one: -one.plan.sheets)
    return ClassPlan(kits=kits, stocks=_numbered(found))


def _with_spares(
    kits: tuple[Kit, ...], spares: int | Mapping[str, int], faults: list[str]
) -> tuple[Kit, ...]:
    """The kits with so many spare ones."""
    by_name = spares if isinstance(spares, Mapping) else {kit.name: spares for kit in kits}
    known = {kit.name for kit in kits}
    for name, number in by_name.items():
        if name not in known:
            faults.append(f"Spares are asked for {quoted(str(name))}, which nobody makes.")
        if not isinstance(number, int) or isinstance(number, bool) or not 0 <= number <= 100_000:
            faults.append(f"The number of spare kits is {number!r}; write a whole number, 0 to 100000.")
    if faults:
        return kits
    return tuple(replace(kit, spares=kit.spares + by_name.get(kit.name, 0)) for kit in kits)


def _supplied(groups: list[_Group], cupboard: Mapping, costs: Mapping, faults: list[str]) -> list[tuple]:
    """For each group its supplies, its aim and the unit of that."""
    stocks = [group.stock for group in groups if group.stock is not None]
    kept = _named(stocks, cupboard, "A cupboard", faults)
    priced = _named(stocks, costs, "A cost", faults)
    cupboards = _cupboards(groups, stocks, kept, faults)
    found = []
    for group, there in zip(groups, cupboards, strict=True):
        problems: list[str] = []
        sheet, *others = group.choices or (None,)
        if sheet is not None:
            cost = None if group.stock is None else _given(group.stock, priced)
            found.append(as_supplies(sheet, others, there, cost, problems))
        faults += [f"{group.stock.name if group.stock else 'Card'}: {one}" for one in problems]
    return found


def _cupboards(
    groups: list[_Group], stocks: list[Stock], kept: Mapping[str, Iterable], faults: list[str]
) -> list[list]:
    """For each group what is there of its stock: of a stock that is cut from several sheets, to each
    what has its size.
    """
    found: list[list] = [[] for _ in groups]
    told: dict[str, None] = {}
    for name, entries in kept.items():
        those = [
            n
            for n, group in enumerate(groups)
            if group.stock is not None and name in called(group.stock)
        ]
        for entry in entries if those else ():
            size = _sides_of(entry)
            fitting = [
                n for n in those if size in {_sides_of((one, 1)) for one in groups[n].choices}
            ] or those
            if len(fitting) == 1 or size is None:  # what is no sheet is a fault of its own
                found[fitting[0]].append(entry)
                continue
            plain = groups[those[0]].stock.name
            labels = list(dict.fromkeys(stock_label(groups[n].stock, stocks) for n in fitting))
            if len(labels) > 1:
                told[
                    f"{quoted(plain)} is of several weights here; write which is in the cupboard: "
                    f"{' or '.join(map(quoted, labels))}."
                ] = None
            else:
                cut = dict.fromkeys(one.name for n in those for one in groups[n].choices)
                told[
                    f"{as_sheet(entry[0]).name} of {quoted(plain)} is in the cupboard, and here it is "
                    f"cut from {' and '.join(cut)}; take out what is of no use, or choose one sheet for "
                    "all of it."
                ] = None
    faults += told
    return found


def _sides_of(entry: object) -> tuple[Fraction, ...] | None:
    """The sides of a sheet in the cupboard, the shorter first; None of what is no sheet."""
    try:
        sheet = as_sheet(entry[0])
    except (LengthError, TypeError, ValueError, IndexError):
        return None
    return tuple(sorted((mm(sheet.width), mm(sheet.height))))


def _planned(
    wishes: list[Wish],
    tidy: bool,
    prove: bool,
    progress: Callable[[Progress], None] | None,
    stop: Callable[[], bool] | None,
    until: float | None,
) -> list[SheetPlan]:
    """A first plan for every stock, and only then the long proofs: whenever the tutor stops,
    there is a good plan for the whole class."""

    def told(part: int) -> Callable[[Progress], None] | None:
        if progress is None:
            return None
        return lambda one: progress(replace(one, part=part, parts=len(wishes)))

    plans = [
        carried_out(wish, tidy=tidy, quick=True, progress=told(part), stop=stop, until=until)
        for part, wish in enumerate(wishes, 1)
    ]
    for place, (wish, first) in enumerate(zip(wishes, plans, strict=True)):
        over = (stop is not None and stop()) or (until is not None and time.monotonic() > until)
        if first.proved or over or not prove:
            continue
        plans[place] = _better(
            first, carried_out(wish, tidy=tidy, progress=told(place + 1), stop=stop, until=until)
        )
    return plans


def _better(first: SheetPlan, second: SheetPlan) -> SheetPlan:
    """The better of two plans for the same, with the better of their bounds."""
    bound = max(first.bound, second.bound)
    plan = second if second.reached <= first.reached else first
    proof = (second.proof or first.proof or "search") if plan.reached == bound else ""
    return replace(plan, bound=bound, proved=plan.reached == bound, proof=proof)


def _numbered(stocks: list[StockPlan]) -> tuple[StockPlan, ...]:
    """The stocks with layouts lettered and steps numbered right through."""
    found = []
    layouts = steps = 0
    for one in stocks:
        names = {layout.name: letters(layouts + place) for place, layout in enumerate(one.plan.layouts)}
        found.append(replace(one, plan=_shifted(one.plan, names, steps)))
        layouts, steps = layouts + len(one.plan.layouts), steps + len(one.plan.steps)
    return tuple(found)


def _shifted(plan: SheetPlan, names: Mapping[str, str], by: int) -> SheetPlan:
    def pile(one: Pile | None) -> Pile | None:
        if one is None:
            return None
        return replace(
            one,
            from_steps=tuple(number + by for number in one.from_steps),
            to_step=None if one.to_step is None else one.to_step + by,
            layouts=tuple(names[name] for name in one.layouts),
        )

    return replace(
        plan,
        layouts=tuple(
            replace(
                layout,
                name=names[layout.name],
                cuts=tuple(replace(cut, number=cut.number + by) for cut in layout.cuts),
            )
            for layout in plan.layouts
        ),
        steps=tuple(
            replace(
                step,
                number=step.number + by,
                take=pile(step.take),
                gives=tuple(pile(one) for one in step.gives),
                rest=pile(step.rest),
            )
            for step in plan.steps
        ),
    )
