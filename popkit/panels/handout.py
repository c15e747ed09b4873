"""The handout panel: choose recipes, an edition and a reader, see the pages, print one or the class.

Imports: language, regridding, recipe, roster, classplan, handoutbench, workbench, handout, and
background, pages, parts, places and typed. ipywidgets.
It works out nothing itself: `handoutbench` reads what was typed, `handout` prints, a class in a thread
beside the page.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from importlib.resources import files
from pathlib import Path

import ipywidgets as widgets

from popkit.classplan.order import PlanError
from popkit.handout import (
    CUT_FORMS,
    EDITIONS,
    PAPERS,
    ClassProgress,
    HandoutError,
    preview_pages,
    write_cut_files,
    write_handout,
)
from popkit.handoutbench import HandoutAsked, HandoutForm, printed_class, read_form
from popkit.language import LANGUAGES
from popkit.panels.background import Background
from popkit.panels.pages import embedded
from popkit.panels.parts import (
    Quiet,
    beside,
    button,
    choice,
    group,
    said,
    style_sheet,
    text_box,
    tick,
    words,
)
from popkit.panels.places import recipe_choices, recipes_in, rosters_in
from popkit.panels.typed import Fold, Typed
from popkit.recipe import Recipe, RecipeError, load_recipe
from popkit.regridding import RegridError
from popkit.roster import text_to_mend
from popkit.workbench import RULERS, NameFault, file_stem

__all__ = ["HandoutPanel"]

_OWN = "as in the recipe"
_PPI = 72
_CLASS = "class"  # folder of a class where none was named


@cache
def _css() -> str:
    return files("popkit.panels").joinpath("handout.css").read_text(encoding="utf-8")


class HandoutPanel(widgets.VBox):
    """Choose what to print, see its pages, print it for one or for the class.

    recipes  folder of recipe files
    folder   that handouts are written to
    chosen   names of the recipes to begin with; unless given, the first
    rosters  folder of roster files (CSV)
    roster   name of a roster in it to begin with, or ""
    written  paths of what was printed last
    """

    def __init__(
        self,
        recipes: str | Path = "recipes",
        folder: str | Path = "../handouts",
        chosen: tuple[str, ...] = (),
        *,
        rosters: str | Path = "rosters",
        roster: str = "",
    ) -> None:
        self._recipe_folder, self._folder = Path(recipes), Path(folder)
        self._quiet, self._background = Quiet(), Background()
        self.written: tuple[Path, ...] = ()
        self._pages: list[bytes] = []
        self._faults: list[str] = []
        self._made: list[str] = []
        self._class_made: list[str] = []
        self._class_faults: list[str] = []
        self._remarks: tuple[str, ...] = ()
        self._told: ClassProgress | None = None
        self._asked: HandoutAsked | None = None
        try:
            self._files = recipes_in(recipes)
        except RecipeError as error:
            self._files, self._faults = {}, [fault.what for fault in error.faults]
        self._rosters = rosters_in(rosters)
        self._make_inputs(chosen)
        self._make_class(roster)
        shown = group("Pages", [self.pages], "pages-group")
        own = widgets.HTML(f"<style>{_css()}</style>")
        own.add_class("popkit-style")
        super().__init__([style_sheet(), own, beside([self._input_groups(), shown], "popkit-work")])
        self.add_class("popkit-panel")
        self.add_class("popkit-handout")
        if roster:
            self._choose_roster(roster)
        self._update()

    def wait(self) -> None:
        """Until the class is printed; an interrupt stops it."""
        self._background.wait()

    # Inputs -----------------------------------------------------------------------

    def _make_inputs(self, chosen: tuple[str, ...]) -> None:
        names = tuple(self._files)
        known = tuple(name for name in chosen if name in names) or names[:1]
        self._faults += [f"There is no recipe {name!r} here." for name in chosen if name not in names]
        self.recipes = widgets.SelectMultiple(
            options=recipe_choices(self._files),
            value=known,
            rows=min(10, max(3, len(names))),
            description="Recipes",
            tooltip="Recipes to print",
            style={"description_width": "10.5em"},
        )
        self.recipes.add_class("popkit-input")
        self.recipes.add_class("popkit-recipes")
        self.recipes_hint = words("popkit-hint")
        self.recipes_hint.value = said("Hold Ctrl or Shift to choose more than one.")
        editions = [(one.title, one.name) for one in EDITIONS.values()]
        self.edition = choice("Edition", "edition", editions)
        self.edition_hint = words("popkit-hint", "popkit-edition-hint")
        self.seed = Typed(
            "Worksheet", "seed", hint="1", tip="Number of the worksheet: the same makes the same sums"
        )
        self.minutes = Typed(
            "Minutes", "minutes", hint="as in the recipe", tip="Minutes for all steps, or for each"
        )
        self.students = Typed(
            "Plan for",
            "students",
            hint="no plan; or 24 students",
            tip="Students in the class, whose kits and cuts are planned at the end, as in 24",
        )
        self.across = Typed(
            "Bar across measures",
            "across",
            hint="true; or 98.5 mm, 3 15/16 in",
            tip="What your ruler shows on the bar across the paper, as in 98.5 mm",
        )
        self.along = Typed(
            "Bar along measures",
            "along",
            hint="true; or 99.2 mm",
            tip="What your ruler shows on the bar along the paper, as in 99.2 mm",
        )
        self.name = text_box("Name on the handout", "name", "", "leave empty for none")
        languages = [(one.title, code) for code, one in LANGUAGES.items()]
        self.language = choice("Language", "language", languages)
        self.paper = choice("Paper", "paper", PAPERS)
        rulers = [str(ruler) for unit in RULERS.values() for ruler in unit]
        self.ruler = choice("Sizes on a ruler of", "handout-ruler", [_OWN, *rulers])
        self.large = tick("Large print", "large")
        self.subfolder = text_box("Folder inside handouts", "folder", "", "leave empty for none")
        self.print = button("Print the handouts", "print", self._print)
        self.result = words("popkit-printed")
        self.cut_form = choice("Form", "cut-form", [(form.upper(), form) for form in CUT_FORMS])
        self.cut = button(
            "Write the cutting files", "cut-files", self._write_cut, "One file for each piece"
        )
        self.cut_result = words("popkit-cut-written")
        self.pages = words("popkit-pages-shown")
        rows = (self.seed, self.minutes, self.students, self.across, self.along)
        typed = [row.box for row in rows]
        chosen_ = (self.recipes, self.edition, self.language, self.paper, self.ruler, self.large)
        for part in (*chosen_, self.name, *typed):
            part.observe(lambda _: self._quiet or self._update(), "value")
        self.subfolder.observe(lambda _: self._show(), "value")

    def _make_class(self, roster: str) -> None:
        names = [("typed or pasted below", ""), *((name, name) for name in self._rosters)]
        self.roster_file = choice(
            "Roster", "roster-file", names, roster if roster in self._rosters else ""
        )
        self.roster = Typed(
            "Students",
            "roster",
            hint="name,card,unit,large print",
            tip="Roster: a line of headings, then one student to a line",
            rows=8,
        )
        self.roster_remarks = words("popkit-hint", "popkit-roster-remarks")
        self.two_sided = tick("Both sides of the paper are printed", "two-sided")
        self.print_class = button("Print the class", "print-class", self._print_class)
        self.stop = button("Stop", "stop-class", self._stop, "Stop after the handout under way")
        self.class_state = words("popkit-class-printing")
        self.roster_file.observe(
            lambda change: self._quiet or (self._choose_roster(change["new"]), self._update_class()),
            "value",
        )
        self.roster.box.observe(lambda _: self._quiet or self._retyped(), "value")

    def _input_groups(self) -> widgets.VBox:
        self._class_fold = Fold(
            "The class",
            [
                self.roster_file,
                self.roster,
                self.roster_remarks,
                self.two_sided,
                beside([self.print_class, self.stop]),
                self.class_state,
            ],
            "roster-group",
        )
        asked = widgets.VBox(
            [
                group(
                    "What to print",
                    [
                        self.recipes,
                        self.recipes_hint,
                        self.edition,
                        self.edition_hint,
                        self.seed,
                        self.minutes,
                        self.students,
                        self.across,
                        self.along,
                    ],
                    "choose-group",
                ),
                group(
                    "For whom, on what",
                    [
                        self.name,
                        self.language,
                        self.paper,
                        self.ruler,
                        self.large,
                        self.subfolder,
                        self.print,
                        self.result,
                    ],
                    "print-group",
                ),
                self._class_fold,
                Fold(
                    "Files for a cutting machine",
                    [self.cut_form, self.cut, self.cut_result],
                    "cutting-group",
                    unfolded=False,
                ),
            ]
        )
        asked.add_class("popkit-controls")
        return asked

    def _choose_roster(self, name: str) -> None:
        """Put the text of a roster file into the box; one with faults as it stands."""
        self._remarks = ()
        path = self._rosters.get(name)
        if path is None:
            if name:
                self._class_faults = [f"There is no roster {name!r} here."]
            return
        text, self._remarks = text_to_mend(path)
        with self._quiet():
            self.roster.box.value = text

    def _retyped(self) -> None:
        self._remarks = ()
        with self._quiet():
            self.roster_file.value = ""
        self._update_class()

    # What is asked ----------------------------------------------------------------

    def _read(self, roster: str | None = None) -> HandoutAsked:
        form = HandoutForm(
            edition=self.edition.value,
            language=self.language.value,
            paper=self.paper.value,
            grid=None if self.ruler.value == _OWN else self.ruler.value,
            large_print=self.large.value,
            name=self.name.value,
            seed=self.seed.box.value,
            minutes=self.minutes.box.value,
            students=self.students.box.value,
            across=self.across.box.value,
            along=self.along.box.value,
            roster=roster,
            two_sided=self.two_sided.value,
        )
        return read_form(form, self._loaded() if roster is not None else None)

    def _loaded(self) -> dict[str, Recipe]:
        """Every recipe that can be read, for a roster to name; the one chosen alone if it names none."""
        found = {}
        for name, path in self._files.items():
            try:
                found[name] = load_recipe(path)
            except RecipeError:
                continue  # told where it is chosen
        return found

    def _each(self, act: Callable[[str, Recipe], None], names: tuple[str, ...]) -> None:
        """Do something with each recipe; what goes wrong is kept, and the rest is still done."""
        for name in names:
            try:
                act(name, load_recipe(self._files[name]))
            except RecipeError as error:
                self._faults += [error.heading, *map(str, error.faults)]
            except (HandoutError, PlanError) as error:
                self._faults += [f"{name}: {fault}" for fault in error.faults]
            except RegridError as error:
                self._faults.append(f"{name}: This card cannot be made on that ruler. {error}")

    def _update(self) -> None:
        """Show the pages of the first recipe chosen, as they would be printed."""
        self.written, self._pages, self._faults, self._made = (), [], [], []
        self.cut_result.value = ""
        asked = self._asked = self._read()
        self._show_inputs(asked)
        if not self.recipes.value:
            self._faults = ["No recipe is chosen. Choose one or more from the list."]

        def page(_: str, recipe: Recipe) -> None:
            self._pages = preview_pages(recipe, **asked.how_for(recipe), ppi=_PPI)

        if not asked.wrong:
            self._each(page, self.recipes.value[:1])
        self.pages.value = "".join(
            f"<figure>{embedded(data, 'image/png', f'Page {number} of the handout', '100%')}"
            f"<figcaption>Page {number} of {len(self._pages)}</figcaption></figure>"
            for number, data in enumerate(self._pages, 1)
        )
        self._show()

    def _show_inputs(self, asked: HandoutAsked) -> None:
        """Only the boxes that the edition has a place for, each with what is wrong in it."""
        edition = asked.edition
        self.edition_hint.value = said(f"{edition.what[:1].upper()}{edition.what[1:]}.")
        alone = edition.seeds is None
        several = "1; or 1 to 24" if alone else "1"
        self.seed.box.placeholder = several if edition.unseeded is not None else "none; or 1 to 24"
        shown = {
            "seed": (self.seed, edition.seeds != 0),
            "minutes": (self.minutes, edition.tutors),
            "students": (self.students, edition.tutors),
            "across": (self.across, edition.true_size),
            "along": (self.along, edition.true_size),
        }
        for box, (part, there) in shown.items():
            part.layout.display = None if there else "none"
            part.say(asked.faults.get(box, ()))
        self._class_fold.layout.display = "none" if alone else None

    def _target(self, usual: str = "") -> Path:
        """The folder to write to, made if it is new. Raises: NameFault."""
        inner = self.subfolder.value.strip() or usual
        folder = self._folder / file_stem(inner) if inner else self._folder
        try:
            folder.mkdir(exist_ok=True)
        except OSError:
            raise NameFault("That folder cannot be made. Choose another name for it.") from None
        return folder

    # Printing ---------------------------------------------------------------------

    def _print(self) -> None:
        """Write a handout for every recipe chosen."""
        self._update()
        asked = self._asked
        if asked.wrong:
            self._faults.append("Nothing was printed. Look at the boxes that say what is wrong.")
            return self._show()
        try:
            folder = self._target()
        except NameFault as fault:
            self._faults.append(str(fault))
            return self._show()
        written = []

        def write(name: str, recipe: Recipe) -> None:
            path = folder / f"{asked.file_name(name)}.pdf"
            written.append(write_handout(recipe, path, **asked.how_for(recipe)))

        self._faults = [] if self.recipes.value else self._faults
        self._each(write, self.recipes.value)
        self.written = tuple(written)
        self._made = [f"Printed {path.name} in {folder.name}." for path in written]
        return self._show()

    def _write_cut(self) -> None:
        """Write a file for each piece of every recipe chosen."""
        self._faults = []
        try:
            folder = self._target()
        except NameFault as fault:
            self.cut_result.value = said(str(fault), "popkit-wrong", role="alert")
            return
        done: list[str] = []

        def write(_: str, recipe: Recipe) -> None:
            paths = write_cut_files(recipe, folder, self.cut_form.value)
            done.extend(f"Written: {path.name} in {folder.name}." for path in paths)

        self._each(write, self.recipes.value)
        self.cut_result.value = "".join(said(one, "popkit-done", role="status") for one in done)
        self.cut_result.value += "".join(said(one, "popkit-wrong", role="alert") for one in self._faults)

    # The class --------------------------------------------------------------------

    def _update_class(self) -> HandoutAsked:
        """Read the roster, and say beside it what is wrong."""
        self._class_made = []
        asked = self._read(self.roster.box.value)
        with self._quiet():
            self.roster.say(asked.faults.get("roster", ()))
        self._class_faults = []
        self._show_class()
        return asked

    def _print_class(self) -> None:
        """Write a handout for everybody on the roster, beside the page."""
        asked = self._update_class()
        if asked.faults:
            where = "the roster" if "roster" in asked.faults else "the boxes"
            self._class_faults = [f"Nothing was printed. Look at what {where} says is wrong."]
            return self._show_class()
        try:
            folder = self._target(_CLASS)
        except NameFault as fault:
            self._class_faults = [str(fault)]
            return self._show_class()
        recipes = self._loaded()
        self._told, self.written = None, ()
        self._background.start(
            lambda tell, stop: printed_class(asked, recipes, folder, tell, stop),
            self._hear,
            lambda paths, error: self._done(folder, paths, error),
        )
        return self._show_class()

    def _stop(self) -> None:
        self._background.stop()
        self._show_class()

    def _hear(self, news: ClassProgress) -> None:
        """How far the class has come."""
        self._told = news
        self._show_class()

    def _done(self, folder: Path, paths: list[Path] | None, error: Exception | None) -> None:
        if isinstance(error, HandoutError):
            self._class_faults = list(error.faults)
        elif error is not None:
            kind = type(error).__name__
            self._class_faults = [f"popkit could not print this, which is its own fault ({kind})."]
        else:
            self.written = tuple(paths)
            whole = self._told is not None and len(paths) == self._told.of
            merged = next((path.name for path in paths if path.name.startswith("class-")), "")
            count = f"{len(paths)} file{'s' * (len(paths) != 1)}"
            self._class_made = (
                [f"Printed {count} in {folder.name}. All in one: {merged}."]
                if whole
                else [f"Stopped: {count} in {folder.name}. Print the class again to go on."]
            )
        self._show_class()

    def _show_class(self) -> None:
        """Busy, done or wrong, in words; Stop only while there is something to stop."""
        busy = self._background.busy
        text = ""
        if busy and self._background.stopping:
            text = said("Stopping after this handout.", "popkit-notice-words", role="status")
        elif busy and self._told is None:
            text = said("Beginning to print.", "popkit-notice-words", role="status")
        elif busy:
            told = self._told
            text = said(f"{told.text()}.", "popkit-notice-words", role="status")
            text += (
                f'<progress value="{told.done}" max="{told.of}" aria-label="Files printed"></progress>'
            )
        text += "".join(said(one, "popkit-done", role="status") for one in self._class_made)
        text += "".join(said(one, "popkit-wrong", role="alert") for one in self._class_faults)
        self.class_state.value = text
        self.stop.layout.display = None if busy else "none"
        self.stop.disabled = self._background.stopping
        self.print_class.disabled = busy
        self.roster_remarks.value = "".join(said(one, "popkit-caution-words") for one in self._remarks)

    def _show(self) -> None:
        self.result.value = "".join(said(text, "popkit-done", role="status") for text in self._made)
        self.result.value += "".join(said(text, "popkit-wrong", role="alert") for text in self._faults)
        self._show_class()

    # As text and as a still picture -----------------------------------------------

    def __repr__(self) -> str:
        chosen = ", ".join(self.recipes.value) or "nothing"
        edition = self.edition.value
        lines = [
            f"To print: {chosen}, {edition} edition, on {self.paper.value}"
            f"{', large print' * self.large.value}."
        ]
        if self._pages:
            count = len(self._pages)
            lines.append(f"The first has {count} page{'s' * (count != 1)}.")
        for box, reasons in (self._asked.faults if self._asked else {}).items():
            lines += [f"{box}: {why}" for why in reasons]
        return "\n".join([*lines, *self._made, *self._faults, *self._class_made, *self._class_faults])

    def _repr_mimebundle_(self, **_: object) -> dict[str, object]:
        live = super()._repr_mimebundle_() or {}
        alt = "First page of the handout"
        still = {"text/html": embedded(self._pages[0], "image/png", alt)} if self._pages else {}
        return {**live, "text/plain": repr(self), **still}
