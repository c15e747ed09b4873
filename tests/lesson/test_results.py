"""Every try kept and counted; results as text and as a tagged PDF."""

from __future__ import annotations

import io

import pdfplumber
import pikepdf
import pytest

import popkit as pk
from popkit.handout.exercises import results_pages, write_results, write_results_text
from popkit.lesson import exercises
from popkit.lesson.results import Attempt, begun, results_text


@pytest.fixture
def sheet():
    return exercises(kinds=("reach", "foot"), count=4, seed=3)


def answered(sheet):
    """One right at once, one at the second try, one given up, one never tried; Ines did them."""
    first, second, third, _ = sheet
    attempts = (
        Attempt(exercise=first).tried(first.shown),
        Attempt(exercise=second).tried("1000 mm").tried(second.shown),
        Attempt(exercise=third).tried("1000 mm").helped().tried(third.shown),
        Attempt(exercise=sheet[3]),
    )
    empty = begun(sheet, seed=3, grid=pk.Grid("1 mm"), name="Ines & <Tom>")
    return type(empty)(
        title=empty.title, name=empty.name, seed=empty.seed, grid=empty.grid, attempts=attempts
    )


def test_the_counts_and_the_words(sheet):
    results = answered(sheet)
    assert (results.right, results.at_once) == (2, 1)
    assert results.summary == "2 of 4 right, 1 of them at the first try."
    assert [attempt.state for attempt in results.attempts] == [
        "right at the first try",
        "right at the second try",
        "right, after a look at the working",
        "not tried",
    ]
    assert [attempt.exercise.number for attempt in results.again] == [3]


def test_nothing_typed_and_the_same_typed_twice_are_no_tries(sheet):
    attempt = Attempt(exercise=sheet[0]).tried(" ").tried("999 mm").tried("999 mm ")
    assert attempt.typed == ("999 mm",)
    assert attempt.state == "not yet right"
    assert Attempt(exercise=sheet[0]).helped().state == "working shown"


def test_right_stays_right_whatever_is_typed_after_it(sheet):
    attempt = Attempt(exercise=sheet[0]).tried(sheet[0].shown).tried("999 mm")
    assert attempt.right
    assert not attempt.marked.right


def test_the_text_says_how_to_make_the_sheet_again_and_gives_away_only_what_was_tried(sheet):
    text = results_text(answered(sheet))
    assert "Sheet 3, on a ruler of 1 mm" in text
    assert "Ines & <Tom>" in text
    assert sheet[2].steps[-1] in text
    assert sheet[3].steps[-1] not in text.partition(f"4. {sheet[3].title}")[2]


@pytest.mark.parametrize(("paper", "points"), [("A4", (595.28, 841.89)), ("Letter", (612, 792))])
@pytest.mark.parametrize("large", [False, True])
def test_the_page_is_tagged_and_holds_the_results(tmp_path, sheet, paper, points, large):
    # ISO 216 A4 is 210 x 297 mm, 595.28 x 841.89 pt; Letter is 8 1/2 x 11 in, 612 x 792 pt
    path = write_results(answered(sheet), tmp_path / "ines.pdf", paper=paper, large_print=large)
    with pikepdf.open(path) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en"
        assert "/StructTreeRoot" in pdf.Root
        assert "pdfuaid" in pdf.Root.Metadata.read_bytes().decode()  # ISO 14289-1
    with pdfplumber.open(path) as pdf:
        assert (pdf.pages[0].width, pdf.pages[0].height) == pytest.approx(points, abs=0.1)
        words = " ".join(" ".join(page.extract_text().split()) for page in pdf.pages)
        least = min(char["size"] for char in pdf.pages[0].chars)
    assert "Ines & <Tom>" in words
    assert "2 of 4 right" in words
    assert {"second", "tried"} <= set(words.split())  # states, whose lines may break anywhere
    assert least >= (18 if large else 14) * 0.85  # the foot of the page is a little smaller


def test_a_sheet_not_begun_says_so(tmp_path, sheet):
    empty = begun(sheet, seed=3, grid=pk.Grid("1 mm"))
    (page,) = results_pages(empty, ppi=30)
    assert page.startswith(b"\x89PNG")
    with pdfplumber.open(io.BytesIO(write_results(empty, tmp_path / "x.pdf").read_bytes())) as pdf:
        assert "0 of 4 right" in pdf.pages[0].extract_text()
        assert "Nothing yet" in pdf.pages[0].extract_text()


def test_all_faults_at_once_and_nothing_written(tmp_path, sheet):
    with pytest.raises(pk.HandoutError) as caught:
        write_results(answered(sheet), tmp_path / "ines.doc", paper="A9")
    assert len(caught.value.faults) == 2
    assert list(tmp_path.iterdir()) == []


def test_text_is_written_whole(tmp_path, sheet):
    path = write_results_text(answered(sheet), tmp_path / "ines.txt")
    assert path.read_text(encoding="utf-8") == results_text(answered(sheet))
