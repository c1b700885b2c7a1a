/* One editor for each kind of question: {node, read(), write(answer), focus(), ready()}.
   read() gives the raw answer; ready() gives "" or what is still missing, in words. */
const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

const numberEditor = (form) => {
  const id = uid("number"), how = uid("how");
  const input = h("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", spellcheck: "false", class: "sk-number", "aria-describedby": how });
  const unit = form.unit && form.unit !== "1" ? form.unit : "";
  const node = h("div", { class: "sk-field" },
    h("label", { for: id }, unit ? `Your answer, in ${unit}` : "Your answer, a plain number"),
    h("div", { class: "sk-inline" }, input, unit ? h("span", { class: "sk-unit", "aria-hidden": "true" }, unit) : null),
    h("p", { class: "sk-note", id: how }, unit ? "Type a number. You may add another unit after it." : "Type a number, no unit."));
  return {
    node, read: () => input.value, write: (answer) => { input.value = answer ?? ""; }, focus: () => input.focus(),
    ready: () => (input.value.trim() ? "" : "Type a number first."),
  };
};

const picks = (options, type, legend) => {
  const name = uid("pick");
  const inputs = options.map((option) => h("input", { type, name, value: option.key, id: uid("option") }));
  const node = h("fieldset", { class: "sk-options" }, h("legend", {}, legend),
    options.map((option, i) => h("label", { class: "sk-option", for: inputs[i].id }, inputs[i], h("span", {}, marked(option.text)))));
  return { node, inputs };
};

const oneEditor = (form) => {
  const { node, inputs } = picks(form.options, "radio", "Pick one");
  return {
    node, read: () => inputs.find((input) => input.checked)?.value ?? "",
    write: (answer) => inputs.forEach((input) => { input.checked = input.value === answer; }),
    focus: () => (inputs.find((input) => input.checked) || inputs[0])?.focus(),
    ready: () => (inputs.some((input) => input.checked) ? "" : "Pick one first."),
  };
};

const severalEditor = (form) => {
  const { node, inputs } = picks(form.options, "checkbox", "Pick all that apply");
  return {
    node, read: () => inputs.filter((input) => input.checked).map((input) => input.value),
    write: (answer) => inputs.forEach((input) => { input.checked = (answer || []).includes(input.value); }),
    focus: () => inputs[0]?.focus(),
    ready: () => (inputs.some((input) => input.checked) ? "" : "Pick at least one first."),
  };
};

const orderEditor = (form, changed) => {
  let keys = form.options.map((option) => option.key);
  const texts = Object.fromEntries(form.options.map((option) => [option.key, option.text]));
  const list = h("ol", { class: "sk-order" });
  const said = h("p", { class: "sk-hidden", "aria-live": "polite" });
  const move = (key, by, way) => {
    const from = keys.indexOf(key), to = from + by;
    if (to < 0 || to >= keys.length) return;
    keys.splice(to, 0, ...keys.splice(from, 1));
    draw();
    const buttons = list.querySelector(`[data-key="${key}"]`).querySelectorAll("button");
    const wanted = way === "up" ? buttons[0] : buttons[1];
    (wanted.disabled ? (way === "up" ? buttons[1] : buttons[0]) : wanted).focus();
    said.textContent = `${texts[key]}: now ${to + 1} of ${keys.length}.`;
    changed();
  };
  const draw = () => {
    list.replaceChildren(...keys.map((key, i) => h("li", { "data-key": key,
      onkeydown: (event) => {
        const by = { ArrowUp: -1, ArrowDown: 1 }[event.key];
        if (by) { event.preventDefault(); move(key, by, by < 0 ? "up" : "down"); }
      } },
    h("span", { class: "sk-place", "aria-hidden": "true" }, String(i + 1)),
    h("span", { class: "sk-step" }, marked(texts[key])),
    h("span", { class: "sk-moves" },
      h("button", { type: "button", disabled: i === 0, "aria-label": `Move up: ${texts[key]}`, onclick: () => move(key, -1, "up") }, "↑"),
      h("button", { type: "button", disabled: i === keys.length - 1, "aria-label": `Move down: ${texts[key]}`, onclick: () => move(key, 1, "down") }, "↓")))));
  };
  draw();
  return {
    node: h("fieldset", { class: "sk-options" }, h("legend", {}, "Put in order, first to last"),
      h("p", { class: "sk-note" }, "Use the buttons, or the up and down arrow keys on them."), list, said),
    read: () => [...keys],
    write: (answer) => { if (answer && answer.length === keys.length && answer.every((key) => key in texts)) { keys = [...answer]; draw(); } },
    focus: () => list.querySelector("button:not([disabled])")?.focus(), ready: () => "",
  };
};

