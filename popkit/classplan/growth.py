"""Sheets and waste against the size of a class: the numbers behind the chart.

Imports: recipe, roster, classplan.classes, classplan.kits, classplan.results.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from popkit.classplan.classes import ClassPlan, called, plan_class
from popkit.classplan.kits import Kit, kits_of
from popkit.classplan.order import PlanError
from popkit.classplan.results import Progress
from popkit.recipe import Recipe
from popkit.roster import Roster
from popkit.sections import is_whole

__all__ = ["ClassSize", "class_sizes"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassSize:
    """What a class of one size takes.

    students  how many come
    sheets    how many sheets in all
    bound     no plan takes fewer
    waste     the share of the sheets that is offcut
    stocks    (name of the stock, sheets, waste) for each
    """

    students: int
    sheets: int
    bound: int
    waste: Fraction
    stocks: tuple[tuple[str, int, Fraction], ...]

    @property
    def proved(self) -> bool:
        """Whether sheets and bound agree."""
        return self.sheets == self.bound

    @property
    def per_head(self) -> Fraction:
        """Sheets for each student."""
        return Fraction(self.sheets, self.students)


def class_sizes(
    who: Roster | Recipe | Iterable[tuple[Recipe | Kit, int]],
    sizes: Iterable[int],
    recipes: object = None,
    *,
    spares: int | Mapping[str, int] = 0,
    sheets: object = None,
    turn: str = "grain",
    longest_cut: object = None,
    stages: int | None = None,
    prove: bool = False,
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> tuple[ClassSize, ...]:
    """Sheets, bound and waste for classes of several sizes.

    who       a recipe, or a class as in `plan_class`: of several cards, each size is shared out
              among them as that class is, as nearly as whole students go
    sizes     whole numbers, 1 or more; each is planned once, smallest first
    recipes, spares, sheets, turn, longest_cut, stages
              as in `plan_class`; so many spares for a class of any size, and one sheet for each stock,
              not several to choose from
    prove     whether to go on to the long proofs; without them `bound` may lie below `sheets`
    progress  told when each size is done: phase "class of 12", its sheets and bound, which it is
              and of how many
    stop      asked before each size, and during a long proof; then what is done is returned
    Raises: PlanError with every fault.
    """
    kits = kits_of([(who, 1)] if isinstance(who, Recipe) else who, recipes)
    wanted = list(sizes)
    faults = [
        f"A class of {size!r} cannot be planned; write a whole number, 1 to 100000."
        for size in wanted
        if not is_whole(size, 1, 100_000)
    ]
    if faults or not wanted:
        raise PlanError(*(faults or ["There are no class sizes; write some, as in [6, 12, 24]."]))
    wanted = sorted(set(wanted))
    found: list[ClassSize] = []
    for part, size in enumerate(wanted, 1):
        if stop is not None and stop():
            break
        pairs = [pair for pair in zip(kits, shared_out(size, kits), strict=True) if pair[1]]
        made = {kit.name for kit, _ in pairs}
        several = isinstance(spares, Mapping)
        plan = plan_class(
            pairs,
            spares={name: n for name, n in spares.items() if name in made} if several else spares,
            sheets=_for_those(sheets, [kit for kit, _ in pairs], kits),
            turn=turn,
            longest_cut=longest_cut,
            stages=stages,
            tidy=False,
            prove=prove,
            stop=stop,
        )
        found.append(_point(size, plan))
        if progress is not None:
            best, bound = found[-1].sheets, found[-1].bound
            phase = f"class of {size}"
            progress(
                Progress(phase=phase, stock="", best=best, bound=bound, part=part, parts=len(wanted))
            )
    return tuple(found)


def _for_those(sheets: object, here: Iterable[Kit], kits: Iterable[Kit]) -> object:
    """Sheets by the name of the stock without those of a stock that only the cards not made take."""
    if not isinstance(sheets, Mapping):
        return sheets

    def names(some: Iterable[Kit]) -> set[str]:
        pieces = (piece for kit in some for piece in kit.pieces if piece.stock is not None)
        return {name for piece in pieces for name in called(piece.stock)}

    gone = names(kits) - names(here)
    return {
        key: value for key, value in sheets.items() if getattr(key, "name", key).casefold() not in gone
    }


def shared_out(size: int, kits: tuple[Kit, ...]) -> list[int]:
    """How many of `size` students make each kit, in the proportions of the counts given.

    Whole numbers by the largest remainder; of equal ones the earlier goes first.
    """
    total = sum(kit.count for kit in kits)
    exact = [Fraction(size * kit.count, total) for kit in kits]
    counts = [int(share) for share in exact]
    first = sorted(range(len(kits)), key=lambda n: counts[n] - exact[n])
    for place in first[: size - sum(counts)]:
        counts[place] += 1
    return counts


def _point(size: int, plan: ClassPlan) -> ClassSize:
    if plan.bound is None:
        raise PlanError("Give one sheet for each stock: several to choose from have no one count.")
    return ClassSize(
        students=size,
        sheets=plan.sheets,
        bound=plan.bound,
        waste=plan.waste,
        stocks=tuple((one.name, one.plan.sheets, one.plan.waste) for one in plan.stocks),
    )
