"""How a card is put together: what it takes, every mark in order, and the steps in plain words.

The words are made from the card, so they are right for each front and each form of tier.
Every length in them stands on two rulers: the one to work on, and the other in brackets.
Sentences are whole and go through `language`, so that each is said in the reader's own.

How a glued tier is set, seen from the side with the card closed: the bottom tab and the face
lie flat on the front, good side down; the shelf and the top tab are folded back over the face,
good side up. Closing the card brings what stands behind down on the top tab, so the tab sets
itself where it lands and the tier is a parallelogram however the foot was measured.

Imports: lengths, language, papers, card, areas, pieces, thickness, folding, finishing.
Sources: each caution names its own. The way of setting the top tab is common practice, no source;
that it makes a parallelogram is the first of the Smith College conditions (see `folding`).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from popkit.areas import Area, Placed, areas, placed_layers, placed_ornaments
from popkit.card import Card, CutStep, Tier, grid_for
from popkit.finishing import pressed_hard
from popkit.folding import FoldError, closed_margins, opens_to, pose
from popkit.language import BRITISH, Language, as_language, fields_of, message, noun
from popkit.lengths import Grid, Length, as_grid, from_mm, mm, show_length
from popkit.papers import Stock
from popkit.pieces import Piece, Zone, cut_list
from popkit.thickness import spine_of, thickness

__all__ = [
    "Caution",
    "Mark",
    "Material",
    "Rulers",
    "Slip",
    "Step",
    "assembly_steps",
    "cautions",
    "cautions_about",
    "ground_of",
    "listed",
    "materials",
    "rulers",
    "score_chart",
    "slips",
    "spine_words",
    "with_article",
]


# Rulers -------------------------------------------------------------------------

_FINER = {"inch": ("1/16 in", "1/32 in", "1/64 in"), "millimeter": ("1 mm", "0.5 mm")}
_FINE_MM = 3


class Rulers(NamedTuple):
    """The ruler to work on and the one whose reading follows in brackets.

    exact     whether every cut and every score of the card lies on a mark of `first`
    language  that the lengths are printed in
    """

    first: Grid
    second: Grid
    exact: bool = True
    language: Language = BRITISH

    def show(self, length: Length) -> str:
        """A length on both: "8½ in (216 mm)", "1⁄16 in (1.5 mm)".

        A clearance under 3 mm is read more finely, since half a mark of it matters.
        """
        held, other = self.read_on(length)
        return f"{self._reading(length, held)} ({self._reading(length, other)})"

    def read_on(self, length: Length) -> tuple[Grid, Grid]:
        """The two rulers that a length is read on: these, or under 3 mm finer ones of their units."""
        if abs(mm(length)) >= _FINE_MM:
            return self.first, self.second
        first, second = _ladder(self.first), _ladder(self.second)
        held = next((grid for grid in first if grid.holds(length)), first[-1])
        return held, second[min(1, len(second) - 1)]

    def _reading(self, length: Length, grid: Grid) -> str:
        if show_length(length, grid).startswith("0 "):
            return self.language.say("under {length}", length=self.language.show(grid.step, grid))
        return self.language.show(length, grid)


@cache
def _usual(unit: str) -> tuple[Grid, ...]:
    """The usual rulers of a unit, coarsest first."""
    return tuple(map(Grid, _FINER.get(unit, ())))


def _ladder(grid: Grid) -> list[Grid]:
    """The ruler, and the finer ones of its unit."""
    return [grid, *(finer for finer in _usual(grid.unit) if mm(finer.step) < mm(grid.step))]


def rulers(
    card: Card,
    first: Grid | Length | str | None = None,
    *,
    pieces: tuple[Piece, ...] | None = None,
    language: Language | str = BRITISH,
) -> Rulers:
    """The two rulers that the words of a card are printed on.

    first     the ruler to work on; unless given, the coarsest usual one (sixteenths, thirty-seconds
              or sixty-fourths of an inch; millimetres or halves of one) that has a mark for every
              cut and every score of the card, or else the finest of these
    pieces    the card's cut list, where it is at hand
    language  that they are printed in
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
    exact = all(first.holds(number) for number in numbers)
    return Rulers(first, second, exact, as_language(language))


# Plain words --------------------------------------------------------------------

