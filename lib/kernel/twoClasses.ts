/** Two classes of points in three dimensions: robust means and spreads, the direction that tells them apart best, and how well. */
import { median } from "./statistics.ts";

/** Mean and covariance of what is left once outliers are dropped. */
export interface ClassSpread {
  readonly mean: Float64Array; // Float64Array[3]
  readonly covariance: Float64Array; // Float64Array[6], xx xy xz yy yz zz
  readonly count: number;
}

const ROUNDS = 5;
/** Squared distance in standard deviations beyond which a point is dropped: 99.7 % of three normal variables lie within 14. */
const FAR = 14;

/** Of `values` (Float32Array[3 · point]): begun at the medians, then points beyond three or four standard deviations dropped, five times over. `least`: standard deviations that are never undercut. */
export function robustSpread(values: Float32Array, least: readonly [number, number, number]): ClassSpread {
  const n = values.length / 3, floor = least.map((sd) => sd * sd);
  let mean = Float64Array.from([0, 1, 2], (k) => median(Float64Array.from({ length: n }, (_, i) => values[3 * i + k] as number)));
  let covariance = new Float64Array(6);
  [0, 3, 5].forEach((at, k) => {
    const mad = median(Float64Array.from({ length: n }, (_, i) => Math.abs((values[3 * i + k] as number) - (mean[k] as number))));
    covariance[at] = Math.max(floor[k] as number, (1.4826 * mad) ** 2);
  });
  let count = n;
  for (let round = 0; round < ROUNDS; round++) {
    const inverse = inverse3(covariance), sum = new Float64Array(9);
    count = 0;
    for (let i = 0; i < n; i++) {
      const x = values[3 * i]! - mean[0]!, y = values[3 * i + 1]! - mean[1]!, z = values[3 * i + 2]! - mean[2]!;
      if (squareIn(inverse, x, y, z) > FAR) continue;
      count++;
      sum[0]! += x; sum[1]! += y; sum[2]! += z;
      sum[3]! += x * x; sum[4]! += x * y; sum[5]! += x * z; sum[6]! += y * y; sum[7]! += y * z; sum[8]! += z * z;
    }
    if (count < 8) break;
    const mx = sum[0]! / count, my = sum[1]! / count, mz = sum[2]! / count;
    mean = Float64Array.of(mean[0]! + mx, mean[1]! + my, mean[2]! + mz);
    covariance = Float64Array.of(sum[3]! / count - mx * mx, sum[4]! / count - mx * my, sum[5]! / count - mx * mz, sum[6]! / count - my * my, sum[7]! / count - my * mz, sum[8]! / count - mz * mz);
    [0, 3, 5].forEach((at, k) => { covariance[at] = Math.max(covariance[at] as number, floor[k] as number); });
  }
  return { mean, covariance, count };
}

/** Of a symmetric matrix xx xy xz yy yz zz; a little is added to its diagonal where it is not regular. */
export function inverse3(m: Float64Array): Float64Array {
  const trace = m[0]! + m[3]! + m[5]!, ridge = 1e-9 * trace;
  const a = m[0]! + ridge, b = m[1]!, c = m[2]!, d = m[3]! + ridge, e = m[4]!, f = m[5]! + ridge;
  const A = d * f - e * e, B = c * e - b * f, C = b * e - c * d, det = a * A + b * B + c * C;
  return Float64Array.of(A / det, B / det, C / det, (a * f - c * c) / det, (b * c - a * e) / det, (a * d - b * b) / det);
}

/** vᵀ M v of a symmetric matrix xx xy xz yy yz zz. */
export function squareIn(m: Float64Array, x: number, y: number, z: number): number {
  return m[0]! * x * x + m[3]! * y * y + m[5]! * z * z + 2 * (m[1]! * x * y + m[2]! * x * z + m[4]! * y * z);
}

/** Fisher's direction: the difference of means by the inverse of the mean covariance (Fisher 1936). */
export function fisherDirection(a: ClassSpread, b: ClassSpread): Float64Array {
  const inverse = inverse3(Float64Array.from(a.covariance, (v, i) => (v + (b.covariance[i] as number)) / 2));
  const x = b.mean[0]! - a.mean[0]!, y = b.mean[1]! - a.mean[1]!, z = b.mean[2]! - a.mean[2]!;
  return Float64Array.of(inverse[0]! * x + inverse[1]! * y + inverse[2]! * z, inverse[1]! * x + inverse[3]! * y + inverse[4]! * z, inverse[2]! * x + inverse[4]! * y + inverse[5]! * z);
}

/** Area under the ROC curve: how often a value of `high` lies above one of `low`, ties counting half (Mann and Whitney 1947). NaN where either is empty. */
export function rocArea(low: ArrayLike<number>, high: ArrayLike<number>): number {
  const a = Float64Array.from(low).sort(), b = Float64Array.from(high).sort();
  if (a.length === 0 || b.length === 0) return Number.NaN;
  let wins = 0, below = 0, notAbove = 0;
  for (const value of b) {
    while (below < a.length && a[below]! < value) below++;
    while (notAbove < a.length && a[notAbove]! <= value) notAbove++;
    wins += (below + notAbove) / 2;
  }
  return wins / (a.length * b.length);
}
