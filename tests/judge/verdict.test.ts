import { describe, expect, it } from "vitest";
import { limitsAt } from "../../lib/judge/bands.ts";
import { judgeReading, type Judgement } from "../../lib/judge/verdict.ts";
import type { Reading } from "../../lib/model/reading.ts";
import type { StationLimits } from "../../lib/model/result.ts";
import { madeJob } from "../support/madePlan.ts";
import { madeReading, PLANNED } from "../support/madeReading.ts";

const LIMITS = limitsAt(madeJob().tolerance, PLANNED.widthMm, PLANNED.heightMm);
const RULE = { guard: 1.645, mayBeGood: true };
/** Small enough that no limit is blurred by it. */
const SHARP = { uAreaMm2: 1e-7, uHeightMm: 2e-7, uWidthMm: 3e-7, uOffsetMm: 4e-7 };

function judged(change: Partial<Reading>, limits: StationLimits = LIMITS, rule = RULE): Judgement {
  return judgeReading(madeReading(change), PLANNED, limits, rule);
}
const ratio = (r: number): Partial<Reading> => ({ ...SHARP, areaMm2: r * PLANNED.areaMm2 });
const width = (deviation: number): Partial<Reading> => ({ ...SHARP, widthMm: PLANNED.widthMm + deviation });
const height = (deviation: number): Partial<Reading> => ({ ...SHARP, heightMm: PLANNED.heightMm + deviation });

describe("verdicts just inside, and just beyond each limit (bead 1.0 × 0.5 mm, uncertainty of 0.1 µm)", () => {
  it.each<[string, Partial<Reading>, string]>([
    ["area ratio 0.2499", ratio(0.2499), "gap"], ["area ratio 0.2501", ratio(0.2501), "under"],
    ["area ratio 0.7999", ratio(0.7999), "under"], ["area ratio 0.8001", ratio(0.8001), "watch"], ["area ratio 0.8999", ratio(0.8999), "watch"], ["area ratio 0.9001", ratio(0.9001), "inBand"],
    ["area ratio 1.0999", ratio(1.0999), "inBand"], ["area ratio 1.1001", ratio(1.1001), "watch"], ["area ratio 1.2499", ratio(1.2499), "watch"], ["area ratio 1.2501", ratio(1.2501), "over"],
    ["width −0.2001 mm", width(-0.2001), "under"], ["width −0.1999 mm", width(-0.1999), "watch"], ["width −0.1001 mm", width(-0.1001), "watch"], ["width −0.0999 mm", width(-0.0999), "inBand"],
    ["width +0.0999 mm", width(0.0999), "inBand"], ["width +0.1001 mm", width(0.1001), "watch"], ["width +0.1999 mm", width(0.1999), "watch"], ["width +0.2001 mm", width(0.2001), "over"],
    ["height −0.1201 mm", height(-0.1201), "under"], ["height −0.1199 mm", height(-0.1199), "watch"], ["height −0.0601 mm", height(-0.0601), "watch"], ["height −0.0599 mm", height(-0.0599), "inBand"],
    ["height +0.0599 mm", height(0.0599), "inBand"], ["height +0.0601 mm", height(0.0601), "watch"], ["height +0.1199 mm", height(0.1199), "watch"], ["height +0.1201 mm", height(0.1201), "over"],
    ["height +0.1499 mm", height(0.1499), "over"], ["height +0.1501 mm", height(0.1501), "lifted"],
    ["offset +0.1499 mm", { ...SHARP, offsetMm: 0.1499 }, "inBand"], ["offset +0.1501 mm", { ...SHARP, offsetMm: 0.1501 }, "watch"], ["offset −0.1501 mm", { ...SHARP, offsetMm: -0.1501 }, "watch"],
    ["offset +0.2999 mm", { ...SHARP, offsetMm: 0.2999 }, "watch"], ["offset +0.3001 mm", { ...SHARP, offsetMm: 0.3001 }, "displaced"], ["offset −0.3001 mm", { ...SHARP, offsetMm: -0.3001 }, "displaced"],
    ["coverage 0.8", { coverage: 0.8 }, "inBand"], ["coverage 0.799", { coverage: 0.799 }, "watch"], ["a crown not seen", { crownSeen: false }, "watch"],
  ])("%s: %s", (_what, change, verdict) => {
    expect(judged(change).verdict).toBe(verdict);
  });

  it.each<[string, Partial<Reading>, string]>([
    ["exactly at the act limit, 0.8", { areaMm2: 0.8, uAreaMm2: 0 }, "watch"], ["exactly at the act limit, 1.25", { areaMm2: 1.25, uAreaMm2: 0 }, "watch"],
    ["exactly at the watch limit, 0.9, without uncertainty", { areaMm2: 0.9, uAreaMm2: 0 }, "inBand"], ["exactly at the gap's 0.25", { areaMm2: 0.25, uAreaMm2: 0 }, "under"],
  ])("area ratio %s: %s", (_what, change, verdict) => {
    expect(judgeReading(madeReading(change), { ...PLANNED, areaMm2: 1 }, LIMITS, RULE).verdict).toBe(verdict);
  });
});

