"""The curves follow trigonometry, carry their names, and leave matplotlib as it was."""

import math
from itertools import combinations, pairwise

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

import popkit as pk
from popkit.converting import converted_card, converted_text
from popkit.drawing.charts import (
    describe_edge_heights,
    describe_reach,
    describe_shifts,
    draw_edge_heights,
    draw_reach,
    draw_shifts,
)
from tests.drawing.drawing_samples import random_cards, tutor_card


def _axes(width=7.0, height=4.5):
    figure = Figure(figsize=(width, height), layout="constrained")
    FigureCanvasAgg(figure)
    return figure.add_subplot()


def _curve(ax, name):
    (line,) = [line for line in ax.get_lines() if line.get_label() == name]
    return np.asarray(line.get_xdata(), float), np.asarray(line.get_ydata(), float)


def test_edge_heights_are_the_face_times_the_sine():
    # Side view: the top edge of face i is h_i sin t over the front (all faces parallel to the back).
    ax = _axes()
    draw_edge_heights(ax, tutor_card())
    for name, inches in (("back", 7.0), ("tier 1", 3.5), ("tier 2", 3.0), ("tier 3", 2.5)):
        angles, heights = _curve(ax, name)
        assert angles[0] == 0
        assert angles[-1] == 180
        assert heights == pytest.approx(inches * np.sin(np.radians(angles)), abs=1e-9)


def test_reaches_are_the_foot_plus_the_face_times_the_cosine():
    ax = _axes()
    draw_reach(ax, tutor_card())
    for name, foot, face in (("tier 1", 0.5, 3.5), ("tier 2", 1.0, 3.0), ("tier 3", 1.5, 2.5)):
        angles, reaches = _curve(ax, name)
        assert reaches == pytest.approx(foot + face * np.cos(np.radians(angles)), abs=1e-9)


def test_the_limit_is_the_edge_of_the_closed_card():
    card = pk.Card(
        width="100 mm",
        height="150 mm",
        tiers=(pk.Tier(face="60 mm", depth="15 mm"),),
        front=pk.JoinedFront(length="120 mm"),
    )
    ax = _axes()
    draw_reach(ax, card)
    # Smith College 2005: A + B <= a, the shorter of the two pages.
    assert 120 in [line.get_ydata()[0] for line in ax.get_lines()]
    assert "120 mm" in describe_reach(card)
    assert "75 mm" in describe_reach(card)  # 15 + 60


def test_the_lines_of_a_slipped_card_end_where_it_stops():
    # Law of cosines, p 30, q 50, r 45, s 25 mm: 120 degrees.
    card = pk.Card(width="100 mm", height="120 mm", tiers=(pk.Tier(face="45 mm", depth="25 mm"),))
    for draw in (draw_edge_heights, draw_reach):
        ax = _axes()
        draw(ax, card, {1: "5 mm"})
        assert _curve(ax, "tier 1")[0][-1] == pytest.approx(120, abs=1e-6)
        assert "stops at 120.0°" in [text.get_text() for text in ax.texts]
    assert "120 degrees" in describe_edge_heights(card, {1: "5 mm"})


def _named(ax):
    return [text for text in ax.texts if text.get_text().startswith(("tier", "back"))]


@pytest.mark.parametrize("draw", [draw_edge_heights, draw_reach])
def test_every_line_is_named_and_no_two_names_meet(draw):
    for card in random_cards(25, seed=9):
        ax = _axes()
        draw(ax, card)
        ax.figure.canvas.draw()
        names = _named(ax)
        assert {text.get_text() for text in names} >= {
            f"tier {number}" for number in range(1, len(card.tiers) + 1)
        }
        renderer = ax.figure.canvas.get_renderer()
        boxes = [mpl.text.Text.get_window_extent(text, renderer) for text in names]
        for one, other in combinations(boxes, 2):
            assert not one.overlaps(other)


