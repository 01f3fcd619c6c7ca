/** The normal distribution, from a general-purpose library. */
import cdf from "@stdlib/stats-base-dists-normal-cdf";

const ROOT_TAU = Math.sqrt(2 * Math.PI);

/** P(Z ≤ z) of the standard normal distribution; its lower tail keeps its digits. */
export function normalCdf(z: number): number {
  return cdf(z, 0, 1);
}

/** Density of the standard normal distribution. */
export function normalDensity(z: number): number {
  return Math.exp(-z * z / 2) / ROOT_TAU;
}

/**
 * Anderson–Darling A² of a sample against the normal distribution with its own mean and standard deviation, adjusted for its size:
 * A²(1 + 0.75/n + 2.25/n²) (D'Agostino and Stephens 1986, from memory). NaN below 8 values or where nothing varies.
 */
export function andersonDarling(values: ArrayLike<number>, middle: number, sd: number): number {
  const n = values.length;
  if (n < 8 || !(sd > 0)) return Number.NaN;
  const z = Array.from(values, (value) => (value - middle) / sd).sort((a, b) => a - b);
  let sum = 0;
  for (let i = 0; i < n; i++) sum += (2 * i + 1) * (Math.log(normalCdf(z[i] as number)) + Math.log(normalCdf(-(z[n - 1 - i] as number))));
  return (-n - sum / n) * (1 + 0.75 / n + 2.25 / (n * n));
}

/** An adjusted A² above it speaks against a normal distribution at 5 % (same source, from memory). */
export const ANDERSON_DARLING_5 = 0.752;
