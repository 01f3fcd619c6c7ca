import { describe, expect, it } from "vitest";
import { limitsAt } from "../../lib/judge/bands.ts";
import { metricOf, type JudgedStation } from "../../lib/judge/judged.ts";
import { findStretches, KIND_OF } from "../../lib/judge/stretches.ts";
import { judgeReading } from "../../lib/judge/verdict.ts";
import { VERDICTS, type StationResult, type Verdict } from "../../lib/model/result.ts";
import type { Reading } from "../../lib/model/reading.ts";
import { madeJob } from "../support/madePlan.ts";
import { madeReading, PLANNED } from "../support/madeReading.ts";

const { tolerance } = madeJob();
const LIMITS = limitsAt(tolerance, PLANNED.widthMm, PLANNED.heightMm);
const SHARP = { uAreaMm2: 1e-7, uHeightMm: 2e-7, uWidthMm: 3e-7, uOffsetMm: 4e-7 };

/** A station with a reading that is judged, or "unmeasured" or "pending" without one. */
function station(sMm: number, seen: Partial<Reading> | "unmeasured" | "pending"): JudgedStation {
  const base = { layer: 2, strand: 3, sMm, attempt: 1, position: [sMm, 7, 0.5] as const, planned: PLANNED, sagMm: null, camera: null, limits: LIMITS };
  if (typeof seen === "string") return { result: { ...base, laid: seen === "unmeasured", measured: null, u: null, areaRatio: null, verdict: seen, proven: false }, cause: null };
  const r = madeReading({ ...SHARP, ...seen });
  const { verdict, proven, cause } = judgeReading(r, PLANNED, LIMITS, { guard: 1.645, mayBeGood: true });
  const orNull = (v: number): number | null => (Number.isNaN(v) ? null : v);
  const result: StationResult = {
    ...base, laid: true, areaRatio: r.areaMm2 / PLANNED.areaMm2, verdict, proven,
    measured: { widthMm: orNull(r.widthMm), heightMm: orNull(r.heightMm), areaMm2: r.areaMm2, offsetMm: orNull(r.offsetMm), coverage: r.coverage, support: r.support, ageS: 1.5 },
    u: { widthMm: r.uWidthMm, heightMm: r.uHeightMm, areaMm2: r.uAreaMm2, offsetMm: r.uOffsetMm, placementMm: null },
  };
  return { result, cause };
}

/** Stations every 0.5 mm with the given area ratios. */
const ratios = (...values: number[]): JudgedStation[] => values.map((v, i) => station(0.5 * i, { areaMm2: v * PLANNED.areaMm2 }));
const each = (...values: (Partial<Reading> | "unmeasured" | "pending")[]): JudgedStation[] => values.map((v, i) => station(0.5 * i, v));
const repeat = <T>(n: number, value: T): T[] => Array.from({ length: n }, () => value);
const near = (v: number): unknown => expect.closeTo(v, 9);
const found = (stations: readonly JudgedStation[], t = tolerance) => findStretches(stations, t);

describe("KIND_OF", () => {
  it("gives six verdicts a finding of their own, and inBand, watch, pending and removed none", () => {
    expect(VERDICTS.filter((v: Verdict) => KIND_OF[v] === null)).toEqual(["inBand", "watch", "pending", "removed"]);
    expect(new Set(Object.values(KIND_OF).filter((k) => k !== null)).size).toBe(6);
  });
});

