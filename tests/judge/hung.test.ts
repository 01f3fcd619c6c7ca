import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { outlineMm, visibleAreaMm2 } from "../../lib/formula/bead.ts";
import { limitsAt } from "../../lib/judge/bands.ts";
import { asHung, type Seen } from "../../lib/judge/hung.ts";
import { judgeReading } from "../../lib/judge/verdict.ts";
import { madeJob } from "../support/madePlan.ts";
import { madeReading } from "../support/madeReading.ts";

const W = 1.2, H = 0.6;
const PLAN = { widthMm: W, heightMm: H, areaMm2: visibleAreaMm2("stadium", W, H) };
const near = (v: number) => expect.closeTo(v, 9);

/** A stadium of `flow` times the planned area in the planned proportions, its crown let down by `sagMm`; what is seen over the planned base, integrated. */
function hanging(flow: number, sagMm: number): Seen {
  const k = Math.sqrt(flow), w = W * k, h = H * k, steps = 20000;
  let area = 0;
  for (let i = 0; i < steps; i++) area += Math.max(0, outlineMm("stadium", w, h, ((i + 0.5) / steps - 0.5) * w) - sagMm) * w / steps;
  return { support: "spanned", coverage: 0.93, areaMm2: area, uAreaMm2: 0.004, heightMm: h - sagMm, uHeightMm: 0.003, widthMm: w, uWidthMm: 0.008 };
}

describe("a spanned bead of 1.2 × 0.6 mm as it hangs", () => {
  it.each([[1, 0], [1, 0.09], [1, 0.14], [0.75, 0], [0.75, 0.06], [1.3, 0.11]])("flow %d, sag %d mm: area and height without the sag, against the integral over its outline, to 0.1 %%", (flow, sagMm) => {
    const hung = asHung(hanging(flow, sagMm), PLAN);
    expect(Math.abs(hung.areaMm2 / (flow * PLAN.areaMm2) - 1)).toBeLessThan(1e-3);
    expect(hung.heightMm).toBeCloseTo(H * Math.sqrt(flow), 9);
  });

  it("a quarter of the height is the most that counts as sag: 0.149 mm is all given back, of 0.2 mm 0.15", () => {
    expect(asHung(hanging(1, 0.149), PLAN).heightMm).toBeCloseTo(0.6, 9);
    expect(asHung(hanging(1, 0.2), PLAN).heightMm).toBeCloseTo(0.55, 9);
  });

  it.each([[0.799, 0.6], [0.8, 0.6 * Math.sqrt(1.3)]])("one that is wider than planned is believed to be so from a coverage of 0.8 on: at %d it is %d mm high as it hangs", (coverage, heightMm) => {
    expect(asHung({ ...hanging(1.3, 0.11), coverage }, PLAN).heightMm).toBeCloseTo(heightMm, 9);
  });

  it("nothing is given back to one that stands on a support, stands higher than its width lets expect, or whose crown was not seen", () => {
    for (const seen of [{ ...hanging(1, 0.1), support: "measured" as const }, { ...hanging(1, 0), heightMm: 0.63 }, { ...hanging(1, 0.1), heightMm: Number.NaN }]) {
      expect(asHung(seen, PLAN)).toEqual({ areaMm2: seen.areaMm2, uAreaMm2: 0.004, heightMm: seen.heightMm, uHeightMm: 0.003 });
    }
  });

  it("with a flank hidden half of the lowness is taken as sag, ± all of it / √12 (JCGM 100, 4.3.7)", () => {
    const hung = asHung({ ...hanging(1, 0.12), widthMm: Number.NaN, uWidthMm: Number.NaN }, PLAN);
    expect(hung.heightMm).toBeCloseTo(0.54, 9);
    expect(hung.uHeightMm).toEqual(near(Math.hypot(0.003, 0.12 / Math.sqrt(12))));
    expect(hung.uAreaMm2).toEqual(near(Math.hypot(0.004, W * 0.12 / Math.sqrt(12))));
  });

  it("area never shrinks, uncertainty never shrinks, and more sag of the same bead never looks like more paste", () => {
    fc.assert(fc.property(fc.double({ min: 0.3, max: 2, noNaN: true }), fc.double({ min: 0, max: 0.1, noNaN: true }), fc.double({ min: 0.001, max: 0.05, noNaN: true }), (flow, sagMm, moreMm) => {
      const k = Math.sqrt(flow), seen: Seen = { support: "spanned", coverage: 0.91, areaMm2: flow * 0.6 - sagMm * W * k, uAreaMm2: 0.004, heightMm: H * k - sagMm, uHeightMm: 0.003, widthMm: W * k, uWidthMm: 0.008 };
      const hung = asHung(seen, PLAN), lower = asHung({ ...seen, areaMm2: seen.areaMm2 - moreMm * W * k, heightMm: seen.heightMm - moreMm }, PLAN);
      expect(hung.areaMm2).toBeGreaterThanOrEqual(seen.areaMm2);
      expect(hung.uAreaMm2).toBeGreaterThanOrEqual(0.004);
      expect(lower.areaMm2).toBeLessThanOrEqual(hung.areaMm2 + 1e-9);
    }), { seed: 5 });
  });
});

describe("verdicts of spanned beads", () => {
  const limits = limitsAt(madeJob().tolerance, W, H);
  const verdict = (seen: Seen) => judgeReading(madeReading({ ...seen, sagMm: H - seen.heightMm }), PLAN, limits, { guard: 1.645, mayBeGood: true });

  it("a whole bead that hangs 0.14 mm deep (area ratio 0.75 over the planned base) is watch, neither under nor called good; the same on a support is under; one that hangs 0.01 mm is inBand", () => {
    expect(hanging(1, 0.14).areaMm2 / PLAN.areaMm2).toBeLessThan(0.76);
    expect(verdict(hanging(1, 0.14)).verdict).toBe("watch");
    expect(verdict(hanging(1, 0.01)).verdict).toBe("inBand");
    expect(verdict({ ...hanging(1, 0.14), support: "measured" }).verdict).toBe("under");
  });

  it.each([0, 0.05, 0.1])("one of 0.75 of its flow is under by area, and proven, whether it hangs %d mm deep", (sagMm) => {
    expect(verdict(hanging(0.75, sagMm))).toMatchObject({ verdict: "under", proven: true, cause: { metric: "areaRatio", limit: 0.8 } });
  });

  it("what is missing altogether is a gap, hung or not", () => {
    expect(verdict({ ...hanging(1, 0.1), areaMm2: 0.1, heightMm: 0.3 }).verdict).toBe("gap");
  });
});
