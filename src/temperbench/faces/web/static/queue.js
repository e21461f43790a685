// Taps wait on this device until the server says that they are stored. Each has its own id and the time it was
// pressed, so that sending one twice does no harm and sending it late puts it where it belongs.

import { ask, device, keep, kept, newId, now } from "./common.js";

const QUEUE = "temperbench.queue";
const PAUSES = [500, 1000, 2000, 4000, 8000];

export class Queue {
  constructor(told) {
    this.told = told; // called after every change: ({waiting, trouble, view})
    this.busy = false;
    this.failures = 0;
    addEventListener("online", () => this.send());
    addEventListener("storage", (event) => { if (event.key === QUEUE) this.told({}); });
  }

  all() { return kept(QUEUE, []); }
  waiting(run) { return this.all().filter((entry) => entry.run === run).length; }

  // Returns the id of the tap; the tap is on this device's disk before anything is sent.
  put(run, what, words) {
    const tap = { id: newId(), pressed_ms: Math.round(now()), ...what };
    if (!keep(QUEUE, [...this.all(), { run, tap, words }])) {
      this.told({ trouble: "This device cannot keep taps: its storage is full. Press again when it is connected." });
      return null;
    }
    this.told({});
    this.send();
    return tap.id;
  }

  drop(id) { keep(QUEUE, this.all().filter((entry) => entry.tap.id !== id)); }

  async send() {
    if (this.busy) return;
    this.busy = true;
    clearTimeout(this.timer);
    try {
      for (let [next] = this.all(); next; [next] = this.all()) {
        if (!(await this.post(next))) break;
      }
    } finally { this.busy = false; }
    if (this.all().length) {
      this.timer = setTimeout(() => this.send(), PAUSES[Math.min(this.failures, PAUSES.length - 1)]);
      this.failures += 1;
    } else this.failures = 0;
  }

  // True when the tap is off the queue: stored, or refused for good with its reason shown.
  async post({ run, tap, words }) {
    let answer;
    try {
      answer = await ask(`/api/runs/${encodeURIComponent(run)}/happenings`, {
        method: "POST",
        headers: { "content-type": "application/json", "x-device": device() },
        body: JSON.stringify(tap),
      });
    } catch { this.told({ lost: true }); return false; }
    const body = await answer.json().catch(() => ({}));
    if (answer.ok) {
      this.drop(tap.id);
      this.failures = 0;
      this.told({ stored: { run, tap, words, count: body.happenings } });
      return true;
    }
    if ([404, 413, 422].includes(answer.status)) {
      this.drop(tap.id);
      this.told({ trouble: `Not taken: ${body.message || "the kitchen refused it"}` });
      return true;
    }
    const paired = answer.status === 401 ? "This device is not paired any more; scan the kitchen's code again." : "";
    this.told({ trouble: paired || (answer.status === 503 ? body.message : "") });
    return false;
  }
}
