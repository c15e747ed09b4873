"""The class panel: who comes, which sheets, which trimmer -> sheets drawn, cuts in order, shopping,
bags, hours, and a plan to print.

Imports: lengths, pieces, recipe, roster, classplan, classbench, workbench, drawing.layouts, handout, and
background, charts, pages, parts, places and typed. ipywidgets.
It works out nothing itself: `classbench` reads what was typed and plans, in a thread beside the page.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache, partial
from importlib.resources import files
from itertools import count
from pathlib import Path

import ipywidgets as widgets

from popkit.classbench import (
    MINUTES,
    TURNS,
    Asked,
    ClassForm,
    chart_notes,
    chart_sizes,
    planned,
    progress_words,
    read_form,
    sizes_of,
)
from popkit.classplan.classes import ClassPlan
from popkit.classplan.growth import ClassSize
from popkit.classplan.one_sheet import offcuts_give
from popkit.classplan.order import PlanError
from popkit.classplan.preparing import Bag, Timetable, kit_list, timetable
from popkit.classplan.prices import show_money
from popkit.classplan.shopping import Shopping, shopping_list
from popkit.drawing.layouts import draw_layout, layout_scale
from popkit.drawing.lettering import figures
from popkit.handout import PAPERS, HandoutError
from popkit.handout.plan import class_facts, packs_text, sureness, time_text, write_class_plan
from popkit.lengths import quoted
from popkit.panels.background import Background
from popkit.panels.charts import Chart
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
from popkit.pieces import Piece
from popkit.recipe import Recipe, RecipeError, load_recipe
from popkit.roster import text_to_mend
from popkit.workbench import NameFault, file_stem

__all__ = ["ClassPanel", "ClassSizes"]

_PANELS = count(1)
_SCREEN = (95.0, 125.0)  # millimetres for a sheet
_MINUTES = {
    "cut": "One cut",
    "setting": "Setting the fence",
    "score": "One score line",
    "slit": "One slit",
    "bag": "Packing a bag",
}


@cache
def _css() -> str:
    return files("popkit.panels").joinpath("classplan.css").read_text(encoding="utf-8")


class ClassSizes(Chart):
    """The chart of `drawing.charts.draw_class_sizes` as a notebook shows it.

    sizes     of `class_sizes`
    students  the class to point out, or None
    notes     what the chart counts otherwise than a plan, each a sentence
    """

    def __init__(
        self,
        sizes: Sequence[ClassSize],
        students: int | None = None,
        notes: Sequence[str] = (),
    ) -> None:
        from popkit.drawing.charts import describe_class_sizes, draw_class_sizes  # loads matplotlib

        super().__init__(
            "\n".join((describe_class_sizes(sizes, students), *notes)),
            (lambda ax: draw_class_sizes(ax, sizes, students),),
            (8, 4.2),
        )


class ClassPanel(widgets.VBox):
    """Plan a class: sheets, cuts, shopping, bags and hours; print the plan.

    recipes   folder of recipe files
    folder    that plans are written to
    rosters   folder of roster files (CSV)
    prices    a price list file (TOML), or "" for none
    roster    name of a roster in the folder to begin with, or "" for so many of each recipe
    chosen    names of the recipes to begin with; unless given, the first
    students  how many make each of them
    minutes   the tutor's own by job ("cut", "setting", "score", "slit", "bag"), as they would type them
    title     of the plan, when it is printed
    wait      False: show the panel before its first plan is made
    plan      the `ClassPlan` as it stands, or None
    """

    def __init__(
        self,
        recipes: str | Path = "recipes",
        folder: str | Path = "../handouts",
        rosters: str | Path = "rosters",
        prices: str | Path = "prices.toml",
        *,
        roster: str = "",
        chosen: Sequence[str] = (),
        students: int = 24,
        minutes: Mapping[str, str] | None = None,
        title: str = "",
        wait: bool = True,
    ) -> None:
        self._quiet = Quiet()
        self._background = Background()
        self._prefix = f"class{next(_PANELS)}-"
        self._folder = Path(folder)
        self._faults: list[str] = []  # of what was found on the disk
        self._problems: tuple[str, ...] = ()  # of the class as a whole
        self._told = self._outcome = ""
        self._remarks: tuple[str, ...] = ()
        self._stopped = False
        self._asked: Asked | None = None
        self._planned_for: tuple | None = None
        self._sized_for: tuple | None = None  # the class whose chart is being worked out
        self._chart_of: tuple | None = None  # the class whose chart is shown
        self.plan: ClassPlan | None = None
        self._drawn: ClassPlan | None = None  # the plan whose sheets are shown
        self.sizes: ClassSizes | None = None
        self._recipes = self._found_recipes(recipes)
        self._rosters = rosters_in(rosters)
        self._make_inputs(roster, chosen, students, prices, minutes or {})
        self._make_results(title)
        super().__init__([style_sheet(), self._own_style(), self._input_groups(), self._results])
        self.add_class("popkit-panel")
        self.add_class("popkit-class")
        if roster:
            self._choose_roster(roster)
        self._update()
        if wait:
            self.wait()

    def wait(self) -> None:
        """Until the plan, or the chart, is done; an interrupt keeps the best plan so far."""
        self._background.wait()

    @staticmethod
    def _own_style() -> widgets.HTML:
        sheet = widgets.HTML(f"<style>{_css()}</style>")
        sheet.add_class("popkit-style")
        return sheet

    # What there is ------------------------------------------------------------------

    def _found_recipes(self, folder: str | Path) -> dict[str, Recipe]:
        found = {}
        try:
            paths = recipes_in(folder)
        except RecipeError as error:
            self._faults += [fault.what for fault in error.faults]
            paths = {}
        for name, path in paths.items():
            try:
                found[name] = load_recipe(path)
            except RecipeError as error:
                self._faults += [error.heading, *map(str, error.faults)]
        self._choices = recipe_choices({name: paths[name] for name in found})
        return found

    # Inputs -------------------------------------------------------------------------

    def _make_inputs(
        self,
        roster: str,
        chosen: Sequence[str],
        students: int,
        prices: str | Path,
        minutes: Mapping[str, str],
    ) -> None:
        names = tuple(self._recipes)
        known = tuple(name for name in chosen if name in names) or names[:1]
        self._faults += [
            f"There is no recipe {quoted(name)} here." for name in chosen if name not in names
        ]
        ways = [("so many of each recipe", "counts"), ("a roster", "roster")]
        self.source = choice("Who comes", "class-source", ways, "roster" if roster else "counts")
        self.recipes = widgets.SelectMultiple(
            options=self._choices,
            value=known,
            rows=min(8, max(3, len(names))),
            description="Recipes",
            tooltip="Recipes that the class makes",
            style={"description_width": "10.5em"},
        )
        self.recipes.add_class("popkit-input")
        self.recipes.add_class("popkit-recipes")
        self.recipes_hint = words("popkit-hint", "popkit-class-recipes-hint")
        self._students = str(students)
        self.counts: dict[str, Typed] = {}
        self._count_rows = widgets.VBox()
        self._counts_why = words("popkit-why", "popkit-class-counts-why")
        files = [("typed or pasted below", ""), *((name, name) for name in self._rosters)]
        self.roster_file = choice(
            "Roster", "class-roster-file", files, roster if roster in self._rosters else ""
        )
        self.roster = Typed(
            "Students",
            "class-roster",
            hint="name,card,unit,large print,needs",
            tip="Roster: a line of headings, then one student to a line",
            rows=9,
        )
        self.roster_remarks = words("popkit-hint", "popkit-class-roster-remarks")
        self.spares = Typed("Spare kits of each", "class-spares", "0")
        self.extras = Typed("Also in every bag", "class-extras", hint="2 foam pads, 1 pencil")
        self.useful = Typed(
            "Offcuts could give",
            "class-useful",
            hint="strip 1 x 4 in; mat 70 x 95 mm",
            tip="What the offcuts could still give, as in strip 1 x 4 in; mat 70 x 95 mm",
        )
        self.sheets: dict[str, Typed] = {}
        self.cupboard: dict[str, Typed] = {}
        self._stock_rows = widgets.VBox()
        self.longest = Typed("Longest cut", "class-longest", hint="any; or 12 in, 300 mm")
        self.stack = Typed("Sheets at once", "class-stack", "1")
        stages = [("as often as it suits", 0), ("twice", 2), ("three times", 3)]
        self.stages = choice("Cuts change direction", "class-stages", stages)
        self.turn = choice(
            "A piece is turned", "class-turn", [(words_, way) for way, words_ in TURNS.items()]
        )
        self.prices = Typed(
            "Price list",
            "class-prices",
            self._price_text(prices),
            'currency = "£"',
            "Price list: what is in a pack and what it costs, in TOML",
            rows=10,
        )
        self.minutes = {
            job: Typed(
                _MINUTES[job], f"class-minutes-{job}", str(minutes.get(job, "")), "minutes, as in 0.5"
            )
            for job in MINUTES
        }
        for part in (self.source, self.recipes, self.stages, self.turn):
            part.observe(self._on(lambda _: self._update()), "value")
        rows = (self.spares, self.extras, self.useful, self.longest, self.stack, self.prices)
        for row in (*rows, *self.minutes.values()):
            row.box.observe(self._on(lambda _: self._update()), "value")
        self.roster_file.observe(
            self._on(lambda name: (self._choose_roster(name), self._update())), "value"
        )
        self.roster.box.observe(self._on(self._retyped), "value")

    def _price_text(self, path: str | Path) -> str:
        if not str(path):
            return ""
        try:
            return Path(path).read_bytes().decode("utf-8-sig")
        except OSError:
            self._faults.append(f"There is no price list {quoted(Path(path).name)} here.")
        except UnicodeDecodeError:
            self._faults.append(f"The price list {quoted(Path(path).name)} is not UTF-8 text.")
        return ""

    def _input_groups(self) -> widgets.HBox:
        who = group(
            "Who comes",
            [
                self.source,
                self.recipes,
                self.recipes_hint,
                self._count_rows,
                self._counts_why,
                self.roster_file,
                self.roster,
                self.roster_remarks,
                self.spares,
                self.extras,
            ],
            "class-who",
        )
        sheets = group("Sheets", [self._stock_rows, self.useful], "class-sheets")
        trimmer = group("Trimmer", [self.longest, self.stack, self.stages, self.turn], "class-trimmer")
        money = Fold("Prices", [self.prices], "class-prices-group", unfolded=False)
        time = Fold("Your minutes", [*self.minutes.values()], "class-minutes", unfolded=False)
        self._folds = {"prices": money, "minutes": time}
        left = widgets.VBox([who])
        right = widgets.VBox([sheets, trimmer, money, time])
        for box in (left, right):
            box.add_class("popkit-controls")
        return beside([left, right], "popkit-work", "popkit-class-inputs")

    def _on(self, act: Callable[[object], None]) -> Callable[[dict], None]:
        """An observer that ignores what the panel sets itself."""
        return lambda change: None if self._quiet else act(change["new"])

    def _choose_roster(self, name: str) -> None:
        """Put the text of a roster file into the box; one with faults as it stands."""
        self._remarks = ()
        path = self._rosters.get(name)
        if path is None:
            if name:
                self._faults.append(f"There is no roster {quoted(name)} here.")
            return
        text, self._remarks = text_to_mend(path)
        with self._quiet():
            self.roster.box.value = text

    def _retyped(self, _: object) -> None:
        self._remarks = ()
        with self._quiet():
            self.roster_file.value = ""
        self._update()

    # What was typed, and what becomes of it -------------------------------------------

    def _form(self) -> ClassForm:
        by_roster = self.source.value == "roster"
        return ClassForm(
            counts=tuple((name, self._count(name)) for name in self.recipes.value),
            roster=self.roster.box.value if by_roster else None,
            spares=self.spares.box.value,
            sheets={name: row.box.value for name, row in self.sheets.items()},
            cupboard={name: row.box.value for name, row in self.cupboard.items()},
            longest=self.longest.box.value,
            stack=self.stack.box.value,
            stages=self.stages.value or None,
            turn=self.turn.value,
            extras=self.extras.box.value,
            useful=self.useful.box.value,
            prices=self.prices.box.value,
            minutes={job: row.box.value for job, row in self.minutes.items()},
        )

    def _count(self, name: str) -> str:
        return self.counts[name].box.value if name in self.counts else self._students

    def _update(self) -> None:
        """Read everything anew; plan if the plan hangs on what has changed, and show it."""
        self._outcome = ""
        asked = self._asked = read_form(self._form(), self._recipes)
        with self._quiet():
            self._show_inputs(asked)
        if asked.wrong:
            self._background.drop()
            self._planned_for = self._sized_for = None
        elif asked.of_plan != self._planned_for:
            self._start(asked)
            return
        self._show()

    def _start(self, asked: Asked) -> None:
        self._planned_for, self._problems, self._stopped = asked.of_plan, (), False
        self._sized_for = None
        self._told = "Looking for a first plan."
        self._background.start(
            lambda tell, stop: planned(asked, tell, stop),
            partial(self._hear, asked),
            self._done,
        )
        self._show_state()

    def _hear(self, asked: Asked, news: object) -> None:
        """How far the plan has come."""
        self._told = f"{progress_words(news, asked)}."
        self._show_state()

    def _done(self, plan: object, error: Exception | None) -> None:
        self.plan = plan if error is None else None
        if isinstance(error, PlanError):
            self._problems = tuple(error.faults)
        elif error is not None:
            kind = type(error).__name__
            self._problems = (f"popkit could not make this plan, which is its own fault ({kind}).",)
        if error is not None:
            self._planned_for = None
        self._show()

    def _stop(self) -> None:
        self._stopped = self._sized_for is None
        self._background.stop()
        self._show_state()

    def _again(self) -> None:
        """Plan again from the start, as after a stop."""
        if self._asked is not None and not self._asked.wrong:
            self._start(self._asked)

    # Showing the inputs ---------------------------------------------------------------

    def _show_inputs(self, asked: Asked) -> None:
        by_roster = self.source.value == "roster"
        for part in (self.recipes, self.recipes_hint, self._count_rows, self._counts_why):
            part.layout.display = "none" if by_roster else None
        for part in (self.roster_file, self.roster, self.roster_remarks):
            part.layout.display = None if by_roster else "none"
        self.recipes_hint.value = said(
            "Hold Ctrl or Shift to choose more than one."
            if self._recipes
            else "There are no recipes here yet."
        )
        self._show_counts()
        self._show_stocks(asked)
        self.roster_remarks.value = "".join(said(one, "popkit-caution-words") for one in self._remarks)
        rows = {
            "roster": self.roster,
            "spares": self.spares,
            "extras": self.extras,
            "useful": self.useful,
            "longest": self.longest,
            "stack": self.stack,
            "prices": self.prices,
            **{f"minutes:{job}": row for job, row in self.minutes.items()},
            **{f"counts:{name}": row for name, row in self.counts.items()},
            **{f"sheets:{name}": row for name, row in self.sheets.items()},
            **{f"cupboard:{name}": row for name, row in self.cupboard.items()},
        }
        for box, row in rows.items():
            row.say(asked.faults.get(box, ()))
        self._counts_why.value = "".join(
            said(why, "popkit-wrong", role="alert") for why in asked.faults.get("counts", ())
        )
        for box in asked.faults:
            fold = self._folds.get(box.partition(":")[0])
            if fold is not None and not fold.unfolded:
                fold.fold(True)

    def _show_counts(self) -> None:
        wanted = self.recipes.value
        if tuple(self.counts) == tuple(wanted):
            return
        rows = {}
        for name in wanted:
            if name in self.counts:
                rows[name] = self.counts[name]
                continue
            title = self._recipes[name].title
            row = Typed(
                "Class size" if len(wanted) == 1 else title,
                f"class-count-{name}",
                self._students,
                tip=f"How many make {title}",
            )
            row.box.observe(self._on(lambda _: self._update()), "value")
            rows[name] = row
        for name, row in rows.items():
            row.box.description = "Class size" if len(rows) == 1 else self._recipes[name].title
        self.counts = rows
        self._count_rows.children = tuple(rows.values())

    def _show_stocks(self, asked: Asked) -> None:
        """Two boxes for each stock of the class; what was typed stays while the class is misread."""
        if not asked.stocks or tuple(self.sheets) == tuple(name for name, _ in asked.stocks):
            return
        children: list[widgets.Widget] = []
        sheets, cupboard = {}, {}
        for number, (name, usual) in enumerate(asked.stocks, 1):
            sheets[name] = self.sheets.get(name) or self._stock_row(
                f"Cut {name} from",
                f"class-sheet-{number}",
                f"as in the recipes: {' and '.join(usual)}",
                f"Sheets for {name}: one, or several to choose from, as in A4 or A3",
            )
            cupboard[name] = self.cupboard.get(name) or self._stock_row(
                "In the cupboard",
                f"class-cupboard-{number}",
                "none; or 5 A4",
                f"Sheets of {name} in the cupboard, as in 5 A4, 3 of 9 x 12 in",
            )
            children += [sheets[name], cupboard[name]]
        self.sheets, self.cupboard = sheets, cupboard
        self._stock_rows.children = tuple(children)

    def _stock_row(self, label: str, name: str, hint: str, tip: str) -> Typed:
        row = Typed(label, name, hint=hint, tip=tip)
        row.box.observe(self._on(lambda _: self._update()), "value")
        return row

    # Results ------------------------------------------------------------------------

    def _make_results(self, title: str) -> None:
        self.state = words("popkit-class-state")
        self.stop = button(
            "Stop", "class-stop", self._stop, "Stop proving and keep the best plan so far"
        )
        self.again = button("Go on proving", "class-again", self._again, "Plan again, to the end")
        self.facts = words("popkit-class-facts")
        self.layouts = words("popkit-class-layouts")
        self.offcuts = words("popkit-class-offcuts")
        self.cuts = words("popkit-class-cuts")
        self.shopping = words("popkit-class-shopping")
        self.bags = words("popkit-class-bags")
        self.times = words("popkit-class-times")
        self.chart = words("popkit-class-chart")
        self.draw = button(
            "Work out the chart", "class-draw", self._draw, "Sheets and waste against class size"
        )
        self.title = text_box("Title", "class-title", title, "what the class is called")
        self.file = text_box("File name", "class-file", "class-plan", "class-plan")
        self.paper = choice("Paper", "class-paper", PAPERS)
        self.overwrite = tick("Write over a file of this name", "class-overwrite")
        self.print = button("Print the plan", "class-print", self._print)
        self.saved = words("popkit-class-saved")
        state = group(
            "The plan", [self.state, beside([self.stop, self.again]), self.facts], "class-plan"
        )
        self._parts = (
            Fold("Sheets, cut by cut", [self.layouts, self.offcuts], "class-layouts-group"),
            Fold("The cuts in order", [self.cuts], "class-cuts-group"),
            Fold("Shopping and cost", [self.shopping], "class-shopping-group"),
            Fold("The bags", [self.bags], "class-bags-group", unfolded=False),
            Fold("How long it takes", [self.times], "class-times-group", unfolded=False),
            Fold(
                "Sheets and waste against class size",
                [self.draw, self.chart],
                "class-chart-group",
                unfolded=False,
            ),
            group(
                "Print it",
                [
                    beside([self.title, self.file, self.paper, self.overwrite]),
                    self.print,
                    self.saved,
                ],
                "class-print-group",
            ),
        )
        self._results = widgets.VBox([state, *self._parts])
        self._results.add_class("popkit-class-results")

    @property
    def verdict(self) -> str:
        """How the plan stands, in a sentence or two."""
        if self._asked is None or self._asked.wrong:
            return "Not planned. Look at the boxes that say what is wrong."
        if self._problems:
            return "There is no plan of this class."
        if self.plan is None:
            return self._told
        count_ = self.plan.sheets
        sheets = f"{count_} sheet{'s' * (count_ != 1)}"
        if self._stopped and not self.plan.proved:
            return f"Stopped. The best plan so far takes {sheets}. {sureness(self.plan)}"
        return f"Done: {sheets}. {sureness(self.plan)}"

    def _show_state(self) -> None:
        """Busy, done, wrong or empty, in words; and the buttons that then make sense."""
        busy = self._background.busy
        wrong = self._asked is None or self._asked.wrong or bool(self._problems)
        if busy and self._background.stopping:
            text = said("Stopping: the best so far is kept.", "popkit-notice-words", role="status")
        elif busy:
            text = said(f"Planning. {self._told}", "popkit-notice-words", role="status")
        elif wrong:
            text = said(self.verdict, "popkit-wrong", role="alert")
            text += "".join(said(one, "popkit-wrong") for one in self._problems)
            if self.plan is not None:
                text += said("What stands below is the plan of the class before.")
        else:
            text = said(self.verdict, "popkit-done", role="status")
        text += "".join(said(one, "popkit-wrong", role="alert") for one in self._faults)
        self.state.value = text
        self.stop.layout.display = None if busy else "none"
        self.stop.disabled = self._background.stopping
        unproved = self.plan is not None and not self.plan.proved
        self.again.layout.display = None if unproved and not busy and not wrong else "none"

    def _show(self) -> None:
        """Bring everything under the inputs into step with the plan; that it is done comes last."""
        plan = self.plan
        for part in self._parts:
            part.layout.display = None if plan is not None else "none"
        if plan is None:
            self.facts.value = ""
            self._show_state()
            return
        told = sureness(plan)  # stands above already
        self.facts.value = "".join(said(line) for line in class_facts(plan) if line != told)
        if self._drawn is not plan:
            self.layouts.value, self.cuts.value = self._figures(plan), _cut_list(plan)
            self._drawn = plan
        self._show_sums(plan)
        if self.sizes is not None and self._sized_for is None and self._chart_of != self._planned_for:
            self.sizes, self.chart.value = None, ""
        self.saved.value = ""
        self._show_state()

    def _show_sums(self, plan: ClassPlan) -> None:
        asked = self._asked
        self.offcuts.value = _offcuts(plan, asked.useful)
        self.shopping.value = _shopping(shopping_list(plan, asked.prices))
        self.bags.value = "".join(map(_bag, kit_list(plan)))
        self.times.value = _times(timetable(plan, asked.minutes))

    def _figures(self, plan: ClassPlan) -> str:
        """Every sheet, those of one stock to one scale."""
        shown = []
        for stock in plan.stocks:
            scale = layout_scale(stock.plan.layouts, _SCREEN)
            shown += [
                draw_layout(one, scale=scale, prefix=f"{self._prefix}{one.name}-")
                for one in stock.plan.layouts
            ]
        return "".join(f"<figure>{svg}</figure>" for svg in shown)

    # The chart ------------------------------------------------------------------------

    def _draw(self) -> None:
        """Work out sheets and waste for other sizes of this class, beside the page."""
        if self.plan is None or self._background.busy or self._asked.wrong:
            return
        asked, students = self._asked, self.plan.students
        self._sized_for, self._told = asked.of_plan, "Other class sizes are worked out."
        self._background.start(
            lambda tell, stop: sizes_of(asked, chart_sizes(students), tell, stop),
            self._hear_size,
            partial(self._sized, students, chart_notes(asked)),
        )
        self._show_state()

    def _hear_size(self, news: object) -> None:
        self._told = f"{news.phase[:1].upper()}{news.phase[1:]}: {news.best} sheets."
        self._show_state()

    def _sized(
        self, students: int, notes: Sequence[str], sizes: object, error: Exception | None
    ) -> None:
        self._chart_of, self._sized_for = self._sized_for, None
        if error is not None:
            faults = error.faults if isinstance(error, PlanError) else (type(error).__name__,)
            self.sizes, self.chart.value = (
                None,
                "".join(said(why, "popkit-wrong", role="alert") for why in faults),
            )
        elif sizes:
            self.sizes = ClassSizes(sizes, students, notes)
            lines = self.sizes.facts.splitlines()[1:]
            self.chart.value = (
                "".join(map(said, notes))
                + embedded(self.sizes.png, "image/png", self.sizes.facts)
                + "<details><summary>The same in words</summary><ul>"
                + "".join(f"<li>{html.escape(line)}</li>" for line in lines)
                + "</ul></details>"
            )
        self._show_state()

    # Printing -------------------------------------------------------------------------

    def _print(self) -> None:
        """Write the tutor's plan as a PDF."""
        if self.plan is None or self._asked.wrong:
            return self._say(["There is no plan to print yet."], "popkit-wrong", "alert")
        try:
            path = self._folder / f"{file_stem(self.file.value, '.pdf')}.pdf"
            if path.exists() and not self.overwrite.value:
                raise NameFault(
                    f"There is a file {quoted(path.name)} already. Choose another name, or write "
                    "over it."
                )
            write_class_plan(
                self.plan,
                path,
                title=self.title.value.strip(),
                prices=self._asked.prices,
                minutes=self._asked.minutes,
                useful=self._asked.useful,
                paper=self.paper.value,
            )
        except NameFault as fault:
            return self._say([str(fault)], "popkit-wrong", "alert")
        except HandoutError as error:
            return self._say(error.faults, "popkit-wrong", "alert")
        return self._say([f"Printed {path.name} in {self._folder.name}."], "popkit-done", "status")

    def _say(self, lines: Sequence[str], kind: str, role: str) -> None:
        self._outcome = "\n".join(lines)
        self.saved.value = "".join(said(line, kind, role=role) for line in lines)

    # As text and as a still picture -----------------------------------------------------

    def __repr__(self) -> str:
        lines = [self.verdict, *self._problems, *self._faults]
        asked, plan = self._asked, self.plan
        for box, reasons in asked.faults.items():
            lines += [f"{box}: {why}" for why in reasons]
        if plan is not None and not asked.wrong:
            shopping = shopping_list(plan, asked.prices)
            lines += [*class_facts(plan), "", plan.cut_list(), ""]
            if asked.useful:
                lines += [*(one.text() for one in offcuts_give(plan, asked.useful)), ""]
            lines += [line.text() for line in shopping.lines]
            lines += [shopping.summary(), ""]
            lines += [bag.text() for bag in kit_list(plan)]
            times = timetable(plan, asked.minutes)
            lines += ["", *(f"{job.text()}: {time_text(job.minutes)}" for job in times.jobs)]
        if self._outcome:
            lines += ["", self._outcome]
        return "\n".join(lines)

    def _repr_mimebundle_(self, **_: object) -> dict[str, object]:
        live = super()._repr_mimebundle_() or {}
        still = ""
        if self.plan is not None:
            still = "".join(
                embedded(
                    draw_layout(one, prefix=f"{self._prefix}still-{one.name}-").encode(),
                    "image/svg+xml",
                    f"Layout {one.name}",
                    "30%",
                )
                for one in self.plan.layouts
            )
        note = said("A still picture. Run the notebook to use it.")
        return {**live, "text/plain": repr(self), "text/html": still + note}


