"""The editions of a handout: a name, a template, and the function that fills it.

A new edition is one more row here, one module beside `student`, one template beside its own.

Imports: job, student, template, scores.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from popkit.handout.job import Job
from popkit.handout.scores import scores
from popkit.handout.student import student
from popkit.handout.template import template

__all__ = ["EDITIONS", "Edition"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Edition:
    """One kind of handout.

    name      what the tutor calls it
    what      in a few words, who it is for
    template  file in this folder
    contents  from a job to the data of the template
    true_size whether it has drawings to cut along or to lay work on, which a printer correction suits
    """

    name: str
    what: str
    template: str
    contents: Callable[[Job], dict]
    true_size: bool = False


EDITIONS: dict[str, Edition] = {
    edition.name: edition
    for edition in (
        Edition(
            name="student",
            what="what to cut, where to score, how to put it together",
            template="student.typ",
            contents=student,
        ),
        Edition(
            name="template",
            what="every piece at its true size, to cut round",
            template="template.typ",
            contents=template,
            true_size=True,
        ),
        Edition(
            name="scores",
            what="every score of every piece, in the order of the board",
            template="scores.typ",
            contents=scores,
        ),
    )
}