# Names as they are printed. In the source they are what tells one piece from another, so they stay
# English there; these rows put them into the catalogues.
_NAMES = (
    *(noun("back"), noun("front"), noun("back and front"), noun("clear front"), noun("front panel")),
    *(noun("landing flap"), noun("joining tab"), noun("tier {number}"), noun("band {number}")),
    *(noun("tier {number} shelf"), noun("tier {number} face")),
    *(noun("top tab"), noun("shelf"), noun("face"), noun("bottom tab")),
    *(noun("valley"), noun("mountain"), noun("slit"), noun("cut"), noun("score")),
    *(noun("outside front"), noun("message")),
    *(noun("mat for the back"), noun("mat for the back ({number})")),
    *(noun("mat for band {number}"), noun("mat for band {number} ({second})")),
    *(noun("mat for tier {number}"), noun("mat for tier {number} ({second})")),
    *(noun("mat for the front"), noun("mat for the front ({number})")),
    *(noun("mat for the outside front"), noun("mat for the outside front ({number})")),
    *(noun("mat for the message"), noun("mat for the message ({number})")),
    noun("mat for the {name}"),
    *(noun("ornament on the back"), noun("ornament on the back ({number})")),
    *(noun("ornament on tier {number}"), noun("ornament on tier {number} ({second})")),
    *(noun("light card"), noun("card stock"), noun("clear sheet")),
    *(noun("{number} lb bond"), noun("{number} lb text"), noun("{number} lb cover")),
    *(noun("{number} lb index"), noun("{number} lb bristol"), noun("{number} lb coated cover")),
    *(noun("{number} g paper"), noun("{number} g card"), noun("{number} mil clear sheet")),
)
_THE = {
    "back": message("the back"),
    "back and front": message("the back-and-front blank"),
    "front": message("the front"),
    "clear front": message("the clear front"),
    "front panel": message("the front panel"),
    "landing flap": message("the landing flap"),
    "joining tab": message("the joining tab"),
}
_ONE = {
    "back": message("a back"),
    "back and front": message("one back-and-front blank"),
    "clear front": message("a clear front"),
    "front panel": message("a front panel"),
}


def _the(name: str, language: Language) -> str:
    """ "the back", "the back-and-front blank"; a name that a tutor gave stands in quotes."""
    if name in _THE:
        return language.say(_THE[name])
    known = language.name(name)
    if not re.match("tier [0-9]|mat for |ornament on ", name):
        return language.say("“{name}”", name=known)
    return language.say("the {name}", name=known)


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


def _piece_words(pieces: Iterable[Piece], card: Card, language: Language) -> list[str]:
    """ "a back", "a clear front", "three tiers": the pieces as they are counted aloud."""
    words, named, counts = [], [], {"tier": 0, "mat": 0, "ornament": 0}
    finishing = {one.name: "mat" for one in card.layers}
    finishing |= {one.name: "ornament" for one in card.ornaments}
    for piece in pieces:
        kind = finishing.get(piece.name, "tier" if piece.name.startswith("tier ") else "")
        if kind == "tier" or re.match("mat for |ornament on ", piece.name):
            counts[kind] += piece.count
        elif kind:
            named.append(language.say("“{name}”", name=piece.name))
        else:
            words.append(language.say(_ONE.get(piece.name, with_article(piece.name))))
    tiers, mats, ornaments = counts.values()
    if tiers:
        several = language.spelled(tiers)
        words.append(language.many(tiers, "one tier", "{several} tiers", several=several))
    if mats:
        several = language.spelled(mats)
        words.append(language.many(mats, "one mat", "{several} mats", several=several))
    if ornaments:
        several = language.spelled(ornaments)
        words.append(language.many(ornaments, "one ornament", "{several} ornaments", several=several))
    return words + named


def _adhesive(*stocks: Stock) -> str:
    """What joins two things: paper glue, or double-sided tape where one of them is plastic."""
    return _TAPE if any(stock.kind == "plastic" for stock in stocks) else _GLUE


_TAPE, _GLUE = message("double-sided tape"), message("paper glue")


def _panel_joint(card: Card) -> str:
    return _adhesive(card.stock, card.front.stock_in(card))


def _foot_joint(card: Card) -> str:
    return _adhesive(card.tier_stock, card.front.stock_in(card))


def _top_joint(card: Card, number: int) -> str:
    """Glue or tape for the top tab of tier `number`: what stands behind is the back or a tier."""
    behind = card.tiers[number - 2] if number > 1 else None
    return _adhesive(card.tier_stock, card.tier_stock if isinstance(behind, Tier) else card.stock)


def _layer_joint(card: Card, placed: Placed) -> str:
    """Tape where a mat, or what it lies on, is plastic."""
    if placed.on_plastic:
        return _TAPE
    below = {one.name: one.stock for one in placed_layers(card)}.get(placed.source.on)
    on_tier = placed.part.startswith("tier ")
    return _adhesive(placed.stock, below or (card.tier_stock if on_tier else card.stock))


def _joints(card: Card) -> dict[str, list[str]]:
    """For each adhesive, what it joins, in the order it is used; all as in the source."""
    joints: dict[str, list[str]] = {}
    several = len(_glued(card)) > 1

    def join(adhesive: str, what: str) -> None:
        kept = joints.setdefault(adhesive, [])
        if what not in kept:
            kept.append(what)

    if card.front.panel_name is not None:
        join(_panel_joint(card), _THE.get(card.front.panel_name, f"the {card.front.panel_name}"))
    for placed in placed_layers(card):
        one, more = message("the mat"), message("the mats")
        join(_layer_joint(card, placed), more if len(card.layers) > 1 else one)
    for number in _glued(card):
        join(_foot_joint(card), message("the bottom tabs") if several else message("the bottom tab"))
        join(_top_joint(card, number), message("the top tabs") if several else message("the top tab"))
    for placed in placed_ornaments(card):
        if placed.source.pad is None:
            one, more = message("the ornament"), message("the ornaments")
            flat = sum(ornament.pad is None for ornament in card.ornaments)
            join(_adhesive(placed.stock), more if flat > 1 else one)
    return joints


