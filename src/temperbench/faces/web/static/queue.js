// Taps wait on this device until the server says that they are stored. Each has its own id and the time it was
// pressed, so that sending one twice does no harm and sending it late puts it where it belongs. None is lost in silence:
// one that is refused for good is set aside, with what was said, so that those behind it go on.

import { ask, device, keep, kept, newId, now } from "./common.js";

const QUEUE = "temperbench.queue", ASIDE = "temperbench.aside", TRIAL = "temperbench.trial";
const PAUSES = [500, 1000, 2000, 4000, 8000, 15000, 30000];
const LATER = [401, 408, 429]; // not the tap's own fault: it is tried again, as after any trouble of the server

// What to do about a tap that was refused for good.
function remedy(status) {
  if (status === 403 || status === 421) return "Open this page by the kitchen's own address, then send it again.";
  if (status === 404) return "Open the bowl from the kitchen page and press it there.";
  return "Press it again as it was, or leave it out.";
}

// Why a tap is not stored yet.
function hindrance(status, message) {
  if (status === 401) return "This device is not paired any more; scan the kitchen's code again.";
  if (status === 503 && message) return message;
  const kept = "The tap is kept and tried again.";
  return status === 429 ? `Too many presses at once. ${kept}` : `The kitchen did not store the last tap (error ${status}). ${kept}`;
}

export class Queue {
  constructor(told) {
    this.told = told; // called after every change: ({stored, trouble, lost})
    this.busy = false;
    this.failures = 0;
    this.safe = keep(TRIAL, 1); // whether this device keeps taps beyond the page
    addEventListener("online", () => this.send());
    addEventListener("storage", (event) => { if ([QUEUE, ASIDE].includes(event.key)) this.told({}); });
    addEventListener("beforeunload", (event) => { if (!this.safe && this.all().length) event.preventDefault(); });
  }

  all() { return kept(QUEUE, []); }
  waiting(run) { return this.all().filter((entry) => entry.run === run).length; }
  aside(run) { return kept(ASIDE, []).filter((entry) => entry.run === run); }

  // Returns the id of the tap; it is on this device's disk before anything is sent, or, where there is none, in memory.
  put(run, what, words) {
    const tap = { id: newId(), pressed_ms: Math.round(now()), ...what };
    this.safe = keep(QUEUE, [...this.all(), { run, tap, words }]);
    this.told({});
    this.send();
    return tap.id;
  }

  drop(id) { this.safe = keep(QUEUE, this.all().filter((entry) => entry.tap.id !== id)); }

  // A tap that was refused for good and is taken back by one that waits is gone with it.
  setAside(entry, why) {
    const back = this.all().find((other) => other.tap.kind === "undo" && other.tap.of === entry.tap.id);
    this.drop(entry.tap.id);
    if (back) this.drop(back.tap.id);
    else keep(ASIDE, [...kept(ASIDE, []), { ...entry, why }]);
  }

  leaveOut(run) { keep(ASIDE, kept(ASIDE, []).filter((entry) => entry.run !== run)); this.told({}); }

  again(run) {
    const back = this.aside(run).map(({ why, ...entry }) => entry);
    this.safe = keep(QUEUE, [...this.all(), ...back]);
    this.leaveOut(run);
    this.send();
  }

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

  // True when the tap is off the queue: stored, or refused for good and set aside.
  async post(entry) {
    const { run, tap, words } = entry;
    let answer;
    try {
      answer = await ask(`/api/runs/${encodeURIComponent(run)}/happenings`, {
        method: "POST",
        headers: { "content-type": "application/json", "x-device": device() },
        body: JSON.stringify(tap),
      });
    } catch { this.told({ lost: true }); return false; }
    const body = await answer.json().catch(() => ({})), { status } = answer;
    if (answer.ok) {
      this.drop(tap.id);
      this.failures = 0;
      this.told({ stored: { run, tap, words, count: body.happenings } });
      return true;
    }
    if (status >= 400 && status < 500 && !LATER.includes(status)) {
      this.setAside(entry, `${body.message || `the kitchen refused it (error ${status})`} ${remedy(status)}`);
      this.told({});
      return true;
    }
    this.told({ trouble: hindrance(status, body.message) });
    return false;
  }
}
