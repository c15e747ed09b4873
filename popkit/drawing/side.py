"""The card from the side, at any opening: what stands, what is glued where, what hides when closed.

The fold is the origin, the front lies to the right along the table, the back stands at the
opening angle. Under the front one bar a tier shows how far its face reaches when the card is
closed, up to the edge past which it would show. Every point of the card is a point of
`folding.pose`; tabs and panels are drawn a little off the card they lie on, to be seen.

Imports: lengths, language, card, areas, folding, drawing.conventions, drawing.lettering, drawing.svg.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from popkit.areas import Placed, placed_layers, placed_ornaments
from popkit.card import Card, Ornament
from popkit.drawing.conventions import (
    CARD_EDGE,
    CLEAR_EDGE,
    GHOST,
    HAIR,
    HEADING,
    INK,
    PAPER,
    SECOND,
    TAB_EDGE,
    TINT_DEEP,
    WORDS,
    Line,
    shade,
)
from popkit.drawing.lettering import Box, Readings
from popkit.drawing.svg import Sketch
from popkit.folding import FoldError, Pose, closed_reach, opens_to, pose, room
from popkit.language import BRITISH, Language
from popkit.lengths import Grid, Length, as_offset, mm

__all__ = [
    "Opened",
    "degrees",
    "describe_side",
    "draw_side",
    "front_words",
    "how_open",
    "opened",
    "scale_for",
    "stops_words",
]

_LAYER = 1.1  # mm on the picture between card and what lies on it
_ROW = 5.2  # mm from one bar to the next
_FOUND = Line(ink=SECOND, weight=0.9)
_SHOWS = Line(ink=INK, weight=1.6)
_TRACE = Line(ink=SECOND, weight=0.25)
_MAT = 0.55  # mm on the picture that a mat is thick, and an ornament
_MAT_EDGE = Line(ink=INK, weight=0.2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A card at an opening, or at its limit where it cannot open so far.

    asked  degrees that were asked for
    limit  degrees to which it opens
    pose   at the smaller of the two
    true   the pose with no slips at that opening
    slips  exact millimetres that each tier's foot is glued too far out, 0 where it is right
    """

    asked: float
    limit: float
    pose: Pose
    true: Pose
    slips: tuple[Fraction, ...]

    @property
    def angle(self) -> float:
        """Degrees at which the card is drawn."""
        return self.pose.angle

    @property
    def stopped(self) -> bool:
        """Whether the card stops before the opening that was asked for."""
        return self.angle < self.asked


def opened(card: Card, angle_deg: float, slips: Mapping[int, Length | str] | None = None) -> Opened:
    """The pose to draw: at `angle_deg`, or at the card's limit if that comes first.

    Raises: FoldError as `folding.pose`, save for an opening past the limit.
    """
    slips = {number: slip for number, slip in (slips or {}).items() if mm(as_offset(slip)) != 0}
    amounts = (
        tuple(mm(as_offset(slips.get(number, "0 mm"))) for number in range(1, len(card.tiers) + 1))
        if slips
        else (Fraction(0),) * len(card.tiers)
    )
    if not slips:
        here = pose(card, angle_deg)
        return Opened(asked=float(angle_deg), limit=180.0, pose=here, true=here, slips=amounts)
    limit = opens_to(card, slips)
    if not 0 <= angle_deg <= 180:
        raise FoldError(f"An opening of {angle_deg:g}°: write 0 (closed) to 180 (flat).")
    angle = min(float(angle_deg), limit)
    return Opened(
        asked=float(angle_deg),
        limit=limit,
        pose=pose(card, angle, slips),
        true=pose(card, angle),
        slips=amounts,
    )


def degrees(angle: float, language: Language = BRITISH) -> str:
    """ "90°", "141.2°"."""
    text = f"{angle:.1f}".removesuffix(".0")
    return f"{language.decimal(text)}°"


def how_open(angle: float, language: Language = BRITISH) -> str:
    """ "closed", "open 90°", "open flat"."""
    if angle == 0:
        return language.say("closed")
    if angle == 180:
        return language.say("open flat")
    return language.say("open {angle}", angle=degrees(angle, language))


def _slip_words(slip: Fraction, read: Readings) -> str:
    amount = read.both(abs(slip))
    if slip > 0:
        return read.language.say("foot glued {amount} too far out", amount=amount)
    return read.language.say("foot glued {amount} too near the fold", amount=amount)


