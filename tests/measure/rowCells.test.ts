import { describe, expect, it } from "vitest";
import { outlineMm, visibleAreaMm2 } from "../../lib/formula/bead.ts";
import { findBead, outlineInside, type BeadInRow } from "../../lib/measure/flank.ts";
import type { StrandGrid } from "../../lib/measure/grid.ts";
import { integrateRow, type RowSums } from "../../lib/measure/rowCells.ts";
import type { BeadShape } from "../../lib/model/job.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { meanOf, sdOf } from "../support/numbers.ts";

const NONE: BeadInRow = { first: 0, last: -1, crownMm: Number.NaN, right: Number.NaN, uRight: Number.NaN, left: Number.NaN, uLeft: Number.NaN, middleMm: Number.NaN, radiusMm: Number.NaN, centreMm: Number.NaN };
const sum = (values: Float64Array): number => values.reduce((a, b) => a + b, 0);

function sums(points: readonly (readonly [number, number])[], grid: StrandGrid, options: { bead?: BeadInRow; pitchMm?: number; sigmaMm?: number; range?: { from: number; to: number } } = {}): RowSums {
  const cells = (): Float64Array => new Float64Array(grid.count).fill(7); // what stood there before is forgotten
  const out: RowSums = { areaMm2: cells(), coveredMm: cells(), noiseMm4: cells(), holeMm4: cells() };
  const samples = { b: Float64Array.from(points, (p) => p[0]), t: Float64Array.from(points, (p) => p[1]), count: points.length, pitchMm: options.pitchMm ?? 0.1, sigmaMm: options.sigmaMm ?? 0.01 };
  integrateRow(out, samples, options.bead ?? NONE, grid, options.range ?? { from: 0, to: grid.count });
  return out;
}

describe("integration over cells, no bead: the trapezoid rule", () => {
  it("0, .175, .3, .375, .4, .375, .3, .175, 0 every 0.1 mm is 0.2100 mm² (check value 1.15), whatever the cells", () => {
    const heights = [0, 0.175, 0.3, 0.375, 0.4, 0.375, 0.3, 0.175, 0];
    const points = heights.map((z, i): [number, number] => [-0.4 + 0.1 * i, z]);
    for (const cellMm of [0.05, 0.08, 0.4]) expect(sum(sums(points, { cellMm, first: -0.4, count: Math.round(0.8 / cellMm) }).areaMm2)).toBeCloseTo(0.21, 12);
  });

  it.each([[0.1, 1.552259], [0.02, 1.569134], [0.01, 1.570209]])("a half circle of 1 mm every %d mm is %d mm² (check value 1.16)", (dx, area) => {
    const n = Math.round(2 / dx);
    const points = Array.from({ length: n + 1 }, (_, i): [number, number] => { const b = -1 + 2 * i / n; return [b, Math.sqrt(Math.max(0, 1 - b * b))]; });
    expect(sum(sums(points, { cellMm: 0.05, first: -1, count: 40 }).areaMm2)).toBeCloseTo(area, 6);
  });

  it("a straight ramp 0.3 + 0.1 b is its own integral in every cell, before the first and after the last sample held level", () => {
    const { areaMm2 } = sums([[-0.55, 0.245], [0.1, 0.31], [0.62, 0.362]], { cellMm: 0.2, first: -0.8, count: 8 });
    expect([...areaMm2]).toEqual([0.2 * 0.245, 0.05 * 0.245 + 0.15 * (0.3 - 0.1 * 0.475), 0.2 * 0.27, 0.2 * 0.29, 0.2 * 0.31, 0.2 * 0.33, 0.2 * 0.35, 0.02 * 0.361 + 0.18 * 0.362].map((v) => expect.closeTo(v, 12)));
  });

  it("only the cells asked for are touched", () => {
    const { areaMm2 } = sums([[-0.5, 0.4], [0.5, 0.4]], { cellMm: 0.25, first: -0.5, count: 4 }, { range: { from: 1, to: 3 } });
    expect([...areaMm2]).toEqual([7, expect.closeTo(0.1, 12), expect.closeTo(0.1, 12), 7]);
  });
});

