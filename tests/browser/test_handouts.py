"""Handouts in a real JupyterLab: an edition chosen, its pages seen, one printed, the class printed."""

import pytest

from tests.browser.panel_probes import seen, settled

pytest.importorskip("playwright")


@pytest.fixture
def handouts(open_notebook):
    notebook = open_notebook("2-student-handouts.ipynb")
    notebook.run_all()
    notebook.bring_up("choose")
    notebook.page.locator(".popkit-pages-shown img").first.wait_for(timeout=120_000)
    notebook.page.wait_for_timeout(500)
    settled(notebook.page)
    return notebook


def pages(page):
    return page.locator(".popkit-pages-shown figure").count()


def test_an_edition_is_chosen_seen_and_printed_for_one_and_for_the_class(handouts, lab):
    page, printed = handouts.page, lab.root / "handouts"
    whole = pages(page)
    assert whole >= 4

    # The score chart has fewer pages, and is printed for one.
    page.locator(".popkit-edition select").select_option("score chart")
    settled(page)
    page.wait_for_function(
        f"() => document.querySelectorAll('.popkit-pages-shown figure').length < {whole}"
    )
    # What the button says it did is in sight, even from the lower edge of the window.
    page.locator("button.popkit-print").evaluate("(button) => button.scrollIntoView({block: 'end'})")
    page.locator("button.popkit-print").click()
    seen(page, "printed", "Printed harbour-lights-a4-scores.pdf")
    page.wait_for_function(
        """() => {
            const said = document.querySelector(".popkit-printed [role=status]").getBoundingClientRect();
            const scroller = document.querySelector(".jp-WindowedPanel-outer").getBoundingClientRect();
            return said.bottom <= Math.min(innerHeight, scroller.bottom) + 1;
        }"""
    )
    assert (printed / "harbour-lights-a4-scores.pdf").read_bytes().startswith(b"%PDF-")

    # A number that is none stays in its box with the reason; another is taken.
    page.locator(".popkit-edition select").select_option("worksheet")
    settled(page)
    box = page.locator(".popkit-seed input")
    box.fill("seven <b>")
    box.press("Enter")
    page.locator(".popkit-seed-why [role=alert]").wait_for()
    assert box.input_value() == "seven <b>"
    box.fill("7")
    box.press("Enter")
    page.locator(".popkit-pages-shown img").first.wait_for()
    settled(page)

    # The class of the roster, stopped by keyboard, then to the end; the progress is seen.
    # Handouts with names take longest, as no two are alike.
    page.locator(".popkit-edition select").select_option("for a student")
    settled(page)
    assert "Zoë Kowalczyk" in page.locator(".popkit-roster textarea").input_value()
    # A quick machine shows the progress for a moment only, so the page itself looks out for it; and
    # on a busy one the class may be printed before Stop is reached. (The panel's own tests stop it
    # at a file they choose.)
    page.evaluate(
        """() => {
            window.sawProgress = false;
            const look = () => {
                if (document.querySelector('.popkit-class-printing progress')) window.sawProgress = true;
            };
            new MutationObserver(look).observe(document.body, {subtree: true, childList: true});
        }"""
    )
    page.locator(".popkit-print-class").click()
    stop = page.locator(".popkit-stop-class")
    page.wait_for_function("() => window.sawProgress", timeout=120_000)
    if stop.is_visible():
        stop.evaluate("button => button.focus()")
        page.keyboard.press("Enter")
    page.wait_for_function(
        "() => /Stopped:|Printed 25/.test(document.querySelector('.popkit-class-printing').innerText)",
        timeout=120_000,
    )
    stop.wait_for(state="hidden")
    some = sorted(path.name for path in (printed / "class").glob("*.pdf"))
    assert 1 <= len(some) <= 25
    page.locator(".popkit-print-class").click()
    seen(page, "class-printing", "Printed 25 files in class", 180_000)
    names = sorted(path.name for path in (printed / "class").glob("*.pdf"))
    assert len(names) == 25
    assert set(some) <= set(names)
    assert "09-zoë-kowalczyk-student.pdf" in names
    assert "class-student.pdf" in names

    # Files for a cutting machine.
    page.locator(".popkit-cutting-group-fold").click()
    page.locator(".popkit-cut-files").click()
    seen(page, "cut-written", "Written: harbour-lights-back.svg")
    assert "<svg" in (printed / "harbour-lights-back.svg").read_text()
    assert handouts.unexpected == []
