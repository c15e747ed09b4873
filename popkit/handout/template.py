"""The template edition: every piece at its true size, to lay on the card stock and cut round.

The first page says how to print it and what lies on which sheet; then come the sheets. Sizes come
from the pieces, the sheets from `template_pages`, the pictures from `template_drawing`; the template
file holds no words. A printer correction stretches each picture of a sheet, bars and all, along
the two sides of the paper.

Imports: lengths, language, papers, assembly, pieces, drawing, job, typesetting, template_drawing,
template_pages.
Sources: 14 pt and 18 pt: RNIB Clear Print. Margins of 8 mm: printers leave about 6 mm free (common
practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

from popkit.assembly import cautions
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
from popkit.language import Language, message
from popkit.lengths import from_mm, mm
from popkit.papers import SHEETS
from popkit.pieces import Piece, cut_list

__all__ = ["template"]

_SIDE, _FOOT = 8.0, 17.0  # millimetres of margin: three sides of a sheet, and its foot with the footer
_APART = 2.0  # between the parts of a sheet
_BESIDE = 4.0  # between the bars and the words beside them
_EM = 25.4 / 72
_MAP = 62.0, 62.0  # the most a map takes, millimetres, unless its words need more

_WORDS = {
    "for": message("For"),
    "print": message("Print it at its true size"),
    "lines": message("What the lines mean"),
    "sheets": message("What is on which sheet"),
    "join": message("Join the tiles"),
    "cautions": message("Keep safe"),
    "page": message("Page {here} of {all}"),
}
_HOW = (
    message(
        "Print every page at 100 %, which some printers call “actual size”. Leave “fit to page” off."
    ),
    message(
        "Then measure the bars on the sheets, across the paper and along it. If they are not 100 mm and "
        "4 in long, cut nothing: the sheets can be made anew to suit the printer."
    ),
    message(
        "Lay a piece on its card or clear sheet, good side up, with the grain arrow along the grain. "
        "Prick through the corners and the ends of every line, or cut round it."
    ),
)
_JOINING = (
    message("Work from tile A1 to the right, then row by row down."),
    message("Cut the next sheet along its dotted line: on the left, at the top, or both."),
    message(
        "Lay it on the sheet before it, dotted line on dotted line. They overlap by {overlap}. Each "
        "half diamond meets the diamond with the same letter."
    ),
    message("Tape the joins on both sides before you cut the piece out."),
)
_LEFT = message(
    "Left edge: cut on the dotted line, lay it on tile {tile}, diamond {letter} on {letter}."
)
_TOP = message("Top edge: cut on the dotted line, lay it on tile {tile}, diamond {letter} on {letter}.")
_LEFT_BARE = message("Left edge: cut on the dotted line, lay it on tile {tile}, side on side.")
_TOP_BARE = message("Top edge: cut on the dotted line, lay it on tile {tile}, side on side.")
_MEASURE = {
    False: message("Measure across the paper here, along it at the left."),
    True: message("Measure along the paper here, across it at the left."),
}
_RULERS = {
    "across": message(
        "Two bars to check the printer with, across the paper: one of 100 mm with a mark every 10 mm, "
        "one of 4 in with a mark every inch."
    ),
    "along": message(
        "Two bars to check the printer with, along the paper: one of 100 mm with a mark every 10 mm, "
        "one of 4 in with a mark every inch."
    ),
}
_SAID = {
    "cut": message("a solid line is cut"),
    "valley": message("a dashed line is a valley, folded towards you"),
    "mountain": message("a dash-dot line is a mountain, folded away from you"),
    "glue": message("a hatched area is for glue or tape"),
    "join": message("a dotted line is a join between two sheets"),
}
# What cutting by the template takes care of; glue and trimmers belong to the handout.
_CAUTIONS = ("knife", "sheet", "children", "small parts", "first")


def template(job: Job) -> dict:
    """The data of the template's own template. Raises: CardError as `cut_list`."""
    return {
        **_for_anyone(replace(job, name="", families=())),
        "name": job.name,
        "families": _families(job),
    }


def _families(job: Job) -> tuple[str, ...]:
    """Fonts for the texts of the job and for the names of the pieces."""
    names = families_for(job.language.name(piece.name) for piece in cut_list(job.card))
    return tuple(dict.fromkeys((*job.families, *names)))


