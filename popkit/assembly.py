"""How a card is put together: what it takes, every mark in order, and the steps in plain words.

The words are made from the card, so they are right for each front and each form of tier.
Every length in them stands on two rulers: the one to work on, and the other in brackets.

How a glued tier is set, seen from the side with the card closed: the bottom tab and the face
lie flat on the front, good side down; the shelf and the top tab are folded back over the face,
good side up. Closing the card brings what stands behind down on the top tab, so the tab sets
itself where it lands and the tier is a parallelogram however the foot was measured.

Imports: lengths, papers, card, pieces, folding.
Sources: each caution names its own. The way of setting the top tab is common practice, no source;
that it makes a parallelogram is the first of the Smith College conditions (see `folding`).
"""

from __future__ import annotations

import math
import re
import string
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from popkit.card import Card, CutStep, Tier, grid_for
from popkit.folding import FoldError, closed_margins, opens_to, pose
from popkit.lengths import Grid, Length, as_grid, mm, show_length
from popkit.papers import Stock
from popkit.pieces import Piece, Zone, cut_list

__all__ = [
    "Caution",
    "Mark",
    "Material",
    "Rulers",
    "Slip",
    "Step",
    "assembly_steps",
    "cautions",
    "listed",
    "materials",
    "rulers",
    "score_chart",
    "slips",
    "with_article",
]


# Rulers -------------------------------------------------------------------------

_FINER = {"inch": ("1/16 in", "1/32 in", "1/64 in"), "millimeter": ("1 mm", "0.5 mm")}
_FINE_MM = 3


class Rulers(NamedTuple):
    """The ruler to work on and the one whose reading follows in brackets.

    exact  whether every cut and every score of the card lies on a mark of `first`
    """

    first: Grid
    second: Grid
    exact: bool = True

    def show(self, length: Length) -> str:
        """A length on both: "8½ in (216 mm)", "1⁄16 in (1.5 mm)".

        A clearance under 3 mm is read more finely, since half a mark of it matters.
        """
        if mm(length) >= _FINE_MM:
            return f"{_reading(length, self.first)} ({_reading(length, self.second)})"
        first, second = _ladder(self.first), _ladder(self.second)
        held = next((grid for grid in first if grid.holds(length)), first[-1])
        return f"{_reading(length, held)} ({_reading(length, second[min(1, len(second) - 1)])})"


@cache
def _usual(unit: str) -> tuple[Grid, ...]:
    """The usual rulers of a unit, coarsest first."""
    return tuple(map(Grid, _FINER.get(unit, ())))


def _ladder(grid: Grid) -> list[Grid]:
    """The ruler, and the finer ones of its unit."""
    return [grid, *(finer for finer in _usual(grid.unit) if mm(finer.step) < mm(grid.step))]


def _reading(length: Length, grid: Grid) -> str:
    text = show_length(length, grid)
    return f"under {show_length(grid.step, grid)}" if text.startswith("0 ") else text


def rulers(
    card: Card, first: Grid | Length | str | None = None, *, pieces: tuple[Piece, ...] | None = None
) -> Rulers:
    """The two rulers that the words of a card are printed on.

    first  the ruler to work on; unless given, the coarsest usual one (sixteenths, thirty-seconds
           or sixty-fourths of an inch; millimetres or halves of one) that has a mark for every
           cut and every score of the card, or else the finest of these
    pieces the card's cut list, where it is at hand
    """
    numbers = []
    for piece in cut_list(card) if pieces is None else pieces:
        numbers += [piece.width, piece.length, *piece.scores]
        numbers += [at for slit in piece.slits for at in (slit.across, slit.start, slit.stop)]
    if first is None:
        unit = grid_for(card.unit).unit
        held = (grid for grid in _usual(unit) if all(grid.holds(number) for number in numbers))
        first = next(held, _usual(unit)[-1])
    first = as_grid(first)
    second = _usual("millimeter" if first.unit == "inch" else "inch")[0]
    return Rulers(first, second, all(first.holds(number) for number in numbers))


