"""Panels: what a notebook shows, built of ipywidgets. The only place that knows of notebooks.

A panel asks `workbench` and `handout` for everything it shows and works out nothing itself.
`python -m popkit.panels.regenerate` makes the outputs of the notebooks anew.
"""

from popkit.panels.charts import Chart, opening_chart
from popkit.panels.conversion import ConversionPanel, Shifts
from popkit.panels.demo import DemoPanel
from popkit.panels.handout import HandoutPanel
from popkit.panels.lesson import LessonPanel
from popkit.panels.pages import Pages, Picture, Text, pieces_picture, safety
from popkit.panels.places import handout_folder

__all__ = [
    "Chart",
    "ConversionPanel",
    "DemoPanel",
    "HandoutPanel",
    "LessonPanel",
    "Pages",
    "Picture",
    "Shifts",
    "Text",
    "handout_folder",
    "opening_chart",
    "pieces_picture",
    "safety",
]
