"""Kits: what each student of a class makes, which pieces that takes, and how it is stuck together.

Students who make the same card on the same ruler share one kind of kit.

Imports: lengths, papers, card, areas, pieces, converting, posting, recipe, roster, classplan.order.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from popkit.areas import placed_layers, placed_ornaments
from popkit.card import Card, CardError, CutStep, grid_for
from popkit.classplan.order import PlanError
from popkit.converting import converted_card
from popkit.language import BRITISH, Language
from popkit.lengths import Length, LengthError, in_inches, mm, quoted
from popkit.papers import Envelope, Stock, as_envelope
from popkit.pieces import Piece, cut_list
from popkit.posting import envelopes_for
from popkit.recipe import Recipe
from popkit.roster import Roster, Student
from popkit.sections import is_whole

__all__ = [
    "Joint",
    "Kit",
    "Maker",
    "joints",
    "kits_of",
    "makers",
    "pad_name",
    "pads_of",
    "with_sundries",
]

MOST = 100_000  # kits of a kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Two things stuck together.

    what      "top tab of tier 1"
    width     of what is stuck, along the fold, in millimetres
    depth     of it, the other way
    adhesive  "glue", "tape" (where either is plastic) or "pad"
    pad       thickness of the foam, or None
    """

    what: str
    width: Fraction
    depth: Fraction
    adhesive: str
    pad: Length | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """What one kind of bag holds, and how many such bags there are.

    name        of the card; the ruler is named too where it is not the recipe's own
    pieces      for one kit; the spares are whole kits
    count       how many students make it
    spares      how many kits more
    card        the `Card`, or None where only pieces are known
    unit        "in" or "mm", the ruler it is made on
    students    those of a roster who make it
    extras      (name, how many) of what else goes in a bag
    envelope    it leaves in; as text one that only the tutor knows; or None
    """

    name: str
    pieces: tuple[Piece, ...]
    count: int
    spares: int = 0
    card: Card | None = None
    unit: str = ""
    students: tuple[Student, ...] = ()
    extras: tuple[tuple[str, int], ...] = ()
    envelope: Envelope | str | None = None

    @property
    def bags(self) -> int:
        """How many kits are made, spares and all."""
        return self.count + self.spares

    @property
    def large_print(self) -> int:
        """How many of its handouts are printed large."""
        return sum(student.large_print for student in self.students)


def joints(card: Card) -> tuple[Joint, ...]:
    """Everything that is stuck on one card, in the order it is done.

    Source: that paper glue does not hold plastic, common practice, no source; the same rule as
    in the materials of a card (`assembly.materials`).
    """

    def stuck(*stocks: Stock) -> str:
        return "tape" if any(stock.kind == "plastic" for stock in stocks) else "glue"

    found = []
    panel = card.front.stock_in(card)
    if card.front.panel_name is not None:
        found.append(
            Joint(
                what=card.front.panel_name,
                width=min(mm(card.width), card.front.width_in(card)),
                depth=card.front.flap_in(card) - card.front.gap_in(card),
                adhesive=stuck(card.stock, panel),
            )
        )
    below = {one.name: one.stock for one in placed_layers(card)}
    for one in placed_layers(card):
        under = card.tier_stock if one.part.startswith("tier ") else card.stock
        under = below.get(one.source.on, under)
        adhesive = "tape" if one.on_plastic else stuck(one.stock, under)
        found.append(Joint(what=one.name, width=one.width_mm, depth=one.length_mm, adhesive=adhesive))
    behind = card.stock
    for number, tier in enumerate(card.tiers, 1):
        if isinstance(tier, CutStep):
            behind = card.stock
            continue
        wide = tier.width_in(card, number - 1)
        for tab, depth, other in (
            ("bottom", tier.bottom_tab, panel),
            ("top", tier.top_tab, behind),
        ):
            found.append(
                Joint(
                    what=f"{tab} tab of tier {number}",
                    width=wide,
                    depth=mm(depth),
                    adhesive=stuck(card.tier_stock, other),
                )
            )
        behind = card.tier_stock
    for one in placed_ornaments(card):
        pad = one.source.pad
        found.append(
            Joint(
                what=one.name,
                width=one.width_mm,
                depth=one.length_mm,
                adhesive=stuck(one.stock) if pad is None else "pad",
                pad=pad,
            )
        )
    return tuple(joint for joint in found if joint.depth > 0)


