// Finish: books what is ticked, and says what to write on what is left.
// @ts-check
import { askWall, on } from "./base.js";

const plan = /** @type {HTMLElement | null} */ (document.querySelector("[data-plan]"))?.dataset.plan;
const place = /** @type {HTMLElement} */ (document.getElementById("booked"));

/** @param {string} words @param {string} kind */
function line(words, kind = "p") {
  const made = document.createElement(kind);
  made.textContent = words;
  return made;
}
on("book", async () => {
  const done = await askWall("book", { plan });
  const list = document.createElement("ul");
  for (const each of done.placed) list.append(line(`${each.from}: ${each.board}, ${each.size}. Write on it: ${each.label}`, "li"));
  const head = done.booked.length ? `Booked: ${done.booked.join(", ")}.` : "All of this was booked before.";
  place.replaceChildren(line(head), list, ...done.remarks.map((/** @type {string} */ words) => line(words)));
});
on("unbook", async () => {
  place.replaceChildren(line((await askWall("unbook", { plan })).said));
});
