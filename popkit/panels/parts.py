"""The parts panels are made of: labelled inputs, a typed box beside its slider, words as HTML.

Imports: lengths, workbench. ipywidgets, and anywidget for the script that names what a keyboard reaches.
Whatever a person typed is escaped here, on its way into a page.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from importlib.resources import files
from pathlib import Path

import anywidget
import ipywidgets as widgets

from popkit.workbench import Size, Workbench

__all__ = [
    "Quiet",
    "SizeRow",
    "beside",
    "button",
    "choice",
    "group",
    "heading",
    "paragraphs",
    "said",
    "style_sheet",
    "text_box",
    "tick",
    "words",
]

_LABEL = {"description_width": "10.5em"}


@cache
def _css() -> str:
    return files("popkit.panels").joinpath("style.css").read_text(encoding="utf-8")


class _Keyboard(anywidget.AnyWidget):
    """Names the handles of sliders for a screen reader, and keeps keys from the notebook's commands."""

    _esm = Path(__file__).with_name("keyboard.js")


def style_sheet() -> widgets.Box:
    """The panels' own style sheet and keyboard script, as the part of a panel that carries them."""
    sheet = widgets.Box([widgets.HTML(f"<style>{_css()}</style>"), _Keyboard()])
    sheet.add_class("popkit-style")
    return sheet


def words(*classes: str) -> widgets.HTML:
    """An empty place for words or a picture."""
    place = widgets.HTML()
    for name in classes:
        place.add_class(name)
    return place


def said(text: str, kind: str = "", *, role: str = "") -> str:
    """One paragraph of plain text as HTML, escaped; nothing for no text."""
    if not text:
        return ""
    attributes = (f' class="{kind}"' if kind else "") + (f' role="{role}"' if role else "")
    return f"<p{attributes}>{html.escape(text)}</p>"


def paragraphs(text: str, kind: str = "") -> str:
    """Lines of plain text as HTML paragraphs, escaped."""
    return "".join(said(line, kind) for line in text.splitlines())


def heading(text: str, level: int = 3) -> widgets.HTML:
    """A heading inside a panel."""
    place = widgets.HTML(f"<h{level}>{html.escape(text)}</h{level}>")
    place.add_class("popkit-heading")
    return place


def group(title: str, children: Iterable[widgets.Widget], name: str) -> widgets.VBox:
    """Inputs that belong together, under a heading."""
    box = widgets.VBox([heading(title), *children])
    box.add_class("popkit-group")
    box.add_class(f"popkit-{name}")
    return box


def beside(children: Iterable[widgets.Widget], *names: str) -> widgets.HBox:
    """Children side by side, wrapping where there is no room."""
    box = widgets.HBox(list(children))
    for name in ("popkit-beside", *names):
        box.add_class(name)
    return box


def _named(widget: widgets.DOMWidget, name: str) -> widgets.DOMWidget:
    widget.add_class("popkit-input")
    widget.add_class(f"popkit-{name}")
    return widget


def text_box(label: str, name: str, value: str = "", hint: str = "", tip: str = "") -> widgets.Text:
    """A box to type in; it takes effect on Enter or on leaving it."""
    return _named(
        widgets.Text(
            value,
            description=label,
            placeholder=hint,
            tooltip=tip or label,
            continuous_update=False,
            style=_LABEL,
        ),
        name,
    )


def choice(label: str, name: str, options: Iterable, value: object = None) -> widgets.Dropdown:
    """One of several; an option is a value, or a pair of its name and its value."""
    options = [one if isinstance(one, tuple) else (str(one), one) for one in options]
    value = options[0][1] if value is None else value
    return _named(
        widgets.Dropdown(options=options, value=value, description=label, tooltip=label, style=_LABEL),
        name,
    )


def tick(label: str, name: str, value: bool = False) -> widgets.Checkbox:
    """Yes or no."""
    return _named(widgets.Checkbox(value, description=label, tooltip=label, indent=False), name)


def button(label: str, name: str, act: Callable[[], None], tip: str = "") -> widgets.Button:
    """A button that does one thing."""
    made = _named(widgets.Button(description=label, tooltip=tip or label), name)
    made.on_click(lambda _: act())
    return made


class Quiet:
    """Tells a change that a person made from one that the panel makes itself."""

    def __init__(self) -> None:
        self._depth = 0

    @contextmanager
    def __call__(self) -> Iterator[None]:
        """While inside, what is set is the panel's own doing."""
        self._depth += 1
        try:
            yield
        finally:
            self._depth -= 1

    def __bool__(self) -> bool:
        return self._depth > 0


def _move(slider: widgets.IntSlider, start: int, end: int, value: int) -> None:
    """Give a slider another range and value, never with the value outside the range.

    Each of the three reaches the page by itself, and a page that sees a value outside the range
    moves it inside and sends it back as if a person had.
    """
    slider.min, slider.max = min(start, slider.min), max(end, slider.max)
    slider.value = value
    slider.min, slider.max = start, end


class SizeRow(widgets.VBox):
    """One size: a typed box, a slider that moves by marks of the ruler, both readings, and
    under them what is wrong with what was typed.

    typed  called with the text; slid  called with the mark
    """

    def __init__(
        self,
        path: tuple[str | int, ...],
        label: str,
        name: str,
        typed: Callable[[tuple, str], None],
        slid: Callable[[tuple, int], None],
        spoken: str = "",
    ) -> None:
        self._quiet, self._shown = Quiet(), ()
        self.box = text_box(
            label, name, tip=f"{spoken or label}: type a length, as in 2 3/4 in or 70 mm"
        )
        self.slider = _named(
            widgets.IntSlider(readout=False, tooltip=f"{spoken}, slider"),
            f"{name}-slider",
        )
        self.reading = words("popkit-reading", f"popkit-{name}-reading")
        self.why = words("popkit-why", f"popkit-{name}-why")
        line = widgets.HBox([self.box, self.slider, self.reading])
        line.add_class("popkit-size")
        super().__init__([line, self.why])
        self.box.observe(lambda change: self._quiet or typed(path, change["new"]), "value")
        self.slider.observe(lambda change: self._quiet or slid(path, change["new"]), "value")

    def show(self, bench: Workbench, size: Size) -> None:
        """Bring the row into step with the workbench."""
        ruler, draft = bench.ruler, bench.draft(size.path)
        if (size, ruler, draft, self.box.value) == self._shown:
            return
        at = round(ruler.marks(size.value))
        end = max(int(ruler.marks(size.most)), at)
        start = -end if size.path == ("slip",) else 0 if size.offset else 1
        with self._quiet():
            _move(self.slider, start, end, min(end, max(start, at)))
            self.box.value = bench.text(size)
            shown = html.escape(bench.readings(size.value))
            note = "<small>follows the card</small>" if size.follows else ""
            self.reading.value = f"<span>{shown}{note}</span>"
            self.why.value = said(draft.why, "popkit-wrong", role="alert") if draft else ""
        self._shown = (size, ruler, draft, self.box.value)
        (self.box.add_class if draft else self.box.remove_class)("popkit-bad")
