/* The whole batch. The page sends what is set and decided; the kernel answers with the evidence of the next stage.
   What went wrong, and every mark, comes only once the batch is over. */
/** @type {Record<Kit.StepState, string>} */
const SIGNS = { done: "✓", now: "", "to come": "·", "not reached": "–", "stopped here": "" };
/** @type {Record<Kit.StepState, string>} */
const STATES = { done: noted("done"), now: noted("now"), "to come": noted("to come"), "not reached": noted("not reached"), "stopped here": noted("stopped here") };
const TRAY = '<svg viewBox="0 0 52 40" aria-hidden="true"><g fill="none" stroke="currentColor" stroke-width="2" stroke-linecap="round" stroke-linejoin="round"><path d="M26 2 6 27M26 2l20 25M3 27h46l-3 8H6z"/><path d="M16 27v8M26 27v8M36 27v8" stroke-width="1.2"/><path d="M11 26c2-5 8-6 12-1l3-2v4M28 26c2-5 8-6 12-1l3-2v4" fill="currentColor" fill-opacity=".3" stroke-width="1.4"/></g></svg>';
const OUTCOMES = { [noted("met")]: "✓", [noted("not met")]: "✕", [noted("cannot tell")]: "?" };

/** @typedef {(step: Kit.BatchStep) => void} Send */
/** @typedef {(words: string) => void} Tell */
/** @typedef {Exclude<Kit.BatchShown, Kit.BatchReady>} Running */

/** @param {Running["steps"]} steps */
const placeOf = (steps) => { const at = steps.findIndex((step) => ["now", "stopped here"].includes(step.state)); return at < 0 ? steps.length - 1 : at; };

/**
 * A rail with a hook for each stage. The tray hangs where the batch is, and moves there from where it was.
 * @param {Running["steps"]} steps
 * @param {number} from
 */
const railNode = (steps, from) => {
  const at = placeOf(steps), tray = h("span", { class: `sk-rail-tray${from === at ? "" : " sk-swings"}`, "aria-hidden": "true" });
  tray.innerHTML = TRAY; // eslint-disable-line no-restricted-properties -- drawn here, above
  const list = h("ol", { class: "sk-rail", "aria-label": tr("Stages of the batch") }, steps.map((step, i) =>
    h("li", { "data-state": step.state, "aria-current": i === at ? "step" : null },
      h("span", { class: "sk-rail-sign", "aria-hidden": "true" }, i === at ? "" : SIGNS[step.state]), h("span", { class: "sk-rail-name" }, told(step.title)), h("span", { class: "sk-hidden" }, ", ", say(STATES[step.state])))));
  const rail = h("div", { class: "sk-rail-box", style: `--stages:${steps.length};--at:${from}` }, list, tray);
  window.requestAnimationFrame(() => window.requestAnimationFrame(() => rail.style.setProperty("--at", String(at))));
  return rail;
};

/**
 * The record sheet as it hangs in a kitchen, filled by the batch; what is not done yet is a blank line.
 * @param {Running} view
 */
const sheetNode = (view) => h("details", { class: "sk-words sk-batch-sheet", open: view.phase === "end" }, h("summary", {}, say("The batch sheet")),
  h("div", { class: "sk-batch-paper" },
    h("p", { class: "sk-batch-paper-head" }, h("strong", {}, say("Batch sheet")), h("span", {}, `No. ${view.seed}`)), h("p", {}, ...marked(view.order)),
    tableNode(noted("Hot-smoked fish, from the order to the store"), [noted("Stage"), noted("Set"), noted("Read"), noted("Decided, and why")], view.sheet.map((row) => [row.title, row.set, row.read, row.decided])),
    h("p", {}, h("strong", {}, say("Recommended:")), " ", view.phase === "end" && view.marks.at(-1)?.title === "Your recommendation" ? view.marks.at(-1)?.decided : "…"),
    h("p", {}, h("strong", {}, say("Decided by the competent person:")), " ", view.phase === "end" ? view.chef : "…")));

/** @param {string} words */
const cardNode = (words, kicker = noted("The card")) => h("div", { class: "sk-batch-card" }, h("p", { class: "sk-kicker" }, say(kicker)), h("p", {}, ...marked(words)));

