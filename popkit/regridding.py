"""A card restated on another ruler, with its mechanism intact.

Rounding each printed number by itself breaks a card: a score is a running total, so a shelf
rounded through its two scores and a foot rounded by itself part company. Here the
independent sizes are rounded together, as whole numbers of marks, so that a foot is its
shelf by construction and every other law of the card is a row of an integer programme.
Layers and ornaments follow once the mechanism stands (`refinishing`).

Imports: lengths, card, folding, checks, laws, nearest, refinishing.
Source of the laws: `laws`, held to `checks`. Ties go to the even mark: NIST SP 811 (2008), B.7.1.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from popkit.card import Card, CardError, CutStep
from popkit.checks import MECHANISM_RULES, RULES, SEVERITIES, Finding, check
from popkit.folding import FoldError, opening_limit, opens_to
from popkit.laws import Bound, Law, NextMark, Sum, gravest, laws_on, layout, rebuilt, sizes_of
from popkit.lengths import Grid, Length, LengthError, as_grid, from_mm, mm, show_exact, show_length
from popkit.nearest import FAR, Answer, Mark, Programme, Row, TooMany, any_point, optimum, solve
from popkit.refinishing import finishing_marks, refinished

__all__ = [
    "REACH",
    "Break",
    "Linkage",
    "Move",
    "NumberByNumber",
    "RegridError",
    "Regridded",
    "number_by_number",
    "regrid",
    "restated",
]

REACH = 3
"""Marks that a size may end away from its own nearest mark: more is another card, not this one."""

_BESIDE = RULES.keys() - MECHANISM_RULES.keys()
"""Rules about what is put on a card, or how it stands: a restatement tells, but does not ask."""

_FINER = {
    "inch": ("1/4 in", "1/8 in", "1/16 in", "1/32 in"),
    "millimeter": ("5 mm", "2 mm", "1 mm", "0.5 mm"),
}


class RegridError(ValueError):
    """No card on that ruler keeps the laws.

    grid   the ruler
    laws   the fewest and least laws that must be given up on it; pass them as `give_up` to go on
    finer  the coarsest finer ruler on which all of them can be kept, or None
    """

    def __init__(
        self, grid: Grid, lost: tuple[Law, ...], finer: Grid | None = None, limits: str = ""
    ) -> None:
        self.grid, self.laws, self.finer = grid, lost, finer
        words = f"No card on a ruler of {grid} keeps every law of this one{limits}."
        if lost:
            words += f" To go on, give up: {'; '.join(law.text for law in gravest(lost))}."
        if finer is not None:
            words += f" Or use a finer ruler: {finer} keeps them all."
        super().__init__(words)


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One cut or score (or one size) and where it went.

    piece    name of the piece, or "card" for an independent size
    mark     "width", "length", "score 1", ...: position from the top end, a slit's from the left
    exact    where it was
    rounded  where it is, on the ruler
    shift    rounded - exact, in the ruler's unit
    """

    piece: str
    mark: str
    exact: Length
    rounded: Length
    shift: Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Regridded:
    """A card restated on a ruler.

    source   the card it restates, in exact sizes
    card     the card on the ruler
    grid     the ruler
    moves    a `Move` for every cut and every score of every piece, in cutting order; the layers
             and ornaments last, with their reveals and places
    sizes    a `Move` for every independent size of the card
    bound    no mechanism on this ruler that keeps these laws has a smaller worst shift
    proved   the worst shift equals the bound, exactly; the solver closed the gap of the total;
             every law was checked again on the finished card; layers and ornaments follow
             rules of their own and are no part of the proof
    kept     the laws it keeps
    let_go   laws not asked for: already broken by the source, or given up on request
    fresh    findings of `check` that the source did not have
    notes    what the tutor should know, in sentences
    """

    source: Card
    card: Card
    grid: Grid
    moves: tuple[Move, ...]
    sizes: tuple[Move, ...]
    bound: Length
    proved: bool
    kept: tuple[Law, ...]
    let_go: tuple[Law, ...]
    fresh: tuple[Finding, ...]
    notes: tuple[str, ...]

    @property
    def mechanism(self) -> tuple[Move, ...]:
        """The moves of back, front and tiers."""
        finishing = {one.name for one in (*self.source.layers, *self.source.ornaments)}
        return tuple(move for move in self.moves if move.piece not in finishing)

    @property
    def finishing(self) -> tuple[Move, ...]:
        """The moves of layers and ornaments."""
        finishing = {one.name for one in (*self.source.layers, *self.source.ornaments)}
        return tuple(move for move in self.moves if move.piece in finishing)

    @property
    def worst(self) -> Length:
        """The largest shift of any cut or score of the mechanism."""
        return from_mm(max(abs(mm(move.shift)) for move in self.mechanism), self.grid.unit)

    @property
    def total(self) -> Length:
        """The sum of the shifts of all cuts and scores of the mechanism."""
        return from_mm(sum(abs(mm(move.shift)) for move in self.mechanism), self.grid.unit)

    @property
    def nudged(self) -> tuple[Move, ...]:
        """The moves that a law sent to another mark than their nearest."""
        return tuple(move for move in self.moves if abs(mm(move.shift)) * 2 > mm(self.grid.step))

    def __str__(self) -> str:
        size = f"{show_exact(self.card.width)} × {show_exact(self.card.height)}"
        least = "proved to be the least" if self.proved else f"not below {show_exact(self.bound)}"
        return f"{size} on a ruler of {self.grid}: worst shift {show_exact(self.worst)}, {least}."


