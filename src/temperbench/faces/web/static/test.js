// The setting test: says first how long it should take in this room, then times it, then asks how it looks.

import { keep, kept, minutes, now, written } from "./common.js";

export class SettingTest {
  constructor(run, { tap, sound, passMin }) {
    Object.assign(this, { tap, sound, passMin, store: `temperbench.test.${run}`, rung: false });
    this.place = document.querySelector("#test");
    const on = (name, act) => this.place.querySelector(name).addEventListener("click", act);
    this.place.querySelectorAll("[name=film]").forEach((one) => one.addEventListener("change", () => this.draw()));
    on("#test-start", () => this.begin());
    on("#test-set", () => this.ended(true));
    on("#test-not-set", () => this.ended(false));
    on("#test-again", () => { keep(this.store, null); this.draw(); });
    this.place.querySelectorAll("[data-smear]").forEach((key) => key.addEventListener("click", () => this.send(key.dataset.smear)));
    document.querySelector("#test-key").addEventListener("click", () => this.open());
    setInterval(() => this.draw(), 200);
    this.passes(passMin);
    if (kept(this.store, null)) this.open();
  }

  // By when a good smear has set, in minutes for each film: a knife's blade is slower than paper.
  passes(minutesOfFilms) {
    this.passMin = minutesOfFilms;
    this.place.querySelector("#test-mark").style.left = "66.6%";
    this.draw();
  }

  // The film of the smear that is timed; before that, the one that is chosen.
  film() { return (kept(this.store, null) || {}).film || this.place.querySelector("[name=film]:checked").value; }

  open() { this.draw(); if (!this.place.open) this.place.showModal(); }

  begin() {
    this.rung = false;
    keep(this.store, { from: now(), film: this.film() });
    this.draw();
  }

  ended(set) {
    const going = kept(this.store, null);
    if (!going) return;
    const waited = Math.round((now() - going.from) / 1000);
    if (!set) { this.result({ seconds: waited, film: going.film }, "not set"); return; }
    keep(this.store, { ...going, minutes: (now() - going.from) / 60000 });
    this.draw();
  }

  send(smear) {
    const going = kept(this.store, null);
    if (going) this.result({ minutes: Math.round(going.minutes * 100) / 100, look: smear, film: going.film }, smear);
  }

  result(what, words) {
    keep(this.store, null);
    this.tap({ kind: "test", ...what }, `Setting test: ${words}`);
    this.place.close();
    this.draw();
  }

  draw() {
    const going = kept(this.store, null);
    const stage = !going ? "before" : going.minutes === undefined ? "timing" : "look";
    this.place.querySelectorAll("[data-stage]").forEach((part) => { part.hidden = !part.dataset.stage.split(" ").includes(stage); });
    const seconds = !going ? 0 : going.minutes === undefined ? (now() - going.from) / 1000 : going.minutes * 60;
    this.place.querySelector("#test-time").textContent = seconds < 60 ? `${Math.floor(seconds)} s` : minutes(Math.floor(seconds));
    const pass = this.passMin[this.film()] || this.passMin.paper;
    this.place.querySelector("#test-pass").textContent = `${written(pass.toFixed(1))} min`;
    this.place.querySelector("#test-tape").style.transform = `scaleX(${Math.min(1, seconds / (90 * pass))})`;
    if (stage === "timing" && !this.rung && seconds > 60 * pass) { this.rung = true; if (seconds < 60 * pass + 2) this.sound(2); }
  }
}