def _glued(card: Card) -> list[int]:
    """Numbers of the tiers that are strips."""
    return [number for number, tier in enumerate(card.tiers, 1) if not isinstance(tier, CutStep)]


def _steps_cut(card: Card) -> list[int]:
    """Numbers of the tiers that are cut from the card itself."""
    return [number for number, tier in enumerate(card.tiers, 1) if isinstance(tier, CutStep)]


def _trimmed(card: Card) -> bool:
    """Whether a trimmer is laid out: not for the single blank of cut steps, which needs a knife."""
    several = _glued(card) or card.layers or card.ornaments or card.front.panel_name is not None
    return bool(several) or not _steps_cut(card)


def materials(
    card: Card,
    grid: Grid | Length | str | None = None,
    *,
    pieces: tuple[Piece, ...] | None = None,
    language: Language | str = BRITISH,
) -> tuple[Material, ...]:
    """Everything to lay out for one card: stocks, what joins them, tools.

    grid      the ruler to work on, as in `rulers`
    pieces    the card's cut list, where it is at hand
    language  that it is told in
    Raises: CardError as `cut_list`.
    """
    found: list[Material] = []
    language = as_language(language)
    say = language.say
    pieces = cut_list(card) if pieces is None else pieces
    used = rulers(card, grid, pieces=pieces, language=language)
    by_stock: dict[Stock, list[Piece]] = {}
    for piece in pieces:
        by_stock.setdefault(piece.stock, []).append(piece)
    for stock, cut in by_stock.items():
        name = say(
            "{stock}, {grammage} g/m²", stock=language.name(stock.name), grammage=round(stock.grammage)
        )
        found.append(
            Material(
                kind="stock",
                name=_sentence(name),
                use=say("for {things}", things=language.listed(_piece_words(cut, card, language))),
                stock=stock,
                pieces=tuple(piece.name for piece in cut),
            )
        )
    for adhesive, joined in _joints(card).items():
        use = say("for {things}", things=language.listed(map(say, joined)))
        found.append(Material(kind="adhesive", name=_sentence(say(adhesive)), use=use))
    pads = {mm(one.pad): one.pad for one in card.ornaments if one.pad is not None}
    for thick, pad in sorted(pads.items()):
        count = sum(one.pad is not None and mm(one.pad) == thick for one in card.ornaments)
        use = language.many(
            count, "behind one ornament", "behind {several} ornaments", several=language.spelled(count)
        )
        name = say("Foam pads, {thick} thick", thick=used.show(pad))
        found.append(Material(kind="adhesive", name=name, use=use))
    mark = language.show(used.first.step, used.first)
    tools = [(say("Pencil and ruler"), say("that reads to {mark}", mark=mark))]
    if _steps_cut(card):
        use = say("to cut the slits") if _trimmed(card) else say("to cut the blank and the slits")
        tools.append((say("Craft knife, safety ruler and cutting mat"), use))
    if _trimmed(card) and _steps_cut(card):
        tools.append((say("Trimmer"), say("or the craft knife, to cut the pieces")))
    elif _trimmed(card):
        tools.append(
            (say("Trimmer"), say("or craft knife, safety ruler and cutting mat, to cut the pieces"))
        )
    tools.append((say("Scoring board"), say("or a blunt scoring tool and a ruler, to score the folds")))
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

    @property
    def good_side(self) -> str:
        """ "up" or "down": how the piece lies for it. A score folds away from its groove, so the
        groove of a valley is on the plain side.
        """
        return "down" if self.fold == "valley" else "up"


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


def slips(
    card: Card, grid: Grid | Length | str | None = None, *, language: Language | str = BRITISH
) -> tuple[Slip, ...]:
    """For each glued tier, its foot one usual mark (1/16 in, 1 mm) too far out, then too near.

    grid      the ruler of the words, as in `rulers`
    language  that they are told in
    A slip past what stands behind is left out: the tab would not lie flat.
    """
    used = rulers(card, grid, language=language)
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
    say = used.language.say
    where = say("too far out") if out else say("too near the fold")
    told: dict = {"tier": number, "amount": used.show(abs(offset)), "where": where}
    if limit < 180:
        text = say(
            "If the foot of tier {tier} sits {amount} {where}, the card opens only to about {limit}°.",
            limit=math.floor(limit),
            **told,
        )
    else:
        text = say(
            "If the foot of tier {tier} sits {amount} {where}, the card still opens flat. But the face "
            "{leans} and the shelf is not level.",
            leans=say("leans back") if lean is not None and lean > 0 else say("leans forward"),
            **told,
        )
    return Slip(tier=number, offset=offset, opens_to=limit, lean=lean, text=text)


# Steps --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing to do.

    number   from 1
    kind     "cut", "slit", "score", "fold", "join", "mat", "push", "foot", "top tab", "ornament" or
             "check"
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