# From a card to the programme and back ------------------------------------------


class _Case:
    """One restatement: a form of card, the sizes to be near, the ruler, the laws to keep."""

    def __init__(
        self,
        card: Card,
        target: Mapping[str, Fraction],
        grid: Grid,
        give_up: Iterable[Law | str] = (),
        pinned: Mapping[str, Fraction] | None = None,
        reach: int | None = REACH,
    ) -> None:
        self.card, self.target, self.grid = card, dict(target), grid
        self.step = mm(grid.step)
        self.columns = {name: column for column, name in enumerate(self.target)}
        self.pinned, self.reach, self.give_up = dict(pinned or {}), reach, tuple(give_up)
        sums = layout(card, {name: Sum({name: 1}) for name in self.target})
        self.sums = sums.quantities
        self.exact = layout(card, self.target).marks
        _all_there(self.exact)
        self.marks = self._marks(sums.marks)
        self.low, self.high = self._bounds()
        self._take_laws()

    def _take_laws(self) -> None:
        """Which laws to keep, and their rows: for sure, or one way or the other."""
        as_it_is = layout(self.card, sizes_of(self.card)).quantities
        self.kept: list[Law] = []
        self.already: list[Law] = []
        self.dropped: list[Law] = []
        for before, after in zip(*laws_on(self.card, self.grid.unit), strict=True):
            if not before.holds(as_it_is):
                self.already.append(after)
            elif after.rule in self.give_up or after in self.give_up:
                self.dropped.append(after)
            else:
                self.kept.append(after)
        self.hopeless: list[Law] = []
        self.single: dict[int, list[Row]] = {}
        self.forks: dict[int, list[list[Row]]] = {}
        for place, law in enumerate(self.kept):
            ways = self.ways_of(law)
            if not ways:
                self.hopeless.append(law)
            elif len(ways) == 1:
                self.single[place] = ways[0]
            else:
                self.forks[place] = ways

    def _terms(self, total: Sum) -> tuple[tuple[int, int], ...]:
        return tuple(sorted((self.columns[name], times) for name, times in total.terms.items()))

    def _marks(self, named: Iterable[tuple[str, str, Sum]]) -> tuple[Mark, ...]:
        counted: dict[tuple, int] = {}
        for _, _, total in named:
            terms = self._terms(total)
            counted[terms] = counted.get(terms, 0) + 1
        values = list(self.target.values())
        return tuple(
            Mark(terms, sum(times * values[column] for column, times in terms) / self.step, often)
            for terms, often in counted.items()
        )

    def _bounds(self) -> tuple[list[int], list[int]]:
        low, high = [], []
        for name, value in self.target.items():
            if name in self.pinned:
                low.append(int(self.pinned[name] / self.step))
                high.append(low[-1])
                continue
            nearest = round(value / self.step)
            least = 0 if name in ("gap", "side insets") or name.endswith("margin") else 1
            far = self.reach if self.reach is not None else nearest + math.ceil(100 / self.step)
            low.append(max(least, nearest - far))
            high.append(max(least, nearest + far))
        return low, high

    def _row(self, bound: Bound) -> Row:
        """A bound as a row of whole numbers of marks."""
        total = Sum({})
        for what, times in bound.terms.items():
            total += times * self.sums[what]
        least = bound.least / self.step
        return self._terms(total), math.floor(least) + 1 if bound.strict else math.ceil(least), FAR

    def _rows_to(self, bound: NextMark) -> list[Row]:
        """The rows of a `NextMark`; on a ruler finer than its own they need a column for the mark."""
        if not self._binds(self._row(bound.at_once)):
            return []
        marks = bound.mark / self.step
        if marks.numerator == 1:  # every mark of the ruler in use is one of the other's
            return [self._row(bound.on_marks)]
        less, more = (self._terms(self.sums[what]) for what in (bound.less, bound.more))
        column, often = len(self.low), marks.denominator
        extra = bound.extra / self.step
        last = sum(t * (self.high[c] if t > 0 else self.low[c]) for c, t in more) + extra
        self.low.append(0)
        self.high.append(math.ceil(last / marks))
        # often * less <= n * mark, and n * mark < often * (more + extra + mark)
        reached = [(column, marks.numerator), *((c, -often * t) for c, t in less)]
        within = [(column, -marks.numerator), *((c, often * t) for c, t in more)]
        return [
            (tuple(sorted(reached)), 0, FAR),
            (tuple(sorted(within)), math.floor(-often * (extra + marks)) + 1, FAR),
        ]

    def _rows_of(self, way: Iterable[Bound | NextMark]) -> list[Row]:
        """One way of a law as rows."""
        rows: list[Row] = []
        for bound in way:
            rows += self._rows_to(bound) if isinstance(bound, NextMark) else [self._row(bound)]
        return rows

    def _spans(self, row: Row) -> tuple[int, int]:
        first = sum(t * (self.low[c] if t > 0 else self.high[c]) for c, t in row[0])
        last = sum(t * (self.high[c] if t > 0 else self.low[c]) for c, t in row[0])
        return first, last

    def _binds(self, row: Row) -> bool:
        return self._spans(row)[0] < row[1]

    def ways_of(self, law: Law) -> list[list[Row]]:
        """The ways of a law that are not out of the question; [[]] if it cannot be broken."""
        ways = []
        for way in law.ways:
            rows = self._rows_of(way)
            if any(self._spans(row)[1] < row[1] for row in rows):
                continue
            binding = [row for row in rows if self._binds(row)]
            if not binding:
                return [[]]
            ways.append(binding)
        return ways

    def _leaves(self, attempt: Callable[[dict[int, list[Row]]], _Found | None]) -> Iterator[_Found]:
        """What `attempt` finds once every law with two ways holds one way or the other.

        Such a law is left out until an answer breaks it, which is rare; then each of its ways is
        tried in turn. `attempt` takes {place of the law in `kept`: the rows of the way chosen}.
        """
        stack: list[dict[int, list[Row]]] = [{}]
        while stack:
            chosen = stack.pop()
            found = attempt(chosen)
            if found is None:
                continue
            for place, ways in self.forks.items():
                if place not in chosen and not any(_hold(way, found.values) for way in ways):
                    stack += [{**chosen, place: way} for way in ways]
                    break
            else:
                yield found

    def _programme(self, chosen: dict[int, list[Row]]) -> Programme:
        exact = tuple(value / self.step for value in self.target.values())
        rows = dict.fromkeys(row for way in (self.single | chosen).values() for row in way)
        finished = (self.columns["width"], self.columns["height"])
        return Programme(tuple(self.low), tuple(self.high), tuple(rows), self.marks, exact, finished)

    def best(self) -> Answer | None:
        """The best answer, or None if no card keeps the laws."""
        if self.hopeless:
            return None
        answers = list(self._leaves(lambda chosen: optimum(self._programme(chosen))))
        if not answers:
            return None
        best = min(answers, key=lambda answer: (answer.worst, answer.total))
        bound = min(answer.bound for answer in answers)
        proved = all(answer.proved for answer in answers)
        return Answer(best.values, best.worst, best.total, bound, proved)

    @property
    def limits(self) -> str:
        """What binds besides the laws, in words."""
        words = [" at that finished size"] if self.pinned else []
        words += [f" with every size within {self.reach} marks of what it was"] if self.reach else []
        return " and".join(words)

    def possible(self) -> bool:
        """Whether any card on the ruler keeps the laws."""
        return not self.hopeless and any(self._leaves(lambda chosen: _point(self._programme(chosen))))

    def sacrifice(self) -> tuple[Law, ...]:
        """The fewest and least laws to give up so that a card exists on the ruler.

        A note weighs 1, a caution more than all notes, a stop more than all cautions.
        """
        count = len(self.low)
        weights = {
            name: (len(self.kept) + 1) ** place for place, name in enumerate(reversed(SEVERITIES))
        }

        def attempt(chosen: dict[int, list[Row]]) -> _Loss | None:
            rows: list = []
            slack: dict[int, int] = {}
            for place, way in (self.single | chosen).items():
                for terms, least, most in way:
                    short = least - self._spans((terms, least, most))[0]
                    if self.kept[place].rule == "exists":
                        rows.append((terms, least, math.inf))
                    elif short > 0:
                        column = slack.setdefault(place, count + len(slack))
                        rows.append(((*terms, (column, short)), least, math.inf))
            found = solve(
                [0.0] * count + [float(weights[self.kept[place].severity]) for place in slack],
                [*self.low, *[0.0] * len(slack)],
                [*self.high, *[1.0] * len(slack)],
                count + len(slack),
                rows,
            )
            if found is None:
                return None
            values = found[0]
            lost = tuple(self.kept[place] for place, column in slack.items() if values[column])
            return _Loss(values[:count], lost)

        def cost(loss: _Loss) -> int:
            return sum(weights[law.severity] for law in loss.laws)

        losses = list(self._leaves(attempt))
        return (*self.hopeless, *(min(losses, key=cost).laws if losses else ()))

    def sizes(self, values: Sequence[int]) -> dict[str, Fraction]:
        """The independent sizes with these whole numbers of marks, in millimetres."""
        return {name: values[column] * self.step for name, column in self.columns.items()}

    def made(self, values: Sequence[int]) -> Card:
        """The card with these whole numbers of marks."""
        return rebuilt(self.card, self.sizes(values), self.grid.unit)

    def moves(self, values: Sequence[int]) -> tuple[Move, ...]:
        """Every cut and score, where it was and where it is."""
        after = layout(self.card, self.sizes(values)).marks
        return tuple(
            _move(self.card, self.grid, piece, mark, exact, rounded)
            for (piece, mark, exact), (_, _, rounded) in zip(self.exact, after, strict=True)
        )

    def size_moves(self, values: Sequence[int]) -> tuple[Move, ...]:
        """Every independent size, what it was and what it is."""
        return tuple(
            _move(self.card, self.grid, "card", name, self.target[name], rounded)
            for name, rounded in self.sizes(values).items()
        )


