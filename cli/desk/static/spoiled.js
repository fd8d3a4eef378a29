// A spoiled mat: it is booked as spoiled and planned again, once it is said twice.
// @ts-check
import { askWall, hear, on, say, sure, wall } from "./base.js";

for (const each of document.querySelectorAll(".spoil")) {
  const button = /** @type {HTMLButtonElement} */ (each);
  const sound = /** @type {HTMLButtonElement | null} */ (button.parentElement?.querySelector(".sound"));
  const first = button.textContent;
  const takeBack = () => {
    button.textContent = first;
    if (sound) sound.hidden = true;
  };
  sound?.addEventListener("click", takeBack);
  button.parentElement?.addEventListener("keydown", (event) => event.key === "Escape" && takeBack());
  button.addEventListener("click", () => {
    if (sound) sound.hidden = false;
    if (!sure(button, "Yes, spoiled: take it off the plan, keep its strips and its fallout, and plan it again")) return;
    button.disabled = true;
    if (sound) sound.hidden = true;
    say("Planning it again.");
    askWall("spoil", { plan: button.dataset.plan, mat: button.dataset.mat }).catch((error) => say(error.message));
  });
}
hear((told) => {
  if (told.kind !== "spoiled") return;
  if (told.done) location.href = `/wall/${wall}/bench?plan=${told.done.plan}`;
  if (told.refused) say(`${told.refused.join(" ")} It is booked as spoiled; try again when there is board for it.`);
});
on("away", async () => {
  const button = /** @type {HTMLButtonElement} */ (document.getElementById("away"));
  if (!sure(button, "Yes: free what is kept for it on the shelf")) return;
  await askWall("away", { plan: /** @type {HTMLElement} */ (document.getElementById("now")).dataset.plan });
  location.href = `/wall/${wall}/plan`;
});
