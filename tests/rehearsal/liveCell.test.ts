import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { axesOfPose, norm, sub, type Vec3 } from "../../lib/kernel/vec.ts";
import type { ProfileMessage } from "../../lib/model/messages.ts";
import { SECTION, type Sweep } from "../../lib/rehearsal/body.ts";
import type { Outgoing } from "../../lib/rehearsal/liveCell.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { ACROSS_MM_S, ACROSS_MM_S2, strandAccelMmS2 } from "../../lib/rehearsal/liveTool.ts";
import { MadeCell } from "../support/madeCell.ts";

const CLEAN: Partial<RehearsalSettings> = { sigmaMm: 0, dropoutFraction: 0, spikeFraction: 0, flankLoss: 0, variationFraction: 0, wanderMm: 0 };
const patterns = fc.constantFrom<Partial<RehearsalSettings>[]>(
  { pattern: "open", strands: 3, lengthMm: 7 }, { pattern: "lattice", layers: 2, strands: 3, lengthMm: 6 }, { pattern: "serpentine", strands: 2, lengthMm: 5 },
  { pattern: "ring", lengthMm: 16 }, { pattern: "raster", strands: 3, lengthMm: 6, surface: "sphere" }, { pattern: "open", strands: 2, lengthMm: 8, surface: "mandibleAngle", scan: "later" },
);

/** Everything of a message that is sent, heights included. */
function flat(sent: readonly Outgoing[]): string {
  return JSON.stringify(sent.map((one) => (one.kind === "profile" ? { ...one, zMm: [...one.zMm] } : one)));
}

/** Samples of a profile in `plan`. */
function pointsOf(profile: ProfileMessage, { points, dxMm }: RehearsalSettings): Vec3[] {
  const { x, z, t } = axesOfPose(profile.pose);
  return Array.from(profile.zMm, (height, i) => [0, 1, 2].map((j) => (t[j] as number) + (i - (points - 1) / 2) * dxMm * (x[j] as number) + height * (z[j] as number)) as unknown as Vec3);
}