def _all_there(marks: Iterable[tuple[str, str, Fraction]]) -> None:
    """Raises: CardError if a piece has no size, or is to be scored where it is not."""
    faults = [
        f"{piece}: {mark} is nothing or less."
        for piece, mark, at in marks
        if at <= 0 and not mark.endswith("slit")  # a step as wide as the card is only a finding
    ]
    if faults:
        raise CardError(*faults)


@dataclass(frozen=True)
class _Loss:
    """Whole values, and the laws they do not keep."""

    values: list[int]
    laws: tuple[Law, ...] = ()


_Found = Answer | _Loss


def _hold(way: Iterable[Row], values: Sequence[int]) -> bool:
    return all(
        least <= sum(times * values[column] for column, times in terms) for terms, least, _ in way
    )


def _point(programme: Programme) -> _Loss | None:
    """Any whole values that keep the rows."""
    try:
        values = any_point(programme, programme.rows)
    except TooMany:
        count = len(programme.low)
        found = solve([0.0] * count, programme.low, programme.high, count, programme.rows)
        values = None if found is None else found[0]
    return None if values is None else _Loss(values)


def _move(card: Card, grid: Grid, piece: str, mark: str, exact: Fraction, rounded: Fraction) -> Move:
    return Move(
        piece=piece,
        mark=mark,
        exact=card.length(exact),
        rounded=from_mm(rounded, grid.unit),
        shift=from_mm(rounded - exact, grid.unit),
    )


