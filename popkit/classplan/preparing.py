"""Before the class: what goes in each bag, and how long the cutting, scoring and bagging take.

Imports: lengths, papers, pieces, roster, classplan.classes, classplan.kits, classplan.order.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from numbers import Rational

from popkit.classplan.classes import ClassPlan
from popkit.classplan.kits import Kit, pads_of
from popkit.classplan.order import PlanError
from popkit.lengths import quoted
from popkit.papers import Envelope
from popkit.pieces import Piece

__all__ = ["Bag", "BagItem", "Job", "Minutes", "Timetable", "kit_list", "timetable"]


# Bags -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class BagItem:
    """One thing in a bag.

    name   of the piece, of the envelope, of the handout
    count  how many of it in each bag
    piece  the `Piece`, or None for what is not cut
    """

    name: str
    count: int
    piece: Piece | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    """Bags that are packed alike.

    kit          what is made from it
    large_print  whether the handout in it is printed large
    count        how many such bags, of which spares are for nobody yet
    labels       of those they are for, where a roster says
    needs        (label, what they need) of those who need something
    items        what goes in
    """

    kit: Kit
    large_print: bool
    count: int
    spares: int
    labels: tuple[str, ...]
    needs: tuple[tuple[str, str], ...]
    items: tuple[BagItem, ...]

    @property
    def name(self) -> str:
        """ "Harbour lights", "Harbour lights, large print"."""
        return self.kit.name + (", large print" if self.large_print else "")

    def text(self) -> str:
        """The bag as one would say it."""
        bags = f"{self.count} bag{'s' * (self.count != 1)}"
        if self.spares:
            bags += f", {self.spares} of them spare"
        items = ", ".join(f"{one.count} × {one.name}" for one in self.items)
        return f"{self.name}: {bags}. In each: {items}."


def kit_list(plan: ClassPlan) -> tuple[Bag, ...]:
    """What goes in each student's bag, card by card; those with large print apart.

    Spare kits are packed with the ordinary print.
    """
    return tuple(bag for kit in plan.kits for bag in _bags(kit))


def _bags(kit: Kit) -> Iterator[Bag]:
    large = kit.large_print
    pieces = tuple(BagItem(name=piece.name, count=piece.count, piece=piece) for piece in kit.pieces)
    sundries = (*pads_of(kit).items(), *kit.extras)
    extras = tuple(BagItem(name=name, count=number) for name, number in sundries)
    if kit.envelope is not None:
        named = kit.envelope.name if isinstance(kit.envelope, Envelope) else kit.envelope
        extras += (BagItem(name=f"envelope, {named}", count=1),)
    for is_large, count in ((False, kit.bags - large), (True, large)):
        if not count:
            continue
        those = [student for student in kit.students if student.large_print == is_large]
        handout = BagItem(name="handout" + (", large print" if is_large else ""), count=1)
        yield Bag(
            kit=kit,
            large_print=is_large,
            count=count,
            spares=0 if is_large else kit.spares,
            labels=tuple(student.label for student in those),
            needs=tuple((student.label, student.needs) for student in those if student.needs),
            items=(*pieces, *extras, handout),
        )


# Hours ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Minutes:
    """How long the tutor takes over one of each; None where they do not know.

    cut      one stroke of the blade, however high the stack
    setting  setting the fence; None where it is counted in the cut
    score    one score line
    slit     one slit with the knife
    bag      packing one bag
    Each is a whole number, a Fraction, a `Decimal` or a text such as "1.5"; 0 or more.
    Raises: PlanError with every fault.
    """

    cut: Fraction | None = None
    setting: Fraction | None = None
    score: Fraction | None = None
    slit: Fraction | None = None
    bag: Fraction | None = None

    def __post_init__(self) -> None:
        faults = []
        for name in self.__slots__:
            value = getattr(self, name)
            if value is None:
                continue
            if isinstance(value, Decimal) and value.is_finite():
                value = Fraction(value)
            elif isinstance(value, str) and re.fullmatch(r"\s*[0-9]{1,4}(\.[0-9]{1,4})?\s*", value):
                value = Fraction(value.strip())
            if isinstance(value, bool) or not isinstance(value, Rational) or not 0 <= value <= 1440:
                faults.append(
                    f"Minutes for a {name}: {quoted(str(value))} is no number of minutes; "
                    'write one such as "1.5".'
                )
                continue
            object.__setattr__(self, name, Fraction(value))
        if faults:
            raise PlanError(*faults)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One stretch of the preparation.

    kind     "setting", "cut", "score", "slit" or "bag"
    what     of which stock or which card
    count    how many
    each     minutes for one, or None where they are not known
    begins   minutes from the start, or None once a stretch before is not known
    """

    kind: str
    what: str
    count: int
    each: Fraction | None
    begins: Fraction | None

    @property
    def minutes(self) -> Fraction | None:
        """For all of them."""
        return None if self.each is None else self.each * self.count

    @property
    def ends(self) -> Fraction | None:
        """Minutes from the start, or None where that is not known."""
        if self.begins is None or self.minutes is None:
            return None
        return self.begins + self.minutes

    def text(self) -> str:
        """The job as one would say it."""
        count = self.count
        words = {
            "setting": f"set the fence {count} time{'s' * (count != 1)}",
            "cut": f"{count} cut{'s' * (count != 1)}",
            "score": f"{count} score line{'s' * (count != 1)}",
            "slit": f"{count} slit{'s' * (count != 1)}",
            "bag": f"pack {count} bag{'s' * (count != 1)}",
        }[self.kind]
        return f"{self.what[:1].upper()}{self.what[1:]}: {words}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Timetable:
    """The preparation, job by job in order."""

    jobs: tuple[Job, ...]

    @property
    def unknown(self) -> tuple[str, ...]:
        """Kinds of job whose minutes are not known."""
        return tuple(dict.fromkeys(job.kind for job in self.jobs if job.each is None))

    @property
    def known(self) -> Fraction:
        """Minutes of the other jobs."""
        return sum((job.minutes for job in self.jobs if job.minutes is not None), Fraction(0))

    @property
    def total(self) -> Fraction | None:
        """Minutes of all; None where some are not known."""
        return None if self.unknown else self.known


def timetable(plan: ClassPlan, minutes: Minutes | None = None) -> Timetable:
    """How long the preparation takes: all of a stock is cut, then the next; then scores, slits, bags.

    minutes  the tutor's own; what is left open there is named in `Timetable.unknown`
    """
    minutes = Minutes() if minutes is None else minutes
    rows: list[tuple[str, str, int]] = []
    for one in plan.stocks:
        if minutes.setting is not None:
            rows.append(("setting", one.name, one.plan.fence_settings))
        rows.append(("cut", one.name, one.plan.strokes))
    for kind, lines in (("score", "creases"), ("slit", "slits")):
        for kit in plan.kits:
            each = sum(len(getattr(piece, lines)) * piece.count for piece in kit.pieces)
            rows.append((kind, kit.name, each * kit.bags))
    rows += [("bag", kit.name, kit.bags) for kit in plan.kits]
    jobs, now = [], Fraction(0)
    for kind, what, count in rows:
        if not count:
            continue
        job = Job(kind=kind, what=what, count=count, each=getattr(minutes, kind), begins=now)
        jobs.append(job)
        now = job.ends
    return Timetable(jobs=tuple(jobs))
