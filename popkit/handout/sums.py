"""The sums of a worksheet: cards made up from a seed, what is asked of them, and every answer.

A sheet has two parts. "Where are the scores?" asks for the strips of a card made up for it, or for
cut steps; the second part is of `lesson.exercises`, the kinds that suit the card of the class.

Imports: lengths, language, card, pieces, lesson, job.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from popkit.card import Card, CutStep, Tier
from popkit.handout.files import HandoutError
from popkit.handout.job import Job
from popkit.language import message
from popkit.lengths import Grid, Length, LengthError
from popkit.lesson.exercise import Exercise
from popkit.lesson.invented import invented_card
from popkit.lesson.kinds import KINDS, ExerciseError, exercises
from popkit.pieces import cut_list

__all__ = ["CUT_CARDS", "EXERCISES", "MadeUp", "Sums", "sums_of"]

EXERCISES = 6
"""Exercises of the lesson on a sheet."""
CUT_CARDS = 3
"""Cards with one cut step each, where the class makes cut steps alone."""
_MOST_TIERS = 4  # that `invented_card` makes


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeUp:
    """A card to work out: what is given of each tier, and what is asked.

    card     with glued strips, or with one cut step
    given    for each tier its lengths, under `given_head`
    answers  for each tier its lengths, under `asked_head`
    """

    card: Card
    given: tuple[tuple[Length, ...], ...]
    answers: tuple[tuple[Length, ...], ...]

    @property
    def cut(self) -> bool:
        """Whether its tier is a cut step."""
        return isinstance(self.card.tiers[0], CutStep)

    @property
    def given_head(self) -> tuple[str, ...]:
        """Messages."""
        return _GIVEN_CUT if self.cut else _GIVEN

    @property
    def asked_head(self) -> tuple[str, ...]:
        """Messages."""
        return _ASKED_CUT if self.cut else _ASKED


_GIVEN = (message("Top tab"), message("Shelf"), message("Face"), message("Bottom tab"))
_ASKED = (
    message("Score 1"),
    message("Score 2"),
    message("Score 3"),
    message("Length of the strip"),
    message("Foot"),
)
_GIVEN_CUT = (message("Shelf"), message("Face"))
_ASKED_CUT = (
    message("Slit above the fold"),
    message("Slit below the fold"),
    message("Score above the fold"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sums:
    """Everything on one worksheet.

    seed       the same makes the same sheet, in every language
    grid       the ruler that every number lies on
    cards      of "Where are the scores?"
    exercises  of the lesson
    """

    seed: int
    grid: Grid
    cards: tuple[MadeUp, ...]
    exercises: tuple[Exercise, ...]


def sums_of(job: Job, seed: int) -> Sums:
    """The sums of one seed that suit the card, the ruler and the language of a job.

    Raises: HandoutError where the ruler is too coarse for sums.
    """
    grid = job.rulers.first
    tiers = job.card.tiers
    form = Tier if any(isinstance(tier, Tier) for tier in tiers) else CutStep
    count = min(len(tiers), _MOST_TIERS)
    chance = Random(f"popkit worksheet {seed}")
    try:
        if form is CutStep:
            cards = tuple(_cut_card(chance, grid) for _ in range(CUT_CARDS))
        else:
            cards = (_strip_card(chance, grid, count),)
        kinds = [kind.name for kind in _in_turn() if form in kind.forms]
        asked = exercises(kinds=kinds, count=EXERCISES, grid=grid, seed=seed, language=job.language)
    except LengthError as fault:
        raise HandoutError(f"No worksheet can be made on that ruler: {fault}") from None
    except ExerciseError as fault:
        raise HandoutError(*(f"No worksheet can be made: {why}" for why in fault.faults)) from None
    return Sums(seed=seed, grid=grid, cards=cards, exercises=asked)


def _in_turn() -> list:
    """Kinds, a topic at a time in turn, so that a short sheet has something of each."""
    topics: dict[str, list] = {}
    for kind in KINDS.values():
        topics.setdefault(kind.topic, []).append(kind)
    rounds = max(map(len, topics.values()))
    return [kinds[turn] for turn in range(rounds) for kinds in topics.values() if turn < len(kinds)]


def _strip_card(chance: Random, grid: Grid, count: int) -> MadeUp:
    """A card with strips: their scores from the top end, their lengths, their feet from the fold."""
    card = invented_card(chance, grid, count)
    pieces = {piece.name: piece for piece in cut_list(card)}
    strips = [pieces[f"tier {number}"] for number in range(1, count + 1)]
    return MadeUp(
        card=card,
        given=tuple((one.top_tab, one.depth, one.face, one.bottom_tab) for one in card.tiers),
        answers=tuple(
            (*strip.scores, strip.length, card.length(foot))
            for strip, foot in zip(strips, card.feet_mm, strict=True)
        ),
    )


def _cut_card(chance: Random, grid: Grid) -> MadeUp:
    """A card with one cut step: where its slits end and its score lies, from the fold."""
    card = invented_card(chance, grid, 1, CutStep)
    (step,) = card.tiers
    between = card.length(card.feet_mm[0])  # the shelf is as deep as the foot is far out
    return MadeUp(
        card=card,
        given=((step.depth, step.face),),
        answers=((step.face, between, step.face - between),),
    )
