// The live bowl: shows what the server sends, runs the clock by itself, and keeps every tap until it is stored.

import { ask, device, dial, figure, heatInC, inOz, inF, keep, kept, look, massInG, minutes, now, shownHeat, shownMass } from "./common.js";
import { Probes } from "./probes.js";
import { Queue } from "./queue.js";
import { SettingTest } from "./test.js";
import { Wire } from "./wire.js";

const root = document.querySelector("#live");
const run = root.dataset.run;
const part = (name) => root.querySelector(`[data-p="${name}"]`);
let view = JSON.parse(root.dataset.first);
let connected = true;
let note = "";
let typed = false; // whether a reading was typed and is not sent yet
let touched = false; // whether the figure of the answering key was put right by hand

// ---- sound and vibration: allowed after the first touch or key
let audio = null;
for (const name of ["pointerdown", "keydown"]) {
  addEventListener(name, () => {
    const Audio = globalThis.AudioContext || globalThis.webkitAudioContext;
    if (!audio && Audio && look().sound) audio = new Audio();
    if (audio && audio.state === "suspended") audio.resume();
  });
}
function sound(times) {
  if (navigator.vibrate) navigator.vibrate(Array(times).fill([220, 120]).flat());
  if (!audio || !look().sound) return;
  for (let i = 0; i < times; i += 1) {
    const tone = audio.createOscillator(), level = audio.createGain(), at = audio.currentTime + 0.35 * i;
    tone.frequency.value = 880;
    level.gain.setValueAtTime(0.25, at);
    level.gain.setTargetAtTime(0, at + 0.16, 0.03);
    tone.connect(level).connect(audio.destination);
    tone.start(at);
    tone.stop(at + 0.32);
  }
}

// ---- the strip: calm, and only when there is something to say
function strip() {
  const waiting = queue.waiting(run);
  const lines = [];
  if (note && document.querySelector("#banner").hidden) lines.push(note);
  if (!connected) lines.push("No connection to the kitchen. The clock goes on, and every key works: taps are kept on this device.");
  if (waiting && (!connected || note)) lines.push(`${waiting} ${waiting === 1 ? "tap waits" : "taps wait"} to be sent.`);
  if (!queue.safe && (waiting || !connected)) lines.push("This device keeps nothing on its disk: taps wait only while this page is open.");
  aside();
  const place = root.querySelector("#strip");
  place.hidden = lines.length === 0;
  const text = lines.join(" ");
  if (place.firstElementChild.textContent !== text) place.firstElementChild.textContent = text;
}

// Taps that were refused for good: what was pressed and said, until the cook sends them again or leaves them out.
function aside() {
  const place = root.querySelector("#aside"), refused = queue.aside(run);
  place.hidden = refused.length === 0;
  const drawn = JSON.stringify(refused);
  if (place.dataset.drawn === drawn) return;
  place.dataset.drawn = drawn;
  list(place.querySelector("ul"), refused.map((entry) => `“${entry.words}”: ${entry.why}`));
}

function banner(words) {
  const place = document.querySelector("#banner");
  place.hidden = !words;
  if (place.firstElementChild.textContent !== words) place.firstElementChild.textContent = words;
}

// ---- taps
const queue = new Queue(({ stored, trouble, lost }) => {
  if (trouble !== undefined) note = trouble;
  if (stored) { note = ""; sent.push(stored); }
  if (lost && connected) connected = false;
  undoKey();
  strip();
});
function tap(what, words) {
  const id = queue.put(run, what, words);
  said(words);
  undoKey();
  return id;
}
function said(words) { root.querySelector("#said").textContent = words; }
let sent = []; // taps that are stored, but not in the view yet
// What undo takes back: the last tap that stands, of whichever device; those that still wait here come after all others.
function last() {
  const waiting = [...sent, ...queue.all()].filter((entry) => entry.run === run);
  const gone = new Set(waiting.map((entry) => entry.tap.of));
  const known = new Set(view.taps.map((one) => one.id));
  const mine = waiting.filter((entry) => entry.tap.kind !== "undo" && !known.has(entry.tap.id));
  const stands = [...view.taps, ...mine.map((entry) => ({ id: entry.tap.id, words: entry.words, device: device() }))];
  return stands.filter((one) => !gone.has(one.id)).pop();
}
function undoKey() {
  const one = last(), key = root.querySelector("#undo");
  key.disabled = !one;
  key.querySelector("small").textContent = one ? one.words + (one.device === device() ? "" : " · elsewhere") : "";
}

