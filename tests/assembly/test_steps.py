"""The assembly steps, read as a student reads them: every number, every end, every adhesive."""

import math
import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from popkit.assembly import (
    assembly_steps,
    cautions,
    listed,
    materials,
    rulers,
    slips,
    spine_words,
    with_article,
)
from popkit.card import (
    Card,
    CardError,
    ClearFront,
    CutStep,
    JoinedFront,
    OnePieceFront,
    Tier,
    stepped_tiers,
)
from popkit.lengths import Q, mm, parse_length
from popkit.papers import MEDIUM_CARD
from popkit.pieces import cut_list

FRACTION = r"[½⅓⅔¼¾⅛⅜⅝⅞]|[0-9]+⁄[0-9]+"
NUMBER = rf"(?:[0-9]+ ?(?:{FRACTION})|{FRACTION}|[0-9]+(?:\.[0-9]+)?)"
LENGTH = re.compile(rf"(?P<first>{NUMBER} (?:in|mm)) \((?P<second>{NUMBER} (?:in|mm))\)")


def three_tiers(front):
    """The check card of the trade, 5 x 7 in: common practice, no source."""
    tiers = tuple(Tier(face=face, depth="1/2 in") for face in ("3 1/2 in", "3 in", "2 1/2 in"))
    return Card(width="5 in", height="7 in", tiers=tiers, front=front)


def metric(front, *tiers):
    return Card(width="105 mm", height="148 mm", tiers=tiers, front=front)


STRIPS = (Tier(face="74 mm", depth="14 mm"), Tier(face="60 mm", depth="15 mm", bottom_tab="10 mm"))
STEPS = (CutStep(face="50 mm", depth="30 mm"), CutStep(face="28 mm", depth="20 mm"))
CARDS = {
    "clear, strips, inch": three_tiers(ClearFront()),
    "clear, strips, short tabs": metric(ClearFront(gap="2 mm"), *STRIPS),
    "joined, strips, inch": three_tiers(JoinedFront()),
    "joined, strips": metric(JoinedFront(), *STRIPS),
    "joined, one strip": metric(JoinedFront(), STRIPS[0]),
    "one-piece, strips": metric(OnePieceFront(), *STRIPS),
    "one-piece, cut steps": metric(OnePieceFront(), *STEPS),
    "one-piece, one cut step": metric(OnePieceFront(), STEPS[0]),
    "one-piece, a cut step and a strip": metric(OnePieceFront(), STEPS[0], STRIPS[1]),
}
EVERY_CARD = pytest.mark.parametrize("card", CARDS.values(), ids=CARDS.keys())


def lengths_of(card):
    """Every length a step may name, from the formulas of the side view, in millimetres."""
    front, wide, height = card.front, mm(card.width), mm(card.height)
    found = {front.gap_in(card), front.flap_in(card)}
    foot = Fraction(0)
    for place, tier in enumerate(card.tiers):
        foot += mm(tier.depth)
        width = tier.width_in(card, place)
        found |= {foot, mm(tier.depth), mm(tier.face), (wide - width) / 2, (wide + width) / 2}
        found |= {height + foot, height + foot - mm(tier.depth) - mm(tier.face)}
        if isinstance(tier, Tier):
            found |= {mm(tier.bottom_tab), mm(tier.depth) - mm(tier.bottom_tab)}
            found |= {foot - mm(tier.bottom_tab)}
    return found


def words(step):
    return f"{step.text} {step.caution or ''}"


@EVERY_CARD
def test_every_number_in_a_step_is_a_length_of_the_card_on_both_rulers(card):
    slip = mm(card.grid.step)
    known = lengths_of(card) | {slip}
    seen = 0
    for step in assembly_steps(card):
        found = list(LENGTH.finditer(words(step)))
        seen += len(found)
        for one in found:
            first, second = (mm(parse_length(one[name])) for name in ("first", "second"))
            assert first in known, f"{one[0]} in step {step.number} is no length of the card"
            fine = first < 3
            tolerance = {"in": Fraction(127, 160), "mm": Fraction(1, 2)}[one["second"].split()[-1]]
            assert abs(second - first) <= (tolerance / 2 if fine else tolerance), one[0]
        left_over = LENGTH.sub("", re.sub(r"[Tt]iers? [0-9]+(?: (?:to|and) [0-9]+)?", "", words(step)))
        assert not re.search(r"(?:[0-9½⅛⅜⅝⅞¼¾]) ?(?:in|mm)\b", left_over), left_over
    assert seen >= len(card.tiers)


