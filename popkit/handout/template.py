"""The template edition: every piece at its true size, to lay on the card stock and cut round.

The first page says how to print it and what lies on which sheet; then come the sheets. Sizes come
from the pieces, the sheets from `template_pages`, the pictures from `template_drawing`; the template
file holds no words. A printer correction stretches each picture of a sheet, bars and all, along
the two sides of the paper.

Imports: lengths, papers, assembly, card, pieces, drawing, job, typesetting, template_drawing,
template_pages.
Sources: 14 pt and 18 pt: RNIB Clear Print. Margins of 8 mm: printers leave about 6 mm free (common
practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

from popkit.assembly import cautions, listed
from popkit.drawing.flat import describe_piece
from popkit.drawing.lettering import Readings, text_width
from popkit.handout.job import MARGIN, PAPERS, Job
from popkit.handout.student import typeset_numbers
from popkit.handout.template_drawing import (
    OVERLAP,
    Plate,
    draw_key,
    draw_map,
    draw_ruler,
    draw_sheet,
    wrapped,
)
from popkit.handout.template_pages import Room, Sheet, Tiling, arranged
from popkit.handout.typesetting import families_for
from popkit.lengths import Q, mm
from popkit.papers import SHEETS
from popkit.pieces import Piece, cut_list

__all__ = ["template"]

_SIDE, _FOOT = 8.0, 17.0  # millimetres of margin: three sides of a sheet, and its foot with the footer
_APART = 2.0  # between the parts of a sheet
_BESIDE = 4.0  # between the bars and the words beside them
_EM = 25.4 / 72
_MAP = 62.0, 62.0  # the most a map takes, millimetres, unless its words need more

_WORDS = {
    "for": "For",
    "print": "Print it at its true size",
    "lines": "What the lines mean",
    "sheets": "What is on which sheet",
    "join": "Join the tiles",
    "cautions": "Keep safe",
    "page": "Page {here} of {all}",
}
_HOW = (
    "Print every page at 100 %, which some printers call “actual size”. Leave “fit to page” off.",
    "Then measure the bars on the sheets, across the paper and along it. If they are not 100 mm and "
    "4 in long, cut nothing: the sheets can be made anew to suit the printer.",
    "Lay a piece on its card or clear sheet, good side up, with the grain arrow along the grain. "
    "Prick through the corners and the ends of every line, or cut round it.",
)
_JOINING = (
    "Work from tile A1 to the right, then row by row down.",
    "Cut the next sheet along its dotted line: on the left, at the top, or both.",
    "Lay it on the sheet before it, dotted line on dotted line. They overlap by {overlap}. Each half "
    "diamond meets the diamond with the same letter.",
    "Tape the joins on both sides before you cut the piece out.",
)
_LEFT = "Left edge: cut on the dotted line, lay it on tile {tile}{marks}."
_TOP = "Top edge: cut on the dotted line, lay it on tile {tile}{marks}."
_MARKS = ", diamond {letter} on {letter}"
_MEASURE = "Measure {way} the paper here, {other} it at the left."


def template(job: Job) -> dict:
    """The data of the template's own template. Raises: CardError as `cut_list`."""
    return {
        **_for_anyone(replace(job, name="", families=())),
        "name": job.name,
        "families": _families(job),
    }


def _families(job: Job) -> tuple[str, ...]:
    """Fonts for the texts of the job and for the names of the pieces."""
    names = families_for(piece.name for piece in cut_list(job.card))
    return tuple(dict.fromkeys((*job.families, *names)))


@lru_cache(maxsize=8)
def _for_anyone(job: Job) -> dict:
    """All but the name, made once for a whole class. Not to be changed by who gets it."""
    points = 18 if job.large_print else 14
    size = round(points * _EM, 2)
    pieces = cut_list(job.card)
    shown = Readings(*job.rulers[:2])
    layouts = {flipped: _Layout(job, size, flipped=flipped) for flipped in (False, True)}
    sheets, tilings = arranged(pieces, shown, size, layouts[False].room, layouts[True].room)
    told = cautions(job.card)
    return {
        "lang": "en",
        "paper": PAPERS[job.paper],
        "margin": MARGIN,
        "size": points,
        "words": _WORDS,
        "title": job.title,
        "series": job.series,
        "facts": _facts(job),
        "how": list(_HOW),
        "correction": typeset_numbers(job.correction.text) if job.correction is not None else "",
        "side": _SIDE,
        "foot": _FOOT,
        "apart": _APART,
        "beside": _BESIDE,
        "level": layouts[False].rulers["level"],
        "key": _key(pieces, size, bool(tilings)),
        "contents": _contents(sheets),
        "joining": [line.format(overlap=_overlap(job)) for line in _JOINING] if tilings else [],
        "maps": [_map(one, size) for one in tilings],
        "cautions": [{"topic": one.topic, "text": one.text} for one in (told[0], *told[-2:])],
        "sheets": [layouts[sheet.room.flipped].page(sheet, shown) for sheet in sheets],
    }


