"""The kinds of exercise on why a card folds, and sheets of them with fresh numbers.

Every kind is one function from a card and a tier to an exercise, and one row of `KINDS`. The same
seed gives the same sheet, so a class can share one; another seed gives other numbers. In another
language a sheet asks the same of the same cards.

Imports: lengths, language, card, folding, regridding, lesson.exercise, lesson.invented,
lesson.rounding.
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
from popkit.language import BRITISH, Language, as_language, message
from popkit.lengths import Grid, LengthError, as_grid, from_mm, mm
from popkit.lesson.exercise import FLAT, WITHIN, Exercise, View, angle, slips
from popkit.lesson.invented import Ruled, invented_card
from popkit.lesson.rounding import rounding_exercises
from popkit.regridding import RegridError, number_by_number, regrid

__all__ = ["KINDS", "MOST", "TOPICS", "ExerciseError", "Kind", "exercises"]

MOST = 60
"""Exercises on one sheet: more is no sheet but a book."""
TOPICS = {
    "parallelogram": message("The parallelogram"),
    "nesting": message("Nesting"),
    "hidden": message("The hidden triangle"),
    "slipped": message("A slipped foot"),
    "rounding": message("Rounding"),
    "making": message("Strip and step"),
}
"""What the kinds are about, in the order of the lesson, as messages."""


class ExerciseError(ValueError):
    """Exercises that cannot be made. `faults` holds every reason, each a sentence or two."""

    def __init__(self, *faults: str) -> None:
        self.faults = faults
        super().__init__(" ".join(faults))


class _Asked:
    """A card and the tier that is asked about, its sizes in exact millimetres and as printed."""

    def __init__(
        self, random: Random, card: Card, tier: int, grid: Grid, number: int, language: Language
    ) -> None:
        self.random, self.card, self.tier, self.grid, self.number = random, card, tier, grid, number
        self.language = language
        self.depths = [mm(one.depth) for one in card.tiers]
        self.faces = [mm(one.face) for one in card.tiers]
        self.foot = list(card.feet_mm)
        self.height = mm(card.height)
        self.d, self.h = self.depths[tier - 1], self.faces[tier - 1]
        self.x = self.foot[tier - 1]
        self.usual = {
            "tier": tier,
            "before": tier - 1,
            "shelf": self.shown(self.d),
            "face": self.shown(self.h),
            "foot": self.shown(self.x),
            "height": self.shown(self.height),
        }

    def say(self, text: str, /, **values: object) -> str:
        """A sentence in which the tier's number and sizes fill their places by themselves."""
        return self.language.say(text, **self.usual | values)

    def shown(self, value: Fraction) -> str:
        shown = self.language.show(from_mm(abs(value), self.grid.unit), self.grid)
        return f"−{shown}" if value < 0 else shown

    def listed(self, values: Iterable[Fraction]) -> str:
        return self.language.listed(self.shown(value) for value in values)

    def tiers(self) -> str:
        """ "tiers 1 and 2", "tiers 1 to 4": the tier and those behind it."""
        return self.say("tiers 1 and 2") if self.tier == 2 else self.say("tiers 1 to {tier}")

    def shelves(self) -> str:
        """The shelves of the tier and those behind it."""
        return self.listed(self.depths[: self.tier])

    def foot_sum(self) -> str:
        """How the foot of the tier is found, a line of working."""
        sum_ = f"{self.added(self.depths[: self.tier])} = " if self.tier > 1 else ""
        return self.say("Foot of tier {tier}: {sum}", sum=f"{sum_}{self.shown(self.x)}")

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
        return View(
            caption=self.say(caption),
            card=card,
            angle=degrees,
            slips=MappingProxyType(found),
            tier=place,
        )

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
        example = Ruled(self.random, self.grid).step * 24
        return Exercise(
            kind=kind,
            number=self.number,
            title=self.say(KINDS[kind].title),
            question=question,
            writes=self.say("a length, as in “{example}”", example=self.shown(example)),
            grid=self.grid,
            answer=length,
            because=because,
            hint=hint,
            steps=steps,
            slips=slips(length, self.grid, past),
            before=before,
            after=after,
            language=self.language,
        )


