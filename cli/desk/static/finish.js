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
/** Why nothing was booked, with the way to the plan that it names. @param {{ words: string, way: string, name: string }} each */
function refused(each) {
  const made = line(`${each.words}.`);
  made.className = "warn";
  if (each.way) {
    const link = document.createElement("a");
    link.href = each.way;
    link.textContent = `To ${each.name}: cut and book it, or press there "This plan will not be cut"`;
    made.append(" ", link);
  }
  return made;
}
/** What can be booked now is another matter than when the page was drawn. @param {boolean} isBooked */
function turn(isBooked) {
  const again = document.createElement("a"), book = document.getElementById("book");
  again.href = location.href;
  again.textContent = "Go on here";
  if (book) book.hidden = isBooked;
  place.append(again);
}
on("book", async () => {
  const done = await askWall("book", { plan });
  if (done.refused) {
    place.replaceChildren(line("Nothing was booked."), ...done.refused.map(refused));
    return;
  }
  const list = document.createElement("ul");
  for (const each of done.placed) list.append(line(`${each.from}: ${each.board}, ${each.size}. Write on it: ${each.label}`, "li"));
  const head = done.booked.length ? `Booked: ${done.booked.join(", ")}.` : "All of this was booked before.";
  place.replaceChildren(line(head), list, ...done.remarks.map((/** @type {string} */ words) => line(words)));
  turn(true);
});
on("unbook", async () => {
  const done = await askWall("unbook", { plan });
  place.replaceChildren(...(done.refused ? done.refused.map(refused) : [line(done.said)]));
  if (!done.refused) turn(false);
});
