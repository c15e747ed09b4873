"""The score chart holds every mark of every piece, in the order they are made."""

from fractions import Fraction

import pytest

from popkit.assembly import score_chart
from popkit.card import Card, ClearFront, CutStep, OnePieceFront, Tier
from popkit.lengths import mm

INCH = Fraction(127, 5)


def inches(mark):
    return mm(mark.position) / INCH


def test_the_check_card_of_the_trade():
    """common practice, no source: back scored at 7; tiers scored 1/2, 1, 4 1/2, then 1/2, 1, 4,
    then 1/2, 1, 3 1/2.
    """
    tiers = tuple(Tier(face=face, depth="1/2 in") for face in ("3 1/2 in", "3 in", "2 1/2 in"))
    card = Card(width="5 in", height="7 in", tiers=tiers, front=ClearFront())
    chart = [(mark.piece, inches(mark), mark.fold) for mark in score_chart(card)]
    assert chart == [
        ("back", 7, "valley"),
        ("tier 1", 0.5, "mountain"),
        ("tier 1", 1, "mountain"),
        ("tier 1", 4.5, "mountain"),
        ("tier 2", 0.5, "mountain"),
        ("tier 2", 1, "mountain"),
        ("tier 2", 4, "mountain"),
        ("tier 3", 0.5, "mountain"),
        ("tier 3", 1, "mountain"),
        ("tier 3", 3.5, "mountain"),
    ]
    assert all(mark.whole for mark in score_chart(card))
    assert score_chart(card)[3].between == ("face", "bottom tab")


def test_a_cut_step_is_slit_before_it_is_scored_and_the_fold_stops_at_the_slits():
    """A step 50 high, 30 deep, 81 wide on a card 105 x 148: by the side view, attachment at
    148 - 50, shelf edge 30 below it, foot 30 past the fold.
    """
    card = Card(
        width="105 mm",
        height="148 mm",
        tiers=(CutStep(face="50 mm", depth="30 mm"),),
        front=OnePieceFront(),
    )
    marks = [
        (m.kind, m.fold, *(int(mm(v)) for v in (m.position, m.start, m.stop))) for m in score_chart(card)
    ]
    assert marks == [
        ("slit", None, 12, 98, 178),
        ("slit", None, 93, 98, 178),
        ("score", "valley", 98, 12, 93),
        ("score", "mountain", 128, 12, 93),
        ("score", "valley", 148, 0, 12),
        ("score", "valley", 148, 93, 105),
        ("score", "valley", 178, 12, 93),
    ]
    assert not any(mark.whole for mark in score_chart(card))


@pytest.mark.parametrize("depth", ["12 mm", "20 mm"])
def test_the_marks_of_a_strip_are_running_totals(depth):
    card = Card(width="100 mm", height="200 mm", tiers=(Tier(face="60 mm", depth=depth),))
    strip = [mark for mark in score_chart(card) if mark.piece == "tier 1"]
    tab, shelf = 12, int(depth.split()[0])
    assert [int(mm(mark.position)) for mark in strip] == [tab, tab + shelf, tab + shelf + 60]
