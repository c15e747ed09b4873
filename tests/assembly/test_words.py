"""The words of the steps for any card in every language, and how hard they are to read.

Sources: a sentence has 25 words at most: GOV.UK, "Sentence length: why 25 words is our limit", 2014.
Reading age 12 is US grade 6: Automated Readability Index, Senter and Smith 1967, and Coleman-Liau 1975,
worked out by the library `readability`.
"""

from __future__ import annotations

import re

import pytest
import readability
from hypothesis import given, settings

from popkit.assembly import assembly_steps, cautions, materials, slips
from popkit.card import (
    Card,
    CardError,
    ClearFront,
    CutStep,
    JoinedFront,
    Layer,
    OnePieceFront,
    Ornament,
    Tier,
    stepped_tiers,
)
from popkit.lengths import mm
from popkit.pieces import cut_list
from tests.strategies import cards

LANGUAGES = ["en_GB", "en_US", "de"]
STEP = (CutStep(face="50 mm", depth="30 mm"),)
STRIPS = (Tier(face="74 mm", depth="14 mm"), Tier(face="60 mm", depth="15 mm"))


def metric(front, *tiers, **more):
    return Card(width="105 mm", height="148 mm", tiers=tiers, front=front, **more)


def told(card, language):
    """Every text that is printed about a card, by itself."""
    steps = assembly_steps(card, language=language)
    texts = [text for step in steps for text in (f"{step.title}.", step.text, step.caution) if text]
    texts += [f"{one.name} {one.use}." for one in materials(card, language=language)]
    texts += [one.text for one in cautions(card, language=language)]
    texts += [one.text for one in slips(card, language=language)]
    return texts


def without_names(text):
    """What the kit says itself, the names that a tutor typed taken out."""
    return re.sub("[“„][^“”„]*[“”]", "x", text)


# Defects ---------------------------------------------------------------------------

DEFECTS = {
    "a place left open": r"[{}]",
    "a value that is no text": r"\b(None|Fraction|Quantity|inch|millimeter)\b",
    "two spaces, or none where one belongs": r"  | [.,;:!?]|[.,;:]{2}|[a-zäöüß]{2}[.:;,][A-Za-zÄÖÜ]",
}
ENGLISH_DEFECTS = {
    "a before a vowel": r"\b[Aa] (?:[aeio]|8|11 |18 |11[½¼¾]|hour)",
    "an before a consonant": r"\b[Aa]n (?![aeiouA]|8|11|18|hour)",
    "one of many": r"\b(?:one|1) (?:pieces|tiers|mats|ornaments|scores|boxes)\b",
    "many of one": r"\b(?:no|two|three|four|five|six|seven|eight|nine|ten|[2-9]|[1-9][0-9]) "
    r"(?:piece|tier|mat|ornament|score)\b(?! [0-9])",
    "said twice": r"\b(the|a|an|of|on|to|is) \1\b",
}
GERMAN_DEFECTS = {
    "English left over": r"\b(?:the|and|with|of|from|tiers?|mats?|back|face|shelf|glue|card)\b",
    "one of many": r"\b(?:ein|eine|1) (?:Stufen|Auflagen|Figuren)\b",
    "many of one": r"\b(?:keine|zwei|drei|vier|fünf|sechs|sieben|acht|neun|zehn) "
    r"(?:Stufe|Auflage|Figur)\b",
    "a decimal point": r"[0-9]\.[0-9]",
    "said twice": r"\b(der|die|das|von|zu|auf) \1\b",
    "a wrong case": r"\b(?:von|vor|mit|zu|zur) die (?:Falzlinie|Fußkante)\b",
}


def defects_of(text, language):
    rules = DEFECTS | (GERMAN_DEFECTS if language == "de" else ENGLISH_DEFECTS)
    text = without_names(text)
    return [(name, text) for name, rule in rules.items() if re.search(rule, text)]


