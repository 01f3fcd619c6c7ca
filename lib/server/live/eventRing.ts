/** The newest events of a run, numbered, so that a screen that was away can go on where it was; whoever is slow is never waited for. */
import type { LiveEventKind, LiveEvents } from "../../model/liveEvent.ts";

export interface RingEvent { readonly n: number; readonly kind: LiveEventKind; readonly text: string }

/** Events kept of a run. */
const KEPT = 4096;

export class EventRing {
  private readonly events: RingEvent[] = [];
  private count = 0;
  private readonly listeners = new Set<() => void>();

  push<K extends LiveEventKind>(kind: K, data: LiveEvents[K]): void {
    this.events.push({ n: ++this.count, kind, text: JSON.stringify(data) });
    if (this.events.length > KEPT) this.events.splice(0, this.events.length - KEPT);
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
