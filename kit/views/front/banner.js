/* The line at the top: who is working, on what, under which rules; progress; other lessons; the way to the full Lab. */
const STATES = { right: noted("✓ right"), first: noted("✓ right first time"), partly: noted("◐ partly"), "not yet": noted("✗ not yet"), kept: noted("✎ kept for your tutor"), new: noted("– not started") };

/** @returns {[address: string, words: string] | null} */
const labLink = () => {
  if (document.documentElement.dataset.kitAsked === undefined) return null; // opened by another program than ours
  const { pathname } = window.location;
  if (pathname.includes("/doc/tree/")) return [pathname.replace("/doc/tree/", "/lab/tree/"), noted("Open the full JupyterLab")];
  if (pathname.includes("/lab/tree/")) return [pathname.replace("/lab/tree/", "/doc/tree/"), noted("Back to the plain page")];
  return null;
};

/* Once the banner is out of sight, a slim line at the top goes on saying who is working. */
const line = () => {
  let box = document.getElementById("kit-who");
  if (!box) { box = h("div", { id: "kit-who", "aria-hidden": "true", hidden: true }); document.body.append(box); }
  return box;
};

/** @type {Kit.Render<Kit.BannerState, Kit.BannerAsk, Kit.Kept>} */
const render = ({ model, el, signal }) => {
  ownKeys(el);
  el.classList.add("sk", "sk-banner-box");
  const draw = () => {
    const page = model.get("page"), picking = document.activeElement instanceof HTMLSelectElement, open = Boolean(el.querySelector("details[open]"));
    const link = labLink();
    const done = page.progress.filter((row) => ["right", "first", "kept"].includes(row.state)).length;
    const inside = el.contains(document.activeElement);
    const fold = h("details", { class: "sk-progress", open },
      h("summary", {}, page.progress.length ? say("Progress: {done} of {all} tasks", { done, all: page.progress.length }) : say("All lessons")),
      h("ol", { hidden: !page.progress.length }, page.progress.map((row) => h("li", { "data-state": row.state }, h("a", { href: `#${row.exercise}`, onclick: (event) => jump(event, row.exercise) }, row.title), h("span", {}, say(STATES[row.state] || row.state))))),
      page.lessons.length ? h("nav", { "aria-label": "Lessons" }, h("p", { class: "sk-kicker" }, say("Lessons")), h("ul", {}, page.today ? h("li", {}, h("a", { href: beside(page.today) }, say("Today"))) : null, page.lessons.map((one) => h("li", {},
        one.here ? h("strong", { "aria-current": "page" }, say(one.title)) : h("a", { href: beside(one.file) }, say(one.title)))))) : null,
      page.hand_in ? h("p", { class: "sk-note" }, say(page.hand_in)) : null);
    el.replaceChildren(h("header", { class: "sk-banner", role: "banner", "data-recorded": String(page.recorded) },
      h("p", { class: "sk-who" }, h("strong", {}, page.who), page.door ? h("a", { href: page.door }, say("Not you?")) : null, h("span", {}, page.lesson)),
      h("p", { class: "sk-rule" }, page.rules),
      page.why ? h("p", { class: "sk-why" }, page.why) : null,
      languageNodes(model.get("language"), (code) => model.send({ do: "language", code })),
      h("div", { class: "sk-strip" }, page.progress.length || page.lessons.length ? fold : null,
        page.today ? h("a", { class: "sk-escape", href: beside(page.today) }, say("Today")) : null,
        link || document.documentElement.dataset.kitAsked !== undefined ? null : h("span", { class: "sk-note" }, say("For the plain page without code, close this and run: smokehouse open")),
        link ? h("a", { class: "sk-escape", href: link[0], title: tr("Code, files and every tool. Your answers stay the same.") }, say(link[1])) : null)));
    if (inside) focusOn(picking ? el.querySelector("select") : fold.querySelector("summary"));
  };
  const keep = () => { const page = model.get("page"); line().replaceChildren(h("strong", {}, page.who), h("span", {}, page.lesson)); };
  const watch = new IntersectionObserver((seen) => { line().hidden = Boolean(seen.at(-1)?.isIntersecting); });
  watch.observe(el);
  signal?.addEventListener("abort", () => { watch.disconnect(); line().hidden = true; });
  /** @param {HTMLElement} term @param {Kit.TradeWord} word */
  const open = (term, word) => openWord(term, word, model);
  const inLanguage = () => { speak(model.get("language")); draw(); fitOut(open); };
  knowWords(model.get("words"));
  model.on("change:language", inLanguage);
  model.on("msg:custom", (message) => wordKept(message));
  keepSpeaking(open, signal);
  document.addEventListener("keydown", along, { capture: true, ...(signal ? { signal } : {}) });
  model.on("change:page", draw);
  model.on("change:page", keep);
  inLanguage();
  keep();
  arrive();
};

export default { render };