@lru_cache(maxsize=8)
def _for_anyone(job: Job) -> dict:
    """All but the name, made once for a whole class. Not to be changed by who gets it."""
    points = 18 if job.large_print else 14
    size = round(points * _EM, 2)
    pieces = cut_list(job.card)
    language = job.language
    shown = Readings(*job.rulers[:2], language)
    layouts = {flipped: _Layout(job, size, flipped=flipped) for flipped in (False, True)}
    sheets, tilings = arranged(pieces, shown, size, layouts[False].room, layouts[True].room)
    told = [one for one in cautions(job.card, language=language) if one.about in _CAUTIONS]
    return {
        "lang": language.tag.partition("-")[0],
        "region": language.tag.partition("-")[2],
        "paper": PAPERS[job.paper],
        "margin": MARGIN,
        "size": points,
        "words": {key: language.template(text) for key, text in _WORDS.items()},
        "title": job.title,
        "series": job.series,
        "facts": _facts(job),
        "how": [language.template(line) for line in _HOW],
        "correction": typeset_numbers(job.correction.told(language))
        if job.correction is not None
        else "",
        "side": _SIDE,
        "foot": _FOOT,
        "apart": _APART,
        "beside": _BESIDE,
        "level": layouts[False].rulers["level"],
        "key": _key(pieces, size, bool(tilings), language),
        "contents": _contents(sheets, tilings, language),
        "joining": _joining(job) if tilings else [],
        "maps": [_map(one, size, language) for one in tilings],
        "cautions": [{"topic": one.topic, "text": one.text} for one in told],
        "sheets": [layouts[sheet.room.flipped].page(sheet, shown) for sheet in sheets],
    }


def _facts(job: Job) -> list[str]:
    say, rulers = job.language.say, job.rulers
    mark = job.language.show_exact(rulers.first.step)
    lines = [] if rulers.exact else [say("All sizes here are rounded to {mark}.", mark=mark)]
    return [typeset_numbers(line) for line in [*lines, *filter(None, [job.moved])]]


def _joining(job: Job) -> list[str]:
    overlap = job.rulers.show(from_mm(OVERLAP))
    return [typeset_numbers(job.language.say(line, overlap=overlap)) for line in _JOINING]


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
        way, other = ("along", "across") if flipped else ("across", "along")
        self.measure = job.language.template(_MEASURE[flipped])
        self.rulers = {
            "up": self._ruler(upright=True, way=other),
            "level": self._ruler(upright=False, way=way),
        }
        across = self.body[0] - self.rulers["up"]["width"] - _APART
        beside = self.body[0] - self.rulers["level"]["width"] - _BESIDE
        words = len(wrapped([self.measure], size, beside * 0.96)) * self.line
        self.strip = max(self.rulers["level"]["height"], words)
        down = self.body[1] - self.head - self.strip - 2 * _APART
        longest = (job.language.say(line, tile="AA99", letter="aa") for line in (_LEFT, _TOP))
        notes = sum(len(self._wrap(line)) for line in longest)
        self.room = Room(
            flipped=flipped,
            width=_down(across / self.stretch[0]),
            whole=_down(down / self.stretch[1]),
            tile=_down((down - notes * self.line) / self.stretch[1]),
        )

    def _wrap(self, text: str) -> list[str]:
        return wrapped([text], self.size, self.body[0] * 0.96)

    def _ruler(self, *, upright: bool, way: str) -> dict:
        alt = self.job.language.template(_RULERS[way])
        return self._picture(
            draw_ruler(self.size, self.job.language, upright=upright, description=alt), alt
        )

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
        svg = draw_sheet(sheet.placed, self.room.width, tall, self.size, self.job.language, title, alt)
        return {
            "title": title,
            "flipped": self.flipped,
            "notes": _joins(tile, self.job.language) if tile is not None else [],
            "head": self.head,
            "picture": self._picture(svg, alt),
            "up": self.rulers["up"],
            "level": self.rulers["level"],
            "strip": self.strip,
            "measure": self.measure,
        }

    def _title(self, sheet: Sheet) -> str:
        """What is on a sheet, in one line: its number alone where the names are too long."""
        language = self.job.language
        names = [_name(plate, language) for plate, _, _ in sheet.placed]
        title = language.say(
            "Sheet {number}: {pieces}", number=sheet.number, pieces=language.listed(names)
        )
        bold = text_width(title, self.size * 1.3) * 1.16
        if bold > self.body[0]:
            return language.say("Sheet {number}", number=sheet.number)
        return typeset_numbers(title)


def _name(plate: Plate, language: Language) -> str:
    """ "back", "back, tile A1"."""
    name = language.name(plate.piece.name)
    return language.say("{piece}, tile {tile}", piece=name, tile=plate.tile) if plate.tile else name


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


