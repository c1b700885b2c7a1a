/* The inspection bench. The page sends where the finger is; the kernel answers how strong the bump is. One touch is
   under way at a time and the newest place goes next. Where the bones are comes only after the call is made. */
const MOST_MARKS = 12, TAP_PX = 24;

/**
 * @param {Kit.BenchFeel} view
 * @param {(step: Kit.BenchStep) => void} send
 * @param {(at: Kit.Point, heard: (bump: number) => void) => void} feel
 */
const handsOn = (view, send, feel) => {
  /** @type {Kit.Point[]} */
  const marks = [];
  /** @type {Kit.Point} */
  let finger = [0.5, 0.5];
  /** @type {Kit.Point | null} */
  let down = null;
  /** @type {string[]} */
  let trail = [];
  const strength = h("output", { class: "sk-hidden", "aria-live": "polite" });
  const said = h("p", { class: "sk-note", "aria-live": "polite" });
  const bar = h("span"), meter = h("div", { class: "sk-bump", "aria-hidden": "true" }, h("span", { class: "sk-bump-label" }, say("Under your finger")), h("div", { class: "sk-bump-scale" }, bar));
  const layer = h("div", { class: "sk-layer" });
  const path = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  path.setAttribute("class", "sk-trail"); path.setAttribute("viewBox", "0 0 600 240"); path.setAttribute("preserveAspectRatio", "none"); path.setAttribute("aria-hidden", "true");
  const line = document.createElementNS("http://www.w3.org/2000/svg", "polyline");
  path.append(line);
  const bulge = h("i"), tip = h("div", { class: "sk-tip", "aria-hidden": "true", hidden: true }, bulge);
  const board = h("div", { class: "sk-board sk-bench-board", tabindex: "0", role: "application",
    "aria-label": tr("Fillet to feel. Arrow keys move the fingertip, with Shift in bigger steps. Enter marks a bone. Backspace takes the last mark back.") }, path, layer, tip);
  const tell = (text = "") => { said.textContent = text || (marks.length ? tr("Marked: {where}.", { where: marks.map((mark, i) => tr("{n} at {where}", { n: i + 1, where: percent(mark) })).join("; ") }) : tr("Nothing marked yet.")); };
  const draw = () => {
    layer.replaceChildren(...marks.map((mark, i) => placed(mark, String(i + 1))));
    back.hidden = !marks.length;
  };
  /** @param {Kit.Point} place */
  const move = ([x, y], aloud = false) => {
    finger = [inside(x), inside(y)];
    tip.hidden = false;
    tip.style.left = `${100 * finger[0]}%`; tip.style.top = `${100 * finger[1]}%`;
    trail = [...trail.slice(-400), `${(600 * finger[0]).toFixed(0)},${(240 * finger[1]).toFixed(0)}`];
    line.setAttribute("points", trail.join(" "));
    feel(finger, (bump) => {
      bulge.style.transform = `scale(${(0.25 + 0.75 * bump).toFixed(2)})`;
      bar.style.width = `${Math.round(100 * bump)}%`;
      board.dataset.bump = String(bump);
      if (aloud) strength.textContent = tr("{where}: bump {n} of 10.", { where: percent(finger), n: Math.round(10 * bump) });
    });
  };
  const mark = () => {
    if (marks.length >= MOST_MARKS) { tell(tr("{n} marks are the most. Take one back first.", { n: MOST_MARKS })); return; }
    marks.push([rounded(finger[0]), rounded(finger[1])]);
    draw(); tell();
  };
  const takeBack = () => { const held = document.activeElement === back; marks.pop(); draw(); tell(); if (held && back.hidden) board.focus(); };
  board.addEventListener("pointerdown", (event) => { down = [event.clientX, event.clientY]; move(pointAt(event, board)); });
  board.addEventListener("pointermove", (event) => move(pointAt(event, board)));
  board.addEventListener("pointercancel", () => { down = null; });
  board.addEventListener("pointerup", (event) => { // a tap marks; a slide only feels
    if (down && Math.hypot(event.clientX - down[0], event.clientY - down[1]) < TAP_PX) mark();
    down = null;
  });
  board.addEventListener("keydown", (event) => {
    const step = event.shiftKey ? 0.05 : 0.01;
    const to = stepped(event, finger, [step, 2 * step]);
    if (to) move(to, true);
    else if (event.key === "Enter" || event.key === " ") mark();
    else if (event.key === "Backspace" || event.key === "Delete") takeBack();
    else return;
    event.preventDefault();
  });
  const back = h("button", { type: "button", class: "sk-quiet", onclick: takeBack, hidden: true }, say("Take back the last mark"));
  /** @param {boolean} pull */
  const call = (pull) => {
    if (pull && !marks.length) { tell(tr("Mark where the bone is before you pull.")); return; }
    if (!pull && marks.length) { tell(tr("You marked a bone. Pull it, or take the mark back.")); return; }
    send({ do: "decide", pull, marks });
  };
  tell(); draw();
  const where = say(view.of <= 1 ? noted("One fillet to try") : view.look === 2 ? noted("Fillet {n} of {all}, second look") : noted("Fillet {n} of {all}"), { n: view.place, all: view.of });
  return [h("p", { class: "sk-bench-where" }, h("strong", {}, where), " · ", view.words),
    meter, pictureNode(view.picture, { board }), strength,
    h("p", { class: "sk-note" }, say("Slide over the fillet to feel. Tap or click to mark. Or tab to it and use the arrow keys and Enter.")),
    h("div", { class: "sk-inline" }, said, back),
    h("div", { class: "sk-inline sk-go" }, h("button", { type: "button", class: "sk-main", "data-call": "pass", onclick: () => call(false) }, say("Pass: no bone")),
      h("button", { type: "button", class: "sk-main", "data-call": "pull", onclick: () => call(true) }, say("Pull: bones as marked")))];
};

