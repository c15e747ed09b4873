"""A class printed in one go: one PDF each, one of all, whatever the students are called.

Sources: reserved names of Windows (CON, NUL, COM1 …) and characters that no file name may hold there:
Microsoft, Naming Files, Paths, and Namespaces; marks of right-to-left text: Unicode Standard Annex 9.
"""

import errno
import os
import re
import unicodedata
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from popkit.card import Card, JoinedFront, stepped_tiers
from popkit.handout import HandoutError, PrinterCorrection, write_class
from popkit.recipe import Recipe
from popkit.roster import Roster, Student

STEPS = Recipe(
    title="Ferry steps",
    card=Card(width="105 mm", height="148 mm", tiers=stepped_tiers("148 mm", 2), front=JoinedFront()),
)
LIGHTS = Recipe(
    title="Harbour lights",
    card=Card(width="4 in", height="5 in", tiers=stepped_tiers("5 in", 2), front=JoinedFront()),
)
NAMES = {
    "quotes": 'Maeve "Mae" O\'Brien',
    "a path": "../../etc/passwd",
    "a path of Windows": "C:\\Temp\\x",
    "dots": "..",
    "a device": "CON",
    "another device": "nul.pdf",
    "markup": "#import <b>*x*</b> $y$ @z",
    "Hebrew": "שרה לוי",
    "Arabic": "ليلى فاروق",
    "Greek": "Ελένη",
    "Cyrillic": "Юлия",
    "nothing but marks": "?!*",
    "long": "Wolfeschlegelsteinhausenbergerdorff " * 2,
    "a word longer than a line": "x" * 90,
}


def roster(*students):
    return Roster(students=tuple(students))


def text_of(path):
    return "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(path))


def plain(text):
    """As pdfium may give it back: one space for each run, no break marks, one form of each letter."""
    kept = re.sub("[\u200b\u200e\u200f\u00ad\ufffe]", "", unicodedata.normalize("NFKC", text))
    return re.sub(r"\s+", "", kept)


@pytest.fixture(scope="module")
def named(tmp_path_factory):
    folder = tmp_path_factory.mktemp("named")
    students = [Student(name=name) for name in NAMES.values()]
    students += [Student(name="Ann Lee", seat="1"), Student(name="Ann Lee", seat="2")]
    return folder, write_class(STEPS, roster(*students), folder, edition="scores")


def test_a_file_for_each_and_one_of_all(named):
    folder, paths = named
    assert len(paths) == len(NAMES) + 2 + 1
    assert len({path.name.casefold() for path in paths}) == len(paths)
    assert sorted(folder.iterdir()) == sorted(paths)
    assert paths[-1].name == "class-scores.pdf"


def test_a_name_never_becomes_a_path_or_a_device(named):
    folder, paths = named
    devices = {
        "con",
        "prn",
        "aux",
        "nul",
        *(f"com{n}" for n in range(10)),
        *(f"lpt{n}" for n in range(10)),
    }
    for path in paths:
        assert path.parent == folder
        assert not set(path.name) & set("<>:\"/\\|?*#$@'") | {c for c in path.name if ord(c) < 32}
        assert path.name.partition(".")[0].casefold() not in devices
        assert not path.name.startswith(".")
        assert not path.stem.endswith((" ", "."))
        assert len(path.name.encode()) <= 120


@pytest.mark.parametrize("number", range(len(NAMES)), ids=NAMES)
def test_a_name_is_printed_as_it_was_typed(named, number):
    name = list(NAMES.values())[number]
    shown = plain(text_of(named[1][number]))
    # pdfium gives letters written from right to left in the order of the eye or of the tongue
    wanted = plain(name)
    assert wanted in shown or wanted[::-1] in shown


def test_the_one_of_all_has_every_page_in_order(named):
    _, paths = named
    *each, whole = paths
    counts = [len(pypdfium2.PdfDocument(path)) for path in each]
    assert len(pypdfium2.PdfDocument(whole)) == sum(counts)
    numbers = re.findall(r"Page (\d+) of (\d+)", text_of(whole))
    assert numbers == [(str(n), str(of)) for of in counts for n in range(1, of + 1)]


def test_the_one_of_all_is_tagged_as_each_is(named):
    with pikepdf.open(named[1][-1]) as document:
        assert bool(document.Root.MarkInfo.Marked)
        assert str(document.Root.Lang) == "en-GB"
        with document.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"
            assert metadata["dc:title"] == "Ferry steps: the class"


def test_each_has_their_own_card_unit_and_print(tmp_path):
    people = roster(
        Student(name="Ann", card="Ferry steps"),
        Student(name="Ben", card="harbour lights", unit="mm"),
        Student(name="Cat", card="Harbour lights", large_print=True),
    )
    paths = write_class([STEPS, LIGHTS], people, tmp_path, edition="scores")
    ann, ben, cat = (text_of(path).replace("\xa0", " ") for path in paths[:3])
    assert "Ferry steps" in ann
    assert "Harbour lights" in ben
    assert "ruler of 1 mm" in ben
    assert "ruler of 1 mm" not in cat
    sizes = []
    for path in paths[:3]:
        page = pypdfium2.PdfDocument(path)[0].get_textpage()
        sizes.append(
            max(page.get_charbox(n)[3] - page.get_charbox(n)[1] for n in range(page.count_chars()))
        )
    assert sizes[2] > sizes[1] * 1.15  # 18 pt against 14


