import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { applyPose, axesOfPose, cross, dot, lerp, norm, poseOfAxes, reject, sub, tripleAt, unit, type Pose7, type Vec3 } from "../../lib/kernel/vec.ts";

const number = fc.double({ min: -50, max: 50, noNaN: true });
const triple = fc.tuple(number, number, number);
/** Unit quaternions of any kind, half-turns (w = 0) among them. */
const quaternion = fc.tuple(fc.integer({ min: -4, max: 4 }), fc.integer({ min: -4, max: 4 }), fc.integer({ min: -4, max: 4 }), fc.integer({ min: -4, max: 4 }))
  .filter((q) => Math.hypot(...q) > 0).map((q) => q.map((v) => v / Math.hypot(...q)) as [number, number, number, number]);

describe("vectors", () => {
  it("x × y = z, and a × b is square to both with the length of the parallelogram", () => {
    expect(cross([1, 0, 0], [0, 1, 0])).toEqual([0, 0, 1]);
    const a: Vec3 = [1, 2, 3], b: Vec3 = [-4, 0.5, 6];
    const c = cross(a, b);
    expect([dot(c, a), dot(c, b)]).toEqual([expect.closeTo(0, 12), expect.closeTo(0, 12)]);
    expect(norm(c) ** 2).toBeCloseTo(dot(a, a) * dot(b, b) - dot(a, b) ** 2, 9); // Lagrange's identity
  });

  it("what is left of (3, 4, 5) square to z is (3, 4, 0); a zero vector has no direction", () => {
    expect(reject([3, 4, 5], [0, 0, 1])).toEqual([3, 4, 0]);
    expect(unit([3, 0, 4])).toEqual([expect.closeTo(0.6, 15), 0, expect.closeTo(0.8, 15)]);
    expect(() => unit([0, 0, 0])).toThrow(RangeError);
  });

  it("a quarter of the way from (0, 4, 8) to (2, 0, 9) is (0.5, 3, 8.25); triple 1 of a packed array begins at 3", () => {
    expect(lerp([0, 4, 8], [2, 0, 9], 0.25)).toEqual([0.5, 3, 8.25]);
    expect(tripleAt(Float64Array.of(1, 2, 3, 4, 5, 6), 1)).toEqual([4, 5, 6]);
  });
});

describe("poses [tx, ty, tz, qx, qy, qz, qw]", () => {
  it("a quarter turn about z with (10, 20, 30) carries (1, 0, 0), (0, 2, 0), (0, 0, 3) as check value 3.1 says", () => {
    const pose: Pose7 = [10, 20, 30, 0, 0, Math.SQRT1_2, Math.SQRT1_2];
    const cases: [Vec3, Vec3][] = [[[0, 0, 0], [10, 20, 30]], [[1, 0, 0], [10, 21, 30]], [[0, 2, 0], [8, 20, 30]], [[0, 0, 3], [10, 20, 33]]];
    for (const [from, to] of cases) expect(applyPose(pose, from)).toEqual(to.map((v) => expect.closeTo(v, 12)));
  });

  it("keeps every distance and handedness, for any rotation (fast-check, seed 12)", () => {
    fc.assert(fc.property(quaternion, triple, triple, triple, (q, t, a, b) => {
      const pose: Pose7 = [...t, ...q];
      expect(norm(sub(applyPose(pose, a), applyPose(pose, b)))).toBeCloseTo(norm(sub(a, b)), 9);
      const { x, y, z } = axesOfPose(pose);
      expect(cross(x, y)).toEqual(z.map((v) => expect.closeTo(v, 12)));
    }), { seed: 12, numRuns: 300 });
  });

  it("axes → pose → axes is the same to 1e-12, half turns included (w = 0; fast-check, seed 13)", () => {
    fc.assert(fc.property(quaternion, triple, (q, t) => {
      const axes = axesOfPose([...t, ...q]);
      const back = axesOfPose(poseOfAxes(axes.x, axes.y, axes.z, axes.t));
      for (const key of ["x", "y", "z", "t"] as const) expect(back[key]).toEqual(axes[key].map((v) => expect.closeTo(v, 11)));
    }), { seed: 13, numRuns: 400 });
  });

  it("the rotation is q p q*, expanded by hand: (1, 2, 3) by (0.5, −0.5, 0.5, 0.5)", () => {
    // q p q* = p + 2 w (v × p) + 2 v × (v × p) (Hamilton; derived)
    const v: Vec3 = [0.5, -0.5, 0.5], w = 0.5, p: Vec3 = [1, 2, 3];
    const c = cross(v, p), cc = cross(v, c);
    expect(applyPose([0.1, 0.2, 0.3, ...v, w], p)).toEqual([0, 1, 2].map((k) => expect.closeTo(p[k]! + 2 * w * c[k]! + 2 * cc[k]! + [0.1, 0.2, 0.3][k]!, 12)));
  });
});
