import type { Reading } from "../../lib/model/reading.ts";

/** Planned bead of made readings: 1.0 × 0.5 mm, 0.473 mm² visible. */
export const PLANNED = { widthMm: 1, heightMm: 0.5, areaMm2: 0.473 } as const;

/** A good reading of a bead as planned, with small uncertainties that all differ; `change` says what is otherwise. */
export function madeReading(change: Partial<Reading> = {}): Reading {
  return {
    device: "profiler-1", seq: 41, tS: 12.5, areaMm2: PLANNED.areaMm2, uAreaMm2: 0.0031, heightMm: PLANNED.heightMm, uHeightMm: 0.0022, widthMm: PLANNED.widthMm, uWidthMm: 0.0053,
    offsetMm: 0, uOffsetMm: 0.0041, coverage: 0.97, support: "measured", outsideRatio: 0, rightFlankMm: -0.5, leftFlankMm: 0.5, rightPasteFraction: Number.NaN, leftPasteFraction: Number.NaN, crownSeen: true, sagMm: Number.NaN, good: true,
    budget: { noise: 0.0011, sampling: 0.0012, support: 0.0013, drift: 0.0014, holes: 0.0005, calibration: 0.0006 }, ...change,
  };
}
