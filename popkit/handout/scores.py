"""The score chart: one page to stand beside a scoring board, every mark of a card in its tables.

There is one table for each way up: mountains with the good side up, valleys with it down. In each,
marks are in the order of the board, so a board is set once for all pieces that have a score there.
Slits are cut before anything is scored and have a table of their own. The template file holds no
words; marks and sides come from `assembly.score_chart`.

Imports: lengths, language, assembly, pieces, student, job, typesetting.
Sources: 14 pt and 18 pt: RNIB Clear Print. To score all pieces at one setting before the next is how
batch work is done (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import groupby

from popkit.assembly import Mark, Rulers, cautions_about, score_chart, spine_words
from popkit.drawing.lettering import Readings
from popkit.handout.job import MARGIN, PAPERS, Job
from popkit.handout.student import typeset_numbers
from popkit.handout.typesetting import families_for
from popkit.language import BRITISH, Language, message
from popkit.lengths import mm
from popkit.pieces import Piece, cut_list

__all__ = ["scores"]

_WORDS = {
    "for": message("For"),
    "cautions": message("Keep safe"),
    "page": message("Page {here} of {all}"),
}
_HOW = (
    message("Keep the top end of every piece against the fence."),
    message(
        "Set the board to a mark, score every piece that is listed there, then go on to the next mark."
    ),
)
_HOW_ONE = (message("Keep the top end of the piece against the fence."),)
_SLITS = message("Cut these slits first")
_SLITS_IN = message("Cut these slits first: {piece}")
_SIDES = {
    "up": message("Good side up: mountain lines"),
    "down": message("Good side down: valley lines"),
}
_FOLDS = {
    "up": message("The good side folds outwards; dash-dot on the drawings."),
    "down": message("The good side folds inwards; dashed on the drawings."),
}
_TURN = message("Turn the piece over sideways, its top end still at the fence.")
_TURNED = message("Turn the piece over sideways: top end at the fence, left and right swapped.")
_SAFE = message(
    "Cut on a mat, along a safety ruler, with the holding hand behind the blade. Cap the knife when you "
    "put it down. A child uses it only with an adult right beside."
)
_NONE = message("This card has nothing to score.")
_TICK = "☐"
_ACROSS = message("right across")


def scores(job: Job) -> dict:
    """The data of the score chart's template. Raises: CardError as `cut_list`."""
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
    pieces, rulers = cut_list(job.card), job.rulers
    marks = score_chart(job.card, pieces=pieces)
    lines = [mark for mark in marks if mark.kind == "score"]
    language, say = job.language, job.language.say
    mark = language.show_exact(rulers.first.step)
    facts = [] if rulers.exact else [say("All sizes here are rounded to {mark}.", mark=mark)]
    how = _HOW if len({mark.piece for mark in lines}) > 1 else _HOW_ONE if lines else [_NONE]
    spine = typeset_numbers(spine_words(job.card, rulers)) if lines else ""
    return {
        "lang": language.tag.partition("-")[0],
        "region": language.tag.partition("-")[2],
        "paper": PAPERS[job.paper],
        "margin": MARGIN,
        "size": 18 if job.large_print else 14,
        "words": {key: language.template(text) for key, text in _WORDS.items()},
        "title": say("{title}: score chart", title=job.title),
        "series": job.series,
        "facts": [typeset_numbers(fact) for fact in [*facts, *filter(None, [job.moved])]],
        "how": [*map(language.template, how), *filter(None, [spine])],
        "safe": _safe(language, cut=any(mark.kind == "slit" for mark in marks)),
        "slits": _slits(pieces, rulers, [mark for mark in marks if mark.kind == "slit"]),
        "scores": [
            _scores(pieces, rulers, side, held, large_print=job.large_print)
            for side in _SIDES
            if (held := [mark for mark in lines if mark.good_side == side])
        ],
    }


def _safe(language: Language, *, cut: bool) -> str:
    """Knife and children in a few words, where anything is cut; then what goes first."""
    (first,) = cautions_about(["first"], language=language)
    return " ".join([*([language.template(_SAFE)] if cut else []), first.text])


