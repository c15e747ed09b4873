"""The card: a back that stands, a front that drops forward, tiers that rise between them.

Seen from the side the fold is the origin, the front lies along the table and the back
stands. Tiers are listed from the back forwards, largest first, which is also the order
of gluing. A card refuses only what cannot exist; bad craft is a finding of `checks`.

Imports: lengths, papers.
"""

from __future__ import annotations

import difflib
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache, wraps
from itertools import pairwise
from numbers import Rational
from typing import ClassVar, TypeVar

from popkit.lengths import (
    Grid,
    Length,
    LengthError,
    as_length,
    as_offset,
    from_mm,
    in_inches,
    mm,
    quoted,
    show_exact,
    unit_of,
)
from popkit.papers import CLEAR_SHEET, MEDIUM_CARD, Stock, as_sheet, as_stock

__all__ = [
    "FRONTS",
    "TIER_FORMS",
    "Card",
    "CardError",
    "ClearFront",
    "CutStep",
    "Front",
    "JoinedFront",
    "Layer",
    "OnePieceFront",
    "Ornament",
    "Tier",
    "grid_for",
    "kept",
    "place_names",
    "stepped_tiers",
    "usual",
]


Found = TypeVar("Found")


class CardError(ValueError):
    """A card that cannot exist. `faults` holds every reason, each a sentence."""

    def __init__(self, *faults: str) -> None:
        self.faults = faults
        super().__init__(*faults)

    def __str__(self) -> str:
        return " ".join(self.faults)


# The usual sizes, in inches for an inch card and in millimetres for a metric one.
# common practice, no source: glue tab 1/2 in (12 mm) and never under 3/8 in (10 mm), a clear front
# held 1/8 in (3 mm) off the score so that it does not bind, tiers 1/32 in (1 mm) in from each
# side, a cut step 1/2 in (12 mm) in from whatever it is cut from, a band of 1/4 in (6 mm) to see.
# A mat's reveal, each side: 1/8 in or 3 mm, stampingimperfection.com and cursa.app.
_USUAL = {
    "tab": ("1/2 in", "12 mm"),
    "least tab": ("3/8 in", "10 mm"),
    "least band": ("1/4 in", "6 mm"),
    "gap": ("1/8 in", "3 mm"),
    "side inset": ("1/32 in", "1 mm"),
    "step inset": ("1/2 in", "12 mm"),
    "reveal": ("1/8 in", "3 mm"),
    "mark": ("1/16 in", "1 mm"),
}


@cache
def usual(what: str, unit: str) -> Length:
    """The usual size, in a unit, of a "tab", "least tab", "least band", "gap", "side inset",
    "step inset", a mat's "reveal" or ruler "mark".
    """
    return as_length(_USUAL[what][0 if in_inches(unit) else 1])


def grid_for(unit: str) -> Grid:
    """The ruler that a unit is usually read on: sixteenths for inches, else whole millimetres."""
    return Grid(usual("mark", unit))


def _take(owner: object, faults: list[str], **kinds: object) -> None:
    """Replace each named field by a checked length, gathering what cannot be."""
    for name, reader in kinds.items():
        value = getattr(owner, name)
        if value is None:
            continue
        try:
            object.__setattr__(owner, name, reader(value))
        except LengthError as fault:
            faults.append(f"{type(owner).__name__}.{name} {fault}")


def _not_below_zero(value: Length | str) -> Length:
    length = as_offset(value)
    if mm(length) < 0:
        raise LengthError(show_exact(length), "is less than nothing", "Write 0 or more")
    return length


