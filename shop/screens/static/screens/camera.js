// The page's own camera: a frame is sent to the shop every half second until one of them can be read there.
(() => {
  "use strict";
  const form = document.querySelector("form[data-camera]");
  const start = document.querySelector("[data-camera-start]");
  const words = document.querySelector("[data-camera-words]");
  if (!form || !start) return;
  if (!navigator.mediaDevices) { words.textContent = form.dataset.noCamera; return; }
  start.hidden = false;
  start.addEventListener("click", async () => {
    start.hidden = true;
    const video = document.querySelector("video.viewer");
    try {
      video.srcObject = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", width: { ideal: 1280 } } });
    } catch (error) {
      words.textContent = form.dataset.refused;
      start.hidden = false;
      return;
    }
    video.hidden = false;
    await video.play();
    const canvas = document.createElement("canvas");
    for (let tries = 0; tries < 120; tries += 1) {
      await new Promise((wait) => setTimeout(wait, 500));
      canvas.width = video.videoWidth;
      canvas.height = video.videoHeight;
      canvas.getContext("2d").drawImage(video, 0, 0);
      const frame = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
      const body = new FormData(form);
      body.set("photo", frame, "frame.jpg");
      try {
        const answer = await fetch(form.action, { method: "POST", body, headers: { "X-Frame": "1" } });
        if (answer.status === 200) { window.location.assign((await answer.json()).go); return; }
        if (answer.status !== 422) { words.textContent = form.dataset.trouble; return; }
      } catch (error) {
        words.textContent = form.dataset.offline;
      }
    }
    words.textContent = form.dataset.gaveUp;
  });
})();
