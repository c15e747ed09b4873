"""The tutor's edition: what to mend and to prepare, how long each step takes, slips and how to see
them, the key to the worksheets, and the plan of the class where there is one.

It works nothing out: steps, slips and cautions come from `assembly`, what to mend from `checks`, sums
from `sums`, sheets and bags from `plan`. The template holds no words: all are made here.

Imports: lengths, language, pieces, checks, assembly, job, student, plan, worksheet.
Sources: how minutes are shared, and the slips without a number: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby

from popkit.assembly import Slip, Step, assembly_steps, cautions, cautions_about, materials, slips
from popkit.card import CutStep, Tier
from popkit.checks import check
from popkit.handout.files import HandoutError
from popkit.handout.job import MARGIN, PAPERS, Job
from popkit.handout.pictures import finished
from popkit.handout.plan import plan_parts
from popkit.handout.student import cut_table, facts_of, picture_data, sources_of, typeset_numbers
from popkit.handout.typesetting import families_for, plain_text
from popkit.handout.worksheet import key_of
from popkit.language import Language, message
from popkit.pieces import Piece, cut_list

__all__ = ["shared_minutes", "step_parts", "tutor"]

_BOX = "☐"
_WORDS = {
    "page": message("Page {here} of {all}"),
    "mend": message("What to mend first"),
    "prepare": message("Before the class"),
    "each": message("Each student needs"),
    "cut": message("Cut list"),
    "times": message("How long each step takes"),
    "slips": message("Common slips and how to see them"),
    "notes": message("Your notes"),
    "remarks": message("Printed on the student’s handout"),
    "safe": message("Keep safe"),
    "key": message("Answers to the worksheets"),
    "plan": message("The plan of the class"),
}

# Parts of the time: for each thing that a step has, and for the step itself.
_PER_PIECE = {"cut": 2, "mat": 3, "ornament": 3}
_PER_LINE = {"score": 1, "fold": 1}
_PER_SLIT = 2
_PER_STEP = {"join": 4, "push": 2, "foot": 3, "top tab": 3, "check": 3}


def step_parts(step: Step, pieces: Sequence[Piece]) -> int:
    """How many parts of the time a step is reckoned at: at least one.

    Two for each piece cut and for each slit, one for each line scored and one for each folded, three
    for each tab, mat and ornament and for the last check, four for the front, two for a step pushed
    forward.
    """
    held = [piece for piece in pieces if piece.name in step.pieces]
    count = sum(piece.count for piece in held)
    lines = sum(len(piece.creases) * piece.count for piece in held)
    parts = _PER_STEP.get(step.kind, 0)
    parts += _PER_PIECE.get(step.kind, 0) * count
    parts += _PER_LINE.get(step.kind, 0) * lines
    parts += _PER_SLIT * 2 if step.kind == "slit" else 0  # a step has two slits
    return max(1, parts)


def shared_minutes(total: int, parts: Sequence[int]) -> tuple[int, ...]:
    """Whole minutes for each step, as its parts are to all: they add up to the total.

    Each is rounded down; the minutes left go to those that lost most, the earlier first.
    """
    whole = sum(parts)
    exact = [Fraction(total * part, whole) for part in parts]
    shared = [int(one) for one in exact]
    lost = sorted(range(len(parts)), key=lambda place: shared[place] - exact[place])
    for place in lost[: total - sum(shared)]:
        shared[place] += 1
    return tuple(shared)


def tutor(job: Job) -> dict:
    """The data of the tutor's template. Raises: CardError as `cut_list`; HandoutError."""
    card, rulers, language = job.card, job.rulers, job.language
    say, pieces = language.say, cut_list(card)
    steps = assembly_steps(card, rulers.first, pieces=pieces, language=language)
    told = cautions(card, language=language)
    times = _times(job, steps, pieces)
    plan = None
    if job.plan is not None:
        grids = tuple(rulers[:2])
        plan = plan_parts(job.plan, grids=grids, large_print=job.large_print, language=language)
        # by the plan sheets are cut, whatever the card itself needs
        told = cautions_about([*(one.about for one in told), "trimmer"], language=language)
    needs = [
        {"name": typeset_numbers(one.name), "use": typeset_numbers(plain_text(one.use))}
        for one in materials(card, rulers.first, pieces=pieces, language=language)
    ]
    return {
        "lang": language.tag.partition("-")[0],
        "region": language.tag.partition("-")[2],
        "paper": PAPERS[job.paper],
        "margin": MARGIN,
        "size": 18 if job.large_print else 14,
        "words": {key: language.template(text) for key, text in _WORDS.items()},
        "title": say("{title}: for the tutor", title=job.title),
        "series": job.series,
        "name": job.name,
        "families": tuple(dict.fromkeys((*job.families, *families_for((_BOX,))))),
        "picture": picture_data(finished(card, rulers)),
        "facts": facts_of(job),
        "mend": _mend(job),
        "prepare": _prepare(job, times["rows"][0][2]),
        "materials": needs,
        "cut": cut_table(rulers, pieces),
        "times": times,
        "slips": _slips(job),
        "notes": job.notes,
        "remarks": job.remarks,
        "cautions": [{"topic": one.topic, "text": one.text} for one in told],
        "sources": sources_of(told, language),
        "keys": [key_of(job, seed) for seed in job.seeds],
        "plan": plan,
    }


