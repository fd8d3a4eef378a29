// Boards and prices: three tables and the slider of the sale.
// @ts-check
import { askWall, data, hear, say, showPrice } from "./base.js";
import { Grid } from "./grid.js";

const shown = data();
/** @type {Grid | undefined} */
let offers;
for (const place of document.querySelectorAll("[data-table]")) {
  const name = /** @type {HTMLElement} */ (place).dataset.table ?? "";
  const hooks = name === "offers" ? { net: shown.net, changed: (/** @type {any} */ answer) => offers?.showNet(answer.net) } : {};
  const grid = new Grid(place, shown.tables[name], hooks);
  if (name === "offers") offers = grid;
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
  off.textContent = shown.options.discount === null ? "no sale" : `${sale.value} % off`;
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
