import type { ProgressMessage } from "../model/messages.ts";
import type { StrandStations } from "../model/stations.ts";

/** s counts as passed from a thousandth of a millimetre before it. */
const PASSED_MM = 0.001;

/** What has been laid of one strand, and when. */
export class LaidStrand {
  readonly strand: StrandStations;
  /** Reference time at which each station was passed; NaN: not laid, or laid without progress. */
  readonly laidAtS: Float64Array; // Float64Array[station]
  readonly laid: Uint8Array; // Uint8Array[station], 1 = paste was laid there and not taken off since
  readonly removed: Uint8Array; // Uint8Array[station], 1 = taken off and not laid again
  readonly attempt: Uint8Array; // Uint8Array[station], counted from 1
  /** Laid stretches, mm. */
  private stretches: [number, number][] = [];
  /** Stretches taken off and not begun again, mm. */
  private holes: [number, number][] = [];
  private from = Number.NaN;
  private lastS = Number.NaN;
  private lastT = Number.NaN;

  constructor(strand: StrandStations) {
    this.strand = strand;
    this.laidAtS = new Float64Array(strand.count).fill(Number.NaN);
    this.laid = new Uint8Array(strand.count);
    this.removed = new Uint8Array(strand.count);
    this.attempt = new Uint8Array(strand.count).fill(1);
  }

  get any(): boolean { return this.stretches.length > 0; }

  isLaid(sMm: number): boolean {
    for (const [from, to] of this.stretches) if (sMm >= from - PASSED_MM && sMm <= to + PASSED_MM) return true;
    return false;
  }

  /** Whether all of [fromMm, toMm] was laid at one go. */
  isLaidWhole(fromMm: number, toMm: number): boolean {
    for (const [from, to] of this.stretches) if (fromMm >= from - PASSED_MM && toMm <= to + PASSED_MM) return true;
    return false;
  }

  /** The whole strand at once, at no known time. */
  layWhole(): void {
    this.stretches = [[0, this.strand.lengthMm]];
    this.laid.fill(1);
  }

  /** Takes one progress row; returns the stretch [from, to] that it added, null for none. */
  progress(message: ProgressMessage): [number, number] | null {
    if (message.event === "start" || this.from !== this.from) {
      this.from = message.event === "start" ? message.sMm : 0;
      this.lastS = this.from;
      this.lastT = message.tS;
      this.stretches.push([this.from, this.from]);
      this.stamp(this.from, this.from, message.tS, message.tS);
    }
    if (message.sMm <= this.lastS) {
      this.lastT = message.tS;
      return null;
    }
    const added: [number, number] = [this.lastS, message.sMm];
    this.stamp(this.lastS, message.sMm, this.lastT, message.tS);
    (this.stretches[this.stretches.length - 1] as [number, number])[1] = message.sMm;
    this.lastS = message.sMm;
    this.lastT = message.tS;
    return added;
  }

  /** Stations passed between two progress rows, their times interpolated. */
  private stamp(s0: number, s1: number, t0: number, t1: number): void {
    for (let i = 0; i < this.strand.count; i++) {
      const s = this.strand.sMm[i] as number;
      if (s < s0 - PASSED_MM) continue;
      if (s > s1 + PASSED_MM) break;
      if (this.laid[i] === 1) continue;
      this.laid[i] = 1;
      if (this.removed[i] === 1) {
        this.removed[i] = 0;
        this.attempt[i] = (this.attempt[i] as number) + 1;
      }
      this.laidAtS[i] = s1 > s0 ? t0 + (t1 - t0) * Math.max(0, Math.min(1, (s - s0) / (s1 - s0))) : t1;
    }
  }

  /** The stretches taken off that end beyond arc length s; they are handed out once, when they are laid again. */
  takeHoles(sMm: number): readonly [number, number][] {
    const taken = this.holes.filter(([, to]) => to > sMm);
    this.holes = this.holes.filter(([, to]) => !(to > sMm));
    return taken;
  }

  /** A stretch was taken off again; returns the stations concerned. */
  remove(fromMm: number, toMm: number): number[] {
    this.holes.push([fromMm, toMm]);
    this.stretches = this.stretches.flatMap(([a, b]): [number, number][] => {
      if (b <= fromMm || a >= toMm) return [[a, b]];
      const left: [number, number][] = a < fromMm ? [[a, fromMm - 2 * PASSED_MM]] : [];
      return b > toMm ? [...left, [toMm + 2 * PASSED_MM, b]] : left;
    });
    const gone: number[] = [];
    for (let i = 0; i < this.strand.count; i++) {
      const s = this.strand.sMm[i] as number;
      if (s < fromMm - PASSED_MM || s > toMm + PASSED_MM || this.laid[i] !== 1) continue;
      this.laid[i] = 0;
      this.removed[i] = 1;
      this.laidAtS[i] = Number.NaN;
      gone.push(i);
    }
    return gone;
  }
}
