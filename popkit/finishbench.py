"""Finishing on the workbench: mats, strips, ornaments, whether it stands, and how it is sent.

Each edit is one function from a `Workbench` to the next; what cannot be read comes back as
{box: reason}. What a card's finishing comes to is said in words here, and drawn elsewhere.

Imports: lengths, papers, services, card, areas, pieces, thickness, finishing, standing, checks,
ornaments, posting, sending, recipe, workbench.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from fractions import Fraction

from popkit.areas import areas, placed_layers, placed_ornaments
from popkit.card import Card, CardError, Layer, Ornament, place_names
from popkit.checks import Finding, Remedy
from popkit.finishing import LAYER_RULES, ORNAMENT_RULES
from popkit.lengths import Length, LengthError, from_mm, mm, parse_length, show_exact, show_length
from popkit.ornaments import OrnamentFit, ornament_places, places_for
from popkit.papers import STOCKS, Envelope
from popkit.pieces import cut_list
from popkit.posting import (
    BoxEnvelope,
    box_envelope,
    check_post,
    envelopes_for,
    packet,
)
from popkit.recipe import RecipeError
from popkit.sending import BOX, Wrapping, wrapped
from popkit.services import CHECK_CURRENT, SERVICES, Posted, as_service, classed
from popkit.standing import SPRING_BACK, STANDING_RULES, Help, standing
from popkit.thickness import thickness
from popkit.workbench import Workbench, attempted, followed, turned

__all__ = [
    "PLACE_WORDS",
    "Row",
    "Sent",
    "added_layer",
    "added_ornament",
    "boxed",
    "envelope_choices",
    "finishing_findings",
    "grams_read",
    "grounds",
    "helped",
    "helps",
    "moved",
    "relaid",
    "removed",
    "restocked",
    "rows",
    "sent",
    "sent_by",
    "sent_in",
    "services_of",
    "smaller_post",
    "standing_places",
    "stands_words",
    "stock_choices",
    "thickness_words",
    "weighed",
    "weight_text",
    "where_it_goes",
]

PLACE_WORDS = {
    "back": "the back, above tier 1",
    "front": "the front, inside",
    "outside front": "the front, outside",
    "message": "the back, outside (message)",
}
"""What a tutor calls a place, where the recipe's own word says less."""


# What is there --------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One mat, strip or ornament as a tutor reads it.

    name   in the cut list
    on     what it lies or stands on
    size   to cut
    place  what shows of what it lies on, or how high it rises and how high it may
    """

    name: str
    on: str
    size: str
    place: str

    def __str__(self) -> str:
        return f"{self.name}, on {self.on}: {self.size}; {self.place}"


def _words(on: str) -> str:
    """ "band 2" as "what shows of tier 2"."""
    if on.startswith("band ") and on[5:].isdigit():
        return f"what shows of tier {on[5:]}"
    return PLACE_WORDS.get(on, on)


def rows(bench: Workbench, kind: str) -> tuple[Row, ...]:
    """The card's finishing, a line each. kind: "layers" or "ornaments"."""
    return (_layer_rows if kind == "layers" else _ornament_rows)(bench)


def _size(bench: Workbench, *sides: Length) -> str:
    return " × ".join(bench.readings(side) for side in sides)


def _layer_rows(bench: Workbench) -> tuple[Row, ...]:
    found = []
    grounds_by = {one.name: one for one in (*areas(bench.card), *placed_layers(bench.card))}
    for spot in placed_layers(bench.card):
        ground = grounds_by.get(spot.source.on)
        if not spot.is_there:
            size, place = "nothing is left of it", "its reveals take it all"
        else:
            size = _size(bench, spot.width, spot.length)
            gaps = (
                ()
                if ground is None
                else (spot.left_mm - ground.left_mm, spot.start_mm - ground.start_mm)
            )
            shown = dict.fromkeys(bench.readings(bench.card.length(gap)) for gap in gaps)
            place = f"{' and '.join(shown)} left to see" if shown else "lies on nothing"
        found.append(Row(name=spot.name, on=_words(spot.source.on), size=size, place=place))
    return tuple(found)


