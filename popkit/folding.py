"""How the card opens: where every edge is at any opening, and what stops it.

Side view in millimetres: the fold is the origin, the front lies along +x, the back stands
at the opening angle t from it (0 closed, 90 on show, 180 flat). Each tier is a four-bar
linkage between what stands behind it and the front. With the foot as far out as the shelf
is deep it is a parallelogram, so every face stays parallel to the back; with a slipped
foot it is not, and the card jams.

Imports: lengths, card.
Source: conditions for a parallel fold, A. Spasova, N. O'Rourke, F. Weller, J. O'Rourke, "Pop-Up
Cards as a Vehicle to Teach Mathematics", Smith College 2005: closes flat if A+B = C+D, opens
flat if A+D <= B+C, hides if A+B <= a.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from popkit.card import Card, CutStep
from popkit.lengths import Length, as_length, as_offset, mm

__all__ = [
    "FoldError",
    "Pose",
    "closed_margins",
    "closed_reach",
    "is_hidden",
    "opening_limit",
    "opens_to",
    "pose",
    "room",
    "tallest_ornament",
]


class FoldError(ValueError):
    """An opening that the card cannot reach, or a linkage that cannot be joined."""


def opening_limit(
    *,
    foot: Length | str,
    shelf: Length | str,
    face: Length | str,
    attachment: Length | str | None = None,
) -> float:
    """How far a tier lets the card open.

    foot        from the fold (or from the face behind) to where the face meets the front
    shelf       depth of the shelf
    face        height of the face
    attachment  height at which the shelf is glued; unless given, where it lands when the card
                is glued closed, foot + face - shelf
    Returns: degrees, 180 if it opens flat, else less.
    Raises: FoldError if the four cannot be joined at all; LengthError.
    Source: law of cosines, cos t = (p^2 + q^2 - (r+s)^2) / (2 p q); 180 if p+q <= r+s
    (Smith College 2005).
    """
    p, s, r = (mm(as_length(side)) for side in (foot, shelf, face))
    q = p + r - s if attachment is None else mm(as_length(attachment))
    if q <= 0:
        raise FoldError("The shelf is so deep that it would be glued below the fold.")
    if abs(p - q) > r + s:
        raise FoldError("The shelf and the face together are too short to join foot and attachment.")
    if abs(r - s) > p + q:
        raise FoldError("The shelf and the face differ by more than foot and attachment together.")
    if p + q <= r + s:
        return 180.0
    return math.degrees(math.acos(float((p**2 + q**2 - (r + s) ** 2) / (2 * p * q))))


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """The side view at one opening: `pose["tier 1"]` is an array of (x, y) in millimetres.

    angle  degrees
    parts  "back": fold, top; "front": fold, free edge; "tier i": attachment, shelf edge, foot;
           "tier i top tab", "tier i bottom tab": crease, free edge. Arrays are (n, 2) floats.
    """

    angle: float
    parts: Mapping[str, np.ndarray]

    def __getitem__(self, part: str) -> np.ndarray:
        return self.parts[part]

    def __iter__(self) -> Iterator[str]:
        return iter(self.parts)

    def __len__(self) -> int:
        return len(self.parts)


def _slipped(card: Card, slips: Mapping[int, Length | str] | None) -> list[Fraction]:
    """Millimetres that each tier's foot is glued too far out."""
    slips = dict(slips or {})
    unknown = [str(number) for number in slips if number not in range(1, len(card.tiers) + 1)]
    if unknown:
        raise FoldError(f"There is no tier {' or '.join(unknown)}: the card has {len(card.tiers)}.")
    if not slips:
        return [Fraction(0)] * len(card.tiers)
    return [mm(as_offset(slips.get(number, "0 mm"))) for number in range(1, len(card.tiers) + 1)]


def _linkages(card: Card, slips: list[Fraction]) -> list[tuple[Fraction, ...]]:
    """For each tier: where it hinges on the front, foot from there, shelf, face, attachment.

    The attachment is where the shelf lands when the card is glued closed.
    """
    rows, hinge = [], Fraction(0)
    for number, (tier, true_foot, slip) in enumerate(
        zip(card.tiers, card.feet_mm, slips, strict=True), 1
    ):
        foot = true_foot + slip - hinge
        shelf, face = mm(tier.depth), mm(tier.face)
        attachment = foot + face - shelf
        if foot <= 0 or attachment <= 0:
            raise FoldError(f"Tier {number}'s foot has slipped past what stands behind it.")
        rows.append((hinge, foot, shelf, face, attachment))
        hinge += foot
    return rows


