/** Sections to draw, kept while a rehearsal is measured; truth is the rehearsal's own geometry and the profiles themselves. */
import { beforeAll, describe, expect, it } from "vitest";
import { outlineMm } from "../../lib/formula/bead.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import type { InspectResult, StationResult } from "../../lib/model/result.ts";
import { unpackCut, type SectionCut } from "../../lib/model/sectionCut.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { simulate, type Rehearsal } from "../../lib/rehearsal/simulate.ts";
import { RunEngine } from "../../lib/run/engine.ts";
import { RunKeeper } from "../../lib/run/keepRun.ts";
import { measureRehearsal, messagesOf } from "../support/phantom.ts";

interface Kept { readonly rehearsal: Rehearsal; readonly result: InspectResult; readonly cuts: readonly SectionCut[]; readonly keeper: RunKeeper; readonly largestBytes: number; readonly spikes: number }

function keep(settings: Partial<RehearsalSettings>): Kept {
  const rehearsal = simulate({ strands: 2, lengthMm: 6, points: 200, dxMm: 0.04, seed: 3, ...settings });
  const { job } = resolveJob(rehearsal.jobJson, "job.json");
  const keeper = new RunKeeper();
  const engine = new RunEngine(readPlanCsv(rehearsal.planCsv, job, "plan.csv").plan, job, { hasProgress: rehearsal.progress.length > 0, output: keeper });
  for (const message of messagesOf(rehearsal)) engine.push(message);
  const result = engine.finish([], {}), packed = [...keeper.cuts()];
  const cuts = packed.map(unpackCut);
  return { rehearsal, result, cuts, keeper, largestBytes: Math.max(...packed.map((p) => p.drawing.byteLength)), spikes: cuts.reduce((n, c) => n + c.notUsedCount, 0) };
}
const keyOf = (s: { layer: number; strand: number; attempt: number }, i: number): string => `${s.layer}/${s.strand}/${s.attempt}/${i}`;
/** Measured stations with their place in the strand. */
function measured(list: readonly StationResult[], spacingMm = 0.5): [string, StationResult][] {
  return list.filter((s) => s.measured !== null).map((s) => [keyOf(s, Math.round(s.sMm / spacingMm)), s]);
}

describe("sections of two exact strands of 6 mm, beads 1.0 × 0.5 mm, noise 8 µm, seed 3", () => {
  let kept: Kept;
  beforeAll(() => { kept = keep({ variationFraction: 0, wanderMm: 0, sigmaMm: 0.008, spikeFraction: 0 }); });

  it("each of the 26 measured stations has one, at most 0.25 mm off along the strand (profiles every 0.25 mm), in 968 bytes or less", () => {
    const byKey = new Map(kept.cuts.map((c) => [keyOf(c, c.stationIndex), c]));
    for (const [key] of measured(kept.result.stations)) expect(Math.abs(byKey.get(key)!.alongMm)).toBeLessThanOrEqual(0.25);
    expect([kept.cuts.length, kept.largestBytes <= 968]).toEqual([26, true]);
  });

  it("points lie on the planned outline: within 5 σ, 40 µm, over the flat top, and on the base beside", () => {
    for (const cut of kept.cuts) {
      const used = cut.points.filter((p) => p.used), top = used.filter((p) => Math.abs(p.bMm) < 0.2), beside = used.filter((p) => Math.abs(p.bMm) > 0.6 && Math.abs(p.bMm) < 0.8);
      expect(top.length).toBeGreaterThan(5);
      expect(beside.length).toBeGreaterThan(3);
      for (const p of top) expect(Math.abs(p.nMm - outlineMm("stadium", 1, 0.5, p.bMm))).toBeLessThan(0.04);
      for (const p of beside) expect(Math.abs(p.nMm)).toBeLessThan(0.04);
    }
  });

  it("its support is the base, seen; its flanks, crown and window are the reading's, flanks to 60 µm of ± 0.5 mm", () => {
    for (const cut of kept.cuts) {
      expect(cut.support.every((s) => s.kind === "measured" && Math.abs(s.nMm) < 0.03)).toBe(true);
      expect(Math.abs(cut.flanks.rightMm! + 0.5)).toBeLessThan(0.06);
      expect(Math.abs(cut.flanks.leftMm! - 0.5)).toBeLessThan(0.06);
      expect([cut.window.rightMm, cut.window.leftMm]).toEqual([-0.8, 0.8]);
      const station = kept.result.stations.find((s) => s.strand === cut.strand && Math.abs(s.sMm - 0.5 * cut.stationIndex) < 1e-6)!;
      expect(Math.abs(cut.crownMm! - station.measured!.heightMm!)).toBeLessThan(0.00051);
    }
  });

  it("the profile that it shows is named: device, seq and tS are those of a profile that was sent", () => {
    const sent = new Map([...kept.rehearsal.profiles()].map((p) => [`${p.device}/${p.seq}`, p.tS]));
    for (const cut of kept.cuts) expect(sent.get(`${cut.device}/${cut.seq}`)).toBe(cut.tS);
  });

  it("b rises from point to point, and without spikes and past no end nothing was left out", () => {
    for (const cut of kept.cuts) cut.points.forEach((p, i) => { if (i > 0) expect(p.bMm).toBeGreaterThanOrEqual(cut.points[i - 1]!.bMm); });
    const inside = kept.cuts.filter((c) => c.stationIndex > 1 && c.stationIndex < 11);
    expect(inside.reduce((n, c) => n + c.notUsedCount, 0) / inside.length).toBeLessThan(0.5);
  });

  it("the result is the same, bit for bit, whether sections are kept or not", () => {
    expect({ ...kept.result, tolerance: null }).toEqual({ ...measureRehearsal(kept.rehearsal), tolerance: null });
  });

  it("the history names every reading of a station, the one that stands among them, with its own profile", () => {
    const history = [...kept.keeper.history()];
    for (const [key, station] of measured(kept.result.stations)) {
      const of = history.filter((h) => keyOf(h, h.stationIndex) === key), stands = of.filter((h) => h.stood).at(-1)!;
      expect(of.map((h) => h.ordinal)).toEqual(of.map((_, i) => i + 1));
      expect([stands.areaMm2, stands.verdict]).toEqual([expect.closeTo(station.measured!.areaMm2, 5), station.verdict]);
    }
    const sent = new Map([...kept.rehearsal.profiles()].map((p) => [`${p.device}/${p.seq}`, p.tS]));
    for (const h of history) expect(sent.get(`${h.device}/${h.seq}`)).toBe(h.tS);
  });
});