@EVERY_CARD
def test_the_lengths_kept_beside_a_step_are_those_it_prints(card):
    for step in assembly_steps(card):
        printed = [mm(parse_length(one["first"])) for one in LENGTH.finditer(step.text)]
        assert printed == [mm(length) for length in step.lengths]


@EVERY_CARD
def test_the_words_are_whole_sentences(card):
    steps = assembly_steps(card)
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    for step in steps:
        for text in (step.text, step.title + ".", step.caution or "None."):
            assert text[0].isupper()
            assert text.endswith(".")
            assert "  " not in text
            assert not re.search(r"[{}]|None [a-z]|\bFraction\b|inch\b|millimeter", text)
            assert all(s[0].isupper() for s in re.split(r"(?<=[a-z]\.) ", text))


@EVERY_CARD
def test_singular_and_plural(card):
    text = " ".join(words(step) for step in assembly_steps(card))
    text += " ".join(f" {one.name} {one.use}" for one in materials(card))
    assert not re.search(r"\bone (?!of)[a-z]+s\b", text)
    assert not re.search(r"\b(two|three|[2-9]|[1-9][0-9]) (?:tier|piece|score)\b", text)
    assert not re.search(r"\ba [aeio]|\ban [^aeiou81]", text)
    if len(card.tiers) == 1:
        assert not re.search(r"\btiers\b|\bshelves\b|\bfaces\b|\bevery\b", text)


ORDER = {
    "clear, strips, inch": "cut score fold join" + " foot top" * 3 + " check",
    "clear, strips, short tabs": "cut score fold join" + " foot top" * 2 + " check",
    "joined, strips, inch": "cut score fold join" + " foot top" * 3 + " check",
    "joined, strips": "cut score fold join" + " foot top" * 2 + " check",
    "joined, one strip": "cut score fold join foot top check",
    "one-piece, strips": "cut score fold" + " foot top" * 2 + " check",
    "one-piece, cut steps": "cut slit slit score fold push push check",
    "one-piece, one cut step": "cut slit score fold push check",
    "one-piece, a cut step and a strip": "cut slit score fold push foot top check",
}


@pytest.mark.parametrize(("name", "order"), ORDER.items(), ids=ORDER.keys())
def test_the_order_of_work(name, order):
    """Slit, then score, then push forward; the front before the tiers; largest tier first."""
    steps = assembly_steps(CARDS[name])
    assert " ".join(step.kind.split()[0] for step in steps) == order
    feet = [step.pieces[0] for step in steps if step.kind == "foot"]
    assert feet == sorted(feet)


def only(card, kind):
    return [step for step in assembly_steps(card) if step.kind == kind]


def test_a_clear_front_lies_on_the_landing_below_the_score_and_is_taped():
    """common practice, no source: the sheet fixed below the score, its tape hidden by the tabs."""
    (join,) = only(CARDS["clear, strips, inch"], "join")
    assert (
        "double-sided tape on the landing flap, from ⅛ in (3 mm) below the score down to its edge"
        in (join.text)
    )
    assert "near edge ⅛ in (3 mm) below the score" in join.text
    assert "glue" not in join.text


def test_tape_on_a_landing_stays_where_a_tab_hides_it():
    """Shelves of 14 and 15 mm carry tabs of 12 and 10 mm: hidden from 2 to 14 and from 19 to 29 mm."""
    (join,) = only(CARDS["clear, strips, short tabs"], "join")
    assert re.search(r"from 2 mm \([^)]*\) to 14 mm \([^)]*\) and 19 mm \([^)]*\) to 29 mm", join.text)


