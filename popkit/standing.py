"""Whether the card stands: what each piece weighs, where the weight lies, how far it may tip.

Side view in millimetres as in folding: the fold is the origin, the front lies on the table along
+x, the back stands at the opening angle. The card turns over backwards about the fold and
forwards about the free edge of the front, whichever way its centre of mass is carried past.

Imports: lengths, language, saying, papers, card, areas, folding, findings.
Source: an object returns while its centre of gravity stays over its area of support, and tips once
it is outside (OpenStax, University Physics vol. 1, section 12.1); a composite's centre is the mean
of its parts' weighted by mass.
Not in the sum: glue, tape and foam; a table that slopes; and the spring of a fresh score, which
closes or opens a card by more than its weight does.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise

from popkit.areas import Placed, area_named, placed_layers, placed_ornaments
from popkit.card import Card, CutStep, Layer, kept, usual
from popkit.findings import Bench, Finding
from popkit.folding import FoldError, Pose, pose
from popkit.language import BRITISH, Language, message
from popkit.lengths import LONGEST, from_mm, in_inches, mm, show_length
from popkit.papers import Stock
from popkit.saying import Figures, Name, Saying

__all__ = [
    "SPRING_BACK",
    "STANDING_RULES",
    "STEADY",
    "Help",
    "Portion",
    "Standing",
    "centre_of_mass",
    "masses",
    "portions",
    "standing",
]

STEADY = 10.0
"""Degrees that a card should tip before it turns over. A toy that a child sits on has to stand on a
slope of 10 degrees (toddlerscooter.com, ride-on toy stability), and a card is knocked no less often."""

SPRING_BACK = message(
    "Spring-back is not in this sum: a fresh score pushes the card open or shut with more than its "
    "weight. Work each fold to and fro before you judge how it stands."
)


# What it weighs -----------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """A stretch of one piece that lies straight in the side view, of even weight.

    piece     the name of the piece in the cut list
    grams     exact
    part      of the pose it lies on: "back", "front", "tier 1 shelf", "tier 1" (the face),
              "tier 1 top tab", "tier 1 bottom tab"
    start_mm, stop_mm  along that part: from the fold, from the foot of a face, from the attachment
              of a shelf, from the crease of a tab
    width_mm  along the fold
    out_mm    how far it stands off the part, outsides less than 0
    """

    piece: str
    grams: Fraction
    part: str
    start_mm: Fraction
    stop_mm: Fraction
    width_mm: Fraction
    out_mm: Fraction = Fraction(0)


def _weight(width: Fraction, length: Fraction, stock: Stock) -> Fraction:
    """Grams of a rectangle in millimetres: area × grammage (ISO 536)."""
    return width * length * stock.grammage / 1_000_000


def _strip(
    piece: str, part: str, start: Fraction, stop: Fraction, width: Fraction, stock: Stock
) -> Portion:
    return Portion(
        piece=piece,
        grams=_weight(width, stop - start, stock),
        part=part,
        start_mm=start,
        stop_mm=stop,
        width_mm=width,
    )


def _blank(card: Card) -> list[Portion]:
    """The back with its flap, less what the cut steps take from it, and those steps."""
    name = "back" if card.front.panel_name is not None else "back and front"
    tall, wide = mm(card.height), mm(card.width)
    # Each owner of a stretch of the blank: (start, stop) from its top end, width, the pose's part,
    # and where along that part a position of the blank lies (a number of the blank, and a sign).
    owners = [
        (Fraction(0), tall, wide, "back", tall, -1),
        (tall, tall + card.front.flap_in(card), wide, "front", tall, 1),
    ]
    foot = tall
    for place, step in enumerate(card.tiers):
        if not isinstance(step, CutStep):
            break
        behind, foot = foot, foot + mm(step.depth)
        top, edge = behind - mm(step.face), foot - mm(step.face)
        width, part = step.width_in(card, place), f"tier {place + 1}"
        owners.append((top, edge, width, f"{part} shelf", top, 1))
        owners.append((edge, foot, width, part, foot, -1))
    marks = sorted({mark for start, stop, *_ in owners for mark in (start, stop)})
    found = []
    for start, stop in pairwise(marks):
        here = [owner for owner in owners if owner[0] <= start and stop <= owner[1]]
        inner, widths = wide, []
        for owner in here:  # a step is never wider than what it is cut from
            inner = min(inner, owner[2])
            widths.append(inner)
        for owner, width, within in zip(here, widths, [*widths[1:], Fraction(0)], strict=True):
            if width > within:
                at = sorted(owner[5] * (end - owner[4]) for end in (start, stop))
                found.append(_strip(name, owner[3], *at, width - within, card.stock))
    return found


def _panel(card: Card) -> list[Portion]:
    front = card.front
    if front.panel_name is None:
        return []
    gap, long = front.gap_in(card), front.length_in(card)
    return [_strip(front.panel_name, "front", gap, long, front.width_in(card), front.stock_in(card))]


def _glued(card: Card) -> list[Portion]:
    found = []
    for place, tier in enumerate(card.tiers):
        if isinstance(tier, CutStep):
            continue
        name, width = f"tier {place + 1}", tier.width_in(card, place)
        for part, length in (
            (f"{name} top tab", tier.top_tab),
            (f"{name} shelf", tier.depth),
            (name, tier.face),
            (f"{name} bottom tab", tier.bottom_tab),
        ):
            found.append(_strip(name, part, Fraction(0), mm(length), width, card.tier_stock))
    return found


def _placed(thing: Placed) -> list[Portion]:
    if not thing.is_there:
        return []
    known = getattr(thing.source, "grams", None)
    grams = _weight(thing.width_mm, thing.length_mm, thing.stock) if known is None else known
    return [
        Portion(
            piece=thing.name,
            grams=grams,
            part=thing.part,
            start_mm=thing.start_mm,
            stop_mm=thing.stop_mm,
            width_mm=thing.width_mm,
            out_mm=-thing.out_mm if thing.side == "outside" else thing.out_mm,
        )
    ]


@kept
def portions(card: Card) -> tuple[Portion, ...]:
    """Every straight stretch of every piece, layer and ornament, with its weight and its place."""
    found = [*_blank(card), *_panel(card), *_glued(card)]
    for thing in (*placed_layers(card), *placed_ornaments(card)):
        found += _placed(thing)
    return tuple(found)


def masses(card: Card) -> dict[str, Fraction]:
    """Grams of each piece, layer and ornament by name, exactly; their sum is the card's.

    Source: mass = area × grammage (ISO 536); an ornament's own grams where they are given.
    """
    found: dict[str, Fraction] = {}
    for portion in portions(card):
        found[portion.piece] = found.get(portion.piece, Fraction(0)) + portion.grams
    return found


# Where the weight lies ----------------------------------------------------------


def _lines(view: Pose) -> Callable[[str], tuple[float, float, float, float]]:
    """For a part of a portion: where it starts, and one millimetre along it."""

    def line(part: str) -> tuple[float, float, float, float]:
        if part.endswith(" shelf"):
            start, end = view[part.removesuffix(" shelf")][:2]
        elif part.endswith(" tab") or part in ("back", "front"):
            start, end = view[part]
        else:
            start, end = view[part][2], view[part][1]
        x, y = (float(value) for value in end - start)
        long = math.hypot(x, y) or 1.0
        return float(start[0]), float(start[1]), x / long, y / long

    return line


def _centre(card: Card, angle: float) -> tuple[float, float, float]:
    """Grams, and the (x, y) of the centre of mass."""
    line = _lines(pose(card, angle))
    known: dict[str, tuple[float, float, float, float]] = {}
    whole = across = up = 0.0
    for portion in portions(card):
        if (at := known.get(portion.part)) is None:
            at = known[portion.part] = line(portion.part)
        x, y, dx, dy = at
        middle = float(portion.start_mm + portion.stop_mm) / 2
        out = float(portion.out_mm)
        # Off the inside of the front is up, off the inside of whatever stands is forwards.
        turn = out if portion.part == "front" else -out
        grams = float(portion.grams)
        whole += grams
        across += grams * (x + dx * middle - dy * turn)
        up += grams * (y + dy * middle + dx * turn)
    return whole, across / whole, up / whole


def centre_of_mass(card: Card, angle: float = 90) -> tuple[float, float]:
    """Millimetres forwards of the fold and above the table of the card's centre of mass.

    angle  degrees, 0 to 180
    Raises: FoldError if the angle is out of that.
    Source: weighted mean of the middles of all portions.
    """
    return _centre(card, angle)[1:]


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """One thing that makes the card steadier, and by how much.

    what   a sentence, with its gain
    gain   degrees that the weaker way gains
    card   the card with that done, or None where the card stays and the angle changes
    angle  of the opening that goes with it
    """

    what: Saying
    gain: float
    card: Card | None
    angle: float

    def said(self, language: Language = BRITISH) -> str:
        """In a language."""
        return self.what.said(language)

    def __str__(self) -> str:
        return self.said()


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a card stands at one opening.

    angle         degrees
    grams         of the whole card
    centre        (x, y) of the centre of mass, mm forwards of the fold and above the table
    tips_back     degrees it may lean back, about the fold, before it falls; less than 0: it falls
    tips_forward  degrees it may lean forward, about the free edge of the front
    helps         what makes its weaker way steadier, the most useful first
    """

    angle: float
    grams: float
    centre: tuple[float, float]
    tips_back: float
    tips_forward: float
    helps: tuple[Help, ...] = field(default=())

    @property
    def mass(self) -> float:
        """Grams of the whole card."""
        return self.grams

    @property
    def weakest(self) -> float:
        """The lesser of the two tipping angles."""
        return min(self.tips_back, self.tips_forward)

    @property
    def stands(self) -> bool:
        """Whether it stays up at all on a level table."""
        return self.weakest > 0

    @property
    def is_steady(self) -> bool:
        """Whether it may tip by `STEADY` degrees either way and still comes back."""
        return self.weakest >= STEADY

    @property
    def text(self) -> str:
        """The findings in British English, with what the sum leaves out."""
        return self.said()

    def said(self, language: Language = BRITISH) -> str:
        """The findings in sentences of a language, with what the sum leaves out."""
        x, y = self.centre
        grams, angle = language.decimal(f"{self.grams:.1f}"), f"{self.angle:.0f}"
        lines = [language.say("The card weighs {grams} g.", grams=grams)]
        if self.angle == 180:
            lines.append(language.say("Open flat it lies on the table."))
            return " ".join(lines)
        places = {"angle": angle, "across": f"{abs(x):.0f}", "high": f"{y:.0f}"}
        if x >= 0:
            template = message(
                "Open to {angle}°, its weight rests {across} mm in front of the fold and {high} mm "
                "above the table."
            )
        else:
            template = message(
                "Open to {angle}°, its weight rests {across} mm behind the fold and {high} mm above the "
                "table."
            )
        lines.append(language.say(template, **places))
        if self.tips_back <= 0:
            lines.append(language.say("It falls over backwards."))
        elif self.tips_forward <= 0:
            lines.append(language.say("It falls over forwards."))
        else:
            steady = message("It stands firmly.")
            shaky = message("It stands, but a knock turns it over.")
            lines.append(language.say(steady if self.is_steady else shaky))
            lines.append(
                language.say(
                    "It comes back from a lean of {back} backwards and {forward} forwards.",
                    back=_whole(self.tips_back),
                    forward=_whole(self.tips_forward),
                )
            )
        lines.append(language.say(SPRING_BACK))
        return " ".join(lines)


