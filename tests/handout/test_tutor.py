"""The tutor's edition: minutes that add up, slips with their numbers, answers, the plan of a class.

Source of the check on minutes: the largest-remainder rule keeps each share within one of the exact
share and the sum at the total (Hare quota; Balinski and Young, Fair Representation, 1982).
"""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from popkit.assembly import assembly_steps, slips
from popkit.card import (
    Card,
    ClearFront,
    CutStep,
    Layer,
    OnePieceFront,
    Ornament,
    stepped_tiers,
)
from popkit.checks import check
from popkit.classplan.classes import plan_class
from popkit.handout import HandoutError, handout_bytes
from popkit.handout.tutor import shared_minutes
from popkit.recipe import Recipe
from tests.handout.cards import CARDS
from tests.handout.reading import structure

RECIPE = Recipe(
    title="Harbour lights",
    card=Card(width="5 in", height="7 in", tiers=stepped_tiers("7 in", 3), front=ClearFront()),
    minutes=75,
    notes="Cut the clear sheets\nbeforehand.\nBoats go on the front tier.",
    steps=("Bring a ruler.",),
)


@given(total=st.integers(0, 1440), parts=st.lists(st.integers(1, 60), min_size=1, max_size=60))
def test_minutes_are_shared_within_one_of_the_exact_share(total, parts):
    shared = shared_minutes(total, parts)
    assert sum(shared) == total
    for minutes, part in zip(shared, parts, strict=True):
        assert abs(minutes - Fraction(total * part, sum(parts))) < 1


@pytest.fixture
def text(words):
    return lambda **how: " ".join(
        words(handout_bytes(RECIPE, edition="tutor", **how)).replace("\xa0", " ").split()
    )


def test_every_step_has_its_minutes_and_they_add_up(text):
    shown = text()
    begins = 0
    for step in assembly_steps(RECIPE.card):
        at = shown.index(f"{step.number} {step.title}")
        rest = shown[at + len(f"{step.number} {step.title}") :].split()
        assert rest[1] == rest[3] == "min"
        assert int(rest[2]) == begins
        begins += int(rest[0])
    assert begins == 75
    assert "75 min in all" in shown


def test_the_tutors_own_minutes_are_printed_as_given(text):
    count = len(assembly_steps(RECIPE.card))
    own = tuple(range(5, 5 + count))
    shown = text(minutes=own)
    assert f"{sum(own)} min in all, by your own minutes." in shown
    assert f"{5 + count - 1} min {sum(own[:-1])} min" in shown
    with pytest.raises(HandoutError, match=f"2 minutes for {count} steps"):
        text(minutes=(1, 2))
    with pytest.raises(HandoutError, match="The minutes are 'x'"):
        text(minutes="x")


def test_without_a_time_there_is_room_to_write_one(words):
    bare = handout_bytes(RECIPE.card, edition="tutor")
    assert "The recipe says no time." in words(bare)


def test_every_slip_says_how_to_see_it(text):
    shown = text()
    for slip in slips(RECIPE.card):
        assert f"{slip.opens_to // 1:.0f}°" in shown or slip.opens_to == 180
    assert "stops before it is flat" in shown
    assert "lift the bottom tab" in shown


def test_notes_and_remarks_are_printed(text):
    shown = text()
    assert "Cut the clear sheets beforehand." in shown
    assert "Boats go on the front tier." in shown
    assert "Bring a ruler." in shown


def test_answers_are_there_for_the_seeds_asked(text):
    assert "Worksheet" not in text()
    shown = text(seed=(4, 9))
    assert shown.index("Worksheet 4") < shown.index("Worksheet 9")


def test_the_plan_of_a_class_is_there_with_sheets_and_bags(text, words):
    plan = plan_class([(RECIPE, 6)], spares=1)
    shown = text(plan=plan)
    assert "6 students, 7 kits, 1 of them spare." in shown
    for name in ("Layout A", "The cuts in order", "Pack the bags", "How long it takes"):
        assert name in shown
    assert "by the plan at the end" in shown
    assert "Either cut and bag by the plan beforehand (then step 1 and its" in shown
    assert "Trimmer." in shown
    with pytest.raises(HandoutError, match="no plan of a class"):
        text(plan="plan")
    with pytest.raises(HandoutError, match="has no plan of the class"):
        handout_bytes(RECIPE, plan=plan)


