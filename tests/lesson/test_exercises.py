"""Exercises on why a card folds, their answers worked out again from the words of the question.

The relations are those of a published paper or worked out by hand, never popkit's own:
- closes flat if A+B = C+D, opens flat if A+D <= B+C, hides if A+B <= a: Spasova, O'Rourke, Weller,
  O'Rourke, "Pop-Up Cards as a Vehicle to Teach Mathematics", Smith College 2005;
- a point (x, y) of the card on show lies at (x + y cos t, y sin t): a shear, worked out by hand from
  the parallelogram; its limit at t = 0 is x + y.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from scipy.optimize import brentq
from shapely.affinity import affine_transform
from shapely.geometry import Point

import popkit as pk
from popkit.lengths import mm
from popkit.lesson import KINDS, TOPICS, ExerciseError, exercises, mark
from popkit.lesson.exercise import Slip

SEEDS = range(4)
RULERS = ("1 mm", "0.5 mm", "5 mm", "1 cm", "1/16 in", "1/8 in", "1/2 in")
NONSENSE = ("twelve <b>", "-12 mm", "1e999999999", "9" * 400, "1/0", "NaN", "∞", "\x00", "12 kg", "°")


def numbers(text: str) -> list[int]:
    """The whole millimetres of a question, in order."""
    return [int(found) for found in re.findall(r"(?<![\d.])(\d+) mm", text)]


def closed_at(x, y) -> float:
    """Where a point of the card on show lies when the card is closed: the shear at t = 0."""
    return affine_transform(Point(x, y), [1, 1, 0, 0, 0, 0]).x


def stops_at(foot, shelf, face, attachment) -> float:
    """Degrees at which foot and attachment are as far apart as shelf and face are long together."""

    def slack(t):
        away = np.array([foot, 0]) - attachment * np.array([math.cos(t), math.sin(t)])
        return shelf + face - math.hypot(*away)

    return 180.0 if slack(math.pi) >= 0 else math.degrees(brentq(slack, 1e-9, math.pi))


def test_the_stop_is_that_of_the_worked_row():
    # p=30, q=50, r=45, s=25 closes (75 = 75) and opens only to cos t = -0.5: worked out by hand
    assert stops_at(30, 25, 45, 50) == pytest.approx(120)
    # a parallelogram opens flat: A+D <= B+C with equality, Smith College 2005
    assert stops_at(30, 30, 40, 40) == 180


def foot(text):
    h, d = numbers(text)
    # both Smith conditions with the attachment at h: closes flat, opens flat
    (x,) = [x for x in range(1, 200) if x + h == h + d and x + h <= h + d]
    return x


def attachment(text):
    h, d, _ = numbers(text)
    (y,) = [y for y in range(1, 200) if d + h == y + d and d + y <= h + d]
    return y


def nesting(text):
    return sum(numbers(text)[:-1])  # the last is the face


def between(text):
    near, far = numbers(text)
    return far - near


def reach(text):
    *shelves, face = numbers(text)
    return closed_at(sum(shelves), face)


def ornament(text):
    height, *shelves, _ = numbers(text)
    return brentq(lambda y: closed_at(sum(shelves), y) - height, 0, height)  # A+B <= a, just


def lowest(text):
    found = numbers(text)
    half = len(found) // 2
    shelves, faces = found[:half], found[half:]
    return max(closed_at(sum(shelves[: n + 1]), faces[n]) for n in range(half))


def closing(text):
    d, h, x, _ = numbers(text)
    return brentq(lambda y: (x + h) - (y + d), 0, 500)  # A+B = C+D


def opening(text):
    d, h, x, _, y = numbers(text)
    assert x + h == y + d  # it closes: A+B = C+D
    return stops_at(x, d, h, y)


def rounded(text):
    first, second, _ = numbers(text)[1:]  # the first is the ruler's mark
    return second - first


def zones(text):
    return sum(numbers(text)[1:])  # the first is the ruler's mark


def strip(text):
    return sum(numbers(text))


def slit(text):
    d, h = numbers(text)
    return d + h  # strip length with no tabs: d + h, worked out by hand


def score(text):
    d, h = numbers(text)
    return -(d - h)  # flat open the edge lies at d - h from the fold, worked out by hand


AGAIN = {
    name: globals()[name]
    for name in (
        *("foot", "attachment", "nesting", "between", "reach", "ornament", "lowest", "closing"),
        *("opening", "rounded", "zones", "strip", "slit", "score"),
    )
}


def test_every_kind_is_worked_out_again():
    assert set(AGAIN) == set(KINDS)
    assert {kind.topic for kind in KINDS.values()} == set(TOPICS)


@pytest.mark.parametrize("name", AGAIN)
def test_the_answer_is_what_the_question_gives(name):
    for seed in SEEDS:
        for exercise in exercises(kinds=name, count=4, seed=seed):
            again = AGAIN[name](exercise.question)
            if exercise.in_degrees:
                assert float(exercise.answer.magnitude) == pytest.approx(again, abs=1e-6)
                assert mark(exercise, f"{min(180, again + 9.9):.3f}").right
                assert not mark(exercise, f"{again - 10.1:.3f}").right
            else:
                assert float(mm(exercise.answer)) == pytest.approx(again, abs=1e-9), exercise.question
                assert mark(exercise, f"{again:.0f} mm").right
                assert not mark(exercise, f"{again + 1:.0f} mm").right


@pytest.mark.parametrize("grid", RULERS)
def test_every_answer_lies_on_the_ruler_and_stands_in_the_working(grid):
    ruler = pk.Grid(grid)
    for exercise in exercises(count=len(KINDS), grid=grid, seed=4):
        assert exercise.in_degrees or ruler.holds(exercise.answer)
        assert exercise.shown in exercise.steps[-1]
        assert mark(exercise, exercise.shown).right
        for slip in exercise.slips:
            told = mark(exercise, pk.show_length(slip.answer, grid))
            assert not told.right
            assert slip.why in told.feedback


# A card whose rows were worked out by hand: d=30, h=40 closes to 70; nested, d1=30, d2=10, h2=15
# closes to 55; opened flat its edge is at d-h = -10; hidden in L=70 with nothing to spare.
def worked(height="70 mm", form=pk.Tier):
    steps = [{"face": "40 mm", "depth": "30 mm"}, {"face": "15 mm", "depth": "10 mm"}]
    return pk.Card(width="120 mm", height=height, tiers=tuple(form(**step) for step in steps))


def asked(card, kind, about):
    """The exercise of a kind on a card whose question has these words."""
    found = exercises(card, kinds=kind, count=30)
    return next(one for one in found if about in one.question)


@pytest.mark.parametrize(
    ("kind", "about", "millimetres"),
    [
        ("reach", "Tier 1", 70),  # d + h
        ("reach", "of tier 2", 55),  # d1 + d2 + h2
        ("nesting", "tier 2", 40),
        ("between", "tier 2", 10),
        ("ornament", "Tier 1", 40),  # L - d
        ("ornament", "of tier 2", 30),  # L - d1 - d2
        ("lowest", "at least", 70),
    ],
)
def test_the_rows_worked_out_by_hand(kind, about, millimetres):
    assert mm(asked(worked(), kind, about).answer) == millimetres


@pytest.mark.parametrize(("kind", "millimetres"), [("slit", 70), ("score", 10)])
def test_the_rows_of_a_cut_step(kind, millimetres):
    assert mm(asked(worked(form=pk.CutStep), kind, "step").answer) == millimetres


def test_a_usual_slip_is_recognised_and_told():
    reach = asked(worked("90 mm"), "reach", "of tier 2")
    assert mark(reach, "55").right
    assert "foot of tier 1 rather than to the foot of tier 2" in mark(reach, "45 mm").feedback  # 30+15
    assert "That is the face alone" in mark(reach, "15 mm").feedback
    assert "That is the foot" in mark(reach, "4 cm").feedback
    assert "The figure is right" in mark(reach, "55 in").feedback
    assert "Very near" in mark(reach, "55.5 mm").feedback
    assert mark(reach, "70 mm").feedback.startswith("Not quite")


# 1 in = 25.4 mm exactly, international yard and pound agreement, 1959
@pytest.mark.parametrize(
    ("typed", "right"),
    [
        ("55", True),
        ("5.5 cm", True),
        ("0.055 m", True),
        ("55.4 mm", False),  # on the exercise's own kind of ruler it must be exact
        ("2 11/64 in", True),  # 55.165625 mm
        ("2 3/16 in", False),  # 55.5625 mm
        ("2 1/8 in", False),  # 53.975 mm
    ],
)
def test_another_unit_is_read_to_the_nearest_mark(typed, right):
    assert mark(asked(worked("90 mm"), "reach", "of tier 2"), typed).right is right


def test_the_same_seed_is_the_same_sheet_and_a_longer_one_begins_like_it():
    one, two, longer = (exercises(count=count, seed=8) for count in (6, 6, 9))
    assert [each.question for each in one] == [each.question for each in two]
    assert [each.question for each in longer][:6] == [each.question for each in one]
    other = exercises(count=6, seed=9)
    assert all(a.question != b.question for a, b in zip(one, other, strict=True))
    assert [each.number for each in longer] == list(range(1, 10))


def test_a_card_off_the_ruler_is_restated_first():
    tier = pk.Tier(face="2 3/4 in", depth="1/2 in")
    card = pk.Card(
        width="4 1/4 in", height="5 1/2 in", tiers=(tier, replace(tier, face=pk.Q(2, "inch")))
    )
    (reach,) = exercises(card, kinds="reach", count=1, grid="1 mm")
    again = AGAIN["reach"](reach.question)
    assert mm(reach.answer) == again
    (rounded,) = exercises(card, kinds="rounded", count=1, grid="1 mm")
    assert "in" in rounded.question  # its own scores, still in inches


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ({"kinds": "origami"}, "no kind 'origami'"),
        ({"kinds": ()}, "No kind is chosen"),
        ({"count": 0}, "1 to 60 exercises"),
        ({"count": 2.5}, "1 to 60 exercises"),
        ({"count": 61}, "1 to 60 exercises"),
        ({"seed": -1}, "whole number"),
        ({"seed": "7"}, "whole number"),
        ({"grid": "1 kg"}, "no ruler"),
        ({"grid": "2 in"}, "too coarse"),
        ({"card": worked(), "kinds": "slit"}, "no tier for exercises of the kind slit"),
    ],
)
def test_faults_are_told(how, words):
    with pytest.raises(ExerciseError, match=words):
        exercises(how.pop("card", None), **how)


def test_all_faults_are_told_at_once():
    with pytest.raises(ExerciseError) as caught:
        exercises(kinds="origami", count=0, seed=None)
    assert len(caught.value.faults) == 3


def test_a_card_is_asked_what_it_can_be_asked():
    kinds = {one.kind for one in exercises(worked(form=pk.CutStep), count=14)}
    assert {"slit", "score", "reach"} <= kinds
    assert not kinds & {"strip", "attachment", "rounded", "zones"}


@pytest.fixture(scope="module")
def one_of_each():
    return exercises(count=len(KINDS))


@pytest.mark.parametrize("nonsense", NONSENSE)
def test_nonsense_is_answered_in_words(one_of_each, nonsense):
    for exercise in one_of_each:
        told = mark(exercise, nonsense)
        assert not told.right
        assert told.feedback
    assert mark(exercise, " \t").feedback == ""


def test_an_exercise_with_its_answer_among_the_slips_is_refused():
    (one,) = exercises(kinds="foot", count=1)
    with pytest.raises(ValueError, match="slips is the right answer"):
        replace(one, slips=(Slip(answer=one.answer, why="No."),))
    with pytest.raises(ValueError, match="no working"):
        replace(one, steps=())
    with pytest.raises(ValueError, match="no mark of a ruler"):
        replace(one, answer=pk.Q(Fraction(1, 3), "millimeter"))
