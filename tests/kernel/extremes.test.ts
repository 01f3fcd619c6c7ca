import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { extremeRuns, firstAtLeast } from "../../lib/kernel/extremes.ts";

const line = fc.array(fc.oneof({ weight: 6, arbitrary: fc.double({ min: -9, max: 9, noNaN: true }) }, { weight: 1, arbitrary: fc.constant(Number.NaN) }), { maxLength: 300 });

/** Runs without thinning, by the plain definition. */
function plainRuns(values: readonly number[]): number[][] {
  const runs: number[][] = [];
  values.forEach((value, i) => {
    if (Number.isNaN(value)) return;
    if (i > 0 && !Number.isNaN(values[i - 1] ?? Number.NaN)) runs.at(-1)?.push(i);
    else runs.push([i]);
  });
  return runs;
}

describe("thinning by extremes", () => {
  it("keeps the lowest and the highest of every bucket of every run, and both ends (300 random lines, seed 11)", () => {
    fc.assert(fc.property(line, fc.integer({ min: 1, max: 40 }), (values, step) => {
      const xs = values.map((_, i) => i);
      const thinned = extremeRuns(xs, values, { from: 0, to: values.length, step });
      const whole = plainRuns(values);
      expect(thinned.map((run) => [run[0], run.at(-1)])).toEqual(whole.map((run) => [run[0], run.at(-1)]));
      whole.forEach((run, r) => {
        const kept = thinned[r] as number[];
        expect(kept).toEqual([...new Set(kept)].sort((a, b) => a - b));
        const buckets = new Set(run.map((i) => Math.floor(i / step)));
        for (const bucket of buckets) {
          const of = (indices: readonly number[]): number[] => indices.filter((i) => Math.floor(i / step) === bucket).map((i) => values[i] as number);
          expect([Math.min(...of(kept)), Math.max(...of(kept))]).toEqual([Math.min(...of(run)), Math.max(...of(run))]);
        }
        expect(kept.length).toBeLessThanOrEqual(2 * buckets.size + 2);
      });
    }), { seed: 11, numRuns: 300 });
  });

  it("a line of three points a bucket or fewer at its extremes stays as it is", () => {
    expect(extremeRuns([0, 1, 2, 3], [5, 4, 6, 7], { from: 0, to: 4, step: 1 })).toEqual([[0, 1, 2, 3]]);
  });

  it("looks at its range alone: of indices 2 to 5 nothing before and after", () => {
    expect(extremeRuns([0, 1, 2, 3, 4, 5, 6], [9, 9, 1, 2, 3, 2, -9], { from: 2, to: 6, step: 100 })).toEqual([[2, 4, 5]]);
  });

  it("no values and none that are there give no runs", () => {
    expect(extremeRuns([], [], { from: 0, to: 0, step: 1 })).toEqual([]);
    expect(extremeRuns([0, 1], [Number.NaN, Number.NaN], { from: 0, to: 2, step: 1 })).toEqual([]);
  });
});

describe("the first place at least as far", () => {
  it("of 0, 0.5, 1.2 mm: for 0.5 the second, for 0.51 the third, for 2 none, for −1 the first", () => {
    expect([0.5, 0.51, 2, -1].map((x) => firstAtLeast([0, 0.5, 1.2], x))).toEqual([1, 2, 3, 0]);
  });
});