_GRAVE = {"stop": message("It will not work:"), "caution": message("It will disappoint:")}


def _mend(job: Job) -> dict:
    """What is wrong with the card and the nearest remedy; the checks speak English."""
    say = job.language.say
    found = [
        {
            "grave": say(_GRAVE[finding.severity]),
            "text": typeset_numbers(plain_text(f"{finding.message} {finding.remedy}")),
        }
        for finding in check(job.card, job.rulers.first)
        if finding.severity in _GRAVE
    ]
    english = job.language.tag.startswith("en")
    return {"found": found, "note": "" if english else say("What the checks say is in English.")}


def _prepare(job: Job, first: str) -> list[str]:
    """What to do beforehand, and the cutting as a choice: `first`, "14 min", is the time of step 1."""
    say = job.language.say
    lines = [
        say("Make one card by the student’s handout, with a clock beside you."),
        say("Print at 100 % (actual size), then lay a ruler on the bars of a handout."),
    ]
    if job.plan is not None:
        lines.append(say("Buy by the plan at the end of these pages."))
    if job.plan is not None and first:
        choice = say(
            "Either cut and bag by the plan beforehand (then step 1 and its {minutes} fall away), or "
            "leave the cutting to the class.",
            minutes=first,
        )
    elif job.plan is not None:
        choice = say(
            "Either cut and bag by the plan beforehand (then step 1 falls away), or leave the cutting "
            "to the class."
        )
    elif first:
        choice = say(
            "Either cut the pieces for everybody beforehand, and a kit to spare (then step 1 and its "
            "{minutes} fall away), or leave it to the class.",
            minutes=first,
        )
    else:
        choice = say(
            "Either cut the pieces for everybody beforehand, and a kit to spare (then step 1 falls "
            "away), or leave it to the class."
        )
    lines.append(choice)
    lines.append(say("Lay out for each student what stands below."))
    lines.append(say("Read “Keep safe”, the labels of your products and the rules of the room."))
    if job.seeds:
        lines.append(say("Print the worksheets whose answers are here."))
    return lines


# Hours ------------------------------------------------------------------------------