# Plain words --------------------------------------------------------------------

_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def _count(number: int, noun: str, *, words: bool = True) -> str:
    """ "one tier", "three tiers", "2 boxes"."""
    plural = noun if number == 1 else noun + ("es" if noun.endswith(("s", "x", "ch", "sh")) else "s")
    return f"{_COUNTS[number] if words and number < len(_COUNTS) else number} {plural}"


def with_article(noun: str) -> str:
    """A noun with "a" or "an" as it is spoken: "an edge", "a unit", "an 8 mm gap", "an 11 in strip"."""
    lead = noun.lstrip("“\"'(").casefold()
    if digits := re.match("[0-9]+", lead):
        number = digits[0]
        an = number.startswith("8") or (number.startswith(("11", "18")) and len(number) % 3 == 2)
    else:
        an = lead.startswith(("a", "e", "i", "o", "u", "hour", "honest"))
        an = an and not lead.startswith(("uni", "us", "one", "once", "eu"))
    return f"{'an' if an else 'a'} {noun}"


def listed(names: Iterable[str], last: str = "and") -> str:
    """ "tier 1", "tier 1 and tier 2", "tier 1, tier 2 and tier 3"."""
    names = list(names)
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


# What it takes ------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """One line of what to lay out.

    kind    "stock", "adhesive" or "tool"
    name    what it is
    use     what it is for: the pieces cut from it, or the job it does
    stock   the `Stock`, for kind "stock"
    pieces  names of the pieces cut from it, or joined with it
    """

    kind: str
    name: str
    use: str
    stock: Stock | None = None
    pieces: tuple[str, ...] = ()


def _piece_words(pieces: Iterable[Piece]) -> list[str]:
    """ "a back", "a clear front", "three tiers": the pieces as they are counted aloud."""
    words, tiers = [], 0
    for piece in pieces:
        if piece.name.startswith("tier "):
            tiers += piece.count
        elif piece.name == "back and front":
            words.append("one back-and-front blank")
        else:
            words.append(with_article(piece.name))
    return words + ([_count(tiers, "tier")] if tiers else [])


def _adhesive(*stocks: Stock) -> str:
    """What joins two things: paper glue, or double-sided tape where one of them is plastic."""
    return "double-sided tape" if any(stock.kind == "plastic" for stock in stocks) else "paper glue"


def _panel_joint(card: Card) -> str:
    return _adhesive(card.stock, card.front.stock_in(card))


def _foot_joint(card: Card) -> str:
    return _adhesive(card.tier_stock, card.front.stock_in(card))


def _top_joint(card: Card, number: int) -> str:
    """Glue or tape for the top tab of tier `number`: what stands behind is the back or a tier."""
    behind = card.tiers[number - 2] if number > 1 else None
    return _adhesive(card.tier_stock, card.tier_stock if isinstance(behind, Tier) else card.stock)


def _joints(card: Card) -> dict[str, list[str]]:
    """For each adhesive, what it joins, in the order it is used."""
    joints: dict[str, list[str]] = {}
    plural = "s" if len(_glued(card)) > 1 else ""

    def join(adhesive: str, what: str) -> None:
        kept = joints.setdefault(adhesive, [])
        if what not in kept:
            kept.append(what)

    if card.front.panel_name is not None:
        join(_panel_joint(card), f"the {card.front.panel_name}")
    for number in _glued(card):
        join(_foot_joint(card), f"the bottom tab{plural}")
        join(_top_joint(card, number), f"the top tab{plural}")
    return joints


def _glued(card: Card) -> list[int]:
    """Numbers of the tiers that are strips."""
    return [number for number, tier in enumerate(card.tiers, 1) if not isinstance(tier, CutStep)]


def _steps_cut(card: Card) -> list[int]:
    """Numbers of the tiers that are cut from the card itself."""
    return [number for number, tier in enumerate(card.tiers, 1) if isinstance(tier, CutStep)]


def materials(
    card: Card,
    grid: Grid | Length | str | None = None,
    *,
    pieces: tuple[Piece, ...] | None = None,
) -> tuple[Material, ...]:
    """Everything to lay out for one card: stocks, what joins them, tools.

    grid    the ruler to work on, as in `rulers`
    pieces  the card's cut list, where it is at hand
    Raises: CardError as `cut_list`.
    """
    found: list[Material] = []
    pieces = cut_list(card) if pieces is None else pieces
    by_stock: dict[Stock, list[Piece]] = {}
    for piece in pieces:
        by_stock.setdefault(piece.stock, []).append(piece)
    for stock, cut in by_stock.items():
        found.append(
            Material(
                kind="stock",
                name=f"{_sentence(stock.name)}, {round(stock.grammage)} g/m²",
                use=f"for {listed(_piece_words(cut))}",
                stock=stock,
                pieces=tuple(piece.name for piece in cut),
            )
        )
    for adhesive, joined in _joints(card).items():
        found.append(Material(kind="adhesive", name=_sentence(adhesive), use=f"for {listed(joined)}"))
    first = rulers(card, grid, pieces=pieces).first
    tools = [("Pencil and ruler", f"that reads to {show_length(first.step, first)}")]
    if _steps_cut(card):
        tools.append(("Craft knife, safety ruler and cutting mat", "to cut the blank and the slits"))
    else:
        tools.append(("Trimmer", "or craft knife, safety ruler and cutting mat, to cut the pieces"))
    tools.append(("Scoring board", "or a blunt scoring tool and a ruler, to score the folds"))
    found += [Material(kind="tool", name=name, use=use) for name, use in tools]
    return tuple(found)


# Marks --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One line to make on a piece.

    piece        its name
    kind         "slit" or "score"
    fold         "valley", "mountain", or None for a slit
    position     of a score from the top end; of a slit from the left side
    start, stop  where the line begins and ends: a score from the left side, a slit from the
                 top end; a score right across has 0 and the width of the piece
    whole        whether a score runs right across
    between      names of the zones above and below a score right across, or ()
    """

    piece: str
    kind: str
    fold: str | None
    position: Length
    start: Length
    stop: Length
    whole: bool
    between: tuple[str, ...] = ()