@pytest.mark.parametrize("language", LANGUAGES)
@settings(max_examples=25)
@given(card=cards())
def test_no_card_is_told_with_a_defect(language, card):
    try:
        cut_list(card)
    except CardError:
        return
    for text in told(card, language):
        assert defects_of(text, language) == []
        assert text[0].isupper() or text[0] in "“„0123456789", text
        assert text.endswith((".", "”.", "“.")), text


@pytest.mark.parametrize(
    ("text", "language", "name"),
    [
        ("Cut 1 pieces.", "en_GB", "one of many"),
        ("Cut two tier.", "en_GB", "many of one"),
        ("Fix a 8 mm strip.", "en_GB", "a before a vowel"),
        ("Fix an tab.", "en_GB", "an before a consonant"),
        ("Put {adhesive} on it.", "en_GB", "a place left open"),
        ("Press  it.", "en_GB", "two spaces, or none where one belongs"),
        ("Press it.Open it.", "en_GB", "two spaces, or none where one belongs"),
        ("Nimm eine Stufen.", "de", "one of many"),
        ("Lege the back hin.", "de", "English left over"),
        ("Miss 2.5 mm ab.", "de", "a decimal point"),
        ("Es liegt vor die Falzlinie.", "de", "a wrong case"),
    ],
)
def test_the_finder_of_defects_finds_them(text, language, name):
    assert name in [found for found, _ in defects_of(text, language)]


@pytest.mark.parametrize("count", range(1, 9))
@pytest.mark.parametrize("front", [ClearFront(), JoinedFront(), OnePieceFront()])
def test_one_to_eight_tiers_are_told_in_every_language(count, front):
    card = metric(front, *stepped_tiers("148 mm", count))
    for language in LANGUAGES:
        assert not [one for text in told(card, language) for one in defects_of(text, language)]
        feet = [step for step in assembly_steps(card, language=language) if step.kind == "foot"]
        assert [step.tier for step in feet] == list(range(1, count + 1))


@settings(max_examples=25)
@given(cards())
def test_a_translated_step_prints_the_same_lengths(card):
    """Whatever the order of the words."""
    try:
        english = assembly_steps(card)
    except CardError:
        return
    for one, other in zip(english, assembly_steps(card, language="de"), strict=True):
        assert (one.kind, one.tier, one.pieces) == (other.kind, other.tier, other.pieces)
        assert sorted(map(mm, one.lengths)) == sorted(map(mm, other.lengths))


def test_a_tutor_s_name_is_printed_as_it_was_typed():
    name = "Möwe {gull} <b>"
    card = metric(
        JoinedFront(), *STRIPS, ornaments=(Ornament(on="tier 1", height=Q20, width=Q20, name=name),)
    )
    for language, quoted in (("en_GB", f"“{name}”"), ("de", f"„{name}“")):
        (step,) = (one for one in assembly_steps(card, language=language) if one.kind == "ornament")
        assert quoted in step.text


Q20 = "20 mm"

# Reading age -------------------------------------------------------------------------

GRADE = 6  # US, which is age 11 to 12
LONGEST = 25  # words in a sentence

READ = {
    "clear": metric(ClearFront(), *STRIPS),
    "joined": metric(JoinedFront(), *STRIPS),
    "one piece": metric(OnePieceFront(), *STRIPS),
    "long tabs": metric(JoinedFront(), Tier(face="74 mm", depth="14 mm", bottom_tab="16 mm"), STRIPS[1]),
    "apart": metric(ClearFront(gap="20 mm", landing="15 mm"), STRIPS[0]),
    "cut": metric(OnePieceFront(), *STEP),
    "cut and glued": metric(OnePieceFront(), *STEP, STRIPS[1]),
    "finished": metric(
        ClearFront(),
        *STRIPS,
        layers=(Layer(on="back"), Layer(on="front"), Layer(on="tier 1")),
        ornaments=(Ornament(on="tier 1", height="30 mm", width="20 mm", pad="2 mm"),),
    ),
}


