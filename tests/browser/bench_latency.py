"""From a key press to the new picture on the page, in a real browser.

Run: python -m pytest -s tests/browser/bench_latency.py
Prints median, 90th percentile and least: of the opening slider once the page has every opening, of
the opening slider on a card just changed, and of a size's slider. Also how busy the machine was.
Nothing is asserted of a clock.
"""

import os
import statistics

PRESSES = 60

# From the key event as the browser dates it to the frame after the picture has changed.
WATCH = """(slider) => {
    const handle = document.querySelector(slider);
    handle.focus();
    window.times = [];
    let began = 0;
    handle.addEventListener('keydown', (event) => { began = event.timeStamp; }, {capture: true});
    window.watching && window.watching.disconnect();
    window.watching = new MutationObserver(() => requestAnimationFrame(() => {
        if (!began) return;
        window.times.push(performance.now() - began);
        began = 0;
    }));
    const picture = document.querySelector('.popkit-demo .popkit-side');
    window.watching.observe(picture, {childList: true, subtree: true});
}"""


def pressed(page, slider, presses=PRESSES, pause=60):
    """Milliseconds of each press, the arrow keys taking turns."""
    page.evaluate(WATCH, slider)
    for press in range(presses):
        page.keyboard.press("ArrowLeft" if press % 20 < 10 else "ArrowRight")
        page.wait_for_function("(count) => window.times.length >= count", arg=press + 1)
        page.wait_for_timeout(pause)
    return sorted(page.evaluate("() => window.times"))


def told(what, times):
    print(
        f"\n{what}: median {statistics.median(times):.0f} ms, "
        f"90th percentile {times[int(len(times) * 0.9)]:.0f} ms, least {times[0]:.0f} ms"
    )


def test_a_key_press_to_a_new_picture(open_notebook):
    notebook = open_notebook("1-workshop-demo.ipynb")
    notebook.run_all()
    notebook.bring_up("try")
    page = notebook.page
    page.locator(".popkit-demo .popkit-side svg").wait_for()
    cold = pressed(page, ".popkit-angle-slider input", presses=3, pause=0)
    page.wait_for_timeout(6000)
    times = pressed(page, ".popkit-angle-slider input")
    assert len(times) == PRESSES
    told("opening, every picture at hand", times)
    told("opening, the first presses", cold)
    sizes = pressed(page, ".popkit-tier-1-face-slider .noUi-handle", presses=30, pause=400)
    assert len(sizes) == 30
    told("a size", sizes)
    print(f"load of the machine, 1 minute: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
