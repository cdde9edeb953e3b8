"use strict";
// Comfort alone: every page can be read and every form sent without this.

// Say that the page is open and that it was closed, so that the program can end after the last one.
const self_id = Array.from(crypto.getRandomValues(new Uint32Array(3)), (part) => part.toString(36)).join("");
const tell = () => fetch(`/presence?page=${self_id}`, { method: "POST" }).then(
  (answer) => { document.getElementById("ended").hidden = answer.ok; },
  () => { document.getElementById("ended").hidden = false; },
);
tell();
setInterval(tell, 60000);
addEventListener("pageshow", (shown) => { if (shown.persisted) tell(); });
document.addEventListener("visibilitychange", () => { if (!document.hidden) tell(); });
addEventListener("pagehide", () => navigator.sendBeacon(`/presence?page=${self_id}&closed=1`));

// A sheet can be dropped; one that is too large is told before it is sent.
for (const form of document.querySelectorAll("form[data-most]")) {
  const input = form.querySelector("input[type=file]");
  const warning = form.querySelector(".warning");
  const looked_at = () => {
    const large = [...input.files].some((file) => file.size > form.dataset.most * 1024 * 1024);
    warning.hidden = !large;
    form.querySelector("button").disabled = large;
  };
  input.addEventListener("change", looked_at);
  for (const name of ["dragover", "dragleave", "drop"]) {
    form.addEventListener(name, (event) => {
      event.preventDefault();
      form.classList.toggle("dropping", name === "dragover");
      if (name === "drop" && event.dataTransfer.files.length) {
        input.files = event.dataTransfer.files;
        looked_at();
      }
    });
  }
}
