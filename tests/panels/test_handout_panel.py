"""The handout panel without a kernel."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pypdfium2
import pytest

from popkit.panels import HandoutPanel, handout_folder

RECIPES = Path(__file__).parents[2] / "notebooks" / "recipes"


@pytest.fixture
def panel(tmp_path):
    (tmp_path / "handouts").mkdir()
    return HandoutPanel(RECIPES, tmp_path / "handouts", chosen=("harbour-lights",))


def printed(panel):
    panel.print.click()
    return sorted(path.name for path in panel._folder.rglob("*.pdf"))


def test_several_recipes_are_printed_at_once(panel):
    panel.recipes.value = ("allotment", "ferry-steps")
    assert printed(panel) == ["allotment-a4.pdf", "ferry-steps-a4.pdf"]
    assert all(path.read_bytes().startswith(b"%PDF-") for path in panel.written)
    assert "Printed allotment-a4.pdf in handouts." in repr(panel)


def test_each_choice_makes_a_file_of_its_own_and_shows_its_pages(panel):
    pages = panel.pages.value
    panel.paper.value = "Letter"
    assert panel.pages.value != pages
    panel.large.value = True
    panel.name.value = "Zoë <b>"
    assert printed(panel) == ["harbour-lights-letter-large-print-zoë-b.pdf"]
    assert "<b>" not in panel.result.value


def test_a_name_that_is_a_path_stays_a_name(panel):
    panel.name.value = "../../etc/passwd"
    assert printed(panel) == ["harbour-lights-a4-etc-passwd.pdf"]
    assert panel.written[0].parent == panel._folder


def test_a_very_long_name_is_told_in_words(panel):
    panel.name.value = "a" * 1000
    assert printed(panel) == []
    assert "longer than 200 characters" in panel.result.value
    assert panel.pages.value == ""


@pytest.mark.parametrize("folder", ["../up", "a/b", "..", ".x", "a\x00"])
def test_a_folder_that_leads_out_is_refused(panel, folder):
    before = sorted(panel._folder.parent.rglob("*"))
    panel.subfolder.value = folder
    assert printed(panel) == []
    assert "popkit-wrong" in panel.result.value
    assert sorted(panel._folder.parent.rglob("*")) == before


def test_a_folder_inside_is_made(panel):
    panel.subfolder.value = "tuesday class"
    panel.print.click()
    assert panel.written[0].parent.name == "tuesday class"


def test_nothing_chosen_is_told(panel):
    panel.recipes.value = ()
    assert "No recipe is chosen" in panel.result.value
    assert printed(panel) == []
    assert "No recipe is chosen" in panel.result.value


def test_a_broken_recipe_is_told_and_the_others_are_printed(tmp_path):
    recipes = tmp_path / "recipes"
    shutil.copytree(RECIPES, recipes)
    (recipes / "broken.toml").write_text('title = "<i>"\n')
    panel = HandoutPanel(recipes, tmp_path, chosen=("broken", "allotment"))
    assert "broken.toml cannot be used yet" in panel.result.value
    panel.print.click()
    assert [path.name for path in panel.written] == ["allotment-a4.pdf"]
    assert "broken.toml cannot be used yet" in panel.result.value
    assert "<i>" not in panel.result.value


def test_a_folder_that_cannot_be_made_is_told(tmp_path):
    (tmp_path / "file").write_text("")
    panel = HandoutPanel(RECIPES, tmp_path / "file" / "handouts")
    panel.print.click()
    assert "cannot be made" in panel.result.value


def test_no_folder_of_recipes_is_told(tmp_path):
    panel = HandoutPanel(tmp_path / "none", tmp_path)
    assert "popkit-wrong" in panel.result.value


def test_a_card_on_another_ruler_is_restated(panel):
    panel.ruler.value = "1 mm"
    assert printed(panel) == ["harbour-lights-a4-1-mm.pdf"]


def test_the_environment_says_where_handouts_go(tmp_path, monkeypatch):
    monkeypatch.setenv("POPKIT_HANDOUTS", str(tmp_path / "there"))
    assert handout_folder("elsewhere") == tmp_path / "there"
    assert (tmp_path / "there").is_dir()


# Editions -----------------------------------------------------------------------------


def shown(part):
    return part.layout.display != "none"


@pytest.mark.parametrize(
    ("edition", "boxes"),
    [
        ("student", set()),
        ("tutor", {"seed", "minutes", "students"}),
        ("worksheet", {"seed"}),
        ("answers", {"seed"}),
        ("template", {"across", "along"}),
        ("scores", set()),
    ],
)
def test_an_edition_shows_its_own_boxes_and_pages(panel, edition, boxes):
    panel.edition.value = edition
    every = ("seed", "minutes", "students", "across", "along")
    assert {box for box in every if shown(getattr(panel, box))} == boxes
    assert panel.pages.value.count("<figure>") >= 1
    assert f"{edition} edition" in repr(panel)


def test_each_edition_and_language_has_a_file_of_its_own(panel):
    panel.edition.value = "worksheet"
    panel.seed.box.value = "12"
    panel.language.value = "de"
    assert printed(panel) == ["harbour-lights-a4-worksheet-de-12.pdf"]


def test_what_the_ruler_shows_corrects_the_template(panel):
    panel.edition.value = "template"
    plain = panel.pages.value
    panel.across.box.value = "98.5 mm"
    assert panel.pages.value != plain
    panel.along.box.value = "<b>"
    assert panel.along.box.value == "<b>"
    assert "popkit-wrong" in panel.along.why.value
    assert "<b>" not in panel.along.why.value
    assert panel.pages.value == ""
    assert printed(panel) == []
    panel.along.box.value = "60 mm"
    assert "Fit to page" in panel.along.why.value


@pytest.mark.parametrize("typed", ["x", "-1", "1.5", "1 to 3", "9" * 12])
def test_a_wrong_number_of_a_worksheet_stays_with_the_reason(panel, typed):
    panel.edition.value = "worksheet"
    panel.seed.box.value = typed
    assert panel.seed.box.value == typed
    assert "Write a whole number" in panel.seed.why.value
    assert printed(panel) == []


def test_answers_take_several_numbers(panel):
    panel.edition.value = "answers"
    panel.seed.box.value = "1 to 3, 7"
    assert printed(panel) == ["harbour-lights-a4-answers-1-7.pdf"]
    panel.seed.box.value = "3 to 1"
    assert "popkit-wrong" in panel.seed.why.value


def test_the_tutors_pages_plan_the_class(panel):
    panel.edition.value = "tutor"
    plain = panel.pages.value.count("<figure>")
    panel.students.box.value = "24"
    assert panel.pages.value.count("<figure>") > plain
    (name,) = printed(panel)
    pages = pypdfium2.PdfDocument(panel.written[0])
    text = "".join(page.get_textpage().get_text_range() for page in pages)
    # By hand: Letter, 8 1/2 x 11 in, gives two backs of 7 x 4 1/4 in, four strips of one tier
    # (4 x 4 3/16 in at most) or four clear fronts, so 24 cards take 12 + 3 x 6 + 6 sheets.
    assert "24 students" in text.partition("The plan of the class")[2]
    assert "36 sheets in" in text
    panel.students.box.value = "many <b>"
    assert "no number of students" in panel.students.why.value
    assert "<b>" not in panel.students.why.value
    assert printed(panel) == [name]
    panel.students.box.value = ""
    assert panel.pages.value.count("<figure>") == plain


def test_the_tutors_minutes_are_one_for_all_or_one_for_each(panel):
    panel.edition.value = "tutor"
    panel.minutes.box.value = "90"
    assert panel.pages.value
    panel.minutes.box.value = "10, 5"
    assert "2 minutes for 11 steps" in panel.result.value
    panel.minutes.box.value = "soon"
    assert "no number of minutes" in panel.minutes.why.value


# The class ----------------------------------------------------------------------------

ROSTER = "name,card,unit,large print\nZoë <b>,Harbour lights,mm,yes\nBen,The allotment,,\n"


def files(panel, folder="class"):
    return sorted(path.name for path in (panel._folder / folder).glob("*"))


def test_a_pasted_class_is_printed(panel):
    panel.edition.value = "scores"
    panel.roster.box.value = ROSTER
    panel.print_class.click()
    assert shown(panel.stop)
    panel.wait()
    assert not shown(panel.stop)
    assert files(panel) == ["01-zoë-b-scores.pdf", "02-ben-scores.pdf", "class-scores.pdf"]
    assert "Printed 3 files in class. All in one: class-scores.pdf." in panel.class_state.value
    assert "Printed 3 files" in repr(panel)
    assert len(panel.written) == 3


def test_a_roster_file_is_put_in_the_box(tmp_path):
    (tmp_path / "handouts").mkdir()
    rosters = RECIPES.parent / "rosters"
    panel = HandoutPanel(RECIPES, tmp_path / "handouts", rosters=rosters, roster="saturday")
    assert "Zoë Kowalczyk" in panel.roster.box.value
    panel.roster.box.value = "name\nAnn\n"
    assert panel.roster_file.value == ""


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("", "Nobody is on the roster"),
        ("nonsense <b>", "popkit-wrong"),
        ("name,card\nAnn,Lost boats\n", "Lost boats"),
        ("name\nAnn\n", "No card is named"),
    ],
)
def test_a_wrong_roster_stays_with_the_reason(panel, typed, reason):
    panel.roster.box.value = typed
    panel.print_class.click()
    panel.wait()
    assert panel.roster.box.value == typed
    assert reason in panel.roster.why.value
    assert "<b>" not in panel.roster.why.value
    assert "Nothing was printed" in panel.class_state.value
    assert files(panel) == []


def test_a_stopped_class_says_how_to_go_on(panel):
    panel.edition.value = "scores"
    panel.roster.box.value = "name,card\n" + "".join(f"S{n},The allotment\n" for n in range(9))
    panel._background.start = _stopping(panel._background.start)
    panel.print_class.click()
    panel.wait()
    assert files(panel) == ["01-s0-scores.pdf", "02-s1-scores.pdf"]
    assert "Stopped: 2 files in class. Print the class again to go on." in panel.class_state.value


def _stopping(start):
    """Begin the work so that it is asked to stop before the third file."""

    def started(work, told, done):
        asked = []

        def stopped():
            asked.append(1)
            return len(asked) == 3

        start(lambda tell, stop: work(tell, stopped), told, done)

    return started


def test_a_full_disk_is_told_in_words(panel, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    panel.edition.value = "scores"
    panel.roster.box.value = ROSTER
    monkeypatch.setattr(os, "replace", full)
    panel.print_class.click()
    panel.wait()
    assert "The disk is full" in panel.class_state.value
    assert files(panel) == []


def test_the_tutors_pages_are_not_offered_for_a_class(panel):
    panel.edition.value = "tutor"
    assert not shown(panel._class_fold)
    panel.edition.value = "worksheet"
    assert shown(panel._class_fold)


# Cutting files ------------------------------------------------------------------------


def test_cutting_files_are_written_for_each_piece(panel):
    panel.cut.click()
    names = sorted(path.name for path in panel._folder.glob("*.svg"))
    assert "harbour-lights-back.svg" in names
    assert len(names) == 5  # back, clear front, three tiers
    assert "Written: harbour-lights-back.svg" in panel.cut_result.value
