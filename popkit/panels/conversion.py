"""The conversion panel: an instruction text or a recipe on another ruler, its mechanism whole.

Imports: lengths, card, regridding, wording, converting, recipe, workbench, drawing, handout, and
pages, parts and places. ipywidgets.
It holds a `converting.Conversion`, made anew for every change, and works out nothing itself.
Whatever a person typed is escaped on its way into the page.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import cache, partial
from importlib.resources import files
from itertools import count
from pathlib import Path

import ipywidgets as widgets

from popkit.converting import (
    Conversion,
    Stretch,
    converted_card,
    converted_text,
    jam_angle,
    signed,
    title_in,
)
from popkit.drawing import describe_side, draw_side
from popkit.folding import FoldError
from popkit.handout import PAPERS, HandoutError, write_handout
from popkit.handout.files import write_whole
from popkit.lengths import Grid, quoted, show_exact
from popkit.panels.charts import Chart
from popkit.panels.pages import Picture, embedded
from popkit.panels.parts import (
    Quiet,
    beside,
    button,
    choice,
    group,
    paragraphs,
    said,
    style_sheet,
    text_box,
    tick,
    words,
)
from popkit.panels.places import recipe_choices, recipes_in
from popkit.recipe import Recipe, RecipeError, load_recipe, save_recipe
from popkit.wording import Found, rewrite
from popkit.workbench import NameFault, file_stem

__all__ = ["RULERS", "ConversionPanel", "Shifts", "side_views"]

RULERS = tuple(map(Grid, ("1 mm", "0.5 mm", "2 mm", "5 mm", "1/16 in", "1/8 in", "1/4 in")))
"""The rulers to choose from."""

_PANELS = count(1)
_MOST = 100_000  # characters; a whole book of instructions has fewer
_FLAT = 180
_PASTED = "a text, pasted below"
_CHOICES = {"in": "inches", "mm": "millimetres", "length": "a length", "leave": "left as it is"}
_BUTTONS = {"in": "Inches", "mm": "Millimetres", "length": "A length", "leave": "Leave it"}


@cache
def _css() -> str:
    return files("popkit.panels").joinpath("conversion.css").read_text(encoding="utf-8")


def own_style() -> widgets.HTML:
    """The style sheet of the conversion and the lesson panel, beside that of all panels."""
    sheet = widgets.HTML(f"<style>{_css()}</style>")
    sheet.add_class("popkit-style")
    return sheet


class Shifts(Chart):
    """The chart of `drawing.charts.draw_shifts` as a notebook shows it."""

    def __init__(self, conversion: Conversion) -> None:
        from popkit.drawing.charts import describe_shifts, draw_shifts  # loads matplotlib

        super().__init__(
            describe_shifts(conversion),
            (lambda ax: draw_shifts(ax, conversion),),
            (8, 1.7 + 0.27 * len(conversion.rows)),
        )


def side_views(conversion: Conversion, prefix: str = "") -> tuple[tuple[str, Picture], ...]:
    """The careless card and the restated one at the opening where the careless one jams, and the
    restated one flat: a caption and a picture each. None where there is no card."""
    naive, restated = conversion.naive, conversion.regridded
    angle = None if naive is None else jam_angle(naive)
    asked = []
    if naive is not None and naive.card is not None and angle is not None:
        stops = f"stops at {angle:.0f}°" if angle < _FLAT else "opens flat"
        asked.append((f"Number by number: {stops}", naive.card, angle, naive.slips))
    if restated is not None:
        if angle is not None and angle < _FLAT:
            asked.append((f"Restated as a card: {angle:.0f}° as well", restated.card, angle, {}))
        asked.append(("Restated as a card: flat", restated.card, _FLAT, {}))
    made = []
    for number, (caption, card, at, slips) in enumerate(asked):
        grids = (conversion.grid, conversion.card.grid)
        how = {"slips": slips}
        if grids[0].unit != grids[1].unit:
            how["grids"] = grids
        try:
            svg = draw_side(card, at, prefix=f"{prefix}view{number}-", **how)
            made.append((caption, Picture(svg, f"{caption}. {describe_side(card, at, **how)}")))
        except FoldError as fault:
            made.append((f"{caption}. It cannot be drawn: {fault}", None))
    return tuple(made)


class ConversionPanel(widgets.VBox):
    """Put an instruction text or a recipe on another ruler, see what changed and why, keep it.

    text     to begin with
    recipes  folder that recipes are read from and saved in
    folder   that texts and handouts are written to
    ruler    to begin with, one of `RULERS`
    recipe   name of a recipe to begin with instead of the text
    conversion  the `Conversion` as it stands, or None where nothing can be made of the input
    """

    def __init__(
        self,
        text: str = "",
        recipes: str | Path = "recipes",
        folder: str | Path = "../handouts",
        ruler: Grid | str = "1 mm",
        recipe: str = "",
    ) -> None:
        self._quiet = Quiet()
        self._prefix = f"conversion{next(_PANELS)}-"
        self._recipe_folder, self._folder = Path(recipes), Path(folder)
        self._decisions: dict[int, str] = {}
        self._recipe: Recipe | None = None
        self._outcome, self._wrong = "", ""
        self._title_typed = False
        self.conversion: Conversion | None = None
        self._files = self._found()
        known = recipe if recipe in self._files else ""
        self._make_inputs(text, ruler if isinstance(ruler, Grid) else Grid(ruler), known)
        super().__init__(
            [
                style_sheet(),
                own_style(),
                group(
                    "What to restate",
                    [
                        beside([self.pick, self.ruler, self.bare], "popkit-conversion-choices"),
                        self.text,
                        beside([self.keep, self.convert], "popkit-conversion-go"),
                        self.problems,
                    ],
                    "conversion-input",
                ),
                self._doubts_group,
                group(
                    "Before and after",
                    [beside([self.original, self.restated], "popkit-sides"), self.table],
                    "sides-group",
                ),
                group("Does it still work?", [self.verdict, self.views], "verdict-group"),
                group("How far each mark moved", [self.shifts], "shifts-group"),
                group(
                    "Keep it",
                    [
                        beside([self.title, self.file, self.paper, self.overwrite]),
                        beside([self.save, self.save_text, self.print]),
                        self.saved,
                    ],
                    "conversion-saving",
                ),
            ]
        )
        self.add_class("popkit-panel")
        self.add_class("popkit-conversion")
        self._choose(known)
        if recipe != known:
            self._wrong = f"There is no recipe {quoted(recipe)} here."
            self._show_inputs()

    def _found(self) -> dict[str, Path]:
        try:
            return recipes_in(self._recipe_folder)
        except RecipeError:
            return {}

    def _recipe_options(self) -> list[tuple[str, str]]:
        return [(_PASTED, ""), *recipe_choices(self._files)]

    def _make_inputs(self, text: str, ruler: Grid, recipe: str) -> None:
        self.pick = choice("Restate", "conversion-recipe", self._recipe_options(), recipe)
        rulers = RULERS if ruler in RULERS else (ruler, *RULERS)
        self.ruler = choice(
            "On a ruler of", "conversion-ruler", [(str(one), one) for one in rulers], ruler
        )
        self.bare = choice(
            "Bare numbers are in", "conversion-bare", [("inches", "in"), ("millimetres", "mm")], "in"
        )
        self.text = widgets.Textarea(
            text,
            description="Instructions",
            placeholder="Paste the instructions here",
            tooltip="Instructions, as they were written or dictated",
            continuous_update=False,
            rows=12,
            style={"description_width": "10.5em"},
        )
        self.text.add_class("popkit-input")
        self.text.add_class("popkit-conversion-text")
        self.keep = tick("Keep the original in front of each new length", "conversion-keep")
        self.convert = button("Restate", "conversion-restate", self._update)
        self.problems = words("popkit-conversion-problems")
        self.doubts = widgets.VBox()
        self.doubts.add_class("popkit-doubts")
        self._doubts_group = group("For you to decide", [self.doubts], "doubts-group")
        self.original = words("popkit-side-by-side", "popkit-original")
        self.restated = words("popkit-side-by-side", "popkit-restated")
        self.table = words("popkit-rows")
        self.verdict = words("popkit-verdict")
        self.views = words("popkit-views")
        self.shifts = words("popkit-shifts")
        self.title = text_box("Title", "conversion-title", "", "what the card is called")
        self.file = text_box("File name", "conversion-file", "", "my-card")
        self.paper = choice("Paper for the handout", "conversion-paper", PAPERS)
        self.overwrite = tick("Write over a file of this name", "conversion-overwrite")
        self.save = button("Save as a recipe", "conversion-save", partial(self._keep, self._save_recipe))
        self.save_text = button(
            "Save the text", "conversion-save-text", partial(self._keep, self._save_text)
        )
        self.print = button("Print the handout", "conversion-print", partial(self._keep, self._print))
        self.saved = words("popkit-conversion-saved")
        self.text.observe(self._on(self._retyped), "value")
        self.pick.observe(self._on(self._choose), "value")
        self.title.observe(self._on(self._entitled), "value")
        for part in (self.ruler, self.bare, self.keep):
            part.observe(self._on(lambda _: self._update()), "value")

    def _on(self, act: Callable[[object], None]) -> Callable[[dict], None]:
        """An observer that ignores what the panel sets itself."""
        return lambda change: None if self._quiet else act(change["new"])

    # What inputs do ---------------------------------------------------------------

    def _retyped(self, _: object) -> None:
        """Another text: what was decided about places of the last one no longer holds."""
        self._decisions, self._title_typed = {}, False
        self._update()

    def _choose(self, name: str) -> None:
        self._wrong, self._recipe, self._title_typed = "", None, False
        if name:
            try:
                self._recipe = load_recipe(self._files[name])
            except RecipeError as error:
                self._wrong = "\n".join([error.heading, *map(str, error.faults)])
        self._update()

    def _entitled(self, _: object) -> None:
        self._title_typed = True

    def _decide(self, start: int, choice_: str | None) -> None:
        if choice_ is None:
            self._decisions.pop(start, None)
        else:
            self._decisions[start] = choice_
        self._update()
        self._focus_next(start)

    def _focus_next(self, start: int) -> None:
        """Keep the keyboard at the next place that waits, or at the first of what was decided."""
        rows = self.doubts.children
        waiting = [row for row in rows if row.start not in self._decisions]
        row = next((row for row in waiting if row.start > start), None) or (waiting or [*rows, None])[0]
        if row is not None:
            row.first.focus()

    # What is worked out, and shown ------------------------------------------------

    def _convert(self) -> None:
        self.conversion = None
        if self.pick.value:
            if self._recipe is not None:
                self.conversion = converted_card(self._recipe.card, self.ruler.value)
            return
        text = self.text.value
        if not text.strip():
            self._wrong = "There is no text yet. Paste the instructions, or choose a recipe."
        elif len(text) > _MOST:
            self._wrong = f"The text is longer than {_MOST:,} characters. Paste a part of it."
        else:
            try:
                self.conversion = converted_text(
                    text, self.ruler.value, self.bare.value, self._decisions, self.keep.value
                )
            except ValueError as fault:
                self._wrong = f"Nothing could be made of this text: {fault}"

    def _update(self) -> None:
        """Work everything out anew and show it."""
        if not self.pick.value:
            self._wrong = ""
        self._convert()
        self._outcome = self.saved.value = ""
        with self._quiet():
            self._show_inputs()
            self._show_sides()
            self._show_doubts()
            self._show_verdict()

    def _show_inputs(self) -> None:
        pasted = not self.pick.value
        for part in (self.text, self.bare, self.keep):
            part.layout.display = None if pasted else "none"
        if not self._title_typed:
            self.title.value = (
                self._recipe.title if self._recipe is not None else title_in(self.text.value)
            )
        faults = [self._wrong, *(self.conversion.faults if self.conversion is not None else ())]
        self.problems.value = "".join(
            said(line, "popkit-wrong", role="alert") for fault in faults for line in fault.splitlines()
        )

    def _show_sides(self) -> None:
        done = self.conversion
        if done is None:
            self.original.value = self.restated.value = self.table.value = ""
            return
        self.original.value = self._side("As it was", done.original, "was")
        self.restated.value = self._side(f"On a ruler of {done.grid}", done.restated, "is")
        self.table.value = self._rows(done)

    def _side(self, title: str, stretches: Iterable[Stretch], side: str) -> str:
        inside = "".join(self._marked(stretch, side) for stretch in stretches)
        return (
            f'<h4>{html.escape(title)}</h4><div class="popkit-text" role="region" tabindex="0" '
            f'aria-label="{html.escape(title, quote=True)}">{inside}</div>'
        )

    def _marked(self, stretch: Stretch, side: str) -> str:
        shown = html.escape(stretch.words)
        if stretch.place is not None:
            why = html.escape(f"To decide: {stretch.place.doubt}", quote=True)
            return (
                f'<a class="popkit-doubt" href="#{self._prefix}doubt-{stretch.place.start}" '
                f'title="{why}">{shown}<sup>?</sup></a>'
            )
        if stretch.row is None:
            return shown
        row = self.conversion.rows[stretch.row]
        tip = html.escape(
            f"Row {stretch.row + 1}: {show_exact(row.exact)} is now {show_exact(row.rounded)}",
            quote=True,
        )
        kind = "popkit-length popkit-nudged" if row.nearest is not None else "popkit-length"
        return (
            f'<a class="{kind}" id="{self._prefix}{side}-{stretch.row}" '
            f'href="#{self._prefix}row-{stretch.row}" title="{tip}">{shown}</a>'
        )

    def _rows(self, done: Conversion) -> str:
        if not done.rows:
            return said("No length was restated.")
        heads = ("Row", "Original", "Exact", "Rounded", "Shift", "Why")
        head = "".join(f'<th scope="col">{name}</th>' for name in heads)
        body = []
        for number, row in enumerate(done.rows):
            cells = (row.where, show_exact(row.exact), show_exact(row.rounded), signed(row.shift))
            inside = "".join(f"<td>{html.escape(cell)}</td>" for cell in cells)
            why = html.escape(row.why or "The nearest mark.")
            kind = ' class="popkit-nudged"' if row.why else ""
            body.append(
                f'<tr id="{self._prefix}row-{number}" tabindex="-1"{kind}><th scope="row">'
                f'<a href="#{self._prefix}was-{number}" title="Back to the text">{number + 1}</a></th>'
                f"{inside}<td>{why}</td></tr>"
            )
        count_ = len(done.rows)
        title = f"{count_} length{'s' * (count_ != 1)} restated"
        return (
            f"<table><caption>{title}</caption><thead><tr>{head}</tr></thead>"
            f"<tbody>{''.join(body)}</tbody></table>"
        )

    def _show_doubts(self) -> None:
        done = self.conversion
        places = () if done is None or done.text is None else self._doubtful(done)
        self.doubts.children = tuple(
            _Doubt(
                place,
                self.text.value,
                self._decisions.get(place.start),
                partial(self._decide, place.start),
                f"{self._prefix}doubt-{place.start}",
            )
            for place in places
        )
        self._doubts_group.layout.display = None if places else "none"

    def _doubtful(self, done: Conversion) -> tuple[Found, ...]:
        """Every place with a doubt, decided or not, in the order of the text."""
        decided = {now.found.start: now.found for now in done.text.replacements if now.found.doubt}
        decided |= {kept.found.start: kept.found for kept in done.text.kept if kept.found.doubt}
        return tuple(decided[start] for start in sorted(decided))

    def _show_verdict(self) -> None:
        done = self.conversion
        if done is None:
            self.verdict.value = self.views.value = self.shifts.value = ""
            return
        lines = [said(done.card_words)] if done.card_words else []
        lines += [
            said(line, kind) for line, kind in zip(done.verdict, _kinds(done), strict=False) if line
        ]
        self.verdict.value = "".join(lines)
        self.views.value = "".join(
            f"<figure>{embedded(picture.svg.encode(), 'image/svg+xml', picture.facts)}"
            f"<figcaption>{html.escape(caption)}</figcaption></figure>"
            if picture is not None
            else said(caption)
            for caption, picture in side_views(done, self._prefix)
        )
        if done.rows:
            chart = Shifts(done)
            self.shifts.value = embedded(chart.png, "image/png", chart.facts)
        else:
            self.shifts.value = said("No mark moved.")

    # Keeping it -------------------------------------------------------------------

    def _keep(self, act: Callable[[], str]) -> None:
        try:
            if self.conversion is None:
                raise NameFault("There is nothing to keep yet.")
            self._outcome = act()
            self.saved.value = said(self._outcome, "popkit-done", role="status")
        except (NameFault, RecipeError, HandoutError) as fault:
            self._outcome = str(fault)
            self.saved.value = "".join(
                said(line, "popkit-wrong", role="alert") for line in str(fault).splitlines()
            )

    def _as_recipe(self) -> Recipe:
        """The restated card as a recipe. Raises: NameFault, RecipeError."""
        done = self.conversion
        if done.regridded is None:
            why = done.card_words or " ".join(done.faults)
            raise NameFault(f"There is no card to keep, only a text. {why}")
        how = {"title": self.title.value, "card": done.regridded.card, "ruler": done.grid}
        if self._recipe is None:
            return Recipe(**how)
        again = partial(rewrite, grid=done.grid, unit=self._recipe.card.unit)
        told = {"notes": again(self._recipe.notes), "steps": tuple(map(again, self._recipe.steps))}
        return replace(self._recipe, **how, **told)

    def _save_recipe(self) -> str:
        stem = file_stem(self.file.value, ".toml")
        path = self._recipe_folder / f"{stem}.toml"
        save_recipe(self._as_recipe(), path, overwrite=self.overwrite.value)
        self._files = self._found()
        with self._quiet():
            self.pick.options, now = self._recipe_options(), self.pick.value
            self.pick.value = now
        return f"Saved as {path.name} among the recipes."

    def _save_text(self) -> str:
        path = self._free(file_stem(self.file.value, ".txt"), ".txt")
        try:
            write_whole(path, self.conversion.words.encode())
        except OSError:
            raise NameFault(f"{path.name} cannot be written there.") from None
        return f"Saved as {path.name} in {self._folder.name}."

    def _print(self) -> str:
        path = self._free(file_stem(self.file.value, ".pdf"), ".pdf")
        write_handout(self._as_recipe(), path, paper=self.paper.value)
        return f"Printed {path.name} in {self._folder.name}."

    def _free(self, stem: str, ending: str) -> Path:
        path = self._folder / f"{stem}{ending}"
        if path.exists() and not self.overwrite.value:
            raise NameFault(
                f"There is a file {quoted(path.name)} already. Choose another name, or write over it."
            )
        return path

    # As text and as a still picture -----------------------------------------------

    def __repr__(self) -> str:
        done = self.conversion
        lines = [*self._wrong.splitlines()]
        if done is not None:
            lines += [str(done), "", done.words.rstrip("\n")]
        if self._outcome:
            lines += ["", self._outcome]
        return "\n".join(lines)

    def _repr_mimebundle_(self, **_: object) -> dict[str, object]:
        live = super()._repr_mimebundle_() or {}
        done = self.conversion
        still = ""
        if done is not None:
            still = f"<pre>{html.escape(done.words)}</pre>{paragraphs(chr(10).join(done.verdict))}"
            still += "".join(
                embedded(picture.svg.encode(), "image/svg+xml", picture.facts, "33%")
                for _, picture in side_views(done)
                if picture is not None
            )
        note = said("A still picture. Run the notebook to use it.")
        return {**live, "text/plain": repr(self), "text/html": still + note}


class _Doubt(widgets.HBox):
    """One place to decide: the words around it, the reason, and the choices."""

    def __init__(
        self,
        place: Found,
        text: str,
        decided: str | None,
        decide: Callable[[str | None], None],
        name: str,
    ) -> None:
        self.start = place.start
        before, after = text[max(0, place.start - 32) : place.start], text[place.stop : place.stop + 24]
        where = (
            f'<span id="{name}">{"… " if place.start > 32 else ""}{html.escape(before)}'
            f"<mark>{html.escape(place.text)}</mark>{html.escape(after)}"
            f"{' …' if place.stop + 24 < len(text) else ''}</span>"
        )
        shown = words("popkit-doubt-words")
        if decided is None:
            shown.value = f"<p>{where}</p>{said(f'To decide: {place.doubt}')}"
            ways = ("length", "leave") if place.stated else ("in", "mm", "leave")
            self.buttons = tuple(
                button(
                    _BUTTONS[way],
                    f"decide-{way}",
                    partial(decide, way),
                    f"{quoted(place.text)}: {_CHOICES[way]}",
                )
                for way in ways
            )
        else:
            shown.value = f"<p>{where}</p>{said(f'Decided: {_CHOICES[decided]}.', role='status')}"
            self.buttons = (
                button(
                    "Decide again",
                    "decide-again",
                    partial(decide, None),
                    f"{quoted(place.text)}: decide again",
                ),
            )
        self.first = self.buttons[0]
        super().__init__([shown, *self.buttons])
        self.add_class("popkit-doubt-row")


def _kinds(done: Conversion) -> list[str]:
    """How each line of the verdict is marked: what breaks as wrong, what holds as done."""
    kinds = []
    if done.naive is not None:
        kinds.append("popkit-done" if done.naive.works else "popkit-wrong")
    if done.regridded is not None:
        kinds += ["popkit-done", "popkit-done"]
        kinds += ["popkit-caution-words"] * (len(done.verdict) - len(kinds))
    return kinds
