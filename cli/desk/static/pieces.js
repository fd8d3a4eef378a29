// Pieces: the table, the row as a picture while it is typed, and the price line.
// @ts-check
import { askWall, data, hear, say, showPrice } from "./base.js";
import { Grid } from "./grid.js";

const shown = data();
const picture = /** @type {HTMLElement} */ (document.getElementById("picture"));
const named = /** @type {HTMLElement} */ (picture.querySelector(".named"));
const drawing = /** @type {HTMLElement} */ (picture.querySelector(".drawing"));
const adds = /** @type {HTMLElement} */ (picture.querySelector(".adds"));
const size = /** @type {HTMLElement} */ (picture.querySelector(".size"));
const back = /** @type {HTMLDetailsElement} */ (document.querySelector(".back"));
back.open = matchMedia("(min-width: 60.01rem)").matches; // on a small screen the table comes first
back.hidden = true; // until there is a mat to see
let asked = 0, answered = 0, drawn = 0;

/** @param {{ name: string, drawing: string, lines: string }[]} backs */
function drawBacks(backs) {
  back.hidden = !backs.length;
  back.querySelector(".backs")?.replaceChildren(...backs.map((each) => {
    const figure = document.createElement("figure"), words = document.createElement("figcaption");
    figure.innerHTML = each.drawing;
    words.textContent = `${backs.length > 1 ? `${each.name}. ` : ""}Pencil lines: ${each.lines}`;
    figure.append(words);
    return figure;
  }));
}

/** Draw a row; while it is half typed the last sound drawing stays, greyed. @param {import("./grid.js").Row} row */
async function draw(row) {
  const mine = ++asked;
  const answer = await askWall("draw", row).catch(() => null);
  if (!answer) return;
  if (answer.drawing && mine > drawn) { // also where the answer to what was typed after it came first
    drawn = mine;
    drawing.innerHTML = answer.drawing;
    named.textContent = row.cells.piece ?? "";
    drawBacks(answer.backs);
  }
  if (mine < answered) return;
  answered = mine;
  picture.classList.toggle("old", !answer.drawing);
  size.textContent = answer.size;
}

const place = /** @type {Element} */ (document.querySelector("[data-table=pieces]"));
let shownRow = 0;
/** @type {number | undefined} */
let resting;
/** @param {import("./grid.js").Row} row */
function moved(row) {
  draw(row);
  if (row.row !== shownRow) adds.textContent = "";
  shownRow = row.row;
  clearTimeout(resting);
  resting = setTimeout(() => askWall("row", { row: shownRow }).catch(() => null), 700);
}
/** Draw what stands where a row was removed, or the last row; nothing where none is left. @param {number} number */
function removed(number) {
  const row = grid.table.rows.find((each) => each.row === number) ?? grid.table.rows.at(-1);
  if (row) return moved(row);
  drawn = answered = ++asked; // what was asked before comes too late
  shownRow = 0;
  named.textContent = size.textContent = adds.textContent = "";
  drawing.replaceChildren();
  drawBacks([]);
}
const grid = new Grid(place, shown.table, { moved, removed });
hear((told) => {
  if (told.kind === "row" && told.row === shownRow) adds.textContent = told.words;
  if (told.kind === "price" && told.price && shownRow) askWall("row", { row: shownRow }).catch(() => null);
});
showPrice(shown.price);
hear((told) => told.kind === "price" && showPrice(told));
if (shown.table.rows[0]) draw(shown.table.rows[0]);
askWall("options", {}).catch((error) => say(error.message));

/** @param {File | undefined} file */
async function drop(file) {
  if (file) await grid.send(async () => askWall("list", { text: await file.text(), version: grid.table.version }));
}
const list = /** @type {HTMLInputElement} */ (document.getElementById("list"));
list.addEventListener("change", () => drop(list.files?.[0]));
document.addEventListener("dragover", (event) => event.preventDefault());
document.addEventListener("drop", (event) => {
  event.preventDefault();
  drop(event.dataTransfer?.files[0]);
});
