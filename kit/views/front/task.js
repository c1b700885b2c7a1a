/* One task: question, editor, Check, verdict, hints, worked answer, another variant, dispute. The answer travels
   inside the Check message with a serial number; a reply with another serial is not shown as the verdict on it. */
/** @type {{ [Kind in Kit.TaskForm["kind"]]: (form: Extract<Kit.TaskForm, { kind: Kind }>, changed: () => void) => unknown }} */
const EDITORS = { number: numberEditor, chart: numberEditor, one: oneEditor, several: severalEditor, order: orderEditor, match: matchEditor,
  places: placesEditor, controls: controlsEditor, recommend: recommendEditor, explain: explainEditor };

/** @type {Record<Kit.Verdict, [sign: string, words: string]>} */
const SIGNS = { right: ["✓", noted("Right")], partly: ["◐", noted("Partly right")], "not yet": ["✗", noted("Not yet")], "not read": ["?", noted("Not read")], kept: ["✎", noted("Kept for your tutor")] };
/**
 * @param {number} score
 * @param {number} of
 */
const points = (score, of) => of > 1 ? say("{score} of {of}", { score: Number(score.toFixed(2)), of }) : "";

/* What a lesson shows before it asks: open until the first try, then folded, so that the next try is from memory. */
/**
 * @param {Kit.Picture[]} pictures
 * @param {number} tries
 */
const lookFirst = (pictures, tries) => pictures.length ? h("details", { class: "sk-look", open: !tries },
  h("summary", {}, say("Look first:"), pictures.flatMap((one, i) => [i ? "; " : " ", say(one.label ?? "")])), pictures.map((one) => pictureNode(one))) : null;

/* A rule stands in a box below the question. The first task of a page that needs it shows it open. */
/** @param {Kit.TaskForm} form */
const ruleBox = ({ rule, exercise, sources }) => {
  if (!rule) return null;
  window.kitRules ??= new Map();
  const first = window.kitRules.get(rule) ?? exercise;
  window.kitRules.set(rule, first);
  return h("details", { class: "sk-rule-box", open: first === exercise }, h("summary", {}, say("The rule to work by")), linked(prose(rule), sources));
};

