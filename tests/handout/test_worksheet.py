"""Worksheets and their answers: the sums are done again here, from what is printed.

The sums are those of the parallelogram (opposite sides are equal) and of a strip (zones end to end);
every answer is also marked as a student's would be.
"""

import re
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from popkit.card import Card, ClearFront, CutStep, OnePieceFront, stepped_tiers
from popkit.handout import HandoutError, handout_bytes
from popkit.handout.job import job
from popkit.handout.sums import EXERCISES, sums_of
from popkit.lengths import mm
from popkit.lesson.exercise import mark
from popkit.pieces import cut_list
from popkit.recipe import Recipe

STRIPS = Recipe(
    title="Harbour lights",
    card=Card(width="5 in", height="7 in", tiers=stepped_tiers("7 in", 3), front=ClearFront()),
)
STEPS = Recipe(
    title="Stile",
    card=Card(
        width="100 mm",
        height="100 mm",
        tiers=(CutStep(face="40 mm", depth="20 mm"),),
        front=OnePieceFront(),
    ),
)


def a_job(recipe, **how):
    return job(recipe, seed=how.pop("seed", 1), **how)


@given(seed=st.integers(0, 10**6), unit=st.sampled_from(["1/8 in", "1/16 in", "1 mm"]))
@settings(deadline=None)
def test_scores_and_length_are_the_zones_end_to_end(seed, unit):
    for made in sums_of(a_job(STRIPS, grid=unit), seed).cards:
        foot = 0
        for zones, answers in zip(made.given, made.answers, strict=True):
            first, shelf, face, last = map(mm, zones)
            foot += shelf
            ends = (first, first + shelf, first + shelf + face, first + shelf + face + last)
            assert tuple(map(mm, answers)) == (*ends, foot)


@given(seed=st.integers(0, 10**6), unit=st.sampled_from(["1/8 in", "1 mm"]))
@settings(deadline=None)
def test_slits_and_score_are_those_of_the_piece(seed, unit):
    for made in sums_of(a_job(STEPS, grid=unit), seed).cards:
        (piece,) = cut_list(made.card)
        above, below, score = (mm(one) for one in made.answers[0])
        fold = mm(made.card.height)  # of a one-piece card, from its top end
        for slit in piece.slits:
            assert (mm(slit.start), mm(slit.stop)) == (fold - above, fold + below)
        assert fold - score in {mm(crease.position) for crease in piece.creases}


@given(seed=st.integers(0, 10**6))
@settings(deadline=None)
def test_every_answer_of_the_key_is_marked_right(seed):
    for exercise in sums_of(a_job(STRIPS), seed).exercises:
        assert mark(exercise, exercise.shown).right


def test_another_seed_has_other_numbers_and_the_same_seed_the_same():
    asked = a_job(STRIPS)
    assert sums_of(asked, 3) == sums_of(asked, 3)
    several = {tuple(sums_of(asked, seed).cards[0].given) for seed in range(20)}
    assert len(several) > 15
    assert handout_bytes(STRIPS, edition="worksheet", seed=3) == handout_bytes(
        STRIPS, edition="worksheet", seed=3
    )
    assert handout_bytes(STRIPS, edition="worksheet", seed=3) != handout_bytes(
        STRIPS, edition="worksheet", seed=4
    )


@pytest.mark.parametrize("language", ["en_GB", "en_US", "de"])
def test_a_sheet_asks_the_same_in_every_language(language):
    here, there = sums_of(a_job(STRIPS), 7), sums_of(a_job(STRIPS, language=language), 7)
    assert here.cards == there.cards
    assert [one.answer for one in here.exercises] == [one.answer for one in there.exercises]
    assert len(there.exercises) == EXERCISES


def test_only_kinds_that_suit_the_card_are_asked():
    strips = {one.kind for seed in range(5) for one in sums_of(a_job(STRIPS), seed).exercises}
    steps = {one.kind for seed in range(5) for one in sums_of(a_job(STEPS), seed).exercises}
    assert not strips & {"slit", "score"}
    assert not steps & {"strip", "attachment", "zones"}


@pytest.mark.parametrize("seed", range(1, 9))
def test_where_nothing_is_glued_no_sum_glues_a_tier(seed):
    """Of cut steps nothing is glued, and no foot can slip: only an ornament is ever glued on."""
    made = sums_of(a_job(STEPS, seed=seed), seed).exercises
    for one in made:
        said = " ".join((one.question, one.because, one.hint, *one.steps))
        said += " ".join(slip.why for slip in one.slips)
        said = said.replace("An ornament is glued to that face.", "").replace("Nothing is glued.", "")
        assert not re.search(r"\bglue|\bstrip|\btabs?\b", said), said
    kinds = {one.kind for one in made}
    assert not kinds & {"closing", "opening", "attachment", "strip"}
    assert {"foot", "slit", "nesting"} <= kinds


@pytest.mark.parametrize("large_print", [False, True])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_number_stands_in_the_title_and_on_every_page(words, paper, large_print):
    pdf = handout_bytes(STRIPS, edition="worksheet", seed=41, paper=paper, large_print=large_print)
    text = words(pdf)
    pages = text.count("Page ")
    assert pages >= 3
    assert text.count("Harbour lights: worksheet 41") == pages + 1


def test_no_answer_stands_on_the_sheet_and_all_stand_in_the_key(words):
    sheet = words(handout_bytes(STEPS, edition="worksheet", seed=9, grid="1 mm"))
    key = words(handout_bytes(STEPS, edition="answers", seed=9, grid="1 mm"))
    sums = sums_of(a_job(STEPS, grid="1 mm"), 9)
    for one in sums.exercises:
        assert one.shown.replace(" ", "\xa0") in key
        for step in one.steps:
            assert step[-12:] not in sheet
    for made in sums.cards:
        assert str(made.answers[0][2].magnitude) in key


def test_there_is_room_to_write(measured):
    pdf = handout_bytes(STRIPS, edition="worksheet", seed=2)
    with measured(pdf) as document:
        lines = [line for page in document.pages for line in page.lines]
        level = sorted((line["page_number"], line["top"]) for line in lines if line["width"] > 300)
    gaps = [b - a for (p, a), (q, b) in pairwise(level) if p == q]
    assert sum(27 < gap < 30 for gap in gaps) >= 2 * EXERCISES  # 10 mm is 28.3 pt


def test_answers_to_several_stand_one_after_another(words):
    text = words(handout_bytes(STRIPS, edition="answers", seed=(5, 8, 2)))
    places = [text.index(f"Worksheet {seed}") for seed in (5, 8, 2)]
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("asked", "fault"),
    [
        ({"edition": "student", "seed": 3}, "no sums"),
        ({"edition": "worksheet", "seed": -1}, "is -1"),
        ({"edition": "worksheet", "seed": "7"}, "is '7'"),
        ({"edition": "worksheet", "seed": True}, "is True"),
        ({"edition": "worksheet", "seed": (1, 2)}, "one number"),
        ({"edition": "worksheet", "grid": "1 in"}, "too coarse"),
        ({"edition": "worksheet", "minutes": 60}, "no hours"),
        ({"edition": "answers", "seed": (1, "x")}, "is 'x'"),
    ],
)
def test_what_cannot_be_is_told(asked, fault):
    with pytest.raises(HandoutError, match=fault):
        handout_bytes(STRIPS, **asked)
