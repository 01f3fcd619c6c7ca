import { describe, expect, it } from "vitest";
import { fisherDirection, inverse3, robustSpread, rocArea, squareIn } from "../../lib/kernel/twoClasses.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";

describe("area under the ROC curve", () => {
  it("by hand: of six pairs of {1, 2} and {2, 3, 0} three are won, one is a tie, two are lost: 3.5 / 6", () => {
    expect(rocArea([1, 2], [2, 3, 0])).toBeCloseTo(3.5 / 6, 12);
  });

  it.each([1, 2, 3])("seed %d: every pair counted, ties half; the other way round it is 1 less that", (seed) => {
    const random = makeRandom(seed, "roc"), low = Array.from({ length: 60 }, () => Math.floor(12 * random.next())), high = Array.from({ length: 41 }, () => Math.floor(12 * random.next()) + 2);
    let wins = 0;
    for (const a of low) for (const b of high) wins += b > a ? 1 : b === a ? 0.5 : 0;
    expect(rocArea(low, high)).toBeCloseTo(wins / (60 * 41), 12);
    expect(rocArea(high, low)).toBeCloseTo(1 - wins / (60 * 41), 12);
  });

  it("is 1, 0 and ½ for classes apart, swapped and alike, NaN where one is empty, and leaves its input as it was", () => {
    const low = [3, 1, 2];
    expect([rocArea(low, [4, 5]), rocArea([4, 5], low), rocArea([7, 7], [7])]).toEqual([1, 0, 0.5]);
    expect([rocArea([], [1]), rocArea([1], [])]).toEqual([NaN, NaN]);
    expect(low).toEqual([3, 1, 2]);
  });
});

describe("symmetric matrices of three", () => {
  it.each([1, 2, 3])("seed %d: the inverse of A·Aᵀ times it is the identity, but for the ridge of 1e-9 of the trace", (seed) => {
    const random = makeRandom(seed, "matrix"), a = Array.from({ length: 3 }, (_, i) => Array.from({ length: 3 }, (__, k) => random.next() - 0.5 + (i === k ? 1 : 0)));
    const full = (m: Float64Array): number[][] => [[m[0]!, m[1]!, m[2]!], [m[1]!, m[3]!, m[4]!], [m[2]!, m[4]!, m[5]!]];
    const times = (p: number[][], q: number[][]): number[][] => p.map((row) => [0, 1, 2].map((k) => row.reduce((sum, v, i) => sum + v * q[i]![k]!, 0)));
    const m = times(a, [0, 1, 2].map((i) => a.map((row) => row[i]!))), packed = Float64Array.of(m[0]![0]!, m[0]![1]!, m[0]![2]!, m[1]![1]!, m[1]![2]!, m[2]![2]!);
    times(full(inverse3(packed)), m).forEach((row, i) => row.forEach((v, k) => expect(v).toBeCloseTo(i === k ? 1 : 0, 6)));
  });

  it("vᵀ M v by hand: v = (1, 2, 3), M = (2 1 0; 1 3 −1; 0 −1 4) gives 2 + 12 + 36 + 2 (2 + 0 − 6) = 42", () => {
    expect(squareIn(Float64Array.of(2, 1, 0, 3, -1, 4), 1, 2, 3)).toBe(42);
  });

  it("of one without rank the inverse is finite", () => {
    expect([...inverse3(Float64Array.of(1, 1, 1, 1, 1, 1))].every((v) => Math.abs(v) < Infinity)).toBe(true);
  });
});

describe("robust means and spreads", () => {
  const SD = [0.2, 0.05, 0.1], MEAN = [-1, 0.3, 0.7], N = 4000;
  /** Normal in three dimensions, and `outliers` of them ten to fourteen standard deviations aside. */
  function points(seed: number, outliers: number): Float32Array {
    const random = makeRandom(seed, "points"), values = new Float32Array(3 * N);
    for (let i = 0; i < N; i++) for (let k = 0; k < 3; k++) values[3 * i + k] = MEAN[k]! + SD[k]! * (i < outliers * N ? 10 + 4 * random.next() : random.gauss());
    return values;
  }

  it.each([1, 2])("seed %d: three outliers in ten, all on one side, move the mean by less than a tenth and the spread by less than a fifth of a standard deviation", (seed) => {
    for (const outliers of [0, 0.3]) {
      const { mean, covariance, count } = robustSpread(points(seed, outliers), [1e-6, 1e-6, 1e-6]);
      [0, 3, 5].forEach((at, k) => {
        expect(Math.abs(mean[k]! - MEAN[k]!) / SD[k]!).toBeLessThan(0.1);
        expect(Math.abs(Math.sqrt(covariance[at]!) / SD[k]! - 1)).toBeLessThan(0.2);
      });
      expect(count).toBeLessThanOrEqual((1 - outliers) * N);
      expect(count).toBeGreaterThan(0.98 * (1 - outliers) * N);
    }
  });

  it("points all alike spread by the least that was asked for", () => {
    const { mean, covariance, count } = robustSpread(Float32Array.from({ length: 60 }, (_, i) => [1, 2, 4][i % 3]!), [0.1, 0.2, 0.5]);
    expect([[...mean], count]).toEqual([[1, 2, 4], 20]);
    [0.01, 0, 0, 0.04, 0, 0.25].forEach((v, i) => expect(covariance[i]).toBeCloseTo(v, 12));
  });
});

it("Fisher's direction with diagonal covariances is each mean's difference over the mean of both variances (Fisher 1936)", () => {
  const a = { mean: Float64Array.of(1, 2, 3), covariance: Float64Array.of(1, 0, 0, 4, 0, 0.5), count: 9 }, b = { mean: Float64Array.of(2, 0, 3.5), covariance: Float64Array.of(3, 0, 0, 1, 0, 1.5), count: 9 };
  [1 / 2, -2 / 2.5, 0.5 / 1].forEach((v, k) => expect(fisherDirection(a, b)[k]).toBeCloseTo(v, 6));
});
