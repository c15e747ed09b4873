"""Two more parts of panels: a box with the reason under it, and a group that folds away.

Imports: parts. ipywidgets.
"""

from __future__ import annotations

from collections.abc import Iterable

import ipywidgets as widgets

from popkit.panels.parts import button, heading, said, text_box, words

__all__ = ["Fold", "Typed"]


class Typed(widgets.VBox):
    """A box to type in, and under it why it cannot be used."""

    def __init__(
        self, label: str, name: str, value: str = "", hint: str = "", tip: str = "", rows: int = 0
    ) -> None:
        if rows:
            self.box = widgets.Textarea(
                value,
                description=label,
                placeholder=hint,
                tooltip=tip or label,
                continuous_update=False,
                rows=rows,
                style={"description_width": "10.5em"},
            )
            self.box.add_class("popkit-input")
            self.box.add_class("popkit-area")
            self.box.add_class(f"popkit-{name}")
        else:
            self.box = text_box(label, name, value, hint, tip)
        self.why = words("popkit-why", f"popkit-{name}-why")
        super().__init__([self.box, self.why])
        self.add_class("popkit-typed")

    def say(self, reasons: Iterable[str]) -> None:
        """Show the reasons, or that all is well."""
        reasons = tuple(reasons)
        text = "".join(said(why, "popkit-wrong", role="alert") for why in reasons)
        if self.why.value != text:
            self.why.value = text
        (self.box.add_class if reasons else self.box.remove_class)("popkit-bad")


class Fold(widgets.VBox):
    """A part of the panel under its heading, with a button that folds it away."""

    def __init__(
        self, title: str, children: Iterable[widgets.Widget], name: str, unfolded: bool = True
    ) -> None:
        self._title = title
        self.inside = widgets.VBox(list(children))
        self.inside.add_class(f"popkit-{name}-inside")
        self.toggle = button("", f"{name}-fold", lambda: self.fold(not self.unfolded))
        top = widgets.HBox([heading(title), self.toggle])
        top.add_class("popkit-fold-top")
        super().__init__([top, self.inside])
        self.add_class("popkit-group")
        self.add_class(f"popkit-{name}")
        self.fold(unfolded)

    def fold(self, unfolded: bool) -> None:
        """Show what is inside, or only the heading."""
        self.unfolded = unfolded
        self.inside.layout.display = None if unfolded else "none"
        self.toggle.description = "Hide" if unfolded else "Show"
        self.toggle.tooltip = f"{self.toggle.description}: {self._title}"
