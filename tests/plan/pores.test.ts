import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { PlannedPore } from "../../lib/model/pore.ts";
import { plannedPores } from "../../lib/plan/pores.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { madePlan, type MadeStrand } from "../support/madePlan.ts";

const line = (strand: number, y: number, more: Partial<MadeStrand> & { from?: number; to?: number } = {}): MadeStrand =>
  ({ strand, points: [[more.from ?? 0, y, 0.5], [more.to ?? 5, y, 0.5]], ...more });
const poresOf = (strands: readonly MadeStrand[]): PlannedPore[] => plannedPores(buildStations(madePlan(strands), 0.5));
const areaOf = (pore: PlannedPore): number => pore.places.reduce((sum, p) => sum + p.gapMm * p.lengthMm, 0);

describe("planned pores, beads of 1.0 × 0.5 mm, stations every 0.5 mm", () => {
  it("three lines 2.2 and 1.7 mm apart leave two pores of 1.2 and 0.7 mm along all 11 stations: areas 5 × 1.2 and 5 × 0.7 mm²", () => {
    const pores = poresOf([line(1, 0), line(2, 2.2), line(3, 3.9)]);
    expect(pores.map((p) => [p.strandIndex, p.otherIndex, p.places.length])).toEqual([[0, 1, 11], [1, 2, 11]]);
    expect(pores.map(areaOf)).toEqual([expect.closeTo(6, 6), expect.closeTo(3.5, 6)]);
  });

  it("sides: the second strand lies to the left; laid the same way it faces the pore with its right, laid back with its left, station for station", () => {
    const [same] = poresOf([line(1, 0), line(2, 2)]), [back] = poresOf([line(1, 0), line(2, 2, { from: 5, to: 0 })]);
    expect(same!.places[2]).toMatchObject({ station: 2, side: 1, otherStation: 2, otherSide: -1 });
    expect(back!.places[2]).toMatchObject({ station: 2, side: 1, otherStation: 8, otherSide: 1 });
  });

  it.each([[0.9, 0], [1, 0], [1.199, 0], [1.201, 1]])("a raster of pitch %d mm has %d pores: 0.2 w is the least", (pitch, count) => {
    expect(poresOf([line(1, 0), line(2, pitch)])).toHaveLength(count);
  });

  it("reaches as far as both strands lie side by side: one from 0 to 5, one from 2 to 9 mm share 3 mm", () => {
    const [pore] = poresOf([line(1, 0), line(2, 2, { from: 2, to: 9 })]);
    expect(pore!.places[0]!.station).toBe(4);
    expect(areaOf(pore!)).toBeCloseTo(3.25, 6); // six stations of 0.5 mm and the strand's end, which stands for half of that; the gap is 1 mm
  });

  it("strands that cross, and strands of different layers, border none; beads of 1.4 and 0.8 mm 2 mm apart leave 0.9, of 3 and 0.6 mm 2.5 mm apart 0.7", () => {
    expect(poresOf([line(1, 0), { strand: 2, points: [[2, -3, 0.5], [2, 3, 0.5]] }])).toEqual([]);
    expect(poresOf([line(1, 0), line(1, 2, { layer: 2 })])).toEqual([]);
    expect(poresOf([line(1, 0, { widthMm: 3 }), line(2, 2.5, { widthMm: 0.6 })])[0]!.places[3]!.gapMm).toBeCloseTo(0.7, 9);
    expect(poresOf([line(1, 0, { widthMm: 1.4 }), line(2, 2, { widthMm: 0.8 })])[0]!.places[3]!.gapMm).toBeCloseTo(0.9, 9);
  });

  it("two legs of one strand border one: a meander of legs 2 mm apart has a pore of 1 mm, counted once", () => {
    const pores = poresOf([{ strand: 1, points: [[0, 0, 0.5], [8, 0, 0.5], [8, 2, 0.5], [0, 2, 0.5]] }]);
    expect(pores.map((p) => [p.strandIndex, p.otherIndex])).toEqual([[0, 0]]);
    const straight = pores[0]!.places.filter((p) => p.station < 12);
    expect(straight).toHaveLength(12);
    for (const p of straight) expect([p.gapMm, p.side, p.otherSide, p.station + p.otherStation]).toEqual([expect.closeTo(1, 6), 1, 1, 36]);
  });

  it("the gap is pitch − w whatever the direction in the plane and the pitch from 1.3 to 6 mm", () => {
    fc.assert(fc.property(fc.double({ min: 1.3, max: 6, noNaN: true }), fc.double({ min: 0, max: 6.28, noNaN: true }), (pitch, turn) => {
      const at = (x: number, y: number) => [x * Math.cos(turn) - y * Math.sin(turn), x * Math.sin(turn) + y * Math.cos(turn), 0.5] as const;
      const [pore] = poresOf([{ strand: 1, points: [at(0, 0), at(4, 0)] }, { strand: 2, points: [at(0, pitch), at(4, pitch)] }]);
      expect(pore!.places).toHaveLength(9);
      for (const p of pore!.places) expect(p.gapMm).toBeCloseTo(pitch - 1, 4);
    }), { seed: 3, numRuns: 40 });
  });
});
