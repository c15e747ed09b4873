"""What a recipe says of its envelope and its post: read, and said in a line or two.

A tutor writes the envelope in words of their own. A name from the tables or two sizes are understood;
anything else is kept and printed as it was typed.

Imports: lengths, language, papers, services, card, posting.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from popkit.card import Card, CardError
from popkit.language import BRITISH, Language, message
from popkit.lengths import LengthError, from_mm, in_inches, mm, parse_length, show_exact, unit_of
from popkit.papers import ENVELOPES, PADDED, Envelope
from popkit.posting import BoxEnvelope, box_envelope, envelopes_for, packet, takes
from popkit.services import CHECK_CURRENT, as_service, class_of

__all__ = ["BOX", "fitting", "read_envelope", "sending_lines"]

BOX = "box"
"""What a recipe's envelope says for a box of our own."""

_TIMES = re.compile(r"\s*(?:[x×]|\bby\b)\s*", re.IGNORECASE)
_ASIDE = re.compile(r"\b(?:envelope|inside|padded|bubble|mailer)s?\b|[,;()]", re.IGNORECASE)


def read_envelope(text: str) -> Envelope | None:
    """The envelope that a text means, or None.

    text  a name in the tables ("A7", "C6", "#1 padded"), or two inside sizes ("6 x 9 in",
          "120 mm × 170 mm"), with or without the words envelope, padded and inside
    """
    padded = re.search(r"\b(?:padded|bubble)\b", text, re.IGNORECASE) is not None
    plain = " ".join(_ASIDE.sub(" ", text).split())
    known = {name.casefold(): one for name, one in (ENVELOPES | PADDED).items()}
    known |= {name.partition(" (")[0].casefold(): one for name, one in ENVELOPES.items()}
    exact = known.get(" ".join(text.split()).casefold())
    named = exact or known.get(f"{plain} padded".casefold() if padded else plain.casefold())
    return named or _of_two_sizes(plain, padded)


def _of_two_sizes(text: str, padded: bool) -> Envelope | None:
    parts = _TIMES.split(text)
    if len(parts) != 2:
        return None
    try:
        second = parse_length(parts[1])
        sides = sorted((parse_length(parts[0], unit_of(second)), second), key=mm)
    except LengthError:
        return None
    name = " × ".join(map(show_exact, sides))
    if not padded:
        return Envelope(name=name, short=sides[0], long=sides[1])
    like = PADDED["#1 padded"]  # its walls, and what they take of the outside
    outside = (
        from_mm(mm(side) + mm(out) - mm(inside))
        for side, out, inside in zip(sides, like.outside, (like.short, like.long), strict=True)
    )
    return replace(like, name=name, short=sides[0], long=sides[1], outside=tuple(outside), source="")


def fitting(card: Card, unit: str) -> Envelope | None:
    """The smallest envelope that takes a card, from the tables of a unit's own measure if any does."""
    fits = [fit.envelope for fit in envelopes_for(card)]
    inch = in_inches(unit)
    own = [one for one in fits if in_inches(unit_of(one.short)) == inch]
    return next(iter(own or fits), None)


def sending_lines(
    card: Card,
    envelope: str = "",
    post: Iterable[str] = (),
    *,
    unit: str | None = None,
    language: Language = BRITISH,
) -> tuple[str, ...]:
    """How a card goes out, in lines for whoever makes it.

    envelope, post  as a recipe has them; unless given, the smallest envelope, and no service
    unit            whose tables the envelope is chosen from; unless given, the card's
    language        of the lines; what was typed stays as it was typed
    Source: sizes as `posting.envelopes_for`, classes as `services.class_of`.
    """
    boxed = envelope.strip().casefold() == BOX
    chosen = read_envelope(envelope) if envelope and not boxed else None
    lines = []
    as_typed = bool(envelope) and not boxed and chosen is None
    if as_typed:
        lines.append(language.say("It goes in: {envelope}.", envelope=envelope.rstrip(".")))
    if isinstance(chosen, Envelope) and not takes(chosen, card):
        lines.append(_envelope_line(chosen, language, fits=False))
        chosen = None
    if chosen is None and not as_typed:
        chosen = None if boxed else fitting(card, card.unit if unit is None else unit)
        try:
            chosen = chosen or box_envelope(card)
        except CardError:
            lines.append(language.say("It is too large for any envelope, and for a box of one piece."))
    if isinstance(chosen, BoxEnvelope):
        lines.append(language.say("It goes in a box of its own."))
    elif chosen is not None:
        lines.append(_envelope_line(chosen, language, fits=True))
    posted = [_post_line(card, chosen, service, language) for service in post]
    return (*lines, *posted, *([language.say(CHECK_CURRENT)] if posted else []))


_FITS = message("It goes in an envelope {name}, {short} × {long}.")
_SMALL = message("An envelope {name}, {short} × {long}, is too small for it.")
_SIZED = message("It goes in an envelope {short} × {long} inside.")
_PADDED = message("It goes in a padded envelope {short} × {long} inside.")
_SMALL_SIZED = message("An envelope {short} × {long} inside is too small for it.")


def _envelope_line(envelope: Envelope, language: Language, *, fits: bool) -> str:
    sizes = {
        "short": language.show_exact(envelope.short),
        "long": language.show_exact(envelope.long),
    }
    if envelope.name in ENVELOPES | PADDED:
        name = language.name(envelope.name)
        return language.say(_FITS if fits else _SMALL, name=name, **sizes)
    sized = _PADDED if envelope.padded else _SIZED
    return language.say(sized if fits else _SMALL_SIZED, **sizes)


def _post_line(
    card: Card, chosen: Envelope | BoxEnvelope | None, service: str, language: Language
) -> str:
    """The class that a service makes of it; a service that we do not know, as it was typed."""
    try:
        known = as_service(service)
    except LengthError:
        return service
    if chosen is None:
        return known.name
    posted = class_of(known, packet(card, chosen))
    if posted.name is None:
        return posted.said(language)
    return language.say("{service}: {name}.", service=known.name, name=posted.name)