def _joins(plate: Plate, language: Language) -> list[str]:
    """What a tile is laid on: on its left, on its top."""
    column, row = _place(plate.tile)
    left, top = plate.window[:2]
    lines = []
    for join in sorted(plate.joins, key=lambda one: not one.upright):
        if join.at != (left if join.upright else top):
            continue  # the next tile is laid on this one
        before = f"{_column(column - 1)}{row}" if join.upright else f"{_column(column)}{row - 1}"
        if join.letter:
            line = _LEFT if join.upright else _TOP
        else:
            line = _LEFT_BARE if join.upright else _TOP_BARE
        lines.append(language.say(line, tile=before, letter=join.letter))
    return lines


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
    say, told = job.language.say, []
    for plate, _, _ in sheet.placed:
        words = describe_piece(plate.piece, grids=job.rulers)
        if plate.tile:
            left, top, right, bottom = (shown.both(side) if side else "0" for side in plate.window)
            part = say(
                "Tile {tile} of {piece}: from {left} to {right} of its left side and from {top} to "
                "{bottom} of its top end.",
                tile=plate.tile,
                piece=job.language.name(plate.piece.name),
                left=left,
                right=right,
                top=top,
                bottom=bottom,
            )
            whole = say("The whole piece:")
            words = f"{part} {whole} {words}"
        told.append(words)
    return say("Sheet {number}, true size.", number=sheet.number) + " " + "\n".join(told)


# The first page -----------------------------------------------------------------


def _key(pieces: tuple[Piece, ...], size: float, tiled: bool, language: Language) -> dict:
    kinds = ["cut"]
    kinds += [fold for fold in ("valley", "mountain") if any(fold in piece.folds for piece in pieces)]
    if any(zone.glue for piece in pieces for zone in piece.zones):
        kinds.append("glue")
    if tiled:
        kinds.append("join")
    listed = language.listed(language.template(_SAID[kind]) for kind in kinds)
    alt = language.say("The lines of the pieces: {lines}.", lines=listed)
    return _drawn(draw_key(kinds, size, language, alt), alt)


def _drawn(svg: str, alt: str) -> dict:
    width, height = _svg_size(svg)
    return {"svg": svg, "alt": alt, "width": width, "height": height}


def _contents(sheets: tuple[Sheet, ...], tilings: tuple[Tiling, ...], language: Language) -> dict:
    """What is on each sheet; the tiles of a piece in one row, as its map has them singly."""
    say, rows, done = language.say, [], set()
    tiled = {id(tiling.piece): tiling for tiling in tilings}
    for sheet in sheets:
        tile = sheet.tile
        if tile is None:
            held = [
                say(
                    "{piece} (cut {count})",
                    piece=language.name(plate.piece.name),
                    count=plate.piece.count,
                )
                for plate, _, _ in sheet.placed
            ]
            rows.append([str(sheet.number), typeset_numbers(language.listed(held))])
        elif id(tile.piece) not in done:
            done.add(id(tile.piece))
            numbers = [number for row in tiled[id(tile.piece)].sheets for number in row]
            text = say(
                "{piece} (cut {count}), in {tiles} tiles",
                piece=language.name(tile.piece.name),
                count=tile.piece.count,
                tiles=len(numbers),
            )
            span = say("{first} to {last}", first=min(numbers), last=max(numbers))
            rows.append([span, typeset_numbers(text)])
    return {"head": [say("Sheet"), say("Pieces")], "rows": rows}


def _map(tiling: Tiling, size: float, language: Language) -> dict:
    """The map of a piece in tiles, with words."""
    say, name = language.say, language.name(tiling.piece.name)
    placed = [list(zip(*row, strict=True)) for row in zip(tiling.names, tiling.sheets, strict=True)]
    names = [[f"{tile}\n{say('Sheet {number}', number=sheet)}" for tile, sheet in row] for row in placed]
    told = "; ".join(
        ", ".join(say("tile {tile} on sheet {sheet}", tile=tile, sheet=sheet) for tile, sheet in row)
        for row in placed
    )
    alt = say(
        "Where each tile goes of {piece}, row by row from its top end: {tiles}.", piece=name, tiles=told
    )
    svg = draw_map(tiling.piece, tiling.across, tiling.along, names, size, _MAP, alt)
    text = say(
        "{piece}: {count} tiles, its top end at the top.",
        piece=f"{name[:1].upper()}{name[1:]}",
        count=sum(map(len, tiling.names)),
    )
    return _drawn(svg, alt) | {"text": typeset_numbers(text)}
