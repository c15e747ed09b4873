"""What the handout says, read back from the PDF and compared with the card."""

import re

import pytest

from popkit.assembly import assembly_steps, cautions, materials, rulers
from popkit.card import Card, Tier
from popkit.handout import HandoutError, handout_bytes
from popkit.lengths import mm, parse_length
from popkit.pieces import cut_list

LENGTH = r"((?:[0-9]+ ?)?(?:[½⅓⅔¼¾⅛⅜⅝⅞]|[⁰-⁹¹²³]+⁄[₀-₉]+)|[0-9]+(?:\.5)?) (in|mm)"
NAMES = ["clear", "joined", "cut", "mixed"]


def flat(text):
    """The text as one line, with what only guides the eye taken out."""
    text = text.replace("\u200b", "").replace("\ufffe", "-")
    return " ".join(text.split())


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
    from popkit.handout.student import typeset_numbers

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
