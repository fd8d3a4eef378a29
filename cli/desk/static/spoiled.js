// A spoiled mat: it is booked as spoiled and planned again, once it is said twice.
// @ts-check
import { askWall, hear, on, say, sure, wall } from "./base.js";

for (const each of document.querySelectorAll(".spoil")) {
  const button = /** @type {HTMLButtonElement} */ (each);
  const sound = /** @type {HTMLButtonElement | null} */ (button.parentElement?.querySelector(".sound"));
  const scrap = /** @type {HTMLButtonElement | null} */ (button.parentElement?.querySelector(".scrap"));
  const first = button.textContent;
  /** @param {boolean} isHidden */
  const hide = (isHidden) => { for (const other of [sound, scrap]) if (other) other.hidden = isHidden; };
  const takeBack = () => {
    button.textContent = first;
    hide(true);
  };
  /** @param {boolean} isScrap */
  const spoil = (isScrap) => {
    button.disabled = true;
    hide(true);
    say("Planning it again.");
    askWall("spoil", { plan: button.dataset.plan, mat: button.dataset.mat, scrap: isScrap }).catch((error) => say(error.message));
  };
  scrap?.addEventListener("click", () => spoil(true));
  sound?.addEventListener("click", takeBack);
  button.parentElement?.addEventListener("keydown", (event) => event.key === "Escape" && takeBack());
  button.addEventListener("click", () => {
    button.focus(); // a click does not give it the keyboard in every browser, and Enter would tick what is open
    hide(false);
    if (sure(button, "Yes, spoiled: keep its fallout and the offcuts of its sheet, and plan it again")) spoil(false);
  });
}
hear((told) => {
  if (told.kind !== "spoiled" || told.plan !== document.getElementById("now")?.dataset.plan) return;
  if (!document.getElementById("away")) { // a second screen stays where it is
    if (told.done) location.reload();
    return;
  }
  if (told.done) location.href = `/wall/${wall}/bench?plan=${told.done.plan}`;
  if (told.refused) say(`${told.refused.join(" ")} It is booked as spoiled; try again when there is board for it.`);
});
on("away", async () => {
  const button = /** @type {HTMLButtonElement} */ (document.getElementById("away"));
  if (!sure(button, "Yes: free what is kept for it on the shelf")) return;
  await askWall("away", { plan: /** @type {HTMLElement} */ (document.getElementById("now")).dataset.plan });
  location.href = `/wall/${wall}/plan`;
});
