/**
 * What frames say against what they truly show: rendered by ray casting the very bodies that were laid, with the lens undone exactly (lib/rehearsal/camera).
 * The limits are the program's own aims for phantoms of any seed.
 */
import { describe, expect, it } from "vitest";
import { QUICK_CELL_MM } from "../../lib/camera/eye.ts";
import { LAID } from "../../lib/camera/scene.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import { readPlan } from "../../lib/plan/readPlan.ts";
import { parseFault } from "../../lib/rehearsal/fault.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import { RunEngine } from "../../lib/run/engine.ts";
import { newTally, seeRun, tally } from "../support/seenFrames.ts";

const faults = (...texts: readonly string[]) => texts.map(parseFault);
const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;

describe("a phantom in frames", () => {
  it("seeds 11 and 12, a sphere in lowly contrast and a mandible angle in uneven light, 36 and 48° aslant: states, widths and bodies keep to the marks", () => {
    const all = newTally();
    tally(seeRun({ seed: 11, surface: "sphere", strands: 5, lengthMm: 16, faults: faults("gap@1/2/5-8", "drag@1/1/9-13"), dragWhen: "afterScan" }, { look: "lowContrast", angleDeg: 36, azimuthDeg: 70, everyS: 5 }, (i, n) => i >= n - 2), all);
    tally(seeRun({ seed: 12, surface: "mandibleAngle", strands: 5, lengthMm: 16, faults: faults("gap@1/4/3-7", "drag@1/1/9-13"), dragWhen: "afterScan" }, { look: "uneven", angleDeg: 48, azimuthDeg: -130, everyS: 5 }, (i, n) => i >= n - 2), all);
    const bias = mean(all.widthsOffMm), sd = Math.sqrt(mean(all.widthsOffMm.map((off) => (off - bias) ** 2)));
    expect(all.rightlyUsed).toBe(all.frames);
    expect(all.seen / all.visible).toBeGreaterThanOrEqual(0.97);
    expect(all.falselyAbsent / all.present).toBeLessThanOrEqual(0.01);
    expect(all.absentFound / all.absent).toBeGreaterThanOrEqual(0.95);
    expect(Math.abs(bias)).toBeLessThanOrEqual(0.06);
    expect(sd).toBeLessThanOrEqual(0.07);
    expect(all.within2u / all.widthsOffMm.length).toBeGreaterThanOrEqual(0.9);
    expect([all.bodiesFound, all.bodiesFalse]).toEqual([all.bodies, 0]);
    expect(Math.max(...all.bodiesOffMm)).toBeLessThanOrEqual(0.5);
    for (const ratio of all.bodiesArea) expect(Math.abs(ratio - 1)).toBeLessThanOrEqual(0.25);
  });

  it("seed 19 in the larger cells of a live run: states and bodies keep to them too, widths to 0.06 ± 0.07 mm", () => {
    const all = tally(seeRun({ seed: 19, surface: "cylinder", strands: 5, lengthMm: 16, faults: faults("gap@1/2/5-8", "drag@1/1/9-13"), dragWhen: "afterScan" }, { angleDeg: 45, azimuthDeg: 20, everyS: 40 }, (i, n) => i === n - 1, QUICK_CELL_MM), newTally());
    const bias = mean(all.widthsOffMm), sd = Math.sqrt(mean(all.widthsOffMm.map((off) => (off - bias) ** 2)));
    expect([all.rightlyUsed, all.bodiesFound, all.bodiesFalse]).toEqual([all.frames, all.bodies, 0]);
    expect(all.seen / all.visible).toBeGreaterThanOrEqual(0.97);
    expect(all.falselyAbsent / all.present).toBeLessThanOrEqual(0.02);
    expect(all.absentFound / all.absent).toBeGreaterThanOrEqual(0.95);
    expect(Math.abs(bias)).toBeLessThanOrEqual(0.06);
    expect(sd).toBeLessThanOrEqual(0.07);
  });

  it("seed 13: a hand over part of the strands hides them, and the frame is used all the same: its camera remembers colours", () => {
    const all = tally(seeRun({ seed: 13, strands: 5, lengthMm: 16, faults: faults("gap@1/2/5-8") }, { hand: true, everyS: 6 }, (i) => i < 3), newTally());
    expect([all.rightlyUsed, all.frames]).toEqual([3, 3]);
    expect(all.hidden).toBeGreaterThan(10);
    expect(all.hiddenClaimed / all.hidden).toBeLessThanOrEqual(0.1);
    expect(all.falselyAbsent / all.present).toBeLessThanOrEqual(0.01);
  });

  it("seed 14: a strand torn away after its scan is a disagreement of camera and profiler, and no reading is changed", () => {
    const { result } = seeRun({ seed: 14, strands: 5, lengthMm: 16, faults: faults("tear@1/5/4-8"), finalScan: false }, { everyS: 40 }, (i, n) => i === n - 1);
    const found = result.findings.filter(({ kind }) => kind === "sensorsDisagree");
    expect(found).toMatchObject([{ severity: "act", layer: 1, strand: 5, camera: "absent", file: expect.stringMatching(/^frames\//) }]);
    expect(found.map((f) => ("fromMm" in f ? [Math.abs(f.fromMm - 4) <= 0.5, Math.abs(f.toMm - 8) <= 0.5] : null))).toEqual([[true, true]]);
    expect(result.stations.find((s) => s.strand === 5 && s.sMm === 6)).toMatchObject({ verdict: "inBand", camera: { state: "absent" } });
  });
});

describe("a frame that ought not to be used", () => {
  it.each(["sameColour", "blurred", "dark", "overexposed"] as const)("%s, seed 15: is refused with its reason and settles nothing", (look) => {
    const { frames, result } = seeRun({ seed: 15, strands: 4, lengthMm: 12, faults: faults("gap@1/2/5-8") }, { look, everyS: 40 }, (i, n) => i === n - 1);
    expect(frames.map(({ reading }) => reading.reason)).toEqual(frames.map(({ truth }) => truth.reason));
    expect(result.frames.every((frame) => !frame.used && frame.stretches.length === 0 && frame.bodies.length === 0)).toBe(true);
    expect(result.stations.every(({ camera }) => camera === null)).toBe(true);
  });

  it("seed 16: a pose 1.5 mm and 1° off is told once and gives rise to no other finding", () => {
    const { result } = seeRun({ seed: 16, strands: 5, lengthMm: 16 }, { poseOffMm: 1.5, poseOffDeg: 1, everyS: 8 }, (i, n) => i >= n - 2);
    expect(result.findings.map(({ kind, severity }) => [kind, severity])).toEqual([["cameraPose", "watch"]]);
    expect(result.frames.map(({ used, reason }) => [used, reason])).toEqual([[false, "poseDisagrees"], [false, "poseDisagrees"]]);
  });
});

describe("paste at the nozzle", () => {
  it("seed 17: 3 mm² of it is found within 40 % and told as an act finding; a clean nozzle is 0", () => {
    const { frames, result } = seeRun({ seed: 17, strands: 4, lengthMm: 16, faults: faults("hang@1/3/2-14=3") }, { everyS: 1.5 }, (i) => i === 2 || i === 5 || i === 6);
    const seen = frames.filter(({ truth }) => truth.nozzleHangMm2 !== null).map(({ reading, truth }) => [truth.nozzleHangMm2, reading.nozzleHangMm2] as const);
    expect(seen.length).toBeGreaterThan(0);
    for (const [truth, measured] of seen) if (truth === 0) expect(measured).toBe(0); else expect(Math.abs(measured / (truth as number) - 1)).toBeLessThanOrEqual(0.4);
    expect(result.findings.some(({ kind }) => kind === "nozzleHang")).toBe(seen.some(([truth]) => (truth ?? 0) > 0.5));
  });
});

describe("a camera alone", () => {
  it("seed 18: learns from a person's mark, sees the gap as watch, knows widths with a larger u, and nothing is in band", () => {
    const { result, frames } = seeRun({ seed: 18, strands: 4, lengthMm: 12, faults: faults("gap@1/2/5-8") }, { alone: true, everyS: 40 }, (i, n) => i === n - 1);
    expect(frames.map(({ reading }) => reading.reason)).toEqual([null]);
    expect(result.findings.filter(({ kind }) => kind === "gap")).toMatchObject([{ severity: "watch", strand: 2, worst: { metric: "pasteFraction" } }]);
    expect(result.stations.every(({ verdict }) => verdict === "unmeasured")).toBe(true);
    const widths = result.stations.flatMap(({ camera }) => (camera?.u.widthMm == null ? [] : [camera.u.widthMm]));
    expect(Math.min(...widths)).toBeGreaterThan(0.05);
    expect(result.summary).toMatchObject({ measured: 0, inBandLengthFraction: 0 });
  });
});

describe("a folder without progress, whose profiles name no layer", () => {
  it("seed 20: all of it lay there before, so that a frame taken before the first profile shows every station", () => {
    const settings = { seed: 20, strands: 3, lengthMm: 10, progress: false, scan: "later" } as const, run = simulate(settings, { everyS: 40 });
    const { job } = resolveJob(run.jobJson, "job.json"), engine = new RunEngine(readPlan(run.planCsv, job, "plan.csv").plan, job, { hasProgress: false });
    for (const profile of run.profiles()) engine.push({ ...profile, layer: null, zMm: profile.zMm.slice() });
    const scene = engine.frameScene({ kind: "frame", file: "frames/0001.png", device: "camera-1", tS: -1, pose: [0, 0, 60, 1, 0, 0, 0], frame: "plan" });
    expect(scene.laid.every((state) => state === LAID)).toBe(true);
  });
});
