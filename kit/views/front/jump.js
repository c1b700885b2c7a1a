/* Ways about: to a lesson that lies beside this one, and to a task on this page. */
/** @param {string} file */
const beside = (file) => `${window.location.pathname.replace(/[^/]*$/, "")}${encodeURIComponent(file)}`;
/**
 * @param {Event} event
 * @param {string} exercise
 */
const jump = (event, exercise) => {
  event.preventDefault();
  const card = document.querySelector(`[data-exercise="${CSS.escape(exercise)}"]`);
  if (!card) return;
  const calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
  card.scrollIntoView({ behavior: calm ? "auto" : "smooth", block: "start" });
  focusOn(card.querySelector("input, select, textarea, .sk-board, button:not(.sk-hear)"), { preventScroll: true });
};
/* An address may name a task: once every card is there, go to it. */
const arrive = (tries = 100) => {
  const root = document.documentElement, name = root.dataset.kitAsked;
  if (!name || !tries) return;
  const ready = root.dataset.kitRun === "done" && document.querySelector(`[data-exercise="${CSS.escape(name)}"]`);
  if (!ready) { setTimeout(() => arrive(tries - 1), 200); return; }
  root.dataset.kitAsked = "";
  setTimeout(() => jump(new Event("arrive"), name), 200);
};

