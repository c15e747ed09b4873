"""The work as it is shown to a class, one scene for each assembly step.

The steps are those of the handout. A scene adds what a picture of the step needs: which pieces
are in hand, how many tiers stand once it is done, and at which opening it is best looked at.

Imports: lengths, card, pieces, assembly.
"""

from __future__ import annotations

from dataclasses import dataclass

from popkit.assembly import Step, assembly_steps
from popkit.card import Card
from popkit.lengths import Grid, Length
from popkit.pieces import Piece, cut_list

__all__ = ["Scene", "scenes"]

_WHOLE = ("cut", "slit", "score", "fold", "mat", "check")
"""Steps with flat pieces: the finished card shows where they go."""
_ANGLES = {"join": 150, "fold": 120, "mat": 120, "top tab": 60}


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One assembly step as it is shown.

    step      the step, its number from 1
    count     how many steps there are
    pieces    those in hand, to be shown flat; all of them where none is named
    marked    names to draw heavier; none where everything is in hand
    whole     whether the pictures show the finished card rather than the card as it then stands
    tiers     how many tiers are drawn, from the back
    layers    whether mats are on the card
    ornaments whether ornaments are on the card
    angle     degrees of opening to begin with
    """

    step: Step
    count: int
    pieces: tuple[Piece, ...]
    marked: tuple[str, ...]
    whole: bool
    tiers: int
    layers: bool
    ornaments: bool
    angle: int

    @property
    def progress(self) -> str:
        """ "Step 3 of 9"."""
        return f"Step {self.step.number} of {self.count}"

    @property
    def caption(self) -> str:
        """What the pictures show."""
        if self.whole and not self.marked:
            return "The finished card."
        shown = "Where this goes in the end." if self.whole else "The card after this step."
        return f"{shown} What is in hand is drawn heavier." if self.marked else shown


def scenes(card: Card, grid: Grid | Length | str | None = None) -> tuple[Scene, ...]:
    """Every assembly step of a card as a scene, in order.

    grid  the ruler to work on, as for `assembly_steps`
    Raises: CardError as `cut_list`.
    """
    every = cut_list(card)
    steps = assembly_steps(card, grid, pieces=every)
    found, standing, matted, adorned = [], 0, False, False
    for step in steps:
        if step.kind in ("push", "foot") and step.tier is not None:
            standing = step.tier
        matted = matted or step.kind == "mat"
        adorned = adorned or step.kind == "ornament"
        whole = step.kind in _WHOLE
        names = step.pieces
        if step.kind in ("foot", "top tab"):
            names = (f"tier {step.tier}",)
        in_hand = tuple(piece for piece in every if piece.name in names)
        found.append(
            Scene(
                step=step,
                count=len(steps),
                pieces=in_hand or every,
                marked=names if 0 < len(in_hand) < len(every) else (),
                whole=whole,
                tiers=len(card.tiers) if whole else standing,
                layers=whole or matted,
                ornaments=whole or adorned,
                angle=_ANGLES.get(step.kind, 90),
            )
        )
    return tuple(found)
