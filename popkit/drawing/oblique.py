"""The card from in front and a little above: an oblique view, hidden parts hidden.

Cabinet projection: across the fold and straight up are drawn true, what comes towards you is
drawn at 45 degrees downwards to the left and half as long. Every part is a flat strip along
the fold, so one strip hides another exactly as their edges do in the side view; the strips
are painted from the farthest to the nearest. What lies nearer is drawn lighter. Mats lie in
the plane of what they are pasted to; an ornament is a plain cut-out of its own width and height.

Imports: lengths, language, card, areas, folding, drawing (conventions, lettering, side, svg).
Source: cabinet projection, receding axis at 45 degrees and half length, ISO 5456-3:1996 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from popkit.areas import Placed, placed_layers, placed_ornaments
from popkit.card import Card, CutStep, Ornament
from popkit.drawing.conventions import (
    CLEAR_EDGE,
    IN_HAND,
    INK,
    LEADER,
    OUTLINE,
    PAPER,
    SECOND,
    TINT,
    WORDS,
    Line,
    mixed,
    shade,
)
from popkit.drawing.lettering import ASCENT, DESCENT, Box, Readings, spread, text_width
from popkit.drawing.side import Opened, front_words, how_open, opened, scale_for, stops_words
from popkit.drawing.svg import Sketch
from popkit.folding import closed_reach
from popkit.language import BRITISH, Language
from popkit.lengths import Grid, Length, mm

__all__ = ["Strip", "describe_finished", "describe_oblique", "draw_finished", "draw_oblique", "strips"]

_DEPTH = 0.5 * math.cos(math.radians(45))
"""How far one millimetre towards you is drawn to the left, and how far down."""
_PITCH = (ASCENT + DESCENT) * WORDS + 1.0
_HEIGHTS = (0.94, 0.9, 0.86, 0.82, 0.76, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1)
_IN_HAND = Line(ink=INK, weight=0.8)
_MAT_EDGE = Line(ink=INK, weight=0.2)
_ARCH = tuple(
    (0.5 - 0.5 * math.cos(turn * math.pi / 8), 0.6 + 0.4 * math.sin(turn * math.pi / 8))
    for turn in range(9)
)
"""The round top of an ornament, as shares of its width and height."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A flat strip along the fold: one edge at `start` of the side view, the other at `stop`.

    part    "back", "front", "landing flap", "tier 1 face", ...
    piece   the piece of the cut list that it belongs to
    start, stop  (x, y) of the side view, mm
    left, right  along the fold from the left side of the card, mm
    rank    order from the back forwards: of two strips in one plane the later lies on the earlier;
            what is pasted on comes between its ground and the next
    ground  whether it lies on the front whatever the opening
    holes   (from, to, left, right): from and to as shares of the way from start to stop
    clear   whether one sees through it
    tint    its colour
    kind    "card", "mat" (anything pasted flat) or "ornament"
    """

    part: str
    piece: str
    start: tuple[float, float]
    stop: tuple[float, float]
    left: float
    right: float
    rank: float
    ground: bool = False
    holes: tuple[tuple[float, float, float, float], ...] = ()
    clear: bool = False
    tint: str = PAPER
    kind: str = "card"


def _at(strip: Strip, share: float) -> tuple[float, float]:
    (x1, y1), (x2, y2) = strip.start, strip.stop
    return x1 + (x2 - x1) * share, y1 + (y2 - y1) * share


def strips(
    card: Card,
    view: Opened,
    *,
    tiers: int | None = None,
    layers: bool = True,
    ornaments: bool = True,
) -> list[Strip]:
    """Every flat strip of the opened card, in the order of gluing, then what is pasted on.

    tiers   only so many, from the back, with what is pasted on them
    layers, ornaments  whether those are wanted
    """
    found = _card_strips(card, view)
    if tiers is not None:
        left_out = tuple(f"tier {number} " for number in range(tiers + 1, len(card.tiers) + 1))
        found = [strip for strip in found if not strip.part.startswith(left_out)]
    grounds = {strip.part.removesuffix(" face"): strip for strip in found}
    grounds["front"] = next(strip for strip in found if strip.start[1] == 0 and strip.rank == 1)
    pasted = (*(placed_layers(card) if layers else ()), *(placed_ornaments(card) if ornaments else ()))
    for place, one in enumerate(pasted, 1):
        if one.part in grounds and one.is_there:
            found.append(_pasted(one, grounds[one.part], view, place / (len(pasted) + 1)))
    return found


def _pasted(one: Placed, ground: Strip, view: Opened, share: float) -> Strip:
    """A mat or an ornament as a strip in the plane of its ground, or as far before it as its pad
    is thick; folding the card presses the pad flat."""
    line = view.pose[one.part].tolist()
    foot, top = (line[-1], line[-2]) if one.part.startswith("tier") else (line[0], line[-1])
    long = math.dist(foot, top) or 1.0
    along = ((top[0] - foot[0]) / long, (top[1] - foot[1]) / long)
    ornament = isinstance(one.source, Ornament)
    out = float(one.out_mm) * math.sin(math.radians(view.angle)) if ornament else 0.0
    low, high = float(one.start_mm), float(one.stop_mm)
    ends = [
        (
            foot[0] + along[0] * at + along[1] * out,
            foot[1] + along[1] * at - along[0] * out,
        )
        for at in (low, high)
    ]
    outside = one.side == "outside"
    return Strip(
        part=one.name,
        piece=one.name,
        start=ends[0],
        stop=ends[1],
        left=float(one.left_mm),
        right=float(one.left_mm + one.width_mm),
        rank=-share if outside and ground.ground else ground.rank + (share - 1 if outside else share),
        ground=ground.ground,
        tint=PAPER if ornament else mixed(ground.tint, PAPER, 0.55),
        kind="ornament" if ornament else "mat",
    )


def _card_strips(card: Card, view: Opened) -> list[Strip]:
    pose = view.pose
    points = {part: [tuple(point) for point in pose[part].tolist()] for part in pose}
    wide, count = float(mm(card.width)), len(card.tiers)
    widths = [float(tier.width_in(card, place)) for place, tier in enumerate(card.tiers)]
    sides = [((wide - width) / 2, (wide + width) / 2) for width in widths]
    cut = [isinstance(tier, CutStep) for tier in card.tiers]
    found: list[Strip] = []

    def add(part: str, piece: str, start, stop, span, **more) -> None:
        found.append(
            Strip(
                part=part,
                piece=piece,
                start=start,
                stop=stop,
                left=span[0],
                right=span[1],
                rank=len(found),
                **more,
            )
        )

    found += _pages(card, points, sides, cut)
    for number in range(1, count + 1):
        glued, edge, foot = points[f"tier {number}"]
        span, piece, tint = sides[number - 1], f"tier {number}", shade(number, count)
        if cut[number - 1]:
            piece = "back and front"
        else:
            for tab in ("bottom tab", "top tab"):
                start, stop = points[f"tier {number} {tab}"]
                add(
                    f"tier {number} {tab}",
                    piece,
                    start,
                    stop,
                    span,
                    tint=tint,
                    ground=tab == "bottom tab",
                )
        holes = ()
        if number < count and cut[number]:  # the next step is cut out of this face
            next_glued = points[f"tier {number + 1}"][0]
            up = math.dist(foot, next_glued) / math.dist(foot, edge)
            holes = ((0.0, min(up, 1.0), *sides[number]),)
        add(f"tier {number} face", piece, foot, edge, span, holes=holes, tint=tint)
        add(f"tier {number} shelf", piece, glued, edge, span, tint=mixed(tint, PAPER, 0.6))
    return found


def _pages(
    card: Card,
    points: Mapping[str, list[tuple[float, float]]],
    sides: Sequence[tuple[float, float]],
    cut: Sequence[bool],
) -> list[Strip]:
    """The front, what joins it to the back, and the back, with the holes that cut steps leave."""
    front, (fold, edge), (_, top) = card.front, points["front"], points["back"]
    wide, long = float(mm(card.width)), edge[0]
    panel, flap, gap = front.panel_name, float(front.flap_in(card)), float(front.gap_in(card))
    page = (0.0, wide)
    found = []
    blank = "back" if panel else "back and front"
    if panel:
        found.append(
            Strip(
                part=front.flap_name,
                piece=blank,
                start=fold,
                stop=(flap, 0.0),
                left=0.0,
                right=wide,
                rank=0,
                ground=True,
                tint=mixed(TINT, PAPER, 0.5),
            )
        )
    width = float(front.width_in(card))
    clear = panel is not None and front.stock_in(card).kind == "plastic"
    holes = tuple(
        (
            (points[f"tier {number - 1}"][2][0] if number > 1 else 0.0) / long,
            min(1.0, points[f"tier {number}"][2][0] / long),
            *sides[number - 1],
        )
        for number in range(1, len(cut) + 1)
        if cut[number - 1]
    )
    found.append(
        Strip(
            part=panel or front.flap_name,
            piece=panel or blank,
            start=(gap, 0.0),
            stop=edge,
            left=(wide - width) / 2 if panel else page[0],
            right=(wide + width) / 2 if panel else page[1],
            rank=1,
            ground=True,
            holes=holes,
            clear=clear,
            tint=mixed(TINT, PAPER, 0.5),
        )
    )
    holes = ()
    if cut[0]:
        up = math.dist(fold, points["tier 1"][0]) / math.dist(fold, top)
        holes = ((0.0, min(up, 1.0), *sides[0]),)
    found.append(
        Strip(
            part="back",
            piece=blank,
            start=fold,
            stop=top,
            left=0.0,
            right=wide,
            rank=2,
            holes=holes,
            tint=shade(0, 1),
        )
    )
    return found


# What hides what ----------------------------------------------------------------


def _span(strip: Strip) -> tuple[float, float, float, float]:
    """A strip's edges across the line of sight and along it: (low, its depth, high, its depth)."""
    ends = []
    for x, y in (strip.start, strip.stop):
        ends.append((y - _DEPTH * x, x + _DEPTH * y))
    (low, near), (high, far) = sorted(ends)
    return low, near, high, far


