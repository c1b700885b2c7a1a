/* Shared by every widget of the workbook: building DOM, plain text, pictures, and the state of the engine.
   These files are joined in Python (see kit/views/workbook/widget_base.py); only the last one exports. */
let made = 0;
/** @param {string} stem */
const uid = (stem) => `sk-${stem}-${(made += 1)}-${Math.random().toString(36).slice(2, 7)}`;

/**
 * Make an element with its attributes and children; an attribute without a value is left out.
 * @template {Kit.Tag} T
 * @param {T} tag
 * @param {Kit.Attributes} [attributes]
 * @param {...Kit.Child} children
 * @returns {HTMLElementTagNameMap[T]}
 */
const h = (tag, attributes = {}, ...children) => {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (typeof value === "function") node.addEventListener(name.slice(2), /** @type {EventListener} */ (value));
    else if (name === "value") Object.assign(node, { value });
    else node.setAttribute(name, value === true ? "" : String(value));
  }
  node.append(...children.flat().filter((child) => child !== null && child !== undefined));
  return node;
};

/* The language of the page. Its texts come with the head of the page; each widget asks for a text by its English.
   `say` gives a node that follows when the language changes, `tr` plain text for attributes and options, and `noted`
   marks a text that is said later. A title that is a text of the catalogue itself is said in the language too. */
/** @param {string} text */
const noted = (text) => text;
/**
 * @param {string} text
 * @param {Kit.Values} [values]
 */
const tr = (text, values = {}) => {
  const { code, texts } = window.kitLanguage ?? { code: "en", texts: /** @type {Record<string, string>} */ ({}) };
  return (texts[text] ?? text).replace(/\{(\w+)\}/g, (whole, name) => {
    const value = values[name];
    if (typeof value === "number") return value.toLocaleString(code === "en" ? "en-GB" : code, { useGrouping: false });
    return value === undefined ? whole : (name === "title" && texts[value]) || value; // an answer is never put into other words
  });
};
/* What code composes for a picture or a report is found again by its sentences, whatever stands in their gaps. */
/** @type {WeakMap<Kit.Language, { test: RegExp, longest: string, said: string, gaps: string[] }[]>} */
const composedIn = new WeakMap();
/** @param {Kit.Language} language */
const patternsOf = (language) => {
  const known = composedIn.get(language);
  if (known) return known;
  const all = Object.entries(language.texts).filter(([english]) => /\{n\d+\}/.test(english)).map(([english, said]) => {
    const parts = english.split(/(\{n\d+\})/), words = parts.filter((part) => !/^\{n\d+\}$/.test(part));
    const test = new RegExp(`^${parts.map((part) => (/^\{n\d+\}$/.test(part) ? "(.*?)" : part.replace(/[.*+?^${}()|[\]\\]/g, "\\$&"))).join("")}$`);
    return { test, longest: words.sort((a, b) => b.length - a.length)[0] ?? "", said, gaps: english.match(/\{n\d+\}/g) ?? [] };
  }).sort((a, b) => b.longest.length - a.longest.length);
  composedIn.set(language, all);
  return all;
};
/**
 * A number of a text in the manner of the language: 2.5 is 2,5 where a comma parts.
 * @param {string} text
 * @param {string} code
 */
const localNumbers = (text, code) => ((1.5).toLocaleString(code).includes(",") ? text.replace(/(\d)\.(?=\d)/g, "$1,") : text);
/**
 * One sentence in the language of the page; English where it is not known.
 * @param {string} text
 * @returns {string}
 */
const sentenceIn = (text) => {
  const language = window.kitLanguage, bare = text.trim();
  if (!language || language.code === "en" || !/[a-z]/i.test(bare)) return text;
  const exact = language.texts[bare];
  if (exact) return text.replace(bare, () => exact);
  for (const { test, longest, said, gaps } of patternsOf(language)) {
    const found = bare.includes(longest) ? test.exec(bare) : null;
    if (!found) continue;
    const values = Object.fromEntries(gaps.map((gap, i) => [gap, localNumbers(composed(found[i + 1] ?? ""), language.code)]));
    return text.replace(bare, () => said.replace(/\{n\d+\}/g, (gap) => values[gap] ?? ""));
  }
  return text;
};
/**
 * @param {string} text
 * @returns {string}
 */