def _facts(job: Job) -> list[str]:
    lines = [] if job.rulers.exact else [f"All sizes here are rounded to {job.rulers.first}."]
    return [typeset_numbers(line) for line in [*lines, *filter(None, [job.moved])]]


def _overlap(job: Job) -> str:
    return typeset_numbers(job.rulers.show(Q(OVERLAP, "millimeter")))


# A sheet ------------------------------------------------------------------------


class _Layout:
    """How a sheet is divided, portrait or on its side, and how its pictures are stretched."""

    def __init__(self, job: Job, size: float, *, flipped: bool) -> None:
        sheet = SHEETS[job.paper]
        sides = float(mm(sheet.width)), float(mm(sheet.height))
        wide, tall = sides[::-1] if flipped else sides
        self.job, self.size, self.flipped = job, size, flipped
        self.stretch = _stretch(job, flipped=flipped)
        self.body = wide - 2 * _SIDE, tall - _SIDE - _FOOT
        self.line = size * 1.42
        self.head = math.ceil(size * 1.3 * 1.4 + 2)
        self.way, other = ("along", "across") if flipped else ("across", "along")
        self.measure = _MEASURE.format(way=self.way, other=other)
        self.rulers = {
            "up": self._ruler(upright=True, way=other),
            "level": self._ruler(upright=False, way=self.way),
        }
        across = self.body[0] - self.rulers["up"]["width"] - _APART
        beside = self.body[0] - self.rulers["level"]["width"] - _BESIDE
        words = len(wrapped([self.measure], size, beside * 0.96)) * self.line
        self.strip = max(self.rulers["level"]["height"], words)
        down = self.body[1] - self.head - self.strip - 2 * _APART
        least = [_LEFT.format(tile="AA99", marks=_MARKS.format(letter="aa")), _TOP]
        notes = sum(len(self._wrap(line)) for line in least)
        self.room = Room(
            flipped=flipped,
            width=_down(across / self.stretch[0]),
            whole=_down(down / self.stretch[1]),
            tile=_down((down - notes * self.line) / self.stretch[1]),
        )

    def _wrap(self, text: str) -> list[str]:
        return wrapped([text], self.size, self.body[0] * 0.96)

    def _ruler(self, *, upright: bool, way: str) -> dict:
        alt = (
            f"Two bars to check the printer with, {way} the paper: one of 100 mm with a mark every "
            "10 mm, one of 4 in with a mark every inch."
        )
        return self._picture(draw_ruler(self.size, upright=upright, description=alt), alt)

    def _picture(self, svg: str, alt: str) -> dict:
        width, height = _svg_size(svg)
        return {
            "svg": svg,
            "alt": alt,
            "width": width * self.stretch[0],
            "height": height * self.stretch[1],
        }

    def page(self, sheet: Sheet, shown: Readings) -> dict:
        """The data of one sheet."""
        tile = sheet.tile
        alt = _sheet_words(sheet, self.job, shown)
        tall = self.room.tile if tile is not None else self.room.whole
        title = self._title(sheet)
        svg = draw_sheet(sheet.placed, self.room.width, tall, self.size, title, alt)
        return {
            "title": title,
            "flipped": self.flipped,
            "notes": _joins(tile) if tile is not None else [],
            "head": self.head,
            "picture": self._picture(svg, alt),
            "up": self.rulers["up"],
            "level": self.rulers["level"],
            "strip": self.strip,
            "measure": self.measure,
        }

    def _title(self, sheet: Sheet) -> str:
        """What is on a sheet, in one line: its number alone where the names are too long."""
        names = [
            f"{plate.piece.name}, tile {plate.tile}" if plate.tile else plate.piece.name
            for plate, _, _ in sheet.placed
        ]
        title = f"Sheet {sheet.number}: {listed(names)}"
        bold = text_width(title, self.size * 1.3) * 1.16
        return typeset_numbers(title) if bold <= self.body[0] else f"Sheet {sheet.number}"


def _stretch(job: Job, *, flipped: bool) -> tuple[float, float]:
    """How many times as large pictures are set, to the right and downwards."""
    if job.correction is None:
        return 1.0, 1.0
    across, along = float(job.correction.scale("across")), float(job.correction.scale("along"))
    return (along, across) if flipped else (across, along)


