// Plan: asks for one, shows how far it is, and takes it to the bench.
// @ts-check
import { askWall, hear, on, say, wall } from "./base.js";

const buttons = ["plan", "use", "stop"].map((id) => /** @type {HTMLButtonElement} */ (document.getElementById(id)));
const progress = /** @type {HTMLElement} */ (document.getElementById("progress"));
const refused = /** @type {HTMLElement} */ (document.getElementById("refused"));

let isBare = false; // of its drawings
/** @param {boolean} busy */
function show(busy) {
  buttons[0].hidden = busy;
  buttons[1].hidden = buttons[2].hidden = !busy;
}
on("plan", async () => {
  show(true);
  refused.replaceChildren();
  progress.textContent = "Planning.";
  await askWall("plan");
});
on("use", async () => {
  progress.textContent = "This plan is kept.";
  await askWall("stop", { use: true });
  // The page gives way to one of that plan; hundreds of drawings and rows would hold that up.
  for (const each of document.querySelectorAll(".sheets figure, #piececosts tr")) each.remove();
  isBare = true;
});
on("stop", async () => { await askWall("stop"); });
on("take", async () => {
  await askWall("take", { draft: document.getElementById("take")?.dataset.draft });
  location.href = `/wall/${wall}/shop`;
});
for (const button of document.querySelectorAll(".goback")) {
  const { draft } = /** @type {HTMLElement} */ (button).dataset;
  button.addEventListener("click", () => askWall("goback", { draft }).catch((error) => say(error.message)));
}
/** @param {HTMLElement} element @param {string | null} board */
const pin = (element, board) => askWall("pin", { piece: element.dataset.piece, board }).then(() => location.reload(), (error) => say(error.message));
const pieces = document.getElementById("piececosts");
pieces?.addEventListener("change", (event) => {
  if (event.target instanceof HTMLSelectElement) pin(event.target, event.target.value || null);
});
for (const each of document.querySelectorAll(".unpin")) {
  const button = /** @type {HTMLElement} */ (each);
  button.addEventListener("click", () => pin(button, null));
}
for (const each of document.querySelectorAll(".restock")) {
  const { left } = /** @type {HTMLElement} */ (each).dataset;
  each.addEventListener("click", () => askWall("restock", { left }).then(() => location.reload(), (error) => say(error.message)));
}
// What a pin costs is asked for once the price is known, which is planned first.
const costs = [...document.querySelectorAll("[data-pin]")].map((each) => /** @type {HTMLElement} */ (each));
if (costs.length) {
  hear((told) => {
    if (told.kind === "price" && told.price && !told.busy) askWall("pins").catch(() => null);
    for (const cost of costs) if (told.kind === "pin" && told.pin === cost.dataset.pin) cost.textContent = `, which ${told.words}`;
  });
  askWall("options").then(() => askWall("pins")).catch((error) => say(error.message));
}
for (const box of document.querySelectorAll("#options input")) {
  const input = /** @type {HTMLInputElement} */ (box);
  input.addEventListener("change", () => askWall("options", { [input.name]: input.type === "checkbox" ? input.checked : input.value.trim() }).then(() => location.reload(), (error) => say(error.message)));
}
hear((told) => {
  if (told.kind === "here" && (!buttons[1].hidden || "drawing" in progress.dataset) && !told.planning.includes(wall)) location.reload(); // it ended unheard
  if (told.kind !== "plan") return;
  if (told.done || told.known || (told.stopped && isBare)) location.reload();
  if (told.progress) {
    progress.textContent = told.progress.total ? `Best so far ${told.progress.total}, not less than ${told.progress.bound}.` : "Planning.";
  }
  if (told.stopped || told.refused) {
    show(false);
    progress.textContent = told.stopped ? "Stopped." : "";
    refused.replaceChildren(...(told.refused ?? []).map((/** @type {string} */ words) => {
      const line = document.createElement("li");
      line.textContent = words;
      return line;
    }));
  }
});
const group = /** @type {HTMLSelectElement | null} */ (document.getElementById("group"));
function showGroup() {
  if (!group) return;
  const { total = "", page = "" } = group.selectedOptions[0].dataset;
  for (const row of document.querySelectorAll("tr[data-group]")) {
    const line = /** @type {HTMLElement} */ (row);
    line.hidden = group.value !== "" && line.dataset.group !== group.value;
  }
  const sum = document.getElementById("grouptotal"), link = /** @type {HTMLAnchorElement} */ (document.getElementById("grouppage"));
  if (sum) sum.textContent = total && total !== "None" ? `together ${total}` : "";
  link.hidden = !page;
  link.href = page;
}
group?.addEventListener("change", showGroup);
// What is bought is seen before the rest of a long list.
if (pieces?.dataset.more !== undefined) requestAnimationFrame(() => setTimeout(() => {
  fetch(`/wall/${wall}/costs`).then((answer) => answer.ok ? answer.text() : "").then((rows) => {
    pieces.insertAdjacentHTML("beforeend", rows);
    showGroup();
  }, () => {});
}));
