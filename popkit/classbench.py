"""What a tutor types about a class, read: who comes, sheets, cupboard, trimmer, prices, minutes.

A panel holds the texts as they were typed; here they become what `plan_class` is asked, with every
fault beside the box it was typed in. Nothing here knows of widgets.

Imports: lengths, papers, pieces, recipe, roster, classplan.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from popkit.classplan.classes import ClassPlan, plan_class, stock_label
from popkit.classplan.growth import ClassSize, class_sizes
from popkit.classplan.kits import Kit, kits_of
from popkit.classplan.order import PlanError
from popkit.classplan.preparing import Minutes
from popkit.classplan.prices import PriceError, PriceList, read_prices
from popkit.classplan.results import Progress
from popkit.lengths import Length, LengthError, parse_length, quoted
from popkit.papers import Sheet, as_sheet
from popkit.pieces import Piece
from popkit.recipe import Recipe
from popkit.roster import Roster, RosterError, read_roster

__all__ = [
    "MINUTES",
    "TURNS",
    "Asked",
    "ClassForm",
    "chart_notes",
    "chart_sizes",
    "planned",
    "progress_words",
    "read_form",
    "sizes_of",
]

MINUTES = ("cut", "setting", "score", "slit", "bag")
"""The jobs that a tutor may give minutes for."""
TURNS = {
    "grain": "with its grain kept",
    "free": "as it suits, grain or not",
    "never": "never",
}
"""How a piece may be turned on the sheet, in words."""
_MOST = 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassForm:
    """Everything as it was typed.

    counts    (name of a recipe, how many make it), for a class without a roster
    roster    the text of a roster (CSV), or None for a class without one
    spares    spare kits of each card
    sheets    by the name of the stock, the sheets to cut it from: "A4", "A4 or 9 x 12 in", ""
    cupboard  by the name of the stock, what is there already: "5 A4, 3 of 9 x 12 in", ""
    longest   the longest cut of the trimmer, or ""
    stack     how many plates it takes at once
    stages    how often cuts may change direction, or None
    turn      one of `TURNS`
    extras    what else goes in every bag: "2 foam pads, 1 pencil"
    useful    what offcuts could still give: "strip 1 x 4 in; mat 70 x 95 mm", or ""
    prices    the text of a price list (TOML), or ""
    minutes   by job of `MINUTES`, the tutor's own
    """

    counts: tuple[tuple[str, str], ...] = ()
    roster: str | None = None
    spares: str = "0"
    sheets: Mapping[str, str] = field(default_factory=dict)
    cupboard: Mapping[str, str] = field(default_factory=dict)
    longest: str = ""
    stack: str = "1"
    stages: int | None = None
    turn: str = "grain"
    extras: str = ""
    useful: str = ""
    prices: str = ""
    minutes: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A form as it was understood.

    who      a `Roster`, or pairs (recipe, how many); None where that could not be read
    recipes  for a roster, by name
    how      the other arguments of `plan_class`
    stocks   (name of a stock, with its weight where two have that name, names of the sheets the
             recipes cut it from) of the class
    useful   pieces that offcuts could still give, of any stock, their grain free
    prices, minutes  as read, or as good as empty
    faults   {box: the reasons}; the boxes are "counts" and the name of a recipe ("counts:quay"),
             "roster", "spares", "sheets:card stock", "cupboard:card stock", "longest", "stack",
             "extras", "useful", "prices", "minutes:cut"
    """

    who: Roster | tuple[tuple[Recipe, int], ...] | None
    recipes: Mapping[str, Recipe] = field(default_factory=dict)
    how: Mapping[str, object] = field(default_factory=dict)
    stocks: tuple[tuple[str, tuple[str, ...]], ...] = ()
    useful: tuple[Piece, ...] = ()
    prices: PriceList = field(default_factory=PriceList)
    minutes: Minutes = field(default_factory=Minutes)
    faults: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def wrong(self) -> bool:
        """Whether something stands in the way of a plan; a price or a minute does not."""
        return any(not box.startswith(("prices", "minutes", "useful")) for box in self.faults)

    @property
    def of_plan(self) -> tuple:
        """What the plan hangs on: two forms with the same have the same plan."""
        return self.who, self.recipes, self.how


