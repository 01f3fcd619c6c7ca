import { describe, expect, it } from "vitest";
import { gridOf } from "../../lib/measure/grid.ts";
import { PassJoiner } from "../../lib/measure/passes.ts";
import { BETWEEN, NEAREST, PASS_LENGTH } from "../../lib/measure/section.ts";
import type { StrandStations } from "../../lib/model/stations.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { madePlan, type MadeStrand } from "../support/madePlan.ts";
import type { Triple } from "../support/madePath.ts";

/** The last reading of each station, by arc length: it is the one that stands. */
function standing(reads: readonly Read[]): Read[] {
  return [...new Map(reads.map((r) => [r.sMm, r])).values()].sort((a, b) => a.sMm - b.sMm);
}

const LINE: MadeStrand = { strand: 1, points: [[0, 0, 0.5], [6, 0, 0.5]] };

interface Read { sMm: number; area: number; tag: number; left: number; flankTag: number; tS: number }

/**
 * Rows at given (s, profile ordinal), in order; every cell of a row holds `area` and was seen at s + skew · b. What is handed on:
 * the cell in the middle, the left flank, and when.
 */
function passes(rows: readonly { s: number; ordinal: number; area?: number; left?: number; skew?: number }[], options: { strand?: MadeStrand; upTo?: number } = {}): { reads: Read[]; strand: StrandStations } {
  const strand = buildStations(madePlan([options.strand ?? LINE]), 0.5).strands[0]!;
  const grid = gridOf(strand);
  const reads: Read[] = [];
  const joiner = new PassJoiner(0.5, (sections, station) => {
    const c = station * grid.count + grid.count / 2;
    reads.push({ sMm: strand.sMm[station]!, area: sections.areaMm2[c]!, tag: sections.tag[c]!, left: sections.flanks[4 * station + 2]!, flankTag: sections.flankTag[2 * station + 1]!, tS: sections.pass[PASS_LENGTH * station]! });
  });
  let ordinal = 0;
  for (const row of rows) {
    for (; ordinal < row.ordinal; ordinal++) joiner.endProfile(ordinal);
    const r = joiner.borrow(strand, grid);
    Object.assign(r, { sMm: row.s, tS: 100 + row.ordinal, ordinal: row.ordinal, from: 0, to: grid.count, leftMm: row.left ?? 0.5, leftS: row.s, uLeftMm: 0.004, rightMm: -0.5, rightS: row.s, uRightMm: 0.005, sigmaMm: 0.01, pitchMm: 0.05 });
    for (let k = 0; k < grid.count; k++) r.along[k] = row.s + (row.skew ?? 0) * (grid.first + (k + 0.5) * grid.cellMm);
    r.areaMm2.fill(row.area ?? 1);
    r.coveredMm.fill(grid.cellMm);
    joiner.add(r, grid);
  }
  joiner.endProfile(options.upTo ?? ordinal);
  if (options.upTo === undefined) joiner.endAll();
  return { reads, strand };
}
/** Rows every 0.3 mm, area 1 + 0.1 s. */
const sweep = (from: number, to: number): { s: number; ordinal: number; area: number; left: number }[] => {
  const rows = [];
  for (let i = 0; from + 0.3 * i <= to + 1e-9; i++) { const s = from + 0.3 * i; rows.push({ s, ordinal: i + 1, area: 1 + 0.1 * s, left: 0.4 + 0.02 * s }); }
  return rows;
};

describe("a pass over a straight strand, profiles 0.3 mm apart, stations 0.5 mm", () => {
  const all = passes(sweep(-0.2, 6.2)).reads, reads = standing(all);

  it("hands on all 13 stations once, in the order in which they were passed", () => {
    expect(all.map((r) => r.sMm)).toEqual(reads.map((r) => r.sMm));
    expect(reads.map((r) => r.sMm)).toEqual([0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6]);
  });

  it("is the section at s, linear between the two rows about it: area 1 + 0.1 s and left flank 0.4 + 0.02 s, exactly", () => {
    for (const r of reads) expect([r.area, r.left, r.tag, r.flankTag], `s ${r.sMm}`).toEqual([expect.closeTo(1 + 0.1 * r.sMm, 6), expect.closeTo(0.4 + 0.02 * r.sMm, 9), BETWEEN, BETWEEN]);
  });

  it("is dated by the newer of its two rows: station 3.0 mm, between rows 11 and 12, at 112 s", () => {
    expect(reads.find((r) => r.sMm === 3)?.tS).toBe(112);
  });

  it("is no mean along the strand: a row 3 times as large moves the stations beside it alone", () => {
    const rows = sweep(-0.2, 6.2).map((r) => (Math.abs(r.s - 3.1) < 1e-9 ? { ...r, area: 4 } : { ...r, area: 1 }));
    const changed = standing(passes(rows).reads).filter((r) => Math.abs(r.area - 1) > 1e-6).map((r) => [r.sMm, r.area]);
    // rows at 2.8, 3.1, 3.4: the station at 3.0 lies two thirds of the way from 2.8 to 3.1
    expect(changed).toEqual([[3, expect.closeTo(3, 6)]]);
  });

  it("a pass the other way gives the same sections", () => {
    const backwards = sweep(-0.2, 6.2).reverse().map((r, i) => ({ ...r, ordinal: i + 1 }));
    const again = standing(passes(backwards).reads);
    expect(again.map((r) => [r.sMm, r.area])).toEqual(reads.map((r) => [r.sMm, expect.closeTo(r.area, 6)]));
  });

  it("stations are handed on while the pass goes on, not only at its end", () => {
    const { reads: early } = passes(sweep(-0.2, 3.2), { upTo: 1e9 });
    const going = passes(sweep(-0.2, 6.2), { upTo: 22 }); // endProfile of the last row's own ordinal: the pass is not over
    expect(early.length).toBeGreaterThan(0);
    expect(going.reads.length).toBeGreaterThanOrEqual(11);
  });
});

