/** Constants of control charts, from the normal distribution by integration. */
import { normalCdf, normalDensity } from "../kernel/normal.ts";

export interface ChartConstants {
  readonly n: number;
  /** Mean and standard deviation of the range of n values, in standard deviations of one. */
  readonly d2: number;
  readonly d3: number;
  /** Mean of their standard deviation, likewise. */
  readonly c4: number;
  /** Limits of a mean by the mean range: ± A2·R̄; of a range: D3·R̄ and D4·R̄. */
  readonly a2: number;
  readonly d3Limit: number;
  readonly d4Limit: number;
}

/** Beyond it a normal distribution has nothing left that a double could hold beside 1. */
const FAR = 8.5, STEPS = 120;
const known = new Map<number, ChartConstants>();

/** Simpson's rule over an even number of steps. */
function integrate(f: (x: number) => number, from: number, to: number, steps: number): number {
  const h = (to - from) / steps;
  let sum = f(from) + f(to);
  for (let i = 1; i < steps; i++) sum += f(from + i * h) * (i % 2 === 1 ? 4 : 2);
  return sum * h / 3;
}

/** √(2/(n−1))·Γ(n/2)/Γ((n−1)/2), by the recurrence of Γ from Γ(1/2) = √π and Γ(1) = 1. */
function c4Of(n: number): number {
  let ratio = n % 2 === 0 ? 1 / Math.sqrt(Math.PI) : Math.sqrt(Math.PI) / 2; // Γ(n/2)/Γ((n−1)/2) at n = 2 and at n = 3
  for (let m = n % 2 === 0 ? 2 : 3; m < n; m += 2) ratio *= m / (m - 1);
  return Math.sqrt(2 / (n - 1)) * ratio;
}

/**
 * For subgroups of `n` values, 2..25. The range W has E W = ∫ 1 − Φⁿ − (1 − Φ)ⁿ, and E W² = 2∫ w·P(W > w) dw with
 * P(W ≤ w) = n∫ φ(x)(Φ(x + w) − Φ(x))ⁿ⁻¹ dx.
 */
export function chartConstants(n: number): ChartConstants {
  if (!Number.isInteger(n) || n < 2 || n > 25) throw new RangeError(`subgroups have 2 to 25 values, got ${n}`);
  const constants = known.get(n) ?? integrated(n);
  known.set(n, constants);
  return constants;
}

function integrated(n: number): ChartConstants {
  const d2 = integrate((x) => 1 - normalCdf(x) ** n - normalCdf(-x) ** n, -FAR, FAR, STEPS);
  const atMost = (w: number): number => n * integrate((x) => normalDensity(x) * (normalCdf(x + w) - normalCdf(x)) ** (n - 1), -FAR, FAR, STEPS);
  const square = 2 * integrate((w) => w * (1 - atMost(w)), 0, 2 * FAR, STEPS), d3 = Math.sqrt(square - d2 * d2);
  return { n, d2, d3, c4: c4Of(n), a2: 3 / (d2 * Math.sqrt(n)), d3Limit: Math.max(0, 1 - 3 * d3 / d2), d4Limit: 1 + 3 * d3 / d2 };
}
