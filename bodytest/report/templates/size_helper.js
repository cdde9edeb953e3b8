(() => {
  "use strict";
  const byId = (id) => document.getElementById(id);
  const { firings, sentences, decimals, decimal_sign: sign } = JSON.parse(byId("size-helper-data").textContent);
  const form = byId("size-helper");
  const [finished, unit, firing, direction, batch, output, printed] =
    ["finished-size", "size-unit", "size-firing", "size-direction", "size-batch", "wet-size", "print-sizes"].map(byId);

  const fill = (sentence, blanks) => sentence.replace(/\{(\w+)\}/g, (whole, name) => blanks[name] ?? whole);
  const shown = (value, digits = decimals[unit.value]) => value.toFixed(digits).replace(".", sign);
  const ends = (low, high) => bothEnds(low, high, decimals[unit.value], shown);
  const far = 3;
  const perMm = { mm: 1, in: 1 / 25.4 };
  const percentLeft = (shrinkage) => 1 - shrinkage / 100;

  function fraction(inches) {
    const parts = Math.round(inches * 32);
    const whole = Math.floor(parts / 32);
    let [top, bottom] = [parts % 32, 32];
    while (top && top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
    return [whole || "", top ? `${top}/${bottom}` : ""].filter(Boolean).join(" ") || "0";
  }

  function typedSize() {
    const text = finished.value.trim().replace(",", ".");
    const found = /^(\d+\.?\d*|\.\d+)\s*(mm|in|inch|inches|"|″)?$/i.exec(text);
    if (!found || Number(found[1]) <= 0) return null;
    if (found[2]) unit.value = found[2].toLowerCase() === "mm" ? "mm" : "in";
    return Number(found[1]);
  }

  const chosenFiring = () => firings[Number(firing.value)];
  const chosenDirection = () => chosenFiring().directions[Number(direction.value)];

  /** Offers what can be chosen; a choice of one is plain text. */
  function offer(select, offered, first = 0) {
    const kept = offered.findIndex((one) => one.name === select.selectedOptions[0]?.textContent);
    const chosen = kept < 0 ? first : kept;
    select.replaceChildren(...offered.map((one, place) => new Option(one.name, place, false, place === chosen)));
    select.hidden = offered.length < 2;
    select.parentElement.querySelector("span")?.remove();
    if (select.hidden) select.after(line("span", offered[0].name));
  }

  function offerDirections() {
    offer(direction, chosenFiring().directions);
    offerBatches();
  }

  function offerBatches() {
    offer(batch, chosenDirection().batches);
    show();
  }

  function line(element, text) {
    const made = document.createElement(element);
    made.textContent = text;
    return made;
  }

  function farFromBars(wet, bars, words) {
    const barLength = (bars.wet_length_mm ?? 0) * perMm[unit.value];
    if (!barLength || wet <= far * barLength) return [];
    const times = (wet / barLength).toFixed(1).replace(".", sign);
    return [line("span", fill(sentences.far, { ...words, wet: shown(wet), times, bars: shown(barLength) }))];
  }

  function answer() {
    if (!finished.value.trim()) return [line("span", sentences.ask)];
    const size = typedSize();
    if (size === null) return [line("span", fill(sentences.wrong, { typed: finished.value }))];
    const measured = chosenDirection();
    const bars = measured.batches[Number(batch.value)];
    const words = { unit: unit.value, level: sentences.level };
    const wet = size / percentLeft(bars.mean);
    const lines = [line("strong", fill(sentences.wet, { ...words, wet: shown(wet) }))];
    if (unit.value === "in") lines.push(line("span", fill(sentences.about, { fraction: fraction(wet) })));
    if (bars.dry_to_fired !== null) {
      const dry = shown(size / percentLeft(bars.dry_to_fired));
      lines.push(line("span", fill(sentences.dry, { ...words, dry })));
    }
    const cautions = farFromBars(wet, measured, words);
    if (bars.next_low === null) return [...lines, line("span", sentences.no_range), ...cautions];
    const pieces = ends(wet * percentLeft(bars.next_high), wet * percentLeft(bars.next_low));
    const means = ends(size / percentLeft(bars.low), size / percentLeft(bars.high));
    return [
      ...lines,
      line("span", fill(sentences.finished_range, { ...words, ...pieces })),
      line("span", fill(sentences.mean_range, { ...words, ...means })),
      ...cautions,
    ];
  }

  /** The bench sheet holds for the firing that answers and for any batch; it takes the size typed for these. */
  function offerPrint() {
    const own = chosenFiring().chosen && Number(batch.value) === 0 ? typedSize() : null;
    const named = chosenDirection().name.split(" (")[0];
    const sizes = new URLSearchParams({ sizes: `${named}=${own}${unit.value}` });
    printed.href = printed.href.split("#")[0] + (own ? "#" + sizes : "");
    printed.textContent = own ? sentences.print_size : sentences.print;
  }

  function show() {
    output.replaceChildren(...answer());
    offerPrint();
  }

  firing.addEventListener("change", offerDirections);
  direction.addEventListener("change", offerBatches);
  for (const select of [batch, unit]) select.addEventListener("change", show);
  finished.addEventListener("input", show);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.hidden = false;
  offer(firing, firings, firings.findIndex((one) => one.chosen));
  offerDirections();
})();
