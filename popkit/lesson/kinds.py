"""The kinds of exercise on why a card folds, and sheets of them with fresh numbers.

Every kind is one function from a card and a tier to an exercise, and one row of `KINDS`. The same
seed gives the same sheet, so a class can share one; another seed gives other numbers.

Imports: lengths, card, folding, regridding, lesson.exercise, lesson.invented, lesson.rounding.
Sources: a parallel fold closes flat if A+B = C+D, opens flat if A+D <= B+C, hides if A+B <= a:
A. Spasova, N. O'Rourke, F. Weller, J. O'Rourke, "Pop-Up Cards as a Vehicle to Teach Mathematics", Smith
College 2005. Nesting, the shear and the hidden triangle are worked out here from those and from the
parallelogram; the usual slips are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import zip_longest
from random import Random
from types import MappingProxyType

from popkit.card import Card, CutStep, Tier
from popkit.folding import opening_limit
from popkit.lengths import Grid, LengthError, as_grid, from_mm, mm, show_length
from popkit.lesson.exercise import FLAT, WITHIN, Exercise, View, angle, slips
from popkit.lesson.invented import Ruled, invented_card
from popkit.lesson.rounding import rounding_exercises
from popkit.regridding import RegridError, number_by_number, regrid

__all__ = ["KINDS", "MOST", "TOPICS", "ExerciseError", "Kind", "exercises"]

MOST = 60
"""Exercises on one sheet: more is no sheet but a book."""
TOPICS = {
    "parallelogram": "The parallelogram",
    "nesting": "Nesting",
    "hidden": "The hidden triangle",
    "slipped": "A slipped foot",
    "rounding": "Rounding",
    "making": "Strip and step",
}
"""What the kinds are about, in the order of the lesson."""


class ExerciseError(ValueError):
    """Exercises that cannot be made. `faults` holds every reason, each a sentence or two."""

    def __init__(self, *faults: str) -> None:
        self.faults = faults
        super().__init__(" ".join(faults))


class _Asked:
    """A card and the tier that is asked about, its sizes in exact millimetres and as printed."""

    def __init__(self, random: Random, card: Card, tier: int, grid: Grid, number: int) -> None:
        self.random, self.card, self.tier, self.grid, self.number = random, card, tier, grid, number
        self.depths = [mm(one.depth) for one in card.tiers]
        self.faces = [mm(one.face) for one in card.tiers]
        self.foot = list(card.feet_mm)
        self.height = mm(card.height)
        self.d, self.h = self.depths[tier - 1], self.faces[tier - 1]
        self.x = self.foot[tier - 1]

    def shown(self, value: Fraction) -> str:
        if value < 0:
            return f"−{show_length(from_mm(-value, self.grid.unit), self.grid)}"
        return show_length(from_mm(value, self.grid.unit), self.grid)

    def listed(self, values: Iterable[Fraction], joint: str = "and") -> str:
        words = [self.shown(value) for value in values]
        return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {joint} {words[-1]}"

    def behind(self) -> str:
        """ "tiers 1 and 2", "tiers 1 to 4": the tier and those behind it."""
        return f"tiers 1 {'and' if self.tier == 2 else 'to'} {self.tier}"

    def foot_sum(self) -> str:
        """How the foot of the tier is found, a line of working."""
        sum_ = f"{self.added(self.depths[: self.tier])} = " if self.tier > 1 else ""
        return f"Foot of tier {self.tier}: {sum_}{self.shown(self.x)}"

    def added(self, values: Iterable[Fraction]) -> str:
        return " + ".join(self.shown(value) for value in values)

    def view(
        self, caption: str, degrees: float, *, alone: bool = False, slip: Fraction = Fraction(0)
    ) -> View:
        """The card, or the tier alone on it, perhaps with its foot glued off its mark."""
        card, place = self.card, self.tier
        if alone:
            card, place = replace(card, tiers=(card.tiers[self.tier - 1],)), 1
        found = {place: from_mm(slip, self.grid.unit)} if slip else {}
        return View(caption=caption, card=card, angle=degrees, slips=MappingProxyType(found), tier=place)

    def made(
        self,
        *,
        kind: str,
        question: str,
        answer: Fraction,
        because: str,
        hint: str,
        steps: tuple[str, ...],
        past: Iterable[tuple[Fraction, str]],
        before: View,
        after: View,
    ) -> Exercise:
        """An exercise with a length for its answer."""
        length = from_mm(answer, self.grid.unit)
        example = from_mm(Ruled(self.random, self.grid).step * 24, self.grid.unit)
        return Exercise(
            kind=kind,
            number=self.number,
            title=KINDS[kind].title,
            question=question,
            writes=f"a length, as in “{show_length(example, self.grid)}”",
            grid=self.grid,
            answer=length,
            because=because,
            hint=hint,
            steps=steps,
            slips=slips(length, self.grid, past),
            before=before,
            after=after,
        )


# The parallelogram ------------------------------------------------------------------


def _foot(asked: _Asked) -> Exercise:
    d, h = asked.shown(asked.d), asked.shown(asked.h)
    return asked.made(
        kind="foot",
        question=(
            f"A tier stands alone in front of the back. Its face is {h} high, its shelf is {d} deep. "
            "How far from the fold must its foot be glued, so that the card closes flat and opens flat?"
        ),
        answer=asked.d,
        because=(
            f"The shelf is {d} deep, so the foot goes {d} out. Shelf and foot distance are opposite "
            "sides of a parallelogram, and opposite sides are equal."
        ),
        hint="Which side of the parallelogram lies opposite the foot distance? It is not the face.",
        steps=("Foot distance and shelf lie opposite each other, so they are equal.", f"Foot: {d}"),
        past=(
            (
                asked.h,
                "You gave the height of the face. Opposite the face lies the back, up to where the "
                "shelf is glued. Opposite the foot distance lies the shelf.",
            ),
            (
                asked.h + asked.d,
                "You added shelf and face: that is how far the face reaches when the card is closed, "
                "and not where its foot stands.",
            ),
            (
                abs(asked.h - asked.d),
                "You took one from the other. Opposite sides are simply equal: there is nothing to take "
                "away.",
            ),
        ),
        before=asked.view("The tier on show, at 90°.", 90, alone=True),
        after=asked.view("Half open: foot distance and shelf stay parallel.", 50, alone=True),
    )


def _attachment(asked: _Asked) -> Exercise:
    d, h = asked.shown(asked.d), asked.shown(asked.h)
    tab = mm(asked.card.tiers[asked.tier - 1].top_tab)
    return asked.made(
        kind="attachment",
        question=(
            f"A tier has a face {h} high, a shelf {d} deep and a top tab of {asked.shown(tab)} that "
            "hangs down behind the face. How high above the fold does the shelf meet the back?"
        ),
        answer=asked.h,
        because=(
            f"The face is {h} high, so the shelf meets the back at {h}. Face and back lie opposite each "
            "other in the parallelogram."
        ),
        hint="Which side of the parallelogram lies opposite that stretch of the back?",
        steps=("The back up to the shelf and the face lie opposite each other.", f"Height: {h}"),
        past=(
            (
                asked.d,
                "You gave the depth of the shelf. That is how far out the foot goes. The stretch of "
                "back under the shelf lies opposite the face.",
            ),
            (
                asked.h + tab,
                "You added the top tab. It hangs down from the crease between tab and shelf, so it does "
                "not lift the shelf.",
            ),
            (
                asked.h - tab,
                "You took off the top tab: that is where the tab ends. The shelf begins at the crease "
                "above the tab.",
            ),
            (
                asked.h + asked.d,
                "You added shelf and face. Only the face stands upright, beside the back.",
            ),
        ),
        before=asked.view("The tier on show, at 90°.", 90, alone=True),
        after=asked.view("Half open: the face stays parallel to the back.", 50, alone=True),
    )


# Nesting ------------------------------------------------------------------------------


def _nesting(asked: _Asked) -> Exercise:
    n, x = asked.tier, asked.shown(asked.x)
    sum_ = asked.added(asked.depths[:n])
    return asked.made(
        kind="nesting",
        question=(
            f"Counted from the back, the shelves of {asked.behind()} are "
            f"{asked.listed(asked.depths[:n])} deep. Tier {n} has a face {asked.shown(asked.h)} high. "
            f"How far from the fold is the foot of tier {n}?"
        ),
        answer=asked.x,
        because=(
            f"{sum_} = {x}. Each tier stands in front of the face behind it, so every shelf behind "
            "counts."
        ),
        hint="Each shelf starts at the face behind it. Start at the fold and add them up.",
        steps=("Each foot lies one shelf farther out than the foot behind it.", f"{sum_} = {x}"),
        past=(
            (
                asked.d,
                f"That is the shelf of tier {n} alone: it is counted from the face of tier {n - 1}. "
                "From the fold, every shelf behind counts as well.",
            ),
            (
                asked.foot[n - 2],
                f"That is the foot of tier {n - 1}. One more shelf lies in front of it.",
            ),
            (
                n * asked.depths[0],
                "You took every shelf to be as deep as the first. Add each as it is.",
            ),
            (
                asked.x + asked.h,
                "You added the face as well: that is how far it reaches when the card is closed. The "
                "foot is where the face meets the front.",
            ),
            (
                asked.foot[0] + asked.h,
                "You added the face to the foot of tier 1. For a foot only shelves are added.",
            ),
        ),
        before=asked.view("The card on show, at 90°.", 90),
        after=asked.view("Half open: one parallelogram in front of another.", 60),
    )


def _between(asked: _Asked) -> Exercise:
    n = asked.tier
    near, far = asked.shown(asked.foot[n - 2]), asked.shown(asked.x)
    return asked.made(
        kind="between",
        question=(
            f"The foot of tier {n - 1} is {near} from the fold and the foot of tier {n} is {far}. How "
            f"deep must the shelf of tier {n} be?"
        ),
        answer=asked.d,
        because=(
            f"{far} − {near} = {asked.shown(asked.d)}. Tier {n} has its parallelogram against the face "
            f"of tier {n - 1}, and not against the back."
        ),
        hint=f"The shelf of tier {n} reaches from the face of tier {n - 1} to its own face.",
        steps=(
            f"The shelf spans from one foot to the next: {far} − {near}.",
            f"Shelf: {asked.shown(asked.d)}",
        ),
        past=(
            (
                asked.x,
                f"That is from the fold. The shelf of tier {n} is glued to the face of tier {n - 1}, "
                "which already stands out from the fold.",
            ),
            (asked.x + asked.foot[n - 2], "You added the two. The shelf is what lies between them."),
            (asked.foot[n - 2], f"That is how far tier {n - 1} stands out. What comes after it?"),
        ),
        before=asked.view("The card on show, at 90°.", 90),
        after=asked.view("Half open: one parallelogram in front of another.", 60),
    )


# The hidden triangle ------------------------------------------------------------------


def _reach(asked: _Asked) -> Exercise:
    n, x, h = asked.tier, asked.shown(asked.x), asked.shown(asked.h)
    total = asked.shown(asked.x + asked.h)
    return asked.made(
        kind="reach",
        question=(
            f"Tier 1 has a shelf {x} deep and a face {h} high. How far from the fold does its top edge "
            "reach when the card is closed?"
            if n == 1
            else f"From the back forwards the shelves are {asked.listed(asked.depths[:n])} deep. The "
            f"face of tier {n} is {h} high. How far from the fold does the top edge of tier {n} reach "
            "when the card is closed?"
        ),
        answer=asked.x + asked.h,
        because=f"Its foot is {x} from the fold, and the face lies flat beyond it: {x} + {h} = {total}.",
        hint="Closed, the face lies flat on the front, beyond its own foot. Where is its foot?",
        steps=(asked.foot_sum(), f"{x} + {h} = {total}"),
        past=(
            (
                asked.foot[0] + asked.h,
                f"You added the face to the foot of tier 1 rather than to the foot of tier {n}. The "
                f"foot of tier {n} stands farther out, by every shelf in between.",
            ),
            (
                asked.d + asked.h,
                f"You added the shelf of tier {n} alone. It is counted from the face behind it, and not "
                "from the fold.",
            ),
            (asked.h, "That is the face alone. It starts at its foot, and the foot is not at the fold."),
            (asked.x, "That is the foot. The face lies flat beyond it when the card is closed."),
            (
                asked.x + asked.faces[0],
                f"You added the face of tier 1. The top edge of tier {n} is as far off as its own face "
                "is high.",
            ),
        ),
        before=asked.view("The card on show, at 90°.", 90),
        after=asked.view("The card closed.", 0),
    )


def _ornament(asked: _Asked) -> Exercise:
    n, x, h = asked.tier, asked.shown(asked.x), asked.shown(asked.h)
    height, rise = asked.shown(asked.height), asked.shown(asked.height - asked.x)
    return asked.made(
        kind="ornament",
        question=(
            f"A card is {height} high, back and front alike. The shelves of {asked.behind()} are "
            f"{asked.listed(asked.depths[:n])} deep, the face of tier {n} is {h} high. An ornament is "
            "glued to that face. How high above the foot of the face may it rise and still hide in the "
            "closed card?"
            if n > 1
            else f"A card is {height} high, back and front alike. Tier 1 has a shelf {x} deep and a "
            f"face {h} high. An ornament is glued to that face. How high above the foot of the face may "
            "it rise and still hide in the closed card?"
        ),
        answer=asked.height - asked.x,
        because=(
            f"{height} − {x} = {rise}. A point {x} out and y high lies at {x} + y when the card is "
            f"closed, and {height} is all there is."
        ),
        hint="Out and up together may be as much as the card is high, and no more: x + y ≤ L.",
        steps=(
            asked.foot_sum(),
            f"{height} − {x} = {rise}",
        ),
        past=(
            (
                asked.height - asked.x - asked.h,
                "That is how far it may rise above the top edge of the face. Counted from the foot, the "
                "face is a part of the height.",
            ),
            (
                asked.height - asked.d,
                f"You took off the shelf of tier {n} alone. Every shelf behind it pushes the foot out "
                "as well.",
            ),
            (
                asked.height - asked.h,
                "You took off the face. The face does not push the ornament out: its foot distance does."
                "",
            ),
            (
                asked.height,
                "That is right for a thing that stands at the fold. This one stands farther out, and "
                "slides out by as much when the card closes.",
            ),
        ),
        before=asked.view("The card on show, at 90°.", 90),
        after=asked.view("The card closed.", 0),
    )


def _lowest(asked: _Asked) -> Exercise:
    reaches = [x + h for x, h in zip(asked.foot, asked.faces, strict=True)]
    most = max(reaches)
    n = reaches.index(most) + 1
    each = [
        f"Tier {place}: {asked.shown(x)} + {asked.shown(h)} = {asked.shown(x + h)}"
        for place, (x, h) in enumerate(zip(asked.foot, asked.faces, strict=True), 1)
    ]
    other = [
        (
            reach,
            f"Tier {place} reaches that far, but another tier reaches farther. Work out every tier.",
        )
        for place, reach in enumerate(reaches, 1)
    ]
    return asked.made(
        kind="lowest",
        question=(
            f"From the back forwards the shelves are {asked.listed(asked.depths)} deep and the faces "
            f"{asked.listed(asked.faces)} high. How high must the card be at least, back and front "
            "alike, so that nothing shows when it is closed?"
        ),
        answer=most,
        because=(
            f"Tier {n} reaches farthest: {each[n - 1].partition(': ')[2]}. The others hide behind it."
        ),
        hint="Work out foot plus face for every tier, and take the farthest.",
        steps=(*each, f"The farthest: {asked.shown(most)}"),
        past=(
            *other,
            (max(asked.faces), "That is the tallest face. A face starts at its foot, not at the fold."),
            (
                asked.foot[-1] + max(asked.faces),
                "You added the tallest face to the farthest foot, but they belong to different tiers.",
            ),
            (asked.foot[-1], "That is the farthest foot. The faces lie flat beyond their feet."),
        ),
        before=asked.view("The card on show, at 90°.", 90),
        after=asked.view("The card closed.", 0),
    )


# A slipped foot -----------------------------------------------------------------------


def _slip(asked: _Asked, *, far: bool) -> tuple[Fraction, Fraction, str]:
    """How far the foot has slipped, where it stands, and that in words. Never past the fold."""
    step = Ruled(asked.random, asked.grid).step
    slip = step * asked.random.randint(1, max(1, int(min(Fraction(4), asked.d / 3) // step)))
    slip = slip if far else -min(slip, asked.d - mm(asked.grid.step))
    words = f"{asked.shown(abs(slip))} too {'far out' if slip > 0 else 'near the fold'}"
    return slip, asked.d + slip, words


def _closing(asked: _Asked) -> Exercise:
    far = asked.random.random() < 0.6 or asked.d <= mm(asked.grid.step)
    slip, foot, words = _slip(asked, far=far)
    x, d, h = asked.shown(foot), asked.shown(asked.d), asked.shown(asked.h)
    answer = foot + asked.h - asked.d
    shown = asked.shown(answer)
    return asked.made(
        kind="closing",
        question=(
            f"A tier has a shelf {d} deep and a face {h} high. Its foot has been glued {x} from the "
            f"fold, {words}. How high on the back must the shelf be glued now, so that the card still "
            "closes flat?"
        ),
        answer=answer,
        because=(
            f"{x} + {h} − {d} = {shown}. Closed flat, both ways from the fold to the folded edge are "
            "one length: foot and face, attachment and shelf. It closes, but it is no parallelogram any "
            "more."
        ),
        hint=(
            "Closed flat, foot + face reaches exactly as far as attachment + shelf. That is the Smith "
            "College condition A + B = C + D."
        ),
        steps=(
            "Closed flat: foot + face = attachment + shelf.",
            f"{x} + {h} = {asked.shown(foot + asked.h)}",
            f"{asked.shown(foot + asked.h)} − {d} = {shown}",
        ),
        past=(
            (
                asked.h,
                "That is right while the foot stands as far out as the shelf is deep. It has slipped, "
                "so the other way round to the folded edge must change by as much.",
            ),
            (
                asked.h - slip,
                "You moved the attachment the wrong way. A foot farther out folds to an edge farther "
                "out, so the attachment must go up; a foot nearer, down.",
            ),
            (
                foot + asked.h,
                "That is how far the folded edge lies from the fold. The shelf covers the last part of "
                "it.",
            ),
        ),
        before=asked.view("The tier as it should be.", 90, alone=True),
        after=asked.view("The tier with its slipped foot.", 60, alone=True, slip=slip),
    )


def _opening(asked: _Asked) -> Exercise:
    far = asked.random.random() < 0.75 or asked.d <= mm(asked.grid.step)
    slip, foot, words = _slip(asked, far=far)
    up = foot + asked.h - asked.d
    x, d, h = asked.shown(foot), asked.shown(asked.d), asked.shown(asked.h)
    lengths = {"foot": foot, "shelf": asked.d, "face": asked.h}
    limit = opening_limit(**{name: from_mm(value) for name, value in lengths.items()})
    out, straight = asked.shown(foot + up), asked.shown(asked.d + asked.h)
    if far:
        because = (
            f"It stops at {limit:.0f}°. Shelf and face are pulled straight, and {straight} of card "
            "cannot reach any farther."
        )
        last = f"Pulled straight at cos t = (x² + y² − (shelf + face)²) ÷ 2xy, t = {limit:.0f}°"
    else:
        because = (
            f"It opens to 180°: foot and attachment are then {out} apart, and shelf and face have "
            f"{straight}. But the tier stands off the flat card as a ridge, for it is no parallelogram."
        )
        last = f"{out} is less than {straight}, so it opens to 180°."
    return Exercise(
        kind="opening",
        number=asked.number,
        title=KINDS["opening"].title,
        question=(
            f"A tier has a shelf {d} deep and a face {h} high. Its foot has been glued {x} from the "
            f"fold, {words}, and its shelf at {asked.shown(up)} up the back, so that it closes flat. "
            f"Guess to within {WITHIN}°: how far does the card open?"
        ),
        writes="degrees, as in “150”",
        grid=asked.grid,
        answer=angle(limit),
        within=angle(WITHIN),
        because=because,
        hint=(
            "Opened to 180°, foot and attachment lie in one line. Are shelf and face together as long "
            "as that? If not, they are pulled straight before."
        ),
        steps=(
            f"Opened flat, from foot to attachment: {x} + {asked.shown(up)} = {out}",
            f"Shelf and face in one line: {d} + {h} = {straight}",
            last,
        ),
        before=asked.view("The tier as it should be.", FLAT, alone=True),
        after=asked.view("The slipped tier, opened as far as it goes.", FLAT, alone=True, slip=slip),
    )


# Rounding -----------------------------------------------------------------------------


def _rounded(asked: _Asked, place: int) -> Exercise:
    kind = KINDS[("rounded", "", "zones")[place]]
    made = rounding_exercises(asked.card, asked.tier, asked.grid)[place]
    return replace(made, number=asked.number, kind=kind.name, title=kind.title)


def _card_to_round(random: Random, grid: Grid) -> Card:
    """One tier in marks of the other kind of ruler, out of step when its numbers are rounded."""
    source = Grid("1 mm") if grid.unit == "inch" else Grid("1/16 in")
    kept = None
    for _ in range(60):
        card = _one_tier(random, source)
        naive = number_by_number(card, grid)
        linkage = naive.linkages[0]
        if naive.card is None or linkage.opens_to is None:
            continue
        kept = card
        if not linkage.parallel:
            break
    if kept is None:
        raise LengthError(str(grid), "rounds every tier away", "Choose a finer ruler")
    return kept


def _one_tier(random: Random, source: Grid) -> Card:
    """A tier in single marks, odd ones among them: they are the ones that round badly."""
    step = mm(source.step)

    def pick(least: int, most: int) -> Fraction:
        return random.randint(int(least // step), int(most // step)) * step

    depth, face = pick(11, 22), pick(48, 75)
    sizes = {"face": face, "depth": depth, "top_tab": pick(8, 11), "bottom_tab": pick(8, 10)}
    tier = Tier(**{name: from_mm(size, source.unit) for name, size in sizes.items()})
    height = from_mm(depth + face + pick(20, 40), source.unit)
    return Card(width=from_mm(pick(100, 140), source.unit), height=height, tiers=(tier,))


# Strip and step -----------------------------------------------------------------------


def _strip(asked: _Asked) -> Exercise:
    tier = asked.card.tiers[asked.tier - 1]
    top, bottom = mm(tier.top_tab), mm(tier.bottom_tab)
    zones = (top, asked.d, asked.h, bottom)
    total = asked.shown(sum(zones))
    return asked.made(
        kind="strip",
        question=(
            f"A strip has a top tab of {asked.shown(top)}, a shelf of {asked.shown(asked.d)}, a face of "
            f"{asked.shown(asked.h)} and a bottom tab of {asked.shown(bottom)}. How long is it cut?"
        ),
        answer=sum(zones),
        because=f"{asked.added(zones)} = {total}. Four zones, end to end.",
        hint="A strip is its four zones, end to end.",
        steps=("Four zones, end to end.", f"{asked.added(zones)} = {total}"),
        past=(
            (asked.d + asked.h, "Both tabs are missing. They are glued, but they are cut too."),
            (top + asked.d + asked.h, "The bottom tab is missing."),
            (asked.d + asked.h + bottom, "The top tab is missing."),
        ),
        before=asked.view("The tier on show, at 90°.", 90, alone=True),
        after=asked.view("Opened flat.", FLAT, alone=True),
    )


def _slit(asked: _Asked) -> Exercise:
    d, h, total = asked.shown(asked.d), asked.shown(asked.h), asked.shown(asked.d + asked.h)
    return asked.made(
        kind="slit",
        question=(
            f"A step with a shelf {d} deep and a face {h} high is cut from a one-piece card by two "
            "slits across the fold, and pushed forward. Nothing is glued. How long is each slit?"
        ),
        answer=asked.d + asked.h,
        because=(
            f"{d} + {h} = {total}: {h} above the fold and {d} below it, and between them the paper is "
            "exactly shelf and face."
        ),
        hint=(
            "The step is made of the paper between the ends of the slits, and it has a shelf and a face."
        ),
        steps=(
            "The paper between the ends of the slits becomes shelf and face.",
            f"{d} + {h} = {total}",
        ),
        past=(
            (asked.h, "That is the part above the fold. The slits run on past it, below."),
            (asked.d, "That is the part below the fold. The slits begin above it."),
            (
                2 * asked.h,
                "You took both sides of the fold to be alike. That is so only if shelf = face.",
            ),
            (
                2 * asked.d,
                "You took both sides of the fold to be alike. That is so only if shelf = face.",
            ),
        ),
        before=asked.view("The step on show, at 90°.", 90),
        after=asked.view("Opened flat.", FLAT),
    )


def _score(asked: _Asked) -> Exercise:
    d, h, apart = asked.shown(asked.d), asked.shown(asked.h), asked.shown(asked.h - asked.d)
    return asked.made(
        kind="score",
        question=(
            f"A step with a shelf {d} deep and a face {h} high is cut from a one-piece card, still "
            "flat. How far above the fold is the score between its shelf and its face?"
        ),
        answer=asked.h - asked.d,
        because=(
            f"{h} − {d} = {apart}. The slits end {h} above the fold; from there down the shelf takes "
            f"{d}."
        ),
        hint=f"The slits end {h} above the fold. The shelf starts there and runs down.",
        steps=(
            f"The slits end {h} above the fold, and the shelf runs down from there.",
            f"{h} − {d} = {apart}",
        ),
        past=(
            (asked.h, "There the slits end and the shelf begins. Its other end carries the face."),
            (
                asked.d,
                "That would be so if the shelf began at the fold. It begins where the slits end.",
            ),
            (
                asked.h + asked.d,
                "You added. The shelf runs down from the end of the slits: take it off.",
            ),
        ),
        before=asked.view("The step on show, at 90°.", 90),
        after=asked.view("Opened flat.", FLAT),
    )


# All kinds ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of exercise.

    name   its key
    topic  a key of `TOPICS`
    title  a few words
    make   from what is asked to the exercise
    fits   whether it can be asked of tier `number` of a card
    forms  of tier that it is about
    count  tiers of a card made up for it; None: 2 to 4
    """

    name: str
    topic: str
    title: str
    make: Callable[[_Asked], Exercise]
    fits: Callable[[Card, int], bool] = lambda card, number: True
    forms: tuple[type, ...] = (Tier,)
    count: int | None = None

    def tiers(self, card: Card) -> tuple[int, ...]:
        """The tiers of a card that it can be asked of, from 1."""
        return tuple(
            number
            for number, tier in enumerate(card.tiers, 1)
            if isinstance(tier, self.forms) and self.fits(card, number)
        )


