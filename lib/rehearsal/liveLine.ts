/** The line to the server: requests in flight, with an end to waiting; it can be cut and mended (a cause of the training desk), and closed. */
import type { Answer, Wire, WireRequest } from "./liveWire.ts";

/** Wall clock of the process, handed in. */
export interface Clock {
  /** Monotonic, ms. */
  nowMs(): number;
  /** Resolves after so many ms, or as soon as the signal is aborted; never rejects. */
  sleep(ms: number, signal: AbortSignal): Promise<void>;
}

/** All requests of a cell go through one line. */
export class Line {
  readonly clock: Clock;
  private readonly wire: Wire;
  private readonly inFlight = new Set<AbortController>();
  private readonly closing = new AbortController();
  private readonly closers: (() => void)[] = [];
  private cutUntilMs = Number.NEGATIVE_INFINITY;

  constructor(wire: Wire, clock: Clock) {
    this.wire = wire;
    this.clock = clock;
  }

  /** Aborted once the line is closed: whoever waits on it stops waiting. */
  get closed(): AbortSignal { return this.closing.signal; }
  /** Called once the line is closed. */
  onClose(closer: () => void): void { this.closers.push(closer); }
  get isCut(): boolean { return this.clock.nowMs() < this.cutUntilMs; }

  /** The answer; null where none came within `withinMs`, or the line is cut or closed. */
  async ask(request: WireRequest, withinMs: number): Promise<Answer | null> {
    if (this.closed.aborted || this.isCut) return null;
    const flight = new AbortController(), waiting = new AbortController();
    this.inFlight.add(flight);
    void this.clock.sleep(withinMs, waiting.signal).then(() => flight.abort());
    try {
      return await this.wire(request, flight.signal);
    } catch {
      return null;
    } finally {
      this.inFlight.delete(flight);
      waiting.abort();
    }
  }

  /** Nothing gets through for so long, what is in flight neither. */
  cut(forMs: number): void {
    this.cutUntilMs = this.clock.nowMs() + forMs;
    this.abortAll();
  }
  mend(): void { this.cutUntilMs = Number.NEGATIVE_INFINITY; }

  close(): void {
    this.closing.abort();
    this.abortAll();
    for (const closer of this.closers) closer();
  }

  private abortAll(): void {
    for (const flight of this.inFlight) flight.abort();
  }
}

/** Whether the same request may do later: no answer, the server's own trouble, or too much at once. */
export function isPassing(answer: Answer | null): boolean {
  return answer === null || answer.status >= 500 || answer.status === 429;
}
/** Whether the server took it (2xx). */
export function isTaken(answer: Answer | null): boolean {
  return answer !== null && answer.status >= 200 && answer.status < 300;
}

/** How long to wait before try `tried` + 1, ms: what the server asks for, else 0.1 s doubled up to 2 s. */
export function waitMs(answer: Answer | null, tried: number): number {
  const own = Math.min(2000, 100 * 2 ** Math.min(tried, 10));
  return answer?.retryAfterS === null || answer === null || answer.retryAfterS === 0 ? own : answer.retryAfterS * 1000;
}
