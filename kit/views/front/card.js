/* The small cards: a picture, and a prediction on its own. */
/** @param {Kit.PictureCard} form */
const pictureCard = (form) => h("div", { class: "sk-plain" }, form.title ? h("p", { class: "sk-kicker" }, form.title) : null, pictureNode(form.picture));

/** @param {Kit.PredictCard} form */
const predictCard = (form) => h("section", { class: "sk-card", "aria-label": "Predict first" }, predictNode(form, () => null));

/** @param {Kit.CardState["form"]} form */
const cardNode = (form) => {
  switch (form.card) {
    case "picture": return pictureCard(form);
    case "predict": return predictCard(form);
  }
};

/** @type {Kit.Render<Kit.CardState>} */
const render = ({ model, el }) => {
  ownKeys(el);
  el.classList.add("sk");
  el.replaceChildren(cardNode(model.get("form")));
};

export default { render };
