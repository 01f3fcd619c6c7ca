/** Follows a live print beside its measuring: the nozzle, what must have been seen, and the first sign of no paste. Messages and readings in; pure. */
import type { Job } from "../model/job.ts";
import type { EarlyWord, LayerSeen, LiveFacts, NozzleFacts, UnseenStrand } from "../model/liveFacts.ts";
import type { ProgressMessage } from "../model/messages.ts";
import type { Plan } from "../model/plan.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import { sightDue, type SightDue } from "./sightDue.ts";

/** A strand is told as not seen once the nozzle is this far beyond the place where it must have been, mm of path. */
const OVERDUE_MM = 3;
/** So many stations in a row without paste are said before they are a finding. */
const EARLY_STATIONS = 2;
/** Arc lengths of progress may fall short of a station by rounding, mm. */
const PLACE_MM = 1e-3;

interface Times { readonly timeS: number; readonly beforeMm: number }

export class PrintFacts {
  private readonly times: readonly Times[];
  private readonly firstOf: readonly number[];
  private readonly due: SightDue;
  private readonly laid: Uint8Array; // Uint8Array[station], 1 = laid
  private readonly seen: Uint8Array; // Uint8Array[station], 1 = a reading stands
  private readonly ratio: Float32Array; // Float32Array[station], area ratio of the reading that stands
  private readonly furthest: Int32Array; // Int32Array[strand], furthest station that was seen, −1: none
  private at: { readonly strand: StrandStations; readonly message: ProgressMessage } | null = null;

  constructor(plan: Plan, private readonly stations: StationPlan, private readonly job: Job) {
    let beforeMm = 0, first = 0;
    const firstOf: number[] = [];
    this.times = stations.strands.map(({ lengthMm, count }, which) => {
      const times = { timeS: layingS(plan.strands[which] as Plan["strands"][number]), beforeMm };
      firstOf.push(first);
      first += count;
      beforeMm += lengthMm;
      return times;
    });
    this.firstOf = firstOf;
    this.due = sightDue(plan, stations, job);
    [this.laid, this.seen, this.ratio] = [new Uint8Array(first), new Uint8Array(first), new Float32Array(first)];
    this.furthest = new Int32Array(stations.strands.length).fill(-1);
  }

  progress(message: ProgressMessage): void {
    const strand = this.strandOf(message);
    if (strand === undefined) return;
    this.at = { strand, message };
    const first = this.firstOf[strand.index] as number;
    for (let i = 0; i < strand.count && (strand.sMm[i] as number) <= message.sMm + PLACE_MM; i++) this.laid[first + i] = 1;
  }

  /** A reading stands at a station. */
  reading({ index, sMm }: StrandStations, station: number, areaRatio: number): void {
    const at = (this.firstOf[index] as number) + station;
    if (this.seen[at] === 0 && this.at !== null) this.due.learn((this.times[index] as Times).beforeMm + (sMm[station] as number), this.nozzleMm);
    this.seen[at] = 1;
    this.ratio[at] = areaRatio;
    this.furthest[index] = Math.max(this.furthest[index] as number, station);
  }

  /** What lay there was taken off: nothing is laid and nothing seen. */
  takenOff({ index, sMm, count }: StrandStations, fromMm: number, toMm: number): void {
    const first = this.firstOf[index] as number;
    let furthest = -1;
    for (let i = 0; i < count; i++) {
      if ((sMm[i] as number) >= fromMm - PLACE_MM && (sMm[i] as number) <= toMm + PLACE_MM) this.laid[first + i] = this.seen[first + i] = 0;
      else if (this.seen[first + i] === 1) furthest = i;
    }
    this.furthest[index] = furthest;
  }

  get facts(): LiveFacts {
    return { nozzle: this.nozzle, layers: this.layers, unseen: this.unseen, early: this.early };
  }

  private strandOf({ layer, strand }: { readonly layer: number; readonly strand: number }): StrandStations | undefined {
    return this.stations.strands.find((each) => each.layer === layer && each.strand === strand);
  }

  /** Path laid until where the nozzle is, in the order of the plan, mm. */
  private get nozzleMm(): number {
    return this.at === null ? 0 : (this.times[this.at.strand.index] as Times).beforeMm + this.at.message.sMm;
  }

  private get nozzle(): NozzleFacts | null {
    if (this.at === null) return null;
    const { strand: on, message: { strand, sMm, tS, event } } = this.at, { index, layer, lengthMm } = on, furthest = this.furthest[index] as number;
    const later = this.stations.strands.slice(index + 1), next = later.find((each) => !this.isLaid(each)), toStrandEndS = this.openS(on, sMm), laterS = later.map((each) => ({ layer: each.layer, timeS: this.openS(each, 0) }));
    const sumS = (times: readonly { readonly timeS: number }[]): number => times.reduce((sum, { timeS }) => sum + timeS, toStrandEndS);
    return {
      layer, strand, sMm, tS, isLaying: event !== "end", lengthMm, laidToMm: this.laidTo(on, sMm), isLastOfLayer: next?.layer !== layer,
      next: next === undefined ? null : { layer: next.layer, strand: next.strand, sMm: this.laidTo(next, 0) },
      toStrandEndS, toLayerEndS: sumS(laterS.filter((each) => each.layer === layer)), toPlanEndS: sumS(laterS),
      behindMm: furthest < 0 ? null : Math.max(0, sMm - (on.sMm[furthest] as number)),
    };
  }

