(() => {
  "use strict";
  const byId = (id) => document.getElementById(id);
  const { directions, sign, decimals, most, wrong, many, interval } = JSON.parse(byId("bench-data").textContent);
  const [box, form, typed, told] = ["own", "own-form", "own-typed", "own-told"].map(byId);
  const rows = box.querySelector("tbody");

  /** Where a comma stands behind a unit, the next size begins. */
  const split = (text) => text.split(/(?<=[a-z"″])\s*[,;]\s*|\s*;\s*/i).map((part) => part.trim()).filter(Boolean);
  const shown = (value, digits) => value.toFixed(digits).replace(".", sign).replace("-", "−");
  const plainName = (direction) => direction.name.toLowerCase().split(" (")[0];

  function between(...range) {
    const { low, high } = bothEnds(...range, shown);
    return interval.replace("{low}", low).replace("{high}", high);
  }

  function rowOf(text) {
    const found = /^(?:(.*)=)?\s*(\d+(?:[.,]\d+)?|[.,]\d+)\s*(mm|cm|in|inch|inches|"|″)$/i.exec(text);
    const size = found && Number(found[2].replace(",", "."));
    if (!size) return null;
    const unit = /^(mm|cm)$/i.test(found[3]) ? found[3].toLowerCase() : "in";
    const name = (found[1] ?? "").trim();
    const named = directions.find((one) => plainName(one) === name.toLowerCase());
    const one = named ?? directions[0];
    const wet = size / (1 - one.mean / 100);
    const range = one.next_low === null ? "–"
      : between(wet * (1 - one.next_high / 100), wet * (1 - one.next_low / 100), decimals[unit]);
    const finished = `${named || !name ? "" : name + " "}${found[2].replace(/[.,]/, sign)} ${unit}`;
    return [finished, one.short, `${shown(wet, decimals[unit])} ${unit}`, range];
  }

  function fill(texts) {
    const made = texts.slice(0, most).map((text) => [text, rowOf(text)]);
    const bad = made.find(([, cells]) => cells === null);
    told.textContent = bad ? wrong.replace("{typed}", bad[0]) : texts.length > most ? many : "";
    rows.replaceChildren(...made.filter(([, cells]) => cells).map(([, cells]) => {
      const row = document.createElement("tr");
      row.append(...cells.map((text, place) => {
        const cell = document.createElement(place ? "td" : "th");
        if (!place) cell.scope = "row";
        cell.textContent = text;
        return cell;
      }));
      return row;
    }));
    box.hidden = rows.rows.length === 0;
  }

  function readAddress() {
    const wanted = new URLSearchParams(location.hash.slice(1)).get("sizes");
    if (wanted === null) return;
    typed.value = wanted;
    fill(split(wanted));
  }

  typed.addEventListener("input", () => {
    history.replaceState(null, "", "#" + new URLSearchParams({ sizes: typed.value }));
    fill(split(typed.value));
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  addEventListener("hashchange", readAddress);
  form.hidden = false;
  readAddress();
})();
