// The list of walls.
// @ts-check
import { ask, on, say, sure } from "./base.js";

/** @param {{ wall: string }} made */
const go = (made) => { location.href = `/wall/${made.wall}/pieces`; };
const form = /** @type {HTMLFormElement} */ (document.getElementById("new"));
// Inches where people of this browser's language measure in them; else centimetres.
/** @type {HTMLSelectElement} */ (form.elements.namedItem("unit")).value = /^en-(US|CA|LR)/i.test(navigator.language) ? "in" : "cm";
// Money as it was in the wall that was begun last; at first a guess that is easily changed.
const MONEY = "windowfall-money";
const guess = /-(US|CA|AU|NZ)/i.test(navigator.language) ? "$" : /-GB/i.test(navigator.language) ? "£" : /^en$/i.test(navigator.language) ? "$" : "€";
/** @type {HTMLInputElement} */ (form.elements.namedItem("currency")).value = localStorage.getItem(MONEY) ?? guess;
// A wall that takes the prices of another is measured and paid as that one is.
const like = /** @type {HTMLSelectElement | null} */ (form.elements.namedItem("like"));
const turn = () => {
  for (const name of ["unit", "currency"]) /** @type {HTMLInputElement} */ (form.elements.namedItem(name)).disabled = Boolean(like?.value);
};
like?.addEventListener("change", turn);
turn();
form.addEventListener("submit", (event) => {
  event.preventDefault();
  const filled = Object.fromEntries(new FormData(form));
  if (!like?.value) localStorage.setItem(MONEY, String(filled.currency));
  ask("/do/new", filled).then(go, (error) => say(error.message));
});
on("demo", async () => go(await ask("/do/demo")));
on("close", async () => { await ask("/do/close"); });
const book = /** @type {HTMLInputElement} */ (document.getElementById("book"));
const brought = /** @type {HTMLElement} */ (document.getElementById("brought"));
/** The file in base64, as a request in JSON carries it. @param {File} file @returns {Promise<string>} */
const encoded = (file) => new Promise((done, fail) => {
  const reader = new FileReader();
  reader.onload = () => done(String(reader.result).replace(/^[^,]*,/, ""));
  reader.onerror = () => fail(new Error("The file cannot be read."));
  reader.readAsDataURL(file);
});
/** @param {File | undefined} file */
async function bringIn(file) {
  if (!file) return;
  say("Reading the workbook.");
  try {
    const { wall, said } = await ask("/do/book", { name: file.name, data: await encoded(file) });
    if (!said.length) return go({ wall });
    const link = document.createElement("a");
    link.href = `/wall/${wall}/pieces`;
    link.textContent = "To the wall";
    brought.replaceChildren(...said.map((/** @type {string} */ words) => Object.assign(document.createElement("p"), { textContent: words })), link);
    say("");
  } catch (error) {
    say(error instanceof Error ? error.message : "");
  }
  book.value = "";
}
book.addEventListener("change", () => bringIn(book.files?.[0]));
// A workbook may be dropped anywhere on the page.
document.addEventListener("dragover", (event) => event.preventDefault());
document.addEventListener("drop", (event) => {
  event.preventDefault();
  bringIn(event.dataTransfer?.files[0]);
});

// What is done with a wall of the list; the list is loaded again afterwards.
/** @param {string} path @param {object} asked */
const change = (path, asked = {}) => ask(path, asked).then(() => location.reload(), (error) => say(error.message));
for (const button of document.querySelectorAll("button[data-do]")) {
  const item = /** @type {HTMLElement} */ (button.closest("li"));
  button.addEventListener("click", () => change(`/wall/${item.dataset.wall}/do/${/** @type {HTMLElement} */ (button).dataset.do}`));
}
for (const renaming of document.querySelectorAll("form[data-do=rename]")) {
  const item = /** @type {HTMLElement} */ (renaming.closest("li"));
  renaming.addEventListener("submit", (event) => {
    event.preventDefault();
    const name = String(new FormData(/** @type {HTMLFormElement} */ (renaming)).get("name") ?? "");
    change(`/wall/${item.dataset.wall}/do/rename`, { name });
  });
}
for (const button of document.querySelectorAll("button[data-bin]")) {
  button.addEventListener("click", () => change("/do/back", { bin: /** @type {HTMLElement} */ (button).dataset.bin }));
}
for (const each of document.querySelectorAll("button[data-gone]")) {
  const button = /** @type {HTMLElement} */ (each), { gone = "", sure: words = "" } = button.dataset;
  // The second click of a double one answers no question.
  button.addEventListener("click", (event) => event.detail < 2 && sure(button, words) && change("/do/empty", { bins: gone.split(" ") }));
}
