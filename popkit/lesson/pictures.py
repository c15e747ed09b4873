"""Diagrams of the lesson: one idea each, at any opening, as SVG text in millimetres.

Plainer than the side view of a card: only the lines that the idea is about, each named beside it,
equal sides with equal ticks. Every point is a point of `folding.pose`. With `told` false no length is
lettered, so that a picture can be looked at while a prediction is made.

Imports: lengths, language, card, folding, drawing.
Source: equal ticks across equal sides are the usual convention of school geometry, from memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from popkit.card import Card
from popkit.drawing.conventions import (
    GHOST,
    HAIR,
    HEADING,
    INK,
    SECOND,
    TINT,
    WORDS,
    Line,
    shade,
)
from popkit.drawing.lettering import Box
from popkit.drawing.side import Opened, degrees, how_open, opened
from popkit.drawing.svg import Sketch
from popkit.language import BRITISH, Language, as_language, message
from popkit.lengths import Grid, Length, as_grid, from_mm, mm

__all__ = [
    "describe_nesting",
    "describe_parallelogram",
    "describe_triangle",
    "draw_nesting",
    "draw_parallelogram",
    "draw_triangle",
]

_PAGE = 64.0  # mm that the longer of back and front is drawn
_NEAR = 14.0  # degrees from closed or flat at which lengths go on lines above and below the card
_FEET, _STEP = 22.0, 8.0  # mm under the front of the first measure of a foot, and from one to the next
_PAGE_EDGE = Line(ink=INK, weight=0.45)
_TIER = Line(ink=INK, weight=0.9)
_TICK = Line(ink=SECOND, weight=0.45)
_STANDS = Line(ink=SECOND, weight=1.1)
_SHOWS = Line(ink=INK, weight=1.8)

Point = tuple[float, float]

# By the side and whether its length may be told.
_SIDES = {
    ("foot", True): message("foot distance {length}"),
    ("foot", False): message("foot distance"),
    ("shelf", True): message("shelf {length}"),
    ("shelf", False): message("shelf"),
    ("face", True): message("face {length}"),
    ("face", False): message("face"),
    ("up", True): message("up the back {length}"),
    ("up", False): message("up the back"),
}


class _Diagram:
    """A card on edge being drawn, y turned downwards."""

    def __init__(
        self, card: Card, view: Opened, grid: Grid, told: bool, prefix: str, language: Language
    ) -> None:
        self.language, self.say = language, language.say
        self.card, self.view, self.grid, self.told = card, view, grid, told
        tallest = max(mm(card.height), card.front.length_in(card))
        self.k = _PAGE / float(tallest)
        self.sketch = Sketch(prefix=prefix)
        self.lean = math.radians(view.angle)
        self.points = {
            part: [(x * self.k, -y * self.k) for x, y in view.pose[part].tolist()] for part in view.pose
        }
        self.feet = [(0.0, 0.0)]
        self.feet += [self.points[f"tier {number}"][2] for number in range(1, len(card.tiers) + 1)]

    def length(self, value: Fraction) -> str:
        return self.language.show(from_mm(value, self.grid.unit), self.grid)

    def named(self, side: str, value: Fraction) -> str:
        """A side's name, with its length once that may be told."""
        return self.say(_SIDES[side, self.told], length=self.length(value))

    # Lines ----------------------------------------------------------------------

    def rooms(self) -> None:
        """The room under each shelf, tinted."""
        count = len(self.card.tiers)
        with self.sketch.group("rooms"):
            for number in range(1, count + 1):
                glued, edge, foot = self.points[f"tier {number}"]
                hinge = self.feet[number - 1]
                self.sketch.area([hinge, glued, edge, foot], fill=shade(number, count))

    def ghost(self) -> None:
        """Where a slipped tier should stand."""
        if not any(self.view.slips):
            return
        with self.sketch.group("ghost", GHOST):
            for number in range(1, len(self.card.tiers) + 1):
                true = [(x * self.k, -y * self.k) for x, y in self.view.true[f"tier {number}"].tolist()]
                self.sketch.polyline(true)

    def card_itself(self) -> None:
        """Back, front and tiers, and a dot at every hinge."""
        sketch = self.sketch
        with sketch.group("pages", _PAGE_EDGE):
            sketch.polyline(self.points["back"], name="back")
            sketch.polyline(self.points["front"], name="front")
        with sketch.group("tiers", _TIER):
            for number in range(1, len(self.card.tiers) + 1):
                sketch.polyline(self.points[f"tier {number}"], name=f"tier-{number}")
        with sketch.group("hinges"):
            for number in range(1, len(self.card.tiers) + 1):
                for x, y in self.points[f"tier {number}"]:
                    sketch.dot(x, y, 0.9, fill=INK)
            sketch.dot(0, 0, 1.2, fill=INK)

    def ticks(self, a: Point, b: Point, count: int) -> None:
        """Short strokes across the middle of a side: sides with as many are equally long."""
        long = math.hypot(b[0] - a[0], b[1] - a[1]) or 1.0
        along = ((b[0] - a[0]) / long, (b[1] - a[1]) / long)
        with self.sketch.group("ticks", _TICK):
            for place in range(count):
                off = (place - (count - 1) / 2) * 1.5
                x, y = (a[0] + b[0]) / 2 + along[0] * off, (a[1] + b[1]) / 2 + along[1] * off
                dx, dy = -along[1] * 1.3, along[0] * 1.3
                self.sketch.line(x + dx, y + dy, x - dx, y - dy)

    # Words ----------------------------------------------------------------------

    def beside(self, a: Point, b: Point, words: str, away: Point) -> None:
        """Words beside the middle of a line, on the side turned away from a point, clear of others."""
        x, y = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        long = math.hypot(b[0] - a[0], b[1] - a[1]) or 1.0
        nx, ny = (b[1] - a[1]) / long, -(b[0] - a[0]) / long
        if nx * (away[0] - x) + ny * (away[1] - y) > 0:
            nx, ny = -nx, -ny
        anchor = "start" if nx > 0.5 else "end" if nx < -0.5 else "middle"
        for step in range(10):
            out = 2.6 + step * 1.6 + (abs(ny) * WORDS * 0.35)
            at = (x + nx * out, y + ny * out)
            if self.sketch.free(self.sketch.box_of(*at, words, anchor=anchor)):
                break
        self.sketch.words(*at, words, anchor=anchor, ink=SECOND)

    def chain(self, y: float, stops: Sequence[Point | float], names: Sequence[str]) -> None:
        """Measures end to end on one level; a name too wide for its stretch stands a row further out."""
        sketch, down = self.sketch, 1 if y > 0 else -1
        places = [stop if isinstance(stop, float) else stop[0] for stop in stops]
        with sketch.group("measures"):
            for place in places:
                sketch.line(place, 1.6 * down, place, y + 1.2 * down, HAIR)
            for (left, right), name in zip(pairwise(places), names, strict=True):
                if abs(right - left) < 0.2:
                    continue
                sketch.measure(min(left, right), y, max(left, right), y)
                middle = (left + right) / 2
                for row in range(6):
                    level = y + down * (3.2 + row * 5.0)
                    if sketch.free(sketch.box_of(middle, level, name, anchor="middle")):
                        break
                if row:
                    sketch.line(middle, y, middle, level - down * 2.4, HAIR)
                sketch.words(middle, level, name, anchor="middle", ink=SECOND)

    def page_names(self) -> None:
        """Back, front and fold by name."""
        edge = self.points["front"][1][0]
        if self.view.angle <= _NEAR:
            self.sketch.words(edge + 3, 4.2, self.say("front and back"))
            return
        self.sketch.words(edge, 4.2, self.say("front"), anchor="end")
        (x, y), lean = self.points["back"][1], self.lean
        nx, ny = -math.sin(lean), -math.cos(lean)
        out = 2.4 + abs(nx) * 5 + abs(ny) * 2
        self.sketch.words(x * 0.93 + nx * out, y * 0.93 + ny * out, self.say("back"), anchor="middle")

    def opening(self) -> None:
        """How far the card is open, at the corner of the picture."""
        words = how_open(self.view.angle, self.language)
        if self.view.stopped:
            words = self.say("stops at {limit}", limit=degrees(self.view.limit, self.language))
        radius = _PAGE + 7
        end = (radius * math.cos(self.lean), -radius * math.sin(self.lean))
        line = Line(ink=SECOND, weight=0.25)
        with self.sketch.group("angle"):
            if self.lean > 0.02:
                self.sketch.arc(radius, (radius, 0.0), end, line)
            self.sketch.words(2 - radius, 2 - radius, words, size=HEADING, ink=SECOND)

    def frame(self, below: float) -> Box:
        """The same ground at every opening, so that the picture keeps still."""
        radius = _PAGE + 18
        return Box(-radius, -radius, radius + 14, below)

    def svg(self, title: str, words: str, below: float) -> str:
        return self.sketch.svg(title, words, frame=self.frame(below))


