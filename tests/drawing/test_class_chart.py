"""The chart of class sizes says what it was given, in marks as in words."""

from fractions import Fraction

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from popkit.classplan.growth import ClassSize
from popkit.drawing.charts import describe_class_sizes, draw_class_sizes


def size(students, sheets, bound, waste):
    return ClassSize(students=students, sheets=sheets, bound=bound, waste=waste, stocks=())


SIZES = (
    size(6, 10, 10, Fraction(37, 100)),
    size(12, 18, 17, Fraction(3, 10)),
    size(24, 36, 36, Fraction(1, 4)),
)


@pytest.fixture
def axes():
    figure = Figure(figsize=(8, 4.4), layout="constrained")
    FigureCanvasAgg(figure)
    ax = figure.add_subplot()
    draw_class_sizes(ax, SIZES, 24)
    return figure.axes


def marked(ax, name):
    (line,) = [line for line in ax.get_lines() if line.get_label() == name]
    return line, np.column_stack([line.get_xdata(), line.get_ydata()]).tolist()


def test_sheets_are_filled_where_proved_and_open_where_not(axes):
    line, points = marked(axes[0], "sheets, proved")
    assert points == [[6, 10], [24, 36]]
    open_line, open_points = marked(axes[0], "sheets, not proved")
    assert open_points == [[12, 18]]
    assert line.get_markerfacecolor() != open_line.get_markerfacecolor()
    (bar,) = axes[0].collections
    assert [path.tolist() for path in bar.get_segments()] == [[[12, 17], [12, 18]]]


def test_waste_is_a_share_on_an_axis_of_its_own(axes):
    line, points = marked(axes[1], "waste")
    assert points == [[6, 37], [12, 30], [24, 25]]
    assert line.get_linestyle() != "-"  # told from the sheets without its colour
    assert axes[1].get_ylim() == (0, 100)


def test_this_class_is_pointed_out(axes):
    (note,) = [text for text in axes[0].texts if text.get_text() == "this class"]
    assert note.xy[0] == 24


def test_the_words_say_the_same():
    told = describe_class_sizes(SIZES, 24)
    assert "6 students: 10 sheets, 37% waste." in told
    assert "12 students: 18 sheets, at least 17 needed, 30% waste." in told
    assert "24 students (this class): 36 sheets, 25% waste." in told
