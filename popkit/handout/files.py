"""A finished handout on the disk: written whole, or not at all.

Imports: lengths (to quote).
"""

from __future__ import annotations

import errno
import os
import uuid
from pathlib import Path

from popkit.lengths import quoted

__all__ = ["HandoutError", "pdf_path", "write_whole"]


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
    folder, shown = path.parent, quoted(path.name)
    if not os.path.isdir(folder):
        name = quoted(folder.name or str(folder))
        raise HandoutError(f"There is no folder {name}. Make it, or choose another.")
    if os.path.isdir(path):
        raise HandoutError(f"{shown} is a folder. Choose another name.")
    part = folder / f".{uuid.uuid4().hex}.part"
    try:
        try:
            with part.open("xb") as file:
                file.write(data)
            os.replace(part, path)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        why = _WHY.get(error.errno, "Look at its name and at the disk.")
        raise HandoutError(f"{shown} was not written. {why}") from None
    return path
