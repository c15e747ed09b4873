"""The demo panel: a card to try out, with its pictures, its facts and what would go wrong.

Imports: lengths, card, recipe, workbench, drawing, parts, places and the stage. ipywidgets.
It holds a `Workbench`; every input calls one function of `popkit.workbench` and `_update`
shows the outcome.
"""

from __future__ import annotations

import html
from collections.abc import Callable
from functools import lru_cache
from itertools import count
from pathlib import Path

import ipywidgets as widgets
import traitlets

from popkit import workbench as bench_of
from popkit.card import FRONTS, TIER_FORMS, CardError
from popkit.checks import Finding
from popkit.drawing import describe_side, draw_oblique, draw_pieces, draw_side
from popkit.lengths import show_exact
from popkit.panels.pages import embedded
from popkit.panels.parts import (
    Quiet,
    SizeRow,
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
from popkit.panels.stage import Frame, Stage
from popkit.recipe import Recipe, RecipeError, load_recipe
from popkit.workbench import RULERS, SLIP, NameFault, Workbench

__all__ = ["DemoPanel"]

_PANELS = count(1)
_UNITS = {"inch": "inches", "millimeter": "millimetres"}
_SEVERITY = {"stop": "Stop", "caution": "Caution", "note": "Note"}
_MIXED = "mixed"
_PAGES = {False: (56.0, 56.0), True: (42.0, 42.0)}
"""Millimetres that a page is drawn long, side and oblique: less, and the words beside it are larger."""


class DemoPanel(widgets.VBox):
    """Try out a card: type or slide its sizes, open and close it, peel it, mend it, save it.

    recipe  a `Recipe` to begin with; unless given, the first recipe of the folder, or a card
            started from a size if there is none
    folder  where recipes are read and saved
    bench   the `Workbench` as it stands; observe it to follow the card
    """

    bench = traitlets.Instance(Workbench)

    def __init__(self, recipe: Recipe | None = None, folder: str | Path = "recipes") -> None:
        self._quiet = Quiet()
        self._prefix = f"demo{next(_PANELS)}-"
        self._folder = Path(folder)
        self._drawn = self._cut = self._sized = self._shape = self._checked = ()
        self._found_now: tuple[Finding, ...] = ()
        self._finding_rows: list[tuple[widgets.HTML, widgets.Button, widgets.Box]] = []
        self._all_well = widgets.HTML(said("Nothing to mend: the card works.", "popkit-done"))
        self._rows: dict[tuple, SizeRow] = {}
        self._outcome = ""
        self._look_for_recipes()
        self._kept: tuple[str, Recipe | None] = "", None  # the file on the bench, and what is in it
        self.bench = self._first(recipe)
        self._make_inputs()
        super().__init__(
            [
                style_sheet(),
                self._beginnings(),
                beside([self._controls, self._results], "popkit-work"),
                self._pieces_box,
                self._saving(),
            ]
        )
        self.add_class("popkit-panel")
        self.add_class("popkit-demo")
        self._update()

    def _look_for_recipes(self) -> None:
        try:
            self._recipes = recipes_in(self._folder)
        except RecipeError:
            self._recipes = {}
        self._offered = recipe_choices(self._recipes)

    def _first(self, recipe: Recipe | None) -> Workbench:
        for name, path in self._recipes.items():
            try:
                found = load_recipe(path)
                if recipe is None or found == recipe:
                    bench = bench_of.laid_out(found)
                    self._kept = name, bench.recipe
                    return bench
            except (RecipeError, CardError):
                continue
        if recipe is None:
            return bench_of.started("4 1/4 in", "5 1/2 in", 3)
        return bench_of.laid_out(recipe)

    @property
    def result(self) -> Recipe:
        """The recipe as it stands on the bench."""
        return self.bench.recipe

    # Inputs -----------------------------------------------------------------------

    def _make_inputs(self) -> None:
        bench = self.bench
        self.pick = choice("Recipe", "recipe", [("choose a recipe", "")], "")
        self.pick.observe(self._on(lambda new: self._open(new)), "value")
        self.recipe_why = words("popkit-why", "popkit-recipe-why")

        self.start_width = text_box("Width", "start-width", "4 1/2 in", "4 1/2 in or 115 mm")
        self.start_height = text_box("Height", "start-height", "6 in", "6 in or 150 mm")
        self.start_tiers = choice("Tiers", "start-tiers", range(1, 9), 3)
        self.start = button("Start from this size", "start", self._start)
        self.start_why = words("popkit-why", "popkit-start-why")

        self.unit = widgets.ToggleButtons(
            options=[(name, unit) for unit, name in _UNITS.items()],
            value=bench.ruler.unit,
            description="Work in",
            tooltips=["Sizes in inches", "Sizes in millimetres"],
        )
        self.unit.add_class("popkit-unit")
        self.unit.observe(
            self._on(lambda new: self.do(bench_of.switched_ruler, RULERS[new][-2])), "value"
        )
        self.ruler = choice("Finest mark", "ruler", [show_exact(bench.ruler.step)])
        self.ruler.observe(self._on(lambda new: self.do(bench_of.switched_ruler, new)), "value")

        self.front = choice("Front", "front", FRONTS, bench.card.front.form)
        self.front.observe(self._on(lambda new: self.do(bench_of.switched_front, new)), "value")
        self.tier_form = choice("Tiers are", "tier-form", TIER_FORMS)
        self.tier_form.observe(self._on(self._switch_tiers), "value")
        self.more = button("Add a tier in front", "add-tier", lambda: self.do(bench_of.added_tier))
        self.notice = words("popkit-notice")

        self.stage = Stage(("side", "oblique"))
        self.stage.observe(self._on(lambda new: self.do(bench_of.turned, new)), "angle")
        self.stage.observe(self._on(self._project), "large")
        self.peel = choice("Show", "peel", [("the whole card", 1)], 1)
        self.peel.observe(self._on(lambda new: self.do(bench_of.peeled, tiers=new)), "value")
        self.mats = tick("Mats and strips", "mats", True)
        self.mats.observe(self._on(lambda new: self.do(bench_of.peeled, layers=new)), "value")
        self.ornaments = tick("Ornaments", "ornaments", True)
        self.ornaments.observe(self._on(lambda new: self.do(bench_of.peeled, ornaments=new)), "value")

        self.slipping = tick("What if a foot is glued off its mark?", "slipping")
        self.slipping.observe(self._on(lambda new: self.do(bench_of.what_if, slipping=new)), "value")
        self.slip_tier = choice("Foot of", "slip-tier", [("tier 1", 1)], 1)
        self.slip_tier.observe(self._on(lambda new: self.do(bench_of.what_if, tier=new)), "value")
        self.slip = SizeRow(
            SLIP, "Too far out by", "slip", self._typed, self._slid, "How much too far out the foot is"
        )
        self.slip_words = words("popkit-slip-words")

        self.facts = words("popkit-facts")
        self.findings = widgets.VBox()
        self.findings.add_class("popkit-findings")
        self.pieces = words("popkit-picture", "popkit-pieces")
        self._sizes = widgets.VBox()
        self._sizes.add_class("popkit-sizes")

        self._controls = widgets.VBox(
            [
                group("Ruler", [self.unit, self.ruler], "ruler-group"),
                self._sizes,
            ]
        )
        self._controls.add_class("popkit-controls")
        self._results = widgets.VBox(
            [
                self.stage,
                beside([self.peel, self.mats, self.ornaments], "popkit-peeling"),
                group("Checks", [self.notice, self.findings], "checks-group"),
                group(
                    "What if",
                    [self.slipping, self.slip_tier, self.slip, self.slip_words],
                    "what-if-group",
                ),
                group("In words", [self.facts], "facts-group"),
            ]
        )
        self._results.add_class("popkit-results")
        self._pieces_box = group("Pieces", [self.pieces], "pieces-group")

        self.title = text_box("Title", "title", bench.recipe.title)
        self.title_why = words("popkit-why", "popkit-title-why")
        self.title.observe(self._on(self._entitle), "value")
        self.file = text_box("File name", "file", "", "my-card")
        self.overwrite = tick("Write over a recipe of this name", "overwrite")
        self.save = button("Save as a recipe", "save", self._save)
        self.saved = words("popkit-saved")

    def _beginnings(self) -> widgets.Widget:
        own = widgets.VBox([self.pick, self.recipe_why])
        size = widgets.VBox(
            [
                beside(
                    [self.start_width, self.start_height, self.start_tiers, self.start],
                    "popkit-start-row",
                ),
                self.start_why,
            ]
        )
        return beside(
            [group("From a recipe", [own], "recipe-group"), group("From a size", [size], "start-group")],
            "popkit-beginnings",
        )

    def _saving(self) -> widgets.Widget:
        return group(
            "Keep it",
            [
                beside([self.title, self.file, self.overwrite, self.save], "popkit-save-row"),
                self.title_why,
                self.saved,
            ],
            "save-group",
        )

    def _on(self, act: Callable[[object], None]) -> Callable[[dict], None]:
        """An observer that ignores what the panel sets itself."""
        return lambda change: None if self._quiet else act(change["new"])

    # What inputs do ---------------------------------------------------------------

    def do(self, edit: Callable, *what: object, **how: object) -> None:
        """Put what a function makes of the workbench in its place, and show it."""
        self.bench = edit(self.bench, *what, **how)
        self._update()

    def _typed(self, path: tuple, text: str) -> None:
        self.do(bench_of.edited, path, text)

    def _slid(self, path: tuple, marks: int) -> None:
        self.do(bench_of.slid, path, marks)

    def _switch_tiers(self, form: str) -> None:
        if form != _MIXED:
            self.do(bench_of.switched_tiers, form)

    def _open(self, name: str) -> None:
        if not name:
            return
        try:
            self.bench = bench_of.laid_out(load_recipe(self._recipes[name]))
            self._kept = name, self.bench.recipe
            self.recipe_why.value = ""
        except RecipeError as error:
            self.recipe_why.value = error._repr_html_()
        except CardError as error:
            self.recipe_why.value = said(f"“{name}”: {error}", "popkit-wrong", role="alert")
        self._fresh()

    def _start(self) -> None:
        made = bench_of.started(
            self.start_width.value,
            self.start_height.value,
            self.start_tiers.value,
            ruler=self.bench.ruler,
        )
        if isinstance(made, dict):
            self.start_why.value = "".join(
                said(why, "popkit-wrong", role="alert") for why in made.values()
            )
            return
        self.start_why.value = self.recipe_why.value = ""
        self.bench = made
        self._kept = "", None
        self._fresh()

    def _fresh(self) -> None:
        """Another card is on the bench: nothing that was said about the last one stays."""
        self.title_why.value = self._outcome = self.saved.value = ""
        self._update()

    def _entitle(self, title: str) -> None:
        made = bench_of.titled(self.bench, title)
        if isinstance(made, str):
            self.title_why.value = said(made, "popkit-wrong", role="alert")
            return
        self.title_why.value = ""
        self.bench = made
        self._update()

    def _save(self) -> None:
        try:
            if self.title_why.value:
                raise NameFault("Not saved: mend the title first.")
            path = bench_of.kept(
                self.bench, self._folder, self.file.value, overwrite=self.overwrite.value
            )
        except (NameFault, RecipeError) as fault:
            self._outcome = str(fault)
            self.saved.value = paragraphs(str(fault), "popkit-wrong")
            return
        self._outcome = f"Saved as {path.name}."
        self.saved.value = said(self._outcome, "popkit-done", role="status")
        self._look_for_recipes()
        self._kept = path.stem, self.bench.recipe
        title = self.bench.recipe.title
        if (title, path.stem) not in self._offered:  # listed with the names of their files
            told = f"Another recipe is called “{title}” too. Give one of them its own title."
            self._outcome += f"\n{told}"
            self.saved.value += said(told, "popkit-caution-words")
        with self._quiet():
            self.overwrite.value = False
            self._show_recipe(self.bench)

    # What is shown ----------------------------------------------------------------

    def _update(self) -> None:
        """Bring everything into step with the workbench."""
        bench = self.bench
        with self._quiet():
            self._show_pictures(bench)  # first, as each part reaches the page when it is set
            self._show_choices(bench)
            self._show_sizes(bench)
            self._show_findings(bench)
            self._show_pieces(bench)
            self.notice.value = said(bench.notice, "popkit-notice-words", role="status")

    def _show_recipe(self, bench: Workbench) -> None:
        """The recipe on the bench; once it is changed, the list offers it again as it was."""
        name, kept = self._kept
        same = kept is not None and (bench.recipe is kept or bench.recipe == kept)
        first = "choose a recipe" if kept is None or same else f"{kept.title}, changed"
        options = ((first, ""), *self._offered)
        if self.pick.options != options:
            self.pick.options = options
        self.pick.value = name if same else ""

    def _show_choices(self, bench: Workbench) -> None:
        self._show_recipe(bench)
        self.unit.value = bench.ruler.unit
        marks = [show_exact(ruler.step) for ruler in RULERS[bench.ruler.unit]]
        mine = show_exact(bench.ruler.step)
        marks = marks if mine in marks else [mine, *marks]
        options = tuple((mark, mark) for mark in marks)
        if self.ruler.options != options:
            self.ruler.options = options
        self.ruler.value = mine
        self.front.value = bench.card.front.form
        forms = {tier.form for tier in bench.card.tiers}
        options = tuple((form, form) for form in (*TIER_FORMS, *([_MIXED] if len(forms) > 1 else [])))
        if self.tier_form.options != options:
            self.tier_form.options = options
        self.tier_form.value = forms.pop() if len(forms) == 1 else _MIXED
        self.slipping.value = bench.slipping
        options = tuple((f"tier {number}", number) for number in range(1, len(bench.card.tiers) + 1))
        if self.slip_tier.options != options:
            self.slip_tier.options = options
        self.slip_tier.value = bench.slip_tier
        if not self.title_why.value:
            self.title.value = bench.recipe.title

    def _show_sizes(self, bench: Workbench) -> None:
        shown = (bench.card, bench.ruler, bench.drafts, bench.slip, bench.slip_tier)
        if shown == self._sized:
            return
        self._sized = shown
        found = bench_of.sizes(bench)
        shape = tuple(size.path for size in found)
        if shape != self._shape:
            self._shape = shape
            self._sizes.children = self._size_groups(found)
        for size in found:
            self._rows[size.path].show(bench, size)
        self.slip.show(bench, bench_of.size(bench, SLIP))
        self.slip_words.value = said(bench.slip_sentence())

    def _row(self, size: bench_of.Size) -> SizeRow:
        if size.path not in self._rows:
            name = "-".join(str(part + 1) if isinstance(part, int) else part for part in size.path)
            name = name.replace("_", "-").replace("tiers-", "tier-")
            spoken = f"Tier {size.path[1] + 1}, {size.label}" if size.path[0] == "tiers" else size.label
            self._rows[size.path] = SizeRow(size.path, size.label, name, self._typed, self._slid, spoken)
        return self._rows[size.path]

    def _size_groups(self, found: tuple) -> tuple[widgets.Widget, ...]:
        rows = {"card": [], "front": [self.front]}
        for size in found:
            place = size.path[1] if size.path[0] == "tiers" else None
            kind = "front" if size.path[0] == "front" else "card"
            rows.setdefault(kind if place is None else place, []).append(self._row(size))
        groups = [
            group("Card", rows.pop("card"), "card-group"),
            group("Front", rows.pop("front"), "front-group"),
            group("Tiers", [self.tier_form, self.more], "tiers-group"),
        ]
        for place, parts in rows.items():
            number = place + 1
            remove = button(
                f"Remove tier {number}",
                f"remove-tier-{number}",
                lambda number=number: self.do(bench_of.removed_tier, number),
            )
            groups.append(group(f"Tier {number}", [*parts, remove], f"tier-{number}-group"))
        return tuple(groups)

    def _show_pictures(self, bench: Workbench) -> None:
        seen = (bench.tiers_shown, bench.layers, bench.ornaments, self.stage.large)
        moving = (bench.card, bench.grids, tuple(bench.slips.items()), *seen)
        if moving != self._drawn:
            self._drawn = moving
            self.stage.show(self._framer(bench), bench.angle)
            self._show_peeling(bench)
        self.stage.angle = bench.angle
        self.facts.value = paragraphs(self._said(bench))

    def _framer(self, bench: Workbench) -> Callable[[int], Frame]:
        """What draws the frame of an opening, for the card as it is now."""
        how = {
            "slips": bench.slips,
            "grids": bench.grids,
            "tiers": bench.tiers_shown,
            "layers": bench.layers,
            "ornaments": bench.ornaments,
            "steady": True,
        }
        side_mm, oblique_mm = _PAGES[self.stage.large]

        @lru_cache(maxsize=4)
        def framed(angle: int) -> Frame:
            side = draw_side(bench.card, angle, prefix=f"{self._prefix}side-", page_mm=side_mm, **how)
            oblique = draw_oblique(
                bench.card, angle, prefix=f"{self._prefix}oblique-", page_mm=oblique_mm, **how
            )
            return Frame((side, oblique), bench_of.opening_words(bench, angle))

        return framed

    def _show_peeling(self, bench: Workbench) -> None:
        count = len(bench.card.tiers)
        options = (
            ("the whole card", count),
            *(
                (f"tiers 1 to {tiers}" if tiers > 1 else "tier 1 only", tiers)
                for tiers in range(count - 1, 0, -1)
            ),
            ("no tiers", 0),
        )
        if self.peel.options != options:
            self.peel.options = options
        self.peel.value = count if bench.tiers_shown is None else bench.tiers_shown
        self.mats.value, self.ornaments.value = bench.layers, bench.ornaments
        self.mats.layout.display = None if bench.card.layers else "none"
        self.ornaments.layout.display = None if bench.card.ornaments else "none"

    def _project(self, large: bool) -> None:
        (self.add_class if large else self.remove_class)("popkit-projecting")
        self._update()

    def _show_pieces(self, bench: Workbench) -> None:
        shown = (bench.card, bench.grids)
        if shown != self._cut:
            self._cut = shown
            self.pieces.value = draw_pieces(
                bench.card, grids=bench.grids, width_mm=300, prefix=f"{self._prefix}pieces-"
            )

    def _said(self, bench: Workbench) -> str:
        return describe_side(bench.card, bench.angle, bench.slips, grids=bench.grids)

    def _show_findings(self, bench: Workbench) -> None:
        shown = (bench.card, bench.ruler)
        if shown == self._checked:
            return
        self._checked = shown
        self._found_now = bench.findings
        while len(self._finding_rows) < len(self._found_now):
            self._finding_rows.append(self._finding_row(len(self._finding_rows)))
        for (text, apply, _), finding in zip(self._finding_rows, self._found_now, strict=False):
            text.value = (
                f"<p><strong>{_SEVERITY[finding.severity]}.</strong> {html.escape(finding.message)}</p>"
                f"<p>{html.escape(finding.remedy.text)}</p>"
            )
            apply.tooltip = f"Apply remedy: {finding.remedy.text}"
        rows = [row for _, _, row in self._finding_rows[: len(self._found_now)]]
        for row, finding in zip(rows, self._found_now, strict=True):
            for severity in _SEVERITY:
                (row.add_class if severity == finding.severity else row.remove_class)(
                    f"popkit-{severity}"
                )
        self.findings.children = rows or [self._all_well]

    def _finding_row(self, place: int) -> tuple[widgets.HTML, widgets.Button, widgets.Box]:
        """The words, the button and the row of finding `place`, kept for whatever stands there."""
        text = words("popkit-finding-text")
        apply = button("Apply remedy", f"remedy-{place + 1}", lambda: self._mend(place))
        return text, apply, beside([text, apply], "popkit-finding")

    def _mend(self, place: int) -> None:
        """Apply a remedy, and keep the keyboard where the next one is, or at what comes after."""
        self.do(bench_of.mended, self._found_now[place])
        left = len(self._found_now)
        (self._finding_rows[min(place, left - 1)][1] if left else self.slipping).focus()

    # As text and as a still picture -----------------------------------------------

    def __repr__(self) -> str:
        bench = self.bench
        lines = [
            f"{bench.recipe.title}: {bench.readings(bench.card.width)} wide, "
            f"{bench.readings(bench.card.height)} high, on a ruler of {bench.ruler}.",
            self._said(bench),
            bench.slip_sentence(),
        ]
        if self._found_now:
            lines += [str(finding) for finding in self._found_now]
        else:
            lines.append("Nothing to mend: the card works.")
        lines += [f"Typed and not used: {draft.text!r}. {draft.why}" for draft in bench.drafts]
        lines += [text for text in (bench.notice, self._outcome) if text]
        return "\n".join(lines)

    def _repr_mimebundle_(self, **_: object) -> dict[str, object]:
        bench = self.bench
        how = {"slips": bench.slips, "grids": bench.grids}
        pictures = "".join(
            embedded(
                draw(bench.card, bench.angle, **how).encode(), "image/svg+xml", self._said(bench), "49%"
            )
            for draw in (draw_side, draw_oblique)
        )
        live = super()._repr_mimebundle_() or {}
        note = said("A still picture. Run the notebook to move it.")
        return {**live, "text/plain": repr(self), "text/html": pictures + note}
