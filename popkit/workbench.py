"""The workbench: a card being tried out, every edit a new state, nothing here that draws.

A tutor types sizes, moves sliders, adds tiers, applies remedies. Each of these is one function
from a `Workbench` to the next. A size that cannot be used never replaces the card: it stays in
the state as a `Draft`, with the reason, and is tried again after the next edit.

Imports: lengths, card, areas, folding, checks, assembly, ornaments, recipe.
Rounded to a ruler is only what is shown: changing rulers leaves the card exactly as it was.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType

from popkit.areas import areas, placed_layers, placed_ornaments
from popkit.assembly import Rulers
from popkit.card import (
    FRONTS,
    TIER_FORMS,
    Card,
    CardError,
    ClearFront,
    CutStep,
    OnePieceFront,
    grid_for,
    stepped_tiers,
    usual,
)
from popkit.checks import Finding, Remedy, check
from popkit.folding import FoldError, opens_to
from popkit.lengths import (
    Grid,
    Length,
    LengthError,
    as_grid,
    from_mm,
    mm,
    parse_length,
    quoted,
    show_exact,
    show_length,
    unit_of,
)
from popkit.ornaments import ornament_places
from popkit.recipe import MOST_TIERS, Recipe, RecipeError, save_recipe

__all__ = [
    "RULERS",
    "Draft",
    "NameFault",
    "Size",
    "Workbench",
    "added_tier",
    "applied",
    "attempted",
    "edited",
    "file_stem",
    "finishing_sizes",
    "followed",
    "handout_stem",
    "kept",
    "laid_out",
    "limit",
    "mended",
    "opening_words",
    "peeled",
    "removed_tier",
    "size",
    "sizes",
    "slid",
    "started",
    "switched_front",
    "switched_ruler",
    "switched_tiers",
    "titled",
    "turned",
    "what_if",
]

RULERS = MappingProxyType(
    {
        "inch": tuple(map(Grid, ("1/4 in", "1/8 in", "1/16 in", "1/32 in"))),
        "millimeter": tuple(map(Grid, ("1 mm", "0.5 mm"))),
    }
)
"""The rulers to choose from, by unit, coarsest first."""

Path_ = tuple[str | int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What was typed for one size and could not be used: the text as typed, and why not."""

    path: Path_
    text: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """One size of a card that can be set.

    path      leads to it from the card, as in ("tiers", 0, "face")
    label     what the tutor calls it
    value     the length it has now
    most      length at the end of its slider
    optional  True if it may be left to follow from the others
    follows   True if it does so now
    offset    True if it may be 0
    """

    path: Path_
    label: str
    value: Length
    most: Length
    optional: bool = False
    follows: bool = False
    offset: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Workbench:
    """A recipe being tried out.

    recipe     the last one that could be used, its card included
    ruler      the `Grid` that sizes are read on and sliders move by
    angle      degrees of opening, 0 to 180
    slip_tier  number of the tier in "what if its foot is glued off its mark"
    slip       how much too far out, less than 0 for too near the fold
    slipping   True to show the card with that slip
    tiers_shown  how many tiers the pictures show, from the back; None for all
    layers, ornaments  whether the pictures show mats and strips, and what stands on the tiers
    drafts     what was typed and could not be used
    notice     what came of the last edit, where it did more than it was asked, or could not be done
    """

    recipe: Recipe
    ruler: Grid
    angle: int = 90
    slip_tier: int = 1
    slip: Length
    slipping: bool = False
    tiers_shown: int | None = None
    layers: bool = True
    ornaments: bool = True
    drafts: tuple[Draft, ...] = ()
    notice: str = ""

    @property
    def card(self) -> Card:
        """The last card that could be used."""
        return self.recipe.card

    @property
    def grids(self) -> tuple[Grid, Grid]:
        """The ruler in use, and the usual one of the other unit."""
        other = "millimeter" if self.ruler.unit == "inch" else "inch"
        return self.ruler, grid_for(other)

    @property
    def slips(self) -> dict[int, Length]:
        """The slip to draw the card with, {tier: amount}, or none."""
        if not self.slipping or mm(self.slip) == 0 or not self.can_slip:
            return {}
        return {self.slip_tier: self.slip}

    @property
    def can_slip(self) -> bool:
        """Whether the chosen tier is glued at all: a cut step has no foot to misplace."""
        return not isinstance(self.card.tiers[self.slip_tier - 1], CutStep)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What would go wrong, remedies on the marks of the ruler in use."""
        return check(self.card, self.ruler)

    def draft(self, path: Path_) -> Draft | None:
        """What was typed for a size and could not be used."""
        return next((draft for draft in self.drafts if draft.path == path), None)

    def text(self, size: Size) -> str:
        """What the box of a size holds: what was typed, if that is no good, or the exact size.

        In the ruler's unit if it comes out even there, or else in the unit it was given in.
        """
        if draft := self.draft(size.path):
            return draft.text
        here = from_mm(mm(size.value), self.ruler.unit)
        if here.magnitude.denominator <= 64 and "≈" not in (shown := show_exact(here)):
            return shown
        return show_exact(size.value)

    def readings(self, length: Length) -> str:
        """A length on both rulers: "8½ in (216 mm)"."""
        if mm(length) == 0:
            return f"{show_length(length, self.grids[0])} ({show_length(length, self.grids[1])})"
        sign = "\N{MINUS SIGN}" if mm(length) < 0 else ""
        return sign + Rulers(*self.grids).show(abs(length))

    def slip_sentence(self) -> str:
        """To which opening the card gets if the foot is glued off its mark."""
        number = self.slip_tier
        if not self.can_slip:
            return f"Tier {number} is cut from the card itself: it has no foot to glue off its mark."
        if mm(self.slip) == 0:
            return f"With tier {number}'s foot on its mark the card opens flat, to 180°."
        where = "too far out" if mm(self.slip) > 0 else "too near the fold"
        amount = self.readings(abs(self.slip))
        limit = opens_to(self.card, {number: self.slip})
        start = f"If tier {number}'s foot is glued {amount} {where}"
        if limit >= 180:
            return f"{start}, the card still opens flat, but that face no longer stands upright with it."
        return f"{start}, the card opens to {limit:.0f}° and jams there: it no longer lies flat."


# Sizes ----------------------------------------------------------------------------

_FRONT_SIZES: dict[str, tuple[str, Callable[[Card], Fraction]]] = {
    "length": ("Front length", lambda card: card.front.length_in(card)),
    "landing": ("Landing flap", lambda card: card.front.flap_in(card)),
    "joining_tab": ("Joining tab", lambda card: card.front.flap_in(card)),
    "gap": ("Gap at the fold", lambda card: card.front.gap_in(card)),
    "width": ("Front width", lambda card: card.front.width_in(card)),
}
_TIER_SIZES = {
    "face": "Face height",
    "depth": "Shelf depth",
    "top_tab": "Top tab",
    "bottom_tab": "Bottom tab",
    "width": "Width",
}
SLIP = ("slip",)
_LARGEST = Fraction(305)  # mm, 12 in and a bit: what a slider reaches without typing


def sizes(bench: Workbench) -> tuple[Size, ...]:
    """Every size of the card that can be set, in the order of making: card, front, tiers."""
    card, unit = bench.card, bench.ruler.unit
    wide, tall = mm(card.width), mm(card.height)
    reach = max(tall, card.front.length_in(card))

    def most(limit: Fraction, value: Fraction) -> Length:
        return bench.ruler.up(from_mm(max(limit, value), unit))

    def one(path: Path_, label: str, value: Fraction, given: Length | None, limit: Fraction, **more):
        length = given if given is not None else card.length(value)
        return Size(path=path, label=label, value=length, most=most(limit, value), **more)

    found = [
        one(("width",), "Width, along the fold", wide, card.width, _LARGEST),
        one(("height",), "Height of the back", tall, card.height, _LARGEST),
    ]
    if any(not isinstance(tier, CutStep) and tier.width is None for tier in card.tiers):
        inset = mm(card.side_inset)
        found.append(
            one(("side_inset",), "Side inset of tiers", inset, card.side_inset, wide / 4, offset=True)
        )
    for field in fields(card.front):
        if field.name not in _FRONT_SIZES:
            continue
        label, read = _FRONT_SIZES[field.name]
        given = getattr(card.front, field.name)
        limit = {"length": _LARGEST, "width": wide, "gap": tall / 8}.get(field.name, reach / 2)
        found.append(
            one(
                ("front", field.name),
                label,
                read(card),
                given,
                limit,
                optional=True,
                follows=given is None,
                offset=field.name == "gap",
            )
        )
    for place, tier in enumerate(card.tiers):
        for name, label in _TIER_SIZES.items():
            if not hasattr(tier, name):
                continue
            given = getattr(tier, name)
            value = tier.width_in(card, place) if name == "width" else mm(given)
            limit = {"face": tall, "width": wide}.get(name, tall / 2)
            more = {"optional": True, "follows": given is None} if name == "width" else {}
            found.append(one(("tiers", place, name), label, value, given, limit, **more))
    return tuple(found)


_LAYER_SIZES = {
    "reveal": "Left to see",
    "width": "Width, along the fold",
    "length": "Length, across it",
    "across": "From the left side",
    "up": "From its lower edge",
}
_ORNAMENT_SIZES = {
    "height": "Height",
    "width": "Width",
    "up": "Foot raised by",
    "along": "From the left side",
    "pad": "Foam pad, or 0",
}
_PLACES = ("across", "up", "along", "pad", "reveal")  # may be 0


def finishing_sizes(bench: Workbench, rows: str, place: int) -> tuple[Size, ...]:
    """Every size of one layer or ornament that can be set.

    rows   "layers" or "ornaments"
    place  in that row of the card, from 0
    """
    card, thing = bench.card, getattr(bench.card, rows)[place]
    if rows == "layers":
        names, spot = _LAYER_SIZES, placed_layers(card)[place]
        grounds = (*placed_layers(card), *areas(card))
        ground = next((one for one in grounds if one.name == thing.on), spot)
        values = {
            "reveal": thing.reveal_in(card),
            "width": spot.width_mm,
            "length": spot.length_mm,
            "across": spot.left_mm - ground.left_mm,
            "up": spot.start_mm - ground.start_mm,
        }
    else:
        names, spot = _ORNAMENT_SIZES, placed_ornaments(card)[place]
        room = next(mm(one.wide) for one in ornament_places(card) if one.on == thing.on)
        values = {
            "height": mm(thing.height),
            "width": mm(thing.width),
            "up": spot.start_mm,
            "along": mm(thing.along) if thing.along is not None else (room - spot.width_mm) / 2,
            "pad": spot.out_mm,
        }
    tall = max(mm(card.height), card.front.length_in(card))
    reach = {"width": mm(card.width), "across": mm(card.width), "along": mm(card.width)}
    reach |= {"reveal": mm(card.width) / 4, "pad": mm(usual("tab", card.unit)) / 2}
    found = []
    for name, label in names.items():
        given, value = getattr(thing, name), values[name]
        limit = max(reach.get(name, tall), value)
        found.append(
            Size(
                path=(rows, place, name),
                label=label,
                value=card.length(value) if given is None else given,
                most=bench.ruler.up(from_mm(limit, bench.ruler.unit)),
                optional=name not in ("height", "width") or rows == "layers",
                follows=given is None and name != "pad",
                offset=name in _PLACES,
            )
        )
    return tuple(found)


def size(bench: Workbench, path: Path_) -> Size:
    """The size at a path; ("slip",) is that of the what-if. Raises: KeyError if there is none."""
    if path == SLIP:
        end = bench.ruler.up(usual("tab", bench.ruler.unit))
        return Size(path=SLIP, label="Too far out by", value=bench.slip, most=end, offset=True)
    rows, *place = path
    if rows in ("layers", "ornaments") and _has(bench.card, path[:2]):
        known = finishing_sizes(bench, rows, place[0])
    else:
        known = sizes(bench)
    for found in known:
        if found.path == path:
            return found
    raise KeyError(path)


def limit(bench: Workbench) -> float:
    """Degrees to which the card opens as it is shown; 180 is flat."""
    return opens_to(bench.card, bench.slips) if bench.slips else 180.0


# From one state to the next -------------------------------------------------------


def laid_out(recipe: Recipe) -> Workbench:
    """A workbench with a recipe on it, read on the recipe's own ruler.

    Raises: CardError if its pieces cannot be cut, as where nothing is left of a mat.
    """
    from popkit.pieces import cut_list

    cut_list(recipe.card)
    ruler = recipe.ruler if recipe.ruler.unit != "centimeter" else Grid("1 mm")
    return Workbench(recipe=recipe, ruler=ruler, slip=usual("mark", ruler.unit))


def started(
    width: str,
    height: str,
    tiers: int,
    *,
    ruler: Grid | str | None = None,
    form: str = "glued strip",
    front: str = "clear",
) -> Workbench | dict[str, str]:
    """A workbench with a card of any size, its tiers stepped evenly.

    width, height  as typed; a bare number is in the ruler's unit
    tiers          1 to 8
    Returns: the workbench; or, if a card cannot be made, {"width" | "height" | "tiers": why}.
    """
    ruler = None if ruler is None else as_grid(ruler)
    unit = None if ruler is None else ruler.unit
    faults, read = {}, {}
    for name, text in (("width", width), ("height", height)):
        try:
            read[name] = parse_length(text, unit)
        except LengthError as fault:
            faults[name] = str(fault)
    if isinstance(tiers, bool) or not isinstance(tiers, int) or not 1 <= tiers <= MOST_TIERS:
        faults["tiers"] = f"A card carries 1 to {MOST_TIERS} tiers."
    if faults:
        return faults
    ruler = grid_for(unit_of(read["height"])) if ruler is None else ruler
    try:
        steps = stepped_tiers(read["height"], tiers, grid=ruler, form=TIER_FORMS[form])
        made = OnePieceFront() if TIER_FORMS[form] is CutStep else FRONTS[front]()
        card = Card(width=read["width"], height=read["height"], tiers=steps, front=made)
        if isinstance(made, ClearFront):
            card = _with_roomy_landing(card, ruler)
    except CardError as fault:
        return {"tiers": str(fault)}
    return laid_out(Recipe(title="A card of my own", card=card, ruler=ruler))


def _with_roomy_landing(card: Card, ruler: Grid) -> Card:
    """The landing long enough that the sheet has a tab's breadth to lie on behind its gap."""
    least = ruler.up(from_mm(card.front.gap_in(card) + mm(usual("least tab", card.unit)), ruler.unit))
    if mm(least) <= card.feet_mm[-1]:
        return card
    return replace(card, front=replace(card.front, landing=least))