def front_words(card: Card, language: Language) -> str:
    """ "clear front", "one-piece front": the form of a front, in words."""
    form = card.front.form
    known = {
        "clear": language.say("clear front"),
        "joined": language.say("joined front"),
        "one-piece": language.say("one-piece front"),
    }
    return known.get(form, f"{form} front")


def stops_words(view: Opened, language: Language) -> str:
    """ "Asked for 120°: it stops at 90°." """
    return language.say(
        "Asked for {asked}: it stops at {limit}.",
        asked=degrees(view.asked, language),
        limit=degrees(view.limit, language),
    )


class _Row(NamedTuple):
    """One tier in exact millimetres: what it measures, and how it lies when closed."""

    face: Fraction
    depth: Fraction
    foot: Fraction
    reach: Fraction
    margin: Fraction
    slip: Fraction


class _Facts:
    """What a side view shows, each length read once, in exact millimetres."""

    def __init__(self, card: Card, view: Opened) -> None:
        self.height, self.front = mm(card.height), card.front.length_in(card)
        self.limit = mm(room(card))
        reaches = [mm(reach) for reach in closed_reach(card)]
        self.rows = [
            _Row(mm(tier.face), mm(tier.depth), foot, reach, self.limit - reach, slip)
            for tier, foot, reach, slip in zip(
                card.tiers, card.feet_mm, reaches, view.slips, strict=True
            )
        ]


def describe_side(
    card: Card,
    angle_deg: float,
    slips: Mapping[int, Length | str] | None = None,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
) -> str:
    """What `draw_side` shows, in words: the opening, each tier's place, what hides when closed."""
    view = opened(card, angle_deg, slips)
    return _described(card, view, _Facts(card, view), Readings.of(card.height, grids))


def _described(card: Card, view: Opened, facts: _Facts, read: Readings) -> str:
    both, language, say = read.both, read.language, read.language.say
    lines = [
        say(
            "Side view, {how_open}: back {back}, {form} {front}.",
            how_open=how_open(view.angle, language),
            back=both(facts.height),
            form=front_words(card, language),
            front=both(facts.front),
        )
    ]
    if view.stopped:
        lines.append(stops_words(view, language))
    elif view.limit < 180:
        lines.append(say("It opens only to {limit}.", limit=degrees(view.limit, language)))
    for number, row in enumerate(facts.rows, 1):
        line = say(
            "Tier {tier}: face {face}, shelf {shelf}, foot {foot} from the fold; closed it reaches "
            "{reach} of {limit}",
            tier=number,
            face=both(row.face),
            shelf=both(row.depth),
            foot=both(row.foot),
            reach=both(row.reach),
            limit=both(facts.limit),
        )
        if row.margin < 0:
            line += say(" and shows by {amount}", amount=both(-row.margin))
        line += f"; {_slip_words(row.slip, read)}" if row.slip else ""
        lines.append(line + ".")
    return "\n".join(lines)


# Drawing ------------------------------------------------------------------------


def scale_for(card: Card, page_mm: float, scale: Fraction | float | str | None) -> float:
    """Millimetres on the picture to one of the card: `scale`, or so that a page is `page_mm` long.

    Raises: ValueError unless it is above 0.
    """
    if scale is not None:
        value = float(Fraction(scale))
    else:
        value = page_mm / float(max(mm(card.height), card.front.length_in(card)))
    if value <= 0:
        raise ValueError(f"A scale of {scale}: write a number above 0, as in 1 or Fraction(1, 2).")
    return value


