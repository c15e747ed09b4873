"""The sizes a card is free to choose, and the laws that tie everything else to them.

Every cut and every score of a card is a sum of a few independent sizes (width, height, each
shelf, face and tab, ...). `layout` writes those sums down once; given numbers it yields
numbers, given `Sum`s it yields the sums themselves, so the arithmetic of a card and the
rows of an integer programme cannot drift apart. `laws` states, as inequalities between the
same quantities, every limit of the mechanism that `checks` looks at.

Imports: lengths, card, checks.
Source of the limits: `checks` and `card`; the tests hold both to the same findings.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from popkit import checks
from popkit.card import Card, CutStep, grid_for, usual
from popkit.lengths import from_mm, mm

__all__ = [
    "Bound",
    "Law",
    "Layout",
    "NextMark",
    "Sum",
    "broken",
    "gravest",
    "laws",
    "laws_on",
    "layout",
    "rebuilt",
    "sizes_of",
]

Quantity = tuple[str, int]
"""What a law speaks of: ("foot", 2) is the foot of tier 2, ("height", 0) the card's own."""


@dataclass(frozen=True, slots=True)
class Sum:
    """A sum of independent sizes, each so many times: {"height": 1, "tier 1 shelf": 1}."""

    terms: Mapping[str, int]

    def __add__(self, other: Sum) -> Sum:
        terms = dict(self.terms)
        for name, times in other.terms.items():
            terms[name] = terms.get(name, 0) + times
        return Sum({name: times for name, times in terms.items() if times})

    def __mul__(self, times: int) -> Sum:
        return Sum({name: times * one for name, one in self.terms.items()})

    __rmul__ = __mul__

    def __sub__(self, other: Sum) -> Sum:
        return self + other * -1


