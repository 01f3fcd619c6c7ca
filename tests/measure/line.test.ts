import { describe, expect, it } from "vitest";
import { LinePreparer, type Line } from "../../lib/measure/line.ts";
import type { Profiler } from "../../lib/model/job.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { PROFILER, profileOver, type Ground } from "../support/madeScene.ts";

const OPTIONS = { cellMm: 0.2, jumpMm: 0.125, narrowestMm: 1 };
const prepared = (ground: Ground, change: Partial<Profiler> = {}, options = OPTIONS): Line => {
  const device = { ...PROFILER, ...change };
  return new LinePreparer(device, options).prepare(profileOver(ground, 3, { device }));
};
const near = (values: readonly number[], digits = 9): unknown[] => values.map((v) => expect.closeTo(v, digits));

describe("a profile made ready", () => {
  it("places sample i at x0 + i dx and the sensor's axes in plan: x along +y, y along −x, z up", () => {
    const line = prepared(() => 0.2);
    expect([line.count, line.x[0], line.x[199], line.minX, line.maxX, line.pitchMm]).toEqual([200, ...near([-5, 4.95, -5, 4.95, 0.05])]);
    expect([...line.o, ...line.ex, ...line.ey, ...line.ez]).toEqual(near([3, 0, 60, 0, 1, 0, -1, 0, 0, 0, 0, 1]));
    expect([line.minZ, line.maxZ]).toEqual(near([-59.8, -59.8], 4));
  });

  it("samples with their own x are brought into ascending order, each with its height; the pitch is their mean distance", () => {
    const message = { ...profileOver(() => 0, 0, { device: { ...PROFILER, points: 5 } }), xMm: Float32Array.of(1, -2, 0.5, 3, -1), zMm: Float32Array.of(11, 22, 33, 44, 55) };
    const line = new LinePreparer(PROFILER, { ...OPTIONS, jumpMm: 1000 }).prepare(message);
    expect([[...line.x.subarray(0, 5)], [...line.z.subarray(0, 5)], line.pitchMm]).toEqual([[-2, -1, 0.5, 1, 3], [22, 55, 33, 11, 44], 1.25]);
  });

  it("no return stays NaN; one without any return has no range (least over most) and blocks of NaN", () => {
    const line = prepared(() => Number.NaN);
    expect(line.minZ).toBeGreaterThan(line.maxZ);
    expect(line.blockZ.subarray(0, line.blockCount).every(Number.isNaN)).toBe(true);
    expect(prepared((_x, y) => (y > 1 ? Number.NaN : 0.1)).z[150]).toBeNaN();
  });

  it("a profile of one sample, and one of two, is a line too", () => {
    for (const points of [1, 2]) {
      const line = prepared(() => 0.3, { points });
      expect([line.count, line.blockCount >= 1, Number.isFinite(line.pitchMm)]).toEqual([points, true, true]);
    }
  });

  it("a spike of 1.5 mm is taken out of the heights; a bead's flank of 0.5 mm stays", () => {
    const line = prepared((_x, y) => (Math.abs(y - 2) < 0.01 ? 1.5 : Math.abs(y) < 0.5 ? 0.5 : 0));
    const at = Math.round((2 + 5) / 0.05);
    expect(line.z[at]).toBeNaN();
    expect(Array.from(line.z.subarray(0, line.count)).filter(Number.isNaN)).toHaveLength(1);
    expect(line.z[100]).toBeCloseTo(-59.5, 4);
  });

  it("samples every 0.01 mm under a bead of 1 mm are averaged by threes, the noise with them; a flank is not", () => {
    const line = prepared((_x, y) => (Math.abs(y) < 0.5 ? 0.5 : 0), { points: 1000, dxMm: 0.01 }, { ...OPTIONS, narrowestMm: 1 });
    expect([line.pitchMm, line.sigmaMm]).toEqual(near([0.03, PROFILER.sigmaZMm / Math.sqrt(3)]));
    expect(Math.abs(line.count - 1000 / 3)).toBeLessThan(6); // a group that holds a flank is kept as it is
    const heights = Array.from(line.z.subarray(0, line.count), (z) => Math.round(1e4 * (z + 59.5)) / 1e4);
    expect(new Set(heights)).toEqual(new Set([0, -0.5]));
  });

  it("a spike of two samples on a bead of 0.25 mm sampled every 0.05 mm is left: it could be the bead", () => {
    const spike: Ground = (_x, y) => (y > 1.96 && y < 2.06 ? 0.9 : 0);
    expect(Array.from(prepared(spike, {}, { ...OPTIONS, narrowestMm: 0.25 }).z).filter(Number.isNaN)).toHaveLength(0);
    expect(Array.from(prepared(spike, {}, { ...OPTIONS, narrowestMm: 1 }).z).filter(Number.isNaN)).toHaveLength(2);
  });
});

