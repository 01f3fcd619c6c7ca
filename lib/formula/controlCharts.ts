/** Control charts of single values in time: individuals with moving range, EWMA and tabular CUSUM (NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2). */
import { mean } from "../kernel/statistics.ts";
import { chartConstants } from "./chartConstants.ts";

export interface IndividualsChart {
  readonly centre: number;
  /** Of one value: mean moving range over d2; NaN below two values. */
  readonly sd: number;
  readonly lower: number;
  readonly upper: number;
  /** Between each value and the one before it, one fewer than values. */
  readonly ranges: readonly number[];
  readonly meanRange: number;
  readonly rangeUpper: number;
}

/** Centre line, standard deviation and 3-sd limits out of the values themselves (6.3.2.2). NaN where there are too few. */
export function individualsChart(values: readonly number[]): IndividualsChart {
  const ranges = values.slice(1).map((value, i) => Math.abs(value - (values[i] as number)));
  const centre = mean(values), meanRange = mean(ranges), pairs = chartConstants(2), sd = meanRange / pairs.d2;
  return { centre, sd, lower: centre - 3 * sd, upper: centre + 3 * sd, ranges, meanRange, rangeUpper: pairs.d4Limit * meanRange };
}

export interface EwmaSettings {
  /** Centre line, from which it starts. */
  readonly centre: number;
  /** Of one value. */
  readonly sd: number;
  /** Weight of the newest value, above 0 up to 1. */
  readonly lambda: number;
  /** Half width of the limits in standard deviations of the average. */
  readonly width: number;
}

export interface EwmaPoint {
  readonly value: number;
  /** Limits of this place: centre ± width·sd·√(λ/(2 − λ)·(1 − (1 − λ)²ⁱ)). */
  readonly lower: number;
  readonly upper: number;
}

export interface EwmaChart {
  readonly points: readonly EwmaPoint[];
  /** Limits that it comes to in the long run, as the handbook draws them. */
  readonly lower: number;
  readonly upper: number;
}

/** Exponentially weighted moving average, EWMAᵢ = λxᵢ + (1 − λ)EWMAᵢ₋₁ (6.3.2.4). */
export function ewmaChart(values: readonly number[], { centre, sd, lambda, width }: EwmaSettings): EwmaChart {
  const half = width * sd * Math.sqrt(lambda / (2 - lambda));
  let at = centre;
  const points = values.map((value, i): EwmaPoint => {
    at = lambda * value + (1 - lambda) * at;
    const here = half * Math.sqrt(1 - (1 - lambda) ** (2 * (i + 1)));
    return { value: at, lower: centre - here, upper: centre + here };
  });
  return { points, lower: centre - half, upper: centre + half };
}

export interface CusumSettings {
  readonly target: number;
  /** Slack and decision limit, in the unit of the values. */
  readonly slack: number;
  readonly decision: number;
}

/** Sums above and below the target; `isOut`: one of them is beyond the decision limit. */
export interface CusumPoint { readonly high: number; readonly low: number; readonly isOut: boolean }

/** Tabular CUSUM: S_hiᵢ = max(0, S_hiᵢ₋₁ + xᵢ − target − k), S_loᵢ = max(0, S_loᵢ₋₁ + target − k − xᵢ) (6.3.2.3). */
export function cusumChart(values: readonly number[], { target, slack, decision }: CusumSettings): CusumPoint[] {
  let high = 0, low = 0;
  return values.map((value) => {
    high = Math.max(0, high + value - target - slack);
    low = Math.max(0, low + target - slack - value);
    return { high, low, isOut: high > decision || low > decision };
  });
}