def sizes_of(card: Card) -> dict[str, Fraction]:
    """The independent sizes of a card, in exact millimetres.

    A size that was left to follow another is not among them: a front as long as the back, a
    landing as long as the last foot is far, a clear front as wide as the card. The gap and
    the joining tab are, even where the usual one was left standing, because the usual one of
    another ruler is another size. A glued tier that stays in from the sides has one size, both
    insets together ("side insets"), since only that is cut; a step has its distance from the
    side of the card ("tier 1 margin"), since that is where it is slit.
    """
    front, wide = card.front, mm(card.width)
    sizes = {"width": wide, "height": mm(card.height)}
    if any(not isinstance(tier, CutStep) and tier.width is None for tier in card.tiers):
        sizes["side insets"] = 2 * mm(card.side_inset)
    for place, tier in enumerate(card.tiers):
        name = f"tier {place + 1}"
        sizes[f"{name} shelf"] = mm(tier.depth)
        sizes[f"{name} face"] = mm(tier.face)
        if isinstance(tier, CutStep):
            sizes[f"{name} margin"] = (wide - tier.width_in(card, place)) / 2
            continue
        sizes[f"{name} top tab"] = mm(tier.top_tab)
        sizes[f"{name} bottom tab"] = mm(tier.bottom_tab)
        if tier.width is not None:
            sizes[f"{name} width"] = mm(tier.width)
    if front.length is not None:
        sizes["front length"] = front.length_in(card)
    if front.panel_name is not None:
        if not front.carries_feet or getattr(front, front.flap_size) is not None:
            sizes[front.flap_name] = front.flap_in(card)
        if front.carries_feet:
            sizes["gap"] = front.gap_in(card)
        if front.width is not None:
            sizes[f"{front.panel_name} width"] = front.width_in(card)
    return sizes


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything on a card is: numbers of millimetres, or `Sum`s.

    quantities  {("foot", 1): ..., ("height", 0): ...}
    marks       every cut and score: (piece, mark, position), positions from the top end or,
                for a slit, from the left side
    """

    quantities: dict[Quantity, object]
    marks: tuple[tuple[str, str, object], ...]


def layout(card: Card, sizes: Mapping[str, object]) -> Layout:
    """All quantities and marks of a card of this form, with these independent sizes.

    sizes  keys as `sizes_of(card)`; values `Fraction` millimetres or `Sum`s
    """
    front, wide, tall = card.front, sizes["width"], sizes["height"]
    long = sizes.get("front length", tall)
    found: dict[Quantity, object] = {("width", 0): wide, ("height", 0): tall, ("front length", 0): long}
    strips: list[tuple[str, str, object]] = []
    steps: list[tuple[str, object]] = []
    slits: list[tuple[str, object]] = []
    foot = None
    for number, tier in enumerate(card.tiers, 1):
        name = f"tier {number}"
        shelf, face = sizes[f"{name} shelf"], sizes[f"{name} face"]
        behind = tall if foot is None else tall + foot
        foot = shelf if foot is None else foot + shelf
        found |= {("shelf", number): shelf, ("face", number): face, ("foot", number): foot}
        if isinstance(tier, CutStep):
            margin = sizes[f"{name} margin"]
            found |= {
                ("margin", number): margin,
                ("tier width", number): wide - 2 * margin,
                ("slit start", number): behind - face,
                ("slit stop", number): tall + foot,
            }
            steps += [
                (f"{name} attachment", behind - face),
                (f"{name} shelf edge", tall + foot - face),
                (f"{name} foot", tall + foot),
            ]
            slits += [(f"{name} left slit", margin), (f"{name} right slit", wide - margin)]
            continue
        top, bottom = sizes[f"{name} top tab"], sizes[f"{name} bottom tab"]
        across = sizes[f"{name} width"] if tier.width is not None else wide - sizes["side insets"]
        found |= {
            ("top tab", number): top,
            ("bottom tab", number): bottom,
            ("tier width", number): across,
        }
        strip = [("width", across), ("length", top + shelf + face + bottom)]
        strip += [("score 1", top), ("score 2", top + shelf), ("score 3", top + shelf + face)]
        found |= {("piece width", number): strip[0][1], ("piece length", number): strip[1][1]}
        strips += [(name, mark, position) for mark, position in strip]
    flap = long if front.panel_name is None else sizes.get(front.flap_name, foot)
    found[("flap", 0)] = flap
    back = "back" if front.panel_name is not None else "back and front"
    marks = [(back, "width", wide), (back, "length", tall + flap)]
    found |= {("piece width", 0): wide, ("piece length", 0): tall + flap}
    marks += [(back, mark, at) for mark, at in [("score 1", tall), *steps, *slits]]
    if front.panel_name is not None:
        across, panel = sizes.get(f"{front.panel_name} width", wide), long
        if "gap" in sizes:
            found[("gap", 0)] = sizes["gap"]
            panel = long - sizes["gap"]
        found |= {("panel width", 0): across, ("panel length", 0): panel}
        marks += [(front.panel_name, "width", across), (front.panel_name, "length", panel)]
    return Layout(found, (*marks, *strips))


def rebuilt(card: Card, sizes: Mapping[str, Fraction], unit: str) -> Card:
    """The card with other independent sizes, written in `unit`.

    What the card leaves to follow something else still does, wherever that gives the size.
    Raises: CardError if a size has become nothing.
    """
    front, wide = card.front, sizes["width"]

    def length(name: str) -> object:
        return from_mm(sizes[name], unit)

    tiers, behind = [], wide
    for number, tier in enumerate(card.tiers, 1):
        name = f"tier {number}"
        fields = {"face": length(f"{name} face"), "depth": length(f"{name} shelf")}
        if isinstance(tier, CutStep):
            across = wide - 2 * sizes[f"{name} margin"]
            follows = tier.width is None and across == behind - 2 * mm(usual("step inset", unit))
            fields["width"] = None if follows else from_mm(across, unit)
            behind = across
        else:
            fields["top_tab"] = length(f"{name} top tab")
            fields["bottom_tab"] = length(f"{name} bottom tab")
            fields["width"] = None if tier.width is None else length(f"{name} width")
        tiers.append(replace(tier, **fields))
    parts = {}
    if front.length is not None:
        parts["length"] = length("front length")
    if front.panel_name is not None and front.flap_name in sizes:
        left = getattr(front, front.flap_size) is None
        if not left or sizes[front.flap_name] != mm(usual("tab", unit)):
            parts[front.flap_size] = length(front.flap_name)
    if "gap" in sizes and not (front.gap is None and sizes["gap"] == mm(usual("gap", unit))):
        parts["gap"] = length("gap")
    if front.panel_name is not None and front.width is not None:
        parts["width"] = length(f"{front.panel_name} width")
    inset = sizes["side insets"] / 2 if "side insets" in sizes else mm(card.side_inset)
    return replace(
        card,
        width=length("width"),
        height=length("height"),
        tiers=tuple(tiers),
        front=replace(front, **parts),
        side_inset=from_mm(inset, unit),
    )


# Laws ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Bound:
    """A sum of quantities, each so many times, that must reach `least` millimetres (or pass it)."""

    terms: Mapping[Quantity, int]
    least: Fraction = Fraction(0)
    strict: bool = False

    def total(self, quantities: Mapping[Quantity, Fraction]) -> Fraction:
        """The sum, in millimetres."""
        return sum((times * quantities[what] for what, times in self.terms.items()), Fraction(0))

    def holds(self, quantities: Mapping[Quantity, Fraction]) -> bool:
        """Whether these numbers of millimetres satisfy it."""
        total = self.total(quantities)
        return total > self.least if self.strict else total >= self.least

    def short(self, quantities: Mapping[Quantity, Fraction]) -> Fraction:
        """Millimetres by which these numbers fall short of it, 0 or more."""
        return max(Fraction(0), self.least - self.total(quantities))


@dataclass(frozen=True, slots=True)
class NextMark:
    """`less` may not pass the first mark of a ruler, `mark` millimetres apart, at or beyond
    `more` + `extra`.
    """

    less: Quantity
    more: Quantity
    extra: Fraction
    mark: Fraction

    @property
    def terms(self) -> Mapping[Quantity, int]:
        """As those of a `Bound`."""
        return {self.more: 1, self.less: -1}

    @property
    def at_once(self) -> Bound:
        """What satisfies it without any rounding up."""
        return Bound(self.terms, -self.extra)

    @property
    def on_marks(self) -> Bound:
        """What it comes to where `less` lies on a mark of that ruler."""
        return Bound(self.terms, -self.extra - self.mark, strict=True)

    def holds(self, quantities: Mapping[Quantity, Fraction]) -> bool:
        """Whether these numbers of millimetres satisfy it."""
        return self.short(quantities) == 0

    def short(self, quantities: Mapping[Quantity, Fraction]) -> Fraction:
        """Millimetres by which these numbers pass the mark, 0 or more."""
        last = math.ceil((quantities[self.more] + self.extra) / self.mark) * self.mark
        return max(Fraction(0), quantities[self.less] - last)


@dataclass(frozen=True, slots=True, kw_only=True)
class Law:
    """Something that must stay true of a card.

    rule      the key in `checks.RULES` that looks at it, or "exists"
    severity  of the finding when it is broken; "stop" for "exists"
    where     the part it is about
    text      the law in words: "tier 2 is hidden when the card is closed"
    ways      it holds if every bound of any one way holds
    """

    rule: str
    severity: str
    where: str
    text: str
    ways: tuple[tuple[Bound | NextMark, ...], ...]

    def holds(self, quantities: Mapping[Quantity, Fraction]) -> bool:
        """Whether these numbers of millimetres satisfy it."""
        return any(all(bound.holds(quantities) for bound in way) for way in self.ways)

    def short(self, quantities: Mapping[Quantity, Fraction]) -> Fraction:
        """Millimetres by which these numbers fall short of it, along its easiest way."""
        return min(
            max((bound.short(quantities) for bound in way), default=Fraction(0)) for way in self.ways
        )

    def __str__(self) -> str:
        return self.text


def laws(card: Card) -> tuple[Law, ...]:
    """Every law that a card of this form may keep, whether or not this one keeps it."""
    return tuple(_laws(card, None, _sheet_laws(card)))


def laws_on(card: Card, unit: str) -> tuple[tuple[Law, ...], tuple[Law, ...]]:
    """The laws of a card as it stands, and the same ones, in the same order, as they will be
    put to it once its sizes lie on a ruler in `unit`.
    """
    sheet = tuple(_sheet_laws(card))
    return tuple(_laws(card, None, sheet)), tuple(_laws(card, unit, sheet))


def broken(card: Card) -> tuple[Law, ...]:
    """The laws that the card does not keep."""
    quantities = layout(card, sizes_of(card)).quantities
    return tuple(law for law in laws(card) if not law.holds(quantities))


def gravest(found: Iterable[Law]) -> tuple[Law, ...]:
    """The laws without those that only say again, less gravely, what another of them says."""
    heard: dict[tuple, Law] = {}
    for law in sorted(found, key=lambda law: checks.SEVERITIES.index(law.severity)):
        about = tuple(tuple(sorted(bound.terms.items())) for bound in law.ways[0])
        heard.setdefault((law.rule, law.where, about), law)
    return tuple(heard.values())


def _laws(card: Card, unit: str | None, sheet: Iterable[Law]) -> Iterator[Law]:
    front, count = card.front, len(card.tiers)
    holds_tab = mm(usual("least tab", "inch"))
    seen = min(mm(usual("least band", unit or card.unit)), mm(checks.BORDER))

    def law(rule: str, severity: str, where: str, text: str, *bounds: Bound) -> Law:
        return Law(rule=rule, severity=severity, where=where, text=text, ways=(bounds,))

    for number, tier in enumerate(card.tiers, 1):
        here, foot, face = f"tier {number}", ("foot", number), ("face", number)
        hidden = tuple(Bound({(side, 0): 1, foot: -1, face: -1}) for side in ("height", "front length"))
        yield law("hidden", "stop", here, f"{here} is hidden when the card is closed", *hidden)
        stock = card.stock if isinstance(tier, CutStep) else card.tier_stock
        channel = mm(checks.score_room(stock))
        shelf = ("shelf", number)
        yield law(
            "shelf", "stop", here, f"{here}'s shelf has room for two creases", Bound({shelf: 1}, channel)
        )
        yield law(
            "shelf",
            "caution",
            here,
            f"{here}'s shelf is deep enough to fold",
            Bound({shelf: 1}, max(channel, mm(checks.SHALLOWEST))),
        )
        yield law(
            "scores-close",
            "stop",
            here,
            f"{here}'s face has room for two creases",
            Bound({face: 1}, channel),
        )
        if number > 1:
            band, behind = {("face", number - 1): 1, face: -1}, f"tier {number - 1}"
            yield law("band", "stop", here, f"{here} is no higher than {behind}", Bound(band))
            yield law("band", "caution", here, f"{behind} shows above {here}", Bound(band, strict=True))
            yield law("band", "note", here, f"enough of {behind} shows above {here}", Bound(band, seen))
        yield from _step_laws(number) if isinstance(tier, CutStep) else _strip_laws(number, holds_tab)
    if front.panel_name is not None:
        yield from _flap_laws(card, unit, holds_tab)
        panel = front.panel_name
        fits = Bound({("width", 0): 1, ("panel width", 0): -1})
        yield law("width", "stop", panel, f"the {panel} is no wider than the back", fits)
    yield from sheet
    if front.carries_feet:
        past = Bound({("front length", 0): 1, ("gap", 0): -1}, strict=True)
        panel = front.panel_name
        yield law("exists", "stop", panel, f"the {panel} starts before its end", past)
        clear = Bound({("gap", 0): 1}, strict=True)
        yield law("gap", "note", panel, f"the {panel} is clear of the score", clear)
    steps = sum(isinstance(tier, CutStep) for tier in card.tiers)
    if steps:
        inside = tuple(Bound({("slit start", number): 1}, strict=True) for number in range(1, steps + 1))
        inside += (Bound({("front length", 0): 1, ("foot", steps): -1}, strict=True),)
        yield law("exists", "stop", "back and front", "every slit stays inside the card", *inside)
    wide = tuple(Bound({("tier width", number): 1}, strict=True) for number in range(1, count + 1))
    yield law("exists", "stop", "tiers", "every tier has a width", *wide)


def _strip_laws(number: int, holds_tab: Fraction) -> Iterator[Law]:
    """Tabs that hold and hide, and a strip narrower than the back."""
    here = f"tier {number}"
    for tab, held, part in (("top tab", "face", "face"), ("bottom tab", "shelf", "shelf")):
        width = {(tab, number): 1}
        for severity, least in (("stop", holds_tab / 2), ("caution", holds_tab)):
            yield Law(
                rule="tab-narrow",
                severity=severity,
                where=here,
                text=f"{here}'s {tab} is wide enough for its glue",
                ways=((Bound(width, least),),),
            )
        yield Law(
            rule="tab-long",
            severity="stop",
            where=here,
            text=f"{here}'s {tab} is no longer than its {part}",
            ways=((Bound({(held, number): 1, (tab, number): -1}),),),
        )
    room = {("width", 0): 1, ("tier width", number): -1}
    for severity, strict, how in (("stop", False, "no wider"), ("caution", True, "narrower")):
        yield Law(
            rule="width",
            severity=severity,
            where=here,
            text=f"{here} is {how} than the back",
            ways=((Bound(room, strict=strict),),),
        )


def _step_laws(number: int) -> Iterator[Law]:
    """A step cut well inside what it is cut from."""
    border = {("margin", number): 1}
    if number > 1:
        border[("margin", number - 1)] = -1
    here, source = f"tier {number}", f"tier {number - 1}" if number > 1 else "the card"
    for severity, bound in (
        ("stop", Bound(border, strict=True)),
        ("caution", Bound(border, mm(checks.BORDER))),
    ):
        yield Law(
            rule="width",
            severity=severity,
            where=here,
            text=f"{here}'s slits leave enough of {source} beside them",
            ways=((bound,),),
        )


def _flap_laws(card: Card, unit: str | None, holds_tab: Fraction) -> Iterator[Law]:
    front = card.front
    name, last = front.flap_name, ("foot", len(card.tiers))
    flap, gap = ("flap", 0), ("gap", 0)

    def law(severity: str, text: str, *ways: tuple[Bound | NextMark, ...]) -> Law:
        return Law(rule="landing", severity=severity, where=name, text=text, ways=ways)

    if front.carries_feet:
        yield law("stop", f"the {name} reaches under every foot", (Bound({flap: 1, last: -1}),))
    yield law("stop", f"the {name} stays within the front", (Bound({("front length", 0): 1, flap: -1}),))
    if not front.carries_feet:
        for severity, least in (("stop", holds_tab / 2), ("caution", holds_tab)):
            yield Law(
                rule="tab-narrow",
                severity=severity,
                where=name,
                text=f"the {name} is wide enough for its glue",
                ways=((Bound({flap: 1}, least),),),
            )
        return
    grip = {flap: 1, gap: -1}
    yield law("caution", f"the {name} holds the {front.panel_name}", (Bound(grip, holds_tab),))
    mark = mm(grid_for(unit or card.unit).step)
    yield law(
        "note",
        f"the {name} ends under the last tier",
        (NextMark(flap, last, Fraction(0), mark),),
        (NextMark(flap, gap, holds_tab, mark),),
    )


def _sheet_laws(card: Card) -> Iterator[Law]:
    """Each piece comes out of its sheet, and with its grain."""
    front, panel = card.front, card.front.panel_name
    blanks = [("back" if panel is not None else "back and front", "piece", 0, card.stock, "width")]
    if panel is not None:
        blanks.append((panel, "panel", 0, front.stock_in(card), None))
    blanks += [
        (f"tier {number}", "piece", number, card.tier_stock, "width")
        for number, tier in enumerate(card.tiers, 1)
        if not isinstance(tier, CutStep)
    ]
    for name, kind, number, stock, grain in blanks:
        across, along = mm(stock.sheet.width), mm(stock.sheet.height)
        wide, long = (kind + " width", number), (kind + " length", number)
        upright = (Bound({wide: -1}, -across), Bound({long: -1}, -along))
        turned = (Bound({wide: -1}, -along), Bound({long: -1}, -across))
        for severity, ways, how in (
            ("stop", (upright, turned), "comes out of its sheet"),
            (
                "caution",
                (upright, turned) if grain is None else (turned,),
                "comes out of its sheet with the grain",
            ),
        ):
            yield Law(
                rule="sheet",
                severity=severity,
                where=name,
                text=f"the piece “{name}” {how} ({stock.sheet.name})",
                ways=ways,
            )