def _replaced(owner: object, path: Path_, value: object) -> object:
    head, *rest = path
    if isinstance(owner, tuple):
        new = _replaced(owner[head], tuple(rest), value) if rest else value
        return (*owner[:head], new, *owner[head + 1 :])
    inner = _replaced(getattr(owner, head), tuple(rest), value) if rest else value
    return replace(owner, **{head: inner})


def _has(card: Card, path: Path_) -> bool:
    """Whether a card still has the size that a path leads to."""
    owner = card
    for step in path:
        if isinstance(step, int):
            if step >= len(owner):
                return False
            owner = owner[step]
        elif hasattr(owner, step):
            owner = getattr(owner, step)
        else:
            return False
    return True


def _tried(bench: Workbench, path: Path_, text: str) -> Workbench | str:
    """The state with a typed size in its place, or why it cannot be."""
    here = size(bench, path)
    try:
        if here.optional and not text.strip():
            return _with_card(bench, _replaced(bench.card, path, None))
        value = parse_length(text, bench.ruler.unit, offset=here.offset)
        if here.offset and path != SLIP and mm(value) < 0:
            raise LengthError(text, "is less than nothing", "Write 0 or more")
        return _put(bench, path, value)
    except (LengthError, CardError, FoldError) as fault:
        return str(fault)


