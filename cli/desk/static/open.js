// Hands the code in the address over, and forgets it.
// @ts-check
const [code, wall] = location.hash.slice(1).split(".");
history.replaceState(null, "", "/open");
const answer = await fetch("/open", { method: "POST", body: JSON.stringify({ code: code ?? "" }) });
if (answer.ok) location.replace(wall ? `/wall/${wall}/pieces` : "/");
else {
  const place = document.getElementById("opening");
  if (place) place.textContent = await answer.text();
}