/** @type {Kit.Render<Kit.TaskWidget, Kit.TaskAsk>} */
const render = ({ model, el, signal }) => {
  ownKeys(el);
  el.classList.add("sk", "sk-task-box");
  /** @type {{ serial: string, answer: Kit.Answer | null, late: boolean }} */
  let sent = { serial: "", answer: null, late: false };
  /** @type {number[]} */
  let waiting = [];
  let counter = 0;
  const page = Math.random().toString(36).slice(2, 8);

  const clearWaiting = () => { waiting.forEach((timer) => clearTimeout(timer)); waiting = []; };
  const settle = () => { clearWaiting(); el.dataset.state = "shown"; parts.wait.textContent = ""; parts.check.removeAttribute("aria-busy"); };
  /** @param {Kit.TaskWish} wish */
  const ask = (wish) => {
    if (engine.down()) { settle(); parts.wait.textContent = engine.words(); return; }
    const serial = `${page}-${(counter += 1)}`;
    sent = { serial, answer: wish.do === "check" ? wish.answer : null, late: false };
    clearWaiting();
    el.dataset.state = "waiting";
    waiting.push(setTimeout(() => { parts.wait.textContent = tr(STILL); }, SOON_MS));
    waiting.push(setTimeout(() => { parts.wait.textContent = engine.down() ? engine.words() : tr(LATE); parts.check.removeAttribute("aria-busy"); sent = { ...sent, late: true }; }, LATE_MS));
    try { model.send({ ...wish, serial }); } catch { settle(); parts.wait.textContent = engine.words(); }
  };

  /** @param {Event} event */
  const check = (event) => {
    event.preventDefault();
    const missing = editor.ready();
    if (missing) { parts.wait.textContent = missing; editor.focus(); return; }
    const answer = editor.read();
    if (el.dataset.state === "waiting" && !sent.late && same(sent.answer, answer)) return; // the same click twice
    parts.check.setAttribute("aria-busy", "true");
    parts.wait.textContent = "";
    ask({ do: "check", answer });
  };

  const edited = () => {
    const shown = model.get("shown");
    const older = Boolean(shown.verdict) && shown.answer !== null && !same(editor.read(), shown.answer);
    parts.verdict.classList.toggle("sk-older", older);
    parts.older.hidden = !older;
    if (el.dataset.state !== "waiting") parts.wait.textContent = "";
  };

  const build = () => {
    const form = model.get("form"), title = uid("title");
    const make = /** @type {(form: Kit.TaskForm, changed: () => void) => Kit.Editor} */ (EDITORS[form.kind]);
    const editor = make(form, () => edited());
    const parts = {
      wait: h("p", { class: "sk-wait", "aria-live": "polite" }),
      verdict: h("div", { class: "sk-verdict", role: "status", "data-tries": "0" }),
      older: h("p", { class: "sk-note sk-older-line", hidden: true }, say("You have changed your answer. The mark is for your earlier one.")),
      help: h("div", { class: "sk-help" }), foot: h("div", { class: "sk-foot" }),
      check: h("button", { type: "submit", class: "sk-main" }, say(editor.button || noted("Check"))),
    };
    const body = h("form", { novalidate: true, onsubmit: check },
      editor.node, h("div", { class: "sk-inline sk-go" }, parts.check, parts.wait));
    body.addEventListener("input", edited);
    body.addEventListener("keydown", (event) => { if (event.key === "Enter" && event.ctrlKey) body.requestSubmit(); });
    body.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && event.target instanceof HTMLSelectElement) { event.preventDefault(); body.requestSubmit(); }
    });
    const card = h("section", { class: "sk-card sk-task", "aria-labelledby": title, "data-exercise": form.exercise, "data-kind": form.kind, "data-variant": form.variant },
      h("header", { class: "sk-head" },
        h("h3", { id: title }, h("span", { class: "sk-tag" }, form.number ? say("Task {n}", { n: form.number }) : say("Task")), h("span", {}, form.title || "")),
        h("p", { class: "sk-note" }, [form.of ? null : say("read by your tutor"), form.variant > 1 ? say("variant {n}", { n: form.variant }) : null, form.model ? say("numbers from a model") : null].filter((one) => one !== null).flatMap((one, i) => (i ? [" · ", one] : [one])))),
      lookFirst(form.look || [], model.get("shown").tries), linked(prose(form.text), form.sources), ruleBox(form), form.picture ? pictureNode(form.picture, { board: editor.board || null }) : null,
      body, parts.verdict, parts.older, parts.help, parts.foot);
    el.replaceChildren(card);
    return { editor, parts };
  };
  let { editor, parts } = build();

  /** @param {Kit.TaskShown} shown */
  const drawVerdict = (shown) => {
    parts.verdict.replaceChildren();
    parts.verdict.className = "sk-verdict";
    if (shown.verdict) {
      const [sign, words] = SIGNS[shown.verdict];
      parts.verdict.classList.add(`sk-is-${shown.verdict.replace(" ", "-")}`);
      parts.verdict.append(
        h("p", { class: "sk-verdict-line" }, h("span", { class: "sk-sign", "aria-hidden": "true" }, sign), h("strong", {}, say(words)),
          shown.of > 1 && !["kept", "not read"].includes(shown.verdict) ? h("span", { class: "sk-score" }, points(shown.score, shown.of)) : null,
          shown.restored ? h("span", { class: "sk-note" }, say("from last time")) : null),
        shown.read_as ? h("p", { class: "sk-read" }, say(["number", "chart", "controls", "places"].includes(model.get("form").kind) ? noted("Read as {answer}.") : noted("Your answer: {answer}."), { answer: shown.read_as.replace(/[.\s]+$/, "") })) : "",
        shown.message ? linked(prose(shown.message, "sk-message"), shown.sources) : "");
      if (shown.picture) parts.verdict.append(pictureNode(shown.picture));
    }
    parts.verdict.dataset.tries = String(shown.tries);
    parts.verdict.dataset.serial = shown.serial || "";
  };

  /**
   * The picture once more, with the right places, and the marks of the last answer.
   * @param {Kit.Zone[]} zones
   * @param {Kit.Picture} picture
   * @param {Kit.Answer | null} answer
   */
  const rightPlaces = (zones, picture, answer) => {
    const marks = listIn(answer).filter(Array.isArray).map(([x, y]) => placed([Number(x), Number(y)]));
    const layer = h("div", { class: "sk-layer" }, zones.map((zone) => h("span", { class: "sk-zone",
      style: `left:${100 * (zone.x - zone.rx)}%;top:${100 * (zone.y - zone.ry)}%;width:${200 * zone.rx}%;height:${200 * zone.ry}%` })), marks);
    return h("div", { class: "sk-worked" }, h("h4", {}, say("The right place: {name}", { name: zones.map((zone) => zone.name).join("; ") })), pictureNode(picture, { board: layer }));
  };

  /** @param {Kit.TaskShown} shown */
  const drawHelp = (shown) => {
    parts.help.replaceChildren();
    shown.hints.forEach((hint, i) => parts.help.append(h("div", { class: "sk-hint" }, h("strong", {}, say("Hint {n}.", { n: i + 1 }), " "), linked(prose(hint), shown.sources))));
    const { picture } = model.get("form");
    if (shown.zones.length && picture) parts.help.append(rightPlaces(shown.zones, picture, shown.answer));
    if (shown.worked) parts.help.append(h("div", { class: "sk-worked" }, h("h4", {}, say("Worked answer")), linked(prose(shown.worked), shown.sources)));
    if (shown.error) parts.help.append(h("p", { class: "sk-error", role: "alert" }, shown.error));
  };

  const disputeForm = () => {
    const id = uid("dispute");
    const box = h("textarea", { id, rows: 3, maxlength: 2000 });
    const note = h("p", { class: "sk-wait", "aria-live": "polite" });
    const send = () => {
      if (!box.value.trim()) { note.textContent = tr("Say in a few words what you think is wrong."); box.focus(); return; }
      ask({ do: "dispute", text: box.value });
    };
    const node = h("div", { class: "sk-dispute", hidden: true }, h("label", { for: id }, say("What do you think is wrong with this mark? Your tutor reads it.")), box,
      h("div", { class: "sk-inline" }, h("button", { type: "button", onclick: send }, say("Send to my tutor")),
        h("button", { type: "button", class: "sk-quiet", onclick: () => { node.hidden = true; opener.setAttribute("aria-expanded", "false"); opener.focus(); } }, say("Cancel")), note));
    const opener = h("button", { type: "button", class: "sk-quiet", "aria-expanded": "false",
      onclick: () => { node.hidden = !node.hidden; opener.setAttribute("aria-expanded", String(!node.hidden)); if (!node.hidden) box.focus(); } }, say("I dispute this mark"));
    return { node, box, opener };
  };

  /** @param {Kit.TaskShown} shown */
  const drawFoot = (shown) => {
    const typed = parts.foot.querySelector("textarea"); // a reply must not wipe a half-written dispute
    const keep = typed && typed.value && !shown.disputed ? typed.value : "";
    const row = h("div", { class: "sk-inline" });
    /**
     * @param {"hint" | "worked" | "variant"} what
     * @param {HTMLElement} words
     */
    const act = (what, words) => h("button", { type: "button", "data-do": what, onclick: () => ask({ do: what }) }, words);
    if (shown.hints_left) row.append(act("hint", shown.hints.length ? say("Next hint ({n} left)", { n: shown.hints_left }) : say("Give me a hint")));
    if (shown.can_worked && !shown.worked) row.append(act("worked", say("Show the worked answer")));
    if (shown.can_variant) row.append(act("variant", say("Try another variant")));
    parts.foot.replaceChildren(row);
    row.hidden = !row.childElementCount && !shown.can_dispute;
    if (shown.can_dispute) {
      const { node, box, opener } = disputeForm();
      row.append(opener);
      parts.foot.append(node);
      if (keep) { node.hidden = false; box.value = keep; opener.setAttribute("aria-expanded", "true"); }
    }
    if (shown.disputed) parts.foot.append(h("p", { class: "sk-note" }, say("✎ You disputed this mark. It goes to your tutor with your answer book.")));
    if (shown.not_recorded) parts.foot.append(h("p", { class: "sk-note sk-not-recorded" }, say(shown.not_recorded)));
  };

  const show = () => {
    const shown = model.get("shown");
    const mine = shown.serial === sent.serial;
    if (sent.serial && !mine && el.dataset.state === "waiting") return; // an older reply: the newest is on its way
    const held = document.activeElement;
    const had = held instanceof HTMLElement && parts.foot.contains(held) ? held.dataset.do || "dispute" : "";
    drawVerdict(shown); drawHelp(shown); drawFoot(shown);
    settle();
    edited();
    if (had) focusOn(parts.foot.querySelector(`[data-do="${had}"]`) || parts.foot.querySelector("button") || parts.check);
  };

  const fill = () => {
    const shown = model.get("shown");
    if (shown.answer !== null) editor.write(shown.answer);
    if (!sent.serial || shown.serial === sent.serial) { drawVerdict(shown); drawHelp(shown); drawFoot(shown); }
    settle();
    edited();
  };
  const fresh = () => {
    const inside = el.contains(document.activeElement);
    ({ editor, parts } = build());
    fill();
    if (inside) editor.focus();
  };

  model.on("change:form", fresh);
  model.on("change:shown", show);
  engine.watch(() => {
    if (engine.down()) { clearWaiting(); el.dataset.state = "shown"; parts.wait.textContent = engine.words(); parts.check.removeAttribute("aria-busy"); }
    else if (parts.wait.textContent === engine.words() || el.dataset.state !== "waiting") parts.wait.textContent = "";
  }, signal);
  fill();
  return clearWaiting;
};

export default { render };
