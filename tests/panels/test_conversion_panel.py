"""The conversion and the lesson panel without a kernel, driven as the page drives them."""

from __future__ import annotations

import re
import shutil
import tomllib
from html.parser import HTMLParser
from pathlib import Path

import pytest

from popkit.lengths import mm
from popkit.panels import ConversionPanel, LessonPanel, Shifts
from popkit.recipe import load_recipe

RECIPES = Path(__file__).parents[2] / "notebooks" / "recipes"

# 1 in = 25.4 mm, international yard and pound agreement, 1959. Scores at 1/2, 1, 4 1/4 in are 12.7,
# 25.4, 107.95 mm: one by one 13, 25, 108, a shelf of 12 under a foot 13 mm out. The strip, 120.65, is
# 121, and its bottom tab of 13 does not fit under a shelf of 12: so the second score goes to 26.
TEXT = """A gate for the Tidewell green
Cut the back 5 x 7 1/2 in and score it at 6 in. Cut a clear front 5 x 5 7/8 in.
Cut a strip 4 7/8 x 4 3/4 in and score it at 1/2, 1 and 4 1/4 in.
Leave 2 at each side <b>for the posts</b>, use 3 sheets and wait 10 minutes."""
NASTY = (
    "",
    " \n\t ",
    "<script>alert(1)</script> 5 in",
    "5 in\x00\x1b[31m",
    "1/0 in x 0 in, -3 in",
    "9" * 3000 + " in",
    "$\\frac{5}{8}$ in x $5 in",
    "Cut the back 1/64 x 1/64 in and score at 1/128 in. Cut a strip 1/64 x 1/64 and score at 1/256, "
    "1/128 and 1/100 in.",
    "½½½ x ⅞⅞ “” ″′ 5′6″",
    "x" * 200_000,
)


class Ids(HTMLParser):
    """Every id and every link within the page."""

    def __init__(self, text):
        super().__init__()
        self.ids, self.links = [], []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        found = dict(attributes)
        self.ids += [found["id"]] if "id" in found else []
        if found.get("href", "").startswith("#"):
            self.links.append(found["href"][1:])


@pytest.fixture
def folders(tmp_path):
    shutil.copytree(RECIPES, tmp_path / "recipes")
    (tmp_path / "handouts").mkdir()
    return tmp_path / "recipes", tmp_path / "handouts"


@pytest.fixture
def panel(folders):
    return ConversionPanel(TEXT, *folders)


def decide(panel, way, place=0):
    row = panel.doubts.children[place]
    next(one for one in row.buttons if f"popkit-decide-{way}" in one._dom_classes).click()


def shown(panel):
    """Everything the panel puts on the page as HTML."""
    parts = [panel.problems, panel.original, panel.restated, panel.table, panel.verdict, panel.saved]
    parts += [row.children[0] for row in panel.doubts.children]
    return "".join(part.value for part in parts)


def test_both_texts_stand_side_by_side_every_length_linked_to_its_row(panel):
    assert re.sub("<[^>]+>", "", panel.restated.value).count("13 mm, 26 mm and 108 mm") == 1
    page = Ids(shown(panel))
    assert len(set(page.ids)) == len(page.ids)
    assert set(page.links) <= set(page.ids)
    rows = [link for link in page.links if "-row-" in link]
    assert len(rows) == 2 * len(panel.conversion.rows)  # from the original and from the new text
    assert panel.table.value.count("<tr id=") == len(panel.conversion.rows)
    assert "need this mark" in panel.table.value


def test_what_was_pasted_is_never_markup(panel):
    page = shown(panel)
    assert "<b>" not in page
    assert "&lt;b&gt;for the posts&lt;/b&gt;" in panel.restated.value


def test_a_doubt_is_decided_by_a_button_and_can_be_decided_again(panel):
    assert "To decide: " in panel.doubts.children[0].children[0].value
    decide(panel, "in")
    assert "Leave 51 mm at each side" in panel.conversion.words  # 50.8
    assert "Decided: inches." in panel.doubts.children[0].children[0].value
    decide(panel, "again")
    assert len(panel.conversion.waiting) == 1
    decide(panel, "leave")
    assert panel.conversion.waiting == ()
    assert "Leave 2 at each side" in panel.conversion.words


