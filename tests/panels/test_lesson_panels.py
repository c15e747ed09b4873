"""The lesson's panels, the front door and the readiness check without a kernel."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import nbformat
import pytest

import popkit as pk
from popkit.lesson.scenes import SCENES
from popkit.panels import (
    ExercisesPanel,
    NotReadyError,
    PredictionPanel,
    front_door,
    readiness,
    ready,
)

ROOT = Path(__file__).parents[2]
RECIPES = ROOT / "notebooks" / "recipes"
NONSENSE = ("", " ", "<script>alert(1)</script>", "\x00", "9" * 400, "-5 mm", "5 kg", "5 x 7 mm", "∞")


def typed(panel, text):
    panel.box.value = text


@pytest.mark.parametrize("topic", SCENES)
def test_nothing_moves_before_a_prediction_and_everything_after(topic):
    panel = PredictionPanel(topic, seed=7)
    assert panel.angle.disabled
    assert panel.show.disabled
    assert "Type a prediction first" in panel.locked.value
    typed(panel, "2 mm")
    assert not panel.angle.disabled
    assert panel.locked.value == ""
    before = panel.picture.value
    panel.angle.value = 30
    assert panel.picture.value != before


def test_a_slip_is_told_and_a_right_answer_letters_the_picture():
    panel = PredictionPanel("parallelogram", seed=7)
    face, shelf = map(int, re.findall(r"(\d+) mm", panel.attempt.exercise.question))
    typed(panel, f"{face} mm")
    assert "popkit-wrong" in panel.told.value
    assert "You gave the height of the face" in panel.told.value
    assert "shelf" in panel.picture.value
    assert f"shelf {shelf} mm" not in panel.picture.value
    typed(panel, f"{shelf / 10} cm")
    assert "popkit-done" in panel.told.value
    assert f"shelf {shelf} mm" in panel.picture.value


def test_the_working_is_shown_when_asked_for_after_a_try():
    panel = PredictionPanel("nesting", seed=7)
    panel.show.click()
    assert panel.working.value == ""
    typed(panel, "1 mm")
    panel.show.click()
    assert panel.attempt.exercise.shown in panel.working.value
    assert "foot of tier 2" in panel.picture.value


def test_other_numbers_start_anew():
    panel = PredictionPanel("hidden", seed=7)
    typed(panel, "1 mm")
    question = panel.attempt.exercise.question
    panel.other.click()
    assert panel.seed == 8
    assert panel.attempt.exercise.question != question
    assert panel.box.value == ""
    assert panel.angle.disabled


def test_the_foot_slips_only_once_a_prediction_is_made():
    panel = PredictionPanel("slipped", seed=7)
    assert "parallelogram." in panel.facts.value
    assert "no parallelogram" not in panel.facts.value
    typed(panel, "1")
    assert "no parallelogram" in panel.facts.value
    panel.mover.value = 0
    assert "no parallelogram" not in panel.facts.value


@pytest.mark.parametrize("text", NONSENSE)
def test_nonsense_is_told_in_words_and_never_markup(text, tmp_path):
    panel = PredictionPanel("parallelogram", seed=7)
    typed(panel, text)
    sheet = ExercisesPanel(tmp_path, seed=5)
    sheet._rows[0].box.value = text
    sheet.name.value = text
    for told in (panel.told.value, sheet._rows[0].told.value):
        assert "<script" not in told
        assert bool(text.strip()) is ("popkit-wrong" in told)
    sheet.print.click()
    assert "<script" not in sheet.saved.value
    assert repr(panel)
    assert repr(sheet)


@pytest.mark.parametrize("topic", ["", "hidden"])
def test_the_same_number_is_the_same_sheet(tmp_path, topic):
    def questions(panel):
        panel.topic.value = topic
        return [row.ask.value for row in panel._rows]

    one, two = (questions(ExercisesPanel(tmp_path, seed=12)) for _ in range(2))
    assert one == two
    assert questions(ExercisesPanel(tmp_path, seed=13)) != one


def test_a_sheet_is_answered_counted_and_printed(tmp_path):
    panel = ExercisesPanel(tmp_path, seed=12)
    first, second = (attempt.exercise for attempt in panel.results.attempts[:2])
    panel._rows[0].box.value = "999 mm"
    panel._rows[0].show.click()
    assert first.steps[-1] in panel._rows[0].working.value
    panel._rows[1].box.value = second.shown
    assert "1 of 8 right, 1 of them at the first try." in panel.summary.value
    panel.name.value = "Ines & Tom"
    panel.print.click()
    panel.save.click()
    pdf, text = panel.written
    assert pdf.name == "exercises-12-a4-ines-tom.pdf"
    assert pdf.read_bytes().startswith(b"%PDF-")
    assert "Ines & Tom" in text.read_text(encoding="utf-8")
    panel.seed.value = "13"
    assert "0 of 8 right" in panel.summary.value
    assert panel._rows[0].box.value == ""
    assert panel._rows[0].working.value == ""


def test_a_sheet_number_that_is_none_keeps_the_sheet_and_says_why(tmp_path):
    panel = ExercisesPanel(tmp_path, seed=12)
    asked = panel._rows[0].ask.value
    for text in ("", "x", "-1", "1.5", "9" * 20):
        panel.seed.value = text
        assert 'role="alert"' in panel.seed_why.value
        assert panel._rows[0].ask.value == asked
    panel.fresh.click()
    assert panel.seed_why.value == ""
    assert panel._rows[0].ask.value != asked


def test_results_that_cannot_be_written_are_told(tmp_path):
    panel = ExercisesPanel(tmp_path / "nowhere", seed=12)
    panel.print.click()
    assert 'role="alert"' in panel.saved.value
    assert "There is no folder" in panel.saved.value


def test_every_input_has_a_label(tmp_path):
    sheet, scene = ExercisesPanel(tmp_path, seed=12), PredictionPanel("hidden")
    inputs = [sheet.seed, sheet.ruler, sheet.topic, sheet.name, sheet.paper]
    inputs += [row.box for row in sheet._rows] + [scene.box, scene.angle, scene.mover]
    assert all(one.description and one.tooltip for one in inputs)
    assert len({row.box.tooltip for row in sheet._rows}) == len(sheet._rows)


def test_a_still_picture_goes_with_the_notebook():
    still = PredictionPanel("parallelogram", seed=7)._repr_mimebundle_()
    assert still["text/html"].count("<img") == 1
    assert "alt=" in still["text/html"]


# The front door ---------------------------------------------------------------------


def test_the_front_door_shows_four_pictures_each_in_words():
    gallery = front_door(pk.load_recipe(RECIPES / "harbour-lights.toml"))
    page = gallery._repr_html_()
    assert page.count("<img") == page.count("alt=") == 4
    assert all(one.picture.facts in gallery.facts for one in gallery.shown)
    # 1/16 in too far out: 1 in = 25.4 mm, 1959
    assert "1/16 in (1.5 mm) too far out" in gallery.facts


def test_the_recipe_on_the_front_door_can_be_read():
    """What the page tells people to write is what the kit reads, and it needs no mending."""
    notebook = nbformat.read(ROOT / "notebooks" / "0-start-here.ipynb", as_version=4)
    (cell,) = [cell for cell in notebook.cells if cell.id == "own"]
    (text,) = re.findall(r"```\n(.*?)```", cell.source, re.S)
    assert pk.check(pk.read_recipe(text, "own.toml").card) == ()


@pytest.mark.parametrize("name", ["0-start-here", "5-why-it-folds"])
def test_every_link_leads_somewhere(name):
    notebook = nbformat.read(ROOT / "notebooks" / f"{name}.ipynb", as_version=4)
    text = "\n".join(cell.source for cell in notebook.cells if cell.cell_type == "markdown")
    links = re.findall(r"\]\(([^)#]+)\)", text)
    assert links
    assert [link for link in links if not (ROOT / "notebooks" / link).exists()] == []


# Readiness ----------------------------------------------------------------------------


@pytest.fixture
def folders(tmp_path):
    shutil.copytree(RECIPES, tmp_path / "recipes")
    return tmp_path / "recipes", tmp_path / "handouts"


def test_all_in_place(folders, monkeypatch):
    monkeypatch.delenv("POPKIT_HANDOUTS", raising=False)
    found = ready(*folders)
    assert found
    assert repr(found).startswith("Ready.")
    assert list(folders[1].iterdir()) == []  # what was tried is gone


def test_a_recipe_that_cannot_be_read_is_named(folders):
    (folders[0] / "torn.toml").write_text('title = "torn\n', encoding="utf-8")
    found = ready(*folders)
    assert not found
    assert "torn.toml" in repr(found)
    assert 'role="alert"' in found._repr_html_()


def test_a_folder_without_recipes_and_one_that_is_not_there(folders):
    (folders[1]).mkdir()
    assert "holds no recipe" in repr(ready(folders[1], folders[1]))
    assert "There is no folder of recipes “nowhere”" in repr(ready("nowhere", folders[1]))


def test_a_folder_that_nothing_can_be_written_to(folders, monkeypatch):
    monkeypatch.delenv("POPKIT_HANDOUTS", raising=False)
    folders[1].write_text("a file, not a folder", encoding="utf-8")
    assert "Nothing can be written to the folder for handouts, “handouts”" in repr(ready(*folders))


def test_a_missing_package_is_named_before_anything_is_tried(monkeypatch):
    monkeypatch.setitem(readiness.PACKAGES, "nosuchmodule", ("no-such-package", "nothing at all"))
    with pytest.raises(NotReadyError, match="pip install no-such-package") as caught:
        ready()
    assert "not ready" in caught.value._render_traceback_()[0]


def test_without_widgets_a_notebook_says_so_in_plain_words():
    """The first cell of a notebook where ipywidgets is not installed."""
    code = (
        "import sys, importlib.util\n"
        "sys.modules['ipywidgets'] = None\n"
        "found = importlib.util.find_spec\n"
        "def without(name, *rest):\n"
        "    return None if name == 'ipywidgets' else found(name, *rest)\n"
        "importlib.util.find_spec = without\n"
        "try:\n"
        "    from popkit.panels import PredictionPanel\n"
        "except RuntimeError as error:\n"
        "    print('\\n'.join(error._render_traceback_()))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert "The package ipywidgets is missing" in done.stdout


def test_the_packages_looked_for_are_those_the_project_asks_for():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = {re.match(r"[\w.-]+", one)[0] for one in project["dependencies"]}
    assert asked <= {name for name, _ in readiness.PACKAGES.values()}
    assert project["requires-python"] == ">=" + ".".join(map(str, readiness.OLDEST))