def painted(found: Sequence[Strip], angle: float) -> list[Strip]:
    """The strips from the farthest to the nearest.

    Two strips whose edges overlap across the line of sight are compared in the middle of the
    overlap. In one plane, as in a card that is closed or flat, what stands on the front lies in
    the order of gluing, or in its reverse where one looks at the outside of the back.
    """
    inside = _seen_from_inside(angle)

    def order_in_plane(strip: Strip) -> int:
        if strip.ground:
            return strip.rank - len(found) * 2
        return strip.rank if inside else -strip.rank

    spans = [_span(strip) for strip in found]
    behind: list[list[int]] = [[] for _ in found]
    for one in range(len(found)):
        low, near, high, far = spans[one]
        slope = (far - near) / (high - low) if high > low else 0.0
        for other in range(one):
            low2, near2, high2, far2 = spans[other]
            start, stop = max(low, low2), min(high, high2)
            if stop - start < 1e-9:
                continue
            middle = (start + stop) / 2
            slope2 = (far2 - near2) / (high2 - low2) if high2 > low2 else 0.0
            ahead = near + slope * (middle - low) - near2 - slope2 * (middle - low2)
            if abs(ahead) < 1e-6:
                ahead = order_in_plane(found[one]) - order_in_plane(found[other])
            if ahead > 0:
                behind[one].append(other)
            else:
                behind[other].append(one)
    order: list[Strip] = []
    done = [False] * len(found)

    def paint(place: int) -> None:
        if not done[place]:
            done[place] = True
            for farther in behind[place]:
                paint(farther)
            order.append(found[place])

    for place in range(len(found)):
        paint(place)
    return order


