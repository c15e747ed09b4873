"""The lesson and the front door in a real JupyterLab: predict, be told why, move the picture, print."""

import re

import pytest

from tests.browser.panel_probes import seen, settled

pytest.importorskip("playwright")


def entered(page, box, text):
    settled(page)
    page.locator(f".popkit-{box} input").fill(text)
    page.locator(f".popkit-{box} input").press("Enter")
    page.wait_for_timeout(100)  # the kernel turns busy
    settled(page)


def numbers(page, part):
    """The millimetres of a question, in order."""
    asked = page.locator(f".popkit-{part} .popkit-ask").first.inner_text()
    return [int(found) for found in re.findall(r"(\d+) mm", asked)]


def test_a_prediction_is_made_and_explained_and_the_results_are_printed(open_notebook, lab):
    notebook = open_notebook("5-why-it-folds.ipynb")
    notebook.run_all()
    notebook.bring_up("parallelogram")
    page = notebook.page
    picture = page.locator(".popkit-parallelogram .popkit-scene-picture svg")
    picture.wait_for(timeout=90_000)

    # Nothing moves, and no length is lettered, before something is predicted.
    handle = page.locator(".popkit-parallelogram-angle .noUi-handle")
    assert page.locator(".popkit-parallelogram-angle .noUi-target[disabled]").count() == 1
    assert " mm" not in picture.text_content()

    # The commonest slip is told for what it is; what was typed is no markup.
    face, shelf = numbers(page, "parallelogram")
    entered(page, "parallelogram-answer", "twelve <i>")
    seen(page, "parallelogram .popkit-told", "twelve <i>")
    assert page.locator(".popkit-parallelogram .popkit-told i").count() == 0
    entered(page, "parallelogram-answer", f"{face} mm")
    seen(page, "parallelogram .popkit-told", "You gave the height of the face")

    # A right one, in inches: its nearest millimetre (1 in = 25.4 mm, 1959).
    entered(page, "parallelogram-answer", f"{round(shelf / 25.4 * 64)}/64 in")
    seen(page, "parallelogram .popkit-told", "Yes.")
    seen(page, "parallelogram .popkit-scene-picture", f"shelf {shelf} mm")

    # The picture, by keyboard alone: closed, and flat.
    handle.focus()
    handle.press("Home")
    seen(page, "parallelogram .popkit-scene-words", "closed")
    handle.press("End")
    seen(page, "parallelogram .popkit-scene-words", "open flat")

    # The practice sheet: a shared number, one slip, one right answer, the working, printed.
    notebook.bring_up("practice")
    page.locator(".popkit-sheet-1 .popkit-ask").wait_for()
    entered(page, "seed", "x")
    seen(page, "seed-why", "whole number")
    entered(page, "seed", "12")
    face, shelf = numbers(page, "sheet-1")
    entered(page, "sheet-1-answer", f"{shelf + face}")
    seen(page, "sheet-1 .popkit-told", "You added shelf and face")
    page.locator("button.popkit-sheet-1-show").click()
    seen(page, "sheet-1 .popkit-working", f"Foot: {shelf} mm")
    *shelves, _ = numbers(page, "sheet-2")
    entered(page, "sheet-2-answer", f"{sum(shelves) / 10} cm")
    seen(page, "sheet-2 .popkit-told", "Yes.")
    seen(page, "score", "1 of 8 right, 1 of them at the first try.")
    entered(page, "results-name", "Ines & Tom")
    page.locator("button.popkit-results-print").click()
    seen(page, "results-saved", "Printed exercises-12-a4-ines-tom.pdf")
    page.locator("button.popkit-results-save").click()
    seen(page, "results-saved", "exercises-12-a4-ines-tom.txt")
    printed = lab.root / "handouts" / "exercises-12-a4-ines-tom"
    assert printed.with_suffix(".pdf").read_bytes().startswith(b"%PDF-")
    assert "1 of 8 right" in printed.with_suffix(".txt").read_text(encoding="utf-8")

    assert notebook.unexpected == []


def test_the_front_door_opens_on_pictures_and_links(open_notebook):
    notebook = open_notebook("0-start-here.ipynb")
    notebook.run_all()
    page = notebook.page
    notebook.bring_up("ready")
    page.get_by_text("Ready. Packages, fonts, recipes").first.wait_for(timeout=90_000)
    notebook.bring_up("pictures")
    page.locator(".jp-RenderedHTML figure img").nth(3).wait_for()
    widths = page.locator(".jp-RenderedHTML figure img").evaluate_all(
        "images => images.map(one => one.naturalWidth)"
    )
    assert len(widths) == 4
    assert min(widths) > 100
    # Code is folded away: no editor is in sight.
    assert page.locator(".jp-CodeCell .jp-InputArea-editor:visible").count() == 0
    notebook.bring_up("which")
    page.get_by_role("link", name="5, why it folds").click()
    page.wait_for_function(
        "() => window.jupyterapp.shell.currentWidget.context.path.endsWith('5-why-it-folds.ipynb')"
    )
    assert notebook.unexpected == []