def pads_of(kit: Kit) -> tuple[tuple[Length, int], ...]:
    """How thick, and how many of one kit; the thinnest first.

    Source: two behind an ornament at least, else one for each square inch of it begun, so that it
    does not curl; common practice, no source.
    """
    found: Counter[Fraction] = Counter()
    pads: dict[Fraction, Length] = {}
    for joint in () if kit.card is None else joints(kit.card):
        if joint.pad is not None:
            number = max(2, ceil(joint.width * joint.depth / _SQUARE_INCH))
            thick = mm(joint.pad)
            pads.setdefault(thick, joint.pad)
            found[thick] += number
    return tuple((pads[thick], found[thick]) for thick in sorted(found))


def pad_name(pad: Length, language: Language = BRITISH) -> str:
    """ "foam pads, 2 mm thick"."""
    return language.say("foam pads, {thick} thick", thick=language.show_exact(pad))


_SQUARE_INCH = Fraction(127, 5) ** 2


# From those who come to kits ------------------------------------------------------


_Named = dict[str, list[tuple[str, Recipe]]]
"""By every name a roster may write, folded: the recipes of that name, each with its own key or ""."""


def _named(recipes: object, faults: list[str]) -> _Named:
    """The recipes by title, and by key where they come with one."""
    named: _Named = {}
    if recipes is None:
        return named
    if isinstance(recipes, Recipe):
        recipes = (recipes,)
    pairs = recipes.items() if isinstance(recipes, Mapping) else [("", one) for one in recipes]
    for key, recipe in pairs:
        if not isinstance(recipe, Recipe):
            faults.append(f"{quoted(str(recipe))} is no Recipe.")
            continue
        for name in {_folded(recipe.title), _folded(str(key))} - {""}:
            those = named.setdefault(name, [])
            if all(recipe != other for _, other in those):
                those.append((str(key), recipe))
    return named


def _alike(those: Iterable[tuple[str, Recipe]]) -> str:
    """That recipes of one title cannot be told apart, and what to do."""
    those = tuple(those)
    files = [quoted(key) for key, _ in those if key]
    title = quoted(those[0][1].title)
    if not files:
        return f"Several recipes are called {title}; give each its own title."
    return f"Several recipes are called {title}, {' and '.join(files)}; give each its own title."


def _folded(text: str) -> str:
    return " ".join(text.split()).casefold()


def _system(card: Card) -> str:
    return "in" if in_inches(card.unit) else "mm"


def _kit(
    recipe: Recipe, unit: str, count: int, students: tuple[Student, ...], faults: list[str]
) -> Kit | None:
    card, name = recipe.card, recipe.title
    if unit and unit != _system(card):
        words = {"in": "inches", "mm": "millimetres"}[unit]
        done = converted_card(card, grid_for("inch" if unit == "in" else "millimeter"))
        if done.regridded is None:
            faults.append(f"{quoted(name)} cannot be made in {words}: {' '.join(done.faults)}")
            return None
        card, name = done.regridded.card, f"{name}, in {words}"
    try:
        pieces = cut_list(card)
    except CardError as error:
        faults.append(f"{quoted(name)}: {error}")
        return None
    return Kit(
        name=name,
        pieces=pieces,
        count=count,
        card=card,
        unit=unit or _system(card),
        students=students,
        envelope=_own_envelope(recipe),
    )


def _own_envelope(recipe: Recipe) -> Envelope | str | None:
    """What the recipe says it is sent in: an envelope that we know, or the words for it."""
    if not recipe.envelope:
        return None
    try:
        return as_envelope(recipe.envelope)
    except LengthError:
        return recipe.envelope


def kits_of(who: Roster | Iterable[tuple[Recipe | Kit, int]], recipes: object = None) -> tuple[Kit, ...]:
    """The kits of a class, in the order they are first asked for.

    who      a `Roster`, or pairs (recipe, how many)
    recipes  for a roster: the `Recipe`s, or {name: Recipe}; a student is matched by the title,
             or by that name. A student without a card makes the only one there is
    Raises: PlanError with every fault.
    """
    faults: list[str] = []
    found: list[Kit | None] = []
    if isinstance(who, Roster):
        found = _from_roster(who, _named(recipes, faults), faults)
    else:
        found = _from_pairs(who, faults)
    kits = [kit for kit in found if kit is not None]
    if not faults and not kits:
        faults.append("Nobody comes: the class has no kits.")
    if faults:
        raise PlanError(*faults)
    return tuple(kits)


@dataclass(frozen=True, slots=True, kw_only=True)
class Maker:
    """A student and what they make.

    unit  "in" or "mm" where their ruler is not the one of the recipe's card, or ""
    """

    student: Student
    recipe: Recipe
    unit: str


def makers(roster: Roster, recipes: object) -> tuple[Maker, ...]:
    """Everybody on the roster with their recipe, as `kits_of` finds it.

    Raises: PlanError with every card that is no recipe.
    """
    faults: list[str] = []
    found = _makers(roster, _named(recipes, faults), faults)
    if faults:
        raise PlanError(*faults)
    return found


