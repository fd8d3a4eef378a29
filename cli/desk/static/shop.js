// Shop: a board of which there are fewer than the list says; the wall is planned again with so many.
// @ts-check
import { askWall, say, wall } from "./base.js";

for (const form of document.querySelectorAll("form.fewer")) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const { plan, key } = /** @type {HTMLElement} */ (form).dataset;
    const count = /** @type {HTMLInputElement} */ (form.querySelector("input")).value;
    askWall("fewer", { plan, key, count }).then(() => { location.href = `/wall/${wall}/plan`; }, (error) => say(error.message));
  });
}
