"""The worksheet and its answer key: sums to do, other numbers on every sheet, the seed printed on it.

The template holds no words: all are made here. Numbers come from `sums`.

Imports: lengths, language, job, student (how numbers are set), sums.
Source: 14 pt and 18 pt: RNIB Clear Print.
"""

from __future__ import annotations

from popkit.handout.job import MARGIN, PAPERS, Job
from popkit.handout.student import typeset_numbers
from popkit.handout.sums import MadeUp, Sums, sums_of
from popkit.handout.typesetting import plain_text
from popkit.language import Language, message
from popkit.lengths import Grid, Length

__all__ = ["answers", "key_of", "key_words", "worksheet"]

_WORDS = {
    "for": message("For"),
    "name": message("Name"),
    "page": message("Page {here} of {all}"),
    "scores": message("Where are the scores?"),
    "more": message("More sums"),
    "given": message("This is given:"),
    "write": message("Write in this table:"),
    "room": message("Room for your working"),
    "answer": message("Answer:"),
}
_STRIPS_HOW = (
    message("Scores count from the top end of the strip. The top tab comes first."),
    message("The foot is where a face meets the front. Count it from the fold."),
)
_CUT_HOW = (
    message("The step is cut in a card of one piece, still flat, and pushed forward."),
    message("Count everything from the fold of the card."),
)


def worksheet(job: Job) -> dict:
    """The data of the worksheet's template. Raises: HandoutError where the ruler is too coarse."""
    say, seed = job.language.say, job.seeds[0]
    sums = sums_of(job, seed)
    return _page(job) | {
        "words": {key: job.language.template(text) for key, text in _WORDS.items()},
        "title": say("{title}: worksheet {seed}", title=job.title, seed=seed),
        "series": job.series,
        "name": job.name,
        "families": job.families,
        "facts": [
            _work_in(sums.grid, job.language),
            say("The numbers on every sheet are different. The way to work them out is the same."),
        ],
        "gap": 13 if job.large_print else 10,
        "cards": [_cut_cards(sums, job.language) if sums.cards[0].cut else _card(sums, job.language)],
        "how": [job.language.template(one) for one in (_CUT_HOW if sums.cards[0].cut else _STRIPS_HOW)],
        "sums": [
            {
                "title": f"{one.number}. {one.title}",
                "question": typeset_numbers(one.question),
                "writes": typeset_numbers(say("Write {what}.", what=one.writes)),
            }
            for one in sums.exercises
        ],
    }


def _page(job: Job) -> dict:
    language = job.language
    return {
        "lang": language.tag.partition("-")[0],
        "region": language.tag.partition("-")[2],
        "paper": PAPERS[job.paper],
        "margin": MARGIN,
        "size": 18 if job.large_print else 14,
    }


def _work_in(grid: Grid, language: Language) -> str:
    if grid.unit == "inch":
        return language.say("Work in inches, and write the unit with every answer.")
    return language.say("Work in mm, and write the unit with every answer.")


def _shown(length: Length, grid: Grid, language: Language) -> str:
    return typeset_numbers(language.show(length, grid))


def _card(sums: Sums, language: Language) -> dict:
    """A card made up, as it is asked: what is given, and an empty table for the answers."""
    (made,) = sums.cards
    grid, tiers = sums.grid, made.card.tiers
    text = language.many(
        len(tiers),
        "Your card is {width} wide and {height} high. It has one tier. Where are the scores of "
        "its strip?",
        "Your card is {width} wide and {height} high. It has {several} tiers. Where are the scores of "
        "their strips?",
        several=language.spelled(len(tiers)),
        width=language.show(made.card.width, grid),
        height=language.show(made.card.height, grid),
    )
    given = [
        [str(number), *(_shown(one, grid, language) for one in row)]
        for number, row in enumerate(made.given, 1)
    ]
    return _asked(typeset_numbers(text), language.say("Tier"), made, given, language)


def _cut_cards(sums: Sums, language: Language) -> dict:
    """The cards with one cut step each, in one table."""
    say, grid = language.say, sums.grid
    given = []
    for letter, made in zip(_LETTERS, sums.cards, strict=False):
        sizes = (made.card.width, made.card.height, *made.given[0])
        given.append([letter, *(_shown(one, grid, language) for one in sizes)])
    text = say("Each card has one cut step. Where do its slits end, and where is its score?")
    made = sums.cards[0]
    found = _asked(text, say("Card"), made, given, language)
    found["given"]["head"][1:1] = [say("Width"), say("Height")]
    return found


_LETTERS = "ABC"


def _asked(text: str, first: str, made: MadeUp, given: list[list[str]], language: Language) -> dict:
    return {
        "text": text,
        "given": {"head": [first, *map(language.template, made.given_head)], "rows": given},
        "asked": {
            "head": [first, *map(language.template, made.asked_head)],
            "rows": [[row[0], *[""] * len(made.asked_head)] for row in given],
        },
    }


# The key ------------------------------------------------------------------------------

_KEY_WORDS = {
    "page": message("Page {here} of {all}"),
    "scores": message("Where are the scores?"),
    "more": message("More sums"),
}


def key_words(language: Language) -> dict[str, str]:
    """Headings of a key."""
    return {key: language.template(text) for key, text in _KEY_WORDS.items()}


def key_of(job: Job, seed: int, label: str = "") -> dict:
    """The answers of one sheet.

    label  whose it is, or ""
    Raises: HandoutError where the ruler is too coarse.
    """
    language, say, sums = job.language, job.language.say, sums_of(job, seed)
    grid = sums.grid
    label = plain_text(label)
    heading = (
        say("Worksheet {seed}: {name}", seed=seed, name=label)
        if label
        else say("Worksheet {seed}", seed=seed)
    )
    made = sums.cards[0]
    lines = [row for one in sums.cards for row in one.answers]
    names = _LETTERS if made.cut else map(str, range(1, len(lines) + 1))
    first = say("Card") if made.cut else say("Tier")
    return {
        "heading": heading,
        "card": {
            "head": [first, *map(language.template, made.asked_head)],
            "rows": [
                [name, *(_shown(one, grid, language) for one in row)]
                for name, row in zip(names, lines, strict=False)
            ],
        },
        "head": [say("No."), say("Sum"), say("Answer"), say("Working")],
        "rows": [
            {
                "number": str(one.number),
                "title": one.title,
                "answer": typeset_numbers(one.shown),
                "steps": [typeset_numbers(step) for step in one.steps],
            }
            for one in sums.exercises
        ],
    }


def answers(job: Job) -> dict:
    """The data of the answer key's template: every seed of the job, one after another."""
    language, say = job.language, job.language.say
    return _page(job) | {
        "words": key_words(language),
        "title": say("{title}: answers to the worksheets", title=job.title),
        "series": job.series,
        "name": job.name,
        "families": job.families,
        "note": say(
            "For the tutor. The number of a sheet stands in its title and at the foot of its pages."
        ),
        "keys": [key_of(job, seed) for seed in job.seeds],
    }