def _seen_from_inside(angle: float) -> bool:
    """Whether one looks at the inner side of the back."""
    lean = math.radians(angle)
    return math.sin(lean) - _DEPTH * math.cos(lean) >= 0


class _Oblique:
    """One oblique view being drawn: points of the side view and places along the fold, made flat."""

    def __init__(
        self,
        card: Card,
        view: Opened,
        k: float,
        prefix: str,
        marked: Collection[str],
        language: Language = BRITISH,
    ) -> None:
        self.card, self.view, self.k, self.marked = card, view, k, set(marked)
        self.language = language
        self.sketch = Sketch(prefix=prefix)

    def _flat(self, point: tuple[float, float], along: float) -> tuple[float, float]:
        x, y = point
        return (along - _DEPTH * x) * self.k, (_DEPTH * x - y) * self.k

    def ring(
        self, strip: Strip, span: tuple[float, float, float, float] | None = None
    ) -> list[tuple[float, float]]:
        """The four corners of a strip, or of a part of it, on the picture."""
        low, high, left, right = span or (0.0, 1.0, strip.left, strip.right)
        start, stop = _at(strip, low), _at(strip, high)
        return [
            self._flat(start, left),
            self._flat(start, right),
            self._flat(stop, right),
            self._flat(stop, left),
        ]

    def paint(self, order: Sequence[Strip]) -> None:
        """Every strip over those behind it."""
        sketch = self.sketch
        with sketch.group("card"):
            for strip in order:
                ring = self.ring(strip)
                name = strip.part.replace(" ", "-") if strip.kind == "card" else ""
                in_hand = strip.piece in self.marked
                line = _IN_HAND if in_hand else OUTLINE
                fill = mixed(IN_HAND, strip.tint, 0.35) if in_hand else strip.tint
                if strip.kind == "mat":
                    line = line if in_hand else _MAT_EDGE
                    sketch.area(ring, fill=fill, line=line, kind="mat")
                elif strip.kind == "ornament":
                    sketch.area(self._arch(strip), fill=fill, line=line, kind="ornament")
                elif strip.clear:
                    line = CLEAR_EDGE if strip.piece not in self.marked else line
                    sketch.area(ring, line=line, name=name)
                    self._gleam(strip)
                else:
                    holes = [self.ring(strip, hole) for hole in strip.holes]
                    sketch.area(ring, fill=fill, line=line, holes=holes, name=name)

    def _arch(self, strip: Strip) -> list[tuple[float, float]]:
        """An ornament's outline: upright sides and a round top, as wide and high as it is."""
        wide = strip.right - strip.left
        return [
            self._flat(_at(strip, up), strip.left + wide * share)
            for share, up in ((1.0, 0.0), (0.0, 0.0), *_ARCH)
        ]

    def _gleam(self, strip: Strip) -> None:
        """Three slanting strokes near the free edge: a clear sheet."""
        reach = strip.right - strip.left
        for start, stop, low, high in (
            (0.80, 0.90, 0.62, 0.90),
            (0.84, 0.94, 0.62, 0.90),
            (0.9, 0.96, 0.74, 0.90),
        ):
            a = self._flat(_at(strip, high), strip.left + reach * start)
            b = self._flat(_at(strip, low), strip.left + reach * stop)
            self.sketch.line(*a, *b, CLEAR_EDGE)

    def _labels(self) -> dict[str, str]:
        """What each part that has a name is called beside the picture."""
        name = self.language.name
        inside = _seen_from_inside(self.view.angle)
        back = name("back") if inside else self.language.say("outside of the back")
        front = self.card.front.panel_name or self.card.front.flap_name
        tiers = {
            f"tier {number} face": name(f"tier {number}")
            for number in range(1, len(self.card.tiers) + 1)
        }
        return {"back": back, **tiers, front: name(front)}

    def every_label(self) -> list[str]:
        """Every name that may stand in the column at any opening."""
        return [*self._labels().values(), self.language.say("outside of the back")]

    def names(self, order: Sequence[Strip], right: float) -> None:
        """The parts that are seen by name, in a column to the right of `right`."""
        rings = [(self.ring(strip), strip.clear or strip.kind == "mat") for strip in order]
        boxes = [
            Box(*map(min, zip(*ring, strict=True)), *map(max, zip(*ring, strict=True)))
            for ring, _ in rings
        ]
        labels, spots = self._labels(), []
        for place, strip in enumerate(order):
            if strip.part in labels:
                nearer = [
                    (ring, box)
                    for (ring, thin), box in zip(rings[place + 1 :], boxes[place + 1 :], strict=True)
                    if not thin and box.meets(boxes[place])
                ]
                if spot := self._seen(strip, nearer):
                    spots.append((spot[1], spot[0], labels[strip.part]))
        spots.sort()
        places = spread([spot[0] for spot in spots], _PITCH)
        with self.sketch.group("leaders", LEADER):
            for (y, x, _), place in zip(spots, places, strict=True):
                self.sketch.polyline(
                    [(x, y), (right + 1, y), (right + 3.5, place), (right + 4.2, place)]
                )
                self.sketch.dot(x, y, 0.45, fill=SECOND)
        with self.sketch.group("names"):
            for (_, _, name), place in zip(spots, places, strict=True):
                self.sketch.words(right + 5, place, name)

    def _seen(
        self, strip: Strip, nearer: Sequence[tuple[Sequence[tuple[float, float]], Box]]
    ) -> tuple[float, float] | None:
        """A point of the strip, near its right edge, that nothing hides for a millimetre around."""
        whole = self.ring(strip)
        for up in _HEIGHTS:
            for along in (0.93, 0.97, 0.8, 0.5, 0.2, 0.05):
                left = strip.left + (strip.right - strip.left) * along
                if any(low <= up <= high and a <= left <= b for low, high, a, b in strip.holes):
                    continue
                x, y = self._flat(_at(strip, up), left)
                around = ((x, y), (x - 0.8, y), (x + 0.8, y), (x, y - 0.8), (x, y + 0.8))
                patch = Box(x - 0.8, y - 0.8, x + 0.8, y + 0.8)
                if all(_holds(whole, spot) for spot in around) and not any(
                    _holds(ring, spot) for ring, box in nearer if box.meets(patch) for spot in around
                ):
                    return x, y
        return None

    def frame(self) -> Box:
        """What the card covers at any opening, from closed to flat."""
        card, k = self.card, self.k
        height, wide = float(mm(card.height)), float(mm(card.width))
        across = max(wide, *(float(tier.width_in(card, place)) for place, tier in enumerate(card.tiers)))
        reaches = [float(mm(reach)) for reach in closed_reach(card)]
        far = max(height, float(card.front.length_in(card)), *reaches) * _DEPTH
        over = (across - wide) / 2
        return Box(
            (-over - far) * k, -height * math.hypot(1, _DEPTH) * k, (wide + over + far) * k, far * k
        )