describe("the order in which verdicts are looked for", () => {
  const everything = { ...SHARP, areaMm2: 0.1 * PLANNED.areaMm2, heightMm: 0.9, widthMm: 1.05, offsetMm: 0.6 };

  it("gap before lifted, displaced and under", () => {
    expect(judged(everything)).toEqual({ verdict: "gap", proven: true, cause: { metric: "areaRatio", value: expect.closeTo(0.1, 9), limit: 0.25 } });
  });

  it("but displaced where the bead outside the window holds 0.25 of the planned area or more; 0.2499 is a gap", () => {
    expect(judged({ ...everything, outsideRatio: 0.25 })).toEqual({ verdict: "displaced", proven: true, cause: { metric: "offsetMm", value: 0.6, limit: 0.3 } });
    expect(judged({ ...everything, outsideRatio: 0.2499 }).verdict).toBe("gap");
  });

  it("lifted before displaced and over, with the height as its cause", () => {
    expect(judged({ ...everything, areaMm2: 1.4 * PLANNED.areaMm2 })).toEqual({ verdict: "lifted", proven: true, cause: { metric: "heightMm", value: expect.closeTo(0.4, 9), limit: expect.closeTo(0.15, 12) } });
  });

  it("displaced before over and under by area", () => {
    expect(judged({ ...everything, heightMm: 0.5, areaMm2: 1.4 * PLANNED.areaMm2 }).verdict).toBe("displaced");
    expect(judged({ ...everything, heightMm: 0.5, areaMm2: 0.5 * PLANNED.areaMm2 }).verdict).toBe("displaced");
  });

  it("area before width before height: each in turn is the cause", () => {
    const cause = (change: Partial<Reading>): unknown => { const { verdict, cause: c } = judged({ ...SHARP, ...change }); return [verdict, c?.metric]; };
    expect(cause({ areaMm2: 0.7 * PLANNED.areaMm2, widthMm: 1.3, heightMm: 0.63 })).toEqual(["under", "areaRatio"]);
    expect(cause({ widthMm: 1.3, heightMm: 0.37 })).toEqual(["over", "widthMm"]);
    expect(cause({ heightMm: 0.37 })).toEqual(["under", "heightMm"]);
  });
});

describe("lifted: tall without being fat", () => {
  it.each([[0.799, "over"], [0.801, "lifted"], [1.199, "lifted"], [1.201, "over"]])("0.2 mm too high and %d mm wide (act limits 0.8–1.2 mm): %s", (widthMm, verdict) => {
    const { verdict: got, cause } = judged({ ...SHARP, heightMm: 0.7, widthMm, areaMm2: 1.3 * PLANNED.areaMm2 });
    expect([got, cause?.metric]).toEqual([verdict, verdict === "lifted" ? "heightMm" : "areaRatio"]);
  });

  it("needs a flank that was seen: without a width the height alone is over", () => {
    expect(judged({ ...SHARP, heightMm: 0.7, widthMm: Number.NaN, uWidthMm: Number.NaN, offsetMm: Number.NaN, uOffsetMm: Number.NaN })).toMatchObject({ verdict: "over", cause: { metric: "heightMm" } });
  });
});

