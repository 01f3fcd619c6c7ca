import { describe, expect, it } from "vitest";
import { regress } from "../../lib/kernel/regression.ts";
import { NORRIS } from "../support/nist.ts";

describe("least squares", () => {
  it("gives NIST StRD Norris to 1e-9 of each certified value: slope 1.00211681802045, intercept −0.262323073774029, F 5436385.54079785", () => {
    const found = regress(NORRIS.x, NORRIS.y);
    const names = ["intercept", "interceptSd", "slope", "slopeSd", "residualSd", "r2", "sse", "f"] as const;
    for (const name of names) expect([name, Math.abs((found?.[name] ?? Number.NaN) / NORRIS[name] - 1) < 1e-9]).toEqual([name, true]);
    expect(found?.n).toBe(36);
  });

  it("keeps its digits 10 000 000 away from 0: the same line moved there has the same slope to 1e-7", () => {
    expect(regress(NORRIS.x.map((x) => x + 1e7), NORRIS.y.map((y) => y + 1e7))?.slope).toBeCloseTo(NORRIS.slope, 7);
  });

  it("says nothing of one point, of points above one another, and no spread from two points", () => {
    expect([regress([1], [2]), regress([3, 3, 3], [1, 2, 4])]).toEqual([null, null]);
    expect(regress([1, 3], [2, 8])).toMatchObject({ slope: 3, intercept: -1, slopeSd: Number.NaN });
  });
});
