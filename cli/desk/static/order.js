// The order in which a piece likes its boards: by drag, or by a button on each side of a board.
// @ts-check
import { askWall, hear, say } from "./base.js";

/** @param {Element} list @returns {HTMLElement[]} */
const boards = (list) => [...list.children].map((each) => /** @type {HTMLElement} */ (each));
/** @param {Element} list */
const names = (list) => boards(list).map((each) => each.dataset.board ?? "");
/** @param {HTMLElement} list @param {string[]} wanted */
function lay(list, wanted) {
  for (const name of wanted) {
    const board = boards(list).find((each) => each.dataset.board === name);
    if (board) list.append(board);
  }
  for (const [place, each] of boards(list).entries()) {
    const [earlier, later] = each.querySelectorAll("button");
    earlier.disabled = place === 0;
    later.disabled = place === list.children.length - 1;
  }
}
// One piece after the other, as each change is of the table that the one before left.
let last = Promise.resolve();
let saving = 0;
/** Save the order that is shown, and show the one before where it is refused. @param {HTMLElement} list @param {string[]} was */
function save(list, was) {
  const wanted = names(list), { row, piece } = list.dataset;
  lay(list, wanted);
  if (wanted.join("\n") === was.join("\n")) return;
  saving += 1;
  last = last.then(() => askWall("order", { row: Number(row), piece, was, boards: wanted })).then(
    () => say(`${piece}: ${wanted.join(", then ")}`),
    (error) => {
      lay(list, was);
      say(error.message);
    },
  ).finally(() => { saving -= 1; });
}
/** @param {HTMLElement} list @param {HTMLElement} board */
function drag(list, board) {
  const was = names(list);
  /** @param {PointerEvent} event */
  const move = (event) => {
    const over = boards(list).find((each) => {
      const box = each.getBoundingClientRect();
      return each !== board && event.clientX > box.left && event.clientX < box.right && event.clientY > box.top && event.clientY < box.bottom;
    });
    if (!over) return;
    const order = boards(list);
    if (order.indexOf(over) < order.indexOf(board)) over.before(board);
    else over.after(board);
  };
  /** @param {boolean} kept */
  const end = (kept) => {
    board.classList.remove("held");
    document.removeEventListener("pointermove", move);
    document.removeEventListener("pointerup", up);
    document.removeEventListener("pointercancel", stop);
    document.removeEventListener("keydown", key);
    if (kept) save(list, was);
    else lay(list, was);
  };
  const up = () => end(true), stop = () => end(false);
  /** @param {KeyboardEvent} event */
  const key = (event) => event.key === "Escape" && stop();
  board.classList.add("held");
  document.addEventListener("pointermove", move);
  document.addEventListener("pointerup", up);
  document.addEventListener("pointercancel", stop);
  document.addEventListener("keydown", key);
}
/** @param {HTMLElement} list */
function ready(list) {
  lay(list, names(list));
  list.addEventListener("pointerdown", (event) => {
    const grip = event.target instanceof Element ? event.target.closest(".grip") : null;
    const board = grip?.closest("li");
    if (!board || event.button !== 0) return;
    event.preventDefault();
    drag(list, board);
  });
  list.addEventListener("click", (event) => {
    const button = event.target instanceof Element ? event.target.closest("button") : null;
    const board = button?.closest("li");
    if (!button || !board) return;
    const was = names(list), step = Number(button.dataset.step);
    const other = boards(list)[boards(list).indexOf(board) + step];
    if (step < 0) other.before(board);
    else other.after(board);
    save(list, was);
    const next = button.disabled ? [...board.querySelectorAll("button")].find((it) => !it.disabled) : button;
    next?.focus();
  });
}
const all = () => [...document.querySelectorAll(".order")].map((list) => /** @type {HTMLElement} */ (list));
all().forEach(ready);
// The table of the pieces may be changed by a step back on this page, or on another one.
hear((told) => {
  if (told.kind !== "table" || told.table !== "pieces") return;
  last = last.then(async () => {
    const answer = await fetch(location.href);
    if (!answer.ok) return;
    const there = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector(".choosing");
    const mine = document.querySelector(".choosing");
    if (saving || document.querySelector(".order .held")) return; // what is on its way is told too
    const shown = (/** @type {Element | null} */ place) => [...(place?.querySelectorAll(".order") ?? [])].map((list) => [/** @type {HTMLElement} */ (list).dataset.piece, ...names(list)].join("\n")).join("\n\n");
    if (!there || !mine || shown(there) === shown(mine)) return;
    mine.replaceWith(document.adoptNode(there));
    all().forEach(ready);
  }).catch(() => undefined);
});
