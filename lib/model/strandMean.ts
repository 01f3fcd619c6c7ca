/** What one strand came to, over the stations of its newest attempt that were measured: what charts across runs and capability rest on. */
import type { Contribution } from "./reading.ts";

export interface StrandMean {
  readonly layer: number;
  readonly strand: number;
  readonly laidCount: number;
  readonly measuredCount: number;
  readonly inBandCount: number;
  /** Means over measured stations; null: none was (or no flank was seen). Deviations are measured − planned. */
  readonly areaRatio: number | null;
  readonly widthDevMm: number | null;
  readonly heightDevMm: number | null;
  readonly offsetMm: number | null;
  /** When it was laid on average, reference clock, s; null without progress. */
  readonly laidS: number | null;
  /** Root mean square of each contribution to the area's standard uncertainty, mm². */
  readonly uNoiseMm2: number | null;
  readonly uSamplingMm2: number | null;
  readonly uSupportMm2: number | null;
  readonly uDriftMm2: number | null;
  readonly uHolesMm2: number | null;
  readonly uCalibrationMm2: number | null;
}

/** Where each contribution stands in a strand's mean. */
export const BUDGET_KEYS = {
  noise: "uNoiseMm2", sampling: "uSamplingMm2", support: "uSupportMm2", drift: "uDriftMm2", holes: "uHolesMm2", calibration: "uCalibrationMm2",
} as const satisfies Readonly<Record<Contribution, keyof StrandMean>>;