class _Phrase(NamedTuple):
    """Part of a sentence that is already said, and the lengths that it prints."""

    text: str
    lengths: tuple[Length, ...]


class _Teller:
    """Gathers steps, printing each length on both rulers and keeping it beside the words."""

    def __init__(
        self,
        card: Card,
        grid: Grid | Length | str | None,
        pieces: tuple[Piece, ...] | None,
        language: Language,
    ) -> None:
        self.card, self.steps = card, []
        self.pieces = cut_list(card) if pieces is None else pieces
        self.used = rulers(card, grid, pieces=self.pieces, language=language)
        self.language, self.say = language, language.say

    def the(self, name: str) -> str:
        """ "the back", in the language."""
        return _the(name, self.language)

    def phrase(self, text: str, **values: Fraction | Length | str | int) -> _Phrase:
        """A sentence or a part of one. A value that is a Fraction is millimetres."""
        kept: dict[str, tuple[Length, ...]] = {}
        shown: dict[str, object] = {}
        for name, value in values.items():
            if isinstance(value, _Phrase):
                shown[name], kept[name] = value
            elif isinstance(value, str | int):
                shown[name] = value
            else:
                length = self.card.length(value) if isinstance(value, Fraction) else value
                shown[name], kept[name] = self.used.show(length), (length,)
        template = self.language.template(text)
        lengths = tuple(one for field in fields_of(template) for one in kept.get(field, ()))
        return _Phrase(template.format(**shown), lengths)

    def listed(self, phrases: Sequence[_Phrase]) -> _Phrase:
        """ "a, b and c" of parts already said."""
        text = self.language.listed(phrase.text for phrase in phrases)
        return _Phrase(text, tuple(one for phrase in phrases for one in phrase.lengths))

    def tell(
        self,
        kind: str,
        title: str,
        pieces: Iterable[str],
        sentences: Iterable[str | _Phrase],
        caution: str | None = None,
        **values: Fraction | Length | str | int | _Phrase,
    ) -> None:
        """Add a step. Title, sentences and caution are messages; they name values in braces."""
        told = [
            one if isinstance(one, _Phrase) else self.phrase(one, **values) for one in sentences if one
        ]
        warned = self.phrase(caution, **values) if caution else _Phrase("", ())
        self.steps.append(
            Step(
                number=len(self.steps) + 1,
                kind=kind,
                title=_sentence(self.phrase(title, **values).text),
                pieces=tuple(pieces),
                text=" ".join(_sentence(one.text) for one in told),
                tier=values.get("number"),
                caution=_sentence(warned.text) or None,
                lengths=tuple(length for one in (*told, warned) for length in one.lengths),
            )
        )


def assembly_steps(
    card: Card,
    grid: Grid | Length | str | None = None,
    *,
    pieces: tuple[Piece, ...] | None = None,
    language: Language | str = BRITISH,
) -> tuple[Step, ...]:
    """How to make the card, from cutting to the last check.

    grid      the ruler to work on, as in `rulers`
    pieces    the card's cut list, where it is at hand
    language  that they are told in
    Returns: steps numbered from 1. Every length in them is a length of the card; a ruler that has
    no mark for it prints the nearest (`rulers(card, grid).exact` tells).
    Raises: CardError as `cut_list`.
    """
    teller = _Teller(card, grid, pieces, as_language(language))
    _tell_pieces(teller)
    if card.front.panel_name is not None:
        _tell_panel(teller)
    _tell_mats(teller)
    for number in _steps_cut(card):
        _tell_push(teller, number)
    mark = grid_for(teller.used.first.unit).step
    for number in _glued(card):
        _tell_foot(teller, number, _slip(card, teller.used, number, mark))
        _tell_top_tab(teller, number)
    _tell_ornaments(teller)
    _tell_check(teller)
    return tuple(teller.steps)


