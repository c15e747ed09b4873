"""What the handout says, read back from the PDF and compared with the card."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from popkit import finishbench
from popkit.assembly import assembly_steps, cautions, materials, rulers
from popkit.card import Card, ClearFront, JoinedFront, Layer, Ornament, Tier, stepped_tiers
from popkit.classplan.kits import kits_of
from popkit.handout import HandoutError, handout_bytes
from popkit.handout.student import typeset_numbers
from popkit.language import LANGUAGES
from popkit.lengths import mm, parse_length, show_exact
from popkit.pieces import cut_list
from popkit.recipe import Recipe, load_recipe, recipe_files
from popkit.workbench import laid_out
from tests.handout.cards import CARDS
from tests.handout.reading import ENGLISH_WORDS, alternatives, flat

LENGTH = r"((?:[0-9]+ ?)?(?:[½⅓⅔¼¾⅛⅜⅝⅞]|[⁰-⁹¹²³]+⁄[₀-₉]+)|[0-9]+(?:\.5)?) (in|mm)"
FOLDER = Path(__file__).parents[2] / "notebooks" / "recipes"
RECIPES = {path.stem: load_recipe(path) for path in recipe_files(FOLDER)}
NAMES = ["clear", "joined", "cut", "mixed"]


def lengths_in(text):
    return [mm(parse_length(" ".join(found))) for found in re.findall(LENGTH, text)]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_cut_list_holds_every_size_on_both_rulers(pdf, words, cards, name, paper):
    text = flat(words(pdf(name, paper=paper)))
    table = text.partition("Width Length")[2].partition("Where to score")[0]
    printed = lengths_in(table)
    expected = [size for piece in cut_list(cards[name]) for size in (piece.width, piece.length)]
    assert printed[::2] == [mm(size) for size in expected]
    for rounded, size in zip(printed[1::2], expected, strict=True):
        assert abs(rounded - mm(size)) <= (0.5 if rounded.denominator == 1 else 25.4 / 32)
    for piece in cut_list(cards[name]):
        assert f"{piece.name} {piece.count} " in table


@pytest.mark.parametrize("name", NAMES)
def test_every_mark_is_said_in_words_beside_its_chart(pdf, words, cards, name):
    text = flat(words(pdf(name)))
    said = set(lengths_in(text.partition("Where to score")[2].partition("Put it together")[0]))
    for piece in cut_list(cards[name]):
        wanted = [*piece.scores]
        wanted += [one for slit in piece.slits for one in (slit.across, slit.start, slit.stop)]
        assert {mm(one) for one in wanted} <= said


@pytest.mark.parametrize("name", NAMES)
def test_every_step_material_and_caution_is_printed_whole(pdf, words, cards, name):
    text = flat(words(pdf(name)))
    steps = assembly_steps(cards[name])
    for step in steps:
        assert flat(typeset_numbers(f"{step.number}. {step.title}. {step.text}")) in text
        assert flat(typeset_numbers(step.caution or "")) in text
    for one in materials(cards[name]):
        assert flat(typeset_numbers(f"{one.name} {one.use}")) in text
    for one in cautions(cards[name]):
        assert f"{one.topic}. {one.text}" in text


def test_the_remarks_of_the_tutor_are_printed(pdf, words):
    text = flat(words(pdf("clear")))
    assert "From your tutor • Bring a ruler. • Leave the glue open no longer than you must." in text


def test_pages_are_counted(pdf, words):
    text = flat(words(pdf("clear")))
    count = int(re.search(r"Page 1 of ([0-9]+)", text)[1])
    assert all(f"Page {page} of {count}" in text for page in range(1, count + 1))
    assert f"of {count + 1}" not in text


def test_a_bare_card_gets_a_title_of_its_own(words):
    card = Card(width="100 mm", height="150 mm", tiers=(Tier(face="60 mm", depth="15 mm"),))
    assert "Pop-up card with one tier" in flat(words(handout_bytes(card)))


def test_another_ruler_means_a_restated_card_that_says_so(words, cards):
    """5 in is 127 mm and 5/8 in is 15.875 mm (1 in = 25.4 mm exactly): the strip widths and shelves
    cannot stay as they are.
    """
    text = flat(words(handout_bytes(cards["clear"], grid="1 mm")))
    assert "restated on a ruler of 1 mm" in text
    assert "Finished size: 127 mm (5 in) wide, 178 mm (7 in) high." in text
    assert "Work in mm from start to finish" in text


def test_a_ruler_that_already_holds_the_card_changes_nothing(words, cards):
    text = flat(words(handout_bytes(cards["clear"], grid="1/32 in")))
    assert "restated" not in text


def test_sizes_off_every_usual_ruler_are_called_rounded(words):
    card = Card(width="100.3 mm", height="150 mm", tiers=(Tier(face="60 mm", depth="15 mm"),))
    assert not rulers(card).exact
    assert "All sizes here are rounded to 0.5 mm." in flat(words(handout_bytes(card)))


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"edition": "poster"}, "There is no edition 'poster'. Write 'student'"),
        ({"edition": None}, "There is no edition None"),
        ({"paper": "A3"}, "Handouts are not printed on 'A3'. Write A4 or Letter."),
        ({"paper": 4}, "Handouts are not printed on 4"),
        ({"grid": "1 pint"}, "The ruler is no ruler"),
        ({"grid": 3}, "The ruler is no ruler"),
        ({"name": 3}, "The name is an int"),
        ({"name": "x" * 500}, "longer than 200 characters"),
        ({"large_print": "yes"}, "Large print is 'yes'. Write True or False."),
    ],
)
def test_what_cannot_be_asked_is_refused_in_words(cards, asked, said):
    with pytest.raises(HandoutError, match=re.escape(said)):
        handout_bytes(cards["clear"], **asked)


def test_every_fault_is_told_at_once(cards):
    with pytest.raises(HandoutError) as caught:
        handout_bytes("no card", edition="poster", paper="A3", grid="1 pint", large_print=2, name=5)
    assert len(caught.value.faults) == 6


# In another language --------------------------------------------------------------

FINISHED = Card(
    width="105 mm",
    height="148.5 mm",
    tiers=stepped_tiers("148.5 mm", 2),
    front=ClearFront(),
    layers=(
        Layer(on="back"),
        Layer(on="front", name="Grußstreifen", width="60 mm", length="12 mm", across="10 mm"),
    ),
    ornaments=(Ornament(on="tier 1", height="30 mm", width="20 mm", pad="2 mm"),),
)
GERMAN_CARDS = {**CARDS, "finished": FINISHED}


@pytest.mark.parametrize("name", GERMAN_CARDS)
def test_a_german_handout_is_german_throughout(words, opened, name):
    pdf = handout_bytes(GERMAN_CARDS[name], language="de")
    document = opened(pdf)
    assert str(document.Root.Lang) == "de"
    text = re.sub("Quellen: .*?(?=Drucker prüfen)", "", flat(words(pdf)))  # named as published
    for heading in ("Das brauchst du", "Zuschnittliste", "Wo gerillt wird", "Zusammenbauen"):
        assert heading in text
    assert "Notes" not in text  # there where room is left, and then "Notizen"
    assert re.findall(ENGLISH_WORDS, text) == []
    told = alternatives(document)
    assert len(told) >= 4
    assert [one for one in told if re.search(ENGLISH_WORDS, one)] == []
    assert [one for one in (text, *told) if re.search(r"[0-9]\.[0-9]|[{}]", one)] == []


def test_the_finder_of_english_sees_it(words, opened):
    pdf = handout_bytes(CARDS["clear"])
    assert re.search(ENGLISH_WORDS, flat(words(pdf)))
    assert any(re.search(ENGLISH_WORDS, one) for one in alternatives(opened(pdf)))


def test_a_german_cut_list_holds_every_size_with_a_comma(words):
    text = flat(words(handout_bytes(FINISHED, language="de")))
    table = text.partition("Breite Länge")[2].partition("Auflagen und Streifen")[0]
    printed = [
        mm(parse_length(f"{number.replace(',', '.')} mm"))
        for number in re.findall(r"([0-9]+(?:,[0-9]+)?)\s?mm", table)
    ]
    assert printed == [mm(size) for piece in cut_list(FINISHED) for size in (piece.width, piece.length)]
    assert "148,5" in text
    assert "Zoll" in table


def test_an_american_handout_is_spelt_so_and_printed_on_letter(words, opened):
    """Letter is 8½ × 11 in, 612 × 792 points (ANSI/ASME Y14.1)."""
    pdf = handout_bytes(CARDS["joined"], language="en_US", paper=LANGUAGES["en_US"].paper)
    document, text = opened(pdf), flat(words(pdf))
    assert str(document.Root.Lang) == "en-US"
    assert [float(side) for side in document.pages[0].MediaBox] == [0, 0, 612, 792]
    assert "fold it toward you" in text
    assert "towards" not in text


def test_every_language_sets_every_step(words):
    for language in LANGUAGES:
        text = flat(words(handout_bytes(FINISHED, language=language)))
        for step in assembly_steps(FINISHED, language=language):
            assert flat(typeset_numbers(f"{step.number}. {step.title}. {step.text}")) in text


def test_a_language_that_is_not_spoken_is_refused_with_the_other_faults(cards):
    with pytest.raises(HandoutError) as caught:
        handout_bytes(cards["clear"], paper="A3", language="tlh")
    assert [fault.partition(".")[0] for fault in caught.value.faults] == [
        "Handouts are not printed on 'A3'",
        "'tlh' is no language of the kit",
    ]


# Mats and ornaments ---------------------------------------------------------------


def test_mats_and_strips_have_a_table(words):
    text = flat(words(handout_bytes(FINISHED)))
    table = text.partition("Mat or strip Lies on To see at the sides")[2].partition("Where to score")[0]
    assert "mat for the back back 3 mm (⅛ in)" in table
    assert "Grußstreifen front 10 mm (⅜ in) / 35 mm (1⅜ in)" in table  # 105 - 10 - 60


def test_places_of_mats_are_said_as_anyone_knows_them(words):
    card = replace(
        CARDS["clear"],
        layers=(Layer(on="message", name="greeting card"), Layer(on="band 2", name="waves")),
    )
    table = flat(words(handout_bytes(card))).partition("Mat or strip Lies on")[2]
    assert "greeting card outside of the back, for the message" in table
    assert "waves what shows of tier 2" in table


@pytest.mark.parametrize(
    ("paper", "envelope"),
    [
        # The card is 5 x 7 in: 127 x 178 mm goes in a C5 of 162 x 229 (ISO 269), and in an A7 of
        # 5 1/4 x 7 1/4, for which the size chart (maymaymadeit.com) sells it.
        ("A4", "C5, 162 mm × 229 mm"),
        ("Letter", "A7, 5¼ in × 7¼ in"),
    ],
)
def test_the_envelope_is_of_the_measure_of_the_paper(pdf, words, paper, envelope):
    sent = flat(words(pdf("clear", paper=paper))).partition("Send it")[2]
    assert sent.lstrip(" •").startswith(f"It goes in an envelope {envelope}.")


@pytest.mark.parametrize("envelope", ["", "A2", "C6 envelope", "box"])
@pytest.mark.parametrize("name", RECIPES)
def test_handout_panel_and_class_plan_name_one_envelope(words, name, envelope):
    """Whatever the recipe says: what goes in the bag is what handout and panel tell of. The handout
    names an envelope of the paper's measure first, and that of the recipe's own beside it.
    """
    recipe = RECIPES[name] if envelope == "" else replace(RECIPES[name], envelope=envelope)
    (kit,) = kits_of([(recipe, 1)])
    shown = finishbench.sent(laid_out(recipe))
    for paper in ("A4",) if envelope else ("A4", "Letter"):
        printed = flat(words(handout_bytes(recipe, paper=paper))).partition("Send it")[2]
        if envelope == "box":
            assert kit.envelope is None
            assert shown.envelope.startswith("A box ")
            for piece in kit.box.pieces:
                size = " × ".join(show_exact(side) for side in (piece.width, piece.length))
                assert f"“{piece.name}”, {flat(typeset_numbers(size))}" in printed
                scores = [flat(typeset_numbers(show_exact(score))) for score in piece.scores]
                assert f"Score it at {', '.join(scores[:-1])} and {scores[-1]} from one end" in printed
            continue
        size = " × ".join(show_exact(side) for side in (kit.envelope.short, kit.envelope.long))
        assert size in shown.envelope
        fits = printed.rpartition("too small for it.")[2]
        assert flat(typeset_numbers(size)) in fits
        small = kit.sent.small is not None
        assert ("is too small for it." in printed) is small is ("not go easily" in shown.envelope)


def test_what_the_tutor_says_of_envelope_and_post_is_printed(words):
    recipe = Recipe(
        title="To post", card=CARDS["clear"], envelope="Dot's shoe box", post=("USPS", "by ferry")
    )
    sent = flat(words(handout_bytes(recipe))).partition("Send it")[2]
    for line in ("It goes in: Dot's shoe box.", "by ferry", "current rules"):
        assert line in sent


@pytest.mark.parametrize("finished", [False, True])
def test_how_far_a_restated_card_moved_is_said_of_what_was_measured(words, finished):
    layers = (Layer(on="back", reveal="1/8 in"),) if finished else ()
    text = flat(words(handout_bytes(replace(CARDS["clear"], layers=layers), grid="1 mm")))
    assert ("No cut or score of back, front and tiers moved" in text) is finished
    assert ("No cut or score moved" in text) is not finished


def test_a_card_without_mats_has_no_table_of_them(pdf, words):
    assert "Mat or strip" not in words(pdf("clear"))


def test_each_tier_says_how_tall_a_thing_on_it_may_be(words):
    """H - X: what stands on a face rises to the edge of the closed card. Shelves of 15 and 15 on 148."""
    tiers = (Tier(face="74 mm", depth="15 mm"), Tier(face="60 mm", depth="15 mm"))
    text = flat(
        words(handout_bytes(Card(width="105 mm", height="148 mm", tiers=tiers, front=JoinedFront())))
    )
    room = text.partition("Room for ornaments")[2]
    assert "On tier 1: no taller than 133 mm (5¼ in), measured from its foot." in room
    assert "On tier 2: no taller than 118 mm (4⅝ in), measured from its foot." in room


def test_names_of_ornaments_in_any_script_are_printed(words):
    card = Card(
        width="105 mm",
        height="148 mm",
        tiers=stepped_tiers("148 mm", 1),
        ornaments=(Ornament(on="tier 1", height="20 mm", width="20 mm", name="Маяк #strong[x]"),),
    )
    assert "Маяк #strong[x]" in flat(words(handout_bytes(card)))
