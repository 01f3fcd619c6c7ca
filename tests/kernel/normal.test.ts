import { describe, expect, it } from "vitest";
import { ANDERSON_DARLING_5, andersonDarling, normalCdf, normalDensity } from "../../lib/kernel/normal.ts";
import { mean, standardDeviation } from "../../lib/kernel/statistics.ts";

/** A² by its definition, n∫(Fₙ − F)²/(F(1 − F)) dF, in steps of 1/400 000: an oracle that shares no formula with the sum. */
function byDefinition(values: readonly number[]): number {
  const n = values.length, middle = mean(values), sd = standardDeviation(values), steps = 400_000;
  const at = values.map((value) => normalCdf((value - middle) / sd)).toSorted((a, b) => a - b);
  let sum = 0, below = 0;
  for (let i = 0; i < steps; i++) {
    const f = (i + 0.5) / steps;
    while (below < n && (at[below] as number) <= f) below++;
    sum += (below / n - f) ** 2 / (f * (1 - f)) / steps;
  }
  return n * sum * (1 + 0.75 / n + 2.25 / (n * n));
}

const test = (values: readonly number[]): number => andersonDarling(values, mean(values), standardDeviation(values));

describe("the normal distribution", () => {
  it("has 0.975 below 1.959963984540054 and 0.022750131948179 below −2 (common tables), and its density is the slope of that", () => {
    expect(normalCdf(1.959963984540054)).toBeCloseTo(0.975, 14);
    expect(normalCdf(-2)).toBeCloseTo(0.022750131948179, 14);
    expect((normalCdf(0.7001) - normalCdf(0.6999)) / 0.0002).toBeCloseTo(normalDensity(0.7), 8);
  });

  it("Anderson–Darling's A² is that of its definition for 30 values out of a skewed curve, and speaks against a normal distribution there", () => {
    const skewed = Array.from({ length: 30 }, (_, i) => -Math.log(1 - (i + 0.5) / 30));
    expect(test(skewed)).toBeCloseTo(byDefinition(skewed), 3);
    expect(test(skewed)).toBeGreaterThan(ANDERSON_DARLING_5);
  });

  it("says nothing against 29 values at a normal distribution's own quantiles, and NaN below 8 values or where nothing varies", () => {
    const normal = Array.from({ length: 29 }, (_, i) => { let z = -4; while (normalCdf(z) < (i + 0.5) / 29) z += 0.001; return z; });
    expect(test(normal)).toBeLessThan(0.1);
    expect([test([1, 2, 4, 5, 7, 8, 9]), test([3, 3, 3, 3, 3, 3, 3, 3, 3])]).toEqual([Number.NaN, Number.NaN]);
  });
});