class _Side:
    """One side view being drawn: the card's points times the scale, y turned downwards."""

    def __init__(
        self,
        card: Card,
        view: Opened,
        facts: _Facts,
        read: Readings,
        k: float,
        prefix: str,
        marked: Collection[str],
        tiers: int | None,
    ) -> None:
        self.card, self.view, self.facts, self.read, self.k = card, view, facts, read, k
        self.say, self.name = read.language.say, read.language.name
        self.marked = set(marked)
        self.shown = len(card.tiers) if tiers is None else min(max(0, tiers), len(card.tiers))
        self.sketch = Sketch(prefix=prefix)
        self.points = {part: self._flipped(view.pose[part]) for part in view.pose}
        self.lean = math.radians(view.angle)
        self.radius = 4.5 + k * float(max(facts.height, facts.front, *(row.reach for row in facts.rows)))

    def _flipped(self, array: object) -> list[tuple[float, float]]:
        return [(x * self.k, -y * self.k) for x, y in array.tolist()]

    def _off(
        self, a: tuple[float, float], b: tuple[float, float], depth: float
    ) -> list[tuple[float, float]]:
        """A thin slab on the line from a to b, to its left as one looks from a to b."""
        long = math.hypot(b[0] - a[0], b[1] - a[1]) or 1.0
        nx, ny = (b[1] - a[1]) / long * depth, -(b[0] - a[0]) / long * depth
        return [a, b, (b[0] + nx, b[1] + ny), (a[0] + nx, a[1] + ny)]

    def tubes(self) -> None:
        """The room under each shelf, tinted as the tier's face is in the oblique view."""
        count = len(self.card.tiers)
        with self.sketch.group("tubes"):
            for number in range(1, self.shown + 1):
                glued, edge, foot = self.points[f"tier {number}"]
                hinge = (0.0, 0.0) if number == 1 else self.points[f"tier {number - 1}"][2]
                self.sketch.area([hinge, glued, edge, foot], fill=shade(number, count))

    def ghost(self) -> None:
        """Where slipped tiers should stand, and the back that was asked for."""
        view = self.view
        if not any(view.slips[: self.shown]):
            return
        with self.sketch.group("ghost", GHOST):
            for number in range(1, self.shown + 1):
                name = f"tier {number}"
                if not (view.pose[name] == view.true[name]).all():
                    self.sketch.polyline(self._flipped(view.true[name]), name=f"true-tier-{number}")
            if view.stopped:
                lean, long = math.radians(view.asked), float(self.facts.height) * self.k
                end = (long * math.cos(lean), -long * math.sin(lean))
                self.sketch.polyline([(0.0, 0.0), end], name="asked-back")

    def pages(self) -> None:
        """Back, front, and the flap that joins them."""
        card, sketch, k = self.card, self.sketch, self.k
        (_, top), (_, edge) = self.points["back"], self.points["front"]
        flap, gap = float(card.front.flap_in(card)) * k, float(card.front.gap_in(card)) * k
        clear = card.front.panel_name is not None and card.front.stock_in(card).kind == "plastic"
        with sketch.group("pages", self._line("back", "back and front")):
            sketch.polyline([(0.0, 0.0), top], name="back")
            if card.front.panel_name is not None:
                bend = min(1.2, flap / 2)
                sketch.polyline([(0.0, 0.0), (bend, _LAYER), (flap, _LAYER)], name="flap")
        if clear:
            sketch.area(
                self._off((gap, 0.0), edge, -_LAYER * 0.5),
                fill=PAPER,
                line=CLEAR_EDGE if "clear front" not in self.marked else self._line("clear front"),
                name="front",
            )
        else:
            with sketch.group("pages", self._line("back and front", card.front.panel_name)):
                sketch.polyline([(gap, 0.0), edge], name="front")

    def _line(self, *pieces: str | None) -> Line:
        """The line of a piece: heavier if it is the one in hand."""
        return CARD_EDGE if self.marked.isdisjoint(pieces) else Line(ink=INK, weight=1.3)

    def _apart(self) -> float:
        """How far the two nearest faces are from each other on the picture."""
        return float(min(row.depth for row in self.facts.rows)) * self.k * math.sin(self.lean)

    def tabs(self) -> None:
        """Both tabs of each glued tier; a card all but closed has no room for them."""
        sketch = self.sketch
        if self._apart() < _LAYER * 1.4:
            return
        with sketch.group("tabs"):
            for number in range(1, self.shown + 1):
                if f"tier {number} top tab" not in self.points:
                    continue
                crease, end = self.points[f"tier {number} top tab"]
                sketch.area(self._off(crease, end, _LAYER), fill=SECOND, line=TAB_EDGE, kind="glue")
                crease, end = self.points[f"tier {number} bottom tab"]
                sketch.area(self._off(end, crease, _LAYER), fill=SECOND, line=TAB_EDGE, kind="glue")

    def tiers(self) -> None:
        """Shelf and face of each tier, from the back forwards, thinner as they fold together."""
        sketch = self.sketch
        apart = self._apart()
        thin = Line(ink=INK, weight=round(max(0.2, min(CARD_EDGE.weight, apart * 0.4)), 2))
        for number in range(1, self.shown + 1):
            line = thin if f"tier {number}" not in self.marked else self._line(f"tier {number}")
            with sketch.group("tier", line):
                sketch.polyline(self.points[f"tier {number}"], name=f"tier-{number}")

    def pasted(self, layers: bool, ornaments: bool) -> None:
        """Mats and ornaments on edge, each on its side of the part it lies on, where there is room."""
        placed = (
            *(placed_layers(self.card) if layers else ()),
            *(placed_ornaments(self.card) if ornaments else ()),
        )
        hidden = {f"tier {number}" for number in range(self.shown + 1, len(self.card.tiers) + 1)}
        if self._apart() < _LAYER * 1.4:
            hidden |= {f"tier {number}" for number in range(1, self.shown + 1)}
        stacked: dict[tuple[str, str], int] = {}
        with self.sketch.group("pasted"):
            for one in placed:
                if one.part not in hidden and one.is_there:
                    place = stacked.get((one.part, one.side), 0)
                    stacked[one.part, one.side] = place + 1
                    self._on_edge(one, place)

    def _on_edge(self, one: Placed, place: int) -> None:
        line = self.points[one.part]
        foot, top = (line[-1], line[-2]) if one.part.startswith("tier") else (line[0], line[-1])
        long = math.hypot(top[0] - foot[0], top[1] - foot[1]) or 1.0
        across = ((top[1] - foot[1]) / long, -(top[0] - foot[0]) / long)  # to the left, looking up
        way = 1.0 if (one.part == "front") == (one.side == "inside") else -1.0
        ornament = isinstance(one.source, Ornament)
        pad = float(one.out_mm) * self.k * math.sin(self.lean) if ornament else 0.0
        off = CARD_EDGE.weight / 2 + (pad if ornament else _MAT * (place if place < 3 else 3))
        low, high = (float(at) * self.k / long for at in (one.start_mm, one.stop_mm))
        ends = [
            (
                foot[0] + (top[0] - foot[0]) * share + across[0] * way * off,
                foot[1] + (top[1] - foot[1]) * share + across[1] * way * off,
            )
            for share in (low, high)
        ]
        if pad > 0.2:
            middle = [((2 - at) * ends[0][0] + (1 + at) * ends[1][0]) / 3 for at in (0, 1)]
            level = [((2 - at) * ends[0][1] + (1 + at) * ends[1][1]) / 3 for at in (0, 1)]
            block = self._off((middle[0], level[0]), (middle[1], level[1]), -way * pad)
            self.sketch.area(block, fill=TINT_DEEP, line=_MAT_EDGE, kind="pad")
        marked = one.name in self.marked
        self.sketch.area(
            self._off(*ends, way * _MAT),
            fill=PAPER if ornament else TINT_DEEP,
            line=Line(ink=INK, weight=0.8) if marked else _MAT_EDGE,
            kind="ornament" if ornament else "mat",
        )

    def numbers(self) -> None:
        """The number of each tier in the room under its shelf, where it fits."""
        sketch = self.sketch
        with sketch.group("names"):
            for number in range(1, self.shown + 1):
                glued, edge, foot = self.points[f"tier {number}"]
                hinge = (0.0, 0.0) if number == 1 else self.points[f"tier {number - 1}"][2]
                ring = [hinge, glued, edge, foot]
                x, y = (sum(point[axis] for point in ring) / 4 for axis in (0, 1))
                box = sketch.box_of(x, y, str(number), anchor="middle")
                tab = getattr(self.card.tiers[number - 1], "top_tab", None)
                beside_tab = tab is not None and mm(tab) > self.facts.rows[number - 1].face * 2 / 5
                if _inside(box, ring, 0.8 + (_LAYER if beside_tab else 0.0)) and sketch.free(box):
                    sketch.words(x, y, str(number), anchor="middle")

    def page_names(self) -> None:
        """Back and front by name, on the outer side of each."""
        sketch = self.sketch
        (x, y), lean = self.points["back"][1], self.lean
        outward = (-math.sin(lean), -math.cos(lean))
        back = self.name("back")
        box = sketch.box_of(0, 0, back)
        half, tall = box.right / 2, (box.bottom - box.top) / 2
        off = 1.6 + abs(outward[0]) * half + abs(outward[1]) * tall
        with sketch.group("names"):
            sketch.words(x * 0.86 + outward[0] * off, y * 0.86 + outward[1] * off, back, anchor="middle")

    def angle(self) -> None:
        """The path of the outermost edge from the front to the back, and how far it is open."""
        sketch, radius, lean, view = self.sketch, self.radius, self.lean, self.view
        end = (radius * math.cos(lean), -radius * math.sin(lean))
        say, told = self.say, lambda angle: degrees(angle, self.read.language)
        words = told(view.angle)
        if view.stopped:
            words = say("stops at {limit}", limit=told(view.limit))
        with sketch.group("angle"):
            sketch.line(radius - 2, 0, radius + 2, 0, _TRACE)
            if lean > 0:
                sketch.arc(radius, (radius, 0.0), end, _TRACE)
                sketch.cover((0.0, -radius) if lean > math.pi / 2 else end)
                if radius * lean > 4:
                    sketch.arrowhead(*end, -math.sin(lean), -math.cos(lean))
            if view.limit < 180 and not view.stopped:
                self._spoke(view.limit, say("opens only to {limit}", limit=told(view.limit)))
            if view.stopped:
                self._spoke(view.asked, say("asked for {angle}", angle=told(view.asked)))
            self._along_arc(view.angle / 2, words, HEADING)

    def _spoke(self, angle: float, words: str) -> None:
        lean, radius = math.radians(angle), self.radius
        x, y = math.cos(lean), -math.sin(lean)
        self.sketch.line(x * (radius - 2), y * (radius - 2), x * (radius + 2), y * (radius + 2), _TRACE)
        self._along_arc(angle, words, WORDS)

    def _along_arc(self, angle: float, words: str, size: float) -> None:
        """Words outside the arc at an angle, farther out where words stand there already."""
        lean = math.radians(angle)
        x, y = math.cos(lean), -math.sin(lean)
        anchor = "start" if x > 0.25 else "end" if x < -0.25 else "middle"
        for step in range(12):
            out = self.radius + 2.8 + step * 3
            at = (x * out, min(y * out - (size * 0.55 if anchor == "middle" else 0.0), -size * 0.6))
            if self.sketch.free(self.sketch.box_of(*at, words, size=size, anchor=anchor)):
                break
        self.sketch.words(*at, words, size=size, anchor=anchor, ink=SECOND)

    def rows(self, dimensions: bool) -> float:
        """One bar a tier under the front: how far its face reaches closed. Returns the lowest y."""
        sketch, k, facts = self.sketch, self.k, self.facts
        limit = float(facts.limit) * k
        first, last = 9.6, 9.6 + (len(facts.rows) - 1) * _ROW
        right = max(limit, *(float(row.reach + row.slip) * k for row in facts.rows))
        with sketch.group("edge", GHOST):
            sketch.line(limit, 2.0, limit, last + 3.4)
        with sketch.group("rows"):
            sketch.words(-3, 4.6, self.say("when closed"), anchor="end", ink=SECOND)
            shown = facts.rows[: self.shown]
            ticks = [float(row.foot) * k for row in shown]
            front = self.name(self.card.front.panel_name or self.card.front.flap_name)
            box = sketch.box_of(limit - 1.2, 4.6, front, anchor="end")
            if any(box.left - 1 < tick < box.right + 1 for tick in ticks):
                sketch.words(right + 4, 4.6, front)
            else:
                sketch.words(limit - 1.2, 4.6, front, anchor="end")
            for number, (row, tick) in enumerate(zip(shown, ticks, strict=True), 1):
                y = first + (number - 1) * _ROW
                foot = self.points[f"tier {number}"][2][0]
                reach = foot + float(row.face) * k
                sketch.line(tick, 3.2 if row.slip else 1.9, tick, y, HAIR)
                sketch.line(foot, y, min(reach, limit), y, _FOUND)
                if reach > limit + 1e-6:
                    sketch.line(limit, y, reach, y, _SHOWS)
                sketch.dot(reach, y, 0.8, fill=SECOND)
                if row.slip:
                    self._true_foot(tick, 2.4)
                    self._glued_foot(foot, 1.7)
                sketch.words(-3, y, self.name(f"tier {number}"), anchor="end")
                if note := self._note(row, dimensions):
                    sketch.words(right + 4, y, note, ink=SECOND)
            y = last + 6.2
            edge = self.say("edge of the closed card")
            if dimensions:
                edge += f", {self.read.both(facts.limit)}"
            sketch.words(limit, y, edge, anchor="middle" if dimensions else "end", ink=SECOND)
            if any(self.view.slips[: self.shown]):
                y += _ROW + 1
                self._true_foot(1, y)
                x = sketch.words(3.4, y, self.say("where it belongs"), ink=SECOND).right + 7
                self._glued_foot(x, y - 1)
                sketch.words(x + 2.4, y, self.say("where the foot is glued"), ink=SECOND)
        return y

    def _note(self, row: _Row, dimensions: bool) -> str:
        """What stands beside a tier's bar."""
        both, note = self.read.both, []
        if dimensions:
            note.append(self.say("foot {length}", length=both(row.foot)))
            note.append(self.say("reaches {length}", length=both(row.reach)))
        if row.margin < 0:
            note.append(self.say("shows by {length}", length=both(-row.margin)))
        if row.slip:
            note.append(_slip_words(row.slip, self.read))
        return ", ".join(note)

    def _true_foot(self, x: float, y: float) -> None:
        self.sketch.dot(x, y, 0.8, fill=PAPER, line=_TRACE)

    def _glued_foot(self, x: float, y: float) -> None:
        self.sketch.arrowhead(x, y, 0, -1, fill=INK, size=2.4, across=0.4)

    def frame(self, lowest: float) -> Box:
        """The least that a picture of any opening needs."""
        out = self.radius + 18
        return Box(-out, -self.radius - 8, out, lowest)