# Tiers --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Tier:
    """A glued strip of card, four zones from the top: top tab, shelf, face, bottom tab.

    face        height of the upright face, length > 0
    depth       of the shelf, front to back, length > 0
    top_tab     glued to what stands behind, hidden behind its own face; unless given the
                usual tab, or the face where that is lower
    bottom_tab  glued to the front, pointing to the fold; unless given the usual tab, or
                the shelf where that is shallower
    width       along the fold; unless given the card's width less both side insets
    """

    form: ClassVar[str] = "glued strip"
    face: Length
    depth: Length
    top_tab: Length = None
    bottom_tab: Length = None
    width: Length | None = None

    def __post_init__(self) -> None:
        faults: list[str] = []
        _take(
            self, faults, **dict.fromkeys(("face", "depth", "top_tab", "bottom_tab", "width"), as_length)
        )
        for name in ("face", "depth"):
            if getattr(self, name) is None:
                faults.append(f"Tier.{name} is missing. Write a length.")
        if faults:
            raise CardError(*faults)
        for name, limit in (("top_tab", self.face), ("bottom_tab", self.depth)):
            if getattr(self, name) is None:
                tab = usual("tab", unit_of(self.face))
                object.__setattr__(self, name, min(tab, limit, key=mm))

    def width_in(self, card: Card, place: int) -> Fraction:
        """Millimetres along the fold of this tier, number `place` (from 0) of `card`."""
        return mm(self.width) if self.width is not None else mm(card.width) - 2 * mm(card.side_inset)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutStep:
    """A step cut from the card itself: two slits across the fold, pushed forward.

    The same parallelogram as a glued strip, with no tabs and nothing glued. The first is
    cut across the fold, each further one across the foot of the step behind it.

    face   height of the upright face, length > 0
    depth  of the shelf, length > 0
    width  along the fold; unless given the usual step inset narrower, each side, than what
           it is cut from
    """

    form: ClassVar[str] = "cut step"
    face: Length
    depth: Length
    width: Length | None = None

    def __post_init__(self) -> None:
        faults: list[str] = []
        _take(self, faults, face=as_length, depth=as_length, width=as_length)
        for name in ("face", "depth"):
            if getattr(self, name) is None:
                faults.append(f"CutStep.{name} is missing. Write a length.")
        if faults:
            raise CardError(*faults)

    def width_in(self, card: Card, place: int) -> Fraction:
        """Millimetres along the fold of this step, number `place` (from 0) of `card`."""
        if self.width is not None:
            return mm(self.width)
        behind = card.tiers[place - 1].width_in(card, place - 1) if place else mm(card.width)
        return behind - 2 * mm(usual("step inset", unit_of(self.face)))


TIER_FORMS: dict[str, type] = {form.form: form for form in (Tier, CutStep)}


