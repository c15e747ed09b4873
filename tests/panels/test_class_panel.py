"""The class panel without a kernel: what is typed, what is said, what is stopped, what is printed."""

from __future__ import annotations

import asyncio
import re
import shutil
import threading
from pathlib import Path

import pytest

from popkit.classbench import TURNS, ClassForm, chart_sizes, progress_words, read_form
from popkit.classplan.results import Progress
from popkit.panels.background import Background
from popkit.panels.classplan import ClassPanel
from popkit.recipe import load_recipe

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"


@pytest.fixture
def home(tmp_path):
    (tmp_path / "handouts").mkdir()
    (tmp_path / "recipes").mkdir()
    (tmp_path / "rosters").mkdir()
    for name in ("harbour-lights", "ferry-steps", "kitchen-garden-stile"):
        shutil.copy(NOTEBOOKS / "recipes" / f"{name}.toml", tmp_path / "recipes")
    (tmp_path / "rosters" / "small.csv").write_text(
        "name,card,large print,needs\nZoë <b>,Harbour lights,yes,a lamp\nTom,Harbour lights,no,\n",
        encoding="utf-8",
    )
    shutil.copy(NOTEBOOKS / "prices.toml", tmp_path)
    return tmp_path


def panel_in(home, **how):
    return ClassPanel(home / "recipes", home / "handouts", home / "rosters", home / "prices.toml", **how)


@pytest.fixture
def panel(home):
    return panel_in(home, chosen=("ferry-steps",), students=8)


def typed(panel, row, text):
    row.box.value = text
    panel.wait()


# Who comes, from what, on what ------------------------------------------------------


def test_a_class_is_planned_drawn_listed_and_priced(panel):
    # The ferry steps are one piece, 280 mm across the grain and 100 mm along it. Of A3 (ISO 216),
    # 297 x 420 mm with its grain along the 420, that is 1 across x 4 along: 8 students, 2 sheets.
    assert panel.plan.proved
    assert panel.plan.sheets == 2
    assert "Done: 2 sheets" in panel.state.value
    assert panel.layouts.value.count("<svg") == len(panel.plan.layouts)
    assert panel.cuts.value.count("<li") == len(panel.plan.steps)
    assert "7.60" in panel.shopping.value  # a pack of 20 A3, from the price list
    assert "8 bags" in panel.bags.value
    assert panel.stop.layout.display == "none"


def test_another_class_size_is_another_plan(panel):
    typed(panel, panel.counts["ferry-steps"], "9")
    assert panel.plan.sheets == 3
    assert "Done: 3 sheets" in repr(panel)


def test_several_recipes_each_have_their_number(panel):
    panel.recipes.value = ("ferry-steps", "kitchen-garden-stile")
    panel.wait()
    assert [row.box.description for row in panel.counts.values()] == [
        "The ferry steps",
        "The kitchen garden stile",
    ]
    typed(panel, panel.counts["kitchen-garden-stile"], "2")
    assert panel.plan.students == 10


def test_no_recipe_chosen_is_said(panel):
    panel.recipes.value = ()
    panel.wait()
    assert "No recipe is chosen" in panel._counts_why.value
    assert "Not planned" in panel.state.value
    panel.recipes.value = ("ferry-steps",)
    panel.wait()
    assert "Done" in panel.state.value


def test_an_empty_folder_is_said_and_nothing_breaks(tmp_path):
    (tmp_path / "recipes").mkdir()
    panel = ClassPanel(tmp_path / "recipes", tmp_path, tmp_path / "none", "")
    assert panel.plan is None
    assert "There are no recipes here yet." in panel.recipes_hint.value
    assert "Not planned" in repr(panel)
    panel.print.click()
    assert "no plan to print" in panel.saved.value


def test_a_roster_from_a_file_with_names_as_plain_text(home):
    panel = panel_in(home, roster="small")
    assert panel.plan.students == 2
    assert "Zoë &lt;b&gt;" in panel.bags.value
    assert "<b>" not in panel.bags.value
    assert "large print" in panel.bags.value
    assert "a lamp" in panel.bags.value