def test_a_sheet_that_does_not_reach_its_landing_is_said_out_loud():
    card = metric(ClearFront(gap="20 mm", landing="15 mm"), STRIPS[0])
    (join,) = only(card, "join")
    assert "do not meet" in join.text


def test_a_joined_front_is_glued_against_the_score():
    (join,) = only(CARDS["joined, strips"], "join")
    assert "Put paper glue on the joining tab, right up to the score." in join.text
    assert "its edge against the score" in join.text
    assert "tape" not in words(join).casefold()


def test_a_one_piece_front_has_nothing_to_join():
    assert not only(CARDS["one-piece, strips"], "join")


@pytest.mark.parametrize(
    ("name", "bottom", "top"),
    [
        ("clear, strips, inch", "double-sided tape", "paper glue"),
        ("joined, strips", "paper glue", "paper glue"),
        ("one-piece, strips", "paper glue", "paper glue"),
    ],
)
def test_tape_for_plastic_and_glue_for_card(name, bottom, top):
    """common practice, no source: paper glue does not hold on plastic."""
    card = CARDS[name]
    assert all(f"Put {bottom} on the good side of the bottom tab" in s.text for s in only(card, "foot"))
    assert all(re.search(f"Put {top} on (it|the top tab)", s.text) for s in only(card, "top tab"))
    named = {one.name for one in materials(card) if one.kind == "adhesive"}
    assert {name.casefold() for name in named} == {bottom, top}


def test_tiers_of_plastic_are_taped_at_both_ends():
    card = Card(
        width="105 mm", height="148 mm", tiers=STRIPS, front=JoinedFront(), tier_stock="clear sheet"
    )
    assert all(
        "Put double-sided tape" in step.text for step in only(card, "foot") + only(card, "top tab")
    )


@pytest.mark.parametrize(
    "name", [name for name in CARDS if "strip" in name], ids=lambda name: name.replace(",", "")
)
def test_which_end_goes_up_and_what_lines_up_with_what(name):
    card = CARDS[name]
    feet, tops = only(card, "foot"), only(card, "top tab")
    assert "two zones before the face, top tab and then shelf, goes to the top" in feet[0].text
    assert "The single tab goes to the bottom." in feet[0].text
    for foot, top in zip(feet, tops, strict=True):
        number = int(foot.pieces[0].removeprefix("tier "))
        assert ("pointing to the fold" in foot.text) == (number == 1)
        assert (f"pointing to the foot of tier {number - 1}" in foot.text) == (number > 1)
        behind = "the back" if number == 1 else f"the face of tier {number - 1}"
        assert f"Close the card to set the top tab: {behind} comes down on it" in top.text
        assert ("towards the fold: the good side of the top tab looks up" in top.text) == (
            top is tops[0]
        )
        tier = card.tiers[number - 1]
        meets = f"meets {'the fold' if number == 1 else f'the foot of tier {number - 1}'} exactly"
        assert (meets in foot.text) == (mm(tier.bottom_tab) == mm(tier.depth))


def test_a_tab_longer_than_its_shelf_is_to_be_trimmed():
    card = metric(JoinedFront(), Tier(face="74 mm", depth="14 mm", bottom_tab="16 mm"))
    (foot,) = only(card, "foot")
    assert "Trim 2 mm" in foot.text


def test_a_cut_step_is_slit_from_its_attachment_to_its_foot_and_never_glued():
    """A back of 148, a step 50 high and 30 deep, 12 in from each side: 98 to 178 from the top end."""
    card = CARDS["one-piece, one cut step"]
    (slit,) = only(card, "slit")
    printed = [mm(parse_length(one["first"])) for one in LENGTH.finditer(slit.text)]
    assert printed == [12, 93, 98, 178]
    text = " ".join(words(step) for step in assembly_steps(card))
    assert "glue " not in text
    assert "nothing is glued" in text
    assert not [one for one in materials(card) if one.kind == "adhesive"]
    assert any(one.name.startswith("Craft knife") for one in materials(card))


