"""A prediction panel: say what will be, then move the picture and see, and be told why.

Imports: lengths, lesson, and conversion, pages and parts. ipywidgets.
"""

from __future__ import annotations

import html
from functools import cache
from importlib.resources import files
from itertools import count

import ipywidgets as widgets

from popkit.lengths import Grid, LengthError, as_grid, show_length
from popkit.lesson import ExerciseError
from popkit.lesson.results import Attempt
from popkit.lesson.scenes import Drawn, predicted, scene
from popkit.panels.conversion import own_style
from popkit.panels.pages import embedded
from popkit.panels.parts import (
    Quiet,
    beside,
    button,
    group,
    paragraphs,
    said,
    style_sheet,
    text_box,
    words,
)

__all__ = ["PredictionPanel", "lesson_style", "told", "working"]

_PANELS = count(1)
_SHOWN = 90  # degrees at first


@cache
def _css() -> str:
    return files("popkit.panels").joinpath("lesson.css").read_text(encoding="utf-8")


def lesson_style() -> widgets.HTML:
    """The style sheet of the lesson's panels, beside that of all panels."""
    sheet = widgets.HTML(f"<style>{_css()}</style>")
    sheet.add_class("popkit-style")
    return sheet


def told(attempt: Attempt) -> str:
    """What became of the last answer, as HTML; nothing for none."""
    marked = attempt.marked
    if not marked.feedback:
        return ""
    kind = "popkit-done" if marked.right else "popkit-wrong"
    return f'<div role="status">{said(marked.feedback, kind)}</div>'


def working(attempt: Attempt) -> str:
    """The working as a numbered list, once it is to be shown."""
    if attempt.shown is None:
        return ""
    steps = "".join(f"<li>{html.escape(step)}</li>" for step in attempt.exercise.steps)
    return f'<div role="status"><p>The working:</p><ol>{steps}</ol></div>'


