"""Charts of how a card opens, where a curve says more than a picture.

Each function draws on the axes it is given, sets no global style and saves no file. Lines differ
by their dashes and carry their names, so that nothing hangs on colour.

Imports: matplotlib (here alone), lengths, card, folding, drawing.conventions, drawing.lettering.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from matplotlib.axes import Axes

from popkit.card import Card
from popkit.drawing.conventions import INK, PAPER, SECOND
from popkit.drawing.lettering import Readings, spread
from popkit.drawing.side import opened
from popkit.folding import closed_reach, room
from popkit.lengths import Grid, Length, mm

__all__ = ["describe_edge_heights", "describe_reach", "draw_edge_heights", "draw_reach"]

_ANGLES = range(0, 181, 3)
_DASHES = ("-", (0, (6, 2)), (0, (2, 1.4)), (0, (7, 2, 1.4, 2)))
_MM_PER_INCH = 25.4
_SIZE = 9  # points


def _edges(
    card: Card, slips: Mapping[int, Length | str] | None
) -> tuple[list[float], dict[str, list[tuple[float, float]]]]:
    """Opening angles, and for the back and every tier the (x, y) of its top edge at each, mm."""
    angles: list[float] = []
    edges: dict[str, list[tuple[float, float]]] = {"back": []}
    edges |= {f"tier {number}": [] for number in range(1, len(card.tiers) + 1)}
    for angle in _ANGLES:
        view = opened(card, angle, slips)
        angles.append(view.angle)
        for part, points in edges.items():
            x, y = view.pose[part][1]
            points.append((float(x), float(y)))
        if view.stopped:
            break
    return angles, edges


def _per(card: Card) -> float:
    """Millimetres in one of the unit on the left."""
    return _MM_PER_INCH if card.unit in ("inch", "foot") else 1.0


def _axes(ax: Axes, card: Card, label: str) -> None:
    """Degrees along, length up, in the card's unit on the left and the other on the right."""
    inch = _per(card) != 1
    ax.set_facecolor(PAPER)
    ax.figure.set_facecolor(PAPER)
    ax.set_xlim(0, 180)
    ax.set_xticks(range(0, 181, 30))
    ax.set_xlabel("opening, degrees", color=INK, fontsize=_SIZE)
    ax.set_ylabel(f"{label}, {'in' if inch else 'mm'}", color=INK, fontsize=_SIZE)
    ratio = _MM_PER_INCH if inch else 1 / _MM_PER_INCH
    other = ax.secondary_yaxis(
        "right", functions=(lambda shown: shown * ratio, lambda shown: shown / ratio)
    )
    other.set_ylabel(f"{label}, {'mm' if inch else 'in'}", color=SECOND, fontsize=_SIZE)
    other.tick_params(colors=SECOND, labelsize=_SIZE)
    ax.tick_params(colors=INK, labelsize=_SIZE)
    for side in (ax.spines, other.spines):
        for spine in side.values():
            spine.set_color(INK)
            spine.set_linewidth(0.6)
    ax.spines["top"].set_visible(False)
    ax.grid(visible=True, color=SECOND, alpha=0.18, linewidth=0.5)
    ax.set_axisbelow(True)


def _curves(
    ax: Axes, card: Card, angles: Sequence[float], rows: Mapping[str, Sequence[float]], at: int
) -> None:
    """One line a part, named at the point numbered `at`, the names kept apart."""
    per = _per(card)
    for number, (name, row) in enumerate(rows.items()):
        ax.plot(
            angles,
            [value / per for value in row],
            color=INK,
            linestyle=_DASHES[number % len(_DASHES)],
            linewidth=1.8 if name == "back" else 1.2,
            label=name,
        )
    low, high = ax.get_ylim()
    if angles[-1] < 180:
        ax.axvline(angles[-1], color=SECOND, linewidth=0.8, linestyle=(0, (2, 1.4)))
        ax.text(
            angles[-1] + 2,
            low + (high - low) * 0.06,
            f"stops at {angles[-1]:.1f}°",
            color=SECOND,
            fontsize=_SIZE,
        )
    box = ax.get_window_extent()
    pitch = (high - low) / box.height * _SIZE * 1.5 * ax.figure.dpi / 72
    names = sorted(rows, key=lambda name: rows[name][at])
    wanted = [rows[name][at] / per for name in names]
    places = spread(wanted, pitch)
    for name, value, place in zip(names, wanted, places, strict=True):
        moved = abs(place - value) > pitch / 3
        ax.annotate(
            name,
            xy=(angles[at], value),
            xytext=(angles[at] + (12 if moved else 0), place),
            ha="left" if moved else "center",
            va="center",
            color=INK,
            fontsize=_SIZE,
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.2},
            arrowprops={"arrowstyle": "-", "color": SECOND, "linewidth": 0.6} if moved else None,
            annotation_clip=False,
        )


