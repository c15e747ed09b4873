"""What a student made of a sheet of exercises, as a page to keep and as text.

Imports: lesson, files, job, typesetting.
Sources: 14 pt and 18 pt, left aligned: RNIB Clear Print.
"""

from __future__ import annotations

import os
from pathlib import Path

from popkit.handout.files import HandoutError, pdf_path, write_whole
from popkit.handout.job import MARGIN, PAPERS
from popkit.handout.student import typeset_numbers
from popkit.handout.typesetting import families_for, plain_text, typeset
from popkit.lesson.results import Attempt, Results, results_text

__all__ = ["results_pages", "write_results", "write_results_text"]

_TEMPLATE = "exercises.typ"
_LONGEST = 200  # characters of a name
_WORDS = {
    "name": "Name",
    "date": "Date",
    "all": "The exercises",
    "again": "To look at again",
    "number": "No.",
    "question": "Question",
    "answered": "Answered",
    "result": "Result",
    "none": "Nothing: every answer given was right.",
    "not-begun": "Nothing yet: no answer was given.",
    "working": "The working:",
    "page": "Page {here} of {all}",
}


def write_results(
    results: Results, path: str | os.PathLike, paper: str = "A4", large_print: bool = False
) -> Path:
    """Write results as a tagged PDF (PDF/UA-1), whole or not at all; a file of that name is replaced.

    paper        "A4" or "Letter"
    large_print  18 pt instead of 14 pt
    Raises: HandoutError with every fault; then nothing was written.
    """
    faults: list[str] = []
    path = pdf_path(path, faults)
    (pdf,) = _set(results, paper, large_print, faults, form="pdf")
    return write_whole(path, pdf)


def write_results_text(results: Results, path: str | os.PathLike) -> Path:
    """Write results as plain text in UTF-8, whole or not at all. Raises: HandoutError."""
    return write_whole(Path(path), results_text(results).encode())


def results_pages(
    results: Results, paper: str = "A4", large_print: bool = False, *, ppi: float = 96
) -> list[bytes]:
    """The pages of `write_results` as PNG pictures. Raises: HandoutError."""
    return _set(results, paper, large_print, [], form="png", ppi=ppi)


def _set(
    results: Results, paper: str, large_print: bool, faults: list[str], **how: object
) -> list[bytes]:
    if paper not in PAPERS:
        faults.append(f"Results are not printed on {paper!r}. Write {' or '.join(PAPERS)}.")
    if len(results.name) > _LONGEST:
        faults.append(f"The name is longer than {_LONGEST} characters. Write a shorter one.")
    if faults:
        raise HandoutError(*faults)
    return typeset(_TEMPLATE, _data(results, paper, large_print), **how)


def _data(results: Results, paper: str, large_print: bool) -> dict[str, object]:
    rows = [_row(attempt) for attempt in results.attempts]
    typed = [row["answered"] for row in rows]
    name = plain_text(results.name)
    return {
        "lang": "en",
        "paper": PAPERS[paper],
        "margin": MARGIN,
        "size": 18 if large_print else 14,
        "families": families_for((name, plain_text(results.title), *typed)),
        "words": _WORDS,
        "title": plain_text(results.title),
        "name": name,
        "summary": typeset_numbers(results.summary),
        "made-of": typeset_numbers(results.made_of),
        "head": [_WORDS["number"], _WORDS["question"], _WORDS["answered"], _WORDS["result"]],
        "rows": rows,
        "none": _WORDS["none" if any(one.typed for one in results.attempts) else "not-begun"],
        "again": [_again(attempt) for attempt in results.again],
    }


def _row(attempt: Attempt) -> dict[str, str]:
    exercise = attempt.exercise
    return {
        "number": f"{exercise.number}.",
        "title": exercise.title,
        "answered": plain_text(", then ".join(attempt.typed)) or "–",
        "state": attempt.state,
    }


def _again(attempt: Attempt) -> dict[str, object]:
    exercise = attempt.exercise
    feedback = "" if attempt.right_at is not None else attempt.marked.feedback
    return {
        "title": f"{exercise.number}. {exercise.title}",
        "question": typeset_numbers(exercise.question),
        "feedback": plain_text(typeset_numbers(feedback)),
        "steps": [typeset_numbers(step) for step in exercise.steps],
    }
