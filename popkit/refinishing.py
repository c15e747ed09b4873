"""Mats, strips and ornaments of a card whose mechanism has been restated on a ruler.

The mechanism comes first and is proved; what lies on it follows. A size of a layer's own goes
to its nearest mark and a mat goes on following its area and its reveal; what lay within
something stays within it, what was hidden stays hidden, a pad that had room keeps it. Where the
ruler is so coarse that a rule of `finishing` is broken all the same, its remedy is applied.

Imports: lengths, card, areas, findings, finishing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from popkit.areas import Area, Placed, area_named, placed_layers, placed_ornaments
from popkit.card import Card, Layer, Ornament, usual
from popkit.findings import SEVERITIES, Bench, Finding
from popkit.finishing import LAYER_RULES, ORNAMENT_RULES, feet_of, room_before, tier_before
from popkit.folding import room
from popkit.lengths import Grid, from_mm, mm

__all__ = ["finishing_marks", "refinished"]

Sizes = tuple[Fraction, Fraction]
_RULES = {**LAYER_RULES, **ORNAMENT_RULES}


class _Ruler:
    """Millimetres to the marks of a ruler."""

    def __init__(self, grid: Grid) -> None:
        self.grid, self.step = grid, mm(grid.step)

    def nearest(self, value: Fraction) -> Fraction:
        return round(value / self.step) * self.step  # ties to even, as `Grid.nearest`

    def size(self, value: Fraction) -> Fraction:
        """The nearest mark, a mark at least."""
        return max(self.step, self.nearest(value))

    def down(self, value: Fraction) -> Fraction:
        return value // self.step * self.step

    def length(self, value: Fraction) -> object:
        return from_mm(value, self.grid.unit)


def refinished(card: Card, source: Card, made: Card, grid: Grid) -> tuple[Card, tuple[str, ...]]:
    """`made`, a card whose mechanism lies on a ruler, with the layers and ornaments of `source`.

    card    whose findings do not count as new
    source  the card in exact sizes, of the same form as `made`
    Returns: the finished card, all its sizes on marks, and what the tutor should know, in
    sentences. A pad is bought and not cut: it keeps its thickness while there is room for it.
    """
    if not source.layers and not source.ornaments:
        return made, ()
    ruler = _Ruler(grid)
    made = replace(made, layers=(), ornaments=())
    layers = tuple(_layers(source, made, ruler))
    ornaments = tuple(_ornaments(source, made, ruler))
    made = replace(made, layers=layers, ornaments=ornaments)
    had = {(found.rule, found.where): found.severity for found in _found(card, card.grid)}
    notes = []
    for _ in range(4 * (len(layers) + len(ornaments))):
        fresh = [
            found
            for found in _found(made, grid)
            if SEVERITIES.index(had.get((found.rule, found.where), "note"))
            > SEVERITIES.index(found.severity)
        ]
        if not fresh:
            break
        notes.append(f"On this ruler: {fresh[0].message} {fresh[0].remedy}")
        made = fresh[0].remedy.apply(made)
    return made, tuple(notes)


def _found(card: Card, grid: Grid) -> list[Finding]:
    """What the rules of finishing say, the gravest first."""
    bench = Bench(card, grid)
    found = [finding for rule in _RULES.values() for finding in rule(bench)]
    return sorted(found, key=lambda finding: SEVERITIES.index(finding.severity))


def _layers(source: Card, made: Card, ruler: _Ruler) -> Iterator[Layer]:
    """The layers of `source`, each within what it lay within."""
    grounds: dict[str, Area | Placed] = {}
    sizes: dict[str, Sizes] = {}
    step = ruler.step
    for layer, was in zip(source.layers, placed_layers(source), strict=True):
        old = grounds.get(layer.on) or area_named(source, layer.on)
        if layer.on in sizes:
            room = sizes[layer.on]
        else:
            area = area_named(made, layer.on)
            room = (area.width_mm, area.length_mm) if area is not None else (step, step)
        reveal, given = _reveal(layer, source, made, ruler)
        follows = [least for side, least in zip(("width", "length"), room, strict=True)
                   if getattr(layer, side) is None]  # fmt: skip
        if was.is_there and any(least - 2 * reveal <= 0 for least in follows):
            reveal = max(ruler.down((min(follows) - step) / 2), Fraction(0))
            given = True
        fields: dict[str, object] = {"reveal": ruler.length(reveal) if given else None}
        new = []
        for side, place, most, first in (
            ("width", "across", room[0], "left_mm"),
            ("length", "up", room[1], "start_mm"),
        ):
            before = getattr(was, f"{side}_mm")
            at = getattr(was, first) - (getattr(old, first) if old is not None else 0)
            within = (
                old is not None and at >= 0 and at + before <= getattr(old, f"{side}_mm") and most > 0
            )
            size = most - 2 * reveal
            if getattr(layer, side) is not None:
                size = ruler.size(before)
                if within:
                    size = max(step, min(size, ruler.down(most)))
                fields[side] = ruler.length(size)
            if getattr(layer, place) is not None:
                spot = ruler.nearest(mm(getattr(layer, place)))
                if within:
                    spot = max(Fraction(0), min(spot, ruler.down(most - size)))
                fields[place] = ruler.length(spot)
            new.append(size)
        grounds[layer.name], sizes[layer.name] = was, (new[0], new[1])
        yield replace(layer, **fields)


def _reveal(layer: Layer, source: Card, made: Card, ruler: _Ruler) -> tuple[Fraction, bool]:
    """The reveal in millimetres on a mark, and whether it has to be written down."""
    if layer.reveal is None:
        left = mm(usual("reveal", made.unit))
        if left % ruler.step == 0:
            return left, False
        return ruler.size(layer.reveal_in(source)), True
    value = layer.reveal_in(source)
    return (ruler.size(value) if value > 0 else value), True


def _ornaments(source: Card, made: Card, ruler: _Ruler) -> Iterator[Ornament]:
    """The ornaments of `source`: hidden, before their faces and clear of shelves as they were."""
    feet, rooms = (
        {part: mm(room(card)) - foot for part, foot in feet_of(card).items()} for card in (source, made)
    )
    for ornament, was in zip(source.ornaments, placed_ornaments(source), strict=True):
        part = ornament.on
        height, up = ruler.size(was.length_mm), ruler.nearest(was.start_mm)
        shelf = _shelf_top(source, part)
        if shelf is not None and was.start_mm >= shelf:
            up = max(up, _shelf_top(made, part))
        if was.stop_mm <= feet[part]:  # hidden, so it stays hidden
            height = min(height, rooms[part] - up)
            if height <= 0:
                up = max(Fraction(0), rooms[part] - ruler.step)
                height = max(rooms[part] - up, ruler.step)
        fields: dict[str, object] = {
            "height": ruler.length(height),
            "up": None if up == 0 and ornament.up is None else ruler.length(up),
        }
        (left, before), (_, across) = (_face(card, part) for card in (source, made))
        width = ruler.size(was.width_mm)
        within = was.left_mm >= left and was.right_mm <= left + before
        if within:
            width = max(ruler.step, min(width, ruler.down(across)))
        fields["width"] = ruler.length(width)
        if ornament.along is not None:
            along = ruler.nearest(mm(ornament.along))
            if within:
                along = max(Fraction(0), min(along, ruler.down(across - width)))
            fields["along"] = ruler.length(along)
        if ornament.pad is not None:
            had, has = room_before(source, part), room_before(made, part)
            if has is not None and was.thickness_mm <= had and was.thickness_mm > has:
                thin = ruler.down(has - mm(was.stock.caliper))
                fields["pad"] = ruler.length(thin) if thin > 0 else None
        yield replace(ornament, **fields)


def _shelf_top(card: Card, part: str) -> Fraction | None:
    """Millimetres up a face at which the shelf in front is joined to it; None for the last."""
    place = tier_before(card, part)
    return None if place is None else mm(card.tiers[place].face)


def _face(card: Card, part: str) -> Sizes:
    """(left side, width) of what an ornament stands on."""
    wide = mm(card.width)
    if part == "back":
        return Fraction(0), wide
    place = int(part.removeprefix("tier ")) - 1
    width = card.tiers[place].width_in(card, place)
    return (wide - width) / 2, width


# The marks ----------------------------------------------------------------------


def finishing_marks(card: Card) -> dict[tuple[str, str], Fraction]:
    """{(piece, mark): millimetres} of everything that is measured on a layer or an ornament:
    width, length, and where it is written down its reveal, its left edge and its lower edge.
    """
    found: dict[tuple[str, str], Fraction] = {}
    placed = (*placed_layers(card), *placed_ornaments(card))
    for one in placed:
        source = one.source
        found[one.name, "width"], found[one.name, "length"] = one.width_mm, one.length_mm
        if isinstance(source, Layer):
            if source.width is None or source.length is None:
                found[one.name, "reveal"] = source.reveal_in(card)
            places = (("left edge", source.across), ("lower edge", source.up))
        else:
            places = (("left edge", source.along), ("lower edge", source.up))
        for mark, at in places:
            if at is not None:
                found[one.name, mark] = mm(at)
    return found
