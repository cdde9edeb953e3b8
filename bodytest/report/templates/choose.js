(() => {
  "use strict";
  const form = document.getElementById("choose");
  if (!form) return;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const chosen = [...form.querySelectorAll("input:checked")].map((box) => box.value);
    location.href = form.getAttribute("action") + (chosen.length ? "#" + chosen.join(",") : "");
  });
})();