# Reading ------------------------------------------------------------------------------


def read_form(form: ClassForm, recipes: Mapping[str, Recipe]) -> Asked:
    """The form, read against the recipes there are, by name.

    A fault is put beside the box it stands in and the rest is still read.
    """
    faults: dict[str, list[str]] = {}

    def wrong(box: str, *reasons: str) -> None:
        faults.setdefault(box, []).extend(reasons)

    who = _who(form, recipes, wrong)
    used = recipes if isinstance(who, Roster) else {}
    kits = _kits(who, recipes, wrong)
    stocks = _stocks(kits)
    known = {name for name, _ in stocks}
    sheets = {
        name: found
        for name, text in form.sheets.items()
        if name in known
        and text.strip()
        and (found := _sheets(text, lambda *why, n=name: wrong(f"sheets:{n}", *why)))
    }
    cupboard = {
        name: found
        for name, text in form.cupboard.items()
        if name in known
        and text.strip()
        and (found := _cupboard(text, lambda *why, n=name: wrong(f"cupboard:{n}", *why)))
    }
    how = {
        "spares": _whole(form.spares or "0", 0, "spare kits", lambda why: wrong("spares", why)),
        "sheets": sheets or None,
        "cupboard": cupboard or None,
        "longest_cut": _longest(form.longest, lambda why: wrong("longest", why)),
        "stack": _whole(form.stack or "1", 1, "plates", lambda why: wrong("stack", why)),
        "stages": form.stages,
        "turn": form.turn,
        "extras": _extras(form.extras, lambda why: wrong("extras", why)) or None,
    }
    return Asked(
        who=who,
        recipes=used,
        how=how,
        stocks=stocks,
        useful=_useful(form.useful, lambda why: wrong("useful", why)),
        prices=_prices(form.prices, lambda *why: wrong("prices", *why)),
        minutes=_minutes(form.minutes, wrong),
        faults={box: tuple(reasons) for box, reasons in faults.items()},
    )


def _who(
    form: ClassForm, recipes: Mapping[str, Recipe], wrong: Callable[..., None]
) -> Roster | tuple[tuple[Recipe, int], ...] | None:
    if form.roster is not None:
        if not form.roster.strip():
            wrong("roster", "Nobody is on the roster yet. Choose a file, or type one student a line.")
            return None
        try:
            # A text of one line would be taken for a path.
            return read_roster(form.roster.strip("\r\n") + "\n\n", "")
        except RosterError as error:
            wrong("roster", *map(str, error.faults))
            return None
    if not form.counts:
        wrong("counts", "No recipe is chosen. Choose one or more from the list.")
        return None
    pairs = []
    for name, text in form.counts:
        box = f"counts:{name}"
        if name not in recipes:
            wrong(box, f"There is no recipe {quoted(name)} here.")
            continue
        count = _whole(text, 1, "students", lambda why, at=box: wrong(at, why))
        if count is not None:
            pairs.append((recipes[name], count))
    return tuple(pairs) if len(pairs) == len(form.counts) else None


def _kits(who: object, recipes: Mapping[str, Recipe], wrong: Callable[..., None]) -> tuple[Kit, ...]:
    if who is None:
        return ()
    try:
        return kits_of(who, recipes)
    except PlanError as error:
        wrong("roster" if isinstance(who, Roster) else "counts", *error.faults)
        return ()