def score_chart(card: Card, *, pieces: tuple[Piece, ...] | None = None) -> tuple[Mark, ...]:
    """Every mark of every piece in the order they are made.

    Piece by piece as they are used; in each the slits first, from the left, then the scores
    from the top end.
    pieces  the card's cut list, where it is at hand
    Raises: CardError as `cut_list`.
    """
    chart: list[Mark] = []
    for piece in cut_list(card) if pieces is None else pieces:
        slits = sorted(piece.slits, key=lambda slit: (mm(slit.across), mm(slit.start)))
        chart += [
            Mark(
                piece=piece.name,
                kind="slit",
                fold=None,
                position=slit.across,
                start=slit.start,
                stop=slit.stop,
                whole=False,
            )
            for slit in slits
        ]
        zones = {mm(score): (above.name, below.name) for score, above, below in _between(piece)}
        for crease in sorted(piece.creases, key=lambda one: (mm(one.position), mm(one.start))):
            whole = mm(crease.start) == 0 and mm(crease.stop) == mm(piece.width)
            chart.append(
                Mark(
                    piece=piece.name,
                    kind="score",
                    fold=crease.fold,
                    position=crease.position,
                    start=crease.start,
                    stop=crease.stop,
                    whole=whole,
                    between=zones.get(mm(crease.position), ()) if whole else (),
                )
            )
    return tuple(chart)


def _between(piece: Piece) -> Iterator[tuple[Length, Zone, Zone]]:
    if len(piece.zones) == len(piece.scores) + 1:
        yield from zip(piece.scores, piece.zones, piece.zones[1:], strict=False)


