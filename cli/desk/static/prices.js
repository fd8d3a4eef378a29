// Boards and prices: three tables and the slider of the sale.
// @ts-check
import { askWall, data, hear, say, showPrice } from "./base.js";
import { Grid } from "./grid.js";

const shown = data();
/** @type {Record<string, Grid>} */
const grids = {};
for (const place of document.querySelectorAll("[data-table]")) {
  const name = /** @type {HTMLElement} */ (place).dataset.table ?? "";
  const changed = (/** @type {any} */ answer) => {
    if (answer.net) grids.offers.showNet(answer.net);
    if (answer.swatches) paint(answer.swatches);
  };
  const hooks = name === "offers" ? { net: shown.net, changed } : { changed };
  grids[name] = new Grid(place, shown.tables[name], hooks);
}
/** Show the boards in their colours as they are now. @param {Record<string, string | null>} swatches */
function paint(swatches) {
  const list = document.querySelector(".swatches"), active = document.activeElement;
  const had = list?.contains(active) ? active?.closest("li")?.dataset.board : null;
  list?.replaceChildren(...Object.entries(swatches).map(([board, colour]) => {
    const line = document.createElement("li"), label = document.createElement("label");
    const input = Object.assign(document.createElement("input"), { type: "color", value: colour ?? "#ffffff" });
    line.dataset.board = board;
    label.append(input, swatch(colour), board);
    line.append(label);
    return line;
  }));
  for (const line of list?.children ?? []) {
    if (/** @type {HTMLElement} */ (line).dataset.board === had) line.querySelector("input")?.focus();
  }
  for (const line of document.querySelectorAll(".order li")) {
    line.querySelector("svg")?.replaceWith(swatch(swatches[/** @type {HTMLElement} */ (line).dataset.board ?? ""] ?? null));
  }
}
// A colour that is chosen goes into the row of its board, or into a new one.
document.querySelector(".swatches")?.addEventListener("change", (event) => {
  const input = /** @type {HTMLInputElement} */ (event.target), { board = "" } = input.closest("li")?.dataset ?? {};
  const plain = (/** @type {string | undefined} */ name) => (name ?? "").trim().replace(/\s+/g, " ").toLowerCase();
  const { table } = grids.boards, row = table.rows.find((each) => plain(each.cells.board) === plain(board))?.row;
  const cells = [...(row ? [] : [[table.next, "board", board]]), [row ?? table.next, "swatch", input.value]];
  grids.boards.change(`changed the colour of ${board}`, cells);
});
/** A square of a colour, or a crossed one where the colour is not known. @param {string | null} colour */
function swatch(colour) {
  const square = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const inside = document.createElementNS(square.namespaceURI, colour ? "rect" : "path");
  const traits = colour ? { width: "10", height: "10", fill: colour } : { d: "M0 0L10 10", stroke: "currentColor", "stroke-width": ".5" };
  for (const [name, text] of Object.entries(traits)) inside.setAttribute(name, text);
  square.setAttribute("viewBox", "0 0 10 10");
  square.setAttribute("aria-hidden", "true");
  square.append(inside);
  return square;
}
showPrice(shown.price);
hear((told) => told.kind === "price" && showPrice(told));

const sale = /** @type {HTMLInputElement} */ (document.getElementById("sale"));
const off = /** @type {HTMLOutputElement} */ (document.getElementById("off"));
const at = /** @type {HTMLSelectElement | null} */ (document.getElementById("at"));
// What is chosen is a per cent, or a shop, an equals sign and a per cent.
const [, shop = "", percent = "0"] = /^(?:(.*)=)?([\d.,]+)$/.exec(shown.options.discount ?? "") ?? [];
sale.value = percent;
if (at) at.value = shop;
const words = () => {
  off.textContent = shown.options.discount === null ? "as in the table" : `${sale.value} % off`;
};
const chosen = () => (at?.value ? `${at.value}=${sale.value}` : sale.value);
/** @param {string | null} discount */
async function choose(discount) {
  const answer = await askWall("options", { discount });
  shown.options = answer.options;
  words();
  grids.offers.showNet(answer.net);
}
sale.addEventListener("input", () => { off.textContent = `${sale.value} % off`; });
sale.addEventListener("change", () => choose(chosen()).catch((error) => say(error.message)));
at?.addEventListener("change", () => shown.options.discount !== null && choose(chosen()).catch((error) => say(error.message)));
document.getElementById("nosale")?.addEventListener("click", () => choose(null).catch((error) => say(error.message)));
words();
askWall("options", {}).catch((error) => say(error.message));