def _title(what: str, view: Opened, language: Language) -> str:
    return language.say(what, how_open=how_open(view.angle, language))


# The parallelogram ------------------------------------------------------------------


def _linkage(card: Card, view: Opened) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    """Foot, shelf, face and attachment of the first tier as it is glued, exact millimetres."""
    tier, slip = card.tiers[0], view.slips[0]
    shelf, face = mm(tier.depth), mm(tier.face)
    return shelf + slip, shelf, face, face + slip


def describe_parallelogram(
    card: Card,
    angle_deg: float,
    slips: Mapping[int, Length] | None = None,
    *,
    grid: Grid | str | None = None,
    told: bool = True,
    language: Language | str = BRITISH,
) -> str:
    """What `draw_parallelogram` shows, in words."""
    view = opened(card, angle_deg, slips)
    grid = card.grid if grid is None else as_grid(grid)
    language = as_language(language)
    say = language.say
    foot, shelf, face, up = (
        language.show(from_mm(side, grid.unit), grid) for side in _linkage(card, view)
    )
    lines = [say("One tier from the side, {how_open}.", how_open=how_open(view.angle, language))]
    if told:
        lines.append(
            say(
                "Shelf {shelf}, face {face}; the foot {foot} from the fold, the shelf glued {up} up the "
                "back.",
                shelf=shelf,
                face=face,
                foot=foot,
                up=up,
            )
        )
    if view.slips[0]:
        lines.append(say("The foot is off its mark: it is no parallelogram."))
    else:
        lines.append(
            say("Shelf and foot distance are equal, face and attachment are equal: a parallelogram.")
        )
    if view.stopped:
        limit = degrees(view.limit, language)
        lines.append(say("It stops at {limit}: shelf and face are pulled straight.", limit=limit))
    return " ".join(lines)


