/* Today: where you were, a round of tasks, one thing to show the tutor, how far each step is, and handing in. */
/** @type {Kit.Render<Kit.TodayState, Kit.TodayAsk>} */
const render = ({ model, el }) => {
  ownKeys(el);
  el.classList.add("sk");
  const title = uid("today");
  const draw = () => {
    const page = model.get("page"), held = el.contains(document.activeElement) && document.activeElement instanceof HTMLButtonElement;
    el.replaceChildren(h("section", { class: "sk-card sk-today", "aria-labelledby": title },
      h("header", { class: "sk-head" }, h("h3", { id: title }, page.day)),
      ...carryOn(page),
      ...roundOf(page, () => model.send({ do: "more" })),
      ...toShow(page),
      ...lookBack(page.back),
      ...howFar(page),
      h("div", { class: "sk-inline" }, handInButton(page, () => model.send({ do: "hand in" }))),
      handedIn(page)));
    if (held) focusOn(el.querySelector("button"));
  };
  model.on("change:page", draw);
  draw();
};

/** @param {Kit.TodayPage} page */
const carryOn = (page) => {
  const on = page.carry_on;
  if (!on) return [h("p", {}, say("You have tried every task of every lesson. The rounds below keep it fresh."))];
  return [h("p", { class: "sk-kicker" }, say(page.started ? noted("Carry on where you were") : noted("Start here"))),
    h("p", { class: "sk-carry" }, h("a", { class: "sk-next", href: `${beside(on.file)}#${on.exercise}` }, say("Lesson {title}", { title: on.lesson })), h("span", { class: "sk-note" }, say(on.begun ? noted("“{title}” is not right yet.") : noted("The next task is “{title}”"), { title: on.title })))];
};

/**
 * @param {Kit.TodayPage} page
 * @param {() => void} more
 */
const roundOf = (page, more) => {
  if (!page.round.length) {
    return [h("p", { class: "sk-kicker" }, say("Your round")), h("p", {}, say(page.started ? noted("Nothing is due today. Go on in your lesson, or rest.") : noted("After your first tasks, a short round waits here each day.")))];
  }
  const left = page.round.filter((row) => !row.done).length;
  return [
    h("p", { class: "sk-kicker" }, say(!left ? noted("Your round is done") : left === 1 ? noted("Your round: 1 task, about {minutes} min") : noted("Your round: {left} tasks, about {minutes} min"), { left, minutes: page.minutes })),
    h("ol", { class: "sk-round" }, page.round.map((row) => h("li", { "data-done": String(row.done) },
      h("span", { class: "sk-state", "aria-hidden": "true" }, row.done ? "✓" : "○"),
      h("a", { href: `#${row.exercise}`, onclick: (event) => jump(event, row.exercise) }, row.title, row.done ? h("span", { class: "sk-hidden" }, " ", say("(tried today)")) : null),
      h("span", { class: "sk-note" }, row.why)))),
    left ? h("p", { class: "sk-note" }, say("What you leave today waits. Nothing piles up."))
      : h("div", { class: "sk-inline" }, h("span", {}, say("That is enough for today.")), h("button", { type: "button", class: "sk-quiet", onclick: more }, say("Five more"))),
  ];
};

/** @param {Kit.TodayPage} page */
const toShow = (page) => (page.show
  ? [h("p", { class: "sk-kicker" }, say("Show your tutor")), h("p", {}, say(page.show)), h("p", { class: "sk-note" }, say("Ask at a good moment. If it was seen already, choose another thing together."))]
  : []);

/** @param {Kit.TodayPage["back"]} back */
const lookBack = (back) => (back ? [
  h("p", { class: "sk-kicker" }, say("You guessed this on {when}", { when: back.when })),
  h("p", {}, marked(back.question)),
  h("details", {}, h("summary", {}, say("Think first. Then look.")),
    h("dl", { class: "sk-ends" }, h("dt", {}, say("You said")), h("dd", {}, back.said), h("dt", {}, say("What happens")), h("dd", {}, back.happened),
      back.off ? [h("dt", {}, say("How far off")), h("dd", {}, marked(`${back.off}.`))] : null,
      back.changed ? [h("dt", {}, say("You wrote")), h("dd", {}, back.changed)] : null)),
] : []);

/** @param {Kit.TodayPage} page */
const howFar = (page) => [
  h("p", { class: "sk-kicker" }, say("How far to working alone")),
  h("ul", { class: "sk-steps" }, page.steps.map((row) => h("li", {},
    h("span", {}, say(row.title)),
    h("span", { class: "sk-notches", "aria-hidden": "true" }, Array.from({ length: row.to_know }, (_, n) => h("i", { "data-state": n < row.shown ? "known" : n < row.shown + row.begun ? "begun" : "open" }))),
    h("span", { class: "sk-note" }, row.shown ? [say("{n} known", { n: row.shown }), ", "] : null, row.begun ? [say("{n} begun", { n: row.begun }), ", "] : null, say("{n} for your tutor to see", { n: row.to_be_seen }))))),
  h("p", { class: "sk-note" }, say("“Known” is what practice shows. Only a tutor who saw you do it, and signed, lets you work a step alone.")),
];

export default { render };
