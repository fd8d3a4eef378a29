// What if and compare: each line is there as soon as it is known.
// @ts-check
import { askWall, data, hear, say } from "./base.js";

/** @typedef {{ heading: string, words?: string, columns: string[], rows: string[][] }} Section */
/** @typedef {{ sections?: Section[], remarks?: string[], complete?: boolean }} View */

/** @param {string} kind @param {string} words @param {string} [name] */
function made(kind, words, name = "") {
  const element = document.createElement(kind);
  element.textContent = words;
  element.className = name;
  return element;
}

/** @param {Section} section */
function table(section) {
  const element = document.createElement("table");
  element.className = "list";
  const caption = made("caption", section.heading);
  if (section.words) caption.append(made("small", section.words));
  element.append(caption);
  if (section.columns.length) {
    const head = element.createTHead().insertRow();
    for (const column of section.columns) {
      const cell = made(column ? "th" : "td", column);
      if (column) cell.setAttribute("scope", "col");
      head.append(cell);
    }
  }
  const body = element.createTBody();
  for (const row of section.rows) body.insertRow().append(...row.map((words) => made("td", words)));
  return element;
}

/** Show what is known; a second screen, for which nothing more may come, has no heading without it. @param {HTMLElement} place @param {View} view */
function show(place, view) {
  const isTold = place.dataset.told !== undefined;
  const doubt = view.complete || isTold ? [] : [made("p", "Still being worked out.", "quiet")];
  const remarks = (view.remarks ?? []).map((words) => made("p", words));
  place.replaceChildren(...(view.sections ?? []).map(table), ...remarks, ...doubt);
  if (isTold && place.parentElement) place.parentElement.hidden = !place.children.length;
}

const asides = data().asides ?? {};
for (const each of document.querySelectorAll("[data-aside]")) {
  const place = /** @type {HTMLElement} */ (each), { aside: what = "", plan, told: isTold } = place.dataset;
  show(place, asides[what] ?? {});
  hear((told) => {
    if (told.kind === "aside" && told.what === what && (told.plan ?? undefined) === plan) show(place, told.view);
  });
  // A second screen is told what the desk has worked out, and asks for nothing.
  if (!asides[what]?.complete && isTold === undefined) askWall("aside", { what, plan: plan ?? null }).catch((error) => say(error.message));
}
