/* The inspection bench. The page sends where the finger is; the kernel answers how strong the bump is. One touch is
   under way at a time and the newest place goes next. Where the bones are comes only after the call is made. */
const MOST_MARKS = 12, TAP_PX = 7;

const handsOn = (view, send, feel) => {
  let marks = [], finger = [0.5, 0.5], down = null, trail = [];
  const strength = h("output", { class: "sk-hidden", "aria-live": "polite" });
  const said = h("p", { class: "sk-note", "aria-live": "polite" });
  const bar = h("span"), meter = h("div", { class: "sk-bump", "aria-hidden": "true" }, h("span", { class: "sk-bump-label" }, "Under your finger"), h("div", { class: "sk-bump-scale" }, bar));
  const layer = h("div", { class: "sk-layer" });
  const path = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  path.setAttribute("class", "sk-trail"); path.setAttribute("viewBox", "0 0 600 240"); path.setAttribute("preserveAspectRatio", "none"); path.setAttribute("aria-hidden", "true");
  const line = document.createElementNS("http://www.w3.org/2000/svg", "polyline");
  path.append(line);
  const bulge = h("i"), tip = h("div", { class: "sk-tip", "aria-hidden": "true", hidden: true }, bulge);
  const board = h("div", { class: "sk-board sk-bench-board", tabindex: "0", role: "application",
    "aria-label": "Fillet to feel. Arrow keys move the fingertip, with Shift in bigger steps. Enter marks a bone. Backspace takes the last mark back." }, path, layer, tip);
  const percent = ([x, y]) => `${Math.round(100 * x)} % across, ${Math.round(100 * y)} % down`;
  const tell = (text) => { said.textContent = text || (marks.length ? `Marked: ${marks.map((mark, i) => `${i + 1} at ${percent(mark)}`).join("; ")}.` : "Nothing marked yet."); };
  const draw = () => {
    layer.replaceChildren(...marks.map(([x, y], i) => h("span", { class: "sk-mark", style: `left:${100 * x}%;top:${100 * y}%` }, h("b", {}, String(i + 1)))));
    back.hidden = !marks.length;
  };
  const move = (place, aloud) => {
    finger = place.map((value) => Math.min(1, Math.max(0, value)));
    tip.hidden = false;
    tip.style.left = `${100 * finger[0]}%`; tip.style.top = `${100 * finger[1]}%`;
    trail = [...trail.slice(-400), `${(600 * finger[0]).toFixed(0)},${(240 * finger[1]).toFixed(0)}`];
    line.setAttribute("points", trail.join(" "));
    feel([...finger], (bump) => {
      bulge.style.transform = `scale(${(0.25 + 0.75 * bump).toFixed(2)})`;
      bar.style.width = `${Math.round(100 * bump)}%`;
      board.dataset.bump = String(bump);
      if (aloud) strength.textContent = `${percent(finger)}: bump ${Math.round(10 * bump)} of 10.`;
    });
  };
  const mark = () => {
    if (marks.length >= MOST_MARKS) { tell(`${MOST_MARKS} marks are the most. Take one back first.`); return; }
    marks.push(finger.map((value) => Math.round(1000 * value) / 1000));
    draw(); tell();
  };
  const takeBack = () => { const inside = document.activeElement === back; marks.pop(); draw(); tell(); if (inside && back.hidden) board.focus(); };
  const at = (event) => { const box = board.getBoundingClientRect(); return [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height]; };
  board.addEventListener("pointerdown", (event) => { down = [event.clientX, event.clientY]; move(at(event)); });
  board.addEventListener("pointermove", (event) => move(at(event)));
  board.addEventListener("pointercancel", () => { down = null; });
  board.addEventListener("pointerup", (event) => { // a tap marks; a slide only feels
    if (down && Math.hypot(event.clientX - down[0], event.clientY - down[1]) < TAP_PX) mark();
    down = null;
  });
  board.addEventListener("keydown", (event) => {
    const step = event.shiftKey ? 0.05 : 0.01;
    const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -2 * step], ArrowDown: [0, 2 * step] }[event.key];
    if (by) move([finger[0] + by[0], finger[1] + by[1]], true);
    else if (event.key === "Enter" || event.key === " ") mark();
    else if (event.key === "Backspace" || event.key === "Delete") takeBack();
    else return;
    event.preventDefault();
  });
  const back = h("button", { type: "button", class: "sk-quiet", onclick: takeBack, hidden: true }, "Take back the last mark");
  const call = (pull) => {
    if (pull && !marks.length) { tell("Mark where the bone is before you pull."); return; }
    if (!pull && marks.length) { tell("You marked a bone. Pull it, or take the mark back."); return; }
    send({ do: "decide", pull, marks });
  };
  tell(); draw();
  const where = view.of > 1 ? `Fillet ${view.place} of ${view.of}${view.look === 2 ? ", second look" : ""}` : "One fillet to try";
  return [h("p", { class: "sk-bench-where" }, h("strong", {}, where), " · ", view.words),
    meter, pictureNode(view.picture, { board }), strength,
    h("p", { class: "sk-note" }, "Slide over the fillet to feel. Tap or click to mark. Or tab to it and use the arrow keys and Enter."),
    h("div", { class: "sk-inline" }, said, back),
    h("div", { class: "sk-inline sk-go" }, h("button", { type: "button", class: "sk-main", "data-call": "pass", onclick: () => call(false) }, "Pass: no bone"),
      h("button", { type: "button", class: "sk-main", "data-call": "pull", onclick: () => call(true) }, "Pull: bones as marked"))];
};

