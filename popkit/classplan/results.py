"""A plan on the table: sheets, layouts, cuts and steps, and how one would say them.

Everything here is a length a tutor can measure; nothing is computed but sums.

Imports: lengths, language, papers, pieces, classplan.naming.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from popkit.classplan.naming import anded, piece_name
from popkit.language import BRITISH, Language, as_language, message
from popkit.lengths import Length, in_inches, mm, unit_of
from popkit.papers import Sheet, Stock
from popkit.pieces import Piece

__all__ = [
    "Cut",
    "Layout",
    "Offcut",
    "Pile",
    "Placement",
    "Progress",
    "SheetPlan",
    "Step",
    "fineness",
    "say",
    "sheet_area",
    "sheets_text",
    "size_text",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a plan has come, as `progress` is told.

    phase  what was last done: "first plan", "layouts", "whole sheets", "closing the gap"
    stock  name of the stock that is being planned, or ""
    best   the best plan so far, in what is made least (sheets as a rule); None if none yet
    bound  no plan has less
    part   which stock of a class this is, from 1, and of how many: parts
    """

    phase: str
    stock: str
    best: int | None
    bound: int
    part: int = 1
    parts: int = 1


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

    def text(self, language: Language | str = BRITISH) -> str:
        """The step as one would say it."""
        return _step_text(self, as_language(language))


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
    steps: tuple[Step, ...]

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
        total = sum(sheet_area(layout.sheet) * layout.count for layout in self.layouts)
        return (
            sum(layout.waste * sheet_area(layout.sheet) * layout.count for layout in self.layouts)
            / total
        )

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

    @property
    def cuts(self) -> int:
        """How many cuts the sheets get in all, each plate by itself."""
        return sum(len(layout.cuts) * layout.count for layout in self.layouts)

    @property
    def largest_offcut(self) -> tuple[Offcut, int] | None:
        """The largest piece that is left over, and how many of that size there are."""
        found: Counter[tuple] = Counter()
        one: dict[tuple, Offcut] = {}
        for layout in self.layouts:
            for offcut in layout.offcuts:
                size = (mm(offcut.width), mm(offcut.height))
                found[size] += layout.count
                one.setdefault(size, offcut)
        if not found:
            return None
        best = max(found, key=lambda size: (size[0] * size[1], size))
        return one[best], found[best]

    def cut_list(self, language: Language | str = BRITISH) -> str:
        """The steps as numbered lines to cut by."""
        return "\n".join(f"{step.number}. {step.text(language)}" for step in self.steps)

    def summary(self, language: Language | str = BRITISH) -> str:
        """The plan in a sentence or two."""
        return _summary(self, as_language(language))


def sheet_area(sheet: Sheet) -> Fraction:
    """In square millimetres."""
    return mm(sheet.width) * mm(sheet.height)


# Words ---------------------------------------------------------------------------


def fineness(length: Length) -> int:
    """How fine a ruler must be to have a mark there: 0 for sixteenths of an inch or whole
    millimetres, 1 for 64ths or tenths, 2 if none has.
    """
    if in_inches(unit_of(length)):
        parts, marks = Fraction(length.magnitude).denominator, (16, 64)
    else:
        parts, marks = (mm(length) * 10).denominator, (0, 1)
        if mm(length).denominator == 1:
            return 0
    return sum(parts > most for most in marks)


def say(length: Length, language: Language = BRITISH) -> str:
    """A length as read off a ruler; "about" leads where it lies between marks."""
    if fineness(length) < 2:
        return language.show_exact(length)
    grid = "1/16 in" if in_inches(unit_of(length)) else "0.5 mm"
    return language.say("about {length}", length=language.show(length, grid))


def size_text(width: Length, height: Length, language: Language = BRITISH) -> str:
    """Two lengths as one size: "4¾ × 11 in"."""
    first, second = say(width, language), say(height, language)
    unit = first.rsplit(" ", 1)[1]
    if second.endswith(f" {unit}") and fineness(height) < 2:
        first = first.removesuffix(f" {unit}")
    return f"{first} × {second}"


def _pile_text(pile: Pile, language: Language) -> str:
    size = size_text(pile.width, pile.height, language)
    if pile.piece is not None:
        return language.say(
            "{count} × {piece} ({size}, done)",
            count=pile.count,
            piece=piece_name(pile.piece, language),
            size=size,
        )
    if pile.to_step is not None:
        return language.say(
            "{count} of {size} for step {step}", count=pile.count, size=size, step=pile.to_step
        )
    return language.many(pile.count, "{count} offcut of {size}", "{count} offcuts of {size}", size=size)


