/* One line of a sheet: what is looked at, and three big buttons. They are radio buttons, so the arrow keys move between
   them, a reader hears the line with them, and one that was pressed by mistake can be taken back. */
/** @type {Kit.Render<Kit.ChoiceState, Kit.ChoiceAsk>} */
const render = ({ model, el }) => {
  ownKeys(el);
  el.classList.add("d-choice");
  const name = uid("choice"), chosen = model.get("value");
  let turn = model.get("turn"); // presses are counted: an answer to an earlier press must not undo a later one
  /** @param {string} value */
  const choose = (value) => { turn = Math.max(turn, model.get("turn")) + 1; model.send({ do: "choose", value, turn }); };
  const inputs = model.get("options").map(([text, value]) => h("label", { class: "d-big" },
    h("input", { type: "radio", name, value, checked: value === chosen, onchange: () => choose(value) }), h("span", {}, text)));
  const back = h("button", { type: "button", class: "sk-quiet d-back-out", "aria-label": `Take back: ${model.get("label")}`, onclick: () => choose("") }, "Take back");
  const show = () => {
    if (model.get("turn") < turn) return;
    const now = model.get("value");
    for (const input of el.querySelectorAll("input")) input.checked = input.value === now;
    const held = document.activeElement === back && !now;
    back.style.visibility = now ? "" : "hidden"; // its room is kept: a line that grew would move the next button from under a thumb
    if (held) focusOn(el.querySelector("input"));
  };
  const small = model.get("small");
  el.replaceChildren(h("fieldset", {}, h("legend", {}, model.get("label"), small ? h("small", {}, ` ${small}`) : null), h("div", { class: "d-bigs" }, inputs), back));
  model.on("change:value", show);
  model.on("change:turn", show);
  show();
};

export default { render };