const matchEditor = (form) => {
  const rows = form.left.map((left) => {
    const id = uid("match");
    const select = h("select", { id }, h("option", { value: "" }, "choose …"), form.right.map((right) => h("option", { value: right.key }, right.text)));
    return { key: left.key, select, node: h("div", { class: "sk-pair" }, h("label", { for: id }, marked(left.text)), select) };
  });
  return {
    node: h("fieldset", { class: "sk-options" }, h("legend", {}, "Match each one"), rows.map((row) => row.node)),
    read: () => Object.fromEntries(rows.filter((row) => row.select.value).map((row) => [row.key, row.select.value])),
    write: (answer) => rows.forEach((row) => { row.select.value = (answer || {})[row.key] ?? ""; }),
    focus: () => rows[0]?.select.focus(),
    ready: () => (rows.every((row) => row.select.value) ? "" : "Choose a partner for every line first."),
  };
};

const placesEditor = (form, changed) => {
  const count = form.count || 1;
  let points = [], cursor = [0.5, 0.5];
  const said = h("p", { class: "sk-note", "aria-live": "polite" });
  const layer = h("div", { class: "sk-layer" });
  const cross = h("div", { class: "sk-cross", "aria-hidden": "true" });
  const board = h("div", { class: "sk-board", tabindex: "0", role: "application", "aria-label": `Picture to mark. Arrow keys move the cross, Enter marks, Backspace takes back.` }, layer, cross);
  const percent = ([x, y]) => `${Math.round(100 * x)} % across, ${Math.round(100 * y)} % down`;
  const tell = (text = "") => {
    said.textContent = text || (points.length
      ? `Marked ${points.length} of ${count}: ${points.map((point, i) => `${i + 1} at ${percent(point)}`).join("; ")}.`
      : `Nothing marked yet. Mark ${count === 1 ? "one place" : `${count} places`}.`);
  };
  const draw = () => {
    layer.replaceChildren(...points.map(([x, y], i) => h("span", { class: "sk-mark", style: `left:${100 * x}%;top:${100 * y}%` }, h("b", {}, count > 1 ? String(i + 1) : ""))));
    cross.style.left = `${100 * cursor[0]}%`;
    cross.style.top = `${100 * cursor[1]}%`;
    back.hidden = !points.length;
  };
  const mark = (point) => {
    if (points.length >= count) {
      if (count > 1) { tell(`All ${count} places are marked. Take one back to move it.`); return; }
      points = [];
    }
    points.push(point.map((value) => Math.round(1000 * Math.min(1, Math.max(0, value))) / 1000));
    draw(); tell(); changed();
  };
  const takeBack = () => { const inside = document.activeElement === back; points.pop(); draw(); tell(); changed(); if (inside && back.hidden) board.focus(); };
  const back = h("button", { type: "button", class: "sk-quiet", onclick: takeBack, hidden: true }, "Take back the last mark");
  board.addEventListener("click", (event) => {
    const box = board.getBoundingClientRect();
    cursor = [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height];
    mark([...cursor]);
  });
  board.addEventListener("keydown", (event) => {
    const step = event.shiftKey ? 0.1 : 0.02;
    const by = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
    if (by) {
      cursor = cursor.map((value, i) => Math.min(1, Math.max(0, value + by[i])));
      draw(); tell(`Cross at ${percent(cursor)}. Enter marks it.`);
    } else if (event.key === "Enter" || event.key === " ") mark([...cursor]);
    else if (event.key === "Backspace" || event.key === "Delete") takeBack();
    else return;
    event.preventDefault();
  });
  tell(); draw();
  return {
    node: h("div", { class: "sk-field" },
      h("p", { class: "sk-note" }, "Click the picture, or tab to it and use the arrow keys (with Shift: bigger steps) and Enter."), said, back),
    board, read: () => points.map((point) => [...point]),
    write: (answer) => { points = (answer || []).filter((point) => Array.isArray(point)).map((point) => point.map(Number)); draw(); tell(); },
    focus: () => board.focus(),
    ready: () => (points.length === count ? "" : `Mark ${count === 1 ? "one place" : `${count} places`} first; ${points.length} marked.`),
  };
};

