"""Rosters as they come: from spreadsheets, booking pages and hand, with everything that goes wrong.

Sources: RFC 4180 for CSV; the byte order marks of Unicode 15, chapter 23.8; the codes of letters
in Windows-1252 and MacRoman as Python's codecs have them.
"""

from __future__ import annotations

import csv
import io
from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from popkit.roster import (
    Roster,
    RosterError,
    Student,
    read_roster,
    roster_text,
    save_roster,
    seats,
    text_to_mend,
)

SATURDAY = Path(__file__).parents[2] / "notebooks" / "rosters" / "saturday.csv"
PLAIN = "name,card,large print\nInes Marchetti,Harbour lights,no\nZoë Kowalczyk,The allotment,yes\n"


def faults_of(source, **more) -> list[tuple]:
    with pytest.raises(RosterError) as caught:
        read_roster(source, **more)
    return [(fault.line, fault.key, f"{fault.what} {fault.remedy}") for fault in caught.value.faults]


def names(source, **more) -> list[str]:
    return [student.name for student in read_roster(source, **more)]


# What is read -----------------------------------------------------------------------------


def test_a_plain_roster():
    first, second = read_roster(PLAIN)
    assert first == Student(name="Ines Marchetti", card="Harbour lights")
    assert second == Student(name="Zoë Kowalczyk", card="The allotment", large_print=True)


def test_the_sample_is_a_class_of_24():
    roster = read_roster(SATURDAY)
    assert len(roster) == 24
    assert roster.remarks == ()
    assert set(roster.cards) == {"The allotment", "Harbour lights"}


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "windows-1252"]
)
def test_the_usual_encodings(tmp_path, encoding):
    path = tmp_path / "class.csv"
    path.write_bytes(PLAIN.encode(encoding))
    assert names(path) == ["Ines Marchetti", "Zoë Kowalczyk"]
    assert names(str(path)) == names(path.read_bytes()) == names(path)


def test_a_guessed_encoding_is_said_with_the_names_it_makes():
    (remark,) = read_roster(PLAIN.encode("windows-1252")).remarks
    assert "Windows-1252" in remark
    assert "“Zoë”" in remark
    assert read_roster(PLAIN.encode("utf-8")).remarks == ()


def test_a_named_encoding_is_believed():
    data = "name\nŁucja Żak\nBo\n".encode("windows-1250")
    assert names(data, encoding="windows-1250") == ["Łucja Żak", "Bo"]
    assert "no encoding" in faults_of(data, encoding="klingon")[0][2]
    assert "not utf-8 text" in faults_of(data, encoding="utf-8")[0][2]


@pytest.mark.parametrize(
    "data",
    [
        "name\nAnn\nŁucja Żak\n".encode("windows-1250"),  # reads as £ucja ¯ak
        "name\nAnn\nMüller, Jürgen\n".encode("cp437"),  # 0x81 is no letter of Windows-1252
        b"name\nAnn\nZo\x90\n",
        "name\nAnn\nИрина\n".encode("koi8-r"),
    ],
)
def test_an_encoding_that_cannot_be_told_is_refused_with_its_line(data):
    line, _, said = faults_of(data)[0]
    assert line == 3
    assert "UTF-8" in said


def test_a_spreadsheet_itself_is_refused():
    assert "spreadsheet" in faults_of(b"PK\x03\x04 and so on")[0][2]


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_commas_semicolons_tabs_and_any_line_ends(mark, end):
    text = end.join(mark.join(row) for row in (["name", "needs"], ["Ann", "lamp"], ["Bo", ""]))
    assert [(one.name, one.needs) for one in read_roster(text)] == [("Ann", "lamp"), ("Bo", "")]


def test_quoted_marks_newlines_and_quotes():
    text = 'name,needs\n"Okafor, Bart","says ""hello""\nfrom the back"\nBo,\n'
    first, second = read_roster(text)
    assert first == Student(name="Okafor, Bart", needs='says "hello" from the back')
    assert second.name == "Bo"


def test_the_line_of_a_fault_counts_newlines_inside_quotes():
    text = 'name,large print\n"Ann\nBell",no\n\nBo,perhaps\n'
    assert faults_of(text)[0][:2] == (5, "large print")


def test_blank_lines_and_empty_rows_are_passed_over():
    assert names("\n\nname,card\n\nAnn,\n , \n,\nBo,\n\n") == ["Ann", "Bo"]


@pytest.mark.parametrize(
    "heading", ["Name", " NAME ", "name:", "Student", "full name", "Full_Name", '"name"', "\ufeffname"]
)
def test_headings_in_any_case(heading):
    assert names(f"{heading},Large_Print\nAnn,Yes\nBo,N\n") == ["Ann", "Bo"]


def test_a_line_that_names_the_mark_is_passed_over():
    assert names("sep=;\r\nname;card\r\nAnn;\r\nBo;\r\n") == ["Ann", "Bo"]


def test_a_mark_at_the_end_of_every_line():
    assert names("name,card,\nAnn,Boat,\nBo,,\n") == ["Ann", "Bo"]


