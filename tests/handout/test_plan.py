"""The tutor's plan of a class, read back with general-purpose PDF libraries.

Source of the rules on tags: ISO 14289-1 (PDF/UA-1): headings, tables with header cells, figures with
alternative text; clear print: 14 pt body (RNIB Clear Print).
"""

from __future__ import annotations

import re
from fractions import Fraction

import pikepdf
import pytest

from popkit.card import Card, ClearFront, CutStep, JoinedFront, OnePieceFront, stepped_tiers
from popkit.classplan.classes import plan_class
from popkit.classplan.kits import Kit
from popkit.classplan.preparing import Minutes
from popkit.classplan.prices import read_prices
from popkit.handout import HandoutError
from popkit.handout.plan import class_plan_bytes, class_plan_pages, time_text, write_class_plan
from popkit.pieces import Piece, cut_list
from popkit.recipe import Recipe
from popkit.roster import read_roster
from tests.handout.reading import structure

ROSTER = """name,seat,card,unit,large print,needs
Ines Marchetti,1,Tidewell steps,,no,
<b>Tom</b>,2,Tidewell steps,,yes,"left-handed, #strong[end] of a table"
Li Wei (李伟),3,Quay,,no,
"""
PRICES = """currency = "£"
[[sheet]]
stock = "card stock"
sheet = "A4"
pack = 4
price = "2.00"
"""


@pytest.fixture(scope="module")
def plan():
    recipes = [
        Recipe(
            title="Tidewell steps",
            card=Card(
                width="105 mm",
                height="148 mm",
                tiers=stepped_tiers("148 mm", 2),
                front=JoinedFront(),
            ),
        ),
        Recipe(
            title="Quay",
            card=Card(
                width="4 1/4 in",
                height="5 1/2 in",
                tiers=stepped_tiers("5 1/2 in", 2),
                front=ClearFront(),
            ),
        ),
    ]
    return plan_class(read_roster(ROSTER, "roster"), recipes, sheets="A4", stack=2, spares=1)


@pytest.fixture(scope="module")
def pdf(plan):
    return class_plan_bytes(
        plan,
        title="Saturday <i>",
        prices=read_prices(PRICES),
        minutes=Minutes(cut="0.5", score="0.25", bag=2),
    )


def test_it_is_tagged_titled_and_in_english(pdf, opened):
    document = opened(pdf)
    assert bool(document.Root.MarkInfo.Marked)
    assert str(document.Root.Lang).startswith("en")
    with document.open_metadata() as metadata:
        assert metadata["pdfuaid:part"] == "1"
        assert metadata["dc:title"] == "Class plan: Saturday <i>"


def test_headings_lists_figures_and_tables_are_there(pdf, opened, plan):
    found = structure(opened(pdf))
    kinds = [kind for kind, _, _ in found]
    assert {"H1", "H2", "P", "L", "Table", "TR", "TH", "TD", "Figure"} <= set(kinds)
    figures = [str(one.get("/Alt", "")) for kind, one, _ in found if kind == "Figure"]
    assert len(figures) == len(plan.layouts)
    for layout, text in zip(plan.layouts, figures, strict=True):
        assert text.startswith(f"Layout {layout.name}: ")
        assert text.count("Cut ") == len(layout.cuts)


def test_every_table_begins_with_a_row_of_header_cells(pdf, opened):
    def rows(table):
        for kid in table.K:
            if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                if str(kid.S) == "/TR":
                    yield [str(cell.S) for cell in kid.K if isinstance(cell, pikepdf.Dictionary)]
                else:
                    yield from rows(kid)

    tables = [one for kind, one, _ in structure(opened(pdf)) if kind == "Table"]
    assert len(tables) >= 5
    for table in tables:
        first, *others = rows(table)
        assert set(first) == {"/TH"}
        assert others
        assert all(len(row) == len(first) for row in others)


def test_every_step_and_every_piece_is_printed(pdf, words, plan):
    said = words(pdf)
    steps = "".join(said.split())
    for step in plan.steps:
        assert f"{step.number}" in steps
    assert steps.count("☐") >= len(plan.steps) + len(plan.kits)
    for kit in plan.kits:
        for piece in kit.pieces:
            assert "".join(piece.name.split()) in steps
    for layout in plan.layouts:
        assert f"Layout{layout.name}" in steps


def test_names_and_needs_are_plain_text(pdf, words):
    said = " ".join(words(pdf).split())
    for text in ("<b>Tom</b>", "#strong[end]", "李伟", "Saturday <i>", "large print"):
        assert text in said


