"""Text files that a tutor writes by hand: every fault at once, read whole, written whole.

`FaultsError` is what a file with faults becomes; those of recipes, rosters and price lists derive
from it.

Imports: lengths (to quote), tomltext (for `Fault`).
"""

from __future__ import annotations

import html
import os
import stat
import uuid
from collections.abc import Iterable, Iterator
from pathlib import Path

from popkit.lengths import quoted
from popkit.tomltext import Fault

__all__ = ["FaultsError", "read_bytes", "read_text", "save_text"]

_MOST_SHOWN = 50


class FaultsError(ValueError):
    """A file that cannot be used, with every fault that was found.

    faults   each a `Fault`: key, what, remedy, line
    name     of the file, or of whatever the text came from
    trouble  what came of it: "cannot be used yet", "was not saved"
    """

    noun = "file"

    def __init__(
        self, faults: Iterable[Fault], name: str | None = None, trouble: str = "cannot be used yet"
    ) -> None:
        self.faults, self.trouble = tuple(faults), trouble
        self.name = self.noun if name is None else name
        super().__init__(self.faults, self.name, trouble)

    @property
    def heading(self) -> str:
        """What is wrong in one line: "saturday.csv cannot be used yet: 3 faults."."""
        count = len(self.faults)
        return f"{quoted(self.name)[1:-1]} {self.trouble}: {count} fault{'s' * (count != 1)}."

    def _shown(self) -> Iterator[str]:
        yield from (str(fault) for fault in self.faults[:_MOST_SHOWN])
        if len(self.faults) > _MOST_SHOWN:
            yield f"… and {len(self.faults) - _MOST_SHOWN} more of the same kind."

    def __str__(self) -> str:
        numbered = (f"{number:2}. {text}" for number, text in enumerate(self._shown(), 1))
        return "\n".join([self.heading, *numbered])

    def _repr_html_(self) -> str:
        """The same as a list for a notebook; every text is escaped."""
        rows = "".join(f"<li>{html.escape(text)}</li>" for text in self._shown())
        return (
            f'<div class="popkit-faults" role="alert"><p>{html.escape(self.heading)}</p>'
            f"<ol>{rows}</ol></div>"
        )

    def _render_traceback_(self) -> list[str]:
        """What IPython prints in place of a traceback when a cell ends in this error."""
        return str(self).split("\n")


def _one(error: type[FaultsError], name: str, what: str, remedy: str, trouble: str) -> FaultsError:
    return error([Fault(key="", what=what, remedy=remedy)], name, trouble)


def read_bytes(path: str | os.PathLike, largest: int, error: type[FaultsError]) -> bytes:
    """What a file holds.

    largest  bytes at most
    error    the class of what is raised where it cannot be read, or holds more
    """
    path = Path(path)

    def refuse(what: str, remedy: str) -> FaultsError:
        return _one(error, path.name, what, remedy, "cannot be used yet")

    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise refuse("This is a folder.", f"Name the {error.noun} file in it.")
        if not stat.S_ISREG(found.st_mode):
            raise refuse("This is no ordinary file.", f"Name a {error.noun} file.")
        with path.open("rb") as file:
            data = file.read(largest + 1)
    except FaultsError:
        raise
    except FileNotFoundError:
        raise refuse("There is no such file.", "Look at its name and its folder.") from None
    except PermissionError:
        raise refuse("This file may not be read.", "Ask whoever owns it.") from None
    except (OSError, ValueError):  # ValueError: a NUL in the name
        raise refuse("This file cannot be read.", "Look at its name and its disk.") from None
    if len(data) > largest:
        size = f"{max(found.st_size, len(data)) / 1e6:.1f} MB"
        raise refuse(f"The file holds {size}.", f"A {error.noun} has {largest / 1e6:g} MB at most.")
    return data


def read_text(path: str | os.PathLike, largest: int, error: type[FaultsError]) -> str:
    """The text of a UTF-8 file; otherwise as `read_bytes`."""
    data = read_bytes(path, largest, error)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as slip:
        wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))
        what = "The file is " + ("UTF-16" if wide else "not UTF-8") + " text."
        remedy = "Save it from a text editor with the encoding UTF-8."
        line = None if wide else data.count(b"\n", 0, slip.start) + 1
        fault = Fault(key="", what=what, remedy=remedy, line=line)
    raise error([fault], Path(path).name)


def save_text(
    text: str, path: str | os.PathLike, error: type[FaultsError], *, overwrite: bool, bom: bool = False
) -> Path:
    """Write a text as UTF-8, whole or not at all.

    overwrite  True to write over a file of that name
    bom        whether a byte order mark leads, by which spreadsheets know UTF-8
    Returns: the path.
    """
    path = Path(path)

    def refuse(what: str, remedy: str) -> FaultsError:
        return _one(error, path.name, what, remedy, "was not saved")

    part = path.parent / f".{uuid.uuid4().hex}.part"
    try:
        if not path.parent.is_dir():
            where = quoted(str(path.parent))
            raise refuse(f"There is no folder {where}.", "Make it, or choose another.")
        if path.is_dir():
            raise refuse("A folder has this name.", "Choose another name.")
        if path.exists() and not overwrite:
            raise refuse("There is a file of this name.", "Choose another name, or overwrite it.")
        try:
            part.write_text(text, encoding="utf-8-sig" if bom else "utf-8", newline="")
            os.replace(part, path)
        finally:
            part.unlink(missing_ok=True)
    except FaultsError:
        raise
    except PermissionError:
        raise refuse("Nothing may be written there.", "Choose another folder.") from None
    except (OSError, ValueError):
        raise refuse("The file cannot be written.", "Look at its name and at the disk.") from None
    return path