def test_a_roster_is_pasted_and_its_faults_stay_with_it(panel):
    panel.source.value = "roster"
    panel.wait()
    assert "Nobody is on the roster yet" in panel.roster.why.value
    wrong = "name,card\nTom,Harbour lights\nTom,Harbour lights\nAda,Quay"
    typed(panel, panel.roster, wrong)
    assert panel.roster.box.value == wrong
    assert "line 3" in panel.roster.why.value.casefold()
    typed(panel, panel.roster, "name,card\nTom,Harbour lights\nAda,Quay <i>")
    assert "Quay &lt;i&gt;" in panel.roster.why.value
    typed(panel, panel.roster, "name;card\nTom;Harbour lights")
    assert panel.plan.students == 1


def test_a_roster_of_one_line_is_no_path(panel):
    panel.source.value = "roster"
    typed(panel, panel.roster, "/etc/passwd")
    assert "heading" in panel.roster.why.value
    assert "root" not in repr(panel)


def test_a_roster_file_with_faults_comes_into_the_box_as_it_is(home):
    bad = "name,card\nTom,Harbour lights\nTom,Harbour lights\n"
    (home / "rosters" / "bad.csv").write_text(bad, encoding="utf-8")
    panel = panel_in(home, roster="bad")
    assert panel.roster.box.value == bad
    assert "Tom" in panel.roster.why.value
    assert panel.plan is None


def test_a_roster_that_is_a_spreadsheet_is_told_from_a_text(home):
    (home / "rosters" / "book.csv").write_bytes(b"PK\x03\x04\0\0\0")
    panel = panel_in(home, roster="book")
    assert "spreadsheet" in panel.roster_remarks.value


# Sheets, cupboard, trimmer -------------------------------------------------------------


def test_sheets_to_choose_from_and_a_cupboard(panel):
    row = panel.sheets["card stock"]
    assert "A3" in row.box.placeholder
    typed(panel, row, "A4")
    assert "fits no A4 sheet" in panel.state.value
    panel.turn.value = "free"
    panel.wait()
    assert panel.plan.sheets == 4  # two of 100 mm beside each other in 210 mm
    typed(panel, row, "A4 or 12 x 18 in")
    assert {sheet.name for one in panel.plan.stocks for sheet in one.sheets} == {"A4", "12 in × 18 in"}
    typed(panel, row, "")
    panel.turn.value = "grain"
    typed(panel, panel.cupboard["card stock"], "1 A3")
    assert panel.plan.sheets == 2
    assert panel.plan.bought == 1


@pytest.mark.parametrize(
    ("box", "text", "reason"),
    [
        ("sheets", "A99", "no sheet we know"),
        ("sheets", "9 x <b>", "not a length"),
        ("cupboard", "some A4", "how many"),
        ("cupboard", "5 A99", "no sheet we know"),
    ],
)
def test_a_wrong_sheet_stays_in_its_box_with_the_reason(panel, box, text, reason):
    row = getattr(panel, box)["card stock"]
    typed(panel, row, text)
    assert row.box.value == text
    assert reason in row.why.value
    assert "<b>" not in row.why.value
    assert "popkit-bad" in row.box._dom_classes
    assert "Not planned" in panel.state.value
    assert "the plan of the class before" in panel.state.value
    typed(panel, row, "")
    assert row.why.value == ""
    assert "Done" in panel.state.value


@pytest.mark.parametrize(
    ("name", "text", "reason"),
    [
        ("spares", "-1", "whole number"),
        ("spares", "two", "whole number"),
        ("stack", "0", "whole number, 1"),
        ("longest", "long", "long"),
        ("longest", "12", "unit"),
        ("extras", "pencils", "how many"),
        ("extras", "0 pencils", "how many"),
    ],
)
def test_every_wrong_input_stays_in_its_box_with_the_reason(panel, name, text, reason):
    row = getattr(panel, name)
    before = panel.plan
    typed(panel, row, text)
    assert row.box.value == text
    assert reason in row.why.value
    assert panel.plan is before


def test_a_piece_too_large_is_named_and_so_is_a_sheet_that_would_do(panel):
    typed(panel, panel.longest, "150 mm")
    assert "There is no plan of this class" in panel.state.value
    assert "back and front" in panel.state.value
    assert panel.plan is None
    typed(panel, panel.longest, "")
    assert panel.plan.sheets == 2


