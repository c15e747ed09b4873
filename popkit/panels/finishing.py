"""The finishing panel: mats, strips, ornaments, whether the card stands, and how it is sent.

Imports: checks, recipe, workbench, finishbench, services, drawing, charts, parts, pages, the demo.
It holds no card of its own: every edit is a function of `popkit.finishbench` or `popkit.workbench`
put to the workbench of the demo panel, and both show the outcome.
"""

from __future__ import annotations

import asyncio
import html
from collections.abc import Callable, Iterable
from functools import cache
from importlib.resources import files
from itertools import count

import ipywidgets as widgets

from popkit import finishbench as finish
from popkit import workbench as bench_of
from popkit.checks import Remedy
from popkit.drawing import draw_oblique, draw_pieces
from popkit.drawing.lettering import figures
from popkit.panels.charts import Chart, thickness_chart, tipping_chart
from popkit.panels.demo import DemoPanel
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
from popkit.posting import BoxEnvelope
from popkit.services import SERVICES
from popkit.workbench import Workbench

__all__ = ["FinishingPanel"]

_PANELS = count(1)
_PAUSE = 0.5  # s without a change of the card before the slower sums are done anew
_SEVERITY = {"stop": "Stop", "caution": "Caution", "note": "Note"}


@cache
def _css() -> str:
    return files("popkit.panels").joinpath("finishing.css").read_text(encoding="utf-8")


class _Field(widgets.VBox):
    """A box to type in, and under it what is wrong with what was typed."""

    def __init__(self, label: str, name: str, hint: str = "", value: str = "") -> None:
        self.box = text_box(label, name, value, hint)
        self.why = words("popkit-why", f"popkit-{name}-why")
        super().__init__([self.box, self.why])
        self.add_class("popkit-field")

    @property
    def text(self) -> str:
        """What is typed in it."""
        return self.box.value

    def tell(self, why: str = "") -> None:
        """Put a reason under the box, or take it away."""
        self.why.value = said(why, "popkit-wrong", role="alert")
        (self.box.add_class if why else self.box.remove_class)("popkit-bad")


class _Remedies(widgets.VBox):
    """Sentences, each with a button where something can be done about it; the rows are kept.

    act  called with what stands behind the button
    """

    def __init__(self, name: str, act: Callable[[object], None]) -> None:
        self._name, self._act = name, act
        self._rows: list[tuple[widgets.HTML, widgets.Button, widgets.Box]] = []
        self._behind: list[object] = []
        super().__init__()
        self.add_class("popkit-remedies")
        self.add_class(f"popkit-{name}")

    def show(self, rows: Iterable[tuple[str, str, object]]) -> None:
        """Each row: sentences as HTML, what its button says or "", what is given to `act`."""
        rows = list(rows)
        self._behind = [behind for _, _, behind in rows]
        while len(self._rows) < len(rows):
            self._rows.append(self._row(len(self._rows)))
        for (text, act, _), (told, label, _) in zip(self._rows, rows, strict=False):
            text.value = told
            act.description, act.tooltip = label, label
            act.layout.display = None if label else "none"
        self.children = [row for _, _, row in self._rows[: len(rows)]]

    def _row(self, place: int) -> tuple[widgets.HTML, widgets.Button, widgets.Box]:
        text = words("popkit-finding-text")
        act = button("", f"{self._name}-{place + 1}", lambda: self._act(self._behind[place]))
        return text, act, beside([text, act], "popkit-finding")