def _taken(step: Step, language: Language) -> str:
    """What is cut in a step: "3 pieces of 105 × 297 mm from step 1"."""
    take = step.take
    places = {
        "size": size_text(take.width, take.height, language),
        "steps": anded(map(str, take.from_steps), language),
        "layouts": anded(take.layouts, language),
    }
    if not take.from_steps:
        if step.stock is None:
            return language.many(
                take.count,
                "{count} sheet for layout {layouts}",
                "{count} sheets for layout {layouts}",
                **places,
            )
        return language.many(
            take.count,
            "{count} sheet of {stock} for layout {layouts}",
            "{count} sheets of {stock} for layout {layouts}",
            stock=language.name(step.stock.name),
            **places,
        )
    if take.layouts and len(take.from_steps) > 1:
        return language.many(
            take.count,
            "{count} piece of {size} from steps {steps} and whole sheets",
            "{count} pieces of {size} from steps {steps} and whole sheets",
            **places,
        )
    if take.layouts:
        return language.many(
            take.count,
            "{count} piece of {size} from step {steps} and whole sheets",
            "{count} pieces of {size} from step {steps} and whole sheets",
            **places,
        )
    if len(take.from_steps) > 1:
        return language.many(
            take.count,
            "{count} piece of {size} from steps {steps}",
            "{count} pieces of {size} from steps {steps}",
            **places,
        )
    return language.many(
        take.count,
        "{count} piece of {size} from step {steps}",
        "{count} pieces of {size} from step {steps}",
        **places,
    )


# By whether the fence is moved, and by what becomes of what is left.
_STEPS = {
    (True, ""): message("Set the fence to {fence}; cut {what}, {cuts}, {length} long: {gives}."),
    (True, "left"): message(
        "Set the fence to {fence}; cut {what}, {cuts}, {length} long: {gives}; {rest}."
    ),
    (True, "kept"): message(
        "Set the fence to {fence}; cut {what}, {cuts}, {length} long: {gives}; keep what is left, "
        "{rest}."
    ),
    (False, ""): message("Leave the fence; cut {what}, {cuts}, {length} long: {gives}."),
    (False, "left"): message("Leave the fence; cut {what}, {cuts}, {length} long: {gives}; {rest}."),
    (False, "kept"): message(
        "Leave the fence; cut {what}, {cuts}, {length} long: {gives}; keep what is left, {rest}."
    ),
}


def _step_text(step: Step, language: Language) -> str:
    rest = step.rest
    kept = "" if rest is None else "kept" if rest.to_step or rest.piece else "left"
    if step.take.count > 1:
        cuts = language.many(step.cuts_each, "{count} cut each", "{count} cuts each")
    else:
        cuts = language.many(step.cuts_each, "{count} cut", "{count} cuts")
    return language.say(
        _STEPS[step.fence_moves, kept],
        fence=say(step.fence, language),
        what=_taken(step, language),
        cuts=cuts,
        length=say(step.cut_length, language),
        gives=", ".join(_pile_text(pile, language) for pile in step.gives),
        rest="" if rest is None else _pile_text(rest, language),
    )


_BEST = {
    "sheets": message("No plan takes fewer sheets."),
    "sheets to buy": message("No plan takes fewer sheets to buy."),
    "area": message("No plan has less area."),
    "cost": message("No plan has less cost."),
}
_OPEN = {
    "sheets": message("Not proved: {reached} sheets, and at least {bound} are needed."),
    "sheets to buy": message("Not proved: {reached} sheets to buy, and at least {bound} are needed."),
    "area": message("Not proved: {reached} area, and at least {bound} are needed."),
    "cost": message("Not proved: {reached} cost, and at least {bound} are needed."),
}


def sheets_text(
    count: int, sheet: str, language: Language = BRITISH, *, from_cupboard: bool = False
) -> str:
    """ "3 sheets of A4", "1 sheet of A4 from the cupboard"."""
    if from_cupboard:
        return language.many(
            count,
            "{count} sheet of {sheet} from the cupboard",
            "{count} sheets of {sheet} from the cupboard",
            sheet=sheet,
        )
    return language.many(count, "{count} sheet of {sheet}", "{count} sheets of {sheet}", sheet=sheet)


def _summary(plan: SheetPlan, language: Language) -> str:
    sheets = []
    for sheet, stock, kept, count in plan.sheet_counts:
        named = sheet.name
        if stock:
            named = language.say("{sheet} {stock}", sheet=named, stock=language.name(stock.name))
        sheets.append(sheets_text(count, named, language, from_cupboard=kept))
    if plan.proved:
        sure = language.say(_BEST[plan.aim])
    else:
        sure = language.say(_OPEN[plan.aim], reached=plan.reached, bound=plan.bound)
    return language.many(
        len(plan.layouts),
        "{sheets}, in {count} layout. {sure}",
        "{sheets}, in {count} layouts. {sure}",
        sheets=", ".join(sheets),
        sure=sure,
    )