// ---- what the server sends
function text(name, value) { const place = part(name); if (place && place.textContent !== value) place.textContent = value; }
function list(place, lines) {
  place.replaceChildren(...lines.map((line) => Object.assign(document.createElement("li"), { textContent: line })));
}
function show(next) {
  const changed = next.count !== view.count || next.kind !== view.kind || next.figure !== view.figure;
  view = next;
  for (const name of ["verb", "figure", "tail", "state", "now", "caption", "mind", "risk"]) text(name, next[name]);
  text("reason", [next.reason, next.portions].filter(Boolean).join(" "));
  text("solid", `${next.solid} of the fat`);
  text("workable", next.workable);
  if (next.chart) part("chart").innerHTML = next.chart;
  part("doubt").hidden = !next.doubt;
  text("doubt-text", next.doubt);
  list(part("explanations"), next.explanations);
  part("check").hidden = !next.check;
  part("learnt").hidden = next.learnt.length === 0;
  list(part("learnt-lines"), next.learnt);
  part("keeping").hidden = next.keeping.length === 0;
  list(part("keeping-lines"), next.keeping);
  root.dataset.count = next.count;
  probes.show(next.probes);
  banner(next.banner);
  sent = sent.filter((one) => one.count > next.count);
  undoKey();
  if (changed) { asks(); unmark(); }
  if (!typed) reading.set(figure(shownHeat(next.now_c)));
  test.passes(next.test_pass_min);
  clock();
}

// ---- the key that answers the move, with the figure that can be put right first
const act = dial(root.querySelector("#act"));
const reading = dial(root.querySelector("#reading"));
const actKey = root.querySelector("#act-key");
root.querySelector("#act").addEventListener("turned", () => { touched = true; });
root.querySelector("#reading").addEventListener("turned", () => { typed = true; });
function asks() {
  touched = false;
  const { act: asked } = view, place = root.querySelector("#act");
  place.hidden = !asked.unit;
  actKey.hidden = !asked.kind;
  actKey.textContent = asked.label;
  place.parentElement.classList.toggle("alone", !asked.unit);
  const mass = asked.unit === "g";
  Object.assign(place.dataset, {
    step: mass && inOz() ? 0.2 : asked.step, most: mass ? figure(shownMass(asked.most)) : asked.most, least: 0,
    places: mass && inOz() ? 1 : 0,
  });
  act.set(mass ? figure(shownMass(asked.amount)) : asked.amount);
  place.querySelector(".unit").textContent = mass && inOz() ? "oz" : asked.unit;
}
actKey.addEventListener("click", () => {
  const { kind, unit, label, along } = view.act;
  if (kind === "open test") { test.open(); return; }
  const value = act.value();
  if (unit && !(value > 0)) { said("Give a figure above 0."); act.input.focus(); return; }
  if (unit === "s") tap({ ...along, kind, seconds: value }, `${label}: ${value} s`);
  else if (unit === "min") tap({ ...along, kind, seconds: 60 * value }, `${label}: ${value} min`);
  else if (unit === "g") tap({ ...along, kind, grams: massInG(value) }, `${label}: ${act.input.value} ${inOz() ? "oz" : "g"}`);
  else tap({ ...along, kind }, label);
});
root.querySelector("#reading-key").addEventListener("click", () => {
  const shown = reading.value();
  const celsius = heatInC(shown);
  if (!(celsius > -30 && celsius < 150)) { said("Type the reading as a number, such as 31.4 or 31,4."); reading.input.focus(); return; }
  typed = false;
  const reader = root.querySelector("[name=thermometer]:checked");
  const what = { kind: "reading", celsius: Math.round(celsius * 100) / 100, ...(reader ? { thermometer: reader.value } : {}) };
  tap(what, `Read ${reading.input.value} ${inF() ? "°F" : "°C"}`);
});
// With which thermometer, where there are several: the last one of this bowl.
const READER = `temperbench.reader.${run}`;
root.querySelectorAll("[name=thermometer]").forEach((choice) => {
  if (kept(READER, null) === choice.value) choice.checked = true;
  choice.addEventListener("change", () => keep(READER, choice.value));
});
function unmark() { root.querySelectorAll("[data-level]").forEach((key) => key.setAttribute("aria-pressed", "false")); }
root.querySelectorAll("[data-level]").forEach((key) => key.addEventListener("click", () => {
  tap({ kind: key.dataset.kind, level: key.dataset.level }, `${key.dataset.kind === "lumps" ? "Lumps" : "Flow"}: ${key.dataset.level}`);
  unmark();
  key.setAttribute("aria-pressed", "true");
}));
root.querySelector("#aside-again").addEventListener("click", () => queue.again(run));
root.querySelector("#aside-out").addEventListener("click", () => queue.leaveOut(run));
root.querySelector("#undo").addEventListener("click", () => {
  const one = last();
  if (one) tap({ kind: "undo", of: one.id }, `Undone: ${one.words}`);
});
const more = document.querySelector("#more");
root.querySelector("#more-key").addEventListener("click", () => more.showModal());
more.querySelectorAll("[data-kind]").forEach((key) => {
  const place = key.closest(".extra")?.querySelector("[data-dial]");
  const own = place ? dial(place) : null;
  key.addEventListener("click", () => {
    const value = own ? own.value() : 0, field = key.dataset.field;
    if (own && !(value > 0)) { own.input.focus(); return; }
    const what = { kind: key.dataset.kind };
    if (field) what[field] = field === "grams" ? massInG(value) : key.dataset.unit === "min" ? 60 * value : value;
    if (key.dataset.material) what.material = key.closest(".extra").querySelector("select").value;
    if (key.dataset.made) what.material = key.dataset.made;
    tap(what, own ? `${key.textContent.trim()}: ${own.input.value} ${place.querySelector(".unit").textContent}` : key.textContent.trim());
    more.close();
  });
});
document.querySelectorAll("dialog [data-close]").forEach((key) => key.addEventListener("click", () => key.closest("dialog").close()));

