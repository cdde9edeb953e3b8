(() => {
  "use strict";
  const folds = [...document.querySelectorAll("details")];
  let opened = [];

  function reveal() {
    const target = document.getElementById(location.hash.slice(1));
    if (!target) return;
    for (let at = target; at; at = at.parentElement) if (at.localName === "details") at.open = true;
    target.scrollIntoView();
  }

  function offerScrolling() {
    for (const box of document.querySelectorAll(".scroll")) {
      const scrolls = box.scrollWidth > box.clientWidth + 1 || box.scrollHeight > box.clientHeight + 1;
      for (const [name, value] of [["tabindex", "0"], ["role", "group"], ["aria-label", box.dataset.scrolls]])
        if (scrolls) box.setAttribute(name, value);
        else box.removeAttribute(name);
    }
  }

  addEventListener("hashchange", reveal);
  addEventListener("resize", offerScrolling);
  document.addEventListener("toggle", offerScrolling, true);
  addEventListener("beforeprint", () => {
    opened = folds.filter((fold) => !fold.open);
    for (const fold of opened) fold.open = true;
  });
  addEventListener("afterprint", () => { for (const fold of opened) fold.open = false; });
  reveal();
  offerScrolling();
})();