# Slips --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """What happens if one tier's foot is glued off its mark and the card then closed on it.

    tier      number, from 1
    offset    how much too far out, below 0 if too near the fold
    opens_to  degrees to which the card then opens, 180 if flat
    lean      degrees by which that face leans back (above 0) or forward (below 0) when the card is
              open to a right angle; None if it does not open so far
    text      the same in words
    """

    tier: int
    offset: Length
    opens_to: float
    lean: float | None
    text: str


def slips(card: Card, grid: Grid | Length | str | None = None) -> tuple[Slip, ...]:
    """For each glued tier, its foot one usual mark (1/16 in, 1 mm) too far out, then too near.

    grid  the ruler of the words, as in `rulers`. A slip past what stands behind is left out:
    the tab would not lie flat.
    """
    used = rulers(card, grid)
    mark = grid_for(used.first.unit).step
    both = (_slip(card, used, number, offset) for number in _glued(card) for offset in (mark, -mark))
    return tuple(slip for slip in both if slip is not None)


def _slip(card: Card, used: Rulers, number: int, offset: Length) -> Slip | None:
    try:
        limit = opens_to(card, {number: offset})
    except FoldError:
        return None
    lean = None
    if limit > 90:
        _, edge, foot = pose(card, 90, {number: offset})[f"tier {number}"]
        lean = math.degrees(math.atan2(foot[0] - edge[0], edge[1] - foot[1]))
    out = mm(offset) > 0
    amount = used.show(abs(offset))
    where = "too far out" if out else "too near the fold"
    if limit < 180:
        template = (
            "If the foot of tier {tier} sits {amount} {where}, the card opens only to about {limit}°."
        )
    else:
        template = (
            "If the foot of tier {tier} sits {amount} {where}, the card still opens flat, but the face "
            "leans {way} and the shelf is not level."
        )
    way = "back" if lean is not None and lean > 0 else "forward"
    text = template.format(tier=number, amount=amount, where=where, limit=math.floor(limit), way=way)
    return Slip(tier=number, offset=offset, opens_to=limit, lean=lean, text=text)


# Steps --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing to do.

    number   from 1
    kind     "cut", "slit", "score", "fold", "push", "join", "foot", "top tab" or "check"
    title    a few words
    tier     the number of the tier that it is about, or None
    pieces   names of the pieces in hand
    text     whole sentences, every length on both rulers
    caution  a sentence on what goes wrong here, or None
    lengths  the lengths that the text and the caution print, in their order
    """

    number: int
    kind: str
    title: str
    pieces: tuple[str, ...]
    text: str
    tier: int | None = None
    caution: str | None = None
    lengths: tuple[Length, ...] = ()


class _Teller:
    """Gathers steps, printing each length on both rulers and keeping it beside the words."""

    def __init__(
        self,
        card: Card,
        grid: Grid | Length | str | None,
        pieces: tuple[Piece, ...] | None,
    ) -> None:
        self.card, self.steps = card, []
        self.pieces = cut_list(card) if pieces is None else pieces
        self.used = rulers(card, grid, pieces=self.pieces)

    def tell(
        self,
        kind: str,
        title: str,
        pieces: Iterable[str],
        sentences: Iterable[str],
        caution: str | None = None,
        **values: Fraction | Length | str | int,
    ) -> None:
        """Add a step. A value that is a Fraction is millimetres; sentences name values in braces."""
        lengths = {
            name: self.card.length(value) if isinstance(value, Fraction) else value
            for name, value in values.items()
            if not isinstance(value, str | int)
        }
        shown = values | {name: self.used.show(length) for name, length in lengths.items()}
        sentences = [sentence for sentence in sentences if sentence]
        told = " ".join(sentences)
        used = _fields(told) + _fields(caution or "")
        self.steps.append(
            Step(
                number=len(self.steps) + 1,
                kind=kind,
                title=title,
                pieces=tuple(pieces),
                text=told.format(**shown),
                tier=values.get("number"),
                caution=caution.format(**shown) if caution else None,
                lengths=tuple(lengths[name] for name in used if name in lengths),
            )
        )


