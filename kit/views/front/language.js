/* The lesson's own text in the language of the page: each paragraph is found by its English, shown in the language,
   and keeps its English one tap away. Text goes in as nodes, never as markup. */
/** @param {string} text */
const inline = (text) => text.split(/(\*\*[^*]+\*\*|\*[^*]+\*|`[^`]+`|\[[^\]]+\]\([^)\s]+\))/).filter(Boolean).map((piece) => {
  const link = /^\[([^\]]+)\]\(([^)\s]+)\)$/.exec(piece);
  if (link) return h("a", { href: link[2] }, link[1]);
  if (/^\*\*.+\*\*$/.test(piece)) return h("strong", {}, piece.slice(2, -2));
  if (/^\*.+\*$/.test(piece)) return h("em", {}, piece.slice(1, -1));
  return /^`.+`$/.test(piece) ? h("code", {}, piece.slice(1, -1)) : kept(piece);
});
/** @param {Node} node */
const plainOf = (node) => (node.textContent ?? "").replace(/¶\s*$/, "").replace(/\s+/g, " ").trim();
const TEXTS = ["h1", "h2", "h3", "p", "li", "td", "th"].map((tag) => `.jp-RenderedMarkdown ${tag}:not([data-kit-said])`).join(",");

/** @param {HTMLElement} node */
const toEnglish = (node) => {
  const english = node.querySelector(":scope > .sk-en");
  if (english) node.replaceChildren(...english.childNodes);
  delete node.dataset.kitSaid;
};
/**
 * @param {HTMLElement} node
 * @param {string} said
 * @param {string} code
 */
const toLanguage = (node, said, code) => {
  const english = h("span", { class: "sk-en", lang: "en", hidden: true }), hidden = h("span", { class: "sk-hidden" }, " ", say("Show the English"));
  english.append(...node.childNodes);
  const tap = h("button", { type: "button", class: "sk-en-tap", "aria-expanded": "false", onclick: () => {
    english.hidden = !english.hidden;
    tap.setAttribute("aria-expanded", String(!english.hidden));
  } }, "EN", hidden);
  node.replaceChildren(h("span", { lang: code }, inline(said)), " ", tap, english);
  node.dataset.kitSaid = code;
};

/** @param {Kit.Language} language */
const translateText = (language) => {
  const known = new Map(language.lesson.map(([english, said]) => [plainOf(h("p", {}, inline(english))), said]));
  for (const node of document.querySelectorAll(TEXTS)) {
    const said = node instanceof HTMLElement && known.get(plainOf(node));
    if (said) toLanguage(node, said, language.code);
  }
};

/**
 * Show the whole page in a language from now on, whatever of it is drawn later too.
 * @param {Kit.Language} language
 */
const speak = (language) => {
  window.kitLanguage = language;
  quiet();
  for (const node of document.querySelectorAll("[data-kit-said]")) if (node instanceof HTMLElement) toEnglish(node);
  for (const node of document.querySelectorAll("[data-en]")) if (node instanceof HTMLElement) resay(node);
  document.querySelectorAll("[data-composed]").forEach(retell);
  translateText(language);
};

/**
 * The choice of a language, English one tap away, and who has checked the translation.
 * @param {Kit.Language} language
 * @param {(code: string) => void} choose
 */
const languageNodes = (language, choose) => {
  const id = uid("language"), own = language.code !== "en";
  const pick = h("select", { id, onchange: () => choose(pick.value) }, language.choices.map((one) => h("option", { value: one.code, lang: one.code }, one.name)));
  pick.value = language.code;
  const english = h("button", { type: "button", class: "sk-quiet", "aria-pressed": "false", onclick: () => {
    const on = english.getAttribute("aria-pressed") !== "true";
    english.setAttribute("aria-pressed", String(on));
    speak(on ? { ...language, code: "en", texts: {}, lesson: [] } : language);
  } }, "English");
  return h("div", { class: "sk-language" }, h("label", { for: id }, say("Language")), pick, own ? english : null, own ? h("span", { class: "sk-note" }, language.checked) : null);
};

/**
 * Keep what is drawn later in the language too, with an ear and touchable words. A picture that moves is no text.
 * @param {(term: HTMLElement, word: Kit.TradeWord) => void} open
 * @param {AbortSignal} [signal]
 */
const keepSpeaking = (open, signal) => {
  let asked = false;
  const look = new MutationObserver((seen) => {
    if (asked || seen.every(({ target }) => target instanceof Element && target.closest(".sk-figure, .sk-wait, output"))) return;
    asked = true;
    window.requestAnimationFrame(() => { asked = false; if (window.kitLanguage?.lesson.length) translateText(window.kitLanguage); fitOut(open); });
  });
  look.observe(document.body, { childList: true, subtree: true });
  signal?.addEventListener("abort", () => look.disconnect());
};
