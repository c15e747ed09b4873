"""Cards made up for exercises: fresh sizes from a source of chance, every law kept.

Sizes are whole marks of a ruler, few enough to add in the head: eighths of an inch, millimetres.

Imports: lengths, card.
"""

from __future__ import annotations

from fractions import Fraction
from random import Random

from popkit.card import Card, CutStep, Tier
from popkit.lengths import Grid, LengthError, Q, from_mm, mm

__all__ = ["COARSEST", "Ruled", "invented_card"]

COARSEST = Q(Fraction(1, 2), "inch")
"""On a coarser ruler too few shelves and tabs are left to choose from."""
_EASY = {"inch": Fraction(127, 40), "millimeter": Fraction(1), "centimeter": Fraction(1)}  # mm; 1/8 in


class Ruled:
    """Sizes picked on the easy marks of a ruler.

    Raises: LengthError if the ruler is coarser than `COARSEST`.
    """

    def __init__(self, random: Random, grid: Grid) -> None:
        step = mm(grid.step)
        if step > mm(COARSEST):
            raise LengthError(
                str(grid), "is too coarse a ruler for exercises", "Choose half an inch or finer"
            )
        self.random, self.grid = random, grid
        self.step = step * max(1, -(-_EASY[grid.unit] // step))

    def pick(self, least: int, most: int) -> Fraction:
        """Millimetres between the two, or the first mark after `least` if there is none between."""
        first = max(1, -(-Fraction(least) // self.step))
        last = max(first, Fraction(most) // self.step)
        return self.random.randint(int(first), int(last)) * self.step


def invented_card(random: Random, grid: Grid, count: int | None = None, form: type = Tier) -> Card:
    """A card that closes flat, opens flat and hides, in sizes on the ruler.

    random  the source of chance
    count   1 to 4 tiers; unless given, 2 to 4
    form    `Tier` or `CutStep`
    Raises: LengthError if the ruler is too coarse.
    Source: common practice, no source, for the range of the sizes.
    """
    ruled = Ruled(random, grid)
    count = random.choice((2, 3, 3, 4)) if count is None else count
    depths = [ruled.pick(10, 22) for _ in range(count)]
    faces = [ruled.pick(48, 75)]
    while len(faces) < count:
        faces.append(max(ruled.step, faces[-1] - ruled.pick(5, 12)))
    tab, foot, reach = ruled.pick(7, 10), Fraction(0), Fraction(0)
    for face, depth in zip(faces, depths, strict=True):
        foot += depth
        reach = max(reach, foot + face)
    unit = grid.unit
    tiers = []
    for face, depth in zip(faces, depths, strict=True):
        tabs = {} if form is CutStep else {"top_tab": min(tab, face), "bottom_tab": min(tab, depth)}
        sizes = {"face": face, "depth": depth, **tabs}
        tiers.append(form(**{name: from_mm(size, unit) for name, size in sizes.items()}))
    return Card(
        width=from_mm(ruled.pick(100, 140), unit),
        height=from_mm(reach + ruled.pick(4, 25), unit),
        tiers=tuple(tiers),
    )
