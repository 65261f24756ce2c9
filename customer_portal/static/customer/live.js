// Fetches the page's middle again when the shop's API says that something changed, and lets the sums follow the ticks.
// Without script the page stays true, and a button reckons again.
(() => {
  "use strict";
  const box = document.querySelector("[data-live]");
  if (!box || !window.fetch) return;
  let known = Date.parse(box.dataset.known);

  // Two pictures, one over the other, are cut where the slider stands.
  const dress = () => box.querySelectorAll("[data-pair]").forEach((pair) => {
    const slide = pair.querySelector("input");
    const show = () => pair.style.setProperty("--shown", `${slide.value}%`);
    slide.addEventListener("input", show);
    show();
  });

  const ticks = () => [...box.querySelectorAll("input[type=checkbox], input[type=radio]")];
  const touched = () => ticks().some((tick) => tick.checked !== tick.defaultChecked)
    || [...box.querySelectorAll("textarea")].some((field) => field.value !== field.defaultValue)
    || box.querySelector("input:focus, textarea:focus") !== null;
  const look = async () => {
    if (document.hidden || touched()) return;
    const answer = await fetch(box.dataset.progress, { headers: { Accept: "application/json" } }).catch(() => null);
    if (!answer || !answer.ok) return;
    const now = Date.parse((await answer.json()).changed_at);
    if (now === known) return;
    const part = await fetch(box.dataset.live).catch(() => null);
    if (!part || !part.ok || touched()) return;
    box.innerHTML = await part.text();
    known = now;
    dress();
  };
  dress();
  look();
  setInterval(look, 10000);
  document.addEventListener("visibilitychange", look);

  // The shop reckons what the ticks come to, so that it is what the bill will say. Where it cannot be asked, the button
  // for pages without script appears, since the sums are those of before.
  let last = 0;
  const put = (told) => {
    box.querySelectorAll("[data-part]").forEach((part) => { part.innerHTML = told.parts[part.dataset.part]; });
    box.querySelectorAll("[data-option][value]").forEach((tick) => {
      const price = tick.parentElement.querySelector("[data-price]");
      if (price) price.innerHTML = told.options[tick.value];
    });
    const why = box.querySelector("[data-why]");
    why.textContent = told.reasons.join(" ");
    why.hidden = !why.textContent;
  };
  box.addEventListener("change", async (event) => {
    if (!event.target.matches("[data-option]")) return;
    const mine = ++last;
    const { form } = event.target;
    const sums = form.querySelector("[data-part=sums]");
    sums.setAttribute("aria-busy", "true");
    const answer = await fetch(form.dataset.reckon, { method: "POST", body: new FormData(form) }).catch(() => null);
    const told = answer && answer.ok ? await answer.json() : null;
    if (mine !== last || !form.isConnected) return;
    sums.removeAttribute("aria-busy");
    form.querySelector(".still").classList.toggle("shown", !told);
    if (told) put(told);
  });
})();
