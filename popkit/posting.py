"""Getting a card there: which envelope takes it, a box where none does, which class the post makes it.

Thickness eats width. A flat envelope is a tube whose girth is twice its width, and a card of width w
and thickness t has a girth of 2 (w + t), so the envelope has to be wider than the card by its
thickness, and longer likewise, besides the room that a hand needs to slide it in.

Imports: lengths, language, saying, papers, card, pieces, findings, checks, standing, thickness.
Sources stand in the rows; limits are those of the edition named, prices are left out on purpose.
"""

from __future__ import annotations

import math
import re
from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from numbers import Rational

from popkit.card import Card, CardError, usual
from popkit.checks import score_room
from popkit.findings import Change, Finding, Remedy
from popkit.language import BRITISH, Language, message, noun
from popkit.lengths import (
    Grid,
    Length,
    LengthError,
    as_length,
    from_mm,
    mm,
    show_exact,
    show_length,
    unit_of,
)
from popkit.papers import (
    ENVELOPES,
    GRAMS_PER_OUNCE,
    PADDED,
    SHEETS,
    Envelope,
    Sheet,
    Stock,
    as_envelope,
    as_stock,
)
from popkit.pieces import Piece, Zone
from popkit.saying import Figures, Limit, Name, OnRuler, Saying
from popkit.standing import masses
from popkit.thickness import thickness

__all__ = [
    "CHECK_CURRENT",
    "EASE",
    "SERVICES",
    "UNEVEN",
    "BoxEnvelope",
    "EnvelopeFit",
    "Packet",
    "PostClass",
    "Posted",
    "Service",
    "advice",
    "as_service",
    "box_envelope",
    "check_post",
    "envelopes_for",
    "packet",
    "post_class",
    "safe_limit",
]

CHECK_CURRENT = message("Check the service's current rules before you buy stamps.")

EASE = as_length("1.5 mm")
"""Room that a hand needs to slide a card in, both ways together, besides its thickness: common
practice, no source. Less than 1/8 in (3.2 mm), the least that the published table allows a flat card
(A1 and A2, short side)."""

UNEVEN = as_length("1/8 in")
"""From more than this between its thickest and thinnest place a packet counts as uneven, being half of
the thickness of a USPS letter: common practice, no source."""

_INCH, _METRIC = ("inch", "foot"), ("millimeter", "centimeter", "meter")


# Envelopes ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class EnvelopeFit:
    """An envelope that takes a card, and the room left once its thickness is taken off.

    envelope
    spare_short, spare_long  each way, 0 or more
    """

    envelope: Envelope
    spare_short: Length
    spare_long: Length

    def __str__(self) -> str:
        spare = " and ".join(show_length(one, "1 mm") for one in (self.spare_short, self.spare_long))
        return f"{self.envelope}: {spare} to spare beyond the card's thickness"


# One card is asked for in many envelopes and for many services; its sums are kept, by identity.
_RECENT: deque[tuple[Card, tuple[Fraction, Fraction, Fraction]]] = deque(maxlen=8)


def _closed(card: Card) -> tuple[Fraction, Fraction, Fraction]:
    """The closed card: greatest thickness and how uneven it is in mm, and grams, all exact."""
    for known, found in tuple(_RECENT):
        if known is card:
            return found
    profile = thickness(card)
    found = (profile.greatest_mm, profile.uneven_mm, sum(masses(card).values()))
    _RECENT.append((card, found))
    return found


def _sides(card: Card) -> tuple[Fraction, Fraction]:
    """Millimetres of the closed card, the short side first."""
    short, long = sorted((mm(card.width), max(mm(card.height), card.front.length_in(card))))
    return short, long


def _in_measure(envelope: Envelope, unit: str) -> bool:
    return (unit_of(envelope.short) in _INCH) == (unit in _INCH)


def envelopes_for(
    card: Card, thick: Length | str | None = None, *, padded: bool | None = None
) -> tuple[EnvelopeFit, ...]:
    """The envelopes that take a closed card, either way round.

    thick   of the closed card, measured; unless given, the greatest of its stack
    padded  True for padded ones only, False for plain ones only; unless given, both
    Returns: plain before padded, those in the card's own measure first, then the smallest.
    Source: sizes of `papers.ENVELOPES` and `PADDED`; girth of the envelope, own derivation; that
    thickness eats both width and length, winenfood.com, padded envelope size.
    """
    short, long = _sides(card)
    deep = _closed(card)[0] if thick is None else mm(as_length(thick))
    found = []
    for envelope in (*ENVELOPES.values(), *PADDED.values()):
        spare = [
            mm(inside) - deep - side for inside, side in ((envelope.short, short), (envelope.long, long))
        ]
        if min(spare) >= mm(EASE) and padded in (None, envelope.padded):
            unit = unit_of(envelope.short)
            found.append(
                EnvelopeFit(
                    envelope=envelope,
                    spare_short=from_mm(spare[0], unit),
                    spare_long=from_mm(spare[1], unit),
                )
            )

    def order(fit: EnvelopeFit) -> tuple:
        one = fit.envelope
        return one.padded, not _in_measure(one, card.unit), mm(one.short) * mm(one.long)

    return tuple(sorted(found, key=order))


