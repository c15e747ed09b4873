"""Before the class: what goes in each bag, and how long the cutting, scoring and bagging take.

Imports: lengths, language, papers, pieces, roster, classplan.classes, classplan.kits,
classplan.naming, classplan.order.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from numbers import Rational

from popkit.classplan.classes import ClassPlan
from popkit.classplan.kits import Kit, pad_name, pads_of
from popkit.classplan.naming import anded, card_name, piece_name
from popkit.classplan.order import PlanError
from popkit.language import BRITISH, Language, as_language
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
    language     of its words
    """

    kit: Kit
    large_print: bool
    count: int
    spares: int
    labels: tuple[str, ...]
    needs: tuple[tuple[str, str], ...]
    items: tuple[BagItem, ...]
    language: Language = BRITISH

    @property
    def name(self) -> str:
        """ "Harbour lights", "Harbour lights, large print"."""
        card = card_name(self.kit.name, self.language)
        return self.language.say("{card}, large print", card=card) if self.large_print else card

    @property
    def counted(self) -> str:
        """ "9 bags", "9 bags, 1 of them spare"."""
        if self.spares:
            return self.language.many(
                self.count,
                "{count} bag, {spare} of them spare",
                "{count} bags, {spare} of them spare",
                spare=self.spares,
            )
        return self.language.many(self.count, "{count} bag", "{count} bags")

    def text(self) -> str:
        """The bag as one would say it."""
        return self.language.say(
            "{card}: {bags}. In each: {items}.",
            card=self.name,
            bags=self.counted,
            items=", ".join(f"{one.count} × {one.name}" for one in self.items),
        )


def kit_list(plan: ClassPlan, *, language: Language | str = BRITISH) -> tuple[Bag, ...]:
    """What goes in each student's bag, card by card; those with large print apart.

    Spare kits are packed with the ordinary print.
    """
    language = as_language(language)
    return tuple(bag for kit in plan.kits for bag in _bags(kit, language))


def _bags(kit: Kit, language: Language) -> Iterator[Bag]:
    large, say = kit.large_print, language.say
    pieces = tuple(
        BagItem(name=piece_name(piece.name, language), count=piece.count, piece=piece)
        for piece in kit.pieces
    )
    pads = [(pad_name(pad, language), number) for pad, number in pads_of(kit)]
    sundries = (*pads, *kit.extras)
    extras = tuple(BagItem(name=name, count=number) for name, number in sundries)
    if kit.envelope is not None:
        named = kit.envelope.name if isinstance(kit.envelope, Envelope) else kit.envelope
        extras += (BagItem(name=say("envelope, {name}", name=named), count=1),)
    for is_large, count in ((False, kit.bags - large), (True, large)):
        if not count:
            continue
        those = [student for student in kit.students if student.large_print == is_large]
        handout = BagItem(name=say("handout, large print") if is_large else say("handout"), count=1)
        yield Bag(
            kit=kit,
            large_print=is_large,
            count=count,
            spares=0 if is_large else kit.spares,
            labels=tuple(student.label for student in those),
            needs=tuple((student.label, student.needs) for student in those if student.needs),
            items=(*pieces, *extras, handout),
            language=language,
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
                shown = str(value)
                if isinstance(value, str) and re.fullmatch(r"\s*[0-9]{1,4},[0-9]{1,4}\s*", value):
                    why = f'has a decimal comma; write "{value.strip().replace(",", ".")}".'
                else:
                    why = 'is no number of minutes; write one such as "1.5".'
                faults.append(f"Minutes for a {name}: {quoted(shown)} {why}")
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
    language of its words, in which `what` is
    """

    kind: str
    what: str
    count: int
    each: Fraction | None
    begins: Fraction | None
    language: Language = BRITISH

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
        many, count = self.language.many, self.count
        what = f"{self.what[:1].upper()}{self.what[1:]}"
        if self.kind == "setting":
            return many(
                count,
                "{what}: set the fence {count} time",
                "{what}: set the fence {count} times",
                what=what,
            )
        if self.kind == "cut":
            return many(count, "{what}: {count} cut", "{what}: {count} cuts", what=what)
        if self.kind == "score":
            return many(count, "{what}: {count} score line", "{what}: {count} score lines", what=what)
        if self.kind == "slit":
            return many(count, "{what}: {count} slit", "{what}: {count} slits", what=what)
        return many(count, "{what}: pack {count} bag", "{what}: pack {count} bags", what=what)


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


def timetable(
    plan: ClassPlan, minutes: Minutes | None = None, *, language: Language | str = BRITISH
) -> Timetable:
    """How long the preparation takes: all of a stock is cut, then the next; then scores, slits, bags.

    minutes  the tutor's own; what is left open there is named in `Timetable.unknown`
    """
    minutes, language = Minutes() if minutes is None else minutes, as_language(language)
    rows: list[tuple[str, str, int]] = []
    for one, name in zip(plan.stocks, _stock_names(plan, language), strict=True):
        if minutes.setting is not None:
            rows.append(("setting", name, one.plan.fence_settings))
        rows.append(("cut", name, one.plan.strokes))
    for kind, lines in (("score", "creases"), ("slit", "slits")):
        for kit in plan.kits:
            each = sum(len(getattr(piece, lines)) * piece.count for piece in kit.pieces)
            rows.append((kind, card_name(kit.name, language), each * kit.bags))
    rows += [("bag", card_name(kit.name, language), kit.bags) for kit in plan.kits]
    jobs, now = [], Fraction(0)
    for kind, what, count in rows:
        if not count:
            continue
        each = getattr(minutes, kind)
        job = Job(kind=kind, what=what, count=count, each=each, begins=now, language=language)
        jobs.append(job)
        now = job.ends
    return Timetable(jobs=tuple(jobs))


def _stock_names(plan: ClassPlan, language: Language) -> list[str]:
    """What each stock of the plan is called; with its sheets where two are called alike."""
    names = [language.name(one.name) for one in plan.stocks]
    told = []
    for one, name in zip(plan.stocks, names, strict=True):
        if names.count(name) > 1:
            sheets = dict.fromkeys(sheet.name for sheet, *_ in one.plan.sheet_counts)
            name = f"{name}, {anded(sheets, language)}"
        told.append(name)
    for place, (one, name) in enumerate(zip(plan.stocks, list(told), strict=True)):
        if told.count(name) > 1 and one.stock is not None:
            told[place] = f"{name}, {round(one.stock.grammage)} g/m²"
    return told