def sentences(text):
    """Whole sentences, the bracketed reading of the other ruler taken out."""
    plain = re.sub(r" \([^)]*\)", "", text)
    return [one for one in re.split(r"(?<=[.!?])\s+", plain) if one]


def words_of(sentence):
    return re.findall(r"[\w½⅓⅔¼¾⅛⅜⅝⅞⁄'-]+", sentence)


def grades(text):
    tokens = "\n".join(" ".join([*words_of(one), "."]) for one in sentences(text))
    found = readability.getmeasures(tokens, lang="en")["readability grades"]
    return found["ARI"], found["Coleman-Liau"]


@pytest.mark.parametrize("card", READ.values(), ids=READ.keys())
def test_steps_and_cautions_read_at_age_twelve(card):
    steps = " ".join(f"{step.text} {step.caution or ''}" for step in assembly_steps(card))
    steps += " ".join(["", *(slip.text for slip in slips(card))])
    warned = " ".join(one.text for one in cautions(card))
    for text in (steps, warned):
        assert max(grades(text)) <= GRADE
        assert [one for one in sentences(text) if len(words_of(one)) > LONGEST] == []


def test_the_measure_tells_hard_words_from_plain_ones():
    hard = (
        "Notwithstanding considerable preliminary preparation, practitioners should subsequently "
        "investigate whether the aforementioned components demonstrate satisfactory alignment."
    )
    assert min(grades(hard)) > GRADE > max(grades("Cut the card. Fold it flat. Glue the tab."))


# Mats and ornaments ------------------------------------------------------------------

# A back of 148 by 105, shelves of 14 and 15, faces of 74 and 60: the front is free from 29 to 148.
DECORATED = metric(
    ClearFront(),
    *STRIPS,
    layers=(
        Layer(on="back"),
        Layer(on="front", width="60 mm", length="12 mm", across="10 mm", up="4 mm", name="greeting"),
        Layer(on="tier 2"),
    ),
    ornaments=(
        Ornament(on="tier 1", height="30 mm", width="20 mm", along="5 mm", pad="2 mm"),
        Ornament(on="back", height="30 mm", width="25 mm", up="90 mm"),
    ),
)


def only(card, kind):
    return [step for step in assembly_steps(card) if step.kind == kind]


def test_mats_go_on_before_a_tier_is_in_the_way_and_ornaments_last():
    kinds = [step.kind for step in assembly_steps(DECORATED)]
    assert kinds[3:6] == ["join", "mat", "mat"]
    assert kinds.index("mat") < kinds.index("foot")
    assert kinds[-2:] == ["ornament", "check"]


def test_mats_go_on_a_cut_step_before_it_is_pushed_forward():
    kinds = [
        s.kind for s in assembly_steps(metric(OnePieceFront(), *STEP, layers=(Layer(on="tier 1"),)))
    ]
    assert kinds.index("fold") < kinds.index("mat") < kinds.index("push")


def test_where_each_mat_goes():
    """Reveal 3 mm unless given. The strip starts 29 + 4 from the fold and ends 148 - 45 = 103 short of
    the front edge; tiers stand 1 mm in, so the mat on tier 2 lies 3 mm in from its own sides.
    """
    on_card, on_tiers = only(DECORATED, "mat")
    assert (
        "the mat for the back on the inside of the back. Set it 3 mm (⅛ in) from each side, 3 mm"
        in on_card.text
    )
    assert (
        "“greeting” on the inside of the front. Set it 10 mm (⅜ in) from the left side, 103 mm"
        in on_card.text
    )
    assert "103 mm (4 1⁄16 in) from its front edge" in on_card.text
    assert "the mat for tier 2 on the face of tier 2. Set it 3 mm (⅛ in) from each side" in on_tiers.text


