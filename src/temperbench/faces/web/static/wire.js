// The line to the server: one WebSocket, a watchdog on its heartbeat, and ever longer pauses between attempts.

import { hearClock, inCommas, inF, inOz, theme } from "./common.js";

export class Wire {
  constructor(run, settings, on) {
    Object.assign(this, { run, settings, on, attempt: 0, up: false });
    this.connect();
    addEventListener("online", () => this.soon(0));
    document.addEventListener("visibilitychange", () => { if (!document.hidden && !this.up) this.soon(0); });
  }

  connect() {
    clearTimeout(this.timer);
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    const socket = new WebSocket(`${scheme}://${location.host}/wire/${encodeURIComponent(this.run)}`);
    this.socket = socket;
    this.watch();
    socket.onopen = () => { this.see(); };
    socket.onmessage = (event) => {
      if (socket !== this.socket) return;
      const message = JSON.parse(event.data);
      hearClock(message.now_ms);
      this.attempt = 0;
      this.watch();
      if (!this.up) { this.up = true; this.on.up(); }
      if (message.t === "view") this.on.view(message);
      else this.on.beat(message);
    };
    socket.onclose = (event) => { if (socket === this.socket) this.down(event.code); };
  }

  // Nothing heard for too long: the network is silent, whatever the socket believes.
  watch() {
    clearTimeout(this.watchdog);
    this.watchdog = setTimeout(() => this.down(0), this.settings.silence * 1000);
  }

  down(code) {
    clearTimeout(this.watchdog);
    const old = this.socket;
    this.socket = null;
    if (old) { try { old.close(); } catch { /* it was closed already */ } }
    if (this.up || this.attempt === 0) { this.up = false; this.on.down(code); }
    const pause = Math.min(this.settings.retry, 0.5 * 2 ** this.attempt) * (0.75 + 0.5 * Math.random());
    this.attempt += 1;
    this.soon(pause * 1000);
  }

  soon(ms) {
    clearTimeout(this.timer);
    if (!this.up) this.timer = setTimeout(() => { if (!this.socket || this.socket.readyState > 1) this.connect(); }, ms);
  }

  // Says how wide the chart is and in which look; the server answers with the view.
  see() {
    if (!this.socket || this.socket.readyState !== 1) return;
    const width = Math.max(280, Math.min(2000, Math.floor(this.on.width())));
    this.socket.send(JSON.stringify({ width, theme: theme(), fahrenheit: inF(), ounces: inOz(), comma: inCommas() }));
  }
}
