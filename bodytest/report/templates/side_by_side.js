(() => {
  "use strict";
  const chooser = document.getElementById("chooser");
  const boxes = [...chooser.querySelectorAll("input")];

  function show() {
    const chosen = new Set(boxes.filter((box) => box.checked).map((box) => box.value));
    for (const cell of document.querySelectorAll("[data-body]")) cell.hidden = !chosen.has(cell.dataset.body);
    document.getElementById("none-chosen").hidden = chosen.size > 0;
  }

  function readAddress() {
    const wanted = location.hash.slice(1).split(",").filter(Boolean);
    if (wanted.length) for (const box of boxes) box.checked = wanted.includes(box.value);
    show();
  }

  chooser.addEventListener("change", () => {
    const chosen = boxes.filter((box) => box.checked).map((box) => box.value);
    history.replaceState(null, "", "#" + chosen.join(","));
    show();
  });
  addEventListener("hashchange", readAddress);
  chooser.hidden = false;
  readAddress();
})();