@dataclass(frozen=True, slots=True, kw_only=True)
class Packet:
    """What is handed over the counter.

    short, long  outside, lengths
    thick        with its walls
    grams        with its envelope, exact
    outside      "paper" or "plastic"
    rigid        whether it will not bend
    uneven       whether a lump can be felt
    """

    short: Length
    long: Length
    thick: Length
    grams: Fraction
    outside: str = "paper"
    rigid: bool = False
    uneven: bool = False


def packet(card: Card, envelope: Envelope | BoxEnvelope | str) -> Packet:
    """A card in its envelope or box: size, thickness and weight as the post measures them.

    A plain envelope adds two walls and its flap. The card is taken as closed flat.
    Raises: LengthError if no envelope has that name.
    """
    greatest, uneven, grams = _closed(card)
    if isinstance(envelope, BoxEnvelope):
        short, long = sorted(envelope.outside[:2], key=mm)
        return Packet(
            short=short, long=long, thick=envelope.outside[2], grams=grams + envelope.grams, rigid=True
        )
    envelope = as_envelope(envelope)
    walls = (2 if envelope.padded else 3) * mm(envelope.wall)
    return Packet(
        short=envelope.outside[0],
        long=envelope.outside[1],
        thick=from_mm(greatest + walls, card.unit),
        grams=grams + envelope.grams,
        uneven=uneven > mm(UNEVEN) and not envelope.padded,
    )


# A box of our own ---------------------------------------------------------------

# common practice, no source: room round the card in a box, both ways together, and over it; and how
# much looser the sleeve is than the tray that slides in it.
_ROOM = {"inch": "1/8 in", "metric": "3 mm"}
_SLIP = {"inch": "1/16 in", "metric": "1 mm"}


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxEnvelope:
    """A tray that slides into a sleeve: both plain rectangles whose scores all run one way.

    The tray is a base with a wall at either end and a lip that folds in over the card; the sleeve
    goes round it and its open ends are closed by the tray's walls.

    pieces   "tray" and "sleeve", or two of "half sleeve" where no sheet is long enough for a whole
    inside   (along the fold, across it, depth)
    outside  the same, outside
    sheets   for each piece the smallest sheet it comes out of, its folds with the grain, or None
    stock
    """

    pieces: tuple[Piece, ...]
    inside: tuple[Length, Length, Length]
    outside: tuple[Length, Length, Length]
    sheets: tuple[Sheet | None, ...]
    stock: Stock

    @property
    def grams(self) -> Fraction:
        """Grams of the empty box: area × grammage of its pieces."""
        area = sum(piece.count * mm(piece.width) * mm(piece.length) for piece in self.pieces)
        return area * self.stock.grammage / 1_000_000

    @property
    def text(self) -> str:
        """What to cut, from which sheet, and how it goes together, in British English."""
        return self.said()

    def said(self, language: Language = BRITISH) -> str:
        """What to cut, from which sheet, and how it goes together, in sentences of a language."""
        lines = [
            language.say(
                "A box {deep} deep inside, of {stock}, {grams} g empty.",
                deep=language.show_exact(self.inside[2]),
                stock=language.name(self.stock.name),
                grams=f"{float(self.grams):.0f}",
            )
        ]
        for piece, sheet in zip(self.pieces, self.sheets, strict=True):
            cut = message("Cut one “{piece}”, {width} × {length}.")
            lines.append(
                language.say(
                    cut
                    if piece.count == 1
                    else message("Cut two of “{piece}”, {width} × {length} each."),
                    piece=language.name(piece.name),
                    width=language.show_exact(piece.width),
                    length=language.show_exact(piece.length),
                )
            )
            if sheet is None:
                lines.append(language.say("No sheet that we know is large enough for it."))
            else:
                lines.append(language.say("It comes out of {sheet}.", sheet=language.name(sheet.name)))
            scores = language.listed(language.show_exact(score) for score in piece.scores)
            lines.append(language.say("Score it at {scores} from one end.", scores=scores))
        lines.append(language.say("Fold every score away from the good side."))
        if self.pieces[1].count == 2:
            glue = message("Glue the flap of each half sleeve under the panel of the other.")
        else:
            glue = message("Glue the sleeve's flap under its last panel.")
        lines.append(language.say(glue))
        lines.append(
            language.say("Lay the card in the tray, fold the lips in over it and slide the tray home.")
        )
        return " ".join(lines)


# Names of the pieces and their zones, which drawings and cut lists look up.
_NAMES = (
    noun("tray"),
    noun("sleeve"),
    noun("half sleeve"),
    noun("lip"),
    noun("wall"),
    noun("base"),
    noun("glue flap"),
    noun("side"),
    noun("panel"),
)


