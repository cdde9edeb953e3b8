(() => {
  "use strict";
  const chooser = document.getElementById("chooser");
  const boxes = [...chooser.querySelectorAll("input")];
  const tables = [...document.querySelectorAll("#side-by-side table")];
  const many = tables.length ? tables[0].rows[0].cells.length - 1 : 0;
  const lines = tables.map((table) => [...table.rows]);
  const cells = lines.length ? lines[0].map((_, place) => lines.flatMap((rows) => [...rows[place].cells].slice(1))) : [];
  let left = new Set(boxes.map((box) => box.value));

  function show() {
    const chosen = boxes.map((box) => box.checked && left.has(box.value));
    const places = [...chosen.keys()].filter((place) => chosen[place]);
    cells.forEach((row, line) => {
      row.forEach((cell) => cell.remove());
      places.forEach((place, at) => lines[Math.floor(at / many)][line].append(row[place]));
    });
    tables.forEach((table, at) => { table.parentElement.hidden = at * many >= places.length; });
    document.getElementById("none-chosen").hidden = places.length > 0;
    const keys = new Set(places.map((place) => boxes[place].value));
    for (const row of document.querySelectorAll("[data-first]")) row.hidden = !(keys.has(row.dataset.first) && keys.has(row.dataset.second));
    for (const part of document.querySelectorAll("[data-two]")) part.hidden = (keys.size > 1) !== (part.dataset.two === "yes");
    dispatchEvent(new Event("resize"));
  }

  function readAddress() {
    const wanted = location.hash.slice(1).split(",").filter((key) => boxes.some((box) => box.value === key));
    if (wanted.length) for (const box of boxes) box.checked = wanted.includes(box.value);
    show();
  }

  function note() {
    history.replaceState(null, "", "#" + boxes.filter((box) => box.checked).map((box) => box.value).join(","));
    show();
  }

  chooser.addEventListener("change", note);
  for (const button of chooser.querySelectorAll("button")) {
    button.addEventListener("click", () => {
      for (const box of boxes) box.checked = button.value === "all" && left.has(box.value);
      note();
    });
  }
  document.addEventListener("filtered", (event) => { left = event.detail; show(); });
  addEventListener("hashchange", readAddress);
  chooser.hidden = false;
  readAddress();
})();
