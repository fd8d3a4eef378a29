// The owner's side of second screens: the page is drawn anew after each change.
// @ts-check
import { askWall, hear, say } from "./base.js";

/** @param {string} what @param {object} asked */
const change = (what, asked) => askWall(what, asked).then(() => location.reload(), (error) => say(error.message));
for (const each of document.querySelectorAll("button[data-do]")) {
  const button = /** @type {HTMLElement} */ (each), { do: what = "", number = "" } = button.dataset;
  button.addEventListener("click", () => change(what, { number }));
}
const form = document.getElementById("share");
form?.addEventListener("submit", (event) => {
  event.preventDefault();
  change("share", Object.fromEntries(new FormData(/** @type {HTMLFormElement} */ (form))));
});
const lasts = Number(/** @type {HTMLElement | null} */ (document.querySelector(".qr"))?.dataset.lasts);
if (lasts) setTimeout(() => location.reload(), (lasts + 1) * 1000); // to say that the code is too old
const shown = document.querySelector("h1")?.dataset.state;
hear((told) => told.kind === "screens" && told.state !== shown && location.reload());
