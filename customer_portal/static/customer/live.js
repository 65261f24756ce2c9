// Fetches the page's middle again when the shop's API says that something changed. Without script the page stays true.
(() => {
  "use strict";
  const box = document.querySelector("[data-live]");
  if (!box || !window.fetch) return;
  let known = null;
  // With script the total follows the ticks, so the words that say it does not are put away.
  const follow = () => box.querySelectorAll("[data-still]").forEach((words) => { words.hidden = true; });
  const touched = () => box.querySelector("details[open] textarea, input:focus, textarea:focus") !== null;
  const look = async () => {
    if (document.hidden || touched()) return;
    const answer = await fetch(box.dataset.progress, { headers: { Accept: "application/json" } }).catch(() => null);
    if (!answer || !answer.ok) return;
    const tag = (await answer.json()).changed_at;
    if (known !== null && known !== tag) {
      const part = await fetch(box.dataset.live).catch(() => null);
      if (part && part.ok) { box.innerHTML = await part.text(); follow(); }
    }
    known = tag;
  };
  follow();
  look();
  setInterval(look, 10000);

  // The total follows the ticks; what counts is reckoned again by the shop.
  box.addEventListener("change", (event) => {
    const total = box.querySelector("[data-total]");
    if (!event.target.dataset.change || !total) return;
    const form = event.target.form;
    const language = document.documentElement.lang;
    let sum = Number(total.dataset.total);
    form.querySelectorAll("[data-change]").forEach((tick) => {
      if (tick.checked !== tick.defaultChecked) sum += (tick.checked ? 1 : -1) * Number(tick.dataset.change);
    });
    const digits = Number(total.dataset.digits || 2);
    total.textContent = new Intl.NumberFormat(language, { style: "currency", currency: total.dataset.currency || "USD" }).format(sum / 10 ** digits);
  });
})();
