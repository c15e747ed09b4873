"""Random cards for the regrid tests, and a verifier that shares nothing with popkit's own laws.

The verifier reads the cut list with pint's own arithmetic and applies the formulas of the side
view: a face meets the front at the sum of the shelves; closed, it reaches that plus its height.
"""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import popkit as pk
from popkit.lengths import Q

RULERS = ("1/16 in", "1/8 in", "1/4 in", "0.5 mm", "1 mm", "2 mm", "5 mm")


def random_card(rng: random.Random) -> pk.Card:
    """A card somebody might publish: mostly sound, sometimes not, in inches or millimetres."""
    while True:
        try:
            card = _random_card(rng)
            pk.cut_list(card)
        except (pk.CardError, pk.LengthError):
            continue
        return card


def _random_card(rng: random.Random) -> pk.Card:
    inches = rng.random() < 0.6
    unit = "inch" if inches else "millimeter"
    step = rng.choice([Fraction(1, 16)] * 4 + [Fraction(1, 8), Fraction(1, 32)])
    if not inches:
        step = rng.choice([Fraction(1)] * 4 + [Fraction(1, 2), Fraction(5)])

    def near(low_mm: float, high_mm: float) -> object:
        size = Fraction(rng.uniform(low_mm, high_mm)) / (Fraction(127, 5) if inches else 1)
        return Q(max(1, round(size / step)) * step, unit)

    def maybe(chance: float, low_mm: float, high_mm: float) -> object:
        return near(low_mm, high_mm) if rng.random() < chance else None

    tall = near(90, 260)
    height = float(tall.to("mm").magnitude)
    count = rng.choice([1, 1, 2, 2, 3, 3, 4, 5])
    steps = rng.choice([0, 0, 0, count, rng.randint(0, count)])
    band = rng.uniform(5, 16)
    first = rng.uniform(0.35, 0.6) * height
    tiers = []
    for place in range(count):
        face = near(max(8.0, first - place * band - 1), max(9.0, first - place * band + 1))
        room = (height - float(face.to("mm").magnitude)) / count
        depth = near(min(9.0, room), max(10.0, min(0.9 * room, 22.0)))
        if place < steps:
            wide = maybe(0.3, 60 - 9 * place, 75 - 9 * place)
            tiers.append(pk.CutStep(face=face, depth=depth, width=wide))
            continue
        tiers.append(
            pk.Tier(
                face=face,
                depth=depth,
                top_tab=maybe(0.3, 8, 14),
                bottom_tab=maybe(0.3, 8, 12),
                width=maybe(0.2, 60, 88),
            )
        )
    feet = sum(float(tier.depth.to("mm").magnitude) for tier in tiers)
    length = maybe(0.15, height * 0.9, height * 1.1)
    if steps:
        front = pk.OnePieceFront(length=length)
    else:
        front = rng.choice(
            [
                pk.OnePieceFront(length=length),
                pk.JoinedFront(length=length, joining_tab=maybe(0.4, 8, 16), width=maybe(0.2, 80, 95)),
                pk.ClearFront(
                    length=length,
                    landing=rng.choice([None, None, near(feet, feet + 3)]),
                    gap=maybe(0.4, 0.5, 5),
                    width=maybe(0.2, 80, 95),
                ),
            ]
        )
    stock = None
    if rng.random() < 0.85:
        sheet = rng.choice(["A4", "A3", "Letter", "Tabloid", *["A2"] * 4])
        stock = replace(pk.MEDIUM_CARD, sheet=sheet)
    return pk.Card(width=near(90, 200), height=tall, tiers=tuple(tiers), front=front, stock=stock)


def mm(length: object) -> Fraction:
    """pint's own conversion, not popkit's."""
    return Fraction(length.to("millimeter").magnitude)


def mechanism(card: pk.Card, cut: tuple[pk.Piece, ...] | None = None) -> dict[str, Fraction]:
    """How much is to spare, in millimetres, in each law of the side view; less than 0 is broken.

    Read off the pieces as cut: what lies between scores, not what the card says of itself.
    """
    pieces = {piece.name: piece for piece in (pk.cut_list(card) if cut is None else cut)}
    back = pieces.get("back") or pieces["back and front"]
    spare: dict[str, Fraction] = {}
    glued = [pieces[name] for name in pieces if name.startswith("tier ")]
    steps = len(card.tiers) - len(glued)
    tall = mm(card.height)
    flap = mm(back.length) - tall
    panel = next((pieces[name] for name in ("clear front", "front panel") if name in pieces), None)
    gap = Fraction(0)
    if "clear front" in pieces:
        gap = mm(card.front.gap) if card.front.gap is not None else Fraction(3)
        if card.front.gap is None and card.height.units == Q(1, "inch").units:
            gap = Fraction(127, 40)  # the usual 1/8 in
    long = flap if panel is None else gap + mm(panel.length)
    foot = Fraction(0)
    behind = mm(back.width)
    for number in range(1, len(card.tiers) + 1):
        if number <= steps:
            tier = card.tiers[number - 1]
            left, right = (mm(slit.across) for slit in back.slits[2 * number - 2 : 2 * number])
            start, stop = mm(back.slits[2 * number - 2].start), mm(back.slits[2 * number - 2].stop)
            creases = {mm(score) for score in back.scores}
            edge = stop - mm(tier.face)
            assert {start, edge} <= creases  # the foot has none where the next step is as wide
            shelf, face = edge - start, stop - edge
            # foot and shelf, attachment and face: opposite sides of the parallelogram
            spare[f"step {number} parallel"] = -abs(shelf - (stop - tall - foot))
            spare[f"step {number} upright"] = -abs(face - (tall + foot - start))
            spare[f"step {number} narrower"] = behind - (right - left)
            behind = right - left
        else:
            piece = glued[number - 1 - steps]
            cuts = [Fraction(0), *(mm(score) for score in piece.scores), mm(piece.length)]
            top, shelf, face, bottom = (b - a for a, b in pairwise(cuts))
            spare[f"tier {number} top tab hidden"] = face - top
            spare[f"tier {number} bottom tab hidden"] = shelf - bottom
            spare[f"tier {number} inside"] = mm(back.width) - mm(piece.width)
        foot += shelf
        spare[f"tier {number} hidden"] = min(tall, long) - (foot + face)
    if "clear front" in pieces:
        spare["landing under all feet"] = flap - foot
    if panel is not None:
        spare["front inside"] = mm(back.width) - mm(panel.width)
        spare["flap inside"] = long - flap
    return spare


def on_ruler(cut: tuple[pk.Piece, ...], ruler: str) -> bool:
    """Whether every size, score and slit of a cut list is a whole number of marks."""
    step = mm(pk.parse_length(ruler))
    marks = []
    for piece in cut:
        marks += [piece.width, piece.length, *piece.scores]
        marks += [at for slit in piece.slits for at in (slit.across, slit.start, slit.stop)]
        marks += [at for crease in piece.creases for at in (crease.position, crease.start, crease.stop)]
        marks += [zone.length for zone in piece.zones]
    return all((mm(mark) / step).denominator == 1 for mark in marks)
