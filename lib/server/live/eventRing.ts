/** The newest events of a run, numbered, so that a screen that was away can go on where it was; whoever is slow is never waited for. */
import type { LiveEventKind, LiveEvents } from "../../model/liveEvent.ts";

export interface RingEvent { readonly n: number; readonly kind: LiveEventKind; readonly text: string }

/** Events kept of a run: so many at most, and of so many characters together; the newest always. */
const KEPT = 4096, KEPT_CHARS = 8 * 1024 * 1024;

export class EventRing {
  private readonly events: RingEvent[] = [];
  private count = 0;
  private chars = 0;
  private readonly listeners = new Set<() => void>();

  push<K extends LiveEventKind>(kind: K, data: LiveEvents[K]): void {
    const text = JSON.stringify(data);
    this.events.push({ n: ++this.count, kind, text });
    this.chars += text.length;
    while (this.events.length > KEPT || (this.chars > KEPT_CHARS && this.events.length > 1)) this.chars -= this.events.shift()?.text.length ?? 0;
    for (const listener of this.listeners) listener();
  }

  get newest(): number {
    return this.count;
  }

  /** The first event after number `n`; null: none yet. `isGap`: some between them are not kept any more. */
  after(n: number): { readonly event: RingEvent; readonly isGap: boolean } | null {
    const first = this.events[0];
    if (first === undefined || n >= this.count) return null;
    const event = this.events[Math.max(0, n + 1 - first.n)] as RingEvent;
    return { event, isGap: event.n !== n + 1 };
  }

  /** Calls `listener` after each event; gives what ends that. */
  listen(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => { this.listeners.delete(listener); };
  }
}
