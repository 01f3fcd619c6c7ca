/**
 * From which path of laying on each station must have been seen. Where profilers are mounted on the tool, the plan tells (a return strand's detour with
 * it); else the print itself does: what has been seen so far came into view so and so much later.
 */
import type { Job } from "../model/job.ts";
import type { Plan } from "../model/plan.ts";
import type { StationPlan } from "../model/stations.ts";
import { makeGround } from "../plan/preflightGround.ts";
import { findSight, mountedProfilers } from "../plan/preflightSight.ts";

/** Sight is looked for in plans up to this size: it takes a second at most. */
const MOST_STATIONS = 20_000;
/** What is in view by the plan must have been seen this much later, mm of path: a pass is whole only when the next profile has come. */
const PLANNED_SLACK_MM = 2;
/** Learned lags: of so many newest stations, from so many on; what 95 % of them kept to, half as much again, and 2 mm. */
const LEARNED_MOST = 256, LEARNED_LEAST = 24, LEARNED_SHARE = 0.95, LEARNED_FACTOR = 1.5, LEARNED_SLACK_MM = 2;
/** Before enough was learned, mm of path: a profiler that is carried along sees within this (common practice, no source). */
const UNLEARNED_MM = 30;

export interface SightDue {
  /** Path of laying from which on the station must have been seen, mm; NaN: never. `pathMm`: that at which it is laid. */
  dueMm(station: number, pathMm: number): number;
  /** A station that was laid at path `pathMm` was seen when the nozzle was at `nozzleMm`. */
  learn(pathMm: number, nozzleMm: number): void;
}

export function sightDue(plan: Plan, stations: StationPlan, job: Job): SightDue {
  const mounted = mountedProfilers(job);
  if (mounted.length === 0 || stations.stationCount > MOST_STATIONS) return new LearnedSight();
  const { pathMm } = findSight(makeGround(plan, stations), mounted);
  return { dueMm: (station) => (pathMm[station] as number) + PLANNED_SLACK_MM, learn: () => undefined };
}

class LearnedSight implements SightDue {
  private readonly lagsMm: number[] = [];
  private lagMm = UNLEARNED_MM;
  private count = 0;

  dueMm(_station: number, pathMm: number): number {
    return pathMm + this.lagMm;
  }

  learn(pathMm: number, nozzleMm: number): void {
    this.lagsMm[this.count++ % LEARNED_MOST] = Math.max(0, nozzleMm - pathMm);
    if (this.count < LEARNED_LEAST || this.count % LEARNED_LEAST !== 0) return;
    const sorted = this.lagsMm.toSorted((a, b) => a - b);
    this.lagMm = LEARNED_FACTOR * (sorted[Math.floor(LEARNED_SHARE * (sorted.length - 1))] as number) + LEARNED_SLACK_MM;
  }
}
