"""What a page is asked about our panels: what they say, whether they fit, what the Tab key reaches."""

# The sizes that stick out of each panel, and the panel's own. What scrolls inside a frame of its own,
# as a wide table may, is asked no further: WCAG 2.2, SC 1.4.10 leaves tables out.
FITS = """() => [...document.querySelectorAll('.popkit-panel')].map((panel) => {
    const right = panel.getBoundingClientRect().right;
    const scrolls = (one) => ['auto', 'scroll'].includes(getComputedStyle(one).overflowX);
    const framed = (one) => {
        for (let box = one.parentElement; box && box !== panel; box = box.parentElement)
            if (scrolls(box)) return true;
        return false;
    };
    const kinds = 'input, select, textarea, button, p, li, figure, svg, img, progress, h3, h4, table';
    const shown = [...panel.querySelectorAll(kinds)].filter((one) =>
        one.getClientRects().length && !framed(one));
    const over = shown.filter((one) => one.getBoundingClientRect().right > right + 1);
    return {
        name: panel.className.match(/popkit-(?!panel)[\\w-]+/)[0],
        shown: shown.length,
        over: over.map((one) => one.outerHTML.slice(0, 120)),
        sideways: panel.scrollWidth - panel.clientWidth,
    };
})"""

# Mark every control of the panels that can be seen and used, in the order of the page.
CONTROLS = """(mark) => {
    const kinds = 'input, select, textarea, button, a[href], summary, [role=slider], '
        + '[role=tab], .jupyter-widget-Collapse-header';
    const off = (one) => one.matches(':disabled, [aria-disabled=true]') || one.closest('[disabled]');
    let count = 0;
    for (const panel of document.querySelectorAll('.popkit-panel')) {
        if (!panel.dataset[mark]) continue;
        for (const one of panel.querySelectorAll(kinds)) {
            delete one.dataset.popkitOrder;
            const seen = one.getClientRects().length && getComputedStyle(one).visibility === 'visible';
            if (seen && !off(one))
                one.dataset.popkitOrder = count++;
        }
    }
    return count;
}"""

# Where the keyboard is: the number of the control, null for a stop between, "out" when it has left.
HERE = """() => {
    const at = document.activeElement;
    if (!at || !at.closest('.popkit-panel')) return 'out';
    return at.dataset.popkitOrder === undefined ? null : Number(at.dataset.popkitOrder);
}"""


def seen(page, part, words, timeout=60_000):
    """Wait until a part of the panel says something."""
    page.locator(f".popkit-{part}").filter(has_text=words).first.wait_for(timeout=timeout)


def settled(page):
    """Wait until the kernel has done what it was asked: a click overtakes what is typed meanwhile."""
    page.wait_for_timeout(100)  # the kernel turns busy
    page.wait_for_function(
        "() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.status === 'idle'",
        timeout=120_000,
    )
