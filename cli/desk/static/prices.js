// Boards and prices: three tables and the slider of the sale.
// @ts-check
import { askWall, data, hear, say, showPrice } from "./base.js";
import { Grid } from "./grid.js";

const shown = data();
/** @type {Grid | undefined} */
let offers;
for (const place of document.querySelectorAll("[data-table]")) {
  const name = /** @type {HTMLElement} */ (place).dataset.table ?? "";
  const changed = (/** @type {any} */ answer) => {
    if (answer.net) offers?.showNet(answer.net);
    if (answer.swatches) paint(answer.swatches);
  };
  const hooks = name === "offers" ? { net: shown.net, changed } : { changed };
  const grid = new Grid(place, shown.tables[name], hooks);
  if (name === "offers") offers = grid;
}
/** Show the boards in their colours as they are now. @param {Record<string, string | null>} swatches */
function paint(swatches) {
  document.querySelector(".swatches")?.replaceChildren(...Object.entries(swatches).map(([board, colour]) => {
    const line = document.createElement("li");
    line.dataset.board = board;
    line.append(swatch(colour), board);
    return line;
  }));
  for (const line of document.querySelectorAll(".order li")) {
    line.querySelector("svg")?.replaceWith(swatch(swatches[/** @type {HTMLElement} */ (line).dataset.board ?? ""] ?? null));
  }
}
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
  offers?.showNet(answer.net);
}
sale.addEventListener("input", () => { off.textContent = `${sale.value} % off`; });
sale.addEventListener("change", () => choose(chosen()).catch((error) => say(error.message)));
at?.addEventListener("change", () => shown.options.discount !== null && choose(chosen()).catch((error) => say(error.message)));
document.getElementById("nosale")?.addEventListener("click", () => choose(null).catch((error) => say(error.message)));
words();
askWall("options", {}).catch((error) => say(error.message));
