"""The speed of the kit in one table, each row beside the obvious alternative in the same run.

Run: python -m tests.bench.table           prints it
     python -m tests.bench.table --write   and puts it into DEVELOPERS.md between its markers

Times are processor time, all threads together, and the median of several runs: by this clock a busy
machine is hardly slower. What an alternative leaves undone stands in its row. From a key press to the
picture is time by the clock, in a real Chromium; where there is none, the table says so.
"""

from __future__ import annotations

import argparse
import io
import os
import platform
import re
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from itertools import count
from pathlib import Path
from statistics import median

import matplotlib

matplotlib.use("agg")
from matplotlib import pyplot
from matplotlib.backends.backend_pdf import PdfPages

import popkit as pk
from popkit import workbench
from popkit.assembly import assembly_steps
from popkit.checks import check
from popkit.drawing import draw_oblique, draw_pieces, draw_side
from popkit.folding import pose
from popkit.handout import handout_bytes
from popkit.pieces import cut_list
from popkit.regridding import number_by_number, regrid
from popkit.wording import find_lengths, rewrite
from tests.bench.bench_classplan import KITS, boxes_of, kit_of, packed, shelves, terms_of, units
from tests.bench.bench_wording import text

TOP = Path(__file__).parents[2]
PAGE = TOP / "DEVELOPERS.md"
MARKERS = ("<!-- table: speed -->", "<!-- end of table: speed -->")
RECIPE = pk.load_recipe(TOP / "notebooks" / "recipes" / "harbour-lights.toml")
CARD = RECIPE.card
ALIKE = 20  # handouts of the alternative: 200 would take it two minutes


def taken(job: Callable[[], object], times: int = 7) -> float:
    """Median processor time of a job in ms, once it is warm."""
    job()
    found = []
    for _ in range(times):
        before = time.process_time()
        job()
        found.append(time.process_time() - before)
    return 1000 * median(found)


def started(code: str, times: int = 5) -> float:
    """Median processor time of a fresh interpreter in ms, beyond that of an empty one."""

    def once(what: str) -> float:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-c", what], check=True, cwd=TOP)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return (after.ru_utime - before.ru_utime) + (after.ru_stime - before.ru_stime)

    once(code)
    empty = median(once("pass") for _ in range(times))
    return 1000 * (median(once(code) for _ in range(times)) - empty)


# The alternatives -------------------------------------------------------------------


def plotted(angle: float) -> str:
    """The side view as a new matplotlib figure, its lines alone, as SVG text."""
    figure, axes = pyplot.subplots()
    for points in pose(CARD, angle).parts.values():
        axes.plot(points[:, 0], points[:, 1], "k-")
    axes.set_aspect("equal")
    page = io.StringIO()
    figure.savefig(page, format="svg")
    pyplot.close(figure)
    return page.getvalue()


def pages(name: str = "") -> bytes:
    """The pieces and the steps of a card through PdfPages: lines and text, no tags, nothing tested."""
    page = io.BytesIO()
    with PdfPages(page) as book:
        for piece in cut_list(CARD):
            figure, axes = pyplot.subplots(figsize=(8.27, 11.69))
            axes.set_title(f"{name} {piece.name}")
            wide, high = (float(side.m_as("mm")) for side in (piece.width, piece.length))
            axes.add_patch(pyplot.Rectangle((0, 0), wide, high, fill=False))
            for score in piece.scores:
                axes.axhline(float(score.m_as("mm")), linestyle="--")
            axes.set_aspect("equal")
            book.savefig(figure)
            pyplot.close(figure)
        figure = pyplot.figure(figsize=(8.27, 11.69))
        figure.text(0.1, 0.1, "\n".join(step.text for step in assembly_steps(CARD)))
        book.savefig(figure)
        pyplot.close(figure)
    return page.getvalue()


NUMBER = re.compile(r"(\d+/\d+|\d+(?:\.\d+)?)\s*(?:(?:inches|inch|in)\b|\")")


def replaced(said: str) -> str:
    """Lengths by one regular expression, each rounded by itself."""

    def to_mm(found: re.Match) -> str:
        top, _, under = found[1].partition("/")
        return f"{round(float(top) / float(under or 1) * 25.4)} mm"

    return NUMBER.sub(to_mm, said)


# The rows ---------------------------------------------------------------------------


def whole_class() -> tuple[float, int]:
    """Processor time in ms of a class of 200 in an interpreter of its own, and its memory in MB."""
    code = (
        "import resource, tempfile, time\n"
        "from tests.bench.bench_class_handouts import PEOPLE, RECIPE, write_class\n"
        "before = time.process_time()\n"
        "with tempfile.TemporaryDirectory() as folder: write_class(RECIPE, PEOPLE, folder)\n"
        "print(1000 * (time.process_time() - before))\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], check=True, cwd=TOP, capture_output=True, text=True
    )
    spent, megabytes = done.stdout.split()
    return float(spent), int(megabytes)


def presses() -> list[str]:
    """From a key press to the picture: a table of what the browser's own benchmark tells."""
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-s", "-o", "addopts=", "tests/browser/bench_latency.py"],
        cwd=TOP,
        capture_output=True,
        text=True,
    )
    told = re.findall(
        r"^(.+): median (\d+) ms, 90th percentile (\d+) ms, least (\d+) ms$", done.stdout, re.MULTILINE
    )
    if not told:
        return ["From a key press to the picture: not measured, there was no browser."]
    return [
        "| from a key press to the new picture | median | 90th percentile | least |",
        "| --- | --- | --- | --- |",
        *(f"| {what} | {a} ms | {b} ms | {c} ms |" for what, a, b, c in told),
        "",
        "By the clock, in Chromium. Aims for the opening: 33 ms, and 60 ms at the 90th percentile.",
    ]


