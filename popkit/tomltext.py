"""TOML text in and out: read with every slip named in plain words, written from plain data.

`tomllib` does the reading, but stops at the first slip and speaks to programmers. Here a slip
is named for a tutor, mended on a copy where it is plain what was meant, and the reading goes
on, so that one look at a file finds all that is wrong with it. Nothing mended is ever used:
a document with a fault is only looked at for further faults.

Imports: lengths (to quote what was typed).
Source: TOML 1.0.0 (toml.io).
"""

from __future__ import annotations

import json
import re
import tomllib
import unicodedata
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace

from popkit.lengths import quoted

__all__ = ["Document", "Fault", "Number", "child", "read_toml", "write_toml"]

_MOST_SLIPS = 40
_LONGEST_MENDED = 100_000  # characters; reading again after each slip of a huge file would crawl
_LONGEST_LINE = 5_000  # characters of a line that is looked at for what was meant
_LONGEST_KEY = 300  # characters of a line in which its key is looked for


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing wrong with a file.

    key     where: "title", "card.width", "tier[2].face" (tiers counted from 1), or "" for the file
    what    what is wrong, a sentence
    remedy  what to write instead, a sentence
    line    of the file, counted from 1, or None where it has none
    column  character on that line, counted from 1, where the line itself cannot be read
    """

    key: str
    what: str
    remedy: str
    line: int | None = None
    column: int | None = None

    def __str__(self) -> str:
        line = f"line {self.line}" if self.line else ""
        place = ", ".join(
            part for part in (line, f"character {self.column}" if self.column else "", self.key) if part
        )
        text = f"{self.what} {self.remedy}"
        return f"{place[0].upper() if line else place[0]}{place[1:]}: {text}" if place else text


@dataclass(frozen=True, slots=True)
class Number:
    """A decimal that stands in a file without quotes, as it was typed: TOML's float."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """What a text holds.

    values  tables and lists as `tomllib` gives them, decimals as `Number`; None if unreadable
    faults  every slip against TOML itself
    lines   line number of each key and section
    """

    values: Mapping[str, object] | None
    faults: tuple[Fault, ...] = ()
    lines: Mapping[str, int] = field(default_factory=dict)

    def line_of(self, key: str) -> int | None:
        """The line of a key, else of the section around it, else None."""
        while key and key not in self.lines and f"{key}[1]" not in self.lines:
            key = key[: max(key.rfind("."), key.rfind("["), 0)]
        return self.lines.get(key, self.lines.get(f"{key}[1]"))


def child(at: str, name: str) -> str:
    """The key path of `name` in section `at`, as messages print it."""
    if not re.fullmatch(r"[A-Za-z0-9_-]{1,40}", name):
        name = quoted(name)
    return f"{at}.{name}" if at else name


# Where each key stands ----------------------------------------------------------

_KEY = r"""(?:[A-Za-z0-9_-]+|"(?:\\.|[^"\\\n])*"|'[^'\n]*')"""
_KEYS = rf"{_KEY}(?:[ \t]*\.[ \t]*{_KEY})*"
_PAIR = re.compile(rf"[ \t]*({_KEYS})[ \t]*=[ \t]*(.*)")
_HEADING = re.compile(rf"[ \t]*(\[\[?)[ \t]*({_KEYS})[ \t]*(\]?\]?)[ \t]*(?:#.*)?")
_DEEP = re.compile(r"(?:\.[ \t]*+[A-Za-z0-9_-]*+[ \t]*+){30}")  # tomllib takes minutes over thousands
_QUOTED_OR_REMARK = re.compile(
    r'"""(?:\\[\s\S]|[^\\])*?"""'
    r"|'''[\s\S]*?'''"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
    r"|#[^\n]*"
)


def _without_long_texts(text: str) -> str:
    """The text with remarks and texts of several lines blanked, line for line."""

    def blank(found: re.Match) -> str:
        token = found[0]
        if token.startswith(('"""', "'''")):
            return "\n" * token.count("\n")
        return "" if token.startswith("#") else token

    return _QUOTED_OR_REMARK.sub(blank, text)


def _places(text: str) -> Iterator[tuple[int, str]]:
    """(line number, key path) of each heading and each key."""
    counts: dict[str, int] = {}
    section = ""

    def path(at: str, keys: str) -> str:
        for key in re.findall(_KEY, keys):
            at = child(at, key.strip("\"'"))
            if at in counts:
                at += f"[{counts[at]}]"
        return at

    for number, line in enumerate(_without_long_texts(text).split("\n"), 1):
        start = line[:_LONGEST_KEY]
        if heading := _HEADING.fullmatch(start):
            if heading[1] == "[[":
                whole = ".".join(re.findall(_KEY, heading[2]))
                counts[whole] = counts.get(whole, 0) + 1
            section = path("", heading[2])
            yield number, section
        elif pair := _PAIR.fullmatch(start):
            yield number, path(section, pair[1])


def _first_lines(text: str) -> dict[str, int]:
    lines: dict[str, int] = {}
    for number, key in _places(text):
        lines.setdefault(key, number)
    return lines


