"""The tutor's plan of a class: what to buy, how the sheets are cut, what goes in the bags, how long
it all takes. One PDF to take to the trimmer.

It works nothing out: sheets, steps, packs, bags and minutes come from `classplan`, pictures from
`drawing.layouts`, cautions from `assembly`. The template holds no words: all are made here.

Imports: lengths, pieces, assembly, classplan, drawing.layouts, files, typesetting, job, student (how
numbers are set), pictures.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil
from pathlib import Path

from popkit.assembly import Caution, cautions, listed
from popkit.classplan.classes import ClassPlan, StockPlan
from popkit.classplan.kits import Kit
from popkit.classplan.one_sheet import offcuts_give
from popkit.classplan.preparing import Bag, Minutes, Timetable, kit_list, timetable
from popkit.classplan.prices import PriceList, show_money
from popkit.classplan.results import Layout, size_text
from popkit.classplan.shopping import Shopping, ShoppingLine, shopping_list
from popkit.drawing.flat import scale_words
from popkit.drawing.layouts import describe_layout, draw_layout, layout_scale
from popkit.handout.files import HandoutError, pdf_path, write_whole
from popkit.handout.job import MARGIN, PAPERS
from popkit.handout.pictures import picture_of
from popkit.handout.student import typeset_numbers
from popkit.handout.typesetting import families_for, plain_text, typeset
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

_ENLARGE = Fraction(8, 7)  # drawings for their words, to 12 pt, as in the student edition
_SHEET_ROOM = (92.0, 102.0)  # millimetres for a sheet: two to a page, words beside them
_LONGEST_TITLE = 120
_BOX = "☐"

_WORDS = {
    "page": "Page {here} of {all}",
    "shopping": "Buy",
    "safe": "Keep safe",
    "cuts": "The cuts in order",
    "offcuts": "What the offcuts still give",
    "bags": "Pack the bags",
    "times": "How long it takes",
    "for": "For",
    "needs": "Look after",
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
    Returns: the path.
    Raises: HandoutError with every fault; then nothing was written.
    """
    faults: list[str] = []
    path = pdf_path(path, faults)
    data = _data(plan, title, prices, minutes, useful, paper, grids, faults)
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
) -> dict:
    return _data(plan, title, prices, minutes, useful, paper, grids, [])


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
    if faults:
        raise HandoutError(*faults)
    told = _cautions(plan)
    data = {
        "lang": "en",
        "region": "GB",
        "paper": PAPERS[known],
        "margin": MARGIN,
        "size": 14,
        "title": _title(plan, title),
        "cautions": [{"topic": one.topic, "text": one.text} for one in told],
        "sources": _sources(told),
        "offcuts": [_held(plain_text(one.text())) for one in offcuts_give(plan, useful)]
        if useful
        else [],
    } | plan_parts(plan, prices=prices, minutes=minutes, grids=grids)
    return data | {"families": families_for(_texts(data))}