/* What is set at a stage: sliders to type into, and rows of choices. */
/**
 * @param {Kit.Setting[]} dials
 * @param {string} legend
 */
const dialsNode = (dials, legend) => {
  /** @type {{ key: string, label: string, node: HTMLElement, value: () => number | string, good: () => boolean, allowed: string }[]} */
  const rows = dials.map((dial) => {
    if (dial.form === "slider") return sliderRow(dial, () => {});
    const { node, choose, picked } = picks(dial.options, "radio", dial.label);
    choose((key) => key === dial.start);
    node.classList.add("sk-choice");
    return { key: dial.key, label: dial.label, node, good: () => true, value: picked, allowed: "" };
  });
  return {
    node: h("fieldset", { class: "sk-options sk-settings" }, h("legend", {}, say(legend)), rows.map((row) => row.node)),
    read: () => Object.fromEntries(rows.map((row) => [row.key, row.value()])),
    missing: () => { const bad = rows.find((row) => !row.good()); return bad ? tr("{label}: type a number from {allowed}.", { label: bad.label, allowed: bad.allowed }) : ""; },
  };
};

/**
 * @param {Kit.Setting[]} dials
 * @param {"plan" | "set"} what
 * @param {string} legend
 * @param {string} words
 * @param {Send} send
 * @param {Tell} tell
 */
const setting = (dials, what, legend, words, send, tell) => {
  const rows = dialsNode(dials, legend);
  const go = () => { const missing = rows.missing(); if (missing) tell(missing); else send({ do: what, settings: rows.read() }); };
  return [rows.node, h("div", { class: "sk-inline sk-go" }, h("button", { type: "button", class: "sk-main", "data-step": what, onclick: go }, say(words)))];
};

/**
 * @param {Kit.BatchPlan} view
 * @param {Send} send
 * @param {Tell} tell
 */
const planPage = (view, send, tell) => [prose(tr("Say first how this batch will come out. Nothing of it is marked. At the end you see how close you were.")),
  h("div", { class: "sk-batch-card" }, h("p", { class: "sk-kicker" }, say("The card: what to reach")), h("ul", {}, view.aims.map((line) => h("li", {}, ...marked(line))))),
  ...setting(view.dials, "plan", noted("Your forecasts"), noted("Write down the plan"), send, tell)];

/**
 * @param {Kit.BatchSet} view
 * @param {Send} send
 * @param {Tell} tell
 */
const settingPage = (view, send, tell) => [prose(view.intro), cardNode(view.card, noted("The card: what to reach")),
  ...setting(view.dials, "set", noted("Yours to set"), noted("Do this stage"), send, tell)];

/* A decision, the way to put it right where that is chosen, and the reason for it. */
/**
 * @param {Kit.BatchDecide | Kit.BatchRecommend} view
 * @param {string} legend
 */
const decisionNode = (view, legend) => {
  const decision = picks(view.decisions, "radio", say(legend)), id = uid("because");
  const remedies = view.phase === "decide" ? view.remedies : [];
  const remedy = remedies.length ? picks(remedies, "radio", say("How do you put it right?")) : null;
  const reason = h("select", { id }, chooseFirst(), view.reasons.map((one) => h("option", { value: one.key }, one.text)));
  const mends = () => Boolean(remedy) && decision.picked() === "correct";
  decision.node.classList.add("sk-choice");
  if (remedy) {
    remedy.node.hidden = true;
    remedy.node.classList.add("sk-batch-remedy");
    decision.inputs.forEach((input) => input.addEventListener("change", () => { remedy.node.hidden = !mends(); }));
  }
  return {
    node: h("div", { class: "sk-batch-decide" }, decision.node, remedy?.node, h("div", { class: "sk-pair" }, h("label", { for: id }, say("Because")), reason)),
    read: () => ({ decision: decision.picked(), reason: reason.value, remedy: mends() ? remedy?.picked() ?? "" : "" }),
    missing: () => (!decision.picked() ? tr("Pick what you decide first.") : mends() && !remedy?.picked() ? tr("Pick how you put it right.") : !reason.value ? tr("Choose your reason first.") : ""),
  };
};

/**
 * @param {Kit.BatchDecide | Kit.BatchRecommend} view
 * @param {Send} send
 * @param {Tell} tell
 * @param {"decide" | "recommend"} what
 * @param {string} legend
 * @param {string} words
 */