const decimals = (step) => (String(step).split(".")[1] || "").length;

const sliderRow = (control, changed) => {
  const id = uid("slider"), typed = uid("typed");
  const range = h("input", { id, type: "range", min: control.low, max: control.high, step: control.step, value: control.start });
  const box = h("input", { id: typed, type: "text", inputmode: "decimal", class: "sk-small", value: String(control.start), "aria-label": `${control.label}, in ${control.unit}` });
  const unit = control.unit && control.unit !== "1" ? control.unit : "";
  range.setAttribute("aria-valuetext", `${control.start} ${unit}`);
  range.addEventListener("input", () => { box.value = range.value; range.setAttribute("aria-valuetext", `${range.value} ${unit}`); changed(); });
  box.addEventListener("input", () => {
    const number = Number(box.value.replace(",", "."));
    if (box.value.trim() && Number.isFinite(number)) range.value = number;
    changed();
  });
  const value = () => Number(box.value.replace(",", "."));
  return {
    key: control.key, value, first: range, label: control.label,
    good: () => box.value.trim() !== "" && Number.isFinite(value()) && value() >= control.low && value() <= control.high,
    allowed: `${control.low} to ${control.high} ${unit}`.trim(),
    set: (number) => { range.value = number; box.value = Number(number).toFixed(decimals(control.step)); },
    node: h("div", { class: "sk-setting" }, h("label", { for: id }, control.label),
      h("div", { class: "sk-inline" }, range, box, h("span", { class: "sk-unit", "aria-hidden": "true" }, unit))),
  };
};

const controlsEditor = (form, changed) => {
  const rows = form.controls.map((control) => sliderRow(control, changed));
  return {
    node: h("fieldset", { class: "sk-options sk-settings" }, h("legend", {}, "Set the controls"), rows.map((row) => row.node)),
    read: () => Object.fromEntries(rows.map((row) => [row.key, row.value()])),
    write: (answer) => rows.forEach((row) => { if (answer && row.key in answer) row.set(answer[row.key]); }),
    focus: () => rows[0]?.first.focus(), button: "Run the batch",
    ready: () => { const bad = rows.find((row) => !row.good()); return bad ? `${bad.label}: type a number from ${bad.allowed}.` : ""; },
  };
};

const DECISIONS = [["go on", "Fit to go on"], ["hold", "Hold and report"], ["reject", "Reject"]];

const recommendEditor = (form) => {
  const decision = picks(DECISIONS.map(([key, text]) => ({ key, text })), "radio", "What do you recommend to the person who decides?");
  const id = uid("reason");
  const reason = h("select", { id }, h("option", { value: "" }, "choose …"), form.reasons.map((option) => h("option", { value: option.key }, option.text)));
  const chosen = () => decision.inputs.find((input) => input.checked)?.value ?? "";
  return {
    node: h("div", { class: "sk-field" }, decision.node, h("div", { class: "sk-pair" }, h("label", { for: id }, "Because"), reason)),
    read: () => ({ decision: chosen(), reason: reason.value }),
    write: (answer) => { decision.inputs.forEach((input) => { input.checked = input.value === (answer || {}).decision; }); reason.value = (answer || {}).reason ?? ""; },
    focus: () => decision.inputs[0].focus(),
    ready: () => (!chosen() ? "Pick a recommendation first." : !reason.value ? "Choose your reason first." : ""),
  };
};

const explainEditor = () => {
  const id = uid("explain");
  const box = h("textarea", { id, rows: 5, maxlength: 4000 });
  return {
    node: h("div", { class: "sk-field" }, h("label", { for: id }, "In your own words"), box,
      h("p", { class: "sk-note" }, "This is not marked by the kit. It is kept for your tutor, who reads it.")),
    read: () => box.value, write: (answer) => { box.value = answer ?? ""; }, focus: () => box.focus(), button: "Keep for my tutor",
    ready: () => (box.value.trim() ? "" : "Write a sentence or two first."),
  };
};

const EDITORS = { number: numberEditor, chart: numberEditor, one: oneEditor, several: severalEditor, order: orderEditor, match: matchEditor,
  places: placesEditor, controls: controlsEditor, recommend: recommendEditor, explain: explainEditor };
