/* The small cards: a picture, a prediction on its own, a list to tick on the job. */
const CARDS = {
  picture: (form) => h("div", { class: "sk-plain" }, form.title ? h("p", { class: "sk-kicker" }, form.title) : null, pictureNode(form.picture)),
  predict: (form) => h("section", { class: "sk-card", "aria-label": "Predict first" }, predictNode(form, () => null)),
  checklist: (form) => {
    const title = uid("list");
    return h("section", { class: "sk-card sk-checklist", "aria-labelledby": title },
      h("header", { class: "sk-head" }, h("h3", { id: title }, h("span", { class: "sk-tag" }, "On the job"), h("span", {}, form.title))),
      h("ul", {}, form.items.map((text) => { const id = uid("tick"); return h("li", {}, h("label", { class: "sk-option", for: id }, h("input", { type: "checkbox", id }), h("span", {}, marked(text)))); })),
      h("div", { class: "sk-inline" }, h("button", { type: "button", class: "sk-quiet", onclick: () => window.print() }, "Print this page"), h("span", { class: "sk-note" }, "Ticks are not kept. They are not a record.")));
  },
};

const render = ({ model, el }) => {
  ownKeys(el);
  el.classList.add("sk");
  const form = model.get("form");
  el.replaceChildren(CARDS[form.card](form));
};

export default { render };
