import { describe, expect, it } from "vitest";
import { coarser, NO_SHIFT, pointAt, projectInto, shifted, viewOf, placeOf, type View } from "../../lib/camera/view.ts";
import { LensView } from "../../lib/kernel/lensView.ts";
import type { Pose } from "../../lib/model/job.ts";

const LENS = { fx: 800, fy: 790, cx: 321, cy: 238, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0 };
/** Looks down, and is turned by 2 asin 0.28 about x + y besides (0.28² + 0.96² = 1). */
const POSE: Pose = [4, -3, 90, 0.96, 0.28 * Math.SQRT1_2, 0.28 * Math.SQRT1_2, 0];
const VIEW: View = { lens: LENS, place: placeOf(POSE), u0: 40, v0: -12, step: 1.7, width: 300, height: 200 };
const POINTS = [[0, 0, 0], [12, -7, 1.5], [-20, 15, -3], [3.3, 2.2, 40]] as const;

function cellOfPoint(view: View, [x, y, z]: readonly [number, number, number]): [number, number, number] {
  const out = new Float64Array(5);
  projectInto(view, x, y, z, out, 2);
  return [out[2]!, out[3]!, out[4]!];
}

describe("a view", () => {
  it.each(POINTS)("point (%d, %d, %d): its cell and inverse depth give it back", (...point) => {
    const [column, row, inverse] = cellOfPoint(VIEW, point), back = pointAt(VIEW, column, row, inverse);
    expect(inverse).toBeGreaterThan(0);
    point.forEach((v, k) => expect(back[k]).toBeCloseTo(v, 9));
  });

  it.each(POINTS)("point (%d, %d, %d) is seen where a lens without distortion sees it, in cells", (...point) => {
    const other = new LensView(LENS, POSE), [u, v] = other.pixelAt(point) as readonly [number, number], [column, row, inverse] = cellOfPoint(VIEW, point);
    expect(40 + 1.7 * column).toBeCloseTo(u, 9);
    expect(-12 + 1.7 * row).toBeCloseTo(v, 9);
    expect(1 / inverse).toBeCloseTo(other.depthMm(point), 9);
  });

  it("what is not before the camera has no cell and an inverse depth of 0", () => {
    expect(cellOfPoint({ ...VIEW, place: placeOf([0, 0, 10, 1, 0, 0, 0]) }, [0, 0, 11])).toEqual([NaN, NaN, 0]);
  });

  it("half as fine: the middle of cell (c, r) is that between (2c, 2r) and (2c + 1, 2r + 1)", () => {
    const half = coarser(VIEW), [column, row] = cellOfPoint(VIEW, [5, 4, 0]), [c, r] = cellOfPoint(half, [5, 4, 0]);
    expect([2 * c + 0.5, 2 * r + 0.5].map((v, k) => v - [column, row][k]!)).toEqual([expect.closeTo(0, 9), expect.closeTo(0, 9)]);
    expect([half.step, half.width, half.height]).toEqual([3.4, 150, 100]);
    expect(coarser({ ...VIEW, width: 1, height: 3 })).toMatchObject({ width: 1, height: 1 });
  });
});

describe("the view that holds given points", () => {
  const DOWN: Pose = [0, 0, 100, 1, 0, 0, 0], camera = { ...LENS, fx: 1000, fy: 1000, cx: 320, cy: 240, widthPx: 640, heightPx: 480 };
  const around = (points: readonly number[], marginMm = 2) => viewOf(camera, DOWN, Float64Array.from(points), { marginMm, cellMm: 0.2 });

  it("straight down from 100 mm with f 1000 px, 10 px a mm: ± 10 mm and 2 mm round it are 240 px wide, in cells of 2 px", () => {
    expect(around([-10, -5, 0, 10, 5, 0])).toMatchObject({ u0: expect.closeTo(200, 9), v0: expect.closeTo(170, 9), step: expect.closeTo(2, 9), width: 120, height: 70 });
  });

  it("is none where no point is in the picture", () => {
    expect(around([40, 0, 0])).toBeNull();
    expect(around([0, 0, 101])).toBeNull();
  });

  it("never has cells finer than a pixel", () => {
    expect(viewOf(camera, DOWN, Float64Array.of(0, 0, 0), { marginMm: 1, cellMm: 0.01 })?.step).toBe(1);
  });
});

describe("a shift", () => {
  const SHIFT = { columns: 3, rows: -2, turnRad: 0.03, aboutX: 100, aboutY: 60 };

  it("none leaves a cell where it is; its own middle is only moved", () => {
    expect(shifted(NO_SHIFT, 17.5, 4)).toEqual([17.5, 4]);
    expect(shifted(SHIFT, 100, 60)).toEqual([103, 58]);
  });

  it("0.03 rad is a rotation to 0.001 cells a hundred cells out (0.03³ / 6 · 100 = 0.00045)", () => {
    const [x, y] = shifted(SHIFT, 180, 120), c = Math.cos(0.03), s = Math.sin(0.03);
    expect(Math.abs(x - (103 + 80 * c - 60 * s))).toBeLessThan(1e-3);
    expect(Math.abs(y - (58 + 80 * s + 60 * c))).toBeLessThan(1e-3);
  });
});
