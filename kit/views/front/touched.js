/* Trade words in a text can be touched, and every paragraph and prompt can be read aloud. Buttons go in beside the
   text, which stays as it is. In each paragraph group one of them is reached by Tab; arrow keys lead to the others. */
const PARAGRAPHS = ".jp-RenderedMarkdown > :is(p, ul, ol), .jp-RenderedMarkdown > blockquote > :is(p, ul, ol), .sk-card :is(.sk-prose, .sk-message, .sk-batch-order, .sk-batch-evidence ul, .sk-batch-card ul), .sk-batch-card > p:not(.sk-kicker), .sk-task .sk-options > legend";
const WORDS_IN = ".jp-RenderedMarkdown :is(p, li, td), .sk-card :is(.sk-prose, .sk-message, .sk-batch-evidence, .sk-batch-card) :is(p, li), .sk-card p.sk-batch-order";
const GROUPS = ".sk-options, .sk-verdict, .sk-help, .sk-rule-box, .sk-card, .jp-Cell";
const NO_WORDS = "a, button, code, label, legend, summary, .sk-en, .sk-word-card, mjx-container";
const LAST_OF = "p, li";

/** @typedef {(term: HTMLElement, word: Kit.TradeWord) => void} OpenWord */

/** @param {Element} node */
const inOrder = (node) => {
  const all = [...(node.closest(GROUPS)?.querySelectorAll(".sk-hear, .sk-term") ?? [])];
  return all.filter((one) => one.closest(GROUPS) === node.closest(GROUPS) && !one.closest("[hidden], .sk-word-card"));
};
/** @param {Element[]} buttons @param {Element | undefined} at */
const oneStop = (buttons, at) => buttons.forEach((one) => one.setAttribute("tabindex", one === at ? "0" : "-1"));

/** @param {KeyboardEvent} event */
const along = (event) => {
  const here = event.target instanceof Element ? event.target : null;
  if (!here?.matches(".sk-hear, .sk-term")) return;
  /** @type {Record<string, number>} */
  const steps = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };
  const step = steps[event.key];
  if (event.key === "Escape") hush();
  if (!step) return;
  const all = inOrder(here), next = all[(all.indexOf(here) + step + all.length) % all.length];
  event.preventDefault();
  event.stopPropagation();
  oneStop(all, next);
  focusOn(next);
};

/** @type {{ pattern: RegExp, word: Map<string, Kit.TradeWord> } | null} */
let tradeWords = null;
/** @param {Kit.TradeWord[]} words */
const knowWords = (words) => {
  const word = new Map(words.flatMap((one) => [one.word, ...one.forms].map((form) => [form.toLowerCase(), one])));
  const forms = [...word.keys()].sort((a, b) => b.length - a.length).map((form) => form.replace(/[.*+?^${}()|[\]\\]/g, "\\$&").replace(/ /g, "\\s+"));
  tradeWords = { word, pattern: new RegExp(`(?<![\\p{L}\\p{N}-])(?:${forms.join("|")})(?![\\p{L}\\p{N}])`, "giu") };
};

/** @type {WeakMap<Element, string>} */
const looked = new WeakMap();

/**
 * Make the trade words of a paragraph touchable, each once in its group.
 * @param {HTMLElement} node
 * @param {OpenWord} open
 */
const markWords = (node, open) => {
  const text = node.textContent ?? "";
  if (!tradeWords || looked.get(node) === text) return;
  looked.set(node, text);
  const group = node.closest(GROUPS) ?? node;
  const there = new Set([...group.querySelectorAll(".sk-term")].map((one) => one instanceof HTMLElement ? one.dataset.word : ""));
  const walk = document.createTreeWalker(node, NodeFilter.SHOW_TEXT), /** @type {Text[]} */ texts = [];
  while (walk.nextNode()) if (walk.currentNode instanceof Text && !walk.currentNode.parentElement?.closest(NO_WORDS)) texts.push(walk.currentNode);
  for (const piece of texts) {
    let rest = piece;
    for (const found of [...piece.data.matchAll(tradeWords.pattern)]) {
      const word = tradeWords.word.get(found[0].toLowerCase().replace(/\s+/g, " "));
      if (!word || there.has(word.word)) continue;
      there.add(word.word);
      const at = rest.splitText(rest.data.indexOf(found[0]));
      rest = at.splitText(found[0].length);
      const term = h("span", { class: "sk-term", role: "button", tabindex: "-1", "aria-expanded": "false", "data-word": word.word, "data-lm-suppress-shortcuts": "true", lang: "en" });
      at.replaceWith(term);
      term.append(at);
      term.addEventListener("click", () => open(term, word));
      term.addEventListener("keydown", (event) => { if (event.key === "Enter" || event.key === " ") { event.preventDefault(); event.stopPropagation(); open(term, word); } });
    }
  }
};

/**
 * What a word means, its picture, what the reader calls it, and a voice: a card pinned below the text.
 * @param {Kit.TradeWord} word
 * @param {string} own
 * @param {(text: string) => void} keep
 * @param {() => void} close
 */
