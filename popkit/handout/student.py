"""The student edition: what to lay out, what to cut, where to score, how to put it together.

It holds no sizes of its own: cut list and charts come from the pieces, steps and cautions from
`assembly`, pictures from `drawing`. The template holds no words: all are made here.

Imports: lengths, language, papers, card, areas, pieces, folding, assembly, sending, drawing, job,
pictures.
Sources: 14 pt and 18 pt, left aligned, no italics or capitals for running text, x-height of 2 mm or
more: RNIB Clear Print.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import groupby

from popkit.areas import Placed, placed_layers
from popkit.assembly import (
    Caution,
    Mark,
    Rulers,
    Step,
    assembly_steps,
    cautions,
    ground_of,
    materials,
    score_chart,
    spine_words,
)
from popkit.card import Card, Tier
from popkit.drawing.lettering import figures
from popkit.folding import tallest_ornament
from popkit.handout.job import MARGIN, PAPERS, Job
from popkit.handout.pictures import Picture, finished, half_made, plans, side
from popkit.handout.typesetting import plain_text
from popkit.language import Language, message
from popkit.lengths import Length, mm, unit_of
from popkit.papers import SHEETS
from popkit.pieces import Piece, cut_list
from popkit.posting import BoxEnvelope
from popkit.sending import sending_lines, wrapped

__all__ = ["cut_table", "facts_of", "picture_data", "sources_of", "student", "typeset_numbers"]

_USUAL, _LARGE = Fraction(8, 7), Fraction(3, 2)
"""How far drawings are enlarged for their words: to 12 pt and to 15.7 pt."""
_BESIDE = 46  # millimetres for the words beside a chart: as `beside` of sheet.typ, at 14 pt
_LONG_NAME = 16  # characters of a piece's name, from which it wraps in the cut list

_WORDS = {
    "for": message("For"),
    "need": message("You need"),
    "cut": message("Cut list"),
    "score": message("Where to score"),
    "steps": message("Put it together"),
    "watch": message("Take care:"),
    "tutor": message("From your tutor"),
    "cautions": message("Keep safe"),
    "check": message("Check the printer"),
    "room": message("Room for ornaments"),
    "mats": message("Mats and strips"),
    "send": message("Send it"),
    "notes": message("Notes"),
    "page": message("Page {here} of {all}"),
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
    language, say = job.language, job.language.say
    enlarge = _LARGE if job.large_print else _USUAL
    scored = [piece for piece in pieces if piece.scores]
    pictures, scale = plans(scored, rulers, enlarge, _room(job))
    marks = score_chart(card, pieces=pieces)
    told = cautions(card, language=language)
    return {
        "lang": language.tag.partition("-")[0],
        "region": language.tag.partition("-")[2],
        "paper": PAPERS[job.paper],
        "margin": MARGIN,
        "size": 18 if job.large_print else 14,
        "words": {key: language.template(text) for key, text in _WORDS.items()},
        "title": job.title,
        "series": job.series,
        "facts": facts_of(job),
        "safe-note": language.template(message("Read “Keep safe” on page {page} before you start.")),
        "safe-first": job.large_print,  # there it fills the page that the cut list leaves open
        "picture": picture_data(finished(card, rulers)),
        "materials": [
            {"name": typeset_numbers(one.name), "use": typeset_numbers(plain_text(one.use))}
            for one in materials(card, rulers.first, pieces=pieces, language=language)
        ],
        "cut": cut_table(rulers, pieces),
        "mats": _mats(card, rulers),
        "legend": [
            *_legend(marks, language),
            say("The charts are drawn {scale}.", scale=scale),
            *filter(None, [typeset_numbers(spine_words(card, rulers))]),
        ],
        "charts": [
            _chart(rulers, piece, picture, marks)
            for piece, picture in zip(scored, pictures, strict=True)
        ],
        "side": picture_data(side(card, rulers, enlarge)),
        "terms": [{"term": term, "what": what} for term, what in _terms(card, language)],
        "steps": [
            _step(card, step, language)
            for step in assembly_steps(card, rulers.first, pieces=pieces, language=language)
        ],
        "room": _room_for_ornaments(card, rulers),
        "send": _sending(job),
        "remarks": job.remarks,
        "cautions": [{"topic": one.topic, "text": one.text} for one in told],
        "sources": sources_of(told, language),
        "bars": {
            "note": say(
                "Lay a ruler on these bars. If they are not 100 mm and 4 in long, this sheet was "
                "not printed at its true size."
            ),
            "alt_mm": say("A bar to check the printer with, 100 mm long, with a mark every 10 mm."),
            "alt_in": say("A bar to check the printer with, 4 in long, with a mark every inch."),
            "label_mm": say("{number} mm", number=100),
            "label_in": say("{number} in", number=4),
        },
    }


# Numbers in words -----------------------------------------------------------------

_KEPT = re.compile(
    r"(?<=[0-9₀-₉½⅓⅔¼¾⅛⅜⅝⅞]) (?=(?:in|mm|cm²|cm|m²|m|g/m²|g|lb|min|h|Zoll)(?![\w²]))"  # number, unit
    r"|(?<=[0-9]) (?=%)"
    r"|(?<=[Tt]ier) (?=[0-9])|(?<=[Tt]iers) (?=[0-9])|(?<=Stufe) (?=[0-9])"
)
_G_M2 = "g\N{WORD JOINER}/\N{WORD JOINER}m²"  # a line may end behind a stroke
_MAL = re.compile(r"(?<=[0-9])-(?=mal\b)")  # and behind a hyphen


def typeset_numbers(text: str) -> str:
    """Our own words with 15⁄16 in small raised and lowered figures, and numbers kept to their units."""
    shown = figures(text).replace("\N{THIN SPACE}", "\N{NARROW NO-BREAK SPACE}")
    shown = _MAL.sub("\N{NON-BREAKING HYPHEN}", _KEPT.sub("\N{NO-BREAK SPACE}", shown))
    return shown.replace("g/m²", _G_M2)


def _both(rulers: Rulers, length: Length) -> str:
    return typeset_numbers(rulers.show(length)) if length.magnitude else "0"


# Parts of the page ----------------------------------------------------------------


def facts_of(job: Job) -> list[str]:
    """Finished size, the ruler to work on, and how the card was restated on it."""
    card, ruler, say = job.card, job.rulers.first, job.language.say
    lines = [
        say(
            "Finished size: {width} wide, {height} high.",
            width=_both(job.rulers, card.width),
            height=_both(job.rulers, card.height),
        ),
        say("Work in inches from start to finish: sizes in brackets are rounded.")
        if ruler.unit == "inch"
        else say("Work in mm from start to finish: sizes in brackets are rounded."),
    ]
    if not job.rulers.exact:
        mark = job.language.show_exact(ruler.step)
        lines.append(typeset_numbers(say("All sizes here are rounded to {mark}.", mark=mark)))
    return lines + ([typeset_numbers(job.moved)] if job.moved else [])


def cut_table(rulers: Rulers, pieces: tuple[Piece, ...]) -> dict:
    """The cut list as a table on both rulers."""
    language, say = rulers.language, rulers.language.say
    rows = [
        [
            plain_text(language.name(piece.name)),
            str(piece.count),
            _both(rulers, piece.width),
            _both(rulers, piece.length),
        ]
        for piece in pieces
    ]
    note = ""
    if any(piece.grain == "width" for piece in pieces):
        note = say("Widths run along the fold, and so does the grain of scored pieces.")
    return {
        "head": [say("Piece"), say("How many"), say("Width"), say("Length")],
        "rows": rows,
        "note": note,
        "long-names": max(len(row[0]) for row in rows) > _LONG_NAME,
    }


def _mats(card: Card, rulers: Rulers) -> dict:
    """What each mat and strip lies on, and how much of that is left to see."""
    language, say = rulers.language, rulers.language.say
    return {
        "head": [say("Mat or strip"), say("Lies on"), say("To see at the sides")],
        "rows": [
            [
                plain_text(language.name(one.name)),
                _lies_on(one, language),
                _sides(card, one, rulers),
            ]
            for one in placed_layers(card)
        ],
    }


def _lies_on(placed: Placed, language: Language) -> str:
    """The name of what a layer lies on, as anyone knows it who has not read a recipe."""
    if placed.source.on == "message":
        return language.say("outside of the back, for the message")
    kind, _, number = placed.source.on.partition(" ")
    if kind == "band" and number.isdigit():
        return language.say("what shows of tier {number}", number=number)
    return plain_text(language.name(placed.source.on))


def _sending(job: Job) -> list[str]:
    """Which envelope, of the tables that go with the paper printed on and of the recipe's own, or how
    its box is made; and how it is posted.
    """
    paper, language = unit_of(SHEETS[job.paper].width), job.language
    own = job.measure or job.card.unit
    lines = sending_lines(job.card, job.envelope, job.post, unit=paper, own=own, language=language)
    wrap = wrapped(job.card, job.envelope, unit=paper).wrap
    if isinstance(wrap, BoxEnvelope):
        lines = (lines[0], *wrap.lines(language), *lines[1:])
    return [typeset_numbers(plain_text(line)) for line in lines]


def _sides(card: Card, placed: Placed, rulers: Rulers) -> str:
    """How much is left to see of what a layer lies on, left and right."""
    ground = ground_of(card, placed)
    left, right = placed.left_mm - ground.left_mm, ground.right_mm - placed.right_mm
    return " / ".join(dict.fromkeys(_both(rulers, card.length(side)) for side in (left, right)))


def _room_for_ornaments(card: Card, rulers: Rulers) -> list[str]:
    """For each tier, how high a thing on it may rise before it shows when the card is closed."""
    return [
        typeset_numbers(
            rulers.language.say(
                "On tier {number}: no taller than {room}, measured from its foot.",
                number=number,
                room=rulers.show(room),
            )
            if mm(room) > 0
            else rulers.language.say("On tier {number}: none, it would show.", number=number)
        )
        for number, room in enumerate(tallest_ornament(card), 1)
    ]


def _room(job: Job) -> tuple[float, float, float]:
    """Millimetres that a page has for the pictures of pieces: in width with words beside them and
    without, in height below heading and legend.
    """
    sheet = SHEETS[job.paper]
    head = 60 if job.large_print else 44
    beside = 0 if job.large_print else _BESIDE  # else the words stand under it
    wide, tall = float(mm(sheet.width)) - 2 * MARGIN, float(mm(sheet.height)) - 2 * MARGIN
    return wide - beside, wide, tall - head


def _legend(marks: tuple[Mark, ...], language: Language) -> list[str]:
    """What the lines mean, of those that are on the charts."""
    said = {
        "valley": language.say("Dashed line, valley: fold it towards you."),
        "mountain": language.say("Dash-dot line, mountain: fold it away from you."),
        None: language.say("Solid line inside a piece, slit: cut it."),
    }
    folds = {mark.fold for mark in marks}
    return [text for fold, text in said.items() if fold in folds]


def _run(fold: str, count: int, places: str, language: Language) -> str:
    """ "Mountain scores at 1 in, 2 in and 3 in."."""
    if fold == "valley":
        return language.many(
            count, "Valley score at {places}.", "Valley scores at {places}.", places=places
        )
    return language.many(
        count, "Mountain score at {places}.", "Mountain scores at {places}.", places=places
    )


def _chart(rulers: Rulers, piece: Piece, picture: Picture, marks: tuple[Mark, ...]) -> dict:
    """Picture of a piece, with its marks in words, or in a table where a line stops short."""
    own = [mark for mark in marks if mark.piece == piece.name]
    language, say = rulers.language, rulers.language.say
    chart = picture_data(picture) | {"text": "", "head": [], "rows": []}
    if all(mark.whole for mark in own):
        runs = []
        for fold, run in groupby(own, key=lambda mark: mark.fold):
            at = [rulers.show(mark.position) for mark in run]
            runs.append(_run(fold, len(at), language.listed(at), language))
        chart["text"] = typeset_numbers(" ".join(runs))
    else:
        chart["text"] = say(
            "Folds: measure “At” from the top end, “From” and “To” from the left side. Slits run the "
            "other way: measure “At” from the left side, “From” and “To” from the top end."
        )
        chart["head"] = [say("Line"), say("At"), say("From"), say("To")]
        chart["rows"] = [
            [
                language.name(mark.fold or "slit"),
                *(_both(rulers, at) for at in (mark.position, mark.start, mark.stop)),
            ]
            for mark in own
        ]
    return chart


def _terms(card: Card, language: Language) -> list[tuple[str, str]]:
    """The words of the trade that the steps use."""
    say = language.say
    terms = [
        (say("Fold"), say("the score where back and front meet.")),
        (say("Face"), say("the upright part of a tier, the one you see.")),
        (say("Shelf"), say("the level part behind its top edge.")),
        (say("Foot"), say("the bottom edge of a face, where it meets the front.")),
    ]
    if any(isinstance(tier, Tier) for tier in card.tiers):
        terms.append((say("Tabs"), say("the two ends of a strip, for glue or tape.")))
    return terms


def _step(card: Card, step: Step, language: Language) -> dict:
    """A step, with the card as it then stands where the step has added to it."""
    tiers = {"join": 0, "top tab": step.tier, "push": step.tier}.get(step.kind)
    return {
        "title": typeset_numbers(step.title),
        "text": typeset_numbers(plain_text(step.text)),
        "caution": typeset_numbers(step.caution or ""),
        "picture": None if tiers is None else picture_data(half_made(card, tiers, language)),
    }


def sources_of(told: tuple[Caution, ...], language: Language) -> str:
    """Where the cautions are published, each source once."""
    sources = [one.source for one in told if one.source not in ("", "from memory")]
    published = dict.fromkeys(part for source in sources for part in source.split("; "))
    if not published:
        return ""
    return language.say("Sources: {sources}.", sources="; ".join(published))


def picture_data(picture: Picture) -> dict:
    """A picture as templates take it."""
    return {
        "svg": picture.svg,
        "alt": picture.alt,
        "width": picture.width_mm,
        "height": picture.height_mm,
    }
