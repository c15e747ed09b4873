"""The tutor's plan of a class: what to buy, how the sheets are cut, what goes in the bags, how long
it all takes. One PDF to take to the trimmer.

It works nothing out: sheets, steps, packs, bags and minutes come from `classplan`, pictures from
`drawing.layouts`, cautions from `assembly`. The template holds no words: all are made here.

Imports: lengths, language, pieces, assembly, classplan, drawing.layouts, files, typesetting, job,
student (how numbers are set), pictures.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil
from pathlib import Path

from popkit.assembly import Caution, cautions, cautions_about
from popkit.classplan.classes import ClassPlan
from popkit.classplan.kits import Kit
from popkit.classplan.naming import anded, card_name, piece_name
from popkit.classplan.one_sheet import offcuts_give
from popkit.classplan.preparing import Bag, Minutes, Timetable, kit_list, timetable
from popkit.classplan.prices import PriceList, show_money
from popkit.classplan.results import Layout, sheets_text, size_text
from popkit.classplan.shopping import Shopping, ShoppingLine, shopping_list
from popkit.drawing.flat import scale_words
from popkit.drawing.layouts import describe_layout, draw_layout, layout_scale
from popkit.handout.files import HandoutError, pdf_path, write_whole
from popkit.handout.job import MARGIN, PAPERS
from popkit.handout.pictures import picture_of
from popkit.handout.student import sources_of, typeset_numbers
from popkit.handout.typesetting import families_for, plain_text, typeset
from popkit.language import BRITISH, Language, LanguageError, as_language, message
from popkit.lengths import Grid, Length, LengthError, as_grid
from popkit.pieces import Piece

__all__ = [
    "class_facts",
    "class_plan_bytes",
    "class_plan_pages",
    "packs_text",
    "plan_parts",
    "sureness",
    "time_text",
    "write_class_plan",
]

_ENLARGE, _ENLARGE_LARGE = Fraction(8, 7), Fraction(3, 2)
"""How far drawings are enlarged for their words, as in the student edition: to 12 pt and to 15.7 pt."""
_SHEET_ROOM = (92.0, 102.0)  # millimetres for a sheet: two to a page, words beside them
_SHEET_ROOM_LARGE = (120.0, 105.0)  # the same, their words larger
_LONGEST_TITLE = 120
_BOX = "☐"

_WORDS = {
    "page": message("Page {here} of {all}"),
    "shopping": message("Buy"),
    "safe": message("Keep safe"),
    "cuts": message("The cuts in order"),
    "offcuts": message("What the offcuts still give"),
    "bags": message("Pack the bags"),
    "times": message("How long it takes"),
    "for": message("For"),
    "needs": message("Look after"),
}


def write_class_plan(
    plan: ClassPlan,
    path: str | os.PathLike,
    *,
    title: str = "",
    prices: PriceList | None = None,
    minutes: Minutes | None = None,
    useful: Iterable[Piece] = (),
    paper: str = "A4",
    grids: Sequence[Grid | Length | str] | None = None,
    large_print: bool = False,
    language: Language | str = BRITISH,
) -> Path:
    """Write the tutor's plan of a class as a tagged PDF (PDF/UA-1), whole or not at all.

    plan     of `plan_class`
    path     of the PDF; a file of that name is replaced
    title    what the class is called; unless given, what it makes
    prices   packs and what they cost; without it the list says what to buy and not what it costs
    minutes  the tutor's own for a cut, a score, a bag; without them the hours are left open
    useful   pieces that the offcuts could still give; what they do give is listed
    paper    "A4" or "Letter"
    grids    two rulers for the sizes on the sheets; unless given the usual two
    large_print  18 pt instead of 14 pt, and the sheets smaller beside it
    language of the page: "en_GB", "en_US", "de"
    Returns: the path.
    Raises: HandoutError with every fault; then nothing was written.
    """
    faults: list[str] = []
    path = pdf_path(path, faults)
    data = _data(plan, title, prices, minutes, useful, paper, grids, faults, large_print, language)
    (pdf,) = typeset("plan.typ", data)
    return write_whole(path, pdf)


def class_plan_bytes(plan: ClassPlan, **how: object) -> bytes:
    """The PDF of `write_class_plan`, as bytes. The same request makes the same bytes."""
    (pdf,) = typeset("plan.typ", _asked(plan, **how))
    return pdf


def class_plan_pages(plan: ClassPlan, *, ppi: float = 72, **how: object) -> list[bytes]:
    """The pages of `write_class_plan` as PNG pictures.

    ppi  pixels to an inch, 20 to 600
    """
    if isinstance(ppi, bool) or not isinstance(ppi, int | float) or not 20 <= ppi <= 600:
        raise HandoutError(f"{ppi!r} pixels to an inch is no size of picture. Write 20 to 600.")
    return typeset("plan.typ", _asked(plan, **how), form="png", ppi=ppi)


def _asked(
    plan: ClassPlan,
    *,
    title: str = "",
    prices: PriceList | None = None,
    minutes: Minutes | None = None,
    useful: Iterable[Piece] = (),
    paper: str = "A4",
    grids: Sequence[Grid | Length | str] | None = None,
    large_print: bool = False,
    language: Language | str = BRITISH,
) -> dict:
    return _data(plan, title, prices, minutes, useful, paper, grids, [], large_print, language)


# What is asked --------------------------------------------------------------------


def _data(
    plan: ClassPlan,
    title: str,
    prices: PriceList | None,
    minutes: Minutes | None,
    useful: Iterable[Piece],
    paper: str,
    grids: Sequence[Grid | Length | str] | None,
    faults: list[str],
    large_print: bool = False,
    language: Language | str = BRITISH,
) -> dict:
    """The data of the template. Raises: HandoutError with every fault."""
    for value, kind, what in (
        (plan, ClassPlan, "The plan is no plan of a class. Give what plan_class returns."),
        (prices, PriceList, "The prices are no price list. Give one, or leave them out."),
        (minutes, Minutes, "The minutes are no Minutes. Give some, or leave them out."),
        (title, str, "The title is no text. Write one, or leave it out."),
    ):
        if not isinstance(value, kind) and not (value is None and kind in (PriceList, Minutes)):
            faults.append(what)
    named = {name.casefold(): name for name in PAPERS}
    known = named.get(paper.strip().casefold()) if isinstance(paper, str) else None
    if known is None:
        faults.append(f"Plans are not printed on {paper!r}. Write {' or '.join(PAPERS)}.")
    if isinstance(title, str) and len(title) > _LONGEST_TITLE:
        faults.append(f"The title is longer than {_LONGEST_TITLE} characters. Write a shorter one.")
    if grids is not None:
        try:
            grids = tuple(as_grid(grid) for grid in grids)
            if len(grids) != 2:
                raise ValueError
        except (LengthError, TypeError, ValueError, AttributeError):
            faults.append('The rulers are not two rulers. Write them as in ("1/16 in", "1 mm").')
    try:
        useful = tuple(useful)
        if not all(isinstance(one, Piece) for one in useful):
            raise TypeError
    except TypeError:
        faults.append("What the offcuts could give are no pieces. Give some, or leave them out.")
    try:
        language = as_language(language)
    except LanguageError as fault:
        faults.append(str(fault))
    if faults:
        raise HandoutError(*faults)
    told = _cautions(plan, language)
    tag, _, region = language.tag.partition("-")
    offcuts = [one.text(language) for one in offcuts_give(plan, useful)] if useful else []
    data = {
        "lang": tag,
        "region": region,
        "paper": PAPERS[known],
        "margin": MARGIN,
        "size": 18 if large_print else 14,
        "title": _title(plan, title, language),
        "cautions": [{"topic": one.topic, "text": one.text} for one in told],
        "sources": sources_of(told, language),
        "offcuts": [_held(plain_text(one)) for one in offcuts],
    } | plan_parts(
        plan,
        prices=prices,
        minutes=minutes,
        grids=grids,
        large_print=large_print,
        language=language,
    )
    return data | {"families": families_for(_texts(data))}


def plan_parts(
    plan: ClassPlan,
    *,
    prices: PriceList | None = None,
    minutes: Minutes | None = None,
    grids: Sequence[Grid] | None = None,
    large_print: bool = False,
    language: Language = BRITISH,
) -> dict:
    """The data of `class.typ`: facts, shopping, sheets, bags and hours."""
    return {
        "words": {name: language.template(text) for name, text in _WORDS.items()},
        "large": large_print,
        "facts": [_held(line) for line in class_facts(plan, language)],
        "shopping": _shopping(shopping_list(plan, prices, language=language)),
        "stocks": _stocks(plan, grids, large_print, language),
        "bags": [_bag(bag) for bag in kit_list(plan, language=language)],
        "times": _times(timetable(plan, minutes, language=language), language),
    }


def _texts(data: object) -> Iterable[str]:
    """Every text in the data; drawings bring their own letters, which are those of their names."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from _texts(value)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from _texts(value)