def _fields(template: str) -> list[str]:
    return [field for _, field, _, _ in string.Formatter().parse(template) if field]


def assembly_steps(
    card: Card,
    grid: Grid | Length | str | None = None,
    *,
    pieces: tuple[Piece, ...] | None = None,
) -> tuple[Step, ...]:
    """How to make the card, from cutting to the last check.

    grid    the ruler to work on, as in `rulers`
    pieces  the card's cut list, where it is at hand
    Returns: steps numbered from 1. Every length in them is a length of the card; a ruler that has
    no mark for it prints the nearest (`rulers(card, grid).exact` tells).
    Raises: CardError as `cut_list`.
    """
    teller = _Teller(card, grid, pieces)
    _tell_pieces(teller)
    for number in _steps_cut(card):
        _tell_push(teller, number)
    if card.front.panel_name is not None:
        _tell_panel(teller)
    mark = grid_for(teller.used.first.unit).step
    for number in _glued(card):
        _tell_foot(teller, number, _slip(card, teller.used, number, mark))
        _tell_top_tab(teller, number)
    _tell_check(teller)
    return tuple(teller.steps)


def _tell_pieces(teller: _Teller) -> None:
    """Cut, slit, score, fold."""
    card, pieces = teller.card, teller.pieces
    names = [piece.name for piece in pieces]
    teller.tell(
        "cut",
        "Cut the pieces",
        names,
        (
            "Cut {blanks} to the sizes in the cut list.",
            "On the plain side of each piece, pencil its name and a small arrow to its top end."
            if len(pieces) > 1
            else "On its plain side, pencil a small arrow to its top end.",
        ),
        caution="Keep the hand that holds the work behind the blade, and the guard of a trimmer on.",
        blanks=listed(_piece_words(pieces)),
    )
    for number in _steps_cut(card):
        _tell_slits(teller, number)
    scored = [piece for piece in pieces if piece.scores]
    valley = [piece.name for piece in scored if "mountain" not in piece.folds]
    mountain = [piece.name for piece in scored if "valley" not in piece.folds]
    cut = bool(_steps_cut(card))
    teller.tell(
        "score",
        "Score the folds",
        [piece.name for piece in scored],
        (
            "Score each piece where its score chart shows a line, measuring from the top end."
            if len(scored) > 1
            else "Score where the chart shows a line, measuring from the top end.",
            "On the card itself the lines stop at the slits: score no further." if cut else "",
            "A score folds best away from its groove, with the raised line inside.",
            "So score {mountain} with the good side up." if mountain else "",
            "Score {valley} with the good side down." if valley else "",
            "On the card itself score the mountain lines with the good side up, then turn it over "
            "sideways for the valley lines."
            if cut
            else "",
        ),
        mountain=_tier_range(mountain),
        valley=listed(map(_the, valley)),
    )
    teller.tell(
        "fold",
        "Fold and open again",
        [piece.name for piece in scored],
        (
            "Fold {valley} at its score, good side inside, and press the fold flat." if valley else "",
            "Fold the strip of each tier at all three scores, all the same way, good side outside, "
            "so that it closes to a tube."
            if len(mountain) > 1
            else "Fold the strip of the tier at all three scores, all the same way, good side outside, "
            "so that it closes to a tube."
            if mountain
            else "",
            "Bend the card gently along each score, to and fro, before you push anything forward."
            if cut
            else "",
            "Open everything out again.",
        ),
        valley=listed(map(_the, valley)),
    )


def _tier_range(names: list[str]) -> str:
    """ "tier 1", "tiers 1 and 2", "tiers 1 to 5"."""
    numbers = [name.removeprefix("tier ") for name in names]
    if len(numbers) < 2:
        return "".join(names)
    if len(numbers) == 2:
        return f"tiers {numbers[0]} and {numbers[1]}"
    return f"tiers {numbers[0]} to {numbers[-1]}"