const wordCard = (word, own, keep, close) => {
  const id = uid("term"), field = uid("own"), spoken = h("span", { lang: "en" }, word.word);
  const sketch = h("span", { class: "sk-own-sketch", "aria-hidden": "true" });
  sketch.innerHTML = word.sketch; // eslint-disable-line no-restricted-properties -- drawn by the kit itself, never from what somebody typed
  const input = h("input", { type: "text", id: field, dir: "auto", autocomplete: "off", spellcheck: "false", maxlength: 80, value: own });
  const kept = h("span", { class: "sk-note sk-word-kept", role: "status" });
  input.addEventListener("change", () => keep(input.value));
  const hear = hearButton(() => [spoken]);
  hear.setAttribute("aria-label", tr("Say the word"));
  const card = h("div", { class: "sk sk-word-card sk-pinned", role: "group", "aria-labelledby": id, "data-lm-suppress-shortcuts": "true" },
    word.sketch ? sketch : null,
    h("div", { class: "sk-word-says" },
      h("p", { id, class: "sk-word-name" }, spoken, " ", hear, " ", besideEnglish(word.word)),
      h("p", {}, h("span", { lang: "en" }, word.means), besideEnglish(word.means)),
      h("div", { class: "sk-word-own" }, h("label", { for: field }, say("In my language")), input, kept)),
    h("button", { type: "button", class: "sk-quiet sk-word-close", onclick: close }, say("Close")));
  card.addEventListener("keydown", (event) => {
    event.stopPropagation();
    if (event.key === "Escape") { hush(); close(); }
    if (event.key === "Enter" && event.target === input) { event.preventDefault(); keep(input.value); }
  });
  return card;
};

/** @type {(() => void) | null} */
let closeWord = null;
/* Before a page changes its language: no card open, no voice, and no sentence about voices. */
const quiet = () => { hush(); closeWord?.(); document.querySelectorAll(".sk-hear-said").forEach((one) => one.remove()); };
/** @param {Kit.Kept} message */
const wordKept = (message) => {
  const note = document.querySelector(`.sk-word-card[data-word="${CSS.escape(message.word)}"] .sk-word-kept`);
  if (note) note.textContent = "error" in message ? message.error : tr("Kept: {word}.", { word: message.word });
};
/**
 * @param {HTMLElement} term
 * @param {Kit.TradeWord} word
 * @param {Kit.Model<Kit.BannerState, Kit.BannerAsk, Kit.Kept>} model
 */
const openWord = (term, word, model) => {
  const was = term.getAttribute("aria-expanded") === "true";
  closeWord?.();
  if (was) return;
  const close = () => {
    const inside = card.contains(document.activeElement);
    card.remove();
    term.setAttribute("aria-expanded", "false");
    closeWord = null;
    if (inside) focusOn(term);
  };
  const card = wordCard(word, model.get("own")[word.word] ?? "", (text) => model.send({ do: "word", word: word.word, text }), close);
  const place = term.closest("p, li, td") ?? term;
  if (place instanceof HTMLParagraphElement) place.after(card);
  else place.append(card);
  term.setAttribute("aria-expanded", "true");
  closeWord = close;
  card.dataset.word = word.word;
};

/* A formula on a line of its own is looked at. */
/** @param {Element} node */
const formula = (node) => node.textContent?.trim().startsWith("$$") || node.querySelector(":scope > mjx-container[display=true]:first-child");

/**
 * Put an ear at the end of a paragraph, on one line with its last word.
 * @param {Element} button
 * @param {Element} last
 */
const seat = (button, last) => {
  const end = last.lastChild;
  if (end === button || (end instanceof Element && end.matches(".sk-last") && end.contains(button))) return;
  const [, before, word] = end instanceof Text ? /^([\s\S]*?)(\S{1,24}\s*)$/.exec(end.data) ?? [] : [];
  if (!(end instanceof Text) || word === undefined) { last.append(button); return; }
  end.data = before ?? "";
  end.after(h("span", { class: "sk-last" }, word, button));
};

/**
 * Put in what is missing: an ear at each paragraph and prompt, and marks on trade words.
 * @param {OpenWord} open
 */
const fitOut = (open) => {
  for (const node of document.querySelectorAll(WORDS_IN)) if (node instanceof HTMLElement) markWords(node, open);
  const label = tr("Read it to me");
  /** @param {Element | null} node */
  const leads = (node) => node?.tagName === "P" && !/[.?!…]\s*$/.test(node.textContent ?? "") && node.nextElementSibling?.matches("ul, ol"); // a list is read with the line that leads to it
  for (const node of document.querySelectorAll(PARAGRAPHS)) {
    if (!(node instanceof HTMLElement) || !node.textContent?.trim() || node.closest(".sk-word-card, [hidden]") || leads(node) || formula(node)) continue;
    const last = node.matches(LAST_OF) || node.matches("legend") ? node : [...node.querySelectorAll(LAST_OF)].at(-1) ?? node;
    const old = [...node.querySelectorAll(".sk-hear")].filter((one) => !one.closest(".sk-word-card")), [has] = old;
    old.slice(1).forEach((one) => one.remove());
    const before = node.previousElementSibling;
    const what = () => (node.matches("legend") ? [node.closest("fieldset") ?? node] : before && node.matches("ul, ol") && leads(before) ? [before, node] : [node]);
    const button = has ?? hearButton(what);
    seat(button, last);
    if (button.getAttribute("aria-label") !== label) button.setAttribute("aria-label", label);
  }
  for (const group of new Set([...document.querySelectorAll(".sk-hear, .sk-term")].map((one) => one.closest(GROUPS)))) {
    const first = group?.querySelector(".sk-hear, .sk-term");
    if (!first) continue;
    const all = inOrder(first);
    if (!all.some((one) => one.getAttribute("tabindex") === "0")) oneStop(all, all[0]);
    else all.filter((one) => !one.hasAttribute("tabindex")).forEach((one) => one.setAttribute("tabindex", "-1"));
  }
};