def _solve(row: tuple[Fraction, ...], lean: float, exact: bool) -> tuple[np.ndarray, float]:
    """Attachment, shelf edge, foot of one tier whose backing leans `lean` radians; its face's lean.

    Of the two places where shelf and face can meet, the one away from the hinge. With foot p,
    attachment q, shelf s, face r and u = p q sin^2(t/2), the gap a from attachment to foot has
    a^2 - (s-r)^2 = 4u and (s+r)^2 - a^2 = 4(rs - u), because a tier glued closed has p - q = s - r.
    Written so, nothing is lost by taking near things from each other, even all but closed.
    """
    hinge, foot, shelf, face, attachment = (float(value) for value in row)
    along = np.array([math.cos(lean), math.sin(lean)])
    start = np.array([hinge, 0.0])
    glued, landed = start + attachment * along, start + np.array([foot, 0.0])
    if exact:  # foot = shelf: a parallelogram at every opening
        edge = glued + np.array([foot, 0.0])
        return np.array([glued, edge, landed]), lean
    half = math.sin(lean / 2) ** 2
    opened = foot * attachment * half
    slack = shelf * face - opened
    if slack < -1e-12 * shelf * face:
        raise FoldError("The tier is stretched straight before the card opens so far.")
    nearer = float(row[1] - row[4])
    gap = np.array([nearer + 2 * attachment * half, -attachment * along[1]])
    apart = math.hypot(*gap)
    if apart < 1e-100:  # closed; its square is nothing to a computer
        edge = glued + shelf * along
    else:
        ahead = (apart + nearer * (shelf + face) / apart) / 2
        aside = 2 * math.sqrt(opened * max(0.0, slack)) / apart
        unit = gap / apart
        outward = np.array([-unit[1], unit[0]])  # left of attachment to foot: away from the hinge
        edge = glued + ahead * unit + aside * outward
    up = edge - landed
    return np.array([glued, edge, landed]), math.atan2(up[1], up[0])


def pose(card: Card, angle_deg: float, slips: Mapping[int, Length | str] | None = None) -> Pose:
    """Where every edge is at an opening of `angle_deg` degrees, 0 to 180.

    slips  {tier number: how much too far out its foot is glued}, negative for too near the fold
    Returns: a `Pose`; every edge has its true length at every opening, to 1e-9 mm.
    Raises: FoldError if the angle is not 0 to 180, or the slipped card cannot open so far.
    """
    if not 0 <= angle_deg <= 180:
        raise FoldError(f"An opening of {angle_deg:g}°: write 0 (closed) to 180 (flat).")
    slipped = _slipped(card, slips)
    lean = math.radians(angle_deg)
    along = np.array([math.cos(lean), math.sin(lean)])
    origin = np.zeros(2)
    parts = {
        "back": np.array([origin, float(mm(card.height)) * along]),
        "front": np.array([origin, [float(card.front.length_in(card)), 0.0]]),
    }
    for number, (tier, row) in enumerate(zip(card.tiers, _linkages(card, slipped), strict=True), 1):
        behind = lean
        try:
            points, lean = _solve(row, behind, exact=row[1] == row[2])
        except FoldError as stop:
            raise FoldError(f"Tier {number} at {angle_deg:g}°: {stop}") from None
        name = f"tier {number}"
        parts[name] = points
        if not isinstance(tier, CutStep):
            down = np.array([math.cos(behind), math.sin(behind)]) * float(mm(tier.top_tab))
            inward = np.array([float(mm(tier.bottom_tab)), 0.0])
            parts[f"{name} top tab"] = np.array([points[0], points[0] - down])
            parts[f"{name} bottom tab"] = np.array([points[2], points[2] - inward])
    for array in parts.values():
        array.setflags(write=False)
    return Pose(float(angle_deg), parts)


def opens_to(card: Card, slips: Mapping[int, Length | str] | None = None) -> float:
    """Degrees to which the card opens when its feet are glued with these slips; 180 is flat.

    Found by halving to 1e-9 degrees, since a tier leans on the face of the one behind it.
    Raises: FoldError if a foot has slipped past what stands behind it.
    """
    rows = _linkages(card, _slipped(card, slips))

    def opens(angle: float) -> bool:
        lean = math.radians(angle)
        try:
            for row in rows:
                _, lean = _solve(row, lean, exact=row[1] == row[2])
        except FoldError:
            return False
        return True

    if opens(180.0):
        return 180.0
    low, high = 0.0, 180.0
    while high - low > 1e-9:
        middle = (low + high) / 2
        low, high = (middle, high) if opens(middle) else (low, middle)
    return low


def room(card: Card) -> Length:
    """How far from the fold a thing may reach when the card is closed and still be hidden.

    The shorter of back and front.
    """
    return card.length(min(mm(card.height), card.front.length_in(card)))


def closed_reach(card: Card) -> tuple[Length, ...]:
    """How far from the fold each face reaches when the card is closed: X_i + h_i."""
    return tuple(
        card.length(foot + mm(tier.face)) for foot, tier in zip(card.feet_mm, card.tiers, strict=True)
    )


def closed_margins(card: Card) -> tuple[Length, ...]:
    """How much of the closed card is left beyond each face; less than 0 where a face shows."""
    limit = mm(room(card))
    return tuple(card.length(limit - mm(reach)) for reach in closed_reach(card))


def is_hidden(card: Card) -> bool:
    """Whether nothing shows past the edges of the closed card: X_i + h_i <= H for every tier."""
    return all(mm(margin) >= 0 for margin in closed_margins(card))


def tallest_ornament(card: Card) -> tuple[Length, ...]:
    """How high a thing standing on each face may rise above that face's foot: H - X_i.

    Returns: one length a tier; 0 or less where the foot itself lies at or past the edge.
    Source: a point standing at (x, y) lies at x + y when the card is closed (shear map).
    """
    limit = mm(room(card))
    return tuple(card.length(limit - foot) for foot in card.feet_mm)