def test_neighbouring_lines_differ_by_their_dashes_in_one_ink():
    ax = _axes()
    draw_edge_heights(ax, pk.Card(width="5 in", height="7 in", tiers=pk.stepped_tiers("7 in", 8)))
    lines = [line for line in ax.get_lines() if line.get_label().startswith(("tier", "back"))]
    assert len({line.get_color() for line in lines}) == 1
    for one, other in pairwise(lines):
        assert one._unscaled_dash_pattern != other._unscaled_dash_pattern


def test_both_units_stand_on_the_axes():
    ax = _axes()
    draw_edge_heights(ax, tutor_card())
    (other,) = ax.child_axes
    ax.figure.canvas.draw()
    assert ax.get_ylabel().endswith(", in")
    assert other.get_ylabel().endswith(", mm")
    assert np.asarray(other.get_ylim()) == pytest.approx(np.asarray(ax.get_ylim()) * 25.4)


def test_no_setting_of_matplotlib_is_changed():
    before = dict(mpl.rcParams)
    draw_reach(_axes(), tutor_card())
    draw_edge_heights(_axes(), tutor_card())
    assert dict(mpl.rcParams) == before


def test_words_for_the_charts_are_in_both_units():
    assert "7 in (178 mm)" in describe_edge_heights(tutor_card())
    assert "4 in (102 mm)" in describe_reach(tutor_card())
    assert math.isclose(4 * 25.4, 102, abs_tol=0.5)


def _gate():
    """Scores at 1/2, 1 and 4 1/4 in: 12.7, 25.4 and 107.95 mm."""
    tier = pk.Tier(face="3 1/4 in", depth="1/2 in", top_tab="1/2 in", bottom_tab="1/2 in")
    return pk.Card(width="5 in", height="6 in", tiers=(tier,), front=pk.ClearFront(landing="1 1/2 in"))


def test_shifts_are_the_marks_less_the_exact_places():
    ax = _axes()
    draw_shifts(ax, converted_card(_gate(), "1 mm"))
    names = [label.get_text() for label in ax.get_yticklabels()]
    rings, at = _curve(ax, "ring: number by number")
    squares, _ = _curve(ax, "square: restated as a card")
    assert list(at) == list(range(len(names)))
    shifts = dict(zip(names, zip(rings, squares, strict=True), strict=True))
    # By itself to 13, 25, 108. A strip of 121 (120.65) leaves a bottom tab of 13, for which a shelf of
    # 12 is too short: as a card the second score is 26.
    assert shifts["tier 1, score 1"] == pytest.approx((0.3, 0.3))
    assert shifts["tier 1, score 2"] == pytest.approx((-0.4, 0.6))
    assert shifts["tier 1, score 3"] == pytest.approx((0.05, 0.05))
    for name, (alone, _) in shifts.items():
        assert abs(alone) <= 0.5, name  # half a mark, by what rounding is
    limits = [line.get_xdata()[0] for line in ax.get_lines() if "half a mark" in line.get_label()]
    assert limits == [-0.5, 0.5]


def test_shifts_are_said_in_words_and_by_shape():
    told = describe_shifts(converted_card(_gate(), "1 mm"))
    assert "half a mark being 0.5 mm" in told
    assert "tier 1, score 2: number by number −0.4 mm, restated +0.6 mm." in told
    assert "tier 1, score 1" not in told
    ax = _axes()
    draw_shifts(ax, converted_card(_gate(), "1 mm"))
    markers = {line.get_marker() for line in ax.get_lines()}
    assert {"o", "s"} <= markers


def test_shifts_of_a_text_that_makes_no_card_and_looks_like_a_formula():
    ax = _axes()
    done = converted_text("Cut $\\frac 5 in$ long, or $_2 in$.", "1 mm")
    draw_shifts(ax, done)
    ax.figure.canvas.draw()
    assert "Both ways move every mark alike." in describe_shifts(done)
    assert describe_shifts(converted_text("Nothing here.", "1 mm")) == (
        "No mark moves on a ruler of 1 mm."
    )