const deciding = (view, send, tell, what, legend, words) => {
  const choice = decisionNode(view, legend);
  const go = () => { const missing = choice.missing(); if (missing) tell(missing); else send({ do: what, ...choice.read() }); };
  return [choice.node, h("div", { class: "sk-inline sk-go" }, h("button", { type: "button", class: "sk-main", "data-step": what, onclick: go }, say(words)))];
};

/**
 * @param {Kit.BatchDecide} view
 * @param {Send} send
 * @param {Tell} tell
 */
const evidencePage = (view, send, tell) => [cardNode(view.card, noted("The card: what the house would set")),
  h("div", { class: "sk-batch-evidence" }, h("p", { class: "sk-kicker" }, say(view.tried ? noted("The evidence now") : noted("The evidence"))), h("ul", {}, view.evidence.map((line) => h("li", {}, ...marked(line))))),
  view.picture ? pictureNode(view.picture) : null,
  ...deciding(view, send, tell, "decide", noted("What do you decide?"), noted("Decide"))];

/**
 * @param {Kit.BatchRecommend} view
 * @param {Send} send
 * @param {Tell} tell
 */
const recommendPage = (view, send, tell) => [prose(tr("The fish is cold and packed. You do not release it. Read your batch sheet, then tell Chef what you recommend.")),
  ...deciding(view, send, tell, "recommend", noted("What do you recommend to Chef?"), noted("Tell Chef"))];

/**
 * @param {string} caption
 * @param {string[]} heads
 * @param {[first: string, ...rest: (string | (string | Node)[])[]][]} rows
 */
const tableNode = (caption, heads, rows) => h("div", { class: `sk-batch-table${heads.length > 3 ? " sk-batch-four" : ""}` }, h("table", {}, h("caption", {}, say(caption)),
  h("thead", {}, h("tr", {}, heads.map((head) => h("th", { scope: "col" }, say(head))))),
  h("tbody", {}, rows.map(([first, ...rest]) => h("tr", {}, h("th", { scope: "row" }, told(first)),
    rest.map((cell, i) => h("td", { "data-head": tr(heads[i + 1] ?? "") }, ...(Array.isArray(cell) ? cell : [told(cell)]))))))));

/**
 * The plan beside what happened, and room to say what changed one's mind.
 * @param {Kit.BatchEnd["forecasts"]} forecasts
 * @param {(changed: string) => void} keep
 */
const forecastNodes = (forecasts, keep) => {
  if (!forecasts.length) return [];
  const far = forecasts.reduce((worst, one) => (one.far > worst.far ? one : worst)), text = h("textarea", { id: uid("changed"), rows: 2, maxlength: 500 });
  const ask = far.far > 1 ? say("Furthest off: {what}. What changed your mind?", { what: tr(far.label).toLowerCase() }) : say("What made you sure?");
  return [tableNode(noted("Your plan, and what happened"), [noted("Forecast"), noted("You said"), noted("What happened"), noted("How far off")], forecasts.map((one) => [one.label, one.said, one.happened, one.off || "–"])),
    h("div", { class: "sk-field" }, h("label", { for: text.id }, ask), text),
    h("div", { class: "sk-inline sk-go" }, h("button", { type: "button", "data-step": "guess", onclick: () => keep(text.value) }, say("Keep my words")), h("span", { class: "sk-note sk-batch-kept", role: "status" }, say("Not marked.")))];
};

/**
 * @param {Kit.BatchEnd} view
 * @param {(changed: string) => void} keep
 */
