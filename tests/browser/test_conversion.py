"""The conversion notebook in a real JupyterLab: paste, decide by click, read the verdict, answer."""

import math

import pytest

from popkit.recipe import load_recipe
from tests.browser.panel_probes import seen, settled

pytest.importorskip("playwright")

# 1 in = 25.4 mm, international yard and pound agreement, 1959: scores at 1/2, 1 and 4 1/4 in are
# 12.7, 25.4 and 107.95 mm. Rounded one by one they are 13, 25 and 108: the shelf is 12, the foot
# (1/2 in) 13 mm out. The strip of 4 3/4 in, 120.65 mm, is 121: its bottom tab is 13 mm, which a
# shelf of 12 cannot hold, so the second score must go to 26.
TEXT = """A gate for the Tidewell green
Cut the back 5 x 7 1/2 in and score it at 6 in. Cut a clear front 5 x 5 7/8 in.
Cut a strip 4 7/8 x 4 3/4 in and score it at 1/2, 1 and 4 1/4 in.
Leave 2 at each side <b>for the posts</b>, use 3 sheets and wait 10 minutes."""


def law_of_cosines(foot, shelf, face):
    """Degrees at which shelf and face lie in one line: (shelf + face)^2 = foot^2 + y^2 - 2 foot y cos t,
    where the shelf is glued at y = foot + face - shelf so that the card closes flat."""
    height = foot + face - shelf
    cosine = (foot**2 + height**2 - (shelf + face) ** 2) / (2 * foot * height)
    return math.degrees(math.acos(cosine))


def entered(page, box, text):
    settled(page)
    page.locator(f".popkit-{box} input").fill(text)
    page.locator(f".popkit-{box} input").press("Enter")
    page.wait_for_timeout(100)  # the kernel turns busy
    settled(page)


def test_a_text_is_pasted_a_doubt_decided_and_the_verdict_read(open_notebook, lab):
    notebook = open_notebook("3-inches-to-millimetres.ipynb")
    notebook.run_all()
    notebook.bring_up("convert")
    page = notebook.page
    page.locator(".popkit-views img").first.wait_for(timeout=90_000)

    page.locator(".popkit-conversion-text textarea").fill(TEXT)
    page.locator(".popkit-conversion-restate").click()
    seen(page, "restated", "Leave 2? at each side <b>for the posts</b>, use 3 sheets and wait 10 min")
    seen(page, "restated", "score it at 13 mm, 26 mm and 108 mm")
    assert page.locator(".popkit-text b").count() == 0
    assert page.locator(".popkit-views img").count() == 3

    # What rounding by numbers does, and where it stops.
    jams = law_of_cosines(foot=13, shelf=12, face=108 - 25)
    seen(page, "verdict", "foot is 13 mm out but its shelf is 12 mm deep")
    seen(page, "verdict", f"stops at {jams:.0f}°")
    seen(page, "views", f"Number by number: stops at {jams:.0f}°")

    # A length leads to its row and back.
    page.locator(".popkit-restated .popkit-length").first.click()
    page.wait_for_function("() => document.querySelector('.popkit-rows tr:target') !== null")
    assert "“5”" in page.locator(".popkit-rows tr:target").inner_text()

    # The doubtful place, by keyboard alone, then taken back, then left.
    inches = page.locator(".popkit-doubts .popkit-decide-in")
    inches.focus()
    page.keyboard.press("Enter")
    seen(page, "restated", "Leave 51 mm at each side")  # 2 x 25.4 = 50.8
    seen(page, "doubts", "Decided: inches.")
    page.locator(".popkit-decide-again").click()
    page.locator(".popkit-decide-mm").click()
    seen(page, "doubts", "Decided: millimetres.")
    page.locator(".popkit-decide-again:focus").wait_for()  # the keyboard stays where it was used
    seen(page, "restated", "Leave 2 at each side")

    # Kept as a recipe, as a text and as a handout.
    entered(page, "conversion-file", "../out")
    page.locator(".popkit-conversion-save").click()
    seen(page, "conversion-saved", "leads out of the folder")
    entered(page, "conversion-file", "gate")
    page.locator(".popkit-conversion-save").click()
    seen(page, "conversion-saved", "Saved as gate.toml")
    page.locator(".popkit-conversion-save-text").click()
    seen(page, "conversion-saved", "Saved as gate.txt")
    page.locator(".popkit-conversion-print").click()
    seen(page, "conversion-saved", "Printed gate.pdf")
    kept = load_recipe(lab.root / "notebooks" / "recipes" / "gate.toml")
    assert kept.title == "A gate for the Tidewell green"
    assert str(kept.ruler) == "1 mm"
    assert "13 mm, 26 mm" in (lab.root / "handouts" / "gate.txt").read_text(encoding="utf-8")
    assert (lab.root / "handouts" / "gate.pdf").read_bytes().startswith(b"%PDF-")

    # The lesson, on Harbour lights: scores 3/8, 7/8, 3 5/8 in are 9.525, 22.225, 92.075 mm.
    notebook.bring_up("lesson")
    page.locator(".popkit-exercise-view img").first.wait_for()
    entered(page, "exercise-1-answer", "twelve <i>")
    seen(page, "exercise-1 .popkit-told", "twelve <i>")
    entered(page, "exercise-1-answer", "13 mm")
    seen(page, "exercise-1 .popkit-told", "Not quite")
    entered(page, "exercise-1-answer", "12 mm")  # 22 - 10
    seen(page, "exercise-1 .popkit-told", "Yes")
    entered(page, "exercise-2-answer", f"{law_of_cosines(foot=13, shelf=12, face=92 - 22):.0f}")
    seen(page, "exercise-2 .popkit-told", "Yes")
    seen(page, "score", "2 of 3 right.")

    assert notebook.unexpected == []
