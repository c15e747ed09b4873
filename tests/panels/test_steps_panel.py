"""The step-by-step panel without a kernel: buttons, keys, and a card that changes meanwhile."""

from __future__ import annotations

import asyncio
import re
from dataclasses import replace
from pathlib import Path

import pytest

from popkit.panels import DemoPanel, StepsPanel
from popkit.recipe import load_recipe

RECIPES = Path(__file__).parents[2] / "notebooks" / "recipes"


@pytest.fixture
def recipe():
    return load_recipe(RECIPES / "harbour-lights.toml")


@pytest.fixture
def steps(recipe):
    return StepsPanel(recipe)


def key(steps, way):
    """What the page sends when an arrow key goes down."""
    steps.stage._heard(steps.stage, {"step": way}, [])


def test_the_buttons_go_through_every_step_and_stop_at_both_ends(steps):
    count = steps.scene.count
    seen = []
    for _ in range(count + 3):
        seen.append(steps.scene.step.number)
        steps.next.click()
    assert seen == [*range(1, count + 1), count, count, count]
    assert (steps.next.disabled, steps.back.disabled) == (True, False)
    for _ in range(count + 3):
        steps.back.click()
    assert steps.scene.step.number == 1
    assert (steps.next.disabled, steps.back.disabled) == (False, True)


def test_arrow_keys_and_the_list_do_the_same_as_the_buttons(steps):
    for way, number in ((1, 2), (1, 3), (-1, 2)):
        key(steps, way)
        assert steps.scene.step.number == number
        assert steps.pick.value == number - 1
    steps.pick.value = 4
    assert steps.scene.step.number == 5
    for nonsense in (0, 2, "1", None, True):
        key(steps, nonsense if nonsense is not True else "true")
        assert steps.scene.step.number == 5


def test_progress_words_and_pictures_are_those_of_the_step(steps):
    for number in range(1, steps.scene.count + 1):
        step = steps.scene.step
        assert f"Step {number} of {steps.scene.count}" in steps._progress.value
        assert f"<h3>{step.title}</h3>" in steps._words.value
        for piece in steps.scene.pieces:
            assert f">{piece.name}</text>" in steps._flat.value
        assert step.text in repr(steps)
        steps.next.click()


def test_what_the_tutor_wrote_is_there_too_as_on_the_handout(recipe):
    steps = StepsPanel(replace(recipe, steps=("Mind the <b>gulls</b>.", "Leave 1/2 in.")))
    assert "From your tutor" in steps._remarks.value
    assert "Mind the &lt;b&gt;gulls&lt;/b&gt;." in steps._remarks.value
    assert "From your tutor: Leave 1/2 in." in repr(steps)
    assert StepsPanel(replace(recipe, steps=()))._remarks.value == ""


def test_the_piece_in_hand_is_heavier_in_both_pictures(steps):
    def weight(view, part):
        tag = re.search(rf'<[^>]*{view}-{part}"[^>]*>', steps.stage.picture(view))[0]
        return float(re.search(r'stroke-width="([\d.]+)"', tag)[1]) if "stroke-width" in tag else None

    while steps.scene.marked != ("tier 2",):
        steps.next.click()
    assert weight("oblique", "tier-2-face") > weight("oblique", "tier-1-face")
    groups = re.findall(r'<g class="tier"[^>]*stroke-width="([\d.]+)"', steps.stage.picture("side"))
    assert float(groups[1]) > float(groups[0])


def test_the_steps_follow_the_card_of_the_demo(recipe):
    demo = DemoPanel(recipe, folder=RECIPES)
    steps = StepsPanel(demo)
    before = steps.scene.count
    steps.pick.value = before - 1
    demo.more.click()  # two more steps: foot and top tab
    assert steps.scene.count == before + 2
    assert steps.scene.step.number == before
    demo._rows[("tiers", 0, "face")].box.value = "2 1/2 in"
    steps.pick.value = 0
    assert "tier 4" in repr(steps)
    demo.stage.angle = 30  # turning the demo's card is no change of the card
    assert steps.scene.step.number == 1


def test_where_there_is_a_kernel_the_steps_wait_until_the_card_rests(recipe, monkeypatch):
    monkeypatch.setattr("popkit.panels.steps._PAUSE", 0.02)

    async def slide():
        demo = DemoPanel(recipe, folder=RECIPES)
        steps = StepsPanel(demo)
        told = []
        steps.stage.observe(lambda change: told.append(change["new"]), "first")
        slider = demo._rows[("tiers", 0, "face")].slider
        for mark in range(slider.value - 3, slider.value):
            slider.value = mark
        assert told == []
        for _ in range(200):
            await asyncio.sleep(0.02)
            if told:
                break
        return len(told), steps._told[1] is demo.bench.card

    assert asyncio.run(slide()) == (1, True)


def test_markup_in_a_title_stays_words(recipe):
    steps = StepsPanel(replace(recipe, title="<script>x</script>"))
    assert "<script" not in steps._repr_mimebundle_()["text/html"]
    assert "<script" not in steps._words.value