// ---- what if
root.querySelector("#what-if").addEventListener("click", async () => {
  said("Asking…");
  const answer = await ask(`/api/runs/${encodeURIComponent(run)}/what-if?seconds=5`).catch(() => null);
  if (!answer || !answer.ok) { said("No answer now: the kitchen cannot be reached."); return; }
  const { ends_c: ends, solid_pct_of_fat: solid, risk_lost: lost } = await answer.json();
  const risk = lost < 0.01 ? "under 1 %" : `${Math.round(100 * lost)} %`;
  said(`5 s more would end at ${shownHeat(ends.mid)} ${inF() ? "°F" : "°C"} (${shownHeat(ends.low)} to ${shownHeat(ends.high)}) with ${Math.round(solid.mid)} % of the fat solid; risk of losing the temper ${risk}.`);
});

// ---- the clock ticks here, whatever the network does
let rung = 0;
function clock() {
  const { countdown } = view, place = root.querySelector(".top .clock");
  const digits = part("digits"), label = part("clock-label");
  if (!countdown) {
    digits.textContent = "";
    label.textContent = "No clock is running";
    place.classList.remove("due");
    part("tape").style.transform = "scaleX(0)";
    return;
  }
  // Stirring down and waiting last as long as they last: the figure follows the clock until it is put right.
  if (!touched && ["draw down", "wait"].includes(view.kind)) act.set(Math.max(1, (now() - countdown.from_ms) / 1000));
  const left = (countdown.until_ms - now()) / 1000, whole = (countdown.until_ms - countdown.from_ms) / 1000;
  const shown = minutes(left) + (Math.ceil(left) < 60 ? " s" : "");
  if (digits.textContent !== shown) digits.textContent = shown;
  label.textContent = left > 0 ? countdown.label : `${countdown.label}: time is up`;
  part("tape").style.transform = `scaleX(${Math.min(1, Math.max(0, left / whole))})`;
  place.classList.toggle("due", left <= 0);
  if (left <= 0 && rung !== countdown.until_ms) {
    if (left > -2) sound(3);
    rung = countdown.until_ms;
    wire.see();
  }
}

const probes = new Probes(run, said);
probes.show(view.probes);
const test = new SettingTest(run, { tap, sound, passMin: view.test_pass_min });
const wire = new Wire(run, { silence: Number(root.dataset.silence), retry: Number(root.dataset.retry) }, {
  up: () => { connected = true; strip(); queue.send(); },
  down: (code) => {
    connected = false;
    if (code === 4404) note = "This bowl is not in the book of this kitchen.";
    strip();
  },
  view: show,
  beat: (message) => { probes.show(message.probes); banner(message.banner); },
  width: () => part("chart").clientWidth,
});
root.querySelectorAll(".heat-unit").forEach((place) => { place.textContent = inF() ? "°F" : "°C"; });
document.querySelectorAll(".mass-unit").forEach((place) => { place.textContent = inOz() ? "oz" : "g"; });
reading.set(figure(shownHeat(view.now_c)));
asks();
undoKey();
strip();
clock();
setInterval(clock, 200);
root.querySelector(".answers").inert = false; // what is pressed from now on is heard
let resized = null;
new ResizeObserver(() => { clearTimeout(resized); resized = setTimeout(() => wire.see(), 150); }).observe(part("chart"));
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => wire.see());
