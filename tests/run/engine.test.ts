/** The whole way from messages to a result, on small rehearsals whose truth is integrated from their own bodies, and on closed forms. */
import { describe, expect, it } from "vitest";
import { visibleAreaMm2 } from "../../lib/formula/bead.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import type { ProfileMessage } from "../../lib/model/messages.ts";
import type { InspectResult, StationResult } from "../../lib/model/result.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { simulate, type Rehearsal } from "../../lib/rehearsal/simulate.ts";
import { RunEngine } from "../../lib/run/engine.ts";
import { meanOf } from "../support/numbers.ts";
import { measurePhantom, measureRehearsal, messagesOf } from "../support/phantom.ts";

const SMALL: Partial<RehearsalSettings> = { strands: 2, lengthMm: 6, points: 200, dxMm: 0.04, seed: 3 };
const small = (change: Partial<RehearsalSettings> = {}): Rehearsal => simulate({ ...SMALL, ...change });
const acts = (r: InspectResult): string[] => r.findings.filter((f) => f.severity === "act").map((f) => f.kind);

function engineOf(r: Rehearsal): RunEngine {
  const { job } = resolveJob(r.jobJson, "job.json");
  return new RunEngine(readPlanCsv(r.planCsv, job, "plan.csv").plan, job, { hasProgress: r.progress.length > 0 });
}

describe("two strands of 6 mm, beads of 1.0 × 0.5 mm without variation", () => {
  const exact = measureRehearsal(small({ variationFraction: 0, wanderMm: 0, sigmaMm: 0.008 }));

  it("26 stations, all laid, measured and in band; no finding at all", () => {
    expect(exact.summary).toMatchObject({ stations: 26, laid: 26, measured: 26, inBandLengthFraction: 1 });
    expect(exact.findings).toEqual([]);
    expect([exact.events, exact.frames, exact.motion, exact.earlierAttempts]).toEqual([[], [], null, []]);
  });

  it("area is the closed form w h − (1 − π/4) h²/2 = 0.473175 mm² to 1 % on average and 3 % at every station", () => {
    const closed = visibleAreaMm2("stadium", 1, 0.5);
    const ratios = exact.stations.map((s) => s.measured!.areaMm2 / closed);
    expect(Math.abs(meanOf(ratios) - 1)).toBeLessThan(0.01);
    for (const ratio of ratios) expect(Math.abs(ratio - 1)).toBeLessThan(0.03);
  });

  it("width 1.0 mm, height 0.5 mm, offset 0 to 15, 5 and 6 µm on average", () => {
    const mean = (of: (m: NonNullable<StationResult["measured"]>) => number | null): number => meanOf(exact.stations.map((s) => of(s.measured!) as number));
    expect(Math.abs(mean((m) => m.widthMm) - 1)).toBeLessThan(0.015);
    expect(Math.abs(mean((m) => m.heightMm) - 0.5)).toBeLessThan(0.005);
    expect(Math.abs(mean((m) => m.offsetMm))).toBeLessThan(0.006);
  });

  it("both volumes are about 12 mm × 0.473 mm², and planned is exact to 0.3 %", () => {
    expect(Math.abs(exact.summary.plannedVolumeMm3 / (12 * visibleAreaMm2("stadium", 1, 0.5)) - 1)).toBeLessThan(0.003);
    expect(Math.abs(exact.summary.measuredVolumeMm3 / exact.summary.plannedVolumeMm3 - 1)).toBeLessThan(0.01);
  });

  it("the profiler trails 8 mm behind at 8 mm/s: ages are about 1 s and never under 0", () => {
    for (const s of exact.stations) {
      expect(s.measured!.ageS!).toBeGreaterThan(0);
      expect(s.measured!.ageS!).toBeLessThan(20);
    }
    expect(exact.stations.some((s) => s.measured!.ageS! < 1.5)).toBe(true);
  });
});

