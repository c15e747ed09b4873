"""The stage: pictures of a card at every opening, with the slider and the button that turn it.

The kernel draws a picture when it is asked for one; the page keeps what it was given and shows
it again without asking. So the slider moves at the speed of the page, and an opening that the
page has not seen yet costs one question.

Imports: nothing of popkit. anywidget, which lets a widget bring its own script (`stage.js`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import NamedTuple

import anywidget
import traitlets

__all__ = ["Frame", "Stage"]

_SAYS = {
    "group": "Open and close the card",
    "opening": "Opening",
    "play": "Play",
    "pause": "Pause",
    "places": [[0, "Closed"], [90, "On show"], [180, "Flat"]],
    "speed": "Speed",
    "speeds": [[20, "slow"], [45, "middling"], [90, "fast"]],  # degrees a second
    "large": "Projector size",
    "busy": "Waiting for the kernel: it is busy, or it has stopped.",
    "keys": "The steps, one at a time. Arrow keys go forward and back.",
}
_MOST = 24  # openings that one question may ask for


class Frame(NamedTuple):
    """What the stage shows at one opening: its pictures as SVG text, and a few words."""

    pictures: tuple[str, ...]
    words: str


class Stage(anywidget.AnyWidget):
    """Pictures side by side, one slider for them all.

    angle   whole degrees, 0 closed to 180 flat
    large   whether the person asked for the projector size
    views   a name for each picture, in order
    ahead   whether the page fetches all openings at once, or only when somebody moves the card
    on_step called with 1 or -1 when an arrow key asks for the next step or the one before
    """

    _esm = Path(__file__).with_name("stage.js")

    angle = traitlets.Int(90, min=0, max=180).tag(sync=True)
    large = traitlets.Bool(False).tag(sync=True)
    views = traitlets.List(traitlets.Unicode()).tag(sync=True)
    ahead = traitlets.Bool(True).tag(sync=True)
    steps = traitlets.Bool(False).tag(sync=True)
    says = traitlets.Dict().tag(sync=True)
    first = traitlets.Dict().tag(sync=True)

    def __init__(
        self,
        views: Iterable[str],
        *,
        on_step: Callable[[int], None] | None = None,
        ahead: bool = True,
        large: bool = True,
    ) -> None:
        says = (
            dict(_SAYS) if large else {name: words for name, words in _SAYS.items() if name != "large"}
        )
        super().__init__(views=list(views), says=says, steps=on_step is not None, ahead=ahead)
        self._version, self._draw, self._on_step = 0, None, on_step
        self.on_msg(self._heard)

    def show(self, draw: Callable[[int], Frame], angle: int) -> None:
        """Show another card, or the same one otherwise; `draw` makes the frame of an opening."""
        self._version, self._draw = self._version + 1, draw
        with self.hold_sync():
            self.angle = angle
            self.first = self._packed([angle])

    def frame(self, angle: int | None = None) -> Frame:
        """What the page shows at an opening; unless given, the one that it shows now."""
        if self._draw is None:
            return Frame(("",) * len(self.views), "")
        return self._draw(self.angle if angle is None else angle)

    def picture(self, view: str) -> str:
        """One picture as it stands, by its name."""
        return self.frame().pictures[self.views.index(view)]

    def _packed(self, angles: Iterable[int]) -> dict[str, object]:
        """Frames for the page, each different line of SVG text once."""
        lines: dict[str, int] = {}
        frames = {}
        for angle in angles:
            frame = self.frame(angle)
            frames[str(angle)] = {
                "pictures": [
                    [lines.setdefault(line, len(lines)) for line in svg.split("\n")]
                    for svg in frame.pictures
                ],
                "words": frame.words,
            }
        return {"version": self._version, "lines": list(lines), "frames": frames}

    def _heard(self, _: object, content: object, __: object) -> None:
        """A question or a key from the page, which may be any page: believed in nothing."""
        if not isinstance(content, dict):
            return
        step = content.get("step")
        if self._on_step is not None and step in (1, -1):
            self._on_step(step)
        want = content.get("want")
        if content.get("version") == self._version and isinstance(want, list):
            angles = [angle for angle in want[:_MOST] if type(angle) is int and 0 <= angle <= 180]
            self.send(self._packed(angles))