def _put(bench: Workbench, path: Path_, value: Length) -> Workbench:
    if path == SLIP:
        if bench.can_slip:
            opens_to(bench.card, {bench.slip_tier: value})
        return replace(bench, slip=value)
    if path[-1] == "pad" and mm(value) == 0:
        value = None  # glued flat
    return _with_card(bench, _replaced(bench.card, path, value))


def _with_card(bench: Workbench, card: Card) -> Workbench:
    """The state with another card, the what-if kept within it."""
    from popkit.pieces import cut_list

    cut_list(card)  # a card whose pieces cannot be cut is refused like any other
    bench = replace(
        bench,
        recipe=replace(bench.recipe, card=card),
        slip_tier=min(bench.slip_tier, len(card.tiers)),
        tiers_shown=None if (bench.tiers_shown or 0) >= len(card.tiers) else bench.tiers_shown,
    )
    try:
        if bench.can_slip:
            opens_to(card, {bench.slip_tier: bench.slip})
    except FoldError:
        bench = replace(bench, slip=usual("mark", bench.ruler.unit))
    return bench


def _settled(bench: Workbench, drafts: Iterable[Draft], notice: str = "") -> Workbench:
    """The state with every draft tried once more, those that still fail kept."""
    left = []
    for draft in drafts:
        if draft.path != SLIP and not _has(bench.card, draft.path):
            continue
        made = _tried(bench, draft.path, draft.text)
        if isinstance(made, str):
            left.append(replace(draft, why=made))
        else:
            bench = made
    return replace(bench, drafts=tuple(left), notice=notice)


