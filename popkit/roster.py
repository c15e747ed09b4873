"""Rosters: who comes to a class, what each one makes, and what each one needs, as a CSV file.

One student to a line under a line of headings: name, seat, card, unit, large print, needs. A
name or a seat must be there, the rest may be left out. A file as a spreadsheet or a booking page
saves it is read as it is: commas, semicolons or tabs, any of the usual encodings. A file with
faults gives one `RosterError` that holds all of them, each with its line and its remedy. Names
are plain text in any script: never run, never taken for markup or for a path.

Imports: lengths (to quote), sections, textfiles, tomltext.
Source: RFC 4180 for the quoting of CSV.
"""

from __future__ import annotations

import csv
import difflib
import io
import os
import re
import unicodedata
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from popkit.lengths import quoted
from popkit.sections import is_whole, kind_of, text_fault
from popkit.textfiles import FaultsError, read_bytes, save_text
from popkit.tomltext import Fault

__all__ = [
    "COLUMNS",
    "Roster",
    "RosterError",
    "Student",
    "read_roster",
    "roster_text",
    "save_roster",
    "seats",
    "text_to_mend",
]

LARGEST_FILE = 2_000_000  # bytes
MOST_STUDENTS = 10_000
COLUMNS = ("name", "seat", "card", "unit", "large print", "needs")
_LIMITS = {"name": 100, "seat": 40, "card": 80, "needs": 500}  # characters
_UNITS = {
    "": "",
    **dict.fromkeys(("in", "ins", "inch", "inches", '"', "″", "imperial"), "in"),
    **dict.fromkeys(("mm", "cm", "millimetre", "millimetres", "millimeters", "metric"), "mm"),
}
_YES = {"yes", "y", "true", "t", "1", "x", "✓", "✔", "large", "large print"}
_NO = {"", "no", "n", "false", "f", "0", "-", "–", "✗"}
# They turn the order of the letters after them about, so that a list does not say what it says.
_REORDERING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


class RosterError(FaultsError):
    """A roster that cannot be used, with every fault that was found.

    faults   each a `Fault`: key (the column), what, remedy, line
    """

    noun = "roster"


# The roster ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Student:
    """Somebody who comes to a class.

    name         as they write it, or "" where there is a seat
    seat         "7", "by the window", or ""
    card         the title of what they make, or "" where the class makes one card
    unit         "in" or "mm", what their ruler reads; "" for whatever the card is in
    large_print  whether their handout is printed large
    needs        for the tutor's eye, any text
    A run of white space counts as one space.
    Raises: RosterError with every fault.
    """

    name: str = ""
    seat: str = ""
    card: str = ""
    unit: str = ""
    large_print: bool = False
    needs: str = ""

    def __post_init__(self) -> None:
        faults: list[Fault] = []
        for key, limit in _LIMITS.items():
            object.__setattr__(self, key, _clean(getattr(self, key), key, limit, faults))
        unit = self.unit.strip().casefold() if isinstance(self.unit, str) else None
        if unit not in _UNITS:
            shown = quoted(str(self.unit))
            what = f"{shown} is no unit of a ruler."
            faults.append(Fault(key="unit", what=what, remedy="Write in or mm, or leave it empty."))
        else:
            object.__setattr__(self, "unit", _UNITS[unit])
        if not isinstance(self.large_print, bool):
            what = f"{quoted(str(self.large_print))} is neither yes nor no."
            faults.append(Fault(key="large print", what=what, remedy="Write yes or no."))
        if self.name == "" and self.seat == "":
            faults.append(
                Fault(key="name", what="There is neither a name nor a seat.", remedy="Write one.")
            )
        if faults:
            raise RosterError(faults, "student")

    @property
    def label(self) -> str:
        """What goes on their bag: the name, or "seat 7"."""
        return self.name or (f"seat {self.seat}" if self.seat.isdigit() else self.seat)


