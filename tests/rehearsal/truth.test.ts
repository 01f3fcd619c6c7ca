import { describe, expect, it } from "vitest";
import { visibleAreaMm2 } from "../../lib/formula/bead.ts";
import type { FaultKind } from "../../lib/rehearsal/fault.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import type { TrueStation } from "../../lib/rehearsal/truth.ts";

/** Beads exactly as planned. */
const EXACT: Partial<RehearsalSettings> = { variationFraction: 0, wanderMm: 0 };

function stationsOf(settings: Partial<RehearsalSettings>, layer = 1, strand = 1): TrueStation[] {
  return simulate({ ...EXACT, ...settings }).truth.stations.filter((one) => one.layer === layer && one.strand === strand);
}
function at(stations: readonly TrueStation[], sMm: number, attempt = 1): TrueStation {
  return stations.find((one) => Math.abs(one.sMm - sMm) < 1e-6 && one.attempt === attempt) as TrueStation;
}
function ratio(station: TrueStation): number {
  return station.true.areaMm2 / station.planned.areaMm2;
}

describe("a plain bead", () => {
  // Derived by geometry: laid area of a stadium; from above its undercut is filled, (1 − π/4) h² / 2 more
  it.each([[0.8, 0.4, 0.285663706], [0.6, 0.3, 0.160685835], [1.2, 0.4, 0.445663706], [0.5, 0.25, 0.111587385]])("stadium %f × %f mm: area within 0.02 % of %f mm² and the filled undercut", (widthMm, heightMm, laid) => {
    const visible = laid + (1 - Math.PI / 4) * heightMm * heightMm / 2;
    for (const station of stationsOf({ widthMm, heightMm, strands: 1, lengthMm: 3 })) {
      expect(Math.abs(station.true.areaMm2 / visible - 1)).toBeLessThan(2e-4);
      expect(Math.abs(station.planned.areaMm2 / visible - 1)).toBeLessThan(2e-4);
      expect(station.true.widthMm).toBeCloseTo(widthMm, 5);
      expect(station.true.heightMm).toBeCloseTo(heightMm, 6);
      expect(station.true.offsetMm).toBeCloseTo(0, 5);
    }
  });

  // Circular segment, derived by geometry: w 2 h 1, w √3 h 0.5, and w 1 h 0.1339745962
  it.each([[2, 1, 1.570796327], [Math.sqrt(3), 0.5, 0.614184849], [1, 0.1339745962, 0.090586074]])("segment %f × %f mm: area within 0.02 % of %f mm²", (widthMm, heightMm, areaMm2) => {
    for (const station of stationsOf({ shape: "segment", widthMm, heightMm, strands: 1, lengthMm: 4 })) {
      expect(Math.abs(station.true.areaMm2 / areaMm2 - 1)).toBeLessThan(2e-4);
      expect(station.true.widthMm).toBeCloseTo(widthMm, 4);
    }
  });

  it("an overhanging segment (derived by geometry: chord √3, height 1.5 mm, seen width 2 mm) shows its filled undercut", () => {
    // seen from above: half disc of radius 1 mm over a block 2 × 0.5 mm; the disc's own area is 2.527407804 mm²
    const [station] = stationsOf({ shape: "segment", widthMm: 2, heightMm: 1.5, strands: 1, lengthMm: 6 }) as [TrueStation];
    expect(station.true.areaMm2).toBeCloseTo(Math.PI / 2 + 1, 3);
    expect(station.true.areaMm2).toBeGreaterThan(2.527407804);
  });

  it.each(["cylinder", "sphere", "saddle", "mandibleAngle"] as const)("keeps width 1 mm, height 0.5 mm and area on %s: each within 0.2 %%, offset below 0.004 mm, at both ends too", (surface) => {
    for (const station of simulate({ ...EXACT, surface, strands: 3, lengthMm: 14, directionDeg: 25 }).truth.stations) {
      expect(Math.abs(station.true.areaMm2 / visibleAreaMm2("stadium", 1, 0.5) - 1)).toBeLessThan(2e-3);
      expect(Math.abs((station.true.widthMm as number) - 1)).toBeLessThan(2e-3);
      expect(Math.abs(station.true.heightMm - 0.5)).toBeLessThan(1e-3);
      expect(Math.abs(station.true.offsetMm as number)).toBeLessThan(4e-3);
    }
  });

  it("stations stand at multiples of 0.7 mm and at the end of 5.2 mm; a multiple within 1e-3 mm of the end is the end", () => {
    expect(stationsOf({ strands: 1, lengthMm: 5.2, stationSpacingMm: 0.7 }).map((one) => one.sMm)).toEqual([0, 0.7, 1.4, 2.1, 2.8, 3.5, 4.2, 4.9, 5.2].map((s) => expect.closeTo(s, 6)));
    expect(stationsOf({ strands: 1, lengthMm: 2.0009, stationSpacingMm: 0.5 }).map((one) => one.sMm)).toEqual([0, 0.5, 1, 1.5, 2.0009].map((s) => expect.closeTo(s, 6)));
    expect(stationsOf({ strands: 1, lengthMm: 2.0011, stationSpacingMm: 0.5 })).toHaveLength(6);
  });
});

