// Ticks: each is on the disk before it stays, and shows on every page.
// @ts-check
import { askWall, hear, say } from "./base.js";

/** @returns {HTMLInputElement[]} */
const boxes = () => [...document.querySelectorAll("input[data-key]")].map((box) => /** @type {HTMLInputElement} */ (box));

/** @param {HTMLInputElement} box */
export async function keep(box) {
  try {
    await askWall("tick", { plan: box.dataset.plan, key: box.dataset.key, done: box.checked });
  } catch (error) {
    box.checked = !box.checked;
    say(error instanceof Error ? error.message : "");
  }
}
for (const box of boxes()) box.addEventListener("change", () => keep(box));
hear((told) => {
  if (told.kind !== "tick") return;
  for (const box of boxes()) {
    if (box.dataset.plan === told.plan && box.dataset.key === told.key) box.checked = told.done;
  }
});
