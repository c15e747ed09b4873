"""The editions of a handout: a name, a template, and the function that fills it.

A new edition is one more row here, one module beside `student`, one template beside its own.

Imports: job, student, template, scores, worksheet, tutor.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from popkit.handout.job import Job
from popkit.handout.scores import scores
from popkit.handout.student import student
from popkit.handout.template import template
from popkit.handout.tutor import tutor
from popkit.handout.worksheet import answers, worksheet

__all__ = ["EDITIONS", "Edition"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Edition:
    """One kind of handout.

    name      how it is asked for, and part of the names of its files
    title     what a list of editions calls it
    what      in a few words, who it is for
    template  file in this folder
    contents  from a job to the data of the template
    true_size whether it has drawings to cut along or to lay work on, which a printer correction suits
    seeds     how many worksheets it is about at most: 0, 1 or None for any number
    unseeded  the seed of it where none is given, or None
    tutors    whether it has the hours and the plan of a class
    """

    name: str
    title: str
    what: str
    template: str
    contents: Callable[[Job], dict]
    true_size: bool = False
    seeds: int | None = 0
    unseeded: int | None = None
    tutors: bool = False


EDITIONS: dict[str, Edition] = {
    edition.name: edition
    for edition in (
        Edition(
            name="student",
            title="for a student",
            what="what to cut, where to score, how to put it together",
            template="student.typ",
            contents=student,
        ),
        Edition(
            name="tutor",
            title="for the tutor",
            what="what to prepare, hours, slips and how to see them, answers, the plan of the class",
            template="tutor.typ",
            contents=tutor,
            seeds=None,
            tutors=True,
        ),
        Edition(
            name="worksheet",
            title="worksheet",
            what="sums to do, other numbers on every sheet",
            template="worksheet.typ",
            contents=worksheet,
            seeds=1,
            unseeded=1,
        ),
        Edition(
            name="answers",
            title="answers to worksheets",
            what="the answers to worksheets",
            template="answers.typ",
            contents=answers,
            seeds=None,
            unseeded=1,
        ),
        Edition(
            name="template",
            title="template, true size",
            what="every piece at its true size, to cut round",
            template="template.typ",
            contents=template,
            true_size=True,
        ),
        Edition(
            name="scores",
            title="score chart",
            what="every score of every piece, in the order of the board",
            template="scores.typ",
            contents=scores,
        ),
    )
}
