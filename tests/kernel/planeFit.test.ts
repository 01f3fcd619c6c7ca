import { describe, expect, it } from "vitest";
import { robustPlane, type PlaneFit } from "../../lib/kernel/planeFit.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";

function fit(points: readonly (readonly [number, number, number])[], sigma: number): PlaneFit | null {
  const column = (k: 0 | 1 | 2): Float64Array => Float64Array.from(points, (p) => p[k]);
  return robustPlane(column(0), column(1), column(2), points.length, sigma);
}

/** Points of z = 0.4 − 0.03 x + 0.05 y on an uneven grid. */
function points(count: number, off: (i: number, x: number, y: number) => number): [number, number, number][] {
  return Array.from({ length: count }, (_, i) => { const x = (i * 7) % 23, y = (i * 5) % 17; return [x, y, 0.4 - 0.03 * x + 0.05 * y + off(i, x, y)]; });
}

describe("robustPlane", () => {
  it("a plane without noise comes back to 1e-9 from 6 points; 5 give null, and so do 8 on one line", () => {
    expect(fit(points(6, () => 0), 0.01)).toMatchObject({ a: expect.closeTo(0.4, 9), b: expect.closeTo(-0.03, 9), c: expect.closeTo(0.05, 9) });
    expect(fit(points(5, () => 0), 0.01)).toBeNull();
    expect(fit(Array.from({ length: 8 }, (_, i) => [2 * i, i, 3]), 0.01)).toBeNull();
  });

  it.each([
    ["scattered over all of it", 25, (i: number) => i % 4 === 0],
    ["in a band across the middle", 25, (_i: number, u: number) => Math.abs(u - 11.5) < 3],
    ["at one side", 12.5, (_i: number, u: number) => u >= 21],
  ] as const)("points 0.5 mm high %s, %d % of them, move no corner of a square of 24 × 24 points by 6 µm, σ 0.01 mm (seeds 1–15)", (_what, percent, on) => {
    for (let seed = 1; seed <= 15; seed++) {
      const random = makeRandom(seed, "plane");
      const level = (u: number, v: number): number => 0.4 - 0.03 * u + 0.05 * v;
      const square = Array.from({ length: 576 }, (_, i): [number, number, number] => [i % 24, Math.floor(i / 24), level(i % 24, Math.floor(i / 24)) + 0.01 * random.gauss() + (on(i, i % 24) ? 0.5 : 0)]);
      const plane = fit(square, 0.01) as PlaneFit;
      for (const [u, v] of [[0, 0], [23, 0], [0, 23], [23, 23]] as const) expect(Math.abs(plane.a + plane.b * u + plane.c * v - level(u, v)), `seed ${seed}`).toBeLessThan(0.006);
      expect(plane.scale).toBeLessThan(0.018); // a MAD among outliers is a little large
      expect(plane.used).toBeLessThan(576 * (1 - percent / 100));
    }
  });
});