def _named(pieces: tuple[Piece, ...], language: Language = BRITISH) -> dict[str, str]:
    """Names as the tables show them, {"mat": "mat, 2 of them"}."""
    counts: dict[str, int] = {}
    for piece in pieces:
        counts[piece.name] = counts.get(piece.name, 0) + piece.count
    return {
        name: language.say("{piece}, {count} of them", piece=language.name(name), count=count)
        if count > 1
        else language.name(name)
        for name, count in counts.items()
    }


def _scores(
    pieces: tuple[Piece, ...], rulers: Rulers, side: str, marks: list[Mark], *, large_print: bool
) -> dict:
    """The marks made with the good side up, or down: heading, how the work lies, and the table.

    One group of rows for each setting of the board: its reading in both units, then its marks. The
    reading stands once, across the rows of its group. Where a line stops short of the sides, its
    ends need room: then the two readings of a setting share a column in large print.
    """
    language, say = rulers.language, rulers.language.say
    shown, named = Readings(*rulers[:2], language), _named(pieces, language)
    wide = {piece.name: mm(piece.width) for piece in pieces}
    part = any(not mark.whole for mark in marks)
    several = len({mark.piece for mark in marks}) > 1
    stacked = part and large_print
    groups = []
    # sorted is stable: at one setting the marks keep the order in which the pieces are used
    ordered = sorted(marks, key=lambda mark: mm(mark.position))
    for at, held in groupby(ordered, key=lambda mark: mm(mark.position)):
        readings = [typeset_numbers(reading) for reading in shown.pair(at)]
        rows = []
        if side == "down":  # turned over sideways, the right side lies on the left
            held = sorted(held, key=lambda mark: (mark.piece, wide[mark.piece] - mm(mark.stop)))
        for mark in held:
            ends = mm(mark.start), mm(mark.stop)
            if side == "down":
                ends = wide[mark.piece] - ends[1], wide[mark.piece] - ends[0]
            cells = [typeset_numbers(named[mark.piece])] if several or not part else []
            if part:
                cells.append(language.template(_ACROSS) if mark.whole else _reach(shown, *ends))
            rows.append([*cells, _TICK])
        groups.append({"at": [readings] if stacked else [[one] for one in readings], "rows": rows})
    head = [say("Set at")] if stacked else [say("Set at"), say("or")]
    head += [say("Piece")] if several or not part else []
    if part:
        head.append(say("From the left as it lies") if side == "down" else say("From the left side"))
    note = [_FOLDS[side]]
    if side == "down":
        note.append(_TURNED if part else _TURN)
    return {
        "side": side,
        "title": language.template(_SIDES[side]),
        "note": " ".join(map(language.template, note)),
        "head": [*head, say("Done")],
        "groups": groups,
    }


def _reach(shown: Readings, start: Fraction, stop: Fraction) -> str:
    """From where to where a line runs, on both rulers."""
    first, last = (shown.both(end) if end else "0" for end in (start, stop))
    return typeset_numbers(shown.language.say("{first} to {last}", first=first, last=last))


def _slits(pieces: tuple[Piece, ...], rulers: Rulers, marks: list[Mark]) -> dict:
    """The slits of every piece, from the left; the piece is named only where there are several."""
    language, say = rulers.language, rulers.language.say
    shown, named = Readings(*rulers[:2], language), _named(pieces, language)
    several = len({mark.piece for mark in marks}) > 1
    rows = [
        [
            *([typeset_numbers(named[mark.piece])] if several else []),
            typeset_numbers(shown.both(mm(mark.position))),
            _reach(shown, mm(mark.start), mm(mark.stop)),
            _TICK,
        ]
        for mark in marks
    ]
    head = [say("From the left side"), say("From the top end"), say("Done")]
    head = [say("Piece"), *head] if several else head
    if several or not marks:
        title = language.template(_SLITS)
    else:
        title = say(_SLITS_IN, piece=named[marks[0].piece])
    return {"title": title, "head": head, "rows": rows}