const endPage = (view, keep) => [
  view.unsafe ? h("p", { class: "sk-batch-unsafe" }, h("strong", {}, "✕ ", say("Not safe.")), " ", told(view.unsafe)) : null,
  h("p", { class: "sk-batch-score" }, h("strong", {}, say("{score} of {of} points", { score: view.points, of: view.of_points })), ". ", told(view.chef)),
  h("p", {}, told(view.counts)),
  h("h4", {}, say("What happened, and why")), h("ul", {}, view.account.map((line) => h("li", {}, told(line)))),
  h("ul", { class: "sk-facts sk-facts-long" }, view.figures.map((line) => h("li", {}, told(line)))),
  ...forecastNodes(view.forecasts, keep),
  tableNode(noted("Your decisions"), [noted("Stage"), noted("You decided"), noted("The evidence called for"), noted("Points")], view.marks.map((mark) =>
    [mark.title, mark.decided, [h("strong", {}, told(mark.called_for)), ". ", told(mark.why)], [told(mark.points), h("br"), h("span", { class: "sk-note" }, told(mark.parts)), mark.unsafe ? h("strong", {}, h("br"), "✕\u00a0", say("not safe")) : ""]])),
  view.others.length ? tableNode(noted("The other decision, played through"), [noted("Stage"), noted("Question"), noted("What would have followed")], view.others.map((one) => [one.title, one.asks, one.words])) : null,
  h("h4", {}, say("The pack on day 5")), h("ul", {}, view.day_5.map((line) => h("li", {}, told(line)))),
  h("h4", {}, say("Who has the packs")), h("ul", {}, view.recall.map((line) => h("li", {}, told(line)))),
  view.verdicts.length ? tableNode(noted("The rules"), [noted("Rule"), noted("Outcome"), noted("What the record shows")], view.verdicts.map((one) => [one.title, [`${OUTCOMES[one.outcome]}\u00a0`, say(one.outcome)], [told(one.why), " ", h("span", { class: "sk-note" }, say("Source:"), " ", one.address ? sourceNode(one.source, one.address) : one.source, ".")]])) : null,
  view.bands.length ? tableNode(noted("The quality"), [noted("Point"), noted("Outcome"), noted("Figures")], view.bands.map((band) => [band.title, band.met ? ["✓\u00a0", say("1 point")] : ["✕\u00a0", say("0 points")], band.words])) : null,
  h("p", { class: "sk-note" }, say("Practice only: nothing here goes into your book, and no model releases a batch. On the job a competent person decides.")),
];