def _behind(card: Card, number: int) -> str:
    """What stands behind a tier, as it is named aloud."""
    return "the back" if number == 1 else f"the face of tier {number - 1}"


def _the(name: str) -> str:
    """ "the back", "the back-and-front blank"."""
    return "the back-and-front blank" if name == "back and front" else f"the {name}"


def _tell_slits(teller: _Teller, number: int) -> None:
    card = teller.card
    tier, wide = card.tiers[number - 1], mm(card.width)
    width = tier.width_in(card, number - 1)
    foot = mm(card.height) + card.feet_mm[number - 1]
    start = foot - mm(tier.depth) - mm(tier.face)
    teller.tell(
        "slit",
        f"Slit tier {number}",
        (teller.pieces[0].name,),
        (
            "Tier {number} is cut from the card itself.",
            "Mark two lines along the card, one {left} and one {right} from the left side.",
            "Slit along each, from {start} to {stop} from the top end, and no further.",
        ),
        caution="Keep the hand that holds the ruler behind the blade, and cut away from it.",
        number=number,
        left=(wide - width) / 2,
        right=(wide + width) / 2,
        start=start,
        stop=foot,
    )


def _tell_push(teller: _Teller, number: int) -> None:
    card = teller.card
    tier = card.tiers[number - 1]
    teller.tell(
        "push",
        f"Push tier {number} forward",
        (teller.pieces[0].name,),
        (
            "Open the card to a right angle and push the strip between the slits of tier {number} "
            "forward from behind.",
            "Its two ends fold the way the card does, one on {behind} and one on the front; the score "
            "between them folds the other way and becomes the front edge of the shelf.",
            "The face is {face} high, and its foot is {foot} from the fold.",
            "Close the card on it and press the folds flat, then open it: nothing is glued.",
        ),
        number=number,
        behind=_behind(card, number),
        face=mm(tier.face),
        foot=card.feet_mm[number - 1],
    )


def _taped_bands(card: Card) -> list[tuple[Fraction, Fraction]]:
    """Where the flap may carry tape unseen: (from, to) past the score, joined where they touch.

    Under the panel, on the flap, and under a bottom tab of a tier.
    """
    near, far = card.front.gap_in(card), card.front.flap_in(card)
    bands: list[tuple[Fraction, Fraction]] = []
    for number in _glued(card):
        foot = card.feet_mm[number - 1]
        start = max(near, foot - mm(card.tiers[number - 1].bottom_tab))
        stop = min(far, foot)
        if start >= stop:
            continue
        if bands and start <= bands[-1][1]:
            bands[-1] = (bands[-1][0], max(stop, bands[-1][1]))
        else:
            bands.append((start, stop))
    return bands


