"""Postal services: which class each makes of a piece, and why no smaller one.

Limits are data, with the date and the place they were read; prices are left out on purpose. A
limit in another unit is rounded to the side that keeps within it.

Imports: lengths, language, saying, papers.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from numbers import Rational

from popkit.language import BRITISH, Language, message
from popkit.lengths import Grid, Length, LengthError, as_length, mm, unit_of
from popkit.papers import GRAMS_PER_OUNCE
from popkit.saying import Figures, Limit, Saying

__all__ = [
    "CHECK_CURRENT",
    "SERVICES",
    "Packet",
    "PostClass",
    "Posted",
    "Service",
    "as_service",
    "class_of",
    "classed",
    "post_class",
    "rank",
    "safe_limit",
]

_METRIC = ("millimeter", "centimeter", "meter")

CHECK_CURRENT = message("Check the service's current rules before you buy stamps.")


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
    return classed(piece, services)


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


def classed(piece: Packet, services: Iterable[Service | str] | None) -> tuple[Posted, ...]:
    """As `post_class`, for a `Packet`."""
    chosen = SERVICES if services is None else services
    return tuple(class_of(as_service(name), piece) for name in chosen)


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


def class_of(service: Service, piece: Packet) -> Posted:
    """The class that one service makes of a packet, with why no smaller one."""
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


def rank(service: Service, piece: Packet) -> int:
    """Which class it is, from 0; as many as there are for what goes beyond, one more if too small."""
    if _too_little(service, piece):
        return len(service.classes) + 1
    sizes = (mm(piece.short), mm(piece.long), mm(piece.thick), piece.grams)
    for place, one in enumerate(service.classes):
        if next(_reasons(one, piece, *sizes), None) is None:
            return place
    return len(service.classes)