def _ornament_rows(bench: Workbench) -> tuple[Row, ...]:
    most = {place.on: place.tallest for place in ornament_places(bench.card)}
    found = []
    for spot in placed_ornaments(bench.card):
        thing = spot.source
        rise, room = bench.card.length(thing.rise_mm), most[thing.on]
        pad = f", on a {bench.readings(thing.pad)} pad" if thing.pad is not None else ""
        found.append(
            Row(
                name=thing.name,
                on=_words(thing.on) if thing.on != "back" else "the back",
                size=f"{_size(bench, thing.width, thing.height)}{pad}",
                place=f"rises {bench.readings(rise)} of {bench.readings(room)}"
                if mm(room) > 0
                else f"rises {bench.readings(rise)}, and nothing may stand here",
            )
        )
    return tuple(found)


def finishing_findings(bench: Workbench) -> tuple[Finding, ...]:
    """Those of the card's findings that are about its finishing, how thick that closes, or whether it
    stands.
    """
    about = {*LAYER_RULES, *ORNAMENT_RULES, *STANDING_RULES, "spine"}
    return tuple(finding for finding in bench.findings if finding.rule in about)


# Choices --------------------------------------------------------------------------


def grounds(bench: Workbench, place: int | None = None) -> tuple[tuple[str, str], ...]:
    """(what it is called, its name) of all that a mat can lie on: areas of the card, other mats.

    place  of a mat that is there, from 0: the mats listed before it, and what it lies on now
    """
    own = [area.name for area in areas(bench.card)]
    known = [name for name in place_names(len(bench.card.tiers)) if name in own]
    mats = [layer.name for layer in bench.card.layers[:place]]
    if place is not None and (now := bench.card.layers[place].on) not in (*known, *mats):
        known.insert(0, now)  # an area of which nothing shows
    return (*((_words(name), name) for name in known), *((f"on “{name}”", name) for name in mats))


def standing_places(bench: Workbench) -> tuple[tuple[str, str], ...]:
    """(what it is called, its name) of all that an ornament can stand on."""
    names = place_names(len(bench.card.tiers), standing=True)
    return tuple(("the back" if name == "back" else name, name) for name in names)


def stock_choices(bench: Workbench, kind: str, place: int) -> tuple[tuple[str, str], ...]:
    """(what it is called, its name) of what a mat or an ornament can be cut from."""
    own = "the card's own" if kind == "layers" else "the tiers' own"
    names = [stock.name for stock in STOCKS.values()]
    given = getattr(bench.card, kind)[place].stock
    if given is not None and given.name not in names:
        names.insert(0, given.name)
    return ((own, ""), *((name, name) for name in names))


# Edits ----------------------------------------------------------------------------


def _read(bench: Workbench, texts: dict[str, str], needed: tuple[str, ...] = ()) -> tuple[dict, dict]:
    """(lengths, reasons) of what was typed in the boxes of a form; an empty box says nothing."""
    read, why = {}, {}
    for name, text in texts.items():
        if not text.strip():
            if name in needed:
                why[name] = "Write a length, as in 2 1/2 in or 60 mm."
            continue
        offset = name in ("reveal", "up", "along", "across", "pad")
        try:
            value = parse_length(text, bench.ruler.unit, offset=offset)
            if mm(value) < 0:
                raise LengthError(text, "is less than nothing", "Write 0 or more")
        except LengthError as fault:
            why[name] = str(fault)
            continue
        if not (name == "pad" and mm(value) == 0):
            read[name] = value
    return read, why


def _added(
    bench: Workbench, kind: str, made: type, values: dict, box: str
) -> Workbench | dict[str, str]:
    """The state with one more layer or ornament; or {box: reason} where nothing is left of it."""
    card = bench.card
    try:
        thing = made(**values)
        grown = replace(card, **{kind: (*getattr(card, kind), thing)})
    except CardError as fault:
        return {"name": str(fault)}
    try:
        cut_list(grown)
    except CardError as fault:
        return {box: str(fault)}
    name = getattr(grown, kind)[-1].name
    return attempted(bench, lambda: grown, f"Added: {name}.")


def added_layer(
    bench: Workbench,
    on: str,
    *,
    reveal: str = "",
    width: str = "",
    length: str = "",
    name: str = "",
) -> Workbench | dict[str, str]:
    """One more mat, or a strip with a size of its own; or {box: reason}.

    on      as `Layer.on`
    reveal, width, length  as typed, a bare number in the ruler's unit; empty: as `Layer` says
    """
    read, why = _read(bench, {"reveal": reveal, "width": width, "length": length})
    if why:
        return why
    return _added(bench, "layers", Layer, {"on": on, "name": name, **read}, "reveal")


