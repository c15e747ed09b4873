"""The class planner in a real JupyterLab: another class size, a long proof stopped, the plan printed."""

import re

import pytest

from popkit.recipe import recipe_files
from tests.browser.panel_probes import seen, settled

pytest.importorskip("playwright")


def entered(page, box, text):
    settled(page)
    page.locator(f".popkit-{box} input").fill(text)
    page.locator(f".popkit-{box} input").press("Enter")
    page.wait_for_timeout(100)  # the kernel turns busy
    settled(page)


@pytest.fixture
def planner(open_notebook):
    notebook = open_notebook("4-class-planner.ipynb")
    notebook.run_all()
    notebook.bring_up("plan")
    notebook.page.locator(".popkit-class-layouts svg").first.wait_for(timeout=120_000)
    # the cells after it, which print, keep the kernel
    notebook.page.wait_for_timeout(500)
    notebook.page.wait_for_function(
        "() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.status === 'idle'",
        timeout=120_000,
    )
    return notebook


def test_a_class_is_planned_a_long_proof_stopped_and_the_plan_printed(planner, lab):
    page = planner.page
    seen(page, "class-state", "Done: 38 sheets")  # as the notebook prints it
    assert page.locator(".popkit-class-cuts li").count() > 20
    seen(page, "class-shopping", "a head")

    # So many of one recipe: the stile is one piece, two on a Letter sheet (8½ of 8½ x 4 of 11 in).
    page.locator(".popkit-class-source select").select_option("so many of each recipe")
    settled(page)
    page.locator(".popkit-recipes select").select_option("The kitchen garden stile")
    seen(page, "class-state", "Done: 12 sheets")
    assert page.locator(".popkit-class-layouts svg").count() == 1
    entered(page, "class-count-kitchen-garden-stile", "30")
    seen(page, "class-state", "Done: 15 sheets")
    assert "drawn" in page.locator(".popkit-class-layouts").inner_text()
    assert page.locator(".popkit-class-cuts li").count() >= 1

    # What cannot be read stays in its box with the reason; the plan of before is named as such.
    entered(page, "class-count-kitchen-garden-stile", "thirty <b>")
    page.locator(".popkit-class-count-kitchen-garden-stile-why [role=alert]").wait_for()
    box = page.locator(".popkit-class-count-kitchen-garden-stile input")
    assert box.input_value() == "thirty <b>"
    seen(page, "class-state", "the plan of the class before")
    entered(page, "class-count-kitchen-garden-stile", "3")
    seen(page, "class-state", "Done: 2 sheets")

    # Three of every recipe on A3, turned as it suits: many sizes, few of each, a long proof.
    page.locator(".popkit-class-turn select").select_option("as it suits, grain or not")
    settled(page)
    titles = page.locator(".popkit-recipes select option").all_inner_texts()
    names = [path.stem for path in recipe_files(lab.root / "notebooks" / "recipes")]
    for number in (1, 2, 3):
        if page.locator(f".popkit-class-sheet-{number} input").count():
            entered(page, f"class-sheet-{number}", "A3")
    page.locator(".popkit-recipes select").select_option(titles)
    page.wait_for_timeout(200)
    settled(page)
    for number in (1, 2, 3):
        entered(page, f"class-sheet-{number}", "A3")
    for name in names:
        if page.locator(f".popkit-class-count-{name} input").input_value() != "3":
            entered(page, f"class-count-{name}", "3")
    seen(page, "class-state", re.compile(r"sheets? so far, at least \d+ needed"))
    stop = page.locator(".popkit-class-stop")
    stop.wait_for()
    stop.focus()
    page.keyboard.press("Enter")
    seen(page, "class-state", re.compile("Stopped. The best plan so far takes|Done"), 120_000)
    stop.wait_for(state="hidden")
    page.locator(".popkit-class-layouts svg").nth(4).wait_for()
    sheets = int(re.search(r"(\d+) sheets", page.locator(".popkit-class-state").inner_text())[1])
    # Eight cards three times: their areas alone take more than 8 A3 sheets and less than 30.
    assert 8 < sheets < 30

    # Folded parts open by keyboard; the plan is printed and found.
    fold = page.locator(".popkit-class-times-group-fold")
    fold.focus()
    page.keyboard.press("Enter")
    page.locator(".popkit-class-times table").wait_for()
    entered(page, "class-file", "saturday-stopped")
    page.locator(".popkit-class-print").click()
    seen(page, "class-saved", "Printed saturday-stopped.pdf")
    printed = lab.root / "handouts" / "saturday-stopped.pdf"
    assert printed.read_bytes().startswith(b"%PDF-")
    assert planner.unexpected == []


def test_a_narrow_page_at_200_percent_reflows(planner):
    """WCAG 2.2, SC 1.4.10: content reflows at 320 CSS pixels, without scrolling in two directions."""
    page = planner.page
    page.evaluate("() => window.jupyterapp.shell.collapseLeft()")
    for width in (640, 420):  # 1280 at 200%, and what JupyterLab leaves of a narrower page
        page.set_viewport_size({"width": width, "height": 900})
        page.wait_for_timeout(500)
        planner.bring_up("plan")
        page.locator(".popkit-class-source").wait_for()
        seen = page.evaluate(
            """() => {
                const panel = document.querySelector('.popkit-class');
                const right = panel.getBoundingClientRect().right;
                const kinds = 'input, select, textarea, button, p, li, figure, h3, h4, .popkit-table';
                const shown = [...panel.querySelectorAll(kinds)].filter((one) =>
                    one.getClientRects().length && !one.parentElement.closest('.popkit-table'));
                const over = shown.filter((one) => one.getBoundingClientRect().right > right + 1);
                return {
                    width: panel.getBoundingClientRect().width,
                    shown: shown.length,
                    over: over.map((one) => one.outerHTML.slice(0, 120)),
                    sideways: panel.scrollWidth - panel.clientWidth,
                };
            }"""
        )
        assert 200 < seen["width"] < width
        assert seen["shown"] > 60
        assert seen["over"] == []
        assert seen["sideways"] <= 1
