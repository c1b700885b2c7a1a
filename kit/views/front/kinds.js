/* One editor for each kind of question: see Kit.Editor in messages.d.ts. */
/**
 * @param {unknown} a
 * @param {unknown} b
 */
const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

/* What an answer kept in a book holds, whatever it is: a list, names with values, or text. */
/**
 * @param {unknown} answer
 * @returns {unknown[]}
 */
const listIn = (answer) => (Array.isArray(answer) ? answer : []);
/**
 * @param {unknown} answer
 * @returns {Record<string, unknown>}
 */
const namesIn = (answer) => (typeof answer === "object" && answer !== null ? { ...answer } : {});
/** @param {unknown} answer */
const textIn = (answer) => String(answer ?? "");

/**
 * @param {Kit.NumberForm} form
 * @returns {Kit.Editor<string>}
 */
const numberEditor = (form) => {
  const id = uid("number"), how = uid("how");
  const input = h("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", spellcheck: "false", class: "sk-number", "aria-describedby": how });
  const unit = form.unit && form.unit !== "1" ? form.unit : "";
  const node = h("div", { class: "sk-field" },
    h("label", { for: id }, unit ? say("Your answer, in {unit}", { unit }) : say("Your answer, a plain number")),
    h("div", { class: "sk-inline" }, input, unit ? h("span", { class: "sk-unit", "aria-hidden": "true" }, unit) : null),
    h("p", { class: "sk-note", id: how }, say(unit ? noted("Type a number. You may add another unit after it.") : noted("Type a number, no unit."))));
  return {
    node, read: () => input.value, write: (answer) => { input.value = textIn(answer); }, focus: () => input.focus(),
    ready: () => (input.value.trim() ? "" : tr("Type a number first.")),
  };
};

/**
 * A row of options to pick from.
 * @param {Kit.Option[]} options
 * @param {"radio" | "checkbox"} type
 * @param {string | HTMLElement} legend
 * @param {(text: string) => (string | HTMLElement)[]} [words]
 */
const picks = (options, type, legend, words = marked) => {
  const name = uid("pick");
  const inputs = options.map((option) => h("input", { type, name, value: option.key, id: uid("option") }));
  const node = h("fieldset", { class: "sk-options" }, h("legend", {}, legend),
    inputs.map((input, i) => h("label", { class: "sk-option", for: input.id }, input, h("span", {}, words(options[i]?.text ?? "")))));
  const chosen = () => inputs.find((input) => input.checked);
  /** @param {(key: string) => boolean} wanted */
  const choose = (wanted) => inputs.forEach((input) => { input.checked = wanted(input.value); });
  return { node, inputs, chosen, choose, picked: () => chosen()?.value ?? "", focus: () => (chosen() ?? inputs[0])?.focus() };
};

/**
 * @param {Kit.OptionsForm} form
 * @returns {Kit.Editor<string>}
 */
const oneEditor = (form) => {
  const { node, picked, chosen, choose, focus } = picks(form.options, "radio", say("Pick one of these {n}", { n: form.options.length }));
  return { node, focus, read: picked, write: (answer) => choose((key) => key === answer), ready: () => (chosen() ? "" : tr("Pick one first.")) };
};

/**
 * @param {Kit.OptionsForm} form
 * @returns {Kit.Editor<string[]>}
 */
const severalEditor = (form) => {
  const { node, inputs, chosen, choose } = picks(form.options, "checkbox", say("Pick all that apply, of these {n}", { n: form.options.length }));
  return {
    node, read: () => inputs.filter((input) => input.checked).map((input) => input.value),
    write: (answer) => choose((key) => listIn(answer).includes(key)),
    focus: () => inputs[0]?.focus(),
    ready: () => (chosen() ? "" : tr("Pick at least one first.")),
  };
};

/* Places on a picture, as shares of its width and height. */
/** @param {number} value */
const inside = (value) => Math.min(1, Math.max(0, value));
/** @param {number} value */
const rounded = (value) => Math.round(1000 * value) / 1000;
/** @param {Kit.Point} point */
const percent = ([x, y]) => tr("{x} % across, {y} % down", { x: Math.round(100 * x), y: Math.round(100 * y) });
/** @param {Kit.Point} point */
const placed = ([x, y], words = "") => h("span", { class: "sk-mark", style: `left:${100 * x}%;top:${100 * y}%` }, h("b", {}, words));
/**
 * @param {MouseEvent} event
 * @param {HTMLElement} board
 * @returns {Kit.Point}
 */
