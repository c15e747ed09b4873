"""From a template and its data to pages, through Typst.

What a person typed reaches a template only as data, never as markup. The data is a file beside the
templates, in memory: with Typst's own inputs every page is laid out anew for every handout, with a
file only what has changed (22 ms in place of 80). Pages use the DejaVu Sans
fonts that matplotlib ships, and no others, so that every machine makes the same bytes. A text
with a character that they lack is set with a font of this machine that has it, or refused by name.

Imports: lengths, files. typst when the first page is set, fontTools when a text leaves Latin.
"""

from __future__ import annotations

import json
import shutil
import tempfile
import threading
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from popkit.handout.files import HandoutError

__all__ = ["FAMILY", "families_for", "plain_text", "typeset"]

FAMILY = "DejaVu Sans"
_FILES = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
_FOLDER = Path(__file__).parent
_MADE = 1_000_000_000  # the date in every file, in seconds after 1970, so that bytes repeat
_LOCK = threading.Lock()
_SHORT_OF = {  # what PDF/UA forbids in text, and what stands for it
    "\N{ZERO WIDTH NO-BREAK SPACE}": "\N{WORD JOINER}",
    "\ufffe": "\N{REPLACEMENT CHARACTER}",
    "\uffff": "\N{REPLACEMENT CHARACTER}",
}


# Text -----------------------------------------------------------------------------


def plain_text(text: str) -> str:
    """Typed text as one line that can be printed.

    White space runs become one space. What has no shape at all (control characters, broken halves
    of a character) is shown as "�", not dropped. A word longer than a line may break anywhere.
    """
    shown = []
    for char in " ".join(str(text).split()):
        bad = unicodedata.category(char) in ("Cc", "Cs")
        shown.append("\N{REPLACEMENT CHARACTER}" if bad else _SHORT_OF.get(char, char))
    words = "".join(shown).split(" ")
    return " ".join(word if len(word) <= _LONG_WORD else _breakable(word) for word in words)


_LONG_WORD = 24


def _breakable(word: str) -> str:
    """The word with places to break, none of them before a mark that belongs to a letter."""
    parts = [word[0]]
    for char in word[1:]:
        joined = unicodedata.combining(char) or unicodedata.category(char) in ("Mn", "Me", "Mc", "Cf")
        parts.append(char if joined else "\N{ZERO WIDTH SPACE}" + char)
    return "".join(parts)


# Fonts ----------------------------------------------------------------------------


@cache
def _font_folder() -> tuple[Path, tempfile.TemporaryDirectory]:
    """A folder with the fonts of the pages alone, kept as long as the program runs.

    matplotlib keeps them beside a font of last resort that has a box for every character; with
    that in reach a missing character would be printed as a box rather than reported.
    """
    spec = find_spec("matplotlib")
    source = Path(spec.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf" if spec else None
    folder = tempfile.TemporaryDirectory(prefix="popkit-fonts-")
    for name in _FILES:
        if source is None or not (source / name).is_file():
            raise HandoutError(f"The font {name} is missing. Install matplotlib, which brings it.")
        shutil.copy(source / name, folder.name)
    return Path(folder.name), folder


@cache
def _characters(path: str, index: int = 0) -> frozenset[int]:
    """The characters that a font file has a shape for; none if it cannot be read."""
    from fontTools.ttLib import TTFont, TTLibError

    try:
        with TTFont(path, fontNumber=index, lazy=True) as font:
            return frozenset(font.getBestCmap() or ())
    except (OSError, TTLibError, AttributeError, AssertionError, KeyError):
        return frozenset()


def _needs_shape(char: str) -> bool:
    """Whether a character must be in a font; joiners, direction marks and selectors need not."""
    return unicodedata.category(char) not in ("Cf", "Zs", "Zl", "Zp") and not (
        "\N{VARIATION SELECTOR-1}" <= char <= "\N{VARIATION SELECTOR-16}"
    )


def families_for(texts: Iterable[str]) -> tuple[str, ...]:
    """The font families that a page needs for these texts: DejaVu Sans, and others only if it must.

    Raises: HandoutError that names every character which no font of this machine has.
    """
    wanted = {char for text in texts for char in text if ord(char) > 0xFF and _needs_shape(char)}
    if not wanted:
        return (FAMILY,)
    folder, _ = _font_folder()
    held = frozenset.intersection(*(_characters(str(folder / name)) for name in _FILES))
    missing = {char for char in wanted if ord(char) not in held}
    families = [FAMILY]
    while missing:
        found = _family_with(frozenset(missing))
        if found is None:
            listed = ", ".join(f"{char} (U+{ord(char):04X})" for char in sorted(missing))
            raise HandoutError(
                f"No font on this machine has {listed}. Install a font that does (Noto Sans has most "
                "scripts), or write the text without."
            )
        family, held = found
        families.append(family)
        missing = {char for char in missing if ord(char) not in held}
    return tuple(families)


@cache
def _family_with(missing: frozenset[str]) -> tuple[str, frozenset[int]] | None:
    """The family of this machine that has most of these characters, first by name if several do."""
    best, most = None, 0
    for info in sorted(_fonts(True).fonts(), key=lambda one: (one.family, one.path or "", one.index)):
        if info.path is None or info.style != "normal" or "Last Resort" in info.family:
            continue
        held = _characters(info.path, info.index)
        count = sum(ord(char) in held for char in missing)
        if count > most:
            best, most = (info.family, held), count
    return best


@cache
def _fonts(of_machine: bool) -> object:
    import typst

    folder, _ = _font_folder()
    return typst.Fonts(
        include_system_fonts=of_machine, include_embedded_fonts=False, font_paths=[str(folder)]
    )


@cache
def _compiler(of_machine: bool) -> object:
    import typst

    return typst.Compiler(root=str(_FOLDER), font_paths=_fonts(of_machine), ignore_system_fonts=True)


@cache
def _files(template: str) -> dict[str, bytes]:
    """Every template by its name; the one to set is called main.typ, as Typst wants it."""
    files = {path.name: path.read_bytes() for path in sorted(_FOLDER.glob("*.typ"))}
    return files | {"main.typ": files[template]}


# Pages ----------------------------------------------------------------------------


def typeset(
    template: str, data: Mapping[str, object], form: str = "pdf", ppi: float = 96
) -> list[bytes]:
    """The pages of a template filled with data.

    template  its file name in this folder
    data      anything that JSON holds; its "families" are those of `families_for`
    form      "pdf" (one file, PDF/UA-1, tagged), or "png" or "svg" (one picture a page)
    ppi       pixels to an inch, for "png"
    Raises: HandoutError.
    """
    import typst

    with _LOCK:
        compiler = _compiler(len(data["families"]) > 1)
        try:
            made = compiler.compile(
                input=_files(template) | {"data.json": json.dumps(data).encode()},
                format=form,
                ppi=ppi,
                pdf_standards=["ua-1"] if form == "pdf" else [],
                timestamp=_MADE,
            )
        except typst.TypstError as error:
            raise HandoutError(f"The pages could not be set: {error.message}.") from error
    return made if isinstance(made, list) else [made]
