/* The end of a lesson: a list to tick on the job, what you can show now, what to do again, handing in, and the next lesson. */
/** @param {Kit.Checklist} form */
const checklist = (form) => {
  const title = uid("list");
  return h("section", { class: "sk-card sk-checklist", "aria-labelledby": title },
    h("header", { class: "sk-head" }, h("h3", { id: title }, h("span", { class: "sk-tag" }, say("On the job")), h("span", {}, say(form.title)))),
    h("ul", {}, form.items.map((text) => { const id = uid("tick"); return h("li", {}, h("label", { class: "sk-option", for: id }, h("input", { type: "checkbox", id }), h("span", {}, say(text)))); })),
    h("div", { class: "sk-inline" }, h("button", { type: "button", class: "sk-quiet", onclick: () => window.print() }, say("Print this page")), h("span", { class: "sk-note" }, say("Ticks are not kept. They are not a record."))));
};

/** @type {Kit.Render<Kit.EndState, Kit.EndAsk>} */
const render = ({ model, el, signal }) => {
  ownKeys(el);
  el.classList.add("sk");
  const title = uid("end"), box = h("div");
  el.replaceChildren(checklist(model.get("form")), box);
  const draw = () => {
    const page = model.get("page"), held = box.contains(document.activeElement) && document.activeElement instanceof HTMLButtonElement;
    box.replaceChildren(h("section", { class: "sk-card sk-end", "aria-labelledby": title },
      h("header", { class: "sk-head" }, h("h3", { id: title }, h("span", { class: "sk-tag" }, say("Done here")), h("span", {}, say("Where you stand now")))),
      ...(page.recorded ? standing(page) : [h("p", { class: "sk-note" }, say("Nobody is recorded on this page, so nothing is kept. Open the workbook with your name to keep your answers."))]),
      page.redo.length ? h("p", { class: "sk-kicker" }, say("Do these next")) : null,
      page.redo.length ? h("ul", { class: "sk-redo" }, page.redo.map((row) => h("li", {}, h("a", { href: `#${row.exercise}`, onclick: (event) => jump(event, row.exercise) }, row.title)))) : null,
      h("div", { class: "sk-inline" }, handInButton(page, () => model.send({ do: "hand in" })),
        page.after.file ? h("a", { class: "sk-next", href: beside(page.after.file) }, say("Next: {title}", { title: page.after.title ?? "" })) : h("span", { class: "sk-note" }, say("This was the last lesson.")),
        h("a", { class: "sk-next", href: beside(page.today) }, say("Back to Today"))),
      handedIn(page)));
    if (held) focusOn(box.querySelector("button"));
  };
  const watch = new IntersectionObserver((seen) => { if (seen.at(-1)?.isIntersecting) model.send({ do: "look" }); });
  watch.observe(box);
  signal?.addEventListener("abort", () => watch.disconnect());
  model.on("change:page", draw);
  draw();
};

/** @param {Kit.EndPage} page */
const standing = (page) => [
  page.can.length ? h("p", { class: "sk-kicker" }, say("Practice shows that you know")) : h("p", {}, say("Practice has not shown a point of this lesson yet. That takes right answers on different days.")),
  page.can.length ? h("ul", { class: "sk-can" }, page.can.map((text) => h("li", {}, say(text)))) : null,
  page.open.length ? h("p", { class: "sk-kicker" }, say("Still open")) : null,
  page.open.length ? h("ul", {}, page.open.map((one) => h("li", {}, say(one.text), h("br"), h("span", { class: "sk-note" }, say(one.left, { n: one.n }))))) : null,
  page.more ? h("p", { class: "sk-note" }, say("And {n} more of this lesson.", { n: page.more })) : null,
];

export default { render };
