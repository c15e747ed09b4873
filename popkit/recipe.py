"""Recipes: a card with its title and remarks, as a TOML file that a tutor can write by hand.

Above the first heading stand the fields of `Recipe`; [card] holds those of `Card`, [front] those
of the form of front that it names, each [[tier]] those of its form of tier, each [[layer]] and
each [[ornament]] those of `Layer` and `Ornament`. Every length stands in quotes with its unit. A
file with faults gives one `RecipeError` that holds all of them, each with its place and its remedy.

Imports: lengths, card, sections, textfiles, tomltext. Only this module reads or writes recipe files.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path

from popkit.card import Card, Layer, Ornament
from popkit.lengths import Grid, LengthError, as_grid, quoted
from popkit.sections import (
    CARD_SECTIONS,
    LIST_SECTIONS,
    MOST_ROWS,
    MOST_TIERS,
    SectionReader,
    card_sections,
    is_whole,
    kind_of,
    length_fault,
    text_fault,
    written,
)
from popkit.textfiles import FaultsError, read_text, save_text
from popkit.tomltext import Fault, read_toml, write_toml

__all__ = [
    "MOST_TIERS",
    "Fault",
    "Recipe",
    "RecipeError",
    "load_recipe",
    "read_recipe",
    "recipe_files",
    "recipe_text",
    "save_recipe",
]

LARGEST_FILE = 1_000_000  # bytes; a recipe is a page of text
_LIMITS = {
    "title": 80,
    "series": 80,
    "notes": 4000,
    "steps": 300,
    "envelope": 80,
    "post": 80,
}  # characters
_MOST = {"steps": (100, "remarks"), "post": (20, "services")}


class RecipeError(FaultsError):
    """A recipe that cannot be used, with every fault that was found.

    faults   each a `Fault`: key, what, remedy, line
    name     of the file, or of whatever the text came from
    trouble  what came of it: "cannot be used yet", "was not saved"
    """

    noun = "recipe"


# The recipe ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """A card as it is taught.

    title      one line, 1 to 80 characters
    card       the `Card`
    series     what it belongs to, one line of 80 characters at most, or ""
    notes      for the tutor, any number of lines, 4000 characters at most
    minutes    to make it in class, a whole number of 1 to 1440, or None
    ruler      the `Grid` its sizes are read on; unless given, the card's own
    steps      the tutor's own remarks beside the steps that popkit writes, each one line of 300
               characters at most
    envelope   what it is sent in, as the tutor calls it ("A7"), one line, or ""
    post       services it is sent by, each one line of 80 characters at most
    A run of white space in a text of one line counts as one space.
    Raises: RecipeError with every fault.
    """

    title: str
    card: Card
    series: str = ""
    notes: str = ""
    minutes: int | None = None
    ruler: Grid | None = None
    steps: tuple[str, ...] = ()
    envelope: str = ""
    post: tuple[str, ...] = ()

    @property
    def layers(self) -> tuple[Layer, ...]:
        """The card's mats and strips."""
        return self.card.layers

    @property
    def ornaments(self) -> tuple[Ornament, ...]:
        """The card's ornaments."""
        return self.card.ornaments

    def __post_init__(self) -> None:
        faults: list[Fault] = []

        def put(name: str, value: object) -> None:
            object.__setattr__(self, name, value)

        for name in ("title", "series", "notes", "envelope"):
            put(name, _clean_text(getattr(self, name), name, faults))
        for name, (most, what) in _MOST.items():
            rows = getattr(self, name)
            if isinstance(rows, str) or not isinstance(rows, list | tuple):
                remedy = f'Write a list, as in {name} = ["…", "…"].'
                faults.append(Fault(key=name, what=f"This is {kind_of(rows)}.", remedy=remedy))
                continue
            if len(rows) > most:
                count = f"There are {len(rows)} {what}."
                faults.append(Fault(key=name, what=count, remedy=f"Write {most} at most."))
            texts = (
                _clean_text(text, f"{name}[{number}]", faults)
                for number, text in enumerate(rows[:most], 1)
            )
            put(name, tuple(texts))
        if self.minutes is not None and not is_whole(self.minutes, 1, 1440):
            kind = "no time for a class" if is_whole(self.minutes) else kind_of(self.minutes)
            remedy = "Write a whole number of minutes, 1 to 1440, without quotes: minutes = 90."
            faults.append(Fault(key="minutes", what=f"This is {kind}.", remedy=remedy))
        if not isinstance(self.card, Card):
            what = f"This is {kind_of(self.card)}, not a card."
            faults.append(Fault(key="card", what=what, remedy="Give a Card."))
        else:
            if len(self.card.tiers) > MOST_TIERS:
                what = f"There are {len(self.card.tiers)} tiers."
                faults.append(Fault(key="tier", what=what, remedy=f"Write {MOST_TIERS} at most."))
            for name in ("layer", "ornament"):
                count = len(getattr(self.card, f"{name}s"))
                if count > MOST_ROWS:
                    what = f"There are {count} {name}s."
                    faults.append(Fault(key=name, what=what, remedy=f"Write {MOST_ROWS} at most."))
            try:
                put("ruler", self.card.grid if self.ruler is None else as_grid(self.ruler))
            except LengthError as fault:
                faults.append(length_fault("ruler", fault))
        if faults:
            raise RecipeError(faults)


