/* One part of the tutor's desk: a page of blocks from the kernel. A click sends what is asked; a new page comes back.
   Focus stays where it was, or goes where the page says. Every cell of the board can be reached by the arrow keys. */
/**
 * The part as its blocks know it: what is folded open, where the reader stands in the grid, and how to ask.
 * @typedef {object} Part
 * @property {string} id
 * @property {Set<string>} open
 * @property {[row: number, column: number] | null} at
 * @property {boolean} back
 * @property {(wish: Kit.DeskWish) => void} ask
 * @property {() => void} again
 * @property {() => void} toGrid
 */
const NS = "http://www.w3.org/2000/svg";
const ROWS_AT_FIRST = 6, SETTLE_MS = 60;

/**
 * @param {string} name
 * @param {Record<string, string | number>} attributes
 * @param {...(Node | string)} children
 */
const draw = (name, attributes, ...children) => {
  const node = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, String(value));
  node.append(...children);
  return node;
};
const box = (more = {}) => draw("rect", { x: 3, y: 3, width: 18, height: 18, rx: 1.5, class: "d-line", ...more });
/** @param {string} d */
const path = (d, name = "d-line") => draw("path", { d, class: name });
const TICK = "M7 12.5l3.6 3.8L17.3 8";
/** @type {Record<string, () => Node[]>} */
const SIGNS = {
  competent: () => [box({ class: "d-full" }), path(TICK, "d-back")],
  "second wanted": () => [box({ "stroke-dasharray": "3 2.4" }), path(TICK)],
  "refresher due": () => [path("M3 3h11v7h7v11H3z", "d-full"), path(TICK, "d-back"), path("M17.5 2v5h4.5")],
  "not yet": () => [box(), path("M7.5 12h9")],
  "second refused": () => [box(), path("M8 8l8 8M16 8l-8 8")],
  lapsed: () => [box({ "stroke-dasharray": "3 2.4" }), path("M7.5 12h9")],
  appeal: () => [box(), draw("text", { x: 12, y: 17.5, class: "d-letter" }, "?")],
  disputed: () => [box({ "stroke-dasharray": "3 2.4" }), draw("text", { x: 12, y: 17.5, class: "d-letter" }, "?")],
  over: () => [box(), path("M6.5 17.5l11-11M8 12.5l2.6 2.8L15.3 9")],
  ready: () => [path("M6 17l1.5-4.5L16 4l3.5 3.5L11 16z"), path("M4 21h16")],
  seen: () => [path("M3 12c3-5 6-6.5 9-6.5s6 1.5 9 6.5c-3 5-6 6.5-9 6.5S6 17 3 12z"), draw("circle", { cx: 12, cy: 12, r: 3, class: "d-full" })],
  observe: () => [path("M3 12c3-5 6-6.5 9-6.5s6 1.5 9 6.5c-3 5-6 6.5-9 6.5S6 17 3 12z"), draw("circle", { cx: 12, cy: 12, r: 2.6, class: "d-line" })],
  nothing: () => [draw("circle", { cx: 12, cy: 12, r: 1.6, class: "d-full" })],
};
/**
 * How far practice has come, in notches of those needed.
 * @param {string} count
 * @param {string} state
 */
const notches = (count, state) => {
  const [right = 0, of = 3] = (count || "0/3").split("/").map(Number);
  const marks = [...Array(of).keys()].map((i) =>
    draw("rect", { x: 12 - of * 3 + i * 6 + 0.8, y: 5, width: 4.2, height: 11, class: i < right ? "d-full" : "d-line d-thin" }));
  if (state === "shown" || state === "sitting") marks.push(path("M3 20.5h18"));
  if (state === "sitting") marks.push(draw("circle", { cx: 12, cy: 10.5, r: 11, class: "d-line d-thin" }));
  return marks;
};
/**
 * @param {string} state
 * @param {string} [count]
 */
const sign = (state, count = "") =>
  draw("svg", { viewBox: "0 0 24 24", width: 22, height: 22, "aria-hidden": "true", focusable: "false", class: "d-sign" }, ...(SIGNS[state]?.() ?? notches(count, state)));

/**
 * @param {Kit.Block} block
 * @param {Part} page
 */
const blockNode = (block, page) => {
  const make = /** @type {(block: Kit.Block, page: Part) => HTMLElement} */ (BLOCKS[block.kind]);
  return make(block, page);
};

