"""What a recipe says of its envelope and its post: read, and said in a line or two.

A tutor writes the envelope in words of their own. A name from the tables or two sizes are understood;
anything else is kept and printed as it was typed. What a card then goes in is decided here once, for
the handout, the panel and the plan of a class.

Imports: lengths, language, papers, services, card, posting.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from popkit.card import Card, CardError
from popkit.language import BRITISH, Language, message
from popkit.lengths import LengthError, from_mm, in_inches, mm, parse_length, show_exact, unit_of
from popkit.papers import ENVELOPES, PADDED, Envelope
from popkit.posting import BoxEnvelope, box_envelope, envelopes_for, packet, takes
from popkit.services import CHECK_CURRENT, as_service, class_of

__all__ = ["BOX", "Wrapping", "fitting", "read_envelope", "sending_lines", "wrapped"]

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrapping:
    """What a card goes in.

    wrap   the envelope or the box; None where only the tutor knows, or nothing takes the card
    words  for what only the tutor knows, as typed; else ""
    small  the envelope that was asked for, where it does not take the card; else None
    asked  whether anything was asked for
    """

    wrap: Envelope | BoxEnvelope | None
    words: str = ""
    small: Envelope | None = None
    asked: bool = False

    def remark(self, card: str, language: Language = BRITISH) -> str:
        """What a tutor who buys for a class has to know of it, in a sentence or two, or "".

        card  what the card is called
        """
        if self.words or (isinstance(self.wrap, Envelope) and self.small is None):
            return ""
        small = "" if self.small is None else _called(self.small, language)
        if isinstance(self.wrap, Envelope):
            text = message("{card}: an envelope {small} is too small for it. Take {envelope}.")
            envelope = _called(self.wrap, language)
            return language.say(text, card=card, small=small, envelope=envelope)
        box = self.wrap is not None and None not in self.wrap.sheets
        if self.asked and not small:
            text = message("{card}: no sheet that we know is large enough for its box.")
            return "" if box else language.say(text, card=card)
        text = message("{card}: no envelope that we know takes it.")
        if small:
            text = message(
                "{card}: an envelope {small} is too small for it, and so is every other that we know."
            )
        choose = message("No sheet that we know is large enough for a box either.")
        if box:
            choose = message("Choose a box for it, and the box is cut with it.")
        return f"{language.say(text, card=card, small=small)} {language.say(choose)}"


def wrapped(card: Card, asked: Envelope | str = "", *, unit: str | None = None) -> Wrapping:
    """What a card goes in: what was asked for if that takes it, else the smallest envelope, else a box.

    asked  an envelope, or a text as a recipe has it; "" for nothing in particular
    unit   whose tables the smallest envelope is taken from: the inch's are North American, the
           millimetre's ISO; unless given, the card's
    Returns: a `Wrapping`. Words that name no envelope we know are taken as they are.
    Source: sizes as `posting.envelopes_for`.
    """
    text = "" if isinstance(asked, Envelope) else asked.strip()
    boxed = text.casefold() == BOX
    named = asked if isinstance(asked, Envelope) else None if boxed else read_envelope(text)
    asking = {"asked": named is not None or bool(text)}
    if named is None and text and not boxed:
        return Wrapping(wrap=None, words=text, **asking)
    if named is not None and takes(named, card):
        return Wrapping(wrap=named, **asking)
    chosen = None if boxed else fitting(card, card.unit if unit is None else unit)
    try:
        return Wrapping(wrap=chosen or box_envelope(card), small=named, **asking)
    except CardError:
        return Wrapping(wrap=None, small=named, **asking)


def sending_lines(
    card: Card,
    envelope: str = "",
    post: Iterable[str] = (),
    *,
    unit: str | None = None,
    own: str | None = None,
    language: Language = BRITISH,
) -> tuple[str, ...]:
    """How a card goes out, in lines for whoever makes it.

    envelope, post  as a recipe has them; unless given, the smallest envelope, and no service
    unit            whose tables the envelope is chosen from; unless given, the card's
    own             whose tables the envelopes of a class are bought from, where those may be others:
                    the one from there is named too
    language        of the lines; what was typed stays as it was typed
    Source: sizes as `posting.envelopes_for`, classes as `services.class_of`.
    """
    found = wrapped(card, envelope, unit=unit)
    lines = []
    if found.words:
        lines.append(language.say("It goes in: {envelope}.", envelope=found.words.rstrip(".")))
    if found.small is not None:
        lines.append(_envelope_line(found.small, language, fits=False))
    if isinstance(found.wrap, BoxEnvelope):
        lines.append(language.say("It goes in a box of its own."))
    elif found.wrap is not None:
        line = _envelope_line(found.wrap, language, fits=True)
        other = found if own is None else wrapped(card, envelope, unit=own)
        if isinstance(other.wrap, Envelope) and other.wrap != found.wrap:
            also = language.say(
                "An envelope {envelope} takes it too.", envelope=_called(other.wrap, language)
            )
            line = f"{line} {also}"
        lines.append(line)
    elif not found.words:
        lines.append(language.say("It is too large for any envelope, and for a box of one piece."))
    posted = [_post_line(card, found.wrap, service, language) for service in post]
    return (*lines, *posted, *([language.say(CHECK_CURRENT)] if posted else []))


_FITS = message("It goes in an envelope {name}, {short} × {long}.")
_SMALL = message("An envelope {name}, {short} × {long}, is too small for it.")
_SIZED = message("It goes in an envelope {short} × {long} inside.")
_PADDED = message("It goes in a padded envelope {short} × {long} inside.")
_SMALL_SIZED = message("An envelope {short} × {long} inside is too small for it.")


def _called(envelope: Envelope, language: Language) -> str:
    """Its name and its sizes; one that is not in the tables by its sizes alone."""
    sizes = f"{language.show_exact(envelope.short)} × {language.show_exact(envelope.long)}"
    known = envelope.name in ENVELOPES | PADDED
    return f"{language.name(envelope.name)} ({sizes})" if known else sizes


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
