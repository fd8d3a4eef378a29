// Shelf: a piece is put on, corrected or taken off, and the last change undone.
// @ts-check
import { ask, on, say } from "./base.js";

const SAID = "windowfall-shelf-said";
const form = /** @type {HTMLFormElement | null} */ (document.getElementById("piece"));
/** @type {string | undefined} */
let label;

/** @param {object} asked */
async function change(asked) {
  const { said } = await ask("/do/shelf", asked);
  sessionStorage.setItem(SAID, said);
  location.reload();
}
/** @param {string} name @param {string} text */
function fill(name, text) {
  const field = /** @type {HTMLInputElement | null} */ (form?.elements.namedItem(name));
  if (field) field.value = text;
}
form?.addEventListener("submit", (event) => {
  event.preventDefault();
  const asked = Object.fromEntries(new FormData(form));
  change(label ? { ...asked, change: "correct", label } : { ...asked, change: "add" }).catch((error) => say(error.message));
});
for (const button of document.querySelectorAll(".pile [data-do]")) {
  const row = /** @type {HTMLElement} */ (button.closest("tr"));
  button.addEventListener("click", () => {
    if (/** @type {HTMLElement} */ (button).dataset.do === "take") {
      change({ change: "take", label: row.dataset.label }).catch((error) => say(error.message));
      return;
    }
    label = row.dataset.label;
    for (const name of ["board", "width", "height", "quantity"]) fill(name, row.dataset[name] ?? "");
    const head = document.getElementById("formhead"), put = document.getElementById("put");
    if (head) head.textContent = `Correct ${label}`;
    if (put) put.textContent = "Correct it";
    form?.querySelector("input")?.focus();
  });
}
for (const choice of document.querySelectorAll("#unit select")) choice.addEventListener("change", () => choice.closest("form")?.submit());
on("undo", async () => change({ change: "undo" }));
const said = sessionStorage.getItem(SAID);
if (said) {
  sessionStorage.removeItem(SAID);
  say(said);
}
