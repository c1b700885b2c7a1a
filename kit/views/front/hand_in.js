/* Handing in from a page: the button, and what came of it. */
/**
 * @param {Kit.HandedPage} page
 * @param {() => void} ask
 */
const handInButton = (page, ask) => (page.recorded ? h("button", { type: "button", onclick: ask }, say("Hand in to your tutor")) : null);

/** @param {Kit.HandedPage} page */
const handedIn = (page) => h("div", { role: "status", class: page.wrong ? "sk-trouble" : "sk-note" }, page.handed.map((line) => h("p", {}, line)));