def _times(job: Job, steps: Sequence[Step], pieces: Sequence[Piece]) -> dict:
    """Step by step: minutes, and when it begins. The tutor's own where they were given."""
    language, say = job.language, job.language.say
    parts = [step_parts(step, pieces) for step in steps]
    given = job.minutes
    if isinstance(given, tuple):
        if len(given) != len(steps):
            raise HandoutError(
                f"There are {len(given)} minutes for {len(steps)} steps. Write one number for each, or "
                "one for all together."
            )
        minutes, note = given, say("{total} min in all, by your own minutes.", total=sum(given))
    elif given is not None:
        minutes = shared_minutes(given, parts)
        note = say(
            "{total} min in all, shared out by what there is to do: two parts for each piece to cut and "
            "for each slit, one for each line to score and one to fold it, three for each tab, mat and "
            "ornament and for the last check, four for fixing a front, two for a step pushed forward. "
            "This is a rule of thumb: write your own times beside it.",
            total=given,
        )
    else:
        minutes = None
        note = say(
            "The recipe says no time. Write your own beside each step when you make the first card."
        )
    rows, begins = [], 0
    for place, step in enumerate(steps):
        title = typeset_numbers(step.title)
        if minutes is None:
            rows.append([str(step.number), title, "", ""])
            continue
        rows.append(
            [str(step.number), title, _minutes(minutes[place], language), _minutes(begins, language)]
        )
        begins += minutes[place]
    head = [say("Step"), say("What"), say("Takes"), say("Begins after")]
    return {"head": head, "rows": rows, "note": note, "open": minutes is None}


def _minutes(count: int, language: Language) -> str:
    return typeset_numbers(language.say("{count} min", count=count)).replace(" ", "\N{NO-BREAK SPACE}")


# Slips ------------------------------------------------------------------------------

_WRONG_WAY = message("A score is folded the wrong way.")
_FOLDED_STRIP = (
    (
        _WRONG_WAY,
        message("Hold the folded strip beside the side view of the handout: it has other corners."),
    ),
)
_FOLDED_STEP = (
    (
        _WRONG_WAY,
        message("Hold the open card beside the side view of the handout: the step has other corners."),
    ),
)
_UNITS = (
    (
        message("Sizes in inches and in mm are mixed."),
        message("Measure the whole piece: its length is not the one in the cut list."),
    ),
)
_GLUED = (
    (
        message("Glue has come out beside a tab."),
        message("The card is hard to open after it was closed. Wipe the edges before you close it."),
    ),
)
_CUT = (
    (
        message("A slit runs past its end."),
        message("A tear shows at the corner of the step when it is pushed forward."),
    ),
    (
        message("The two slits of a step are not equally long."),
        message("The step leans to one side and its folds wander off the scores."),
    ),
)
_MATS = (
    (
        message("A mat lies over a score."),
        message("Bend the score both ways before the glue is dry: the mat buckles or lifts."),
    ),
)
_ORNAMENTS = (
    (
        message("An ornament is caught by two faces."),
        message("Close the card slowly and look in from the side: it stops, or the ornament bends."),
    ),
)


def _slips(job: Job) -> dict:
    """Slips of this card with their numbers, then those of every card like it."""
    language, say, card = job.language, job.language.say, job.card
    rows = []
    found = slips(card, job.rulers.first, language=language)
    for _, both in groupby(found, key=lambda one: one.tier):
        both = list(both)
        told = [typeset_numbers(one.text) for one in both]
        rows.append([told, list(dict.fromkeys(_seen(one, language) for one in both))])
    glued = any(isinstance(tier, Tier) for tier in card.tiers)
    general = [*(_FOLDED_STRIP if glued else _FOLDED_STEP), *_UNITS]
    if glued:
        general += _GLUED
    if any(isinstance(tier, CutStep) for tier in card.tiers):
        general += _CUT
    general += _MATS if card.layers else ()
    general += _ORNAMENTS if card.ornaments else ()
    rows += [[[language.template(what)], [language.template(how)]] for what, how in general]
    mend = (
        say("While the glue is wet, lift the bottom tab and set the foot back on its line.")
        if glued
        else ""
    )
    return {"head": [say("Slip"), say("How to see it")], "rows": rows, "note": mend}


def _seen(slip: Slip, language: Language) -> str:
    say = language.say
    if slip.opens_to < 180:
        return say("It stops before it is flat: the shelf and the face of that tier are pulled tight.")
    return say("At a right angle, hold a set square against the face.")