describe("where a stretch begins and ends (bead 1.0 mm, stations every 0.5 mm)", () => {
  it("an under-extrusion: where the ratio crosses 0.8, linear between stations: 1.0 → 0.7 at a third, 0.7 → 0.9 at half", () => {
    const [f, ...more] = found(ratios(1, 1, 0.7, 0.6, 0.62, 0.65, 0.7, 0.9, 1));
    expect(more).toEqual([]);
    // from 0.5 (1.0) to 1.0 (0.7): 0.8 at 0.5 + 0.5 · 2/3; from 3.0 (0.7) to 3.5 (0.9): 0.8 at 3.25
    expect(f).toMatchObject({ kind: "underExtrusion", severity: "act", proven: true, layer: 2, strand: 3, fromMm: near(0.5 + 1 / 3), toMm: near(3.25), lengthMm: near(3.25 - 0.5 - 1 / 3) });
    expect(f).toMatchObject({ position: [1.5, 7, 0.5], worst: { metric: "areaRatio", value: near(0.6), limit: 0.8 } });
  });

  it("a gap: where the ratio crosses 0.5, however steep; 1.0 → 0.0 → 1.0 over 3 stations is 2.0 mm long", () => {
    const [f] = found(ratios(1, 1, 0, 0, 0, 0, 1, 1));
    expect(f).toMatchObject({ kind: "gap", fromMm: near(0.75), toMm: near(2.75), lengthMm: near(2), worst: { metric: "areaRatio", value: 0, limit: 0.25 } });
  });

  it("a gap reaches on over neighbours under half: 0.4 belongs to it, and the under-extrusion there is no finding of its own", () => {
    const all = found(ratios(1, 0.4, 0.1, 0.1, 0.1, 0.4, 1, 1));
    expect(all).toHaveLength(1);
    // 1.0 at 0 and 0.4 at 0.5: 0.5 at 0.5 · 5/6; 0.4 at 2.5 and 1.0 at 3: 0.5 at 2.5 + 0.5 / 6
    expect(all[0]).toMatchObject({ kind: "gap", fromMm: near(0.5 * 5 / 6), toMm: near(2.5 + 0.5 / 6) });
  });

  it("a displacement to the right: where the offset's size crosses 0.3 mm", () => {
    const [f] = found(each({}, { offsetMm: -0.2 }, { offsetMm: -0.4 }, { offsetMm: -0.45 }, { offsetMm: -0.5 }, { offsetMm: -0.4 }, { offsetMm: -0.1 }, {}));
    expect(f).toMatchObject({ kind: "displacedStrand", fromMm: near(0.75), toMm: near(2.5 + 0.5 / 3), worst: { metric: "offsetMm", value: -0.5, limit: 0.3 } });
  });

  it("a lift: where the height passes 0.15 mm over plan; its worst value is measured − planned, 0.31 mm", () => {
    const lift = (mm: number): Partial<Reading> => ({ heightMm: 0.5 + mm });
    const [f] = found(each({}, {}, lift(0.2), lift(0.31), lift(0.25), {}, {}));
    expect(f).toMatchObject({ kind: "liftedStrand", fromMm: near(0.5 + 0.375), toMm: near(2 + 0.5 * 0.1 / 0.25), worst: { metric: "heightMm", value: near(0.31) } });
  });

  it("runs to the strand's own ends, 0 and 4.0 mm, and no further", () => {
    expect(found(ratios(...repeat(9, 0.7)))).toMatchObject([{ fromMm: 0, toMm: 4, lengthMm: 4 }]);
  });

  it("half-way where the next station was not measured", () => {
    const [f] = found([...ratios(1, 0.7, 0.7, 0.7, 0.7, 0.7), station(3, "unmeasured"), station(3.5, {})]);
    expect(f).toMatchObject({ kind: "underExtrusion", toMm: near(2.75) });
  });

  it("beside laid ground that ends: a pending neighbour, half-way too", () => {
    const [f] = found([...ratios(1, 0.7, 0.7, 0.7, 0.7, 0.7), station(3, "pending")]);
    expect(f).toMatchObject({ toMm: near(2.75) });
  });
});

describe("the least length of a finding (gap 1 w, under and over 2 w, lift 1 w, displacement 1.5 w, unmeasured 3 w)", () => {
  it("an under-extrusion of 2.0 mm on a bead of 1.0 mm is one, of 1.98 mm none", () => {
    // one step from 1 to 0.6 crosses 0.8 half-way: four stations under make 2.0 mm, and a ratio of 0.604 makes it shorter
    expect(found(ratios(1, 0.6, 0.6, 0.6, 0.6, 1))).toMatchObject([{ kind: "underExtrusion", lengthMm: near(2) }]);
    expect(found(ratios(1, 0.604, 0.6, 0.6, 0.604, 1)).filter((f) => f.severity === "act")).toEqual([]);
  });

  it("a gap of 1.0 mm is one, of 0.99 mm none", () => {
    expect(found(ratios(1, 0, 0, 1))).toMatchObject([{ kind: "gap", lengthMm: near(1) }]);
    expect(found(ratios(1, 0.02, 0, 1)).filter((f) => f.kind === "gap")).toEqual([]);
  });

  it("unmeasured for 3.0 mm is one, of severity watch and unproven, with the coverage as its reason; for 2.5 mm none", () => {
    const dark = (n: number): JudgedStation[] => each({}, {}, ...repeat(n, "unmeasured" as const), {}, {});
    expect(found(dark(6))).toMatchObject([{ kind: "unmeasured", severity: "watch", proven: false, fromMm: near(0.75), toMm: near(3.75), lengthMm: near(3), worst: { metric: "coverage", value: null, limit: 0.6 } }]);
    expect(found(dark(5))).toEqual([]);
  });

  it("the job's own minLengthMm counts in place of it: an over-extrusion of 1.0 mm from 0.9 mm on, not from 1.1 mm on", () => {
    const over = ratios(1, 1, 1.5, 1.5, 1, 1);
    const least = (mm: number) => ({ ...tolerance, minLengthMm: { ...tolerance.minLengthMm, overExtrusion: mm } });
    expect(found(over, least(0.9)).filter((f) => f.severity === "act")).toMatchObject([{ kind: "overExtrusion", lengthMm: near(1) }]);
    expect(found(over, least(1.1)).filter((f) => f.severity === "act")).toEqual([]);
  });

  it("what is too short for a finding of its kind claims nothing: pending and inBand stations never make one", () => {
    expect(found(each({}, {}, {}, "pending", "pending", "pending", "pending", "pending", "pending", "pending"))).toEqual([]);
  });
});