describe("proven: beyond a limit by g = 1.645 u (ISO 14253-1)", () => {
  it.each<[string, Partial<Reading>, string, boolean]>([
    ["under, 0.8 − 1.64 u", { areaMm2: (0.8 - 1.64 * 0.01) * 0.473, uAreaMm2: 0.01 * 0.473 }, "under", false], ["under, 0.8 − 1.65 u", { areaMm2: (0.8 - 1.65 * 0.01) * 0.473, uAreaMm2: 0.01 * 0.473 }, "under", true],
    ["over, 0.2 mm + 1.64 u wide", { widthMm: 1.2 + 1.64 * 0.02, uWidthMm: 0.02 }, "over", false], ["over, 0.2 mm + 1.65 u wide", { widthMm: 1.2 + 1.65 * 0.02, uWidthMm: 0.02 }, "over", true],
    ["displaced, 0.3 mm + 1.64 u", { offsetMm: -0.3 - 1.64 * 0.03, uOffsetMm: 0.03 }, "displaced", false], ["displaced, 0.3 mm + 1.65 u", { offsetMm: -0.3 - 1.65 * 0.03, uOffsetMm: 0.03 }, "displaced", true],
    ["lifted, 0.15 mm + 1.64 u", { heightMm: 0.65 + 1.64 * 0.015, uHeightMm: 0.015 }, "lifted", false], ["lifted, 0.15 mm + 1.65 u", { heightMm: 0.65 + 1.65 * 0.015, uHeightMm: 0.015 }, "lifted", true],
    ["gap, 0.25 − 1.64 u", { areaMm2: (0.25 - 1.64 * 0.04) * 0.473, uAreaMm2: 0.04 * 0.473 }, "gap", false], ["gap, 0.25 − 1.65 u", { areaMm2: (0.25 - 1.65 * 0.04) * 0.473, uAreaMm2: 0.04 * 0.473 }, "gap", true],
  ])("%s", (_what, change, verdict, proven) => {
    expect(judged(change)).toMatchObject({ verdict, proven });
  });

  it("inBand is proven, watch is not, and neither has a cause", () => {
    expect(judged({})).toEqual({ verdict: "inBand", proven: true, cause: null });
    expect(judged({ coverage: 0.7 })).toEqual({ verdict: "watch", proven: false, cause: null });
  });
});

describe("the guard band against ISO 14253-1 (check values 5.8–5.10: 0.72–0.88 mm, u 0.01 mm)", () => {
  /** Width 0.72–0.88 mm about a plan of 0.8 mm, watch and act the same. */
  const limits: StationLimits = { ...limitsAt(madeJob().tolerance, 0.8, 0.4), widthMm: { watch: [-0.08, 0.08], act: [-0.08, 0.08] } };
  const planned = { widthMm: 0.8, heightMm: 0.4, areaMm2: 0.302832 };
  const verdictAt = (widthMm: number, guard: number): Judgement => judgeReading(madeReading({ ...SHARP, areaMm2: 0.302832, heightMm: 0.4, widthMm, uWidthMm: 0.01 }), planned, limits, { guard, mayBeGood: true });

  it.each([[0.73644, "watch"], [0.73646, "inBand"], [0.86354, "inBand"], [0.86356, "watch"]])("1.645 u accepts 0.73645–0.86355: %d mm is %s", (widthMm, verdict) => {
    expect(verdictAt(widthMm, 1.645).verdict).toBe(verdict);
  });

  it.each([[0.7399, "watch"], [0.7401, "inBand"], [0.8599, "inBand"], [0.8601, "watch"]])("2 u (the older w = U) accepts 0.74–0.86: %d mm is %s", (widthMm, verdict) => {
    expect(verdictAt(widthMm, 2).verdict).toBe(verdict);
  });

  it("0.85 conforms, 0.87 proves neither, 0.91 does not conform (5.10); 0.89 is over but not proven", () => {
    expect([0.85, 0.87, 0.91, 0.89].map((w) => { const { verdict, proven } = verdictAt(w, 2); return [verdict, proven]; }))
      .toEqual([["inBand", true], ["watch", false], ["over", true], ["over", false]]);
  });

  it("a height zone of ± 0.1 mm holds −0.04 … +0.09 mm and not +0.11 mm (check value 5.7, ISO 1101, from memory)", () => {
    const zone: StationLimits = { ...LIMITS, heightMm: { watch: [-0.1, 0.1], act: [-0.1, 0.1] } };
    expect([-0.04, 0.09, 0.11].map((d) => judged({ ...SHARP, heightMm: 0.5 + d }, zone).verdict)).toEqual(["inBand", "inBand", "over"]);
  });
});

