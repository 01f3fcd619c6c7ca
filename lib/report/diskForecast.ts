/** How much room a print will take on the disk, before anything has come. A plan says how long laying takes and not how often a profiler looks: that is assumed, and said. */
import { sizeWords } from "../base/sizeWords.ts";
import { wholeNumber } from "./words.ts";

/** Assumed for every profiler of the job. */
export const PROFILES_A_SECOND = 500;
const POINT_BYTES = 4;
/** Of a profile beside its heights: stamp, number, pose, and the frame around it. */
const PROFILE_BYTES = 88;

export interface DiskNeed {
  /** Points of each profiler. */
  readonly profilerPoints: readonly number[];
  readonly layingTimeS: number;
  readonly freeBytes: number;
}

export interface DiskForecast {
  readonly bytes: number;
  /** The end of a run writes all of it a second time before the first is given up: so much has to be free, bytes. */
  readonly peakBytes: number;
  readonly isEnough: boolean;
  readonly sentence: string;
  readonly assumption: string;
}

export function diskForecast({ profilerPoints, layingTimeS, freeBytes }: DiskNeed): DiskForecast {
  const profileCount = Math.ceil(layingTimeS * PROFILES_A_SECOND);
  const bytes = profilerPoints.reduce((sum, points) => sum + profileCount * (points * POINT_BYTES + PROFILE_BYTES), 0), peakBytes = 2 * bytes;
  const isEnough = peakBytes <= freeBytes;
  const sentence = profilerPoints.length === 0 ? `The job names no profiler; ${sizeWords(freeBytes)} are free.`
    : `About ${sizeWords(bytes)} of profiles are expected, and as much again for a while at the run’s end; ${sizeWords(freeBytes)} are free${isEnough ? "" : ": that is not enough"}.`;
  return {
    bytes, peakBytes, isEnough, sentence,
    assumption: `Assumed: ${PROFILES_A_SECOND} profiles a second over ${wholeNumber(Math.ceil(layingTimeS))} s of laying alone, ${profilerPoints.length === 0 ? "no points" : `${profilerPoints.map(wholeNumber).join(" and ")} points`} of ${POINT_BYTES} bytes and ${PROFILE_BYTES} more each. Moves between strands, poses, signals and frames come on top.`,
  };
}