describe("coverage, holes and noise", () => {
  const grid = { cellMm: 0.25, first: -0.5, count: 4 };
  it("samples every 0.1 mm cover 1.0 mm; a hole of 0.5 mm covers half a pitch at each end of it", () => {
    const all = Array.from({ length: 11 }, (_, i): [number, number] => [-0.5 + 0.1 * i, 0.2]);
    expect(sum(sums(all, grid).coveredMm)).toBeCloseTo(1, 12);
    const holed = all.filter(([b]) => b < -0.25 || b > 0.15);
    expect(sum(sums(holed, grid).coveredMm)).toBeCloseTo(0.6, 12);
  });

  it("a gap of 1.5 pitches is no hole, one of 1.7 is", () => {
    const at = (gap: number): number => sum(sums([[-0.5, 0.2], [-0.4, 0.2], [-0.4 + gap, 0.25], [0.5, 0.25]], grid, { pitchMm: 0.1 }).holeMm4.subarray(0, 2));
    expect(at(0.15)).toBe(0);
    expect(at(0.17)).toBeGreaterThan(0);
  });

  it("what a hole may hide grows with its length and with the step across it; level ground across it hides nothing", () => {
    const at = (length: number, step: number): number => Math.sqrt(sum(sums([[-0.5, 0.2], [-0.4, 0.2], [-0.4 + length, 0.2 + step], [-0.3 + length, 0.2 + step]], grid, { pitchMm: 0.1 }).holeMm4));
    expect(at(0.4, 0.3) / at(0.2, 0.3)).toBeCloseTo(2, 6);
    expect(at(0.4, 0.3) / at(0.4, 0.1)).toBeCloseTo(3, 6);
    expect(at(0.4, 0)).toBe(0);
  });

  it("stated noise of a flat 1.0 mm is that of 1500 draws to 8 %: σ √(pitch · length) (seed 31)", () => {
    const random = makeRandom(31, "area noise");
    const line = (noise: () => number): [number, number][] => Array.from({ length: 41 }, (_, i) => [-0.5 + 0.025 * i, 0.3 + 0.02 * noise()]);
    const areas = Array.from({ length: 1500 }, () => sum(sums(line(() => random.gauss()), grid, { pitchMm: 0.025, sigmaMm: 0.02 }).areaMm2));
    const stated = Math.sqrt(sum(sums(line(() => 0), grid, { pitchMm: 0.025, sigmaMm: 0.02 }).noiseMm4));
    expect(Math.abs(sdOf(areas) / stated - 1)).toBeLessThan(0.08);
    expect(Math.abs(stated / (0.02 * Math.sqrt(0.025)) - 1)).toBeLessThan(0.05);
  });
});

describe("with the flanks found, the outline falls where they stand", () => {
  const grid: StrandGrid = { cellMm: 0.05, first: -0.8, count: 32 };
  /** Area of a bead at `at`, samples every 0.03 mm shifted by a phase. */
  function areaOf(shape: BeadShape, w: number, h: number, at: number, phase: number, noise: () => number, sigma: number): number {
    const points: [number, number][] = [];
    for (let b = -1.4 + phase * 0.03; b < 1.4; b += 0.03) points.push([b, outlineMm(shape, w, h, b - at) + noise()]);
    const b = Float64Array.from(points, (p) => p[0]), t = Float64Array.from(points, (p) => p[1]);
    const bead = findBead(b, t, points.length, { shape, widthMm: w, heightMm: h, sigmaMm: sigma, pitchMm: 0.03, windowRightMm: 0.8, windowLeftMm: 0.8, spanned: false, limitRightMm: 1.8, limitLeftMm: 1.8 });
    return sum(sums(points, grid, { bead, pitchMm: 0.03, sigmaMm: sigma }).areaMm2);
  }

  it.each<[BeadShape, number, number]>([["stadium", 1, 0.5], ["stadium", 0.8, 0.4], ["segment", 1.1, 0.4], ["segment", 0.9, 0.45]])("a %s of %d × %d mm: mean over 40 phases within 0.2 % of the closed form, every phase within 1.2 %", (shape, w, h) => {
    const ratios = Array.from({ length: 40 }, (_, k) => areaOf(shape, w, h, 0.03 * Math.sin(k), k / 40, () => 0, 0.005) / visibleAreaMm2(shape, w, h));
    expect(Math.abs(meanOf(ratios) - 1)).toBeLessThan(0.002);
    for (const r of ratios) expect(Math.abs(r - 1)).toBeLessThan(0.012);
  });

  it("a trapezoid through the same samples would scatter by the phase: with σ 0.01 mm the area's sd stays under 0.7 % (200 draws, seed 32)", () => {
    const random = makeRandom(32, "cells");
    const areas = Array.from({ length: 200 }, () => areaOf("stadium", 1, 0.5, 0.04 * random.gauss(), random.next(), () => 0.01 * random.gauss(), 0.01));
    expect(Math.abs(meanOf(areas) / visibleAreaMm2("stadium", 1, 0.5) - 1)).toBeLessThan(0.003);
    expect(sdOf(areas) / visibleAreaMm2("stadium", 1, 0.5)).toBeLessThan(0.007);
  });

  it("outlineInside rises from a stadium's half height to its crown over a radius", () => {
    const bead = { ...NONE, radiusMm: 0.25, centreMm: 0.25 };
    expect([outlineInside(bead, 0), outlineInside(bead, 0.25), outlineInside(bead, 0.4)]).toEqual([0.25, 0.5, 0.5].map((v) => expect.closeTo(v, 12)));
  });
});