def _inside(box: Box, ring: Sequence[tuple[float, float]], clear: float) -> bool:
    """Whether a box lies inside a convex ring, `clear` from every side."""
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    a, b = (box.right - box.left) / 2, (box.bottom - box.top) / 2
    for (x1, y1), (x2, y2) in zip(ring, [*ring[1:], ring[0]], strict=True):
        long = math.hypot(x2 - x1, y2 - y1)
        if long < 1e-9:
            return False
        nx, ny = (y2 - y1) / long, -(x2 - x1) / long
        if abs((x - x1) * nx + (y - y1) * ny) < abs(nx) * a + abs(ny) * b + clear:
            return False
    return True


def draw_side(
    card: Card,
    angle_deg: float = 90.0,
    slips: Mapping[int, Length | str] | None = None,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
    dimensions: bool = False,
    page_mm: float = 100.0,
    scale: Fraction | float | str | None = None,
    steady: bool = False,
    marked: Collection[str] = (),
    tiers: int | None = None,
    layers: bool = True,
    ornaments: bool = True,
    prefix: str = "",
    title: str | None = None,
) -> str:
    """The card from the side at an opening of `angle_deg` degrees, 0 closed to 180 flat.

    slips       {tier number: how much too far out its foot is glued}, negative for too near
    grids       two rulers; unless given the usual two, that of the card's unit first
    dimensions  print feet and reaches beside their bars
    page_mm     how long the longer of back and front is drawn
    scale       instead of `page_mm`: 1 is true size
    steady      keep one frame for all openings, for a picture that moves
    marked      names of pieces to draw heavier, as in the cut list
    tiers       draw only so many tiers, from the back: a card half made, or peeled
    layers, ornaments  draw what is pasted flat, and what stands on the tiers
    prefix      begins every id
    title       for screen readers; unless given, what it is
    Returns: SVG text in millimetres. An opening that a slipped card cannot reach is drawn at the
    card's limit, and the picture says so.
    Raises: FoldError if the angle is not 0 to 180 or a foot has slipped past what stands behind
    it; ValueError for a scale or a prefix that cannot be used.
    """
    view = opened(card, angle_deg, slips)
    read = Readings.of(card.height, grids)
    facts, k = _Facts(card, view), scale_for(card, page_mm, scale)
    side = _Side(card, view, facts, read, k, prefix, marked, tiers)
    side.tubes()
    side.ghost()
    side.tabs()
    side.pages()
    side.tiers()
    side.pasted(layers, ornaments)
    side.numbers()
    lowest = side.rows(dimensions)
    side.page_names()
    side.angle()
    return side.sketch.svg(
        title
        or read.language.say("Side view, {how_open}", how_open=how_open(view.angle, read.language)),
        _described(card, view, facts, read),
        frame=side.frame(lowest) if steady else None,
    )
