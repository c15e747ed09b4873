"""The handout panel without a kernel."""

from __future__ import annotations

import shutil
from pathlib import Path

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
