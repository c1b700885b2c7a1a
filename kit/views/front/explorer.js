/* An explorer: a prediction first if there is one, then controls and a picture that the kernel draws. One request is
   under way at a time; the newest setting goes next, and a picture for an older setting is dropped. While nobody moves
   anything the pictures beside the one shown are drawn ahead and kept, so that the next step of a slider waits for
   nothing. */
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

  /** @type {Map<string, Kit.Drawn>} */
  const frames = new Map();
  const ahead = { asked: "", most: 0, timer: 0, key: spec.controls[0]?.key }; // what is drawn ahead, and for which control first
  const phone = () => el.clientWidth > 0 && el.clientWidth < 520;
  /** @param {Kit.Settings} at */
  const frameOf = (at) => JSON.stringify([phone(), spec.controls.map((control) => at[control.key])]);

  const rest = () => { timers.forEach((timer) => clearTimeout(timer)); timers = []; };
  const send = () => {
    if (!open || !near || drawn === wanted) return;
    const known = frames.get(frameOf(settings));
    if (known) { show({ ...known, serial: wanted }); return; }
    if (flying) return;
    if (engine.down()) { wait.textContent = engine.words(); return; }
    flying = wanted;
    figure.setAttribute("aria-busy", "true");
    rest();
    timers.push(setTimeout(() => { if (drawn !== wanted) wait.textContent = tr(STILL); }, SOON_MS));
    timers.push(setTimeout(() => { if (drawn !== wanted) wait.textContent = engine.down() ? engine.words() : tr(LATE); flying = 0; }, LATE_MS));
    model.send({ do: "draw", serial: flying, settings: { ...settings }, narrow: phone() });
  };
  const drawAhead = () => {
    if (!open || !near || flying || ahead.asked || drawn !== wanted || ahead.most <= 0 || playing || engine.down() || document.hidden) return;
    const next = beside(spec.controls, settings, ahead.key).find((at) => !frames.has(frameOf(at)));
    if (!next) return;
    ahead.most -= 1;
    ahead.asked = frameOf(next);
    model.send({ do: "draw", serial: AHEAD, settings: next, narrow: phone() });
  };
  const restAhead = () => {
    clearTimeout(ahead.timer);
    ahead.timer = window.setTimeout(() => { ahead.asked = ""; drawAhead(); }, CALM_MS); // a reply that was lost is not waited for
  };
  /** @param {Kit.Drawn} message */
  const keep = (message) => {
    if (message.error && message.serial !== AHEAD) return;
    if (frames.size >= KEPT) frames.delete(frames.keys().next().value ?? "");
    frames.set(ahead.asked && message.serial === AHEAD ? ahead.asked : frameOf(message.settings), message);
  };
  /** @param {Kit.Drawn} message */
  const show = (message) => {
    drawn = message.serial;
    el.dataset.drawn = JSON.stringify(message.settings);
    wait.textContent = message.error || "";
    blank.hidden = true;
    if (message.svg) vector.innerHTML = message.svg; // eslint-disable-line no-restricted-properties -- drawn by the kit itself from numbers
    vector.hidden = !message.svg;
    pictureIn(vector);
    said.replaceChildren(told(message.text));
    fillFacts(facts, message.facts);
    if (drawn === wanted) figure.removeAttribute("aria-busy");
    if (message.error) stop();
    else if (playing && drawn === wanted) goOn = window.setTimeout(() => playing?.(), PLAY_MS);
    ahead.most = wanted > 1 ? MOST_AHEAD : FIRST_AHEAD;
    restAhead();
  };
  /**
   * @param {string} key
   * @param {number | string} value
   */
  const change = (key, value) => { settings[key] = value; ahead.key = key; wanted += 1; window.requestAnimationFrame(send); };

  const guess = spec.predict ? predictNodes(spec.predict, () => { work.hidden = false; open = true; wanted = wanted || 1; send(); }, (ask) => model.send(ask)) : null;
  model.on("msg:custom", (message) => {
    if (message.reply === "kept") { guess?.kept(message.words); return; }
    keep(message);
    if (message.serial === AHEAD) { ahead.asked = ""; if (drawn === wanted) drawAhead(); else send(); return; }
    if (message.serial === flying) { flying = 0; rest(); wait.textContent = ""; }
    if (message.serial < drawn || (message.serial !== wanted && !held)) { send(); return; }
    show(message);
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
    for (const comes of ["pointerenter", "focus"]) range.addEventListener(comes, () => { ahead.key = control.key; ahead.most = MOST_AHEAD; restAhead(); });
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
  return () => { rest(); stop(); clearTimeout(ahead.timer); lookOut.disconnect(); };
};

const PLAY_MS = 160; // a moment to look at each picture of a run
const CALM_MS = 150; // without a move, before anything is drawn ahead
const AHEAD = -1; // the serial number of a picture that nobody asked for yet
const MOST_AHEAD = 24; // pictures drawn ahead at one rest
const FIRST_AHEAD = 6; // the same before a hand was seen
const KEPT = 160; // pictures kept on the page, each about 20 kB

/**
 * The settings one step away, then two, and so on: of the control under the hand first.
 * @param {readonly Kit.Setting[]} controls
 * @param {Kit.Settings} at
 * @param {string | undefined} first
 */
const beside = (controls, at, first) => {
  const found = /** @type {Kit.Settings[]} */ ([]);
  const inTurn = [...controls].sort((one, other) => Number(other.key === first) - Number(one.key === first));
  for (const control of inTurn) {
    if (control.form === "choice") {
      found.push(...control.options.map((option) => ({ ...at, [control.key]: option.key })));
      continue;
    }
    const here = Number(at[control.key]), places = decimals(control.step), steps = control.key === first ? MOST_AHEAD / 2 : 1;
    for (let away = 1; away <= steps; away += 1) {
      for (const value of [here + away * control.step, here - away * control.step]) {
        if (value > control.low - 1e-9 && value < control.high + 1e-9) found.push({ ...at, [control.key]: Number(value.toFixed(places)) });
      }
    }
  }
  return found;
};

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