describe("stretches that belong together", () => {
  it("two runs of under with one watch station between (1.0 mm from under to under) are one of 4.33 mm; with an inBand one between there is not one", () => {
    const joined = found(ratios(1, 0.7, 0.7, 0.7, 0.7, 0.85, 0.7, 0.7, 0.7, 0.7, 1));
    expect(joined.filter((f) => f.severity === "act")).toMatchObject([{ kind: "underExtrusion", lengthMm: near(4.5 + 0.5 / 3 - 0.5 * 2 / 3) }]);
    const split = found(ratios(1, 0.7, 0.7, 0.7, 0.7, 1, 0.7, 0.7, 0.7, 0.7, 1));
    expect(split.filter((f) => f.severity === "act").length).not.toBe(1);
  });

  it("two watch stations (1.5 mm from under to under, over one bead width) part them", () => {
    const parts = found(ratios(1, 0.6, 0.6, 0.6, 0.6, 0.6, 0.85, 0.85, 0.6, 0.6, 0.6, 0.6, 0.6, 1)).filter((f) => f.severity === "act");
    expect(parts.map((f) => f.kind)).toEqual(["underExtrusion", "underExtrusion"]);
    expect(parts[0]!.toMm).toBeLessThan(parts[1]!.fromMm);
  });

  it("different kinds side by side are findings of their own, in order along the strand: gap, then over", () => {
    expect(found(ratios(1, 0, 0, 0, 1, 1, 1.5, 1.5, 1.5, 1.5, 1.5, 1)).filter((f) => f.severity === "act").map((f) => f.kind)).toEqual(["gap", "overExtrusion"]);
  });

  it("a finding is proven where its worst station is: the worst one here has an uncertainty that proves nothing", () => {
    const stations = each({}, ...repeat(4, { areaMm2: 0.75 * PLANNED.areaMm2 }), { areaMm2: 0.72 * PLANNED.areaMm2, uAreaMm2: 0.057 * PLANNED.areaMm2 }, {});
    expect(found(stations).filter((f) => f.severity === "act")).toMatchObject([{ kind: "underExtrusion", proven: false, worst: { value: near(0.72) } }]);
  });

  it("worst is the station furthest beyond its limit: 0.55, the fourth, at s 1.5 mm", () => {
    expect(found(ratios(1, 0.7, 0.62, 0.55, 0.66, 0.7, 1))[0]).toMatchObject({ position: [1.5, 7, 0.5], worst: { value: near(0.55) } });
  });
});