def _holds(ring: Sequence[tuple[float, float]], spot: tuple[float, float]) -> bool:
    """Whether a convex ring holds a point, its rim included."""
    signs = set()
    for (x1, y1), (x2, y2) in zip(ring, [*ring[1:], ring[0]], strict=True):
        turn = (x2 - x1) * (spot[1] - y1) - (y2 - y1) * (spot[0] - x1)
        if abs(turn) > 1e-9:
            signs.add(turn > 0)
    return len(signs) < 2


# Words and pictures -------------------------------------------------------------


def describe_oblique(
    card: Card,
    angle_deg: float,
    slips: Mapping[int, Length | str] | None = None,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
) -> str:
    """What `draw_oblique` shows, in words: the opening, the forms, the width of each part."""
    return _described(card, opened(card, angle_deg, slips), Readings.of(card.height, grids))


def _described(card: Card, view: Opened, read: Readings) -> str:
    count, both, say = len(card.tiers), read.both, read.language.say
    lines = [
        read.language.many(
            count,
            "The card seen from in front, {how_open}: {width} wide, back {back} high, {form} {front} "
            "long, {count} tier.",
            "The card seen from in front, {how_open}: {width} wide, back {back} high, {form} {front} "
            "long, {count} tiers.",
            how_open=how_open(view.angle, read.language),
            width=both(mm(card.width)),
            back=both(mm(card.height)),
            form=front_words(card, read.language),
            front=both(card.front.length_in(card)),
        )
    ]
    if view.stopped:
        lines.append(stops_words(view, read.language))
    for number, tier in enumerate(card.tiers, 1):
        lines.append(
            say(
                "Tier {tier}, {form}: face {face} high, shelf {shelf} deep, {width} wide.",
                tier=number,
                form=_form_words(tier.form, read.language),
                face=both(mm(tier.face)),
                shelf=both(mm(tier.depth)),
                width=both(tier.width_in(card, number - 1)),
            )
        )
    return "\n".join(lines)