_ANY = (Tier, CutStep)


def _behind(card: Card, number: int) -> bool:
    return number > 1


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(
            name="foot",
            topic="parallelogram",
            title="Where the foot goes",
            make=_foot,
            forms=_ANY,
            count=1,
        ),
        Kind(
            name="attachment",
            topic="parallelogram",
            title="Where the shelf is glued",
            make=_attachment,
            count=1,
        ),
        Kind(
            name="nesting",
            topic="nesting",
            title="A foot, from the fold",
            make=_nesting,
            fits=_behind,
            forms=_ANY,
        ),
        Kind(
            name="between",
            topic="nesting",
            title="A shelf, from two feet",
            make=_between,
            fits=_behind,
            forms=_ANY,
        ),
        Kind(name="reach", topic="hidden", title="How far it reaches", make=_reach, forms=_ANY),
        Kind(
            name="ornament",
            topic="hidden",
            title="How high an ornament may be",
            make=_ornament,
            fits=lambda card, number: (
                mm(card.height) > card.feet_mm[number - 1]
                and mm(card.height) == card.front.length_in(card)
            ),
            forms=_ANY,
        ),
        Kind(
            name="lowest", topic="hidden", title="The lowest card that hides", make=_lowest, forms=_ANY
        ),
        Kind(
            name="closing",
            topic="slipped",
            title="Closed flat all the same",
            make=_closing,
            forms=_ANY,
            count=1,
        ),
        Kind(
            name="opening",
            topic="slipped",
            title="How far a slipped card opens",
            make=_opening,
            forms=_ANY,
            count=1,
        ),
        Kind(
            name="rounded",
            topic="rounding",
            title="The shelf that rounding leaves",
            make=lambda asked: _rounded(asked, 0),
        ),
        Kind(
            name="zones",
            topic="rounding",
            title="Zones first",
            make=lambda asked: _rounded(asked, 2),
        ),
        Kind(name="strip", topic="making", title="The length of a strip", make=_strip),
        Kind(
            name="slit",
            topic="making",
            title="The slits of a cut step",
            make=_slit,
            fits=lambda card, number: number == 1,
            forms=(CutStep,),
            count=1,
        ),
        Kind(
            name="score",
            topic="making",
            title="The score of a cut step",
            make=_score,
            fits=lambda card, number: number == 1 and mm(card.tiers[0].face) > mm(card.tiers[0].depth),
            forms=(CutStep,),
            count=1,
        ),
    )
}