def test_spares_and_what_else_goes_in_the_bags(panel):
    typed(panel, panel.spares, "1")
    typed(panel, panel.extras, "2 foam pads, 1 <i>")
    assert panel.plan.bags == 9
    assert "foam pads" in panel.bags.value
    assert "&lt;i&gt;" in panel.bags.value
    assert "foam pads" in panel.shopping.value.casefold()


def test_offcuts_give_what_would_be_of_use_and_the_plan_stays(panel):
    plan = panel.plan
    # A full sheet gives four of 280 x 100 mm from 297 x 420: 17 mm are left beside them, 20 under them.
    typed(panel, panel.useful, "strip <i> 10 x 90 mm")
    assert panel.plan is plan
    assert "strip &lt;i&gt;" in panel.offcuts.value
    assert "strip <i>" in repr(panel)
    typed(panel, panel.useful, "mat 100 x 100 mm")
    assert "too small" in panel.offcuts.value
    for text, reason in (("strip", "how large"), ("strip 4 x", "how large"), ("strip 4 x 5", "unit")):
        typed(panel, panel.useful, text)
        assert reason in panel.useful.why.value
        assert panel.useful.box.value == text
    assert "Done" in panel.state.value


# Money and minutes -----------------------------------------------------------------------


def test_prices_and_minutes_change_the_sums_and_not_the_plan(panel):
    plan = panel.plan
    for job in ("cut", "setting", "score", "slit", "bag"):
        typed(panel, panel.minutes[job], "1")
    assert panel.plan is plan
    assert "in all" in panel.times.value
    typed(
        panel,
        panel.prices,
        'currency = "€"\n[[sheet]]\nstock = "card stock"\nsheet = "A3"\npack = 2\nprice = "3.00"',
    )
    assert panel.plan is plan
    assert "€3.00" in panel.shopping.value


def test_a_wrong_price_list_is_told_line_by_line_and_the_plan_stands(panel):
    typed(panel, panel.prices, '[[sheet]]\nstock = "card stock"\nprice = "three"')
    assert "three" in panel.prices.why.value
    assert panel._folds["prices"].unfolded
    assert "Done" in panel.state.value
    typed(panel, panel.minutes["cut"], "soon")
    assert "soon" in panel.minutes["cut"].why.value
    assert panel._folds["minutes"].unfolded


def test_a_missing_price_list_is_said(home):
    panel = ClassPanel(home / "recipes", home / "handouts", prices=home / "none.toml")
    assert "There is no price list “none.toml” here." in panel.state.value


# The chart, the folds, the page ------------------------------------------------------------


def test_the_chart_is_worked_out_on_demand_and_goes_with_its_class(panel):
    panel.draw.click()
    panel.wait()
    assert "(this class)" in panel.sizes.facts
    assert 'alt="Sheets and waste' in panel.chart.value
    typed(panel, panel.counts["ferry-steps"], "4")
    assert panel.chart.value == ""


def test_recipes_of_one_title_are_told_by_their_files(home):
    """Two cards of one title cannot be told apart; two files that are alike are one card."""
    ferry = (home / "recipes" / "ferry-steps.toml").read_text(encoding="utf-8")
    other = (home / "recipes" / "harbour-lights.toml").read_text(encoding="utf-8")
    other = other.replace('title = "Harbour lights"', 'title = "The ferry steps"')
    (home / "recipes" / "ferry-copy.toml").write_text(ferry, encoding="utf-8")
    (home / "recipes" / "ferry-other.toml").write_text(other, encoding="utf-8")
    panel = panel_in(home, chosen=("ferry-steps", "ferry-copy"), students=2)
    (why,) = panel._asked.faults["counts"]
    assert "“ferry-copy”" in why
    assert "“ferry-steps”" in why
    assert "alike" in why
    panel.recipes.value = ("ferry-other", "ferry-steps")
    panel.wait()
    (why,) = panel._asked.faults["counts"]
    assert "“ferry-other”" in why
    assert "“ferry-steps”" in why
    assert "its own title" in why


def test_minutes_with_a_decimal_comma_are_told_how_to_write_them(panel):
    typed(panel, panel.minutes["cut"], "0,5")
    assert "write &quot;0.5&quot;" in panel.minutes["cut"].why.value


