"""The student edition: what to lay out, what to cut, where to score, how to put it together.

It holds no sizes of its own: cut list and charts come from the pieces, steps and cautions from
`assembly`, pictures from `drawing`. The template holds no words: all are made here.

Imports: lengths, papers, card, pieces, assembly, drawing, job, pictures.
Sources: 14 pt and 18 pt, left aligned, no italics or capitals for running text, x-height of 2 mm or
more: RNIB Clear Print.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import groupby

from popkit.assembly import (
    Caution,
    Mark,
    Rulers,
    Step,
    assembly_steps,
    cautions,
    listed,
    materials,
    score_chart,
)
from popkit.card import Card, Tier
from popkit.drawing.lettering import figures
from popkit.handout.job import MARGIN, PAPERS, Job
from popkit.handout.pictures import Picture, finished, half_made, plans, side
from popkit.lengths import Length, mm
from popkit.papers import SHEETS
from popkit.pieces import Piece, cut_list

__all__ = ["student", "typeset_numbers"]

_USUAL, _LARGE = Fraction(8, 7), Fraction(3, 2)
"""How far drawings are enlarged for their words: to 12 pt and to 15.7 pt."""
_BESIDE = 42  # millimetres for the words beside a chart

_WORDS = {
    "for": "For",
    "need": "You need",
    "cut": "Cut list",
    "score": "Where to score",
    "steps": "Put it together",
    "watch": "Take care:",
    "tutor": "From your tutor",
    "cautions": "Keep safe",
    "check": "Check the printer",
    "notes": "Notes",
    "page": "Page {here} of {all}",
}


def student(job: Job) -> dict:
    """The data of the student template. Raises: CardError as `cut_list`."""
    return {
        **_for_anyone(replace(job, name="", families=())),
        "name": job.name,
        "families": job.families,
    }


@lru_cache(maxsize=8)
def _for_anyone(job: Job) -> dict:
    """All but the name, made once for a whole class. Not to be changed by who gets it."""
    card, pieces, rulers = job.card, cut_list(job.card), job.rulers
    enlarge = _LARGE if job.large_print else _USUAL
    scored = [piece for piece in pieces if piece.scores]
    pictures, scale = plans(scored, rulers, enlarge, _room(job))
    marks = score_chart(card, pieces=pieces)
    told = cautions(card)
    return {
        "lang": "en",
        "paper": PAPERS[job.paper],
        "margin": MARGIN,
        "size": 18 if job.large_print else 14,
        "words": _WORDS,
        "title": job.title,
        "series": job.series,
        "facts": _facts(job),
        "safe-note": "Read “Keep safe” on page {page} before you start.",
        "safe-first": job.large_print,  # there it fills the page that the cut list leaves open
        "picture": _set(finished(card, rulers)),
        "materials": [
            {"name": typeset_numbers(one.name), "use": typeset_numbers(one.use)}
            for one in materials(card, rulers.first, pieces=pieces)
        ],
        "cut": _cut_list(rulers, pieces),
        "legend": [*_legend(marks), f"The charts are drawn {scale}."],
        "charts": [
            _chart(rulers, piece, picture, marks)
            for piece, picture in zip(scored, pictures, strict=True)
        ],
        "side": _set(side(card, rulers, enlarge)),
        "terms": [{"term": term, "what": what} for term, what in _terms(card)],
        "steps": [_step(card, step) for step in assembly_steps(card, rulers.first, pieces=pieces)],
        "remarks": job.remarks,
        "cautions": [{"topic": one.topic, "text": one.text} for one in told],
        "sources": _sources(told),
        "bars": {
            "note": "Lay a ruler on these bars. If they are not 100 mm and 4 in long, this sheet was "
            "not printed at its true size.",
            "alt_mm": "A bar to check the printer with, 100 mm long, with a mark every 10 mm.",
            "alt_in": "A bar to check the printer with, 4 in long, with a mark every inch.",
            "label_mm": "100 mm",
            "label_in": "4 in",
        },
    }


# Numbers in words -----------------------------------------------------------------

_KEPT = re.compile(
    r"(?<=[0-9₀-₉½⅓⅔¼¾⅛⅜⅝⅞]) (?=(?:in|mm)\b)"  # a number and its unit
    r"|(?<=[Tt]ier) (?=[0-9])|(?<=[Tt]iers) (?=[0-9])"
)


def typeset_numbers(text: str) -> str:
    """Our own words with 15⁄16 in small raised and lowered figures, and numbers kept to their units."""
    shown = figures(text).replace("\N{THIN SPACE}", "\N{NARROW NO-BREAK SPACE}")
    return _KEPT.sub("\N{NO-BREAK SPACE}", shown)


def _both(rulers: Rulers, length: Length) -> str:
    return typeset_numbers(rulers.show(length)) if length.magnitude else "0"


# Parts of the page ----------------------------------------------------------------


def _facts(job: Job) -> list[str]:
    card, ruler = job.card, job.rulers.first
    lines = [
        f"Finished size: {_both(job.rulers, card.width)} wide, {_both(job.rulers, card.height)} high.",
        f"Work in {'inches' if ruler.unit == 'inch' else 'mm'} from start to finish: sizes in brackets "
        "are rounded.",
    ]
    if not job.rulers.exact:
        lines.append(typeset_numbers(f"All sizes here are rounded to {ruler}."))
    return lines + ([typeset_numbers(job.moved)] if job.moved else [])


def _cut_list(rulers: Rulers, pieces: tuple[Piece, ...]) -> dict:
    rows = [
        [piece.name, str(piece.count), _both(rulers, piece.width), _both(rulers, piece.length)]
        for piece in pieces
    ]
    note = ""
    if any(piece.grain == "width" for piece in pieces):
        note = "Widths run along the fold, and so does the grain of scored pieces."
    return {
        "head": ["Piece", "How many", "Width", "Length"],
        "rows": rows,
        "note": note,
    }


def _room(job: Job) -> tuple[float, float]:
    """Millimetres that a page has for the pictures of pieces: its text area less words beside them."""
    sheet = SHEETS[job.paper]
    head = 60 if job.large_print else 44  # heading and legend
    beside = 0 if job.large_print else _BESIDE  # else the words stand under it
    return float(mm(sheet.width)) - 2 * MARGIN - beside, float(mm(sheet.height)) - 2 * MARGIN - head


def _legend(marks: tuple[Mark, ...]) -> list[str]:
    """What the lines mean, of those that are on the charts."""
    said = {
        "valley": "Dashed line, valley: fold it towards you.",
        "mountain": "Dash-dot line, mountain: fold it away from you.",
        None: "Solid line inside a piece, slit: cut it.",
    }
    folds = {mark.fold for mark in marks}
    return [text for fold, text in said.items() if fold in folds]


def _chart(rulers: Rulers, piece: Piece, picture: Picture, marks: tuple[Mark, ...]) -> dict:
    """Picture of a piece, with its marks in words, or in a table where a line stops short."""
    own = [mark for mark in marks if mark.piece == piece.name]
    chart = _set(picture) | {"text": "", "head": [], "rows": []}
    if all(mark.whole for mark in own):
        runs = []
        for fold, run in groupby(own, key=lambda mark: mark.fold):
            at = [rulers.show(mark.position) for mark in run]
            runs.append(f"{fold.title()} score{'s' * (len(at) > 1)} at {listed(at)}.")
        chart["text"] = typeset_numbers(" ".join(runs))
    else:
        chart["head"] = ["Line", "At", "From", "To"]
        chart["rows"] = [
            [
                mark.fold or "slit",
                *(_both(rulers, at) for at in (mark.position, mark.start, mark.stop)),
            ]
            for mark in own
        ]
    return chart


def _terms(card: Card) -> list[tuple[str, str]]:
    """The words of the trade that the steps use."""
    terms = [
        ("Fold", "the score where back and front meet."),
        ("Face", "the upright part of a tier, the one you see."),
        ("Shelf", "the level part behind its top edge."),
        ("Foot", "the bottom edge of a face, where it meets the front."),
    ]
    if any(isinstance(tier, Tier) for tier in card.tiers):
        terms.append(("Tabs", "the two ends of a strip, for glue or tape."))
    return terms


def _step(card: Card, step: Step) -> dict:
    """A step, with the card as it then stands where the step has added to it."""
    tiers = {"join": 0, "top tab": step.tier, "push": step.tier}.get(step.kind)
    return {
        "title": typeset_numbers(step.title),
        "text": typeset_numbers(step.text),
        "caution": typeset_numbers(step.caution or ""),
        "picture": None if tiers is None else _set(half_made(card, tiers)),
    }


def _sources(told: tuple[Caution, ...]) -> str:
    """Where the cautions are published, each source once."""
    published = dict.fromkeys(one.source for one in told if one.source not in ("", "from memory"))
    return f"Sources: {'; '.join(published)}." if published else ""


def _set(picture: Picture) -> dict:
    return {
        "svg": picture.svg,
        "alt": picture.alt,
        "width": picture.width_mm,
        "height": picture.height_mm,
    }
