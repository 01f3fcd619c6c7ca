/** A run measured again under other bands: what is asked, how far it is, and the results that a run then has. */
import type { ImportProblem } from "./importState.ts";

/** `bands`: changed keys of the job's tolerance and acceptance (model/otherBands.ts). */
export interface RecomputeAsk { readonly bands: unknown; readonly reason: string }

/** What is known of the latest recompute of a run. */
export interface RecomputeState {
  /** `waiting`: another run is being measured again first. */
  readonly step: "waiting" | "measuring" | "done" | "failed";
  readonly messageCount: number;
  /** Up to where the recording is measured, reference clock, s; null: not begun. */
  readonly untilS: number | null;
  /** Once it is done. */
  readonly resultId: string | null;
  /** Why it failed; null: it did not, or by a fault of the program. */
  readonly problem: ImportProblem | null;
}

/** One result of a run. */
export interface ResultLine {
  readonly resultId: string;
  /** ISO 8601, UTC. */
  readonly computedAt: string;
  /** null: the run's own result. */
  readonly recompute: { readonly computedBy: string; readonly reason: string } | null;
  /** Its sentence. */
  readonly headline: string;
}

/** The bands that people change most, as texts of a form; "" where the job leaves a limit to follow the planned bead. */
export interface BandTexts {
  readonly areaRatioWatchLow: string; readonly areaRatioWatchHigh: string; readonly areaRatioActLow: string; readonly areaRatioActHigh: string;
  readonly widthWatchMm: string; readonly widthActMm: string;
  readonly heightWatchMm: string; readonly heightActMm: string;
  readonly offsetWatchMm: string; readonly offsetActMm: string;
  readonly gapRatio: string;
  /** K of "guarded-K". */
  readonly guard: string;
}
