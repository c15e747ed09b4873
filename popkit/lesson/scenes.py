"""The scenes of the lesson: a prediction to make, and a picture to move once it is made.

Imports: lengths, language, card, assembly, drawing, lesson.exercise, lesson.kinds, lesson.pictures.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from popkit.assembly import rulers
from popkit.drawing import describe_oblique, draw_oblique
from popkit.language import BRITISH, Language, message
from popkit.lengths import Grid, from_mm
from popkit.lesson.exercise import Exercise
from popkit.lesson.kinds import TOPICS, ExerciseError, exercises
from popkit.lesson.pictures import (
    describe_nesting,
    describe_parallelogram,
    describe_triangle,
    draw_nesting,
    draw_parallelogram,
    draw_triangle,
)

__all__ = ["SCENES", "Drawn", "Scene", "predicted", "scene"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A picture as SVG text, and the same in words."""

    svg: str
    words: str


Draw = Callable[[Exercise, int, int, bool, str], Drawn]
Range = Callable[[Exercise], tuple[int, int, int]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One idea of the lesson.

    topic  a key of `TOPICS`
    kind   of exercise that is predicted
    draw   (exercise, degrees, marks, told, prefix) -> picture
    moves  label of what moves besides the opening, a message, or ""
    range  exercise -> (least, most, at first), in marks of its ruler
    """

    topic: str
    kind: str
    draw: Draw
    moves: str = ""
    range: Range = lambda exercise: (0, 0, 0)

    @property
    def title(self) -> str:
        """A few words."""
        return TOPICS[self.topic]


def _parallelogram(exercise: Exercise, degrees: int, marks: int, told: bool, prefix: str) -> Drawn:
    card, grid = exercise.before.card, exercise.grid
    how = {"grid": grid, "told": told, "language": exercise.language}
    return Drawn(
        svg=draw_parallelogram(card, degrees, prefix=prefix, **how),
        words=describe_parallelogram(card, degrees, **how),
    )


def _nesting(exercise: Exercise, degrees: int, marks: int, told: bool, prefix: str) -> Drawn:
    card, grid = exercise.before.card, exercise.grid
    how = {"grid": grid, "told": told, "language": exercise.language}
    return Drawn(
        svg=draw_nesting(card, degrees, prefix=prefix, **how),
        words=describe_nesting(card, degrees, **how),
    )


def _hidden(exercise: Exercise, degrees: int, marks: int, told: bool, prefix: str) -> Drawn:
    view, grid = exercise.before, exercise.grid
    how = {"tier": view.tier, "rise": grid.at(marks), "grid": grid, "told": told}
    how["language"] = exercise.language
    return Drawn(
        svg=draw_triangle(view.card, degrees, prefix=prefix, **how),
        words=describe_triangle(view.card, degrees, **how),
    )


def _rises(exercise: Exercise) -> tuple[int, int, int]:
    """From the top of the face to a little past the height of the card."""
    view, grid = exercise.before, exercise.grid
    face = int(grid.marks(grid.up(view.card.tiers[view.tier - 1].face)))
    return face, max(face + 1, int(grid.marks(grid.up(view.card.height)))), face


def _slipped(exercise: Exercise, degrees: int, marks: int, told: bool, prefix: str) -> Drawn:
    card, grid = exercise.before.card, exercise.grid
    how = {"grid": grid, "told": told, "language": exercise.language}
    slips = {1: grid.at(marks)} if marks else None
    return Drawn(
        svg=draw_parallelogram(card, degrees, slips, prefix=prefix, **how),
        words=describe_parallelogram(card, degrees, slips, **how),
    )


def _slips(exercise: Exercise) -> tuple[int, int, int]:
    """Up to 4 mm either way, never past the fold; at first as in the question."""
    grid = exercise.grid
    asked = int(grid.marks(exercise.after.slips[1]))
    shelf = int(grid.marks(grid.down(exercise.before.card.tiers[0].depth)))
    most = max(abs(asked), int(grid.marks(grid.down(from_mm(4)))))
    return max(-most, 1 - shelf), most, asked


def _rounded(exercise: Exercise, degrees: int, marks: int, told: bool, prefix: str) -> Drawn:
    """The card as it was, or, once that may be told, as its rounded scores make it."""
    view = exercise.after if told else exercise.before
    grid = exercise.grid if told else view.card.grid
    how = {"grid": grid, "language": exercise.language}
    return Drawn(
        svg=draw_parallelogram(view.card, degrees, view.slips, prefix=prefix, **how),
        words=describe_parallelogram(view.card, degrees, view.slips, **how),
    )


def _making(exercise: Exercise, degrees: int, marks: int, told: bool, prefix: str) -> Drawn:
    card = exercise.before.card
    grids = None  # the usual rulers, known already: the picture moves
    if exercise.language != BRITISH:
        grids = rulers(card, language=exercise.language)  # they bring the language along
    return Drawn(
        svg=draw_oblique(card, degrees, prefix=prefix, steady=True, grids=grids),
        words=describe_oblique(card, degrees, grids=grids),
    )


SCENES: dict[str, Scene] = {
    one.topic: one
    for one in (
        Scene(topic="parallelogram", kind="foot", draw=_parallelogram),
        Scene(topic="nesting", kind="nesting", draw=_nesting),
        Scene(
            topic="hidden",
            kind="ornament",
            draw=_hidden,
            moves=message("Ornament, above the foot"),
            range=_rises,
        ),
        Scene(
            topic="slipped",
            kind="opening",
            draw=_slipped,
            moves=message("Foot off its mark by"),
            range=_slips,
        ),
        Scene(topic="rounding", kind="rounded", draw=_rounded),
        Scene(topic="making", kind="slit", draw=_making),
    )
}


def scene(topic: str) -> Scene:
    """The scene about a topic. Raises: ExerciseError if there is none."""
    if topic not in SCENES:
        raise ExerciseError(f"There is no scene about {topic!r}. Write {' or '.join(SCENES)}.")
    return SCENES[topic]


def predicted(
    topic: str, *, grid: Grid | str = "1 mm", seed: int = 1, language: Language | str = BRITISH
) -> Exercise:
    """What is to be predicted in a scene, with the numbers of a seed; its picture is in its language.

    Raises: ExerciseError, LanguageError.
    """
    (one,) = exercises(kinds=scene(topic).kind, count=1, grid=grid, seed=seed, language=language)
    return one