def test_what_lies_on_the_clear_sheet_is_taped_and_the_rest_glued():
    (on_card, _) = only(DECORATED, "mat")
    assert "With paper glue, fix the mat for the back" in on_card.text
    assert "With double-sided tape, fix “greeting”" in on_card.text


def test_where_each_ornament_goes():
    (step,) = only(DECORATED, "ornament")
    assert "Put foam pads, 2 mm (3⁄32 in) thick, behind the ornament on tier 1." in step.text
    assert "Press it on the face of tier 1, 5 mm (3⁄16 in) from the left side of it." in step.text
    assert "Its lower edge stands on the foot of the face." in step.text
    assert "Put paper glue on the back of the ornament on the back." in step.text
    assert "Press it on the back, 40 mm (1 9⁄16 in) from the left side of it." in step.text  # (105-25)/2
    assert "Its lower edge is 90 mm (3 9⁄16 in) above the fold." in step.text


def test_mats_pads_and_ornaments_are_laid_out():
    found = {one.name: one.use for one in materials(DECORATED)}
    assert found["Foam pads, 2 mm (3⁄32 in) thick"] == "behind one ornament"
    assert "for a back, two tiers, two mats, two ornaments and “greeting”" in found.values()


# Cautions ----------------------------------------------------------------------------


def topics(card):
    return {one.topic for one in cautions(card)}


@pytest.mark.parametrize(
    ("topic", "with_it", "without"),
    [
        ("Trimmer", metric(JoinedFront(), *STRIPS), metric(OnePieceFront(), *STEP)),
        ("Clear sheet", metric(ClearFront(), *STRIPS), metric(JoinedFront(), *STRIPS)),
        (
            "Clear sheet",
            metric(JoinedFront(), *STRIPS, layers=(Layer(on="back", stock="clear sheet"),)),
            metric(JoinedFront(), *STRIPS, layers=(Layer(on="back"),)),
        ),
        ("Hot glue", metric(JoinedFront(), *STRIPS), metric(OnePieceFront(), *STEP)),
        (
            "Glue with solvent",
            metric(OnePieceFront(), *STEP, layers=(Layer(on="back"),)),
            metric(OnePieceFront(), *STEP),
        ),
        ("Small parts", DECORATED, metric(ClearFront(), *STRIPS)),
    ],
)
def test_each_caution_is_called_by_what_it_is_about(topic, with_it, without):
    assert topic in topics(with_it)
    assert topic not in topics(without)


@pytest.mark.parametrize("card", READ.values(), ids=READ.keys())
@pytest.mark.parametrize("language", LANGUAGES)
def test_knife_children_and_what_goes_first_are_told_with_every_card(card, language):
    found = cautions(card, language=language)
    english = cautions(card)
    assert [one.source for one in found] == [one.source for one in english]
    assert {"Craft knife", "Children"} < {one.topic for one in english}
    assert english[-1].topic == "What goes first"
    words = ("Etikett", "Regeln", "Gesetz") if language == "de" else ("label", "rules", "law")
    assert all(word in found[-1].text for word in words)


@pytest.mark.parametrize(
    "card",
    [
        *READ.values(),
        DECORATED,
        metric(OnePieceFront(), *STEP),
        metric(OnePieceFront(), *STEP, layers=(Layer(on="back"),)),
    ],
)
def test_materials_cautions_and_the_first_step_agree_on_the_trimmer(card):
    told = {
        "materials": any("Trimmer" in one.name for one in materials(card)),
        "cautions": "Trimmer" in topics(card),
        "step 1": "trimmer" in (assembly_steps(card)[0].caution or ""),
    }
    assert len(set(told.values())) == 1, told
    several = len(cut_list(card)) > 1
    assert told["materials"] is (several or not any(isinstance(one, CutStep) for one in card.tiers))
    assert any("raft knife" in f"{one.name} {one.use}" for one in materials(card))
