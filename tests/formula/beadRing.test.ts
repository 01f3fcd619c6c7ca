import { describe, expect, it } from "vitest";
import { outlineMm, visibleAreaMm2 } from "../../lib/formula/bead.ts";
import { RING_POINTS, RING_STRIDE, writeBeadRing } from "../../lib/formula/beadRing.ts";
import type { BeadShape } from "../../lib/model/job.ts";

function ringOf(shape: BeadShape, widthMm: number, heightMm: number): { b: number; n: number; nb: number; nn: number; way: number }[] {
  const ring = new Float64Array(RING_STRIDE * RING_POINTS);
  writeBeadRing(shape, widthMm, heightMm, ring);
  return Array.from({ length: RING_POINTS }, (_, j) => ({ b: ring[RING_STRIDE * j]!, n: ring[RING_STRIDE * j + 1]!, nb: ring[RING_STRIDE * j + 2]!, nn: ring[RING_STRIDE * j + 3]!, way: ring[RING_STRIDE * j + 4]! }));
}

/** Shoelace, closed by the base. */
const areaOf = (ring: readonly { b: number; n: number }[]): number => Math.abs(ring.reduce((sum, { b, n }, j) => { const next = ring[(j + 1) % ring.length]!; return sum + b * next.n - next.b * n; }, 0)) / 2;

describe("a bead's ring of nine points", () => {
  const beads: [BeadShape, number, number, number][] = [["stadium", 1, 0.5, 0.022], ["stadium", 1.6, 0.4, 0.011], ["stadium", 0.7, 0.7, 0.045], ["segment", 1.2, 0.35, 0.025], ["segment", 0.9, 0.62, 0.032]];
  it.each(beads)("of a %s of %f × %f mm encloses its visible area to %f of it, from inside", (shape, w, h, share) => {
    const area = areaOf(ringOf(shape, w, h)), closed = visibleAreaMm2(shape, w, h);
    expect(area).toBeLessThan(closed);
    expect(area).toBeGreaterThan(closed * (1 - share));
  });

  it.each(beads)("of a %s of %f × %f mm lies on its outline, goes from right to left, has unit normals that point out, and ends on the base", (shape, w, h) => {
    const ring = ringOf(shape, w, h);
    for (const { b, n, nb, nn } of ring) {
      const isSkirt = Math.abs(Math.abs(b) - w / 2) < 1e-9;
      if (!isSkirt) expect(n).toBeCloseTo(outlineMm(shape, w, h, b), 9);
      expect(Math.hypot(nb, nn)).toBeCloseTo(1, 12);
      expect(nb * b).toBeGreaterThanOrEqual(0);
    }
    expect(ring.every(({ b }, j) => j === 0 || b >= ring[j - 1]!.b - 1e-12)).toBe(true);
    expect([ring[0]!.b, ring[0]!.n, ring[8]!.b, ring[8]!.n].map((mm) => Number(mm.toFixed(9)) + 0)).toEqual([-w / 2, 0, w / 2, 0]);
    expect([ring[4]!.n, ring[4]!.way]).toEqual([h, 0]);
    expect(ring[8]!.way).toBeCloseTo(-ring[0]!.way, 12);
  });

  it("of a thread narrower than high, 0.3 × 0.5 mm, has a round crown of half its width on straight flanks", () => {
    expect(ringOf("stadium", 0.3, 0.5).slice(0, 5).map(({ b, n }) => [b, n].map((mm) => Number(mm.toFixed(3))))).toEqual([[-0.15, 0], [-0.15, 0.35], [-0.106, 0.456], [0, 0.5], [0, 0.5]]);
  });

  it("of a bead without size is one of 0.02 × 0.02 mm, so that its normals are still unit", () => {
    const ring = ringOf("stadium", 0, -0.1);
    expect([ring[0]!.b, ring[4]!.n, ring[8]!.b, Math.hypot(ring[2]!.nb, ring[2]!.nn)]).toEqual([-0.01, 0.02, 0.01, 1]);
  });
});