describe("the noise of a sample", () => {
  const sigmaAfter = (sigma: number, stated: number): number => {
    const random = makeRandom(41, "line noise"), device = { ...PROFILER, sigmaZMm: stated };
    const preparer = new LinePreparer(device, OPTIONS);
    let found = 0;
    for (let seq = 0; seq < 80; seq++) found = preparer.prepare(profileOver((_x, y) => 0.1 * y, seq, { device, noise: () => sigma * random.gauss() })).sigmaMm;
    return found;
  };
  it("is the job's 0.010 mm where the data show no more, the data's where they do: 0.030 mm to 6 % after 80 profiles (seed 41)", () => {
    expect(sigmaAfter(0.008, 0.01)).toBe(0.01);
    expect(sigmaAfter(0.0108, 0.01)).toBe(0.01); // under 1.15 times what was stated
    expect(Math.abs(sigmaAfter(0.03, 0.01) / 0.03 - 1)).toBeLessThan(0.06);
  });
});

describe("blocks for the maps", () => {
  it("are one cell wide: 50 of 0.2 mm over 9.95 mm, each with the mean x and z of its samples", () => {
    const line = prepared((_x, y) => 0.02 * y);
    expect([line.blockCount, line.blockSize]).toEqual([50, 4]);
    for (let b = 0; b < line.blockCount; b++) {
      expect(line.blockZ[b]).toBeCloseTo(0.02 * line.blockX[b]! - 60, 4);
      expect(line.blockX[b]).toBeGreaterThanOrEqual(-5 + 0.2 * b - 1e-9);
      expect(line.blockX[b]).toBeLessThan(-5 + 0.2 * (b + 1) + 0.06);
    }
  });

  it("average 4 samples: noise of 0.02 mm becomes 0.01 mm, to 10 % over 40 profiles (seed 42)", () => {
    const random = makeRandom(42, "blocks");
    let sum = 0, n = 0;
    for (let seq = 0; seq < 40; seq++) {
      const line = new LinePreparer({ ...PROFILER, sigmaZMm: 0.02 }, OPTIONS).prepare(profileOver(() => 0, seq, { noise: () => 0.02 * random.gauss() }));
      for (let b = 0; b < line.blockCount; b++) { sum += (line.blockZ[b]! + 60) ** 2; n++; }
    }
    expect(Math.abs(Math.sqrt(sum / n) / 0.01 - 1)).toBeLessThan(0.1);
  });

  it("where nothing returned are NaN, and no block is wider than a sample where cells are finer", () => {
    const line = prepared((_x, y) => (y > 1 && y < 2 ? Number.NaN : 0.1));
    const dark = Array.from({ length: line.blockCount }, (_, b) => b).filter((b) => Number.isNaN(line.blockZ[b]));
    expect(dark.length).toBeGreaterThanOrEqual(4);
    expect(dark.every((b) => line.blockX[b]! > 1 && line.blockX[b]! < 2)).toBe(true);
    expect(prepared(() => 0, {}, { ...OPTIONS, cellMm: 0.01 }).blockSize).toBeCloseTo(1, 1);
  });
});
