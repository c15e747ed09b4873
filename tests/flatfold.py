"""Whether a crease pattern folds flat: the published theorems, for any pattern of lines.

Shares nothing with popkit. A line is ((x, y), (x, y)); a crease is a line and its fold.

Sources: Kawasaki's theorem (Kawasaki, Justin, Husimi): the creases round a vertex fold flat only
if the angles between them, taken alternately plus and minus, come to nothing. Maekawa's theorem
(Maekawa, Justin): mountains and valleys round it differ by two. Both as printed at
profilpelajar.com, "Kawasaki's theorem". Round a slit, as round any hole, the mirrorings in the
creases that a closed path crosses must undo each other: for parallel creases the positions, taken
alternately plus and minus, come to nothing; this is how Justin states the theorem.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import combinations
from typing import NamedTuple

Point = tuple[Fraction, Fraction]


class Line(NamedTuple):
    start: Point
    stop: Point
    fold: str = ""


def alternating(values: Iterable[float]) -> float:
    return sum(value if place % 2 == 0 else -value for place, value in enumerate(values))


def kawasaki(angles: Sequence[float], tolerance: float = 1e-9) -> bool:
    """Whether the angles between neighbouring creases, in degrees all the way round, allow it."""
    around = math.isclose(sum(angles), 360, abs_tol=tolerance)
    return around and len(angles) % 2 == 0 and abs(alternating(angles)) <= tolerance


def maekawa(folds: Sequence[str]) -> bool:
    return abs(folds.count("mountain") - folds.count("valley")) == 2


def _cross(a: Point, b: Point) -> Fraction:
    return a[0] * b[1] - a[1] * b[0]


def _minus(a: Point, b: Point) -> Point:
    return (a[0] - b[0], a[1] - b[1])


def on_line(point: Point, line: Line) -> bool:
    along, off = _minus(line.stop, line.start), _minus(point, line.start)
    if _cross(along, off) != 0:
        return False
    reach = along[0] * off[0] + along[1] * off[1]
    return 0 <= reach <= along[0] ** 2 + along[1] ** 2


def meeting(a: Line, b: Line) -> Point | None:
    """Where two lines that are not parallel meet, ends included."""
    u, v, w = _minus(a.stop, a.start), _minus(b.stop, b.start), _minus(b.start, a.start)
    across = _cross(u, v)
    if across == 0:
        return None
    s, t = Fraction(_cross(w, v)) / across, Fraction(_cross(w, u)) / across
    if not (0 <= s <= 1 and 0 <= t <= 1):
        return None
    return (a.start[0] + s * u[0], a.start[1] + s * u[1])


def vertices(creases: Sequence[Line], cuts: Sequence[Line]) -> dict[Point, list[tuple[float, str]]]:
    """{point: [(direction in degrees, fold)] in order} for every vertex that no cut touches."""
    points = {end for crease in creases for end in (crease.start, crease.stop)}
    points |= {point for a, b in combinations(creases, 2) if (point := meeting(a, b)) is not None}
    found = {}
    for point in points:
        if any(on_line(point, cut) for cut in cuts):
            continue
        rays = []
        for crease in creases:
            if on_line(point, crease):
                for end in (crease.start, crease.stop):
                    if end != point:
                        x, y = _minus(end, point)
                        rays.append((math.degrees(math.atan2(y, x)) % 360, crease.fold))
        found[point] = sorted(rays)
    return found


def folds_flat_at(rays: Sequence[tuple[float, str]]) -> bool:
    """Kawasaki and Maekawa at one vertex."""
    directions = [direction for direction, _ in rays]
    if not directions:
        return False
    onward = [*directions[1:], directions[0] + 360]
    angles = [after - before for before, after in zip(directions, onward, strict=True)]
    return kawasaki(angles) and maekawa([fold for _, fold in rays])


def overlaps(creases: Sequence[Line]) -> list[tuple[Line, Line]]:
    """Pairs of creases that share more than a point."""
    pairs = []
    for a, b in combinations(creases, 2):
        u = _minus(a.stop, a.start)
        if _cross(u, _minus(b.stop, b.start)) or _cross(u, _minus(b.start, a.start)):
            continue
        reach = [u[0] * x + u[1] * y for x, y in (_minus(b.start, a.start), _minus(b.stop, a.start))]
        if max(min(reach), 0) < min(max(reach), u[0] ** 2 + u[1] ** 2):
            pairs.append((a, b))
    return pairs


def round_slit(creases: Sequence[Line], slit: Line) -> list[Line]:
    """Level creases in the order that a path close round an upright slit crosses them: down its
    left side, up its right.
    """
    across, top, bottom = slit.start[0], slit.start[1], slit.stop[1]
    near = [crease for crease in creases if top <= crease.start[1] <= bottom]
    left = [crease for crease in near if crease.start[0] < across <= crease.stop[0]]
    right = [crease for crease in near if crease.start[0] <= across < crease.stop[0]]
    left.sort(key=lambda crease: crease.start[1])
    right.sort(key=lambda crease: crease.start[1], reverse=True)
    return left + right


def folds_flat_round(creases: Sequence[Line], slit: Line) -> bool:
    crossed = round_slit(creases, slit)
    positions = [crease.start[1] for crease in crossed]
    even = len(crossed) % 2 == 0
    return even and alternating(positions) == 0 and maekawa([crease.fold for crease in crossed])