def test_cells_left_out_at_the_end_of_a_line_are_empty():
    assert read_roster("name,card,needs\nAnn\nBo,Boat\n").students[1] == Student(name="Bo", card="Boat")


@pytest.mark.parametrize("yes", ["yes", "Y", "TRUE", "1", "x", "✓"])
@pytest.mark.parametrize("no", ["no", "N", "false", "0", "", "-"])
def test_yes_and_no(yes, no):
    roster = read_roster(f"name,large print\nAnn,{yes}\nBo,{no}\n")
    assert [one.large_print for one in roster] == [True, False]


@pytest.mark.parametrize(
    ("typed", "unit"), [("in", "in"), ("Inches", "in"), ("MM", "mm"), ("cm", "mm"), ("", "")]
)
def test_units(typed, unit):
    assert read_roster(f"name,unit\nAnn,{typed}\n").students[0].unit == unit


@pytest.mark.parametrize(
    "name",
    [
        "李伟",
        "محمد الأحمد",
        "Ἀριάδνη",
        "क्षेत्रपाल",  # joined letters
        "می‌خواهم",  # a zero-width non-joiner, as Persian is spelled
        "O’Brien-Smith",
        "<b>Bobby</b>",
        "=1+1",
        "../../etc/passwd",
        "Robert'); DROP TABLE students;--",
        "#show: none",
        "🎈",
    ],
)
def test_names_are_plain_text_in_any_script(name):
    text = io.StringIO()
    csv.writer(text).writerows([["name"], [name]])
    roster = read_roster(text.getvalue())
    assert roster.students[0].name == name
    assert read_roster(roster_text(roster)) == roster


def test_the_same_letters_composed_or_not_are_one_name():
    said = faults_of("name\nZoë\nZoe\u0308\n")
    assert said[0][0] == 3
    assert "stands on line 2 already" in said[0][2]


# Faults -----------------------------------------------------------------------------------


def test_every_fault_at_once_in_the_order_of_the_lines():
    text = (
        "name,seat,crad,unit,large print,email\n"
        "Ann,1,Boat,furlong,no,\n"
        "ann ,,,,no,\n"
        "Ann,,,,,\n"
        "Bo,1,,,maybe,\n"
        ",,Boat,in,,\n"
        "Cy,3,Boat,in,no,,lamp\n"
    )
    said = faults_of(text)
    assert [(line, key) for line, key, _ in said] == [
        (1, ""),
        (1, ""),
        (2, "unit"),
        (4, "name"),
        (5, "large print"),
        (5, "seat"),  # Ann's, whose line has a fault of its own
        (6, "name"),
        (7, ""),
    ]
    assert "Write card" in said[0][2]
    assert "Take it out" in said[1][2]
    assert "stands on line 3 already" in said[3][2]
    assert "neither a name nor a seat" in said[6][2]
    assert "7 cells under 6 headings" in said[7][2]


def test_a_seat_that_is_taken_is_told_on_every_line_whatever_else_is_wrong_with_it():
    text = "name,seat,unit,large print\nAnn,1,,\nBob,1,,maybe\nAnn,1,furlong,\nAnn,1,,\n"
    with pytest.raises(RosterError) as caught:
        read_roster(text)
    assert [(fault.line, fault.key) for fault in caught.value.faults] == [
        (3, "large print"),
        (3, "seat"),
        (4, "unit"),
        (4, "seat"),
        (5, "seat"),
    ]


def test_a_name_that_stands_twice_is_told_beside_another_fault():
    with pytest.raises(RosterError) as caught:
        read_roster("name,unit\nAnn,furlong\nann,mm\n")
    assert [(fault.line, fault.key) for fault in caught.value.faults] == [(2, "unit"), (3, "name")]


def test_two_of_one_name_are_told_apart_by_their_seats():
    assert len(read_roster("name,seat\nAnn,1\nAnn,2\n")) == 2
    assert faults_of("name,seat\nAnn,1\nBo,1\n")[0][:2] == (3, "seat")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("\n \n", "nothing here"),
        ("name,card\n", "nobody under them"),
        ("card,unit\nBoat,in\n", "neither a column name nor a column seat"),
        ("Ann,Boat\nBo,Boat\n", "none of the headings"),
        ("name,name\nAnn,Ann\n", "two columns"),
        ("name,\nAnn,lamp\n", "1 headings"),
        ('name\n"Ann\nBo\n', "never closed"),
        ('name\n"Ann"x\nBo\n', "quotation mark"),
        ("name\nAnn\0\n", "code 0"),
        ("name\nAn\x07n\n", "control character"),
        ("name\nAnn\u202egnol\n", "reverses letters"),
        ("name\nZo\ufffd\n", "was lost"),
        ("name\nZoÃ«\n", "“Zoë”"),
        (f"name\n{'A' * 101}\n", "101 characters"),
        (f"name,needs\nAnn,{'n' * 501}\n", "501 characters"),
        ("name\n" + "\n".join(f"S{n}" for n in range(10_001)), "10000 at most"),
        ("name\n" + "A" * 2_000_001, "2 MB at most"),
        ("name\n" + '"' + "A" * 200_000 + '"', "far too long"),
    ],
)
def test_each_fault_is_said(text, said):
    assert any(said in one[2] for one in faults_of(text)), faults_of(text)