class PredictionPanel(widgets.VBox):
    """One idea of the lesson: a question, a box for a prediction, and a picture to move afterwards.

    topic  a key of `lesson.TOPICS`
    seed   of its numbers; **Other numbers** takes the next
    grid   the ruler
    """

    def __init__(self, topic: str, seed: int = 1, grid: Grid | str = "1 mm") -> None:
        self._prefix = f"scene{next(_PANELS)}-"
        self._quiet, self._fault = Quiet(), ""
        self.seed, self._grid = seed, as_grid(grid)
        self.scene = scene(topic)
        self.attempt: Attempt | None = None
        self._make()
        predict = group(
            "Your prediction",
            [self.ask, self.box, self.told, self.working, beside([self.show, self.other], "popkit-row")],
            "predict",
        )
        look = group(
            "The picture",
            [self.picture, self.angle, self.mover, self.locked, self.facts],
            "look",
        )
        super().__init__(
            [style_sheet(), own_style(), lesson_style(), beside([predict, look], "popkit-scene")]
        )
        for name in ("popkit-panel", "popkit-prediction", f"popkit-{topic}"):
            self.add_class(name)
        self._take(seed)

    def _make(self) -> None:
        topic = self.scene.topic
        self.ask, self.told, self.working = (
            words("popkit-ask"),
            words("popkit-told"),
            words("popkit-working"),
        )
        self.box = text_box(
            "Your prediction", f"{topic}-answer", tip=f"{self.scene.title}: your prediction"
        )
        self.show = button(
            "Show the working", f"{topic}-show", self._help, f"{self.scene.title}: show the working"
        )
        self.other = button(
            "Other numbers",
            f"{topic}-other",
            lambda: self._take(self.seed + 1),
            f"{self.scene.title}: ask again with other numbers",
        )
        self.picture, self.facts = words("popkit-scene-picture"), words("popkit-scene-words")
        self.locked = words("popkit-locked")
        self.angle = self._slider("Opening, degrees", f"{topic}-angle", 0, 180, _SHOWN)
        self.mover = self._slider(self.scene.moves or "Nothing else", f"{topic}-mover", 0, 1, 0)
        self.mover.layout.display = None if self.scene.moves else "none"
        self.mover.readout = False
        self.box.observe(lambda change: self._quiet or self._typed(change["new"]), "value")
        for slider in (self.angle, self.mover):
            slider.observe(lambda _: self._quiet or self._draw(), "value")

    def _slider(self, label: str, name: str, least: int, most: int, value: int) -> widgets.IntSlider:
        slider = widgets.IntSlider(
            value,
            least,
            most,
            description=label,
            tooltip=f"{self.scene.title}: {label}",
            style={"description_width": "initial"},
        )
        slider.add_class("popkit-input")
        slider.add_class(f"popkit-{name}")
        return slider

    # What is asked and answered ---------------------------------------------------

    def _take(self, seed: int) -> None:
        """Ask with the numbers of a seed, from the start."""
        try:
            exercise = predicted(self.scene.topic, grid=self._grid, seed=seed)
        except (ExerciseError, LengthError) as fault:
            self._fault = f"No question can be made: {fault}"
            self.ask.value = said(self._fault, "popkit-wrong", role="alert")
            return
        self.seed, self.attempt, self._fault = seed, Attempt(exercise=exercise), ""
        least, most, first = self.scene.range(exercise)
        with self._quiet():
            self.box.value, self.box.placeholder = "", exercise.writes
            self.angle.value = _SHOWN
            self.mover.min, self.mover.max = min(least, self.mover.min), max(most, self.mover.max)
            self.mover.value = first
            self.mover.min, self.mover.max = least, most
        self._update()

    def _typed(self, text: str) -> None:
        if self.attempt is not None:
            self.attempt = self.attempt.tried(text)
            self._update()

    def _help(self) -> None:
        if self.attempt is not None and (self.attempt.typed or self.attempt.shown is not None):
            self.attempt = self.attempt.helped()
            self._update()

    @property
    def told_now(self) -> bool:
        """Whether the answer may be seen: it was given, or the working was asked for."""
        return self.attempt is not None and (
            self.attempt.right_at is not None or self.attempt.shown is not None
        )

    def _update(self) -> None:
        attempt = self.attempt
        asked = f"{attempt.exercise.question}"
        self.ask.value = said(asked) + f"<small>Numbers from seed {self.seed}.</small>"
        self.told.value, self.working.value = told(attempt), working(attempt)
        locked = not attempt.typed
        self.angle.disabled = self.mover.disabled = self.show.disabled = locked
        self.locked.value = said(
            "Type a prediction first and press Enter; then you can move the picture." if locked else ""
        )
        self._draw()

    def _drawn(self, prefix: str) -> Drawn:
        told = self.told_now
        marks = self.mover.value
        if self.scene.topic == "slipped" and not self.attempt.typed:
            marks = 0  # the foot slips once a prediction is made
        return self.scene.draw(self.attempt.exercise, self.angle.value, marks, told, prefix)

    def _draw(self) -> None:
        drawn = self._drawn(self._prefix)
        self.picture.value = drawn.svg
        shown = drawn.words
        if self.scene.moves and self.attempt.typed:
            at = self._grid.at(self.mover.value)
            sign = "−" if self.mover.value < 0 else ""
            reading = show_length(abs(at), self._grid) if self.mover.value else f"0 {self._unit()}"
            shown = f"{self.scene.moves}: {sign}{reading}. {shown}"
        self.facts.value = paragraphs(shown)

    def _unit(self) -> str:
        return show_length(self._grid.step, self._grid).rpartition(" ")[2]

    # As text and as a still picture -----------------------------------------------

    def __repr__(self) -> str:
        if self.attempt is None:
            return self._fault
        lines = [
            f"{self.scene.title}, numbers from seed {self.seed}. {self.attempt.exercise.question}",
            f"Picture: {self._drawn('').words}",
        ]
        if self.attempt.typed:
            lines.append(f"Typed: {self.attempt.typed[-1]}. {self.attempt.marked.feedback}")
        if self.attempt.shown is not None:
            lines += self.attempt.exercise.steps
        return "\n".join(lines)

    def _repr_mimebundle_(self, **_: object) -> dict[str, object]:
        live = super()._repr_mimebundle_() or {}
        if self.attempt is None:
            return {**live, "text/plain": repr(self), "text/html": said(self._fault)}
        drawn = self._drawn("")
        still = said(self.attempt.exercise.question) + embedded(
            drawn.svg.encode(), "image/svg+xml", drawn.words, "50%"
        )
        note = said("A still picture. Run the notebook to type a prediction and move it.")
        return {**live, "text/plain": repr(self), "text/html": still + note}
