"""The notebooks as plain pages, as a class on tablets sees them: no code, moving pictures, printing."""

import json
import re

import pytest

from tests.browser.panel_probes import FITS

pytest.importorskip("playwright")
axe = pytest.importorskip("axe_playwright_python.sync_playwright")

TABLET = {"width": 820, "height": 1180}
PHONE = {"width": 320, "height": 800}  # WCAG 2.2, SC 1.4.10, Reflow


@pytest.fixture
def open_page(chromium, voila):
    """Open a notebook as a page; `page.faults` gathers what goes wrong in its scripts."""
    opened = []

    def opener(name):
        context = chromium.new_context(viewport=TABLET, has_touch=True)
        opened.append(context)
        context.set_default_timeout(60_000)
        page = context.new_page()
        page.faults = []
        page.on("pageerror", lambda error: page.faults.append(str(error)))
        page.goto(f"{voila.url}/voila/render/{name}.ipynb", timeout=120_000)
        return page

    yield opener
    for context in opened:
        context.close()


def looked_at(page):
    """What holds for every page: no code, no fault, nothing serious that axe finds, all in the width."""
    assert page.locator(".jp-InputArea-editor:visible, .jp-CodeMirrorEditor:visible").count() == 0
    assert "from popkit" not in page.locator("body").inner_text()
    assert page.get_by_text("Traceback").count() == 0
    found = axe.Axe().run(page, ".popkit-panel", {"resultTypes": ["violations"]}).response
    assert len(found["passes"]) > 5
    serious = [one for one in found["violations"] if one["impact"] in ("serious", "critical")]
    assert [(one["id"], [node["html"][:150] for node in one["nodes"]]) for one in serious] == []
    for size in (TABLET, PHONE):
        page.set_viewport_size(size)
        page.wait_for_timeout(300)
        assert (
            page.evaluate(
                "() => document.scrollingElement.scrollWidth - document.scrollingElement.clientWidth"
            )
            <= 1
        )
        for panel in page.evaluate(FITS):
            assert panel["shown"] > 5, panel
            assert panel["over"] == [], panel
            assert panel["sideways"] <= 1, panel
    page.set_viewport_size(TABLET)
    assert page.faults == []


def test_the_demo_moves_under_a_finger_and_follows_what_is_typed(open_page):
    page = open_page("1-workshop-demo")
    demo = page.locator(".popkit-demo")
    demo.locator(".popkit-side svg").wait_for(timeout=120_000)
    demo.locator(".popkit-angle-180").tap()
    page.locator(".popkit-demo .popkit-facts").filter(has_text="open flat").first.wait_for()
    demo.locator(".popkit-angle").press("Home")
    page.locator(".popkit-demo .popkit-facts").filter(has_text="closed").first.wait_for()
    before = demo.locator(".popkit-side").inner_html()
    demo.locator(".popkit-height input[type=text]").fill("6 in")
    demo.locator(".popkit-height input[type=text]").press("Enter")
    page.locator(".popkit-demo .popkit-facts").filter(
        has_text="back 6 in (152 mm)"  # 6 x 25.4 = 152.4; international inch, 1959
    ).first.wait_for()
    page.wait_for_function(
        "(before) => document.querySelector('.popkit-demo .popkit-side').innerHTML !== before",
        arg=before,
    )
    looked_at(page)


def test_handouts_are_printed_from_a_page(open_page, voila):
    page = open_page("2-student-handouts")
    page.locator(".popkit-pages-shown img").first.wait_for(timeout=120_000)
    page.locator(".popkit-name input").fill("Ines & Tom")
    page.locator(".popkit-name input").press("Enter")
    page.wait_for_timeout(500)
    page.locator(".popkit-print").tap()
    page.locator(".popkit-printed").filter(has_text="ines-tom.pdf").first.wait_for()
    (printed,) = (voila.root / "handouts").glob("harbour-lights-*ines-tom.pdf")
    assert printed.read_bytes().startswith(b"%PDF-")
    looked_at(page)


def test_the_front_door_leads_to_the_other_pages(open_page):
    page = open_page("0-start-here")
    page.locator("figure img").nth(3).wait_for(timeout=120_000)
    page.get_by_role("link", name="2, student handouts").click()
    page.wait_for_url("**/voila/render/2-student-handouts.ipynb", timeout=120_000)
    page.locator(".popkit-handout").wait_for(timeout=120_000)


def test_a_fault_in_a_cell_shows_nobody_the_code_or_the_folders(open_page, voila):
    notebook = json.loads((voila.root / "notebooks" / "0-start-here.ipynb").read_text(encoding="utf-8"))
    (cell,) = (one for one in notebook["cells"] if one["id"] == "parameters")
    cell["source"] = [re.sub('"harbour-lights"', '"no-such-card"', line) for line in cell["source"]]
    (voila.root / "notebooks" / "broken.ipynb").write_text(json.dumps(notebook), encoding="utf-8")
    page = open_page("broken")
    page.get_by_text("error").first.wait_for(timeout=120_000)
    shown = page.locator("body").inner_text()
    assert "Traceback" not in shown
    assert str(voila.root) not in page.content()
    assert "load_recipe(" not in shown
