"""What would go wrong with a card, where, and the nearest change that mends it.

A rule is one function from a card to findings; each finding says what is wrong in the
tutor's words and carries a remedy that clears it when applied. Remedies land on the marks
of the ruler in use.

Imports: lengths, papers, card, areas, pieces, folding, findings, finishing (the rules for layers and
ornaments), standing (the rule that it stands), thickness.
Limits without a source beside them are `common practice, no source`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from popkit.areas import placed_layers
from popkit.card import Card, CutStep, JoinedFront, OnePieceFront, usual
from popkit.findings import BORDER, SEVERITIES, Bench, Change, Finding, Remedy
from popkit.finishing import LAYER_RULES, ORNAMENT_RULES
from popkit.lengths import Grid, Length, Q, as_grid, from_mm, mm, show_exact, show_length
from popkit.papers import SHEETS, Sheet, Stock
from popkit.pieces import Piece, cut_list, finishing_pieces
from popkit.standing import STANDING_RULES
from popkit.thickness import thickness

__all__ = [
    "BORDER",
    "MECHANISM_RULES",
    "RULES",
    "SEVERITIES",
    "SHALLOWEST",
    "Change",
    "Finding",
    "Remedy",
    "check",
    "mended",
    "score_room",
]

_CREASE_RULE = Q(Fraction(71, 100), "millimeter")  # 2-point creasing rule, from memory
SHALLOWEST = Q(3, "millimeter")  # common practice, no source: a shelf fingers can still fold


def score_room(stock: Stock) -> Length:
    """How far apart two scores must be: one crease's channel, so that the two do not meet.

    Source: channel width = 2 x caliper + rule thickness, condat-pap.com; the rule's
    0.71 mm (2 point) from memory.
    """
    return from_mm(2 * mm(stock.caliper) + mm(_CREASE_RULE))


def _hidden(bench: Bench) -> Iterator[Finding]:
    """X_i + h_i <= the shorter of back and front."""
    card = bench.card
    for place, (foot, face) in enumerate(zip(bench.feet, bench.faces, strict=True)):
        over = foot + face - bench.room
        if over <= 0:
            continue
        lower = bench.down(bench.room - foot)
        if lower >= bench.least_face(place):
            remedy = bench.remedy(*bench.set_face(place, lower, "lower"))
        else:  # there is nothing left to take from the face, so the card has to grow
            tall = bench.up(foot + face)
            steps = []
            if mm(card.height) < foot + face:
                text = bench.step("make", "the card taller", mm(card.height), tall)
                steps.append((text, ("height",), tall))
            if card.front.length is not None and mm(card.front.length) < foot + face:
                text = bench.step("lengthen", "the front", mm(card.front.length), tall)
                steps.append((text, ("front", "length"), tall))
            remedy = bench.remedy(*steps)
        yield Finding(
            rule="hidden",
            severity="stop",
            where=f"tier {place + 1}",
            message=(
                f"Tier {place + 1} shows by {bench.show(over)} when the card is closed: foot "
                f"{bench.show(foot)} + face {bench.show(face)} is more than {bench.show(bench.room)}."
            ),
            remedy=remedy,
        )


def _bands(bench: Bench) -> Iterator[Finding]:
    """Each face lower than the one behind it, by a band that can be seen."""
    least = bench.usual("least band")
    for place, (behind, face) in enumerate(pairwise(bench.faces), 1):
        band = behind - face
        if band >= min(least, mm(BORDER)):
            continue
        here, there = f"tier {place + 1}", f"tier {place}"
        if band < 0:
            severity = "stop"
            what = f"{here.capitalize()} would be glued above the top of {there}'s face"
        elif band == 0:
            severity, what = "caution", f"{here.capitalize()} hides {there} altogether"
        else:
            severity, what = "note", f"Only {bench.show(band)} of {there} shows above {here}"
        lower = bench.down(behind - least)
        if lower >= bench.least_face(place):
            steps = bench.set_face(place, lower, "lower")
        else:
            steps = bench.set_face(place - 1, bench.up(face + least), "raise")
        yield Finding(
            rule="band",
            severity=severity,
            where=here,
            message=f"{what}: faces {bench.show(behind)} and {bench.show(face)}.",
            remedy=bench.remedy(*steps),
        )


def _narrow_tabs(bench: Bench) -> Iterator[Finding]:
    """Every tab wide enough for its glue."""
    least = bench.up(bench.usual("least tab"))
    limit = mm(usual("least tab", "inch"))  # 3/8 in on either ruler, so 10 mm passes

    def finding(where: str, name: str, tab: Fraction, remedy: Remedy) -> Finding:
        return Finding(
            rule="tab-narrow",
            severity="stop" if 2 * tab < limit else "caution",
            where=where,
            message=f"{name} is {bench.show(tab)}, too narrow for its glue to hold.",
            remedy=remedy,
        )

    for place, tier in enumerate(bench.card.tiers):
        if isinstance(tier, CutStep):
            continue
        here = f"tier {place + 1}"
        for tab, zone in (("top_tab", "face"), ("bottom_tab", "depth")):
            width = mm(getattr(tier, tab))
            if width >= limit:
                continue
            name = tab.replace("_", " ")
            remedy = bench.remedy(*_tab_that_holds(bench, place, tab, zone))
            yield finding(here, f"{here.capitalize()}'s {name}", width, remedy)
    if isinstance(bench.card.front, JoinedFront):
        width = bench.card.front.flap_in(bench.card)
        if width < limit:
            text = bench.step("widen", "the joining tab", width, least)
            remedy = bench.remedy((text, ("front", "joining_tab"), least))
            yield finding("joining tab", "The joining tab", width, remedy)


def _tab_that_holds(bench: Bench, place: int, tab: str, zone: str) -> list[tuple]:
    """Steps to the least tab whose glue holds, and to a face or a shelf that it can lie on."""
    tier, here, name = bench.card.tiers[place], f"tier {place + 1}", tab.replace("_", " ")
    least = bench.up(bench.usual("least tab"))
    width, held = mm(getattr(tier, tab)), mm(getattr(tier, zone))
    steps = []
    if width != least:
        text = bench.step("widen" if width < least else "shorten", f"{here}'s {name}", width, least)
        steps.append((text, ("tiers", place, tab), least))
    if held < least:
        verb, part = ("raise", "face") if zone == "face" else ("deepen", "shelf")
        text = bench.step(verb, f"{here}'s {part}", held, least)
        steps.append((text, ("tiers", place, zone), least))
    return steps


def _long_tabs(bench: Bench) -> Iterator[Finding]:
    """No tab longer than what hides it."""
    for place, tier in enumerate(bench.card.tiers):
        if isinstance(tier, CutStep):
            continue
        here = f"tier {place + 1}"
        behind = f"tier {place}'s face" if place else "the fold"
        for tab, zone, reason in (
            (
                "top_tab",
                "face",
                f"would reach below the foot of {'that face' if place else 'the back'}",
            ),
            ("bottom_tab", "depth", f"would run into {behind}"),
        ):
            width, limit = mm(getattr(tier, tab)), mm(getattr(tier, zone))
            if width <= limit:
                continue
            name = tab.replace("_", " ")
            shorter = bench.down(limit) or limit
            if 2 * shorter < mm(usual("least tab", "inch")) <= 2 * width:
                steps = _tab_that_holds(bench, place, tab, zone)  # what is left of it would not hold
            else:
                text = bench.step("shorten", f"{here}'s {name}", width, shorter)
                steps = [(text, ("tiers", place, tab), shorter)]
            yield Finding(
                rule="tab-long",
                severity="stop",
                where=here,
                message=(
                    f"{here.capitalize()}'s {name} {reason}: it is {bench.show(width)} long, "
                    f"with {bench.show(limit)} to lie on."
                ),
                remedy=bench.remedy(*steps),
            )


def _flap(bench: Bench) -> Iterator[Finding]:
    """The flap reaches under every foot it carries, holds the panel, and shows no further."""
    card, front = bench.card, bench.card.front
    if front.panel_name is None:
        return
    flap, long, gap = front.flap_in(card), front.length_in(card), front.gap_in(card)
    name, least = front.flap_name, mm(usual("least tab", "inch"))
    last = bench.feet[-1] if front.carries_feet else Fraction(0)
    enough = max(bench.up(last), bench.up(gap + least))
    if front.carries_feet and flap < last:
        severity = "stop"
        message = (
            f"The {name} stops {bench.show(last - flap)} short of the last foot: it is "
            f"{bench.show(flap)} long and the feet reach {bench.show(last)}."
        )
    elif flap > long:
        severity = "stop"
        message = (
            f"The {name} is {bench.show(flap)} long and sticks out past the front, "
            f"which is {bench.show(long)}."
        )
    elif front.carries_feet and flap - gap < least:
        severity = "caution"
        message = (
            f"Only {bench.show(max(flap - gap, Fraction(0)))} of the {front.panel_name} lies on the "
            f"{name}, too little to hold it."
        )
    elif front.carries_feet and flap > enough:
        severity = "note"
        message = f"{bench.show(flap - last)} of the {name} shows in front of the last tier."
    else:
        return
    yield Finding(
        rule="landing",
        severity=severity,
        where=name,
        message=message,
        remedy=bench.remedy(*_better_flap(bench, last)),
    )


def _better_flap(bench: Bench, last: Fraction) -> list[tuple]:
    """Steps to a flap that reaches the feet and holds the panel, within a front long enough."""
    card, front = bench.card, bench.card.front
    flap, long, gap = front.flap_in(card), front.length_in(card), front.gap_in(card)
    least = mm(usual("least tab", "inch"))
    steps = []
    target = max(bench.up(last), bench.up(gap + least))
    near = bench.up(bench.usual("gap"))
    if target > max(long, bench.up(last)) and gap > near:
        steps.append((bench.step("bring", "the gap down", gap, near), ("front", "gap"), near))
        target = max(bench.up(last), bench.up(near + least))
    if target != flap:
        verb = "lengthen" if target > flap else "shorten"
        text = bench.step(verb, f"the {front.flap_name}", flap, target)
        steps.append((text, ("front", front.flap_size), target))
    if target > long:
        if front.length is None:
            steps.append((bench.step("make", "the card taller", long, target), ("height",), target))
        else:
            text = bench.step("lengthen", "the front", long, target)
            steps.append((text, ("front", "length"), target))
    return steps


def _widths(bench: Bench) -> Iterator[Finding]:
    """Front and tiers no wider than the back; a cut step inside what it is cut from."""
    card, wide = bench.card, mm(bench.card.width)
    front = card.front
    if front.panel_name is not None and front.width_in(card) > wide:
        text = bench.step("narrow", f"the {front.panel_name}", front.width_in(card), wide)
        yield Finding(
            rule="width",
            severity="stop",
            where=front.panel_name,
            message=(
                f"The {front.panel_name} is {bench.show(front.width_in(card))} wide, "
                f"wider than the back ({bench.show(wide)})."
            ),
            remedy=bench.remedy((text, ("front", "width"), card.width)),
        )
    behind = wide
    for place, tier in enumerate(card.tiers):
        width = tier.width_in(card, place)
        if isinstance(tier, CutStep):
            yield from _step_width(bench, place, width, behind)
            behind = width
        elif width >= wide:
            yield _tier_width(bench, place, width)


def _tier_width(bench: Bench, place: int, width: Fraction) -> Finding:
    wide = mm(bench.card.width)
    inset = bench.usual("side inset")
    narrow = bench.down(wide - 2 * inset)
    narrow = narrow if narrow > 0 else wide / 2
    text = bench.step("narrow", f"tier {place + 1}", width, narrow)
    over = width > wide
    how = f"wider than the back ({bench.show(wide)})" if over else "just as wide as the back"
    return Finding(
        rule="width",
        severity="stop" if over else "caution",
        where=f"tier {place + 1}",
        message=f"Tier {place + 1} is {bench.show(width)} wide, {how}"
        + ("." if over else ", so it peeps out at the least slip."),
        remedy=bench.remedy((text, ("tiers", place, "width"), narrow)),
    )


def _step_width(bench: Bench, place: int, width: Fraction, behind: Fraction) -> Iterator[Finding]:
    border = (behind - width) / 2
    if border >= mm(BORDER):
        return
    source = f"step {place}" if place else "the card"
    here = f"tier {place + 1}"
    last = len(bench.faces)
    inset = bench.down(min(bench.usual("step inset"), behind / (2 * (last - place + 1))))
    if inset >= mm(BORDER):
        narrow = behind - 2 * inset
        changes = [(bench.step("narrow", here, width, narrow), ("tiers", place, "width"), narrow)]
        for later in range(place + 1, last):  # each stays inside the one it is cut from
            fits = behind - 2 * inset * (later - place + 1)
            if bench.card.tiers[later].width_in(bench.card, later) > fits:
                text = f"tier {later + 1} to {show_exact(bench.length(fits))}"
                changes.append((text, ("tiers", later, "width"), fits))
    else:  # not even the narrowest borders leave room: only a wider card does
        wide = mm(bench.card.width)
        need = max(wide, bench.up(2 * (last + 1) * bench.usual("step inset")))
        text = "set every step in by the usual amount"
        if need > wide:
            text = f"{bench.step('widen', 'the card', wide, need)} and {text}"
        changes = [(text, ("width",), need)]
        changes += [("", ("tiers", step, "width"), None) for step in range(last)]
    yield Finding(
        rule="width",
        severity="stop" if border <= 0 else "caution",
        where=here,
        message=(
            f"Tier {place + 1} leaves {bench.show(max(border, Fraction(0)))} of {source} beside each "
            f"slit; it {'would cut it right off' if border <= 0 else 'tears easily'}."
        ),
        remedy=bench.remedy(*changes),
    )


def _fits(piece: Piece, sheet: Sheet) -> tuple[bool, bool]:
    """Whether the piece comes out of the sheet at all, and whether with its grain."""
    wide, long = mm(piece.width), mm(piece.length)
    across, along = mm(sheet.width), mm(sheet.height)
    upright = wide <= across and long <= along  # the sheet's grain runs along the piece's length
    turned = wide <= along and long <= across
    with_grain = {"length": upright, "width": turned, None: upright or turned}[piece.grain]
    return upright or turned, with_grain


def _sheet_fits(bench: Bench) -> Iterator[Finding]:
    """Every piece comes out of its sheet, with its grain."""
    card = bench.card
    for piece in _pieces(card):
        at_all, with_grain = _fits(piece, piece.stock.sheet)
        if with_grain:
            continue
        size = f"{show_exact(piece.width)} × {show_exact(piece.length)}"
        if at_all:
            what = f"fits its sheet ({piece.stock.sheet}) only with the folds across the grain"
        else:
            what = f"does not fit its sheet ({piece.stock.sheet})"
        yield Finding(
            rule="sheet",
            severity="caution" if at_all else "stop",
            where=piece.name,
            message=f"The piece “{piece.name}”, {size}, {what}.",
            remedy=_other_sheet(bench, piece),
        )


def _pieces(card: Card) -> tuple[Piece, ...]:
    if not all(layer.is_there for layer in placed_layers(card)):  # a rule of its own speaks of it
        return (*cut_list(replace(card, layers=(), ornaments=())), *finishing_pieces(card))
    return cut_list(card)


def _other_sheet(bench: Bench, piece: Piece) -> Remedy:
    card = bench.card
    if isinstance(card.front, OnePieceFront) and piece.name == "back and front":
        cut = any(isinstance(tier, CutStep) for tier in card.tiers)
        joined = replace(card, front=JoinedFront(length=card.front.length)) if not cut else None
        if joined and all(_fits(one, one.stock.sheet)[1] for one in _pieces(joined)[:2]):
            return bench.remedy(
                ("make the back and the front two pieces, joined at a tab", ("front",), joined.front)
            )
    by_area = sorted(SHEETS.values(), key=lambda sheet: mm(sheet.width) * mm(sheet.height))
    # A sheet in the card's own measure if one is big enough, else whichever is.
    by_area.sort(
        key=lambda sheet: (sheet.width.units == Q(1, "inch").units) != (bench.grid.unit == "inch")
    )
    path = _stock_path(card, piece)
    # One stock, one sheet: it has to hold whatever else is cut from it.
    together = [one for one in _pieces(card) if _stock_path(card, one) == path]
    bigger = next((sheet for sheet in by_area if all(_fits(one, sheet)[1] for one in together)), None)
    if bigger is None:
        sides = [
            (mm(one.width), mm(one.length)) if one.grain == "length" else (mm(one.length), mm(one.width))
            for one in together
        ]
        across, along = (bench.length(bench.up(max(side))) for side in zip(*sides, strict=True))
        name = f"{show_exact(across)} × {show_exact(along)}, grain along the second"
        bigger = Sheet(name=name, width=across, height=along)
    stock = replace(piece.stock, sheet=bigger)
    return bench.remedy((f"cut it from a larger sheet: {bigger.name}", path, stock))


def _stock_path(card: Card, piece: Piece) -> tuple[str | int, ...]:
    """Where the card keeps the stock that a piece is cut from."""
    for rows in ("layers", "ornaments"):
        for place, one in enumerate(getattr(card, rows)):
            if one.name == piece.name:
                return (rows, place, "stock")
    if piece.name == card.front.panel_name and hasattr(card.front, "stock"):
        return ("front", "stock")
    return ("tier_stock",) if piece.name.startswith("tier ") else ("stock",)


def _shelves(bench: Bench) -> Iterator[Finding]:
    """No shelf too shallow, and no two scores so close that their creases meet."""
    card = bench.card
    for place, tier in enumerate(card.tiers):
        stock = card.stock if isinstance(tier, CutStep) else card.tier_stock
        channel = mm(score_room(stock))
        here = f"tier {place + 1}"
        depth, face = mm(tier.depth), mm(tier.face)
        least = max(channel, mm(SHALLOWEST))
        if depth < least:
            deep = bench.up(least)
            text = bench.step("deepen", f"{here}'s shelf", depth, deep)
            yield Finding(
                rule="shelf",
                severity="stop" if depth < channel else "caution",
                where=here,
                message=f"{here.capitalize()}'s shelf is {bench.show(depth)} deep, too shallow to fold.",
                remedy=bench.remedy((text, ("tiers", place, "depth"), deep)),
            )
        if face < channel:
            yield Finding(
                rule="scores-close",
                severity="stop",
                where=here,
                message=(
                    f"The scores above and below {here}'s face are {bench.show(face)} apart; on this "
                    f"stock the creases need {show_length(from_mm(channel), '0.1 mm')}."
                ),
                remedy=bench.remedy(*bench.set_face(place, bench.up(channel), "raise")),
            )


def _gap(bench: Bench) -> Iterator[Finding]:
    """A clear front does not bind in the fold."""
    card, front = bench.card, bench.card.front
    if front.carries_feet and front.gap_in(card) == 0:
        least, long = bench.up(bench.usual("gap")), front.length_in(card)
        text = f"start it {show_exact(bench.length(least))} from the score"
        steps = [(text, ("front", "gap"), least)]
        if long <= least:  # a sheet has to be left of it
            follows = front.length is None
            verb, what = ("make", "the card taller") if follows else ("lengthen", "the front")
            path = ("height",) if follows else ("front", "length")
            steps.append((bench.step(verb, what, long, 2 * least), path, 2 * least))
        yield Finding(
            rule="gap",
            severity="note",
            where=front.panel_name,
            message=f"The {front.panel_name} starts right at the score, where it may bind.",
            remedy=bench.remedy(*steps),
        )


def _spine(bench: Bench) -> Iterator[Finding]:
    """A card that closes too thick for one score says how its fold is scored."""
    card = bench.card
    if card.spine is not None:
        return
    profile = thickness(card)
    if profile.spine is None:
        return
    inner = show_length(from_mm(profile.inner_mm), "0.1 mm")
    words = profile.advice.partition(":")[0]
    yield Finding(
        rule="spine",
        severity="note",
        where="fold",
        message=f"{inner} lies between back and front, and one score does not close flat over that.",
        remedy=bench.remedy((f"{words}, half of it on each side of the fold", ("spine",), "double")),
    )


def _stands(bench: Bench) -> Iterator[Finding]:
    """What `standing` finds, its remedy with what else that would upset in its words."""
    for rule in STANDING_RULES.values():
        for finding in rule(bench):
            had = {(one.rule, one.where) for one in _stops(bench)}
            after = Bench(finding.remedy.apply(bench.card), bench.grid)
            upset = [one.message for one in _stops(after) if (one.rule, one.where) not in had]
            text = " But then: ".join([finding.remedy.text, *upset])
            yield replace(finding, remedy=replace(finding.remedy, text=text))


def _stops(bench: Bench) -> Iterator[Finding]:
    for rule in MECHANISM_RULES.values():
        yield from (one for one in rule(bench) if one.severity == "stop")


MECHANISM_RULES: dict[str, Callable[[Bench], Iterator[Finding]]] = {
    "hidden": _hidden,
    "band": _bands,
    "tab-narrow": _narrow_tabs,
    "tab-long": _long_tabs,
    "landing": _flap,
    "width": _widths,
    "sheet": _sheet_fits,
    "shelf": _shelves,
    "gap": _gap,
}
"""The rules about back, front and tiers: those that `laws` states, and a card on another ruler keeps."""

RULES: dict[str, Callable[[Bench], Iterator[Finding]]] = {
    **MECHANISM_RULES,
    **LAYER_RULES,
    **ORNAMENT_RULES,
    **dict.fromkeys(STANDING_RULES, _stands),
    "spine": _spine,
}


def check(card: Card, grid: Grid | Length | str | None = None) -> tuple[Finding, ...]:
    """Everything that would go wrong with a card, the worst first.

    grid  the ruler whose marks the remedies land on; unless given, the card's own
    Returns: findings, "stop" before "caution" before "note"; empty if all is well.
    """
    bench = Bench(card, card.grid if grid is None else as_grid(grid))
    found = [finding for rule in RULES.values() for finding in rule(bench)]
    return tuple(sorted(found, key=lambda finding: SEVERITIES.index(finding.severity)))


def mended(card: Card, finding: Finding) -> Card:
    """The card with the finding's remedy applied."""
    return finding.remedy.apply(card)
