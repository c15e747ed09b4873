"""How high an ornament may rise on each place of a card, and where one of a given height can go.

Closed, the top of an ornament lies as far from the fold as its foot's distance and its rise
together (shear map), so it hides if that is within the shorter of back and front.

Imports: lengths, card, areas, checks, finishing, folding.
Limits without a source beside them are `common practice, no source`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from popkit.areas import Placed, placed_ornaments
from popkit.card import Card, CutStep, place_names, usual
from popkit.checks import SHALLOWEST, Remedy, check, score_room
from popkit.findings import Bench
from popkit.finishing import feet_of, pressed_below, room_before
from popkit.folding import room
from popkit.lengths import Grid, Length, as_grid, as_length, mm, show_exact

Stops = dict[tuple[str, str], str]

__all__ = ["OrnamentFit", "OrnamentPlace", "ornament_places", "places_for", "swing"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrnamentPlace:
    """A place where an ornament can stand.

    on       "back", "tier 1", ...
    tallest  it may rise above the foot of the face (on the back: above the fold) and still be
             hidden when the card is closed; 0 or less where the foot itself shows
    behind   how much of that the tier in front hides
    shows    the most of an ornament that can be seen above the tier in front
    wide     from side to side of what it stands on
    before   from this face to the next, at 90 degrees: what a pad must stay under; None where
             nothing stands in front
    """

    on: str
    tallest: Length
    behind: Length
    shows: Length
    wide: Length
    before: Length | None

    def __str__(self) -> str:
        if mm(self.tallest) <= 0:
            return f"Nothing can stand on {self.on}: its foot lies past what the closed card hides."
        name = self.on if self.on != "back" else "the back"
        words = f"On {name} an ornament may rise {show_exact(self.tallest)}"
        if self.before is None:
            return f"{words}, and all of it shows."
        return (
            f"{words}, of which {show_exact(self.shows)} shows; a pad must stay under "
            f"{show_exact(self.before)}."
        )


def ornament_places(card: Card) -> tuple[OrnamentPlace, ...]:
    """Every place where an ornament can stand, the back first, with the room it has there."""
    limit = mm(room(card))
    feet, found = feet_of(card), []
    for number, on in enumerate(place_names(len(card.tiers), standing=True)):
        tallest = limit - feet[on]
        before = room_before(card, on)
        behind = mm(card.tiers[number].face) if before is not None else Fraction(0)
        width = mm(card.width) if number == 0 else card.tiers[number - 1].width_in(card, number - 1)
        found.append(
            OrnamentPlace(
                on=on,
                tallest=card.length(tallest),
                behind=card.length(behind),
                shows=card.length(max(tallest - behind, Fraction(0))),
                wide=card.length(width),
                before=None if before is None else card.length(before),
            )
        )
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrnamentFit:
    """Whether an ornament of some height can stand on a place, and what would have to change.

    on       the place
    fits     whether it hides when the card is closed
    spare    how much higher it might be; less than 0 where it does not fit
    shows    how much of it shows above the tier in front
    changes  the nearest changes of the card that let it stand there, each a `Remedy`; none
             where it fits as it is
    """

    on: str
    fits: bool
    spare: Length
    shows: Length
    changes: tuple[Remedy, ...] = ()

    def __str__(self) -> str:
        name = self.on.capitalize()
        if not self.fits:
            return " Or ".join(
                [
                    f"{name}: too tall by {show_exact(-self.spare)}.",
                    *(change.text[:1].lower() + change.text[1:] for change in self.changes),
                ]
            ).replace(". Or ", ". To fit, ", 1)
        seen = f"{show_exact(self.shows)} of it shows" if mm(self.shows) > 0 else "none of it shows"
        if mm(self.spare) == 0:
            return f"{name}: it just fits, and {seen}."
        return f"{name}: it fits with {show_exact(self.spare)} to spare, and {seen}."


def places_for(
    card: Card, height: Length | str, *, grid: Grid | Length | str | None = None
) -> tuple[OrnamentFit, ...]:
    """Where an ornament that rises `height` above the foot of its face can stand.

    grid  the ruler that changes land on; unless given, the card's own
    Returns: one `OrnamentFit` for each place, the back first. Changes are a taller card (and
    front) and shallower shelves, the second only where shelves that still fold and hold their
    tabs are enough; each says what else it would upset.
    Raises: LengthError if the height is no size.
    """
    tall = mm(as_length(height))
    bench = Bench(card, card.grid if grid is None else as_grid(grid))
    found: list[OrnamentFit] = []
    had: Stops | None = None
    for place in ornament_places(card):
        spare = mm(place.tallest) - tall
        if spare < 0 and had is None:
            had = _stops(card)
        found.append(
            OrnamentFit(
                on=place.on,
                fits=spare >= 0,
                spare=card.length(spare),
                shows=card.length(max(tall - mm(place.behind), Fraction(0))),
                changes=() if spare >= 0 else tuple(_changes(bench, had, place.on, tall)),
            )
        )
    return tuple(found)


def _stops(card: Card) -> Stops:
    """The message of each stop of a card, by its rule and its place."""
    return {
        (finding.rule, finding.where): finding.message
        for finding in check(card)
        if finding.severity == "stop"
    }


def _changes(bench: Bench, had: Stops, on: str, tall: Fraction) -> Iterator[Remedy]:
    card = bench.card
    need = feet_of(card)[on] + tall
    yield _told(card, had, bench.remedy(*_taller(bench, need)))
    steps = _shallower(bench, on, need - bench.room)
    if steps:
        yield _told(card, had, bench.remedy(*steps))


def _taller(bench: Bench, need: Fraction) -> Iterator[tuple]:
    card = bench.card
    target = bench.up(need)
    if mm(card.height) < need:
        yield bench.step("make", "the card taller", mm(card.height), target), ("height",), target
    if card.front.length is not None and mm(card.front.length) < need:
        text = bench.step("lengthen", "the front", mm(card.front.length), target)
        yield text, ("front", "length"), target


def _shallower(bench: Bench, on: str, over: Fraction) -> list[tuple]:
    """Steps that take `over` from the shelves behind and under a place, from the deepest first."""
    card, count = bench.card, 0 if on == "back" else int(on.removeprefix("tier "))
    step, depths, least = mm(bench.grid.step), [], []
    for tier in card.tiers[:count]:
        cut = isinstance(tier, CutStep)
        stock = card.stock if cut else card.tier_stock
        tab = Fraction(0) if cut else mm(usual("least tab", "inch"))
        depths.append(mm(tier.depth))
        least.append(max(mm(SHALLOWEST), mm(score_room(stock)), tab))
    made = list(depths)
    while sum(depths) - sum(made) < over:
        # Down to the next mark, so that what comes out lies on the ruler.
        lower = [bench.down(deep - step) if deep % step == 0 else bench.down(deep) for deep in made]
        able = [place for place in range(count) if lower[place] >= least[place]]
        if not able:
            return []
        deepest = max(able, key=lambda place: made[place])
        made[deepest] = lower[deepest]
    steps: list[tuple] = []
    for place, (before, after) in enumerate(zip(depths, made, strict=True)):
        if before == after:
            continue
        tier, name = card.tiers[place], f"tier {place + 1}'s"
        text = bench.step("make", f"{name} shelf shallower", before, after)
        steps.append((text, ("tiers", place, "depth"), after))
        if not isinstance(tier, CutStep) and mm(tier.bottom_tab) > after:
            steps.append(("", ("tiers", place, "bottom_tab"), after))
    front = card.front
    if front.carries_feet and getattr(front, front.flap_size) is not None:
        last = card.feet_mm[-1] - (sum(depths) - sum(made))
        reach = max(bench.up(last), bench.up(front.gap_in(card) + mm(usual("least tab", "inch"))))
        flap = front.flap_in(card)
        if card.feet_mm[-1] <= flap and reach < flap:
            text = bench.step("shorten", f"the {front.flap_name}", flap, reach)
            steps.append((text, ("front", front.flap_size), reach))
    return steps


def _told(card: Card, had: Stops, remedy: Remedy) -> Remedy:
    """The remedy with what else it would upset in its words, beyond the stops `had` before."""
    stops = _stops(remedy.apply(card))
    upset = [message for place, message in stops.items() if place not in had]
    return replace(remedy, text=" But then: ".join([remedy.text, *upset])) if upset else remedy


def swing(card: Card, ornament: Placed | str) -> tuple[float, float]:
    """The openings between which an ornament surely touches nothing in front of it.

    ornament  from `placed_ornaments(card)`, or its name
    Returns: (from, to) in degrees; (0, 180) for one glued on flat. One on a pad stands off its
    face while the next face swings up to it as the card closes, so below `from` foam is pressed
    together, as it is in every closed card that holds foam. `to` is on the safe side: the next face
    sinks below what starts above its shelf, and a card with nothing wrong opens flat.
    Source: faces of a parallelogram lie depth x sin t apart; a shelf leaves its face at t.
    """
    if isinstance(ornament, str):
        ornament = next(one for one in placed_ornaments(card) if one.name == ornament)
    before = room_before(card, ornament.part)
    if ornament.out_mm == 0 or before is None:
        return 0.0, 180.0
    flat = math.degrees(math.asin(min(1.0, float(ornament.thickness_mm / before))))
    return pressed_below(card, ornament), 180.0 - flat