def _form_words(form: str, language: Language) -> str:
    known = {"glued strip": language.say("glued strip"), "cut step": language.say("cut step")}
    return known.get(form, form)


def draw_oblique(
    card: Card,
    angle_deg: float = 90.0,
    slips: Mapping[int, Length | str] | None = None,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
    names: bool = True,
    tiers: int | None = None,
    layers: bool = True,
    ornaments: bool = True,
    page_mm: float = 80.0,
    scale: Fraction | float | str | None = None,
    steady: bool = False,
    marked: Collection[str] = (),
    prefix: str = "",
    title: str | None = None,
) -> str:
    """The card in cabinet projection at an opening of `angle_deg` degrees, 0 closed to 180 flat.

    slips    {tier number: how much too far out its foot is glued}, negative for too near
    grids    two rulers, for the words that go with the picture
    names    name the parts that are seen, in a column beside the picture
    tiers    draw only so many tiers, from the back: a card half made, or peeled
    layers, ornaments  draw what is pasted flat, and what stands on the tiers
    page_mm  how long the longer of back and front is drawn when it lies across the view
    scale    instead of `page_mm`: 1 is true size
    steady   keep one frame for all openings
    marked   names of pieces to draw heavier and darker, as in the cut list
    prefix   begins every id
    title    for screen readers; unless given, what it is
    Returns: SVG text in millimetres. An opening past the limit of a slipped card is drawn at the
    limit.
    Raises: as `draw_side`.
    """
    view = opened(card, angle_deg, slips)
    read = Readings.of(card.height, grids)
    picture = _Oblique(card, view, scale_for(card, page_mm, scale), prefix, marked, read.language)
    found = strips(card, view, tiers=tiers, layers=layers, ornaments=ornaments)
    order = painted(found, view.angle)
    picture.paint(order)
    frame = picture.frame() if steady else None
    if names:
        right = frame.right if frame else picture.sketch.bounds.right
        picture.names(order, right)
        if frame:
            column = max(text_width(label, WORDS) for label in picture.every_label())
            low, high = frame.top - _PITCH / 2, frame.bottom + _PITCH / 2
            frame = Box(frame.left, low, right + 5 + column, high)
    return picture.sketch.svg(
        title or read.language.say("The card {how_open}", how_open=how_open(view.angle, read.language)),
        _described(card, view, read),
        frame=frame,
    )


def describe_finished(card: Card, *, grids: Sequence[Grid | Length | str] | None = None) -> str:
    """What `draw_finished` shows, in words."""
    return describe_oblique(card, 90.0, grids=grids)


def draw_finished(
    card: Card,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
    page_mm: float = 60.0,
    prefix: str = "",
    title: str | None = None,
) -> str:
    """The finished card on show, open at a right angle, without words: for the head of a page.

    Returns: SVG text in millimetres.
    """
    return draw_oblique(
        card,
        90.0,
        grids=grids,
        names=False,
        page_mm=page_mm,
        prefix=prefix,
        title=title or Readings.of(card.height, grids).language.say("The finished card"),
    )
