"""The score chart: one page to stand beside a scoring board, every mark of a card in one table.

Marks are in the order of the board, so a board is set once for all pieces that have a score there.
Slits are cut before anything is scored and have a table of their own. The template file holds no
words; marks come from `assembly.score_chart`.

Imports: lengths, assembly, pieces, student, job, typesetting.
Sources: 14 pt and 18 pt: RNIB Clear Print. To score all pieces at one setting before the next is how
batch work is done (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from itertools import groupby

from popkit.assembly import Mark, Rulers, score_chart
from popkit.drawing.lettering import Readings
from popkit.handout.job import MARGIN, PAPERS, Job
from popkit.handout.student import typeset_numbers
from popkit.handout.typesetting import families_for
from popkit.lengths import mm
from popkit.pieces import Piece, cut_list

__all__ = ["scores"]

_WORDS = {
    "for": "For",
    "scores": "Score in this order",
    "page": "Page {here} of {all}",
}
_HOW = (
    "Good side up, top end against the fence, left side on your left.",
    "Set the board to a mark, score every piece that is listed there, then go on to the next mark.",
)
_SLITS = "Cut these slits first"
_SLITS_IN = "Cut these slits first: {piece}"
_FOLDS = {
    "valley": "Valley: folds towards you, dashed on the drawings.",
    "mountain": "Mountain: folds away from you, dash-dot on the drawings.",
}
_NONE = "This card has nothing to score."
_TICK = "☐"
_ACROSS = "right across"


def scores(job: Job) -> dict:
    """The data of the score chart's template. Raises: CardError as `cut_list`."""
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
    pieces, rulers = cut_list(job.card), job.rulers
    marks = score_chart(job.card, pieces=pieces)
    lines = [mark for mark in marks if mark.kind == "score"]
    facts = [] if rulers.exact else [f"All sizes here are rounded to {rulers.first}."]
    folds = {mark.fold for mark in lines}
    return {
        "lang": "en",
        "paper": PAPERS[job.paper],
        "margin": MARGIN,
        "size": 18 if job.large_print else 14,
        "words": _WORDS,
        "title": f"{job.title}: score chart",
        "series": job.series,
        "facts": [typeset_numbers(fact) for fact in [*facts, *filter(None, [job.moved])]],
        "how": [*_HOW, *(text for fold, text in _FOLDS.items() if fold in folds)] if lines else [_NONE],
        "slits": _slits(pieces, rulers, [mark for mark in marks if mark.kind == "slit"]),
        "scores": _scores(pieces, rulers, lines, large_print=job.large_print),
    }


def _named(pieces: tuple[Piece, ...]) -> dict[str, str]:
    """Names as the tables show them, {"mat": "mat, 2 of them"}."""
    counts: dict[str, int] = {}
    for piece in pieces:
        counts[piece.name] = counts.get(piece.name, 0) + piece.count
    return {name: f"{name}, {count} of them" if count > 1 else name for name, count in counts.items()}


def _scores(pieces: tuple[Piece, ...], rulers: Rulers, marks: list[Mark], *, large_print: bool) -> dict:
    """One group of rows for each setting of the board: its reading in both units, then its marks.

    The reading stands once, across the rows of its group. Where a line stops short of the sides, its
    ends need room: then piece and fold share a column, and so may the two readings of a setting.
    """
    shown, named = Readings(*rulers[:2]), _named(pieces)
    part = any(not mark.whole for mark in marks)
    several = len({mark.piece for mark in marks}) > 1
    stacked = part and (several or large_print)
    groups = []
    # sorted is stable: at one setting the marks keep the order in which the pieces are used
    ordered = sorted(marks, key=lambda mark: mm(mark.position))
    for at, held in groupby(ordered, key=lambda mark: mm(mark.position)):
        readings = [typeset_numbers(reading) for reading in shown.pair(at)]
        rows = []
        for mark in held:
            name = typeset_numbers(named[mark.piece])
            fold = mark.fold.capitalize()
            if part:
                cells = [f"{fold}, {name}" if several else fold, _reach(shown, mark)]
            else:
                cells = [name, fold]
            rows.append([*cells, _TICK])
        groups.append({"at": [readings] if stacked else [[one] for one in readings], "rows": rows})
    head = ["Set at"] if stacked else ["Set at", "or"]
    if part:
        head += ["Fold and piece" if several else "Fold", "From the left side"]
    else:
        head += ["Piece", "Fold"]
    return {"head": [*head, "Done"], "groups": groups, "even": several or not part}


def _reach(shown: Readings, mark: Mark) -> str:
    """From where to where a line runs, on both rulers."""
    if mark.whole:
        return _ACROSS
    ends = (mm(end) for end in (mark.start, mark.stop))
    return typeset_numbers(" to ".join(shown.both(end) if end else "0" for end in ends))


def _slits(pieces: tuple[Piece, ...], rulers: Rulers, marks: list[Mark]) -> dict:
    """The slits of every piece, from the left; the piece is named only where there are several."""
    shown, named = Readings(*rulers[:2]), _named(pieces)
    several = len({mark.piece for mark in marks}) > 1
    rows = [
        [
            *([typeset_numbers(named[mark.piece])] if several else []),
            typeset_numbers(shown.both(mm(mark.position))),
            _reach(shown, mark),
            _TICK,
        ]
        for mark in marks
    ]
    head = [*(["Piece"] if several else []), "From the left side", "From the top end", "Done"]
    title = _SLITS if several or not marks else _SLITS_IN.format(piece=named[marks[0].piece])
    return {"title": title, "head": head, "rows": rows}