class _Things(widgets.VBox):
    """The card's mats, or its ornaments: what is there, one of them to change, one more to add.

    kind    "layers" or "ornaments"
    do      called with a function of the workbench and what it is given
    fields  of the form for one more
    add     the function of the workbench that adds it
    """

    def __init__(
        self,
        kind: str,
        one: str,
        do: Callable,
        bench: Callable[[], Workbench],
        add: Callable,
        fields: dict[str, _Field],
    ) -> None:
        self._kind, self._one, self._do, self._bench, self._add = kind, one, do, bench, add
        self._quiet, self._rows, self._chosen, self._weighed = Quiet(), {}, "", ("", "")
        self.fields = fields
        self.table = words("popkit-finishing-table", f"popkit-{kind}-table")
        self.pick = choice("Change", f"{kind}-pick", [("choose one", "")], "")
        self.pick.observe(self._on(self._choose), "value")
        lies = "Stands on" if kind == "ornaments" else "Lies on"
        self.ground = choice(lies, f"{kind}-ground", [("the back", "back")], "back")
        self.ground.observe(self._on(self._move), "value")
        self.stock = choice("Cut from", f"{kind}-stock", [("the card's own", "")], "")
        self.stock.observe(self._on(lambda new: do(finish.restocked, kind, self.place, new)), "value")
        self.sizes = widgets.VBox()
        self.remove = button("Take it off", f"{kind}-remove", self._remove)
        self._editing = widgets.VBox()
        self._editing.add_class("popkit-finishing-edit")
        self.weight = _Field("Weight, in g", f"{kind}-weight", "empty: as its stock weighs")
        self.weight.box.observe(self._on(self._weigh), "value")
        self.on = choice(lies, f"{kind}-on", [("the back", "back")], "back")
        self.more = button(f"Add this {one}", f"{kind}-add", self._more)
        form = widgets.VBox([self.on, *fields.values(), self.more])
        self.form = widgets.Accordion([form], titles=[f"One more {one}"], selected_index=None)
        self.form.add_class("popkit-finishing-form")
        self.form.add_class(f"popkit-{kind}-form")
        super().__init__([self.table, self.pick, self._editing, self.form])

    def _on(self, act: Callable[[object], None]) -> Callable[[dict], None]:
        return lambda change: None if self._quiet else act(change["new"])

    @property
    def place(self) -> int | None:
        """Which of them is being changed, from 0."""
        names = [thing.name for thing in getattr(self._bench().card, self._kind)]
        return names.index(self._chosen) if self._chosen in names else None

    def _choose(self, name: str) -> None:
        self._chosen = name
        self.show(self._bench())

    def _move(self, on: str) -> None:
        place = self.place
        self._do(finish.moved if self._kind == "ornaments" else finish.relaid, place, on)
        names = [thing.name for thing in getattr(self._bench().card, self._kind)]
        if place < len(names) and self._chosen not in names:  # its name followed
            self._chosen = names[place]
            self.show(self._bench())

    def _weigh(self, text: str) -> None:
        made = finish.weighed(self._bench(), self.place, text)
        if isinstance(made, str):
            self.weight.tell(made)
            return
        self.weight.tell()
        self._do(lambda _: made)

    def _remove(self) -> None:
        self._do(finish.removed, self._kind, self.place)
        self.pick.focus()

    def _more(self) -> None:
        for field in self.fields.values():
            field.tell()
        bench = self._bench()
        texts = {name: field.text for name, field in self.fields.items()}
        made = self._add(bench, self.on.value, **texts)
        if isinstance(made, dict):
            for name, why in made.items():
                self.fields[name].tell(why)
            return
        things = getattr(made.card, self._kind)
        if len(things) == len(getattr(bench.card, self._kind)):  # refused: the notice says why
            self._do(lambda _: made)
            return
        self._chosen = things[-1].name
        with self._quiet():
            for field in self.fields.values():
                field.box.value = ""
        self._do(lambda _: made)

    # What is shown ----------------------------------------------------------------

    def show(self, bench: Workbench) -> None:
        """Bring all of it into step with the workbench."""
        with self._quiet():
            names = [thing.name for thing in getattr(bench.card, self._kind)]
            self._chosen = self._chosen if self._chosen in names else ""
            self._options(self.pick, (("choose one", ""), *((name, name) for name in names)))
            self.pick.value = self._chosen
            self.pick.layout.display = None if names else "none"
            layers = self._kind == "layers"
            grounds = (finish.grounds if layers else finish.standing_places)(bench)
            self._options(self.on, grounds)
            self._show_chosen(bench)

    def _options(self, chooser: widgets.Dropdown, options: tuple) -> None:
        if chooser.options != options:
            had = chooser.value
            chooser.options = options
            if had in [value for _, value in options]:
                chooser.value = had

    def show_table(self, bench: Workbench) -> None:
        """Bring the table into step: many readings, so it waits until the card rests."""
        found = finish.rows(bench, self._kind)
        if not found:
            self.table.value = said(f"No {self._one} yet.")
            return
        lies, shows = ("Lies on", "Left to see") if self._kind == "layers" else ("Stands on", "Rises")
        head = "".join(f'<th scope="col">{name}</th>' for name in ("Name", lies, "Cut", shows))
        body = "".join(
            f'<tr><th scope="row">{html.escape(row.name)}</th><td>{html.escape(row.on)}</td>'
            f"<td>{html.escape(figures(row.size))}</td><td>{html.escape(figures(_short(row.place)))}</td></tr>"
            for row in found
        )
        self.table.value = f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"

    def _show_chosen(self, bench: Workbench) -> None:
        if (place := self.place) is None:
            self._editing.children = ()
            return
        thing = getattr(bench.card, self._kind)[place]
        self._options(self.stock, finish.stock_choices(bench, self._kind, place))
        self.stock.value = thing.stock.name if thing.stock is not None else ""
        ornament = self._kind == "ornaments"
        places = finish.standing_places(bench) if ornament else finish.grounds(bench, place)
        self._options(self.ground, places)
        self.ground.value = thing.on
        parts = [self.ground]
        for size in bench_of.finishing_sizes(bench, self._kind, place):
            row = self._row(size)
            row.show(bench, size)
            parts.append(row)
        if ornament:
            self._show_weight(bench, place)
            parts.append(self.weight)
        parts += [self.stock, self.remove]
        if self._editing.children != tuple(parts):
            self._editing.children = parts

    def _show_weight(self, bench: Workbench, place: int) -> None:
        """What was typed and is no weight stays, with its reason, until another is chosen."""
        now = (self._chosen, finish.weight_text(bench, place))
        if now != self._weighed:
            self._weighed = now
            self.weight.box.value = now[1]
            self.weight.tell()

    def _row(self, size: bench_of.Size) -> SizeRow:
        if size.path not in self._rows:
            kind, place, field = size.path
            name = f"{kind.removesuffix('s')}-{place + 1}-{field}"
            self._rows[size.path] = SizeRow(
                size.path,
                size.label,
                name,
                lambda path, text: self._do(bench_of.edited, path, text),
                lambda path, marks: self._do(bench_of.slid, path, marks),
            )
        return self._rows[size.path]


