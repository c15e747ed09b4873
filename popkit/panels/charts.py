"""matplotlib charts as a notebook shows them: a picture, and the same facts as text.

Imports: card, pages, drawing.charts (when the first chart is drawn, as matplotlib takes its time).
"""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

from popkit.card import Card
from popkit.panels.pages import embedded, legible

__all__ = ["Chart", "finished_chart", "opening_chart", "thickness_chart", "tipping_chart"]


class Chart:
    """Axes side by side, drawn on by a function each; `facts` says the same in words.

    facts   the first line names the chart
    draw    called with an axes each
    inches  width and height of the whole
    """

    def __init__(
        self, facts: str, draw: tuple[Callable[[object], None], ...], inches: tuple[float, float]
    ) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        self.facts = legible(facts)
        figure = Figure(figsize=inches, dpi=110, layout="constrained")
        FigureCanvasAgg(figure)
        for axes, on in zip(figure.subplots(1, len(draw), squeeze=False)[0], draw, strict=True):
            on(axes)
        page = BytesIO()
        figure.savefig(page, format="png", metadata={"Software": None})
        self.png = page.getvalue()

    def _repr_html_(self) -> str:
        return embedded(self.png, "image/png", self.facts, "auto")

    def __repr__(self) -> str:
        return f"Picture: {self.facts.splitlines()[0]}"


def opening_chart(card: Card) -> Chart:
    """How high each top edge stands, and how far it reaches, from closed to flat."""
    from popkit.drawing import charts

    return Chart(
        f"{charts.describe_edge_heights(card)}\n\n{charts.describe_reach(card)}",
        (lambda ax: charts.draw_edge_heights(ax, card), lambda ax: charts.draw_reach(ax, card)),
        (11, 4.2),
    )


def tipping_chart(card: Card) -> Chart:
    """How far it may lean before it turns over, at every opening."""
    from popkit.drawing import charts

    return Chart(charts.describe_tipping(card), (lambda ax: charts.draw_tipping(ax, card),), (7, 4.2))


def thickness_chart(card: Card) -> Chart:
    """The stack of the closed card, from the fold to its free edge."""
    from popkit.drawing import charts

    return Chart(
        charts.describe_thickness(card), (lambda ax: charts.draw_thickness(ax, card),), (7, 4.2)
    )


def finished_chart(card: Card) -> Chart:
    """How it stands and how thick it closes, side by side."""
    from popkit.drawing import charts

    return Chart(
        f"{charts.describe_tipping(card)}\n\n{charts.describe_thickness(card)}",
        (lambda ax: charts.draw_tipping(ax, card), lambda ax: charts.draw_thickness(ax, card)),
        (11, 4.6),
    )