def edited(bench: Workbench, path: Path_, text: str) -> Workbench:
    """A size as typed: into the card if it can be, otherwise kept as a draft with the reason.

    text  a bare number is in the ruler's unit; "" lets an optional size follow from the others
    """
    others = [draft for draft in bench.drafts if draft.path != path]
    made = _tried(bench, path, text)
    if isinstance(made, str):
        return _settled(bench, [*others, Draft(path=path, text=text, why=made)])
    return _settled(made, others)


def slid(bench: Workbench, path: Path_, marks: int) -> Workbench:
    """A size moved to a mark of the ruler, counted from 0."""
    return edited(bench, path, show_exact(bench.ruler.at(marks)).replace("\N{MINUS SIGN}", "-"))


def attempted(bench: Workbench, change: Callable[[], Card], notice: str = "") -> Workbench:
    """The state with a changed card, or as it was with the reason in its notice."""
    try:
        return _settled(_with_card(bench, change()), bench.drafts, notice)
    except (CardError, LengthError) as fault:
        return replace(bench, notice=str(fault))


def added_tier(bench: Workbench) -> Workbench:
    """One more tier in front of the last, a band lower; the notice says if there can be none."""
    card, unit = bench.card, bench.ruler.unit
    if len(card.tiers) >= MOST_TIERS:
        return replace(bench, notice=f"A card carries {MOST_TIERS} tiers at most.")
    last = card.tiers[-1]
    band = mm(card.bands[-1]) if len(card.tiers) > 1 else mm(usual("least band", unit))
    face = mm(bench.ruler.down(from_mm(mm(last.face) - max(band, mm(usual("least band", unit))))))
    if face <= 0:
        return replace(bench, notice=f"Tier {len(card.tiers)} is too low for another in front of it.")
    new = {"face": from_mm(face, unit)}
    if hasattr(last, "top_tab"):
        new["top_tab"] = min(last.top_tab, new["face"], key=mm)
    if isinstance(last, CutStep):
        new["width"] = None
    return attempted(bench, lambda: replace(card, tiers=(*card.tiers, replace(last, **new))))