def _finishing_moves(source: Card, made: Card, grid: Grid) -> Iterator[Move]:
    """Where the marks of layers and ornaments went. One that was left out is in the notes; a place
    that is now written down, or no longer, moves from or to where it would be without.
    """
    before, after = finishing_marks(source), finishing_marks(made)
    for (piece, mark), rounded in after.items():
        exact = before.get((piece, mark))
        if exact is not None:
            yield _move(source, grid, piece, mark, exact, rounded)


def _fresh(before: Card, after: Card) -> tuple[Finding, ...]:
    """Findings of `after` that `before` did not have, or had less gravely."""
    found = check(after)
    if not found:
        return ()
    had: dict[tuple[str, str], list[int]] = {}
    for finding in check(before):  # the gravest first
        had.setdefault((finding.rule, finding.where), []).append(SEVERITIES.index(finding.severity))
    fresh = []
    for finding in found:
        left = had.get((finding.rule, finding.where), [])
        if left and left[0] <= SEVERITIES.index(finding.severity):
            left.pop(0)
        else:
            fresh.append(finding)
    return tuple(fresh)


def _notes(case: _Case, made: Card, fresh: tuple[Finding, ...]) -> Iterator[str]:
    before, after = (layout(card, sizes_of(card)).quantities for card in (case.card, made))
    for law in gravest(law for law in case.already if not law.holds(after)):
        was, now = law.short(before), law.short(after)
        grown = f", and falls short by {_size(case, now)} instead of {_size(case, was)}"
        yield (
            f"The card does not keep this law as it is, and still does not: {law.text}"
            + (f"{grown}." if now > was else ".")
        )
    for name, value in case.target.items():
        if 0 < 2 * value < case.step and case.low[case.columns[name]] > 0:
            size = show_exact(case.card.length(value))
            yield f"{name.capitalize()}, {size}, is finer than half a mark of this ruler."
    for finding in fresh:
        yield f"New on this ruler: {finding.message}"


