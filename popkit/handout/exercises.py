"""What a student made of a sheet of exercises, as a page to keep and as text.

Imports: language, lesson, files, job, typesetting.
Sources: 14 pt and 18 pt, left aligned: RNIB Clear Print.
"""

from __future__ import annotations

import os
from pathlib import Path

from popkit.handout.files import HandoutError, pdf_path, write_whole
from popkit.handout.job import MARGIN, PAPERS
from popkit.handout.student import typeset_numbers
from popkit.handout.typesetting import families_for, plain_text, typeset
from popkit.language import Language, LanguageError, message
from popkit.lesson.results import Attempt, Results, results_text, tries

__all__ = ["results_pages", "write_results", "write_results_text"]

_TEMPLATE = "exercises.typ"
_LONGEST = 200  # characters of a name
_WORDS = {
    "name": message("Name"),
    "date": message("Date"),
    "all": message("The exercises"),
    "again": message("To look at again"),
    "number": message("No."),
    "question": message("Question"),
    "answered": message("Answered"),
    "result": message("Result"),
    "none": message("Nothing: every answer given was right."),
    "not-begun": message("Nothing yet: no answer was given."),
    "working": message("The working:"),
    "page": message("Page {here} of {all}"),
}


def write_results(
    results: Results,
    path: str | os.PathLike,
    paper: str = "A4",
    large_print: bool = False,
    *,
    language: Language | str | None = None,
) -> Path:
    """Write results as a tagged PDF (PDF/UA-1), whole or not at all; a file of that name is replaced.

    paper        "A4" or "Letter"
    large_print  18 pt instead of 14 pt
    language     of the page; unless given, that of the exercises
    Raises: HandoutError with every fault; then nothing was written.
    """
    faults: list[str] = []
    path = pdf_path(path, faults)
    (pdf,) = _set(results, paper, large_print, language, faults, form="pdf")
    return write_whole(path, pdf)


def write_results_text(
    results: Results, path: str | os.PathLike, *, language: Language | str | None = None
) -> Path:
    """Write results as plain text in UTF-8, whole or not at all. Raises: HandoutError.

    language  unless given, that of the exercises
    """
    faults: list[str] = []
    results = _said(results, language, faults)
    if faults:
        raise HandoutError(*faults)
    return write_whole(Path(path), results_text(results).encode())


def results_pages(
    results: Results,
    paper: str = "A4",
    large_print: bool = False,
    *,
    ppi: float = 96,
    language: Language | str | None = None,
) -> list[bytes]:
    """The pages of `write_results` as PNG pictures. Raises: HandoutError."""
    return _set(results, paper, large_print, language, [], form="png", ppi=ppi)


def _said(results: Results, language: Language | str | None, faults: list[str]) -> Results:
    """The results in a language, or as they are with the fault put on the list."""
    try:
        return results if language is None else results.said(language)
    except LanguageError as fault:
        faults.append(str(fault))
        return results


def _set(
    results: Results,
    paper: str,
    large_print: bool,
    language: Language | str | None,
    faults: list[str],
    **how: object,
) -> list[bytes]:
    results = _said(results, language, faults)
    if paper not in PAPERS:
        faults.append(f"Results are not printed on {paper!r}. Write {' or '.join(PAPERS)}.")
    if len(results.name) > _LONGEST:
        faults.append(f"The name is longer than {_LONGEST} characters. Write a shorter one.")
    if faults:
        raise HandoutError(*faults)
    return typeset(_TEMPLATE, _data(results, paper, large_print), **how)


def _data(results: Results, paper: str, large_print: bool) -> dict[str, object]:
    language = results.language
    words = {name: language.template(text) for name, text in _WORDS.items()}
    rows = [_row(attempt) for attempt in results.attempts]
    typed = [row["answered"] for row in rows]
    name, title = plain_text(results.name), plain_text(results.heading)
    return {
        "lang": language.tag.partition("-")[0],
        "paper": PAPERS[paper],
        "margin": MARGIN,
        "size": 18 if large_print else 14,
        "families": families_for((name, title, *typed)),
        "words": words,
        "title": title,
        "name": name,
        "summary": typeset_numbers(results.summary),
        "made-of": typeset_numbers(results.made_of),
        "head": [words["number"], words["question"], words["answered"], words["result"]],
        "rows": rows,
        "none": words["none" if any(one.typed for one in results.attempts) else "not-begun"],
        "again": [_again(attempt) for attempt in results.again],
    }


def _row(attempt: Attempt) -> dict[str, str]:
    exercise = attempt.exercise
    return {
        "number": f"{exercise.number}.",
        "title": exercise.title,
        "answered": plain_text(tries(attempt)) or "–",
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