def _tell_panel(teller: _Teller) -> None:
    """The separate front goes on the flap, before any tier."""
    card, front = teller.card, teller.card.front
    near, far = front.gap_in(card), front.flap_in(card)
    aside = (mm(card.width) - front.width_in(card)) / 2
    values: dict = {
        "adhesive": _panel_joint(card),
        "flap": front.flap_name,
        "panel": front.panel_name,
        "gap": near,
        "aside": abs(aside),
    }
    if near >= far:
        teller.tell(
            "join",
            f"Fix the {front.panel_name}",
            ("back", front.panel_name),
            (
                "The {panel} starts {gap} below the score, but the {flap} ends {far} below it: they do "
                "not meet, so mend the sizes before you cut.",
            ),
            far=far,
            **values,
        )
        return
    bands = [(near, far)]
    if front.carries_feet and front.stock_in(card).kind == "plastic":
        bands = _taped_bands(card) or bands
    spread = "Put {adhesive} on the {flap}"
    if bands == [(near, far)]:
        spread += (
            ", from {gap} below the score down to its edge." if near else ", right up to the score."
        )
    else:
        parts = []
        for place, (start, stop) in enumerate(bands):
            values |= {f"start_{place}": start, f"stop_{place}": stop}
            parts.append(
                f"{{start_{place}}} to {{stop_{place}}}" if start else f"the score to {{stop_{place}}}"
            )
        spread += f", from {listed(parts)} below the score: that is where the tabs of the tiers hide it."
    teller.tell(
        "join",
        f"Fix the {front.panel_name}",
        ("back", front.panel_name),
        (
            "Lay the back out flat, good side up, with the {flap} towards you.",
            spread,
            "Lay the {panel} on it with its near edge {gap} below the score, so that the fold does not "
            "bind."
            if near
            else "Lay the {panel} on it, good side up, with its edge against the score but not over it.",
            "Keep both its sides level with the sides of the back, and press."
            if aside == 0
            else "Leave {aside} at each side, and press."
            if aside > 0
            else "Let it stand out {aside} at each side, and press.",
        ),
        caution=(
            "Tape holds at the first touch: hold the sheet in a shallow curve, set the middle of its "
            "edge, then let the sides down."
            if values["adhesive"] != "paper glue"
            else "Keep glue out of the score: the fold must stay free."
        ),
        **values,
    )


def _front_name(card: Card) -> str:
    return card.front.panel_name or card.front.flap_name


def _tell_foot(teller: _Teller, number: int, slip: Slip | None) -> None:
    """Turn the strip the right way up and set its bottom tab on the front."""
    card = teller.card
    tier: Tier = card.tiers[number - 1]
    depth, tab, foot = mm(tier.depth), mm(tier.bottom_tab), card.feet_mm[number - 1]
    aside = (mm(card.width) - tier.width_in(card, number - 1)) / 2
    short = depth - tab
    behind = "the fold" if number == 1 else f"the foot of tier {number - 1}"
    if short == 0:
        edge = "Its edge then meets {behind} exactly: the foot of the face is {foot} from the fold."
    elif short > 0:
        edge = (
            "Its edge then stands {short} out from {behind}: the foot of the face is {foot} from the "
            "fold."
        )
    else:
        edge = (
            "Trim {over} off it first, or it runs past {behind}: the foot of the face must be {foot} "
            "from the fold."
        )
    first = number == _glued(card)[0]
    teller.tell(
        "foot",
        f"Tier {number}: the bottom tab",
        (f"tier {number}", _front_name(card)),
        (
            "Start with tier {number}, the largest strip." if first and len(_glued(card)) > 1 else "",
            "The end of the strip with two zones before the face, top tab and then shelf, goes to the "
            "top; the single tab goes to the bottom."
            if first
            else "Take the strip the same way round.",
            "Put {adhesive} on the good side of the bottom tab.",
            "Turn the strip over and set the tab on the {front}, pointing to {behind}.",
            edge,
            _centred(teller, aside),
        ),
        number=number,
        caution=slip.text if slip is not None and slip.opens_to < 180 else None,
        adhesive=_foot_joint(card),
        front=_front_name(card),
        behind=behind,
        foot=foot,
        short=short,
        over=-short,
        aside=abs(aside),
    )


def _centred(teller: _Teller, aside: Fraction) -> str:
    if aside == 0:
        return "Keep both ends level with the sides of the card."
    if aside < 0:
        return "It is wider than the card: let it stand out {aside} at each side."
    return "Keep it in the middle, {aside} in from each side, and press."


