/* What a keyboard and a screen reader need of a panel: every slider handle by name and every folded
   part as a button, as ipywidgets leaves them to the mouse, and keys that are meant for the panel kept
   from being commands of the notebook. JupyterLab looks for that mark on the focused element itself.
   And of everybody: what a button has done is said where it can be seen. */

const FOLD = ".jupyter-widget-Collapse-header";
const OUTCOME = "[role=status], [role=alert]";
const SOON = 10000; // ms after a button within which words are taken for its outcome
const REACHED = `input, select, textarea, button, .noUi-handle, ${FOLD}`;

function foldable(header) {
  const part = header.parentElement;
  const told = () => {
    header.setAttribute("aria-expanded", String(part.classList.contains("jupyter-widget-Collapse-open")));
  };
  header.tabIndex = 0;
  header.setAttribute("role", "button");
  header.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    header.click();
  });
  new MutationObserver(told).observe(part, { attributes: true, attributeFilter: ["class"] });
  told();
}

function named(panel) {
  for (const place of [panel, ...panel.querySelectorAll(REACHED)]) place.dataset.lmSuppressShortcuts = "true";
  for (const handle of panel.querySelectorAll(".noUi-handle:not([aria-label])")) {
    const row = handle.closest(".widget-slider");
    const titled = row && (row.title ? row : row.querySelector("[title]:not([title=''])"));
    const label = row && row.querySelector(".widget-label");
    const name = (titled && titled.title) || (label && label.textContent);
    if (name) handle.setAttribute("aria-label", name);
  }
  panel.querySelectorAll(`${FOLD}:not([role])`).forEach(foldable);
}

function outcome(changes) {
  for (const change of changes) {
    for (const node of change.addedNodes) {
      if (node.matches?.(OUTCOME)) return node;
      const within = node.querySelector?.(OUTCOME);
      if (within) return within;
    }
  }
  return null;
}

function render({ el }) {
  let panel = null, wait = 0, pressed = 0;
  const press = (event) => { if (event.target.closest("button")) pressed = performance.now(); };
  const watch = new MutationObserver((changes) => {
    if (changes.some((change) => !change.target.closest(".popkit-picture"))) named(panel);
    if (!pressed) return;
    const said = outcome(changes);
    if (said) said.scrollIntoView({ block: "nearest" });
    if (said || performance.now() - pressed > SOON) pressed = 0;
  });

  /* The panel around this, which may join the page later than this joins the panel. */
  function settle() {
    panel = el.closest(".popkit-panel");
    if (!panel) {
      wait = setTimeout(settle, 50);
      return;
    }
    named(panel);
    panel.addEventListener("click", press);
    watch.observe(panel, { childList: true, subtree: true });
  }
  settle();

  return () => {
    watch.disconnect();
    panel?.removeEventListener("click", press);
    clearTimeout(wait);
  };
}

export default { render };
