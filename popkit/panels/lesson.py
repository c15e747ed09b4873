"""The lesson panel: exercises on rounding a card, each answer typed and checked when entered.

Imports: lengths, card, regridding, lesson, drawing, and conversion, pages and parts. ipywidgets.
"""

from __future__ import annotations

import html
from functools import partial
from itertools import count

import ipywidgets as widgets

from popkit.card import Card
from popkit.drawing import describe_side, draw_side
from popkit.lengths import Grid, LengthError, as_grid
from popkit.lesson import Exercise, Marked, View, mark, rounding_exercises
from popkit.panels.conversion import own_style
from popkit.panels.pages import Picture, embedded
from popkit.panels.parts import group, said, style_sheet, text_box, words
from popkit.regridding import RegridError

__all__ = ["LessonPanel"]

_PANELS = count(1)
_NOTHING = Marked(right=False, feedback="")


class LessonPanel(widgets.VBox):
    """Three exercises on why a card is rounded by its zones and not by its numbers.

    card    that the exercises are about
    number  of the tier they are about, from 1
    grid    the ruler that it is rounded to
    answers what was made of each answer, in order
    """

    def __init__(self, card: Card, number: int = 1, grid: Grid | str = "1 mm") -> None:
        self._prefix = f"lesson{next(_PANELS)}-"
        self._grids = (as_grid(grid), card.grid)
        self._fault = ""
        try:
            self.exercises = rounding_exercises(card, number, grid)
        except (LengthError, RegridError) as fault:
            self.exercises, self._fault = (), f"No exercise can be made of this card: {fault}"
        self.answers = [_NOTHING] * len(self.exercises)
        self.boxes: list[widgets.Text] = []
        self._told: list[widgets.HTML] = []
        self._views: list[widgets.HTML] = []
        self.score = words("popkit-score")
        super().__init__([style_sheet(), own_style(), *map(self._exercise, self.exercises), self.score])
        self.add_class("popkit-panel")
        self.add_class("popkit-lesson")
        self._update()

    def _exercise(self, exercise: Exercise) -> widgets.Widget:
        name = f"exercise-{exercise.number}"
        ask, told, view = words("popkit-ask"), words("popkit-told"), words("popkit-exercise-view")
        ask.value = said(exercise.question)
        box = text_box(
            "Your answer",
            f"{name}-answer",
            "",
            exercise.writes,
            f"Your answer to exercise {exercise.number}",
        )
        box.observe(partial(self._typed, exercise), "value")
        self.boxes.append(box)
        self._told.append(told)
        self._views.append(view)
        part = group(f"{exercise.number}. {exercise.title}", [ask, box, told, view], name)
        part.add_class("popkit-exercise")
        return part

    def _typed(self, exercise: Exercise, change: dict) -> None:
        self.answers[exercise.number - 1] = mark(exercise, change["new"])
        self._update()

    def _update(self) -> None:
        """Say what became of every answer, show what belongs to it, and keep the score."""
        for place, exercise in enumerate(self.exercises):
            answer = self.answers[place]
            kind = "popkit-done" if answer.right else "popkit-wrong"
            self._told[place].value = f'<div role="status">{said(answer.feedback, kind)}</div>'
            shown = self._shown(self._view(place), f"{self._prefix}{exercise.number}-")
            if self._views[place].value != shown:
                self._views[place].value = shown
        self.score.value = said(self._score(), role="status")

    def _view(self, place: int) -> View:
        exercise = self.exercises[place]
        return exercise.after if self.answers[place].right else exercise.before

    def _shown(self, view: View, prefix: str) -> str:
        picture = self._picture(view, prefix)
        return (
            f"<figure>{embedded(picture.svg.encode(), 'image/svg+xml', picture.facts)}"
            f"<figcaption>{html.escape(view.caption)}</figcaption></figure>"
        )

    def _picture(self, view: View, prefix: str) -> Picture:
        how = {"slips": view.slips}
        if self._grids[0].unit != self._grids[1].unit:
            how["grids"] = self._grids
        facts = describe_side(view.card, view.angle, **how)
        return Picture(draw_side(view.card, view.angle, prefix=prefix, **how), f"{view.caption} {facts}")

    def _score(self) -> str:
        if self._fault:
            return self._fault
        return f"{sum(answer.right for answer in self.answers)} of {len(self.exercises)} right."

    # As text and as a still picture -----------------------------------------------

    def __repr__(self) -> str:
        lines = []
        for exercise, box, answer in zip(self.exercises, self.boxes, self.answers, strict=True):
            lines.append(f"{exercise.number}. {exercise.title}. {exercise.question}")
            if box.value.strip():
                lines += [f"Typed: {box.value.strip()}. {answer.feedback}"]
        return "\n".join([*lines, self._score()])

    def _repr_mimebundle_(self, **_: object) -> dict[str, object]:
        live = super()._repr_mimebundle_() or {}
        still = "".join(
            f"<h4>{exercise.number}. {html.escape(exercise.title)}</h4>{said(exercise.question)}"
            + embedded(
                (picture := self._picture(self._view(place), "")).svg.encode(),
                "image/svg+xml",
                picture.facts,
                "40%",
            )
            for place, exercise in enumerate(self.exercises)
        )
        note = said("A still picture. Run the notebook to answer.")
        return {**live, "text/plain": repr(self), "text/html": still + said(self._fault) + note}