def _title(plan: ClassPlan, title: str, language: Language) -> str:
    title = plain_text(title)
    if not title:
        cards = dict.fromkeys(card_name(kit.name, language) for kit in plan.kits[:2])
        title = plain_text(anded(cards, language))
        if len(plan.kits) > 2:
            title = language.say("{cards} and {count} more", cards=title, count=len(plan.kits) - 2)
    return language.say("Class plan: {title}", title=title)


def class_facts(plan: ClassPlan, language: Language = BRITISH) -> list[str]:
    """The class in a few sentences."""
    say, many = language.say, language.many
    spare, kept = plan.bags - plan.students, plan.sheets - plan.bought
    if spare:
        kits = many(
            plan.bags,
            "{count} kit, {spare} of them spare",
            "{count} kits, {spare} of them spare",
            spare=spare,
        )
    else:
        kits = many(plan.bags, "{count} kit", "{count} kits")
    students = many(plan.students, "{count} student", "{count} students")
    lines = [say("{students}, {kits}.", students=students, kits=kits)]
    if len(plan.kits) > 1:
        lines.append(f"{', '.join(_made(kit, language) for kit in plan.kits)}.")
    used = {
        "sheets": many(plan.sheets, "{count} sheet", "{count} sheets"),
        "layouts": many(len(plan.layouts), "{count} layout", "{count} layouts"),
        "kept": kept,
        "waste": f"{float(plan.waste) * 100:.0f}",
    }
    lines.append(
        say(
            "{sheets} in {layouts}, {kept} of them from the cupboard; {waste}% of the paper is left "
            "over.",
            **used,
        )
        if kept
        else say("{sheets} in {layouts}; {waste}% of the paper is left over.", **used)
    )
    lines.append(sureness(plan, language))
    lines.append(
        say(
            "{steps}, {strokes}, {settings}.",
            steps=many(len(plan.steps), "{count} step", "{count} steps"),
            strokes=many(plan.strokes, "{count} stroke of the blade", "{count} strokes of the blade"),
            settings=many(
                plan.fence_settings, "{count} setting of the fence", "{count} settings of the fence"
            ),
        )
    )
    return [*lines, *map(plain_text, plan.remarks(language))]


