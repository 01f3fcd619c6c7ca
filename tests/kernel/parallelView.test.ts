import { describe, expect, it } from "vitest";
import { between, fitted, nearestProjected, panned, project, turned, viewAxes, zoomed, type ParallelView } from "../../lib/kernel/parallelView.ts";
import { cross, dot, norm, type Vec3 } from "../../lib/kernel/vec.ts";

const front: ParallelView = { ...viewAxes([0, -1, 0], [0, 0, 1]), centreMm: [5, 6, 7], pxPerMm: 12 };
const slanted: ParallelView = { ...viewAxes([0.3, -0.7, 0.5], [0, 0, 1]), centreMm: [5, 6, 7], pxPerMm: 12 };
const rounded = (v: readonly number[]): number[] => v.map((x) => Number(x.toFixed(6)) + 0);
const isRightHanded = ({ right, up, toward }: ParallelView): boolean => norm(cross(right, up).map((x, k) => x - toward[k as 0]) as unknown as Vec3) < 1e-9;

describe("a parallel view", () => {
  it("from the front shows x to the right and z up, 12 px a mm, and what lies nearer to the viewer as nearer", () => {
    expect(rounded(project(front, 5 + 1, 6 - 2, 7 + 3))).toEqual([12, -36, 24]);
    expect(rounded(project(front, 5, 6, 7))).toEqual([0, 0, 0]);
  });

  it("along its own up still has one, square to it", () => {
    const { right, up, toward } = viewAxes([0, 0, 2], [0, 0, 1]);
    expect(rounded([dot(right, up), dot(up, toward), norm(up), norm(right)])).toEqual([0, 0, 1, 1]);
  });

  it("moved by (10, −4) px shows every point there", () => {
    const [x, y] = project(slanted, 1, 2, 3), [x2, y2] = project(panned(slanted, 10, -4), 1, 2, 3);
    expect(rounded([x2 - x, y2 - y])).toEqual([10, -4]);
  });

  it("larger by 1.5 about a place keeps that place, and stops at the limits", () => {
    const about = { xPx: 80, yPx: -35, leastPxPerMm: 6, mostPxPerMm: 17 };
    const place: Vec3 = [5 + 80 / 12, 6, 7 + 35 / 12], zoomedIn = zoomed(front, 1.4, about);
    expect(zoomedIn.pxPerMm).toBeCloseTo(16.8, 12);
    expect(rounded(project(zoomedIn, ...place)).slice(0, 2)).toEqual([80, -35]);
    expect([zoomed(front, 9, about).pxPerMm, zoomed(front, 0.01, about).pxPerMm]).toEqual([17, 6]);
    expect(rounded(project(zoomed(front, 9, about), ...place)).slice(0, 2)).toEqual([80, -35]);
  });

  it("turned by 30° round z sees from 30° further round, and by 90° four times is as before", () => {
    const by = turned(front, Math.PI / 6, 0, [0, 0, 1]);
    expect(rounded(by.toward)).toEqual(rounded([Math.sin(Math.PI / 6), -Math.cos(Math.PI / 6), 0]));
    const round = [1, 2, 3, 4].reduce((view) => turned(view, Math.PI / 2, 0, [0, 0, 1]), slanted);
    expect(rounded([...round.right, ...round.up])).toEqual(rounded([...slanted.right, ...slanted.up]));
  });

  it("goes over the target by 40°, and never past the pole, however far it is asked to", () => {
    expect(rounded(turned(front, 0, 40 * Math.PI / 180, [0, 0, 1]).toward)).toEqual(rounded([0, -Math.cos(40 * Math.PI / 180), Math.sin(40 * Math.PI / 180)]));
    let view = slanted;
    for (let i = 0; i < 50; i++) {
      view = turned(view, 0.13, 0.4, [0, 0, 1]);
      expect(isRightHanded(view) && view.up[2] > 0).toBe(true);
    }
    expect(view.toward[2]).toBeGreaterThan(0.999);
    expect(turned(view, 0, -0.5, [0, 0, 1]).toward[2]).toBeCloseTo(Math.cos(0.5), 2);
  });

  it("between two views begins with one, ends with the other, and is right-handed on the way, 0.4 of it at the scale between", () => {
    const to: ParallelView = { ...viewAxes([1, 0.2, 0.1], [0, 0, 1]), centreMm: [1, 1, 1], pxPerMm: 48 };
    expect(rounded([...between(slanted, to, 0).right, ...between(slanted, to, 0).toward])).toEqual(rounded([...slanted.right, ...slanted.toward]));
    expect(between(slanted, to, 1)).toBe(to);
    const middle = between(slanted, to, 0.4);
    expect(isRightHanded(middle)).toBe(true);
    expect([middle.pxPerMm, middle.centreMm[0]]).toEqual([expect.closeTo(12 * 4 ** 0.4, 9), expect.closeTo(3.4, 9)]);
  });

  it("fits 30 × 10 mm into 700 × 400 px with 50 px kept free: 20 px a mm, in the middle; a point alone is held at the largest scale", () => {
    const view = fitted(front, [Float32Array.of(0, 0, 0, 30, 2, 10), Float32Array.of(4, -9, 5)], { widthPx: 700, heightPx: 400, marginPx: 50, mostPxPerMm: 90 });
    expect(view.pxPerMm).toBeCloseTo(20, 9);
    expect(rounded(view.centreMm)).toEqual([15, -3.5, 5]);
    expect(fitted(front, [Float32Array.of(1, 2, 3)], { widthPx: 700, heightPx: 400, marginPx: 50, mostPxPerMm: 90 })).toMatchObject({ pxPerMm: 90, centreMm: [1, 2, 3] });
    expect(fitted(front, [], { widthPx: 700, heightPx: 400, marginPx: 50, mostPxPerMm: 90 })).toBe(front);
  });
});

describe("the nearest point in the picture", () => {
  const packed = Float32Array.of(5, 6, 7, 6, 4, 7, 5, 9, 9);

  it("is found with how far off it is and how near to the viewer", () => {
    expect(nearestProjected(front, packed, 15, 4, 20)).toEqual({ index: 1, awayPx: 5, nearPx: 24 });
  });

  it("is none from the reach on: 5 px away with a reach of 5, and just closer is one", () => {
    expect(nearestProjected(front, packed, 15, 4, 5).index).toBe(-1);
    expect(nearestProjected(front, packed, 15, 4, 5.001).index).toBe(1);
  });
});
