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

/** What came of a reading that was taken. */
export interface Taken extends Standing {
  /** It now stands. */
  readonly stands: boolean;
}

/** Judges readings as they come and keeps, station by station, the one that stands. */
export class StandingReadings {
  private readonly standing: (Standing | null)[][];
  private readonly limits: StationLimits[][];
  private readonly job: Job;
  private readonly rule: Rule;

  constructor(strands: readonly StrandStations[], job: Job) {
    this.job = job;
    this.standing = strands.map((s) => Array.from({ length: s.count }, () => null));
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

  judge(strand: StrandStations, station: number, reading: Reading): Judgement {
    if (!reading.good) return UNMEASURED;
    return judgeReading(reading, {
      widthMm: strand.widthMm[station] as number, heightMm: strand.heightMm[station] as number, areaMm2: strand.visibleAreaMm2[station] as number,
    }, this.limitsOf(strand, station), this.rule);
  }

  /** Takes a reading and says what it means and whether it now stands. */
  take(strand: StrandStations, station: number, reading: Reading, laidAtS: number): Taken {
    const judgement = this.judge(strand, station, reading);
    const ageS = reading.tS - laidAtS;
    const stands = reading.good && this.counts(judgement, ageS);
    if (stands) (this.standing[strand.index] as (Standing | null)[])[station] = { reading, judgement, ageS };
    return { reading, judgement, ageS, stands };
  }

  /** Paste was taken off: what stood is handed back and nothing stands. */
  clear(strand: StrandStations, station: number): Standing | null {
    const row = this.standing[strand.index] as (Standing | null)[];
    const before = row[station] ?? null;
    row[station] = null;
    return before;
  }

  /** With `judgeWithinS` a reading counts up to that age, or later where it shows the bead gone, lifted or displaced. */
  private counts(judgement: Judgement, ageS: number): boolean {
    const within = this.job.tolerance.judgeWithinS;
    if (within === null || !(ageS > within)) return true;
    return judgement.verdict === "gap" || judgement.verdict === "lifted" || judgement.verdict === "displaced";
  }
}
