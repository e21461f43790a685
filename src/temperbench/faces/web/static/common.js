// What every page of ours needs: ids, the server's clock, this device's look, figures with comma or point.

const LOOK = "temperbench.look", SKEW = "temperbench.skew", DEVICE = "temperbench.device";

// Where a browser keeps nothing (a private window, a full disk), what a page keeps lasts as long as the page.
const unsaved = new Map();

export function kept(key, otherwise) {
  try {
    const text = unsaved.has(key) ? unsaved.get(key) : localStorage.getItem(key);
    return text === null ? otherwise : JSON.parse(text);
  } catch { return otherwise; }
}

// True when the device has it on its disk.
export function keep(key, value) {
  const text = JSON.stringify(value);
  try { localStorage.setItem(key, text); unsaved.delete(key); return true; } catch { unsaved.set(key, text); return false; }
}

// Made by hand: crypto.randomUUID is missing on a plain http address of the local network.
export function newId() {
  const bytes = new Uint8Array(10);
  if (globalThis.crypto && crypto.getRandomValues) crypto.getRandomValues(bytes);
  else bytes.forEach((_, i) => { bytes[i] = Math.floor(Math.random() * 256); });
  return Date.now().toString(36) + "-" + Array.from(bytes, (b) => b.toString(36).padStart(2, "0")).join("");
}

export function device() {
  const name = kept(DEVICE, null) || "device-" + newId().slice(-6);
  keep(DEVICE, name);
  return name;
}

// A message can only arrive late, never early: the largest difference lately seen is the nearest to the truth.
let heard = [];
let skew = kept(SKEW, 0);
export function hearClock(serverMs) {
  heard = [...heard.slice(-7), serverMs - Date.now()];
  skew = Math.max(...heard);
  keep(SKEW, skew);
}
export const now = () => Date.now() + skew;
const served = Number(document.documentElement.dataset.now); // every page comes with the time it was made at
if (served > 0) hearClock(served);

export function look() {
  return { theme: "auto", heat: "C", mass: "g", decimals: "point", sound: true, ...kept(LOOK, {}) };
}

export function setLook(part) {
  const all = { ...look(), ...part };
  keep(LOOK, all);
  document.cookie = `temperbench_look=${all.theme}.${all.heat}.${all.mass}.${all.decimals}; path=/; max-age=31536000; samesite=strict`;
  document.documentElement.dataset.theme = all.theme;
  return all;
}

export function theme() {
  const chosen = look().theme;
  if (chosen !== "auto") return chosen;
  return matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
}

export const inF = () => look().heat === "F";
export const inCommas = () => look().decimals === "comma";
export const written = (text) => (inCommas() ? text.replace(".", ",") : text);
export const shownHeat = (c) => written((inF() ? c * 1.8 + 32 : c).toFixed(1));
export const heatInC = (shown) => (inF() ? (shown - 32) / 1.8 : shown);
export const inOz = () => look().mass === "oz";
const OUNCE = 28.349523125;
export const shownMass = (g) => (inOz() ? written((g / OUNCE).toFixed(1)) : String(Math.round(g)));
export const massInG = (shown) => (inOz() ? shown * OUNCE : shown);

// "31,4" and "31.4" are the same figure; anything else is none.
export function figure(text) {
  const tidy = text.trim().replace("−", "-").replace(",", ".");
  return /^-?(\d+\.?\d*|\.\d+)$/.test(tidy) ? Number(tidy) : NaN;
}

export function minutes(seconds) {
  const s = Math.max(0, Math.ceil(seconds));
  const two = (figure) => String(figure).padStart(2, "0"), h = Math.floor(s / 3600), m = Math.floor(s / 60) % 60;
  if (s < 60) return String(s);
  return h ? `${h}:${two(m)}:${two(s % 60)}` : `${m}:${two(s % 60)}`;
}

export async function ask(url, options = {}, patience = 8000) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), patience);
  try { return await fetch(url, { ...options, signal: stop.signal }); } finally { clearTimeout(timer); }
}

// A figure between two keys: press, hold, or type. Whoever asks for a place's dial gets the same one.
const dials = new WeakMap();
export function dial(root) {
  if (!dials.has(root)) dials.set(root, newDial(root));
  return dials.get(root);
}

function newDial(root) {
  const input = root.querySelector("input");
  const places = () => Number(root.dataset.places || 0);
  const limits = (value) => Math.min(Number(root.dataset.most || 1e6), Math.max(Number(root.dataset.least || 0), value));
  const set = (value) => { input.value = written(limits(value).toFixed(places())); };
  const by = (sign) => {
    const value = figure(input.value);
    set((Number.isNaN(value) ? 0 : value) + sign * Number(root.dataset.step || 1));
    root.dispatchEvent(new Event("turned", { bubbles: true }));
  };
  for (const [name, sign] of [[".less", -1], [".more", 1]]) {
    const key = root.querySelector(name);
    let timer = null;
    const stop = () => { clearTimeout(timer); clearInterval(timer); timer = null; };
    key.addEventListener("pointerdown", () => { timer = setTimeout(() => { timer = setInterval(() => by(sign), 90); }, 450); });
    for (const end of ["pointerup", "pointerleave", "pointercancel"]) key.addEventListener(end, stop);
    key.addEventListener("click", () => by(sign));
  }
  input.addEventListener("input", () => root.dispatchEvent(new Event("turned", { bubbles: true })));
  return { set, value: () => figure(input.value), input };
}