const afterwards = (view, send) => {
  const ask = (what, words, main) => h("button", { type: "button", class: main ? "sk-main" : null, "data-step": what, onclick: () => send({ do: what }) }, words);
  const key = h("p", { class: "sk-note" }, "● bone you found · ✕ bone you missed · ○ mark with no bone near.");
  const gallery = view.gallery ? [key, h("div", { class: view.gallery.length > 1 ? "sk-bench-gallery" : null }, view.gallery.map((one) => h("div", {}, h("h4", {}, one.title), pictureNode(one.picture))))] : [];
  const reports = (view.reports || []).map((one) => h("div", { class: "sk-bench-report" }, h("h4", {}, one.title), h("ul", { class: "sk-facts sk-facts-long" }, one.facts.map((fact) => h("li", {}, marked(fact))))));
  const steps = {
    ready: [ask("try", "Try one fillet", true), ask("run", "Start a run of ten")],
    tried: [ask("try", "Try another"), ask("run", "Start a run of ten", true)],
    counts: [view.can_again ? ask("again", "Feel the same ten again, blind", true) : null, ask("show", "Show me the bones", !view.can_again)],
    shown: [ask("run", "Start a new run of ten", true)],
  }[view.phase];
  return [...reports, view.agree ? h("p", {}, h("strong", {}, view.agree)) : null,
    view.phase === "counts" && view.can_again ? prose("Ten fillets say little, so the ranges are wide. Feel the same ten again before you see the bones. They come in another order, turned round.") : null,
    ...gallery, h("div", { class: "sk-inline sk-go" }, steps.filter(Boolean))].filter(Boolean);
};

const render = ({ model, el, signal }) => {
  ownKeys(el);
  el.classList.add("sk");
  const title = uid("bench"), body = h("div", { class: "sk-bench-body" }), wait = h("p", { class: "sk-wait", "aria-live": "polite" });
  let serial = 0, touch = 0, flying = 0, next = null, timers = [], lost = 0, started = false;
  const rest = () => { timers.forEach(clearTimeout); timers = []; };
  const send = (message) => {
    if (engine.down()) { wait.textContent = engine.words(); return; }
    serial += 1;
    rest();
    started = true;
    timers.push(setTimeout(() => { wait.textContent = STILL; }, SOON_MS), setTimeout(() => { wait.textContent = engine.down() ? engine.words() : LATE; }, LATE_MS));
    model.send({ ...message, serial });
  };
  const go = () => {
    if (flying || !next || engine.down()) return;
    touch += 1;
    flying = { touch, heard: next.heard };
    model.send({ do: "feel", at: next.at, touch });
    next = null;
    lost = setTimeout(() => { flying = 0; go(); }, 1500);
  };
  const feel = (at, heard) => { next = { at, heard }; go(); };
  model.on("msg:custom", (message) => {
    if (!message || message.reply !== "felt" || !flying || message.touch !== flying.touch) return;
    clearTimeout(lost);
    flying.heard(message.bump);
    flying = 0;
    go();
  });
  let drawn = "";
  const show = () => {
    const view = model.get("shown");
    rest();
    wait.textContent = view.error || "";
    const now = JSON.stringify([view.phase, view.look, view.place, view.words, (view.gallery || []).length, (view.reports || []).length, view.phase === "feel" ? view.picture.svg : ""]);
    if (view.error && now === drawn) return;
    drawn = now; flying = 0; next = null; clearTimeout(lost);
    body.replaceChildren(...(view.phase === "feel" ? handsOn(view, send, feel) : afterwards(view, send)));
    el.dataset.phase = view.phase;
    if (started) (body.querySelector(".sk-board") || body.querySelector("[data-step]"))?.focus({ preventScroll: true });
  };
  model.on("change:shown", show);
  let gone = false; // only the engine's own words are taken back: an error stays
  engine.watch(() => {
    if (engine.down()) wait.textContent = engine.words();
    else if (gone) wait.textContent = "";
    gone = engine.down();
  }, signal);
  el.replaceChildren(h("section", { class: "sk-card sk-bench", "aria-labelledby": title },
    h("header", { class: "sk-head" }, h("h3", { id: title }, h("span", { class: "sk-tag" }, "Bench"), h("span", {}, "Feel for bones"))),
    prose("The machine has been over these fillets. Some still hold a bone. Slide your finger along the line of the bones: a bump grows near one. Soft folds feel a little like bones."),
    h("p", { class: "sk-note" }, "Practice only. Nothing here is marked or kept. About half of these fillets hold a bone, far more than in a smokehouse."),
    body, wait));
  show();
  return () => { rest(); clearTimeout(lost); };
};

export default { render };
