import type { Clock } from "../../lib/rehearsal/liveLine.ts";

interface Sleeper { readonly atMs: number; readonly wake: () => void }

/** Every sleep takes time, as real ones do: one of a rounding error's length would be slept for ever. */
const LEAST_MS = 1e-6;

/** Wall time that moves only when a test moves it. */
export class FakeClock implements Clock {
  private ms = 1000;
  private sleepers: Sleeper[] = [];

  nowMs(): number { return this.ms; }

  sleep(ms: number, signal: AbortSignal): Promise<void> {
    if (signal.aborted) return Promise.resolve();
    return new Promise((done) => {
      const sleeper: Sleeper = { atMs: this.ms + Math.max(LEAST_MS, ms), wake: leave };
      this.sleepers.push(sleeper);
      signal.addEventListener("abort", leave, { once: true });
      const drop = (): void => { this.sleepers = this.sleepers.filter((one) => one !== sleeper); };
      function leave(): void {
        signal.removeEventListener("abort", leave);
        drop();
        done();
      }
    });
  }

  /** Time of the next sleeper; Infinity for none. */
  get nextMs(): number { return this.sleepers.reduce((least, one) => Math.min(least, one.atMs), Infinity); }

  /** Moves on to a time and wakes everybody who is due by then, in order. */
  moveTo(ms: number): void {
    this.ms = Math.max(this.ms, ms);
    const due = this.sleepers.filter((one) => one.atMs <= this.ms).sort((a, b) => a.atMs - b.atMs);
    this.sleepers = this.sleepers.filter((one) => one.atMs > this.ms);
    for (const sleeper of due) sleeper.wake();
  }
}

/** Lets everything run that waits for no time: promises and sockets. */
export function settle(): Promise<void> {
  return new Promise((done) => { setImmediate(done); });
}