def draw_parallelogram(
    card: Card,
    angle_deg: float,
    slips: Mapping[int, Length] | None = None,
    *,
    grid: Grid | str | None = None,
    told: bool = True,
    prefix: str = "",
    language: Language | str = BRITISH,
) -> str:
    """The first tier as a linkage of four sides, opposite sides ticked alike where they are equal.

    slips  as `folding.pose` takes them
    grid   the ruler its lengths are read on; unless given, the card's usual one
    told   whether lengths are lettered
    Returns: SVG text in millimetres. Raises: FoldError, ValueError as `drawing.draw_side`.
    """
    view = opened(card, angle_deg, slips)
    grid = card.grid if grid is None else as_grid(grid)
    language = as_language(language)
    found = _Diagram(card, view, grid, told, prefix, language)
    glued, edge, landed = found.points["tier 1"]
    foot, shelf, face, up = _linkage(card, view)
    true = foot == shelf
    found.rooms()
    found.ghost()
    found.card_itself()
    fold = (0.0, 0.0)
    names = {
        "foot": found.named("foot", foot),
        "shelf": found.named("shelf", shelf),
        "face": found.named("face", face),
        "up": found.named("up", up),
    }
    if view.angle <= _NEAR:
        found.chain(9.0, [fold, landed, edge], [names["foot"], names["face"]])
        found.chain(min(-9.0, edge[1] - 6), [fold, glued, edge], [names["up"], names["shelf"]])
    elif view.angle >= 180 - _NEAR:
        found.chain(9.0, [glued, fold, landed], [names["up"], names["foot"]])
        found.chain(min(-9.0, glued[1] - 6), [glued, edge, landed], [names["shelf"], names["face"]])
    else:
        middle = tuple(sum(point[axis] for point in (fold, glued, edge, landed)) / 4 for axis in (0, 1))
        for a, b, count in ((fold, landed, 1), (glued, edge, 1), (landed, edge, 2), (fold, glued, 2)):
            if true:
                found.ticks(a, b, count)
        # right of its edge, since over the shelf the back goes on
        found.sketch.words(edge[0] + 2.6, edge[1] - 1.2, names["shelf"], ink=SECOND)
        found.beside(landed, edge, names["face"], middle)
        found.beside(fold, glued, names["up"], middle)
        found.chain(9.0, [fold, landed], [names["foot"]])
    found.page_names()
    found.opening()
    words = describe_parallelogram(card, angle_deg, slips, grid=grid, told=told, language=language)
    return found.svg(_title(message("One tier, {how_open}"), view, language), words, 24.0)