def _clean_text(text: object, key: str, faults: list[Fault]) -> object:
    """The text as a recipe keeps it; a fault goes on the list."""
    kind = key.partition("[")[0]
    fault = text_fault(text, key, _LIMITS[kind], empty=kind in ("series", "notes", "envelope"))
    if fault is not None:
        faults.append(fault)
        return text
    if kind == "notes":
        return "\n".join(line.rstrip() for line in text.splitlines()).strip()
    return " ".join(text.split())


# Reading ------------------------------------------------------------------------

_PLAIN = ("title", "series", "notes", "minutes", "ruler", "steps", "envelope", "post")


def read_recipe(text: str, name: str = "recipe") -> Recipe:
    """The recipe in a TOML text.

    name  what messages call it
    Raises: RecipeError with every fault of the text.
    """
    if not isinstance(text, str):
        what = f"This is {kind_of(text)}."
        raise RecipeError([Fault(key="", what=what, remedy="Give the text of a recipe.")], name)
    document = read_toml(text, lists=LIST_SECTIONS)
    reader = SectionReader(document, _PLAIN)
    recipe = _recipe(reader) if document.values is not None else None
    if reader.faults:
        by_line = sorted(dict.fromkeys(reader.faults), key=lambda fault: fault.line or 0)
        raise RecipeError(by_line, name)
    return recipe


def _recipe(reader: SectionReader) -> Recipe | None:
    """The recipe in a document's values; its faults stay with the reader."""
    values = reader.outermost((*_PLAIN, *CARD_SECTIONS))
    plain = {key: values[key] for key in _PLAIN if key in values}
    if "title" not in plain:
        reader.missing("title", 'Write title = "…" at the top of the file.')
        plain["title"] = "-"
    if "ruler" in plain:
        plain["ruler"] = _ruler(reader, plain["ruler"])
    try:
        return Recipe(card=reader.card(), **plain)
    except RecipeError as error:
        for fault in error.faults:
            reader.add(fault)
        return None


def _ruler(reader: SectionReader, value: object) -> Grid | None:
    step = reader.length(value, "ruler")
    try:
        return None if step is None else Grid(step)
    except LengthError as fault:
        reader.fault("ruler", f"{quoted(value)} {fault.why}.", f"{fault.hint}.")
        return None


# Files --------------------------------------------------------------------------


def recipe_files(folder: str | os.PathLike) -> tuple[Path, ...]:
    """The recipe files of a folder, by name. Raises: RecipeError if there is no such folder."""
    folder = Path(folder)
    try:
        return tuple(sorted(path for path in folder.iterdir() if path.suffix == ".toml"))
    except (OSError, ValueError):
        what, remedy = "This is no folder that can be read.", "Look at its name."
        raise RecipeError([Fault(key="", what=what, remedy=remedy)], folder.name) from None


def load_recipe(path: str | os.PathLike) -> Recipe:
    """The recipe in a TOML file.

    Raises: RecipeError with every fault of the file, also where there is no such file.
    """
    path = Path(path)
    return read_recipe(read_text(path, LARGEST_FILE, RecipeError), path.name)


def recipe_text(recipe: Recipe) -> str:
    """The recipe as TOML text, proved to read back as the same recipe.

    Raises: RecipeError if part of it cannot be written so, as with a length of 60 figures.
    """
    given = {key: getattr(recipe, key) for key in _PLAIN}
    given["ruler"] = written(recipe.ruler.step)
    values = {key: value for key, value in given.items() if value} | card_sections(recipe.card)
    text = "# A popkit recipe. Every length stands in quotes, with its unit.\n" + write_toml(values)
    trouble = "cannot be written as a file"
    try:
        same = read_recipe(text) == recipe
    except RecipeError as error:
        faults = (replace(fault, line=None) for fault in error.faults)
        raise RecipeError(faults, recipe.title, trouble) from None
    if not same:
        fault = Fault(key="", what="It does not read back as it was.", remedy="Choose rounder sizes.")
        raise RecipeError([fault], recipe.title, trouble)
    return text


def save_recipe(recipe: Recipe, path: str | os.PathLike, *, overwrite: bool = False) -> Path:
    """Write the recipe to a TOML file, whole or not at all.

    overwrite  True to write over a file of that name
    Returns: the path.
    Raises: RecipeError if the file exists, or cannot be written there.
    """
    return save_text(recipe_text(recipe), path, RecipeError, overwrite=overwrite)
