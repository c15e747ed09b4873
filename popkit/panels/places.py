"""Where notebooks find recipes and rosters, and leave handouts.

Imports: recipe.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path

from popkit.recipe import RecipeError, load_recipe, recipe_files

__all__ = ["handout_folder", "recipe_choices", "recipes_in", "rosters_in"]


def handout_folder(given: str | os.PathLike = "../handouts") -> Path:
    """The folder that handouts go into, made if it is missing.

    given  from the notebook's parameters
    The environment variable POPKIT_HANDOUTS goes before it, so that a notebook can be run
    from top to bottom without touching the printed samples.
    """
    folder = Path(os.environ.get("POPKIT_HANDOUTS") or given)
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def recipes_in(folder: str | os.PathLike) -> dict[str, Path]:
    """{name of the file without its ending: path}. Raises: RecipeError if there is no such folder."""
    return {path.stem: path for path in recipe_files(folder)}


def rosters_in(folder: str | os.PathLike) -> dict[str, Path]:
    """{name of the file without its ending: path}; none where there is no such folder."""
    folder = Path(folder)
    return {path.stem: path for path in sorted(folder.glob("*.csv"))} if folder.is_dir() else {}


def recipe_choices(files: Mapping[str, Path]) -> tuple[tuple[str, str], ...]:
    """What a list calls each recipe, its title, and the name of its file.

    Where two have one title the names of their files tell them apart; a recipe with faults goes by
    the name of its file, and choosing it shows them.
    """
    titles = {name: _title(path, _state(path)) for name, path in files.items()}
    alike = Counter(titles.values())
    return tuple(
        (f"{name} (has faults)" if title is None else title + f" ({name})" * (alike[title] > 1), name)
        for name, title in titles.items()
    )


def _state(path: Path) -> tuple[int, ...]:
    try:
        found = path.stat()
    except OSError:
        return ()
    return found.st_mtime_ns, found.st_size


@lru_cache(maxsize=1024)  # a panel asks for all of them again whenever one was saved
def _title(path: Path, _: tuple[int, ...]) -> str | None:
    try:
        return load_recipe(path).title
    except RecipeError:
        return None