def _size(case: _Case, value: Fraction) -> str:
    return show_exact(from_mm(value, case.grid.unit))


def restated(
    card: Card,
    target: Mapping[str, Fraction],
    grid: Grid,
    *,
    source: Card,
    give_up: Iterable[Law | str] = (),
    pinned: Mapping[str, Fraction] | None = None,
    reach: int | None = None,
) -> Regridded:
    """A card of the form of `card`, near `target`, on a ruler, keeping the laws `card` keeps.

    target  keys as `laws.sizes_of(card)`, exact millimetres
    source  the card with exactly these sizes
    pinned  sizes that must be just so, in millimetres that lie on a mark
    reach   marks that a size may end from its own nearest mark; unless given, any
    Raises: RegridError if no card on the ruler keeps the laws.
    """
    case = _Case(card, target, grid, give_up, pinned, reach)
    answer = case.best()
    if answer is None:
        raise RegridError(case.grid, case.sacrifice(), _finer(case), case.limits)
    made, finish = refinished(card, source, case.made(answer.values), case.grid)
    fresh = _fresh(card, made)
    quantities = layout(made, sizes_of(made)).quantities
    held = all(law.holds(quantities) for law in case.kept)
    free = {(law.rule, law.where) for law in case.dropped}
    finishing = {one.name for one in (*made.layers, *made.ornaments)}
    clean = held and all(
        (finding.rule, finding.where) in free or finding.rule in _BESIDE or finding.where in finishing
        for finding in fresh
    )
    return Regridded(
        source=source,
        card=made,
        grid=grid,
        moves=(*case.moves(answer.values), *_finishing_moves(source, made, case.grid)),
        sizes=case.size_moves(answer.values),
        bound=from_mm(answer.bound * case.step, grid.unit),
        proved=answer.proved and clean,
        kept=tuple(case.kept),
        let_go=(*case.already, *case.dropped),
        fresh=fresh,
        notes=(*_notes(case, made, fresh), *finish),
    )


