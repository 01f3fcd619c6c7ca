import { CONTRIBUTIONS, type Contribution } from "../model/reading.ts";

/** Which contributions enter an uncertainty; all of them outside tests. */
export type ContributionSwitch = Readonly<Record<Contribution, boolean>>;

export const ALL_CONTRIBUTIONS: ContributionSwitch = Object.fromEntries(CONTRIBUTIONS.map((c) => [c, true])) as Record<Contribution, boolean>;

/** A profile's plane may stand this far from square across the strand: cos 45°. */
export const SQUARE_COS = Math.SQRT1_2;
/** Less of the window than this returned light: no reading. */
export const MIN_COVERAGE = 0.6;
/** A support deeper than this share of the height below the planned base is a hollow. */
export const HOLLOW_SHARE = 0.25;
/** Scale error of a line profiler's height and lateral scales, one standard uncertainty (common practice, no source). */
export const SCALE_U = 0.0005;

/** Two crossings of one pass lie at most this far apart on the surface. */
export function passGapMm(spacingMm: number): number {
  return Math.max(1, 2 * spacingMm);
}