# Fronts -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Front:
    """What drops forward. Each form says how the back blank runs on past the fold (its
    flap), and whether a separate panel is fixed to that flap.

    length  from the fold to the free edge; unless given, the height of the card
    """

    form: ClassVar[str]
    flap_name: ClassVar[str]
    flap_size: ClassVar[str | None]  # the field that sets how far the flap reaches
    panel_name: ClassVar[str | None]
    carries_feet: ClassVar[bool] = False  # whether the flap must reach under every foot
    length: Length | None = None

    def __post_init__(self) -> None:
        faults: list[str] = []
        _take(self, faults, **self._readers())
        if faults:
            raise CardError(*faults)

    def _readers(self) -> dict[str, object]:
        return {"length": as_length}

    def length_in(self, card: Card) -> Fraction:
        """Millimetres from the fold to the free edge of the front."""
        return mm(self.length) if self.length is not None else mm(card.height)

    def flap_in(self, card: Card) -> Fraction:
        """Millimetres that the back blank runs on past the fold."""
        raise TypeError(f"{type(self).__name__} must say how far its flap reaches")

    def gap_in(self, card: Card) -> Fraction:
        """Millimetres between the score and the near edge of the separate panel."""
        return Fraction(0)

    def width_in(self, card: Card) -> Fraction:
        """Millimetres along the fold of the separate panel."""
        return mm(card.width)

    def stock_in(self, card: Card) -> Stock:
        """What the separate panel is made of."""
        return card.stock


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearFront(Front):
    """A clear sheet fixed to a landing flap that is scored on the back piece.

    landing  length of the flap, which must reach under every bottom tab so that the tape
             is hidden from below; unless given, just as far as the last face
    gap      from the score to the sheet, so that it does not bind, 0 or more
    width    of the sheet along the fold; unless given, the card's
    stock    of the sheet
    """

    form: ClassVar[str] = "clear"
    flap_name: ClassVar[str] = "landing flap"
    flap_size: ClassVar[str] = "landing"
    carries_feet: ClassVar[bool] = True
    panel_name: ClassVar[str] = "clear front"
    landing: Length | None = None
    gap: Length | None = None
    width: Length | None = None
    stock: Stock = CLEAR_SHEET

    def _readers(self) -> dict[str, object]:
        return {
            "length": as_length,
            "landing": as_length,
            "gap": _not_below_zero,
            "width": as_length,
            "stock": as_stock,
        }

    def flap_in(self, card: Card) -> Fraction:
        """Millimetres of landing."""
        return mm(self.landing) if self.landing is not None else card.feet_mm[-1]

    def gap_in(self, card: Card) -> Fraction:
        """Millimetres from the score to the sheet."""
        return mm(self.gap) if self.gap is not None else mm(usual("gap", card.unit))

    def width_in(self, card: Card) -> Fraction:
        """Millimetres of the sheet along the fold."""
        return mm(self.width) if self.width is not None else mm(card.width)

    def stock_in(self, card: Card) -> Stock:
        """The clear sheet."""
        return self.stock


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinedFront(Front):
    """Card stock throughout: the back has a short joining tab, the front is a panel of its own.

    joining_tab  length of the tab past the fold; unless given, the usual tab
    width        of the panel along the fold; unless given, the card's
    """

    form: ClassVar[str] = "joined"
    flap_name: ClassVar[str] = "joining tab"
    flap_size: ClassVar[str] = "joining_tab"
    panel_name: ClassVar[str] = "front panel"
    joining_tab: Length | None = None
    width: Length | None = None

    def _readers(self) -> dict[str, object]:
        return {"length": as_length, "joining_tab": as_length, "width": as_length}

    def flap_in(self, card: Card) -> Fraction:
        """Millimetres of joining tab."""
        return mm(self.joining_tab) if self.joining_tab is not None else mm(usual("tab", card.unit))

    def width_in(self, card: Card) -> Fraction:
        """Millimetres of the panel along the fold."""
        return mm(self.width) if self.width is not None else mm(card.width)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnePieceFront(Front):
    """One blank for back and front, scored where the back ends."""

    form: ClassVar[str] = "one-piece"
    flap_name: ClassVar[str] = "front"
    flap_size: ClassVar[str] = "length"
    panel_name: ClassVar[None] = None

    def flap_in(self, card: Card) -> Fraction:
        """Millimetres of front: the whole of it."""
        return self.length_in(card)


FRONTS: dict[str, type[Front]] = {
    front.form: front for front in (ClearFront, JoinedFront, OnePieceFront)
}


# Layers and ornaments -----------------------------------------------------------

LONGEST_NAME = 60  # characters


