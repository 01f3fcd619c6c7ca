/**
 * What of a run is kept already, by the identity of each message: profiles (device, seq), progress, rework and marks of paste the whole row, poses (device,
 * from, to, tS), signals (name, tS), frames (device, file). Small for runs of hours, and quick whatever the order: whole numbers as bits, times sorted in blocks.
 */
import type { Message, ProfileMessage } from "../model/messages.ts";

/** Whole numbers of a bucket, and the words that their bits take. */
const BUCKET = 1024, WORDS = BUCKET / 32;
/** A bucket that holds all of its numbers. */
const FULL = new Uint32Array(0);

/** Whole numbers from 0, most of them one after another: bits in buckets, of which the full ones cost nothing. */
export class RangeSet {
  private readonly buckets = new Map<number, Uint32Array>(); // number / BUCKET → Uint32Array[WORDS of bits, how many are set]

  /** `bounds` as the other's are. */
  constructor(bounds: readonly number[] = []) {
    for (let i = 0; i < bounds.length; i += 2) for (let value = bounds[i] as number; value <= (bounds[i + 1] as number); value++) this.add(value);
  }

  has(value: number): boolean {
    const bits = this.buckets.get(Math.floor(value / BUCKET));
    return bits !== undefined && (bits === FULL || isSet(bits, value % BUCKET));
  }

  add(value: number): void {
    if (this.has(value)) return;
    const bucket = Math.floor(value / BUCKET), bit = value % BUCKET, bits = entryOf(this.buckets, bucket, () => new Uint32Array(WORDS + 1));
    bits[bit >> 5] = (bits[bit >> 5] as number) | (1 << (bit & 31));
    const count = bits[WORDS] = (bits[WORDS] as number) + 1;
    if (count === BUCKET) this.buckets.set(bucket, FULL);
  }

  /** The numbers as ranges in order: [from0, to0, from1, to1, …], both ends inside. */
  get bounds(): number[] {
    const out: number[] = [];
    const take = (from: number, to: number): void => {
      if (out.length > 0 && out[out.length - 1] === from - 1) out[out.length - 1] = to;
      else out.push(from, to);
    };
    for (const [bucket, bits] of [...this.buckets].sort(([a], [b]) => a - b)) {
      if (bits === FULL) take(bucket * BUCKET, bucket * BUCKET + BUCKET - 1);
      else for (let bit = 0; bit < BUCKET; bit++) if (isSet(bits, bit)) take(bucket * BUCKET + bit, bucket * BUCKET + bit);
    }
    return out;
  }
}

function isSet(bits: Uint32Array, bit: number): boolean {
  return ((bits[bit >> 5] as number) & (1 << (bit & 31))) !== 0;
}

/** Times of a block at most. */
const BLOCK = 2048;

/** Times in order, in blocks: most come at the end, and one that does not moves a block and not all of them. */
export class TimeSet {
  private readonly blocks: number[][]; // each of 1 to BLOCK times

  /** `times` in order. */
  constructor(times: readonly number[] = []) {
    this.blocks = Array.from({ length: Math.ceil(times.length / BLOCK) }, (_, i) => times.slice(i * BLOCK, (i + 1) * BLOCK));
  }

  get list(): number[] {
    return this.blocks.flat();
  }

  /** The block that a time belongs into: the first that ends at or after it, else the last. */
  private blockOf(tS: number): number {
    return firstWhere(this.blocks.length - 1, (i) => ((this.blocks[i] as number[]).at(-1) as number) >= tS);
  }

  has(tS: number): boolean {
    const block = this.blocks[this.blockOf(tS)] ?? [];
    return block[firstWhere(block.length, (i) => (block[i] as number) >= tS)] === tS;
  }

  add(tS: number): void {
    if (this.has(tS)) return;
    const at = Math.max(0, this.blockOf(tS)), block = this.blocks[at] ??= [];
    block.splice(firstWhere(block.length, (i) => (block[i] as number) >= tS), 0, tS);
    if (block.length > BLOCK) this.blocks.splice(at + 1, 0, block.splice(at === this.blocks.length - 1 ? BLOCK : BLOCK / 2));
  }
}

/** The first i from 0 on that `isThere` holds for, which then holds for all after it; `count` where it holds for none before. */
function firstWhere(count: number, isThere: (i: number) => boolean): number {
  let low = 0, high = count;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (isThere(middle)) high = middle;
    else low = middle + 1;
  }
  return low;
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
    case "pasteMark": return { set: "rows", key: JSON.stringify(["pasteMark", message.tS, message.device, message.file, message.rectPx, message.who]) };
  }
}

function entryOf<K, T>(map: Map<K, T>, key: K, make: () => T): T {
  let found = map.get(key);
  if (found === undefined) map.set(key, found = make());
  return found;
}