def _tell_pieces(teller: _Teller) -> None:
    """Cut, slit, score, fold."""
    card, pieces, language = teller.card, teller.pieces, teller.language
    names = [piece.name for piece in pieces]
    teller.tell(
        "cut",
        message("Cut the pieces"),
        names,
        (
            message("Cut {blanks} to the sizes in the cut list."),
            message("On the plain side of each piece, pencil its name and a small arrow to its top end.")
            if len(pieces) > 1
            else message("On its plain side, pencil a small arrow to its top end."),
        ),
        caution=message(
            "Keep the hand that holds the work behind the blade, and the guard of a trimmer on."
        )
        if _trimmed(card)
        else message("Keep the hand that holds the work behind the blade."),
        blanks=language.listed(_piece_words(pieces, card, language)),
    )
    for number in _steps_cut(card):
        _tell_slits(teller, number)
    scored = [piece for piece in pieces if piece.scores]
    valley = [piece.name for piece in scored if "mountain" not in piece.folds]
    mountain = [piece.name for piece in scored if "valley" not in piece.folds]
    cut, spine = bool(_steps_cut(card)), spine_of(card)
    teller.tell(
        "score",
        message("Score the folds"),
        [piece.name for piece in scored],
        (
            message("Score each piece where its score chart shows a line, measuring from the top end.")
            if len(scored) > 1
            else message("Score where the chart shows a line, measuring from the top end."),
            message("On the card itself the lines stop at the slits: score no further.") if cut else "",
            message("A score folds best away from its groove, with the raised line inside."),
            message("So score {mountain} with the good side up.") if mountain else "",
            message("Score {valley} with the good side down.") if valley else "",
            message(
                "On the card itself score the mountain lines with the good side up, then turn it over "
                "sideways for the valley lines."
            )
            if cut
            else "",
            _SPINE if spine is not None else "",
        ),
        mountain=_tier_range(mountain, language),
        valley=language.listed(map(teller.the, valley)),
        thick=_between_pages(card, language),
        apart=spine or "",
    )
    teller.tell(
        "fold",
        message("Fold and open again"),
        [piece.name for piece in scored],
        (
            message("Fold {valley} at its score, good side inside, and press the fold flat.")
            if valley
            else "",
            message(
                "Fold the strip of each tier at all three scores, all the same way, good side outside, "
                "so that it closes to a tube."
            )
            if len(mountain) > 1
            else message(
                "Fold the strip of the tier at all three scores, all the same way, good side outside, "
                "so that it closes to a tube."
            )
            if mountain
            else "",
            message(
                "Bend the card gently along each score, to and fro, before you push anything forward."
            )
            if cut
            else "",
            message("Open everything out again."),
        ),
        valley=language.listed(map(teller.the, valley)),
    )


_SPINE = message(
    "Closed, {thick} lies between back and front: score the fold twice, {apart} apart, half of it on "
    "each side of the fold."
)


def _between_pages(card: Card, language: Language) -> str:
    return language.show(from_mm(thickness(card).inner_mm), Grid("0.1 mm"))


def spine_words(card: Card, used: Rulers) -> str:
    """How the fold of a card that closes thick is scored, in a sentence; "" where one score will do."""
    apart, language = spine_of(card), used.language
    if apart is None:
        return ""
    return language.say(_SPINE, thick=_between_pages(card, language), apart=used.show(apart))


def _tier_range(names: list[str], language: Language) -> str:
    """ "tier 1", "tiers 1 and 2", "tiers 1 to 5"."""
    numbers = [name.removeprefix("tier ") for name in names]
    if len(numbers) < 2:
        return "".join(map(language.name, names))
    ends = {"first": numbers[0], "last": numbers[-1]}
    if len(numbers) == 2:
        return language.say("tiers {first} and {last}", **ends)
    return language.say("tiers {first} to {last}", **ends)


def _behind(teller: _Teller, number: int) -> str:
    """What stands behind a tier, as it is named aloud."""
    if number == 1:
        return teller.say("the back")
    return teller.say("the face of tier {number}", number=number - 1)


