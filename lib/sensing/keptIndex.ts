/**
 * What of a run is kept already, by the identity of each message: profiles (device, seq), progress and rework the whole row, poses (device,
 * from, to, tS), signals (name, tS), frames (device, file). Small for runs of hours: whole numbers as ranges, times as sorted float64.
 */
import type { Message, ProfileMessage } from "../model/messages.ts";

/** Whole numbers as ranges [from, to], in order. */
export class RangeSet {
  readonly bounds: number[] = []; // [from0, to0, from1, to1, …]

  constructor(bounds: readonly number[] = []) {
    this.bounds.push(...bounds);
  }

  /** Index of the first range that ends at or after `value`. */
  private find(value: number): number {
    const { bounds } = this;
    let low = 0, high = bounds.length / 2;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((bounds[2 * middle + 1] as number) < value) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  has(value: number): boolean {
    const at = 2 * this.find(value);
    return at < this.bounds.length && (this.bounds[at] as number) <= value;
  }

  add(value: number): void {
    if (this.has(value)) return;
    const { bounds } = this, at = 2 * this.find(value);
    const joinsBefore = at > 0 && bounds[at - 1] === value - 1, joinsAfter = at < bounds.length && bounds[at] === value + 1;
    if (joinsBefore && joinsAfter) bounds.splice(at - 1, 2);
    else if (joinsBefore) bounds[at - 1] = value;
    else if (joinsAfter) bounds[at] = value;
    else bounds.splice(at, 0, value, value);
  }
}

/** Times in order; most come at the end. */
export class TimeSet {
  private times: Float64Array; // Float64Array[count ≤ length]
  private count: number;

  constructor(times: readonly number[] = []) {
    this.times = times.length === 0 ? new Float64Array(16) : Float64Array.from(times);
    this.count = times.length;
  }

  get list(): number[] {
    return [...this.times.subarray(0, this.count)];
  }

  /** Index of the first time that is not before `tS`. */
  private find(tS: number): number {
    let low = 0, high = this.count;
    if (high > 0 && (this.times[high - 1] as number) < tS) return high;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((this.times[middle] as number) < tS) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  has(tS: number): boolean {
    const at = this.find(tS);
    return at < this.count && this.times[at] === tS;
  }

  add(tS: number): void {
    if (this.has(tS)) return;
    const at = this.find(tS);
    if (this.count === this.times.length) {
      const more = new Float64Array(2 * this.count);
      more.set(this.times);
      this.times = more;
    }
    this.times.copyWithin(at + 1, at, this.count);
    this.times[at] = tS;
    this.count++;
  }
}

interface Saved { readonly seqs: Record<string, number[]>; readonly times: Record<string, number[]>; readonly rows: readonly string[] }

export class KeptIndex {
  private readonly seqs = new Map<string, RangeSet>();
  private readonly times = new Map<string, TimeSet>();
  private readonly rows = new Set<string>();

  /** Whether one of the same identity is kept. */
  has(message: Message): boolean {
    const { set, key } = placeOf(message);
    if (set === "seqs") return this.seqs.get(key)?.has((message as ProfileMessage).seq) ?? false;
    return set === "times" ? this.times.get(key)?.has(message.tS) ?? false : this.rows.has(key);
  }

  add(message: Message): void {
    const { set, key } = placeOf(message);
    if (set === "seqs") entryOf(this.seqs, key, () => new RangeSet()).add((message as ProfileMessage).seq);
    else if (set === "times") entryOf(this.times, key, () => new TimeSet()).add(message.tS);
    else this.rows.add(key);
  }

  /** As text, for a run that is over; `restored` reads it. */
  saved(): string {
    const all = <T>(map: ReadonlyMap<string, T>, of: (value: T) => number[]): Record<string, number[]> => Object.fromEntries([...map].map(([key, value]) => [key, of(value)]));
    return JSON.stringify({ seqs: all(this.seqs, (set) => set.bounds), times: all(this.times, (set) => set.list), rows: [...this.rows] } satisfies Saved);
  }

  static restored(text: string): KeptIndex {
    const { seqs, times, rows } = JSON.parse(text) as Saved, index = new KeptIndex();
    for (const [key, bounds] of Object.entries(seqs)) index.seqs.set(key, new RangeSet(bounds));
    for (const [key, list] of Object.entries(times)) index.times.set(key, new TimeSet(list));
    for (const row of rows) index.rows.add(row);
    return index;
  }
}

/** Which set a message belongs to, and under which key. */
function placeOf(message: Message): { readonly set: "seqs" | "times" | "rows"; readonly key: string } {
  switch (message.kind) {
    case "profile": return { set: "seqs", key: message.device };
    case "pose": return { set: "times", key: JSON.stringify(["pose", message.device, message.from, message.to]) };
    case "signal": return { set: "times", key: JSON.stringify(["signal", message.name]) };
    case "frame": return { set: "rows", key: JSON.stringify(["frame", message.device, message.file]) };
    case "progress": return { set: "rows", key: JSON.stringify(["progress", message.tS, message.layer, message.strand, message.sMm, message.event]) };
    case "rework": return { set: "rows", key: JSON.stringify(["rework", message.tS, message.layer, message.strand, message.fromMm, message.toMm, message.who, message.reason]) };
  }
}

function entryOf<T>(map: Map<string, T>, key: string, make: () => T): T {
  let found = map.get(key);
  if (found === undefined) map.set(key, found = make());
  return found;
}
