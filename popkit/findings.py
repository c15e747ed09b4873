"""What a check says: a finding, its remedy, and the bench on which rules make them.

Imports: lengths, card, folding.
Limits without a source beside them are `common practice, no source`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from popkit.card import Card, CutStep, usual
from popkit.folding import room
from popkit.lengths import Grid, Length, Q, from_mm, mm, show_exact

__all__ = ["BORDER", "SEVERITIES", "Bench", "Change", "Finding", "Remedy"]

SEVERITIES = ("stop", "caution", "note")
"""stop: the card will not work; caution: it will disappoint; note: worth knowing."""

BORDER = Q(6, "millimeter")  # common practice, no source: card left beside a slit


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One size to set: `path` leads to it from the card, as in ("tiers", 0, "face")."""

    path: tuple[str | int, ...]
    value: object


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """The nearest change that clears a finding: in words, and ready to apply."""

    text: str
    changes: tuple[Change, ...]

    def __str__(self) -> str:
        return self.text

    def apply(self, card: Card) -> Card:
        """The card with every change made at once, as no half of them need be a card."""
        return _changed(card, [(change.path, change.value) for change in self.changes])

    def then(self, other: Remedy) -> Remedy:
        """This remedy and, on the card that it makes, another; the other alone where it sets all
        that this one does.
        """
        over = {change.path for change in other.changes}
        kept = tuple(
            change
            for change in self.changes
            if not any(change.path[:deep] in over for deep in range(1, len(change.path) + 1))
        )
        if not kept:
            return other
        text = f"{self.text.removesuffix('.')}; {other.text[:1].lower()}{other.text[1:]}"
        return Remedy(text=text, changes=kept + other.changes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What a rule has to say about one place of a card.

    rule      key in `RULES`
    severity  "stop", "caution" or "note"
    where     the part it is about: "tier 1", "landing flap", "clear front", ...
    message   what is wrong, with the sizes that show it
    remedy    the nearest change that mends it
    """

    rule: str
    severity: str
    where: str
    message: str
    remedy: Remedy

    def __str__(self) -> str:
        return f"{self.severity}: {self.message} {self.remedy}"


def _changed(owner: object, changes: list[tuple[tuple[str | int, ...], object]]) -> object:
    """`owner`, a dataclass or a tuple, with the value at the end of each path replaced."""
    deeper: dict[str | int, list] = {}
    new: dict[str | int, object] = {}
    for (head, *rest), value in changes:
        if rest:
            deeper.setdefault(head, []).append((tuple(rest), value))
        else:
            new[head] = value
    for head, inner in deeper.items():
        old = owner[head] if isinstance(head, int) else getattr(owner, head)
        new[head] = _changed(old, inner)
    if isinstance(owner, tuple):
        return tuple(new.get(place, old) for place, old in enumerate(owner))
    return replace(owner, **new)


class Bench:
    """A card under inspection: its sizes in millimetres, its ruler, and remedies in words."""

    def __init__(self, card: Card, grid: Grid) -> None:
        self.card, self.grid = card, grid
        self.troubles: list | None = None  # of layers, kept by the rules that ask for them
        self.feet = card.feet_mm
        self.faces = [mm(tier.face) for tier in card.tiers]
        self.room = mm(room(card))

    def show(self, value: Fraction) -> str:
        """Millimetres in the card's unit, in full."""
        return show_exact(self.card.length(value))

    def down(self, value: Fraction) -> Fraction:
        """The mark at or below, in millimetres."""
        return mm(self.grid.down(from_mm(value)))

    def up(self, value: Fraction) -> Fraction:
        """The mark at or above, in millimetres."""
        return mm(self.grid.up(from_mm(value)))

    def usual(self, what: str) -> Fraction:
        """Millimetres of a usual size in the ruler's unit."""
        return mm(usual(what, self.grid.unit))

    def length(self, value: Fraction) -> Length:
        """Millimetres as a length in the ruler's unit."""
        return from_mm(value, self.grid.unit)

    def step(self, verb: str, what: str, before: Fraction, after: Fraction) -> str:
        """ "lower tier 1's face by ⅜ in, to 3⅛ in" """
        by = show_exact(self.length(abs(after - before)))
        return f"{verb} {what} by {by}, to {show_exact(self.length(after))}"

    def remedy(self, *steps: tuple[str, tuple[str | int, ...], Fraction | object]) -> Remedy:
        """The remedy of some steps, each (words or "", path, millimetres or any other value)."""
        steps = (*steps, *self._room_for_slits({path: value for _, path, value in steps}))
        words = [text for text, _, _ in steps if text]
        sentence = "; ".join(words)
        return Remedy(
            text=sentence[:1].upper() + sentence[1:] + ".",
            changes=tuple(
                Change(path=path, value=self.length(value) if isinstance(value, Fraction) else value)
                for _, path, value in steps
            ),
        )

    def _room_for_slits(self, sizes: dict[tuple, object]) -> Iterator[tuple]:
        """Steps that keep the slits on the blank where these sizes would take them off it."""
        card, front = self.card, self.card.front
        tall = sizes.get(("height",), mm(card.height))
        long = sizes.get(("front", "length"), front.length_in(card) if front.length else None)
        top = bottom = foot = Fraction(0)
        for place, tier in enumerate(card.tiers):
            behind, foot = foot, foot + sizes.get(("tiers", place, "depth"), mm(tier.depth))
            if isinstance(tier, CutStep):
                top = max(top, sizes.get(("tiers", place, "face"), self.faces[place]) - behind)
                bottom = max(bottom, foot)
        border = mm(BORDER)
        if long is not None and bottom >= long:
            target = self.up(bottom + border)
            yield self.step("lengthen", "the front", long, target), ("front", "length"), target
        need = top if long is not None else max(top, bottom)
        if need > 0 and need >= tall:
            target = self.up(need + border)
            yield self.step("make", "the card taller", tall, target), ("height",), target

    def least_face(self, place: int) -> Fraction:
        """The lowest that a face can be with a tab to hold and every later face a band lower."""
        cut = isinstance(self.card.tiers[place], CutStep)
        lowest = mm(BORDER) if cut else self.usual("least tab")
        return lowest + (len(self.faces) - 1 - place) * self.usual("least band")

    def set_face(self, place: int, face: Fraction, verb: str) -> list[tuple]:
        """Steps that give a tier another face, its top tab kept within it."""
        tier = self.card.tiers[place]
        name = f"tier {place + 1}'s"
        steps = [
            (self.step(verb, f"{name} face", self.faces[place], face), ("tiers", place, "face"), face)
        ]
        if not isinstance(tier, CutStep) and mm(tier.top_tab) > face:
            text = self.step("shorten", f"{name} top tab", mm(tier.top_tab), face)
            steps.append((text, ("tiers", place, "top_tab"), face))
        return steps
