"""Exercises on why a card folds: plain data, marked by `mark`, no panel and no page.

`exercises` makes a sheet of them with fresh numbers, on cards made up or on a card of your own;
`rounding_exercises` asks about one tier of a card and a ruler.

Imports: lengths, card, pieces, folding, regridding.
"""

from popkit.lesson.exercise import FLAT, WITHIN, Exercise, Marked, Slip, View, mark
from popkit.lesson.kinds import KINDS, MOST, TOPICS, ExerciseError, Kind, exercises
from popkit.lesson.rounding import rounding_exercises

__all__ = [
    "FLAT",
    "KINDS",
    "MOST",
    "TOPICS",
    "WITHIN",
    "Exercise",
    "ExerciseError",
    "Kind",
    "Marked",
    "Slip",
    "View",
    "exercises",
    "mark",
    "rounding_exercises",
]