describe("watch findings: the mean over 5 w (5.0 mm) beyond a watch limit", () => {
  it.each([[0.899, 1], [0.901, 0]])("an area ratio of %d all along 8 mm makes %d", (r, count) => {
    const all = found(ratios(...repeat(17, r)));
    expect(all.filter((f) => f.severity === "watch")).toHaveLength(count);
    if (count === 1) expect(all[0]).toMatchObject({ kind: "underExtrusion", severity: "watch", proven: false, fromMm: 0, toMm: 8, worst: { metric: "areaRatio", value: near(0.899), limit: 0.9 } });
  });

  it("among stations at 1.0, nine at 0.86 are one (the best 11 hold 9 · 0.86 + 2 · 1.0 = 9.74, under 11 · 0.9) and six are none (10.16)", () => {
    const within = (n: number): JudgedStation[] => ratios(...repeat(8, 1), ...repeat(n, 0.86), ...repeat(8, 1));
    expect(found(within(9)).filter((f) => f.severity === "watch")).toHaveLength(1);
    expect(found(within(6))).toEqual([]);
  });

  it("begins and ends where the metric crosses the watch limit: 1.0 → 0.86 crosses 0.9 after 5/7 of the way", () => {
    const [f] = found(ratios(...repeat(8, 1), ...repeat(12, 0.86), ...repeat(8, 1)));
    expect(f).toMatchObject({ kind: "underExtrusion", severity: "watch", fromMm: near(3.5 + 0.5 * 5 / 7), toMm: near(9.5 + 0.5 * 2 / 7) });
  });

  it.each<[string, string, string, number, Partial<Reading>]>([
    ["area ratio 1.15", "overExtrusion", "areaRatio", 1.1, { areaMm2: 1.15 * PLANNED.areaMm2 }],
    ["width +0.13 mm", "overExtrusion", "widthMm", 0.1, { widthMm: 1.13 }], ["width −0.13 mm", "underExtrusion", "widthMm", -0.1, { widthMm: 0.87 }],
    ["height +0.08 mm", "overExtrusion", "heightMm", 0.06, { heightMm: 0.58 }], ["height −0.08 mm", "underExtrusion", "heightMm", -0.06, { heightMm: 0.42 }],
    ["offset +0.2 mm", "displacedStrand", "offsetMm", 0.15, { offsetMm: 0.2 }], ["offset −0.2 mm", "displacedStrand", "offsetMm", 0.15, { offsetMm: -0.2 }],
  ])("%s all along is one finding %s, by %s, limit %d", (_what, kind, metric, limit, change) => {
    expect(found(each(...repeat(15, change)))).toMatchObject([{ kind, severity: "watch", worst: { metric, limit: near(limit) } }]);
  });

  it("a strand of 2 mm, shorter than 5 w, is judged as a whole", () => {
    expect(found(ratios(...repeat(5, 0.87)))).toMatchObject([{ kind: "underExtrusion", severity: "watch", fromMm: 0, toMm: 2 }]);
  });

  it("stations that were not measured take part in no mean: 3 mm of 0.86 on each side of a dark station are none", () => {
    expect(found(each(...repeat(7, { areaMm2: 0.86 * PLANNED.areaMm2 }), "unmeasured", ...repeat(7, { areaMm2: 0.86 * PLANNED.areaMm2 })))).toEqual([]);
  });

  it("act swallows the watch that adjoins it and is of its kind: 0.7 among 0.87 leaves one under-extrusion, act", () => {
    const all = found(ratios(1, ...repeat(14, 0.87), ...repeat(6, 0.7), ...repeat(14, 0.87), 1));
    expect(all).toMatchObject([{ kind: "underExtrusion", severity: "act" }]);
  });

  it("but not one of another kind: a lift in a stretch that is 1.15 over stays beside it", () => {
    const over = { areaMm2: 1.15 * PLANNED.areaMm2 };
    const all = found(each(...repeat(14, over), ...repeat(4, { heightMm: 0.75 }), ...repeat(14, over)));
    expect(all.map((f) => [f.kind, f.severity])).toEqual([["overExtrusion", "watch"], ["liftedStrand", "act"], ["overExtrusion", "watch"]]);
  });

  it("a stretch belongs to one finding: 0.85 by area, −0.13 mm by width and −0.08 mm by height together are one, by area", () => {
    const thin = { areaMm2: 0.85 * PLANNED.areaMm2, widthMm: 0.87, heightMm: 0.42 };
    expect(found(each(...repeat(15, thin)))).toMatchObject([{ worst: { metric: "areaRatio" } }]);
  });
});

describe("metricOf", () => {
  const { result } = station(1.5, { areaMm2: 0.43, widthMm: 1.07, heightMm: 0.46, offsetMm: -0.02 });
  it("is the ratio, measured − planned, or the offset as it is", () => {
    expect([metricOf(result, "areaRatio"), metricOf(result, "widthMm"), metricOf(result, "heightMm"), metricOf(result, "offsetMm")]).toEqual([near(0.43 / 0.473), near(0.07), near(-0.04), -0.02]);
  });

  it("is null where nothing was measured, or no flank seen", () => {
    expect(metricOf(station(1, "unmeasured").result, "heightMm")).toBeNull();
    expect(metricOf(station(1, { widthMm: Number.NaN }).result, "widthMm")).toBeNull();
  });
});