def _take_text(owner: object, faults: list[str], name: str, *, empty: bool = False) -> None:
    """A text of one line, its runs of white space made one space."""
    text, label = getattr(owner, name), f"{type(owner).__name__}.{name}"
    if not isinstance(text, str):
        faults.append(f"{label} {quoted(str(text))}: is no text. Write it in quotes.")
        return
    text = " ".join(text.split())
    if len(text) > LONGEST_NAME:
        faults.append(f"{label} {quoted(text)}: is too long. Write {LONGEST_NAME} characters at most.")
    elif not text.isprintable():
        faults.append(f"{label} {quoted(text)}: holds a character that cannot be seen. Type it again.")
    elif not text and not empty:
        faults.append(f"{label} is missing. Write a name.")
    object.__setattr__(owner, name, text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """A mat or a strip of paper lying flat on an area of the card, or on another layer.

    on      what it lies on: "back" (above tier 1), "band 1" (what shows of face 1), "tier 1"
            (the whole face), "front" (its inside, before the last tier), "outside front",
            "message" (the outside of the back), or the name of a layer listed before it
    reveal  of what it lies on, left to see on each side, 0 or more; unless given 1/8 in (3 mm)
    width   along the fold; unless given, that of what it lies on less twice the reveal
    length  across the fold; unless given, likewise
    across  from the left side of what it lies on to its own; unless given, in the middle
    up      from the edge nearer the fold (of a face: its foot); unless given, in the middle
    stock   unless given, the card's
    name    in the cut list; unless given "mat for the back", "mat for tier 1", ...
    """

    on: str
    reveal: Length | None = None
    width: Length | None = None
    length: Length | None = None
    across: Length | None = None
    up: Length | None = None
    stock: Stock | None = None
    name: str = ""

    def __post_init__(self) -> None:
        faults: list[str] = []
        _take_text(self, faults, "on")
        _take_text(self, faults, "name", empty=True)
        _take(
            self,
            faults,
            reveal=_not_below_zero,
            width=as_length,
            length=as_length,
            across=as_offset,
            up=as_offset,
            stock=as_stock,
        )
        if faults:
            raise CardError(*faults)

    @property
    def usual_name(self) -> str:
        """What it is called where nobody named it."""
        if self.on.startswith("mat for "):
            return self.on  # the card puts a number behind it
        return f"mat for {self.on if self.on[-1:].isdigit() else f'the {self.on}'}"

    def reveal_in(self, card: Card) -> Fraction:
        """Millimetres left to see on each side."""
        return mm(self.reveal if self.reveal is not None else usual("reveal", card.unit))

    def stock_in(self, card: Card) -> Stock:
        """What it is made of."""
        return card.stock if self.stock is None else self.stock


@dataclass(frozen=True, slots=True, kw_only=True)
class Ornament:
    """A cut-out standing on the face of a tier, or on the back.

    on      "back", "tier 1", "tier 2", ...
    height  of the cut-out, length > 0
    width   along the fold, length > 0
    along   from the left side of what it stands on to its own; unless given, in the middle
    up      from the foot of the face (on the back: from the fold) to its lower edge, 0 or more;
            unless given 0, so that it rises as far above the foot as it is high
    pad     thickness of the foam between it and the face; unless given, it is glued flat
    stock   unless given, the tiers'
    grams   its weight, where it is known; unless given, that of the stock
    name    in the cut list; unless given "ornament on tier 1", ...
    """

    on: str
    height: Length
    width: Length
    along: Length | None = None
    up: Length | None = None
    pad: Length | None = None
    stock: Stock | None = None
    grams: Fraction | None = None
    name: str = ""

    def __post_init__(self) -> None:
        faults: list[str] = []
        _take_text(self, faults, "on")
        _take_text(self, faults, "name", empty=True)
        _take(
            self,
            faults,
            height=as_length,
            width=as_length,
            along=as_offset,
            up=_not_below_zero,
            pad=as_length,
            stock=as_stock,
        )
        for name in ("height", "width"):
            if getattr(self, name) is None:
                faults.append(f"Ornament.{name} is missing. Write a length.")
        if self.grams is not None:
            grams = self.grams
            if isinstance(grams, float):
                grams = Fraction(str(grams)) if grams == grams and abs(grams) < 1e9 else None
            if isinstance(grams, bool) or not isinstance(grams, Rational) or grams <= 0:
                text = quoted(str(self.grams))
                faults.append(f"Ornament.grams {text}: is no weight. Write grams, more than 0.")
            else:
                object.__setattr__(self, "grams", Fraction(grams))
        if faults:
            raise CardError(*faults)

    @property
    def usual_name(self) -> str:
        """What it is called where nobody named it."""
        return f"ornament on {self.on if self.on[-1:].isdigit() else f'the {self.on}'}"

    @property
    def rise_mm(self) -> Fraction:
        """Millimetres from the foot of the face (or the fold) to its top."""
        return mm(self.height) + (mm(self.up) if self.up is not None else 0)

    def stock_in(self, card: Card) -> Stock:
        """What it is made of."""
        return card.tier_stock if self.stock is None else self.stock


def place_names(count: int, *, standing: bool = False) -> tuple[str, ...]:
    """What a layer can lie on, on a card with `count` tiers, or what an ornament can stand on."""
    faces = tuple(f"tier {number}" for number in range(1, count + 1))
    if standing:
        return ("back", *faces)
    bands = tuple(f"band {number}" for number in range(1, count + 1))
    return ("back", *bands, *faces, "front", "outside front", "message")


# The card -----------------------------------------------------------------------

SPINES = ("single", "double")  # how often the fold between back and front is scored


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """A tiered drop-front card.

    width       along the fold, length > 0
    height      of the back, length > 0; its unit is the card's unit
    tiers       one or more `Tier` or `CutStep`, from the back forwards
    front       `ClearFront`, `JoinedFront` or `OnePieceFront`
    side_inset  how far each side of a glued tier stays in from the side of the card, >= 0
    stock       of back and front panel; unless given, medium card on the sheet of the unit
    tier_stock  of the tiers; unless given, as `stock`
    layers      mats and strips, each listed after what it lies on; named if they were not
    ornaments   cut-outs standing on the tiers or the back; named if they were not
    spine       "single" or "double": whether the fold is scored once or twice; unless given, twice
                where the card closes too thick for one score (`thickness`). No size follows from it
    Raises: CardError with every reason why the card cannot exist.
    """

    width: Length
    height: Length
    tiers: tuple[Tier | CutStep, ...]
    front: Front = field(default_factory=OnePieceFront)
    side_inset: Length | None = None
    stock: Stock | None = None
    tier_stock: Stock | None = None
    layers: tuple[Layer, ...] = ()
    ornaments: tuple[Ornament, ...] = ()
    spine: str | None = None

    def __post_init__(self) -> None:
        faults: list[str] = []
        if self.spine not in (None, *SPINES):
            ways = " or ".join(f'spine = "{one}"' for one in SPINES)
            faults.append(f"The spine is {quoted(str(self.spine))}: write {ways}, or leave it out.")
        _take(
            self,
            faults,
            width=as_length,
            height=as_length,
            side_inset=_not_below_zero,
            stock=as_stock,
            tier_stock=as_stock,
        )
        if isinstance(self.tiers, Iterable):
            object.__setattr__(self, "tiers", tuple(self.tiers))
            if not self.tiers:
                faults.append("A tiered card needs at least one tier.")
        else:
            kind = type(self.tiers).__name__
            faults.append(f"Card.tiers is a {kind}, not a row of tiers. Write (tier,) with its comma.")
            object.__setattr__(self, "tiers", ())
        cut = [isinstance(tier, CutStep) for tier in self.tiers]
        for number, tier in enumerate(self.tiers, 1):
            if not isinstance(tier, tuple(TIER_FORMS.values())):
                faults.append(f"Tier {number} is a {type(tier).__name__}, not a tier.")
        if not isinstance(self.front, Front):
            faults.append(f"The front is a {type(self.front).__name__}, not a front.")
        elif any(cut) and not isinstance(self.front, OnePieceFront):
            faults.append("A cut step is cut across the fold, so back and front must be one piece.")
        for number in range(1, len(cut)):
            if cut[number] and not cut[number - 1]:
                faults.append(
                    f"Tier {number + 1} is a cut step, but tier {number} behind it is glued on."
                )
        self._take_finishing(faults)
        if faults:
            raise CardError(*faults)
        if self.side_inset is None:
            object.__setattr__(self, "side_inset", usual("side inset", self.unit))
        if self.stock is None:
            sheet = as_sheet("Letter" if in_inches(self.unit) else "A4")
            object.__setattr__(self, "stock", replace(MEDIUM_CARD, sheet=sheet))
        if self.tier_stock is None:
            object.__setattr__(self, "tier_stock", self.stock)
        panel, gap = self.front.panel_name, self.front.gap_in(self)
        if panel is not None and gap >= self.front.length_in(self):
            faults.append(
                f"The {panel} would start {show_exact(self.length(gap))} from the fold, past its own "
                "end: write a smaller gap, or a longer front."
            )
        behind = Fraction(0)
        for number, (tier, foot) in enumerate(zip(self.tiers, self.feet_mm, strict=True), 1):
            if tier.width_in(self, number - 1) <= 0:
                insets = "step" if isinstance(tier, CutStep) else "side"
                faults.append(f"The {insets} insets leave no width for tier {number}.")
            if isinstance(tier, CutStep):
                if mm(tier.face) >= mm(self.height) + behind:
                    faults.append(f"Tier {number}'s slits run off the top of the back: lower its face.")
                if foot >= self.front.length_in(self):
                    faults.append(f"Tier {number}'s slits run off the front: make its shelf shallower.")
            behind = foot
        if faults:
            raise CardError(*faults)

    def _take_finishing(self, faults: list[str]) -> None:
        """Layers and ornaments: of their kind, each on something that is there, each with a name
        of its own.
        """
        taken = {"back", "back and front", "landing flap", "joining tab", "card"}
        taken |= {front.panel_name for front in FRONTS.values()}
        taken |= set(place_names(max(9, len(self.tiers))))
        for rows, kind in (("layers", Layer), ("ornaments", Ornament)):
            given = getattr(self, rows)
            if given == ():
                continue
            if isinstance(given, str) or not isinstance(given, Iterable):
                what = type(given).__name__
                faults.append(f"Card.{rows} is a {what}. Write ({kind.__name__}(…),) with its comma.")
                object.__setattr__(self, rows, ())
                continue
            object.__setattr__(self, rows, tuple(given))
            places = place_names(len(self.tiers), standing=kind is Ornament)
            names: list[str] = []
            named: list[object] = []
            for number, one in enumerate(getattr(self, rows), 1):
                label = f"{kind.__name__} {number}"
                if not isinstance(one, kind):
                    faults.append(f"{label} is a {type(one).__name__}, not a {kind.__name__.lower()}.")
                    continue
                if one.on not in places and one.on not in names:
                    where = "lies" if kind is Layer else "stands"
                    known = (*places, *(names if kind is Layer else ()))
                    near = difflib.get_close_matches(one.on.casefold(), known, n=1)
                    meant = f"“{near[0]}”, or " if near else ""
                    faults.append(
                        f"{label} {where} on {quoted(one.on)}, which is not there: write {meant}"
                        f"one of {', '.join(known)}."
                    )
                if one.name in taken:
                    faults.append(
                        f"{label}'s name {quoted(one.name)} is taken: write another, as each piece "
                        "needs a name of its own."
                    )
                name = one.name or _fresh_name(one.usual_name, taken)
                taken.add(name)
                if kind is Layer:
                    names.append(name)
                named.append(one if one.name else replace(one, name=name))
            object.__setattr__(self, rows, tuple(named))

    @property
    def unit(self) -> str:
        """The unit the card is designed in: that of its height."""
        return unit_of(self.height)

    @property
    def grid(self) -> Grid:
        """The ruler it is usually read on: sixteenths of an inch, or millimetres."""
        return grid_for(self.unit)

    def length(self, value: Fraction) -> Length:
        """Exact millimetres as a length in the card's unit."""
        return from_mm(value, self.unit)

    @property
    def feet_mm(self) -> tuple[Fraction, ...]:
        """Millimetres from the fold to each face's foot, X_i = d_1 + ... + d_i."""
        feet, foot = [], Fraction(0)
        for tier in self.tiers:
            foot += mm(tier.depth)
            feet.append(foot)
        return tuple(feet)

    @property
    def feet(self) -> tuple[Length, ...]:
        """From the fold to each face's foot, X_i = d_1 + ... + d_i."""
        return tuple(self.length(foot) for foot in self.feet_mm)

    @property
    def front_length(self) -> Length:
        """From the fold to the free edge of the front."""
        return self.length(self.front.length_in(self))

    @property
    def flap(self) -> Length:
        """How far the back blank runs on past the fold: landing, joining tab or whole front."""
        return self.length(self.front.flap_in(self))

    def tier_width(self, number: int) -> Length:
        """Width along the fold of tier `number`, counted from 1."""
        return self.length(self.tiers[number - 1].width_in(self, number - 1))

    @property
    def bands(self) -> tuple[Length, ...]:
        """What shows above each step: of the back behind tier 1, of each face behind the next."""
        heights = [mm(self.height), *(mm(tier.face) for tier in self.tiers)]
        return tuple(self.length(tall - low) for tall, low in pairwise(heights))


def kept(find: Callable[[Card], Found]) -> Callable[[Card], Found]:
    """`find`, keeping its last eight answers: one edit of a card asks for its areas, its pieces and
    its weight in the checks, the drawings and the words. By identity, as a card never changes and to
    hash one costs more.
    """
    recent: deque[tuple[Card, Found]] = deque(maxlen=8)

    @wraps(find)
    def found(card: Card) -> Found:
        for known, answer in tuple(recent):
            if known is card:
                return answer
        answer = find(card)
        recent.append((card, answer))
        return answer

    return found


def _fresh_name(name: str, taken: set[str]) -> str:
    """The name, with a number behind it where it is taken."""
    name = name[: LONGEST_NAME - 4]
    found, number = name, 1
    while found in taken:
        number += 1
        found = f"{name} ({number})"
    return found


def stepped_tiers(
    height: Length | str,
    count: int,
    *,
    grid: Grid | str | None = None,
    form: type = Tier,
) -> tuple[Tier | CutStep, ...]:
    """Tiers that suit a card of any height: equal visible bands, equal shelves.

    height  of the back
    count   1 to 8 tiers
    grid    ruler whose marks the sizes lie on; unless given, that of the height's unit
    form    `Tier` or `CutStep`
    Returns: tiers whose first face is half the back, each next one band lower, every shelf as
    deep as a band is high or, on a low card, as a tab that holds; all hidden when closed.
    Raises: CardError if the card is too small for that many tiers on that ruler.
    Source: common practice, no source, for the proportions (half, one fourteenth).
    """
    height = as_length(height)
    if not isinstance(count, int) or isinstance(count, bool) or not 1 <= count <= 8:
        raise CardError(f"{count} tiers: a card carries 1 to 8.")
    grid = grid_for(unit_of(height)) if grid is None else grid if isinstance(grid, Grid) else Grid(grid)
    tall = mm(height)

    def on_ruler(value: Fraction) -> Fraction:
        return mm(grid.down(from_mm(value)))

    first = on_ruler(tall / 2)
    fourteenth = max(mm(grid.step), mm(grid.nearest(from_mm(tall / 14))))
    band = on_ruler(min(fourteenth, first / (count + 1)))
    # A shelf is at least as deep as a tab that holds, if the last face then still hides.
    least = mm(grid.up(usual("least tab", grid.unit)))
    shelf = on_ruler(min(max(band, least), (tall - first + (count - 1) * band) / count))
    if band <= 0 or shelf <= 0:
        tiers = "1 tier" if count == 1 else f"{count} tiers"
        raise CardError(f"{show_exact(height)} is too low for {tiers} on a ruler of {grid}.")
    unit = grid.unit
    return tuple(
        form(face=from_mm(first - step * band, unit), depth=from_mm(shelf, unit))
        for step in range(count)
    )
