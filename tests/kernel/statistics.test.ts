/** Moments against certified values: NIST StRD univariate summary statistics (Mavro, NumAcc1, NumAcc3, NumAcc4, Michelso; autocorrelations of NumAcc from memory, recomputed). */
import { describe, expect, it } from "vitest";
import { lag1, mean, median, quantile, standardDeviation } from "../../lib/kernel/statistics.ts";
import { MAVRO } from "../support/nist.ts";

const alternating = (middle: number): number[] => [middle, ...Array.from({ length: 1000 }, (_, i) => middle + (i % 2 === 0 ? -0.1 : 0.1))];

describe("moments of a sample", () => {
  it("Mavro, 50 values: mean 2.001856, s 0.000429123454003053, r₁ 0.937989183438248", () => {
    expect(mean(MAVRO)).toBeCloseTo(2.001856, 14);
    expect(standardDeviation(MAVRO)).toBeCloseTo(0.000429123454003053, 15);
    expect(lag1(MAVRO)).toBeCloseTo(0.937989183438248, 10);
  });
  it("NumAcc1: 10000002, 1, −0.5 to the last digit", () => {
    const values = [10_000_001, 10_000_003, 10_000_002];
    expect([mean(values), standardDeviation(values), lag1(values)]).toEqual([10_000_002, 1, -0.5]);
  });
  it.each([1_000_000.2, 10_000_000.2])("1001 values about %f: s 0.1 and r₁ −0.999, which one pass loses", (middle) => {
    const values = alternating(middle);
    expect(mean(values)).toBeCloseTo(middle, 8);
    expect(standardDeviation(values)).toBeCloseTo(0.1, 7);
    expect(lag1(values)).toBeCloseTo(-0.999, 6);
  });
  it("of nothing, of one value and of what does not vary is no number", () => {
    expect([mean([]), standardDeviation([3]), lag1([2, 2, 2]), quantile([], 0.5)]).toEqual([Number.NaN, Number.NaN, Number.NaN, Number.NaN]);
  });
  it("quantiles lie linearly between order statistics, ends included", () => {
    expect([0, 0.25, 0.5, 1].map((p) => quantile([1, 2, 4, 8, 16], p))).toEqual([1, 2, 4, 16]);
    expect(quantile([1, 3], 0.75)).toBe(2.5);
  });
});

describe("the median", () => {
  it.each([[[5], 5], [[3, 1], 2], [[9, 1, 4], 4], [[10, 9, 100, 1], 9.5]])("of %j is %d, and leaves them in their order", (values, middle) => {
    const before = [...values];
    expect(median(values)).toBe(middle);
    expect(values).toEqual(before);
  });

  it("of nothing is NaN", () => expect(median([])).toBeNaN());
});
