"""The handout panel: choose recipes, a paper and a reader, see the pages, print them.

Imports: recipe, workbench, handout, and parts. ipywidgets.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable
from pathlib import Path

import ipywidgets as widgets

from popkit.handout import PAPERS, HandoutError, preview_pages, write_handout
from popkit.panels.pages import embedded
from popkit.panels.parts import beside, button, choice, group, said, style_sheet, text_box, tick, words
from popkit.recipe import Recipe, RecipeError, load_recipe, recipe_files
from popkit.workbench import RULERS, NameFault, file_stem, handout_stem

__all__ = ["HandoutPanel"]

_OWN = "as in the recipe"
_PPI = 72


class HandoutPanel(widgets.VBox):
    """Choose what to print, see its pages, print it.

    recipes  folder of recipe files
    folder   that handouts are written to
    chosen   names of the recipes to begin with; unless given, the first
    written  paths of what was printed last
    """

    def __init__(
        self,
        recipes: str | Path = "recipes",
        folder: str | Path = "../handouts",
        chosen: tuple[str, ...] = (),
    ) -> None:
        self._recipe_folder, self._folder = Path(recipes), Path(folder)
        self.written: tuple[Path, ...] = ()
        self._pages: list[bytes] = []
        self._faults: list[str] = []
        self._made: list[str] = []
        try:
            self._files = {path.stem: path for path in recipe_files(recipes)}
        except RecipeError as error:
            self._files, self._faults = {}, [fault.what for fault in error.faults]
        self._make_inputs(chosen)
        asked = widgets.VBox(
            [
                group("What to print", [self.recipes, self.recipes_hint], "choose-group"),
                group(
                    "For whom, on what",
                    [self.name, self.paper, self.ruler, self.large, self.subfolder, self.print],
                    "print-group",
                ),
                self.result,
            ]
        )
        asked.add_class("popkit-controls")
        shown = group("Pages", [self.pages], "pages-group")
        super().__init__([style_sheet(), beside([asked, shown], "popkit-work")])
        self.add_class("popkit-panel")
        self.add_class("popkit-handout")
        self._update()

    def _make_inputs(self, chosen: tuple[str, ...]) -> None:
        names = tuple(self._files)
        known = tuple(name for name in chosen if name in names) or names[:1]
        self._faults += [f"There is no recipe {name!r} here." for name in chosen if name not in names]
        self.recipes = widgets.SelectMultiple(
            options=names,
            value=known,
            rows=min(10, max(3, len(names))),
            description="Recipes",
            tooltip="Recipes to print",
            style={"description_width": "11.5em"},
        )
        self.recipes.add_class("popkit-input")
        self.recipes.add_class("popkit-recipes")
        self.recipes_hint = words("popkit-hint")
        self.recipes_hint.value = said("Hold Ctrl or Shift to choose more than one.")
        self.name = text_box("Name on the handout", "name", "", "leave empty for none")
        self.paper = choice("Paper", "paper", PAPERS)
        rulers = [str(ruler) for unit in RULERS.values() for ruler in unit]
        self.ruler = choice("Sizes on a ruler of", "handout-ruler", [_OWN, *rulers])
        self.large = tick("Large print", "large")
        self.subfolder = text_box("Folder inside handouts", "folder", "", "leave empty for none")
        self.print = button("Print the handouts", "print", self._print)
        self.result = words("popkit-printed")
        self.pages = words("popkit-pages-shown")
        for part in (self.recipes, self.name, self.paper, self.ruler, self.large):
            part.observe(lambda _: self._update(), "value")
        self.subfolder.observe(lambda _: self._show(), "value")

    # What is asked ----------------------------------------------------------------

    def _how(self) -> dict[str, object]:
        """The choices as `write_handout` takes them."""
        return {
            "paper": self.paper.value,
            "grid": None if self.ruler.value == _OWN else self.ruler.value,
            "large_print": self.large.value,
            "name": self.name.value.strip() or None,
        }

    def _each(self, act: Callable[[str, Recipe], None], names: tuple[str, ...]) -> None:
        """Do something with each recipe; what goes wrong is kept, and the rest is still done."""
        for name in names:
            try:
                act(name, load_recipe(self._files[name]))
            except RecipeError as error:
                self._faults += [error.heading, *map(str, error.faults)]
            except HandoutError as error:
                self._faults += [f"{name}: {fault}" for fault in error.faults]

    def _update(self) -> None:
        """Show the pages of the first recipe chosen, as they would be printed."""
        self.written, self._pages, self._faults, self._made = (), [], [], []
        if not self.recipes.value:
            self._faults = ["No recipe is chosen. Choose one or more from the list."]

        def page(_: str, recipe: Recipe) -> None:
            self._pages = preview_pages(recipe, **self._how(), ppi=_PPI)

        self._each(page, self.recipes.value[:1])
        self.pages.value = "".join(
            f"<figure>{embedded(data, 'image/png', f'Page {number} of the handout', '100%')}"
            f"<figcaption>Page {number} of {len(self._pages)}</figcaption></figure>"
            for number, data in enumerate(self._pages, 1)
        )
        self._show()

    def _target(self) -> Path:
        """The folder to write to, made if it is new. Raises: NameFault."""
        inner = self.subfolder.value.strip()
        folder = self._folder / file_stem(inner) if inner else self._folder
        try:
            folder.mkdir(exist_ok=True)
        except OSError:
            raise NameFault("That folder cannot be made. Choose another name for it.") from None
        return folder

    def _print(self) -> None:
        """Write a handout for every recipe chosen."""
        self._update()
        try:
            folder = self._target()
        except NameFault as fault:
            self._faults.append(str(fault))
            return self._show()
        written = []

        def write(name: str, recipe: Recipe) -> None:
            how = self._how()
            path = folder / f"{handout_stem(name, **how)}.pdf"
            written.append(write_handout(recipe, path, **how))

        self._faults = [] if self.recipes.value else self._faults
        self._each(write, self.recipes.value)
        self.written = tuple(written)
        self._made = [f"Printed {path.name} in {folder.name}." for path in written]
        return self._show()

    def _show(self) -> None:
        self.result.value = "".join(said(text, "popkit-done", role="status") for text in self._made)
        self.result.value += "".join(said(text, "popkit-wrong", role="alert") for text in self._faults)

    # As text and as a still picture -----------------------------------------------

    def __repr__(self) -> str:
        chosen = ", ".join(self.recipes.value) or "nothing"
        lines = [f"To print: {chosen}, on {self.paper.value}{', large print' * self.large.value}."]
        if self._pages:
            count = len(self._pages)
            lines.append(f"The first has {count} page{'s' * (count != 1)}.")
        return "\n".join([*lines, *self._made, *self._faults])

    def _repr_mimebundle_(self, **_: object) -> dict[str, object]:
        live = super()._repr_mimebundle_() or {}
        still = {"image/png": b64encode(self._pages[0]).decode("ascii")} if self._pages else {}
        return {**live, "text/plain": repr(self), **still}