def _tell_top_tab(teller: _Teller, number: int) -> None:
    """Lay the tier flat, put adhesive on the top tab, close the card on it."""
    card = teller.card
    adhesive = _top_joint(card, number)
    first = number == _glued(card)[0]
    laid = (
        "Lay the face of tier {number} flat on the {front}, away from the fold.",
        "Fold the shelf and the top tab back over it, towards the fold: the good side of the top tab "
        "looks up.",
        "Put {adhesive} on it.",
    )
    again = (
        "Lay the face flat and fold the shelf and the top tab back over it, as before.",
        "Put {adhesive} on the top tab.",
    )
    teller.tell(
        "top tab",
        f"Tier {number}: the top tab",
        (f"tier {number}",),
        (
            *(laid if first else again),
            "Close the card to set the top tab: {behind} comes down on it, and it sticks where it "
            "lands.",
            "Press, count slowly to twenty, and open the card."
            if adhesive == "paper glue"
            else "Press, and open the card.",
            "Tier {number} stands up with its shelf level.",
        ),
        caution=(
            "Do not set this tab by eye or by ruler: closing the card puts it in the right place."
            if first
            else None
        ),
        number=number,
        front=_front_name(card),
        adhesive=adhesive,
        behind=_behind(card, number),
    )


def _tell_check(teller: _Teller) -> None:
    card = teller.card
    several = len(card.tiers) > 1
    out = {
        number: -mm(margin) for number, margin in enumerate(closed_margins(card), 1) if mm(margin) < 0
    }
    values: dict = {f"out_{number}": amount for number, amount in out.items()}
    told = listed(f"tier {number} by {{out_{number}}}" for number in out)
    teller.tell(
        "check",
        "Open and check",
        (),
        (
            "Open the card to a right angle: every shelf is level and every face stands upright."
            if several
            else "Open the card to a right angle: the shelf is level and the face stands upright.",
            "Open it flat, then close it.",
            f"Closed, this design shows past the edge: {told}."
            if out
            else "Closed, nothing shows past the edge.",
        ),
        **values,
    )


# Cautions -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One thing to take care of.

    topic   a few words
    text    whole sentences
    source  where it is published, or "common practice, no source", or "from memory"
    """

    topic: str
    text: str
    source: str


_CHILDREN = "content-primaryteachers.cpdcollege.com"
_KNIFE = Caution(
    topic="Craft knife",
    text="Learn the grip before the first cut. Use a cutting mat larger than the work, a safety ruler "
    "and a sharp blade, and keep the holding hand behind the blade. Cap it when you put it down.",
    source="NSEAD, health and safety: cutting tools",
)
_TRIMMER = Caution(
    topic="Trimmer",
    text="Keep the guard on and your fingers behind it. Lock the blade down whenever it is not in use.",
    source="from memory",
)
_SHEET = Caution(
    topic="Clear sheet",
    text="The edges of a plastic sheet cut skin. Handle it by the flat, and round the corners.",
    source="from memory",
)
_HOT = Caution(
    topic="Hot glue",
    text="These steps do not need it. Where a class uses it: nozzle and glue reach 195 °C, so protect "
    "your eyes, have cold water ready and never spread it with a finger.",
    source="school safety sheet on glue guns, January 2018",
)
_SOLVENT = Caution(
    topic="Glue with solvent",
    text="These steps do not need it. Where a class uses it: open a window and read its safety data "
    "sheet.",
    source="from memory",
)
_YOUNG = Caution(
    topic="Children",
    text="A child uses a knife or a glue gun only with an adult right beside. Keep small parts away "
    "from children under three.",
    source=f"{_CHILDREN}; US 16 CFR 1501 (small parts)",
)
_FIRST = Caution(
    topic="What goes first",
    text="The label on each product, the rules of the room and the law where you are go before this "
    "sheet.",
    source="",
)


def cautions(card: Card) -> tuple[Caution, ...]:
    """What to take care of with this card, the word on what goes first at the end."""
    stocks = [card.stock, card.tier_stock if _glued(card) else card.stock]
    if card.front.panel_name is not None:
        stocks.append(card.front.stock_in(card))
    plastic = any(stock.kind == "plastic" for stock in stocks)
    told = [_KNIFE]
    if not _steps_cut(card) or _glued(card):
        told.append(_TRIMMER)
    if plastic:
        told.append(_SHEET)
    if _joints(card):
        told += [_HOT, _SOLVENT]
    return (*told, _YOUNG, _FIRST)