# The parallelogram ------------------------------------------------------------------


def _foot(asked: _Asked) -> Exercise:
    say = asked.say
    return asked.made(
        kind="foot",
        question=say(
            "A tier stands alone in front of the back. Its face is {face} high, its shelf is {shelf} "
            "deep. How far from the fold must its foot be, so that the card closes flat and opens "
            "flat?"
        ),
        answer=asked.d,
        because=say(
            "The shelf is {shelf} deep, so the foot goes {shelf} out. Shelf and foot distance are "
            "opposite sides of a parallelogram, and opposite sides are equal."
        ),
        hint=say("Which side of the parallelogram lies opposite the foot distance? It is not the face."),
        steps=(
            say("Foot distance and shelf lie opposite each other, so they are equal."),
            say("Foot: {shelf}"),
        ),
        past=(
            (
                asked.h,
                say(
                    "You gave the height of the face. Opposite the face lies the back, up to where the "
                    "shelf meets it. Opposite the foot distance lies the shelf."
                ),
            ),
            (
                asked.h + asked.d,
                say(
                    "You added shelf and face: that is how far the face reaches when the card is "
                    "closed, and not where its foot stands."
                ),
            ),
            (
                abs(asked.h - asked.d),
                say(
                    "You took one from the other. Opposite sides are simply equal: there is nothing to "
                    "take away."
                ),
            ),
        ),
        before=asked.view(message("The tier on show, at 90°."), 90, alone=True),
        after=asked.view(message("Half open: foot distance and shelf stay parallel."), 50, alone=True),
    )


def _attachment(asked: _Asked) -> Exercise:
    say = asked.say
    tab = mm(asked.card.tiers[asked.tier - 1].top_tab)
    return asked.made(
        kind="attachment",
        question=say(
            "A tier has a face {face} high, a shelf {shelf} deep and a top tab of {tab} that hangs "
            "down behind the face. How high above the fold does the shelf meet the back?",
            tab=asked.shown(tab),
        ),
        answer=asked.h,
        because=say(
            "The face is {face} high, so the shelf meets the back at {face}. Face and back lie "
            "opposite each other in the parallelogram."
        ),
        hint=say("Which side of the parallelogram lies opposite that stretch of the back?"),
        steps=(
            say("The back up to the shelf and the face lie opposite each other."),
            say("Height: {face}"),
        ),
        past=(
            (
                asked.d,
                say(
                    "You gave the depth of the shelf. That is how far out the foot goes. The stretch "
                    "of back under the shelf lies opposite the face."
                ),
            ),
            (
                asked.h + tab,
                say(
                    "You added the top tab. It hangs down from the crease between tab and shelf, so it "
                    "does not lift the shelf."
                ),
            ),
            (
                asked.h - tab,
                say(
                    "You took off the top tab: that is where the tab ends. The shelf begins at the "
                    "crease above the tab."
                ),
            ),
            (
                asked.h + asked.d,
                say("You added shelf and face. Only the face stands upright, beside the back."),
            ),
        ),
        before=asked.view(message("The tier on show, at 90°."), 90, alone=True),
        after=asked.view(message("Half open: the face stays parallel to the back."), 50, alone=True),
    )


# Nesting ------------------------------------------------------------------------------


