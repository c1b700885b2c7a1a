/* A guess before looking. Nothing is sent, marked or kept. */
/**
 * @param {Kit.Prediction} predict
 * @param {() => void} then
 */
const predictNode = (predict, then) => {
  const { node, inputs, chosen } = picks(predict.choices.map((text, i) => ({ key: String(i), text })), "radio", predict.question);
  const after = h("div", { class: "sk-look", role: "status" });
  const note = h("p", { class: "sk-wait", "aria-live": "polite" });
  const go = () => {
    const guess = chosen();
    if (!guess) { note.textContent = "Take a guess first. There is no wrong answer here."; inputs[0]?.focus(); return; }
    note.textContent = "";
    after.replaceChildren(h("p", {}, h("strong", {}, "You said: "), predict.choices[Number(guess.value)]), prose(predict.look));
    then();
  };
  node.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); go(); } });
  return h("div", { class: "sk-predict" }, h("p", { class: "sk-kicker" }, "Predict first"), node,
    h("div", { class: "sk-inline" }, h("button", { type: "button", class: "sk-main", onclick: go }, "Show me"), h("span", { class: "sk-note" }, "Not marked."), note), after);
};
