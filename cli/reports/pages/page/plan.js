(function () {
  "use strict";
  const key = "windowfall " + document.body.dataset.plan;
  const boxes = Array.from(document.querySelectorAll("input[data-tick]"));
  let kept = {};
  try {
    kept = JSON.parse(localStorage.getItem(key)) || {};
  } catch (error) {
    kept = {};
  }
  function count() {
    document.getElementById("done").textContent = boxes.filter((box) => box.checked).length;
    for (const place of document.querySelectorAll("[data-of]")) {
      const own = boxes.filter((box) => box.closest("section").id === place.dataset.of);
      place.textContent = own.filter((box) => box.checked).length + "/" + own.length;
    }
  }
  for (const box of boxes) {
    box.checked = kept[box.id] === true;
    box.addEventListener("change", () => {
      kept[box.id] = box.checked;
      try {
        localStorage.setItem(key, JSON.stringify(kept));
      } catch (error) {
        document.querySelector(".progress").textContent = "This browser does not keep the ticks.";
      }
      count();
    });
  }
  count();
  document.querySelector(".still").hidden = true;
  document.querySelector(".progress").hidden = false;
})();
