"""The two notebooks in a real JupyterLab, driven as a tutor drives them: keyboard and clicks."""

from fractions import Fraction

import pytest

from popkit.lengths import mm
from popkit.recipe import load_recipe

pytest.importorskip("playwright")


def seen(page, part: str, words: str) -> None:
    """Wait until a part of the panel says something."""
    page.locator(f".popkit-{part}").filter(has_text=words).first.wait_for()


def changed(page, part: str, before: str) -> str:
    """The inside of a part, once it is no longer what it was."""
    page.wait_for_function(
        "([part, before]) => document.querySelector(`.popkit-${part}`).innerHTML !== before",
        arg=[part, before],
    )
    return page.locator(f".popkit-{part}").first.inner_html()


def typed(page, box: str, text: str) -> None:
    page.locator(f".popkit-{box} input").fill(text)
    page.locator(f".popkit-{box} input").press("Enter")


def test_the_demo_shows_what_is_typed_mends_it_and_keeps_it(open_notebook, lab):
    notebook = open_notebook("1-workshop-demo.ipynb")
    notebook.run_all()
    notebook.bring_up("try")
    page = notebook.page
    page.locator(".popkit-side svg").wait_for()
    assert page.locator(".popkit-oblique svg").count() == 1

    # A size typed: facts, picture and reading follow.
    side = page.locator(".popkit-side").inner_html()
    typed(page, "height", "6 in")
    side = changed(page, "side", side)
    seen(page, "facts", "back 6 in (152 mm)")  # 6 x 25.4 = 152.4; international inch, 1959

    # Nonsense stays in its box with the reason, and the last good picture stays.
    typed(page, "height", "six <b>")
    page.locator(".popkit-height-why [role=alert]").wait_for()
    assert page.locator(".popkit-height input").input_value() == "six <b>"
    assert page.locator(".popkit-side").inner_html() == side
    assert page.locator(".popkit-height-why b").count() == 0
    typed(page, "height", "5 1/2 in")
    side = changed(page, "side", side)

    # The opening by keyboard alone.
    handle = page.locator(".popkit-angle-slider .noUi-handle")
    handle.focus()
    handle.press("ArrowLeft")
    side = changed(page, "side", side)
    seen(page, "facts", "open 89°")
    handle.press("End")
    seen(page, "facts", "open flat")
    handle.press("Home")
    seen(page, "facts", "closed")

    # A face too tall for the closed card (1/2 + 5 3/4 > 5 1/2), mended with its own button.
    typed(page, "tier-1-face", "5 3/4 in")
    seen(page, "findings", "Stop")
    page.locator(".popkit-findings .popkit-remedy-1").focus()
    page.keyboard.press("Enter")
    seen(page, "findings", "Nothing to mend")

    # A foot glued 1/16 in too far out.
    page.locator(".popkit-slipping input").check()
    page.locator(".popkit-angle-180").click()
    seen(page, "angle-words", "it stops at")
    page.locator(".popkit-slipping input").uncheck()
    seen(page, "angle-words", "Flat")

    # Kept as a recipe; not over another unless that is ticked.
    typed(page, "file", "../outside")
    page.locator(".popkit-save").click()
    seen(page, "saved", "leads out of the folder")
    typed(page, "file", "harbour-lights")
    page.locator(".popkit-save").click()
    seen(page, "saved", "There is a file of this name")
    typed(page, "file", "pier-head")
    page.locator(".popkit-save").click()
    seen(page, "saved", "Saved as pier-head.toml")
    kept = load_recipe(lab.root / "notebooks" / "recipes" / "pier-head.toml")
    assert mm(kept.card.height) == Fraction("139.7")  # 5.5 x 25.4
    assert not (lab.root / "notebooks" / "outside.toml").exists()

    assert notebook.unexpected == []


def test_the_handout_notebook_shows_pages_and_prints_them(open_notebook, lab):
    notebook = open_notebook("2-student-handouts.ipynb")
    notebook.run_all()
    notebook.bring_up("choose")
    page = notebook.page
    page.locator(".popkit-pages-shown img").first.wait_for()
    assert page.locator(".popkit-pages-shown img").first.evaluate("image => image.naturalWidth") > 300

    pages = page.locator(".popkit-pages-shown").inner_html()
    page.locator(".popkit-large input").check()
    changed(page, "pages-shown", pages)
    typed(page, "name", "Ines & Tom")
    page.locator(".popkit-print").click()
    seen(page, "printed", "Printed harbour-lights-a4-large-print-ines-tom.pdf")
    printed = lab.root / "handouts" / "harbour-lights-a4-large-print-ines-tom.pdf"
    assert printed.read_bytes().startswith(b"%PDF-")

    assert notebook.unexpected == []


def test_the_console_is_heard(open_notebook):
    """A fault on the page would be caught: the lists above are empty because nothing was said."""
    notebook = open_notebook("2-student-handouts.ipynb")
    notebook.page.evaluate("() => console.error('a fault of ours')")
    notebook.page.wait_for_timeout(200)
    assert "error: a fault of ours" in notebook.unexpected
