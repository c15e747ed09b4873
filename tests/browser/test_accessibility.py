"""Every panel in a real JupyterLab: axe-core finds no serious fault, in light and dark; the Tab key
reaches every control in order; at 200 % nothing scrolls sideways.

Sources: axe-core's rules, each tagged with the criterion of WCAG that it tests; WCAG 2.2, SC 2.1.1
and 2.4.3 (keyboard, focus order), 1.4.4 and 1.4.10 (resizing to 200 %, reflow).
"""

import pytest

from tests.browser.panel_probes import CONTROLS, FITS, HERE

pytest.importorskip("playwright")
axe = pytest.importorskip("axe_playwright_python.sync_playwright")

# How many panels each notebook has at least: one that does not show could not be found at fault.
PANELS = {
    "1-workshop-demo": 2,
    "2-student-handouts": 1,
    "3-inches-to-millimetres": 2,
    "4-class-planner": 1,
    "5-why-it-folds": 7,
}
IDLE = (
    "() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.status === 'idle'"
    " && !document.querySelector('.jp-InputArea-prompt')?.textContent.includes('*')"
)
WITH_PANELS = """() => window.jupyterapp.shell.currentWidget.content.widgets
    .filter((cell) => cell.model.type === 'code' && [...Array(cell.model.outputs.length).keys()]
        .some((row) => 'application/vnd.jupyter.widget-view+json' in cell.model.outputs.get(row).data))
    .map((cell) => cell.model.id)"""
# The panel of a cell, marked so that the page can be asked about it alone.
MARK = """(id) => {
    document.querySelectorAll('[data-asked]').forEach((one) => delete one.dataset.asked);
    document.querySelectorAll('[data-popkit-order]').forEach((one) => delete one.dataset.popkitOrder);
    const cells = window.jupyterapp.shell.currentWidget.content.widgets;
    const panel = cells.find((cell) => cell.model.id === id).node.querySelector('.popkit-panel');
    if (!panel || !panel.getClientRects().length) return false;
    panel.dataset.asked = 'yes';
    return true;
}"""


@pytest.fixture(scope="module", params=PANELS)
def workshop(request, chromium, lab):
    """A notebook that has run, and the cells that hold its panels."""
    from tests.browser.conftest import Page

    context = chromium.new_context(viewport={"width": 1280, "height": 1000})
    context.set_default_timeout(60_000)
    page = context.new_page()
    notebook = Page(page, f"{lab.url}/lab/tree/notebooks/{request.param}.ipynb?reset")
    notebook.run_all()
    # the last cell has its number: everything above it has run
    page.wait_for_function(
        """() => {
            const cells = window.jupyterapp.shell.currentWidget.content.widgets
                .filter((cell) => cell.model.type === 'code');
            return cells.every((cell) => cell.model.executionState !== 'running')
                && cells.at(-1).model.executionCount >= cells.length;
        }""",
        timeout=180_000,
    )
    page.wait_for_function(IDLE)
    # JupyterLab's body has no height of its own, and axe takes what lies in it for hidden
    page.add_style_tag(content="body { min-height: 100vh; }")
    notebook.cells = page.evaluate(WITH_PANELS)
    assert len(notebook.cells) >= PANELS[request.param]
    yield notebook
    context.close()


def panels(notebook):
    """Bring up each panel in turn, marked."""
    for cell in notebook.cells:
        notebook.bring_up(cell)
        notebook.page.wait_for_function(MARK, arg=cell)
        notebook.page.wait_for_timeout(300)  # its pictures
        yield cell


@pytest.mark.parametrize("theme", ["JupyterLab Light", "JupyterLab Dark"])
def test_axe_finds_no_serious_fault(workshop, theme):
    page = workshop.page
    page.evaluate(
        "(theme) => window.jupyterapp.commands.execute('apputils:change-theme', {theme}).then(() => 1)",
        theme,
    )
    light = "true" if theme.endswith("Light") else "false"
    page.locator(f"body[data-jp-theme-light={light}]").wait_for(state="attached")
    page.wait_for_timeout(500)
    checked, faults = 0, []
    for cell in panels(workshop):
        # axe takes a selector; a panel's colour lies on the page's, which it looks up by itself
        found = axe.Axe().run(page, "[data-asked]", {"resultTypes": ["violations"]}).response
        checked += len(found["passes"])
        faults += [
            f"{cell}: {fault['impact']} {fault['id']}: {node['html'][:150]} {node['failureSummary']}"
            for fault in found["violations"]
            if fault["impact"] in ("serious", "critical")
            for node in fault["nodes"]
        ]
    assert faults == []
    assert checked >= 5 * len(workshop.cells)  # rules that had something to look at and passed


def test_axe_would_find_a_fault(workshop):
    """A nameless button and grey words on grey, put into a panel, are found there."""
    page = workshop.page
    next(panels(workshop))
    page.evaluate(
        """() => document.querySelector('[data-asked] h3').insertAdjacentHTML('beforeend',
            '<div id="faulty"><button></button><p style="color:#999;background:#777">words</p></div>')"""
    )
    found = axe.Axe().run(page, "[data-asked]", {"resultTypes": ["violations"]}).response
    page.evaluate("() => document.getElementById('faulty').remove()")
    assert {"button-name", "color-contrast"} <= {fault["id"] for fault in found["violations"]}


def test_the_tab_key_reaches_every_control_in_order(workshop):
    page = workshop.page
    for cell in panels(workshop):
        count = page.evaluate(CONTROLS, "asked")
        assert count > 0, cell
        page.locator("[data-asked] [data-popkit-order='0']").focus()
        reached = [page.evaluate(HERE)]
        for _ in range(2 * count):  # with a few stops at frames that scroll, and no trap
            page.keyboard.press("Tab")
            at = page.evaluate(HERE)
            if at == "out":
                break
            if at is not None:
                reached.append(at)
            if at == count - 1:
                break
        assert reached == list(range(count)), (cell, reached)
        page.keyboard.press("Shift+Tab")
        assert page.evaluate(HERE) != "out" or count == 1, cell


def test_at_200_percent_no_panel_scrolls_sideways(workshop):
    """1280 pixels at 200 % leave the page 640 to lay out."""
    page = workshop.page
    page.evaluate("() => window.jupyterapp.shell.collapseLeft()")
    page.set_viewport_size({"width": 640, "height": 800})
    page.wait_for_timeout(500)
    try:
        for cell in panels(workshop):
            for panel in page.evaluate(FITS):
                assert panel["shown"] > 5, (cell, panel)
                assert panel["over"] == [], (cell, panel)
                assert panel["sideways"] <= 1, (cell, panel)
    finally:
        page.set_viewport_size({"width": 1280, "height": 1000})