def _sheet_for(piece: Piece, unit: str, *, on_hand: bool) -> Sheet | None:
    """The smallest sheet that a piece comes out of with its folds along the grain.

    on_hand  only sheets of the unit's own measure that a home printer or a small shop has, up to A3
    """
    largest = mm(SHEETS["A3"].width) * mm(SHEETS["A3"].height)

    def foreign(sheet: Sheet) -> bool:
        return (unit_of(sheet.width) in _INCH) != (unit in _INCH)

    def size(sheet: Sheet) -> Fraction:
        return mm(sheet.width) * mm(sheet.height)

    takes = [  # folds run along the width and the sheet's grain along its height
        sheet
        for sheet in SHEETS.values()
        if mm(piece.width) <= mm(sheet.height)
        and mm(piece.length) <= mm(sheet.width)
        and not (on_hand and (foreign(sheet) or size(sheet) > largest))
    ]
    return min(takes, key=lambda sheet: (foreign(sheet), size(sheet)), default=None)


def box_envelope(
    card: Card,
    depth: Length | str | None = None,
    *,
    stock: Stock | str | None = None,
    grid: Grid | Length | str | None = None,
) -> BoxEnvelope:
    """A box for a card of any size and depth: a tray and the sleeve it slides into.

    depth  inside; unless given, what the closed card needs with room over it
    stock  unless given, the card's
    grid   ruler whose marks every size lies on; unless given, the card's own
    Returns: a `BoxEnvelope` whose `pieces` can be drawn, planned and cut like any others.
    Raises: CardError if the depth is less than the closed card's thickness.
    Source: a panel from score to score is its inside and one caliper more, as the outside of each
    fold takes that up; common practice, no source.
    """
    stock = card.stock if stock is None else as_stock(stock)
    ruler = card.grid if grid is None else grid if isinstance(grid, Grid) else Grid(grid)
    measure = "inch" if ruler.unit in _INCH else "metric"
    room, slip = mm(as_length(_ROOM[measure])), mm(as_length(_SLIP[measure]))
    paper = mm(stock.caliper)
    thick = _closed(card)[0]

    def up(value: Fraction) -> Fraction:
        return mm(ruler.up(from_mm(value)))

    def length(value: Fraction) -> Length:
        return from_mm(value, ruler.unit)

    if depth is None:
        deep = up(max(thick + room, mm(score_room(stock))))
    else:
        deep = mm(as_length(depth))
        if deep < thick:
            least = show_exact(length(up(thick)))
            raise CardError(
                f"A box {show_exact(length(deep))} deep does not close over this card. "
                f"Write at least {least}."
            )
    across = up(mm(card.width) + room)
    along = up(max(mm(card.height), card.front.length_in(card)) + room)
    lip = min(mm(usual("tab", ruler.unit)), mm(ruler.down(from_mm(along / 2))))
    wall, base = up(deep + paper), up(along + paper)
    ends = [("lip", lip), ("wall", wall)]
    tray = _strip("tray", across, [*ends, ("base", base), *reversed(ends)], stock, ruler.unit)
    # Round the tray: its base, the card's depth and the lip above; its walls at either end.
    side, panel = up(deep + 2 * paper + slip + paper), up(across + slip + paper)
    tube, flap = up(base + 2 * paper), mm(usual("tab", ruler.unit))
    whole = [("glue flap", flap), ("side", side), ("panel", panel), ("side", side), ("panel", panel)]
    sleeve = _strip("sleeve", tube, whole, stock, ruler.unit)
    if _sheet_for(sleeve, ruler.unit, on_hand=True) is None:
        sleeve = replace(_strip("half sleeve", tube, whole[:3], stock, ruler.unit), count=2)
    pieces = (tray, sleeve)
    return BoxEnvelope(
        pieces=pieces,
        inside=(length(across), length(along), length(deep)),
        outside=(length(up(panel + paper)), length(tube), length(up(side + paper))),
        sheets=tuple(_sheet_for(piece, ruler.unit, on_hand=False) for piece in pieces),
        stock=stock,
    )


def _strip(
    name: str, width: Fraction, zones: list[tuple[str, Fraction]], stock: Stock, unit: str
) -> Piece:
    """A rectangle scored between its zones, every fold away from the good side."""
    ends, end = [], Fraction(0)
    for _, size in zones:
        end += size
        ends.append(end)
    return Piece(
        name=name,
        width=from_mm(width, unit),
        length=from_mm(end, unit),
        scores=tuple(from_mm(at, unit) for at in ends[:-1]),
        folds=("mountain",) * (len(zones) - 1),
        zones=tuple(
            Zone(name=zone, length=from_mm(size, unit), glue=zone == "glue flap") for zone, size in zones
        ),
        stock=stock,
        grain="width",
    )