def _nesting(asked: _Asked) -> Exercise:
    say = asked.say
    n, x = asked.tier, asked.shown(asked.x)
    sum_ = asked.added(asked.depths[:n])
    return asked.made(
        kind="nesting",
        question=say(
            "Counted from the back, the shelves of {tiers} are {shelves} deep. Tier {tier} has a face "
            "{face} high. How far from the fold is the foot of tier {tier}?",
            tiers=asked.tiers(),
            shelves=asked.shelves(),
        ),
        answer=asked.x,
        because=say(
            "{sum} = {foot}. Each tier stands in front of the face behind it, so every shelf behind "
            "counts.",
            sum=sum_,
        ),
        hint=say("Each shelf starts at the face behind it. Start at the fold and add them up."),
        steps=(say("Each foot lies one shelf farther out than the foot behind it."), f"{sum_} = {x}"),
        past=(
            (
                asked.d,
                say(
                    "That is the shelf of tier {tier} alone: it is counted from the face of tier "
                    "{before}. From the fold, every shelf behind counts as well."
                ),
            ),
            (
                asked.foot[n - 2],
                say("That is the foot of tier {before}. One more shelf lies in front of it."),
            ),
            (
                n * asked.depths[0],
                say("You took every shelf to be as deep as the first. Add each as it is."),
            ),
            (
                asked.x + asked.h,
                say(
                    "You added the face as well: that is how far it reaches when the card is closed. "
                    "The foot is where the face meets the front."
                ),
            ),
            (
                asked.foot[0] + asked.h,
                say("You added the face to the foot of tier 1. For a foot only shelves are added."),
            ),
        ),
        before=asked.view(message("The card on show, at 90°."), 90),
        after=asked.view(message("Half open: one parallelogram in front of another."), 60),
    )


def _between(asked: _Asked) -> Exercise:
    say = asked.say
    n = asked.tier
    near, far = asked.shown(asked.foot[n - 2]), asked.shown(asked.x)
    return asked.made(
        kind="between",
        question=say(
            "The foot of tier {before} is {near} from the fold and the foot of tier {tier} is {far}. "
            "How deep must the shelf of tier {tier} be?",
            near=near,
            far=far,
        ),
        answer=asked.d,
        because=say(
            "{far} − {near} = {shelf}. Tier {tier} has its parallelogram against the face of tier "
            "{before}, and not against the back.",
            far=far,
            near=near,
        ),
        hint=say("The shelf of tier {tier} reaches from the face of tier {before} to its own face."),
        steps=(
            say("The shelf spans from one foot to the next: {far} − {near}.", far=far, near=near),
            say("Shelf: {shelf}"),
        ),
        past=(
            (
                asked.x,
                say(
                    "That is from the fold. The shelf of tier {tier} starts at the face of tier "
                    "{before}, which already stands out from the fold."
                ),
            ),
            (
                asked.x + asked.foot[n - 2],
                say("You added the two. The shelf is what lies between them."),
            ),
            (asked.foot[n - 2], say("That is how far tier {before} stands out. What comes after it?")),
        ),
        before=asked.view(message("The card on show, at 90°."), 90),
        after=asked.view(message("Half open: one parallelogram in front of another."), 60),
    )


# The hidden triangle ------------------------------------------------------------------


def _reach(asked: _Asked) -> Exercise:
    say = asked.say
    n, x, h = asked.tier, asked.shown(asked.x), asked.shown(asked.h)
    total = asked.shown(asked.x + asked.h)
    return asked.made(
        kind="reach",
        question=(
            say(
                "Tier 1 has a shelf {foot} deep and a face {face} high. How far from the fold does its "
                "top edge reach when the card is closed?"
            )
            if n == 1
            else say(
                "From the back forwards the shelves are {shelves} deep. The face of tier {tier} is "
                "{face} high. How far from the fold does the top edge of tier {tier} reach when the "
                "card is closed?",
                shelves=asked.shelves(),
            )
        ),
        answer=asked.x + asked.h,
        because=say(
            "Its foot is {foot} from the fold, and the face lies flat beyond it: {foot} + {face} = "
            "{total}.",
            total=total,
        ),
        hint=say("Closed, the face lies flat on the front, beyond its own foot. Where is its foot?"),
        steps=(asked.foot_sum(), f"{x} + {h} = {total}"),
        past=(
            (
                asked.foot[0] + asked.h,
                say(
                    "You added the face to the foot of tier 1 rather than to the foot of tier {tier}. "
                    "The foot of tier {tier} stands farther out, by every shelf in between."
                ),
            ),
            (
                asked.d + asked.h,
                say(
                    "You added the shelf of tier {tier} alone. It is counted from the face behind it, "
                    "and not from the fold."
                ),
            ),
            (
                asked.h,
                say("That is the face alone. It starts at its foot, and the foot is not at the fold."),
            ),
            (asked.x, say("That is the foot. The face lies flat beyond it when the card is closed.")),
            (
                asked.x + asked.faces[0],
                say(
                    "You added the face of tier 1. The top edge of tier {tier} is as far off as its "
                    "own face is high."
                ),
            ),
        ),
        before=asked.view(message("The card on show, at 90°."), 90),
        after=asked.view(message("The card closed."), 0),
    )