def _whole(degrees: float) -> str:
    """Degrees rounded down, the safe side for what it bears."""
    return f"{math.floor(degrees + 1e-9)}°"


def _tips(card: Card, angle: float) -> tuple[float, float, float, float, float]:
    """Grams, x, y of the centre, and the tipping angles backwards and forwards in degrees."""
    grams, x, y = _centre(card, angle)
    behind = -float(mm(card.height)) if angle == 180 else 0.0  # lying flat, the back bears it too
    ahead = float(card.front.length_in(card))
    back, forward = (math.degrees(math.atan2(side, y)) for side in (x - behind, ahead - x))
    return grams, x, y, back, forward


def standing(card: Card, angle: float = 90, *, helps: bool = True) -> Standing:
    """How the card stands at an opening, with its front flat on a level table.

    angle  degrees, 0 to 180
    helps  whether to work out what would make it steadier
    Raises: FoldError if the angle is out of that.
    Source: tipping angle = atan(b / h), b from the centre of mass across to the edge it turns about,
    h its height; statics.
    """
    grams, x, y, back, forward = _tips(card, angle)
    return Standing(
        angle=float(angle),
        grams=grams,
        centre=(x, y),
        tips_back=back,
        tips_forward=forward,
        helps=_helps(card, angle, back, forward) if helps and angle < 180 else (),
    )


