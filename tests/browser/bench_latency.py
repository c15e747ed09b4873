"""From a key press on the opening slider to the new picture on the page, in a real browser.

Run: python -m pytest -s tests/browser/bench_latency.py
Prints median, 90th percentile and least of 60 presses; nothing is asserted of a clock.
"""

import statistics

PRESSES = """(presses) => new Promise((done) => {
    const handle = document.querySelector('.popkit-angle-slider .noUi-handle');
    const times = [];
    let began = 0;
    const press = () => {
        began = performance.now();
        const key = times.length % 2 ? 'ArrowLeft' : 'ArrowRight';
        handle.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true, cancelable: true}));
    };
    const watch = new MutationObserver(() => requestAnimationFrame(() => {
        if (!began) return;
        times.push(performance.now() - began);
        began = 0;
        if (times.length < presses) return void setTimeout(press, 60);
        watch.disconnect();
        done(times);
    }));
    watch.observe(document.querySelector('.popkit-side'), {childList: true, subtree: true});
    press();
})"""


def test_a_key_press_to_a_new_picture(open_notebook):
    notebook = open_notebook("1-workshop-demo.ipynb")
    notebook.run_all()
    notebook.bring_up("try")
    notebook.page.locator(".popkit-side svg").wait_for()
    times = sorted(notebook.page.evaluate(PRESSES, 60))
    assert len(times) == 60
    print(
        f"\nkey press to new picture: median {statistics.median(times):.0f} ms, "
        f"90th percentile {times[54]:.0f} ms, least {times[0]:.0f} ms"
    )
