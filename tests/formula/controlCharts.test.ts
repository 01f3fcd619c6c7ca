import { describe, expect, it } from "vitest";
import { chartConstants } from "../../lib/formula/chartConstants.ts";
import { cusumChart, ewmaChart, individualsChart } from "../../lib/formula/controlCharts.ts";
import { CONSTANTS, CUSUM, EWMA, INDIVIDUALS } from "../support/nist.ts";

describe("chart constants by integration, n = 2 to 10", () => {
  const found = [2, 3, 4, 5, 6, 7, 8, 9, 10].map(chartConstants);
  it.each([["d2", 5], ["d3", 4], ["c4", 5], ["a2", 4], ["d3Limit", 4], ["d4Limit", 4]] as const)("%s agrees with values integrated elsewhere to its last of %i digits", (name, digits) => {
    found.forEach((each, i) => { expect(Math.abs(each[name] - (CONSTANTS[name][i] as number))).toBeLessThan(0.51 * 10 ** -digits); });
  });

  it("of two values are closed forms to 1e-12: d2 = 2/√π, d3 = √(2 − 4/π), c4 = √(2/π)", () => {
    const two = chartConstants(2);
    expect([two.d2 - 2 / Math.sqrt(Math.PI), two.d3 - Math.sqrt(2 - 4 / Math.PI), two.c4 - Math.sqrt(2 / Math.PI)].every((each) => Math.abs(each) < 1e-12)).toBe(true);
  });

  it("are refused for one value, for 26 and for 2.5", () => {
    for (const n of [1, 26, 2.5]) expect(() => chartConstants(n)).toThrow(RangeError);
  });
});

describe("individuals and moving range (NIST 6.3.2.2)", () => {
  it("mean 50.81, mean moving range 1.8778, limits 55.8041 and 45.8159, limit of the range 6.1347", () => {
    const found = individualsChart(INDIVIDUALS);
    expect([found.centre.toFixed(2), found.meanRange.toFixed(4)]).toEqual(["50.81", "1.8778"]);
    expect(Math.abs(found.upper - 55.8041)).toBeLessThan(0.0018); // the handbook divides by 1.128
    expect(Math.abs(found.lower - 45.8159)).toBeLessThan(0.0018);
    expect(Math.abs(found.rangeUpper - 6.1347)).toBeLessThan(0.002 * found.meanRange);
    expect(found.ranges).toHaveLength(9);
  });

  it("one value has a centre and no limits", () => {
    expect(individualsChart([0.98])).toMatchObject({ centre: 0.98, sd: Number.NaN, lower: Number.NaN });
  });
});

describe("EWMA (NIST 6.3.2.4)", () => {
  const found = ewmaChart(EWMA.x, { centre: 50, sd: 2.0539, lambda: 0.3, width: 3 });
  it("its 20 averages are 50.60 to 51.99, its limits 52.588432 and 47.411568, and none is beyond", () => {
    found.points.forEach((each, i) => { expect(Math.abs(each.value - (EWMA.points[i] as number))).toBeLessThan(0.0051); });
    expect([found.upper.toFixed(6), found.lower.toFixed(6)]).toEqual(["52.588432", "47.411568"]);
    expect(found.points.some(({ value, lower, upper }) => value > upper || value < lower)).toBe(false);
  });

  it("limits that go with the place begin at 51.84851 (50 + 3·2.0539·0.3, derived) and come to the long-run ones", () => {
    expect(found.points[0]?.upper).toBeCloseTo(51.84851, 10);
    expect((found.points[19]?.upper ?? 0) / found.upper).toBeCloseTo(1, 6);
  });
});

describe("tabular CUSUM (NIST 6.3.2.3)", () => {
  it("has the handbook's sums to 1e-9 and signals first at sample 14", () => {
    const found = cusumChart(CUSUM.x, { target: 325, slack: 0.3175, decision: 4.1959 });
    found.forEach(({ high, low }, i) => {
      expect(high).toBeCloseTo(CUSUM.high[i] as number, 9);
      expect(low).toBeCloseTo(CUSUM.low[i] as number, 9);
    });
    expect(found.findIndex(({ isOut }) => isOut) + 1).toBe(14);
  });
});