  /** Whether it is laid up to its end, which may fall short by rounding. What was taken off of it is seen to by itself. */
  private isLaid({ index, count }: StrandStations): boolean {
    return this.laid[(this.firstOf[index] as number) + Math.max(0, count - 2)] === 1;
  }

  /** How far paste lies without a gap from a place on, mm. */
  private laidTo({ index, sMm, count }: StrandStations, fromMm: number): number {
    const first = this.firstOf[index] as number;
    let i = 0;
    while (i < count && ((sMm[i] as number) <= fromMm + PLACE_MM || this.laid[first + i] === 1)) i++;
    return Math.max(fromMm, sMm[i - 1] as number);
  }

  /** Laying what is not laid of a strand from a place on, at its planned speed, s. */
  private openS({ index, sMm, count, lengthMm }: StrandStations, fromMm: number): number {
    const first = this.firstOf[index] as number;
    let openMm = 0;
    for (let i = 1; i < count; i++) if (this.laid[first + i] === 0) openMm += Math.max(0, (sMm[i] as number) - Math.max(fromMm, sMm[i - 1] as number));
    return (this.times[index] as Times).timeS * openMm / lengthMm;
  }

  private isDue(strand: StrandStations, i: number, nozzleMm: number): boolean {
    const station = (this.firstOf[strand.index] as number) + i;
    return this.due.dueMm(station, (this.times[strand.index] as Times).beforeMm + (strand.sMm[i] as number)) <= nozzleMm;
  }

  private get layers(): LayerSeen[] {
    const counts = new Map<number, { laidCount: number; dueCount: number; seenCount: number }>(), { nozzleMm } = this;
    for (const strand of this.stations.strands) {
      const first = this.firstOf[strand.index] as number;
      let count = counts.get(strand.layer);
      for (let i = 0; i < strand.count; i++) {
        if (this.laid[first + i] === 0) continue;
        if (count === undefined) counts.set(strand.layer, count = { laidCount: 0, dueCount: 0, seenCount: 0 });
        count.laidCount++;
        if (this.seen[first + i] === 1) [count.dueCount, count.seenCount] = [count.dueCount + 1, count.seenCount + 1];
        else if (this.isDue(strand, i, nozzleMm)) count.dueCount++;
      }
    }
    // a layer of which nothing was seen when a later one is begun: when its stations had to be seen is not known, and nobody has seen it
    const on = this.at?.strand.layer ?? 0;
    return [...counts].map(([layer, count]) => ({ layer, ...count, dueCount: layer < on && count.seenCount === 0 ? count.laidCount : count.dueCount }));
  }

  private get unseen(): UnseenStrand | null {
    if (this.at === null || this.at.message.event === "end") return null;
    const { strand } = this.at, first = this.firstOf[strand.index] as number, from = (this.furthest[strand.index] as number) + 1, { nozzleMm } = this;
    for (let i = from; i < strand.count; i++) {
      if (this.laid[first + i] === 0) return null;
      const overdueMm = nozzleMm - this.due.dueMm(first + i, (this.times[strand.index] as Times).beforeMm + (strand.sMm[i] as number));
      if (overdueMm >= OVERDUE_MM) return { layer: strand.layer, strand: strand.strand, overdueMm };
    }
    return null;
  }

  /** At the furthest station seen of the strand that is being laid, back as far as there is no paste. */
  private get early(): EarlyWord | null {
    if (this.at === null) return null;
    const { strand } = this.at, first = this.firstOf[strand.index] as number, { gapRatio } = this.job.tolerance, last = this.furthest[strand.index] as number;
    let from = last + 1;
    while (from > 0 && this.seen[first + from - 1] === 1 && (this.ratio[first + from - 1] as number) < gapRatio) from--;
    return last - from + 1 < EARLY_STATIONS ? null : { layer: strand.layer, strand: strand.strand, fromMm: strand.sMm[from] as number, toMm: strand.sMm[last] as number };
  }
}

/** Laying a strand at its planned speeds, s. */
function layingS({ arcMm, speedMmS, pointCount }: Plan["strands"][number]): number {
  let timeS = 0;
  for (let i = 1; i < pointCount; i++) timeS += ((arcMm[i] as number) - (arcMm[i - 1] as number)) / (speedMmS[i - 1] as number);
  return timeS;
}