def test_money_and_minutes_are_summed(pdf, words, plan):
    # A pack of 4 sheets is £2.00.
    said = " ".join(words(pdf).split())
    sheets = sum(
        count
        for one in plan.plans
        for _, stock, _, count in one.sheet_counts
        if stock.name == "card stock"
    )
    packs = -(-sheets // 4)
    assert f"£{packs * 2}.00" in said
    assert "whose prices are not known" in said
    assert f"pack {sum(kit.bags for kit in plan.kits[:1])} bag" in said


def test_the_cautions_come_before_the_first_cut_and_say_what_goes_first(pdf, words):
    said = " ".join(words(pdf).split())
    safe, cut = said.index("Keep safe"), said.index("The cuts in order")
    assert safe < cut
    told = said[safe:cut].casefold()
    for word in ("knife", "trimmer", "clear sheet", "label", "law"):
        assert word in told


@pytest.mark.parametrize("known", ["card", "pieces"])
def test_a_plan_has_a_trimmer_and_says_what_to_take_care_of(words, known):
    """Cut steps alone need no trimmer at the table, but the sheets of the class are cut on one."""
    steps = (CutStep(face="50 mm", depth="30 mm"),)
    card = Card(width="105 mm", height="120 mm", tiers=steps, front=OnePieceFront())
    made = Recipe(title="Quay steps", card=card)
    if known == "pieces":
        made = Kit(name="Quay steps", pieces=cut_list(card), count=1)
    said = " ".join(words(class_plan_bytes(plan_class([(made, 6)], turn="free"))).split())
    told = said[said.index("Keep safe") : said.index("The cuts in order")]
    topics = ("Craft knife", "Trimmer", "Children", "What goes first")
    order = [told.index(f"{topic}.") for topic in topics]
    assert order == sorted(order)


def test_the_body_is_14_pt(pdf, measured):
    with measured(pdf) as document:
        chars = [char for page in document.pages for char in page.chars]
    sizes = [round(char["size"]) for char in chars if char["matrix"][1] == 0]  # not turned
    assert max(set(sizes), key=sizes.count) == 14
    assert min(sizes) >= 12


def test_layouts_are_drawn_to_the_scale_they_name(pdf, measured):
    # ISO 216: A4 is 210 x 297 mm; 1 : 3 of it is 70 x 99 mm = 198.4 x 280.6 pt (72 pt to the inch).
    with measured(pdf) as document:
        text = "\n".join(page.extract_text() for page in document.pages)
        scale = Fraction(1, int(re.search(r"Drawn 1 : (\d)", text)[1]))
        wide, tall = (float(Fraction(side) * scale * 72 * 10 / 254) for side in (210, 297))
        boxes = [
            (rect["width"], rect["height"])
            for page in document.pages
            for rect in page.rects + page.curves
        ]
    assert any(
        w == pytest.approx(wide, abs=0.05) and h == pytest.approx(tall, abs=0.05) for w, h in boxes
    )


def test_the_same_plan_makes_the_same_bytes(plan, tmp_path):
    path = write_class_plan(plan, tmp_path / "plan.pdf", paper="letter")
    assert path.read_bytes() == class_plan_bytes(plan, paper="Letter")
    assert len(class_plan_pages(plan, ppi=20)) >= 4


def test_what_the_offcuts_still_give_is_listed_where_asked(plan, words):
    strip = Piece(name="greeting strip", width="10 mm", length="60 mm")
    said = " ".join(words(class_plan_bytes(plan, useful=[strip])).split())
    assert "What the offcuts still give" in said
    assert "greeting strip" in said
    assert "What the offcuts still give" not in " ".join(words(class_plan_bytes(plan)).split())


def test_every_fault_is_told_at_once_and_nothing_written(plan, tmp_path):
    with pytest.raises(HandoutError) as caught:
        write_class_plan(
            plan,
            tmp_path / "plan.txt",
            title="x" * 200,
            prices=3,
            paper="A9",
            grids=("a", "b"),
            useful=[1],
        )
    assert len(caught.value.faults) == 6
    assert list(tmp_path.iterdir()) == []


def test_what_is_no_plan_is_refused(tmp_path):
    with pytest.raises(HandoutError, match="no plan of a class"):
        write_class_plan("plan", tmp_path / "plan.pdf")


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (None, "not known"),
        (Fraction(0), "0 min"),
        (Fraction(5, 2), "3 min"),
        (Fraction(59), "59 min"),
        (Fraction(119, 2), "1 h 00 min"),
        (Fraction(185), "3 h 05 min"),
    ],
)
def test_minutes_are_said_in_hours(minutes, said):
    assert time_text(minutes) == said