describe("g over half its act limit's distance settles nothing", () => {
  it.each<[string, Partial<Reading>, Partial<Reading>, string]>([
    // [what, g just over half, g just under half, verdict when it settles]
    ["area ratio 0.5 (distance 0.2, u 0.061 against 0.0607)", { areaMm2: 0.5 * 0.473, uAreaMm2: 0.061 * 0.473 }, { areaMm2: 0.5 * 0.473, uAreaMm2: 0.0607 * 0.473 }, "under"],
    ["area ratio 1.6 (distance 0.25, u 0.0761 against 0.0759)", { areaMm2: 1.6 * 0.473, uAreaMm2: 0.0761 * 0.473 }, { areaMm2: 1.6 * 0.473, uAreaMm2: 0.0759 * 0.473 }, "over"],
    ["width +0.4 mm (0.2, u 0.061 against 0.0607)", { widthMm: 1.4, uWidthMm: 0.061 }, { widthMm: 1.4, uWidthMm: 0.0607 }, "over"],
    ["height −0.2 mm (0.12, u 0.0366 against 0.0364)", { heightMm: 0.3, uHeightMm: 0.0366 }, { heightMm: 0.3, uHeightMm: 0.0364 }, "under"],
    ["height +0.4 mm (0.15, u 0.0457 against 0.0455)", { heightMm: 0.9, uHeightMm: 0.0457 }, { heightMm: 0.9, uHeightMm: 0.0455 }, "lifted"],
    ["offset 0.7 mm (0.3, u 0.0913 against 0.0911)", { offsetMm: 0.7, uOffsetMm: 0.0913 }, { offsetMm: 0.7, uOffsetMm: 0.0911 }, "displaced"],
  ])("%s: watch, else %s", (_what, blurred, sharp, verdict) => {
    expect(judged({ ...SHARP, ...blurred })).toMatchObject({ verdict: "watch", proven: false, cause: null });
    expect(judged({ ...SHARP, ...sharp }).verdict).toBe(verdict);
  });

  it("a gap's distance is 0.75: at ratio 0.02, u 0.2279 is a gap and 0.2281 is watch", () => {
    expect(judged({ ...SHARP, areaMm2: 0.02 * 0.473, uAreaMm2: 0.2279 * 0.473 }).verdict).toBe("gap");
    expect(judged({ ...SHARP, areaMm2: 0.02 * 0.473, uAreaMm2: 0.2281 * 0.473 }).verdict).toBe("watch");
  });

  it("a metric too unsure to settle is no ground for inBand either: width as planned with u 0.061 mm", () => {
    expect(judged({ ...SHARP, uWidthMm: 0.061 }).verdict).toBe("watch");
  });

  it("beyond its limit but unsure, it does not hide another that is sure: width unsettled, height −0.2 mm is under", () => {
    expect(judged({ ...SHARP, widthMm: 1.4, uWidthMm: 0.061, heightMm: 0.3 })).toMatchObject({ verdict: "under", cause: { metric: "heightMm" } });
  });
});

describe("what was not measured", () => {
  it("a touching bead without width and offset may be inBand by area and height", () => {
    expect(judged({ widthMm: Number.NaN, uWidthMm: Number.NaN, offsetMm: Number.NaN, uOffsetMm: Number.NaN }).verdict).toBe("inBand");
  });

  it("a translucent material whose bias is not stated is never inBand; over and gap are still said", () => {
    const rule = { guard: 1.645, mayBeGood: false };
    expect(judged({}, LIMITS, rule)).toEqual({ verdict: "watch", proven: false, cause: null });
    expect(judged(ratio(1.4), LIMITS, rule).verdict).toBe("over");
    expect(judged(ratio(0.1), LIMITS, rule).verdict).toBe("gap");
  });
});
