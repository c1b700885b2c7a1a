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
  focusOn(card.querySelector("input, select, textarea, [tabindex], button"), { preventScroll: true });
};

