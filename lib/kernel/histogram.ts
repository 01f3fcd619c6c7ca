/** Values sorted into classes of one width. */
export interface Histogram {
  readonly from: number;
  /** Width of a class; 0 where all values are the same. */
  readonly step: number;
  readonly counts: readonly number[];
}

/** Classes from the least to the greatest value: √n of them, rounded up, at most 20 (common practice, no source). null for none. */
export function histogram(values: readonly number[]): Histogram | null {
  if (values.length === 0) return null;
  const from = Math.min(...values), to = Math.max(...values), classes = to > from ? Math.min(20, Math.ceil(Math.sqrt(values.length))) : 1;
  const step = (to - from) / classes, counts = Array.from({ length: classes }, () => 0);
  for (const value of values) {
    const i = step > 0 ? Math.min(classes - 1, Math.floor((value - from) / step)) : 0;
    counts[i] = (counts[i] as number) + 1;
  }
  return { from, step, counts };
}

/** Round numbers (1, 2 or 5 times a power of ten apart) from `low` to `high`, about `count` of them. */
export function roundTicks(low: number, high: number, count: number): number[] {
  const raw = (high - low) / Math.max(1, count);
  if (!(raw > 0)) return [low];
  const power = 10 ** Math.floor(Math.log10(raw)), step = power * ([1, 2, 5, 10].find((each) => each * power >= raw * 0.999) ?? 10);
  const first = Math.ceil(low / step - 1e-9), last = Math.floor(high / step + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => Number(((first + i) * step).toPrecision(12)));
}
