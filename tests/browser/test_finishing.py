"""Finishing a card in a real JupyterLab: a mat, an ornament too tall, its remedy, an envelope, a box."""

import pytest

from tests.browser.panel_probes import settled

pytest.importorskip("playwright")


def seen(page, part, words):
    """Wait until a part of the panel says something."""
    page.locator(f".popkit-finishing .popkit-{part}").filter(has_text=words).first.wait_for()


def typed(page, box, text):
    """Fill a box, Enter, and wait until the kernel has it."""
    settled(page)
    page.locator(f".popkit-{box} input").fill(text)
    page.locator(f".popkit-{box} input").press("Enter")
    page.wait_for_timeout(100)  # the kernel turns busy
    settled(page)


@pytest.fixture
def notebook(open_notebook):
    notebook = open_notebook("1-workshop-demo.ipynb")
    notebook.run_all()
    notebook.bring_up("finish")
    notebook.page.locator(".popkit-finishing .popkit-finished-picture svg").wait_for()
    settled(notebook.page)
    return notebook


def test_a_card_is_finished_mended_and_put_in_an_envelope(notebook):
    page = notebook.page
    panel = page.locator(".popkit-finishing")

    # A mat on the back, by the form; it appears in the table and in the picture.
    panel.locator(".popkit-layers-form .jupyter-widget-Collapse-header").first.click()
    panel.locator(".popkit-layers-on select").select_option("the back, above tier 1")
    typed(page, "new-layer-reveal", "not much")
    panel.locator(".popkit-layers-add").click()
    seen(page, "new-layer-reveal-why", "has no number")
    assert panel.locator(".popkit-new-layer-reveal input").input_value() == "not much"
    typed(page, "new-layer-reveal", "1/4 in")
    panel.locator(".popkit-layers-add").click()
    # The card is 4 1/4 wide, its back stands 5 1/2 high above a face of 2 3/4; 1/4 off each side.
    seen(page, "layers-table", "3¾ in (95 mm) × 2¼ in (57 mm)")

    # An ornament 5 in tall on tier 3, whose foot is 1 1/2 in from the fold: 6 1/2 is over 5 1/2.
    panel.locator(".popkit-ornaments-form .jupyter-widget-Collapse-header").first.click()
    panel.locator(".popkit-ornaments-on select").select_option("tier 3")
    typed(page, "new-ornament-height", "5 in")
    typed(page, "new-ornament-width", "1 in")
    typed(page, "new-ornament-name", "lighthouse")
    panel.locator(".popkit-ornaments-add").click()
    seen(page, "finishing-findings", "“lighthouse” shows by 1 in")
    # The demo above says the same of the card that both share.
    page.locator(".popkit-demo .popkit-findings", has_text="lighthouse").wait_for(state="attached")

    panel.locator(".popkit-finishing-findings-1").click()
    # With a mat and an ornament between them back and front lie too far apart for one score.
    seen(page, "ornaments-table", "1 in (25 mm) × 4 in (102 mm)")
    settled(page)
    seen(page, "finishing-findings", "one score does not close flat over that")
    panel.locator(".popkit-finishing-findings-1").click()
    seen(page, "finishing-findings", "Nothing to mend")
    seen(page, "ornaments-table", "1 in (25 mm) × 4 in (102 mm)")

    seen(page, "sent", "It goes in an envelope A6")
    panel.locator(".popkit-envelope select").select_option("a box of our own")
    panel.locator(".popkit-box svg").wait_for()
    panel.locator(".popkit-service-1 input").check()
    seen(page, "post", "USPS")
    seen(page, "post", "Check the service's current rules")
    page.wait_for_function(
        "() => document.querySelectorAll('.popkit-finishing .popkit-post p').length === 2"
    )
    assert notebook.unexpected == []


def test_where_a_flower_can_go_and_what_would_have_to_change(notebook):
    page = notebook.page
    panel = page.locator(".popkit-finishing")
    typed(page, "tall", "4 1/2 in")
    panel.locator(".popkit-where").click()
    # On tier 3 there is 5 1/2 - 1 1/2 = 4 in.
    seen(page, "answer", "Tier 3: too tall by ½ in")
    panel.locator(".popkit-answer button", has_text="Apply").first.click()
    seen(page, "answer", "Tier 3: it just fits")
    panel.locator(".popkit-tipping input").check()
    panel.locator(".popkit-tipping-chart img").wait_for()
    assert notebook.unexpected == []