def _mixed() -> tuple[str, ...]:
    """Every kind once, a topic at a time in turn, so that a short sheet has something of each."""
    found = [[kind.name for kind in KINDS.values() if kind.topic == topic] for topic in TOPICS]
    return tuple(name for turn in zip_longest(*found) for name in turn if name is not None)


_MIXED = _mixed()


def exercises(
    card: Card | None = None,
    *,
    kinds: Iterable[str] | None = None,
    count: int = 10,
    grid: Grid | str = "1 mm",
    seed: int = 1,
) -> tuple[Exercise, ...]:
    """A sheet of exercises, the kinds in turn.

    card   to ask about; unless given, a card is made up for each exercise. A card that does not lie
           on the ruler is restated on it first, save for the exercises on rounding themselves.
    kinds  keys of `KINDS`; unless given, all, or all that the card allows
    count  1 to `MOST`
    grid   the ruler: every number and every answer lies on a mark
    seed   a whole number, 0 or more: the same seed makes the same sheet
    Returns: exercises numbered from 1; a longer sheet begins as a shorter one does.
    Raises: ExerciseError with every fault.
    """
    faults: list[str] = []
    names = tuple(_MIXED if kinds is None else (kinds,) if isinstance(kinds, str) else kinds)
    unknown = [repr(name) for name in names if name not in KINDS]
    if unknown:
        faults.append(f"There is no kind {' or '.join(unknown)}. Write {', '.join(KINDS)}.")
    if not names:
        faults.append("No kind is chosen. Choose one or more.")
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= MOST:
        faults.append(f"A sheet has 1 to {MOST} exercises, not {count!r}.")
    if isinstance(seed, bool) or not isinstance(seed, int) or seed < 0:
        faults.append(f"The seed is {seed!r}. Write a whole number, as in 7.")
    try:
        grid = as_grid(grid)
        Ruled(Random(0), grid)
    except LengthError as fault:
        faults.append(f"The ruler is no ruler for exercises: {fault}")
    if faults:
        raise ExerciseError(*faults)
    if card is None:
        return tuple(
            _made_up(names[place % len(names)], grid, seed, place + 1) for place in range(count)
        )
    return _about(card, names, kinds is None, count, grid, seed)