def added_ornament(
    bench: Workbench,
    on: str,
    *,
    height: str,
    width: str,
    up: str = "",
    pad: str = "",
    grams: str = "",
    name: str = "",
) -> Workbench | dict[str, str]:
    """One more ornament, or {box: reason}; the rest as `added_layer`.

    grams  its weight as typed; empty: as its area and its stock give it
    """
    texts = {"height": height, "width": width, "up": up, "pad": pad}
    read, why = _read(bench, texts, needed=("height", "width"))
    try:
        read["grams"] = grams_read(grams)
    except LengthError as fault:
        why["grams"] = str(fault)
    if why:
        return why
    return _added(bench, "ornaments", Ornament, {"on": on, "name": name, **read}, "height")


def removed(bench: Workbench, kind: str, place: int) -> Workbench:
    """Without one layer or ornament, from 0, and without every layer that lies on it."""
    things = getattr(bench.card, kind)
    gone = {things[place].name}
    for thing in things:  # whatever a layer lies on is listed before it
        if kind == "layers" and thing.on in gone:
            gone.add(thing.name)
    kept = [at for at, thing in enumerate(things) if thing.name not in gone]
    named = ", ".join(thing.name for thing in things if thing.name in gone)
    left = tuple(things[at] for at in kept)
    return attempted(
        followed(bench, {kind: kept}),
        lambda: replace(bench.card, **{kind: left}),
        f"Taken off: {named}.",
    )


def _changed(bench: Workbench, kind: str, place: int, **fields: object) -> Workbench:
    def change() -> Card:
        things = list(getattr(bench.card, kind))
        things[place] = replace(things[place], **fields)
        return replace(bench.card, **{kind: tuple(things)})

    return attempted(bench, change)


def moved(bench: Workbench, place: int, on: str) -> Workbench:
    """An ornament, from 0, on another place; a name that only said where it stands follows."""
    thing = bench.card.ornaments[place]
    if thing.on == on:
        return bench
    named = thing.name if not thing.name.startswith(thing.usual_name) else ""
    return _changed(bench, "ornaments", place, on=on, along=None, name=named)


def relaid(bench: Workbench, place: int, on: str) -> Workbench:
    """A mat, from 0, on another area or mat, in its middle; a name that only said where follows."""
    thing = bench.card.layers[place]
    if thing.on == on:
        return bench
    used = {layer.on for layer in bench.card.layers}
    free = thing.name.startswith(thing.usual_name) and thing.name not in used
    name = "" if free else thing.name
    return _changed(bench, "layers", place, on=on, across=None, up=None, name=name)


_GRAMS = re.compile(r"([0-9]{1,5}(?:[.,][0-9]{1,3})?)\s*(?:g|grams?)?", re.IGNORECASE)


def grams_read(text: str) -> Fraction | None:
    """A weight in grams as typed: "12", "2.5 g"; None for an empty box.

    Raises: LengthError if it is none, or not above 0.
    """
    if not text.strip():
        return None
    read = _GRAMS.fullmatch(text.strip())
    grams = Fraction(read[1].replace(",", ".")) if read else Fraction(0)
    if not grams:
        raise LengthError(text, "is no weight", "Write grams, as in 12 or 2.5")
    return grams


def weight_text(bench: Workbench, place: int) -> str:
    """The weight of an ornament, from 0, as one types it; "" where its area gives it."""
    grams = bench.card.ornaments[place].grams
    return "" if grams is None else f"{float(grams):.3f}".rstrip("0").rstrip(".")


def weighed(bench: Workbench, place: int, text: str) -> Workbench | str:
    """An ornament, from 0, of another weight, as typed in grams; or why that is none. An empty box
    leaves it to its area and its stock.
    """
    try:
        grams = grams_read(text)
    except LengthError as fault:
        return str(fault)
    if grams == bench.card.ornaments[place].grams:
        return bench
    return _changed(bench, "ornaments", place, grams=grams)


def restocked(bench: Workbench, kind: str, place: int, stock: str) -> Workbench:
    """A layer or ornament, from 0, cut from another stock; "" for the card's own."""
    return _changed(bench, kind, place, stock=stock or None)


