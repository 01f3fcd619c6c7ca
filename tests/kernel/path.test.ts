import { describe, expect, it } from "vitest";
import { FRAME_LENGTH, frameAt, pointAt, segmentAt, type Path } from "../../lib/kernel/path.ts";
import { madePath, type Triple } from "../support/madePath.ts";

interface Frame { p: number[]; t: number[]; n: number[]; b: number[] }

function frame(path: Path, sMm: number, halfChordMm: number): Frame {
  const out = new Float64Array(FRAME_LENGTH);
  frameAt(path, sMm, halfChordMm, out);
  const part = (i: number): number[] => [...out.subarray(3 * i, 3 * i + 3)];
  return { p: part(0), t: part(1), n: part(2), b: part(3) };
}

/** Polyline round a cylinder of radius r about y, from angle a0 to a1 in `count` pieces; normals point outwards. */
function arcOver(r: number, a0: number, a1: number, count: number): Path {
  const angles = Array.from({ length: count + 1 }, (_, i) => a0 + (a1 - a0) * i / count);
  return madePath(angles.map((a): Triple => [r * Math.sin(a), 0, r * Math.cos(a)]), angles.map((a): Triple => [Math.sin(a), 0, Math.cos(a)]));
}

const near = (v: readonly number[], digits: number): unknown[] => v.map((x) => expect.closeTo(x, digits));

describe("segmentAt", () => {
  it("gives segment i for arc_i ≤ s < arc_i+1; before 0 the first, from the end on the last", () => {
    const arcs = Float64Array.of(0, 5, 11, 11.5);
    expect([-2, 0, 4.99, 5, 10.9, 11, 11.5, 40].map((s) => segmentAt(arcs, s))).toEqual([0, 0, 0, 1, 1, 2, 2, 2]);
  });
});

describe("pointAt", () => {
  it("(0, 0) (3, 4) (3, 10) at s = 7 mm is (3, 6) (check value 1.19)", () => {
    const path = madePath([[0, 0, 0], [3, 4, 0], [3, 10, 0]]);
    const out = new Float64Array(5);
    pointAt(path, 7, out, 2);
    expect([...out]).toEqual([0, 0, 3, 6, 0]);
    expect([...path.arcMm]).toEqual([0, 5, 11]);
  });

  it("beyond both ends the end segment is followed straight on", () => {
    const path = madePath([[0, 0, 0], [3, 4, 0], [3, 10, 0]]);
    const out = new Float64Array(3);
    pointAt(path, -2.5, out, 0);
    expect([...out]).toEqual(near([-1.5, -2, 0], 12));
    pointAt(path, 13, out, 0);
    expect([...out]).toEqual(near([3, 12, 0], 12));
  });
});

describe("frameAt", () => {
  it("on a circle of 20 mm in 400 pieces the frame is (cos a, −sin a), normal (sin a, cos a), lateral normal × tangent, to 1e-4", () => {
    const path = arcOver(20, -0.7, 0.9, 400);
    for (const a of [-0.55, -0.1, 0.31, 0.77]) {
      const f = frame(path, (a + 0.7) * 20, 0.4);
      expect(f.p).toEqual(near([20 * Math.sin(a), 0, 20 * Math.cos(a)], 3));
      expect(f.t).toEqual(near([Math.cos(a), 0, -Math.sin(a)], 4));
      expect(f.n).toEqual(near([Math.sin(a), 0, Math.cos(a)], 4));
      expect(f.b).toEqual(near([0, 1, 0], 6)); // n × t for n = z, t = x is +y
    }
  });

  it("is orthonormal and right-handed even where the given normals lean 20° along the path", () => {
    const lean = 20 * Math.PI / 180;
    const path = madePath([[0, 0, 0], [4, 1, 0], [9, 1, 2]], [Math.sin(lean), 0, Math.cos(lean)]);
    for (const s of [0, 2.2, 4.1, 7, path.arcMm[2]!]) {
      const { t, n, b } = frame(path, s, 0.5);
      const dot = (p: number[], q: number[]): number => p.reduce((sum, v, k) => sum + v * q[k]!, 0);
      expect([dot(t, t), dot(n, n), dot(b, b), dot(t, n), dot(t, b), dot(n, b)]).toEqual(near([1, 1, 1, 0, 0, 0], 12));
      expect(n).toEqual(near([Math.sin(lean), 0, Math.cos(lean)], 12));
    }
  });

  it("at both ends the chord is one-sided: nothing beyond an end is mixed in", () => {
    const path = madePath([[0, 0, 0], [2, 0, 0], [2, 5, 0]]);
    expect(frame(path, 0, 0.5).t).toEqual(near([1, 0, 0], 12));
    expect(frame(path, 7, 0.5).t).toEqual(near([0, 1, 0], 12));
  });

  it("a right-angled corner turns the tangent from 0° to 90° within ± 0.5 mm, never by more than 12° in 0.05 mm (a serpentine's corner)", () => {
    const path = madePath([[0, 0, 0], [6, 0, 0], [6, 3, 0], [0, 3, 0]]);
    const angleAt = (s: number): number => { const { t } = frame(path, s, 0.5); return Math.atan2(t[1]!, t[0]!) * 180 / Math.PI; };
    expect(angleAt(5.5)).toBeCloseTo(0, 9);
    expect(angleAt(6)).toBeCloseTo(45, 9);
    expect(angleAt(6.5)).toBeCloseTo(90, 9);
    for (let s = 5; s < 7; s += 0.05) expect(angleAt(s + 0.05) - angleAt(s)).toBeLessThan(12);
  });

  it("over the seam of a closed square of 4 mm sides the chord runs on: at s = 0, 16 and 16.2 mm as at any other corner", () => {
    const path = madePath([[0, 0, 0], [4, 0, 0], [4, 4, 0], [0, 4, 0], [0, 0, 0]], [0, 0, 1], true);
    const diagonal = near([Math.SQRT1_2, -Math.SQRT1_2, 0], 12);
    expect(frame(path, 0, 0.6).t).toEqual(diagonal);
    expect(frame(path, 16, 0.6).t).toEqual(diagonal);
    for (const [beyond, inside] of [[16.2, 0.2], [-1.3, 14.7]] as const) {
      const a = frame(path, beyond, 0.6), b = frame(path, inside, 0.6);
      for (const key of ["p", "t", "n", "b"] as const) expect(a[key]).toEqual(near(b[key], 12));
    }
  });

  it("beyond an open end the end frame is moved along its tangent", () => {
    const path = madePath([[0, 0, 0], [0, 3, 0]]);
    const f = frame(path, 3.7, 0.5);
    expect(f.p).toEqual(near([0, 3.7, 0], 12));
    expect(f.t).toEqual(near([0, 1, 0], 12));
  });

  it("a path along its own normal has no direction: RangeError", () => {
    expect(() => frame(madePath([[0, 0, 0], [0, 0, 2]]), 1, 0.3)).toThrow(RangeError);
  });
});
