"""Random lengths, rulers and cards for the property tests: `from tests.strategies import cards`.

Every size lies on a mark, as a tutor's would, so two sizes that differ do so by at least a
twentieth of a millimetre and a test may compare positions without asking how near is equal.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from hypothesis import strategies as st

from popkit.card import (
    FRONTS,
    Card,
    ClearFront,
    CutStep,
    Front,
    JoinedFront,
    Layer,
    OnePieceFront,
    Ornament,
    Tier,
    place_names,
)
from popkit.lengths import Grid, Length, Q
from popkit.papers import STOCKS

MM = {"inch": Fraction(127, 5), "millimeter": Fraction(1)}

# The marks that cards are drawn on.
CARD_MARKS = (
    *(("inch", Fraction(1, parts)) for parts in (8, 16, 32, 10)),
    *(("millimeter", step) for step in (Fraction(1), Fraction(1, 2), Fraction(1, 10))),
)


def rulers() -> st.SearchStrategy[Grid]:
    """The rulers that are sold: eighths to hundredths of an inch, centimetres to half millimetres."""
    steps = ("1/2", "1/4", "1/8", "1/10", "1/16", "1/20", "1/32", "1/50", "1/64", "1/100")
    return st.sampled_from(
        [Grid(f"{step} in") for step in (*steps, "1")]
        + [Grid(f"{step} mm") for step in ("0.5", "1", "2", "5")]
        + [Grid(f"{step} cm") for step in ("1", "0.1", "0.05")]
    )


@st.composite
def grids(draw: st.DrawFn) -> Grid:
    """Rulers that are sold, and any other that a `Grid` can be: thirds of an inch, 0.04 mm, ..."""
    if draw(st.booleans()):
        return draw(rulers())
    if draw(st.booleans()):
        return Grid(Q(Fraction(draw(st.integers(1, 64)), draw(st.integers(1, 256))), "inch"))
    ends = 2 ** draw(st.integers(0, 6)) * 5 ** draw(st.integers(0, 4))
    unit = draw(st.sampled_from(["millimeter", "centimeter"]))
    return Grid(Q(Fraction(draw(st.integers(1, 200)), ends), unit))


@st.composite
def lengths_on(draw: st.DrawFn, grid: Grid, *, sizes: bool = True) -> Length:
    """A length on a mark of `grid`, up to 2 m; more than nothing if it is to be a size."""
    step = Fraction(grid.step.magnitude) * MM.get(grid.unit, Fraction(10))
    last = int(2000 // step)
    return Q(draw(st.integers(1 if sizes else -last, last)) * grid.step.magnitude, grid.unit)


@st.composite
def sizes(draw: st.DrawFn, *, longest_mm: int = 2000) -> Length:
    """Any exact size up to `longest_mm`, on no ruler in particular, in millimetres or inches."""
    parts = draw(st.integers(1, 1000))
    if draw(st.booleans()):
        return Q(Fraction(draw(st.integers(1, longest_mm * parts)), parts), "millimeter")
    return Q(Fraction(draw(st.integers(1, longest_mm * 5 * parts // 127)), parts), "inch")


@dataclass(frozen=True, slots=True)
class _Marks:
    """A ruler being counted along: lengths as whole numbers of its marks."""

    draw: st.DrawFn
    unit: str
    step: Fraction

    def count(self, size_mm: float) -> int:
        return int(Fraction(size_mm) / (self.step * MM[self.unit]))

    def pick(self, least: int, most: int) -> int:
        return self.draw(st.integers(least, max(least, most)))

    def length(self, marks: int) -> Length:
        return Q(marks * self.step, self.unit)

    def maybe(self, least: int, most: int) -> Length | None:
        return self.length(self.pick(least, most)) if self.draw(st.booleans()) else None


def _profile(
    marks: _Marks, count: int, room: int, height: int, *, hidden: bool, stepped: bool, steps: int
) -> list[tuple[int, int]]:
    """(face, depth) of each tier in marks; `room` is what the closed card hides, in marks."""
    # Stepped, half the room is kept for n faces that fall by a mark at least.
    deepest = ((room - count) // 2 if stepped else room - 1) // count
    depths = [marks.pick(1, deepest) for _ in range(count)]
    faces: list[int] = []
    foot = 0
    for number, depth in enumerate(depths, 1):
        behind, foot = foot, foot + depth
        most = room - foot if hidden else room + room // 4
        if number <= steps:  # higher, and its slits run off the blank
            most = min(most, height + behind - 1)
        if stepped and faces:
            most = min(most, faces[-1] - 1)
        faces.append(marks.pick(count - number + 1 if stepped else 1, most))
    return list(zip(faces, depths, strict=True))


@st.composite
def cards(
    draw: st.DrawFn,
    fronts: tuple[type[Front], ...] = tuple(FRONTS.values()),
    *,
    hidden: bool | None = None,
    stepped: bool = False,
    cut_steps: bool | None = None,
    most_tiers: int = 8,
) -> Card:
    """Any card that can exist: 60 to 330 mm (2½ to 13 in) each way, 1 to 8 tiers.

    fronts     classes of front to choose from
    hidden     True: nothing shows when the card is closed; None: whatever comes
    stepped    True: each face lower than the one behind it, each cut step narrower
    cut_steps  True: every tier is one (and the front one piece), False: none, None: whatever comes
    """
    marks = _Marks(draw, *draw(st.sampled_from(CARD_MARKS)))
    width, height = (marks.pick(marks.count(60) + 1, marks.count(330)) for _ in range(2))
    form = OnePieceFront if cut_steps else draw(st.sampled_from(fronts))
    front_length = draw(st.sampled_from([None, None, height, height * 3 // 4, height + height // 5]))
    room = min(height, height if front_length is None else front_length)
    count = draw(st.integers(1, most_tiers))
    if cut_steps is None:
        steps = draw(st.sampled_from([0, count, count // 2])) if form is OnePieceFront else 0
    else:
        steps = count if cut_steps else 0
    profile = _profile(marks, count, room, height, hidden=bool(hidden), stepped=stepped, steps=steps)

    tiers: list[Tier | CutStep] = []
    behind = width
    for number, (face, depth) in enumerate(profile, 1):
        if number <= steps:
            left = steps - number + 1  # a mark of border each side of this step and of each later one
            behind = marks.pick(left, max(left, behind - 2))
            tiers.append(
                CutStep(face=marks.length(face), depth=marks.length(depth), width=marks.length(behind))
            )
            continue
        tiers.append(
            Tier(
                face=marks.length(face),
                depth=marks.length(depth),
                top_tab=marks.maybe(1, marks.count(30)),
                bottom_tab=marks.maybe(1, marks.count(30)),
                width=marks.maybe(1, width) if draw(st.booleans()) else None,
            )
        )
    return Card(
        width=marks.length(width),
        height=marks.length(height),
        tiers=tuple(tiers),
        front=_front(marks, form, width, room, front_length),
        side_inset=marks.maybe(0, (width - 1) // 2 - 1),
        stock=draw(st.sampled_from([None, *STOCKS])),
        tier_stock=draw(st.sampled_from([None, *STOCKS])),
    )


def _front(marks: _Marks, form: type[Front], width: int, room: int, length: int | None) -> Front:
    fields = {"length": None if length is None else marks.length(length)}
    if form is ClearFront:
        fields |= {
            "landing": marks.maybe(1, room),
            "gap": marks.maybe(0, min(room - 1, marks.count(12))),
            "width": marks.maybe(1, width),
        }
    elif form is JoinedFront:
        fields |= {"joining_tab": marks.maybe(1, marks.count(30)), "width": marks.maybe(1, width)}
    return form(**fields)


def _marks_of(draw: st.DrawFn, card: Card) -> _Marks:
    """The ruler that a random card was drawn on, near enough: sixteenths or millimetres."""
    step = Fraction(1, 16) if card.unit == "inch" else Fraction(1)
    return _Marks(draw, card.unit, step)


@st.composite
def finished(draw: st.DrawFn, card: Card, *, most: int = 4) -> Card:
    """The card with any layers and ornaments, sound or not, on areas and on each other."""
    marks = _marks_of(draw, card)
    wide = max(2, marks.count(float(card.width.to("millimeter").magnitude)))
    tall = max(2, marks.count(float(card.height.to("millimeter").magnitude)))
    count = len(card.tiers)
    layers: list[Layer] = []
    for number in range(draw(st.integers(0, most))):
        below = [layer.name for layer in layers]
        layers.append(
            Layer(
                on=draw(st.sampled_from([*place_names(count), *below])),
                reveal=marks.maybe(0, marks.count(8)),
                width=marks.maybe(1, wide),
                length=marks.maybe(1, tall),
                across=marks.maybe(-1, wide // 2),
                up=marks.maybe(-1, tall // 2),
                stock=draw(st.sampled_from([None, *STOCKS])),
                name=f"layer {number + 1}",
            )
        )
    ornaments = [
        Ornament(
            on=draw(st.sampled_from(place_names(count, standing=True))),
            height=marks.length(marks.pick(1, tall)),
            width=marks.length(marks.pick(1, wide)),
            along=marks.maybe(-2, wide),
            up=marks.maybe(0, tall // 2),
            pad=marks.maybe(1, marks.count(6)),
            stock=draw(st.sampled_from([None, *STOCKS])),
            name=f"ornament {number + 1}",
        )
        for number in range(draw(st.integers(0, most)))
    ]
    return replace(card, layers=tuple(layers), ornaments=tuple(ornaments))


@st.composite
def finished_cards(draw: st.DrawFn, *, most: int = 4, **kinds: object) -> Card:
    """Any card as `cards(**kinds)` draws it, with any layers and ornaments."""
    return draw(finished(draw(cards(**kinds)), most=most))


@st.composite
def slips(draw: st.DrawFn, card: Card, share: Fraction = Fraction(1, 3)) -> dict[int, Length]:
    """{tier number: slip} for some tiers of `card`, none so large that a linkage cannot be joined.

    share  the largest slip as a share of the least face or shelf; a half would let two
           neighbouring feet meet
    """
    least = min(
        Fraction(length.to("millimeter").magnitude)
        for tier in card.tiers
        for length in (tier.face, tier.depth)
    )
    most = least * share
    chosen = draw(st.sets(st.integers(1, len(card.tiers)), min_size=1))
    parts = st.integers(-64, 64).filter(bool)
    return {number: Q(most * draw(parts) / 64, "millimeter") for number in sorted(chosen)}