def removed_tier(bench: Workbench, number: int) -> Workbench:
    """Without tier `number`, from 1, and without what lies or stands on it; the last one stays."""
    card = bench.card
    if len(card.tiers) == 1:
        return replace(bench, notice="A tiered card needs at least one tier.")
    place = number - 1
    moved = []
    for draft in bench.drafts:
        if draft.path[0] != "tiers" or draft.path[1] < place:
            moved.append(draft)
        elif draft.path[1] > place:
            moved.append(replace(draft, path=("tiers", draft.path[1] - 1, draft.path[2])))
    bench = replace(bench, drafts=tuple(moved))
    layers, gone = _without_ground(card.layers, number)
    ornaments, off = _without_ground(card.ornaments, number)
    names = [one.name for one in (*gone, *off)]
    bench = followed(
        bench,
        {
            "layers": [at for at, one in enumerate(card.layers) if one not in gone],
            "ornaments": [at for at, one in enumerate(card.ornaments) if one not in off],
        },
    )
    return attempted(
        bench,
        lambda: replace(
            card,
            tiers=card.tiers[:place] + card.tiers[place + 1 :],
            layers=layers,
            ornaments=ornaments,
        ),
        f"Taken off with tier {number}: {', '.join(names)}." if names else "",
    )


def followed(bench: Workbench, kept: dict[str, list[int]]) -> Workbench:
    """The state with its drafts about layers and ornaments where these will stand once some are gone.

    kept  for "layers" or "ornaments" the places, from 0, of those that stay, in their order
    """
    drafts = []
    for draft in bench.drafts:
        rows, place, *_ = (*draft.path, None)
        if rows not in kept:
            drafts.append(draft)
        elif place in kept[rows]:
            path = (rows, kept[rows].index(place), *draft.path[2:])
            drafts.append(replace(draft, path=path))
    return replace(bench, drafts=tuple(drafts))