def test_a_card_that_shows_when_closed_is_not_called_hidden():
    """A foot at 30 and a face of 130 reach 160 on a back of 148: 12 show."""
    card = metric(JoinedFront(), Tier(face="130 mm", depth="30 mm"))
    (check,) = only(card, "check")
    assert "nothing shows" not in check.text
    assert "tier 1 by 12 mm" in check.text


@pytest.mark.parametrize(
    ("front", "unit"), [(ClearFront(), "in"), (JoinedFront(), "in")], ids=["clear", "joined"]
)
def test_the_other_ruler_may_lead(front, unit):
    steps = assembly_steps(three_tiers(front), grid="0.5 mm")
    leads = {one["first"].split()[-1] for step in steps for one in LENGTH.finditer(step.text)}
    assert leads == {"mm"}
    assert {one["second"].split()[-1] for s in steps for one in LENGTH.finditer(s.text)} == {unit}


@pytest.mark.parametrize(
    ("height", "ruler", "exact"),
    [("7 in", "1⁄16 in", True), ("7 1/32 in", "1⁄32 in", True), ("7 1/128 in", "1⁄64 in", False)],
)
def test_the_ruler_is_the_coarsest_that_has_every_mark(height, ruler, exact):
    card = Card(width="5 in", height=height, tiers=(Tier(face="3 in", depth="1/2 in"),))
    used = rulers(card)
    assert (str(used.first), used.exact) == (ruler, exact)


# Slips ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("foot", "shelf", "face"), [(15, 14, 74), (21, 20, 40), (31, 30, 100), (11, 10, 30)]
)
def test_a_slip_opens_as_far_as_the_law_of_cosines_says(foot, shelf, face):
    """Smith College 2005: p = foot, q = attachment glued closed, reach = shelf + face; the card stops
    where cos t = (p^2 + q^2 - (r+s)^2) / (2 p q).
    """
    card = Card(
        width="100 mm",
        height="200 mm",
        tiers=(Tier(face=Q(face, "mm"), depth=Q(shelf, "mm"), bottom_tab="8 mm"),),
    )
    attachment = foot + face - shelf
    cosine = (foot**2 + attachment**2 - (shelf + face) ** 2) / (2 * foot * attachment)
    limit = math.degrees(math.acos(cosine))
    out, near = slips(card)
    assert out.opens_to == pytest.approx(limit, abs=1e-6)
    assert f"only to about {math.floor(limit)}°" in out.text
    assert near.opens_to == 180
    assert "still opens flat" in near.text
    (step,) = only(card, "foot")
    assert step.caution == out.text


def test_which_way_the_face_leans():
    """By vectors, not by the folding module: shelf edge of a slipped linkage at a right angle is the
    far meeting point of two circles about the attachment and the foot.
    """
    card = metric(JoinedFront(), Tier(face="74 mm", depth="14 mm"))
    out, near = slips(card)
    for slip, foot in ((out, 15.0), (near, 13.0)):
        attachment = foot + 74 - 14
        apart = math.hypot(foot, attachment)
        ahead = (14**2 - 74**2 + apart**2) / (2 * apart)
        aside = math.sqrt(14**2 - ahead**2)
        x = ahead * foot / apart + aside * attachment / apart
        y = attachment - ahead * attachment / apart + aside * foot / apart
        assert slip.lean == pytest.approx(math.degrees(math.atan2(foot - x, y)), abs=1e-9)
    assert "leans forward" in near.text


# Words ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("noun", "said"),
    [
        # spoken English, from memory
        ("edge", "an edge"),
        ("unit", "a unit"),
        ("used card", "a used card"),
        ("hour", "an hour"),
        ("one-piece front", "a one-piece front"),
        ("envelope", "an envelope"),
        ("8½ in strip", "an 8½ in strip"),
        ("11 mm tab", "an 11 mm tab"),
        ("18 mm tab", "an 18 mm tab"),
        ("80 mm tab", "an 80 mm tab"),
        ("110 mm tab", "a 110 mm tab"),
        ("180 mm tab", "a 180 mm tab"),
        ("1 in tab", "a 1 in tab"),
        ("A6 card", "an A6 card"),
        ("A4 sheet", "an A4 sheet"),
    ],
)
def test_a_or_an(noun, said):
    assert with_article(noun) == said


