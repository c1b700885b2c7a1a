/* A picture as a card of its own. */
/** @type {Kit.Render<Kit.CardState>} */
const render = ({ model, el }) => {
  const form = model.get("form");
  ownKeys(el);
  el.classList.add("sk");
  el.replaceChildren(h("div", { class: "sk-plain" }, form.title ? h("p", { class: "sk-kicker" }, form.title) : null, pictureNode(form.picture)));
};

export default { render };
