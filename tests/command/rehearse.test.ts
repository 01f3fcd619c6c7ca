import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { rehearse } from "../../lib/command/rehearse.ts";

let place = "";
beforeEach(() => { place = mkdtempSync(join(tmpdir(), "rehearse-")); });
afterEach(() => { rmSync(place, { recursive: true, force: true }); });

/** Runs the command with a clock that moves on by 0.6 s at every look. */
async function run(...argv: string[]): Promise<{ code: number; out: string; err: string[] }> {
  let out = "", clockMs = 0;
  const err: string[] = [];
  const code = await rehearse(argv, { out: async (text) => { out += text; }, err: (line) => { err.push(line); }, nowMs: () => (clockMs += 600) });
  return { code, out, err };
}

describe("rehearse", () => {
  it("writes the folder, prints it alone on stdout, and shows progress on stderr", async () => {
    const folder = join(place, "run");
    const { code, out, err } = await run("--out", folder, "--seed", "8", "--surface", "saddle", "--strands", "2", "--length", "12", "--points", "24", "--profile-spacing", "0.04", "--fault", "gap@1/2/4-6.5", "--fault", "over@1/1/3-6=1.5");
    expect([code, out]).toEqual([0, `${folder}\n`]);
    expect(err.length).toBeGreaterThan(0);
    expect(err.every((line) => /^\d+ profiles after \d+ s$/.test(line))).toBe(true);
    const truth = JSON.parse(readFileSync(join(folder, "truth.json"), "utf8")) as Record<string, unknown>;
    expect(truth).toMatchObject({ seed: 8, surface: "saddle", faults: [{ kind: "gap", strand: 2, fromMm: 4, toMm: 6.5 }, { kind: "over", strand: 1, size: 1.5 }] });
  });

  it("switches and words reach the settings", async () => {
    const folder = join(place, "run");
    const { code } = await run("--out", folder, "--format", "ndjson", "--pattern", "lattice", "--layers", "2", "--strands", "3", "--length", "6", "--points", "20", "--no-progress", "--no-support-scan", "--skew=-12", "--scan", "later", "--one-way", "--translucent-bias=-0.03", "--bias-not-stated");
    expect(code).toBe(0);
    expect(readdirSync(folder).sort()).toEqual(["job.json", "plan.csv", "profiles.ndjson", "truth.json"]);
    const { settings } = JSON.parse(readFileSync(join(folder, "truth.json"), "utf8")) as { settings: Record<string, unknown> };
    expect(settings).toMatchObject({ pattern: "lattice", layers: 2, progress: false, supportScan: false, skewDeg: -12, scan: "later", alternate: false, translucentBiasMm: -0.03, biasStated: false });
    expect(readFileSync(join(folder, "job.json"), "utf8")).not.toContain("surfaceBiasMm");
  });

  it("--help names every option and exits 0", async () => {
    const { code, out, err } = await run("--help");
    expect([code, err]).toEqual([0, []]);
    for (const option of ["--out", "--seed", "--surface", "--fault", "--rework", "--skew", "--pitch-angle", "--profile-spacing", "--no-progress", "--translucent-bias"]) expect(out).toContain(option);
    expect(out).not.toMatch(/^ *-- /m); // a line that goes on has no option of its own
  });

  it("--camera writes frames of the size asked for, with the pose off by 1.5 mm, and every option of it is taken", async () => {
    const folder = join(place, "seen");
    const { code } = await run("--out", folder, "--strands", "1", "--length", "5", "--points", "20", "--camera", "--camera-size", "80x64", "--camera-every", "0.3", "--camera-look", "uneven", "--camera-angle", "37", "--camera-side=-95", "--camera-distance", "70", "--camera-scale", "11", "--camera-pose-off", "1.5,0", "--camera-hand", "--no-profiler", "--fault", "hang@1/1/1-4");
    expect(code).toBe(0);
    const truth = JSON.parse(readFileSync(join(folder, "truth.json"), "utf8")) as { camera: Record<string, unknown>; frames: { poseErrorMm: number | null; nozzleHangMm2: number | null }[] };
    expect(truth.camera).toEqual({ widthPx: 80, heightPx: 64, look: "uneven", angleDeg: 37, azimuthDeg: -95, distanceMm: 70, pxPerMm: 11, everyS: 0.3, poseOffMm: 1.5, poseOffDeg: 0, hand: true, alone: true });
    expect(readdirSync(join(folder, "frames"))).toHaveLength(truth.frames.length);
    expect(truth.frames.some((one) => (one.nozzleHangMm2 ?? 0) > 1)).toBe(true);
    for (const { poseErrorMm } of truth.frames) if (poseErrorMm !== null) expect(poseErrorMm).toBeCloseTo(1.5, 1);
  });

  it.each([
    [[], "--out"],
    [["--out", "x", "--fault", "gap@1/3"], "--fault"],
    [["--out", "x", "--fault", "gap@1/30/4-6"], "--fault"],
    [["--out", "x", "--rework", "1/2"], "--rework"],
    [["--out", "x", "--seed", "many"], "--seed"],
    [["--out", "x", "--seed", "-1"], "--seed"],
    [["--out", "x", "--seed=1.5"], "--seed"],
    [["--out", "x", "--width", "0.3"], "--width"],
    [["--out", "x", "--surface", "cone"], "--surface"],
    [["--out", "x", "--format", "csv"], "--format"],
    [["--out", "x", "--colour", "red"], "--colour"],
    [["--out", "x", "--camera", "--camera-size", "640"], "--camera-size"],
    [["--out", "x", "--camera", "--camera-size", "63x64"], "--camera-size"],
    [["--out", "x", "--camera", "--camera-look", "noir"], "--camera-look"],
    [["--out", "x", "--camera", "--camera-pose-off", "2"], "--camera-pose-off"],
    [["--out", "x", "--camera", "--camera-pose-off=-1,0"], "--camera-pose-off"],
    [["--out", "x", "--camera", "--camera-every", "0"], "--camera-every"],
    [["--out", "x", "--camera-angle", "40"], "--camera-angle"],
    [["--out", "x", "--no-profiler"], "--no-profiler"],
    [["--out", "x", "--camera", "--no-profiler", "--camera-scale", "2"], "--camera-scale"],
    [["--out", "x", "extra"], "extra"],
  ])("%j ends with 2 and one error that names %s", async (argv, named) => {
    const { code, out, err } = await run(...argv.map((text) => (text === "x" ? join(place, "x") : text)));
    expect([code, out, err.length]).toEqual([2, "", 1]);
    expect(err[0]).toMatch(/^command\.usage: expected /);
    expect(err[0]).toContain(named);
    expect(readdirSync(place)).toEqual([]);
  });
});