def test_lists_in_words():
    assert listed([]) == ""
    assert listed(["a"]) == "a"
    assert listed(["a", "b"]) == "a and b"
    assert listed(["a", "b", "c"], "or") == "a, b or c"


# Cautions -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "topics"),
    [
        (
            "clear, strips, inch",
            {"Clear sheet", "Hot glue", "Glue with solvent", "Craft knife", "Trimmer"},
        ),
        ("joined, strips", {"Hot glue", "Glue with solvent", "Craft knife", "Trimmer"}),
        ("one-piece, cut steps", {"Craft knife"}),
    ],
)
def test_cautions_are_those_of_the_card(name, topics):
    told = cautions(CARDS[name])
    assert {one.topic for one in told} == topics | {"Children", "What goes first"}
    assert told[-1].topic == "What goes first"
    assert all(word in told[-1].text for word in ("label", "rules", "law"))


# Any card -------------------------------------------------------------------------

marks = st.integers(min_value=1, max_value=60)


@st.composite
def cards(draw):
    """Any card that can exist, sensible or not."""
    unit, step = draw(st.sampled_from([("in", Fraction(1, 16)), ("mm", Fraction(1, 2))]))
    size = lambda low, high: Q(draw(st.integers(low, high)) * step, unit)  # noqa: E731
    cut = draw(st.integers(0, 3))
    front = (
        OnePieceFront() if cut else draw(st.sampled_from([OnePieceFront(), JoinedFront(), ClearFront()]))
    )
    tiers = [CutStep(face=size(4, 60), depth=size(2, 30), width=size(8, 60)) for _ in range(cut)] + [
        Tier(face=size(4, 60), depth=size(2, 30)) for _ in range(draw(st.integers(0 if cut else 1, 3)))
    ]
    return Card(width=size(80, 200), height=size(80, 200), tiers=tuple(tiers), front=front)


@settings(max_examples=50)
@given(cards())
def test_any_card_is_told_whole(card):
    try:
        pieces = cut_list(card)
    except CardError:
        return
    steps = assembly_steps(card)
    told = {name for step in steps for name in step.pieces}
    assert {piece.name for piece in pieces} <= told
    assert all("{" not in words(step) for step in steps)
    for step in steps:
        if step.kind == "foot":
            assert card.feet_mm[int(step.pieces[0].split()[1]) - 1] in [mm(one) for one in step.lengths]


@settings(max_examples=50)
@given(st.integers(100, 300), st.integers(1, 8))
def test_feet_are_told_from_the_back_forwards(height, count):
    card = Card(width="150 mm", height=Q(height, "mm"), tiers=stepped_tiers(Q(height, "mm"), count))
    feet = [step for step in assembly_steps(card) if step.kind == "foot"]
    assert len(feet) == count
    assert all(a.number < b.number for a, b in pairwise(feet))


@pytest.mark.parametrize(("spine", "said"), [(None, True), ("double", True), ("single", False)])
def test_a_card_that_closes_thick_is_scored_twice_at_the_fold(spine, said):
    """Three tiers of 1 mm board lie six deep over each other where shelves and tabs meet: 6 mm, and
    1/4 in (6.35 mm) is the next mark of 1/16 in."""
    board = replace(MEDIUM_CARD, caliper="1 mm")
    card = replace(three_tiers(ClearFront()), tier_stock=board, spine=spine)
    (step,) = [one for one in assembly_steps(card) if one.kind == "score"]
    assert ("score the fold twice, ¼ in (6 mm) apart" in step.text) is said
    assert ("Closed, 6 mm lies between back and front" in step.text) is said
    assert bool(spine_words(card, rulers(card))) is said


def test_a_thin_card_is_scored_once():
    card = three_tiers(ClearFront())  # six strips of 0.28 mm: 1.7 mm
    assert "twice" not in " ".join(one.text for one in assembly_steps(card))
    assert spine_words(card, rulers(card)) == ""