/**
 * @param {Exclude<Kit.BenchShown, Kit.BenchFeel>} view
 * @param {(step: Kit.BenchStep) => void} send
 */
const afterwards = (view, send) => {
  /**
   * @param {"try" | "run" | "again" | "show"} what
   * @param {string} words
   */
  const ask = (what, words, main = false) => h("button", { type: "button", class: main ? "sk-main" : null, "data-step": what, onclick: () => send({ do: what }) }, say(words));
  const key = h("p", { class: "sk-note" }, say("● bone you found · ✕ bone you missed · ○ mark with no bone near."));
  const fillets = ("gallery" in view && view.gallery) || [];
  const gallery = fillets.length ? [key, h("div", { class: fillets.length > 1 ? "sk-bench-gallery" : null }, fillets.map((one) => h("div", {}, h("h4", {}, one.title), pictureNode(one.picture))))] : [];
  const counts = "reports" in view ? view : null;
  const reports = (counts?.reports ?? []).map((one) => h("div", { class: "sk-bench-report" }, h("h4", {}, one.title), h("ul", { class: "sk-facts sk-facts-long" }, one.facts.map((fact) => h("li", {}, marked(fact))))));
  const steps = {
    ready: [ask("try", noted("Try one fillet"), true), ask("run", noted("Start a run of ten"))],
    tried: [ask("try", noted("Try another")), ask("run", noted("Start a run of ten"), true)],
    counts: [counts?.can_again ? ask("again", noted("Feel the same ten again, blind"), true) : null, ask("show", noted("Show me the bones"), !counts?.can_again)],
    shown: [ask("run", noted("Start a new run of ten"), true)],
  }[view.phase];
  const notes = "weeks" in view ? [view.weeks ? h("p", {}, view.weeks) : null, view.aim ? h("p", {}, view.aim) : null] : [];
  return [counts ? h("p", { class: "sk-bench-plain" }, h("strong", {}, counts.plain)) : null, ...notes,
    counts?.agree ? h("p", {}, h("strong", {}, counts.agree)) : null,
    reports.length ? h("details", {}, h("summary", {}, say("All counts, with how sure they are")), reports) : null,
    view.phase === "counts" && view.can_again ? prose(tr("Ten fillets say little, so the ranges are wide. Feel the same ten again before you see the bones. They come in another order, turned round.")) : null,
    ...gallery, h("div", { class: "sk-inline sk-go" }, steps)].filter((one) => one !== null);
};