def _tell_slits(teller: _Teller, number: int) -> None:
    card = teller.card
    tier, wide = card.tiers[number - 1], mm(card.width)
    width = tier.width_in(card, number - 1)
    foot = mm(card.height) + card.feet_mm[number - 1]
    start = foot - mm(tier.depth) - mm(tier.face)
    teller.tell(
        "slit",
        message("Slit tier {number}"),
        (teller.pieces[0].name,),
        (
            message("Tier {number} is cut from the card itself."),
            message("Mark two lines along the card, one {left} and one {right} from the left side."),
            message("Slit along each, from {start} to {stop} from the top end, and no further."),
        ),
        caution=message("Keep the hand that holds the ruler behind the blade, and cut away from it."),
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
        message("Push tier {number} forward"),
        (teller.pieces[0].name,),
        (
            message(
                "Open the card to a right angle and push the strip between the slits of tier {number} "
                "forward from behind."
            ),
            message("Its two ends fold the way the card does, one on {behind} and one on the front."),
            message(
                "The score between them folds the other way and becomes the front edge of the shelf."
            ),
            message("The face is {face} high, and its foot is {foot} from the fold."),
            message("Close the card on it and press the folds flat, then open it: nothing is glued."),
        ),
        number=number,
        behind=_behind(teller, number),
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
    adhesive = _panel_joint(card)
    values: dict = {
        "adhesive": teller.say(adhesive),
        "flap": teller.the(front.flap_name),
        "panel": teller.the(front.panel_name),
        "gap": near,
        "far": far,
        "aside": abs(aside),
    }
    title = message("Fix {panel}")
    if near >= far:
        apart = message(
            "{panel} starts {gap} below the score, but {flap} ends {far} below it. They do not meet: "
            "mend the sizes before you cut."
        )
        teller.tell("join", title, ("back", front.panel_name), (apart,), **values)
        return
    bands = [(near, far)]
    if front.carries_feet and front.stock_in(card).kind == "plastic":
        bands = _taped_bands(card) or bands
    if bands != [(near, far)]:
        values["bands"] = teller.listed(
            [
                teller.phrase(message("{start} to {stop}"), start=start, stop=stop)
                if start
                else teller.phrase(message("the score to {stop}"), stop=stop)
                for start, stop in bands
            ]
        )
        spread = message(
            "Put {adhesive} on {flap}, from {bands} below the score. There the tabs of the tiers hide "
            "it."
        )
    elif near:
        spread = message("Put {adhesive} on {flap}, from {gap} below the score down to its edge.")
    else:
        spread = message("Put {adhesive} on {flap}, right up to the score.")
    teller.tell(
        "join",
        title,
        ("back", front.panel_name),
        (
            message("Lay the back out flat, good side up, with {flap} towards you."),
            spread,
            message(
                "Lay {panel} on it with its near edge {gap} below the score, so that the fold does not "
                "bind."
            )
            if near
            else message(
                "Lay {panel} on it, good side up, with its edge against the score but not over it."
            ),
            message("Keep both its sides level with the sides of the back, and press.")
            if aside == 0
            else message("Leave {aside} at each side, and press.")
            if aside > 0
            else message("Let it stand out {aside} at each side, and press."),
        ),
        caution=message(
            "Tape holds at the first touch: hold the sheet in a shallow curve, set the middle of its "
            "edge, then let the sides down."
        )
        if adhesive == _TAPE
        else message("Keep glue out of the score: the fold must stay free."),
        **values,
    )


def _front_name(card: Card) -> str:
    return card.front.panel_name or card.front.flap_name


# Mats and ornaments


def _tell_mats(teller: _Teller) -> None:
    """Mats and strips go on while everything lies flat: a tier would be in the way of them."""
    card = teller.card
    placed = placed_layers(card)
    on_tiers = [one for one in placed if one.part.startswith("tier ")]
    on_card = [one for one in placed if one not in on_tiers]
    now = message("Do it now, while everything lies flat.")
    if on_card:
        _tell_layers(teller, message("Mats on the card"), on_card, now)
    if on_tiers:
        _tell_layers(teller, message("Mats on the tiers"), on_tiers, now)


def _tell_layers(teller: _Teller, title: str, layers: Sequence[Placed], when: str) -> None:
    teller.tell(
        "mat",
        title,
        [one.name for one in layers],
        (when, *(_layer_words(teller, one) for one in layers)),
        caution=message(
            "Keep mats off the scores, and put glue right out to their edges, so that no corner lifts."
        ),
    )


def ground_of(card: Card, placed: Placed) -> Area:
    """What a mat or strip lies on: an area of the card, or another mat."""
    return next(one for one in (*placed_layers(card), *areas(card)) if one.name == placed.source.on)


def _layer_words(teller: _Teller, placed: Placed) -> _Phrase:
    """Where one mat goes, measured from the left side and from the edge farther from the fold."""
    card = teller.card
    ground = ground_of(card, placed)
    left, right = placed.left_mm - ground.left_mm, ground.right_mm - placed.right_mm
    if placed.side == "outside":  # one looks at it from behind
        left, right = right, left
    down = ground.stop_mm - placed.stop_mm
    kind = _ground_of(ground)
    edge = {"front": message("{down} from its front edge"), "mat": message("{down} from its far edge")}
    values: dict = {
        "adhesive": teller.say(_layer_joint(card, placed)),
        "mat": teller.the(placed.name),
        "aside": abs(left),
        "where": teller.the(ground.name)
        if kind == "mat"
        else teller.say(_GROUNDS[kind], number=ground.part.removeprefix("tier ")),
        "edge": teller.phrase(
            edge.get(kind.removeprefix("outside "), message("{down} from its top edge")), down=abs(down)
        ),
    }
    if left < 0 or right < 0 or down < 0:
        text = message("With {adhesive}, fix {mat} on {where}. It stands out past the edge.")
    elif left == right:
        text = message("With {adhesive}, fix {mat} on {where}. Set it {aside} from each side, {edge}.")
    else:
        text = message(
            "With {adhesive}, fix {mat} on {where}. Set it {aside} from the left side, {edge}."
        )
    return teller.phrase(text, **values)


_GROUNDS = {
    "back": message("the inside of the back"),
    "tier": message("the face of tier {number}"),
    "front": message("the inside of the front"),
    "outside front": message("the outside of the front"),
    "message": message("the outside of the back"),
}


def _ground_of(ground: Area) -> str:
    if isinstance(ground, Placed):
        return "mat"
    return "tier" if ground.part.startswith("tier ") else ground.name


def _tell_ornaments(teller: _Teller) -> None:
    """Ornaments go on last, on the standing card."""
    card = teller.card
    placed = placed_ornaments(card)
    if not placed:
        return
    wide = {one.name: (one.left_mm, one.right_mm) for one in areas(card) if one.name.startswith("tier ")}
    wide["back"] = (Fraction(0), mm(card.width))
    told = []
    for one in placed:
        pad = one.source.pad
        left = one.left_mm - wide[one.part][0]
        number = one.part.removeprefix("tier ")
        where = (
            teller.say("the back")
            if one.part == "back"
            else teller.say("the face of tier {number}", number=number)
        )
        values: dict = {
            "ornament": teller.the(one.name),
            "where": where,
            "aside": abs(left),
            "up": one.start_mm,
            "adhesive": teller.say(_adhesive(one.stock)),
        }
        if pad is not None:
            values["pad"] = pad
            told.append(
                teller.phrase(message("Put foam pads, {pad} thick, behind {ornament}."), **values)
            )
        else:
            told.append(teller.phrase(message("Put {adhesive} on the back of {ornament}."), **values))
        if left < 0:
            text = message("Press it on {where}, standing out {aside} past the left side of it.")
        else:
            text = message("Press it on {where}, {aside} from the left side of it.")
        told.append(teller.phrase(text, **values))
        foot = one.part != "back"
        if one.start_mm == 0:
            edge = (
                message("Its lower edge stands on the foot of the face.")
                if foot
                else message("Its lower edge stands on the fold.")
            )
        else:
            edge = (
                message("Its lower edge is {up} above the foot of the face.")
                if foot
                else message("Its lower edge is {up} above the fold.")
            )
        told.append(teller.phrase(edge, **values))
    teller.tell(
        "ornament",
        message("The ornaments") if len(placed) > 1 else message("The ornament"),
        [one.name for one in placed],
        (message("Open the card to a right angle."), *told),
        caution=message(
            "Glue an ornament to one face only. Where it touches a second one, the card cannot close."
        ),
    )


# Tiers


def _tell_foot(teller: _Teller, number: int, slip: Slip | None) -> None:
    """Turn the strip the right way up and set its bottom tab on the front."""
    card = teller.card
    tier: Tier = card.tiers[number - 1]
    depth, tab, foot = mm(tier.depth), mm(tier.bottom_tab), card.feet_mm[number - 1]
    aside = (mm(card.width) - tier.width_in(card, number - 1)) / 2
    short = depth - tab
    if number == 1:
        behind, way = teller.say("the fold"), teller.say("to the fold")
        away = teller.say("from the fold")
    else:
        behind = teller.say("the foot of tier {number}", number=number - 1)
        way = teller.say("to the foot of tier {number}", number=number - 1)
        away = teller.say("from the foot of tier {number}", number=number - 1)
    if short == 0:
        edge = message(
            "Its edge then meets {behind} exactly. The foot of the face is {foot} from the fold."
        )
    elif short > 0:
        edge = message(
            "Its edge then stands {short} out {away}. The foot of the face is {foot} from the fold."
        )
    else:
        edge = message(
            "Trim {over} off it first, or it runs past {behind}. The foot of the face must be {foot} "
            "from the fold."
        )
    first = number == _glued(card)[0]
    teller.tell(
        "foot",
        message("Tier {number}: the bottom tab"),
        (f"tier {number}", _front_name(card)),
        (
            message("Start with tier {number}, the largest strip.")
            if first and len(_glued(card)) > 1
            else "",
            message(
                "The end of the strip with two zones before the face, top tab and then shelf, goes to "
                "the top. The single tab goes to the bottom."
            )
            if first
            else message("Take the strip the same way round."),
            message("Put {adhesive} on the good side of the bottom tab."),
            message("Turn the strip over and set the tab on {front}, pointing {way}."),
            edge,
            _centred(aside),
        ),
        number=number,
        caution=slip.text if slip is not None and slip.opens_to < 180 else None,
        adhesive=teller.say(_foot_joint(card)),
        front=teller.the(_front_name(card)),
        behind=behind,
        way=way,
        away=away,
        foot=foot,
        short=short,
        over=-short,
        aside=abs(aside),
    )


def _centred(aside: Fraction) -> str:
    if aside == 0:
        return message("Keep both ends level with the sides of the card.")
    if aside < 0:
        return message("It is wider than the card: let it stand out {aside} at each side.")
    return message("Keep it in the middle, {aside} in from each side, and press.")


def _tell_top_tab(teller: _Teller, number: int) -> None:
    """Lay the tier flat, put adhesive on the top tab, close the card on it."""
    card = teller.card
    adhesive = _top_joint(card, number)
    first = number == _glued(card)[0]
    laid = (
        message("Lay the face of tier {number} flat on {front}, away from the fold."),
        message(
            "Fold the shelf and the top tab back over it, towards the fold: the good side of the top "
            "tab looks up."
        ),
        message("Put {adhesive} on it."),
    )
    again = (
        message("Lay the face flat and fold the shelf and the top tab back over it, as before."),
        message("Put {adhesive} on the top tab."),
    )
    teller.tell(
        "top tab",
        message("Tier {number}: the top tab"),
        (f"tier {number}",),
        (
            *(laid if first else again),
            message(
                "Close the card to set the top tab: {behind} comes down on it, and it sticks where it "
                "lands."
            ),
            message("Press, count slowly to twenty, and open the card.")
            if adhesive == _GLUE
            else message("Press, and open the card."),
            message("Tier {number} stands up with its shelf level."),
        ),
        caution=message(
            "Do not set this tab by eye or by ruler: closing the card puts it in the right place."
        )
        if first
        else None,
        number=number,
        front=teller.the(_front_name(card)),
        adhesive=teller.say(adhesive),
        behind=_behind(teller, number),
    )


def _tell_check(teller: _Teller) -> None:
    card = teller.card
    several = len(card.tiers) > 1
    out = [
        teller.phrase(message("tier {number} by {out}"), number=number, out=-mm(margin))
        for number, margin in enumerate(closed_margins(card), 1)
        if mm(margin) < 0
    ]
    teller.tell(
        "check",
        message("Open and check"),
        (),
        (
            message(
                "Open the card to a right angle: every shelf is level and every face stands upright."
            )
            if several
            else message(
                "Open the card to a right angle: the shelf is level and the face stands upright."
            ),
            message("Open it flat, then close it."),
            message(
                "As it closes, the foam under an ornament is pressed together: do not force it flat."
            )
            if any(pressed_hard(card, one) for one in placed_ornaments(card))
            else "",
            message("Closed, this design shows past the edge: {out}.")
            if out
            else message("Closed, nothing shows past the edge."),
        ),
        out=teller.listed(out),
    )


# Cautions -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One thing to take care of.

    about   its key: "knife", "trimmer", "sheet", "hot glue", "solvent", "children", "small parts" or
            "first"
    topic   a few words
    text    whole sentences
    source  where it is published, or "common practice, no source", or "from memory"
    """

    about: str
    topic: str
    text: str
    source: str


_CHILDREN = "content-primaryteachers.cpdcollege.com"
_SMALL_PARTS = "US 16 CFR 1501 (small parts)"
_KNIFE = Caution(
    about="knife",
    topic=message("Craft knife"),
    text=message(
        "Learn the grip before the first cut. Use a cutting mat larger than the work, a safety ruler "
        "and a sharp blade, and keep the holding hand behind the blade. Cap it when you put it down."
    ),
    source="NSEAD, health and safety: cutting tools",
)
_TRIMMER = Caution(
    about="trimmer",
    topic=message("Trimmer"),
    text=message(
        "Keep the guard on and your fingers behind it. Lock the blade down whenever it is not in use."
    ),
    source="from memory",
)
_SHEET = Caution(
    about="sheet",
    topic=message("Clear sheet"),
    text=message("The edges of a plastic sheet cut skin. Handle it by the flat, and round the corners."),
    source="from memory",
)
_HOT = Caution(
    about="hot glue",
    topic=message("Hot glue"),
    text=message(
        "These steps do not need it. Where a class uses it: nozzle and glue reach 195 °C. Protect your "
        "eyes, have cold water ready and never spread it with a finger."
    ),
    source="school safety sheet on glue guns, January 2018",
)
_SOLVENT = Caution(
    about="solvent",
    topic=message("Glue with solvent"),
    text=message(
        "These steps do not need it. Where a class uses it: open a window and read its safety data "
        "sheet."
    ),
    source="from memory",
)
_YOUNG = Caution(
    about="children",
    topic=message("Children"),
    text=message(
        "A child uses a knife or a glue gun only with an adult right beside. Keep small parts away "
        "from children under three."
    ),
    source=f"{_CHILDREN}; {_SMALL_PARTS}",
)
_STANDING = Caution(
    about="small parts",
    topic=message("Small parts"),
    text=message(
        "An ornament or a foam pad can come off and be swallowed. A card that has them is no toy for "
        "a child under three."
    ),
    source=_SMALL_PARTS,
)
_FIRST = Caution(
    about="first",
    topic=message("What goes first"),
    text=message(
        "The label on each product, the rules of the room and the law where you are go before this "
        "sheet."
    ),
    source="",
)


_CAUTIONS = {
    one.about: one for one in (_KNIFE, _TRIMMER, _SHEET, _HOT, _SOLVENT, _YOUNG, _STANDING, _FIRST)
}


def cautions_about(about: Iterable[str], *, language: Language | str = BRITISH) -> tuple[Caution, ...]:
    """The cautions of these keys, each once, in their usual order. Raises: KeyError."""
    say = as_language(language).say
    wanted = {_CAUTIONS[key].about for key in about}
    return tuple(
        replace(one, topic=say(one.topic), text=say(one.text))
        for key, one in _CAUTIONS.items()
        if key in wanted
    )


def cautions(card: Card, *, language: Language | str = BRITISH) -> tuple[Caution, ...]:
    """What to take care of with this card, the word on what goes first at the end."""
    stocks = [card.stock, card.tier_stock if _glued(card) else card.stock]
    if card.front.panel_name is not None:
        stocks.append(card.front.stock_in(card))
    stocks += [one.stock_in(card) for one in (*card.layers, *card.ornaments)]
    about = ["knife", "children", "first"]
    if _trimmed(card):
        about.append("trimmer")
    if any(stock.kind == "plastic" for stock in stocks):
        about.append("sheet")
    if _joints(card):
        about += ["hot glue", "solvent"]
    if card.ornaments:
        about.append("small parts")
    return cautions_about(about, language=language)