def rows() -> list[tuple[str, float, str, float, str]]:
    """(what, popkit in ms, the alternative, that in ms, what else is to be said)."""
    found = []
    found.append(
        (
            "start: import, first length parsed",
            started("import popkit as pk; pk.parse_length('8 1/2 in')"),
            "plain pint, floats",
            started("import pint; pint.UnitRegistry()('8.5 in')"),
            "popkit's registry is exact, and comes from pint's cache folder",
        )
    )
    bench, sizes, angles = workbench.laid_out(RECIPE), count(), count()

    def again() -> None:
        inches = 2 + next(sizes) % 8 * 0.125
        card = workbench.edited(bench, ("tiers", 0, "face"), f"{inches} in").card
        pieces = cut_list(card)
        check(card, bench.ruler)
        draw_pieces(card, grids=bench.grids, pieces=pieces)
        draw_side(card, 90, grids=bench.grids, steady=True)
        draw_oblique(card, 90, grids=bench.grids, steady=True)

    three = taken(lambda: [plotted(next(angles) % 181) for _ in range(3)])
    found.append(
        (
            "a size changed: card, pieces, checks and three pictures",
            taken(again),
            "three new matplotlib figures, nothing worked out",
            three,
            "",
        )
    )
    found.append(
        (
            "side view as SVG",
            taken(lambda: draw_side(CARD, next(angles) % 181)),
            "a new matplotlib figure, lines only",
            taken(lambda: plotted(next(angles) % 181)),
            f"{len(draw_side(CARD, 90)) // 1024} against {len(plotted(90)) // 1024} KB",
        )
    )
    found.append(
        (
            "one handout, tagged PDF",
            taken(lambda: handout_bytes(RECIPE, name=f"Student {next(sizes)}"), 5),
            "PdfPages: a page for a piece, one of steps, no tags",
            taken(pages, 3),
            f"{len(handout_bytes(RECIPE)) // 1024} against {len(pages()) // 1024} KB",
        )
    )
    spent, megabytes = whole_class()
    found.append(
        (
            "a class of 200: a handout for each, and one file of all",
            spent,
            f"PdfPages, {ALIKE} of them",
            taken(lambda: [pages(f"Student {n}") for n in range(ALIKE)], 1),
            f"{megabytes} MB at the highest",
        )
    )
    moved, broken = regrid(CARD, "1 mm"), number_by_number(CARD, "1 mm")
    found.append(
        (
            "a card on a ruler of 1 mm",
            taken(lambda: regrid(CARD, "1 mm")),
            "every number rounded by itself",
            taken(lambda: number_by_number(CARD, "1 mm")),
            f"laws broken: none{' (proved best)' if moved.proved else ''} against {len(broken.breaks)}",
        )
    )
    said = text(2000)
    found.append(
        (
            "2,000 words rewritten",
            taken(lambda: rewrite(said, "1 mm"), 5),
            "one regular expression",
            taken(lambda: replaced(said)),
            f"lengths found: {len(find_lengths(said))} against {len(NUMBER.findall(said))}",
        )
    )
    instance = KITS[0]
    pieces, terms = kit_of(instance), terms_of(instance)
    boxes, sheet = boxes_of(pieces, 24, terms["turn"]), units(terms["sheet"])
    plan = pk.plan_sheets(pieces, students=24, **terms)
    sheets = f"{plan.sheets} sheets{', proved' if plan.proved else f', at least {plan.bound}'}"
    ours = taken(lambda: pk.plan_sheets(pieces, students=24, **terms), 3)
    for name, peer in (("shelves, first fit by falling height", shelves), ("rectpack", packed)):
        needed = peer(sheet, boxes)
        found.append(
            (
                f"cut plan for 24 ({len(pieces)} kinds of piece)",
                ours,
                name,
                taken(lambda peer=peer: peer(sheet, boxes), 3),
                f"{sheets} against {needed}",
            )
        )
    return found


def written(ms: float) -> str:
    """A time as a reader takes it in: two figures."""
    return f"{ms / 1000:.1f} s" if ms >= 1000 else f"{ms:.0f} ms" if ms >= 10 else f"{ms:.1f} ms"


def table() -> str:
    """The whole table as Markdown, with the machine it was made on."""
    head = [
        "| what | popkit | the alternative | its time | beside that |",
        "| --- | --- | --- | --- | --- |",
    ]
    body = [f"| {a} | {written(b)} | {c} | {written(d)} | {e} |" for a, b, c, d, e in rows()]
    made = (
        "The first table is processor time, all threads, median. "
        f"Python {platform.python_version()}, {os.cpu_count()} cores, "
        f"load {os.getloadavg()[0]:.1f} when it ended: read the ratios. "
        "Made by `python -m tests.bench.table --write`."
    )
    return "\n".join([*head, *body, "", *presses(), "", made])


def main() -> None:
    """Print the table; with --write put it between its markers."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--write", action="store_true", help="put it into DEVELOPERS.md")
    asked, made = ask.parse_args(), table()
    print(made)
    if asked.write:
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(MARKERS[0])
        _, end, after = rest.partition(MARKERS[1])
        if not end:
            sys.exit(f"{PAGE.name} has no place for it: put {MARKERS[0]} and {MARKERS[1]} there.")
        PAGE.write_text(f"{before}{MARKERS[0]}\n{made}\n{MARKERS[1]}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
