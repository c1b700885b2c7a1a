/* The small cards: a picture, a prediction on its own, a list to tick on the job. */
/** @param {Kit.PictureCard} form */
const pictureCard = (form) => h("div", { class: "sk-plain" }, form.title ? h("p", { class: "sk-kicker" }, form.title) : null, pictureNode(form.picture));

/** @param {Kit.PredictCard} form */
const predictCard = (form) => h("section", { class: "sk-card", "aria-label": "Predict first" }, predictNode(form, () => null));

/** @param {Kit.ChecklistCard} form */
const checklistCard = (form) => {
  const title = uid("list");
  return h("section", { class: "sk-card sk-checklist", "aria-labelledby": title },
    h("header", { class: "sk-head" }, h("h3", { id: title }, h("span", { class: "sk-tag" }, "On the job"), h("span", {}, form.title))),
    h("ul", {}, form.items.map((text) => { const id = uid("tick"); return h("li", {}, h("label", { class: "sk-option", for: id }, h("input", { type: "checkbox", id }), h("span", {}, marked(text)))); })),
    h("div", { class: "sk-inline" }, h("button", { type: "button", class: "sk-quiet", onclick: () => window.print() }, "Print this page"), h("span", { class: "sk-note" }, "Ticks are not kept. They are not a record.")));
};

/** @param {Kit.CardState["form"]} form */
const cardNode = (form) => {
  switch (form.card) {
    case "picture": return pictureCard(form);
    case "predict": return predictCard(form);
    case "checklist": return checklistCard(form);
  }
};

/** @type {Kit.Render<Kit.CardState>} */
const render = ({ model, el }) => {
  ownKeys(el);
  el.classList.add("sk");
  el.replaceChildren(cardNode(model.get("form")));
};

export default { render };
