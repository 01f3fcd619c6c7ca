/** Puts messages of several senders, each nearly in order, into the order of time while they arrive. Pure: the time of arrival is passed in. */
import type { Message } from "../model/messages.ts";

/** A sender that has been silent for so long does not hold the others up, ms. */
const SILENT_MS = 150;

interface Sender { lastS: number; heardMs: number }

/** Only these wait for each other: what is measured depends on their order. */
function senderOf(message: Message): string | null {
  if (message.kind === "profile") return `profile ${message.device}`;
  return message.kind === "progress" || message.kind === "rework" ? "progress" : null;
}

export class Reorder {
  /** Messages that came after a later one had been handed on: they are kept, and measured at the end of the run. */
  lateCount = 0;
  private held: Message[] = [];
  private isSorted = true;
  private releasedS = -Infinity;
  private readonly senders = new Map<string, Sender>();

  constructor(private readonly compare: (a: Message, b: Message) => number) {}

  /** Messages that wait. */
  get waiting(): number {
    return this.held.length;
  }

  add(message: Message, nowMs: number): void {
    const sender = senderOf(message);
    if (sender === null) return;
    const known = this.senders.get(sender);
    if (known === undefined) this.senders.set(sender, { lastS: message.tS, heardMs: nowMs });
    else {
      known.lastS = Math.max(known.lastS, message.tS);
      known.heardMs = nowMs;
    }
    if (message.tS < this.releasedS) {
      this.lateCount++;
      return;
    }
    const last = this.held.at(-1);
    if (last !== undefined && this.compare(last, message) > 0) this.isSorted = false;
    this.held.push(message);
  }

  /** What may be handed on: everything up to the time that each sender which still speaks has reached. */
  release(nowMs: number): readonly Message[] {
    if (this.held.length === 0) return [];
    const speaking = [...this.senders.values()].filter(({ heardMs }) => nowMs - heardMs < SILENT_MS);
    const untilS = speaking.length === 0 ? Infinity : Math.min(...speaking.map(({ lastS }) => lastS));
    if (!this.isSorted) this.held.sort(this.compare);
    this.isSorted = true;
    let count = 0;
    while (count < this.held.length && (this.held[count] as Message).tS <= untilS) count++;
    const out = this.held.slice(0, count);
    this.held = this.held.slice(count);
    const last = out.at(-1);
    if (last !== undefined) this.releasedS = last.tS;
    return out;
  }
}
