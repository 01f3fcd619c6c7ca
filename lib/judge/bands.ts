import type { Tolerance } from "../model/job.ts";
import type { StationLimits, StretchKind } from "../model/result.ts";

/** A station's own limits: what the job states, else what follows its planned bead (w, h). */
export function limitsAt(tolerance: Tolerance, widthMm: number, heightMm: number): StationLimits {
  const w = widthMm, h = heightMm;
  return {
    areaRatio: tolerance.areaRatio,
    widthMm: tolerance.widthMm ?? { watch: [-0.1 * w, 0.1 * w], act: [-0.2 * w, 0.2 * w] },
    heightMm: tolerance.heightMm ?? { watch: [-0.12 * h, 0.12 * h], act: [-0.24 * h, 0.24 * h] },
    offsetMm: tolerance.offsetMm ?? { watch: 0.15 * w, act: 0.3 * w },
    gapRatio: tolerance.gapRatio,
    liftMm: tolerance.liftMm ?? 0.3 * h,
    strayAreaMm2: tolerance.strayAreaMm2 ?? 0.5 * w * w,
  };
}

/** Shortest stretch in bead widths that is a finding, where the job states no length. */
const LEAST_WIDTHS: Record<StretchKind, number> = {
  gap: 1, underExtrusion: 2, overExtrusion: 2, liftedStrand: 1, displacedStrand: 1.5, unmeasured: 3,
};

/** Shortest stretch of a kind that is a finding, mm. */
export function leastLengthMm(tolerance: Tolerance, kind: StretchKind, widthMm: number): number {
  return tolerance.minLengthMm[kind] ?? LEAST_WIDTHS[kind] * widthMm;
}

/** A bead is called good, and believed to be wider than planned over a hollow, only where at least this much of its window returned light. */
export const GOOD_COVERAGE = 0.8;

/** Guard factor of a decision rule "guarded-K" (ISO 14253-1): K standard uncertainties. */
export function guardOf(rule: string): number {
  const k = Number(/^guarded-(\d+(?:\.\d+)?)$/.exec(rule)?.[1]);
  if (!Number.isFinite(k)) throw new RangeError(`a decision rule reads guarded-K, got ${rule}`);
  return k;
}
