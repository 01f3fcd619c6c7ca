/** Small sums for tests. */
export function meanOf(values: readonly number[]): number {
  return values.reduce((sum, v) => sum + v, 0) / values.length;
}

/** Standard deviation with n − 1. */
export function sdOf(values: readonly number[]): number {
  const mean = meanOf(values);
  return Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / (values.length - 1));
}

/** The middle value, the mean of two middles. */
export function medianOfList(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b), half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}

/** Ranks from 1, equal values sharing the mean of theirs. */
export function ranksOf(values: readonly number[]): number[] {
  const order = values.map((_, i) => i).sort((a, b) => values[a]! - values[b]!);
  const ranks: number[] = Array.from({ length: values.length }, () => 0);
  for (let i = 0; i < order.length;) {
    let j = i;
    while (j + 1 < order.length && values[order[j + 1]!] === values[order[i]!]) j++;
    for (let k = i; k <= j; k++) ranks[order[k]!] = (i + j) / 2 + 1;
    i = j + 1;
  }
  return ranks;
}

/** Pearson's coefficient of correlation. */
export function correlationOf(x: readonly number[], y: readonly number[]): number {
  const mx = meanOf(x), my = meanOf(y);
  let xy = 0, xx = 0, yy = 0;
  x.forEach((v, i) => { xy += (v - mx) * (y[i]! - my); xx += (v - mx) ** 2; yy += (y[i]! - my) ** 2; });
  return xy / Math.sqrt(xx * yy);
}

/** Integral of f from a to b by the trapezoid rule in `steps` pieces. */
export function integrate(f: (x: number) => number, a: number, b: number, steps: number): number {
  const h = (b - a) / steps;
  let sum = (f(a) + f(b)) / 2;
  for (let i = 1; i < steps; i++) sum += f(a + i * h);
  return sum * h;
}