@pytest.mark.parametrize("asked", [{}, {"language": "de", "large_print": True}])
def test_with_a_plan_the_pages_are_tagged_like_any_others(opened, asked):
    """ISO 14289-1: real content is tagged, headings go down one level at a time, tables have heads."""
    plan = plan_class([(RECIPE, 6)], spares=1)
    document = opened(handout_bytes(RECIPE, edition="tutor", plan=plan, **asked))
    with document.open_metadata() as metadata:
        assert metadata["pdfuaid:part"] == "1"
    assert str(document.Root.Lang) == asked.get("language", "en-GB")
    found = structure(document)
    levels = [int(kind[1]) for kind, _, _ in found if kind[0] == "H"]
    assert levels[0] == 1
    assert all(deeper <= level + 1 for level, deeper in pairwise(levels))
    assert all(str(one.get("/Alt", "")) for kind, one, _ in found if kind == "Figure")
    tables = sum(kind == "Table" for kind, _, _ in found)
    assert tables >= 7  # cut list, hours, slips; shopping, cuts, bags, timetable
    assert sum(kind == "THead" for kind, _, _ in found) == tables


STEPS = Card(
    width="100 mm",
    height="100 mm",
    tiers=(CutStep(face="40 mm", depth="20 mm"),),
    front=OnePieceFront(),
)


def tutor_text(words, card, **how):
    shown = words(handout_bytes(card, edition="tutor", **how)).replace("\xa0", " ")
    return " ".join(shown.replace("\u202f", " ").split())


def test_what_fails_the_checks_stands_first_with_its_remedy(words):
    """A face of 90 mm with its foot 20 mm out reaches 110 mm: 10 mm past a front of 100 mm."""
    tall = replace(STEPS, tiers=(CutStep(face="90 mm", depth="20 mm"),))
    shown = tutor_text(words, tall)
    told = shown[shown.index("What to mend first") : shown.index("Before the class")]
    found = [one for one in check(tall, "1 mm") if one.severity != "note"]
    assert found
    assert "10 mm" in told
    assert told.count("It will not work:") == sum(one.severity == "stop" for one in found)
    assert told.count("It will disappoint:") == sum(one.severity == "caution" for one in found)
    assert not [one for one in check(STEPS) if one.severity != "note"]
    assert "What to mend first" not in tutor_text(words, STEPS)
    german = tutor_text(words, tall, language="de")
    assert "Was zuerst zu ändern ist" in german
    assert "Die Prüfung spricht Englisch." in german


def test_the_cutting_is_planned_once(text):
    """Whoever cuts beforehand leaves out step 1, and its minutes are those of the table."""
    shown = text()
    at = shown.index("1 Cut the pieces") + len("1 Cut the pieces ")
    first = shown[at:].split()[0]
    assert f"beforehand, and a kit to spare (then step 1 and its {first} min fall away)" in shown


@pytest.mark.parametrize("language", ["en_GB", "de"])
def test_slips_are_those_of_the_form(words, language):
    mat, ornament, strip = {
        "en_GB": ("A mat lies over a score.", "caught by two faces.", "folded strip"),
        "de": (
            "Eine Auflage liegt über einer Rille.",
            "hängt an zwei Stirnflächen.",
            "gefalzten Streifen",
        ),
    }[language]
    plain = tutor_text(words, STEPS, language=language)
    assert not any(one in plain for one in (mat, ornament, strip))
    more = {
        "layers": (Layer(on="back"),),
        "ornaments": (Ornament(on="back", width="20 mm", height="20 mm", up="60 mm"),),
    }
    full = tutor_text(words, replace(RECIPE.card, **more), language=language)
    assert all(one in full for one in (mat, ornament, strip))


def test_an_american_handout_has_one_word_for_the_tutor(words):
    """The students' pages say "From your instructor"."""
    made = Recipe(title="Harbour steps", card=CARDS["joined"], steps=("Bring a ruler.",))
    for edition in ("student", "tutor", "answers"):
        said = words(handout_bytes(made, edition=edition, language="en_US")).casefold()
        assert "instructor" in said
        assert "the tutor" not in said
