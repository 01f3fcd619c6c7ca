/** Moments of a sample, each by two passes: one pass loses the spread of values that lie far from 0. */

/** NaN for an empty sample. */
export function mean(values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i] as number;
  const first = sum / values.length;
  let rest = 0; // what rounding left
  for (let i = 0; i < values.length; i++) rest += (values[i] as number) - first;
  return first + rest / values.length;
}

/** Sum of squared distances from the mean. */
function squares(values: ArrayLike<number>, middle: number): number {
  let sum = 0, rest = 0;
  for (let i = 0; i < values.length; i++) {
    const d = (values[i] as number) - middle;
    sum += d * d;
    rest += d;
  }
  return sum - rest * rest / values.length;
}

/** Sample standard deviation, n − 1; NaN below two values. */
export function standardDeviation(values: ArrayLike<number>): number {
  return values.length < 2 ? Number.NaN : Math.sqrt(squares(values, mean(values)) / (values.length - 1));
}

/** Lag-1 autocorrelation r₁ = Σ dᵢ dᵢ₊₁ / Σ dᵢ² (NIST/SEMATECH e-Handbook 1.3.5.12); NaN where nothing varies. */
export function lag1(values: ArrayLike<number>): number {
  const middle = mean(values);
  let sum = 0;
  for (let i = 1; i < values.length; i++) sum += ((values[i] as number) - middle) * ((values[i - 1] as number) - middle);
  const all = squares(values, middle);
  return all > 0 ? sum / all : Number.NaN;
}

/** The value below which the fraction `p` (0..1) of an ascending sample lies, linear between order statistics at (n − 1)p; NaN for an empty one. */
export function quantile(ascending: ArrayLike<number>, p: number): number {
  const at = (ascending.length - 1) * p, i = Math.floor(at), low = ascending[i] ?? Number.NaN, high = ascending[i + 1];
  return high === undefined ? low : low + (at - i) * (high - low);
}

/** Median of a sample in any order, of an even number the mean of both middles; NaN for an empty one. */
export function median(values: ArrayLike<number>): number {
  return quantile(Float64Array.from(values).sort(), 0.5);
}
