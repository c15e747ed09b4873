"""Charts of how a card opens, how its marks moved and what a class takes, where a curve says more
than a picture.

Each function draws on the axes it is given, sets no global style and saves no file. Lines differ
by their dashes and carry their names, so that nothing hangs on colour.

Imports: matplotlib (here alone), lengths, card, folding, converting, classplan.growth; conventions,
lettering and side of this package.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from matplotlib.axes import Axes

from popkit.card import Card
from popkit.classplan.growth import ClassSize
from popkit.converting import Conversion
from popkit.drawing.conventions import INK, PAPER, SECOND, TINT_DEEP
from popkit.drawing.lettering import Readings, spread
from popkit.drawing.side import opened
from popkit.folding import closed_reach, room
from popkit.lengths import Grid, Length, Q, from_mm, in_inches, mm, show_exact
from popkit.posting import SERVICES
from popkit.standing import STEADY, Standing, standing
from popkit.thickness import thickness

__all__ = [
    "describe_class_sizes",
    "describe_edge_heights",
    "describe_reach",
    "describe_shifts",
    "draw_class_sizes",
    "draw_edge_heights",
    "draw_reach",
    "draw_shifts",
]

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
    return _MM_PER_INCH if in_inches(card.unit) else 1.0


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
    for name, row in rows.items():
        number = 0 if name == "back" else int(name.removeprefix("tier "))  # the same in every chart
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


def _shift_pairs(conversion: Conversion) -> list[tuple[str, Fraction, Fraction]]:
    """For every mark: its name, its shift number by number, and its shift restated, both mm."""
    if conversion.regridded is not None and conversion.naive is not None:
        alone = {(move.piece, move.mark): mm(move.shift) for move in conversion.naive.numbers}
        return [
            (f"{move.piece}, {move.mark}", alone[move.piece, move.mark], mm(move.shift))
            for move in conversion.regridded.moves
        ]
    grid = conversion.grid
    return [
        (row.where, mm(grid.nearest(row.exact)) - mm(row.exact), mm(row.shift))
        for row in conversion.rows
    ]


def describe_shifts(conversion: Conversion) -> str:
    """What `draw_shifts` shows, in words: every mark that moves otherwise as part of a card."""
    grid, pairs = conversion.grid, _shift_pairs(conversion)
    if not pairs:
        return f"No mark moves on a ruler of {grid}."

    def read(shift: Fraction) -> str:
        return ("+" if shift > 0 else "") + show_exact(from_mm(shift, grid.unit))

    worst = [max(abs(pair[place]) for pair in pairs) for place in (1, 2)]
    lines = [
        f"Shift of {len(pairs)} marks on a ruler of {grid}, half a mark being "
        f"{show_exact(from_mm(mm(grid.step) / 2, grid.unit))}.",
        f"Largest number by number {show_exact(from_mm(worst[0], grid.unit))}, restated as a card "
        f"{show_exact(from_mm(worst[1], grid.unit))}.",
    ]
    lines += [
        f"{name}: number by number {read(alone)}, restated {read(together)}."
        for name, alone, together in pairs
        if alone != together
    ]
    if len(lines) == 2:
        lines.append("Both ways move every mark alike.")
    return "\n".join(lines)


def draw_shifts(ax: Axes, conversion: Conversion) -> None:
    """How far each mark moved to reach its ruler: rounded by itself, and restated as a card.

    ax  axes to draw on
    Each mark has a row: a ring where it would go by itself, a filled square where it goes as part
    of a card, a bar between them where they differ. Dashed lines stand at half a mark, further
    than which no number rounded by itself is moved.
    """
    grid, pairs = conversion.grid, _shift_pairs(conversion)
    per = float(mm(Q(1, grid.unit)))
    unit = {"inch": "in", "millimeter": "mm", "centimeter": "cm"}[grid.unit]
    half = float(mm(grid.step)) / per / 2
    rows = range(len(pairs))
    alone = [float(pair[1]) / per for pair in pairs]
    together = [float(pair[2]) / per for pair in pairs]
    ax.set_facecolor(PAPER)
    ax.figure.set_facecolor(PAPER)
    most = max([half, *map(abs, alone), *map(abs, together)]) * 1.25
    ax.set_xlim(-most, most)
    ax.set_ylim(len(pairs) - 0.4, -0.6)
    ax.set_yticks(rows, [name for name, _, _ in pairs], parse_math=False)  # words of a text
    ax.set_xlabel(f"shift, {unit}", color=INK, fontsize=_SIZE)
    ax.tick_params(colors=INK, labelsize=_SIZE)
    ax.axvline(0, color=INK, linewidth=0.6)
    for limit, words in ((-half, "half a mark less"), (half, "half a mark more")):
        ax.axvline(limit, color=SECOND, linewidth=1.0, linestyle=_DASHES[1], label=words)
        ax.annotate(
            words,
            xy=(limit, 1),
            xycoords=("data", "axes fraction"),
            xytext=(0, 3),
            textcoords="offset points",
            ha="center",
            va="bottom",
            color=SECOND,
            fontsize=_SIZE,
        )
    ax.hlines(rows, alone, together, color=SECOND, linewidth=2.0)
    ring = {"markerfacecolor": PAPER, "markeredgecolor": INK, "markersize": 8}
    ax.plot(alone, rows, "o", label="ring: number by number", **ring)
    ax.plot(together, rows, "s", color=SECOND, markersize=4.5, label="square: restated as a card")
    marked = [line for line in ax.get_lines() if line.get_marker() in ("o", "s")]
    ax.legend(
        handles=marked,
        loc="upper center",
        bbox_to_anchor=(0.5, -1.4 / (len(pairs) + 1)),
        ncols=2,
        frameon=False,
        fontsize=_SIZE,
        labelcolor=INK,
    )
    for side in ("top", "right", "left"):
        ax.spines[side].set_visible(False)
    ax.grid(visible=True, axis="y", color=SECOND, alpha=0.18, linewidth=0.5)
    ax.set_axisbelow(True)


# Class sizes ----------------------------------------------------------------------


def describe_class_sizes(sizes: Sequence[ClassSize], students: int | None = None) -> str:
    """What the chart of `draw_class_sizes` shows, in words."""
    lines = ["Sheets and waste against the size of the class."]
    for one in sizes:
        sure = "" if one.proved else f", at least {one.bound} needed"
        here = " (this class)" if one.students == students else ""
        sheets = f"{one.sheets} sheet{'s' * (one.sheets != 1)}"
        people = f"{one.students} student{'s' * (one.students != 1)}"
        lines.append(f"{people}{here}: {sheets}{sure}, {_percent(one.waste)} waste.")
    return "\n".join(lines)


def _percent(share: Fraction) -> str:
    return f"{float(share) * 100:.0f}%"


def draw_class_sizes(ax: Axes, sizes: Sequence[ClassSize], students: int | None = None) -> None:
    """Sheets (on the left) and the share of them that is waste (on the right) for classes of
    several sizes.

    ax        axes to draw on; a second one is laid over it
    sizes     at least one, smallest class first
    students  the size to point out, or None
    Squares are sheets: filled where no plan takes fewer; open where one might, with a bar down to
    the number that no plan goes below. The dashed line with rings is waste.
    """
    people = [one.students for one in sizes]
    sheets = [one.sheets for one in sizes]
    ax.set_facecolor(PAPER)
    ax.figure.set_facecolor(PAPER)
    ax.set_xlabel("students", color=INK, fontsize=_SIZE)
    ax.set_ylabel("sheets", color=INK, fontsize=_SIZE)
    ax.plot(people, sheets, color=INK, linewidth=1.2)
    for proved, fill, words in ((True, INK, "sheets, proved"), (False, PAPER, "sheets, not proved")):
        some = [one for one in sizes if one.proved == proved]
        ax.plot(
            [one.students for one in some],
            [one.sheets for one in some],
            "s",
            markerfacecolor=fill,
            markeredgecolor=INK,
            markersize=6,
            label=words,
        )
    open_ones = [one for one in sizes if not one.proved]
    ax.vlines(
        [one.students for one in open_ones],
        [one.bound for one in open_ones],
        [one.sheets for one in open_ones],
        color=INK,
        linewidth=1.2,
        label="sheets that may be saved",
    )
    other = ax.twinx()
    other.plot(
        people,
        [float(one.waste) * 100 for one in sizes],
        color=SECOND,
        linestyle=_DASHES[1],
        linewidth=1.2,
        marker="o",
        markerfacecolor=PAPER,
        markeredgecolor=SECOND,
        markersize=5,
        label="waste",
    )
    other.set_ylabel("waste, % of the sheets", color=SECOND, fontsize=_SIZE)
    other.set_ylim(0, 100)
    ax.set_ylim(0, max(sheets) * 1.12 + 1)
    ax.set_xlim(min(people) - 1, max(people) + 1)
    for axis in (ax.xaxis, ax.yaxis):
        axis.get_major_locator().set_params(integer=True)
    if students in people:
        ax.axvline(students, color=SECOND, linewidth=0.8, linestyle=_DASHES[2])
        ax.annotate(
            "this class",
            xy=(students, 1),
            xycoords=("data", "axes fraction"),
            xytext=(0, 3),
            textcoords="offset points",
            ha="center",
            va="bottom",
            color=SECOND,
            fontsize=_SIZE,
        )
    lines = [line for line in ax.get_lines() if line.get_marker() == "s" and len(line.get_xdata())]
    ax.legend(
        handles=[*lines, *other.get_lines()],
        loc="upper center",
        bbox_to_anchor=(0.5, -0.16),
        ncols=3,
        frameon=False,
        fontsize=_SIZE,
        labelcolor=INK,
    )
    for axes, ink in ((ax, INK), (other, SECOND)):
        axes.tick_params(colors=ink, labelsize=_SIZE)
        axes.spines["top"].set_visible(False)
        for spine in axes.spines.values():
            spine.set_color(INK)
            spine.set_linewidth(0.6)
    ax.grid(visible=True, axis="y", color=SECOND, alpha=0.18, linewidth=0.5)
    ax.set_axisbelow(True)


# How it stands ------------------------------------------------------------------

_OPENINGS = range(3, 178, 3)
_LEAST_LEAN, _MOST_LEAN = -30.0, 90.0


def _plain(ax: Axes) -> None:
    """The look that every chart here shares."""
    ax.set_facecolor(PAPER)
    ax.figure.set_facecolor(PAPER)
    ax.tick_params(colors=INK, labelsize=_SIZE)
    for spine in ax.spines.values():
        spine.set_color(INK)
        spine.set_linewidth(0.6)
    ax.spines["top"].set_visible(False)
    ax.grid(visible=True, color=SECOND, alpha=0.18, linewidth=0.5)
    ax.set_axisbelow(True)


def _falls_from(found: Sequence[Standing]) -> float | None:
    """The opening, of those looked at, from which the card falls over by itself."""
    return next((one.angle for one in found if one.angle > 90 and not one.stands), None)


def describe_tipping(card: Card, angle: float = 90) -> str:
    """What `draw_tipping` shows, in words."""
    found = [standing(card, opening, helps=False) for opening in _OPENINGS]
    lines = [
        "How far the card may lean before it turns over, backwards and forwards, against the opening, "
        f"{found[0].angle:.0f} to {found[-1].angle:.0f} degrees.",
        standing(card, angle, helps=False).text,
    ]
    falls = _falls_from(found)
    if falls is not None:
        lines.append(f"Opened to {falls:.0f} degrees or more it falls over by itself.")
    return "\n".join(lines)


def draw_tipping(ax: Axes, card: Card, angle: float = 90) -> None:
    """How far the card may lean backwards and forwards before it turns over, against its opening.

    ax     axes to draw on
    angle  of the opening on show, marked on both lines
    In the hatched band below nothing the card falls over by itself; the dashed line above it is the
    lean that a card ought to bear.
    Raises: FoldError if the angle is not 0 to 180.
    """
    found = [standing(card, opening, helps=False) for opening in _OPENINGS]
    shown = standing(card, angle, helps=False)
    _plain(ax)
    ax.spines["right"].set_visible(False)
    ax.set_xlim(0, 180)
    ax.set_xticks(range(0, 181, 30))
    ax.set_xlabel("opening, degrees", color=INK, fontsize=_SIZE)
    ax.set_ylabel("lean before it turns over, degrees", color=INK, fontsize=_SIZE)
    worst = min(one.weakest for one in found)
    low = max(_LEAST_LEAN, min(-12.0, worst - 3))
    ax.set_ylim(low, _MOST_LEAN)
    ax.axhspan(low, 0, facecolor="none", edgecolor=SECOND, hatch="///", linewidth=0, alpha=0.5)
    ax.axhline(0, color=INK, linewidth=0.6)
    ax.axhline(STEADY, color=SECOND, linewidth=1.0, linestyle=_DASHES[1])
    boxed = {"facecolor": PAPER, "edgecolor": "none", "pad": 1.2}
    small = {"fontsize": _SIZE, "bbox": boxed, "va": "center"}
    ax.text(4, low / 2, "falls over by itself", color=SECOND, ha="left", **small)
    ax.text(4, STEADY, f"ought to bear {STEADY:.0f}°", color=SECOND, ha="left", **small)
    angles = [one.angle for one in found]
    back, forward = [one.tips_back for one in found], [one.tips_forward for one in found]
    for label, row, dash, mark in (
        ("backwards, about the fold", back, _DASHES[0], shown.tips_back),
        ("forwards, about the front's edge", forward, _DASHES[3], shown.tips_forward),
    ):
        ax.plot(angles, row, color=INK, linestyle=dash, linewidth=1.5, label=label)
        if 0 < angle < 180:
            ax.plot([angle], [mark], "o", color=INK, markersize=5)
            ax.annotate(
                f"{mark:.0f}°",
                xy=(angle, mark),
                xytext=(6, 8),
                textcoords="offset points",
                color=INK,
                fontsize=_SIZE,
            )
    ax.legend(
        loc="upper center",
        bbox_to_anchor=(0.5, -0.16),
        ncols=2,
        frameon=False,
        fontsize=_SIZE,
        labelcolor=INK,
        handlelength=3.2,
    )


# How it closes ------------------------------------------------------------------


def _letter_limit() -> Fraction:
    """The thickness that a letter may have in every service, in millimetres."""
    most = (row.thickest for service in SERVICES.values() for row in service.classes[:1])
    return min(mm(one) for one in most if one is not None)


def describe_thickness(card: Card) -> str:
    """What `draw_thickness` shows, in words."""
    profile = thickness(card)
    most = show_exact(from_mm(_letter_limit()))
    over = profile.greatest_mm > _letter_limit()
    lines = [
        "Thickness of the closed card against the distance from the fold.",
        str(profile),
        "There lie: " + ", ".join(profile.thickest.lies) + ".",
        f"A letter may be {most} thick in every service we know, with its envelope: "
        f"the card alone is {'over' if over else 'within'} that.",
    ]
    return "\n".join(lines)


def draw_thickness(ax: Axes, card: Card) -> None:
    """The stack of the closed card from the fold to its free edge, as a stepped profile.

    ax  axes to draw on
    The dashed line is the thickness that a letter may have, envelope included; the arrow points to
    the thickest place.
    """
    profile = thickness(card)
    per = _per(card)
    unit = "mm" if per == 1 else "in"
    _plain(ax)
    edges = [float(step.start_mm) / per for step in profile.steps]
    edges.append(float(profile.steps[-1].stop_mm) / per)
    heights = [float(step.thick_mm) / per for step in profile.steps]
    limit = float(_letter_limit()) / per
    top = max(max(heights) * 1.3, limit * 1.25)
    ax.set_xlim(0, edges[-1] * 1.02)
    ax.set_ylim(0, top)
    ax.stairs(heights, edges, baseline=0, fill=True, facecolor=TINT_DEEP, edgecolor="none")
    ax.stairs(heights, edges, baseline=0, color=INK, linewidth=1.3, label="thickness")
    ax.axhline(limit, color=SECOND, linewidth=1.2, linestyle=_DASHES[1])
    boxed = {"facecolor": PAPER, "edgecolor": "none", "pad": 1.2}
    most = show_exact(from_mm(_letter_limit()))
    ax.text(
        edges[-1],
        limit,
        f"a letter's most, {most}",
        ha="right",
        va="center",
        color=SECOND,
        fontsize=_SIZE,
        bbox=boxed,
    )
    worst = profile.thickest
    middle = float(worst.start_mm + worst.stop_mm) / 2 / per
    peak = float(worst.thick_mm) / per
    above = peak + top * 0.13
    if abs(above - limit) < top * 0.08:  # not on the limit's own words
        above = limit + top * 0.09
    ax.annotate(
        show_exact(from_mm(Fraction(round(worst.thick_mm * 10), 10))),
        xy=(middle, peak),
        xytext=(middle, above),
        ha="center",
        va="center",
        color=INK,
        fontsize=_SIZE,
        bbox=boxed,
        arrowprops={"arrowstyle": "->", "color": INK, "linewidth": 0.8},
    )
    ax.set_xlabel(f"from the fold, {unit}", color=INK, fontsize=_SIZE)
    ax.set_ylabel(f"thickness of the closed card, {unit}", color=INK, fontsize=_SIZE)
    ratio = per if per != 1 else 1 / _MM_PER_INCH
    other = ax.secondary_yaxis(
        "right", functions=(lambda shown: shown * ratio, lambda shown: shown / ratio)
    )
    other.set_ylabel(f"thickness, {'in' if unit == 'mm' else 'mm'}", color=SECOND, fontsize=_SIZE)
    other.tick_params(colors=SECOND, labelsize=_SIZE)
    for spine in other.spines.values():
        spine.set_color(INK)
        spine.set_linewidth(0.6)
