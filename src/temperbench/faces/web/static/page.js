// Every page: this device's look, drawings at their own width, times of this device, forms that send once.

import { ask, dial, inCommas, inF, look, minutes, newId, now, setLook, theme } from "./common.js";

setLook({});

async function draw(place) {
  const width = Math.floor(place.clientWidth);
  if (width < 100 || Number(place.dataset.drawn) === width) return;
  place.dataset.drawn = width;
  const query = `width=${Math.max(300, width)}&theme=${theme()}&fahrenheit=${inF()}&comma=${inCommas()}`;
  try {
    const answer = await ask(`${place.dataset.draw}?${query}`);
    if (answer.ok) place.innerHTML = await answer.text();
    else place.textContent = "The drawing could not be made.";
  } catch { place.textContent = "No connection: the drawing comes when the kitchen is back."; place.dataset.drawn = 0; }
}
const drawings = document.querySelectorAll("[data-draw]");
if (drawings.length) {
  const sizes = new ResizeObserver((entries) => entries.forEach((entry) => draw(entry.target)));
  drawings.forEach((place) => sizes.observe(place));
}

const day = new Intl.DateTimeFormat(undefined, { dateStyle: "medium", timeStyle: "short" });
const clock = new Intl.DateTimeFormat(undefined, { timeStyle: "short" });
document.querySelectorAll("time[data-ms]").forEach((place) => {
  place.textContent = (place.dataset.kind === "clock" ? clock : day).format(new Date(Number(place.dataset.ms)));
});

const clocks = document.querySelectorAll("[data-until]");
function tick() {
  clocks.forEach((place) => {
    const left = (Number(place.dataset.until) - now()) / 1000;
    place.textContent = left > 0 ? `${minutes(left)}${left < 60 ? " s" : ""}` : "due now";
  });
}
if (clocks.length) { tick(); setInterval(tick, 500); }
if (document.body.dataset.refresh) {
  setInterval(async () => {
    const answer = await ask("/").catch(() => null);
    if (!answer || !answer.ok) return;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector(".bowls");
    const old = document.querySelector(".bowls");
    if (fresh && old && fresh.dataset.sign !== old.dataset.sign) location.reload();
  }, Number(document.body.dataset.refresh) * 1000);
}

document.querySelectorAll("[data-dial]").forEach((root) => dial(root));
document.querySelectorAll("form[data-once]").forEach((form) => {
  form.elements.id.value = newId();
  form.addEventListener("submit", () => {
    form.elements.pressed_ms.value = Math.round(now());
    setTimeout(() => form.querySelectorAll("button[type=submit]").forEach((key) => { key.disabled = true; }), 0);
  });
});
document.querySelectorAll("form[data-waits]").forEach((form) => {
  form.addEventListener("submit", () => {
    const key = form.querySelector("button[type=submit]");
    setTimeout(() => { key.disabled = true; key.textContent = form.dataset.waits; }, 0);
  });
  addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
});
document.querySelectorAll("[data-look]").forEach((choice) => {
  const name = choice.dataset.look;
  choice.checked = String(look()[name]) === choice.value;
  choice.addEventListener("change", () => setLook({ [name]: name === "sound" ? choice.value === "true" : choice.value }));
});
const token = document.querySelector("#token");
if (token && location.hash.length > 10) {
  token.value = decodeURIComponent(location.hash.slice(1));
  history.replaceState(null, "", "/pair");
  if (!token.dataset.refused) token.form.submit();
}
