// Bench: one cut at a time, or the whole sheet.
// @ts-check
import { keepInTurn } from "./ticks.js";

const now = document.getElementById("now");
const steps = [...document.querySelectorAll("li.step")].map((step) => /** @type {HTMLElement} */ (step));
const where = /** @type {HTMLElement} */ (document.getElementById("where"));
/** @param {HTMLElement} step */
const box = (step) => /** @type {HTMLInputElement} */ (step.querySelector("input[data-key]"));
// A spoiled mat is cut by a plan of its own: here nothing of it is open.
/** @param {HTMLElement} step */
const isOpen = (step) => !box(step).checked && !("spoiled" in step.dataset);
const firstOpen = () => steps.findIndex(isOpen);
let at = firstOpen() < 0 ? Math.max(0, steps.length - 1) : firstOpen();

function show() {
  for (const each of document.querySelectorAll(".now")) each.classList.remove("now");
  const step = steps[at];
  step?.classList.add("now");
  step?.closest("section")?.classList.add("now");
  document.querySelector(`[data-of="${step?.dataset.key}"]`)?.classList.add("now");
  if (where) where.textContent = `${at + 1} of ${steps.length}`;
  const button = document.getElementById("next");
  if (button) {
    const isSpoiled = step && "spoiled" in step.dataset;
    const isLast = !steps.some((other) => other !== step && isOpen(other));
    button.textContent = isSpoiled ? "Next" : isLast ? "Done" : "Done, next";
  }
  ended();
}
/** Say when all is cut. */
function ended() {
  const isAll = firstOpen() < 0, said = document.getElementById("ended");
  const button = /** @type {HTMLButtonElement | null} */ (document.getElementById("next"));
  if (said) said.hidden = !isAll;
  if (button) button.disabled = isAll;
}
function next() {
  const tick = box(steps[at]);
  if (!tick.checked && !("spoiled" in steps[at].dataset)) {
    tick.checked = true;
    keepInTurn(tick); // the next cut is there at once
  }
  const after = steps.findIndex((step, place) => place > at && isOpen(step));
  if (after >= 0) at = after;
  else if (firstOpen() >= 0) at = firstOpen(); // something before was left out
  else document.getElementById("ended")?.scrollIntoView({ block: "center" });
  show();
  if (firstOpen() >= 0) reveal();
}
function back() {
  if (at > 0) at -= 1;
  show();
  reveal();
}
/** Bring what is set next into sight, where one has scrolled away from it. */
function reveal() {
  const box = steps[at].querySelector(".figure, h3")?.getBoundingClientRect();
  if (box && (box.top < 0 || box.bottom > innerHeight - 120)) (now?.classList.contains("one") ? steps[at].closest("section") : steps[at])?.scrollIntoView();
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
  now.addEventListener("change", ended);
  document.addEventListener("ticked", ended);
  document.addEventListener("keydown", (event) => {
    if (event.target instanceof HTMLElement && event.target.closest("input, button, a")) return;
    if (["ArrowRight", "PageDown", " ", "Enter"].includes(event.key)) {
      event.preventDefault();
      next();
    } else if (["ArrowLeft", "PageUp"].includes(event.key)) back();
  });
  show();
}
