/* A guess before looking, and its end: what happened, how far off, and what changed your mind. Never marked. */
/**
 * @param {Kit.Prediction} predict
 * @param {() => void} then
 * @param {(ask: Kit.GuessAsk) => void} keep
 */
const predictNodes = (predict, then, keep) => {
  const { node, inputs, chosen } = picks(predict.choices.map((text, i) => ({ key: String(i), text })), "radio", say(predict.question), (text) => [say(text)]);
  const after = h("div", { class: "sk-look", role: "status" });
  const note = h("p", { class: "sk-wait", "aria-live": "polite" });
  const close = h("div", { class: "sk-predict sk-close", hidden: true });
  const go = () => {
    const guess = chosen();
    if (!guess) { note.textContent = tr("Take a guess first. There is no wrong answer here."); inputs[0]?.focus(); return; }
    note.textContent = "";
    after.replaceChildren(h("p", {}, h("strong", {}, say("You said:"), " "), say(predict.choices[Number(guess.value)] ?? "")), h("p", {}, say(predict.look)));
    closing(close, predict, Number(guess.value), keep);
    then();
  };
  node.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); go(); } });
  const ask = h("div", { class: "sk-predict" }, h("p", { class: "sk-kicker" }, say("Predict first")), node,
    h("div", { class: "sk-inline" }, h("button", { type: "button", class: "sk-main", onclick: go }, say("Show me")), h("span", { class: "sk-note" }, say("Not marked.")), note), after);
  return { ask, close, kept: (/** @type {string} */ words) => { const box = close.querySelector("[role=status]"); if (box) box.textContent = words; } };
};

/**
 * @param {HTMLElement} box
 * @param {Kit.Prediction} predict
 * @param {number} choice
 * @param {(ask: Kit.GuessAsk) => void} keep
 */
const closing = (box, predict, choice, keep) => {
  const off = predict.off[choice] || "", happened = predict.choices[predict.off.indexOf("")] || "";
  const text = h("textarea", { id: uid("changed"), rows: 2, maxlength: 500 });
  const end = h("div", { hidden: true },
    h("dl", { class: "sk-ends" },
      h("dt", {}, say("You said")), h("dd", {}, say(predict.choices[choice] ?? "")),
      h("dt", {}, say("What happens")), h("dd", {}, say(happened)),
      h("dt", {}, say("How far off")), h("dd", {}, off ? [say(off), "."] : say("Not at all: you said it."))),
    h("div", { class: "sk-field" }, h("label", { for: text.id }, say(off ? noted("What changed your mind?") : noted("What made you sure?"))), text),
    h("div", { class: "sk-inline sk-go" }, h("button", { type: "button", onclick: () => keep({ do: "guess", choice, changed: text.value }) }, say("Keep my words")), h("span", { class: "sk-note", role: "status" })));
  const open = h("button", { type: "button", onclick: () => { open.hidden = true; end.hidden = false; keep({ do: "guess", choice, changed: "" }); text.focus({ preventScroll: true }); } }, say("I have looked. How close was I?"));
  box.replaceChildren(h("p", { class: "sk-kicker" }, say("Your guess")), open, end);
  box.hidden = false;
};