def test_another_text_drops_what_was_decided_another_ruler_does_not(panel):
    decide(panel, "in")
    panel.ruler.value = next(value for _, value in panel.ruler.options if str(value) == "5 mm")
    assert "Leave 50 mm at each side" in panel.conversion.words  # 50.8 to a mark of 5
    panel.text.value = TEXT + " "
    assert len(panel.conversion.waiting) == 1


def test_a_place_that_names_its_unit_is_not_asked_for_one(panel):
    panel.text.value = "Leave 2 of an inch at the side."  # a part of it may be missing
    (row,) = panel.doubts.children
    assert [one.description for one in row.buttons] == ["A length", "Leave it"]
    decide(panel, "length")
    assert panel.conversion.words == "Leave 51 mm at the side."  # 50.8


def test_the_place_to_decide_goes_when_nothing_is_doubtful(panel):
    assert panel._doubts_group.layout.display is None
    panel.text.value = "Cut a strip 5 in long."
    assert panel._doubts_group.layout.display == "none"


def test_the_verdict_and_the_side_views(panel):
    assert "foot is 13 mm out but its shelf is 12 mm deep" in panel.verdict.value
    assert panel.views.value.count("<figure>") == 3
    assert panel.views.value.count("alt=") == 3
    assert "Number by number: stops at" in panel.views.value


def test_keep_the_original(panel):
    panel.text.value = "Cut a strip 2 in long."
    panel.keep.value = True
    assert panel.conversion.words == "Cut a strip 2 in (51 mm) long."  # 50.8


def test_a_recipe_is_restated_and_the_text_comes_back(panel):
    panel.pick.value = "harbour-lights"
    assert panel.text.layout.display == "none"
    # 3 5/8 in = 92.075 mm
    assert "score 3 at 92 mm" in re.sub("<[^>]+>", "", panel.restated.value)
    assert panel.title.value == "Harbour lights"
    panel.pick.value = ""
    assert "Leave 2" in panel.conversion.words
    assert panel.title.value == "A gate for the Tidewell green"


def test_a_recipe_that_cannot_be_read_is_told_in_words(folders):
    (folders[0] / "torn.toml").write_text('title = "torn\n', encoding="utf-8")
    panel = ConversionPanel(TEXT, *folders, recipe="torn")
    assert panel.conversion is None
    assert 'role="alert"' in panel.problems.value
    panel.save.click()
    assert "nothing to keep" in panel.saved.value
    panel.pick.value = ""
    assert panel.problems.value == ""


def test_a_recipe_that_is_not_there(folders):
    panel = ConversionPanel(TEXT, *folders, recipe="nowhere")
    assert "There is no recipe “nowhere” here." in panel.problems.value


@pytest.mark.parametrize("text", NASTY, ids=range(len(NASTY)))
def test_nonsense_is_told_in_words_and_never_markup(panel, text):
    panel.text.value = text
    assert panel.conversion is not None or 'role="alert"' in panel.problems.value
    assert "<script" not in shown(panel)
    if panel.conversion is not None:
        assert "".join(stretch.words for stretch in panel.conversion.original) == text
    panel.file.value = "nasty"
    for one in (panel.save, panel.save_text, panel.print):
        one.click()
        assert panel.saved.value
    assert repr(panel)


def test_kept_as_recipe_text_and_handout(panel, folders):
    recipes, handouts = folders
    panel.file.value = "gate"
    panel.save.click()
    assert "Saved as gate.toml" in panel.saved.value
    recipe = load_recipe(recipes / "gate.toml")
    assert recipe.title == "A gate for the Tidewell green"
    assert mm(recipe.card.tiers[0].depth) == mm(recipe.card.tiers[0].top_tab) == 13
    assert mm(recipe.card.tiers[0].face) == 82  # 108 - 26
    assert tomllib.loads((recipes / "gate.toml").read_text(encoding="utf-8"))["ruler"] == "1 mm"
    panel.save_text.click()
    assert (handouts / "gate.txt").read_text(encoding="utf-8") == panel.conversion.words
    panel.print.click()
    assert (handouts / "gate.pdf").read_bytes().startswith(b"%PDF-")
    assert "gate" in panel._files
    assert "Printed gate.pdf" in repr(panel)


