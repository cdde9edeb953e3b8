(() => {
  "use strict";
  const table = document.querySelector("table.sortable");
  if (!table) return;
  const rows = table.tBodies[0];

  const unknown = "–";

  function keyOf(row, place) {
    const key = row.cells[place].dataset.sort ?? row.cells[place].textContent.trim();
    return key === unknown ? "" : key;
  }

  function compare(first, second) {
    if (first === "" || second === "") return (first === "") - (second === "");
    const numbers = [Number(first), Number(second)];
    return numbers.some(Number.isNaN) ? first.localeCompare(second, undefined, { numeric: true }) : numbers[0] - numbers[1];
  }

  function sortBy(heading) {
    const turn = heading.ariaSort === "ascending" ? -1 : 1;
    for (const other of table.tHead.rows[0].cells) if (other.ariaSort) other.ariaSort = "none";
    heading.ariaSort = turn === 1 ? "ascending" : "descending";
    const place = heading.cellIndex;
    const known = [...rows.rows].map((row) => [keyOf(row, place), row]);
    known.sort(([first], [second]) => compare(first, second) * (first === "" || second === "" ? 1 : turn));
    rows.append(...known.map(([, row]) => row));
  }

  for (const heading of table.tHead.querySelectorAll("th:not(.no-print)")) {
    const button = document.createElement("button");
    button.type = "button";
    button.append(...heading.childNodes);
    button.addEventListener("click", () => sortBy(heading));
    heading.append(button);
    heading.ariaSort = "none";
  }
  document.getElementById("sort-hint").hidden = false;
})();
