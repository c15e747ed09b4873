"""The pictures of the lesson: well-formed, clear of one another's words, true to the card."""

from __future__ import annotations

import math
import re
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import pytest
from matplotlib import get_data_path
from PIL import ImageFont

from popkit.lengths import mm
from popkit.lesson import TOPICS, ExerciseError
from popkit.lesson.pictures import draw_nesting, draw_parallelogram, draw_triangle
from popkit.lesson.scenes import SCENES, predicted, scene

SVG = "{http://www.w3.org/2000/svg}"


def points(svg: str, name: str) -> list[tuple[float, float]]:
    """The points of a line by its id, as they stand in the picture, y upwards."""
    for line in ElementTree.fromstring(svg).iter(f"{SVG}polyline"):
        if line.get("id") == name:
            return [(float(x), -float(y)) for x, y in (p.split(",") for p in line.get("points").split())]
    raise AssertionError(f"no line {name}")


def test_every_topic_has_a_scene():
    assert set(SCENES) == set(TOPICS)


@pytest.mark.parametrize("topic", SCENES)
@pytest.mark.parametrize("told", [False, True])
def test_every_scene_is_drawn_at_every_opening(topic, told):
    for seed in (1, 7):
        exercise = predicted(topic, seed=seed)
        least, most, first = scene(topic).range(exercise)
        for degrees in (0, 14, 90, 170, 180):
            for marks in {least, most, first}:
                drawn = scene(topic).draw(exercise, degrees, marks, told, "p-")
                ElementTree.fromstring(drawn.svg)
                assert drawn.words


@pytest.mark.parametrize("topic", ["parallelogram", "slipped"])
def test_no_length_is_lettered_before_it_may_be_told(topic):
    exercise = predicted(topic, seed=7)
    drawn = scene(topic).draw(exercise, 90, 0, False, "")
    assert not re.search(r"\d mm", drawn.svg.partition("</desc>")[2])
    assert not re.search(r"\d mm", drawn.words)
    assert re.search(r"\d mm", scene(topic).draw(exercise, 90, 0, True, "").svg)


def test_an_unknown_topic_is_told():
    with pytest.raises(ExerciseError, match="no scene about 'origami'"):
        predicted("origami")


def apart(a, b):
    return math.hypot(a[0] - b[0], a[1] - b[1])


@pytest.mark.parametrize("degrees", [0, 40, 90, 133, 180])
def test_sides_keep_their_lengths_and_opposite_ones_are_equal(degrees):
    """A parallelogram's opposite sides are equal: Euclid, Elements I.34 (from memory)."""
    exercise = predicted("parallelogram", seed=7)
    card = exercise.before.card
    svg = draw_parallelogram(card, degrees)
    glued, edge, foot = points(svg, "tier-1")
    back = points(svg, "back")
    scale = apart(*back) / float(mm(card.height))
    assert apart((0, 0), foot) == pytest.approx(apart(glued, edge), abs=0.01)
    assert apart((0, 0), glued) == pytest.approx(apart(foot, edge), abs=0.01)
    assert apart((0, 0), foot) == pytest.approx(scale * float(mm(exercise.answer)), abs=0.01)


@pytest.mark.parametrize("degrees", [5, 60, 120])
def test_a_point_moves_by_the_shear(degrees):
    """(x, y) goes to (x + y cos t, y sin t): worked out by hand from the parallelogram."""
    exercise = predicted("hidden", seed=7)
    view, t = exercise.before, math.radians(degrees)
    svg = draw_triangle(view.card, degrees, tier=view.tier, rise=exercise.answer)
    scale = apart(*points(svg, "back")) / float(mm(view.card.height))
    x, y = (scale * float(mm(one)) for one in (view.card.feet[view.tier - 1], exercise.answer))
    wanted = (x + y * math.cos(t), y * math.sin(t))
    dots = [
        (float(dot.get("cx")), -float(dot.get("cy")))
        for dot in ElementTree.fromstring(svg).iter(f"{SVG}circle")
    ]
    assert min(apart(dot, wanted) for dot in dots) < 0.01
    # and, being the tallest that hides, it lies on the line from edge to edge: x + y = L
    (_, front), (_, back) = points(svg, "front"), points(svg, "back")
    cross = (back[0] - front[0]) * (wanted[1] - front[1]) - (back[1] - front[1]) * (wanted[0] - front[0])
    assert cross == pytest.approx(0, abs=0.1)


def test_the_feet_are_measured_from_the_fold_only_when_told():
    card = predicted("nesting", seed=7).before.card
    assert "foot of tier 2: " in draw_nesting(card, 90)
    assert "foot of tier 2: " not in draw_nesting(card, 90, told=False)


def test_prefixes_keep_two_pictures_apart():
    card = predicted("nesting", seed=7).before.card
    ids = re.findall(r' id="([^"]+)"', draw_nesting(card, 90, prefix="a-") + draw_nesting(card, 90))
    assert len(set(ids)) == len(ids)


def word_boxes(svg):
    """(left, top, right, bottom, words) of every word, measured in DejaVu Sans by Pillow."""
    font = ImageFont.truetype(str(Path(get_data_path()) / "fonts/ttf/DejaVuSans.ttf"), 100)
    for text in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        size = float(text.get("font-size") or 3.7)  # Clear Print's least, as the pictures have it
        wide = font.getlength(text.text) * size / 100
        x, y = float(text.get("x")), float(text.get("y"))
        x -= {"end": wide, "middle": wide / 2}.get(text.get("text-anchor"), 0)
        yield x, y - 0.73 * size, x + wide, y + 0.2 * size, text.text


@pytest.mark.parametrize("topic", ["parallelogram", "nesting", "hidden", "slipped", "rounding"])
@pytest.mark.parametrize("grid", ["1 mm", "1/16 in"])
def test_no_word_lies_on_another(topic, grid):
    for seed in (1, 9):
        exercise = predicted(topic, seed=seed, grid=grid)
        least, most, _ = scene(topic).range(exercise)
        for degrees in range(0, 181, 20):
            for marks in {least, most}:
                found = list(word_boxes(scene(topic).draw(exercise, degrees, marks, True, "").svg))
                for a, b in combinations(found, 2):
                    apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                    assert apart, (degrees, marks, a[4], b[4])
