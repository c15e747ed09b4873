"""The exercises on rounding, their answers worked out by hand."""

from __future__ import annotations

import pytest

import popkit as pk
from popkit.folding import opens_to
from popkit.lesson import mark, rounding_exercises
from tests.converting.converted_by_hand import law_of_cosines

# Scores 1/2, 1, 4 1/4 in: 13, 25, 108 mm one by one; 13, 26, 108 as a card (see converted_by_hand.py).
JAMS = law_of_cosines(foot=13, shelf=12, face=108 - 25)


@pytest.fixture(scope="module")
def card():
    tier = pk.Tier(face="3 1/4 in", depth="1/2 in", top_tab="1/2 in", bottom_tab="1/2 in")
    return pk.Card(width="5 in", height="6 in", tiers=(tier,), front=pk.ClearFront(landing="1 1/2 in"))


@pytest.fixture(scope="module")
def exercises(card):
    return rounding_exercises(card)


@pytest.mark.parametrize(
    ("number", "answer", "right"),
    [
        (1, "12 mm", True),  # 25 - 13
        (1, "12", True),
        (1, "1.2 cm", True),
        (1, "13 mm", False),
        (2, f"{JAMS:.0f}", True),
        (2, f"{JAMS + 9.9:.1f}°", True),
        (2, f"{JAMS - 9.9:.1f} degrees".replace(".", ","), True),
        (2, f"{JAMS + 10.1:.1f}", False),
        (2, f"{JAMS - 10.1:.1f}", False),
        (2, "180", False),
        (2, "181", False),
        (3, "108 mm", True),  # 13 + 13 + 82
        (3, "107.95 mm", False),
        (3, "107 mm", False),
    ],
)
def test_answers(exercises, number, answer, right):
    told = mark(exercises[number - 1], answer)
    assert told.right is right
    assert told.feedback


def test_the_questions_give_the_numbers_they_need(exercises):
    first, second, third = exercises
    assert "½ in, 1 in and 4¼ in" in first.question
    assert "13 mm, 25 mm and 108 mm" in first.question
    assert "The face is 83 mm high, the shelf 12 mm deep" in second.question  # 108 - 25, 25 - 13
    assert "13 mm from what stands behind it, 1 mm more than the shelf" in second.question
    assert "a top tab of 13 mm, a shelf of 13 mm and a face of 82 mm" in third.question  # 108 - 26


def test_nothing_is_said_to_no_answer(exercises):
    for exercise in exercises:
        assert mark(exercise, "  ").feedback == ""


@pytest.mark.parametrize(
    "nonsense",
    ["twelve <b>", "-12 mm", "1e999999999", "9" * 400, "1/0", "NaN", "∞", "\x00", "12 kg", "°"],
)
def test_nonsense_is_answered_in_words(exercises, nonsense):
    for exercise in exercises:
        told = mark(exercise, nonsense)
        assert not told.right
        assert told.feedback


def test_the_view_after_the_guess_stops_where_the_answer_says(exercises):
    view = exercises[1].after
    assert opens_to(view.card, view.slips) == pytest.approx(JAMS, abs=1e-6)
    assert opens_to(exercises[1].before.card, {}) == 180
    assert not exercises[2].after.slips


def test_a_tier_that_came_through_says_so():
    # 10, 20, 80 mm are marks of the ruler already: nothing moves, nothing breaks.
    tier = pk.Tier(face="60 mm", depth="10 mm", top_tab="10 mm", bottom_tab="10 mm")
    card = pk.Card(width="100 mm", height="150 mm", tiers=(tier,), front=pk.ClearFront(landing="20 mm"))
    first, second, _ = rounding_exercises(card)
    assert "unharmed" in mark(first, "10 mm").feedback
    assert "the same as the shelf" in second.question
    assert mark(second, "180").right


@pytest.mark.parametrize("number", [0, 2, -1])
def test_a_tier_that_is_not_there(card, number):
    with pytest.raises(pk.LengthError, match="is not on this card"):
        rounding_exercises(card, number)


def test_a_cut_step_has_no_scores_of_its_own():
    card = pk.Card(
        width="100 mm",
        height="120 mm",
        tiers=(pk.CutStep(face="40 mm", depth="20 mm", width="60 mm"),),
        front=pk.OnePieceFront(),
    )
    with pytest.raises(pk.LengthError, match="cut step"):
        rounding_exercises(card)
