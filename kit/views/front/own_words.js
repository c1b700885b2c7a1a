/* The list of words: what is typed goes to the kernel a moment after the last key, and at once on leaving the field.
   A text that is not kept yet stays in its field, and in `drafts`, even when the engine starts again. */
const PAUSE_MS = 700;
const drafts = (window.kitOwnWords = window.kitOwnWords || {});

/** @type {Kit.Render<Kit.WordsState, Kit.KeepAsk, Kit.Kept>} */
const render = ({ model, el, signal }) => {
  ownKeys(el);
  el.classList.add("sk");
  const form = model.get("form"), kept = model.get("kept"), title = uid("words");
  let serial = 0;
  /** @type {Record<string, { serial: number, text: string }>} */
  const newest = {};
  /** @type {Record<string, number>} */
  const timers = {};
  /** @type {Record<string, { input: HTMLInputElement, error: HTMLElement }>} */
  const fields = {};
  const note = h("p", { class: "sk-note" }, say(form.note));
  const notice = h("p", { class: "sk-error", role: "alert", hidden: true });
  const wait = h("p", { class: "sk-wait", "aria-live": "polite" });
  const count = h("p", { class: "sk-note" });

  const tell = () => {
    const now = model.get("kept"), done = form.words.filter((one) => now.words[one.word]).length;
    count.replaceChildren(say("{done} of {all} words written.", { done, all: form.words.length }));
    notice.textContent = now.notice;
    notice.hidden = !now.notice;
    const name = (fields[""]?.input.value ?? now.language).trim();
    own.replaceChildren(say("In my language"), ...(name ? [h("br"), h("bdi", {}, name)] : []));
  };
  /** @param {string} word */
  const send = (word) => {
    const text = drafts[word];
    clearTimeout(timers[word]);
    if (text === undefined) return;
    if (engine.down()) { wait.textContent = engine.words(); return; }
    serial += 1;
    newest[word] = { serial, text };
    model.send({ do: "keep", word, text, serial });
    timers[word] = setTimeout(() => { wait.textContent = engine.down() ? engine.words() : tr(LATE); }, LATE_MS);
  };
  /**
   * @param {string} word
   * @param {string} label
   * @param {Kit.Attributes} [more]
   */
  const field = (word, label, more = {}) => {
    const id = uid("own"), why = uid("why");
    const error = h("p", { id: why, class: "sk-own-error", "aria-live": "polite" });
    const mirror = h("span", { class: "sk-own-print", dir: "auto", "aria-hidden": "true" });
    const input = h("input", { type: "text", id, dir: "auto", autocomplete: "off", spellcheck: "false", "aria-label": label, "aria-describedby": why, ...more });
    const text = drafts[word] ?? (word ? kept.words[word] ?? "" : kept.language);
    input.value = mirror.textContent = text;
    input.classList.toggle("sk-own-kept", Boolean(text) && !(word in drafts));
    input.addEventListener("input", () => {
      drafts[word] = input.value;
      mirror.textContent = input.value;
      input.classList.remove("sk-own-kept");
      clearTimeout(timers[word]);
      timers[word] = setTimeout(() => send(word), PAUSE_MS);
      if (!word) tell();
    });
    input.addEventListener("change", () => send(word));
    input.addEventListener("keydown", (event) => { // Enter goes down the column
      if (event.key !== "Enter" || event.isComposing) return;
      /** @type {Element[]} */
      const shown = [...el.querySelectorAll("tbody tr:not(.sk-away) input")];
      focusOn(shown[shown.indexOf(input) + 1] ?? input);
    });
    fields[word] = { input, error };
    return [input, mirror, error];
  };

  model.on("msg:custom", (message) => {
    const place = fields[message.word], sent = newest[message.word];
    if (!place || !sent || message.serial !== sent.serial) return;
    if (drafts[message.word] !== sent.text) return; // more was typed since: that goes next
    const refused = "error" in message, text = refused ? "" : message.text;
    clearTimeout(timers[message.word]);
    wait.textContent = refused ? "" : tr("Kept: {word}.", { word: message.word || tr("the language") });
    place.error.textContent = refused ? message.error : "";
    if (refused) place.input.setAttribute("aria-invalid", "true");
    else place.input.removeAttribute("aria-invalid");
    place.input.classList.toggle("sk-own-kept", Boolean(text));
    if (refused) return;
    delete drafts[message.word];
    if (document.activeElement !== place.input) place.input.value = text;
  });

  const own = h("th", { scope: "col" });
  const rows = form.words.map((one) => {
    const sketch = h("span", { class: "sk-own-sketch", "aria-hidden": "true" });
    sketch.innerHTML = one.sketch; // eslint-disable-line no-restricted-properties -- drawn by the kit itself, never from what somebody typed
    return h("tr", { "data-lesson": one.lesson, "data-word": one.word },
      h("td", { class: "sk-own-picture" }, sketch),
      h("th", { scope: "row" }, h("span", { lang: "en" }, one.word), besideEnglish(one.word)), h("td", {}, one.means, besideEnglish(one.means)),
      h("td", { class: "sk-own-field" }, field(one.word, tr("“{word}” in my language", { word: one.word }))));
  });
  const choice = uid("lesson"), names = uid("language");
  const pick = h("select", { id: choice }, form.lessons.map((one) => h("option", { value: String(one.number) }, one.title)), h("option", { value: "all" }, tr("All the words")));
  pick.value = String(form.start);
  const show = () => rows.forEach((row) => row.classList.toggle("sk-away", pick.value !== "all" && row.dataset.lesson !== pick.value));
  pick.addEventListener("change", show);
  show();

  const language = field("", tr("Name of my language"), { id: names, "aria-label": null });
  el.replaceChildren(h("section", { class: "sk-card sk-own", "aria-labelledby": title },
    h("header", { class: "sk-head" }, h("h3", { id: title }, h("span", { class: "sk-tag" }, say("Words")), h("span", {}, say("My own list of words")))),
    note, notice,
    h("div", { class: "sk-own-top" },
      h("div", { class: "sk-own-language" }, h("label", { for: names }, say("My language")), language),
      h("div", { class: "sk-own-choice" }, h("label", { for: choice }, say("Words of")), pick)),
    h("table", { class: "sk-own-table" }, h("thead", {}, h("tr", {}, h("th", { scope: "col", colspan: "2" }, say("Word")), h("th", { scope: "col" }, say("What it means")), own)), h("tbody", {}, rows)),
    h("div", { class: "sk-inline" }, h("button", { type: "button", class: "sk-quiet", onclick: () => window.print() }, say("Print this page, with all the words")), count, wait)));
  model.on("change:kept", tell);
  tell();
  const again = () => Object.keys(drafts).filter((word) => word in fields).forEach(send);
  again(); // typed before the engine was started again
  let fell = false;
  engine.watch(() => {
    if (engine.down()) { fell = true; wait.textContent = engine.words(); }
    else if (fell) { fell = false; wait.textContent = ""; again(); }
  }, signal);
  return () => Object.values(timers).forEach((timer) => clearTimeout(timer));
};

export default { render };