def _makers(roster: Roster, named: _Named, faults: list[str]) -> tuple[Maker, ...]:
    found: list[Maker] = []
    unknown: dict[str, list[str]] = {}
    titles = {recipe.title: recipe for those in named.values() for _, recipe in those}
    used: _Named = {}
    for student in roster:
        those = named.get(_folded(student.card), [])
        if not student.card and len(titles) == 1:
            those = next(iter(named.values()))
        if not those:
            unknown.setdefault(student.card, []).append(student.label)
            continue
        recipe = those[0][1]
        known = used.setdefault(_folded(recipe.title), [])
        known += [one for one in those if one not in known]
        unit = "" if student.unit == _system(recipe.card) else student.unit
        found.append(Maker(student=student, recipe=recipe, unit=unit))
    faults += [_alike(those) for those in used.values() if len(those) > 1]
    listed = ", ".join(map(quoted, titles)) or "none yet"
    for card, labels in unknown.items():
        those = ", ".join(labels[:3]) + (f" and {len(labels) - 3} more" if len(labels) > 3 else "")
        what = f"{quoted(card)} is no recipe of this class" if card else "No card is named"
        faults.append(f"{what} ({those}); write one of these: {listed}.")
    return tuple(found)


def _from_roster(roster: Roster, named: _Named, faults: list[str]) -> list[Kit | None]:
    groups: dict[tuple[str, str], list[Maker]] = {}
    for maker in _makers(roster, named, faults):
        groups.setdefault((maker.recipe.title, maker.unit), []).append(maker)
    return [
        _kit(those[0].recipe, unit, len(those), tuple(one.student for one in those), faults)
        for (_, unit), those in groups.items()
    ]


def _from_pairs(pairs: Iterable[tuple[object, int]], faults: list[str]) -> list[Kit | None]:
    found: list[Kit | None] = []
    named: dict[str, list[Recipe]] = {}
    try:
        pairs = [(one, count) for one, count in pairs]
    except (TypeError, ValueError):
        faults.append("A class is a Roster, or pairs such as (recipe, 12).")
        return []
    for one, count in pairs:
        if not is_whole(count, 0, MOST):
            name = quoted(getattr(one, "title", getattr(one, "name", str(one))))
            faults.append(f"{name} is for {count!r} students; write a whole number, 0 to {MOST}.")
        elif isinstance(one, Recipe):
            found.append(_kit(one, "", count, (), faults))
            named.setdefault(one.title, []).append(one)
        elif isinstance(one, Kit):
            found.append(replace(one, count=count))
        else:
            faults.append(f"{quoted(str(one))} is no Recipe and no Kit.")
    names = Counter(kit.name for kit in found if kit is not None)
    for name, times in names.items():
        if times > 1:
            those = named.get(name, [])
            same = all(one == those[0] for one in those)
            faults.append(
                f"{quoted(name)} stands in the class {times} times; add the numbers up."
                if same
                else _alike(("", one) for one in those)
            )
    return [kit for kit in found if kit is None or kit.count]


# What goes with them --------------------------------------------------------------


def with_sundries(
    kits: tuple[Kit, ...], envelopes: object, extras: Mapping[str, int], faults: list[str]
) -> tuple[Kit, ...]:
    """The kits with their envelopes and what else goes in every bag; what cannot be is a fault."""
    for name, number in extras.items():
        if not is_whole(number, 1, MOST) or not isinstance(name, str) or not name.strip():
            faults.append(
                f"{quoted(str(name))} × {number!r} cannot go in a bag; write a name and 1 or more."
            )
    by_name = envelopes if isinstance(envelopes, Mapping) else {}
    for name in by_name:
        if name not in {kit.name for kit in kits}:
            faults.append(f"An envelope is given for {quoted(str(name))}, which nobody makes.")
    if faults:
        return kits
    found = []
    for kit in kits:
        wanted = by_name.get(kit.name, "smallest") if by_name else envelopes
        try:
            envelope = _envelope(kit, wanted)
        except LengthError as fault:
            faults.append(f"Envelope for {quoted(kit.name)}: {fault}")
            continue
        found.append(replace(kit, envelope=envelope, extras=(*kit.extras, *extras.items())))
    return tuple(found)


def _envelope(kit: Kit, wanted: object) -> Envelope | str | None:
    if wanted != "smallest":
        return None if wanted is None else as_envelope(wanted)
    if kit.envelope is not None or kit.card is None:
        return kit.envelope
    return next((fit.envelope for fit in envelopes_for(kit.card)), f"larger than ours, for {kit.name}")
