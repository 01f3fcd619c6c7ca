import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { buildCutIndex, cutPaths, makeCuts, type PlanePiece } from "../../lib/kernel/planeCut.ts";
import { axesOfPose, unit, type Pose7 } from "../../lib/kernel/vec.ts";
import { madePath, type Triple } from "../support/madePath.ts";

function pieceOf(pose: Pose7, bounds: { minX: number; maxX: number; minZ: number; maxZ: number }): PlanePiece {
  const { x, y, z, t } = axesOfPose(pose);
  return { o: Float64Array.from(t), x: Float64Array.from(x), y: Float64Array.from(y), z: Float64Array.from(z), ...bounds };
}

const dot = (a: readonly number[], b: Float64Array): number => a[0]! * b[0]! + a[1]! * b[1]! + a[2]! * b[2]!;

/** Every segment tried, nothing indexed. */
function bruteForce(paths: readonly (readonly Triple[])[], plane: PlanePiece): { path: number; s: number }[] {
  const found: { path: number; s: number }[] = [];
  paths.forEach((points, path) => {
    let s = 0;
    for (let i = 0; i + 1 < points.length; i++) {
      const p = points[i]!, q = points[i + 1]!;
      const length = Math.hypot(q[0] - p[0], q[1] - p[1], q[2] - p[2]);
      const rel = (r: Triple): Triple => [r[0] - plane.o[0]!, r[1] - plane.o[1]!, r[2] - plane.o[2]!];
      const d0 = dot(rel(p), plane.y), d1 = dot(rel(q), plane.y);
      if ((d0 < 0) !== (d1 < 0)) {
        const f = d0 / (d0 - d1);
        const at: Triple = [p[0] + (q[0] - p[0]) * f, p[1] + (q[1] - p[1]) * f, p[2] + (q[2] - p[2]) * f];
        const x = dot(rel(at), plane.x), z = dot(rel(at), plane.z);
        if (x >= plane.minX && x <= plane.maxX && z >= plane.minZ && z <= plane.maxZ) found.push({ path, s: s + length * f });
      }
      s += length;
    }
  });
  return found;
}

const coordinate = fc.double({ min: -10, max: 10, noNaN: true });
const point = fc.tuple(coordinate, coordinate, coordinate);
const quaternion = fc.tuple(coordinate, coordinate, coordinate, coordinate).filter((q) => Math.hypot(...q) > 0.5).map((q) => q.map((v) => v / Math.hypot(...q)) as [number, number, number, number]);
const bound = fc.tuple(fc.double({ min: -9, max: -0.5, noNaN: true }), fc.double({ min: 0.5, max: 9, noNaN: true }));

describe("cutPaths", () => {
  it("finds what trying every segment finds, of up to 4 polylines with up to 60 points (fast-check, seed 2024)", () => {
    const polyline = fc.array(point, { minLength: 2, maxLength: 60 });
    fc.assert(fc.property(fc.array(polyline, { minLength: 1, maxLength: 4 }), point, quaternion, bound, bound, (paths, t, q, bx, bz) => {
      const plane = pieceOf([...t, ...q], { minX: bx[0], maxX: bx[1], minZ: bz[0], maxZ: bz[1] });
      const index = buildCutIndex(paths.map((p) => madePath(p)), paths.map(() => 0));
      const cuts = makeCuts();
      cutPaths(index, plane, cuts);
      const found = Array.from({ length: cuts.count }, (_, i) => ({ path: cuts.path[i]!, s: cuts.sMm[i]! })).sort((a, b) => a.path - b.path || a.s - b.s);
      const expected = bruteForce(paths, plane).sort((a, b) => a.path - b.path || a.s - b.s);
      expect(found.map((c) => c.path)).toEqual(expected.map((c) => c.path));
      found.forEach((cut, i) => expect(cut.s).toBeCloseTo(expected[i]!.s, 8));
    }), { seed: 2024, numRuns: 300 });
  });

  it("keeps 200 cuts of one plane where 64 fit at first", () => {
    const zigzag = Array.from({ length: 201 }, (_, i): Triple => [i * 0.01, i % 2 === 0 ? -1 : 1, 0]);
    const cuts = makeCuts();
    cutPaths(buildCutIndex([madePath(zigzag)], [0]), pieceOf([0, 0, 0, 0, 0, 0, 1], { minX: -1, maxX: 5, minZ: -1, maxZ: 1 }), cuts);
    expect(cuts.count).toBe(200);
    expect(cuts.sMm[199]).toBeGreaterThan(cuts.sMm[198]!);
  });

  it("a vertex that lies on the plane counts once, and a second call begins afresh", () => {
    const path = madePath([[0, -2, 0], [0, 0, 0], [0, 3, 0]]);
    const index = buildCutIndex([path], [0]), cuts = makeCuts();
    const plane = pieceOf([0, 0, 0, 0, 0, 0, 1], { minX: -1, maxX: 1, minZ: -1, maxZ: 1 });
    cutPaths(index, plane, cuts);
    cutPaths(index, plane, cuts);
    expect([cuts.count, cuts.sMm[0]]).toEqual([1, 2]);
  });

  it("ends are followed straight on by what was asked: a cut 0.7 mm before and 0.4 mm after a strand of 5 mm at −0.7 and 5.4 mm", () => {
    const along = unit([0, 1, 0]);
    const path = madePath([[0, 0, 0], [0, 2, 0], [0, 5, 0]]);
    const at = (y: number, prolongMm: number): number[] => {
      const cuts = makeCuts();
      cutPaths(buildCutIndex([path], [prolongMm]), pieceOf([0, y * along[1], 0, 0, 0, 0, 1], { minX: -1, maxX: 1, minZ: -1, maxZ: 1 }), cuts);
      return [...cuts.sMm.subarray(0, cuts.count)];
    };
    expect(at(-0.7, 0)).toEqual([]);
    expect(at(-0.7, 1)).toEqual([expect.closeTo(-0.7, 12)]);
    expect(at(5.4, 1)).toEqual([expect.closeTo(5.4, 12)]);
    expect(at(5.4, 0.3)).toEqual([]);
  });
});
