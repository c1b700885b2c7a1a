/* Two columns of lines, and threads between them: take a line, then its partner. A partner may hold several threads. */
/** @typedef {{ side: "line" | "partner", key: string, button: HTMLButtonElement, tied: HTMLElement }} End */

const SVG = "http://www.w3.org/2000/svg";
/**
 * The way of a thread, from a knot on the left to one on the right: it hangs a little, as twine does.
 * @param {Kit.Point} from
 * @param {Kit.Point} to
 */
const hanging = ([x1, y1], [x2, y2]) => {
  const reach = (x2 - x1) / 2, sag = Math.min(10, reach / 3);
  return `M${x1} ${y1} C${x1 + reach} ${y1 + sag} ${x2 - reach} ${y2 + sag} ${x2} ${y2}`;
};

/**
 * @param {Kit.MatchForm} form
 * @param {() => void} changed
 * @returns {Kit.Editor<Record<string, string>>}
 */
const matchEditor = (form, changed) => {
  /** @type {Map<string, string>} */
  const threads = new Map();
  /** @type {End | null} */
  let hand = null;
  const said = h("p", { class: "sk-hidden", "aria-live": "polite" });
  const twine = document.createElementNS(SVG, "svg");
  twine.setAttribute("class", "sk-twine");
  twine.setAttribute("aria-hidden", "true");

  /**
   * @param {End["side"]} side
   * @param {Kit.Option} option
   * @param {number} i
   * @returns {End}
   */
  const end = (side, option, i) => {
    const tied = h("span", { class: "sk-tied" });
    const button = h("button", { type: "button", class: `sk-${side}`, "aria-pressed": "false", "data-key": option.key },
      side === "line" ? h("span", { class: "sk-place", "aria-hidden": "true" }, String(i + 1)) : null, h("span", { class: "sk-step" }, marked(option.text)), tied);
    const made = { side, key: option.key, button, tied };
    button.addEventListener("click", (event) => tap(made, event.detail === 0));
    button.addEventListener("keydown", (event) => keyed(event, made));
    return made;
  };
  const lines = form.left.map((option, i) => end("line", option, i)), partners = form.right.map((option, i) => end("partner", option, i));
  const texts = { line: Object.fromEntries(form.left.map((one) => [one.key, one.text])), partner: Object.fromEntries(form.right.map((one) => [one.key, one.text])) };
  /** @param {End} one */
  const words = (one) => texts[one.side][one.key] ?? "";
  const column = (/** @type {End[]} */ ends, /** @type {HTMLElement} */ title) => {
    title.id = uid("column");
    title.className = "sk-hidden";
    return h("div", { class: "sk-column", role: "group", "aria-labelledby": title.id }, title, ends.map((one) => one.button));
  };
  const board = h("div", { class: "sk-threads" }, column(lines, say("Lines")), column(partners, say("Partners")));
  board.append(twine);

  const hang = () => {
    const box = board.getBoundingClientRect();
    twine.replaceChildren(...lines.flatMap((line) => {
      const partner = partners.find((one) => one.key === threads.get(line.key));
      if (!partner) return [];
      const a = line.button.getBoundingClientRect(), b = partner.button.getBoundingClientRect();
      const way = hanging([a.right - box.left, a.top + a.height / 2 - box.top], [b.left - box.left, b.top + b.height / 2 - box.top]);
      return ["sk-halo", hand === line || hand === partner ? "sk-thread sk-taut" : "sk-thread"].map((name) => {
        const path = document.createElementNS(SVG, "path");
        path.setAttribute("class", name);
        path.setAttribute("d", way);
        return path;
      });
    }));
  };
  const draw = () => {
    for (const one of [...lines, ...partners]) one.button.setAttribute("aria-pressed", String(one === hand));
    board.classList.toggle("sk-in-hand", Boolean(hand));
    for (const one of lines) {
      const partner = threads.get(one.key);
      one.button.classList.toggle("sk-joined", partner !== undefined);
      one.tied.replaceChildren(h("span", { class: "sk-hidden" }, partner === undefined ? say("no partner yet") : say("joined to: {text}", { text: texts.partner[partner] ?? "" })));
    }
    for (const one of partners) {
      const held = lines.flatMap((line, i) => (threads.get(line.key) === one.key ? [i + 1] : []));
      one.button.classList.toggle("sk-joined", held.length > 0);
      one.tied.replaceChildren(...held.map((n) => h("b", {}, h("span", { class: "sk-hidden" }, say("joined to line")), String(n))));
    }
    hang();
  };
  /** @param {End} one */
  const cut = (one) => {
    const loose = lines.filter((line) => line === one || one.side === "partner" && threads.get(line.key) === one.key).filter((line) => threads.delete(line.key));
    said.textContent = loose.length ? tr("Thread cut: {text}", { text: loose.map(words).join("; ") }) : "";
    if (loose.length) changed();
  };
  /**
   * Take an end in hand, or join it with the one that is. A second tap on the same end lets go.
   * @param {End} one
   * @param {boolean} byKeys
   */
  const tap = (one, byKeys) => {
    const held = hand;
    if (!held || held.side === one.side) {
      hand = held === one ? null : one;
      said.textContent = hand ? tr("In hand: {text}. Now its partner.", { text: words(one) }) : "";
      const others = one.side === "line" ? partners : lines;
      if (byKeys && hand) (others.find((other) => other.key === threads.get(one.key)) ?? others[0])?.button.focus();
    } else {
      const [line, partner] = held.side === "line" ? [held, one] : [one, held];
      hand = null;
      if (threads.get(line.key) === partner.key) cut(line);
      else {
        threads.set(line.key, partner.key);
        said.textContent = tr("Joined: {line} – {partner}", { line: words(line), partner: words(partner) });
        changed();
      }
      if (byKeys) (lines.find((other) => !threads.has(other.key)) ?? line).button.focus();
    }
    draw();
  };
  /**
   * @param {KeyboardEvent} event
   * @param {End} one
   */
  const keyed = (event, one) => {
    const mine = one.side === "line" ? lines : partners, other = one.side === "line" ? partners : lines, at = mine.indexOf(one);
    /** @type {Record<string, () => void>} */
    const keys = {
      ArrowUp: () => mine[at - 1]?.button.focus(), ArrowDown: () => mine[at + 1]?.button.focus(),
      ArrowLeft: () => { if (one.side === "partner") other[Math.min(at, other.length - 1)]?.button.focus(); },
      ArrowRight: () => { if (one.side === "line") other[Math.min(at, other.length - 1)]?.button.focus(); },
      Backspace: () => { cut(one); draw(); }, Delete: () => { cut(one); draw(); },
      Escape: () => { hand = null; said.textContent = ""; draw(); },
    };
    const act = keys[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  };

  new ResizeObserver(hang).observe(board);
  draw();
  return {
    node: h("fieldset", { class: "sk-options" }, h("legend", {}, say("Join each of the {n} lines to its partner", { n: form.left.length })),
      h("p", { class: "sk-note" }, say("Tap a line, then its partner. The same pair again cuts the thread. A partner may hold several threads, or none.")), board, said),
    read: () => Object.fromEntries(lines.flatMap((line) => { const partner = threads.get(line.key); return partner === undefined ? [] : [[line.key, partner]]; })),
    write: (answer) => {
      threads.clear();
      for (const line of lines) {
        const partner = textIn(namesIn(answer)[line.key]);
        if (partner in texts.partner) threads.set(line.key, partner);
      }
      hand = null;
      draw();
    },
    focus: () => (lines.find((line) => !threads.has(line.key)) ?? lines[0])?.button.focus(),
    ready: () => (threads.size === lines.length ? "" : tr("Join every line first: {n} of {all} joined.", { n: threads.size, all: lines.length })),
  };
};
