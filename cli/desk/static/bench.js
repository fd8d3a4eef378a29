// Bench: one cut at a time, or the whole sheet.
// @ts-check
import { keep } from "./ticks.js";

const now = document.getElementById("now");
const steps = [...document.querySelectorAll("li.step")].map((step) => /** @type {HTMLElement} */ (step));
const where = /** @type {HTMLElement} */ (document.getElementById("where"));
/** @param {HTMLElement} step */
const box = (step) => /** @type {HTMLInputElement} */ (step.querySelector("input[data-key]"));
let at = Math.max(0, steps.findIndex((step) => !box(step).checked));

function show() {
  for (const each of document.querySelectorAll(".now")) each.classList.remove("now");
  const step = steps[at];
  step?.classList.add("now");
  step?.closest("section")?.classList.add("now");
  if (where) where.textContent = `${at + 1} of ${steps.length}`;
  const button = document.getElementById("next");
  if (button) button.textContent = at < steps.length - 1 ? "Done, next" : "Done";
}
// The next cut is there at once; ticks are kept one after the other behind it.
let kept = Promise.resolve();
function next() {
  const tick = box(steps[at]);
  if (!tick.checked) {
    tick.checked = true;
    kept = kept.then(() => keep(tick));
  }
  if (at < steps.length - 1) at += 1;
  show();
}
function back() {
  if (at > 0) at -= 1;
  show();
}
if (now && steps.length) {
  now.classList.add("one");
  document.getElementById("next")?.addEventListener("click", next);
  document.getElementById("back")?.addEventListener("click", back);
  document.getElementById("all")?.addEventListener("click", (event) => {
    const whole = now.classList.toggle("all");
    now.classList.toggle("one", !whole);
    /** @type {HTMLElement} */ (event.currentTarget).setAttribute("aria-pressed", String(whole));
  });
  document.addEventListener("keydown", (event) => {
    if (event.target instanceof HTMLElement && event.target.closest("input, button, a")) return;
    if (["ArrowRight", "PageDown", " ", "Enter"].includes(event.key)) {
      event.preventDefault();
      next();
    } else if (["ArrowLeft", "PageUp"].includes(event.key)) back();
  });
  show();
}