const composed = (text) => {
  const whole = sentenceIn(text);
  return whole === text ? text.split(/((?<=[.!?])\s+(?=[A-Z0-9“(]))|(\n)/).map((part) => (part ? sentenceIn(part) : "")).join("") : whole;
};
/** A composed text as a node that follows when the language of the page changes. @param {string} text */
const told = (text) => {
  const node = h("bdi", { "data-composed": text });
  retell(node);
  return node;
};
/** @param {Element} node */
const retell = (node) => {
  const english = node.getAttribute("data-composed") ?? "", said = composed(english);
  if (node instanceof HTMLElement) { node.replaceChildren(...marked(said)); node.lang = said === english ? "en" : window.kitLanguage?.code ?? "en"; }
  else if (node instanceof SVGTextContentElement) squeezed(node, english, said);
};
/* A word on a picture keeps to its room: where it is longer than the English by a quarter, it is drawn narrower. */
/**
 * @param {SVGTextContentElement} node
 * @param {string} english
 * @param {string} said
 */
const squeezed = (node, english, said) => {
  node.removeAttribute("textLength");
  node.textContent = english;
  const room = 1.25 * node.getComputedTextLength();
  node.textContent = said;
  if (room > 0 && node.getComputedTextLength() > room) {
    node.setAttribute("textLength", String(Math.round(room)));
    node.setAttribute("lengthAdjust", "spacingAndGlyphs");
  }
};
/** Put the words on a picture into the language of the page, once it lies on it. @param {Element} picture */
const pictureIn = (picture) => {
  for (const node of picture.querySelectorAll("svg text")) {
    if (node.querySelector("tspan") || !/[a-z]{2}/i.test(node.textContent ?? "")) continue;
    node.setAttribute("data-composed", node.textContent ?? "");
  }
  if (window.kitLanguage && window.kitLanguage.code !== "en") window.requestAnimationFrame(() => picture.querySelectorAll("[data-composed]").forEach(retell));
};

/** @param {HTMLElement} node */
const resay = (node) => {
  const text = node.dataset.en ?? "", code = window.kitLanguage?.texts[text] ? window.kitLanguage.code : "en";
  node.replaceChildren(...marked(tr(text, JSON.parse(node.dataset.values ?? "{}"))));
  node.lang = code;
};
/**
 * @param {string} text
 * @param {Kit.Values} [values]
 */
const say = (text, values = {}) => {
  const node = h("bdi", { "data-en": text, "data-values": JSON.stringify(values) });
  resay(node);
  return node;
};

/* A trade word or its meaning in the language of the page, beside its English. English itself says nothing twice. */
/** @param {string} text */
const besideEnglish = (text) => h("span", { class: "sk-own-said" }, say(text));

/* The first entry of a list to choose from. It is text alone, and follows the language as the rest of the page does. */
const chooseFirst = () => h("option", { value: "", "data-en": noted("choose …") }, tr("choose …"));

/* A number and its unit stay on one line. */
/** @param {string} line */
const kept = (line) => line.replace(/(\d) (?=(?:°C|°F|%|kg|g|mm|cm|min|h|s|m\/s|ppm|points?|days?|log10)(?![\w]))/g, "$1\u00a0");

/**
 * @param {string} line
 * @returns {(string | HTMLElement)[]}
 */
const marked = (line) =>
  kept(line).split(/(\*\*[^*]+\*\*)/).filter(Boolean).map((piece) =>
    piece.startsWith("**") && piece.endsWith("**") && piece.length > 4 ? h("strong", {}, piece.slice(2, -2)) : piece);

/* Text from the kernel becomes nodes, never markup: blank lines part paragraphs, "- " makes a list. */
/** @param {string} text */
const prose = (text, name = "sk-prose") => {
  const box = h("div", { class: name });
  for (const block of String(text || "").split(/\n\s*\n/)) {
    const lines = block.split("\n").filter((line) => line.trim());
    if (!lines.length) continue;
    if (lines.every((line) => /^\s*[-*] /.test(line))) {
      box.append(h("ul", {}, lines.map((line) => h("li", {}, marked(line.replace(/^\s*[-*] /, ""))))));
    } else {
      box.append(h("p", {}, lines.flatMap((line, i) => (i ? [h("br"), ...marked(line)] : marked(line)))));
    }
  }
  return box;
};

/* A source is one click away from its title, where its address is known. */
/**
 * @param {string} title
 * @param {string} address
 */
const sourceNode = (title, address) => address ? h("a", { href: address, target: "_blank", rel: "noopener noreferrer" }, title)
  : h("span", {}, title, h("span", { class: "sk-note" }, " (", say("no address known: look it up by its title"), ")"));

/**
 * @param {HTMLElement} box
 * @param {Kit.SourceLink[]} sources
 */
const linked = (box, sources) => {
  if (!sources.length) return box;
  const titles = new RegExp(`(${sources.map(({ title }) => title.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")).join("|")})`);
  const walk = document.createTreeWalker(box, NodeFilter.SHOW_TEXT);
  /** @type {Text[]} */
  const texts = [];
  while (walk.nextNode()) texts.push(/** @type {Text} */ (walk.currentNode));
  for (const text of texts) {
    const pieces = text.data.split(titles);
    if (pieces.length > 1) text.replaceWith(...pieces.map((piece) => { const named = sources.find(({ title }) => title === piece); return named ? sourceNode(named.title, named.address) : piece; }));
  }
  return box;
};

/* Facts stand side by side while they are short; a long one makes them a list. */
/**
 * @param {HTMLUListElement} list
 * @param {string[]} facts
 */
const fillFacts = (list, facts) => {
  list.classList.toggle("sk-facts-long", facts.some((fact) => fact.length > 52));
  list.replaceChildren(...facts.map((fact) => h("li", {}, told(fact))));
  return list;
};

/* A picture as SVG, with its words in a fold below and tied to the image for a reader. A phone has a chart of its own. */
/**
 * @param {Kit.Picture} picture
 * @param {{ board?: HTMLElement | null }} [more]
 */
const pictureNode = (picture, { board = null } = {}) => {
  const words = uid("words");
  const frame = h("div", { class: "sk-frame" });
  if (picture.svg) {
    const holder = h("div", { class: "sk-svg", role: "img", "aria-label": picture.label || "Picture", "aria-describedby": words });
    holder.innerHTML = window.innerWidth < 560 && picture.phone || picture.svg; // eslint-disable-line no-restricted-properties -- drawn by the kit itself from numbers, never from what somebody typed
    const svg = holder.querySelector("svg");
    if (svg) {
      svg.setAttribute("aria-hidden", "true");
      svg.setAttribute("focusable", "false");
      svg.removeAttribute("width");
      svg.removeAttribute("height");
      pictureIn(holder);
    }
    frame.append(holder);
  }
  if (board) frame.append(board);
  const fold = h("details", { class: "sk-words" }, h("summary", {}, say("The picture in words")), h("p", { id: words }, told(picture.text || "")));
  const figure = h("figure", { class: "sk-figure" }, frame);
  if (picture.facts && picture.facts.length) {
    figure.append(fillFacts(h("ul", { class: "sk-facts" }), picture.facts));
  }
  if (picture.photo) figure.append(h("img", { class: "sk-photo", src: picture.photo, alt: `A photograph of this kitchen: ${picture.label}`, draggable: "false" }));
  if (picture.photo_said) figure.append(h("p", { class: "sk-note" }, picture.photo_said));
  figure.append(fold);
  return figure;
};

/**
 * @param {EventTarget | null | undefined} node
 * @param {FocusOptions} [how]
 */
const focusOn = (node, how) => { if (node instanceof HTMLElement) node.focus(how); };

/* The notebook's shortcuts must never act on keys meant for a task: "d d" there deletes a cell. */
/** @param {HTMLElement} el */
const ownKeys = (el) => {
  el.setAttribute("data-lm-suppress-shortcuts", "true");
  for (const kind of ["keydown", "keyup", "keypress"]) el.addEventListener(kind, (event) => event.stopPropagation());
};

/* The engine is the Python process behind the page. The page script of this workbook tells its state in an
   attribute and an event; elsewhere (another front end) only the waiting times below speak. */
const engine = {
  state: () => document.documentElement.dataset.kitEngine || "unknown",
  down: () => ["dead", "restarting", "autorestarting", "terminating", "disconnected"].includes(engine.state()),
  words: () =>
    engine.state() === "disconnected"
      ? tr("The page has lost touch with the workbook on this machine. Is the window where you started it still open? What you typed is still here.")
      : tr("The engine behind this page stopped and is being started again. What you typed is still here; checked answers are kept. Wait for the page to settle, then check again."),
  /**
   * @param {() => void} callback
   * @param {AbortSignal} [signal]
   */
  watch(callback, signal) {
    window.addEventListener("kit-engine", callback);
    signal?.addEventListener("abort", () => window.removeEventListener("kit-engine", callback));
  },
};

const SOON_MS = 1200, LATE_MS = 12000;
const STILL = noted("Still working …");
const LATE = noted("No reply for 12 s. The engine behind this page is busy or has stopped. What you typed is still here. You can wait, or reload the page.");
