"""A finished handout on the disk: written whole, or not at all.

Imports: lengths (to quote).
"""

from __future__ import annotations

import errno
import os
import uuid
from collections.abc import Mapping
from pathlib import Path

from popkit.lengths import quoted

__all__ = ["HandoutError", "pdf_path", "write_together", "write_whole"]


class HandoutError(ValueError):
    """A handout that cannot be made. `faults` holds every reason, each a sentence or two."""

    def __init__(self, *faults: str) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(faults))

    def _render_traceback_(self) -> list[str]:
        """What IPython prints in place of a traceback when a cell ends in this error."""
        return ["The handout was not made.", *self.faults]


def pdf_path(path: str | os.PathLike, faults: list[str]) -> Path | None:
    """The path of a PDF to be written, or None with the fault put on the list."""
    try:
        path = Path(os.fsdecode(os.fspath(path)))
    except (TypeError, ValueError):
        faults.append("The path is no path. Write a file name that ends in .pdf.")
        return None
    if "\0" in str(path):
        faults.append(f"The path {quoted(str(path))} has a character that no file name may have.")
        return None
    if path.suffix.casefold() != ".pdf":
        name = quoted(path.name or str(path))
        faults.append(f"The file name {name} is no name for a PDF. Write one that ends in .pdf.")
        return None
    return path


_WHY = {
    errno.ENOSPC: "The disk is full. Make room on it, or choose another.",
    errno.EDQUOT: "Your share of the disk is full. Make room in it, or choose another disk.",
    errno.EROFS: "Nothing may be written there. Choose another folder.",
    errno.ENAMETOOLONG: "The file name is too long. Choose a shorter one.",
    errno.EACCES: "Nothing may be written there. Choose another folder.",
    errno.EPERM: "Nothing may be written there. Choose another folder.",
}


def write_whole(path: Path, data: bytes) -> Path:
    """Write a file beside its place and then move it there: the old one is kept until it is done.

    Raises: HandoutError; then nothing is left of the new file, and an old one is as it was.
    """
    return write_together({path: data})[0]


def _placed(path: Path) -> None:
    """Raises: HandoutError where a path has no folder, or is one."""
    folder = path.parent
    if not os.path.isdir(folder):
        name = quoted(folder.name or str(folder))
        raise HandoutError(f"There is no folder {name}. Make it, or choose another.")
    if os.path.isdir(path):
        raise HandoutError(f"{quoted(path.name)} is a folder. Choose another name.")


def write_together(files: Mapping[Path, bytes]) -> list[Path]:
    """Write several files into one folder: all of them beside their places first, then moved there.

    Raises: HandoutError; then no file was touched, save where the disk fails during the moves.
    """
    parts: list[tuple[Path, Path]] = []
    for path in files:
        _placed(path)
    shown = ""
    try:
        try:
            for path, data in files.items():
                shown = quoted(path.name)
                part = path.parent / f".{uuid.uuid4().hex}.part"
                parts.append((part, path))
                with part.open("xb") as file:
                    file.write(data)
            for part, path in parts:
                shown = quoted(path.name)
                os.replace(part, path)
        finally:
            for part, _ in parts:
                part.unlink(missing_ok=True)
    except OSError as error:
        why = _WHY.get(error.errno, "Look at its name and at the disk.")
        raise HandoutError(f"{shown} was not written. {why}") from None
    return list(files)