def _without_ground(things: tuple, number: int) -> tuple[tuple, tuple]:
    """Layers or ornaments once tier `number` is gone, and those that go with it.

    What lies on a tier farther forward keeps its tier, which now has a number less; a name made
    from that number changes with it.
    """
    kept, gone, names = [], [], {}
    for thing in things:
        kind, _, digits = thing.on.rpartition(" ")
        on = names.get(thing.on, thing.on)
        if kind in ("tier", "band") and digits.isdigit() and int(digits) >= number:
            on = None if int(digits) == number else f"{kind} {int(digits) - 1}"
        if on is None:
            gone.append(thing)
            names[thing.name] = None
            continue
        moved = replace(thing, on=on)
        if thing.name.startswith(thing.usual_name):
            name = moved.usual_name + thing.name.removeprefix(thing.usual_name)
            moved = replace(moved, name=name)
        names[thing.name] = moved.name
        kept.append(moved)
    return tuple(kept), tuple(gone)


def switched_front(bench: Workbench, form: str) -> Workbench:
    """The card with another form of front, its length kept."""
    front = bench.card.front
    if front.form == form:
        return bench
    return attempted(bench, lambda: replace(bench.card, front=FRONTS[form](length=front.length)))


def switched_tiers(bench: Workbench, form: str) -> Workbench:
    """Every tier in one form, faces and shelves kept; cut steps make back and front one piece."""
    card, kind = bench.card, TIER_FORMS[form]
    if all(isinstance(tier, kind) for tier in card.tiers):
        return bench
    tiers = tuple(
        tier if isinstance(tier, kind) else kind(face=tier.face, depth=tier.depth) for tier in card.tiers
    )
    front, notice = card.front, ""
    if kind is CutStep and not isinstance(front, OnePieceFront):
        front = OnePieceFront(length=front.length)
        notice = "Cut steps are cut across the fold, so back and front are now one piece."
    return attempted(bench, lambda: replace(card, tiers=tiers, front=front), notice)


def switched_ruler(bench: Workbench, ruler: Grid | str) -> Workbench:
    """Read on another ruler. The card stays exactly as it is; the what-if takes the new mark."""
    ruler = as_grid(ruler)
    bench = replace(bench, ruler=ruler, recipe=replace(bench.recipe, ruler=ruler), notice="")
    return _settled(bench, bench.drafts)


def mended(bench: Workbench, finding: Finding) -> Workbench:
    """The card with a finding's remedy applied; the notice says what was done."""
    touched = {change.path for change in finding.remedy.changes}
    bench = replace(bench, drafts=tuple(draft for draft in bench.drafts if draft.path not in touched))
    return applied(bench, finding.remedy)


def applied(bench: Workbench, remedy: Remedy) -> Workbench:
    """The card with a remedy's changes made; the notice says what was done."""
    card = bench.card
    try:
        made = remedy.apply(card)
    except (CardError, LengthError) as fault:
        return replace(bench, notice=str(fault))
    kept = {}
    for rows in ("layers", "ornaments"):
        names = [one.name for one in getattr(made, rows)]
        kept[rows] = [at for at, one in enumerate(getattr(card, rows)) if one.name in names]
    return attempted(followed(bench, kept), lambda: made, f"Done: {remedy.text}")


def turned(bench: Workbench, angle: int) -> Workbench:
    """Opened to another angle, kept within 0 to 180 degrees."""
    return replace(bench, angle=min(180, max(0, int(angle))))