def test_files_that_cannot_be_read(tmp_path):
    assert "no such file" in faults_of(tmp_path / "none.csv")[0][2]
    assert "folder" in faults_of(tmp_path)[0][2]
    assert "no such file" in faults_of("saturday.csv")[0][2]  # a line of text alone is a path
    big = tmp_path / "big.csv"
    big.write_bytes(b"name\n" + b"a\n" * 1_000_001)
    assert "2.0 MB" in faults_of(big)[0][2]


def test_the_error_is_a_list_for_a_tutor():
    with pytest.raises(RosterError) as caught:
        read_roster("name,unit\n<b>Ann</b>,<i>\nBo,cubit\n", name="class.csv")
    error = caught.value
    assert str(error).splitlines()[0] == "class.csv cannot be used yet: 2 faults."
    assert error._render_traceback_() == str(error).splitlines()
    assert "&lt;i&gt;" in error._repr_html_()
    assert "<i>" not in error._repr_html_()
    assert 'role="alert"' in error._repr_html_()


# Making and saving ------------------------------------------------------------------------


def test_seats_for_a_class_without_names():
    roster = seats(3, card="Boat", unit="mm", large_print=1)
    assert [one.label for one in roster] == ["seat 1", "seat 2", "seat 3"]
    assert [one.large_print for one in roster] == [True, False, False]
    assert roster.cards == {"Boat": 3}
    for wrong in (0, -1, 2.5, True, 10_001):
        with pytest.raises(RosterError):
            seats(wrong)
    with pytest.raises(RosterError, match="large"):
        seats(2, large_print=3)


def test_a_roster_is_saved_whole_and_reads_back(tmp_path):
    roster = read_roster(SATURDAY)
    path = roster.save(tmp_path / "copy.csv")
    assert path.read_bytes().startswith(b"\xef\xbb\xbf")  # by which a spreadsheet knows UTF-8
    assert read_roster(path) == roster
    with pytest.raises(RosterError, match="a file of this name"):
        save_roster(roster, path)
    save_roster(seats(2), path, overwrite=True)
    assert len(read_roster(path)) == 2
    assert [one.name for one in tmp_path.iterdir()] == ["copy.csv"]
    with pytest.raises(RosterError, match="no folder"):
        save_roster(roster, tmp_path / "none" / "copy.csv")


def test_a_student_is_frozen_and_checks_itself():
    student = Student(name="  Ann \n Bell ")
    assert student.name == "Ann Bell"
    with pytest.raises(FrozenInstanceError):
        student.name = "Bo"
    with pytest.raises(RosterError) as caught:
        Student(unit="ell", large_print="yes")
    assert {fault.key for fault in caught.value.faults} == {"unit", "large print", "name"}


def test_a_roster_holds_students_and_at_least_one():
    for wrong in ([], ["Ann"], [Student(name="Ann"), Student(name="ANN")]):
        with pytest.raises(RosterError):
            Roster(students=wrong)


words = st.text(
    st.characters(exclude_categories=("Cs", "Cc", "Co", "Cn"), exclude_characters="\ufffd"), max_size=30
)


@given(st.lists(st.tuples(words, words, st.booleans()), min_size=1, max_size=6))
def test_whatever_can_be_a_roster_reads_back_the_same(rows):
    try:
        roster = Roster(
            students=[
                Student(name=name, seat=str(n), needs=needs, large_print=large)
                for n, (name, needs, large) in enumerate(rows, 1)
            ]
        )
    except RosterError:
        return
    assert read_roster(roster_text(roster)) == roster


def read_or_refused(source) -> Roster | RosterError:
    try:
        return read_roster(source)
    except RosterError as error:
        return error


@given(st.binary(max_size=200))
def test_no_bytes_break_the_reader(data):
    found = read_or_refused(b"name,card\nAnn,Boat\n" + data)
    assert isinstance(found, Roster) or found.faults


@given(st.text(max_size=200))
def test_no_text_breaks_the_reader(text):
    found = read_or_refused(f"name{text}\nAnn\n" + text)
    assert isinstance(found, Roster) or found.faults


def test_a_file_with_faults_comes_to_the_box_as_it_stands(tmp_path):
    path = tmp_path / "class.csv"
    spoilt = "name,card,large print\nAda,Harbour lights,perhaps\n"
    path.write_text(spoilt, encoding="utf-8")
    assert text_to_mend(path) == (spoilt, ())
    path.write_text(spoilt.replace("perhaps", "yes"), encoding="utf-8")
    text, remarks = text_to_mend(path)
    assert [student.name for student in read_roster(text)] == ["Ada"]
    assert remarks == ()
    path.write_bytes(b"\x00\x01\x02\xff")
    text, told = text_to_mend(path)
    assert text == ""
    assert told