# Nesting ------------------------------------------------------------------------------


def describe_nesting(
    card: Card,
    angle_deg: float,
    *,
    grid: Grid | str | None = None,
    told: bool = True,
    language: Language | str = BRITISH,
) -> str:
    """What `draw_nesting` shows, in words."""
    view = opened(card, angle_deg)
    grid = card.grid if grid is None else as_grid(grid)
    language = as_language(language)
    lines = [
        language.say(
            "{count} tiers from the side, {how_open}, one in front of another.",
            count=len(card.tiers),
            how_open=how_open(view.angle, language),
        )
    ]
    for number, (tier, foot) in enumerate(zip(card.tiers, card.feet, strict=True), 1):
        shelf = language.show(tier.depth, grid)
        if told:
            lines.append(
                language.say(
                    "Tier {tier}: shelf {shelf}, foot {foot} from the fold.",
                    tier=number,
                    shelf=shelf,
                    foot=language.show(foot, grid),
                )
            )
        else:
            lines.append(language.say("Tier {tier}: shelf {shelf}.", tier=number, shelf=shelf))
    return " ".join(lines)


def draw_nesting(
    card: Card,
    angle_deg: float,
    *,
    grid: Grid | str | None = None,
    told: bool = True,
    prefix: str = "",
    language: Language | str = BRITISH,
) -> str:
    """Every tier against the face behind it; the shelves are measured end to end under the front.

    told  whether the feet are measured from the fold as well
    Returns: SVG text in millimetres. Raises: FoldError as `folding.pose`.
    """
    view = opened(card, angle_deg)
    grid = card.grid if grid is None else as_grid(grid)
    language = as_language(language)
    found = _Diagram(card, view, grid, told, prefix, language)
    found.rooms()
    found.card_itself()
    shelves = [found.length(mm(tier.depth)) for tier in card.tiers]
    found.chain(8.0, found.feet, shelves)
    if told:
        for number, foot in enumerate(card.feet_mm[1:], 2):
            level = _FEET + _STEP * (number - 2)
            words = found.say("foot of tier {tier}: {length}", tier=number, length=found.length(foot))
            found.sketch.line(found.feet[number][0], 8.0, found.feet[number][0], level + 1.2, HAIR)
            found.sketch.line(0, 8.0, 0, level + 1.2, HAIR)
            found.sketch.measure(0, level, found.feet[number][0], level)
            found.sketch.words(found.feet[number][0] + 6, level, words, ink=SECOND)
    _numbers(found)
    found.page_names()
    found.opening()
    words = describe_nesting(card, angle_deg, grid=grid, told=told, language=language)
    return found.svg(
        _title(message("Nested tiers, {how_open}"), view, language), words, _FEET + _STEP * 2 + 6
    )


def _numbers(found: _Diagram) -> None:
    """The number of each tier above its top edge, where there is room for all."""
    if not _NEAR < found.view.angle < 180 - _NEAR:
        return
    boxes = []
    for number in range(1, len(found.card.tiers) + 1):
        x, y = found.points[f"tier {number}"][1]
        boxes.append((x + 1.5, y - 3.2, str(number)))
    placed = [found.sketch.box_of(*box) for box in boxes]
    if all(found.sketch.free(box) for box in placed) and not any(
        one.meets(other, 0.4) for one, other in pairwise(placed)
    ):
        for box in boxes:
            found.sketch.words(*box, ink=INK)


# The hidden triangle ------------------------------------------------------------------


def _standing(card: Card, tier: int, rise: Fraction) -> tuple[Fraction, Fraction, Fraction]:
    """Foot of the tier, how far a thing on its face reaches when closed, what is left of the card."""
    foot = card.feet_mm[tier - 1]
    return foot, foot + rise, min(mm(card.height), card.front.length_in(card)) - foot - rise