const pointAt = (event, board) => {
  const box = board.getBoundingClientRect();
  return [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height];
};
/**
 * Where an arrow key leads from a point, or null for any other key.
 * @param {KeyboardEvent} event
 * @param {Kit.Point} point
 * @param {Kit.Point} step
 * @returns {Kit.Point | null}
 */
const stepped = (event, [x, y], [across, down]) => {
  switch (event.key) {
    case "ArrowLeft": return [inside(x - across), y];
    case "ArrowRight": return [inside(x + across), y];
    case "ArrowUp": return [x, inside(y - down)];
    case "ArrowDown": return [x, inside(y + down)];
    default: return null;
  }
};

/**
 * @param {Kit.PlacesForm} form
 * @param {() => void} changed
 * @returns {Kit.Editor<Kit.Point[]>}
 */
const placesEditor = (form, changed) => {
  const count = form.count || 1;
  /** @type {Kit.Point[]} */
  let points = [];
  /** @type {Kit.Point} */
  let cursor = [0.5, 0.5];
  const said = h("p", { class: "sk-note", "aria-live": "polite" });
  const layer = h("div", { class: "sk-layer" });
  const cross = h("div", { class: "sk-cross", "aria-hidden": "true" });
  const board = h("div", { class: "sk-board", tabindex: "0", role: "application", "aria-label": tr("Picture to mark. Arrow keys move the cross, Enter marks, Backspace takes back.") }, layer, cross);
  const tell = (text = "") => {
    said.textContent = text || (points.length
      ? tr("Marked {n} of {all}: {where}.", { n: points.length, all: count, where: points.map((point, i) => tr("{n} at {where}", { n: i + 1, where: percent(point) })).join("; ") })
      : count === 1 ? tr("Nothing marked yet. Mark one place.") : tr("Nothing marked yet. Mark {n} places.", { n: count }));
  };
  const draw = () => {
    layer.replaceChildren(...points.map((point, i) => placed(point, count > 1 ? String(i + 1) : "")));
    cross.style.left = `${100 * cursor[0]}%`;
    cross.style.top = `${100 * cursor[1]}%`;
    back.hidden = !points.length;
  };
  /** @param {Kit.Point} point */
  const mark = ([x, y]) => {
    if (points.length >= count) {
      if (count > 1) { tell(tr("All {n} places are marked. Take one back to move it.", { n: count })); return; }
      points = [];
    }
    points.push([rounded(inside(x)), rounded(inside(y))]);
    draw(); tell(); changed();
  };
  const takeBack = () => { const held = document.activeElement === back; points.pop(); draw(); tell(); changed(); if (held && back.hidden) board.focus(); };
  const back = h("button", { type: "button", class: "sk-quiet", onclick: takeBack, hidden: true }, say("Take back the last mark"));
  board.addEventListener("click", (event) => {
    cursor = pointAt(event, board);
    mark(cursor);
  });
  board.addEventListener("keydown", (event) => {
    const step = event.shiftKey ? 0.1 : 0.02;
    const to = stepped(event, cursor, [step, step]);
    if (to) {
      cursor = to;
      draw(); tell(tr("Cross at {where}. Enter marks it.", { where: percent(cursor) }));
    } else if (event.key === "Enter" || event.key === " ") mark(cursor);
    else if (event.key === "Backspace" || event.key === "Delete") takeBack();
    else return;
    event.preventDefault();
  });
  tell(); draw();
  return {
    node: h("div", { class: "sk-field" },
      h("p", { class: "sk-note" }, say("Click the picture, or tab to it and use the arrow keys (with Shift: bigger steps) and Enter.")), said, back),
    board, read: () => points.map(([x, y]) => [x, y]),
    write: (answer) => { points = listIn(answer).filter(Array.isArray).map(([x, y]) => [Number(x), Number(y)]); draw(); tell(); },
    focus: () => board.focus(),
    ready: () => (points.length === count ? "" : count === 1 ? tr("Mark one place first; {n} marked.", { n: points.length }) : tr("Mark {all} places first; {n} marked.", { all: count, n: points.length })),
  };
};

/** @param {number} step */
const decimals = (step) => (String(step).split(".")[1] || "").length;

/**
 * A slider with a field to type into.
 * @param {Kit.Control} control
 * @param {() => void} changed
 */