# Postal classes -----------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class PostClass:
    """One class of one service; whatever is None is not limited.

    name      as the service calls it
    least, most  (short, long) sides
    thinnest, thickest
    thinnest_if_large  (over short, over long, thinnest): more is asked of a larger piece
    lightest, heaviest  grams, exact; `under` where the heaviest itself is too heavy
    ratio     (least, most) of long over short
    sum_most  of length, width and thickness together
    paper     whether the outside has to be paper
    flexible  whether it has to bend
    even      whether lumps are refused
    notes     what the limits do not say
    """

    name: str
    least: tuple[Length, Length] | None = None
    most: tuple[Length, Length] | None = None
    thinnest: Length | None = None
    thickest: Length | None = None
    thinnest_if_large: tuple[Length, Length, Length] | None = None
    lightest: Fraction | None = None
    heaviest: Fraction | None = None
    under: bool = False
    ratio: tuple[Fraction | None, Fraction | None] = (None, None)
    sum_most: Length | None = None
    paper: bool = False
    flexible: bool = False
    even: bool = False
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Service:
    """A postal service and its classes, the smallest first.

    beyond   what a larger or heavier piece is sent as
    edition  date of the rules these limits are from
    source   where they were read
    least, thinnest, lightest  below which nothing is taken: (short, long) sides, thickness, grams
    spared   the thickness above which a piece may be of any size
    """

    name: str
    classes: tuple[PostClass, ...]
    beyond: str
    edition: str
    source: str
    least: tuple[Length, Length] | None = None
    thinnest: Length | None = None
    lightest: Fraction | None = None
    spared: Length | None = None


_READ = "2026-11-25"
_UNDATED = f"no date given, read on {_READ}"


def _pair(short: str, long: str) -> tuple[Length, Length]:
    return as_length(short), as_length(long)


def _services() -> dict[str, Service]:
    ounces = GRAMS_PER_OUNCE
    usps_letter = {
        "least": _pair("3 1/2 in", "5 in"),
        "most": _pair("6 1/8 in", "11 1/2 in"),
        "thinnest": as_length("0.007 in"),
        "thickest": as_length("1/4 in"),
        "heaviest": Fraction(7, 2) * ounces,
    }
    german = {"ratio": (Fraction(7, 5), None)}
    rows = [
        Service(
            name="USPS",
            classes=(
                PostClass(
                    name="letter",
                    **usps_letter,
                    ratio=(Fraction(13, 10), Fraction(5, 2)),
                    thinnest_if_large=(*_pair("4 1/4 in", "6 in"), as_length("0.009 in")),
                    paper=True,
                    flexible=True,
                    even=True,
                    notes=(message("Clasps, strings and buttons outside make it nonmachinable."),),
                ),
                PostClass(
                    name="nonmachinable letter",
                    **usps_letter,
                    notes=(message("It pays the nonmachinable surcharge."),),
                ),
                PostClass(
                    name="large envelope (flat)",
                    most=_pair("12 in", "15 in"),
                    thickest=as_length("3/4 in"),
                    heaviest=13 * ounces,
                    flexible=True,
                    even=True,
                    notes=(message("A padded envelope may be a flat if it bends and is even."),),
                ),
            ),
            beyond="package",
            least=_pair("3 1/2 in", "5 in"),
            thinnest=as_length("0.007 in"),
            spared=as_length("1/4 in"),  # Notice 59, January 1991
            edition="2021-01-24, flats 2018-08-16",
            source="DMM 101.1.1 and 101.1.2 as archived, pe.usps.com; flats: news.usps.com, "
            "flat-sized mailpieces; 13 oz and that a letter has to bend from memory",
        ),
        Service(
            name="Royal Mail",
            classes=(
                PostClass(
                    name="letter",
                    most=_pair("165 mm", "240 mm"),
                    thickest=as_length("5 mm"),
                    heaviest=Fraction(100),
                ),
                PostClass(
                    name="large letter",
                    most=_pair("250 mm", "353 mm"),
                    thickest=as_length("25 mm"),
                    heaviest=Fraction(750),
                ),
            ),
            beyond="small parcel",
            edition=_UNDATED,
            source="ask.ofcom.org.uk (sizes); antalis.co.uk and ryman.co.uk (weights)",
        ),
        Service(
            name="Canada Post",
            classes=(
                PostClass(
                    name="standard Lettermail",
                    least=_pair("90 mm", "140 mm"),
                    most=_pair("156 mm", "245 mm"),
                    thinnest=as_length("0.18 mm"),
                    thickest=as_length("5 mm"),
                    lightest=Fraction(2),
                    heaviest=Fraction(50),
                    flexible=True,
                ),
                PostClass(
                    name="other Lettermail (non-standard and oversize)",
                    least=_pair("90 mm", "140 mm"),
                    most=_pair("270 mm", "380 mm"),
                    thinnest=as_length("0.18 mm"),
                    thickest=as_length("20 mm"),
                    lightest=Fraction(3),
                    heaviest=Fraction(500),
                    notes=(message("A box goes only in an envelope or a wrapper."),),
                ),
            ),
            beyond="parcel",
            least=_pair("90 mm", "140 mm"),
            thinnest=as_length("0.18 mm"),
            lightest=Fraction(2),
            edition=_UNDATED,
            source="canadapost.ca, Lettermail size requirements, and letter flexibility",
        ),
        Service(
            name="Deutsche Post",
            classes=(
                PostClass(
                    name="Standardbrief",
                    least=_pair("90 mm", "140 mm"),
                    most=_pair("125 mm", "235 mm"),
                    thickest=as_length("5 mm"),
                    heaviest=Fraction(20),
                    **german,
                ),
                PostClass(
                    name="Kompaktbrief",
                    least=_pair("70 mm", "100 mm"),
                    most=_pair("125 mm", "235 mm"),
                    thickest=as_length("10 mm"),
                    heaviest=Fraction(50),
                    **german,
                ),
                PostClass(
                    name="Grossbrief",
                    least=_pair("70 mm", "100 mm"),
                    most=_pair("250 mm", "353 mm"),
                    thickest=as_length("20 mm"),
                    heaviest=Fraction(500),
                ),
                PostClass(
                    name="Maxibrief",
                    least=_pair("70 mm", "100 mm"),
                    most=_pair("250 mm", "353 mm"),
                    thickest=as_length("50 mm"),
                    heaviest=Fraction(1000),
                    notes=(message("Its limits are from memory."),),
                ),
            ),
            beyond="Päckchen",
            least=_pair("70 mm", "100 mm"),
            edition="2025-02-12",
            source="zeit-heute.de; stuttgarter-nachrichten.de (length at least 1.4 times width)",
        ),
        Service(
            name="Australia Post",
            classes=(
                PostClass(
                    name="small letter",
                    most=_pair("130 mm", "240 mm"),
                    thickest=as_length("5 mm"),
                    heaviest=Fraction(250),
                    under=True,
                    flexible=True,
                ),
                PostClass(
                    name="large letter",
                    most=_pair("260 mm", "360 mm"),
                    thickest=as_length("20 mm"),
                    heaviest=Fraction(500),
                    flexible=True,
                ),
            ),
            beyond="parcel",
            edition="2024-04-15",
            source="auspost.com.au, regular letters and cards; domestic letters (must bend); posting "
            "tips (weights: small letters under 250 g, large up to 500 g)",
        ),
        Service(
            name="UPU (abroad)",
            classes=(
                PostClass(
                    name="standardized letter",
                    least=_pair("90 mm", "140 mm"),
                    most=_pair("120 mm", "235 mm"),
                    thickest=as_length("5 mm"),
                    heaviest=Fraction(20),
                    under=True,
                    ratio=(Fraction(7, 5), None),
                    paper=True,
                    notes=(message("A folded card without an envelope is never standardized."),),
                ),
                PostClass(
                    name="small letter (P)",
                    least=_pair("90 mm", "140 mm"),
                    most=_pair("165 mm", "245 mm"),
                    thickest=as_length("5 mm"),
                    heaviest=Fraction(100),
                    notes=(message("Its limits are from memory."),),
                ),
                PostClass(
                    name="large letter (G)",
                    least=_pair("90 mm", "140 mm"),
                    most=_pair("305 mm", "381 mm"),
                    thickest=as_length("20 mm"),
                    heaviest=Fraction(500),
                    notes=(message("Its limits are from memory."),),
                ),
                PostClass(
                    name="letter-post item",
                    least=_pair("90 mm", "140 mm"),
                    most=_pair("600 mm", "600 mm"),
                    sum_most=as_length("900 mm"),
                    heaviest=Fraction(2000),
                ),
            ),
            beyond="parcel",
            least=_pair("90 mm", "140 mm"),
            edition=_UNDATED,
            source="Letter-post Regulations, art. 203, as printed by koreapost.go.kr; the tolerance of "
            "2 mm is not used",
        ),
    ]
    return {service.name: service for service in rows}


