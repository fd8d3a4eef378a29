// Ticks: each is on the disk before it stays, and shows on every page; without the desk they wait in this browser.
// @ts-check
import { LET_OUT, Refused, ask, hear, say, wall } from "./base.js";

/** @typedef {{ wall: string, plan: string, key: string, done: boolean }} Tick */
const KEPT = "windowfall-ticks";
const AGAIN = 3000;

/** @returns {HTMLInputElement[]} */
const boxes = () => [...document.querySelectorAll("input[data-key]")].map((box) => /** @type {HTMLInputElement} */ (box));

/** @returns {Tick[]} */
function waiting() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT) ?? "[]");
    return Array.isArray(kept) ? kept : [];
  } catch {
    return [];
  }
}
/** @param {Tick[]} ticks */
const store = (ticks) => localStorage.setItem(KEPT, JSON.stringify(ticks));
/** @param {Tick} tick */
const send = (tick) => ask(`/wall/${tick.wall}/do/tick`, { plan: tick.plan, key: tick.key, done: tick.done });

/** Whether the desk is not there, or was started anew and has not let this page in yet. @param {unknown} error */
const isAway = (error) => error instanceof Refused && [0, 403, 421].includes(error.status);

// What this page has ticked and not yet kept; nothing that is told meanwhile changes it.
/** @type {Set<HTMLInputElement>} */
const underway = new Set();
let turns = 0;

/** @param {HTMLInputElement} box */
async function keep(box) {
  underway.add(box);
  const tick = { wall, plan: box.dataset.plan ?? "", key: box.dataset.key ?? "", done: box.checked };
  try {
    await send(tick);
    store(waiting().filter((each) => each.plan !== tick.plan || each.key !== tick.key));
  } catch (error) {
    if (isAway(error)) {
      store([...waiting().filter((each) => each.plan !== tick.plan || each.key !== tick.key), tick]);
      const isOut = error instanceof Refused && error.status === 403;
      say(isOut ? `${error.message} The tick is kept here.` : "The desk does not answer. The tick is kept here, and goes to the desk when it is back.");
    } else {
      box.checked = !box.checked;
      say(error instanceof Error ? error.message : "");
    }
  } finally {
    underway.delete(box);
    turns += 1;
  }
}
let kept = Promise.resolve();
/** Keep a tick after those before it. @param {HTMLInputElement} box */
export function keepInTurn(box) {
  underway.add(box);
  kept = kept.then(() => keep(box));
}
/** Send what waits, in its order; what the desk refuses for good is let go, in its words. */
async function flush() {
  let sent = 0;
  for (const tick of waiting()) {
    try {
      await send(tick);
      sent += 1;
    } catch (error) {
      if (isAway(error)) break;
      say(error instanceof Error ? error.message : "");
    }
    store(waiting().slice(1));
  }
  if (sent) say(`${sent} ${sent === 1 ? "tick" : "ticks"} sent to the desk.`);
}
// A link is followed once all that was ticked is kept; away from the desk it would lead to nothing, and lose this page.
document.addEventListener("click", (event) => {
  const link = event.target instanceof Element ? event.target.closest("a") : null;
  if (!link || event.defaultPrevented || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  kept.then(() => fetch(link.href, { method: "HEAD", signal: AbortSignal.timeout(AGAIN) })).then(
    (answer) => {
      if (answer.status === 403) say(LET_OUT);
      else location.href = link.href;
    },
    () => say("The desk does not answer. Stay on this page: all that it shows is here, and ticks are kept."),
  );
});
for (const box of boxes()) {
  box.addEventListener("change", () => keepInTurn(box));
  const kept = waiting().find((tick) => tick.plan === box.dataset.plan && tick.key === box.dataset.key);
  if (kept) box.checked = kept.done;
}
setInterval(() => waiting().length && flush(), AGAIN);
if (waiting().length) flush();
/** A stream that was away, as on a screen that slept, has missed ticks. @param {string} plan */
async function catchUp(plan) {
  const before = turns, answer = await fetch(`/wall/${wall}/ticks?plan=${plan}`);
  if (!answer.ok) return;
  const { ticks } = await answer.json(), kept = waiting();
  if (turns !== before) return catchUp(plan); // the answer may be from before what was ticked meanwhile
  for (const box of boxes()) {
    const isMine = underway.has(box) || kept.some((tick) => tick.plan === plan && tick.key === box.dataset.key);
    if (box.dataset.plan === plan && !isMine) box.checked = ticks.includes(box.dataset.key);
  }
  document.dispatchEvent(new Event("ticked"));
}
hear((told) => {
  if (told.kind === "away" && boxes().some((box) => box.dataset.plan === told.plan)) {
    const words = document.createElement("p");
    words.className = "warn headline";
    words.textContent = "This plan was put away: do not cut it.";
    document.getElementById("main")?.prepend(words);
    for (const box of boxes()) box.disabled = true;
  }
  if (told.kind === "here") for (const plan of new Set(boxes().map((box) => box.dataset.plan ?? ""))) catchUp(plan).catch(() => {});
  if (told.kind !== "tick") return;
  turns += 1;
  for (const box of boxes()) {
    if (box.dataset.plan === told.plan && box.dataset.key === told.key) box.checked = told.done;
  }
  document.dispatchEvent(new Event("ticked"));
});
