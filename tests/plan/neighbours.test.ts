import { describe, expect, it } from "vitest";
import { FRAME_LENGTH, frameAt, type Path } from "../../lib/kernel/path.ts";
import { NeighbourFinder, type StrandShape } from "../../lib/plan/neighbours.ts";
import type { SectionBead } from "../../lib/plan/visible.ts";
import { madePath, type Triple } from "../support/madePath.ts";

function shape(path: Path, widthMm = 1, heightMm = 0.5): StrandShape {
  return { path, lengthMm: path.arcMm[path.arcMm.length - 1]!, bead: () => ({ widthMm, heightMm }) };
}
const line = (y: number, from: number, to: number, z = 0): Path => madePath([[from, y, z], [to, y, z]]);

/** Beads in the section of strand 0 at s, sorted from right to left. */
function found(layer: readonly StrandShape[], sMm: number): SectionBead[] {
  const frame = new Float64Array(FRAME_LENGTH);
  frameAt(layer[0]!.path, sMm, 0.5, frame);
  return [...new NeighbourFinder(layer).find(0, sMm, frame)].sort((a, b) => a.bMm - b.bMm);
}

describe("NeighbourFinder", () => {
  it("gives parallel strands at their lateral distance, left positive, with their own beads and bases: tops are level, so a 0.3 mm bead stands 0.2 mm higher", () => {
    const beads = found([shape(line(0, 0, 8)), shape(line(1.7, 0, 8), 1.2, 0.3), shape(line(-2.3, 0, 8), 0.9, 0.6)], 3);
    expect(beads).toEqual([
      { bMm: expect.closeTo(-2.3, 9), baseMm: expect.closeTo(-0.1, 9), widthMm: 0.9, heightMm: 0.6, stretch: expect.closeTo(1, 9) },
      { bMm: expect.closeTo(1.7, 9), baseMm: expect.closeTo(0.2, 9), widthMm: 1.2, heightMm: 0.3, stretch: expect.closeTo(1, 9) },
    ]);
  });

  it.each([30, 60])("a strand askew by %d° lies where the section cuts it and is stretched by 1 / cos", (degrees) => {
    const a = degrees * Math.PI / 180;
    const askew = madePath([[4 - 5 * Math.cos(a), 2 - 5 * Math.sin(a), 0], [4 + 5 * Math.cos(a), 2 + 5 * Math.sin(a), 0]]);
    expect(found([shape(line(0, 0, 8)), shape(askew)], 4)).toMatchObject([{ bMm: expect.closeTo(2, 9), stretch: expect.closeTo(1 / Math.cos(a), 6) }]);
  });

  it("a crossing at 85° is stretched 4 times, no more", () => {
    const a = 85 * Math.PI / 180;
    const askew = madePath([[4 - 5 * Math.cos(a), 2 - 5 * Math.sin(a), 0], [4 + 5 * Math.cos(a), 2 + 5 * Math.sin(a), 0]]);
    expect(found([shape(line(0, 0, 8)), shape(askew)], 4)[0]?.stretch).toBe(4);
  });

  it("a neighbour that ends 0.24 mm before the section still counts, one that ends 0.26 mm before it does not (a quarter of 1 mm)", () => {
    expect(found([shape(line(0, 0, 8)), shape(line(1.5, 0, 3.76))], 4)).toHaveLength(1);
    expect(found([shape(line(0, 0, 8)), shape(line(1.5, 0, 3.74))], 4)).toHaveLength(0);
  });

  it("looks 12 mm aside and 3 mm up or down, no further", () => {
    expect(found([shape(line(0, 0, 8)), shape(line(11.9, 0, 8)), shape(line(-12.1, 0, 8)), shape(line(4, 0, 8, 2.9)), shape(line(5, 0, 8, -3.1))], 4).map((b) => Math.round(b.bMm * 10) / 10)).toEqual([4, 11.9]);
  });

  it("another strand 0.24 mm away is a crossing, 0.26 mm away a neighbour", () => {
    expect(found([shape(line(0, 0, 8)), shape(line(0.24, 0, 8))], 4)).toHaveLength(0);
    expect(found([shape(line(0, 0, 8)), shape(line(0.26, 0, 8))], 4)).toHaveLength(1);
  });

  it("three legs of one serpentine see each other: the middle one has one on each side, 1.1 and 1.4 mm away", () => {
    const serpentine: Triple[] = [[0, 0, 0], [10, 0, 0], [10, 1.1, 0], [0, 1.1, 0], [0, 2.5, 0], [10, 2.5, 0]];
    // the middle leg runs back along x, so its left is −y
    expect(found([shape(madePath(serpentine))], 10 + 1.1 + 5).map((b) => b.bMm)).toEqual([expect.closeTo(-1.4, 9), expect.closeTo(1.1, 9)]);
  });

  it("round a closed ring of 4 mm radius the way over the seam counts as near: the far side, 8 mm away, is the only neighbour anywhere", () => {
    const ring = madePath(Array.from({ length: 73 }, (_, i): Triple => [4 * Math.cos(i * Math.PI / 36), 4 * Math.sin(i * Math.PI / 36), 0]), [0, 0, 1], true);
    for (const s of [0, 0.05, 0.2, 12, 25]) {
      const beads = found([shape(ring)], s);
      expect(beads.length, `s ${s}`).toBeGreaterThan(0);
      for (const bead of beads) expect(Math.abs(bead.bMm)).toBeCloseTo(8, 1);
    }
  });
});