_MATS = {
    "front": message("A mat of {stock} on the front ({grams} g) gives {gain}° more."),
    "outside front": message(
        "A mat of {stock} on the outside of the front ({grams} g) gives {gain}° more."
    ),
    "back": message("A mat of {stock} on the back ({grams} g) gives {gain}° more."),
    "message": message("A mat of {stock} on the outside of the back ({grams} g) gives {gain}° more."),
}
_STRIP = message(
    "A strip of {stock} {deep} deep at the free edge of the front ({grams} g) gives {gain}° more."
)
_WIDER = message("An opening {turn}° wider, {angle}°, gives {gain}° more.")
_NARROWER = message("An opening {turn}° narrower, {angle}°, gives {gain}° more.")
_LONGER = message("A front {more} longer gives {gain}° more.")


def _weighted(card: Card, side: str) -> Iterator[tuple[str, Card, dict[str, object]]]:
    """The card with one mat more on its front or its back; on a clear front, a strip at the edge."""
    for on in ("front", "outside front") if side == "front" else ("back", "message"):
        area = area_named(card, on)
        if area is None:
            continue
        mat, template, values = (
            Layer(on=on, stock=card.stock),
            _MATS[on],
            {"stock": Name(card.stock.name)},
        )
        if side == "front" and card.front.stock_in(card).kind == "plastic":  # leave it clear
            deep = mm(usual("tab", card.unit))
            if area.length_mm < deep:
                continue
            mat = replace(mat, length=card.length(deep), up=card.length(area.length_mm - deep))
            template, values = _STRIP, values | {"deep": mat.length}
        elif min(area.width_mm, area.length_mm) <= 4 * mat.reveal_in(card):
            continue
        heavier = replace(card, layers=(*card.layers, mat))
        if not (weight := _placed(placed_layers(heavier)[-1])):
            continue  # its reveals leave nothing of it
        grams = float(weight[0].grams)
        yield template, heavier, values | {"grams": Figures(f"{grams:.1f}")}
        return


