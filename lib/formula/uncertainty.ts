/** Student's t and what JCGM 100 makes of it: the expanded uncertainty of a mean, and effective degrees of freedom of a combined one. */
import tQuantile from "@stdlib/stats-base-dists-t-quantile";
import { mean, standardDeviation } from "../kernel/statistics.ts";

/** The library knows no endless degrees of freedom; with so many its quantile is the normal one to eight digits. */
const MOST_DOF = 1e8;

/** Factor k for a two-sided interval that holds the fraction `level` (0.95) with `dof` degrees of freedom; NaN below 1. */
export function coverageFactor(level: number, dof: number): number {
  return dof >= 1 ? tQuantile(1 - (1 - level) / 2, Math.min(dof, MOST_DOF)) : Number.NaN;
}

export interface MeanWithU {
  readonly n: number;
  readonly mean: number;
  /** Of the sample, n − 1. */
  readonly sd: number;
  /** Expanded uncertainty of the mean for 95 %: t(0.975, n − 1)·s/√n (JCGM 100, 4.2.3 and G.3). It supposes that the values are independent. */
  readonly u95: number;
}

/** NaN for sd and u95 below two values; a NaN mean for none. */
export function meanWithU95(values: ArrayLike<number>): MeanWithU {
  const n = values.length, sd = standardDeviation(values);
  return { n, mean: mean(values), sd, u95: coverageFactor(0.95, n - 1) * sd / Math.sqrt(n) };
}

/** One contribution cᵢu(xᵢ) to a combined standard uncertainty, in the unit of the result; `dof` Infinity where u is taken as exact. */
export interface Contribution { readonly u: number; readonly dof: number }

export interface Combined {
  readonly u: number;
  /** Welch–Satterthwaite: u⁴ / Σ(uᵢ⁴/νᵢ) (JCGM 100, G.2b). */
  readonly dof: number;
}

export function combine(contributions: readonly Contribution[]): Combined {
  const u2 = contributions.reduce((sum, { u }) => sum + u * u, 0);
  return { u: Math.sqrt(u2), dof: u2 * u2 / contributions.reduce((sum, { u, dof }) => sum + u ** 4 / dof, 0) };
}

/** Degrees of freedom cut to a whole number for the factor, as JCGM 100, G.4.1 does. */
export function expanded({ u, dof }: Combined, level: number): { readonly k: number; readonly u: number } {
  const k = coverageFactor(level, Math.floor(dof));
  return { k, u: k * u };
}
