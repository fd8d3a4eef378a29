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