/** @type {Kit.Render<Kit.BenchState, Kit.BenchAsk, Kit.Felt>} */
const render = ({ model, el, signal }) => {
  ownKeys(el);
  el.classList.add("sk");
  const title = uid("bench"), body = h("div", { class: "sk-bench-body" }), wait = h("p", { class: "sk-wait", "aria-live": "polite" });
  let serial = 0, touch = 0, lost = 0, started = false;
  /** @type {{ touch: number, heard: (bump: number) => void } | null} */
  let flying = null;
  /** @type {{ at: Kit.Point, heard: (bump: number) => void } | null} */
  let next = null;
  /** @type {number[]} */
  let timers = [];
  const rest = () => { timers.forEach((timer) => clearTimeout(timer)); timers = []; };
  /** @param {Kit.BenchStep} step */
  const send = (step) => {
    if (engine.down()) { wait.textContent = engine.words(); return; }
    serial += 1;
    rest();
    started = true;
    timers.push(setTimeout(() => { wait.textContent = tr(STILL); }, SOON_MS), setTimeout(() => { wait.textContent = engine.down() ? engine.words() : tr(LATE); }, LATE_MS));
    model.send({ ...step, serial });
  };
  const go = () => {
    if (flying || !next || engine.down()) return;
    touch += 1;
    flying = { touch, heard: next.heard };
    model.send({ do: "feel", at: next.at, touch });
    next = null;
    lost = setTimeout(() => { flying = null; go(); }, 1500);
  };
  /**
   * @param {Kit.Point} at
   * @param {(bump: number) => void} heard
   */
  const feel = (at, heard) => { next = { at, heard }; go(); };
  model.on("msg:custom", (message) => {
    if (!flying || message.touch !== flying.touch) return;
    clearTimeout(lost);
    flying.heard(message.bump);
    flying = null;
    go();
  });
  let drawn = "";
  const show = () => {
    const view = model.get("shown");
    rest();
    wait.textContent = view.error || "";
    const now = JSON.stringify({ ...view, error: "", serial: 0 });
    if (view.error && now === drawn) return; // what was done on the fillet stays
    drawn = now; flying = null; next = null; clearTimeout(lost);
    body.replaceChildren(...(view.phase === "feel" ? handsOn(view, send, feel) : afterwards(view, send)));
    el.dataset.phase = view.phase;
    if (started) focusOn(body.querySelector(".sk-board") || body.querySelector("[data-step]"), { preventScroll: true });
  };
  model.on("change:shown", show);
  let gone = false; // only the engine's own words are taken back: an error stays
  engine.watch(() => {
    if (engine.down()) wait.textContent = engine.words();
    else if (gone) wait.textContent = "";
    gone = engine.down();
  }, signal);
  el.replaceChildren(h("section", { class: "sk-card sk-bench", "aria-labelledby": title },
    h("header", { class: "sk-head" }, h("h3", { id: title }, h("span", { class: "sk-tag" }, say("Bench")), h("span", {}, say("Feel for bones")))),
    prose(tr("The machine has been over these fillets. Some still hold a bone. Slide your finger along the line of the bones: a bump grows near one. Soft folds feel a little like bones.")),
    h("p", { class: "sk-note" }, say("Practice only. Nothing here is marked or kept. About half of these fillets hold a bone, far more than in a smokehouse.")),
    body, wait));
  show();
  return () => { rest(); clearTimeout(lost); };
};

export default { render };