_OPEN_BY = 15.0  # degrees: an opening that the eye can tell from another


def _helps(card: Card, angle: float, back: float, forward: float) -> tuple[Help, ...]:
    """What could be done for the weaker way, each worked out on the card that has it done."""
    weak = 3 if back <= forward else 4
    now = min(back, forward)
    found = []

    def tried(template: str, changed: Card | None, opened: float, **values: object) -> None:
        try:
            gain = _tips(changed or card, opened)[weak] - now
        except FoldError:
            return
        if gain >= 0.5:  # less than half a degree is nothing to a hand
            what = Saying.of(template, **values, gain=f"{gain:.0f}")
            found.append(Help(what=what, gain=gain, card=changed, angle=float(opened)))

    for template, heavier, values in _weighted(card, "front" if weak == 3 else "back"):
        tried(template, heavier, angle, **values)
    for turn, template in ((_OPEN_BY, _WIDER), (-_OPEN_BY, _NARROWER)):
        if 0 < angle + turn < 180:
            shown = {"turn": f"{_OPEN_BY:.0f}", "angle": f"{angle + turn:.0f}"}
            tried(template, None, angle + turn, **shown)
    more = Fraction(127, 5) if in_inches(card.unit) else Fraction(25)
    long = card.front.length_in(card) + more
    longer = replace(card, front=replace(card.front, length=from_mm(long, card.unit)))
    tried(_LONGER, longer, angle, more=from_mm(more, card.unit))
    return tuple(sorted(found, key=lambda one: -one.gain))


# The rule -----------------------------------------------------------------------


def _stands(bench: Bench) -> Iterator[Finding]:
    """On show, at a right angle, the card may tip by `STEADY` degrees and still comes back."""
    card = bench.card
    if not _unsteady(card):
        return
    _, x, _, back, forward = _tips(card, 90)
    way = "back" if back <= forward else "forward"
    long = card.front.length_in(card)
    steady = _steady_front(bench, long)
    yield Finding(
        rule="stands",
        severity="caution",
        where="front",
        message=(
            f"Open to a right angle the card turns over when it leans {way} by more than "
            f"{_whole(min(back, forward))}: its weight lies only "
            f"{show_length(from_mm(Fraction(x)), '1 mm')} in front of the fold."
        ),
        remedy=bench.remedy(
            (bench.step("lengthen", "the front", long, steady), ("front", "length"), steady)
        ),
    )


def _unsteady(card: Card) -> bool:
    _, _, _, back, forward = _tips(card, 90)
    return min(back, forward) < STEADY


def _steady_front(bench: Bench, long: Fraction) -> Fraction:
    """The shortest front on a mark with which the card is steady; weight far out always steadies."""
    card, mark = bench.card, mm(bench.grid.step)

    def unsteady(marks: int) -> bool:
        front = replace(card.front, length=bench.length(marks * mark))
        return _unsteady(replace(card, front=front))

    low = math.floor(long / mark)
    high, most = max(2 * low, 1), math.floor(mm(LONGEST) / mark)
    while high < most and unsteady(high):
        low, high = high, 2 * high
    high = min(high, most)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if unsteady(middle) else (low, middle)
    return high * mark


STANDING_RULES: dict[str, Callable[[Bench], Iterator[Finding]]] = {"stands": _stands}
