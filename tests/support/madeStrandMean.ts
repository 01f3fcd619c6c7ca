import type { StrandMean } from "../../lib/model/strandMean.ts";

/** A strand that was laid and measured at all of its 40 stations, none of its quantities seen unless given. */
export function madeStrandMean(strand: number, given: Partial<StrandMean> = {}): StrandMean {
  return {
    layer: 1, strand, laidCount: 40, measuredCount: 40, inBandCount: 38, areaRatio: null, widthDevMm: null, heightDevMm: null, offsetMm: null, laidS: null,
    uNoiseMm2: 0.004, uSamplingMm2: 0.003, uSupportMm2: 0.002, uDriftMm2: 0.005, uHolesMm2: 0, uCalibrationMm2: 0.001, ...given,
  };
}