def _finer(case: _Case) -> Grid | None:
    """The coarsest finer ruler on which every law can be kept."""
    for step in _FINER["inch" if case.grid.unit == "inch" else "millimeter"]:
        grid = Grid(step)
        whole = all((size / mm(grid.step)).denominator == 1 for size in case.pinned.values())
        if mm(grid.step) >= case.step or not whole:
            continue
        if _Case(case.card, case.target, grid, case.give_up, case.pinned, case.reach).possible():
            return grid
    return None


def regrid(card: Card, grid: Grid | Length | str, *, give_up: Iterable[Law | str] = ()) -> Regridded:
    """The card restated on a ruler: every cut and score on a mark, every law kept.

    grid     the ruler: "1/16 in", "1 mm", "0.5 mm", ...
    give_up  laws not to ask for: `Law`s of a `RegridError`, or keys of `checks.RULES`
    Returns: of all cards whose sizes end within `REACH` marks of what they were and that keep
    every law this card keeps, the one with the smallest largest shift of any cut or score;
    of those, the smallest sum of shifts; of those, the finished size nearest to the old one.
    A law that the card already breaks is not asked for, and `notes` says so.
    Raises: RegridError if there is no such card; CardError if a piece has no size.
    """
    return restated(card, sizes_of(card), as_grid(grid), source=card, give_up=give_up, reach=REACH)


# Number by number, for comparison ------------------------------------------------

