import { describe, expect, it } from "vitest";
import { cellRange, gridOf } from "../../lib/measure/grid.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { madePlan, type MadeStrand } from "../support/madePlan.ts";

const line = (strand: number, y: number, widthMm: number): MadeStrand => ({ strand, points: [[0, y, 0.4], [3, y, 0.4]], widthMm, heightMm: 0.4 });
const gridFor = (...strands: MadeStrand[]) => gridOf(buildStations(madePlan(strands), 0.5).strands[0]!);

describe("the lateral cells of a strand", () => {
  it("are a twentieth of its width and reach window + one width to both sides: 1.2 mm wide, 0.9 + 1.2 = 2.1 mm", () => {
    const grid = gridFor(line(1, 0, 1.2));
    expect(grid.cellMm).toBeCloseTo(0.06, 12);
    expect([grid.first, grid.count]).toEqual([expect.closeTo(-2.1, 9), 70]);
  });

  it("reach no further than half-way where neighbours stand on both sides: 0.55 mm of a pitch of 1.1 mm, a whole number of cells", () => {
    const grid = gridFor(line(1, 0, 1), line(2, 1.1, 1), line(3, -1.1, 1));
    expect([grid.first, grid.count]).toEqual([expect.closeTo(-0.55, 9), 22]);
  });

  it("stand symmetrically about the strand: a border at 0", () => {
    const { first, cellMm, count } = gridFor(line(1, 0, 0.7), line(2, 1.3, 0.9));
    expect(first + cellMm * count / 2).toBeCloseTo(0, 12);
  });
});

describe("cellRange", () => {
  const grid = { cellMm: 0.1, first: -0.5, count: 10 };
  it.each([[-0.5, 0.5, 0, 10], [-0.3, 0.2, 2, 7], [-0.31, 0.21, 1, 8], [0, 0, 5, 5], [-9, 9, 0, 10], [0.6, 0.9, 10, 10]])("of %d to %d mm is [%d, %d)", (low, high, from, to) => {
    const range = cellRange(grid, low, high);
    expect(range.to - range.from).toBe(to > from ? to - from : 0);
    if (to > from) expect(range).toEqual({ from, to });
  });
});
