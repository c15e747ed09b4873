"""Kits: what each student of a class makes, which pieces that takes, and how it is stuck together.

Students who make the same card on the same ruler share one kind of kit.

Imports: lengths, papers, card, areas, pieces, converting, posting, sending, recipe,
roster, classplan.order.
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
from popkit.papers import ENVELOPES, PADDED, Envelope, Sheet, Stock, as_envelope
from popkit.pieces import Piece, cut_list
from popkit.posting import BoxEnvelope
from popkit.recipe import Recipe
from popkit.roster import Roster, Student
from popkit.sections import is_whole
from popkit.sending import BOX, Wrapping, read_envelope, wrapped

__all__ = [
    "Joint",
    "Kit",
    "Maker",
    "joints",
    "joints_of",
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
    measure     unit of the recipe's card: the smallest envelope is from the tables of that measure
    sent        what was found for it to leave in, or None where nothing was looked for; of a box that
                is cut with it the pieces are among `pieces`
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
    measure: str = ""
    sent: Wrapping | None = None

    @property
    def box(self) -> BoxEnvelope | None:
        """The box that is cut with it, or None."""
        return _box(self.sent)

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


def joints_of(kit: Kit) -> tuple[Joint, ...]:
    """Everything that is stuck for one kit: the card, and the flaps of its box."""
    of_card = () if kit.card is None else joints(kit.card)
    flaps = tuple(
        Joint(
            what=f"{zone.name} of {piece.name}",
            width=mm(piece.width),
            depth=mm(zone.length),
            adhesive="tape" if piece.stock.kind == "plastic" else "glue",
        )
        for piece in (() if kit.box is None else kit.box.pieces)
        for zone in piece.zones
        if zone.glue
        for _ in range(piece.count)
    )
    return of_card + flaps


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
    kit = Kit(
        name=name,
        pieces=pieces,
        count=count,
        card=card,
        unit=unit or _system(card),
        students=students,
        measure=recipe.card.unit,
    )
    return _sent_in(kit, recipe.envelope)


def kits_of(who: Roster | Iterable[tuple[Recipe | Kit, int]], recipes: object = None) -> tuple[Kit, ...]:
    """The kits of a class, in the order they are first asked for.

    who      a `Roster`, or pairs (recipe, how many)
    recipes  for a roster: the `Recipe`s, or {name: Recipe}; a student is matched by the title,
             or by that name. A student without a card makes the only one there is. For pairs it is
             not needed; faults call a recipe by the name it has there
    Raises: PlanError with every fault.
    """
    faults: list[str] = []
    found: list[Kit | None] = []
    if isinstance(who, Roster):
        found = _from_roster(who, _named(recipes, faults), faults)
    else:
        found = _from_pairs(who, recipes if isinstance(recipes, Mapping) else {}, faults)
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


def _from_pairs(
    pairs: Iterable[tuple[object, int]], recipes: Mapping[str, Recipe], faults: list[str]
) -> list[Kit | None]:
    found: list[Kit | None] = []
    named: dict[str, list[tuple[str, Recipe]]] = {}
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
            key = next((key for key, recipe in recipes.items() if recipe is one), "")
            named.setdefault(one.title, []).append((key, one))
        elif isinstance(one, Kit):
            found.append(replace(one, count=count))
        else:
            faults.append(f"{quoted(str(one))} is no Recipe and no Kit.")
    names = Counter(kit.name for kit in found if kit is not None)
    for name, times in names.items():
        if times > 1:
            those = named.get(name, [])
            files = list(dict.fromkeys(key for key, _ in those if key))
            if any(one != those[0][1] for _, one in those):
                faults.append(_alike(those))
            elif len(files) > 1:
                faults.append(
                    f"The recipes {' and '.join(map(quoted, files))} are alike; choose one of them, "
                    "and add the numbers up."
                )
            else:
                faults.append(f"{quoted(name)} stands in the class {times} times; add the numbers up.")
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
            kit = _envelope(kit, wanted)
        except LengthError as fault:
            faults.append(f"Envelope for {quoted(kit.name)}: {fault}")
            continue
        found.append(replace(kit, extras=(*kit.extras, *extras.items())))
    return tuple(found)


def _envelope(kit: Kit, wanted: object) -> Kit:
    """The kit with what it leaves in.

    Raises: LengthError if `wanted` is no envelope that we know.
    """
    if wanted is None:
        bare = kit if kit.card is None else _sent_in(kit, "")
        return replace(bare, envelope=None, sent=None)
    if wanted == "smallest":
        if kit.card is None or kit.sent is not None:
            return kit
        wanted = kit.envelope or ""
    elif not (isinstance(wanted, str) and wanted.strip().casefold() == BOX):
        known = read_envelope(wanted) if isinstance(wanted, str) else None
        wanted = known or as_envelope(wanted)
    if kit.card is None:
        return replace(kit, envelope=wanted)
    return _sent_in(kit, wanted)


def _sent_in(kit: Kit, asked: Envelope | str) -> Kit:
    """The kit in what was asked for if that takes its card, else in what does; a box that was asked
    for is cut with it. An envelope that is not in the tables is called what the tutor calls it.
    """
    found = wrapped(kit.card, asked, unit=kit.measure or kit.card.unit)
    envelope = found.words or (found.wrap if isinstance(found.wrap, Envelope) else None)
    own = isinstance(asked, str) and found.asked and found.small is None
    if own and isinstance(envelope, Envelope) and envelope.name not in ENVELOPES | PADDED:
        envelope = replace(envelope, name=asked.strip())
    had, box = _box(kit.sent), _box(found)
    pieces = kit.pieces[: len(kit.pieces) - len(had.pieces)] if had else kit.pieces
    if box is not None:
        pieces += tuple(
            replace(piece, stock=_from_sheet(piece, sheet))
            for piece, sheet in zip(box.pieces, box.sheets, strict=True)
        )
    return replace(kit, pieces=pieces, envelope=envelope or None, sent=found)


def _box(found: Wrapping | None) -> BoxEnvelope | None:
    """The box that was asked for, if its pieces come out of sheets that we know."""
    if found is None or not found.asked or found.small is not None:
        return None
    made = isinstance(found.wrap, BoxEnvelope) and None not in found.wrap.sheets
    return found.wrap if made else None


def _from_sheet(piece: Piece, sheet: Sheet) -> Stock:
    """The stock of a piece in its own sheet if that is large enough, else in the one named."""
    own = piece.stock.sheet  # folds run along the width and the sheet's grain along its height
    fits = mm(piece.width) <= mm(own.height) and mm(piece.length) <= mm(own.width)
    return piece.stock if fits else replace(piece.stock, sheet=sheet)