def _ornament(asked: _Asked) -> Exercise:
    say = asked.say
    n, x = asked.tier, asked.shown(asked.x)
    height, rise = asked.shown(asked.height), asked.shown(asked.height - asked.x)
    return asked.made(
        kind="ornament",
        question=(
            say(
                "A card is {height} high, back and front alike. The shelves of {tiers} are {shelves} "
                "deep, the face of tier {tier} is {face} high. An ornament is glued to that face. How "
                "high above the foot of the face may it rise and still hide in the closed card?",
                tiers=asked.tiers(),
                shelves=asked.shelves(),
            )
            if n > 1
            else say(
                "A card is {height} high, back and front alike. Tier 1 has a shelf {foot} deep and a "
                "face {face} high. An ornament is glued to that face. How high above the foot of the "
                "face may it rise and still hide in the closed card?"
            )
        ),
        answer=asked.height - asked.x,
        because=say(
            "{height} − {foot} = {rise}. A point {foot} out and y high lies at {foot} + y when the "
            "card is closed, and {height} is all there is.",
            rise=rise,
        ),
        hint=say("Out and up together may be as much as the card is high, and no more: x + y ≤ L."),
        steps=(
            asked.foot_sum(),
            f"{height} − {x} = {rise}",
        ),
        past=(
            (
                asked.height - asked.x - asked.h,
                say(
                    "That is how far it may rise above the top edge of the face. Counted from the "
                    "foot, the face is a part of the height."
                ),
            ),
            (
                asked.height - asked.d,
                say(
                    "You took off the shelf of tier {tier} alone. Every shelf behind it pushes the "
                    "foot out as well."
                ),
            ),
            (
                asked.height - asked.h,
                say(
                    "You took off the face. The face does not push the ornament out: its foot distance "
                    "does."
                ),
            ),
            (
                asked.height,
                say(
                    "That is right for a thing that stands at the fold. This one stands farther out, "
                    "and slides out by as much when the card closes."
                ),
            ),
        ),
        before=asked.view(message("The card on show, at 90°."), 90),
        after=asked.view(message("The card closed."), 0),
    )