# Slips against TOML -------------------------------------------------------------

_AGAIN = ("overwrite", "twice", "uplicate", "namespace")  # how tomllib says "a second time"
_CURLY = "“”„‟«»"
_DROPPED = "dropped-"


def _basic(text: str) -> str:
    """Text as a TOML basic string of one line: JSON's escapes, and DEL, which JSON leaves be."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def _mended(line: str, number: int, message: str, lists: Collection[str]) -> tuple[str, str, str | None]:
    """What is wrong with a line, the remedy, and the line as it was meant, if that is plain."""
    if len(line) > _LONGEST_LINE:
        return "This line is too long to make out what was meant.", "Break it up.", None
    if any(unicodedata.category(char) == "Cc" and char != "\t" for char in line):
        clean = "".join(char for char in line if unicodedata.category(char) != "Cc")
        return "A control character stands here, unseen.", "Delete it, or type the line again.", clean
    if line.lstrip().startswith("["):
        return _mended_heading(line, number, message, lists)
    if pair := _PAIR.fullmatch(line):
        return _mended_pair(pair[1], pair[2].rstrip(), message)
    typed, sign, value = re.fullmatch(r"([^=:]*)([=:]?)(.*)", line).groups()
    typed, value = typed.strip(), value.strip()
    if typed and sign and value and not set(typed) & set("\"'[]{}#"):
        key = re.sub(r"\s+", "_", typed)
        bare = key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _basic(key)
        if sign == ":":
            what = f"A colon stands after {quoted(typed)}, where = belongs."
        else:
            what = f"{quoted(typed)} cannot be a key: a key is plain letters, with _ for a space."
        return what, f"Write {quoted(key)[1:-1]} = and then the value.", f"{bare} = {value}"
    if line.lstrip().startswith(("'", '"')):
        return (
            "A text stands where none is expected.",
            "In a list, put a comma after each text and close the list with ].",
            "",
        )
    return "This line cannot be read.", 'Write it as in title = "…", or put # before a remark.', ""


def _mended_heading(
    line: str, number: int, message: str, lists: Collection[str]
) -> tuple[str, str, str | None]:
    heading = _HEADING.fullmatch(line)
    if heading is None:
        return (
            f"The heading {quoted(line.strip())} cannot be read.",
            "Write it as in [card], alone on its line; a list above it must be closed with ].",
            None,
        )
    name = heading[2]
    right = f"[[{name}]]" if name in lists else f"[{name}]"
    if heading[1] + heading[3] != ("[[]]" if name in lists else "[]"):
        return f"The heading is written {quoted(line.strip())}.", f"Write {right}.", right
    if any(word in message for word in _AGAIN) and name not in lists:
        return (
            f"The section {quoted(right)[1:-1]} stands here a second time.",
            "Keep one of the two.",
            f"[{_DROPPED}{number}]",
        )
    return "This heading cannot be read.", "A list above it must be closed with ].", None


def _mended_pair(key: str, value: str, message: str) -> tuple[str, str, str | None]:
    shown = quoted(key)[1:-1]
    if any(word in message for word in _AGAIN):
        return f"{quoted(key)} is given a second time in this section.", "Keep one of the two.", ""
    if not value or value.startswith("#"):
        return f"{quoted(key)} has no value.", f'Write {shown} = "…".', ""
    if value.startswith(('"""', "'''")):
        return "This text of several lines cannot be read.", 'Open and close it with """.', None
    if value[0] in "[{":
        closed = value[-1] in "]}"
        remedy = f'Write it as in {shown} = ["…", "…"], a comma after each text.'
        return "This list cannot be read.", remedy, "" if closed else None
    if value[0] in _CURLY or value[0] in "\"'":
        inner = re.sub(r"([\"'“”„‟«»])\s*#[^\"']*$", r"\1", value)
        edges = _CURLY if value[0] in _CURLY else value[0]
        inner = inner.strip(edges)
        if value[0] in _CURLY:
            what, remedy = "Curly quotation marks stand round the value.", 'Write straight ones, ".'
        elif "\\" in value:
            what, remedy = "A backslash in the text is read as a command.", "Write two of them, \\\\."
        else:
            what = "The quotation marks are not closed, or one stands inside the value."
            remedy = 'Put one " at each end, write in for inches, and \\" for a " inside a text.'
        if value[0] not in _CURLY and value.count('"') % 2 and value.endswith('""'):
            inner += '"'  # as in "5 1/2"": the first of the two is an inch mark
        return what, remedy, f"{key} = {_basic(inner)}"
    inner = re.sub(r"\s+#.*$", "", value)
    right = f"{shown} = {_basic(inner) if len(inner) <= 60 else '…'}"
    return "The value stands without quotation marks.", f"Write {right}.", f"{key} = {_basic(inner)}"