@pytest.mark.parametrize("text", ["5 sheets A4", "5 sheets of A4", "5 A4", "5 x A4", "5 of A4"])
def test_the_cupboard_is_read_with_and_without_of(panel, text):
    ((name, _),) = panel._asked.stocks
    form = ClassForm(counts=(("ferry-steps", "8"),), cupboard={name: text})
    asked = read_form(form, panel._recipes)
    assert not asked.faults
    assert [(sheet.name, count) for sheet, count in asked.how["cupboard"][name]] == [("A4", 5)]


def test_a_piece_that_fits_only_when_turned_is_told_in_the_words_of_the_panel(panel):
    """The ferry steps, 280 mm across the grain and 100 mm along it, lie on A4 (ISO 216, 210 × 297 mm)
    with their 280 mm along it only.
    """
    typed(panel, next(iter(panel.sheets.values())), "A4")
    assert TURNS["free"] in panel.state.value
    assert "turn=" not in panel.state.value
    panel.turn.value = "free"
    panel.wait()
    assert "Done" in panel.state.value


def test_the_chart_counts_spare_kits_as_the_plan_does_and_says_what_it_leaves_out(panel):
    """4 of the ferry steps to a sheet of A3: 8 students and 3 spare kits take 3 sheets, not 2."""
    typed(panel, panel.spares, "3")
    typed(panel, next(iter(panel.cupboard.values())), "1 A3")
    assert "Done: 3 sheets" in panel.state.value
    panel.draw.click()
    panel.wait()
    assert "8 students (this class): 3 sheets" in panel.sizes.facts
    for told in (panel.sizes.facts, panel.chart.value):
        assert "3 of each card" in told
        assert "cupboard is left out" in told


@pytest.mark.parametrize("students", [1, 2, 7, 24, 1000])
def test_a_chart_shows_a_dozen_sizes_and_this_one(students):
    sizes = chart_sizes(students)
    assert students in sizes
    assert 6 <= len(sizes) <= 13
    assert sizes[0] >= 1
    assert sizes[-1] >= students


def test_a_part_is_folded_away_by_a_button_that_says_so(panel):
    fold = panel._folds["prices"]
    assert fold.toggle.description == "Show"
    fold.toggle.click()
    assert fold.toggle.description == "Hide"
    assert fold.inside.layout.display is None


def test_tables_have_header_cells_and_captions(panel):
    for part in (panel.shopping, panel.bags, panel.times):
        assert "<caption>" in part.value
        assert '<th scope="col">' in part.value
        assert '<th scope="row">' in part.value


def test_ids_of_two_panels_never_meet(home):
    pages = [panel_in(home, chosen=("ferry-steps",), students=4).layouts.value for _ in range(2)]
    found = [set(re.findall(r' id="([^"]+)"', page)) for page in pages]
    assert found[0]
    assert not found[0] & found[1]


# Printing ----------------------------------------------------------------------------------


def test_the_plan_is_printed_once_under_a_name(panel, home):
    panel.file.value = "../out"
    panel.print.click()
    assert "leads out of the folder" in panel.saved.value
    panel.file.value = "saturday"
    panel.print.click()
    assert "Printed saturday.pdf in handouts." in panel.saved.value
    assert (home / "handouts" / "saturday.pdf").read_bytes().startswith(b"%PDF-")
    panel.print.click()
    assert "already" in panel.saved.value
    panel.overwrite.value = True
    panel.print.click()
    assert "Printed" in panel.saved.value
    assert sorted(path.name for path in home.rglob("*.pdf")) == ["saturday.pdf"]


# What is typed, read ------------------------------------------------------------------------


@pytest.fixture(scope="module")
def recipes():
    return {"quay": load_recipe(NOTEBOOKS / "recipes" / "harbour-lights.toml")}


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("A4", ["A4"]),
        ("a4; letter", ["A4", "Letter"]),
        ("12 in square or 9 x 12 in", ["12 in square", "9 in × 12 in"]),
        ("210 mm by 9 in", ["210 mm × 9 in"]),
        ("8 1/2 × 11 in", ["8½ in × 11 in"]),
    ],
)
def test_sheets_are_read_as_they_are_said(recipes, text, names):
    form = ClassForm(counts=(("quay", "2"),), sheets={"card stock": text})
    asked = read_form(form, recipes)
    assert asked.faults == {}
    assert [sheet.name for sheet in asked.how["sheets"]["card stock"]] == names