/** @type {Kit.Render<Kit.BatchState, Kit.BatchAsk, Kit.GuessKept>} */
const render = ({ model, el, signal }) => {
  ownKeys(el);
  el.classList.add("sk");
  el.style.scrollMarginTop = "4rem"; // the line at the top of the lesson stays in view
  const title = uid("batch"), number = uid("number");
  const body = h("div", { class: "sk-batch-body" }), wait = h("p", { class: "sk-wait", role: "status" }), news = h("p", { class: "sk-batch-news", role: "status" });
  let serial = 0, flying = 0, started = false, hung = 0;
  /** @type {number[]} */
  let timers = [];
  const rest = () => { timers.forEach((timer) => clearTimeout(timer)); timers = []; flying = 0; };
  /** @type {Tell} */
  const tell = (words) => { wait.textContent = words; };
  /** @type {Send} */
  const send = (step) => {
    if (engine.down()) { tell(engine.words()); return; }
    if (flying) return;
    serial += 1;
    rest();
    flying = serial;
    started = true;
    tell("");
    timers.push(setTimeout(() => tell(tr(STILL)), SOON_MS), setTimeout(() => { flying = 0; tell(engine.down() ? engine.words() : tr(LATE)); }, LATE_MS));
    model.send({ ...step, narrow: el.clientWidth < 480, serial });
  };
  /**
   * @param {{ seed: number }} view
   * @param {string} words
   * @param {boolean} main
   */
  const numberRow = (view, words, main) => {
    const box = h("input", { id: number, type: "text", inputmode: "numeric", autocomplete: "off", class: "sk-small", value: String(view.seed) });
    const go = () => send({ do: "begin", seed: box.value });
    box.addEventListener("keydown", (event) => { if (event.key === "Enter") go(); });
    return h("div", { class: "sk-inline sk-go" }, h("button", { type: "button", class: main ? "sk-main" : null, "data-step": "begin", onclick: go }, say(words)),
      h("label", { for: number, class: "sk-batch-number" }, say("Batch number")), box,
      h("button", { type: "button", "data-step": "today", onclick: () => send({ do: "today" }) }, say("Today’s batch")),
      h("button", { type: "button", "data-step": "new", onclick: () => send({ do: "new" }) }, say("A new batch")));
  };
  /** @param {Kit.BatchShown} view */
  const runsNode = (view) => (view.runs.length ? h("details", { class: "sk-batch-runs" }, h("summary", {}, say("Your last runs")),
    h("ul", {}, view.runs.map((line) => h("li", {}, ...marked(line)))), view.back ? h("p", {}, view.back) : null,
    h("p", { class: "sk-note" }, say("Only you see this. It is no evidence."))) : null);
  /** @param {Kit.BatchRunning} view */
  const againRow = (view) => h("div", { class: "sk-inline" }, h("span", { class: "sk-note" }, `Batch number ${view.seed}. You may close the page: it goes on here.`),
    h("button", { type: "button", class: "sk-quiet", "data-step": "again", onclick: () => send({ do: "begin", seed: String(view.seed) }) }, say("Start it again")));
  /** @param {Kit.BatchReady} view */
  const readyPage = (view) => [
    prose(tr("Run one batch from the order to the pack. At each stage you set what is yours to set. Then you read the evidence and decide. Things may go wrong, and nobody tells you what.\n\n- **Carry on** if no limit is missed and nothing calls for a change.\n- **Put it right** if you can, and read the evidence again.\n- **Hold and report** if it is for Chef to decide.\n- **Reject** if the fish is lost.\n\nWhat you do with what you find counts most. To hold where you need not is safe, and costs half a point. Each finding that you did not name makes every point count less, so holding without reading earns little. To pass on a limit that was missed or is not proven costs every point.")),
    h("p", { class: "sk-note" }, say("Limits: {whose}. The same number gives the same batch again. Today’s batch is the same for all in your kitchen.", { whose: view.profile })), numberRow(view, noted("Start this batch"), true)];
  /** @param {Kit.BatchShown} view */
  const pageOf = (view) => {
    switch (view.phase) {
      case "ready": return readyPage(view);
      case "plan": return planPage(view, send, tell);
      case "set": return settingPage(view, send, tell);
      case "decide": return evidencePage(view, send, tell);
      case "recommend": return recommendPage(view, send, tell);
      case "end": return endPage(view, (changed) => model.send({ do: "guess", changed }));
    }
  };
  const show = () => {
    const view = model.get("shown");
    rest();
    tell(view.error || "");
    if (view.error && body.childElementCount) return;
    const running = view.phase === "ready" ? null : view;
    const told = running?.news.join(" ") ?? "";
    const lead = "place" in view ? `Stage ${view.place} of ${view.of}: ${view.title}` : running?.title ?? "";
    const head = h("h4", { tabindex: "-1", class: "sk-batch-title" }, lead);
    news.textContent = told;
    news.hidden = !told;
    const from = hung;
    hung = running ? placeOf(running.steps) : 0;
    body.replaceChildren(...[
      running ? h("p", { class: "sk-batch-order" }, ...marked(running.order)) : null,
      running ? railNode(running.steps, from) : null,
      news, lead ? head : null,
      ...pageOf(view), wait,
      running ? sheetNode(running) : null,
      view.phase === "end" ? numberRow(view, noted("Play the same number again"), false) : null,
      running && view.phase !== "end" ? againRow(running) : null,
      running ? null : runsNode(view), view.phase === "end" ? runsNode(view) : null,
      view.not_kept ? h("p", { class: "sk-trouble" }, view.not_kept) : null,
    ].filter((one) => one !== null));
    el.dataset.phase = view.phase;
    el.dataset.stage = running?.title ?? "";
    if (started) { el.scrollIntoView({ block: "start" }); focusOn(lead ? head : body.querySelector(".sk-main"), { preventScroll: true }); }
  };
  model.on("change:shown", show);
  model.on("msg:custom", (message) => { const note = body.querySelector(".sk-batch-kept"); if (note) note.textContent = message.words; });
  let lost = false; // only what was said of the engine is taken back when it is there again
  engine.watch(() => { if (engine.down()) { rest(); lost = true; tell(engine.words()); } else if (lost) { lost = false; tell(""); } }, signal);
  el.replaceChildren(h("section", { class: "sk-card sk-batch", "aria-labelledby": title },
    h("header", { class: "sk-head" }, h("h3", { id: title }, h("span", { class: "sk-tag" }, say("Batch")), h("span", {}, say("The whole batch, step by step")))), body));
  show();
  return () => rest();
};

export default { render };
