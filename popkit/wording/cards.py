"""The card that the pieces of a text make, if they make one that popkit knows.

A piece with three scores is a glued tier, one with a single score is the back with its flap,
and a plain one that is called front, or is clear, is the front. When the card is regridded,
`values_for` says what each length of the text must become so that its mechanism stays whole.

Imports: lengths, card; deciding, reading and pieces of this package.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from popkit.card import Card, CardError, ClearFront, Front, JoinedFront, OnePieceFront, Tier, usual
from popkit.lengths import Length, LengthError, from_mm, mm, unit_of
from popkit.wording.pieces import PieceSaid, ScoreSaid, pieces_in

__all__ = ["CardSaid", "card_in", "values_for"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CardSaid:
    """What the pieces of a text make together.

    card    the card, or None
    why     where there is no card, what is missing or wrong, a sentence; else what was taken
            for granted, or ""
    pieces  every piece of the text
    roles   which of `pieces` are which piece of the card's cut list: "back", "tier 1", ...
    """

    card: Card | None
    why: str
    pieces: tuple[PieceSaid, ...]
    roles: tuple[tuple[str, PieceSaid], ...] = ()


class Moved(Protocol):
    """A cut or score on a ruler, as `regrid` reports it."""

    piece: str
    mark: str
    rounded: Length


def card_in(text: str, unit: str = "in", *, decisions: Mapping[int, str] | None = None) -> CardSaid:
    """The card that a text tells to make. Arguments and errors as for `pieces_in`."""
    pieces = pieces_in(text, unit, decisions=decisions)
    tiers = [piece for piece in pieces if len(piece.score_positions) == 3]
    backs = [piece for piece in pieces if len(piece.score_positions) == 1]
    if not tiers:
        return _none(
            pieces, "No piece has the three scores of a tier: top tab, shelf, face, bottom tab."
        )
    if len(backs) != 1:
        many = f"{len(backs)} pieces have" if backs else "No piece has"
        return _none(pieces, f"{many} one score alone, as the back and its flap have.")
    plain = [piece for piece in pieces if not piece.scores]
    fronts = [piece for piece in plain if "front" in piece.name.split()] or list(filter(_clear, plain))
    if len(fronts) > 1:
        return _none(pieces, f"{len(fronts)} pieces are called a front.")
    try:
        return _card(pieces, backs[0], fronts[0] if fronts else None, tiers)
    except (CardError, LengthError) as fault:
        return _none(pieces, str(fault))


def _none(pieces: tuple[PieceSaid, ...], why: str) -> CardSaid:
    return CardSaid(card=None, why=why, pieces=pieces)


_CLEAR = frozenset(("clear", "acetate", "plastic", "transparent", "film"))


def _clear(piece: PieceSaid) -> bool:
    return bool(_CLEAR & {*piece.name.split(), *piece.cut_from.split()})


def _card(
    pieces: tuple[PieceSaid, ...], back: PieceSaid, front: PieceSaid | None, tiers: list[PieceSaid]
) -> CardSaid:
    """Raises: CardError, LengthError where the pieces make no card."""
    score, whole = mm(back.score_positions[0]), mm(back.length)
    unit = unit_of(back.length)
    # The flap is the shorter part, whichever end the score was measured from.
    flap = min(score, whole - score)
    height = whole - flap
    made, why = _front(front, from_mm(height, unit), from_mm(flap, unit), back)
    said = [strip for strip in tiers for _ in range(strip.count)]
    said.sort(key=lambda strip: -mm(strip.score_positions[2]) + mm(strip.score_positions[1]))
    card = Card(
        width=back.width,
        height=from_mm(height, unit),
        tiers=tuple(_tier(strip) for strip in said),
        front=made,
    )
    back_name = "back" if made.panel_name is not None else "back and front"
    roles = [(back_name, back)]
    if front is not None:
        roles.append((made.panel_name, front))
    roles += [(f"tier {number}", strip) for number, strip in enumerate(said, 1)]
    return CardSaid(card=card, why=why, pieces=pieces, roles=tuple(roles))


def _front(front: PieceSaid | None, height: Length, flap: Length, back: PieceSaid) -> tuple[Front, str]:
    if front is None:
        if mm(flap) * 2 <= mm(height):
            raise CardError(
                "No piece is called the front, and the flap of the back is too short for one."
            )
        return OnePieceFront(length=flap), ""
    if _clear(front):
        gap = usual("gap", unit_of(back.length))
        length = from_mm(mm(front.length) + mm(gap), unit_of(front.length))
        made = ClearFront(landing=flap, length=length, gap=gap, width=front.width)
        return made, "The clear front is taken to stop the usual gap short of the fold."
    return JoinedFront(joining_tab=flap, length=front.length, width=front.width), ""


def _tier(strip: PieceSaid) -> Tier:
    unit = unit_of(strip.length)
    ends = [mm(place) for place in (*strip.score_positions, strip.length)]
    tab, shelf, face, bottom = (end - start for start, end in zip([0, *ends], ends, strict=False))
    return Tier(
        top_tab=from_mm(tab, unit),
        depth=from_mm(shelf, unit),
        face=from_mm(face, unit),
        bottom_tab=from_mm(bottom, unit),
        width=strip.width,
    )


def values_for(said: CardSaid, moves: Iterable[Moved]) -> dict[int, Length]:
    """What each length of the text must become on the ruler, by `Found.start`.

    moves  those of the card regridded: piece, mark ("width", "length", "score 1", ...), rounded
    Raises: KeyError for the moves of another card; LengthError if one place of the text would
    have to become two lengths, as where "cut 2 strips" stands for tiers that come to differ.
    """
    moved = {(move.piece, move.mark): move.rounded for move in moves}
    values: dict[int, Length] = {}
    for role, piece in said.roles:
        for start, length in _restated(role, piece, moved):
            if mm(values.setdefault(start, length)) != mm(length):
                raise LengthError(piece.name, "stands for pieces that differ on this ruler")
    return values


def _restated(
    role: str, piece: PieceSaid, moved: Mapping[tuple[str, str], Length]
) -> Iterable[tuple[int, Length]]:
    yield piece.wide.start, moved[role, "width"]
    yield piece.long.start, moved[role, "length"]
    order = [mm(place) for place in piece.score_positions]
    turned = role == "back" and len(order) == 1 and 2 * order[0] < mm(piece.length)
    for score in piece.scores:
        place = mm(piece.length) - mm(score.measured) if score.from_bottom else mm(score.measured)
        top = moved[role, f"score {order.index(place) + 1}"]
        length = moved[role, "length"]
        yield score.found.start, _from_its_end(score, top, length, turned)


def _from_its_end(score: ScoreSaid, top: Length, length: Length, turned: bool) -> Length:
    """The score from the end that the text measures from; `turned` where its top is our bottom."""
    if score.from_bottom == turned:
        return top
    return from_mm(mm(length) - mm(top), unit_of(top))