describe("what runs have and lack", () => {
  it("without progress a single layer is read as laid whole: every station measured, ages null", () => {
    const result = measureRehearsal(small({ progress: false, scan: "later" }));
    expect(result.summary).toMatchObject({ laid: 26, measured: 26 });
    expect(result.stations.every((s) => s.measured?.ageS === null)).toBe(true);
    expect(acts(result)).toEqual([]);
  });

  it("two layers without progress are told apart by the profiles' own layer; the second stands on the first as it lies", () => {
    const { result, area } = measurePhantom({ ...SMALL, progress: false, scan: "later", layers: 2, layerAngleDeg: 0 });
    expect(result.summary).toMatchObject({ stations: 52, laid: 52 });
    expect(result.summary.measured).toBeGreaterThanOrEqual(51);
    expect(Math.abs(area.bias)).toBeLessThan(0.015);
    expect(acts(result)).toEqual([]);
  });

  it("stopped after 60 % of its messages: stations beyond the last progress are pending, and none of them is measured", () => {
    const r = small();
    const engine = engineOf(r);
    const all = [...r.progress], stopS = all[Math.floor(0.6 * all.length)]!.tS;
    for (const message of messagesOf(r)) if (message.tS <= stopS) engine.push(message);
    const result = engine.finish([], {});
    const pending = result.stations.filter((s) => s.verdict === "pending");
    expect(pending.length).toBeGreaterThan(3);
    expect(pending.every((s) => !s.laid && s.measured === null && s.strand === 2)).toBe(true);
    expect(result.summary.laid).toBe(26 - pending.length);
  });

  it("profiles in which nothing returned and profiles of an unknown device or another frame change nothing, bit for bit", () => {
    const r = small();
    const plain = measureRehearsal(r);
    const engine = engineOf(r);
    let seq = 1e6;
    for (const message of messagesOf(r)) {
      engine.push(message);
      if (message.kind !== "profile" || seq++ % 7 !== 0) continue;
      engine.push({ ...message, seq, frame: "base" });
      engine.push({ ...message, seq, device: "profiler-9" });
    }
    expect(engine.finish([], plain.tolerance)).toEqual(plain);
  });

  it("profiles that show no strand, 40 mm aside, leave every station unmeasured and say so: 2 findings of severity watch, no verdict from nothing", () => {
    const r = small();
    const engine = engineOf(r);
    for (const message of messagesOf(r)) {
      if (message.kind !== "profile") engine.push(message);
      else engine.push({ ...message, pose: [message.pose[0], message.pose[1] + 40, message.pose[2], ...message.pose.slice(3)] as unknown as ProfileMessage["pose"] });
    }
    const result = engine.finish([], {});
    expect(result.summary).toMatchObject({ laid: 26, measured: 0, plannedVolumeMm3: 0, measuredVolumeMm3: 0, inBandLengthFraction: 0 });
    expect(result.stations.every((s) => s.verdict === "unmeasured" && s.measured === null && s.u === null && s.areaRatio === null)).toBe(true);
    expect(result.findings.map((f) => [f.kind, f.severity, "strand" in f ? f.strand : 0])).toEqual([["unmeasured", "watch", 1], ["unmeasured", "watch", 2]]);
  });

  it("profiles without a single return (all NaN) measure nothing either", () => {
    const r = small();
    const engine = engineOf(r);
    for (const message of messagesOf(r)) engine.push(message.kind === "profile" ? { ...message, zMm: new Float32Array(message.zMm.length).fill(Number.NaN) } : message);
    expect(engine.finish([], {}).summary).toMatchObject({ laid: 26, measured: 0 });
  });

  it("three profilers at once: every station measured, area within 1 % of the truth on average, no act finding", () => {
    const { result, area } = measurePhantom({ ...SMALL, profilers: 3, points: 260 });
    expect(result.summary).toMatchObject({ laid: 26, measured: 26 });
    expect(Math.abs(area.bias)).toBeLessThan(0.01);
    expect(acts(result)).toEqual([]);
  });

  it("contributions switched off take their share out of u and change no reading", () => {
    const r = small();
    const all = measureRehearsal(r);
    const quiet = measureRehearsal(r, { noise: false, sampling: false, support: false, drift: false, holes: false, calibration: true });
    expect(quiet.stations.map((s) => s.measured?.areaMm2)).toEqual(all.stations.map((s) => s.measured?.areaMm2));
    quiet.stations.forEach((s, i) => expect(s.u!.areaMm2).toBeLessThan(all.stations[i]!.u!.areaMm2));
  });
});