class FinishingPanel(widgets.VBox):
    """Finish the card of a demo panel: cover it, set things on it, see it stand, send it.

    demo  the `DemoPanel` whose card this is
    """

    def __init__(self, demo: DemoPanel) -> None:
        self._demo, self._quiet, self._later = demo, Quiet(), None
        self._prefix = f"finishing{next(_PANELS)}-"
        self._own, self._asked, self._worked = False, "", ()
        self._make()
        sheet = widgets.HTML(f"<style>{_css()}</style>")
        sheet.add_class("popkit-style")
        super().__init__([style_sheet(), sheet, self._work(), self._foot()])
        for name in ("popkit-panel", "popkit-finishing"):
            self.add_class(name)
        self._update()
        demo.observe(lambda _: None if self._own else self._soon(both=True), "bench")

    @property
    def bench(self) -> Workbench:
        """The workbench, which is the demo panel's."""
        return self._demo.bench

    # Inputs -----------------------------------------------------------------------

    def _make(self) -> None:
        self.mats = _Things(
            "layers",
            "mat or strip",
            self._do,
            lambda: self.bench,
            finish.added_layer,
            {
                "reveal": _Field("Left to see", "new-layer-reveal", "1/8 in or 3 mm, unless you write"),
                "width": _Field(
                    "Width, of a strip", "new-layer-width", "empty: as wide as there is room"
                ),
                "length": _Field("Length, of a strip", "new-layer-length", "empty: likewise"),
                "name": _Field("Name", "new-layer-name", "sky, greeting, ..."),
            },
        )
        self.ornaments = _Things(
            "ornaments",
            "ornament",
            self._do,
            lambda: self.bench,
            finish.added_ornament,
            {
                "height": _Field("Height", "new-ornament-height", "3 1/4 in or 80 mm"),
                "width": _Field("Width", "new-ornament-width", "1 in or 25 mm"),
                "up": _Field("Foot raised by", "new-ornament-up", "empty: not at all"),
                "pad": _Field("Foam pad", "new-ornament-pad", "empty: glued flat"),
                "grams": _Field("Weight, in g", "new-ornament-grams", "empty: as its stock weighs"),
                "name": _Field("Name", "new-ornament-name", "flower, boat, ..."),
            },
        )
        self.tall = _Field("How tall is it?", "tall", "3 1/4 in or 80 mm")
        self.ask = button("Where can it go?", "where", self._ask)
        self.answer = _Remedies("answer", self._use)

        self.picture = words("popkit-picture", "popkit-finished-picture")
        self.notice = words("popkit-notice")
        self.findings = _Remedies("finishing-findings", lambda one: self._do(bench_of.mended, one))

        self.stands = words("popkit-stands")
        self.help = button("What would help?", "helps", self._help)
        self.helps = _Remedies("help", lambda one: self._do(finish.helped, one))
        self.tipping = tick("Show it as a chart", "tipping")
        self.tipping_chart = words("popkit-chart", "popkit-tipping-chart")
        self.closed = words("popkit-closed-words")
        self.profile = tick("Show it as a chart", "profile")
        self.profile_chart = words("popkit-chart", "popkit-profile-chart")
        for box in (self.tipping, self.profile):
            box.observe(self._on(lambda _: self._show_charts()), "value")

        self.envelope = choice("Envelope", "envelope", [("the smallest that takes it", "")], "")
        self.envelope.observe(self._on(lambda new: self._do(finish.sent_in, new)), "value")
        self.depth = _Field("Depth of the box", "box-depth", "empty: what the card needs")
        self.depth.box.observe(self._on(lambda _: self._settle(again=True)), "value")
        self.sent = words("popkit-sent")
        self.box = words("popkit-picture", "popkit-pieces", "popkit-box")
        self.services = {name: tick(name, f"service-{place}") for place, name in enumerate(SERVICES, 1)}
        for name, box in self.services.items():
            box.observe(self._on(lambda new, name=name: self._do(finish.sent_by, name, new)), "value")
        self.post = words("popkit-post")
        self.smaller = button("Could it go as smaller post?", "smaller", self._look_for_smaller)
        self.smaller_rows = _Remedies("smaller-post", lambda one: self._do(bench_of.applied, one))

    def _work(self) -> widgets.Widget:
        question = group("Where can it go?", [beside([self.tall, self.ask]), self.answer], "where-group")
        left = widgets.VBox(
            [
                group("Mats and strips", [self.mats], "mats-group"),
                group("Ornaments", [self.ornaments], "ornaments-group"),
                question,
            ]
        )
        left.add_class("popkit-controls")
        right = widgets.VBox(
            [self.picture, group("Checks", [self.notice, self.findings], "finishing-checks-group")]
        )
        right.add_class("popkit-results")
        return beside([left, right], "popkit-work")

    def _foot(self) -> widgets.Widget:
        stands = group(
            "Does it stand?",
            [self.stands, self.help, self.helps, self.tipping, self.tipping_chart],
            "stands-group",
        )
        closed = group("Does it close?", [self.closed, self.profile, self.profile_chart], "closed-group")
        sent = group("Envelope or box", [self.envelope, self.depth, self.sent, self.box], "sent-group")
        services = beside(self.services.values(), "popkit-services")
        post = group("Post", [services, self.post, self.smaller, self.smaller_rows], "post-group")
        return beside([stands, closed, sent, post], "popkit-finishing-foot")

    def _on(self, act: Callable[[object], None]) -> Callable[[dict], None]:
        return lambda change: None if self._quiet else act(change["new"])

    def _do(self, edit: Callable, *what: object) -> None:
        """Put an edit to the shared workbench; inputs follow at once, slower sums when it rests."""
        self._own = True
        try:
            self._demo.do(edit, *what)
        finally:
            self._own = False
        self._show_inputs()
        self._soon()

    def _ask(self) -> None:
        self._asked = self.tall.text or " "
        self._answer()

    def _use(self, chosen: Remedy | str) -> None:
        """A change of the card, or the place where it fits, filled in above."""
        if isinstance(chosen, Remedy):
            self._do(bench_of.applied, chosen)
            return
        with self._quiet():
            self.ornaments.on.value = chosen
            self.ornaments.fields["height"].box.value = self.tall.text
            self.ornaments.form.selected_index = 0
        self.ornaments.fields["width"].box.focus()

    def _help(self) -> None:
        found = finish.helps(self.bench)
        rows = [(said(str(one)), "Do it" if one.card else "Open it so", one) for one in found]
        self.helps.show(rows or [(said("Nothing we know of makes it steadier."), "", None)])

    def _look_for_smaller(self) -> None:
        found = finish.smaller_post(self.bench)
        self.smaller_rows.show(
            [(_told(text), "Apply" if remedy.changes else "", remedy) for text, remedy in found]
            or [(said("It goes in the smallest class of each service asked for."), "", None)]
        )

    # What is shown ----------------------------------------------------------------

    def _soon(self, *, both: bool = False) -> None:
        """Do the slower sums once the card has come to rest: a slider must not wait for them.

        both  the inputs too, as the change came from elsewhere
        """
        if self._later is not None:
            self._later.cancel()
            self._later = None
        act = self._update if both else self._settle
        try:
            self._later = asyncio.get_running_loop().call_later(_PAUSE, act)
        except RuntimeError:  # no kernel
            act()

    def _update(self) -> None:
        """Bring everything into step with the workbench."""
        self._show_inputs()
        self._settle()

    def _show_inputs(self) -> None:
        bench = self.bench
        with self._quiet():
            self.mats.show(bench)
            self.ornaments.show(bench)
            for name, asked in finish.services_of(bench):
                self.services[name].value = asked
            self.notice.value = said(bench.notice, "popkit-notice-words", role="status")

    def _settle(self, *, again: bool = False) -> None:
        """The slower sums, where the card or what it is sent in is another than before."""
        bench = self.bench
        worked = (bench.card, bench.ruler, bench.recipe.envelope, bench.recipe.post)
        if worked == self._worked and not again:
            return
        self._worked = worked
        with self._quiet():
            self.picture.value = draw_oblique(
                bench.card, 90, grids=bench.grids, page_mm=76, prefix=f"{self._prefix}finished-"
            )
            self.mats.show_table(bench)
            self.ornaments.show_table(bench)
            self._show_findings()
            self.stands.value = paragraphs(finish.stands_words(bench))
            self.closed.value = _told(finish.thickness_words(bench))
            self.helps.show([])
            self.smaller_rows.show([])
            self._show_charts()
            self._show_sent()
            if self._asked:
                self._answer()

    def _show_findings(self) -> None:
        found = finish.finishing_findings(self.bench)
        self.findings.show(
            [
                (
                    f"<p><strong>{_SEVERITY[one.severity]}.</strong> {html.escape(one.message)}</p>"
                    f"{said(str(one.remedy))}",
                    "Apply remedy" if one.remedy.changes else "",
                    one,
                )
                for one in found
            ]
            or [(said("Nothing to mend in the finishing."), "", None)]
        )

    def _answer(self) -> None:
        found = finish.where_it_goes(self.bench, self._asked)
        if isinstance(found, str):
            self.tall.tell(found)
            self.answer.show([])
            return
        self.tall.tell()
        rows = []
        for fit in found:
            if fit.fits:
                rows.append((said(str(fit)), "Use this place", fit.on))
                continue
            head, _, _ = str(fit).partition(". ")
            rows.append((said(f"{head}."), "", None))
            rows += [(said(f"To fit: {one.text}"), "Apply", one) for one in fit.changes]
        self.answer.show(rows)

    def _show_charts(self) -> None:
        for ticked, place, chart in (
            (self.tipping, self.tipping_chart, tipping_chart),
            (self.profile, self.profile_chart, thickness_chart),
        ):
            place.value = _shown(chart(self.bench.card)) if ticked.value else ""

    def _show_sent(self) -> None:
        bench = self.bench
        options = finish.envelope_choices(bench)
        if self.envelope.options != options:
            self.envelope.options = options
        self.envelope.value = bench.recipe.envelope
        depth = finish.boxed(bench, self.depth.text)
        self.depth.tell(depth if isinstance(depth, str) else "")
        found = finish.sent(bench, self.depth.text)
        boxed = isinstance(found.wrap, BoxEnvelope)
        self.depth.layout.display = None if boxed else "none"
        making = _told(found.making)
        self.sent.value = _told(found.envelope) + (
            f"<details><summary>How to make it</summary>{making}</details>" if making else ""
        )
        self.box.value = (
            draw_pieces(
                bench.card,
                grids=bench.grids,
                pieces=found.wrap.pieces,
                width_mm=240,
                prefix=f"{self._prefix}box-",
            )
            if boxed
            else ""
        )
        ticked = any(asked for _, asked in finish.services_of(bench))
        note = "" if ticked else said("No service is ticked, so here are all.")
        self.post.value = note + "".join(map(_told, found.post))

    # As text and as a still picture -----------------------------------------------

    def __repr__(self) -> str:
        bench = self.bench
        lines = [f"{bench.recipe.title}, finished."]
        for kind, none in (("layers", "No mat or strip yet."), ("ornaments", "No ornament yet.")):
            lines += [f"{row}." for row in finish.rows(bench, kind)] or [none]
        found = finish.finishing_findings(bench)
        lines += [str(one) for one in found] or ["Nothing to mend in the finishing."]
        sent = finish.sent(bench, self.depth.text)
        lines += [finish.stands_words(bench), finish.thickness_words(bench)]
        lines += [sent.envelope, *([sent.making] if sent.making else []), *sent.post]
        lines += [
            f"Typed and not used: {draft.text!r}. {draft.why}"
            for draft in bench.drafts
            if draft.path[0] in ("layers", "ornaments")
        ]
        return "\n".join(lines)

    def _repr_mimebundle_(self, **_: object) -> dict[str, object]:
        live = super()._repr_mimebundle_() or {}
        bench = self.bench
        svg = draw_oblique(bench.card, 90, grids=bench.grids)
        picture = embedded(svg.encode(), "image/svg+xml", "The finished card, open at 90°.", "49%")
        note = said("A still picture. Run the notebook to finish the card.")
        told = paragraphs(finish.stands_words(bench)) + said(finish.sent(bench).envelope)
        return {**live, "text/plain": repr(self), "text/html": picture + told + note}


def _told(text: str) -> str:
    """One paragraph, its fractions in small figures."""
    return said(figures(text))


def _short(place: str) -> str:
    """What a table's heading says already, left out."""
    return place.removeprefix("rises ").removesuffix(" left to see")


def _shown(chart: Chart) -> str:
    return embedded(chart.png, "image/png", chart.facts, "36em")