# Results as HTML ------------------------------------------------------------------------


def _shown(text: str) -> str:
    return html.escape(figures(text))


def _table(caption: str, head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table with a caption and header cells; every cell plain text."""
    top = "".join(f'<th scope="col">{html.escape(one)}</th>' for one in head)
    body = "".join(
        f'<tr><th scope="row">{_shown(first)}</th>'
        + "".join(f"<td>{_shown(cell)}</td>" for cell in rest)
        + "</tr>"
        for first, *rest in rows
    )
    return (
        f'<div class="popkit-table" tabindex="0" role="region" aria-label="{html.escape(caption)}">'
        f"<table><caption>{html.escape(caption)}</caption>"
        f"<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def _offcuts(plan: ClassPlan, useful: Sequence[Piece]) -> str:
    """What else the offcuts give, where something was asked for."""
    if not useful:
        return ""
    lines = [one.text() for one in offcuts_give(plan, useful)] or ["The offcuts are too small for that."]
    rows = "".join(f"<li>{_shown(line)}</li>" for line in lines)
    return f"<h4>What the offcuts still give</h4><ul>{rows}</ul>"


def _cut_list(plan: ClassPlan) -> str:
    parts = []
    for one in plan.stocks:
        steps = "".join(
            f'<li value="{step.number}">{_shown(step.text())}</li>' for step in one.plan.steps
        )
        parts.append(f"<h4>{html.escape(one.name)}</h4>{said(one.plan.summary())}<ol>{steps}</ol>")
    return "".join(parts)


def _shopping(shopping: Shopping) -> str:
    rows = [
        (
            line.item,
            line.amount(line.need) if line.need else "none",
            "; ".join(part for part in (str(line.kept or ""), line.unused_text) if part) or "–",
            packs_text(line) or ("nothing" if not line.need else "not in the price list"),
            line.left_text or "–",
            show_money(line.cost, shopping.currency),
        )
        for line in shopping.lines
    ]
    head = ("What", "Needed", "From the cupboard", "Buy", "Left over", "Cost")
    return _table("Shopping", head, rows) + said(shopping.summary(), "popkit-class-cost")


def _bag(bag: Bag) -> str:
    spare = f", {bag.spares} of them spare" if bag.spares else ""
    caption = f"{bag.name}: {bag.count} bag{'s' * (bag.count != 1)}{spare}"
    rows = [(item.name, str(item.count), str(item.count * bag.count)) for item in bag.items]
    told = _table(caption, ("What", "In each bag", "In all"), rows)
    if bag.labels:
        told += said(f"For {', '.join(bag.labels)}.")
    if bag.needs:
        told += "<ul>" + "".join(
            f"<li>{html.escape(label)}: {html.escape(need)}</li>" for label, need in bag.needs
        )
        told += "</ul>"
    return told


def _times(times: Timetable) -> str:
    rows = [
        (
            job.text(),
            "–" if job.begins is None else time_text(job.begins),
            time_text(job.minutes),
        )
        for job in times.jobs
    ]
    if times.total is not None:
        note = f"{time_text(times.total)} in all."
    elif times.known:
        note = f"{time_text(times.known)}, and what is not known."
    else:
        note = "Write your own minutes above, and the hours are worked out."
    return _table("Preparation", ("What", "Begin at", "Takes"), rows) + said(note, "popkit-class-total")