def _single_headings(lines: list[str], lists: Collection[str]) -> Iterator[tuple[int, str, str]]:
    """(place in `lines`, name, right heading) of each list's heading that has one bracket."""
    for place, line in enumerate(lines):
        heading = _HEADING.fullmatch(line)
        if heading and heading[2] in lists and heading[1] + heading[3] == "[]":
            yield place, heading[2], f"[[{heading[2]}]]"


def read_toml(text: str, *, lists: Collection[str] = ()) -> Document:
    """The values of a TOML text, with every slip against TOML that can be told apart.

    text   as read from a file; a byte order mark and any line ends are fine
    lists  names of the sections that come in any number, headed [[name]]
    Returns: a `Document`; with faults its values are a guess, good only for finding more.
    """
    text = text.removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}").replace("\r\n", "\n")
    if _DEEP.search(_QUOTED_OR_REMARK.sub("", text)):
        what, remedy = "A key has more than thirty parts.", "Name a section and a key, no more."
        return Document(values=None, faults=(Fault(key="", what=what, remedy=remedy),))
    lines = text.split("\n")
    faults: list[Fault] = []
    slips: dict[int, int] = {}
    values = None
    while len(faults) < _MOST_SLIPS:
        try:
            # With a line end, so that a slip on the last line is told by its place like any other.
            values = tomllib.loads("\n".join([*lines, ""]), parse_float=Number)
            break
        except RecursionError:
            faults.append(
                Fault(key="", what="Lists stand in lists too deep to read.", remedy="Leave them out.")
            )
            break
        except tomllib.TOMLDecodeError as slip:
            message = str(slip)
        except ValueError:  # an integer of thousands of digits, or a date that never was
            faults.append(
                Fault(key="", what="A number or a date cannot be read.", remedy="Put it in quotes.")
            )
            break
        at = re.search(r"\(at line (\d+), column (\d+)\)", message)
        if at is None:
            faults.append(_never_closed(lines))
            break
        number, column = int(at[1]), int(at[2])
        singles = list(_single_headings(lines, lists)) if any(w in message for w in _AGAIN) else []
        if singles and lines[number - 1].lstrip().startswith("["):
            for place, name, right in singles:
                faults.append(
                    Fault(
                        key=name,
                        what=f"The heading is written {quoted(lines[place].strip())}.",
                        remedy=f"Write {right}.",
                        line=place + 1,
                    )
                )
                lines[place] = right
            continue
        what, remedy, mended = _mended(lines[number - 1], number, message, lists)
        slips[number] = slips.get(number, 0) + 1
        if slips[number] > 1:
            mended = "" if slips[number] == 2 else None
        else:
            keys = dict(_places("\n".join(lines))) if len(text) <= _LONGEST_MENDED else {}
            key = keys.get(number, "")
            faults.append(Fault(key=key, what=what, remedy=remedy, line=number, column=column))
        if mended is None or len(text) > _LONGEST_MENDED:
            break
        lines[number - 1] = mended
    if values is None:
        last = faults.pop()
        remedy = f"{last.remedy} What else the file holds could not be looked at yet."
        faults.append(replace(last, remedy=remedy))
    else:
        values = {key: value for key, value in values.items() if not key.startswith(_DROPPED)}
    return Document(values=values, faults=tuple(faults), lines=_first_lines("\n".join(lines)))


def _never_closed(lines: list[str]) -> Fault:
    """The fault of a text that ends inside a long string or a list."""
    opened = [number for number, line in enumerate(lines, 1) if '"""' in line or "'''" in line]
    if opened:
        what, remedy = 'A text opened with """ is not closed.', 'Put """ after its last line.'
    else:
        what, remedy = "The text ends in the middle of a value.", "Close what is open, or delete it."
    return Fault(key="", what=what, remedy=remedy, line=opened[-1] if opened else None)


# Writing ------------------------------------------------------------------------


def write_toml(values: Mapping[str, object], at: str = "") -> str:
    """Plain data as TOML: texts, whole numbers, lists of texts, tables, lists of tables.

    at  the section the values stand in
    Raises: TypeError for anything else.
    """
    pairs = [f"{key} = {_value(value)}\n" for key, value in values.items() if not _is_section(value)]
    parts = ["".join(pairs)]
    for key, value in values.items():
        path = f"{at}.{key}" if at else key
        if isinstance(value, Mapping):
            parts.append(f"[{path}]\n{write_toml(value, path)}")
        elif _is_section(value):
            parts += [f"[[{path}]]\n{write_toml(row, path)}" for row in value]
    return "\n".join(part for part in parts if part)


def _is_section(value: object) -> bool:
    rows = value if isinstance(value, list | tuple) else ()
    return isinstance(value, Mapping) or any(isinstance(row, Mapping) for row in rows)


def _value(value: object) -> str:
    if isinstance(value, str):
        if "\n" not in value:
            return _basic(value)
        return '"""\n' + "\n".join(_basic(line)[1:-1] for line in value.split("\n")) + '"""'
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value)
    if isinstance(value, list | tuple):
        return "[\n" + "".join(f"    {_value(row)},\n" for row in value) + "]" if value else "[]"
    raise TypeError(f"TOML text is not written from a {type(value).__name__} here")