def describe_triangle(
    card: Card,
    angle_deg: float,
    *,
    tier: int,
    rise: Length,
    grid: Grid | str | None = None,
    told: bool = True,
    language: Language | str = BRITISH,
) -> str:
    """What `draw_triangle` shows, in words."""
    view = opened(card, angle_deg)
    grid = card.grid if grid is None else as_grid(grid)
    language = as_language(language)
    foot, reach, left = _standing(card, tier, mm(rise))

    def shown(value: Fraction) -> str:
        return language.show(from_mm(value, grid.unit), grid)

    if not told:
        what = _POKES if left < 0 else _RISES
    else:
        what = _PAST if left < 0 else _SHORT if left else _JUST
    lead = language.say(
        "The card from the side, {how_open}. A line from the edge of the front to the edge of the back "
        "bounds the triangle that hides.",
        how_open=how_open(view.angle, language),
    )
    thing = language.say(
        what,
        rise=shown(mm(rise)),
        tier=tier,
        foot=shown(foot),
        reach=shown(reach),
        over=shown(abs(left)),
    )
    return f"{lead} {thing}"


_RISES = message("A thing rises {rise} above the foot of tier {tier}.")
_POKES = message("A thing rises {rise} above the foot of tier {tier}. It pokes out of the triangle.")
_PAST = message(
    "A thing rises {rise} above the foot of tier {tier}, {foot} from the fold. Closed it reaches "
    "{reach}, {over} past the edge."
)
_SHORT = message(
    "A thing rises {rise} above the foot of tier {tier}, {foot} from the fold. Closed it reaches "
    "{reach}, {over} short of the edge."
)
_JUST = message(
    "A thing rises {rise} above the foot of tier {tier}, {foot} from the fold. Closed it reaches "
    "{reach}, just to the edge."
)


def draw_triangle(
    card: Card,
    angle_deg: float,
    *,
    tier: int,
    rise: Length,
    grid: Grid | str | None = None,
    told: bool = True,
    prefix: str = "",
    language: Language | str = BRITISH,
) -> str:
    """The card with the triangle between fold, back and front that hides when it is closed.

    tier  on whose face a thing is glued, from 1
    rise  how high its top is above the foot of that face
    Returns: SVG text in millimetres. Raises: FoldError as `folding.pose`.
    """
    view = opened(card, angle_deg)
    grid = card.grid if grid is None else as_grid(grid)
    language = as_language(language)
    found = _Diagram(card, view, grid, told, prefix, language)
    sketch, lean, k = found.sketch, found.lean, found.k
    limit = float(min(mm(card.height), card.front.length_in(card))) * k
    corner, top = (limit, 0.0), (limit * math.cos(lean), -limit * math.sin(lean))
    sketch.area([(0.0, 0.0), corner, top], fill=TINT)
    found.rooms()
    with sketch.group("edge", GHOST):
        sketch.line(*corner, *top)
    found.card_itself()
    foot, reach, left = _standing(card, tier, mm(rise))
    x = float(foot) * k
    high = float(mm(rise)) * k
    tip = (x + high * math.cos(lean), -high * math.sin(lean))
    with sketch.group("standing", _STANDS if left >= 0 else _SHOWS):
        sketch.line(x, 0.0, *tip)
    sketch.dot(*tip, 1.5, fill=SECOND if left >= 0 else INK)
    if _NEAR < view.angle < 180 - _NEAR:
        words = found.say("shows") if left < 0 else found.say("hides")
        sketch.words(tip[0] + 2.6, tip[1] - 2.6, words, ink=INK if left < 0 else SECOND)
    x_words = f"x = {found.length(foot)}" if told else "x"
    y_words = f"y = {found.length(mm(rise))}" if told else "y"
    if view.angle <= _NEAR:
        found.chain(8.0, [0.0, x, float(reach) * k], [x_words, y_words])
    else:
        found.chain(8.0, [0.0, x], [x_words])
    if told:
        words = found.say("card {length}", length=found.length(mm(card.height)))
    else:
        words = found.say("edge of the closed card")
    sketch.line(limit, 1.6, limit, 24.0, GHOST)
    sketch.words(limit, 27.0, words, anchor="end", ink=SECOND)
    found.page_names()
    found.opening()
    words = describe_triangle(
        card, angle_deg, tier=tier, rise=rise, grid=grid, told=told, language=language
    )
    return found.svg(_title(message("The hidden triangle, {how_open}"), view, language), words, 28.0)
