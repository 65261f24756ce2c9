// Three small helps for hands that hold an iron. Every one of them only saves a tap: without script all still works.
(() => {
  "use strict";
  const slip = document.querySelector("form.slip");

  // A USB scanner types fast and ends with Enter, wherever the focus is. People do not type 6 keys within 50 ms each.
  let typed = "", last = 0;
  document.addEventListener("keydown", (event) => {
    if (event.target.closest("input, textarea, select") || event.ctrlKey || event.metaKey || event.altKey) return;
    const now = performance.now();
    if (now - last > 80) typed = "";
    last = now;
    if (event.key === "Enter" && typed.length >= 6 && slip) {
      event.preventDefault();
      if (ticked(typed)) return;
      slip.elements.text.value = typed;
      slip.requestSubmit();
    } else if (event.key.length === 1) {
      typed += event.key;
    }
  });

  // A second scan of the unit's own bag, on its own page and not by a bouncing trigger, is the tap on Done.
  const opened = performance.now();
  function ticked(text) {
    const form = document.querySelector("form[data-tick]");
    if (!form || performance.now() - opened < 1500) return false;
    if (!text.toUpperCase().split(/[?#]/)[0].endsWith("/" + form.dataset.tick)) return false;
    form.requestSubmit();
    return true;
  }

  // A photo chosen or taken is sent at once.
  document.querySelectorAll("input[type=file][data-send]").forEach((input) => {
    input.addEventListener("change", () => input.files.length && input.form.requestSubmit());
  });

  // A form that was sent once is not sent twice by an impatient thumb.
  document.addEventListener("submit", (event) => {
    if (event.target.dataset.sent) { event.preventDefault(); return; }
    if (event.target.method === "post") event.target.dataset.sent = "1";
  });
  window.addEventListener("pageshow", () => document.querySelectorAll("form[data-sent]").forEach((form) => delete form.dataset.sent));
})();