def _made(kit: Kit, language: Language) -> str:
    card = plain_text(card_name(kit.name, language))
    if kit.spares:
        return language.say(
            "{count} × {card} and {spare} spare", count=kit.count, card=card, spare=kit.spares
        )
    return f"{kit.count} × {card}"


def sureness(plan: ClassPlan, language: Language = BRITISH) -> str:
    """Whether fewer sheets could do."""
    if plan.proved:
        return language.say("It is proved that no plan takes less.")
    if plan.gap is not None:
        return language.say(
            "It is not proved that fewer would not do: at least {sheets} are needed.",
            sheets=language.many(plan.bound, "{count} sheet", "{count} sheets"),
        )
    return language.say("It is not proved that no plan takes less.")


def _held(text: str) -> str:
    """Our own words with figures as in the handouts, and "8½ × 11 in" kept on one line."""
    return typeset_numbers(text).replace(" × ", "\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}")


# Shopping -------------------------------------------------------------------------


def packs_text(line: ShoppingLine) -> str:
    """The packs of one line: "1 pack of 25 sheets and 1 pack of 100"; "" where none is known."""
    return line.packs_text


def _shopping(shopping: Shopping) -> dict:
    language, say, rows = shopping.language, shopping.language.say, []
    for line in shopping.lines:
        need = line.amount(line.need) if line.need else say("none")
        if line.kept:
            need = say("{need}, and {kept} from the cupboard", need=need, kept=line.kept)
        if line.unused:
            need = f"{need}; {line.unused_text}"
        buy = line.packs_text or (say("see the price list") if line.need else say("nothing"))
        if line.packs and line.left:
            buy = say("{packs}; {left} left over", packs=buy, left=line.left_text)
        cost = show_money(line.cost, plain_text(shopping.currency), language)
        rows.append([_BOX, plain_text(line.item), need, buy, cost])
    return {
        "head": [say("Got"), say("What"), say("Needed"), say("Buy"), say("Cost")],
        "rows": [[_counted(_held(cell)) for cell in row] for row in rows],
        "note": _held(plain_text(shopping.summary())),
    }


