// The list of walls.
// @ts-check
import { ask, on, say } from "./base.js";

/** @param {{ wall: string }} made */
const go = (made) => { location.href = `/wall/${made.wall}/pieces`; };
const form = /** @type {HTMLFormElement} */ (document.getElementById("new"));
form.addEventListener("submit", (event) => {
  event.preventDefault();
  const name = String(new FormData(form).get("name") ?? "");
  ask("/do/new", { name }).then(go, (error) => say(error.message));
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
book.addEventListener("change", async () => {
  const file = book.files?.[0];
  if (!file) return;
  try {
    const { wall, said } = await ask("/do/book", { name: file.name, data: await encoded(file) });
    if (!said.length) go({ wall });
    const link = document.createElement("a");
    link.href = `/wall/${wall}/pieces`;
    link.textContent = "To the wall";
    brought.replaceChildren(...said.map((/** @type {string} */ words) => Object.assign(document.createElement("p"), { textContent: words })), link);
  } catch (error) {
    say(error instanceof Error ? error.message : "");
  }
});
