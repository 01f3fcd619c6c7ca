import { guardOf, limitsAt } from "../judge/bands.ts";
import { judgeReading, UNMEASURED, type Judgement, type Rule } from "../judge/verdict.ts";
import type { Job } from "../model/job.ts";
import type { Reading } from "../model/reading.ts";
import type { StationLimits } from "../model/result.ts";
import type { StrandStations } from "../model/stations.ts";

/** The reading that stands at one station, what it means, and what was read before it. */
export interface Standing {
  readonly reading: Reading;
  readonly judgement: Judgement;
  /** Seconds from laying to the reading; NaN without progress. */
  readonly ageS: number;
}

/** Earlier readings kept of one station. */
const KEPT_READINGS = 8;

/** Judges readings as they come and keeps, station by station, the one that stands and the last few before it. */
export class StandingReadings {
  private readonly standing: (Standing | null)[][];
  private readonly earlier: Reading[][][];
  private readonly limits: StationLimits[][];
  private readonly job: Job;
  private readonly rule: Rule;

  constructor(strands: readonly StrandStations[], job: Job) {
    this.job = job;
    this.standing = strands.map((s) => Array.from({ length: s.count }, () => null));
    this.earlier = strands.map((s) => Array.from({ length: s.count }, () => []));
    this.limits = strands.map((s) => Array.from({ length: s.count }, (_, i) => limitsAt(job.tolerance, s.widthMm[i] as number, s.heightMm[i] as number)));
    const translucent = job.material.translucent && job.devices.some((d) => d.kind === "profiler" && d.surfaceBiasMm === null);
    this.rule = { guard: guardOf(job.tolerance.decisionRule), mayBeGood: !translucent };
  }

  limitsOf(strand: StrandStations, station: number): StationLimits {
    return this.limits[strand.index]?.[station] as StationLimits;
  }

  of(strand: StrandStations, station: number): Standing | null {
    return this.standing[strand.index]?.[station] ?? null;
  }

  /** Readings of a station before the one that stands, oldest first, the last eight of them. */
  before(strand: StrandStations, station: number): readonly Reading[] {
    return this.earlier[strand.index]?.[station] ?? [];
  }

  judge(strand: StrandStations, station: number, reading: Reading): Judgement {
    if (!reading.good) return UNMEASURED;
    return judgeReading(reading, {
      widthMm: strand.widthMm[station] as number, heightMm: strand.heightMm[station] as number, areaMm2: strand.visibleAreaMm2[station] as number,
    }, this.limitsOf(strand, station), this.rule);
  }

  /** Takes a reading; true where it now stands. */
  take(strand: StrandStations, station: number, reading: Reading, laidAtS: number): boolean {
    const judgement = this.judge(strand, station, reading);
    const ageS = reading.tS - laidAtS;
    const row = this.standing[strand.index] as (Standing | null)[];
    if (!reading.good || !this.counts(judgement, ageS)) {
      this.keep(strand, station, reading);
      return false;
    }
    const before = row[station];
    if (before != null) this.keep(strand, station, before.reading);
    row[station] = { reading, judgement, ageS };
    return true;
  }

  /** Paste was taken off: what stood is handed back and nothing stands. */
  clear(strand: StrandStations, station: number): Standing | null {
    const row = this.standing[strand.index] as (Standing | null)[];
    const before = row[station] ?? null;
    row[station] = null;
    (this.earlier[strand.index] as Reading[][])[station] = [];
    return before;
  }

  /** With `judgeWithinS` a reading counts up to that age, or later where it shows the bead gone, lifted or displaced. */
  private counts(judgement: Judgement, ageS: number): boolean {
    const within = this.job.tolerance.judgeWithinS;
    if (within === null || !(ageS > within)) return true;
    return judgement.verdict === "gap" || judgement.verdict === "lifted" || judgement.verdict === "displaced";
  }

  private keep(strand: StrandStations, station: number, reading: Reading): void {
    const list = (this.earlier[strand.index] as Reading[][])[station] as Reading[];
    list.push(reading);
    if (list.length > KEPT_READINGS) list.shift();
  }
}
