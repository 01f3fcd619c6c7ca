/** Lines of a quantity along a strand; px out. */

export interface StripScale { readonly low: number; readonly high: number; readonly heightPx: number }

/** Room beyond the act limits, as shares of their distance: always, and at most where values lie further out. */
const LEAST_ROOM = 0.18;
const MOST_ROOM = 2;

/** Shows the widest act limits and the values; what lies very far out is cut off at the frame, so that the limits can still be told apart. */
export function stripScale(act: readonly (readonly [number, number])[], values: readonly (number | null)[], heightPx: number): StripScale {
  const actLow = Math.min(...act.map((band) => band[0]));
  const actHigh = Math.max(...act.map((band) => band[1]));
  if (!(actHigh > actLow)) return { low: 0, high: 1, heightPx };
  const spread = actHigh - actLow;
  const seen = values.filter((value) => value !== null);
  const low = Math.max(actLow - MOST_ROOM * spread, Math.min(actLow - LEAST_ROOM * spread, ...seen));
  const high = Math.min(actHigh + MOST_ROOM * spread, Math.max(actHigh + LEAST_ROOM * spread, ...seen));
  return { low, high, heightPx };
}

export function yPx(scale: StripScale, value: number): number {
  return (scale.high - value) / (scale.high - scale.low) * scale.heightPx;
}

/** Of these values the ones whose labels do not touch: each stands at least `leastPx` from those before it in the list. */
export function spaced(values: readonly number[], scale: StripScale, leastPx: number): number[] {
  const kept: number[] = [];
  for (const value of values) {
    if (kept.every((other) => Math.abs(yPx(scale, other) - yPx(scale, value)) >= leastPx)) kept.push(value);
  }
  return kept;
}

const at = (x: number, y: number): string => `${x.toFixed(1)} ${y.toFixed(1)}`;

/** A line through the points; a lone point becomes a short stroke. "" for none. */
export function levelPath(xs: readonly number[], ys: readonly number[]): string {
  if (xs.length === 0) return "";
  if (xs.length === 1) return `M${at((xs[0] as number) - 1.5, ys[0] as number)}h3`;
  return `M${xs.map((x, i) => at(x, ys[i] as number)).join("L")}`;
}

/** Closed path between two lines over the same xs. "" for none. */
export function bandPath(xs: readonly number[], lows: readonly number[], highs: readonly number[]): string {
  if (xs.length === 0) return "";
  const there = xs.map((x, i) => at(x, highs[i] as number));
  const back = xs.map((x, i) => at(x, lows[i] as number)).reverse();
  return `M${[...there, ...back].join("L")}Z`;
}

/** Index ranges [from, to) of values that are there: nothing is drawn across a null. */
export function runsOf(values: readonly (number | null)[]): [number, number][] {
  const runs: [number, number][] = [];
  values.forEach((value, i) => {
    if (value === null) return;
    const last = runs.at(-1);
    if (last !== undefined && last[1] === i) last[1] = i + 1;
    else runs.push([i, i + 1]);
  });
  return runs;
}