def test_two_runs_give_the_same_bytes_and_the_second_touches_nothing(tmp_path):
    people = roster(Student(name="Ann"), Student(name="Ben"))
    first = write_class(STEPS, people, tmp_path, edition="worksheet")
    held = {path: (path.read_bytes(), path.stat().st_mtime_ns, path.stat().st_ino) for path in first}
    assert write_class(STEPS, people, tmp_path, edition="worksheet") == first
    assert held == {
        path: (path.read_bytes(), path.stat().st_mtime_ns, path.stat().st_ino) for path in first
    }
    (tmp_path / "other").mkdir()
    again = write_class(STEPS, people, tmp_path / "other", edition="worksheet")
    assert [path.read_bytes() for path in again] == [held[path][0] for path in first]


def test_another_file_of_that_name_is_replaced(tmp_path):
    people = roster(Student(name="Ann"))
    (tmp_path / "01-ann-scores.pdf").write_text("old")
    path, _ = write_class(STEPS, people, tmp_path, edition="scores")
    assert path.name == "01-ann-scores.pdf"
    assert path.read_bytes().startswith(b"%PDF-")


def test_a_stopped_class_is_taken_up_again(tmp_path):
    people = roster(*(Student(name=f"Student {n}") for n in range(1, 5)))
    told = []
    paths = write_class(STEPS, people, tmp_path, told.append, lambda: len(told) == 2, edition="scores")
    assert [path.name for path in paths] == ["01-student-1-scores.pdf", "02-student-2-scores.pdf"]
    assert sorted(tmp_path.iterdir()) == paths
    kept = paths[0].stat().st_mtime_ns
    told.clear()
    paths = write_class(STEPS, people, tmp_path, told.append, edition="scores")
    assert len(paths) == 5
    assert paths[0].stat().st_mtime_ns == kept
    assert [(one.done, one.of) for one in told] == [(n, 5) for n in range(5)]
    assert told[0].text() == "Printing 1 of 5: Student 1"


def test_a_full_disk_leaves_whole_files_only(tmp_path, monkeypatch):
    people = roster(*(Student(name=f"Student {n}") for n in range(1, 4)))
    moved = []
    replace = os.replace

    def full(source, target):
        if len(moved) == 2:
            raise OSError(errno.ENOSPC, "No space left on device")
        moved.append(target)
        replace(source, target)

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(HandoutError, match=r"03-student-3-scores\.pdf.*The disk is full"):
        write_class(STEPS, people, tmp_path, edition="scores")
    assert [path.name for path in sorted(tmp_path.iterdir())] == [Path(one).name for one in moved]
    assert all(path.read_bytes().rstrip().endswith(b"%%EOF") for path in tmp_path.iterdir())


def test_a_folder_where_nothing_may_be_written_is_told(tmp_path, monkeypatch):
    def barred(self, *_, **__):
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(Path, "open", barred)
    with pytest.raises(HandoutError, match="Nothing may be written there"):
        write_class(STEPS, roster(Student(name="Ann")), tmp_path, edition="scores")
    assert list(tmp_path.iterdir()) == []


def test_every_fault_is_told_at_once_and_nothing_is_written(tmp_path):
    with pytest.raises(HandoutError) as told:
        write_class(
            [STEPS, LIGHTS],
            roster(Student(name="Ann", card="Lost boats"), Student(name="Ben", card="Ferry steps")),
            tmp_path,
            edition="scores",
            paper="A9",
            seed="many",
            correction=PrinterCorrection(across="98 mm"),
        )
    text = "\n".join(told.value.faults)
    for part in ("Lost boats", "A9", "'many'", "printer correction"):
        assert part in text
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("folder", ["none", 7, "a\0b"])
def test_a_folder_that_is_not_there_is_told(tmp_path, folder):
    where = tmp_path / folder if isinstance(folder, str) else folder
    with pytest.raises(HandoutError, match="folder"):
        write_class(STEPS, roster(Student(name="Ann")), where)


@pytest.mark.parametrize("edition", ["tutor", "answers"])
def test_what_is_for_the_tutor_is_not_printed_for_each(tmp_path, edition):
    with pytest.raises(HandoutError, match="for the tutor alone"):
        write_class(STEPS, roster(Student(name="Ann")), tmp_path, edition=edition)


def test_both_sides_begin_every_handout_on_a_fresh_sheet(tmp_path):
    people = roster(Student(name="Ann"), Student(name="Ben"))
    *each, whole = write_class(STEPS, people, tmp_path, edition="scores", two_sided=True)
    assert len(pypdfium2.PdfDocument(each[0])) == 1
    pages = pypdfium2.PdfDocument(whole)
    names = [page.get_textpage().get_text_range() for page in pages]
    assert len(pages) == 3
    assert "Ann" in names[0]
    assert "Ben" in names[2]
    assert "Ann" not in names[1] + names[2]


def test_a_long_class_is_bound_in_several(tmp_path, monkeypatch):
    monkeypatch.setattr("popkit.handout.classes._BOUND", 2)
    people = roster(*(Student(name=name) for name in ("Ann", "Ben", "Cat")))
    paths = write_class(STEPS, people, tmp_path, edition="scores")
    assert [path.name for path in paths[3:]] == ["class-scores-1.pdf", "class-scores-2.pdf"]
    first, second = map(text_of, paths[3:])
    assert "Ann" in first
    assert "Ben" in first
    assert "Cat" in second
    assert "Cat" not in first
