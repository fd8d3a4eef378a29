// The settings of the bench: each is saved when it is changed, and the page loaded again, as numbers mean something else then.
// @ts-check
import { askWall, say } from "./base.js";

for (const each of document.querySelectorAll("[data-setting]")) {
  const field = /** @type {HTMLInputElement | HTMLSelectElement} */ (each);
  field.addEventListener("change", () => {
    askWall("setting", { name: field.dataset.setting, value: field.value }).then(() => location.reload(), (error) => say(error.message));
  });
}
