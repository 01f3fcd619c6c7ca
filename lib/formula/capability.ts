/** Capability of a process against its two limits, NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6. */
import chiSquareQuantile from "@stdlib/stats-base-dists-chisquare-quantile";
import { normalCdf } from "../kernel/normal.ts";

export interface Capability {
  readonly n: number;
  /** Width of the limits over six standard deviations. */
  readonly cp: number;
  /** Room to the upper and to the lower limit over three standard deviations. */
  readonly cpu: number;
  readonly cpl: number;
  /** The smaller of both. */
  readonly cpk: number;
  /** How far the mean lies off the middle, in half widths of the limits. */
  readonly k: number;
  /** 95 % interval of Cp: Cp·√(χ²(0.025; n − 1)/(n − 1)) to Cp·√(χ²(0.975; n − 1)/(n − 1)) (same handbook). */
  readonly cp95: readonly [number, number];
  /** 95 % interval of Cpk: Cpk ± 1.96·√(1/(9n) + Cpk²/(2(n − 1))), for a normal distribution (Bissell 1990, from memory). */
  readonly cpk95: readonly [number, number];
}

export interface Sample { readonly n: number; readonly mean: number; readonly sd: number }
export interface Limits { readonly lower: number; readonly upper: number }

/** Two-sided 95 % of the normal distribution. */
const Z95 = 1.959963984540054;

/** null below two values, where nothing varies, or where the limits leave no room. */
export function capability({ n, mean, sd }: Sample, { lower, upper }: Limits): Capability | null {
  if (n < 2 || !(sd > 0) || !(upper > lower)) return null;
  const cp = (upper - lower) / (6 * sd), cpu = (upper - mean) / (3 * sd), cpl = (mean - lower) / (3 * sd), cpk = Math.min(cpu, cpl);
  const half = Z95 * Math.sqrt(1 / (9 * n) + cpk * cpk / (2 * (n - 1)));
  const scaled = (p: number): number => cp * Math.sqrt(chiSquareQuantile(p, n - 1) / (n - 1));
  return { n, cp, cpu, cpl, cpk, k: Math.abs((upper + lower) / 2 - mean) / ((upper - lower) / 2), cp95: [scaled(0.025), scaled(0.975)], cpk95: [cpk - half, cpk + half] };
}

/** Share of a centred normal process outside both limits, 0..1: 2Φ(−3Cp). */
export function centredFallout(cp: number): number {
  return 2 * normalCdf(-3 * cp);
}
