// Finish: books what is ticked, and says what to write on what is left.
// @ts-check
import { askWall, on, wall } from "./base.js";

const plan = /** @type {HTMLElement | null} */ (document.querySelector("[data-plan]"))?.dataset.plan;
const place = /** @type {HTMLElement} */ (document.getElementById("booked"));

/** @param {string} words @param {string} kind */
function line(words, kind = "p") {
  const made = document.createElement(kind);
  made.textContent = words;
  return made;
}
/** Why nothing was booked, with the way to the plan that it names. @param {{ words: string, plan: string, name: string }} each */
function refused(each) {
  const made = line(`${each.words}.`);
  made.className = "warn";
  if (each.plan) {
    const link = document.createElement("a");
    link.href = `/wall/${wall}/finish?plan=${each.plan}`;
    link.textContent = `To ${each.name}`;
    made.append(" ", link);
  }
  return made;
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
});
on("unbook", async () => {
  const done = await askWall("unbook", { plan });
  place.replaceChildren(...(done.refused ? done.refused.map(refused) : [line(done.said)]));
});