describe("what was taken out, hollows, slanting planes, attempts", () => {
  it("3 % of spikes of 1.5 mm stand 0.5 mm and more off the outline and are shown as not used; no used point does", () => {
    const { cuts, spikes } = keep({ variationFraction: 0, wanderMm: 0, spikeFraction: 0.03, seed: 4 });
    expect(spikes).toBeGreaterThan(cuts.length / 3);
    const off = (p: { bMm: number; nMm: number }): number => Math.min(Math.abs(p.nMm), Math.abs(p.nMm - outlineMm("stadium", 1, 0.5, p.bMm)));
    const middle = cuts.filter((c) => c.stationIndex > 1 && c.stationIndex < 11).flatMap((c) => c.points).filter((p) => Math.abs(p.bMm) < 0.4 || (Math.abs(p.bMm) > 0.6 && Math.abs(p.bMm) < 0.9));
    expect(middle.filter((p) => p.used && off(p) > 0.5)).toEqual([]);
    expect(middle.filter((p) => !p.used && off(p) > 0.5).length).toBeGreaterThan(5);
  });

  it("over a hollow of a lattice the support is the planned base, 0, and marked spanned", () => {
    const { cuts, result } = keep({ pattern: "lattice", layers: 2, strands: 4, lengthMm: 8, seed: 2 });
    const spanned = new Set(measured(result.stations).filter(([, s]) => s.measured!.support === "spanned").map(([key]) => key));
    const there = cuts.filter((c) => spanned.has(keyOf(c, c.stationIndex)));
    expect(there.length).toBeGreaterThan(8);
    for (const cut of there) {
      const middle = cut.support.filter((s) => Math.abs(s.bMm) < 0.3);
      expect(middle.filter((s) => s.kind === "spanned" && s.nMm === 0).length).toBeGreaterThanOrEqual(middle.length / 2);
    }
  });

  it("a plane turned by 40°, and two profilers, leave no measured station without a section", () => {
    for (const settings of [{ skewDeg: 40 }, { profilers: 2 }]) {
      const { cuts, result } = keep(settings);
      const there = new Set(cuts.map((c) => keyOf(c, c.stationIndex)));
      expect(measured(result.stations).filter(([key]) => !there.has(key))).toEqual([]);
    }
  });

  it("both attempts of a stretch that was laid twice have sections and a history of their own", () => {
    const { cuts, result, keeper } = keep({ rework: [{ layer: 1, strand: 2, fromMm: 2, toMm: 4 }] });
    const there = new Set(cuts.map((c) => keyOf(c, c.stationIndex))), read = new Set([...keeper.history()].map((h) => keyOf(h, h.stationIndex)));
    const both = [...measured(result.earlierAttempts), ...measured(result.stations.filter((s) => s.attempt === 2))];
    expect(both).toHaveLength(10);
    for (const [key] of both) expect([there.has(key), read.has(key)]).toEqual([true, true]);
  });
});
