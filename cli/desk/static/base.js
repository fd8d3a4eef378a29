// What all places share: asking the server, saying what came of it, and the one stream of a browser.
// @ts-check

const body = document.body;
export const wall = body.dataset.wall ?? "";
const token = body.dataset.token ?? "";

/** A refusal, in the server's words. */
export class Refused extends Error {
  /** @param {number} status @param {string} words */
  constructor(status, words) {
    super(words);
    this.status = status;
  }
}

/**
 * Ask the server for something.
 * @param {string} path
 * @param {object} asked
 * @returns {Promise<any>}
 */
export async function ask(path, asked = {}) {
  /** @type {Response} */
  let answer;
  try {
    answer = await fetch(path, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Windowfall-Token": token },
      body: JSON.stringify(asked),
    });
  } catch {
    throw new Refused(0, "The desk does not answer. Start it again: windowfall desk");
  }
  if (!answer.ok) throw new Refused(answer.status, await answer.text());
  return answer.json();
}

/** @param {string} name @param {object} asked */
export const askWall = (name, asked = {}) => ask(`/wall/${wall}/do/${name}`, asked);

/** @param {string} words */
export function say(words) {
  const place = document.getElementById("notice");
  if (!place) return;
  place.textContent = words;
  if (words) setTimeout(() => place.textContent === words && (place.textContent = ""), 9000);
}

/** Do something for a button, and say what went wrong. @param {string} id @param {() => Promise<void>} act */
export function on(id, act) {
  document.getElementById(id)?.addEventListener("click", () => act().catch((error) => say(error.message)));
}

/** Ask again before something that is not taken back by a click. @param {HTMLElement} button @param {string} words */
export function sure(button, words) {
  if (button.textContent === words) return true;
  button.textContent = words;
  return false;
}

/** @returns {any} */
export const data = () => JSON.parse(document.getElementById("data")?.textContent ?? "{}");

// Nothing can be pressed or typed before the scripts that would hear it have run.
document.addEventListener("DOMContentLoaded", () => document.getElementById("main")?.removeAttribute("inert"));

// Paper outlives the page that it was printed from.
addEventListener("beforeprint", () => {
  const day = document.getElementById("day");
  if (day) day.textContent = `, printed ${new Date().toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" })}`;
});

/** @type {((told: any) => void)[]} */
const listeners = [];
/** Hear what the server tells about this wall. @param {(told: any) => void} act */
export const hear = (act) => listeners.push(act);

/** What a second screen says that the desk does not know any more. */
export const LET_OUT = "This screen is not let in any more. Open the address that the desk shows; ticks are kept here.";
const tabs = new BroadcastChannel("windowfall");
/** @param {any} told */
function heard(told) {
  if (told.kind === "closed") {
    say(told.words);
    // Ticks of shop and bench wait in the browser; nothing else can be done without the desk.
    if (!body.matches(".at-shop, .at-bench")) document.getElementById("main")?.setAttribute("inert", "");
  } else if (told.kind === "screens" && told.asks.length && !body.matches(".at-screens")) {
    say(`Screen ${told.asks[0]} asks to be let in: see Shared, above.`);
  } else if (!told.wall || told.wall === wall) for (const act of listeners) act(told);
}
tabs.onmessage = (message) => heard(message.data);
/** @param {(told: any) => void} pass */
function listen(pass) {
  const stream = new EventSource("/events");
  stream.onmessage = (message) => {
    const told = JSON.parse(message.data);
    pass(told);
    heard(told);
  };
  return stream;
}
// The tab that holds the lock keeps the stream for all of them; a second screen, which has no locks, has one for each.
if (navigator.locks) {
  let holds = false;
  navigator.locks.request("windowfall-stream", () => new Promise(() => {
    holds = true;
    listen((told) => tabs.postMessage(told));
  })).catch(() => {}); // a page that goes lets it go
  // Where another tab holds it, nobody says what this page has missed between its making and now.
  navigator.locks.query().then(() => holds ? [] : fetch("/news").then((answer) => answer.json())).then((news) => news.forEach(heard)).catch(() => {});
} else if (wall) {
  /** @type {EventSource | null} */
  let stream = null;
  const look = () => { // of many tabs only the one in sight has a stream, as browsers allow six to a host
    stream?.close();
    stream = document.hidden ? null : listen(() => {});
    if (stream) stream.onerror = () => { if (stream?.readyState === EventSource.CLOSED) say(LET_OUT); };
  };
  document.addEventListener("visibilitychange", look);
  look();
}

// A page that the browser has kept for Back has missed what was told, and has no stream: where the desk is there it is loaded anew.
addEventListener("pageshow", (event) => {
  if (event.persisted) fetch(location.href, { method: "HEAD" }).then((answer) => answer.ok && location.reload(), () => {});
});

/** Write the price line. @param {any} told */
export function showPrice(told) {
  const place = document.getElementById("price");
  if (!place) return;
  const price = told.price;
  place.classList.toggle("waits", !price);
  if (price) {
    place.textContent = `${price.sheets} ${price.sheets === 1 ? "sheet" : "sheets"}, ${price.total}`;
    const more = document.createElement("small");
    more.textContent = told.busy ? "planning" : price.proven ? "nothing cheaper will do" : `best so far, not less than ${price.bound}`;
    if (price.left_out) more.textContent += `, ${price.left_out} ${price.left_out === 1 ? "piece" : "pieces"} left out`;
    place.append(" ", more);
  } else place.textContent = told.words ?? (told.busy ? "Planning." : "");
}
