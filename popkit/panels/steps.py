"""The class at work: one assembly step at a time, in large type, by buttons or arrow keys.

Imports: card, scenes, recipe, workbench, drawing, and the parts, the stage and the demo.
"""

from __future__ import annotations

import asyncio
import html
from collections.abc import Callable
from functools import lru_cache
from itertools import count

import ipywidgets as widgets

from popkit.drawing import draw_oblique, draw_pieces, draw_side
from popkit.drawing.lettering import figures
from popkit.panels.demo import DemoPanel
from popkit.panels.pages import embedded
from popkit.panels.parts import Quiet, beside, button, choice, said, style_sheet, words
from popkit.panels.stage import Frame, Stage
from popkit.recipe import Recipe
from popkit.scenes import Scene, scenes
from popkit.workbench import laid_out

__all__ = ["StepsPanel"]

_PANELS = count(1)
_PAUSE = 0.6  # s without a change of the card before its steps are told anew


class StepsPanel(widgets.VBox):
    """Show a class how a card is made, step by step, the piece in hand marked in every picture.

    source  a `Recipe`; or a `DemoPanel`, whose card it follows
    scene   the `Scene` that is shown
    """

    def __init__(self, source: Recipe | DemoPanel) -> None:
        self._quiet = Quiet()
        self._prefix = f"steps{next(_PANELS)}-"
        self._source, self._place, self._told, self._later = source, 0, (), None
        self._make()
        super().__init__([style_sheet(), self._bar, self._words, self._pictures, self._remarks])
        for name in ("popkit-panel", "popkit-steps"):
            self.add_class(name)
        self._tell()
        if isinstance(source, DemoPanel):
            source.observe(lambda _: self._soon(), "bench")

    def _make(self) -> None:
        self.back = button("Back", "step-back", lambda: self._go(self._place - 1), "The step before")
        self.next = button("Next", "step-next", lambda: self._go(self._place + 1), "The next step")
        self.pick = choice("Go to", "step-pick", [("step 1", 0)], 0)
        self.pick.observe(lambda change: None if self._quiet else self._go(change["new"]), "value")
        self._progress = words("popkit-step-progress")
        self._bar = beside([self.back, self.next, self._progress, self.pick], "popkit-step-bar")
        self._words = words("popkit-step-words")
        self._flat = words("popkit-picture", "popkit-step-flat")
        self._caption = words("popkit-step-caption")
        self._remarks = words("popkit-step-remarks")
        self.stage = Stage(
            ("side", "oblique"),
            on_step=lambda way: self._go(self._place + way),
            ahead=False,
            large=False,
        )
        moving = widgets.VBox([self.stage, self._caption])
        moving.add_class("popkit-step-stage")
        self._pictures = beside([self._flat, moving], "popkit-step-pictures")

    # Which step -------------------------------------------------------------------

    @property
    def scene(self) -> Scene:
        """The step that is shown, with what its pictures need."""
        return self._scenes[self._place]

    def _bench(self):
        return self._source.bench if isinstance(self._source, DemoPanel) else laid_out(self._source)

    def _soon(self) -> None:
        """Tell the steps of a changed card once it has come to rest: a slider must not wait for them."""
        if self._later is not None:
            self._later.cancel()
            self._later = None
        try:
            self._later = asyncio.get_running_loop().call_later(_PAUSE, self._tell)
        except RuntimeError:  # no kernel
            self._tell()

    def _tell(self) -> None:
        """The steps of the card as it is now, at the place where the class was."""
        bench = self._bench()
        remarks = "".join(f"<li>{html.escape(figures(one))}</li>" for one in bench.recipe.steps)
        self._remarks.value = f"<h4>From your tutor</h4><ul>{remarks}</ul>" if remarks else ""
        told = (bench.recipe.title, bench.card, bench.grids)
        if told == self._told:
            return
        self._told, self._scenes = told, scenes(bench.card, bench.ruler)
        self._place = min(self._place, len(self._scenes) - 1)
        with self._quiet():
            self.pick.options = tuple(
                (f"{scene.step.number}. {scene.step.title}", place)
                for place, scene in enumerate(self._scenes)
            )
        self._update()

    def _go(self, place: int) -> None:
        """To another step; before the first and past the last there is none."""
        place = min(len(self._scenes) - 1, max(0, place))
        if place != self._place:
            self._place = place
            self._update()

    # What is shown ----------------------------------------------------------------

    def _update(self) -> None:
        scene, (_, card, grids) = self.scene, self._told
        step = scene.step
        with self._quiet():
            self.pick.value = self._place
        self.back.disabled = self._place == 0
        self.next.disabled = self._place == scene.count - 1
        self._progress.value = (
            f'<p role="status">{scene.progress}</p>'
            f'<progress max="{scene.count}" value="{step.number}" aria-hidden="true"></progress>'
        )
        caution = said(figures(step.caution or ""), "popkit-step-caution")
        self._words.value = f"<h3>{html.escape(step.title)}</h3>{said(figures(step.text))}{caution}"
        self._caption.value = said(scene.caption)
        several = len(scene.pieces) > 2
        (self._flat.add_class if several else self._flat.remove_class)("popkit-step-many")
        self._flat.value = draw_pieces(
            card,
            grids=grids,
            pieces=scene.pieces,
            width_mm=120 if not several else 300 if len(scene.pieces) < 7 else 480,
            prefix=f"{self._prefix}flat-",
        )
        self.stage.show(self._framer(scene), scene.angle)

    def _framer(self, scene: Scene) -> Callable[[int], Frame]:
        """What draws the frame of an opening for a step."""
        _, card, grids = self._told
        how = {
            "grids": grids,
            "marked": scene.marked,
            "tiers": scene.tiers,
            "layers": scene.layers,
            "ornaments": scene.ornaments,
            "page_mm": 56,
            "steady": True,
        }

        @lru_cache(maxsize=4)
        def framed(angle: int) -> Frame:
            side = draw_side(card, angle, prefix=f"{self._prefix}side-", **how)
            oblique = draw_oblique(card, angle, prefix=f"{self._prefix}oblique-", **how)
            return Frame((side, oblique), f"{angle}°")

        return framed

    # As text and as a still picture -----------------------------------------------

    def __repr__(self) -> str:
        step = self.scene.step
        lines = [f"{self._told[0]}, {self.scene.progress.lower()}: {step.title}.", step.text]
        lines += [step.caution] if step.caution else []
        remarks = [f"From your tutor: {one}" for one in self._bench().recipe.steps]
        in_hand = ", ".join(piece.name for piece in self.scene.pieces)
        return "\n".join([*lines, f"In hand: {in_hand}.", self.scene.caption, *remarks])

    def _repr_mimebundle_(self, **_: object) -> dict[str, object]:
        live = super()._repr_mimebundle_() or {}
        step = self.scene.step
        pictures = "".join(
            embedded(svg.encode(), "image/svg+xml", self.scene.caption, "49%")
            for svg in self.stage.frame().pictures
        )
        told = said(f"{self.scene.progress}: {step.title}.") + said(step.text)
        note = said("A still picture. Run the notebook to go through the steps.")
        return {**live, "text/plain": repr(self), "text/html": told + pictures + note}
