import { describe, expect, it } from "vitest";
import { laidAreaMm2, visibleAreaMm2 } from "../../lib/formula/bead.ts";
import type { StrandStations } from "../../lib/model/stations.ts";
import { buildStations, stationArcs } from "../../lib/plan/stations.ts";
import { madeJob, madePlan, type MadeStrand } from "../support/madePlan.ts";
import type { Triple } from "../support/madePath.ts";
import { integrate } from "../support/numbers.ts";

const line = (strand: number, y: number, lengthMm: number, more: Partial<MadeStrand> = {}): MadeStrand => ({ strand, points: [[0, y, 0.5], [lengthMm, y, 0.5]], ...more });
const built = (strands: readonly MadeStrand[], spacingMm = 0.5): readonly StrandStations[] => buildStations(madePlan(strands), spacingMm).strands;
const frameOf = (s: StrandStations, i: number, part: number): number[] => [...s.frames.subarray(12 * i + 3 * part, 12 * i + 3 * part + 3)];
const near = (values: readonly number[], digits = 6): unknown[] => values.map((v) => expect.closeTo(v, digits));

describe("stationArcs", () => {
  it.each([
    [2, 0.5, [0, 0.5, 1, 1.5, 2]], [2.3, 0.5, [0, 0.5, 1, 1.5, 2, 2.3]], [0.7, 0.5, [0, 0.5, 0.7]], [0.4, 0.5, [0, 0.4]], [0.9, 0.3, [0, 0.3, 0.6, 0.9]],
  ])("L %d mm, spacing %d mm: %j", (length, spacing, arcs) => {
    expect([...stationArcs(length, spacing)]).toEqual(near(arcs, 9));
  });

  it("a multiple within 0.001 mm of L is the end; one 0.0011 mm before it stands on its own", () => {
    expect([...stationArcs(1.5009, 0.5)]).toEqual(near([0, 0.5, 1, 1.5009], 9));
    expect([...stationArcs(1.5011, 0.5)]).toEqual(near([0, 0.5, 1, 1.5, 1.5011], 9));
    expect([...stationArcs(1.4999999, 0.5)]).toEqual(near([0, 0.5, 1, 1.4999999], 9));
  });

  it("station 400 of a strand of 200.7 mm stands at 200 mm to 1e-6: spacings are multiplied, not summed", () => {
    expect(stationArcs(200.7, 0.5)[400]).toBe(200);
    expect(stationArcs(30.05, 0.1)[300]).toBeCloseTo(30, 12);
  });
});

describe("buildStations", () => {
  it("stands on the plan points: frame of a straight strand along x is x, z up, lateral +y, positions exact to 1e-9", () => {
    const [s] = built([line(1, 3, 2.2)]);
    expect(s?.count).toBe(6);
    expect(frameOf(s!, 5, 0)).toEqual(near([2.2, 3, 0.5], 9));
    expect([frameOf(s!, 2, 1), frameOf(s!, 2, 2), frameOf(s!, 2, 3)]).toEqual([near([1, 0, 0]), near([0, 0, 1]), near([0, 1, 0])]);
  });

  it("s = 7 mm along (0, 0) (3, 4) (3, 10) is (3, 6) (check value 1.19)", () => {
    const [s] = built([{ strand: 1, points: [[0, 0, 0.5], [3, 4, 0.5], [3, 10, 0.5]] }], 3.5);
    expect([...s!.sMm]).toEqual([0, 3.5, 7, 10.5, 11]);
    expect(frameOf(s!, 2, 0)).toEqual(near([3, 6, 0.5], 9));
  });

  it("a strand of 0.3 mm, shorter than a spacing, has a station at each end, both with a whole frame", () => {
    const [s] = built([line(1, 0, 0.3)]);
    expect([...s!.sMm]).toEqual(near([0, 0.3], 9));
    for (const i of [0, 1]) expect(frameOf(s!, i, 1)).toEqual(near([1, 0, 0]));
    expect([...s!.visibleAreaMm2]).toEqual(near([visibleAreaMm2("stadium", 1, 0.5), visibleAreaMm2("stadium", 1, 0.5)]));
  });

  it("keeps order by layer then strand whatever the strands' lengths, 11 + 5 + 7 stations in all", () => {
    const plan = buildStations(madePlan([line(1, 0, 5), line(2, 2, 2), line(1, 0, 3, { layer: 2 })]), 0.5);
    expect(plan.strands.map((s) => [s.index, s.layer, s.strand, s.count])).toEqual([[0, 1, 1, 11], [1, 1, 2, 5], [2, 2, 1, 7]]);
    expect([plan.stationCount, plan.layerCount]).toEqual([23, 2]);
  });

  it("conserves volume: laid area × speed is the flow, 0.445663706 mm² × 6 mm/s for 1.2 × 0.4 mm (check value 1.2)", () => {
    const plan = madePlan([line(1, 0, 2, { widthMm: 1.2, heightMm: 0.4 })]);
    const [s] = buildStations(plan, 0.5).strands;
    expect(s!.laidAreaMm2[1]).toBeCloseTo(0.445663706, 9);
    expect(s!.laidAreaMm2[1]! * plan.strands[0]!.speedMmS[0]!).toBeCloseTo(plan.strands[0]!.flowMm3S[0]!, 9);
  });
});