def _lowest(asked: _Asked) -> Exercise:
    say = asked.say
    reaches = [x + h for x, h in zip(asked.foot, asked.faces, strict=True)]
    most = max(reaches)
    sums = [
        f"{asked.shown(x)} + {asked.shown(h)} = {asked.shown(x + h)}"
        for x, h in zip(asked.foot, asked.faces, strict=True)
    ]
    other = [
        (
            reach,
            say(
                "Tier {place} reaches that far, but another tier reaches farther. Work out every tier.",
                place=place,
            ),
        )
        for place, reach in enumerate(reaches, 1)
    ]
    return asked.made(
        kind="lowest",
        question=say(
            "From the back forwards the shelves are {shelves} deep and the faces {faces} high. How "
            "high must the card be at least, back and front alike, so that nothing shows when it is "
            "closed?",
            shelves=asked.listed(asked.depths),
            faces=asked.listed(asked.faces),
        ),
        answer=most,
        because=say(
            "Tier {place} reaches farthest: {sum}. The others hide behind it.",
            place=reaches.index(most) + 1,
            sum=sums[reaches.index(most)],
        ),
        hint=say("Work out foot plus face for every tier, and take the farthest."),
        steps=(
            *(say("Tier {place}: {sum}", place=place, sum=one) for place, one in enumerate(sums, 1)),
            say("The farthest: {most}", most=asked.shown(most)),
        ),
        past=(
            *other,
            (
                max(asked.faces),
                say("That is the tallest face. A face starts at its foot, not at the fold."),
            ),
            (
                asked.foot[-1] + max(asked.faces),
                say(
                    "You added the tallest face to the farthest foot, but they belong to different "
                    "tiers."
                ),
            ),
            (asked.foot[-1], say("That is the farthest foot. The faces lie flat beyond their feet.")),
        ),
        before=asked.view(message("The card on show, at 90°."), 90),
        after=asked.view(message("The card closed."), 0),
    )


# A slipped foot -----------------------------------------------------------------------


