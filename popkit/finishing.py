"""Rules for what is put on a card: mats, strips and ornaments.

The same kind of rule as in `checks`: one function from a card to findings, each with a remedy
that clears it. A layer that lies on another is only looked at where it reaches past it, since
all else that is wrong with it is wrong with the one below.

Imports: lengths, card, areas, folding, findings.
Limits without a source beside them are `common practice, no source`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from popkit.areas import Area, Placed, area_named, cut_areas, glue_areas, placed_layers, placed_ornaments
from popkit.card import Card, CutStep, Layer, place_names
from popkit.findings import Bench, Finding, Remedy
from popkit.lengths import mm

__all__ = [
    "LAYER_RULES",
    "ORNAMENT_RULES",
    "feet_of",
    "pressed_below",
    "pressed_hard",
    "room_before",
    "tier_before",
]

NONE = Fraction(0)
Rule = Callable[[Bench], Iterator[Finding]]


def _followed(bench: Bench, remedy: Remedy, where: str, rules: Iterable[Rule]) -> Remedy:
    """A remedy with whatever keeps it from bringing a new stop upon the layer or ornament it mends."""
    had = {found.rule for rule in rules for found in rule(bench) if found.where == where}
    after = Bench(remedy.apply(bench.card), bench.grid)
    for rule in rules:
        for found in rule(after):
            if found.where == where and found.severity == "stop" and found.rule not in had:
                return remedy.then(found.remedy)
    return remedy


# Layers -------------------------------------------------------------------------


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _ground(card: Card, layer: Layer) -> str | None:
    """The area that a layer lies on, through every layer between, or None if that is too small."""
    on = {one.name: one.on for one in card.layers}
    name = layer.on
    while name in on:
        name = on[name]
    return name


def _seen(card: Card, part: str, side: str) -> Area | None:
    """What shows of a part: the area where a layer does no harm."""
    if side == "outside":
        return area_named(card, "outside front" if part == "front" else "message")
    return area_named(card, part.replace("tier", "band"))


def _without(bench: Bench, place: int, why: str = "leave out") -> Remedy:
    """The remedy that takes a layer away, with all that lies on it."""
    layers = bench.card.layers
    gone = {layers[place].name}
    for layer in layers:
        if layer.on in gone:
            gone.add(layer.name)
    left = tuple(layer for layer in layers if layer.name not in gone)
    words = " and ".join(f"“{layer.name}”" for layer in layers if layer.name in gone)
    return bench.remedy((f"{why} {words}", ("layers",), left))


def _fitted(bench: Bench, place: int, width: Fraction, length: Fraction, **fields: object) -> Remedy:
    """The remedy that gives a layer another size and puts it in the middle; what lies on it and
    would then be too large follows it.
    """
    layers, step = list(bench.card.layers), mm(bench.grid.step)
    now = {layer.name: placed for layer, placed in zip(layers, placed_layers(bench.card), strict=True)}
    sizes = {layers[place].name: (width, length)}
    changed = []

    def put(at: int, size: tuple[Fraction, Fraction], **more: object) -> None:
        changed.append(layers[at].name)
        sides = {"width": bench.length(size[0]), "length": bench.length(size[1])}
        layers[at] = replace(layers[at], across=None, up=None, **(sides | more))

    put(place, (width, length), **fields)
    for at in range(place + 1, len(layers)):
        layer = layers[at]
        if layer.on not in sizes:
            continue
        room, old = sizes[layer.on], now[layer.name]
        reveal = layer.reveal_in(bench.card)
        fits = tuple(
            max(min(have, most - 2 * reveal), min(step, most))
            for have, most in zip((old.width_mm, old.length_mm), room, strict=True)
        )
        sizes[layer.name] = fits
        if fits != (old.width_mm, old.length_mm) or layer.across is not None or layer.up is not None:
            put(at, fits)
    words = f"cut “{layers[place].name}” {bench.show(width)} × {bench.show(length)}"
    words += " and lay it in the middle"
    if "on" in fields:
        words += f" of the area “{fields['on']}”"
    if len(changed) > 1:
        words += f", and what lies on it smaller ({', '.join(changed[1:])})"
    return bench.remedy((words, ("layers",), tuple(layers)))


def _moved_to_sight(bench: Bench, place: int, placed: Placed) -> Remedy:
    """The remedy that lays a layer on what shows of its part, cut down to it where it must be."""
    layer, area = placed.source, _seen(bench.card, placed.part, placed.side)
    if area is None:
        return _without(bench, place)
    reveal = bench.up(layer.reveal_in(bench.card)) if layer.width is None else NONE
    along = bench.up(layer.reveal_in(bench.card)) if layer.length is None else NONE
    width = bench.down(min(placed.width_mm, area.width_mm - 2 * reveal))
    length = bench.down(min(placed.length_mm, area.length_mm - 2 * along))
    if width <= 0 or length <= 0:
        return _without(bench, place)
    return _fitted(bench, place, width, length, on=area.name)


def _looked_at(bench: Bench) -> Iterator[tuple[int, Placed, Placed | None]]:
    """(place in the card, layer, what it lies on if that is a layer) of each that has a position
    of its own to answer for.
    """
    placed = placed_layers(bench.card)
    by_name = {one.name: one for one in placed}
    for place, one in enumerate(placed):
        below = by_name.get(one.source.on)
        if one.is_there and (below is None or (below.is_there and not below.holds(one))):
            yield place, one, below


def _layer_gone(bench: Bench) -> Iterator[Finding]:
    """A layer whose area is not there, or is all reveal."""
    placed = placed_layers(bench.card)
    by_name = {one.name: one for one in placed}
    for place, one in enumerate(placed):
        below = by_name.get(one.source.on)
        if one.is_there or (below is not None and not below.is_there):
            continue
        layer = one.source
        area = below or area_named(bench.card, layer.on)
        if area is None:
            message = f"There is nothing of “{layer.on}” to lay “{one.name}” on."
            remedy = _without(bench, place)
        else:
            reveal = layer.reveal_in(bench.card)
            message = (
                f"Nothing is left of “{one.name}”: “{layer.on}” is {bench.show(area.width_mm)} × "
                f"{bench.show(area.length_mm)} and {bench.show(reveal)} of it is to show on each side."
            )
            less = bench.down(min(area.width_mm, area.length_mm) / 4)
            text = bench.step("narrow", f"the reveal of “{one.name}”", reveal, less)
            remedy = bench.remedy((text, ("layers", place, "reveal"), less))
            stops = (_layer_places("layer-edge"), _layer_places("layer-fold"))
            remedy = _followed(bench, remedy, one.name, stops)
        yield Finding(rule="layer-gone", severity="stop", where=one.name, message=message, remedy=remedy)


def _edges(card: Card, part: str) -> tuple[Fraction, Fraction, Fraction]:
    """(length, left side, right side) of a part."""
    wide = mm(card.width)
    if part == "back":
        return mm(card.height), NONE, wide
    if part == "front":
        across = wide if card.front.panel_name is None else card.front.width_in(card)
        return card.front.length_in(card), (wide - across) / 2, (wide + across) / 2
    place = int(part.removeprefix("tier ")) - 1
    width = card.tiers[place].width_in(card, place)
    return mm(card.tiers[place].face), (wide - width) / 2, (wide + width) / 2


def _trouble(bench: Bench, one: Placed) -> tuple[str, str, str] | None:
    """(rule, severity, message) of the gravest that is wrong with where a layer lies."""
    card, name = bench.card, _capital(f"“{one.name}”")
    long, left, right = _edges(card, one.part)
    face = one.part.startswith("tier")
    wide = mm(card.width)
    past = max(-one.left_mm, one.right_mm - wide, NONE if face else one.stop_mm - long)
    if past > 0:
        return (
            "layer-edge",
            "stop",
            f"{name} reaches {bench.show(past)} past the edge of the card, and shows when it is closed.",
        )
    holes = [] if one.side == "outside" else [hole for hole in cut_areas(card) if hole.overlaps(one)]
    if holes:
        return (
            "layer-fold",
            "stop",
            f"{name} lies across the slits of {holes[0].name}, so it cannot fold.",
        )
    if one.start_mm < 0 or (face and one.stop_mm > long):
        over, score = (
            (-one.start_mm, f"the foot of {one.part}" if face else "the fold of the card")
            if one.start_mm < 0
            else (one.stop_mm - long, f"the shelf edge of {one.part}")
        )
        return (
            "layer-fold",
            "stop",
            f"{name} crosses {score} by {bench.show(over)}, and keeps it from folding.",
        )
    past = max(left - one.left_mm, one.right_mm - right)
    if past > 0:
        what = one.part if face else f"the {card.front.panel_name or one.part}"
        return "layer-edge", "caution", f"{name} reaches {bench.show(past)} past the side of {what}."
    glued = [tab for tab in glue_areas(card) if tab.overlaps(one)]
    if glued:
        tab = glued[0]
        deep = min(tab.stop_mm, one.stop_mm) - max(tab.start_mm, one.start_mm)
        return (
            "layer-glue",
            "caution",
            f"{name} covers {bench.show(deep)} of where {tab.name} is glued, so the tab would hold "
            "only to it.",
        )
    area = _seen(card, one.part, one.side)
    if area is None or not area.holds(one):
        return (
            "layer-area",
            "note",
            f"{name} reaches out of what shows of {one.part}, so part of it hides.",
        )
    return None


def _troubles(bench: Bench) -> list[tuple[int, Placed, tuple[str, str, str]]]:
    """(place in the card, layer, its trouble) of each that has one; four rules ask for it."""
    known = bench.troubles
    if known is None:
        found = ((place, one, _trouble(bench, one)) for place, one, _ in _looked_at(bench))
        known = bench.troubles = [row for row in found if row[2] is not None]
    return known


def _layer_places(rule: str) -> Rule:
    def speak(bench: Bench) -> Iterator[Finding]:
        for place, one, (spoken, severity, message) in _troubles(bench):
            if spoken == rule:
                yield Finding(
                    rule=rule,
                    severity=severity,
                    where=one.name,
                    message=message,
                    remedy=_moved_to_sight(bench, place, one),
                )

    speak.__name__ = rule
    return speak


def _layer_over(bench: Bench) -> Iterator[Finding]:
    """No layer larger than the one it lies on, nor past its edges."""
    for place, one, below in _looked_at(bench):
        if below is None:
            continue
        past = max(
            below.left_mm - one.left_mm,
            one.right_mm - below.right_mm,
            below.start_mm - one.start_mm,
            one.stop_mm - below.stop_mm,
        )
        reveal = bench.up(one.source.reveal_in(bench.card))
        width = bench.down(min(one.width_mm, below.width_mm - 2 * reveal))
        length = bench.down(min(one.length_mm, below.length_mm - 2 * reveal))
        if width <= 0 or length <= 0:
            remedy = _without(bench, place)
        else:
            remedy = _fitted(bench, place, width, length)
        yield Finding(
            rule="layer-over",
            severity="caution",
            where=one.name,
            message=f"“{one.name}” reaches {bench.show(past)} past “{below.name}”, on which it lies.",
            remedy=remedy,
        )


def _meeting(card: Card) -> Iterator[tuple[Placed, Placed]]:
    """Layers over each other that do not lie one on the other, the one below first."""
    placed = [one for one in placed_layers(card) if one.is_there]
    names = {one.name for one in placed}
    for first, second in combinations(placed, 2):
        same = first.source.on == second.source.on
        if not same and (first.source.on in names or second.source.on in names):
            continue
        if first.overlaps(second):
            yield first, second


def _layers_meet(bench: Bench) -> Iterator[Finding]:
    """No two layers over each other that do not lie one on the other."""
    index = {layer.name: place for place, layer in enumerate(bench.card.layers)}
    for first, second in _meeting(bench.card):
        reveal = bench.up(second.source.reveal_in(bench.card))
        width = bench.down(min(second.width_mm, first.width_mm - 2 * reveal))
        length = bench.down(min(second.length_mm, first.length_mm - 2 * reveal))
        place = index[second.name]
        if width <= 0 or length <= 0:
            remedy = _without(bench, place)
        else:
            remedy = _clear_of_others(bench, _fitted(bench, place, width, length, on=first.name), second)
        yield Finding(
            rule="layers-meet",
            severity="caution",
            where=second.name,
            message=f"“{second.name}” lies partly over “{first.name}” without lying on it.",
            remedy=remedy,
        )


def _clear_of_others(bench: Bench, remedy: Remedy, one: Placed) -> Remedy:
    """A remedy that lays one layer on another, and no third: on the third where that lies there
    already, and with the third on it where that lies there too.
    """
    had = {second.name for _, second in _meeting(bench.card)} - {one.name}
    after = Bench(remedy.apply(bench.card), bench.grid)
    for found in _layers_meet(after):
        if found.where == one.name:
            return found.remedy  # it lays this layer anew
        if found.where not in had:
            words = found.remedy.text
            text = f"{remedy.text.removesuffix('.')}; {words[:1].lower()}{words[1:]}"
            return replace(found.remedy, text=text)
    return remedy


LAYER_RULES: dict[str, Rule] = {
    "layer-gone": _layer_gone,
    "layer-edge": _layer_places("layer-edge"),
    "layer-fold": _layer_places("layer-fold"),
    "layer-glue": _layer_places("layer-glue"),
    "layer-area": _layer_places("layer-area"),
    "layer-over": _layer_over,
    "layers-meet": _layers_meet,
}


# Ornaments ----------------------------------------------------------------------


def feet_of(card: Card) -> dict[str, Fraction]:
    """Millimetres from the fold to the foot of each place an ornament can stand on."""
    return dict(zip(place_names(len(card.tiers), standing=True), (NONE, *card.feet_mm), strict=True))


def tier_before(card: Card, part: str) -> int | None:
    """Which tier (from 0) stands in front of the back or of a tier, or None for the last."""
    place = 0 if part == "back" else int(part.removeprefix("tier "))
    return place if place < len(card.tiers) else None


def room_before(card: Card, part: str) -> Fraction | None:
    """Millimetres from a face to the next one at every opening of 90 degrees; None for the last."""
    place = tier_before(card, part)
    return None if place is None else mm(card.tiers[place].depth)


def _front_face(card: Card, part: str) -> Area | None:
    """The face of the tier in front, as an area of the part behind it."""
    place = tier_before(card, part)
    if place is None:
        return None
    long, left, right = _edges(card, f"tier {place + 1}")
    return Area(
        name=f"tier {place + 1}",
        part=part,
        start_mm=NONE,
        stop_mm=long,
        left_mm=left,
        width_mm=right - left,
        unit=card.unit,
    )


def _ornaments(bench: Bench) -> Iterator[tuple[int, Placed]]:
    yield from enumerate(placed_ornaments(bench.card))


def _no_ornament(bench: Bench, place: int) -> Remedy:
    rows = bench.card.ornaments
    left = (*rows[:place], *rows[place + 1 :])
    return bench.remedy((f"leave out “{rows[place].name}”", ("ornaments",), left))


def _high(bench: Bench) -> Iterator[Finding]:
    """X + up + height <= the shorter of back and front."""
    card = bench.card
    for place, one in _ornaments(bench):
        foot = feet_of(card)[one.part]
        over = foot + one.stop_mm - bench.room
        if over <= 0:
            continue
        limit = bench.room - foot
        lower = bench.down(limit - one.start_mm)
        if lower > 0:
            text = bench.step("lower", f"“{one.name}”", one.length_mm, lower)
            remedy = bench.remedy((text, ("ornaments", place, "height"), lower))
        else:
            remedy = _stood_lower(bench, place, one, limit)
        yield Finding(
            rule="ornament-high",
            severity="stop",
            where=one.name,
            message=(
                f"“{one.name}” shows by {bench.show(over)} when the card is closed: it rises "
                f"{bench.show(one.stop_mm)} and only {bench.show(limit)} hides on {one.part}."
            ),
            remedy=remedy,
        )


def _stood_lower(bench: Bench, place: int, one: Placed, limit: Fraction) -> Remedy:
    """The remedy that lets an ornament start as low as it can: on the foot of its face, or above the
    shelf in front where that would cut it; and lowers it where it must.
    """
    start, words = NONE, f"stand “{one.name}” on the foot of its face"
    if (front := _shelf_that_cuts(bench.card, one)) is not None:
        start = bench.up(front.stop_mm)
        words = f"let “{one.name}” start above the shelf, {bench.show(start)} up"
    height = min(bench.down(limit - start), one.length_mm)
    if height <= 0:
        return _no_ornament(bench, place)
    steps = [(words, ("ornaments", place, "up"), start or None)]
    if height < one.length_mm:
        text = bench.step("lower", "it", one.length_mm, height)
        steps.append((text, ("ornaments", place, "height"), height))
    return bench.remedy(*steps)


def _beside(first: Area | Placed, second: Area | Placed) -> bool:
    """Whether two things have no line of sight in common, across the card."""
    right = [one.left_mm + one.width_mm for one in (first, second)]
    return right[0] <= second.left_mm or right[1] <= first.left_mm


def _shelf_that_cuts(card: Card, one: Placed) -> Area | None:
    """The face in front whose shelf an ornament must not reach below, as an area of its own part."""
    front = _front_face(card, one.part)
    if front is None or _beside(front, one):
        return None
    cut = isinstance(card.tiers[tier_before(card, one.part)], CutStep)
    return front if cut or one.source.pad is not None else None


def _sides(bench: Bench) -> Iterator[Finding]:
    """An ornament stays before its face, and within the card."""
    card, wide = bench.card, mm(bench.card.width)
    for place, one in _ornaments(bench):
        _, left, right = _edges(card, one.part)
        past = max(left - one.left_mm, one.right_mm - right)
        if past <= 0:
            continue
        out = max(-one.left_mm, one.right_mm - wide)
        steps = []
        width = one.width_mm
        if width > right - left:
            width = bench.down(right - left)
            if width <= 0:
                steps = None
            else:
                text = bench.step("narrow", f"“{one.name}”", one.width_mm, width)
                steps.append((text, ("ornaments", place, "width"), width))
                steps.append(("", ("ornaments", place, "along"), None))
        else:
            along = one.left_mm - left
            target = NONE if along < 0 else bench.down(right - left - width)
            text = bench.step("move", f"“{one.name}”", along, target)
            steps.append((text, ("ornaments", place, "along"), target))
        how = (
            f"{bench.show(out)} past the side of the card, and shows when it is closed"
            if out > 0
            else f"{bench.show(past)} past the side of {one.part}, with nothing behind it"
        )
        yield Finding(
            rule="ornament-side",
            severity="stop" if out > 0 else "caution",
            where=one.name,
            message=f"“{one.name}” reaches {how}.",
            remedy=_no_ornament(bench, place)
            if steps is None
            else _followed(bench, bench.remedy(*steps), one.name, (_crosses,)),
        )


def pressed_below(card: Card, ornament: Placed) -> float:
    """The opening in degrees below which what stands in front presses on an ornament; 0 for one that
    is glued on flat, or has nothing in front.

    Source: faces of a parallelogram lie depth × sin t apart; a shelf leaves its face at t.
    """
    before = room_before(card, ornament.part)
    if ornament.out_mm == 0 or before is None:
        return 0.0
    out = float(ornament.thickness_mm)
    flat = math.degrees(math.asin(min(1.0, out / float(before))))
    above = float(ornament.start_mm - mm(card.tiers[tier_before(card, ornament.part)].face))
    wedge = math.degrees(math.atan2(out, above)) if above > 0 else 90.0
    return max(flat, wedge)


def pressed_hard(card: Card, ornament: Placed) -> bool:
    """Whether an ornament's foam keeps the card from closing flat.

    Source: a shelf of depth d that has to climb over foam of p ends d - sqrt(d² - p²) short of where
    it should; over half of its depth, that is more than an eighth of it: common practice, no source.
    """
    before = room_before(card, ornament.part)
    if before is None or ornament.source.pad is None or 2 * ornament.thickness_mm <= before:
        return False
    front = _front_face(card, ornament.part)
    reach = front.stop_mm + before  # of the face in front, up this one, when the card is closed
    return not _beside(front, ornament) and ornament.start_mm < reach


def _pads(bench: Bench) -> Iterator[Finding]:
    """A pad no deeper than the shelf in front, and if it is not to be forced shut half of that."""
    card = bench.card
    for place, one in _ornaments(bench):
        room = room_before(card, one.part)
        if room is None or one.source.pad is None:
            continue
        stop = one.thickness_mm > room
        if not stop and not pressed_hard(card, one):
            continue
        thinner = bench.down(room / 2 - mm(one.stock.caliper))
        if thinner > 0:
            text = bench.step("use", f"a thinner pad for “{one.name}”, less", one.out_mm, thinner)
            text += ", or glue it on flat"
        else:
            text, thinner = f"glue “{one.name}” on flat, without a pad", None
        deep = f"“{one.name}” stands out {bench.show(one.thickness_mm)} on its pad"
        if stop:
            message = f"{deep}, and the next face is only {bench.show(room)} in front."
        else:
            message = (
                f"{deep}, and the next face is {bench.show(room)} in front: that presses on the foam "
                f"from {math.ceil(pressed_below(card, one))}° down to 0°, and the card does not close "
                "flat."
            )
        yield Finding(
            rule="ornament-pad",
            severity="stop" if stop else "caution",
            where=one.name,
            message=message,
            remedy=bench.remedy((text, ("ornaments", place, "pad"), thinner)),
        )


def _crosses(bench: Bench) -> Iterator[Finding]:
    """Nothing that stands off its face, or has a cut step in front, reaches down past the shelf."""
    card = bench.card
    for place, one in _ornaments(bench):
        front = _front_face(card, one.part)
        if front is None or not front.overlaps(one):
            continue
        cut = isinstance(card.tiers[tier_before(card, one.part)], CutStep)
        if one.source.pad is None and not cut:
            continue
        top = one.stop_mm - front.stop_mm
        steps = []
        raised = bench.up(front.stop_mm)
        if bench.down(one.stop_mm - raised) > 0:
            text = f"let “{one.name}” start above the shelf, {bench.show(raised)} up"
            steps.append((text, ("ornaments", place, "up"), raised))
            lower = bench.down(one.stop_mm - raised)
            text = bench.step("lower", "it", one.length_mm, lower)
            steps.append((text, ("ornaments", place, "height"), lower))
        elif not cut:
            steps.append((f"glue “{one.name}” on flat", ("ornaments", place, "pad"), None))
        what = "on its pad, would be cut by" if one.source.pad is not None else "stands where"
        end = "" if one.source.pad is not None else " comes out of the card"
        below = f"{bench.show(front.stop_mm - one.start_mm)} of it is below that shelf"
        yield Finding(
            rule="ornament-foot",
            severity="stop",
            where=one.name,
            message=f"“{one.name}”, {what} the shelf of {front.name}{end}: "
            f"{below if top > 0 else 'all of it is below that shelf'}.",
            remedy=bench.remedy(*steps) if steps else _no_ornament(bench, place),
        )


def _unseen(bench: Bench) -> Iterator[Finding]:
    """Something of every ornament shows above the tier in front."""
    card = bench.card
    for place, one in _ornaments(bench):
        front = _front_face(card, one.part)
        if front is None or not front.holds(one):
            continue
        raised = bench.up(front.stop_mm)
        room = bench.down(bench.room - feet_of(card)[one.part] - raised)
        if room > 0:
            height = min(room, one.length_mm)
            steps = [
                (
                    f"let “{one.name}” start {bench.show(raised)} up",
                    ("ornaments", place, "up"),
                    raised,
                )
            ]
            if height < one.length_mm:
                text = bench.step("lower", "it", one.length_mm, height)
                steps.append((text, ("ornaments", place, "height"), height))
            remedy = bench.remedy(*steps)
        else:
            remedy = _no_ornament(bench, place)
        yield Finding(
            rule="ornament-unseen",
            severity="note",
            where=one.name,
            message=f"Nothing of “{one.name}” shows: {front.name} in front of it is as high.",
            remedy=remedy,
        )


def _meet(bench: Bench) -> Iterator[Finding]:
    """No two ornaments on one face over each other in one plane."""
    card, placed = bench.card, placed_ornaments(bench.card)
    for here, there in combinations(range(len(placed)), 2):
        first, second = placed[here], placed[there]
        if not first.overlaps(second):
            continue
        low, high = sorted((first, second), key=lambda one: one.out_mm)
        if high.out_mm - low.out_mm >= mm(low.stock.caliper):
            continue  # one passes in front of the other
        _, left, right = _edges(card, second.part)
        others = [
            one
            for one in placed
            if one is not second and one.part == second.part
            and max(one.start_mm, second.start_mm) < min(one.stop_mm, second.stop_mm)
        ]  # fmt: skip
        gaps, start = [], NONE
        for one in sorted(others, key=lambda one: one.left_mm):
            gaps.append((start, bench.down(max(one.left_mm - left, NONE))))
            start = max(start, bench.up(max(one.right_mm - left, NONE)))
        gaps.append((start, bench.down(right - left)))
        gaps = [(low, high) for low, high in gaps if low < high]
        across = second.left_mm - left
        fits = [gap for gap in gaps if gap[1] - gap[0] >= second.width_mm]
        if fits:
            ends = [min(max(across, low), high - second.width_mm) for low, high in fits]
            target = min(ends, key=lambda end: abs(end - across))
            target = bench.down(target) if any(low <= bench.down(target) for low, _ in fits) else target
            text = f"move “{second.name}” to {bench.show(target)} from the side of {second.part}"
            remedy = bench.remedy((text, ("ornaments", there, "along"), target))
            remedy = _followed(bench, remedy, second.name, (_crosses,))
        elif gaps:
            low, high = max(gaps, key=lambda gap: gap[1] - gap[0])
            text = bench.step("narrow", f"“{second.name}”", second.width_mm, high - low)
            text += f", and move it to {bench.show(low)} from the side of {second.part}"
            remedy = bench.remedy(
                (text, ("ornaments", there, "width"), high - low),
                ("", ("ornaments", there, "along"), low),
            )
            remedy = _followed(bench, remedy, second.name, (_crosses,))
        else:
            remedy = _no_ornament(bench, there)
        yield Finding(
            rule="ornaments-meet",
            severity="caution",
            where=second.name,
            message=f"“{second.name}” and “{first.name}” stand in each other's place on {second.part}.",
            remedy=remedy,
        )


ORNAMENT_RULES: dict[str, Rule] = {
    "ornament-high": _high,
    "ornament-side": _sides,
    "ornament-pad": _pads,
    "ornament-foot": _crosses,
    "ornament-unseen": _unseen,
    "ornaments-meet": _meet,
}