describe("the lateral window", () => {
  it.each([[1, 0.8], [2, 1.5], [0.5, 0.55], [1.2, 0.9]])("without neighbours a bead %d mm wide is looked at to %d mm: half its width and max(0.25 w, 0.3 mm)", (w, reach) => {
    const [s] = built([line(1, 0, 2, { widthMm: w, heightMm: 0.2 })]);
    expect([s!.windowLeftMm[1], s!.windowRightMm[1]]).toEqual(near([reach, reach]));
    expect([s!.halfWayLeftMm[1], s!.halfWayRightMm[1]]).toEqual([Infinity, Infinity]);
  });

  it("ends half-way to a strand 1.3 mm to the left, and 0.3 mm beyond the flank where the right one is 2.1 mm away", () => {
    const strands = built([line(1, 0, 4), line(2, 1.3, 4), line(3, -2.1, 4)]);
    expect([strands[0]!.windowLeftMm[3], strands[0]!.windowRightMm[3]]).toEqual(near([0.65, 0.8]));
    expect([strands[0]!.halfWayLeftMm[3], strands[0]!.halfWayRightMm[3]]).toEqual(near([0.65, 1.05]));
    expect([strands[1]!.windowLeftMm[3], strands[1]!.windowRightMm[3]]).toEqual(near([0.8, 0.65]));
  });

  it("half-way just under, on and just over the flank's 0.8 mm: pitches 1.59, 1.6, 1.61 mm", () => {
    for (const [pitch, window] of [[1.59, 0.795], [1.6, 0.8], [1.61, 0.8]] as const) expect(built([line(1, 0, 3), line(2, pitch, 3)])[0]!.windowLeftMm[2]).toBeCloseTo(window, 9);
  });

  it("a strand of another layer is no neighbour", () => {
    expect(built([line(1, 0, 3), line(1, 1.2, 3, { layer: 2 })])[0]!.halfWayLeftMm[2]).toBe(Infinity);
  });

  it("the other leg of a serpentine 1.4 mm away is a neighbour, on the left along the first leg and along the second", () => {
    const [s] = built([{ strand: 1, points: [[0, 0, 0.5], [10, 0, 0.5], [10, 1.4, 0.5], [0, 1.4, 0.5]] }]);
    const at = (sMm: number): number => [...s!.sMm].findIndex((v) => Math.abs(v - sMm) < 1e-6);
    expect([s!.halfWayLeftMm[at(4)], s!.halfWayRightMm[at(4)]]).toEqual([expect.closeTo(0.7, 6), Infinity]);
    expect([s!.halfWayLeftMm[at(15.5)], s!.halfWayRightMm[at(15.5)]]).toEqual([expect.closeTo(0.7, 6), Infinity]);
  });

  it("a right-angled corner is no neighbour of itself", () => {
    const [s] = built([{ strand: 1, points: [[0, 0, 0.5], [8, 0, 0.5], [8, 8, 0.5]] }]);
    for (let i = 0; i < s!.count; i++) expect([s!.halfWayLeftMm[i], s!.halfWayRightMm[i]], `s ${s!.sMm[i]}`).toEqual([Infinity, Infinity]);
  });
});

describe("planned visible area, exact to 0.05 %", () => {
  it("alone it is the closed form, w h − (1 − π/4) h²/2", () => {
    expect(built([line(1, 0, 3)])[0]!.visibleAreaMm2[2]).toBeCloseTo(0.5 - (1 - Math.PI / 4) * 0.125, 9);
  });

  it("in a raster of pitch 0.9 mm it counts the neighbours' material in the window; at the raster's edge the open flank too", () => {
    const strands = built([line(1, 0, 6), line(2, 0.9, 6), line(3, 1.8, 6)]);
    // flank circle r 0.25 about b 0.25, seen up to b 0.45: r d + (d √(r² − d²) + r² asin(d/r)) / 2 with d 0.2; the neighbour's flank lies lower there
    const r = 0.25, d = 0.2, half = 0.25 * 0.5 + r * d + (d * Math.sqrt(r * r - d * d) + r * r * Math.asin(d / r)) / 2;
    expect(strands[1]!.visibleAreaMm2[5]! / (2 * half)).toBeGreaterThan(0.9995);
    expect(strands[1]!.visibleAreaMm2[5]! / (2 * half)).toBeLessThan(1.0005);
    expect(strands[0]!.visibleAreaMm2[5]! / (half + visibleAreaMm2("stadium", 1, 0.5) / 2)).toBeCloseTo(1, 3);
  });

  it("a wider neighbour's flank is counted where it reaches in: 1.4 × 0.7 mm at 0.95 mm beside 1 × 0.5 mm", () => {
    const [s] = built([line(1, 0, 6), line(2, 0.95, 6, { widthMm: 1.4, heightMm: 0.7 })]);
    const flank = (w: number, h: number, b: number): number => { const e = w / 2 - Math.abs(b), q = h / 2; return e < 0 ? 0 : e >= q ? h : q + Math.sqrt(2 * q * e - e * e); };
    // plan points are bead tops, both at z 0.5: the taller bead's base lies 0.2 mm lower
    const numeric = integrate((b) => Math.max(flank(1, 0.5, b), flank(1.4, 0.7, b - 0.95) > 0 ? flank(1.4, 0.7, b - 0.95) - 0.2 : 0, 0), -0.8, 0.475, 400_000);
    expect(Math.abs(s!.visibleAreaMm2[6]! / numeric - 1)).toBeLessThan(0.0005);
  });

  it("a segment's is its closed form too, and laid is less than visible only where it overhangs", () => {
    const job = madeJob("segment");
    const [flat, high] = buildStations(madePlan([line(1, 0, 3, { widthMm: 1.2, heightMm: 0.4 }), line(2, 5, 3, { widthMm: 0.8, heightMm: 0.6 })], job), 0.5).strands;
    expect([flat!.visibleAreaMm2[1], flat!.laidAreaMm2[1]]).toEqual(near([laidAreaMm2("segment", 1.2, 0.4), laidAreaMm2("segment", 1.2, 0.4)], 9));
    expect(high!.visibleAreaMm2[1]! - high!.laidAreaMm2[1]!).toBeGreaterThan(0.005);
  });
});