def _slip(asked: _Asked, *, far: bool) -> tuple[Fraction, Fraction, str]:
    """How far the foot has slipped, where it stands, and that in words. Never past the fold."""
    step = Ruled(asked.random, asked.grid).step
    slip = step * asked.random.randint(1, max(1, int(min(Fraction(4), asked.d / 3) // step)))
    slip = slip if far else -min(slip, asked.d - mm(asked.grid.step))
    amount = asked.shown(abs(slip))
    if slip > 0:
        words = asked.say("{amount} too far out", amount=amount)
    else:
        words = asked.say("{amount} too near the fold", amount=amount)
    return slip, asked.d + slip, words


def _closing(asked: _Asked) -> Exercise:
    say = asked.say
    far = asked.random.random() < 0.6 or asked.d <= mm(asked.grid.step)
    slip, foot, words = _slip(asked, far=far)
    x, d, h = asked.shown(foot), asked.shown(asked.d), asked.shown(asked.h)
    answer = foot + asked.h - asked.d
    shown = asked.shown(answer)
    return asked.made(
        kind="closing",
        question=say(
            "A tier has a shelf {shelf} deep and a face {face} high. Its foot has been glued {foot} "
            "from the fold, {off}. How high on the back must the shelf be glued now, so that the card "
            "still closes flat?",
            foot=x,
            off=words,
        ),
        answer=answer,
        because=say(
            "{foot} + {face} − {shelf} = {shown}. Closed flat, both ways from the fold to the folded "
            "edge are one length: foot and face, attachment and shelf. It closes, but it is no "
            "parallelogram any more.",
            foot=x,
            shown=shown,
        ),
        hint=say(
            "Closed flat, foot + face reaches exactly as far as attachment + shelf. That is the Smith "
            "College condition A + B = C + D."
        ),
        steps=(
            say("Closed flat: foot + face = attachment + shelf."),
            f"{x} + {h} = {asked.shown(foot + asked.h)}",
            f"{asked.shown(foot + asked.h)} − {d} = {shown}",
        ),
        past=(
            (
                asked.h,
                say(
                    "That is right while the foot stands as far out as the shelf is deep. It has "
                    "slipped, so the other way round to the folded edge must change by as much."
                ),
            ),
            (
                asked.h - slip,
                say(
                    "You moved the attachment the wrong way. A foot farther out folds to an edge "
                    "farther out, so the attachment must go up; a foot nearer, down."
                ),
            ),
            (
                foot + asked.h,
                say(
                    "That is how far the folded edge lies from the fold. The shelf covers the last "
                    "part of it."
                ),
            ),
        ),
        before=asked.view(message("The tier as it should be."), 90, alone=True),
        after=asked.view(message("The tier with its slipped foot."), 60, alone=True, slip=slip),
    )


def _opening(asked: _Asked) -> Exercise:
    say = asked.say
    far = asked.random.random() < 0.75 or asked.d <= mm(asked.grid.step)
    slip, foot, words = _slip(asked, far=far)
    up = foot + asked.h - asked.d
    x = asked.shown(foot)
    lengths = {"foot": foot, "shelf": asked.d, "face": asked.h}
    limit = opening_limit(**{name: from_mm(value) for name, value in lengths.items()})
    out, straight = asked.shown(foot + up), asked.shown(asked.d + asked.h)
    if far:
        because = say(
            "It stops at {limit}°. Shelf and face are pulled straight, and {straight} of card cannot "
            "reach any farther.",
            limit=f"{limit:.0f}",
            straight=straight,
        )
        last = say(
            "Pulled straight at cos t = (x² + y² − (shelf + face)²) ÷ 2xy, t = {limit}°",
            limit=f"{limit:.0f}",
        )
    else:
        because = say(
            "It opens to 180°: foot and attachment are then {out} apart, and shelf and face have "
            "{straight}. But the tier stands off the flat card as a ridge, for it is no parallelogram.",
            out=out,
            straight=straight,
        )
        last = say("{out} is less than {straight}, so it opens to 180°.", out=out, straight=straight)
    return Exercise(
        kind="opening",
        number=asked.number,
        title=asked.language.template(KINDS["opening"].title),
        question=say(
            "A tier has a shelf {shelf} deep and a face {face} high. Its foot has been glued {foot} "
            "from the fold, {off}, and its shelf at {up} up the back, so that it closes flat. Guess to "
            "within {within}°: how far does the card open?",
            foot=x,
            off=words,
            up=asked.shown(up),
            within=WITHIN,
        ),
        writes=say("degrees, as in “150”"),
        grid=asked.grid,
        answer=angle(limit),
        within=angle(WITHIN),
        because=because,
        hint=say(
            "Opened to 180°, foot and attachment lie in one line. Are shelf and face together as long "
            "as that? If not, they are pulled straight before."
        ),
        steps=(
            say(
                "Opened flat, from foot to attachment: {foot} + {up} = {out}",
                foot=x,
                up=asked.shown(up),
                out=out,
            ),
            say("Shelf and face in one line: {shelf} + {face} = {straight}", straight=straight),
            last,
        ),
        before=asked.view(message("The tier as it should be."), FLAT, alone=True),
        after=asked.view(
            message("The slipped tier, opened as far as it goes."), FLAT, alone=True, slip=slip
        ),
        language=asked.language,
    )


# Rounding -----------------------------------------------------------------------------


def _rounded(asked: _Asked, place: int) -> Exercise:
    kind = KINDS[("rounded", "", "zones")[place]]
    made = rounding_exercises(asked.card, asked.tier, asked.grid, language=asked.language)[place]
    return replace(made, number=asked.number, kind=kind.name, title=asked.say(kind.title))


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
    say = asked.say
    tier = asked.card.tiers[asked.tier - 1]
    top, bottom = mm(tier.top_tab), mm(tier.bottom_tab)
    zones = (top, asked.d, asked.h, bottom)
    sum_, total = asked.added(zones), asked.shown(sum(zones))
    return asked.made(
        kind="strip",
        question=say(
            "A strip has a top tab of {top}, a shelf of {shelf}, a face of {face} and a bottom tab of "
            "{bottom}. How long is it cut?",
            top=asked.shown(top),
            bottom=asked.shown(bottom),
        ),
        answer=sum(zones),
        because=say("{sum} = {total}. Four zones, end to end.", sum=sum_, total=total),
        hint=say("A strip is its four zones, end to end."),
        steps=(say("Four zones, end to end."), f"{sum_} = {total}"),
        past=(
            (asked.d + asked.h, say("Both tabs are missing. They are glued, but they are cut too.")),
            (top + asked.d + asked.h, say("The bottom tab is missing.")),
            (asked.d + asked.h + bottom, say("The top tab is missing.")),
        ),
        before=asked.view(message("The tier on show, at 90°."), 90, alone=True),
        after=asked.view(message("Opened flat."), FLAT, alone=True),
    )


def _slit(asked: _Asked) -> Exercise:
    say = asked.say
    d, h, total = asked.shown(asked.d), asked.shown(asked.h), asked.shown(asked.d + asked.h)
    return asked.made(
        kind="slit",
        question=say(
            "A step with a shelf {shelf} deep and a face {face} high is cut from a one-piece card by "
            "two slits across the fold, and pushed forward. Nothing is glued. How long is each slit?"
        ),
        answer=asked.d + asked.h,
        because=say(
            "{shelf} + {face} = {total}: {face} above the fold and {shelf} below it, and between them "
            "the paper is exactly shelf and face.",
            total=total,
        ),
        hint=say(
            "The step is made of the paper between the ends of the slits, and it has a shelf and a face."
        ),
        steps=(
            say("The paper between the ends of the slits becomes shelf and face."),
            f"{d} + {h} = {total}",
        ),
        past=(
            (asked.h, say("That is the part above the fold. The slits run on past it, below.")),
            (asked.d, say("That is the part below the fold. The slits begin above it.")),
            (
                2 * asked.h,
                say("You took both sides of the fold to be alike. That is so only if shelf = face."),
            ),
            (
                2 * asked.d,
                say("You took both sides of the fold to be alike. That is so only if shelf = face."),
            ),
        ),
        before=asked.view(message("The step on show, at 90°."), 90),
        after=asked.view(message("Opened flat."), FLAT),
    )


def _score(asked: _Asked) -> Exercise:
    say = asked.say
    d, h, apart = asked.shown(asked.d), asked.shown(asked.h), asked.shown(asked.h - asked.d)
    return asked.made(
        kind="score",
        question=say(
            "A step with a shelf {shelf} deep and a face {face} high is cut from a one-piece card, "
            "still flat. How far above the fold is the score between its shelf and its face?"
        ),
        answer=asked.h - asked.d,
        because=say(
            "{face} − {shelf} = {apart}. The slits end {face} above the fold; from there down the "
            "shelf takes {shelf}.",
            apart=apart,
        ),
        hint=say("The slits end {face} above the fold. The shelf starts there and runs down."),
        steps=(
            say("The slits end {face} above the fold, and the shelf runs down from there."),
            f"{h} − {d} = {apart}",
        ),
        past=(
            (asked.h, say("There the slits end and the shelf begins. Its other end carries the face.")),
            (
                asked.d,
                say("That would be so if the shelf began at the fold. It begins where the slits end."),
            ),
            (
                asked.h + asked.d,
                say("You added. The shelf runs down from the end of the slits: take it off."),
            ),
        ),
        before=asked.view(message("The step on show, at 90°."), 90),
        after=asked.view(message("Opened flat."), FLAT),
    )


# All kinds ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of exercise.

    name   its key
    topic  a key of `TOPICS`
    title  a few words, a message
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
            title=message("Where the foot goes"),
            make=_foot,
            forms=_ANY,
            count=1,
        ),
        Kind(
            name="attachment",
            topic="parallelogram",
            title=message("Where the shelf is glued"),
            make=_attachment,
            count=1,
        ),
        Kind(
            name="nesting",
            topic="nesting",
            title=message("A foot, from the fold"),
            make=_nesting,
            fits=_behind,
            forms=_ANY,
        ),
        Kind(
            name="between",
            topic="nesting",
            title=message("A shelf, from two feet"),
            make=_between,
            fits=_behind,
            forms=_ANY,
        ),
        Kind(name="reach", topic="hidden", title=message("How far it reaches"), make=_reach, forms=_ANY),
        Kind(
            name="ornament",
            topic="hidden",
            title=message("How high an ornament may be"),
            make=_ornament,
            fits=lambda card, number: (
                mm(card.height) > card.feet_mm[number - 1]
                and mm(card.height) == card.front.length_in(card)
            ),
            forms=_ANY,
        ),
        Kind(
            name="lowest",
            topic="hidden",
            title=message("The lowest card that hides"),
            make=_lowest,
            forms=_ANY,
        ),
        Kind(
            name="closing",
            topic="slipped",
            title=message("Closed flat all the same"),
            make=_closing,
            count=1,
        ),
        Kind(
            name="opening",
            topic="slipped",
            title=message("How far a slipped card opens"),
            make=_opening,
            count=1,
        ),
        Kind(
            name="rounded",
            topic="rounding",
            title=message("The shelf that rounding leaves"),
            make=lambda asked: _rounded(asked, 0),
        ),
        Kind(
            name="zones",
            topic="rounding",
            title=message("Zones first"),
            make=lambda asked: _rounded(asked, 2),
        ),
        Kind(name="strip", topic="making", title=message("The length of a strip"), make=_strip),
        Kind(
            name="slit",
            topic="making",
            title=message("The slits of a cut step"),
            make=_slit,
            fits=lambda card, number: number == 1,
            forms=(CutStep,),
            count=1,
        ),
        Kind(
            name="score",
            topic="making",
            title=message("The score of a cut step"),
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
    language: Language | str = BRITISH,
) -> tuple[Exercise, ...]:
    """A sheet of exercises, the kinds in turn.

    card   to ask about; unless given, a card is made up for each exercise. A card that does not lie
           on the ruler is restated on it first, save for the exercises on rounding themselves.
    kinds  keys of `KINDS`; unless given, all, or all that the card allows
    count  1 to `MOST`
    grid   the ruler: every number and every answer lies on a mark
    seed   a whole number, 0 or more: the same seed makes the same sheet
    language  of every word; the numbers are the same in any
    Returns: exercises numbered from 1; a longer sheet begins as a shorter one does.
    Raises: ExerciseError with every fault, LanguageError.
    """
    language = as_language(language)
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
            _made_up(names[place % len(names)], grid, seed, place + 1, language)
            for place in range(count)
        )
    return _about(card, names, kinds is None, count, grid, seed, language)


def _chance(name: str, seed: int, number: int) -> Random:
    return Random(f"popkit exercise {seed} {number} {name}")


def _made_up(name: str, grid: Grid, seed: int, number: int, language: Language) -> Exercise:
    """An exercise on a card of its own."""
    kind, random = KINDS[name], _chance(name, seed, number)
    if kind.topic == "rounding":
        try:
            card, tier = _card_to_round(random, grid), 1
        except (LengthError, RegridError) as fault:
            raise _unmade(name, fault) from None
    else:
        form = Tier if Tier in kind.forms else CutStep
        card = invented_card(random, grid, kind.count, form)
        tier = random.choice(kind.tiers(card))
    return _made(name, random, card, tier, grid, number, language)


def _made(
    name: str, random: Random, card: Card, tier: int, grid: Grid, number: int, language: Language
) -> Exercise:
    """An exercise, and how it is made in another language: chance falls the same way again."""
    state = random.getstate()

    def again(language: Language) -> Exercise:
        chance = Random()
        chance.setstate(state)
        asked = _Asked(chance, card, tier, grid, number, language)
        return replace(KINDS[name].make(asked), again=again)

    try:
        return again(language)
    except (LengthError, RegridError) as fault:
        raise _unmade(name, fault) from None


def _unmade(name: str, fault: Exception) -> ExerciseError:
    return ExerciseError(f"No exercise of the kind {name!r} can be made: {fault}")


def _about(
    card: Card,
    names: tuple[str, ...],
    all_: bool,
    count: int,
    grid: Grid,
    seed: int,
    language: Language,
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
        tier = random.choice(possible[name])
        made.append(_made(name, random, given, tier, grid, place + 1, language))
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
