import { describe, expect, it } from "vitest";
import { boxesNear, buildPointGrid, mostAlong, type PointGrid } from "../../lib/kernel/pointGrid.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";

function cloud(count: number, seed: number): Float64Array {
  const random = makeRandom(seed, "cloud");
  return Float64Array.from({ length: 3 * count }, (_, i) => (i % 3 === 2 ? 3 : 40) * random.next() - 7);
}

function near(grid: PointGrid, p: readonly [number, number, number], reach: number): number[] {
  const out = { boxes: new Int32Array(1), count: 0 };
  boxesNear(grid, ...p, reach, out);
  return [...out.boxes.subarray(0, out.count)].flatMap((box) => [...grid.points.subarray(grid.start[box], grid.start[box + 1])]);
}

describe("points in boxes", () => {
  it("holds each of 700 points once (seed 4)", () => {
    const grid = buildPointGrid(cloud(700, 4), 700, 2.3);
    expect([...grid.points].sort((a, b) => a - b)).toEqual(Array.from({ length: 700 }, (_, i) => i));
  });

  it("misses none of the points that a search through all finds within 5.1 mm of 50 places (seed 5)", () => {
    const xyz = cloud(600, 5), grid = buildPointGrid(xyz, 600, 1.9), places = cloud(50, 6);
    for (let k = 0; k < 50; k++) {
      const p = [places[3 * k]!, places[3 * k + 1]!, places[3 * k + 2]!] as const;
      const found = new Set(near(grid, p, 5.1));
      for (let i = 0; i < 600; i++) if (Math.hypot(xyz[3 * i]! - p[0], xyz[3 * i + 1]! - p[1], xyz[3 * i + 2]! - p[2]) <= 5.1) expect(found.has(i)).toBe(true);
      expect(found.size).toBeLessThan(600);
    }
  });

  it("keeps boxes few for two points a metre apart and 0.1 mm boxes", () => {
    const grid = buildPointGrid(Float64Array.from([0, 0, 0, 1000, 900, 800]), 2, 0.1);
    expect(grid.n[0] * grid.n[1] * grid.n[2]).toBeLessThan(100);
  });

  it("a box's greatest value along a direction is that of its points' bounds", () => {
    const grid = buildPointGrid(Float64Array.from([1, 2, 3, 2, 1, 5]), 2, 50);
    expect(mostAlong(grid.bounds, 0, [0, 0, 1], [0.6, 0, -0.8])).toBeCloseTo(0.6 * 2 - 0.8 * 2, 12);
  });

  it("no points are no boxes near", () => {
    expect(near(buildPointGrid(new Float64Array(0), 0, 1), [0, 0, 0], 9)).toEqual([]);
  });
});
