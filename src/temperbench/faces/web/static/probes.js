// Thermometer probes of a bowl: how those in it are, and keys that put one in or take it out.

import { ask } from "./common.js";

function made(tag, name, text) { return Object.assign(document.createElement(tag), { className: name, textContent: text }); }

export class Probes {
  constructor(run, said) {
    Object.assign(this, { run, said, drawn: "" });
    this.here = document.querySelector("[data-p=probes]");
    this.places = document.querySelector("#probe-places");
    this.places.addEventListener("click", (event) => {
      const key = event.target.closest("[data-probe]");
      if (key) this.put(key.dataset.probe, key.dataset.here !== "true");
    });
  }

  show(probes) {
    const drawn = JSON.stringify(probes);
    if (drawn === this.drawn) return;
    this.drawn = drawn;
    const inside = probes.filter((one) => one.here);
    this.here.hidden = inside.length === 0;
    this.here.replaceChildren(...inside.map((one) => {
      const row = made("li", one.fine ? "fine" : "", "");
      row.append(made("span", "name", one.probe), made("b", "", one.now), made("span", "word", one.word));
      if (one.says) row.append(made("p", "", one.says));
      return row;
    }));
    this.places.hidden = probes.length === 0;
    this.places.replaceChildren(made("h3", "", "Probes"), ...probes.map((one) => {
      const row = made("div", "extra", ""), key = made("button", "key", one.here ? "Take it out" : "Put it in this bowl");
      Object.assign(key, { type: "button" });
      Object.assign(key.dataset, { probe: one.probe, here: one.here });
      key.setAttribute("aria-label", `${key.textContent}: ${one.probe}`);
      row.append(made("p", "", [one.probe, one.now, one.word].filter(Boolean).join(" · ")), key);
      return row;
    }));
  }

  async put(probe, into) {
    const body = JSON.stringify({ bowl: into ? this.run : null });
    const headers = { "content-type": "application/json" };
    const answer = await ask(`/api/probes/${encodeURIComponent(probe)}/bowl`, { method: "POST", headers, body }).catch(() => null);
    if (!answer || !answer.ok) { this.said("The probe was not moved: the kitchen cannot be reached. Try again."); return; }
    this.said(into ? `${probe} is in this bowl now.` : `${probe} is taken out.`);
    this.show(JSON.parse(this.drawn).map((one) => (one.probe === probe ? { ...one, here: into } : one)));
  }
}
