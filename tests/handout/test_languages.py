"""The lesson's sheet and the plan of a class in other languages, read back from their PDFs.

Sources: decimal signs and where the sign of a currency stands as Unicode CLDR has them, through Babel;
clear print: 14 pt, large print 18 pt (RNIB Clear Print).
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from babel.numbers import format_currency

from popkit.card import Card, ClearFront, JoinedFront, Layer, Ornament, stepped_tiers
from popkit.classplan.classes import plan_class
from popkit.classplan.one_sheet import offcuts_give
from popkit.classplan.preparing import Minutes, kit_list, timetable
from popkit.classplan.prices import read_prices, show_money
from popkit.classplan.shopping import shopping_list
from popkit.handout import HandoutError
from popkit.handout.exercises import write_results, write_results_text
from popkit.handout.plan import class_plan_bytes, write_class_plan
from popkit.language import LANGUAGES
from popkit.lesson import KINDS, exercises, mark, rounding_exercises
from popkit.lesson.exercise import Exercise
from popkit.lesson.results import begun
from popkit.lesson.scenes import SCENES, predicted
from popkit.pieces import Piece
from popkit.recipe import Recipe
from popkit.roster import read_roster
from tests.handout.reading import ENGLISH_WORDS, alternatives, flat

GERMAN = LANGUAGES["de"]
RULERS = ("0.5 mm", "1/16 in", "1 cm")
POINT = r"[0-9]\.[0-9]"  # a decimal point, which German has not


def sheet(language="en_GB", grid="0.5 mm", seed=1):
    return exercises(count=len(KINDS), grid=grid, seed=seed, language=language)


def said(one: Exercise) -> list[str]:
    """Everything that an exercise ever says."""
    typed = ("", "x", "7 mm", "1", "200", one.shown, *(str(slip.answer) for slip in one.slips))
    told = [one.title, one.question, one.writes, one.because, one.hint, *one.steps]
    told += [slip.why for slip in one.slips]
    told += [one.before.caption, one.after.caption]
    return told + [mark(one, text).feedback for text in typed]


# The lesson -------------------------------------------------------------------------


@pytest.mark.parametrize("grid", RULERS)
def test_every_exercise_is_german_throughout(grid):
    for seed in range(2):
        for one in sheet("de", grid, seed):
            wrong = [text for text in said(one) if re.search(rf"{ENGLISH_WORDS}|{POINT}|[{{}}]", text)]
            assert wrong == []
            assert all(said(one)[:6])


def test_the_finder_of_english_sees_every_exercise():
    for one in sheet(grid="0.5 mm"):
        assert re.search(ENGLISH_WORDS, one.question)


def figures(one: Exercise) -> Counter[str]:
    """Every number of its sentences, whatever the decimal sign and the order of the words."""
    texts = (one.question, one.because, *one.steps, *(slip.why for slip in one.slips))
    return Counter(found.replace(",", ".") for text in texts for found in NUMBER.findall(text))


NUMBER = re.compile(r"[0-9½¼¾⅛⅜⅝⅞⁄]+(?:[.,][0-9]+)?")


@pytest.mark.parametrize("code", ["de", "en_US"])
@pytest.mark.parametrize("grid", RULERS)
def test_an_exercise_has_the_same_numbers_in_every_language(code, grid):
    for here, there in zip(sheet(grid=grid), sheet(code, grid), strict=True):
        assert (here.kind, here.answer, here.before.card) == (
            there.kind,
            there.answer,
            there.before.card,
        )
        assert {s.answer for s in here.slips} == {s.answer for s in there.slips}
        assert set(figures(here)) == set(figures(there)), here.kind


def test_an_exercise_is_said_again_in_another_language():
    english, german = sheet(), sheet("de")
    assert tuple(one.said("de") for one in english) == german
    assert tuple(one.said("en_GB") for one in german) == english
    assert german[0].said("de") is german[0]


def test_exercises_on_rounding_are_said_in_the_language():
    card = Card(width="4 1/4 in", height="5 1/2 in", tiers=stepped_tiers("5 1/2 in", 2))
    found = rounding_exercises(card, 1, "0.5 mm", language="de")
    assert [one.said("en") for one in found] == list(rounding_exercises(card, 1, "0.5 mm"))
    assert "Zoll" in found[0].question
    for one in found:
        assert [text for text in said(one) if re.search(rf"{ENGLISH_WORDS}|{POINT}", text)] == []


def test_a_german_answer_is_read_with_a_comma_and_in_zoll():
    (one,) = exercises(kinds="foot", count=1, grid="0.5 mm", language="de")
    plain = one.shown.removesuffix(" mm")
    assert "," not in plain
    assert mark(one, f"{plain},0 mm").right
    assert mark(one, f"{plain},0").right
    assert not mark(one, f"{plain},5 mm").right
    (inches,) = exercises(kinds="foot", count=1, grid="1/8 in", language="de")
    assert inches.shown.endswith(" Zoll")
    assert mark(inches, inches.shown).right
    assert mark(inches, inches.shown.replace(" Zoll", "zoll")).right
    assert mark(one, "Unsinn").feedback == "Das ist keine Länge. Schreibe sie wie in „12 mm“."


@pytest.mark.parametrize("topic", SCENES)
def test_a_scene_is_german_in_its_picture_and_in_words(topic):
    one = predicted(topic, language="de")
    for degrees in (0, 60, 180):
        for told in (False, True):
            drawn = SCENES[topic].draw(one, degrees, 4, told, "p")
            shown = re.sub(r"<style.*?</style>|<[^>]*>", " ", drawn.svg, flags=re.DOTALL)
            wrong = rf"{ENGLISH_WORDS}|\b(?:foot|back|front|stops|hides|shows)\b"
            assert re.findall(wrong, f"{shown} {drawn.words}") == []
            assert re.search("Karte|Stufen?|Ablage", drawn.words)


def results(language="en_GB"):
    made = sheet(language)
    found = begun(made, seed=1, grid=made[0].grid, name="Ines Marchetti")
    ways = ([], ["7 mm"], ["7 mm", "7,5 mm", "8"], ["999"])
    attempts = []
    for place, one in enumerate(found.attempts):
        for typed in ways[place % len(ways)]:
            one = one.tried(typed)
        one = one.tried(one.exercise.shown) if place % 5 == 0 else one
        attempts.append(one.helped() if place % 3 == 0 else one)
    return replace(found, attempts=tuple(attempts))


@pytest.mark.parametrize("large_print", [False, True])
def test_a_german_results_sheet_is_german_throughout(tmp_path, words, opened, large_print):
    path = write_results(results(), tmp_path / "r.pdf", large_print=large_print, language="de")
    document = opened(path.read_bytes())
    assert str(document.Root.Lang) == "de"
    text = flat(words(path.read_bytes()))
    for heading in ("Warum sie sich faltet", "Die Aufgaben", "Noch einmal ansehen", "Der Rechenweg"):
        assert heading in text
    assert re.findall(ENGLISH_WORDS, text) == []
    assert re.findall(rf"{POINT}|[{{}}]", text) == []
    assert "0,5" in text  # the ruler


def test_results_are_in_the_language_of_their_exercises(tmp_path):
    path = write_results_text(results("de"), tmp_path / "r.txt")
    other = write_results_text(results(), tmp_path / "other.txt", language="de")
    assert path.read_text("utf-8") == other.read_text("utf-8")
    assert not re.search(ENGLISH_WORDS, path.read_text("utf-8"))


def test_results_in_no_language_are_refused(tmp_path):
    with pytest.raises(HandoutError, match="is no language of the kit"):
        write_results(results(), tmp_path / "r.pdf", language="xx")
    with pytest.raises(HandoutError, match="is no language of the kit"):
        write_results_text(results(), tmp_path / "r.txt", language="xx")
    assert list(tmp_path.iterdir()) == []


# The plan of a class ----------------------------------------------------------------

ROSTER = """name,seat,card,unit,large print,needs
Ines Marchetti,1,Hafenlichter,,no,
Tom,2,Hafenlichter,,yes,linkshändig
Li Wei,3,Am Kai,,no,
Bo,4,Am Kai,mm,no,
"""
PRICES = """currency = "€"
[[sheet]]
stock = "card stock"
sheet = "A4"
pack = 4
price = "2.50"
[[glue]]
name = "Leim"
covers_cm2 = 400
price = "1.25"
"""
LABEL = Piece(name="Schildchen", width="20 mm", length="40.5 mm")
MINUTES = Minutes(cut="0.5", setting=1, score="0.25", slit=2, bag=2)


@pytest.fixture(scope="module")
def plan():
    lights = Card(
        width="105 mm",
        height="148 mm",
        tiers=stepped_tiers("148 mm", 2),
        front=JoinedFront(),
        layers=(Layer(on="back"),),
        ornaments=(Ornament(on="tier 1", height="30 mm", width="20 mm", pad="1.5 mm"),),
    )
    quay = Card(
        width="4 1/4 in", height="5 1/2 in", tiers=stepped_tiers("5 1/2 in", 2), front=ClearFront()
    )
    recipes = [Recipe(title="Hafenlichter", card=lights), Recipe(title="Am Kai", card=quay)]
    cupboard = {"card stock": [("A4", 2)]}
    roster = read_roster(ROSTER, "roster")
    return plan_class(roster, recipes, sheets="A4", stack=2, spares=1, cupboard=cupboard)


@pytest.fixture(scope="module")
def how():
    return {"prices": read_prices(PRICES), "minutes": MINUTES, "useful": [LABEL]}


@pytest.mark.parametrize("large_print", [False, True])
def test_a_german_plan_is_german_throughout(plan, how, words, opened, large_print):
    pdf = class_plan_bytes(plan, language="de", large_print=large_print, **how)
    document = opened(pdf)
    assert str(document.Root.Lang) == "de"
    text = re.sub("Quellen: .*?(?=Zuschneiden)", "", flat(words(pdf)))  # named as published
    for heading in ("Kaufen", "Sicher arbeiten", "Die Schnitte der Reihe nach", "Tüten packen"):
        assert heading in text
    assert re.findall(rf"{ENGLISH_WORDS}|sheets?|cuts?|step", text) == []
    told = alternatives(document)
    assert len(told) >= len(plan.layouts)
    assert [one for one in told if re.search(rf"{ENGLISH_WORDS}|sheets?|cut", one)] == []
    assert [one for one in (text, *told) if re.search(rf"{POINT}|[{{}}]", one)] == []
    assert "2,50 €" in text
    assert "1,5 mm dick" in text


def test_the_finder_sees_the_english_plan(plan, how, words):
    text = flat(words(class_plan_bytes(plan, **how)))
    assert re.search(ENGLISH_WORDS, text)
    assert re.search(POINT, text)


def test_an_american_plan_is_spelt_so(plan, how, words, opened):
    """Merriam-Webster, from memory: millimeter."""
    pdf = class_plan_bytes(plan, language="en_US", paper="Letter", **how)
    assert str(opened(pdf).Root.Lang) == "en-US"
    text = flat(words(pdf))
    assert "in millimeters" in text
    assert "millimetre" not in text


def numbers(text: str) -> Counter[str]:
    return Counter(found.replace(",", ".") for found in NUMBER.findall(text))


def test_a_step_has_the_same_numbers_in_every_language(plan):
    for step in plan.steps:
        assert numbers(step.text()) == numbers(step.text("de"))
    for one in offcuts_give(plan, [LABEL]):
        assert numbers(one.text()) == numbers(one.text("de"))


def test_what_is_said_on_the_plan_is_said_elsewhere_too(plan):
    prices = read_prices(PRICES)
    texts = [line.text() for line in shopping_list(plan, prices, language="de").lines]
    texts += [bag.text() for bag in kit_list(plan, language="de")]
    texts += [job.text() for job in timetable(plan, MINUTES, language="de").jobs]
    texts += [one.plan.summary("de") for one in plan.stocks]
    texts += [one.plan.cut_list("de") for one in plan.stocks]
    assert [text for text in texts if re.search(rf"{ENGLISH_WORDS}|sheets?|pack of", text)] == []


@pytest.mark.parametrize("amount", [Fraction(9, 2), Fraction(5), Fraction(1, 100)])
def test_german_money_is_written_as_cldr_writes_it(amount):
    usual = format_currency(float(amount), "EUR", locale="de").replace("\N{NO-BREAK SPACE}", " ")
    assert show_money(amount, "€", "de") == usual
    assert show_money(amount, "$", "en_US") == format_currency(float(amount), "USD", locale="en_US")


def test_a_large_print_plan_is_18_pt_throughout(plan, how, measured):
    with measured(class_plan_bytes(plan, large_print=True, **how)) as document:
        sizes = Counter(
            round(char["size"], 1)
            for page in document.pages[:6]
            for char in page.chars
            if abs(char["matrix"][1]) < 0.01 and char["text"].strip()  # level
        )
    assert sizes.most_common(1)[0][0] == 18
    assert min(sizes) >= 9  # small figures of fractions


def test_a_plan_in_no_language_is_refused(plan, tmp_path):
    with pytest.raises(HandoutError, match="is no language of the kit"):
        write_class_plan(plan, tmp_path / "p.pdf", language="xx")
    assert list(tmp_path.iterdir()) == []


# One thing, one name ----------------------------------------------------------------


def test_two_sheet_sizes_of_one_stock_are_told_apart_in_the_timetable():
    """A card of an A4 stock and one of a Letter stock: the two rows read alike once."""
    metric, inches = (
        Card(width=width, height=height, tiers=stepped_tiers(height, 2), front=JoinedFront())
        for width, height in (("105 mm", "148 mm"), ("4 1/4 in", "5 1/2 in"))
    )
    plan = plan_class([(Recipe(title="Quay", card=metric), 3), (Recipe(title="Mole", card=inches), 3)])
    assert len({one.name for one in plan.stocks}) < len(plan.stocks)
    rows = [job.text() for job in timetable(plan, MINUTES).jobs]
    assert len(set(rows)) == len(rows)
    cuts = [job.what for job in timetable(plan, MINUTES).jobs if job.kind == "cut"]
    assert [name.rpartition(", ")[2] for name in cuts] == [
        sheet.name for one in plan.stocks for sheet, *_ in one.plan.sheet_counts
    ]


def test_glue_is_bought_in_bottles_wherever_it_is_said(plan, words):
    prices = read_prices(PRICES)
    (glue,) = (line for line in shopping_list(plan, prices).lines if line.kind == "glue")
    assert "bottle" in glue.text()
    assert "pack of" not in glue.text()
    assert glue.packs_text in glue.text()
    assert glue.packs_text in flat(words(class_plan_bytes(plan, prices=prices)))
