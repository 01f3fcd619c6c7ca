/** Puts messages of several senders, each nearly in order, into the order of time while they arrive. Pure: the time of arrival is passed in. */
import type { Message } from "../model/messages.ts";

/** A sender that has been silent for so long does not hold the others up, ms. */
const SILENT_MS = 150;

/** What says where the nozzle is comes less often than profiles and may lag by so much: the profiler is further behind, s. */
const PROGRESS_LAG_S = 0.06;
/** A profile that comes after what the nozzle did later still counts if it is so late at most, s; profiles of one device stay in order. */
const PROFILE_LATE_S = 0.5;

interface Sender { lastS: number; heardMs: number; hasEnded: boolean; releasedS: number }

const PROGRESS = "progress";

/** Only these wait for each other: what is measured depends on their order. */
function senderOf(message: Message): string | null {
  if (message.kind === "profile") return `profile ${message.device}`;
  return message.kind === "progress" || message.kind === "rework" ? PROGRESS : null;
}

export class Reorder {
  /** Profiles that came too late to be handed on: they are measured at the end of the run. */
  lateCount = 0;
  private held: Message[] = [];
  private late: Message[] = []; // where the nozzle is counts even late
  private isSorted = true;
  private releasedS = -Infinity;
  private readonly senders = new Map<string, Sender>();

  constructor(private readonly compare: (a: Message, b: Message) => number) {}

  /** Messages that wait. */
  get waiting(): number {
    return this.held.length + this.late.length;
  }

  add(message: Message, nowMs: number): void {
    const sender = senderOf(message);
    if (sender === null) return;
    const known = this.senders.get(sender), releasedS = known?.releasedS ?? -Infinity;
    this.senders.set(sender, { lastS: Math.max(message.tS, known?.lastS ?? -Infinity), heardMs: nowMs, hasEnded: message.kind === "progress" && message.event === "end", releasedS });
    if (message.tS < (message.kind === "profile" ? Math.max(releasedS, this.releasedS - PROFILE_LATE_S) : this.releasedS)) {
      if (message.kind === "profile") this.lateCount++;
      else this.late.push(message);
      return;
    }
    const last = this.held.at(-1);
    if (last !== undefined && this.compare(last, message) > 0) this.isSorted = false;
    this.held.push(message);
  }

  /** What may be handed on: everything up to the time that each sender which still speaks has reached. */
  release(nowMs: number): readonly Message[] {
    if (this.held.length + this.late.length === 0) return [];
    let untilS = Infinity;
    for (const [sender, { lastS, heardMs, hasEnded }] of this.senders) {
      if (!hasEnded && nowMs - heardMs < SILENT_MS) untilS = Math.min(untilS, sender === PROGRESS ? lastS + PROGRESS_LAG_S : lastS);
    }
    if (!this.isSorted) this.held.sort(this.compare);
    this.isSorted = true;
    let count = 0;
    while (count < this.held.length && (this.held[count] as Message).tS <= untilS) count++;
    const out = this.held.slice(0, count);
    this.held = this.held.slice(count);
    const { late } = this;
    for (const message of out) {
      const sender = this.senders.get(senderOf(message) ?? "");
      if (sender !== undefined) sender.releasedS = message.tS;
      this.releasedS = Math.max(this.releasedS, message.tS);
    }
    this.late = [];
    return [...late, ...out];
  }
}