/** @type {{ [Kind in keyof Kit.Blocks]: (block: Kit.Blocks[Kind], page: Part) => HTMLElement }} */
const BLOCKS = {
  title: (block) => h(block.level < 4 ? "h3" : "h4", { class: "d-title", "data-k": block.key, tabindex: block.key ? "-1" : null }, block.text),
  text: (block) => prose(block.text, block.note ? "sk-note d-note" : "sk-prose"),
  facts: (block) => h("dl", { class: `d-facts${block.rows.some(([, value]) => value.length > 70) ? " d-long" : ""}` }, block.rows.map(([label, value]) => h("div", {}, h("dt", {}, label), h("dd", {}, marked(value))))),
  say: (block) => h("div", { class: `d-say d-${block.tone}`, role: block.tone === "error" ? "alert" : "status", "data-k": block.key, tabindex: "-1" }, prose(block.text)),
  buttons: (block, page) => h("div", { class: "sk-inline d-buttons" }, block.buttons.map((one) => button(one, page))),
  picture: (block) => pictureNode(block.picture),
  fold: (block, page) => h("details", { class: "d-fold", open: page.open.has(block.summary),
    ontoggle: (event) => { if (event.target instanceof HTMLDetailsElement) page.open[event.target.open ? "add" : "delete"](block.summary); } },
  h("summary", {}, block.summary), block.blocks.map((one) => blockNode(one, page))),
  columns: (block, page) => h("div", { class: "d-columns" }, block.columns.map((column) => h("section", { "aria-label": column.label }, column.blocks.map((one) => blockNode(one, page))))),
  table: (block, page) => h("div", { class: "d-scroll", tabindex: "0", role: "region", "aria-label": block.caption },
    h("table", { class: "d-table" }, h("caption", { class: "sk-hidden" }, block.caption),
      h("thead", {}, h("tr", {}, block.head.map((text) => h("th", { scope: "col" }, text)))),
      h("tbody", {}, block.rows.map((row) => h("tr", {}, row.map((cell, i) => h("td", { "data-head": block.head[i] }, typeof cell === "string" ? marked(cell) : button(cell, page)))))))),
  list(block, page) {
    const all = page.open.has(block.key), shown = all ? block.items : block.items.slice(0, ROWS_AT_FIRST);
    const more = block.items.length - shown.length;
    return h("section", { class: "d-list", "aria-labelledby": `${page.id}-${block.key}` },
      h("h4", { id: `${page.id}-${block.key}` }, block.title, " ", h("span", { class: "d-count" }, String(block.count))),
      block.items.length ? h("ul", {}, shown.map((one) => h("li", {},
        h("p", { class: "d-what" }, h("strong", {}, one.name), one.tag ? h("span", { class: "d-tag" }, one.tag) : null),
        one.detail ? h("p", { class: "d-detail" }, one.detail) : null,
        h("div", { class: "d-chips" }, one.buttons.map((each) => button(each, page)))))) : h("p", { class: "sk-note" }, block.empty),
      more > 0 || all ? h("button", { type: "button", class: "sk-quiet", "data-k": `more-${block.key}`, "aria-expanded": String(all), onclick: () => { page.open[all ? "delete" : "add"](block.key); page.again(); } },
        all ? "Show fewer" : `Show ${more} more`) : null,
      block.beyond ? h("p", { class: "sk-note" }, `And ${block.beyond} more: deal with some of these first.`) : null);
  },
  controls(block, page) {
    const step = uid("step"), search = uid("search");
    const pick = h("select", { id: step, "data-k": "step" }, block.steps.map(([value, text]) => h("option", { value }, text)));
    pick.value = block.step;
    pick.addEventListener("change", () => page.ask({ do: "board", step: pick.value }));
    const input = h("input", { id: search, type: "text", "data-k": "search", autocomplete: "off", spellcheck: "false" });
    input.value = block.search;
    input.addEventListener("keydown", (event) => { if (event.key === "Enter") page.ask({ do: "board", search: input.value }); });
    return h("div", { class: "d-controls" },
      h("div", {}, h("label", { for: step }, "Step"), pick),
      h("form", { onsubmit: (event) => event.preventDefault(), role: "search" }, h("label", { for: search }, "Name"), h("div", { class: "d-with" }, input,
        h("button", { type: "button", "data-k": "find", onclick: () => page.ask({ do: "board", search: input.value }) }, "Find"))),
      block.pages > 1 ? h("div", { class: "d-pages" }, h("button", { type: "button", "data-k": "before", disabled: block.page === 1, onclick: () => page.ask({ do: "board", page: block.page - 1 }) }, "Earlier names"),
        h("span", {}, `Page ${block.page} of ${block.pages}`),
        h("button", { type: "button", "data-k": "after", disabled: block.page === block.pages, onclick: () => page.ask({ do: "board", page: block.page + 1 }) }, "Later names")) : null);
  },
  finder(block, page) {
    const id = uid("find");
    const input = h("input", { id, type: "text", "data-k": "finder", autocomplete: "off", spellcheck: "false" });
    input.value = block.search;
    const find = () => page.ask({ do: "find", search: input.value });
    return h("form", { class: "d-controls", role: "search", onsubmit: (event) => { event.preventDefault(); find(); } },
      h("div", {}, h("label", { for: id }, block.label ?? "Whose page?"), h("div", { class: "d-with" }, input, h("button", { type: "submit", "data-k": "find-person" }, "Find"))));
  },
  download(block) {
    const bytes = Uint8Array.from(atob(block.data), (letter) => letter.codePointAt(0) ?? 0);
    const link = h("a", { class: "d-download", href: URL.createObjectURL(new Blob([bytes], { type: block.media })), download: block.name, "data-k": "download" }, `Save ${block.name}`);
    return h("p", {}, link, ` (${Math.max(1, Math.round(bytes.length / 1024))} kB)`);
  },
  grid(block, page) {
    /**
     * @param {Kit.GridCell} one
     * @param {Kit.GridRow} row
     * @param {Kit.GridColumn | undefined} column
     * @param {number} at
     * @param {number} place
     */
    const cell = (one, row, column, at, place) => h("td", { role: "gridcell", tabindex: "-1", class: `d-cell d-${one.state.replace(/ /g, "-")}${column?.first ? " d-first" : ""}`, "data-row": place, "data-column": at,
      "aria-label": `${row.name}, ${column?.says}: ${one.says}`, title: one.says },
    h("span", { class: "d-in", "aria-hidden": "true" }, one.state === "share" || one.state.startsWith("rail") ? null : sign(one.state, one.count), one.word ? h("span", { class: "d-word" }, one.word) : null));
    /**
     * @param {Kit.GridRow} row
     * @param {number} place
     */
    const name = (row, place) => h("th", { scope: "row", role: "rowheader", tabindex: "-1", "data-row": place, "data-column": -1, class: "d-who" }, h("span", { class: "d-name" }, row.name), row.note ? h("small", {}, row.note) : null);
    const groups = block.groups.length > 1 ? h("tr", { "aria-hidden": "true" }, h("td", {}), block.groups.map(([text, span], i) => h("td", { colspan: String(span), class: `d-group${i ? " d-first" : ""}` }, text))) : null;
    const table = h("table", { role: "grid", class: `d-grid${block.wide ? " d-wide d-rail" : ""}`, "aria-label": block.label, "data-k": "grid" },
      h("thead", {}, groups, h("tr", { role: "row" }, h("th", { scope: "col" }, "Apprentice"), block.columns.map((one) => h("th", { scope: "col", class: one.first ? "d-first" : null, title: one.says }, h("span", {}, one.short), one.dagger ? h("b", { title: "a mistake here can hurt someone" }, "†") : null)))),
      h("tbody", {}, block.rows.map((row, place) => h("tr", { role: "row" }, name(row, place), row.cells.map((one, at) => cell(one, row, block.columns[at], at, place))))));
    /** @typedef {[row: number, column: number]} At */
    /** @param {At} at */
    const find = ([row, column]) => table.querySelector(`[data-row="${row}"][data-column="${column}"]`);
    /**
     * @param {Event} event
     * @returns {At | null}
     */
    const atOf = (event) => {
      const node = event.target instanceof Element ? event.target.closest("[data-row]") : null;
      return node instanceof HTMLElement ? [Number(node.dataset.row), Number(node.dataset.column)] : null;
    };
    /** @param {At} to */
    const go = (to) => {
      const next = find(to);
      if (!next) return;
      for (const old of table.querySelectorAll('[tabindex="0"]')) old.setAttribute("tabindex", "-1");
      next.setAttribute("tabindex", "0");
      focusOn(next);
      page.at = to;
    };
    /** @param {At} at */
    const open = (at) => {
      const row = block.rows[at[0]], column = block.columns[at[1]];
      if (!row) return;
      page.at = at;
      page.ask(column ? { do: block.opens, person: row.person, criterion: column.id, from: "board" } : { do: "person", person: row.person });
    };
    /**
     * @param {string} key
     * @param {At} at
     * @returns {At | null}
     */
    const moved = (key, [row, column]) => {
      switch (key) {
        case "ArrowRight": return [row, column + 1];
        case "ArrowLeft": return [row, column - 1];
        case "ArrowDown": return [row + 1, column];
        case "ArrowUp": return [row - 1, column];
        case "Home": return [row, -1];
        case "End": return [row, block.columns.length - 1];
        case "PageDown": return [Math.min(row + 10, block.rows.length - 1), column];
        case "PageUp": return [Math.max(row - 10, 0), column];
        default: return null;
      }
    };
    table.addEventListener("click", (event) => { const at = atOf(event); if (at) open(at); });
    table.addEventListener("keydown", (event) => {
      const at = atOf(event);
      if (!at) return;
      const to = moved(event.key, at);
      if (to) { event.preventDefault(); go(to); } else if (event.key === "Enter" || event.key === " ") { event.preventDefault(); open(at); }
    });
    const start = (page.at && find(page.at)) ?? table.querySelector("[data-row]");
    start?.setAttribute("tabindex", "0");
    page.toGrid = () => focusOn(table.querySelector('[data-row][tabindex="0"]'));
    return block.rows.length ? h("div", { class: "d-scroll" }, table) : h("p", { class: "sk-note" }, block.empty);
  },
  key: (block) => h("details", { class: "d-fold" }, h("summary", {}, "How to read a cell"), h("ul", { class: "d-key" }, block.rows.map(([state, count, word, says]) => h("li", {}, sign(state, count), h("span", {}, h("b", {}, word), `: ${says}`))))),
};