def plan_parts(
    plan: ClassPlan,
    *,
    prices: PriceList | None = None,
    minutes: Minutes | None = None,
    grids: Sequence[Grid] | None = None,
) -> dict:
    """The data of `class.typ`: facts, shopping, sheets, bags and hours. The words are English."""
    return {
        "words": _WORDS,
        "facts": [_held(line) for line in class_facts(plan)],
        "shopping": _shopping(shopping_list(plan, prices)),
        "stocks": _stocks(plan, grids),
        "bags": [_bag(bag) for bag in kit_list(plan)],
        "times": _times(timetable(plan, minutes)),
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


def _title(plan: ClassPlan, title: str) -> str:
    made = " and ".join(dict.fromkeys(kit.name for kit in plan.kits[:2]))
    more = f" and {len(plan.kits) - 2} more" if len(plan.kits) > 2 else ""
    return f"Class plan: {plain_text(title) or plain_text(made) + more}"


def class_facts(plan: ClassPlan) -> list[str]:
    """The class in a few sentences."""
    spare = plan.bags - plan.students
    bags = _many(plan.bags, "kit") + (f", {spare} of them spare" if spare else "")
    lines = [f"{_many(plan.students, 'student')}, {bags}."]
    if len(plan.kits) > 1:
        lines.append(f"{', '.join(map(_made, plan.kits))}.")
    sheets = f"{_many(plan.sheets, 'sheet')} in {_many(len(plan.layouts), 'layout')}"
    if plan.bought != plan.sheets:
        sheets += f", {plan.sheets - plan.bought} of them from the cupboard"
    lines.append(f"{sheets}; {float(plan.waste) * 100:.0f}% of the paper is left over.")
    lines.append(sureness(plan))
    lines.append(
        f"{_many(len(plan.steps), 'step')}, {_many(plan.strokes, 'stroke')} of the blade, "
        f"{_many(plan.fence_settings, 'setting')} of the fence."
    )
    return lines


def _made(kit: Kit) -> str:
    spare = f" and {kit.spares} spare" if kit.spares else ""
    return f"{kit.count} × {plain_text(kit.name)}{spare}"


def sureness(plan: ClassPlan) -> str:
    """Whether fewer sheets could do."""
    if plan.proved:
        return "It is proved that no plan takes less."
    if plan.gap is not None:
        least = _many(plan.bound, "sheet")
        return f"It is not proved that fewer would not do: at least {least} are needed."
    return "It is not proved that no plan takes less."


def _many(count: int, one: str, more: str = "") -> str:
    return f"{count} {one if count == 1 else more or one + 's'}"


def _held(text: str) -> str:
    """Our own words with figures as in the handouts, and "8½ × 11 in" kept on one line."""
    return typeset_numbers(text).replace(" × ", "\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}")


# Shopping -------------------------------------------------------------------------


def packs_text(line: ShoppingLine) -> str:
    """The packs of one line: "1 pack of 25 sheets and 1 of 100 sheets"; "" where none is known."""
    word = {"tape": "roll", "glue": "bottle"}.get(line.kind, "pack")
    return " and ".join(
        f"{_many(count, word)} of {line.amount(pack.holds)}" for pack, count in line.packs
    )


def _shopping(shopping: Shopping) -> dict:
    rows = []
    for line in shopping.lines:
        need = line.amount(line.need) if line.need else "none"
        if line.kept:
            need += f", and {line.kept} from the cupboard"
        buy = packs_text(line) or ("nothing" if not line.need else "see the price list")
        buy += f"; {line.amount(line.left)} left over" if line.packs and line.left else ""
        rows.append(
            [
                _BOX,
                plain_text(line.item),
                need,
                buy,
                show_money(line.cost, plain_text(shopping.currency)),
            ]
        )
    return {
        "head": ["Got", "What", "Needed", "Buy", "Cost"],
        "rows": [[_held(cell) for cell in row] for row in rows],
        "note": plain_text(shopping.summary()),
    }


# Keep safe ------------------------------------------------------------------------


def _cautions(plan: ClassPlan) -> list[Caution]:
    """Those of all the cards, each once, what goes first at the end; standing is the student's."""
    found: dict[str, Caution] = {}
    for kit in plan.kits:
        if kit.card is None:
            continue
        for one in cautions(kit.card):
            found.pop(one.topic, None)  # so that the last stays last
            found[one.topic] = one
    return list(found.values())


def _sources(told: list[Caution]) -> str:
    published = dict.fromkeys(one.source for one in told if one.source not in ("", "from memory"))
    return f"Sources: {'; '.join(published)}." if published else ""


# Sheets ---------------------------------------------------------------------------


def _stocks(plan: ClassPlan, grids: Sequence[Grid] | None) -> list[dict]:
    told = " A number on a dark disc is the step that makes the cut. Hatched paper is left over."
    found: list[dict] = []
    for stock in plan.stocks:
        scale = layout_scale(stock.plan.layouts, _SHEET_ROOM)
        sheets = [
            f"{_many(count, 'sheet')} of {sheet.name}" + (" from the cupboard" if kept else "")
            for sheet, _, kept, count in stock.plan.sheet_counts
        ]
        found.append(
            {
                "heading": _held(f"Cut the {plain_text(stock.name)}: {listed(sheets)}"),
                "note": f"Drawn {scale_words(scale)}." + (told if not found else ""),
                "layouts": [_layout(stock, one, scale, grids) for one in stock.plan.layouts],
                "head": ["Done", "Step", "What to do"],
                "rows": [
                    [_BOX, str(step.number), _held(plain_text(step.text()))] for step in stock.plan.steps
                ],
            }
        )
    return found


def _layout(stock: StockPlan, layout: Layout, scale: Fraction, grids: Sequence[Grid] | None) -> dict:
    layout = replace(
        layout, placements=tuple(replace(p, piece=plain_text(p.piece)) for p in layout.placements)
    )
    svg = draw_layout(
        layout, scale=scale / _ENLARGE, grids=grids, heading=False, prefix=f"sheet-{layout.name}-"
    )
    picture = picture_of(svg, describe_layout(layout, grids=grids), _ENLARGE)
    gives = Counter(one.piece for one in layout.placements)
    steps = sorted({cut.number for cut in layout.cuts})
    size = size_text(layout.sheet.width, layout.sheet.height)
    where = " from the cupboard" if layout.from_cupboard else ""
    named = f" ({size})" if layout.sheet.name != size else ""
    lines = [
        f"{_many(layout.count, 'sheet')} of {layout.sheet.name}{named}{where}.",
        "Each gives " + listed([f"{count} × {name}" for name, count in gives.items()]) + ".",
        f"Step{'s' * (len(steps) != 1)} {_runs(steps)}." if steps else "Nothing is cut.",
        f"{float(layout.waste) * 100:.0f}% is left over.",
    ]
    return {
        "title": f"Layout {layout.name}",
        "lines": [_held(line) for line in lines],
        "svg": picture.svg,
        "alt": picture.alt,
        "width": picture.width_mm,
        "height": picture.height_mm,
    }


def _runs(numbers: list[int]) -> str:
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
            shown.append(f"{run[0]} to {run[-1]}")
        else:
            shown += map(str, run)
    return ", ".join(shown)


# Bags and hours ---------------------------------------------------------------------


def _bag(bag: Bag) -> dict:
    count = _many(bag.count, "bag")
    spare = f", {bag.spares} of them spare" if bag.spares else ""
    return {
        "heading": _held(f"{plain_text(bag.name)}: {count}{spare}"),
        "head": ["Got", "What", "In each bag", "In all"],
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


def time_text(minutes: Fraction | None) -> str:
    """ "45 min", "1 h 05 min"; half minutes are rounded up; "not known"."""
    if minutes is None:
        return "not known"
    whole = ceil(minutes)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d} min"


def _times(times: Timetable) -> dict:
    if times.total is not None:
        note = f"{time_text(times.total)} in all."
    elif times.known:
        note = f"{time_text(times.known)}, and what is not known."
    else:
        note = "Your own minutes for a cut, a score and a bag were not given, so the hours are open."
    return {
        "head": ["Begin", "What", "Takes"],
        "rows": [
            [
                "" if job.begins is None else time_text(job.begins),
                _held(plain_text(job.text())),
                time_text(job.minutes),
            ]
            for job in times.jobs
        ],
        "note": note,
    }