def test_nothing_is_written_over_unasked(panel, folders):
    panel.file.value = "gate"
    (folders[1] / "gate.txt").write_text("mine", encoding="utf-8")
    panel.save_text.click()
    assert "There is a file “gate.txt” already" in panel.saved.value
    assert (folders[1] / "gate.txt").read_text(encoding="utf-8") == "mine"
    panel.overwrite.value = True
    panel.save_text.click()
    assert (folders[1] / "gate.txt").read_text(encoding="utf-8") != "mine"


@pytest.mark.parametrize("name", ["", "../out", "a/b", ".x", "con", "a" * 300, "<b>"])
def test_a_file_name_that_leads_out_is_refused(panel, folders, name):
    before = sorted(folders[0].parent.rglob("*"))
    panel.file.value = name
    for one in (panel.save, panel.save_text, panel.print):
        one.click()
        assert 'role="alert"' in panel.saved.value
        assert "<b>" not in panel.saved.value
    assert sorted(folders[0].parent.rglob("*")) == before


def test_a_text_without_a_card_is_saved_as_a_text_only(panel, folders):
    panel.text.value = "Cut a strip 2 in long."
    panel.file.value = "strip"
    panel.save.click()
    assert "There is no card to keep" in panel.saved.value
    panel.save_text.click()
    assert (folders[1] / "strip.txt").read_text(encoding="utf-8") == "Cut a strip 51 mm long."


def test_a_recipe_keeps_its_notes_and_its_remarks_are_put_on_the_ruler_too(folders):
    recipe = (folders[0] / "harbour-lights.toml").read_text(encoding="utf-8")
    (folders[0] / "notes.toml").write_text(
        recipe.replace("Draw the windows", "Leave 2 in clear. Draw the windows"), encoding="utf-8"
    )
    panel = ConversionPanel(TEXT, *folders, recipe="notes")
    panel.file.value = "metric"
    panel.save.click()
    kept = load_recipe(folders[0] / "metric.toml")
    assert kept.steps[0].startswith("Leave 51 mm clear. Draw the windows")  # 50.8
    assert kept.series == "Tidewell Village Hall, autumn evenings"


def test_every_input_has_a_label(panel):
    inputs = [panel.pick, panel.ruler, panel.bare, panel.text, panel.keep, panel.title, panel.file]
    assert all(one.description and one.tooltip for one in inputs)


def test_a_still_picture_goes_with_the_notebook(panel):
    still = panel._repr_mimebundle_()
    assert still["text/plain"] == repr(panel)
    assert still["text/html"].count("<img") == 3
    assert "&lt;b&gt;" in still["text/html"]


def test_the_chart_says_what_it_shows(panel):
    chart = Shifts(panel.conversion)
    assert chart.png.startswith(b"\x89PNG")
    # The second score: 25.4 to 25 by itself, to 26 as a card; no other mark goes elsewhere.
    assert "tier 1, score 2: number by number −0.4 mm, restated +0.6 mm." in chart.facts
    assert Shifts(panel.conversion).png == chart.png


@pytest.fixture
def lesson(folders):
    return LessonPanel(load_recipe(folders[0] / "harbour-lights.toml").card)


def test_the_lesson_checks_what_is_typed_and_keeps_the_score(lesson):
    # 3/8, 7/8, 3 5/8 in: 9.525, 22.225, 92.075 mm, so 10, 22, 92 and a shelf of 12.
    assert "0 of 3 right." in lesson.score.value
    before = lesson._views[0].value
    lesson.boxes[0].value = "12 mm"
    assert "Yes" in lesson._told[0].value
    assert "1 of 3 right." in lesson.score.value
    assert lesson._views[0].value != before
    lesson.boxes[0].value = "<b>12</b>"
    assert "<b>" not in lesson._told[0].value
    assert "0 of 3 right." in lesson.score.value
    assert "<b>12</b>" in repr(lesson)


def test_a_lesson_that_cannot_be_given_says_why(folders):
    lesson = LessonPanel(load_recipe(folders[0] / "harbour-lights.toml").card, number=9)
    assert "No exercise can be made of this card" in lesson.score.value
    assert lesson.exercises == ()
