/* Read it to me: the browser's own voices, and of them only those that are on this machine, so that nothing that is
   read leaves it. Where there is none for a language, the page says so in one sentence. */
const VOICES_MS = 800, SLOW = 0.9;
const canSpeak = () => "speechSynthesis" in window;

/**
 * The voice of this machine for a language, British English before other English.
 * @param {string} code
 */
const voiceOf = (code) => {
  /** @param {SpeechSynthesisVoice} voice */
  const langOf = (voice) => voice.lang.replace("_", "-").toLowerCase();
  const own = window.speechSynthesis.getVoices().filter((voice) => voice.localService && langOf(voice).split("-")[0] === code.split("-")[0]);
  return own.find((voice) => langOf(voice) === "en-gb") ?? own[0];
};

/* Some browsers find their voices only after they were asked once. */
/** @param {string} code @returns {Promise<SpeechSynthesisVoice | undefined>} */
const voiceSoon = (code) => new Promise((found) => {
  if (!canSpeak()) { found(undefined); return; }
  const now = voiceOf(code);
  if (now || window.speechSynthesis.getVoices().length) { found(now); return; }
  const end = () => { window.speechSynthesis.removeEventListener("voiceschanged", end); clearTimeout(timer); found(voiceOf(code)); };
  const timer = setTimeout(end, VOICES_MS);
  window.speechSynthesis.addEventListener("voiceschanged", end);
});

let readingNow = () => {}; // ends what is being read
const hush = () => { readingNow(); readingNow = () => {}; if (canSpeak()) window.speechSynthesis.cancel(); };

/**
 * Read a text; `state` is told when it begins and ends, `lacking` gets the sentence where there is no voice.
 * @param {string} text
 * @param {string} code
 * @param {(on: boolean) => void} state
 * @param {(sentence: string) => void} lacking
 */
const readAloud = async (text, code, state, lacking) => {
  hush();
  let over = false;
  const end = () => { if (!over) { over = true; state(false); } };
  readingNow = end;
  state(true);
  const voice = await voiceSoon(code);
  if (over) return; // stopped, or something else was asked for meanwhile
  if (!voice) {
    end();
    const name = new Intl.DisplayNames([window.kitLanguage?.code ?? "en"], { type: "language" }).of(code) ?? code;
    lacking(tr("This machine has no voice of its own for {language}, so it cannot read aloud.", { language: name }));
    return;
  }
  const speech = new SpeechSynthesisUtterance(text);
  Object.assign(speech, { voice, lang: voice.lang, rate: SLOW, onend: end, onerror: end });
  window.speechSynthesis.speak(speech);
};

/* What a listener needs of a piece of a page: no buttons, no hidden English, a formula once, an end to each line. */
/** @param {Element} node */
const heardOf = (node) => {
  const copy = /** @type {Element} */ (node.cloneNode(true));
  copy.querySelectorAll("button:not(.sk-term), .sk-en, .sk-hidden, .sk-hear-said, .sk-word-card, mjx-assistive-mml, .jp-InternalAnchorLink, [hidden]").forEach((one) => one.remove());
  [copy, ...copy.querySelectorAll("li, p, label, legend")].filter((one) => one.matches("li, p, label, legend")).forEach((one) => one.append(/[.!?:…]\s*$/.test(one.textContent ?? "") ? " " : ". "));
  return (copy.textContent ?? "").replace(/\s+/g, " ").replace(/( \.|\.\.)+/g, ".").trim();
};

/**
 * The language that a piece of a page is in.
 * @param {Element} node
 */
const langOf = (node) => {
  const inside = node.querySelector("[lang]:not(.sk-en):not(.sk-hidden)");
  return (inside instanceof HTMLElement && inside.lang) || "en";
};

/**
 * A small quiet button that reads `what` to whoever presses it; pressed again, or by Escape, it stops.
 * @param {() => Element[]} what
 */
const hearButton = (what) => {
  const button = h("button", { type: "button", class: "sk-hear", "data-lm-suppress-shortcuts": "true", "aria-pressed": "false" });
  /** @param {boolean} on */
  const state = (on) => { button.setAttribute("aria-pressed", String(on)); what().forEach((one) => one.classList.toggle("sk-heard", on)); };
  /** @param {string} sentence */
  const lacking = (sentence) => {
    document.querySelectorAll(".sk-hear-said").forEach((one) => one.remove());
    button.after(h("span", { class: "sk-hear-said", role: "status" }, sentence));
  };
  button.addEventListener("click", (event) => {
    event.preventDefault();
    if (button.getAttribute("aria-pressed") === "true") { hush(); return; }
    const [first = button] = what();
    void readAloud(what().map(heardOf).join(" "), langOf(first), state, lacking);
  });
  return button;
};
