"""The areas of a card that can be covered, and where its layers and ornaments lie on them.

An area is a rectangle on one part of the card as `folding.pose` names them: "back" and "front"
are measured from the fold, the face of "tier 2" from its foot (the pose's last point) up to its
shelf edge (the one before). Across, everything is measured from the left side of the card as
one looks at it standing open. Nothing here is rounded: all sizes are exact millimetres.

Imports: lengths, papers, card.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from popkit.card import Card, CutStep, Layer, Ornament, kept
from popkit.lengths import Length, from_mm, mm
from popkit.papers import Stock

__all__ = [
    "Area",
    "Placed",
    "area_named",
    "areas",
    "cut_areas",
    "glue_areas",
    "placed_layers",
    "placed_ornaments",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A rectangle on a part of the card.

    name      "back", "band 1", "tier 1", "front", "outside front", "message"
    part      of the pose: "back", "front", "tier 1", ...
    side      "inside" or "outside" of the closed card
    start_mm, stop_mm  along the part from the fold, or from the foot of the face
    left_mm   from the left side of the card to its own
    width_mm  along the fold
    unit      that the card is designed in
    """

    name: str
    part: str
    side: str = "inside"
    start_mm: Fraction
    stop_mm: Fraction
    left_mm: Fraction
    width_mm: Fraction
    unit: str

    @property
    def length_mm(self) -> Fraction:
        """Millimetres across the fold."""
        return self.stop_mm - self.start_mm

    @property
    def right_mm(self) -> Fraction:
        """Millimetres from the left side of the card to its right side."""
        return self.left_mm + self.width_mm

    @property
    def width(self) -> Length:
        """Along the fold."""
        return from_mm(self.width_mm, self.unit)

    @property
    def length(self) -> Length:
        """Across the fold."""
        return from_mm(self.length_mm, self.unit)

    @property
    def start(self) -> Length:
        """Along the part, from the fold or the foot, to its nearer edge."""
        return from_mm(self.start_mm, self.unit)

    @property
    def stop(self) -> Length:
        """Along the part, from the fold or the foot, to its farther edge."""
        return from_mm(self.stop_mm, self.unit)

    @property
    def is_there(self) -> bool:
        """Whether it has any size at all."""
        return self.start_mm < self.stop_mm and self.width_mm > 0

    def overlaps(self, other: Area) -> bool:
        """Whether the two share more than an edge."""
        return (
            self.part == other.part
            and self.side == other.side
            and max(self.start_mm, other.start_mm) < min(self.stop_mm, other.stop_mm)
            and max(self.left_mm, other.left_mm) < min(self.right_mm, other.right_mm)
        )

    def holds(self, other: Area) -> bool:
        """Whether the other lies within it."""
        return (
            self.start_mm <= other.start_mm
            and other.stop_mm <= self.stop_mm
            and self.left_mm <= other.left_mm
            and other.right_mm <= self.right_mm
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed(Area):
    """A layer or an ornament as an area of its own: how large it is, and where.

    source      the `Layer` or `Ornament`
    stock       what it is made of
    out_mm      how far it stands out from the part: thickness of its pad, or of what lies
                between it and the part
    on_plastic  whether any of it lies on the clear sheet, which takes tape and not paste
    """

    source: Layer | Ornament
    stock: Stock
    out_mm: Fraction = Fraction(0)
    on_plastic: bool = False

    @property
    def thickness_mm(self) -> Fraction:
        """What it adds to a stack: its own caliper and its pad's."""
        pad = getattr(self.source, "pad", None)
        return mm(self.stock.caliper) + (mm(pad) if pad is not None else 0)


def _faces(card: Card) -> list[Area]:
    """The whole face of each tier."""
    wide, found = mm(card.width), []
    for place, tier in enumerate(card.tiers):
        width = tier.width_in(card, place)
        found.append(
            Area(
                name=f"tier {place + 1}",
                part=f"tier {place + 1}",
                start_mm=Fraction(0),
                stop_mm=mm(tier.face),
                left_mm=(wide - width) / 2,
                width_mm=width,
                unit=card.unit,
            )
        )
    return found


def _all(card: Card) -> tuple[Area, ...]:
    """Every area by name, also those that came to nothing."""
    front, wide = card.front, mm(card.width)
    faces = _faces(card)
    panel = wide if front.panel_name is None else front.width_in(card)

    def area(name: str, part: str, start: Fraction, stop: Fraction, width: Fraction, side: str) -> Area:
        return Area(
            name=name,
            part=part,
            side=side,
            start_mm=start,
            stop_mm=stop,
            left_mm=(wide - width) / 2,
            width_mm=width,
            unit=card.unit,
        )

    tall, long, none = mm(card.height), front.length_in(card), Fraction(0)
    found = [area("back", "back", faces[0].stop_mm, tall, wide, "inside")]
    for place, face in enumerate(faces):
        low = faces[place + 1].stop_mm if place + 1 < len(faces) else none
        found.append(area(f"band {place + 1}", face.part, low, face.stop_mm, face.width_mm, "inside"))
    found += faces
    found.append(area("front", "front", card.feet_mm[-1], long, panel, "inside"))
    found.append(area("outside front", "front", none, long, panel, "outside"))
    found.append(area("message", "back", none, tall, wide, "outside"))
    return tuple(found)


@kept
def areas(card: Card) -> tuple[Area, ...]:
    """Every area of a card that can be covered, from the back forwards, then the outside.

    "back" is what shows above tier 1, "band i" what shows of face i above the tier in front of
    it (of the last: all of it), "tier i" the whole face, "front" its inside before the last
    tier, "outside front" and "message" the outsides of front and back.
    Returns: those that have a size; a band that came to nothing is left out.
    """
    return tuple(area for area in _all(card) if area.is_there)


def area_named(card: Card, name: str) -> Area | None:
    """The area of that name, or None where it came to nothing or there is none such."""
    return next((area for area in areas(card) if area.name == name), None)


@kept
def glue_areas(card: Card) -> tuple[Area, ...]:
    """Where something is glued to the good side of a part: the tabs of the tiers."""
    wide, found = mm(card.width), []
    for place, (tier, foot) in enumerate(zip(card.tiers, card.feet_mm, strict=True)):
        if isinstance(tier, CutStep):
            continue
        width = tier.width_in(card, place)
        behind = f"tier {place}" if place else "back"
        top = mm(tier.face)
        for name, part, start, stop in (
            (f"tier {place + 1}'s top tab", behind, top - mm(tier.top_tab), top),
            (f"tier {place + 1}'s bottom tab", "front", foot - mm(tier.bottom_tab), foot),
        ):
            found.append(
                Area(
                    name=name,
                    part=part,
                    start_mm=start,
                    stop_mm=stop,
                    left_mm=(wide - width) / 2,
                    width_mm=width,
                    unit=card.unit,
                )
            )
    return tuple(found)


@kept
def cut_areas(card: Card) -> tuple[Area, ...]:
    """What the cut steps take out of the part behind each: nothing can lie or stand there."""
    wide, found = mm(card.width), []
    for place, tier in enumerate(card.tiers):
        if isinstance(tier, CutStep):
            width = tier.width_in(card, place)
            found.append(
                Area(
                    name=f"tier {place + 1}",
                    part=f"tier {place}" if place else "back",
                    start_mm=Fraction(0),
                    stop_mm=mm(tier.face),
                    left_mm=(wide - width) / 2,
                    width_mm=width,
                    unit=card.unit,
                )
            )
    return tuple(found)


def _on_plastic(card: Card, part: str, side: str, start: Fraction, stop: Fraction) -> bool:
    front = card.front
    if part != "front" or not front.carries_feet or front.stock_in(card).kind != "plastic":
        return False
    return stop > (front.gap_in(card) if side == "inside" else front.flap_in(card))


@kept
def placed_layers(card: Card) -> tuple[Placed, ...]:
    """Each layer of a card where it lies, in the order of `card.layers`.

    A size may come to nothing or less, where the reveals leave none: `is_there` is then False.
    """
    grounds: dict[str, Area] = {area.name: area for area in _all(card)} if card.layers else {}
    found = []
    for layer in card.layers:
        ground = grounds[layer.on]
        reveal = layer.reveal_in(card)
        width = mm(layer.width) if layer.width is not None else ground.width_mm - 2 * reveal
        length = mm(layer.length) if layer.length is not None else ground.length_mm - 2 * reveal
        across = mm(layer.across) if layer.across is not None else (ground.width_mm - width) / 2
        up = mm(layer.up) if layer.up is not None else (ground.length_mm - length) / 2
        start = ground.start_mm + up
        below = isinstance(ground, Placed)
        placed = Placed(
            name=layer.name,
            part=ground.part,
            side=ground.side,
            start_mm=start,
            stop_mm=start + length,
            left_mm=ground.left_mm + across,
            width_mm=width,
            unit=card.unit,
            source=layer,
            stock=layer.stock_in(card),
            out_mm=ground.out_mm + mm(ground.stock.caliper) if below else Fraction(0),
            on_plastic=not below and _on_plastic(card, ground.part, ground.side, start, start + length),
        )
        grounds[layer.name] = placed
        found.append(placed)
    return tuple(found)


@kept
def placed_ornaments(card: Card) -> tuple[Placed, ...]:
    """Each ornament of a card where it stands, in the order of `card.ornaments`."""
    if not card.ornaments:
        return ()
    wide = mm(card.width)
    grounds = {face.name: (face.left_mm, face.width_mm) for face in _faces(card)}
    grounds["back"] = (Fraction(0), wide)
    found = []
    for ornament in card.ornaments:
        left, room = grounds[ornament.on]
        width = mm(ornament.width)
        along = mm(ornament.along) if ornament.along is not None else (room - width) / 2
        start = mm(ornament.up) if ornament.up is not None else Fraction(0)
        found.append(
            Placed(
                name=ornament.name,
                part=ornament.on,
                start_mm=start,
                stop_mm=ornament.rise_mm,
                left_mm=left + along,
                width_mm=width,
                unit=card.unit,
                source=ornament,
                stock=ornament.stock_in(card),
                out_mm=mm(ornament.pad) if ornament.pad is not None else Fraction(0),
            )
        )
    return tuple(found)