def describe_edge_heights(
    card: Card,
    slips: Mapping[int, Length | str] | None = None,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
) -> str:
    """What `draw_edge_heights` shows, in words."""
    read = Readings.of(card.height, grids)
    view = opened(card, 180.0, slips)
    lines = [
        f"Height of each top edge over the front against the opening, 0 to {view.angle:.4g} degrees."
    ]
    lines.append(f"The back rises to {read.both(mm(card.height))} at 90 degrees.")
    for number, tier in enumerate(card.tiers, 1):
        lines.append(f"Tier {number}'s face is {read.both(mm(tier.face))} high.")
    return "\n".join(lines)


def draw_edge_heights(ax: Axes, card: Card, slips: Mapping[int, Length | str] | None = None) -> None:
    """How high the top edge of the back and of each face stands over the front, 0 to 180 degrees.

    ax     axes to draw on
    slips  as `folding.pose`; the lines end where the card stops
    Raises: FoldError as `folding.pose`.
    """
    angles, edges = _edges(card, slips)
    rows = {part: [y for _, y in points] for part, points in edges.items()}
    _axes(ax, card, "height of the top edge")
    ax.set_ylim(bottom=0, top=float(mm(card.height)) / _per(card) * 1.06)
    middle = min(range(len(angles)), key=lambda place: abs(angles[place] - 90))
    _curves(ax, card, angles, rows, middle)


def describe_reach(
    card: Card,
    slips: Mapping[int, Length | str] | None = None,
    *,
    grids: Sequence[Grid | Length | str] | None = None,
) -> str:
    """What `draw_reach` shows, in words."""
    read = Readings.of(card.height, grids)
    view = opened(card, 180.0, slips)
    lines = [
        "How far each top edge reaches from the fold along the front, against the opening, 0 to "
        f"{view.angle:.4g} degrees.",
        f"Past {read.both(mm(room(card)))} a face would show when the card is closed.",
    ]
    for number, reach in enumerate(closed_reach(card), 1):
        lines.append(f"Tier {number} reaches {read.both(mm(reach))} when closed.")
    return "\n".join(lines)


def draw_reach(ax: Axes, card: Card, slips: Mapping[int, Length | str] | None = None) -> None:
    """How far each face's top edge reaches from the fold along the front, 0 to 180 degrees.

    The hatched band lies past the edge of the closed card: a line that starts in it shows.

    ax     axes to draw on
    slips  as `folding.pose`; the lines end where the card stops
    Raises: FoldError as `folding.pose`.
    """
    angles, edges = _edges(card, slips)
    rows = {part: [x for x, _ in points] for part, points in edges.items() if part != "back"}
    per = _per(card)
    limit = float(mm(room(card))) / per
    values = [value / per for row in rows.values() for value in row]
    _axes(ax, card, "reach from the fold")
    low, high = min(*values, 0.0), max(*values, limit)
    above = (high - low) * 0.14
    ax.set_ylim(low - (high - low) * 0.05, high + above)
    ax.axhline(0, color=INK, linewidth=0.6)
    ax.axhspan(
        limit, high + above, facecolor="none", edgecolor=SECOND, hatch="///", linewidth=0, alpha=0.5
    )
    ax.axhline(limit, color=SECOND, linewidth=1.2, linestyle=(0, (2, 1.4)))
    ax.text(
        174,
        limit + above / 2,
        "would show when closed",
        ha="right",
        va="center",
        color=SECOND,
        fontsize=_SIZE,
        bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.2},
    )
    at = max(range(len(angles)), key=lambda place: -abs(angles[place] - 0.78 * angles[-1]))
    _curves(ax, card, angles, rows, at)