PLACING = "placing lines"
"""The piece under which `number_by_number` lists lines on the front."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Linkage:
    """One tier as its rounded scores make it.

    number      of the tier, from 1
    foot        from the face behind (or the fold) to where its face is glued
    shelf, face between its scores; 0 or less where two scores met
    attachment  height at which the shelf must be glued for the card to close flat
    opens_to    degrees, 180 if flat; None if the tier cannot be made at all
    """

    number: int
    foot: Length
    shelf: Length
    face: Length
    attachment: Length
    opens_to: float | None

    @property
    def parallel(self) -> bool:
        """Whether foot and shelf are equal, so that the face stays parallel to the back."""
        return mm(self.foot) == mm(self.shelf)


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """A law that rounding broke.

    rule      "parallelogram", "vanished", or the key in `checks.RULES` of the law
    severity  "stop", "caution" or "note"
    where     the part it is about
    message   what became of it
    """

    rule: str
    severity: str
    where: str
    message: str

    def __str__(self) -> str:
        return self.message


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberByNumber:
    """A cut list with every printed number rounded by itself, and the card it makes.

    source    the card in exact sizes
    grid      the ruler
    numbers   a `Move` for every cut and score of the cut list, and for every line on the front
              at which a foot or the clear sheet is placed, counted from the fold
    linkages  what became of each tier
    card      a card with the shelves and faces that the rounded scores leave, or None if some
              size has become nothing; its feet belong where `slips` puts them
    slips     {tier number: how much too far out its foot is glued}, for `folding.pose`
    opens_to  degrees to which the whole card opens when its glued tiers are glued so that it
              closes flat, or None if it cannot be made
    breaks    every law the source keeps and the rounded numbers do not
    """

    source: Card
    grid: Grid
    numbers: tuple[Move, ...]
    linkages: tuple[Linkage, ...]
    card: Card | None
    slips: Mapping[int, Length]
    opens_to: float | None
    breaks: tuple[Break, ...]

    @property
    def works(self) -> bool:
        """Whether rounding broke nothing."""
        return not self.breaks

    def __str__(self) -> str:
        return " ".join(str(broke) for broke in self.breaks) or "Rounding broke nothing."


def number_by_number(card: Card, grid: Grid | Length | str) -> NumberByNumber:
    """Round every printed number of the card by itself, as converting a text does.

    The numbers are those of the cut list (sizes, score positions, slits) and of the placing
    lines on the front. For teaching: use `regrid` for a card that works.
    Raises: CardError if a piece of the card itself has no size.
    """
    grid = as_grid(grid)
    step, unit = mm(grid.step), grid.unit
    exact = layout(card, sizes_of(card))
    _all_there(exact.marks)
    printed = (*exact.marks, *_placing(card))
    rounded = {(piece, mark): round(at / step) * step for piece, mark, at in printed}
    found = _as_rounded(card, rounded)
    linkages = tuple(_linkages(card, found, unit))
    slips, glued = {}, Fraction(0)
    for number, tier in enumerate(card.tiers, 1):
        glued += found["shelf", number]
        if not isinstance(tier, CutStep):
            slips[number] = from_mm(found["foot", number] - glued, unit)
    made = _made(card, found, unit)
    opening = None
    if made is not None and all(linkage.opens_to is not None for linkage in linkages):
        with suppress(FoldError):
            opening = opens_to(made, slips)
    return NumberByNumber(
        source=card,
        grid=grid,
        numbers=tuple(
            _move(card, grid, piece, mark, at, rounded[piece, mark]) for piece, mark, at in printed
        ),
        linkages=linkages,
        card=made,
        slips=slips,
        opens_to=opening,
        breaks=tuple(_breaks(card, exact.quantities, found, linkages, grid)),
    )


def _placing(card: Card) -> Iterator[tuple[str, str, Fraction]]:
    """Lines on the front that a recipe prints beside its cut list, counted from the fold."""
    for number, (tier, foot) in enumerate(zip(card.tiers, card.feet_mm, strict=True), 1):
        if not isinstance(tier, CutStep):
            yield PLACING, f"tier {number} foot", foot
    if card.front.carries_feet:
        yield PLACING, f"{card.front.panel_name} edge", card.front.gap_in(card)


def _as_rounded(card: Card, rounded: Mapping[tuple[str, str], Fraction]) -> dict:
    """What the rounded numbers make of each quantity, in millimetres."""
    front, panel = card.front, card.front.panel_name
    back = "back and front" if panel is None else "back"
    tall = rounded[back, "score 1"]
    flap = rounded[back, "length"] - tall
    found = {("width", 0): rounded[back, "width"], ("height", 0): tall, ("flap", 0): flap}
    found |= {("piece width", 0): rounded[back, "width"], ("piece length", 0): rounded[back, "length"]}
    found[("front length", 0)] = flap
    if panel is not None:
        edge = rounded.get((PLACING, f"{panel} edge"), Fraction(0))
        found[("panel width", 0)] = rounded[panel, "width"]
        found[("panel length", 0)] = rounded[panel, "length"]
        found[("front length", 0)] = edge + rounded[panel, "length"]
        if front.carries_feet:
            found[("gap", 0)] = edge
    for number, tier in enumerate(card.tiers, 1):
        name = f"tier {number}"
        if isinstance(tier, CutStep):
            start, edge, foot = (
                rounded[back, f"{name} {mark}"] for mark in ("attachment", "shelf edge", "foot")
            )
            left, right = (rounded[back, f"{name} {side} slit"] for side in ("left", "right"))
            found |= {("slit start", number): start, ("slit stop", number): foot}
            found |= {("margin", number): left, ("tier width", number): right - left}
            found |= {("shelf", number): edge - start, ("face", number): foot - edge}
            found[("foot", number)] = foot - tall
            continue
        ends = [rounded[name, mark] for mark in ("score 1", "score 2", "score 3", "length")]
        found[("top tab", number)] = ends[0]
        for zone, (start, stop) in zip(("shelf", "face", "bottom tab"), pairwise(ends), strict=True):
            found[(zone, number)] = stop - start
        found[("tier width", number)] = found[("piece width", number)] = rounded[name, "width"]
        found[("piece length", number)] = ends[-1]
        found[("foot", number)] = rounded[PLACING, f"{name} foot"]
    return found


def _linkages(card: Card, found: Mapping, unit: str) -> Iterator[Linkage]:
    behind = Fraction(0)
    for number, tier in enumerate(card.tiers, 1):
        shelf, face = found["shelf", number], found["face", number]
        foot = found["foot", number] - behind
        if isinstance(tier, CutStep):  # cut from one sheet, so it hangs where its slits begin
            attachment = found["height", 0] + behind - found["slit start", number]
        else:
            attachment = foot + face - shelf
        behind = found["foot", number]
        opening = None
        if min(foot, shelf, face, attachment) > 0:
            with suppress(FoldError):
                opening = opening_limit(
                    foot=from_mm(foot),
                    shelf=from_mm(shelf),
                    face=from_mm(face),
                    attachment=from_mm(attachment),
                )
        yield Linkage(
            number=number,
            foot=from_mm(foot, unit),
            shelf=from_mm(shelf, unit),
            face=from_mm(face, unit),
            attachment=from_mm(attachment, unit),
            opens_to=opening,
        )


def _made(card: Card, found: Mapping, unit: str) -> Card | None:
    """The card with the shelves, faces and tabs that the rounded numbers leave, if there is one."""
    sizes = {}
    for name in sizes_of(card):
        words = name.split()
        if words[0] == "tier":
            kind = "tier width" if words[2] == "width" else " ".join(words[2:])
            sizes[name] = found[kind, int(words[1])]
    whole = {
        "width": ("width", 0),
        "height": ("height", 0),
        "front length": ("front length", 0),
        card.front.flap_name: ("flap", 0),
        "gap": ("gap", 0),
        f"{card.front.panel_name} width": ("panel width", 0),
    }
    sizes |= {name: found[what] for name, what in whole.items() if what in found}
    for number, tier in enumerate(card.tiers, 1):
        if not isinstance(tier, CutStep) and tier.width is None:
            sizes["side insets"] = found["width", 0] - found["tier width", number]
    try:
        return rebuilt(card, sizes, unit)
    except (CardError, LengthError):
        return None


def _breaks(
    card: Card, exact: Mapping, found: Mapping, linkages: Iterable[Linkage], grid: Grid
) -> Iterator[Break]:
    for linkage in linkages:
        here = f"tier {linkage.number}"
        gone = [part for part in ("foot", "shelf", "face") if mm(getattr(linkage, part)) <= 0]
        if gone:
            yield Break(
                rule="vanished",
                severity="stop",
                where=here,
                message=f"{here.capitalize()}'s {' and '.join(gone)} came to nothing.",
            )
        elif not linkage.parallel:
            if isinstance(card.tiers[linkage.number - 1], CutStep):
                then = "the card no longer closes flat"
            elif linkage.opens_to is None:
                then = "shelf and face no longer meet"
            elif linkage.opens_to == 180:
                then = "its face is no longer parallel to the back"
            else:
                then = f"the card stops at {linkage.opens_to:.0f}°"
            yield Break(
                rule="parallelogram",
                severity="stop",
                where=here,
                message=(
                    f"{here.capitalize()}'s foot is {show_length(linkage.foot, grid)} out but its "
                    f"shelf is {show_length(linkage.shelf, grid)} deep: {then}."
                ),
            )
    gone = [
        after
        for before, after in zip(*laws_on(card, grid.unit), strict=True)
        if before.holds(exact) and not after.holds(found)
    ]
    for law in gravest(gone):
        yield Break(
            rule=law.rule,
            severity=law.severity,
            where=law.where,
            message=f"No longer true: {law.text}.",
        )