describe("a ring of radius 6 mm, closed, 180 waypoints", () => {
  const points = Array.from({ length: 181 }, (_, i): Triple => [6 * Math.cos(i * Math.PI / 90), 6 * Math.sin(i * Math.PI / 90), 0.5]);
  const [s] = built([{ strand: 1, points }]);
  const L = s!.lengthMm;

  it("is closed: its last station is its first again, with the same frame to 1e-9", () => {
    expect(s!.path.closed).toBe(true);
    expect(L).toBeCloseTo(2 * 180 * 6 * Math.sin(Math.PI / 180), 9);
    for (const part of [0, 1, 2, 3]) expect(frameOf(s!, s!.count - 1, part)).toEqual(near(frameOf(s!, 0, part), 9));
  });

  it("its tangent at s is (−sin, cos) and its lateral points to the centre, to 0.001, over the seam too", () => {
    for (const i of [0, 1, 20, 41, s!.count - 2, s!.count - 1]) {
      const a = s!.sMm[i]! / L * 2 * Math.PI;
      for (const [part, expected] of [[1, [-Math.sin(a), Math.cos(a), 0]], [3, [-Math.cos(a), -Math.sin(a), 0]]] as const) frameOf(s!, i, part).forEach((v, k) => expect(Math.abs(v - expected[k]!), `station ${i}`).toBeLessThan(0.001));
    }
  });

  it("bends by 1/6 per mm in the surface everywhere, to 1.5 %, and not out of it", () => {
    for (let i = 0; i < s!.count; i++) {
      expect(Math.abs(s!.turn[3 * i + 1]! * 6 - 1), `station ${i}`).toBeLessThan(0.015);
      expect([s!.turn[3 * i], s!.turn[3 * i + 2]]).toEqual(near([0, 0], 9));
    }
  });

  it("its far side, 12 mm away, limits no window", () => {
    expect([...s!.windowLeftMm].every((v) => Math.abs(v - 0.8) < 1e-9)).toBe(true);
  });
});

describe("a strand over a cylinder of radius 20 mm", () => {
  const angles = Array.from({ length: 121 }, (_, i) => -0.5 + i / 120);
  const over: MadeStrand = { strand: 1, points: angles.map((a): Triple => [20.5 * Math.sin(a), 0, 20.5 * Math.cos(a)]), normals: angles.map((a): Triple => [Math.sin(a), 0, Math.cos(a)]) };

  it("curves down by 1/20.5 per mm along its path, to 2 %, and not sideways", () => {
    const [s] = built([over]);
    const mid = Math.floor(s!.count / 2);
    expect(Math.abs(s!.turn[3 * mid]! * 20.5 + 1)).toBeLessThan(0.02);
    expect([s!.turn[3 * mid + 1], s!.turn[3 * mid + 2]]).toEqual(near([0, 0], 6));
  });

  it("across it a strand along the axis sees its neighbours' bases fall away by −1/20 per mm, to 3 %", () => {
    const along = (strand: number, a: number): MadeStrand => ({ strand, points: [[20.5 * Math.sin(a), 0, 20.5 * Math.cos(a)], [20.5 * Math.sin(a), 9, 20.5 * Math.cos(a)]], normals: [Math.sin(a), 0, Math.cos(a)] });
    const strands = built([along(1, -0.1), along(2, 0), along(3, 0.1)]);
    expect(Math.abs(strands[1]!.acrossCurvature[9]! * 20.5 + 1)).toBeLessThan(0.03);
  });
});