def _clean(text: object, key: str, limit: int, faults: list[Fault]) -> object:
    """The text on one line, as a roster keeps it; a fault goes on the list."""
    fault = text_fault(text, key, limit, empty=True)
    if fault is None and any(char in _REORDERING for char in text):
        what = f"{quoted(text)} holds an unseen mark that reverses letters."
        fault = Fault(key=key, what=what, remedy="Type the text again.")
    if fault is None and "\N{REPLACEMENT CHARACTER}" in text:
        what = f"{quoted(text)} holds a letter that was lost when the file was saved."
        fault = Fault(key=key, what=what, remedy="Type the text again.")
    if fault is None and (meant := _twice_encoded(text)) is not None:
        what = f"{quoted(text)} was saved in one encoding and opened in another."
        fault = Fault(key=key, what=what, remedy=f"It seems to mean {quoted(meant)}: write that.")
    if fault is not None:
        faults.append(fault)
        return text
    return unicodedata.normalize("NFC", " ".join(text.split()))


def _twice_encoded(text: str) -> str | None:
    """What a text was before UTF-8 was taken for Windows-1252; None if it was not."""
    if text.isascii():
        return None
    try:
        meant = text.encode("windows-1252").decode("utf-8")
    except UnicodeError:
        return None
    return meant if meant != text else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Roster:
    """Everybody who comes to a class, in the order of the list.

    students  at least one `Student`, no two alike in name and seat
    remarks   what the tutor should look at, such as an encoding that was guessed
    Raises: RosterError with every fault.
    """

    students: tuple[Student, ...]
    remarks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "students", tuple(self.students))
        object.__setattr__(self, "remarks", tuple(self.remarks))
        faults = [
            Fault(key="", what=f"This is {kind_of(one)}, no student.", remedy="Give a Student.")
            for one in self.students
            if not isinstance(one, Student)
        ]
        if not self.students:
            faults.append(Fault(key="", what="Nobody is on the roster.", remedy="Write one a line."))
        if len(self.students) > MOST_STUDENTS:
            what = f"There are {len(self.students)} students."
            faults.append(Fault(key="", what=what, remedy=f"A roster holds {MOST_STUDENTS} at most."))
        if not faults:
            who = [(student.name, student.seat) for student in self.students]
            faults = list(_twice(who, range(1, len(who) + 1), "place"))
        if faults:
            raise RosterError(faults)

    def __len__(self) -> int:
        return len(self.students)

    def __iter__(self) -> Iterator[Student]:
        return iter(self.students)

    @property
    def cards(self) -> dict[str, int]:
        """How many make each card, by its title; "" for those with no card named."""
        return dict(Counter(student.card for student in self.students))

    @property
    def large_print(self) -> int:
        """How many handouts are printed large."""
        return sum(student.large_print for student in self.students)

    def save(self, path: str | os.PathLike, *, overwrite: bool = False) -> Path:
        """Write the roster to a CSV file; see `save_roster`."""
        return save_roster(self, path, overwrite=overwrite)


def _same(text: str) -> str:
    """What two names have in common that a person would read as the same."""
    return unicodedata.normalize("NFKC", text).casefold()


def _twice(who: Sequence[tuple[str, str]], places: Sequence[int], place: str) -> Iterator[Fault]:
    """A fault for each student who is on the list already, or sits where somebody sits.

    who  name and seat of each
    """
    named: dict[tuple[str, str], int] = {}
    seated: dict[str, int] = {}
    for (given, sits), at in zip(who, places, strict=True):
        name, seat = _same(given), _same(sits)
        line = at if place == "line" else None
        if seat and seat in seated:
            what = f"Seat {quoted(sits)} is taken already, on {place} {seated[seat]}."
            yield Fault(key="seat", what=what, remedy="Write another seat.", line=line)
        elif name and (name, seat) in named:
            what = f"{quoted(given)} stands on {place} {named[name, seat]} already."
            remedy = "Leave one out, or tell the two apart by an initial or a seat."
            yield Fault(key="name", what=what, remedy=remedy, line=line)
        named.setdefault((name, seat), at)
        seated.setdefault(seat, at)


def seats(
    count: int, *, card: str = "", unit: str = "", large_print: int = 0, needs: str = ""
) -> Roster:
    """A roster of numbered seats, for a class whose names are not known yet.

    count        how many seats, 1 to 10,000
    large_print  at how many of them the handout is printed large, from the first
    Raises: RosterError.
    """
    faults = []
    if not is_whole(count, 1, MOST_STUDENTS):
        remedy = f"Write a whole number, 1 to {MOST_STUDENTS}."
        faults.append(Fault(key="seat", what=f"{count!r} is no number of seats.", remedy=remedy))
    elif not is_whole(large_print, 0, count):
        what = f"{large_print!r} of {count} handouts cannot be printed large."
        faults.append(Fault(key="large print", what=what, remedy=f"Write a whole number, 0 to {count}."))
    if faults:
        raise RosterError(faults)
    return Roster(
        students=tuple(
            Student(seat=str(n), card=card, unit=unit, large_print=n <= large_print, needs=needs)
            for n in range(1, count + 1)
        )
    )


