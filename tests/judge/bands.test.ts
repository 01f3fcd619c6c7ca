import { describe, expect, it } from "vitest";
import { guardOf, leastLengthMm, limitsAt } from "../../lib/judge/bands.ts";
import { STRETCH_KINDS } from "../../lib/model/result.ts";
import { madeJob } from "../support/madePlan.ts";

const defaults = madeJob().tolerance;
const given = (tolerance: object): typeof defaults => madeJob("stadium", (json) => { json["tolerance"] = tolerance; }).tolerance;
const near = (value: number): unknown => expect.closeTo(value, 12);

describe("a station's own limits", () => {
  it("by default follow the planned bead: for 1.4 × 0.6 mm every value of the contract's tolerance table", () => {
    expect(limitsAt(defaults, 1.4, 0.6)).toEqual({
      areaRatio: { watch: [0.9, 1.1], act: [0.8, 1.25] },
      widthMm: { watch: [near(-0.14), near(0.14)], act: [near(-0.28), near(0.28)] },
      heightMm: { watch: [near(-0.072), near(0.072)], act: [near(-0.144), near(0.144)] },
      offsetMm: { watch: near(0.21), act: near(0.42) },
      gapRatio: 0.25, liftMm: near(0.18), strayAreaMm2: near(0.98),
    });
  });

  it("an absolute number in the job replaces each of them, whatever the bead", () => {
    const stated = {
      areaRatio: { watch: [0.93, 1.06], act: [0.85, 1.2] }, widthMm: { watch: [-0.11, 0.12], act: [-0.21, 0.22] }, heightMm: { watch: [-0.03, 0.04], act: [-0.07, 0.08] },
      offsetMm: { watch: 0.13, act: 0.31 }, gapRatio: 0.3, liftMm: 0.17, strayAreaMm2: 0.6,
    };
    expect(limitsAt(given(stated), 0.7, 0.35)).toEqual(stated);
    expect(limitsAt(given(stated), 1.9, 0.9)).toEqual(stated);
  });
});

describe("the shortest stretch that is a finding", () => {
  it("is by default 1, 2, 2, 1, 1.5 and 3 bead widths: for a bead of 1.3 mm", () => {
    const least = Object.fromEntries(STRETCH_KINDS.map((kind) => [kind, leastLengthMm(defaults, kind, 1.3)]));
    expect(least).toEqual({ gap: 1.3, underExtrusion: 2.6, overExtrusion: 2.6, liftedStrand: 1.3, displacedStrand: near(1.95), unmeasured: near(3.9) });
  });

  it("is the job's where it says so, 0 mm included; the others keep their default", () => {
    const tolerance = given({ minLengthMm: { gap: 0, unmeasured: 4.5 } });
    expect([leastLengthMm(tolerance, "gap", 1.3), leastLengthMm(tolerance, "unmeasured", 1.3), leastLengthMm(tolerance, "liftedStrand", 1.3)]).toEqual([0, 4.5, 1.3]);
  });
});

describe("the guard factor", () => {
  it.each([["guarded-1.645", 1.645], ["guarded-2", 2], ["guarded-0", 0]])("of %s is %d standard uncertainties", (rule, factor) => {
    expect(guardOf(rule)).toBe(factor);
  });

  it("is 1.645 where the job says nothing", () => {
    expect(guardOf(defaults.decisionRule)).toBe(1.645);
  });

  it.each(["plain", "guarded-", "guarded-x", "guarded-1.6 u"])("a rule %j that got past the schema is a bug: RangeError", (rule) => {
    expect(() => guardOf(rule)).toThrow(RangeError);
  });
});