# Where can it go ------------------------------------------------------------------


def where_it_goes(bench: Workbench, height: str) -> tuple[OrnamentFit, ...] | str:
    """For an ornament so tall each place with what would have to change, or why there is no answer."""
    read, why = _read(bench, {"height": height}, needed=("height",))
    return why["height"] if why else places_for(bench.card, read["height"], grid=bench.ruler)


# Does it stand --------------------------------------------------------------------


def stands_words(bench: Workbench) -> str:
    """Whether the card stands at a right angle, in a sentence, and what the sum leaves out."""
    found = standing(bench.card, 90, helps=False)
    back, forward = (math.floor(tip + 1e-9) for tip in (found.tips_back, found.tips_forward))
    if found.tips_back <= 0:
        told = "it falls over backwards"
    elif found.tips_forward <= 0:
        told = "it falls over forwards"
    else:
        how = "stands firmly" if found.is_steady else "stands, but a knock turns it over"
        told = f"it {how}: it comes back from a lean of {back}° backwards and {forward}° forwards"
    return f"On show, at 90°, {told}. It weighs {found.grams:.0f} g.\n{SPRING_BACK}"


def helps(bench: Workbench) -> tuple[Help, ...]:
    """What would make it steadier at a right angle, the most useful first."""
    return standing(bench.card, 90).helps


def helped(bench: Workbench, help_: Help) -> Workbench:
    """With one of these done: on the card, or to the opening it is shown at."""
    if help_.card is None:
        return replace(turned(bench, round(help_.angle)), notice=f"Opened to {help_.angle:.0f}°.")
    return attempted(bench, lambda: help_.card, f"Done: {help_}")


def thickness_words(bench: Workbench) -> str:
    """How thick the closed card is and where, and whether its fold wants two scores."""
    profile = thickness(bench.card)
    start, stop = (
        bench.readings(from_mm(at, bench.card.unit))
        for at in (profile.thickest.start_mm, profile.thickest.stop_mm)
    )
    thick = show_length(from_mm(profile.greatest_mm), "0.1 mm")
    return (
        f"Closed flat it is {thick} at its thickest, {start} to {stop} from the fold. {profile.advice}"
    )