def _counted(text: str) -> str:
    """A number in a narrow column kept to the word behind it: "25 sheets"."""
    return re.sub(r"(?<=[0-9]) (?=\w)", "\N{NO-BREAK SPACE}", text)


# Keep safe ------------------------------------------------------------------------


def _cautions(plan: ClassPlan, language: Language) -> tuple[Caution, ...]:
    """Those of all the cards, each once, and the knife's and trimmer's in any case: by the plan sheets
    are cut.
    """
    about = {"knife", "trimmer", "children", "first"}
    for kit in plan.kits:
        if any(piece.stock.kind == "plastic" for piece in kit.pieces):
            about.add("sheet")
        if kit.card is not None:
            about |= {one.about for one in cautions(kit.card)}
    return cautions_about(about, language=language)


# Sheets ---------------------------------------------------------------------------


def _stocks(
    plan: ClassPlan, grids: Sequence[Grid] | None, large_print: bool, language: Language
) -> list[dict]:
    say = language.say
    room, enlarge = _SHEET_ROOM, _ENLARGE
    if large_print:
        room, enlarge = _SHEET_ROOM_LARGE, _ENLARGE_LARGE
    found: list[dict] = []
    for stock in plan.stocks:
        scale = layout_scale(stock.plan.layouts, room)
        sheets = language.listed(
            sheets_text(count, sheet.name, language, from_cupboard=kept)
            for sheet, _, kept, count in stock.plan.sheet_counts
        )
        note = say("Drawn {scale}.", scale=scale_words(scale, language))
        if not found:
            disc = say("A number on a dark disc is the step that makes the cut.")
            hatching = say("Hatched paper is left over.")
            note = f"{note} {disc} {hatching}"
        name = plain_text(language.name(stock.name))
        found.append(
            {
                "heading": _held(say("Cut the {stock}: {sheets}", stock=name, sheets=sheets)),
                "note": note,
                "layouts": [_layout(one, scale, enlarge, grids, language) for one in stock.plan.layouts],
                "head": [say("Done"), say("Step"), say("What to do")],
                "rows": [
                    [_BOX, str(step.number), _held(plain_text(step.text(language)))]
                    for step in stock.plan.steps
                ],
            }
        )
    return found


