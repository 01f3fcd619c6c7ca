/** The kernels that find points of a board: pictures made by closed forms, whose points are known. */
import { describe, expect, it } from "vitest";
import { cornerWindow, refineCorner } from "../../lib/kernel/cornerRefine.ts";
import { circleShift, findDots } from "../../lib/kernel/dotBlobs.ts";
import { boxMeans, type GrayImage, halved, sampleAt, smoothed } from "../../lib/kernel/grayImage.ts";
import { growGrid, quarterTurned } from "../../lib/kernel/gridGrow.ts";
import { findSaddles } from "../../lib/kernel/saddles.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";

const image = (width: number, height: number, at: (x: number, y: number) => number): GrayImage => ({ width, height, pixels: Float32Array.from({ length: width * height }, (_, i) => at(i % width, Math.floor(i / width))) });
const edge = (d: number): number => Math.tanh(d / 1.2);

describe("grayImage", () => {
  const ramp = image(9, 7, (x, y) => 3 * x - 2 * y + 11);

  it("a plane stays itself when it is smoothed, sampled between pixels, meaned over boxes inside, and halved at (2x + 0.5, 2y + 0.5)", () => {
    const soft = smoothed(ramp, 2), means = boxMeans(ramp, 1), half = halved(ramp);
    expect(sampleAt(ramp, 3.25, 2.5)).toBeCloseTo(3 * 3.25 - 2 * 2.5 + 11, 5);
    expect(soft.pixels[3 * 9 + 4]).toBeCloseTo(3 * 4 - 2 * 3 + 11, 4);
    expect(means[3 * 9 + 4]).toBeCloseTo(3 * 4 - 2 * 3 + 11, 4);
    expect(means[0]).toBeCloseTo(11 + 0.5, 4); // of four pixels at the corner
    expect([half.width, half.height]).toEqual([4, 3]);
    expect(half.pixels[2 * 4 + 1]).toBeCloseTo(3 * 2.5 - 2 * 4.5 + 11, 4);
  });

  it("outside of the pixels' centres there is nothing: NaN", () => {
    for (const [x, y] of [[-0.01, 3], [8.01, 3], [3, -0.01], [3, 6.01]]) expect(sampleAt(ramp, x!, y!)).toBeNaN();
    expect(sampleAt(ramp, 8, 6)).toBeCloseTo(3 * 8 - 2 * 6 + 11, 5);
  });

  it("one pass spreads a single bright pixel with variance 1 px² along each axis, as the binomial 1 4 6 4 1 has", () => {
    const { pixels } = smoothed(image(11, 11, (x, y) => Number(x === 5 && y === 5)), 1);
    let sum = 0, square = 0;
    pixels.forEach((v, i) => { sum += v; square += v * (i % 11 - 5) ** 2; });
    expect(sum).toBeCloseTo(1, 6);
    expect(square).toBeCloseTo(1, 6);
  });
});

describe("saddles and corners", () => {
  const cross = (x0: number, y0: number, shear: number): GrayImage => image(41, 41, (x, y) => 120 + 70 * edge(x - x0 + shear * (y - y0)) * edge(y - y0 - 0.2 * (x - x0)));

  it("two crossing edges have one saddle within a pixel, bright along the diagonals on which both edges have one sign", () => {
    const [saddle, ...more] = findSaddles(cross(20.3, 19.6, 0));
    expect(more).toEqual([]);
    expect(Math.hypot(saddle!.x - 20.3, saddle!.y - 19.6)).toBeLessThan(1);
    expect(saddle!.brightX * saddle!.brightY).toBeGreaterThan(0.2);
    expect(findSaddles(image(41, 41, (x, y) => 120 - 70 * edge(x - 20) * edge(y - 20)))[0]!.brightX * findSaddles(image(41, 41, (x, y) => 120 - 70 * edge(x - 20) * edge(y - 20)))[0]!.brightY).toBeLessThan(-0.2);
  });

  it("the outer corner of one square is none, nor is an edge", () => {
    expect(findSaddles(image(41, 41, (x, y) => (x > 20 && y > 20 ? 40 : 200)))).toEqual([]);
    expect(findSaddles(image(41, 41, (x) => 120 + 70 * edge(x - 20)))).toEqual([]);
  });

  it.each([[20.3, 19.6, 0], [19.75, 20.4, 0.3], [20, 20, -0.4]])("a corner at (%d, %d) px with shear %d is found within 0.03 px from 1.5 px away", (x, y, shear) => {
    const out = new Float64Array(2);
    refineCorner(cross(x, y, shear), Math.round(x) + 1, Math.round(y) - 1, { window: cornerWindow(7), out });
    expect(Math.hypot(out[0]! - x, out[1]! - y)).toBeLessThan(0.03);
  });

  it("where no edges meet within the window there is none: NaN", () => {
    const out = new Float64Array(2);
    refineCorner(cross(20, 20, 0), 33, 33, { window: cornerWindow(5), out });
    expect(out[0]).toBeNaN();
    refineCorner(image(41, 41, () => 80), 20, 20, { window: cornerWindow(5), out });
    expect(out[0]).toBeNaN();
  });
});

