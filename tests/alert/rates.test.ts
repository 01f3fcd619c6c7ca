import { describe, expect, it } from "vitest";
import { alertRates } from "../../lib/alert/rates.ts";
import type { AlertPriority } from "../../lib/model/alert.ts";

const at = (timesS: readonly number[], priority: AlertPriority = "medium") => timesS.map((s) => ({ ms: 1000 * s, priority }));
const rates = (timesS: readonly number[], toS = 3600) => alertRates(at(timesS), 0, 1000 * toS);
/** So many, evenly, from one time on. */
const every = (count: number, stepS: number, fromS = 0): number[] => Array.from({ length: count }, (_, i) => fromS + i * stepS);

describe("rates of alerts (benchmarks of ISA-18.2 / IEC 62682; a flood is more than 10 in 10 minutes)", () => {
  it("10 in 600 s are no flood, 11 are one", () => {
    expect(rates(every(10, 59))).toMatchObject({ count: 10, peakPer10Min: 10, floodFraction: 0 });
    const flood = rates(every(11, 59));
    expect(flood).toMatchObject({ count: 11, peakPer10Min: 11 });
    expect(flood.floodFraction).toBeGreaterThan(0);
  });

  it("the eleventh counts 599.999 s after the first, and no more 600 s after it", () => {
    expect(rates([...every(10, 50), 599.999]).peakPer10Min).toBe(11);
    expect(rates([...every(10, 50), 600])).toMatchObject({ peakPer10Min: 10, floodFraction: 0 });
  });

  it("a flood lasts from its eleventh alert until fewer than 5 are left in 10 minutes (from memory): 10 s to 607 s of an hour", () => {
    // 11 a second apart: at 606 s those of 7 to 10 s are left, four of them
    expect(rates(every(11, 1)).floodFraction).toBeCloseTo((606 - 10) / 3600, 12);
  });

  it("with one a minute after it up to 1260 s, the flood goes on until the fifth from the end leaves, at 1020 + 600 s", () => {
    expect(rates([...every(11, 1), ...every(20, 60, 120)]).floodFraction).toBeCloseTo((1020 + 600 - 10) / 3600, 12);
  });

  it("one that is not over when the run is counts up to then, and two floods count both", () => {
    expect(rates(every(11, 1), 100).floodFraction).toBeCloseTo(0.9, 12);
    expect(rates([...every(11, 1), ...every(12, 1, 2000)]).floodFraction).toBeCloseTo((606 - 10 + (2007 + 600 - 2010)) / 3600, 12);
  });

  it("without alerts, and in a run of no length, all is 0", () => {
    expect(rates([])).toEqual({ count: 0, byPriority: { high: 0, medium: 0, low: 0 }, peakPer10Min: 0, floodFraction: 0 });
    expect(alertRates(at([0, 0]), 0, 0)).toMatchObject({ count: 2, peakPer10Min: 2, floodFraction: 0 });
  });

  it("are told by priority", () => {
    expect(alertRates([...at([3, 9], "high"), ...at([14], "low"), ...at([21, 22, 23], "medium")], 0, 60_000).byPriority).toEqual({ high: 2, medium: 3, low: 1 });
  });
});