@pytest.mark.parametrize(
    ("text", "counts"),
    [("5 A4", [5]), ("5 × A4, 3 of 9 x 12 in", [5, 3]), ("12 sheets of Letter", [12])],
)
def test_a_cupboard_is_read_as_it_is_said(recipes, text, counts):
    form = ClassForm(counts=(("quay", "2"),), cupboard={"card stock": text})
    asked = read_form(form, recipes)
    assert asked.faults == {}
    assert [count for _, count in asked.how["cupboard"]["card stock"]] == counts


def test_every_fault_of_a_form_is_found_at_once(recipes):
    form = ClassForm(
        counts=(("quay", "many"),),
        spares="x",
        longest="x",
        stack="x",
        extras="x",
        prices="x",
        minutes={"cut": "x"},
    )
    asked = read_form(form, recipes)
    assert set(asked.faults) == {
        *("counts:quay", "spares", "longest", "stack", "extras", "prices", "minutes:cut")
    }
    assert asked.wrong


def test_progress_is_said_in_sheets():
    one = Progress(phase="layouts", stock="card stock", best=24, bound=23, part=1, parts=3)
    assert progress_words(one) == "card stock (1 of 3): 24 sheets so far, at least 23 needed"
    first = Progress(phase="first plan", stock="card stock", best=None, bound=0)
    assert progress_words(first) == "card stock: looking for a first plan"


# Beside the page ----------------------------------------------------------------------------


def test_work_is_stopped_keeps_what_it_has_and_begins_one_at_a_time():
    background, shown, running, most = Background(), [], [], []

    def work(name, go_on):
        def run(tell, stop):
            running.append(name)
            most.append(len(running))
            tell(f"{name} so far")
            while not stop() and not go_on.is_set():
                threading.Event().wait(0.005)
            running.remove(name)
            return name

        return run

    endless = threading.Event()
    background.start(work("first", endless), shown.append, lambda *end: shown.append(end))
    assert background.busy
    finished = threading.Event()
    finished.set()
    background.start(work("second", finished), shown.append, lambda *end: shown.append(end))
    background.wait()
    assert shown == ["second so far", ("second", None)]  # nothing of the first, which was stopped
    assert max(most) == 1
    background.start(work("third", endless), shown.append, lambda *end: shown.append(end))
    background.stop()
    assert background.stopping
    background.wait()
    assert shown[-1] == ("third", None)


def test_what_goes_wrong_in_the_thread_is_handed_over():
    background, ends = Background(), []

    def work(tell, stop):
        raise ValueError("no")

    background.start(work, print, lambda *end: ends.append(end))
    background.wait()
    assert ends[0][0] is None
    assert str(ends[0][1]) == "no"


def test_in_a_kernel_everything_is_shown_in_its_own_thread():
    background, threads = Background(), []

    async def run():
        done = asyncio.Event()

        def work(tell, stop):
            threads.append(threading.get_ident())
            for number in range(50):
                tell(number)

        def ended(*_):
            threads.append(threading.get_ident())
            done.set()

        background.start(work, lambda _: threads.append(threading.get_ident()), ended)
        await asyncio.wait_for(done.wait(), 20)

    asyncio.run(run())
    worker, *others = threads
    assert set(others) == {threading.get_ident()}
    assert worker != threading.get_ident()
    assert not background.busy


def test_a_long_proof_is_stopped_and_the_best_plan_kept(home, monkeypatch):
    """A proof without end, so that the test hangs on no machine's speed."""
    import popkit.panels.classplan as module

    planned = module.planned
    began = threading.Event()

    def endless(asked, tell, stop):
        plan = planned(asked, tell, lambda: True)
        tell(Progress(phase="closing the gap", stock="card stock", best=9, bound=8))
        began.set()
        while not stop():
            threading.Event().wait(0.005)
        return plan

    monkeypatch.setattr(module, "planned", endless)
    panel = panel_in(home, chosen=("ferry-steps",), students=8, wait=False)
    assert began.wait(60)
    panel._background._deliver()
    assert "9 sheets so far, at least 8 needed" in panel.state.value
    assert panel.stop.layout.display is None
    panel.stop.click()
    assert "Stopping" in panel.state.value
    panel.wait()
    assert panel.plan.sheets == 2
    assert panel.layouts.value.count("<svg") == len(panel.plan.layouts)
    assert panel.stop.layout.display == "none"
