import { describe, expect, it } from "vitest";
import { capability, centredFallout } from "../../lib/formula/capability.ts";

describe("capability", () => {
  it("is that of NIST 6.1.6: limits 8 and 20, mean 16, s 2 give Cp 1, Cpu 0.6667, Cpl 1.3333, Cpk 0.6667, k 0.3333", () => {
    const found = capability({ n: 50, mean: 16, sd: 2 }, { lower: 8, upper: 20 });
    expect([found?.n, found?.cp, found?.cpu, found?.cpl, found?.cpk, found?.k].map((each) => Number(each?.toFixed(4)))).toEqual([50, 1, 0.6667, 1.3333, 0.6667, 0.3333]);
  });

  it("has an interval by χ²: of 50 values Cp 1 lies between 0.802 and 1.197 (χ² 31.555 and 70.222 of 49, common tables)", () => {
    const found = capability({ n: 50, mean: 14, sd: 2 }, { lower: 8, upper: 20 });
    expect(found?.cp95[0]).toBeCloseTo(Math.sqrt(31.555 / 49), 4);
    expect(found?.cp95[1]).toBeCloseTo(Math.sqrt(70.222 / 49), 4);
  });

  it("Cpk 1.2 of 30 values lies between 0.87 and 1.53 (Bissell, from memory: half width 1.96·√(1/270 + 1.44/58))", () => {
    const found = capability({ n: 30, mean: 0.1, sd: 0.25 }, { lower: -0.9, upper: 1 });
    expect(found?.cpk).toBeCloseTo(1.2, 12);
    expect(found?.cpk95.map((each) => Number(each.toFixed(2)))).toEqual([0.87, 1.53]);
  });

  it("a centred normal process of Cp 1.00 loses 2 699.8 and of 4/3 63.3 in a million (NIST 6.1.6)", () => {
    expect([centredFallout(1), centredFallout(4 / 3)].map((each) => (each * 1e6).toFixed(1))).toEqual(["2699.8", "63.3"]);
  });

  it("says nothing of one value, of values that are all the same, and of limits without room", () => {
    const limits = { lower: 0.8, upper: 1.25 };
    expect([capability({ n: 1, mean: 1, sd: Number.NaN }, limits), capability({ n: 5, mean: 1, sd: 0 }, limits), capability({ n: 5, mean: 1, sd: 0.1 }, { lower: 1.2, upper: 1.2 })]).toEqual([null, null, null]);
  });
});
