/** What the strand means of one layer come to, quantity by quantity: numbers only. */
import { capability, type Capability, type Limits } from "../formula/capability.ts";
import { coverageFactor, meanWithU95, type MeanWithU } from "../formula/uncertainty.ts";
import { ANDERSON_DARLING_5, andersonDarling } from "../kernel/normal.ts";
import { regress, type Regression } from "../kernel/regression.ts";
import { lag1 } from "../kernel/statistics.ts";
import type { StationLimits, StationResult } from "../model/result.ts";
import type { StrandMean } from "../model/strandMean.ts";

/** A bead that was planned somewhere on a strand, with the limits in force there. */
export interface PlannedBead { readonly layer: number; readonly strand: number; readonly widthMm: number; readonly heightMm: number; readonly limits: StationLimits }

/** Every bead of every strand once, out of stations in their order. */
export function plannedBeads(stations: readonly StationResult[]): PlannedBead[] {
  const beads = new Map<string, PlannedBead>();
  for (const { layer, strand, planned, limits } of stations) {
    const key = `${layer}/${strand}/${planned.widthMm}/${planned.heightMm}`;
    if (!beads.has(key)) beads.set(key, { layer, strand, widthMm: planned.widthMm, heightMm: planned.heightMm, limits });
  }
  return [...beads.values()];
}

export const QUANTITIES = ["areaRatio", "widthDevMm", "heightDevMm", "offsetMm"] as const satisfies readonly (keyof StrandMean)[];
export type Quantity = (typeof QUANTITIES)[number];

/** Act and watch limits; an offset's are sizes, and count to both sides. */
function limitsOf(quantity: Quantity, limits: StationLimits, level: "act" | "watch"): Limits {
  const [lower, upper] = quantity === "areaRatio" ? limits.areaRatio[level] : quantity === "widthDevMm" ? limits.widthMm[level] : quantity === "heightDevMm" ? limits.heightMm[level]
    : [-limits.offsetMm[level], limits.offsetMm[level]];
  return { lower, upper };
}

/** The limits of all beads where they are the same; null: they differ, or no bead is known. */
function sharedLimits(quantity: Quantity, beads: readonly PlannedBead[], level: "act" | "watch"): Limits | null {
  const [first, ...others] = beads.map(({ limits }) => limitsOf(quantity, limits, level));
  return first !== undefined && others.every(({ lower, upper }) => lower === first.lower && upper === first.upper) ? first : null;
}

export interface Trend extends Regression {
  /** Expanded uncertainties for 95 %, t of n − 2. */
  readonly slopeU95: number;
  readonly interceptU95: number;
}

export interface Distribution {
  readonly quantity: Quantity;
  /** In the order of laying where it is known of all, else in the plan's. */
  readonly values: readonly number[];
  readonly summary: MeanWithU;
  /** Of neighbours in that order; NaN where nothing varies. */
  readonly r1: number;
  /** null: limits differ between beads. */
  readonly act: Limits | null;
  readonly watch: Limits | null;
  readonly capability: Capability | null;
  /** Against the time of laying, per minute; null below three strands with a time. */
  readonly trend: Trend | null;
  /** Whether the sample speaks against a normal distribution at 5 %; null: too few to tell. */
  readonly isOdd: boolean | null;
}

/** Below it a sample that is not normal is seldom found out (common practice, no source). */
export const LEAST_TO_TELL = 25;

const isPresent = <T>(value: T | null): value is T => value !== null;

function trendOf(pairs: readonly { readonly minutes: number; readonly value: number }[]): Trend | null {
  const fit = pairs.length < 3 ? null : regress(pairs.map(({ minutes }) => minutes), pairs.map(({ value }) => value));
  if (fit === null) return null;
  const k = coverageFactor(0.95, fit.n - 2);
  return { ...fit, slopeU95: k * fit.slopeSd, interceptU95: k * fit.interceptSd };
}

/** `means` of one layer, `beads` of the same; `beganS`: the instant that minutes are counted from, reference clock, s. */
export function distributionOf(quantity: Quantity, { means, beads, beganS }: { readonly means: readonly StrandMean[]; readonly beads: readonly PlannedBead[]; readonly beganS: number }): Distribution {
  const seen = means.map((mean) => (mean[quantity] === null ? null : { value: mean[quantity], laidS: mean.laidS })).filter(isPresent);
  const ordered = seen.every(({ laidS }) => laidS !== null) ? seen.toSorted((a, b) => (a.laidS ?? 0) - (b.laidS ?? 0)) : seen;
  const values = ordered.map(({ value }) => value), summary = meanWithU95(values), act = sharedLimits(quantity, beads, "act");
  return {
    quantity, values, summary, act, watch: sharedLimits(quantity, beads, "watch"), r1: values.length < 3 ? Number.NaN : lag1(values),
    capability: act === null ? null : capability(summary, act),
    trend: trendOf(ordered.flatMap(({ value, laidS }) => (laidS === null ? [] : [{ minutes: (laidS - beganS) / 60, value }]))),
    isOdd: values.length < LEAST_TO_TELL || !(summary.sd > 0) ? null : andersonDarling(values, summary.mean, summary.sd) > ANDERSON_DARLING_5,
  };
}
