(() => {
  "use strict";
  const form = document.getElementById("filters");
  const facts = JSON.parse(document.getElementById("facts").textContent);
  const shown = (element, is) => element.toggleAttribute("hidden", !is);
  const typed = (id) => document.getElementById(id).value.trim();
  const number = (id, otherwise) => (typed(id) && Number.isFinite(Number(typed(id))) ? Number(typed(id)) : otherwise);

  function passing() {
    if (!form) return new Set(Object.keys(facts));
    const verdict = typed("by-verdict"), low = number("by-from", -Infinity), high = number("by-to", Infinity);
    const words = typed("by-words").toLowerCase().split(/\s+/);
    const bounded = low > -Infinity || high < Infinity;
    const passes = (one) => (verdict === "*" || one.verdict === verdict)
      && (one.fired === null ? !bounded : one.fired >= low && one.fired <= high)
      && words.every((word) => one.words.includes(word));
    return new Set(Object.keys(facts).filter((key) => passes(facts[key])));
  }

  function filter() {
    const left = passing();
    for (const element of document.querySelectorAll("[data-body]")) shown(element, left.has(element.dataset.body));
    if (form) {
      const status = document.getElementById("how-many");
      status.textContent = status.dataset.sentence.replace("#", left.size);
    }
    document.dispatchEvent(new CustomEvent("filtered", { detail: left }));
  }

  if (form) {
    form.hidden = false;
    form.addEventListener("input", filter);
    form.addEventListener("submit", (event) => event.preventDefault());
  }
  filter();
})();
