import { describe, expect, it } from "vitest";
import { histogram, roundTicks } from "../../lib/kernel/histogram.ts";

describe("histogram", () => {
  it("nine values from 1 to 4 are in three classes one wide, an inner edge counting upwards and the greatest in the last", () => {
    expect(histogram([1, 1.5, 2, 2.2, 2.9, 3, 3.3, 3.7, 4])).toEqual({ from: 1, step: 1, counts: [2, 3, 4] });
  });

  it("loses no value of 1 000, and has 20 classes at most", () => {
    const found = histogram(Array.from({ length: 1000 }, (_, i) => Math.sin(i * 1.7)));
    expect([found?.counts.length, found?.counts.reduce((sum, count) => sum + count, 0)]).toEqual([20, 1000]);
  });

  it("values that are all the same are one class without width, and of none there is none", () => {
    expect(histogram([0.7, 0.7, 0.7])).toEqual({ from: 0.7, step: 0, counts: [3] });
    expect(histogram([])).toBeNull();
  });
});

describe("round ticks", () => {
  it("are 1, 2 or 5 times a power of ten apart and lie inside", () => {
    expect([roundTicks(0.93, 1.07, 5), roundTicks(-12, 31, 4), roundTicks(324.1, 328.5, 6)]).toEqual([[0.95, 1, 1.05], [0, 20], [325, 326, 327, 328]]);
  });

  it("a range without width is its one value", () => { expect(roundTicks(3, 3, 5)).toEqual([3]); });
});