def peeled(
    bench: Workbench,
    *,
    tiers: int | None = None,
    layers: bool | None = None,
    ornaments: bool | None = None,
) -> Workbench:
    """The pictures with only so many tiers, from the back, or without mats or ornaments.

    Only what is shown changes, never the card. A number as high as the card has tiers shows all.
    """
    if tiers is not None:
        bench = replace(bench, tiers_shown=None if tiers >= len(bench.card.tiers) else max(0, tiers))
    if layers is not None:
        bench = replace(bench, layers=layers)
    if ornaments is not None:
        bench = replace(bench, ornaments=ornaments)
    return bench


def opening_words(bench: Workbench, angle: int | None = None) -> str:
    """An opening in a few words: "On show", "Open 45°", or where a slipped card stops.

    angle  unless given, the one the card is at
    """
    angle = bench.angle if angle is None else angle
    most = limit(bench)
    if angle > most:
        return f"Asked for {angle}°; it stops at {most:.0f}°."
    return {0: "Closed", 90: "On show", 180: "Flat"}.get(angle, f"Open {angle}°")


def what_if(bench: Workbench, *, tier: int | None = None, slipping: bool | None = None) -> Workbench:
    """The what-if about another tier, or shown or put away."""
    if tier is not None:
        bench = replace(bench, slip_tier=min(len(bench.card.tiers), max(1, tier)))
    if slipping is not None:
        bench = replace(bench, slipping=slipping)
    return _settled(_with_card(bench, bench.card), bench.drafts)


def titled(bench: Workbench, title: str) -> Workbench | str:
    """The recipe under another title, or why it cannot have it."""
    try:
        return replace(bench, recipe=replace(bench.recipe, title=title))
    except RecipeError as error:
        return " ".join(f"{fault.what} {fault.remedy}" for fault in error.faults)


# Files ----------------------------------------------------------------------------


class NameFault(ValueError):
    """A file name that cannot be used; the message says why and what to write."""


_DEVICES = re.compile(r"(?i:con|prn|aux|nul|com[0-9]|lpt[0-9])")


def file_stem(text: str, ending: str = "") -> str:
    """A typed file name, proved to be a plain name in its folder, without its ending.

    ending  ".toml": taken off if it was typed
    Raises: NameFault.
    """
    name = text.strip() if isinstance(text, str) else ""
    if ending and name.casefold().endswith(ending):
        name = name[: -len(ending)].rstrip()
    if not name:
        raise NameFault("The file has no name yet. Write one, as in “my-card”.")
    if re.search(r"[/\\:]", name) or name.startswith("."):
        raise NameFault(f"{quoted(name)} leads out of the folder. Write a plain name, as in “my-card”.")
    if not re.fullmatch(r"[\w][\w -]*", name):
        raise NameFault(f"{quoted(name)} is no plain name. Write letters, figures, spaces and hyphens.")
    if _DEVICES.fullmatch(name):
        raise NameFault(f"{quoted(name)} is kept by some computers for themselves. Choose another name.")
    if len(name.encode()) > 80:
        raise NameFault(f"{quoted(name)} is too long for a file name. Write 40 letters at most.")
    return name


def handout_stem(
    recipe: str,
    *,
    paper: str,
    grid: str | None = None,
    large_print: bool = False,
    name: str | None = None,
) -> str:
    """A file name, without its ending, that tells one handout of a recipe from another.

    recipe  its file's name; the rest as for `handout.write_handout`
    """
    parts = [recipe, paper, grid or "", "large print" if large_print else "", name or ""]
    plain = (re.sub(r"[^\w]+", "-", part.casefold()).strip("-_") for part in parts)
    return "-".join(part for part in plain if part).encode()[:120].decode(errors="ignore") or "handout"


def kept(bench: Workbench, folder: Path | str, name: str, *, overwrite: bool = False) -> Path:
    """Save the recipe under a typed file name in a folder; the path it was written to.

    Raises: NameFault for the name or for a size that is still wrong; RecipeError as `save_recipe`.
    """
    if bench.drafts:
        wrong = ", ".join(quoted(draft.text) for draft in bench.drafts)
        raise NameFault(f"Not saved: mend what was typed first ({wrong}).")
    return save_recipe(
        bench.recipe, Path(folder) / f"{file_stem(name, '.toml')}.toml", overwrite=overwrite
    )
