"""The two notebooks in a real JupyterLab, driven as a tutor drives them: keyboard and clicks."""

from fractions import Fraction

import pytest

from popkit.lengths import mm
from popkit.recipe import load_recipe
from tests.browser.panel_probes import seen, settled

pytest.importorskip("playwright")


def changed(page, part: str, before: str) -> str:
    """The inside of a part, once it is no longer what it was."""
    page.wait_for_function(
        "([part, before]) => document.querySelector(`.popkit-${part}`).innerHTML !== before",
        arg=[part, before],
    )
    return page.locator(f".popkit-{part}").first.inner_html()


def typed(page, box: str, text: str) -> None:
    """Fill a box, Enter, and wait until the kernel has it."""
    settled(page)
    page.locator(f".popkit-{box} input").fill(text)
    page.locator(f".popkit-{box} input").press("Enter")
    page.wait_for_timeout(100)  # the kernel turns busy
    settled(page)


def test_the_demo_shows_what_is_typed_mends_it_and_keeps_it(open_notebook, lab):
    notebook = open_notebook("1-workshop-demo.ipynb")
    notebook.run_all()
    notebook.bring_up("try")
    page = notebook.page
    demo = page.locator(".popkit-demo")
    demo.locator(".popkit-side svg").wait_for()
    assert demo.locator(".popkit-oblique svg").count() == 1

    # A size typed: facts, picture and reading follow.
    side = demo.locator(".popkit-side").inner_html()
    typed(page, "height", "6 in")
    side = changed(page, "side", side)
    seen(page, "facts", "back 6 in (152 mm)")  # 6 x 25.4 = 152.4; international inch, 1959

    # Nonsense stays in its box with the reason, and the last good picture stays.
    typed(page, "height", "six <b>")
    page.locator(".popkit-height-why [role=alert]").wait_for()
    assert page.locator(".popkit-height input").input_value() == "six <b>"
    assert demo.locator(".popkit-side").inner_html() == side
    assert page.locator(".popkit-height-why b").count() == 0
    typed(page, "height", "5 1/2 in")
    side = changed(page, "side", side)

    # The opening by keyboard alone.
    handle = demo.locator(".popkit-angle-slider input")
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
    demo.locator(".popkit-angle-180").click()
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


def opening(box):
    """Degrees that the slider of a stage stands at."""
    return int(box.locator(".popkit-angle-slider input").input_value())


def test_the_card_plays_is_peeled_and_fills_the_wall(open_notebook):
    notebook = open_notebook("1-workshop-demo.ipynb")
    notebook.run_all()
    notebook.bring_up("try")
    page = notebook.page
    demo = page.locator(".popkit-demo")
    demo.locator(".popkit-side svg").wait_for()

    # It plays by itself and rests where it is stopped; the words of the kernel follow.
    demo.locator(".popkit-play").press("Enter")
    page.wait_for_function(
        "() => Number(document.querySelector('.popkit-demo .popkit-angle').value) > 120"
    )
    demo.locator(".popkit-play").press("Enter")
    rest = opening(demo)
    seen(page, "facts", f"open {rest}°" if rest < 180 else "open flat")
    page.wait_for_timeout(300)
    assert opening(demo) == rest

    # Both pictures are of the same opening, and each has words for a screen reader.
    for view in ("side", "oblique"):
        shown = demo.locator(f".popkit-{view} svg title").text_content()
        assert (f"{rest}°" if rest < 180 else "flat") in shown
    assert demo.locator(".popkit-angle").get_attribute("aria-valuetext").startswith(f"{rest}°")
    demo.locator(".popkit-height-slider .noUi-handle[aria-label*='Height']").wait_for()

    # Peeled from the front: tier 3 goes in both.
    demo.locator(".popkit-angle-90").click()
    demo.locator(".popkit-side [id$=tier-3]").wait_for(state="attached")
    demo.locator(".popkit-peel select").select_option("tiers 1 to 2")
    demo.locator(".popkit-side [id$=tier-3]").wait_for(state="detached")
    assert demo.locator(".popkit-oblique [id$=tier-3-face]").count() == 0
    assert demo.locator(".popkit-oblique [id$=tier-2-face]").count() == 1

    # On the wall the side view is wider and its words are larger.
    def size():
        words = demo.locator(".popkit-side text").first.bounding_box()["height"]
        return demo.locator(".popkit-side").bounding_box()["width"], words

    wide, words = size()
    demo.locator("button.popkit-large").click()
    page.locator(".popkit-demo.popkit-projecting").wait_for()
    page.wait_for_function(
        "(wide) => document.querySelector('.popkit-demo .popkit-side').clientWidth > wide * 1.2",
        arg=wide,
    )
    assert size()[1] > words * 1.4
    assert notebook.unexpected == []


def test_an_opening_chosen_while_the_kernel_is_at_work_stays_chosen(open_notebook):
    notebook = open_notebook("1-workshop-demo.ipynb")
    notebook.run_all()
    notebook.bring_up("try")
    page = notebook.page
    page.locator(".popkit-demo .popkit-side svg").wait_for()
    seen(page, "angle-words", "On show")
    settled(page)

    # Both within one moment of the page: the kernel's new pictures come after the second click.
    page.evaluate(
        """() => {
            document.querySelector(".popkit-slipping input").click();
            document.querySelector(".popkit-demo .popkit-angle-180").click();
        }"""
    )
    seen(page, "angle-words", "it stops at")
    assert opening(page.locator(".popkit-demo")) == 180
    page.locator(".popkit-slipping input").uncheck()
    seen(page, "facts", "open flat")
    assert notebook.unexpected == []


def test_a_class_is_led_through_the_steps_by_arrow_keys(open_notebook):
    notebook = open_notebook("1-workshop-demo.ipynb")
    notebook.run_all()
    notebook.bring_up("steps")
    page = notebook.page
    steps = page.locator(".popkit-steps")
    steps.locator(".popkit-side svg").wait_for()
    seen(page, "step-progress", "Step 1 of 11")
    steps.focus()
    for number in (2, 3, 4, 5):
        page.keyboard.press("ArrowRight")
        seen(page, "step-progress", f"Step {number} of 11")
    seen(page, "step-words", "Tier 1: the bottom tab")
    steps.locator(".popkit-step-flat svg", has_text="tier 1").wait_for()
    assert steps.locator(".popkit-oblique [id$=tier-1-face]").count() == 1
    assert steps.locator(".popkit-oblique [id$=tier-2-face]").count() == 0

    # On the slider an arrow key opens the card; it is no step.
    steps.locator(".popkit-angle").press("ArrowRight")
    steps.locator(".popkit-side svg title", has_text="open 91°").wait_for(state="attached")
    seen(page, "step-progress", "Step 5 of 11")
    steps.locator(".popkit-step-back").press("Enter")
    seen(page, "step-progress", "Step 4 of 11")
    page.keyboard.press("PageUp")
    seen(page, "step-progress", "Step 3 of 11")
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