# Reading ------------------------------------------------------------------------


def read_roster(
    source: str | bytes | os.PathLike, name: str | None = None, *, encoding: str | None = None
) -> Roster:
    """The roster in a CSV text or file.

    source    the text; a path, which may be a text that has no line end; or the bytes of a file,
              as an upload gives them
    name      what messages call it; unless given, the name of the file
    encoding  of a file, as "windows-1250"; unless given UTF-8, UTF-16, or else Windows-1252, if
              every letter is one that names are written with; then a remark says so
    Raises: RosterError with every fault, also where there is no such file.
    """
    remarks: tuple[str, ...] = ()
    if isinstance(source, os.PathLike) or (
        isinstance(source, str) and source and not re.search(r"[\r\n]", source)
    ):
        name = Path(source).name if name is None else name
        source = read_bytes(source, LARGEST_FILE, RosterError)
    elif not isinstance(source, str | bytes | bytearray | memoryview):
        what = f"This is {kind_of(source)}."
        raise RosterError([Fault(key="", what=what, remedy="Give a path or a text.")], name)
    if len(source) > LARGEST_FILE:
        what = f"The roster holds {len(source) / 1e6:.1f} MB."
        raise RosterError([Fault(key="", what=what, remedy="A roster has 2 MB at most.")], name)
    if not isinstance(source, str):
        source, remarks = _decoded(bytes(source), encoding, name)
    students = _read(source, name)
    return Roster(students=students, remarks=remarks)


def _decoded(data: bytes, encoding: str | None, name: str | None) -> tuple[str, tuple[str, ...]]:
    """The text of a file, and what to say of it."""

    def refuse(what: str, remedy: str, line: int | None = None) -> RosterError:
        return RosterError([Fault(key="", what=what, remedy=remedy, line=line)], name)

    if data.startswith(b"PK\x03\x04") or data.startswith(b"\xd0\xcf\x11\xe0"):
        raise refuse("This is a spreadsheet, not a CSV file.", "Save it as CSV UTF-8 and use that.")
    if encoding is not None:
        try:
            return data.decode(encoding).removeprefix("\ufeff"), ()
        except LookupError:
            raise refuse(
                f"{quoted(str(encoding))} is no encoding we know.", "Write utf-8 or windows-1252."
            ) from None
        except UnicodeError:
            raise refuse(f"The file is not {encoding} text.", "Leave the encoding out.") from None
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        wide = "utf-16"
    elif len(data) > 3 and 0 in (data[0], data[1]) and b"\0" in data[2:4]:
        wide = "utf-16-be" if data[0] == 0 else "utf-16-le"
    else:
        wide = ""
    if wide:
        try:
            return data.decode(wide), ()
        except UnicodeError:
            raise refuse("The file is damaged UTF-16 text.", "Save it again as CSV UTF-8.") from None
    try:
        return data.decode("utf-8-sig"), ()
    except UnicodeDecodeError as slip:
        line = data.count(b"\n", 0, slip.start) + 1
    remedy = "Save it again as CSV UTF-8, or say which encoding it is in."
    try:
        text = data.decode("windows-1252")
    except UnicodeDecodeError as slip:
        line = data.count(b"\n", 0, slip.start) + 1
        raise refuse("The file is neither UTF-8 nor Windows-1252 text.", remedy, line) from None
    odd = [
        char for char in text if not (char.isascii() or char.isalpha() or char in "’‘“”–—…·´ºª°£€½¼¾")
    ]
    if odd or _unlikely(text):
        raise refuse("The file is not UTF-8 text, and what else it is cannot be told.", remedy, line)
    found = re.findall(r"[^\s,;\t\"]*[^\x00-\x7f][^\s,;\t\"]*", text)
    words = ", ".join(quoted(word) for word in list(dict.fromkeys(found))[:5])
    return text, (
        f"The file is not UTF-8, so it was read as Windows-1252. Look whether these are right: {words}.",
    )