describe("a second attempt after a removal", () => {
  const rehearsal = small({ rework: [{ layer: 1, strand: 2, fromMm: 2, toMm: 4 }] });
  const result = measureRehearsal(rehearsal);
  const truthOf = (s: StationResult) => rehearsal.truth.stations.find((t) => t.strand === s.strand && t.attempt === s.attempt && Math.abs(t.sMm - s.sMm) < 1e-4)!;

  it("stations at 2.0–4.0 mm are attempt 2, the others attempt 1; what was read before stands in earlierAttempts as attempt 1", () => {
    expect(result.stations.filter((s) => s.attempt === 2).map((s) => [s.strand, s.sMm])).toEqual([2, 2.5, 3, 3.5, 4].map((sMm) => [2, sMm]));
    expect(result.earlierAttempts.map((s) => [s.strand, s.sMm, s.attempt, s.laid])).toEqual([2, 2.5, 3, 3.5, 4].map((sMm) => [2, sMm, 1, true]));
  });

  it("both are measured to 4 % of their own truth, and the support of the second is what was seen after the removal", () => {
    for (const s of [...result.earlierAttempts, ...result.stations.filter((one) => one.attempt === 2)]) {
      expect(Math.abs(s.measured!.areaMm2 / truthOf(s).true.areaMm2 - 1), `attempt ${s.attempt} at ${s.sMm} mm`).toBeLessThan(0.04);
    }
    expect(result.stations.filter((s) => s.attempt === 2).every((s) => s.measured?.support === "measured")).toBe(true);
  });

  it("taken off and not laid again yet is removed: neither laid nor measured", () => {
    const engine = engineOf(rehearsal);
    for (const message of messagesOf(rehearsal)) {
      engine.push(message);
      if (message.kind === "rework") break;
    }
    const early = engine.finish([], {});
    const gone = early.stations.filter((s) => s.strand === 2 && s.sMm >= 2 && s.sMm <= 4);
    expect(gone.map((s) => [s.verdict, s.laid, s.measured, s.proven])).toEqual(gone.map(() => ["removed", false, null, false]));
    expect(early.summary.laid).toBe(26 - gone.length);
    expect(acts(early)).toEqual([]);
  });
});

describe("a translucent material (profiler reads 0.04 mm too low on paste)", () => {
  it("with the bias stated it is taken out and carried: height to 6 µm on average, u of height at least its 5 µm, stations in band", () => {
    const { result, height } = measurePhantom({ ...SMALL, translucentBiasMm: -0.04, biasStated: true });
    expect(Math.abs(height.bias)).toBeLessThan(0.006);
    expect(result.stations.every((s) => s.u!.heightMm! >= 0.005)).toBe(true);
    expect(result.stations.filter((s) => s.verdict === "inBand").length).toBeGreaterThan(20);
  });

  it("without it no station is inBand, and heights stay 0.04 mm low", () => {
    const { result, height } = measurePhantom({ ...SMALL, translucentBiasMm: -0.04, biasStated: false });
    expect(result.stations.some((s) => s.verdict === "inBand")).toBe(false);
    expect(result.summary.inBandLengthFraction).toBe(0);
    expect(Math.abs(height.bias + 0.04)).toBeLessThan(0.01);
  });
});