describe("growGrid", () => {
  /** A 6 × 4 grid seen aslant, shuffled among points that are none of it (seed 7). */
  const random = makeRandom(7, "grid"), places = Array.from({ length: 24 }, (_, i) => { const c = i % 6, r = Math.floor(i / 6), w = 1 + 0.04 * c + 0.03 * r; return [(20 + 30 * c + 6 * r) / w, (15 - 4 * c + 26 * r) / w] as const; });
  const strays = Array.from({ length: 30 }, () => [260 + 140 * random.next(), 200 * random.next()] as const), all = [...strays.slice(0, 15), ...places, ...strays.slice(15)];
  const points = { x: all.map(([x]) => x), y: all.map(([, y]) => y) };

  it("finds its 24 points in their order among 30 strays", () => {
    const grid = growGrid(points, () => true)!;
    const turns = [grid, quarterTurned(grid), quarterTurned(quarterTurned(grid)), quarterTurned(quarterTurned(quarterTurned(grid)))];
    expect(turns.map(({ columns, rows, points: found }) => [columns, rows, ...found].join())).toContain([6, 4, ...Array.from({ length: 24 }, (_, i) => 15 + i)].join());
  });

  it("a point that is missing at a corner costs the row or column that it lies in, 5 × 4 being larger than 6 × 3", () => {
    const left = all.map((_, i) => i).filter((i) => i !== 15), grid = growGrid({ x: left.map((i) => all[i]![0]), y: left.map((i) => all[i]![1]) }, () => true)!;
    expect([grid.columns, grid.rows].sort((a, b) => a - b)).toEqual([4, 5]);
  });

  it("points that may not be neighbours make none: null", () => {
    expect(growGrid(points, () => false)).toBeNull();
    expect(growGrid({ x: [], y: [] }, () => true)).toBeNull();
  });

  it("four quarter turns are none, one carries the first row to the last column", () => {
    const grid = { columns: 3, rows: 2, points: [0, 1, 2, 3, 4, 5] };
    expect(quarterTurned(grid)).toEqual({ columns: 2, rows: 3, points: [3, 0, 4, 1, 5, 2] });
    expect(quarterTurned(quarterTurned(quarterTurned(quarterTurned(grid))))).toEqual(grid);
  });
});

describe("dots", () => {
  const disc = (x0: number, y0: number, r: number, dark: number): GrayImage => image(60, 50, (x, y) => 200 - dark * (0.5 - 0.5 * Math.tanh((Math.hypot(x - x0, (y - y0) / 0.7) - r) / 0.8)));

  it("an ellipse of half-axes 9 and 6.3 px about (30.3, 24.8) is found within 0.01 px, its area within 2 % of π·9·6.3, dark or bright", () => {
    for (const [dark, isBright] of [[150, false], [-50, true]] as const) {
      const [dot, ...more] = findDots(disc(30.3, 24.8, 9, dark), { isBright, windowPx: 16 });
      expect(more).toEqual([]);
      expect(Math.hypot(dot!.x - 30.3, dot!.y - 24.8)).toBeLessThan(0.01);
      expect(Math.abs(dot!.areaPx2 / (Math.PI * 9 * 6.3) - 1)).toBeLessThan(0.02);
    }
  });

  it("a bar, a dot cut by the picture's edge and a dot of the other shade are none", () => {
    expect(findDots(image(60, 50, (x, y) => (x > 5 && x < 55 && y > 22 && y < 27 ? 40 : 200)), { isBright: false, windowPx: 16 })).toEqual([]);
    expect(findDots(disc(4, 24, 9, 150), { isBright: false, windowPx: 16 })).toEqual([]);
    expect(findDots(disc(30, 24, 9, -50), { isBright: false, windowPx: 16 })).toEqual([]);
  });

  it("the picture of a circle square to the view is not shifted; tilted by 0.6 rad about y its centroid lies half-way between its ends along x", () => {
    const lens = { fx: 900, fy: 900, cx: 320, cy: 240, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0 };
    const flat = circleShift(lens, [0, 0, 100, 0, 0, 0, 1], { x: 4, y: -3, radius: 2 });
    expect(Math.hypot(flat.dx, flat.dy)).toBeLessThan(1e-9);
    expect(flat.areaPx2 / (Math.PI * 18 * 18)).toBeCloseTo(1, 1);
    // the centre of an ellipse lies half-way between its ends: along x the circle is seen at 900 (±2 cos a) / (100 ∓ 2 sin a)
    const a = 0.6, tilted = circleShift(lens, [0, 0, 100, 0, Math.sin(a / 2), 0, Math.cos(a / 2)], { x: 0, y: 0, radius: 2 });
    const ends = [2, -2].map((s) => 900 * s * Math.cos(a) / (100 - s * Math.sin(a)));
    expect(tilted.dx).toBeCloseTo((ends[0]! + ends[1]!) / 2, 3);
    expect(Math.abs(tilted.dy)).toBeLessThan(1e-9);
  });
});