def _unlikely(text: str) -> bool:
    """Whether an accented capital stands inside a word: no name has that, a wrong guess has."""
    return bool(re.search(r"[a-zà-ÿ][À-ÖØ-Þ]", text))


def _split(text: str, mark: str) -> tuple[list[tuple[int, list[str]]], Fault | None]:
    """(line, cells) of each row that holds anything, and why the rest cannot be read."""
    rows: list[tuple[int, list[str]]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    line = 1
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return rows, None
        except csv.Error as slip:
            if "end of data" in str(slip):
                what = "A quotation mark is opened on this line and never closed."
            elif "limit" in str(slip):
                what = "A cell on this line is far too long."
            else:
                what = "A quotation mark stands inside a text."
            remedy = 'Write " only at both ends of a cell, and "" for one inside it.'
            return rows, Fault(key="", what=what, remedy=remedy, line=line)
        if any(cell.strip() for cell in cells):
            rows.append((line, cells))
        line = reader.line_num + 1


def _mark_of(text: str) -> str:
    """What stands between the cells: the one there is most of in the first line that holds anything."""
    first = next((line for line in text.splitlines() if line.strip(" \t,;")), "")
    plain = re.sub(r'"[^"]*"', "", first)
    return max(",;\t", key=plain.count)


_ALSO = {"student": "name", "full name": "name", "place": "seat", "units": "unit", "ruler": "unit"}


def _headings(cells: Sequence[str], line: int, faults: list[Fault]) -> list[str | None]:
    """The column of each heading; None for a heading that is none."""
    found: list[str | None] = []
    for cell in cells:
        plain = re.sub(r"[\s_-]+", " ", cell.strip().strip("*:").casefold()).strip()
        column = _ALSO.get(plain, plain)
        if column not in COLUMNS:
            near = difflib.get_close_matches(plain[:60], COLUMNS, n=1)
            remedy = f"Write {near[0]}." if near else f"Take it out; the columns are {_or(COLUMNS)}."
            what = f"{quoted(cell.strip())} is no column of a roster."
            if not plain:
                what, remedy = "A column has no heading.", f"Write one of {_or(COLUMNS)}."
            faults.append(Fault(key="", what=what, remedy=remedy, line=line))
            column = near[0] if near and near[0] not in found else None
        elif column in found:
            what = f"There are two columns {quoted(column)}."
            faults.append(Fault(key=column, what=what, remedy="Keep one of them.", line=line))
            column = None
        found.append(column)
    return found


def _or(names: Sequence[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}"


def _read(text: str, name: str | None) -> tuple[Student, ...]:
    text = text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}")
    faults: list[Fault] = []
    mark = _mark_of(text)
    if told := re.match(r"sep=(.)\r?\n", text):  # the first line some spreadsheets write
        mark, text = told[1], "\n" + text[told.end() :]
    if "\0" in text:
        what, remedy = "The text holds characters of code 0.", "Save it again as CSV UTF-8."
        raise RosterError([Fault(key="", what=what, remedy=remedy)], name)
    rows, broken = _split(text, mark)
    example = "name,card,unit,large print,needs"
    if not rows:
        if broken is None:
            broken = Fault(key="", what="There is nothing here.", remedy=f"Write {example} on line 1.")
        raise RosterError([broken], name)
    line, cells = rows[0]
    columns = _headings(cells, line, faults)
    while columns and not cells[len(columns) - 1].strip():  # a comma at the end of every line
        columns.pop()
        faults = [fault for fault in faults if fault.what != "A column has no heading."]
    if not any(columns):
        what = "The first line holds none of the headings of a roster."
        faults = [Fault(key="", what=what, remedy=f"Write {example} above the students.", line=line)]
        raise RosterError([*faults, *([broken] if broken else [])], name)
    if not {"name", "seat"} & set(columns):
        what = "There is neither a column name nor a column seat."
        faults.append(Fault(key="", what=what, remedy="Add one of them.", line=line))
        faults += [broken] if broken else []
        raise RosterError(faults, name)
    students: list[Student] = []
    who: list[tuple[str, str]] = []  # of every line that can be told, whatever else is wrong with it
    lines: list[int] = []
    if len(rows) - 1 > MOST_STUDENTS:
        what = f"There are {len(rows) - 1} students."
        faults.append(Fault(key="", what=what, remedy=f"A roster holds {MOST_STUDENTS} at most."))
        rows = rows[: MOST_STUDENTS + 1]
    for line, cells in rows[1:]:
        student = _student(columns, cells, line, mark, faults)
        if student is not None:
            students.append(student)
        if not any(cell.strip() for cell in cells[len(columns) :]):
            who.append(_name_and_seat(columns, cells))
            lines.append(line)
    if broken is not None:
        faults.append(broken)
    if len(rows) == 1 and broken is None:
        what = "There are headings, and nobody under them."
        faults.append(Fault(key="", what=what, remedy="Write one student to a line."))
    faults += _twice(who, lines, "line")
    if faults:
        raise RosterError(sorted(faults, key=lambda fault: fault.line or 0), name)
    return tuple(students)


def _name_and_seat(columns: Sequence[str | None], cells: Sequence[str]) -> tuple[str, str]:
    """As a `Student` keeps them, where they are right."""
    given = dict(zip(columns, cells, strict=False))
    name, seat = (
        unicodedata.normalize("NFC", " ".join(given.get(column, "").split()))
        for column in ("name", "seat")
    )
    return name, seat


def _student(
    columns: Sequence[str | None], cells: Sequence[str], line: int, mark: str, faults: list[Fault]
) -> Student | None:
    """The student of one line; None with its faults on the list."""
    if any(cell.strip() for cell in cells[len(columns) :]):
        shown = {"\t": "tab"}.get(mark, mark)
        what = f"The line holds {len(cells)} cells under {len(columns)} headings."
        remedy = f'Put " round a text that holds a {shown}.'
        faults.append(Fault(key="", what=what, remedy=remedy, line=line))
        return None
    given: dict[str, object] = {}
    before = len(faults)
    for column, cell in zip(columns, cells, strict=False):
        if column is None:
            continue
        if column == "large print":
            plain = cell.strip().casefold()
            if plain in _YES or plain in _NO:
                given["large_print"] = plain in _YES
            else:
                what = f"{quoted(cell.strip())} is neither yes nor no."
                remedy = "Write yes or no."
                faults.append(Fault(key=column, what=what, remedy=remedy, line=line))
        else:
            given[column] = cell
    try:
        student = Student(**given)
    except RosterError as error:
        faults += [
            Fault(key=one.key, what=one.what, remedy=one.remedy, line=line) for one in error.faults
        ]
        return None
    return student if len(faults) == before else None


# Writing ------------------------------------------------------------------------


def roster_text(roster: Roster) -> str:
    """The roster as CSV text that reads back as the same students.

    A column that nobody fills is left out, but for the name, or the seat where there are no names.
    """

    def cell(student: Student, column: str) -> str:
        value = getattr(student, column.replace(" ", "_"))
        return ("yes" if value else "no") if isinstance(value, bool) else value

    used = [
        column
        for column in COLUMNS
        if any(getattr(student, column.replace(" ", "_")) for student in roster.students)
    ]
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(used)
    writer.writerows([cell(student, column) for column in used] for student in roster.students)
    return out.getvalue()


def text_to_mend(path: str | os.PathLike) -> tuple[str, tuple[str, ...]]:
    """The text of a roster file for a box to type in, and what there is to say of the file.

    A file with faults comes as it stands, to be mended in the box, where its faults are told; one
    that is no text comes empty, with its faults.
    """
    path = Path(path)
    try:
        found = read_roster(path)
        return roster_text(found), found.remarks
    except RosterError as error:
        try:
            text = path.read_bytes().decode("utf-8-sig")
        except (OSError, UnicodeDecodeError):
            text = ""
        if not text or "\0" in text:
            return "", tuple(map(str, error.faults))
        return text, ()


def save_roster(roster: Roster, path: str | os.PathLike, *, overwrite: bool = False) -> Path:
    """Write the roster to a CSV file, whole or not at all, with the mark by which a spreadsheet
    knows that it is UTF-8.

    overwrite  True to write over a file of that name
    Returns: the path.
    Raises: RosterError if the file exists, or cannot be written there.
    """
    return save_text(roster_text(roster), path, RosterError, overwrite=overwrite, bom=True)