describe("paths and sizes", () => {
  it("a closed ring of 24 mm: every station measured, the last the same place as the first, area within 1 % on average", () => {
    const { result, area } = measurePhantom({ seed: 4, pattern: "ring", strands: 1, lengthMm: 24, points: 420, dxMm: 0.04, layers: 1 });
    const [first, last] = [result.stations[0]!, result.stations.at(-1)!];
    expect(Math.hypot(...first.position.map((v, k) => v - last.position[k]!))).toBeLessThan(0.01);
    expect(result.summary.measured / result.summary.laid).toBeGreaterThanOrEqual(0.97);
    expect(Math.abs(area.bias)).toBeLessThan(0.01);
    expect(acts(result)).toEqual([]);
  });

  it("a serpentine of three legs of 7 mm is one strand; area within 1.2 % on average, no act finding", () => {
    const { result, area } = measurePhantom({ seed: 6, pattern: "serpentine", strands: 3, lengthMm: 7, points: 300, dxMm: 0.04 });
    expect(new Set(result.stations.map((s) => s.strand)).size).toBe(1);
    expect(result.summary.measured / result.summary.laid).toBeGreaterThan(0.95);
    expect(Math.abs(area.bias)).toBeLessThan(0.012);
    expect(acts(result)).toEqual([]);
  });

  it("one strand of 0.4 mm, shorter than a spacing: two stations, both measured, width or area never from nothing", () => {
    const result = measureRehearsal(simulate({ seed: 9, strands: 1, lengthMm: 0.4, points: 160, dxMm: 0.04, profileSpacingMm: 0.1 }));
    expect(result.stations.map((s) => s.sMm)).toEqual([0, 0.4]);
    for (const s of result.stations) expect(Math.abs((s.areaRatio ?? 0) - 1)).toBeLessThan(0.08);
    expect(acts(result)).toEqual([]);
  });

  it.each<[number, number, Partial<RehearsalSettings>]>([
    [0.25, 0.15, { points: 260, dxMm: 0.008, sigmaMm: 0.002, profileSpacingMm: 0.07, stationSpacingMm: 0.15, lengthMm: 3, rampMm: 0.1 }],
    [2, 1, { points: 260, dxMm: 0.06, sigmaMm: 0.02, profileSpacingMm: 0.4, stationSpacingMm: 0.8, lengthMm: 12 }],
  ])("beads %d mm wide and %d mm high: width within 2 % of the truth on average, area within 1.2 %, nothing found", (widthMm, heightMm, change) => {
    const { result, area, width } = measurePhantom({ seed: 8, strands: 2, widthMm, heightMm, wanderMm: 0.008 * widthMm, ...change });
    expect(result.summary.measured).toBe(result.summary.laid);
    expect(Math.abs(width.bias) / widthMm).toBeLessThan(0.02);
    expect(Math.abs(area.bias)).toBeLessThan(0.012);
    expect(acts(result)).toEqual([]);
  });

  it("segments on a cylinder of 45 mm, seen 25° askew: area within 1 % on average", () => {
    const { result, area } = measurePhantom({ ...SMALL, surface: "cylinder", shape: "segment", skewDeg: 25, points: 260 });
    expect(result.summary.measured).toBe(26);
    expect(Math.abs(area.bias)).toBeLessThan(0.01);
  });
});

describe("faults", () => {
  it("a gap of 2.5 mm is found, act and proven, its ends to 0.7 mm; the volume measured falls short of the planned", () => {
    const result = measureRehearsal(small({ lengthMm: 10, faults: [{ kind: "gap", layer: 1, strand: 2, fromMm: 3, toMm: 5.5, size: null }] }));
    const gap = result.findings.find((f) => f.kind === "gap");
    expect(gap).toMatchObject({ severity: "act", proven: true, layer: 1, strand: 2 });
    if (gap === undefined || !("fromMm" in gap)) return;
    expect(Math.abs(gap.fromMm - 3)).toBeLessThan(0.35);
    expect(Math.abs(gap.lengthMm - 2.5)).toBeLessThan(0.7);
    expect(result.summary.measuredVolumeMm3).toBeLessThan(result.summary.plannedVolumeMm3 - 0.8);
  });

  it("a strand dragged 2.5 mm aside after its first scan is a gap and a detached strand, act first in the list", () => {
    const result = measureRehearsal(small({ lengthMm: 10, points: 300, dragWhen: "afterScan", faults: [{ kind: "drag", layer: 1, strand: 1, fromMm: 3, toMm: 7, size: null }] }));
    expect(acts(result).sort()).toEqual(["detachedStrand", "gap"]);
    const severities = result.findings.map((f) => f.severity);
    expect(severities).toEqual([...severities].sort()); // "act" before "watch"
    const body = result.findings.find((f) => f.kind === "detachedStrand");
    expect(body).toMatchObject({ severity: "act", worst: { metric: "areaMm2", limit: 0.5 } });
    expect(body !== undefined && "lengthMm" in body ? body.lengthMm : 0).toBeGreaterThan(3);
  });
});