def _down(value: float) -> float:
    return math.floor(value * 10) / 10


def _svg_size(svg: str) -> tuple[float, float]:
    head = svg[: svg.index(">")]
    return tuple(float(head.split(f'{side}="')[1].split("mm")[0]) for side in (" width", " height"))


def _joins(plate: Plate) -> list[str]:
    """What a tile is laid on: on its left, on its top."""
    column, row = _place(plate.tile)
    left, top = plate.window[:2]
    lines = []
    for join in plate.joins:
        if join.at != (left if join.upright else top):
            continue  # the next tile is laid on this one
        before = f"{_column(column - 1)}{row}" if join.upright else f"{_column(column)}{row - 1}"
        marks = _MARKS.format(letter=join.letter) if join.letter else ""
        lines.append((_LEFT if join.upright else _TOP).format(tile=before, marks=marks))
    return sorted(lines, key=lambda line: not line.startswith("Left"))


def _place(tile: str) -> tuple[int, int]:
    """ "B3" -> (2, 3)."""
    letters = tile.rstrip("0123456789")
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - ord("A") + 1
    return column, int(tile[len(letters) :])


def _column(number: int) -> str:
    text = ""
    while number:
        number, place = divmod(number - 1, 26)
        text = chr(ord("A") + place) + text
    return text


def _sheet_words(sheet: Sheet, job: Job, shown: Readings) -> str:
    """What a sheet shows, in words: every piece on it, or the part of a piece."""
    grids = job.rulers[:2]
    told = []
    for plate, _, _ in sheet.placed:
        words = describe_piece(plate.piece, grids=grids)
        if plate.tile:
            left, top, right, bottom = (shown.both(side) if side else "0" for side in plate.window)
            part = (
                f"Tile {plate.tile} of {plate.piece.name}: from {left} to {right} of its left side and "
                f"from {top} to {bottom} of its top end."
            )
            words = f"{part} The whole piece: {words}"
        told.append(words)
    return f"Sheet {sheet.number}, true size. " + "\n".join(told)


# The first page -----------------------------------------------------------------


def _key(pieces: tuple[Piece, ...], size: float, tiled: bool) -> dict:
    kinds = ["cut"]
    kinds += [fold for fold in ("valley", "mountain") if any(fold in piece.folds for piece in pieces)]
    if any(zone.glue for piece in pieces for zone in piece.zones):
        kinds.append("glue")
    if tiled:
        kinds.append("join")
    said = {
        "cut": "a solid line is cut",
        "valley": "a dashed line is a valley, folded towards you",
        "mountain": "a dash-dot line is a mountain, folded away from you",
        "glue": "a hatched area is for glue or tape",
        "join": "a dotted line is a join between two sheets",
    }
    alt = f"The lines of the pieces: {listed(said[kind] for kind in kinds)}."
    svg = draw_key(kinds, size, 0.0, alt)
    width, height = _svg_size(svg)
    return {"svg": svg, "alt": alt, "width": width, "height": height}


def _contents(sheets: tuple[Sheet, ...]) -> dict:
    rows = []
    for sheet in sheets:
        held = [
            f"{plate.piece.name}, tile {plate.tile}"
            if plate.tile
            else f"{plate.piece.name} (cut {plate.piece.count})"
            for plate, _, _ in sheet.placed
        ]
        rows.append([str(sheet.number), typeset_numbers(listed(held))])
    return {"head": ["Sheet", "Pieces"], "rows": rows}


def _map(tiling: Tiling, size: float) -> dict:
    """The map of a piece in tiles, with words."""
    name, count = tiling.piece.name, sum(map(len, tiling.names))
    names = [
        [f"{tile}\nsheet {sheet}" for tile, sheet in zip(*row, strict=True)]
        for row in zip(tiling.names, tiling.sheets, strict=True)
    ]
    rows = "; ".join(
        ", ".join(f"tile {tile} on sheet {sheet}" for tile, sheet in zip(*row, strict=True))
        for row in zip(tiling.names, tiling.sheets, strict=True)
    )
    alt = f"Where each tile of {name} goes, row by row from its top end: {rows}."
    svg = draw_map(tiling.piece, tiling.across, tiling.along, names, size, _MAP, alt)
    width, height = _svg_size(svg)
    text = f"{name[:1].upper()}{name[1:]} is in {count} tiles. Its top end is at the top."
    return {
        "svg": svg,
        "alt": alt,
        "width": width,
        "height": height,
        "text": typeset_numbers(text),
    }
