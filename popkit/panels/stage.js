/* The stage: a card's pictures at every opening, turned by hand or by itself.

   The kernel draws; this keeps what was drawn and shows it at once. Whatever opening is not here yet
   is asked for, the one in sight first, then its neighbours while nothing else is to do. A moving
   slider therefore waits for nobody, and the kernel hears of it when it comes to rest.

   Messages: {want: [angles], version} out; {version, lines, frames: {angle: {pictures, words}}} in.
   A picture comes as numbers of lines, as most lines are the same at every opening. */

const QUIET = 160; // ms without movement before the kernel is told
const IDLE = 600; // ms after a change of the card before more is fetched: the person comes first
const BREATH = 30; // ms between one request and the next, for whatever else the kernel has to do
const AT_ONCE = 6; // openings in one request
const PATIENCE = 4000; // ms before a request counts as lost
const CLOSED = 0, FLAT = 180;

function made(tag, className, text) {
  const element = document.createElement(tag);
  element.className = className;
  if (text !== undefined) element.textContent = text;
  return element;
}

function render({ model, el }) {
  const says = model.get("says");
  const frames = new Map();
  let version = -1, at = model.get("angle"), shown = null;
  let asked = null, askedAt = 0, tell = 0, fetch = 0, slow = 0;
  let playing = 0, way = 1, place = at, before = 0, touched = false;
  let untold = false; // turned by hand, and the kernel has not heard of it yet

  // What is on the stage ------------------------------------------------------------

  const root = made("div", "popkit-stage-box");
  const bar = made("div", "popkit-opening");
  bar.setAttribute("role", "group");
  bar.setAttribute("aria-label", says.group);

  const play = made("button", "popkit-play widget-button jupyter-button", says.play);
  const label = made("label", "popkit-angle-slider");
  label.append(made("span", "popkit-label", says.opening));
  const slider = made("input", "popkit-angle");
  Object.assign(slider, { type: "range", min: CLOSED, max: FLAT, step: 1, value: at });
  label.append(slider);
  const words = made("output", "popkit-angle-words");
  const places = made("span", "popkit-angles");
  for (const [angle, name] of says.places) {
    const button = made("button", `popkit-angle-${angle} widget-button jupyter-button`, name);
    button.addEventListener("click", () => { stop(); turn(angle); });
    places.append(button);
  }
  const speedLabel = made("label", "popkit-speed-label");
  speedLabel.append(made("span", "popkit-label", says.speed));
  const speed = made("select", "popkit-speed");
  for (const [rate, name] of says.speeds) speed.append(new Option(name, rate));
  speed.value = says.speeds[1][0];
  speedLabel.append(speed);
  bar.append(play, label, words, places, speedLabel);
  if (says.large) {
    const large = made("button", "popkit-large widget-button jupyter-button", says.large);
    const press = () => large.setAttribute("aria-pressed", String(model.get("large")));
    large.addEventListener("click", () => { model.set("large", !model.get("large")); model.save_changes(); });
    model.on("change:large", press);
    press();
    bar.append(large);
  }

  const pictures = made("div", "popkit-pictures");
  const spots = model.get("views").map((name) => made("div", `popkit-picture popkit-${name}`));
  pictures.append(...spots);
  const busy = made("p", "popkit-busy", "");
  busy.setAttribute("role", "status");
  root.append(bar, pictures, busy);
  el.append(root);

  // Showing -------------------------------------------------------------------------

  function paint(angle) {
    const frame = frames.get(angle);
    if (!frame || frame === shown) return Boolean(frame);
    shown = frame;
    spots.forEach((spot, place) => { spot.innerHTML = frame.pictures[place]; });
    words.textContent = frame.words;
    slider.setAttribute("aria-valuetext", `${angle}°, ${frame.words}`);
    clearTimeout(slow);
    if (busy.textContent) busy.textContent = "";
    return true;
  }

  function turn(angle) {
    untold = true;
    follow(angle);
    clearTimeout(tell);
    tell = setTimeout(report, QUIET);
  }

  function follow(angle) {
    at = Math.min(FLAT, Math.max(CLOSED, Math.round(angle)));
    if (Number(slider.value) !== at) slider.value = at;
    if (!paint(at)) need();
  }

  function report() {
    clearTimeout(tell);
    untold = false;
    if (model.get("angle") !== at && !playing) {
      model.set("angle", at);
      model.save_changes();
    }
    more(QUIET);
  }

  // Asking --------------------------------------------------------------------------

  function ask(angles) {
    if (!angles.length || (asked && performance.now() - askedAt < PATIENCE)) return;
    asked = angles;
    askedAt = performance.now();
    model.send({ want: angles, version });
  }

  function need() {
    ask([at]);
    clearTimeout(slow);
    slow = setTimeout(() => { if (!frames.has(at)) busy.textContent = says.busy; }, 700);
  }

  /* The openings nearest to the one in sight that are not here yet. */
  function missing() {
    const found = [];
    for (let off = 0; off <= FLAT && found.length < AT_ONCE; off++) {
      for (const angle of off ? [at + off, at - off] : [at]) {
        if (angle >= CLOSED && angle <= FLAT && !frames.has(angle)) found.push(angle);
      }
    }
    return found;
  }

  function more(after) {
    clearTimeout(fetch);
    if (model.get("ahead") || touched) fetch = setTimeout(() => ask(missing()), after);
  }

  function take(message) {
    if (message.version !== version) return;
    for (const [angle, frame] of Object.entries(message.frames)) {
      const drawn = frame.pictures.map((rows) => rows.map((row) => message.lines[row]).join("\n"));
      frames.set(Number(angle), { pictures: drawn, words: frame.words });
    }
  }

  function heard(message) {
    if (!message || !message.frames) return;
    asked = null;
    take(message);
    if (!paint(at)) need();
    else more(BREATH);
  }

  /* Another card, or the same one shown otherwise: what was kept is of no use any more. An opening
     that was chosen meanwhile stays chosen. */
  function renewed() {
    const first = model.get("first");
    if (!first || first.version === version) return;
    version = first.version;
    frames.clear();
    shown = asked = null;
    take(first);
    follow(untold || playing ? at : model.get("angle"));
    more(IDLE);
  }

  function turned() {
    if (model.get("angle") === at || untold || playing) return;
    follow(model.get("angle"));
    more(QUIET);
  }

  // Playing -------------------------------------------------------------------------

  function step(now) {
    const gone = Math.min(100, now - before) / 1000;
    before = now;
    let next = place + way * gone * Number(speed.value);
    if (next >= FLAT || next <= CLOSED) {
      next = Math.min(FLAT, Math.max(CLOSED, next));
      way = -way;
    }
    if (frames.has(Math.round(next))) place = next; // hold still until it is here
    else if (!asked) ask(missing());
    if (Math.round(place) !== at) {
      at = Math.round(place);
      slider.value = at;
      paint(at);
    }
    playing = requestAnimationFrame(step);
  }

  function start() {
    touched = true;
    place = at;
    before = performance.now();
    if (at >= FLAT) way = -1;
    if (at <= CLOSED) way = 1;
    playing = requestAnimationFrame(step);
    play.textContent = says.pause;
    more(0);
  }

  function stop() {
    if (!playing) return;
    cancelAnimationFrame(playing);
    playing = 0;
    play.textContent = says.play;
    report();
  }

  play.addEventListener("click", () => (playing ? stop() : start()));
  slider.addEventListener("input", () => { touched = true; stop(); turn(Number(slider.value)); });
  root.addEventListener("pointerenter", () => { touched = true; });
  root.addEventListener("focusin", () => { touched = true; more(QUIET); });

  // Keys for the class: forward and back one step -------------------------------------

  const KEYS = { ArrowRight: 1, PageDown: 1, ArrowLeft: -1, PageUp: -1 };
  let panel = null, wait = 0;

  function key(event) {
    const way = KEYS[event.key];
    const typing = event.target.closest("input, select, textarea, [role=slider]");
    if (!way || typing || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    model.send({ step: way });
  }

  /* The panel around the stage, which may join the page later than the stage joins the panel. */
  function settle() {
    panel = el.closest(".popkit-panel");
    if (!panel) {
      wait = setTimeout(settle, 50);
      return;
    }
    if (model.get("steps")) {
      panel.tabIndex = 0;
      panel.setAttribute("role", "region");
      panel.setAttribute("aria-label", says.keys);
      panel.addEventListener("keydown", key);
    }
  }
  settle();

  model.on("msg:custom", heard);
  model.on("change:first", renewed);
  model.on("change:angle", turned);
  renewed();

  return () => {
    stop();
    if (panel) panel.removeEventListener("keydown", key);
    for (const timer of [tell, fetch, slow, wait]) clearTimeout(timer);
    model.off("msg:custom", heard);
    model.off("change:first", renewed);
    model.off("change:angle", turned);
  };
}

export default { render };