describe("neighbours and layers", () => {
  it("a fused raster (1.0 × 0.5 mm at 0.9 mm) hides flanks: width and offset null but at nothing; the inner window is 0.9 mm and holds 0.43795 mm²", () => {
    const station = at(stationsOf({ pattern: "raster", strands: 5, lengthMm: 6 }, 1, 3), 3);
    // flat 0.5 mm wide and two flank quarters cut at b = 0.45: 2 ∫ 0.25 + √(0.0625 − (b − 0.25)²) db from 0.25 to 0.45, by the circle's primitive
    const y = 0.2, r = 0.25, flank = r * y + (y * Math.sqrt(r * r - y * y) + r * r * Math.asin(y / r)) / 2;
    expect(station.planned.areaMm2).toBeCloseTo(0.5 * 0.5 + 2 * flank, 5);
    expect(station.true.areaMm2).toBeCloseTo(0.5 * 0.5 + 2 * flank, 4);
    expect([station.true.widthMm, station.true.offsetMm]).toEqual([null, null]);
    expect(station.true.heightMm).toBeCloseTo(0.5, 6);
  });

  it("strands that span pores of a lattice hang a little: over the hollow the support is spanned, the top below plan by 0.005–0.075 mm", () => {
    const stations = stationsOf({ pattern: "lattice", layers: 2, strands: 4, lengthMm: 9, stationSpacingMm: 0.25 }, 2, 2);
    const hollow = stations.filter((one) => one.true.support === "spanned");
    expect(hollow.length).toBeGreaterThan(4);
    expect(hollow.length).toBeLessThan(stations.length);
    const depths = hollow.map((one) => 0.5 - one.true.heightMm);
    expect(Math.max(...depths)).toBeGreaterThan(0.005);
    expect(Math.max(...depths)).toBeLessThan(0.075);
    expect(Math.min(...depths)).toBeGreaterThan(-0.01);
  });

  it("a gap beneath a second layer is a hollow under it, not more paste: area ratio stays within 0.8–1.25", () => {
    const faults = [{ kind: "gap", layer: 1, strand: 2, fromMm: 4, toMm: 8, size: null }] as const;
    const crossing = simulate({ ...EXACT, pattern: "raster", layers: 2, strands: 4, lengthMm: 12, faults: [...faults] }).truth.stations.filter((one) => one.layer === 2);
    expect(crossing.some((one) => one.true.support === "spanned")).toBe(true);
    for (const station of crossing) {
      expect(ratio(station)).toBeGreaterThan(0.8);
      expect(ratio(station)).toBeLessThan(1.25);
    }
  });

  it("a serpentine's legs are each other's neighbours (pitch 1.5 mm) and a closed ring has none: area within 0.2 %, within 1.5 % where the chord over ± 0.5 mm cuts a turn's corner", () => {
    const legs = stationsOf({ pattern: "serpentine", strands: 3, lengthMm: 8 }), turnMm = Math.PI * 0.75;
    for (const one of legs) {
      const corner = [8, 8 + turnMm, 16 + turnMm, 16 + 2 * turnMm].some((s) => Math.abs(one.sMm - s) < 0.6);
      expect(Math.abs(ratio(one) - 1)).toBeLessThan(corner ? 0.015 : 0.002);
      expect(one.true.widthMm).not.toBeNull();
    }
    const ring = stationsOf({ pattern: "ring", lengthMm: 22 });
    expect(ring.every((one) => Math.abs(ratio(one) - 1) < 2e-3 && one.true.widthMm !== null)).toBe(true);
    const [first, last] = [ring[0] as TrueStation, ring.at(-1) as TrueStation];
    expect(Math.hypot(first.position[0] - last.position[0], first.position[1] - last.position[1])).toBeLessThan(1e-6);
  });
});