describe("which rows are of one pass: consecutive profiles, cuts at most max(1 mm, 2 spacings) apart", () => {
  it.each([[1, true], [1.05, false]])("rows %d mm apart, at 2.3 mm and beyond: the station at 3.0 mm is read between them: %s", (apart, joined) => {
    const reads = standing(passes([{ s: 2.3, ordinal: 1 }, { s: 2.3 + apart, ordinal: 2 }]).reads);
    expect(reads.map((r) => [r.sMm, r.tag])).toEqual(joined ? [[2.5, BETWEEN], [3, BETWEEN], [3.5, NEAREST]] : [[2.5, NEAREST], [3.5, NEAREST]]);
  });

  it("a profile that missed the strand ends its pass: rows 1 and 3 are not joined", () => {
    const { reads } = passes([{ s: 2.2, ordinal: 1 }, { s: 2.8, ordinal: 3 }]);
    expect(reads.some((r) => r.tag === BETWEEN)).toBe(false);
  });

  it("a single row is the nearest within half a spacing: at 2.2 mm it reads 2.0 mm, and no other", () => {
    expect(passes([{ s: 2.2, ordinal: 1, area: 1.7 }]).reads).toMatchObject([{ sMm: 2, tag: NEAREST, area: expect.closeTo(1.7, 6) }]);
  });

  it("0.25 mm on either side it reads both stations, 0.26 mm away none", () => {
    expect(passes([{ s: 2.25, ordinal: 1 }]).reads.map((r) => r.sMm)).toEqual([2, 2.5]);
    expect(passes([{ s: 6.26, ordinal: 1 }]).reads).toEqual([]);
  });

  it("a strand that doubles back has two passes at once: rows of one profile at 1.1 and 4.9 mm, moving towards each other", () => {
    const rows = [0, 1, 2, 3, 4].flatMap((i) => [{ s: 1.1 + 0.3 * i, ordinal: i + 1, area: 1 }, { s: 4.9 - 0.3 * i, ordinal: i + 1, area: 2 }]);
    const { reads } = passes(rows);
    const area = (sMm: number): number => standing(reads).find((r) => r.sMm === sMm)!.area;
    expect([1.5, 2, 4, 4.5].map(area)).toEqual([1, 1, 2, 2].map((v) => expect.closeTo(v, 6)));
  });
});

describe("an askew plane", () => {
  it("each cell is interpolated by its own place along the strand: at 30° the middle one still reads 1 + 0.1 s, at all 13 stations", () => {
    const rows = sweep(-1.4, 7.4).map((r) => ({ ...r, skew: Math.tan(Math.PI / 6) }));
    const reads = standing(passes(rows).reads);
    expect(reads).toHaveLength(13);
    // the middle cell's centre lies half a cell, 0.025 mm, left of the strand
    for (const r of reads) expect(r.area).toBeCloseTo(1 + 0.1 * (r.sMm - 0.025 * Math.tan(Math.PI / 6)), 3);
  });
});

describe("a closed ring", () => {
  const ring: MadeStrand = { strand: 1, points: Array.from({ length: 91 }, (_, i): Triple => [3 * Math.cos(i * Math.PI / 45), 3 * Math.sin(i * Math.PI / 45), 0.5]) };
  it("over its seam a pass goes on without joining both ends into one long stretch: no station far from the seam is read", () => {
    const L = buildStations(madePlan([ring]), 0.5).strands[0]!.lengthMm;
    const { reads } = passes([{ s: L - 0.35, ordinal: 1 }, { s: L - 0.1, ordinal: 2 }, { s: 0.15, ordinal: 3 }, { s: 0.4, ordinal: 4 }], { strand: ring });
    expect(reads.length).toBeGreaterThan(0);
    expect(reads.every((r) => r.sMm < 1 || r.sMm > L - 1)).toBe(true);
  });
});
