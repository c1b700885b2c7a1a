/* An explorer: a prediction first if there is one, then controls and a picture that the kernel draws. One request is
   under way at a time; the newest setting goes next, and a picture for an older setting is dropped. */
/** @type {Kit.Render<Kit.ExplorerState, Kit.DrawAsk | Kit.GuessAsk, Kit.Drawn | Kit.GuessKept>} */
const render = ({ model, el, signal }) => {
  ownKeys(el);
  el.classList.add("sk", "sk-explorer-box");
  const spec = model.get("spec"), title = uid("explorer"), words = uid("words");
  const settings = { ...spec.start };
  let wanted = 0, flying = 0, drawn = 0, open = !spec.predict, near = false, held = false;
  /** @type {number[]} */
  let timers = [];
  let goOn = 0, /** @type {(() => void) | null} */ playing = null; // a time that runs by itself: its next step
  const stopped = new Set(/** @type {(() => void)[]} */ ([]));
  const stop = () => { playing = null; clearTimeout(goOn); stopped.forEach((tell) => tell()); };

  const blank = h("p", { class: "sk-blank" }, say("The picture is on its way …"));
  const facts = h("ul", { class: "sk-facts", "aria-live": "polite" });
  const said = h("p", { id: words });
  const wait = h("p", { class: "sk-wait", "aria-live": "polite" });
  const vector = h("div", { class: "sk-svg", role: "img", "aria-labelledby": title, "aria-describedby": words, hidden: true });
  const figure = h("figure", { class: "sk-figure", "aria-busy": "true" }, h("div", { class: "sk-frame" }, blank, vector), facts,
    h("details", { class: "sk-words" }, h("summary", {}, say("The picture in words")), said));

  const rest = () => { timers.forEach((timer) => clearTimeout(timer)); timers = []; };
  const send = () => {
    if (!open || !near || flying || drawn === wanted) return;
    if (engine.down()) { wait.textContent = engine.words(); return; }
    flying = wanted;
    figure.setAttribute("aria-busy", "true");
    rest();
    timers.push(setTimeout(() => { wait.textContent = tr(STILL); }, SOON_MS));
    timers.push(setTimeout(() => { wait.textContent = engine.down() ? engine.words() : tr(LATE); flying = 0; }, LATE_MS));
    model.send({ do: "draw", serial: flying, settings: { ...settings }, narrow: el.clientWidth > 0 && el.clientWidth < 520 });
  };
  /**
   * @param {string} key
   * @param {number | string} value
   */
  const change = (key, value) => { settings[key] = value; wanted += 1; window.requestAnimationFrame(send); };

  const guess = spec.predict ? predictNodes(spec.predict, () => { work.hidden = false; open = true; wanted = wanted || 1; send(); }, (ask) => model.send(ask)) : null;
  model.on("msg:custom", (message) => {
    if (message.reply === "kept") { guess?.kept(message.words); return; }
    if (message.serial === flying) { flying = 0; rest(); wait.textContent = ""; }
    if (message.serial < drawn || (message.serial !== wanted && !held)) { send(); return; }
    drawn = message.serial;
    el.dataset.drawn = JSON.stringify(message.settings);
    wait.textContent = message.error || "";
    blank.hidden = true;
    if (message.svg) vector.innerHTML = message.svg; // eslint-disable-line no-restricted-properties -- drawn by the kit itself from numbers
    vector.hidden = !message.svg;
    said.textContent = message.text;
    fillFacts(facts, message.facts);
    if (drawn === wanted) figure.removeAttribute("aria-busy");
    if (message.error) stop();
    else if (playing && drawn === wanted) goOn = window.setTimeout(() => playing?.(), PLAY_MS);
    send();
  });

  /**
   * @param {Kit.Slider} control
   * @param {HTMLInputElement} range
   * @param {() => void} tell
   */
  const playButton = (control, range, tell) => {
    const button = h("button", { type: "button", class: "sk-play" }, say("Play"));
    stopped.add(() => button.replaceChildren(say("Play")));
    /** @param {number} value */
    const put = (value) => { range.value = String(value); tell(); change(control.key, Number(range.value)); };
    const step = () => {
      if (Number(range.value) >= control.high || engine.down()) stop();
      else put(Number(range.value) + control.step);
    };
    button.addEventListener("click", () => {
      if (playing) { stop(); return; }
      playing = step;
      button.replaceChildren(say("Stop"));
      put(Number(range.value) >= control.high ? control.low : Number(range.value) + control.step);
    });
    return button;
  };

  const rows = spec.controls.map((control) => {
    if (control.form === "choice") {
      const { node, inputs, choose } = picks(control.options, "radio", say(control.label), (text) => [say(text)]);
      inputs.forEach((input) => input.addEventListener("change", () => { if (input.checked) change(control.key, input.value); }));
      node.classList.add("sk-choice");
      return { node, put: () => choose((key) => key === settings[control.key]) };
    }
    const id = uid("slider"), unit = control.unit && control.unit !== "1" ? ` ${control.unit}` : "";
    /** @param {string} value */
    const shown = (value) => `${Number(value).toFixed(decimals(control.step))}${unit}`;
    const out = h("output", { for: id });
    const range = h("input", { id, type: "range", min: control.low, max: control.high, step: control.step, "data-key": control.key });
    const tell = () => { out.textContent = shown(range.value); range.setAttribute("aria-valuetext", shown(range.value)); };
    range.addEventListener("input", () => { tell(); change(control.key, Number(range.value)); });
    range.addEventListener("pointerdown", () => { held = true; stop(); });
    range.addEventListener("pointerup", () => { held = false; });
    range.addEventListener("pointercancel", () => { held = false; });
    const node = h("div", { class: "sk-setting" }, h("label", { for: id }, say(control.label)), h("div", { class: "sk-inline" }, range, out, control.plays ? playButton(control, range, tell) : null));
    return { node, put: () => { range.value = String(settings[control.key]); tell(); } };
  });
  const showSettings = () => rows.forEach((row) => row.put());
  showSettings();
  const again = h("button", { type: "button", class: "sk-quiet",
    onclick: () => { Object.assign(settings, spec.start); showSettings(); wanted += 1; send(); } }, say("Back to the start"));
  const work = h("div", { class: "sk-work" }, h("fieldset", { class: "sk-settings" }, h("legend", {}, say("Change one thing at a time")), rows.map((row) => row.node), again), wait, figure);

  const card = h("section", { class: "sk-card sk-explorer", "aria-labelledby": title, "data-explorer": spec.name },
    h("header", { class: "sk-head" }, h("h3", { id: title }, h("span", { class: "sk-tag" }, say("Explore")), h("span", {}, say(spec.title)))),
    spec.intro ? h("div", { class: "sk-prose" }, h("p", {}, say(spec.intro))) : null);
  if (guess) {
    work.hidden = true;
    card.append(guess.ask);
  }
  card.append(work, ...(guess ? [guess.close] : []));
  el.replaceChildren(card);

  wanted = 1;
  const lookOut = new IntersectionObserver((seen) => { if (seen.some((one) => one.isIntersecting)) { near = true; lookOut.disconnect(); whenCalm(send); } }, { rootMargin: "500px" });
  lookOut.observe(card);
  let lost = false; // only the engine's own words are taken back: an error of the drawing stays
  engine.watch(() => {
    if (engine.down()) { lost = true; flying = 0; rest(); wait.textContent = engine.words(); }
    else { if (lost) wait.textContent = ""; lost = false; send(); }
  }, signal);
  return () => { rest(); stop(); lookOut.disconnect(); };
};

const PLAY_MS = 160; // a moment to look at each picture of a run

/* Tasks come first: the first picture is asked for only once all cells have run. */
/** @param {() => void} go */
const whenCalm = (go) => {
  const started = Date.now();
  const look = () => {
    const running = document.documentElement.dataset.kitRun === "running";
    if (!running || Date.now() - started > 20000) go();
    else setTimeout(look, 60);
  };
  look();
};

export default { render };