describe("faults", () => {
  const withFault = (kind: FaultKind, size: number | null, more: Partial<RehearsalSettings> = {}): TrueStation[] =>
    stationsOf({ strands: 3, lengthMm: 16, faults: [{ kind, layer: 1, strand: 2, fromMm: 6, toMm: 10, size }], ...more }, 1, 2);

  it("gap 6–10 mm: nothing at 8 mm (area 0, width null), half at 6 mm, whole at 5.5 mm", () => {
    const stations = withFault("gap", null);
    expect(at(stations, 8).true).toMatchObject({ areaMm2: 0, heightMm: 0, widthMm: null, offsetMm: null });
    expect(ratio(at(stations, 6))).toBeCloseTo(0.5, 3);
    expect(ratio(at(stations, 5.5))).toBeCloseTo(1, 3);
  });

  it("under = 0.64 and over = 1.44: area by that ratio, width and height by its root (0.8, 1.2)", () => {
    expect(ratio(at(withFault("under", 0.64), 8))).toBeCloseTo(0.64, 3);
    expect(at(withFault("under", 0.64), 8).true).toMatchObject({ widthMm: expect.closeTo(0.8, 4), heightMm: expect.closeTo(0.4, 5) });
    expect(ratio(at(withFault("over", 1.44), 8))).toBeCloseTo(1.44, 3);
    expect(at(withFault("over", 1.44), 8).true).toMatchObject({ widthMm: expect.closeTo(1.2, 4), heightMm: expect.closeTo(0.6, 5) });
  });

  it("lift = 0.3 mm: top 0.8 mm over the support, width 1 mm kept; half-way at 6 mm", () => {
    const stations = withFault("lift", 0.3);
    expect(at(stations, 8).true).toMatchObject({ widthMm: expect.closeTo(1, 4), heightMm: expect.closeTo(0.8, 5) });
    expect(at(stations, 6).true.heightMm).toBeCloseTo(0.65, 5);
  });

  it("shift = −0.35 mm: offset −0.35 mm (right of travel), width kept, and plus is left on a strand laid backwards too", () => {
    expect(at(withFault("shift", -0.35), 8).true).toMatchObject({ widthMm: expect.closeTo(1, 4), offsetMm: expect.closeTo(-0.35, 3) });
    expect(at(withFault("shift", 0.35), 8).true.offsetMm).toBeCloseTo(0.35, 3);
  });

  it("shift by 0.6 mm at 1.5 mm pitch carries the flank past half-way: width and offset null, area what the window still holds", () => {
    const station = at(withFault("shift", 0.6, { pitchMm: 1.5 }), 8);
    expect([station.true.widthMm, station.true.offsetMm]).toEqual([null, null]);
    expect(ratio(station)).toBeGreaterThan(0.5);
    expect(ratio(station)).toBeLessThan(0.8);
  });

  it.each(["strandEnd", "afterScan"] as const)("drag (%s): a gap in the strand, its neighbours as planned, the dragged stretch beyond their windows", (dragWhen) => {
    const rehearsal = simulate({ ...EXACT, strands: 3, lengthMm: 16, dragWhen, faults: [{ kind: "drag", layer: 1, strand: 2, fromMm: 6, toMm: 10, size: null }] });
    const of = (strand: number): TrueStation[] => rehearsal.truth.stations.filter((one) => one.strand === strand);
    expect(at(of(2), 8).true.areaMm2).toBe(0);
    for (const strand of [1, 3]) for (const station of of(strand)) expect(ratio(station)).toBeCloseTo(1, 3);
    const [fault] = rehearsal.truth.faults;
    expect(Math.abs(fault?.size as number)).toBeGreaterThanOrEqual(2.5);
  });

  it("a drag given 1.5 mm to the left lies against the neighbour at 2 mm: more area in its window", () => {
    const rehearsal = simulate({ ...EXACT, strands: 3, lengthMm: 16, alternate: false, faults: [{ kind: "drag", layer: 1, strand: 2, fromMm: 6, toMm: 10, size: 1.5 }] });
    expect(ratio(at(rehearsal.truth.stations.filter((one) => one.strand === 3), 8))).toBeGreaterThan(1.2);
  });

  it("blob and drift leave every bead as planned", () => {
    for (const kind of ["blob", "drift"] as const) {
      const rehearsal = simulate({ ...EXACT, strands: 3, lengthMm: 16, faults: [{ kind, layer: 1, strand: 2, fromMm: 6, toMm: 10, size: null }] });
      for (const station of rehearsal.truth.stations) expect(ratio(station)).toBeCloseTo(1, 3);
    }
  });

  it("a fault stays on its own strand and layer", () => {
    const stations = simulate({ ...EXACT, layers: 2, strands: 3, lengthMm: 16, faults: [{ kind: "under", layer: 2, strand: 2, fromMm: 6, toMm: 10, size: 0.5 }] }).truth.stations;
    expect(ratio(at(stations.filter((one) => one.layer === 1 && one.strand === 2), 8))).toBeCloseTo(1, 3);
    expect(ratio(at(stations.filter((one) => one.layer === 2 && one.strand === 2), 8))).toBeLessThan(0.6);
  });
});

describe("rework", () => {
  it("a stretch taken off with its gap has two attempts: the first shows the gap, the second the bead laid again", () => {
    const rehearsal = simulate({
      ...EXACT, strands: 2, lengthMm: 12, faults: [{ kind: "gap", layer: 1, strand: 1, fromMm: 4, toMm: 7, size: null }], rework: [{ layer: 1, strand: 1, fromMm: 3.5, toMm: 7.5 }],
    });
    const stations = rehearsal.truth.stations.filter((one) => one.strand === 1);
    expect(at(stations, 5.5, 1).true.areaMm2).toBe(0);
    expect(ratio(at(stations, 5.5, 2))).toBeCloseTo(1, 3);
    expect(at(stations, 8, 2)).toBeUndefined();
    expect(rehearsal.rework).toMatchObject([{ layer: 1, strand: 1, fromMm: 3.5, toMm: 7.5 }]);
    const removedS = rehearsal.rework[0]?.tS as number;
    expect(rehearsal.progress.filter((row) => row.tS > removedS).map((row) => [row.event, row.sMm])).toEqual(expect.arrayContaining([["start", 3.5], ["end", 7.5]]));
  });
});