SERVICES: dict[str, Service] = _services()


def safe_limit(limit: Length, grid: Grid | Length | str, kind: str) -> Length:
    """A limit on another ruler, rounded so that whoever keeps to it keeps to the limit.

    kind  "least" goes up to a mark, "most" goes down
    Raises: LengthError if the kind is neither.
    """
    ruler = grid if isinstance(grid, Grid) else Grid(grid)
    if kind not in ("least", "most"):
        raise LengthError(str(kind), "is no kind of limit", "Write least or most")
    return ruler.up(limit) if kind == "least" else ruler.down(limit)


def _both(limit: Length, kind: str) -> Limit:
    """A limit as published, and on the other ruler rounded to the safe side."""
    other = _SIXTEENTHS if unit_of(limit) in _METRIC else _MILLIMETRES
    return Limit(limit, safe_limit(limit, other, kind))


_SIXTEENTHS, _MILLIMETRES = Grid("1/16 in"), Grid("1 mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Posted:
    """Which class one service makes of a piece.

    service  the `Service`
    name     of the class, or of what goes beyond them; None if it cannot be posted so small
    why_not  for each smaller class its reasons, (name, (clause, ...))
    notes    on the class that it is
    """

    service: Service
    name: str | None
    why_not: tuple[tuple[str, tuple[Saying, ...]], ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The class, why it is no smaller one, what to mind, and of which date the rules are."""
        return self.said()

    def said(self, language: Language = BRITISH) -> str:
        """The same in sentences of a language; the classes keep the service's own names."""
        service = self.service.name
        if self.name is None:
            why = "; ".join(reason.said(language) for reason in self.why_not[0][1])
            lines = [language.say("{service} does not take it: {why}.", service=service, why=why)]
        else:
            lines = [f"{service}: {self.name}."]
            for other, reasons in self.why_not:
                why = "; ".join(reason.said(language) for reason in reasons)
                lines.append(language.say("No {name}, because {why}.", name=other, why=why))
        lines += [language.say(note) for note in self.notes]
        date = self.service.edition
        if date == _UNDATED:
            lines.append(language.say("(Its rules bear no date; read on {date}.)", date=_READ))
        else:
            lines.append(language.say("(Date of its rules: {date}.)", date=date))
        return " ".join(lines)


_SIDES = (
    (message("its short side is under {limit}"), message("its short side is over {limit}")),
    (message("its long side is under {limit}"), message("its long side is over {limit}")),
)
_SQUARE = message("it is square, and so less than {limit} times as long as high")
_STOUT = message("it is {shape} times as long as high, under {limit}")
_SLIM = message("it is {shape} times as long as high, over {limit}")


def _size_reasons(one: PostClass, short: Fraction, long: Fraction) -> Iterator[Saying]:
    for place, side in enumerate((short, long)):
        under, over = _SIDES[place]
        if one.least is not None and side < mm(one.least[place]):
            yield Saying.of(under, limit=_both(one.least[place], "least"))
        if one.most is not None and side > mm(one.most[place]):
            yield Saying.of(over, limit=_both(one.most[place], "most"))
    shape = long / short
    low, high = one.ratio
    if low is not None and shape < low:
        limit = Figures(f"{float(low):g}")
        if shape == 1:
            yield Saying.of(_SQUARE, limit=limit)
        else:
            yield Saying.of(_STOUT, shape=_short_of(shape, low), limit=limit)
    if high is not None and shape > high:
        yield Saying.of(_SLIM, shape=Figures(f"{float(shape):.3f}"), limit=Figures(f"{float(high):g}"))


def _short_of(shape: Fraction, limit: Fraction) -> Figures:
    """Three decimals; a shape that is short of its limit is never printed as the limit."""
    near = round(shape, 3)
    shown = near if near < limit else Fraction(math.floor(shape * 1000), 1000)
    return Figures(f"{float(shown):.3f}")


def _reasons(
    one: PostClass, piece: Packet, short: Fraction, long: Fraction, thick: Fraction, grams: Fraction
) -> Iterator[Saying]:
    """Why the piece is not of this class."""
    yield from _size_reasons(one, short, long)
    if one.thinnest is not None and thick < mm(one.thinnest):
        yield Saying.of(message("it is thinner than {limit}"), limit=one.thinnest)
    elif one.thinnest_if_large is not None:
        over_short, over_long, least = (mm(value) for value in one.thinnest_if_large)
        if (short > over_short or long > over_long) and thick < least:
            template = message("at that size it has to be {limit} thick")
            yield Saying.of(template, limit=one.thinnest_if_large[2])
    if one.thickest is not None and thick > mm(one.thickest):
        yield Saying.of(message("it is thicker than {limit}"), limit=_both(one.thickest, "most"))
    if one.sum_most is not None and short + long + thick > mm(one.sum_most):
        template = message("length, width and thickness come to over {limit}")
        yield Saying.of(template, limit=one.sum_most)
    if one.lightest is not None and grams < one.lightest:
        template = message("it is lighter than {limit} g")
        yield Saying.of(template, limit=Figures(f"{float(one.lightest):g}"))
    if one.heaviest is not None and (grams > one.heaviest or (one.under and grams == one.heaviest)):
        within, under = message("it is heavier than {limit} g"), message("it is not under {limit} g")
        yield Saying.of(under if one.under else within, limit=_grams_down(one.heaviest))
    if one.paper and piece.outside != "paper":
        yield Saying.of(message("its outside is not paper"))
    if one.flexible and piece.rigid:
        yield Saying.of(message("it does not bend"))
    if one.even and piece.uneven:
        yield Saying.of(message("it is of uneven thickness"))


def _grams_down(grams: Fraction) -> Figures:
    """A weight limit in whole tenths of a gram, rounded down."""
    return Figures(f"{math.floor(grams * 10) / 10:g}")


def _as_grams(value: object) -> Fraction:
    if isinstance(value, float) and math.isfinite(value):
        value = Fraction(value)
    if isinstance(value, bool) or not isinstance(value, Rational) or value <= 0:
        raise LengthError(str(value), "is no weight", "Write grams, more than 0")
    return Fraction(value)


def post_class(
    width: Length | str,
    height: Length | str,
    thick: Length | str,
    grams: Fraction | float,
    *,
    outside: str = "paper",
    rigid: bool = False,
    uneven: bool = False,
    services: Iterable[Service | str] | None = None,
) -> tuple[Posted, ...]:
    """Which class each service makes of a piece, and why no smaller one.

    width, height  outside, either way round
    thick          at its thickest
    grams          with everything on it, > 0
    outside        "paper" or "plastic"
    rigid          it does not bend
    uneven         a lump can be felt
    services       names in `SERVICES`; unless given, all
    Returns: one `Posted` a service. A limit itself is still within, save where "under" is published.
    Raises: LengthError for a size, a weight, an outside or a service that is none.
    """
    if outside not in ("paper", "plastic"):
        raise LengthError(str(outside), "is no outside", "Write paper or plastic")
    short, long = sorted((as_length(width), as_length(height)), key=mm)
    piece = Packet(
        short=short,
        long=long,
        thick=as_length(thick),
        grams=_as_grams(grams),
        outside=outside,
        rigid=rigid,
        uneven=uneven,
    )
    return _classed(piece, services)


def as_service(name: Service | str) -> Service:
    """A `Service` from its name in any case, from a line that begins with it, or from itself.

    Raises: LengthError if no service is called that.
    """
    if isinstance(name, Service):
        return name
    wanted = str(name).strip().casefold()
    for known in SERVICES.values():
        plain = known.name.partition(" (")[0].casefold()
        if re.match(rf"{re.escape(plain)}\b", wanted):
            return known
    raise LengthError(str(name), "is no service we know", "Services are " + ", ".join(SERVICES))


def _classed(piece: Packet, services: Iterable[Service | str] | None) -> tuple[Posted, ...]:
    chosen = SERVICES if services is None else services
    return tuple(_class_of(as_service(name), piece) for name in chosen)


def _too_little(service: Service, piece: Packet) -> tuple[Saying, ...]:
    """Why the service takes nothing so small, or nothing."""
    short, long, thick = mm(piece.short), mm(piece.long), mm(piece.thick)
    bulky = service.spared is not None and thick > mm(service.spared)
    least = PostClass(
        name=service.name,
        least=None if bulky else service.least,
        thinnest=service.thinnest,
        lightest=service.lightest,
    )
    return tuple(_reasons(least, piece, short, long, thick, piece.grams))


def _class_of(service: Service, piece: Packet) -> Posted:
    short, long, thick = mm(piece.short), mm(piece.long), mm(piece.thick)
    if small := _too_little(service, piece):
        return Posted(service=service, name=None, why_not=((service.classes[0].name, small),))
    why_not = []
    for one in service.classes:
        reasons = tuple(_reasons(one, piece, short, long, thick, piece.grams))
        if not reasons:
            return Posted(service=service, name=one.name, why_not=tuple(why_not), notes=one.notes)
        why_not.append((one.name, reasons))
    return Posted(service=service, name=service.beyond, why_not=tuple(why_not))


# For one card -------------------------------------------------------------------


def _choice(card: Card, envelope: Envelope | BoxEnvelope | str | None) -> Envelope | BoxEnvelope:
    """The envelope asked for, or the first that takes the card, or a box."""
    if isinstance(envelope, BoxEnvelope):
        return envelope
    if envelope is not None:
        return as_envelope(envelope)
    fits = envelopes_for(card)
    return fits[0].envelope if fits else box_envelope(card)


def check_post(
    card: Card,
    envelope: Envelope | BoxEnvelope | str | None = None,
    *,
    services: Iterable[Service | str] | None = None,
) -> tuple[Finding, ...]:
    """What the post would say of a card, as findings with remedies.

    envelope  that it goes in; unless given, the smallest that takes it
    services  names in `SERVICES`; unless given, all
    Returns: findings of the rules "envelope" (it does not fit, or only a box takes it) and "post" (a
    service puts it in more than its smallest class). A remedy that is another envelope changes
    nothing on the card.
    Raises: LengthError if there is no such envelope or service.
    """
    chosen = _choice(card, envelope)
    found = list(_fit_findings(card, envelope, chosen))
    choices = _Choices(card)
    for posted in _classed(packet(card, chosen), services):
        if posted.why_not:
            found.append(_post_finding(card, posted, choices))
    return tuple(found)


def _fit_findings(card: Card, asked: object, chosen: Envelope | BoxEnvelope) -> Iterator[Finding]:
    if isinstance(chosen, BoxEnvelope):
        if asked is None:
            yield Finding(
                rule="envelope",
                severity="note",
                where="envelope",
                message="No envelope we know takes this card.",
                remedy=Remedy(text=chosen.text, changes=()),
            )
        return
    if _takes(chosen, card):
        return
    fits = envelopes_for(card)
    short, long = _sides(card)
    deep = _closed(card)[0]
    size = " × ".join(show_exact(card.length(side)) for side in (short, long))
    thick = show_length(from_mm(deep), "0.1 mm")
    better = fits[0].envelope if fits else None
    text = f"Use {_the(better)}." if better else box_envelope(card).text
    yield Finding(
        rule="envelope",
        severity="stop" if max(short - mm(chosen.short), long - mm(chosen.long)) > 0 else "caution",
        where="envelope",
        message=(
            f"{chosen} does not take this card easily: it is {size}, and its thickness, {thick}, "
            "is needed each way besides."
        ),
        remedy=Remedy(text=text, changes=()),
    )


def _takes(envelope: Envelope, card: Card) -> bool:
    """Whether an envelope of any make takes the card with its thickness."""
    deep = _closed(card)[0] + mm(EASE)
    short, long = _sides(card)
    return mm(envelope.short) - deep >= short and mm(envelope.long) - deep >= long


def _the(envelope: Envelope) -> str:
    return f"the {envelope.name} envelope ({show_exact(envelope.short)} × {show_exact(envelope.long)})"


def _post_finding(card: Card, posted: Posted, choices: _Choices) -> Finding:
    smaller, reasons = posted.why_not[0]
    named = f"makes it a {posted.name}, not a {smaller}" if posted.name else "does not take it"
    return Finding(
        rule="post",
        severity="note" if posted.name else "caution",
        where=posted.service.name,
        message=f"{posted.service.name} {named}: {'; '.join(map(str, reasons))}.",
        remedy=_post_remedy(card, posted, smaller, choices),
    )


class _Choices:
    """The envelopes that take a card, each with its packet; and those of the card glued flat."""

    def __init__(self, card: Card) -> None:
        self.card = card

    @cached_property
    def as_it_is(self) -> list[tuple[Envelope, Packet]]:
        return [(fit.envelope, packet(self.card, fit.envelope)) for fit in envelopes_for(self.card)]

    @cached_property
    def pads(self) -> list[int]:
        """Places of the ornaments on foam."""
        return [place for place, one in enumerate(self.card.ornaments) if one.pad is not None]

    @cached_property
    def glued_flat(self) -> list[tuple[Envelope, Packet]]:
        ornaments = tuple(replace(one, pad=None) for one in self.card.ornaments)
        return _Choices(replace(self.card, ornaments=ornaments)).as_it_is


def _rank(service: Service, piece: Packet) -> int:
    """Which class it is, from 0; as many as there are for what goes beyond, one more if too small."""
    if _too_little(service, piece):
        return len(service.classes) + 1
    sizes = (mm(piece.short), mm(piece.long), mm(piece.thick), piece.grams)
    for place, one in enumerate(service.classes):
        if next(_reasons(one, piece, *sizes), None) is None:
            return place
    return len(service.classes)


def _post_remedy(card: Card, posted: Posted, smaller: str, choices: _Choices) -> Remedy:
    """Another envelope, or ornaments without their pads, if either makes it smaller post."""
    service = posted.service
    names = [one.name for one in service.classes]
    now = names.index(posted.name) if posted.name in names else len(names)
    better = [(_rank(service, piece), place) for place, (_, piece) in enumerate(choices.as_it_is)]
    if better and min(better)[0] < now:
        rank, place = min(better)
        text = f"In {_the(choices.as_it_is[place][0])} it is a {names[rank]}. {CHECK_CURRENT}"
        return Remedy(text=text, changes=())
    if choices.pads:
        best = min((_rank(service, piece) for _, piece in choices.glued_flat), default=now)
        if best < now:
            changes = tuple(Change(path=("ornaments", at, "pad"), value=None) for at in choices.pads)
            text = f"Glue the ornaments flat, without pads: then it is a {names[best]}. {CHECK_CURRENT}"
            return Remedy(text=text, changes=changes)
    name = posted.name or smaller
    return Remedy(text=f"Stamp it as a {name}, or hand it over in person. {CHECK_CURRENT}", changes=())


def advice(
    card: Card,
    envelope: Envelope | BoxEnvelope | str | None = None,
    *,
    services: Iterable[Service | str] | None = None,
    language: Language = BRITISH,
) -> tuple[str, ...]:
    """How to send a card, in sentences: envelope, box, weight, and what each service makes of it.

    envelope  unless given, the smallest that takes it
    services  names in `SERVICES`; unless given, all
    language  of the sentences
    Raises: LengthError if there is no such envelope or service.
    """
    chosen = _choice(card, envelope)
    piece = packet(card, chosen)
    padded = next((fit.envelope for fit in envelopes_for(card, padded=True)), None)
    box = chosen if isinstance(chosen, BoxEnvelope) else box_envelope(card)
    lines = [
        Saying.of(
            message(
                "Closed flat the card is {thick} thick. A folded card springs up, so measure it before "
                "you buy."
            ),
            thick=OnRuler(from_mm(_closed(card)[0]), "0.1 mm"),
        )
    ]
    if isinstance(chosen, BoxEnvelope):
        lines.append(Saying.of(message("It goes in a box of its own.")))
    else:
        fits, small = (
            message("It goes in an envelope {name}, {short} × {long}."),
            message("An envelope {name}, {short} × {long}, is too small for it."),
        )
        lines.append(_with_envelope(fits if _takes(chosen, card) else small, chosen))
    if padded is not None and padded != chosen:
        lines.append(
            _with_envelope(
                message("Padded, it goes in an envelope {name}, {short} × {long} inside."), padded
            )
        )
    lines.append(Saying.of(message("A box for it is {deep} deep inside."), deep=box.inside[2]))
    lines.append(
        Saying.of(
            message("Ready to post it is {thick} thick and weighs about {grams} g."),
            thick=OnRuler(piece.thick, "0.1 mm"),
            grams=str(math.ceil(piece.grams)),
        )
    )
    said = [line.said(language) for line in lines]
    said += [posted.said(language) for posted in _classed(piece, services)]
    return (*said, language.say(CHECK_CURRENT))


def _with_envelope(template: str, envelope: Envelope) -> Saying:
    return Saying.of(template, name=Name(envelope.name), short=envelope.short, long=envelope.long)