def _chance(name: str, seed: int, number: int) -> Random:
    return Random(f"popkit exercise {seed} {number} {name}")


def _made_up(name: str, grid: Grid, seed: int, number: int) -> Exercise:
    """An exercise on a card of its own."""
    kind, random = KINDS[name], _chance(name, seed, number)
    if kind.topic == "rounding":
        try:
            card = _card_to_round(random, grid)
            return kind.make(_Asked(random, card, 1, grid, number))
        except (LengthError, RegridError) as fault:
            raise ExerciseError(f"No exercise of the kind {name!r} can be made: {fault}") from None
    form = Tier if Tier in kind.forms else CutStep
    card = invented_card(random, grid, kind.count, form)
    return kind.make(_Asked(random, card, random.choice(kind.tiers(card)), grid, number))


def _about(
    card: Card, names: tuple[str, ...], all_: bool, count: int, grid: Grid, seed: int
) -> tuple[Exercise, ...]:
    """Exercises on a given card."""
    try:
        restated = card if _lies_on(card, grid) else regrid(card, grid).card
    except RegridError as fault:
        raise ExerciseError(f"This card cannot be asked about on a ruler of {grid}. {fault}") from None
    possible = {name: KINDS[name].tiers(restated) for name in names}
    barred = [name for name in names if not possible[name]]
    if (barred and not all_) or len(barred) == len(names):
        listed = ", ".join(barred)
        raise ExerciseError(f"This card has no tier for exercises of the kind {listed}. Leave it out.")
    names = tuple(name for name in names if possible[name])
    made = []
    for place in range(count):
        name = names[place % len(names)]
        random = _chance(name, seed, place + 1)
        given = card if KINDS[name].topic == "rounding" else restated
        asked = _Asked(random, given, random.choice(possible[name]), grid, place + 1)
        try:
            made.append(KINDS[name].make(asked))
        except (LengthError, RegridError) as fault:
            raise ExerciseError(f"No exercise of the kind {name!r} can be made: {fault}") from None
    return tuple(made)


def _lies_on(card: Card, grid: Grid) -> bool:
    """Whether all that an exercise may ask of a card lies on the ruler's marks."""
    sizes = [card.height, card.front_length]
    for tier in card.tiers:
        sizes += [
            tier.face,
            tier.depth,
            *(getattr(tier, tab, None) for tab in ("top_tab", "bottom_tab")),
        ]
    return all(size is None or grid.holds(size) for size in sizes)