/**
 * @param {Kit.Button} one
 * @param {Part} page
 */
const button = (one, page) => {
  const node = h("button", { type: "button", class: one.main ? "sk-main" : one.chip ? "d-chip" : one.quiet ? "sk-quiet" : null, title: one.title || null, "aria-label": one.says || null, "data-k": one.key || JSON.stringify(one.ask), onclick: () => page.ask(one.ask) }, one.label);
  if (one.ask.do === "close board") node.addEventListener("click", () => { page.back = true; });
  return node;
};

/** @type {Kit.Render<Kit.DeskState, Kit.DeskAsk, Kit.DeskReply>} */
const render = ({ model, el, signal }) => {
  ownKeys(el);
  el.classList.add("sk", "sk-desk");
  let serial = 0, turn = model.get("shown").turn; // a page that is shown again must not pull the reader to it
  /** @type {number[]} */
  let timers = [];
  const wait = h("p", { class: "sk-wait", role: "status" });
  const body = h("div", { class: "d-body" });
  const quiet = () => { timers.forEach((timer) => clearTimeout(timer)); timers = []; wait.textContent = ""; body.removeAttribute("aria-busy"); };
  /** @type {Part} */
  const page = {
    id: uid("desk"), open: new Set(), at: null, back: false, toGrid: () => undefined,
    ask(wish) {
      if (engine.down()) { wait.textContent = engine.words(); return; }
      quiet();
      serial += 1;
      body.setAttribute("aria-busy", "true");
      timers = [setTimeout(() => { wait.textContent = STILL; }, SOON_MS), setTimeout(() => { wait.textContent = engine.down() ? engine.words() : LATE; }, LATE_MS)];
      model.send({ ...wish, serial });
    },
    again: () => show(),
  };
  const show = () => {
    const now = model.get("shown");
    const held = document.activeElement instanceof HTMLElement && el.contains(document.activeElement) ? document.activeElement : null;
    const key = held?.dataset.k, inGrid = Boolean(held?.closest("[data-row]"));
    page.toGrid = () => undefined;
    body.replaceChildren(...now.blocks.map((block) => blockNode(block, page)));
    body.hidden = !now.blocks.length;
    body.dataset.page = now.page;
    if (now.turn !== turn && now.focus) {
      const to = body.querySelector(`[data-k="${CSS.escape(now.focus)}"]`);
      if (to) {
        const calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
        focusOn(to, { preventScroll: true });
        to.scrollIntoView({ behavior: calm ? "auto" : "smooth", block: now.near ? "nearest" : "start" });
      }
    } else if (page.back || inGrid) page.toGrid();
    else if (key) focusOn(body.querySelector(`[data-k="${CSS.escape(key)}"]`), { preventScroll: true });
    page.back = false;
    turn = now.turn;
  };
  el.replaceChildren(body, wait);
  model.on("change:shown", () => { quiet(); show(); });
  model.on("msg:custom", (message) => {
    if (message.reply === "done") quiet();
    if (message.reply === "settle") setTimeout(() => model.send({ do: "settled" }), SETTLE_MS); // whatever was held back goes first
  });
  show();
  engine.watch(() => { if (engine.down()) wait.textContent = engine.words(); else if (!timers.length) wait.textContent = ""; }, signal);
  return () => timers.forEach((timer) => clearTimeout(timer));
};

export default { render };