def _layout(
    layout: Layout,
    scale: Fraction,
    enlarge: Fraction,
    grids: Sequence[Grid] | None,
    language: Language,
) -> dict:
    say = language.say
    layout = replace(
        layout, placements=tuple(replace(p, piece=plain_text(p.piece)) for p in layout.placements)
    )
    svg = draw_layout(
        layout,
        scale=scale / enlarge,
        grids=grids,
        heading=False,
        prefix=f"sheet-{layout.name}-",
        language=language,
    )
    picture = picture_of(svg, describe_layout(layout, grids=grids, language=language), enlarge)
    gives = Counter(piece_name(one.piece, language) for one in layout.placements)
    steps = sorted({cut.number for cut in layout.cuts})
    size = size_text(layout.sheet.width, layout.sheet.height, language)
    sheet = layout.sheet.name
    if sheet != size_text(layout.sheet.width, layout.sheet.height):
        sheet = f"{sheet} ({size})"
    if not steps:
        which = say("Nothing is cut.")
    elif len(steps) == 1:
        which = say("Step {steps}.", steps=_runs(steps, language))
    else:
        which = say("Steps {steps}.", steps=_runs(steps, language))
    pieces = language.listed(f"{count} × {name}" for name, count in gives.items())
    lines = [
        f"{sheets_text(layout.count, sheet, language, from_cupboard=layout.from_cupboard)}.",
        say("Each gives {pieces}.", pieces=pieces),
        which,
        say("{waste}% is left over.", waste=f"{float(layout.waste) * 100:.0f}"),
    ]
    return {
        "title": say("Layout {name}", name=layout.name),
        "lines": [_held(line) for line in lines],
        "svg": picture.svg,
        "alt": picture.alt,
        "width": picture.width_mm,
        "height": picture.height_mm,
    }


def _runs(numbers: list[int], language: Language) -> str:
    """[1, 2, 3, 7] -> "1 to 3, 7"."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    shown = []
    for run in runs:
        if len(run) > 2:
            shown.append(language.say("{first} to {last}", first=run[0], last=run[-1]))
        else:
            shown += map(str, run)
    return ", ".join(shown)


# Bags and hours ---------------------------------------------------------------------


def _bag(bag: Bag) -> dict:
    say = bag.language.say
    heading = say("{card}: {bags}", card=plain_text(bag.name), bags=bag.counted)
    return {
        "heading": _held(heading),
        "head": [say("Got"), say("What"), say("In each bag"), say("In all")],
        "rows": [
            [
                _BOX,
                _held(plain_text(item.name)),
                str(item.count),
                str(item.count * bag.count),
            ]
            for item in bag.items
        ],
        "labels": ", ".join(plain_text(label) for label in bag.labels),
        "needs": [{"who": plain_text(label), "what": plain_text(what)} for label, what in bag.needs],
    }


def time_text(minutes: Fraction | None, language: Language = BRITISH) -> str:
    """ "45 min", "1 h 05 min"; half minutes are rounded up; "not known"."""
    if minutes is None:
        return language.say("not known")
    whole = ceil(minutes)
    if whole < 60:
        return language.say("{count} min", count=whole)
    return language.say("{hours} h {minutes} min", hours=whole // 60, minutes=f"{whole % 60:02d}")


def _times(times: Timetable, language: Language) -> dict:
    say = language.say
    if times.total is not None:
        note = say("{time} in all.", time=time_text(times.total, language))
    elif times.known:
        note = say("{time}, and what is not known.", time=time_text(times.known, language))
    else:
        note = say(
            "Your own minutes for a cut, a score and a bag were not given, so the hours are open."
        )
    return {
        "head": [say("Begin"), say("What"), say("Takes")],
        "rows": [
            [
                "" if job.begins is None else time_text(job.begins, language),
                _held(plain_text(job.text())),
                time_text(job.minutes, language),
            ]
            for job in times.jobs
        ],
        "note": note,
    }
