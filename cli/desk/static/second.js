// The way in for a second screen: its code, then waiting for the desk.
// @ts-check
import { ask, say } from "./base.js";

const AGAIN = 700;
const form = /** @type {HTMLFormElement} */ (document.getElementById("enter"));
const waits = /** @type {HTMLElement} */ (document.getElementById("waits"));
const code = /** @type {HTMLInputElement} */ (document.getElementById("code"));

/** @param {boolean} isWaiting */
function turn(isWaiting) {
  form.hidden = isWaiting;
  waits.hidden = !isWaiting;
}
async function look() {
  try {
    const { is } = await ask("/waiting");
    if (is === "in") return location.replace("/");
    if (is === "out") {
      turn(false);
      return say("The desk did not let this screen in. Give its code again.");
    }
  } catch (error) {
    say(error instanceof Error ? error.message : "");
  }
  setTimeout(look, AGAIN);
}
async function enter() {
  try {
    const { number } = await ask("/enter", { code: code.value });
    /** @type {HTMLElement} */ (document.getElementById("number")).textContent = String(number);
    turn(true);
    waits.querySelector("h1")?.focus();
    look();
  } catch (error) {
    say(error instanceof Error ? error.message : "");
  }
  code.value = "";
}
form.addEventListener("submit", (event) => {
  event.preventDefault();
  enter();
});
// The code that the camera has read is in the address, and is forgotten there.
const read = location.hash.slice(1);
history.replaceState(null, "", "/");
if (!waits.hidden) look();
else if (read) {
  code.value = read;
  enter();
}
