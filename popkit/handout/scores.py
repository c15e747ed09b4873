"""The score chart: one page to stand beside a scoring board, every mark of a card in one table.

Marks are in the order of the board, so a board is set once for all pieces that have a score there.
Slits are cut before anything is scored and have a table of their own. The template file holds no
words; marks come from `assembly.score_chart`.

Imports: lengths, language, assembly, pieces, student, job, typesetting.
Sources: 14 pt and 18 pt: RNIB Clear Print. To score all pieces at one setting before the next is how
batch work is done (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from itertools import groupby

from popkit.assembly import Mark, Rulers, score_chart, spine_words
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
    "scores": message("Score in this order"),
    "page": message("Page {here} of {all}"),
}
_HOW = (
    message("Good side up, top end against the fence, left side on your left."),
    message(
        "Set the board to a mark, score every piece that is listed there, then go on to the next mark."
    ),
)
_SLITS = message("Cut these slits first")
_SLITS_IN = message("Cut these slits first: {piece}")
_FOLDS = {
    "valley": message("Valley: folds towards you, dashed on the drawings."),
    "mountain": message("Mountain: folds away from you, dash-dot on the drawings."),
}
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
    folds = {mark.fold for mark in lines}
    language, say = job.language, job.language.say
    mark = language.show_exact(rulers.first.step)
    facts = [] if rulers.exact else [say("All sizes here are rounded to {mark}.", mark=mark)]
    how = [*_HOW, *(text for fold, text in _FOLDS.items() if fold in folds)] if lines else [_NONE]
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
        "slits": _slits(pieces, rulers, [mark for mark in marks if mark.kind == "slit"]),
        "scores": _scores(pieces, rulers, lines, large_print=job.large_print),
    }


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


def _scores(pieces: tuple[Piece, ...], rulers: Rulers, marks: list[Mark], *, large_print: bool) -> dict:
    """One group of rows for each setting of the board: its reading in both units, then its marks.

    The reading stands once, across the rows of its group. Where a line stops short of the sides, its
    ends need room: then piece and fold share a column, and so may the two readings of a setting.
    """
    language, say = rulers.language, rulers.language.say
    shown, named = Readings(*rulers[:2], language), _named(pieces, language)
    part = any(not mark.whole for mark in marks)
    several = len({mark.piece for mark in marks}) > 1
    stacked = part and (several or large_print)
    folds = {"valley": say("Valley"), "mountain": say("Mountain")}
    groups = []
    # sorted is stable: at one setting the marks keep the order in which the pieces are used
    ordered = sorted(marks, key=lambda mark: mm(mark.position))
    for at, held in groupby(ordered, key=lambda mark: mm(mark.position)):
        readings = [typeset_numbers(reading) for reading in shown.pair(at)]
        rows = []
        for mark in held:
            name, fold = typeset_numbers(named[mark.piece]), folds[mark.fold]
            if part:
                cells = [f"{fold}, {name}" if several else fold, _reach(shown, mark)]
            else:
                cells = [name, fold]
            rows.append([*cells, _TICK])
        groups.append({"at": [readings] if stacked else [[one] for one in readings], "rows": rows})
    head = [say("Set at")] if stacked else [say("Set at"), say("or")]
    if part:
        head += [say("Fold and piece") if several else say("Fold"), say("From the left side")]
    else:
        head += [say("Piece"), say("Fold")]
    return {"head": [*head, say("Done")], "groups": groups, "even": several or not part}


def _reach(shown: Readings, mark: Mark) -> str:
    """From where to where a line runs, on both rulers."""
    if mark.whole:
        return shown.language.template(_ACROSS)
    first, last = (shown.both(mm(end)) if mm(end) else "0" for end in (mark.start, mark.stop))
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
            _reach(shown, mark),
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