const sliderRow = (control, changed) => {
  const id = uid("slider"), typed = uid("typed");
  const range = h("input", { id, type: "range", min: control.low, max: control.high, step: control.step, value: control.start });
  const box = h("input", { id: typed, type: "text", inputmode: "decimal", class: "sk-small", value: String(control.start), "aria-label": `${control.label}, in ${control.unit}` });
  const unit = control.unit && control.unit !== "1" ? control.unit : "";
  range.setAttribute("aria-valuetext", `${control.start} ${unit}`);
  range.addEventListener("input", () => { box.value = range.value; range.setAttribute("aria-valuetext", `${range.value} ${unit}`); changed(); });
  const value = () => Number(box.value.replace(",", "."));
  const isNumber = () => box.value.trim() !== "" && Number.isFinite(value());
  box.addEventListener("input", () => { if (isNumber()) range.value = String(value()); changed(); });
  return {
    key: control.key, value, first: range, label: control.label,
    good: () => isNumber() && value() >= control.low && value() <= control.high,
    allowed: `${control.low} to ${control.high} ${unit}`.trim(),
    /** @param {number} number */
    set: (number) => { range.value = String(number); box.value = number.toFixed(decimals(control.step)); },
    node: h("div", { class: "sk-setting" }, h("label", { for: id }, control.label),
      h("div", { class: "sk-inline" }, range, box, h("span", { class: "sk-unit", "aria-hidden": "true" }, unit))),
  };
};

/**
 * @param {Kit.ControlsForm} form
 * @param {() => void} changed
 * @returns {Kit.Editor<Record<string, number>>}
 */
const controlsEditor = (form, changed) => {
  const rows = form.controls.map((control) => sliderRow(control, changed));
  return {
    node: h("fieldset", { class: "sk-options sk-settings" }, h("legend", {}, say("Set the controls")), rows.map((row) => row.node)),
    read: () => Object.fromEntries(rows.map((row) => [row.key, row.value()])),
    write: (answer) => rows.forEach((row) => { if (row.key in namesIn(answer)) row.set(Number(namesIn(answer)[row.key])); }),
    focus: () => rows[0]?.first.focus(), button: noted("Run the batch"),
    ready: () => { const bad = rows.find((row) => !row.good()); return bad ? tr("{label}: type a number from {allowed}.", { label: bad.label, allowed: bad.allowed }) : ""; },
  };
};

/**
 * @param {Kit.RecommendForm} form
 * @returns {Kit.Editor<Kit.Recommendation>}
 */
const recommendEditor = (form) => {
  const decision = picks(form.decisions, "radio", say("What do you recommend to the person who decides?"));
  const id = uid("reason");
  const reason = h("select", { id }, chooseFirst(), form.reasons.map((option) => h("option", { value: option.key }, option.text)));
  return {
    node: h("div", { class: "sk-field" }, decision.node, h("div", { class: "sk-pair" }, h("label", { for: id }, say("Because")), reason)),
    read: () => ({ decision: decision.picked(), reason: reason.value }),
    write: (answer) => { decision.choose((key) => key === namesIn(answer).decision); reason.value = textIn(namesIn(answer).reason); },
    focus: () => decision.inputs[0]?.focus(),
    ready: () => (!decision.picked() ? tr("Pick a recommendation first.") : !reason.value ? tr("Choose your reason first.") : ""),
  };
};

/**
 * What an explanation still lacks of what the prompt asks for, in words.
 * @param {Kit.ExplainForm} form
 * @param {string} text
 */
const lacking = ({ words, least }, text) => {
  const said = text.toLowerCase(), sentences = text.split(/[.!?…]+(?=\s|$)/).filter((one) => one.trim()).length;
  return [...words.filter((word) => !said.includes(word.toLowerCase())).map((word) => tr("the word “{word}”", { word })),
    ...(sentences < least ? [tr("sentences: {n} of {least}", { n: sentences, least })] : [])].join("; ");
};

/**
 * @param {Kit.ExplainForm} form
 * @returns {Kit.Editor<string>}
 */
const explainEditor = (form) => {
  let warned = "";
  const id = uid("explain");
  const box = h("textarea", { id, rows: 5, maxlength: 4000 });
  return {
    node: h("div", { class: "sk-field" }, h("label", { for: id }, say("In your own words")), box,
      h("p", { class: "sk-note" }, say("This is not marked by the kit. It is kept for your tutor, who reads it."))),
    read: () => box.value, write: (answer) => { box.value = textIn(answer); }, focus: () => box.focus(), button: noted("Keep for my tutor"),
    ready: () => {
      const text = box.value.trim(), missing = lacking(form, text);
      if (!text) return tr("Write a sentence or two first.");
      if (!missing || warned === text) return "";
      warned = text; // said once: a tutor reads it either way
      return tr("The task also asks for: {missing}. Add it, or press the button again to keep it as it is.", { missing });
    },
  };
};
