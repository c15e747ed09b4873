"""Charts of tipping and of the closed stack: the curves follow statics and calipers."""

import math

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import StepPatch

import popkit as pk
from popkit.card import Ornament
from popkit.drawing.charts import (
    describe_thickness,
    describe_tipping,
    draw_thickness,
    draw_tipping,
)
from popkit.folding import FoldError
from popkit.thickness import thickness
from tests.drawing.drawing_samples import random_cards, tutor_card


def _axes(width=7.0, height=4.5):
    figure = Figure(figsize=(width, height), layout="constrained")
    FigureCanvasAgg(figure)
    return figure.add_subplot()


def _line(ax, start):
    (line,) = [line for line in ax.get_lines() if line.get_label().startswith(start)]
    return np.asarray(line.get_xdata(), float), np.asarray(line.get_ydata(), float)


def two_pages(back="100 mm", front=None):
    """Two pages of card and one tier of next to no weight."""
    tissue = pk.Stock(name="tissue", kind="paper", grammage=1, caliper="0.01 mm", sheet="A2")
    tier = pk.Tier(face="3 mm", depth="3 mm", top_tab="1 mm", bottom_tab="1 mm", width="1 mm")
    panel = pk.OnePieceFront(length=front)
    return pk.Card(width="100 mm", height=back, tiers=(tier,), front=panel, tier_stock=tissue)


def test_two_equal_pages_tip_back_at_half_of_what_is_missing_to_flat():
    """Centre of mass ((1 + cos t), sin t) L/4, so atan(x / y) = atan(cot(t/2)) = 90 - t/2 degrees."""
    ax = _axes()
    draw_tipping(ax, two_pages())
    angles, leans = _line(ax, "backwards")
    assert leans == pytest.approx(90 - angles / 2, abs=0.01)
    angles, leans = _line(ax, "forwards")
    turn = np.radians(angles)
    wanted = np.degrees(np.arctan2(4 - (1 + np.cos(turn)), np.sin(turn)))
    assert leans == pytest.approx(wanted, abs=0.01)


def test_the_opening_on_show_is_marked_on_both_lines():
    """At 90 degrees: 45 and atan 3 = 71.57."""
    ax = _axes()
    draw_tipping(ax, two_pages())
    marks = sorted(float(line.get_ydata()[0]) for line in ax.get_lines() if line.get_marker() == "o")
    assert marks == pytest.approx([45, math.degrees(math.atan(3))], abs=0.01)
    assert {"45°", "72°"} <= {text.get_text() for text in ax.texts}


def test_a_card_that_falls_is_drawn_falling_and_said_to():
    """Back twice the front: it falls once cos t < -1/4, past 104.48 degrees; looked at every 3."""
    card = two_pages("100 mm", "50 mm")
    ax = _axes()
    draw_tipping(ax, card)
    angles, leans = _line(ax, "backwards")
    assert (leans[angles < 104.4] > 0).all()
    assert (leans[angles > 104.6] < 0).all()
    assert "Opened to 105 degrees or more it falls over by itself." in describe_tipping(card)
    assert "falls over by itself" in [text.get_text() for text in ax.texts]
    assert "falls over by itself" not in describe_tipping(two_pages())
    assert "Spring-back is not in this sum" in describe_tipping(card)


def test_an_opening_that_is_none_is_refused():
    with pytest.raises(FoldError):
        draw_tipping(_axes(), two_pages(), 181)


def test_the_profile_is_drawn_as_it_is():
    """Back and front of 0.28 mm each: beyond the last face and tab nothing else lies there."""
    card = pk.Card(width="100 mm", height="150 mm", tiers=(pk.Tier(face="60 mm", depth="15 mm"),))
    ax = _axes()
    draw_thickness(ax, card)
    patches = [patch for patch in ax.patches if isinstance(patch, StepPatch)]
    for patch in patches:
        values, edges, _ = patch.get_data()
        assert edges[0] == 0
        assert edges[-1] == pytest.approx(150)
        assert values[-1] == pytest.approx(0.56)
        # at the fold: back, front, shelf over the bottom tab's end; at most 6 sheets anywhere
        assert max(values) <= 6 * 0.28 + 1e-9
    assert len(patches) == 2


@pytest.mark.parametrize("number", range(6))
def test_an_inch_card_and_a_metric_one_show_both_measures(number):
    card = random_cards(6, seed=4)[number]
    ax = _axes()
    draw_thickness(ax, card)
    (other,) = ax.child_axes
    ax.figure.canvas.draw()
    inch = card.unit == "inch"
    assert ax.get_ylabel().endswith(", in" if inch else ", mm")
    assert other.get_ylabel().endswith(", mm" if inch else ", in")
    wanted = np.asarray(ax.get_ylim()) * (25.4 if inch else 1 / 25.4)
    assert np.asarray(other.get_ylim()) == pytest.approx(wanted)


def test_the_letters_limit_is_in_the_picture_and_in_the_words():
    """5 mm: Royal Mail, Canada Post, Deutsche Post, Australia Post, UPU; USPS allows 1/4 in."""
    ax = _axes()
    draw_thickness(ax, tutor_card())
    assert "a letter's most, 5 mm" in [text.get_text() for text in ax.texts]
    (limit,) = [line for line in ax.get_lines() if len(set(line.get_ydata())) == 1]
    assert limit.get_ydata()[0] * 25.4 == pytest.approx(5)
    words = describe_thickness(tutor_card())
    assert "5 mm thick in every service" in words
    assert "within that" in words
    deep = pk.Card(
        width="5 in",
        height="7 in",
        tiers=pk.stepped_tiers("7 in", 1),
        ornaments=(Ornament(on="tier 1", height="4 in", up="1 in", width="1 in", pad="6 mm"),),
    )
    assert float(thickness(deep).greatest_mm) > 5
    assert "over that" in describe_thickness(deep)


def test_words_keep_clear_of_each_other():
    for card in (*random_cards(12, seed=3), tutor_card()):
        ax = _axes()
        draw_thickness(ax, card)
        ax.figure.canvas.draw()
        renderer = ax.figure.canvas.get_renderer()
        one, other = (text.get_window_extent(renderer) for text in ax.texts)
        assert not one.overlaps(other)
        assert one.y1 <= ax.bbox.y1 + 1
        assert other.y1 <= ax.bbox.y1 + 1