# How it is sent -------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """How a card is sent.

    wrap      the `Envelope` or `BoxEnvelope` chosen, or where there is none that takes the card the
              smallest envelope that does; None if what the recipe says is neither
    envelope  in a sentence
    making    of a box: how to cut, fold and glue it, or ""
    post      a line for each service that is asked for
    """

    wrap: Envelope | BoxEnvelope | None
    envelope: str
    making: str = ""
    post: tuple[str, ...] = ()


def _called(envelope: Envelope) -> str:
    """Its name and its sizes; one that is named by its sizes, once."""
    sizes = f"{show_exact(envelope.short)} × {show_exact(envelope.long)}"
    return sizes if envelope.name == sizes else f"{envelope.name}, {sizes}"


def envelope_choices(bench: Workbench) -> tuple[tuple[str, str], ...]:
    """(what it is called, what a recipe says for it): what takes the card, and what is chosen."""
    fits = [fit.envelope for fit in envelopes_for(bench.card)]
    plain = [one for one in fits if not one.padded][:6]
    padded = [one for one in fits if one.padded][:3]
    known = [(_called(one), one.name) for one in (*plain, *padded)]
    chosen = bench.recipe.envelope
    if chosen and chosen.casefold() not in {BOX, *(name.casefold() for _, name in known)}:
        known.insert(0, (chosen, chosen))
    names = {name.casefold(): name for _, name in known} | {BOX: BOX}
    now = names.get(chosen.casefold(), "")
    first = ("the smallest that takes it", "")
    found = [first, *known, ("a box of our own", BOX)]
    return tuple((label, chosen if name and name == now else name) for label, name in found)


def sent_in(bench: Workbench, envelope: str) -> Workbench:
    """The recipe with what its card is sent in; "" for the smallest that takes it."""
    try:
        return replace(bench, recipe=replace(bench.recipe, envelope=envelope), notice="")
    except RecipeError as error:
        return replace(bench, notice=" ".join(f"{one.what} {one.remedy}" for one in error.faults))


def services_of(bench: Workbench) -> tuple[tuple[str, bool], ...]:
    """(service, whether the recipe asks for it)."""
    asked = _asked(bench)
    return tuple((name, name in asked) for name in SERVICES)


def _asked(bench: Workbench) -> dict[str, str]:
    """{service: the recipe's line that asks for it}."""
    found = {}
    for line in bench.recipe.post:
        try:
            found.setdefault(as_service(line).name, line)
        except LengthError:
            continue
    return found


def sent_by(bench: Workbench, service: str, asked: bool) -> Workbench:
    """The recipe with one postal service more or fewer; lines that name none of ours stay."""
    had = _asked(bench)
    if asked == (service in had):
        return bench
    lines = bench.recipe.post
    lines = (*lines, service) if asked else tuple(one for one in lines if one != had[service])
    return replace(bench, recipe=replace(bench.recipe, post=lines), notice="")


def boxed(bench: Workbench, depth: str = "") -> BoxEnvelope | str:
    """A box for the card, or why there can be none so deep.

    depth  inside, as typed; empty for what the card needs
    """
    read, why = _read(bench, {"depth": depth})
    if why:
        return why["depth"]
    try:
        return box_envelope(bench.card, read.get("depth"), grid=bench.ruler)
    except CardError as fault:
        return str(fault)


def _wrap(bench: Workbench, depth: str = "") -> Wrapping | str:
    """What the card goes in, or why no box can be made for it.

    depth  of a box, as typed; one that cannot be is left out
    """
    found = wrapped(bench.card, bench.recipe.envelope)
    if found.words or isinstance(found.wrap, Envelope):
        return found
    made = boxed(bench, depth if found.asked and found.small is None else "")
    made = boxed(bench) if isinstance(made, str) else made
    return made if isinstance(made, str) else replace(found, wrap=made)


def sent(bench: Workbench, depth: str = "") -> Sent:
    """The envelope or box chosen, and what each service asked for makes of it.

    depth  of a box, as typed
    A recipe that asks for no service is told of all.
    """
    found = _wrap(bench, depth)
    if isinstance(found, str):
        return Sent(wrap=None, envelope=found)
    if found.words:
        words = (
            f"“{bench.recipe.envelope}” is printed as it is; write a name from the list or two sizes, "
            "as in 6 x 9 in, to have it checked."
        )
        return Sent(wrap=None, envelope=words)
    making, wrap = "", found.wrap
    if isinstance(wrap, BoxEnvelope):
        told, _, making = wrap.text.partition(". ")
        told = f"{told}."
        if found.small is not None or not found.asked:
            told = f"No envelope we know takes this card. {told}"
    elif found.small is None:
        kind, within = ("a padded envelope", " inside") if wrap.padded else ("an envelope", "")
        told = f"It goes in {kind} {_called(wrap)}{within}."
        thick = from_mm(thickness(bench.card).greatest_mm)
        told += f" Its thickness, {show_length(thick, '0.1 mm')}, is needed each way besides its size."
    else:
        told = f"It does not go easily in an envelope {_called(found.small)}."
        told += f" Take an envelope {_called(wrap)}."
    asked = [name for name, on in services_of(bench) if on] or list(SERVICES)
    lines = tuple(_nearest(posted).text for posted in classed(packet(bench.card, wrap), asked))
    return Sent(wrap=wrap, envelope=told, making=making, post=(*lines, CHECK_CURRENT))


def _nearest(posted: Posted) -> Posted:
    """With the reasons against the next smaller class only: a line must not grow to a paragraph."""
    return posted if posted.name is None else replace(posted, why_not=posted.why_not[-1:])


def smaller_post(bench: Workbench) -> tuple[tuple[str, Remedy], ...]:
    """(what to do, ready to apply) for each service that makes it more than its smallest class.

    A remedy without changes is another envelope, or the stamp it needs.
    """
    found = _wrap(bench)
    wrap = None if isinstance(found, str) else found.wrap
    asked = [name for name, on in services_of(bench) if on] or None
    if wrap is None:
        return ()
    return tuple(
        (f"{one.where}: {one.remedy.text.removesuffix(CHECK_CURRENT).strip()}", one.remedy)
        for one in check_post(bench.card, wrap, services=asked)
        if one.rule == "post"
    )