def _stocks(kits: tuple[Kit, ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    found: dict[str, dict[str, None]] = {}
    stocks = [piece.stock for kit in kits for piece in kit.pieces if piece.stock is not None]
    for stock in stocks:
        found.setdefault(stock_label(stock, stocks), {})[stock.sheet.name] = None
    return tuple((name, tuple(sheets)) for name, sheets in found.items())


def _whole(text: str, least: int, what: str, wrong: Callable[[str], None]) -> int | None:
    plain = text.strip()
    if re.fullmatch(r"[0-9]{1,6}", plain, re.ASCII) and least <= int(plain) <= _MOST:
        return int(plain)
    wrong(f"{quoted(plain)} is no number of {what}. Write a whole number, {least} to {_MOST}.")
    return None


_SEPARATE = re.compile(r"\s*(?:[;,\n]|\bor\b|\band\b)\s*")
_SIDES = re.compile(r"(.+?)\s*(?:[x×]|\bby\b)\s*(.+)")


def _sheet(text: str) -> Sheet:
    """ "A4", "9 x 12 in". Raises: LengthError."""
    plain = text.strip()
    sides = _SIDES.fullmatch(plain)
    if sides is None or not re.match(r"[0-9½¼¾⅛⅜⅝⅞.]", plain):
        return as_sheet(plain)
    return as_sheet(_both_sides(*sides.groups()))


def _both_sides(first: str, second: str) -> tuple[Length, Length]:
    """Two lengths, the first perhaps without its unit: "9", "12 in". Raises: LengthError."""
    unit = re.search(r"[^0-9\s./⁄½¼¾⅛⅜⅝⅞-]+$", second)
    if unit and not re.search(r"[^0-9\s./⁄½¼¾⅛⅜⅝⅞-]$", first):
        first = f"{first} {unit[0]}"
    return parse_length(first), parse_length(second)


def _items(text: str) -> list[str]:
    """Parts of a list; "12 in square" and a size keep together."""
    return [part for part in _SEPARATE.split(text.strip()) if part]


def _sheets(text: str, wrong: Callable[..., None]) -> list[Sheet]:
    found = []
    for part in _items(text):
        try:
            found.append(_sheet(part))
        except (LengthError, ValueError) as error:
            wrong(f"{error}")
    return found


def _cupboard(text: str, wrong: Callable[..., None]) -> list[tuple[Sheet, int]]:
    found = []
    for part in _items(text):
        counted = re.fullmatch(r"([0-9]{1,6})\s*(?:[x×]|sheets?(?:\s+of)?|of)?\s+(.+)", part, re.ASCII)
        if counted is None:
            wrong(f"{quoted(part)} does not say how many. Write it as in “5 A4”.")
            continue
        try:
            found.append((_sheet(counted[2]), int(counted[1])))
        except (LengthError, ValueError) as error:
            wrong(f"{error}")
    return found


def _longest(text: str, wrong: Callable[[str], None]) -> Length | None:
    if not text.strip():
        return None
    try:
        return parse_length(text)
    except LengthError as error:
        wrong(str(error))
        return None


def _extras(text: str, wrong: Callable[[str], None]) -> dict[str, int]:
    found: dict[str, int] = {}
    for part in re.split(r"\s*[;,\n]\s*", text.strip()):
        if not part:
            continue
        counted = re.fullmatch(r"([0-9]{1,6})\s*(?:[x×]\s*)?(\S.*)", part, re.ASCII)
        if counted is None or not int(counted[1]):
            wrong(f"{quoted(part)} does not say how many. Write it as in “2 foam pads”.")
        else:
            found[counted[2]] = found.get(counted[2], 0) + int(counted[1])
    return found


_USEFUL = re.compile(r"(\D*?\w[^0-9½¼¾⅛⅜⅝⅞]*?)[\s,:]+([0-9½¼¾⅛⅜⅝⅞.].*)")


def _useful(text: str, wrong: Callable[[str], None]) -> tuple[Piece, ...]:
    found = []
    for part in re.split(r"\s*[;\n]\s*", text.strip()):
        if not part:
            continue
        told = _USEFUL.fullmatch(part)
        sides = None if told is None else _SIDES.fullmatch(told[2])
        if sides is None:
            wrong(f"{quoted(part)} does not say what and how large. Write it as in “strip 1 x 4 in”.")
            continue
        try:
            width, length = _both_sides(*sides.groups())
        except LengthError as error:
            wrong(str(error))
            continue
        found.append(Piece(name=told[1].strip(), width=width, length=length))
    return tuple(found)


def _prices(text: str, wrong: Callable[..., None]) -> PriceList:
    if not text.strip():
        return PriceList()
    try:
        return read_prices(text, "")
    except PriceError as error:
        wrong(*map(str, error.faults))
        return PriceList()


def _minutes(texts: Mapping[str, str], wrong: Callable[..., None]) -> Minutes:
    found: dict[str, str] = {}
    for job in MINUTES:
        text = texts.get(job, "").strip()
        if not text:
            continue
        try:
            Minutes(**{job: text})
        except PlanError as error:
            wrong(f"minutes:{job}", *error.faults)
        else:
            found[job] = text
    return Minutes(**found)


# Planning -----------------------------------------------------------------------------


def planned(
    asked: Asked,
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> ClassPlan:
    """The plan of what is asked. Raises: PlanError with every fault."""
    return plan_class(asked.who, asked.recipes, progress=progress, stop=stop, **asked.how)


def progress_words(one: Progress, asked: Asked | None = None) -> str:
    """How far a plan has come: "card stock (1 of 3): 24 sheets so far, at least 23 needed"."""
    part = f" ({one.part} of {one.parts})" if one.parts > 1 else ""
    lead = f"{one.stock or 'Card'}{part}: "
    if one.best is None:
        return f"{lead}looking for a first plan"
    how = asked.how if asked is not None else {}
    choices = (how.get("sheets") or {}).get(one.stock, ())
    if len(choices) > 1:
        unit = "cm² of sheet"
    elif (how.get("cupboard") or {}).get(one.stock):
        unit = "sheets to buy"
    else:
        unit = "sheet" if one.best == 1 else "sheets"
    told = f"{lead}{one.best} {unit} so far"
    return f"{told}, at least {one.bound} needed" if one.bound else told


def chart_sizes(students: int) -> tuple[int, ...]:
    """The class sizes that a chart shows beside one of `students`: a dozen, up to half as many more."""
    most = max(6, students * 3 // 2)
    step = max(1, -(-most // 12))
    return tuple(sorted({*range(step, most + 1, step), students}))


def chart_notes(asked: Asked) -> tuple[str, ...]:
    """What the chart counts otherwise than the plan of the class, or beside it, in sentences."""
    notes = []
    if asked.how["spares"]:
        notes.append(f"Spare kits are in it at every size: {asked.how['spares']} of each card.")
    if asked.how["cupboard"]:
        notes.append("What is in the cupboard is left out: every sheet is counted as bought.")
    choices = {name: some for name, some in (asked.how["sheets"] or {}).items() if len(some) > 1}
    notes += [
        f"Of the sheets to choose from for {name} only {some[0].name} is counted."
        for name, some in choices.items()
    ]
    return tuple(notes)


def sizes_of(
    asked: Asked,
    sizes: tuple[int, ...],
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> tuple[ClassSize, ...]:
    """Sheets and waste for classes of those sizes, cut as is asked.

    Spare kits are made for every size. Of several sheets to choose from the first is taken, and
    nothing from the cupboard: what is there already would not be there for every size (`chart_notes`).
    Raises: PlanError with every fault.
    """
    chosen = asked.how["sheets"]
    first = None if chosen is None else {name: some[0] for name, some in chosen.items()}
    terms = {name: asked.how[name] for name in ("spares", "turn", "longest_cut", "stages")}
    return class_sizes(
        asked.who, sizes, asked.recipes, sheets=first, progress=progress, stop=stop, **terms
    )
