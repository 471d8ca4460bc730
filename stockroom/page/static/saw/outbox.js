// Cuts on their way to the record: kept here until they are written, sent in order, each once.
//
// Each has a key that was made here; the record knows by it what came before, so an answer that
// was lost, or a cut that was undone meanwhile, never cuts again.

import { add, drop, keep, waiting } from "./store.js";

const PATIENCE_MS = 8000;
const PAUSES_MS = [1000, 2000, 4000, 8000, 15000];

export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

export class Outbox {
  // written(cut, answer): it is in the record. changed(): what waits here is another.
  constructor(written, changed) {
    this.written = written;
    this.changed = changed;
    this.items = [];
    this.away = false;
    this.shutOut = false;
    this.sending = false;
    this.tried = 0;
    this.timer = 0;
  }

  async load() {
    this.items = await waiting();
    this.changed();
    this.send();
  }

  get unsent() { return this.items.filter((cut) => !cut.refusal); }
  get refused() { return this.items.filter((cut) => cut.refusal); }

  holds(plan, piece) {
    return this.items.find((cut) => cut.body.plan === plan && cut.body.piece === piece);
  }

  async put(body) {
    await add({ body, refusal: null });
    this.items = await waiting();
    this.changed();
    this.send();
  }

  async drop(cut) {
    await drop(cut.order);
    this.items = await waiting();
    this.changed();
  }

  // What the framer says of a refused cut: record it anyway, whatever the plan says now.
  async insist(cut) {
    await keep({ ...cut, refusal: null, body: { ...cut.body, anyway: true } });
    this.items = await waiting();
    this.changed();
    this.send();
  }

  async send() {
    if (this.sending) return;
    this.sending = true;
    clearTimeout(this.timer);
    try {
      let next;
      while ((next = this.unsent[0]) && (await this.one(next)));
    } finally {
      this.sending = false;
    }
    if (this.unsent.length && !this.shutOut) this.later();
    this.changed();
  }

  later() {
    const pause = PAUSES_MS[Math.min(this.tried, PAUSES_MS.length - 1)];
    this.tried += 1;
    this.timer = setTimeout(() => this.send(), pause);
  }

  // One cut to the server; true where the next may follow.
  async one(cut) {
    let answer, told;
    try {
      answer = await fetch("/saw/cut", {
        method: "POST", body: JSON.stringify(cut.body), signal: AbortSignal.timeout(PATIENCE_MS),
        headers: { "Content-Type": "application/json", Accept: "application/json" },
      });
      told = await answer.json();
    } catch {
      this.away = true;
      return false;
    }
    this.away = answer.status >= 500;
    this.shutOut = answer.status === 401;
    if (this.away || this.shutOut) return false;
    this.tried = 0;
    if (answer.ok) {
      await drop(cut.order);
    } else {
      await keep({ ...cut, refusal: told });
    }
    this.items = await waiting();
    if (answer.ok) this.written(cut.body, told);
    this.changed();
    return true;
  }
}
