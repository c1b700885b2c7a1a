/* A list put in order: drag a line by its grip, tap its arrows, or use the arrow keys. */
/**
 * @param {Kit.OptionsForm} form
 * @param {() => void} changed
 * @returns {Kit.Editor<string[]>}
 */
const orderEditor = (form, changed) => {
  const all = form.options.length;
  let keys = form.options.map((option) => option.key);
  const texts = Object.fromEntries(form.options.map((option) => [option.key, option.text]));
  const list = h("ol", { class: "sk-order" });
  const said = h("p", { class: "sk-hidden", "aria-live": "polite" });
  /**
   * @param {string} key
   * @param {number} to
   */
  const place = (key, to) => {
    const from = keys.indexOf(key);
    if (to < 0 || to >= all || to === from) return false;
    keys.splice(to, 0, ...keys.splice(from, 1));
    said.textContent = tr("{text}: now {place} of {all}.", { text: texts[key] ?? "", place: to + 1, all });
    return true;
  };
  /**
   * Move a line by one with a button or a key; the button pressed stays the one in focus, or the grip does.
   * @param {string} key
   * @param {number} to
   * @param {"grip" | "up" | "down"} by
   */
  const move = (key, to, by) => {
    if (!place(key, to)) return;
    draw();
    const row = rowOf(key), wanted = row?.querySelector(`[data-by=${by}]:not([disabled])`) ?? row?.querySelector("[data-by=grip]");
    focusOn(wanted);
    changed();
  };
  /** @param {string} key */
  const rowOf = (key) => rows.find((row) => row.dataset.key === key);
  const rows = form.options.map(({ key, text }) => {
    /**
     * @param {"up" | "down"} by
     * @param {number} step
     * @param {HTMLElement} words
     */
    const arrow = (by, step, words) => h("button", { type: "button", "data-by": by, onclick: () => move(key, keys.indexOf(key) + step, by) },
      h("span", { "aria-hidden": "true" }, by === "up" ? "↑" : "↓"), h("span", { class: "sk-hidden" }, words));
    const grip = h("button", { type: "button", class: "sk-grip", "data-by": "grip" }, h("span", { class: "sk-place" }),
      h("span", { class: "sk-hidden" }, say("{text}. Arrow keys move it.", { text })));
    const row = h("li", { "data-key": key, onkeydown: (event) => {
      /** @type {Record<string, number>} */
      const to = { ArrowUp: keys.indexOf(key) - 1, ArrowDown: keys.indexOf(key) + 1, Home: 0, End: all - 1 };
      const next = to[event.key];
      if (next === undefined) return;
      event.preventDefault();
      move(key, next, "grip");
    } }, grip, h("span", { class: "sk-step" }, marked(text)),
    h("span", { class: "sk-moves" }, arrow("up", -1, say("Move up: {text}", { text })), arrow("down", 1, say("Move down: {text}", { text }))));
    row.addEventListener("pointerdown", (event) => drag(event, row, key));
    return row;
  });
  const draw = () => {
    rows.sort((a, b) => keys.indexOf(a.dataset.key ?? "") - keys.indexOf(b.dataset.key ?? ""));
    list.append(...rows);
    rows.forEach((row, i) => {
      const number = row.querySelector(".sk-place");
      if (number) number.textContent = String(i + 1);
      row.querySelector("[data-by=up]")?.toggleAttribute("disabled", i === 0);
      row.querySelector("[data-by=down]")?.toggleAttribute("disabled", i === all - 1);
    });
  };
  /**
   * Follow the pointer; the others make room as it passes their middle. A finger drags by the grip, so that it can scroll elsewhere.
   * @param {PointerEvent} event
   * @param {HTMLElement} row
   * @param {string} key
   */
  const drag = (event, row, key) => {
    const on = event.target instanceof Element ? event.target : row;
    if (event.button || on.closest(".sk-moves") || event.pointerType !== "mouse" && !on.closest(".sk-grip")) return;
    const before = [...keys];
    let offset = event.clientY - row.getBoundingClientRect().top;
    const watch = new AbortController(), { signal } = watch;
    /** @param {PointerEvent} now */
    const follow = (now) => {
      if (now.pointerId !== event.pointerId) return;
      if (!row.classList.contains("sk-held") && Math.abs(now.clientY - event.clientY) < 5) return;
      now.preventDefault();
      row.classList.add("sk-held");
      row.style.transform = "";
      const height = row.getBoundingClientRect().height, middle = now.clientY - offset + height / 2;
      const to = rows.filter((other) => other !== row).filter((other) => { const box = other.getBoundingClientRect(); return box.top + box.height / 2 < middle; }).length;
      if (place(key, to)) draw();
      row.style.transform = `translateY(${now.clientY - offset - row.getBoundingClientRect().top}px)`;
    };
    /** @param {boolean} keep */
    const drop = (keep) => {
      watch.abort();
      row.classList.remove("sk-held");
      row.style.transform = "";
      if (!keep) { keys = before; said.textContent = ""; }
      draw();
      offset = 0;
      if (!same(keys, before)) changed();
    };
    window.addEventListener("pointermove", follow, { signal });
    window.addEventListener("pointerup", () => drop(true), { signal });
    window.addEventListener("pointercancel", () => drop(false), { signal });
    window.addEventListener("keydown", (pressed) => { if (pressed.key === "Escape") drop(false); }, { signal, capture: true });
  };
  draw();
  return {
    node: h("fieldset", { class: "sk-options" }, h("legend", {}, say("Put these {n} in order, first to last", { n: all })),
      h("p", { class: "sk-note" }, say("Drag a line by its number, tap its arrows, or use the arrow keys.")), list, said),
    read: () => [...keys],
    write: (answer) => {
      const known = listIn(answer).map(textIn).filter((key) => key in texts);
      if (known.length === all) { keys = known; draw(); }
    },
    focus: () => focusOn(list.querySelector("button")), ready: () => "",
  };
};
