"""Getting a card there: which envelope takes it, a box where none does, which class the post makes it.

Thickness eats width. A flat envelope is a tube whose girth is twice its width, and a card of width w
and thickness t has a girth of 2 (w + t), so the envelope has to be wider than the card by its
thickness, and longer likewise, besides the room that a hand needs to slide it in.

Imports: lengths, language, saying, papers, services, card, pieces, findings, checks, standing,
thickness.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from popkit.card import Card, CardError, kept, usual
from popkit.checks import score_room
from popkit.findings import Change, Finding, Remedy
from popkit.language import BRITISH, Language, message, noun
from popkit.lengths import (
    LONGEST,
    Grid,
    Length,
    as_length,
    from_mm,
    in_inches,
    mm,
    show_exact,
    show_length,
    unit_of,
)
from popkit.papers import (
    ENVELOPES,
    PADDED,
    SHEETS,
    Envelope,
    Sheet,
    Stock,
    as_envelope,
    as_stock,
)
from popkit.pieces import Piece, Zone
from popkit.saying import Name, OnRuler, Saying
from popkit.services import (
    CHECK_CURRENT,
    SERVICES,
    Packet,
    PostClass,
    Posted,
    Service,
    as_service,
    classed,
    post_class,
    rank,
    safe_limit,
)
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
    "takes",
]

EASE = as_length("1.5 mm")
"""Room that a hand needs to slide a card in, both ways together, besides its thickness: common
practice, no source. Less than 1/8 in (3.2 mm), the least that the published table allows a flat card
(A1 and A2, short side)."""

UNEVEN = as_length("1/8 in")
"""From more than this between its thickest and thinnest place a packet counts as uneven, being half of
the thickness of a USPS letter: common practice, no source."""


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


@kept
def _closed(card: Card) -> tuple[Fraction, Fraction, Fraction]:
    """The closed card: greatest thickness and how uneven it is in mm, and grams, all exact."""
    profile = thickness(card)
    return profile.greatest_mm, profile.uneven_mm, sum(masses(card).values())


def _sides(card: Card) -> tuple[Fraction, Fraction]:
    """Millimetres of the closed card, the short side first."""
    short, long = sorted((mm(card.width), max(mm(card.height), card.front.length_in(card))))
    return short, long


def _in_measure(envelope: Envelope, unit: str) -> bool:
    return in_inches(unit_of(envelope.short)) == in_inches(unit)


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
        return " ".join(self.lines(language))

    def lines(self, language: Language = BRITISH) -> tuple[str, ...]:
        """The same as a line for the box, one for each piece and one for putting them together."""
        say, told = language.say, []
        told.append(
            say(
                "A box {deep} deep inside, of {stock}, {grams} g empty.",
                deep=language.show_exact(self.inside[2]),
                stock=language.name(self.stock.name),
                grams=f"{float(self.grams):.0f}",
            )
        )
        for piece, sheet in zip(self.pieces, self.sheets, strict=True):
            cut = message("Cut one “{piece}”, {width} × {length}.")
            size = say(
                cut if piece.count == 1 else message("Cut two of “{piece}”, {width} × {length} each."),
                piece=language.name(piece.name),
                width=language.show_exact(piece.width),
                length=language.show_exact(piece.length),
            )
            if sheet is None:
                where = say("No sheet that we know is large enough for it.")
            else:
                where = say("It comes out of {sheet}.", sheet=language.name(sheet.name))
            scores = language.listed(language.show_exact(score) for score in piece.scores)
            scored = say("Score it at {scores} from one end.", scores=scores)
            told.append(f"{size} {where} {scored}")
        if self.pieces[1].count == 2:
            glue = message("Glue the flap of each half sleeve under the panel of the other.")
        else:
            glue = message("Glue the sleeve's flap under its last panel.")
        folded = say("Fold every score away from the good side.")
        closed = say("Lay the card in the tray, fold the lips in over it and slide the tray home.")
        return (*told, f"{folded} {say(glue)} {closed}")


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
        return in_inches(unit_of(sheet.width)) != in_inches(unit)

    def size(sheet: Sheet) -> Fraction:
        return mm(sheet.width) * mm(sheet.height)

    large_enough = [  # folds run along the width and the sheet's grain along its height
        sheet
        for sheet in SHEETS.values()
        if mm(piece.width) <= mm(sheet.height)
        and mm(piece.length) <= mm(sheet.width)
        and not (on_hand and (foreign(sheet) or size(sheet) > largest))
    ]
    return min(large_enough, key=lambda sheet: (foreign(sheet), size(sheet)), default=None)


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
    Raises: CardError if the depth is less than the closed card's thickness, or a piece of the box
            would be longer than any length may be.
    Source: a panel from score to score is its inside and one caliper more, as the outside of each
    fold takes that up; common practice, no source.
    """
    stock = card.stock if stock is None else as_stock(stock)
    ruler = card.grid if grid is None else grid if isinstance(grid, Grid) else Grid(grid)
    measure = "inch" if in_inches(ruler.unit) else "metric"
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
        depth = as_length(depth)
        deep = mm(depth)
        if deep < thick:
            own = Grid("1/16 in") if in_inches(unit_of(depth)) else Grid("1 mm")
            marks = ruler if in_inches(ruler.unit) == in_inches(own.unit) else own
            raise CardError(
                f"A box {show_exact(depth)} deep does not close over this card. "
                f"Write at least {show_exact(marks.up(from_mm(thick)))}."
            )
    across = up(mm(card.width) + room)
    along = up(max(mm(card.height), card.front.length_in(card)) + room)
    lip = min(mm(usual("tab", ruler.unit)), mm(ruler.down(from_mm(along / 2))))
    wall, base = up(deep + paper), up(along + paper)
    ends = [("lip", lip), ("wall", wall)]
    # Round the tray: its base, the card's depth and the lip above; its walls at either end.
    side, panel = up(deep + 2 * paper + slip + paper), up(across + slip + paper)
    tube, flap = up(base + 2 * paper), mm(usual("tab", ruler.unit))
    whole = [("glue flap", flap), ("side", side), ("panel", panel), ("side", side), ("panel", panel)]
    longest = max(tube, base + 2 * (lip + wall), sum(size for _, size in whole[:3]))
    if longest > mm(LONGEST):
        raise CardError(
            f"A box for this card takes a piece {show_exact(length(up(longest)))} long, and none may be "
            f"longer than {show_exact(LONGEST)}. Send it flat between boards."
        )
    sleeve = None
    if sum(size for _, size in whole) <= mm(LONGEST):
        sleeve = _strip("sleeve", tube, whole, stock, ruler.unit)
    if sleeve is None or _sheet_for(sleeve, ruler.unit, on_hand=True) is None:
        sleeve = replace(_strip("half sleeve", tube, whole[:3], stock, ruler.unit), count=2)
    tray = _strip("tray", across, [*ends, ("base", base), *reversed(ends)], stock, ruler.unit)
    pieces = (tray, sleeve)
    return BoxEnvelope(
        pieces=pieces,
        inside=(length(across), length(along), length(deep) if depth is None else depth),
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
    for posted in classed(packet(card, chosen), services):
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
    if takes(chosen, card):
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


def takes(envelope: Envelope, card: Card) -> bool:
    """Whether an envelope of any make takes the card with its thickness."""
    deep = _closed(card)[0] + mm(EASE)
    short, long = _sides(card)
    return mm(envelope.short) - deep >= short and mm(envelope.long) - deep >= long


def _the(envelope: Envelope) -> str:
    return f"the {envelope.name} envelope ({show_exact(envelope.short)} × {show_exact(envelope.long)})"


def _post_finding(card: Card, posted: Posted, choices: _Choices) -> Finding:
    smaller, reasons = posted.why_not[0]
    named = f"makes it {_a(posted.name)}, not {_a(smaller)}" if posted.name else "does not take it"
    return Finding(
        rule="post",
        severity="note" if posted.name else "caution",
        where=posted.service.name,
        message=f"{posted.service.name} {named}: {'; '.join(map(str, reasons))}.",
        remedy=_post_remedy(card, posted, smaller, choices),
    )


def _a(name: str) -> str:
    """A class by its name with its article."""
    return f"an {name}" if name[:1].casefold() in "aeiou" else f"a {name}"


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


def _post_remedy(card: Card, posted: Posted, smaller: str, choices: _Choices) -> Remedy:
    """Another envelope, or ornaments without their pads, if either makes it smaller post."""
    service = posted.service
    names = [one.name for one in service.classes]
    now = names.index(posted.name) if posted.name in names else len(names)
    better = [(rank(service, piece), place) for place, (_, piece) in enumerate(choices.as_it_is)]
    if better and min(better)[0] < now:
        best, place = min(better)
        text = f"In {_the(choices.as_it_is[place][0])} it is {_a(names[best])}. {CHECK_CURRENT}"
        return Remedy(text=text, changes=())
    if choices.pads:
        best = min((rank(service, piece) for _, piece in choices.glued_flat), default=now)
        if best < now:
            changes = tuple(Change(path=("ornaments", at, "pad"), value=None) for at in choices.pads)
            text = (
                f"Glue the ornaments flat, without pads: then it is {_a(names[best])}. {CHECK_CURRENT}"
            )
            return Remedy(text=text, changes=changes)
    name = posted.name or smaller
    return Remedy(text=f"Stamp it as {_a(name)}, or hand it over in person. {CHECK_CURRENT}", changes=())


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
        lines.append(_with_envelope(fits if takes(chosen, card) else small, chosen))
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
    said += [posted.said(language) for posted in classed(piece, services)]
    return (*said, language.say(CHECK_CURRENT))


def _with_envelope(template: str, envelope: Envelope) -> Saying:
    return Saying.of(template, name=Name(envelope.name), short=envelope.short, long=envelope.long)