describe("LiveCell", () => {
  it("lays the length of the plan and no more, each strand from start to end once, on every pattern (seeds 1 to 40)", () => {
    fc.assert(fc.property(patterns, fc.integer({ min: 1, max: 40 }), (settings, seed) => {
      const made = new MadeCell({ ...settings, seed, points: 32, profileSpacingMm: 1 }).toEnd(), { strands, agenda } = made.cell.work;
      expect(agenda.laidLengthMm).toBeCloseTo(strands.reduce((sum, strand) => sum + strand.lengthMm, 0), 6);
      const ends = made.progress.filter((row) => row.event === "end"), starts = made.progress.filter((row) => row.event === "start");
      expect(ends.map((row) => [row.layer, row.strand, row.sMm])).toEqual(strands.map((one) => [one.layer, one.strand, one.lengthMm]));
      expect(starts.map((row) => [row.layer, row.strand, row.sMm])).toEqual(strands.map((one) => [one.layer, one.strand, 0]));
    }), { seed: 5, numRuns: 12 });
  });

  it("progress comes at 25 Hz and never runs backwards within a strand, nor time at all", () => {
    const made = new MadeCell({ pattern: "lattice", layers: 2, strands: 3, lengthMm: 6, points: 32 }).toEnd();
    for (let i = 1; i < made.progress.length; i++) {
      const [a, b] = [made.progress[i - 1], made.progress[i]] as const;
      expect(b!.tS).toBeGreaterThanOrEqual(a!.tS);
      if (b!.event === "start") continue;
      expect(b!.sMm).toBeGreaterThan(a!.sMm);
      expect(b!.tS - a!.tS).toBeLessThanOrEqual(0.04 + 1e-9);
    }
    const times = made.sent.filter((one) => one.kind !== "said").map((one) => one.tS);
    expect(times.every((tS, i) => i === 0 || tS >= (times[i - 1] as number))).toBe(true);
  });

  it("what is sent does not depend on the steps in which time is moved on (seed 3, steps of 0.01 to 1.3 s)", () => {
    const settings = { strands: 2, lengthMm: 6, points: 32, seed: 3 }, whole = flat(new MadeCell(settings).toEnd().sent);
    fc.assert(fc.property(fc.double({ min: 0.01, max: 1.3, noNaN: true }), (stepS) => {
      expect(flat(new MadeCell(settings).to(60, stepS).sent)).toBe(whole);
    }), { seed: 8, numRuns: 5 });
  });

  it("speed stays within 8 mm/s along strands and 40 mm/s between them, acceleration within 61.5 and 400 mm/s², a pause in mid-strand included", () => {
    const made = new MadeCell({ strands: 3, lengthMm: 9, points: 32, supportScan: false }), stepS = 0.002, places: Vec3[] = [];
    let laidFor = 0, mostStrand = 0, mostAcross = 0, mostA = 0;
    for (let i = 1; made.cell.phase === "printing"; i++) {
      made.to(i * stepS, stepS);
      if (i === 900) made.cell.take({ kind: "pause", n: 1, at: "now", retractMm: 3, reason: "" });
      if (i === 1400) made.cell.take({ kind: "resume", n: 2, layer: 1, strand: 2, sMm: made.progress.at(-1)!.sMm, overlapMm: 0.5, rows: [] });
      const { nozzle, liftMm } = made.cell.work.toolAt(made.cell.nowS);
      laidFor = made.cell.work.laying === null ? 0 : laidFor + 1;
      places.push([nozzle.point[0], nozzle.point[1], nozzle.point[2] + liftMm]);
      const [a, b, c] = places.slice(-3);
      if (c === undefined) continue;
      const speed = norm(sub(c, b!)) / stepS, accel = norm(sub(sub(c, b!), sub(b!, a!))) / stepS ** 2;
      if (laidFor > 2) mostStrand = Math.max(mostStrand, speed);
      else mostAcross = Math.max(mostAcross, speed);
      if (laidFor > 2) expect(accel).toBeLessThan(strandAccelMmS2(8) * 1.01 + 0.1);
      mostA = Math.max(mostA, accel);
    }
    expect([mostStrand, mostAcross, mostA]).toEqual([expect.closeTo(8, 3), expect.any(Number), expect.any(Number)]);
    expect(mostAcross).toBeLessThanOrEqual(ACROSS_MM_S + 1e-6);
    expect(mostA).toBeLessThanOrEqual(ACROSS_MM_S2 * 1.01);
    expect(made.receipts.map((one) => one.outcome)).toEqual(["done", "done"]);
  });

  it("no profile shows paste ahead of the nozzle: laser line 50° askew right under the nozzle, 0.05 mm", () => {
    const made = new MadeCell({ ...CLEAN, trailMm: 0, skewDeg: 50, strands: 1, lengthMm: 12, points: 201, dxMm: 0.07 }).toEnd(), rows = made.progress;
    let behind = 0, worst = Number.NEGATIVE_INFINITY;
    for (const profile of made.profiles) {
      const next = rows.findIndex((row) => row.tS >= profile.tS), a = rows[next - 1], b = rows[next];
      const laidMm = b === undefined ? 12 : a === undefined ? 0 : a.sMm + (b.sMm - a.sMm) * (profile.tS - a.tS) / (b.tS - a.tS);
      for (const [x, , z] of pointsOf(profile, made.settings)) {
        if (!(z > 0.02)) continue;
        behind++;
        worst = Math.max(worst, x + 6 - laidMm);
      }
    }
    expect(behind).toBeGreaterThan(500);
    expect(worst).toBeLessThan(0.05);
  });

  it("a profile every 0.25 mm along a strand at full speed, never more than 0.2 s without one, and the bare target first", () => {
    const made = new MadeCell({ strands: 2, lengthMm: 12, points: 32 }).toEnd(), gaps = made.profiles.slice(1).map((one, i) => [one, made.profiles[i]!] as const);
    expect(Math.max(...gaps.map(([b, a]) => b.tS - a.tS))).toBeLessThanOrEqual(0.2 + 1e-9);
    const [start, end] = made.progress.filter((row) => row.event !== "update" && row.strand === 2);
    const steady = gaps.filter(([b, a]) => a.tS > start!.tS + 0.15 && b.tS < end!.tS - 0.15).map(([b, a]) => norm(sub(b.pose.slice(0, 3) as unknown as Vec3, a.pose.slice(0, 3) as unknown as Vec3)));
    expect(steady.length).toBeGreaterThan(35);
    for (const step of steady) expect(step).toBeCloseTo(0.25, 6);
    expect(made.profiles.filter((one) => one.tS < made.progress[0]!.tS).length).toBeGreaterThan(60);
    expect(made.profiles.map((one) => one.seq)).toEqual(made.profiles.map((_, i) => i));
  });

  it("at 20 times as fast as the clock at most 500 profiles a second of wall time are made, of three profilers too; at 4 times none is left out", () => {
    const perWallS = (pace: number, profilers: number): number => {
      const times = new MadeCell({ strands: 2, lengthMm: 12, points: 16, scanSpeedMmS: 60, profilers }, { pace }).toEnd().profiles.map((one) => one.tS);
      return Math.max(...times.map((tS, i) => times.slice(i).filter((each) => each < tS + pace).length)); // within one second of wall time
    };
    expect([perWallS(20, 1), perWallS(20, 3), perWallS(4, 1)].map((count) => count <= 501)).toEqual([true, true, true]);
    const count = (pace: number): number => new MadeCell({ strands: 2, lengthMm: 12, points: 16 }, { pace }).toEnd().profiles.length;
    expect(count(4)).toBe(count(1));
    expect(count(20)).toBeLessThan(count(1));
  });

  it("flow lags: a blob in the first 0.2 mm, 0.85 of the area or less at 0.5 mm, full from 1.5 mm on, and more than 1.15 in the last 0.1 mm", () => {
    const made = new MadeCell({ ...CLEAN, strands: 1, points: 16 }).toEnd(), bead = made.cell.work.paste.bodies[0] as Sweep;
    const areaRatio = (node: number): number => { // height goes with the root of the area
      const o = SECTION * node;
      return ((bead.sections[o + 1]! + bead.sections[o + 2]!) / 0.5) ** 2;
    };
    const nodeAt = (sMm: number): number => bead.arcMm.findIndex((s) => s >= sMm - 1e-9);
    expect(areaRatio(nodeAt(0.1))).toBeGreaterThan(1.2);
    expect(areaRatio(nodeAt(0.5))).toBeLessThan(0.85);
    for (let s = 1.5; s < 11; s += 0.1) expect(areaRatio(nodeAt(s))).toBeCloseTo(1, 1);
    expect(areaRatio(bead.nodes - 1)).toBeGreaterThan(1.15);
  });

  it("a clean print of three strands on the mandible angle measures with no act finding, and 0.85 of its length in band (seed 6)", () => {
    const result = new MadeCell({ seed: 6, surface: "mandibleAngle", strands: 3, lengthMm: 18, points: 210, dxMm: 0.065 }).toEnd().measured();
    expect(result.findings.filter((one) => one.severity === "act")).toEqual([]);
    expect(result.summary.measured).toBe(result.summary.stations);
    expect(result.summary.inBandLengthFraction).toBeGreaterThan(0.85);
  });

  it("before a second layer the first has been seen: its stations stand on measured support", () => {
    const result = new MadeCell({ pattern: "lattice", layers: 2, strands: 3, lengthMm: 9, points: 300, dxMm: 0.06 }).toEnd().measured();
    const second = result.stations.filter((one) => one.layer === 2);
    expect(second.filter((one) => one.measured !== null && one.measured.support !== "planned").length).toBe(second.length);
  });

  it("a syringe of 4 mm³ empties within the strand of 12 mm: the plunger falls to 0 and a gap follows", () => {
    const made = new MadeCell({ strands: 1 }, { syringeMm3: 4 }).toEnd(), levels = made.signals("plungerMm").map((row) => row.value);
    expect(levels.every((level, i) => i === 0 || level <= (levels[i - 1] as number))).toBe(true);
    expect([levels[0], levels.at(-1)]).toEqual([expect.closeTo(4 / 58.9, 3), 0]);
    const gap = made.measured().findings.find((one) => one.kind === "gap") as { fromMm: number; toMm: number };
    expect(gap.fromMm).toBeGreaterThan(8); // 4 mm³ / 0.446 mm² is 9 mm
    expect([gap.fromMm < 9.5, gap.toMm]).toEqual([true, expect.closeTo(12, 1)]);
  });

  it("signals come at 5 Hz: pressure, plunger, temperature, flow and flow factor", () => {
    const made = new MadeCell({ strands: 1, lengthMm: 9, points: 16 }).toEnd();
    for (const name of ["pressureKPa", "plungerMm", "temperatureC", "flowMm3S", "flowFactor"]) {
      const rows = made.signals(name);
      expect(rows.length).toBe(Math.floor(made.cell.nowS / 0.2 + 1e-6) + 1);
      expect(rows[1]!.tS - rows[0]!.tS).toBeCloseTo(0.2, 9);
    }
    expect(Math.max(...made.signals("flowMm3S").map((row) => row.value))).toBeCloseTo(0.446 * 8, 1);
  });

  it("faults of the settings are committed: a gap, a drag at the strand's end and a blob are found where they were ordered", () => {
    const fault = (kind: "gap" | "drag" | "blob", strand: number, fromMm: number, toMm: number) => ({ kind, layer: 1, strand, fromMm, toMm, size: null });
    const result = new MadeCell({ strands: 3, lengthMm: 16, pitchMm: 5, points: 300, dxMm: 0.06, faults: [fault("gap", 1, 5, 8), fault("drag", 2, 9, 12), fault("blob", 3, 6, 7)] }).toEnd().measured();
    expect(result.findings.filter((one) => one.severity === "act").map((one) => one.kind).sort()).toEqual(["detachedStrand", "gap", "gap", "strayMaterial"]);
  });
});
