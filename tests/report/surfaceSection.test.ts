import { describe, expect, it } from "vitest";
import type { AsLaidRow } from "../../lib/model/asLaid.ts";
import type { ReportSection } from "../../lib/model/report.ts";
import { SURFACE_STATES, type SurfacePlace, type SurfaceSums } from "../../lib/model/surfaceSums.ts";
import { surfaceSection, zoneVerdict } from "../../lib/report/surfaceSection.ts";
import { SurfaceAdder, surfaceQuantile } from "../../lib/report/surfaceSums.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { measureAsLaid, type AsLaidRun } from "../support/asLaidRun.ts";

function sumsOf(run: AsLaidRun, rowsOf = run.rowsOf): SurfaceSums {
  const adder = new SurfaceAdder();
  for (const strand of run.plan.strands) {
    const { place, rows } = rowsOf(strand), own = run.result.stations.filter((at) => at.layer === strand.layer && at.strand === strand.strand);
    Array.from(adder.add(place, own.map(({ laid, limits }) => ({ laid, bandMm: limits.heightMm.act })), rows));
  }
  return adder.sums();
}
const measured = (more: Partial<RehearsalSettings>): AsLaidRun => measureAsLaid({ strands: 2, lengthMm: 10, variationFraction: 0, wanderMm: 0, ...more });
const texts = (section: ReportSection): string => section.blocks.map((block) => (block.kind === "words" || block.kind === "caution" ? block.text : "")).join("\n");
const statesOf = (sums: SurfaceSums, strand: number): string[] => Array.from(sums.strands.find((one) => one.strand === strand)!.states, (state) => SURFACE_STATES[state]!);

describe("the profile zone of a surface (ISO 1101; check value 5.7, from memory)", () => {
  it("t 0.2 mm: deviations from −0.04 to +0.09 mm lie in a zone of 0.18 mm and conform; +0.11 mm lies in 0.22 mm and does not; 0.10 is the limit", () => {
    expect(zoneVerdict(-0.04, 0.09, [-0.1, 0.1], 0)).toEqual({ tMm: 0.18, limitMm: 0.2, outcome: "conforms" });
    expect(zoneVerdict(-0.04, 0.11, [-0.1, 0.1], 0)).toEqual({ tMm: 0.22, limitMm: 0.2, outcome: "doesNotConform" });
    expect(zoneVerdict(-0.04, 0.1, [-0.1, 0.1], 0).outcome).toBe("conforms");
    expect(zoneVerdict(-0.1001, 0.09, [-0.1, 0.1], 0).outcome).toBe("doesNotConform");
    expect(zoneVerdict(-0.04, 0.09, [-0.085, 0.2], 0)).toEqual({ tMm: 0.18, limitMm: 0.17, outcome: "doesNotConform" });
  });

  it("three outcomes with U = 0.02 mm as guard at a limit of 0.88 mm: 0.85 conforms, 0.87 is proven neither way, 0.91 does not conform (check value 5.10 on the rule of ISO 14253-1)", () => {
    const outcome = (highest: number): string => zoneVerdict(-0.1, highest, [-0.88, 0.88], 0.02).outcome;
    expect([outcome(0.85), outcome(0.87), outcome(0.91)]).toEqual(["conforms", "neither", "doesNotConform"]);
    expect([outcome(0.86), outcome(0.8601), outcome(0.9), outcome(0.9001)]).toEqual(["conforms", "neither", "neither", "doesNotConform"]);
  });

  it("stands in the section in its words: 0.180 mm that conforms to 0.200 mm, and 0.220 mm that does not", () => {
    const run = measured({ seed: 61, strands: 1, lengthMm: 2 }), sums = sumsOf(run);
    const place = (deviationMm: number): SurfacePlace => ({ layer: 1, strand: 1, sMm: 0.7, deviationMm, limitMm: deviationMm < 0 ? -0.1 : 0.1 });
    const words = (highestMm: number): string => texts(surfaceSection({ plan: run.plan, vertexUMm: 0, isBiasUnknown: false, sums: { ...sums, band: [-0.1, 0.1], lowest: place(-0.04), highest: place(highestMm), worst: [place(highestMm), place(-0.04)] } }));
    expect(words(0.09)).toMatch(/t = 0\.180 mm \(ISO 1101\)\. It conforms to the zone of 0\.200 mm/);
    expect(words(0.11)).toMatch(/t = 0\.220 mm \(ISO 1101\)\. It does not conform to the zone of 0\.200 mm/);
  });
});

describe("sums over a surface", () => {
  it("a flat made 0.03 mm too high, on seven joined nodes of 0.05 mm over 10 mm: 3.5 mm² of surface, every percentile +0.030 mm, all above a band of ± 0.02 mm and none above ± 0.04 mm", () => {
    const run = measured({ seed: 62, strands: 1 }), strand = run.plan.strands[0]!, { place, rows } = run.rowsOf(strand), middle = (place.lattice.count - 1) / 2;
    const made = rows.map((row): AsLaidRow => ({ ...row, nMm: row.nMm.map((_, k) => (Math.abs(k - middle) <= 3 ? 0.53 : Number.NaN)), joined: row.joined.map((_, k) => (k > middle - 3 && k <= middle + 3 ? 1 : 0)) }));
    const sums = (band: number): SurfaceSums => {
      const adder = new SurfaceAdder();
      Array.from(adder.add(place, run.result.stations.map(() => ({ laid: true, bandMm: [-band, band] as const })), made));
      return adder.sums();
    };
    const narrow = sums(0.02);
    expect(narrow.areaMm2).toBeCloseTo(7 * 0.05 * 10, 9);
    expect(narrow.aboveMm2).toBeCloseTo(3.5, 9);
    expect(narrow.belowMm2).toBe(0);
    expect(narrow.plannedMm2).toBeCloseTo(10, 9);
    expect(narrow.seenMm2).toBeCloseTo(9 * 0.05 * 10, 9); // a node beside a vertex counts
    for (const p of [0.01, 0.5, 0.99]) expect(Math.abs(surfaceQuantile(narrow, p) - 0.0305)).toBeLessThan(0.00051);
    expect(sums(0.04).aboveMm2).toBe(0);
  });

  it("a clean print: the whole planned top was seen but for what lies at flanks, none of 99 % of it beyond the band of ± 0.12 mm (seed 63)", () => {
    const sums = sumsOf(measured({ seed: 63 }));
    expect(sums.seenMm2 / sums.plannedMm2).toBeGreaterThan(0.985);
    expect(sums.seenMm2 / sums.plannedMm2).toBeLessThanOrEqual(1.0001);
    expect((sums.belowMm2 + sums.aboveMm2) / sums.areaMm2).toBeLessThan(0.01);
    expect(Math.abs(surfaceQuantile(sums, 0.5))).toBeLessThan(0.003);
    expect(sums.band).toEqual([-0.12, 0.12]);
  });

  it("a gap from 3 to 6 mm lies below the band there and nowhere else; 60 % too much flow from 2 to 8 mm lies above it (seed 64)", () => {
    const sums = sumsOf(measured({ seed: 64, faults: [{ kind: "gap", layer: 1, strand: 1, fromMm: 3, toMm: 6, size: null }, { kind: "over", layer: 1, strand: 2, fromMm: 2, toMm: 8, size: 1.6 }] }));
    const spots = (strand: number, state: string): number[] => statesOf(sums, strand).flatMap((each, i) => (each === state ? [i * 0.5] : []));
    expect(spots(1, "below")).toEqual(expect.arrayContaining([3.5, 4, 4.5, 5, 5.5]));
    expect(spots(1, "below").filter((s) => s < 2.5 || s > 6.5)).toEqual([]);
    expect(spots(2, "above")).toEqual(expect.arrayContaining([3, 4, 5, 6, 7]));
    expect(spots(2, "above").filter((s) => s < 1.5 || s > 8.5)).toEqual([]);
    expect(sums.lowest).toMatchObject({ layer: 1, strand: 1 });
    expect(sums.lowest!.deviationMm).toBeLessThan(-0.4);
  });
});

describe("the section", () => {
  const run = measured({ seed: 65, strands: 3, faults: [{ kind: "gap", layer: 1, strand: 2, fromMm: 4, toMm: 7, size: null }] });

  it("says what was seen, the percentiles with their unit, worst places first; its map has a ribbon of too little and its letter", () => {
    const section = surfaceSection({ plan: run.plan, sums: sumsOf(run), vertexUMm: 0.01, isBiasUnknown: false });
    expect(section.id).toBe("surface");
    expect(texts(section)).toMatch(/Of the planned top of what was laid, \d+\.\d\s% was measured/);
    expect(texts(section)).toMatch(/does not conform to the zone of 0\.240 mm/);
    expect(texts(section)).toMatch(/U = 0\.020 mm/);
    const [percentiles, worst] = section.blocks.flatMap((block) => (block.kind === "table" ? [block.table] : []));
    expect(percentiles!.rows.map((row) => row[0])).toEqual(["1", "5", "50", "95", "99"]);
    expect(worst!.rows[0]!.slice(0, 2)).toEqual(["1", "2"]);
    const [map] = section.blocks.flatMap((block) => (block.kind === "drawing" ? [block.drawing] : []));
    expect(map!.marks.filter((mark) => mark.kind === "tag").map((mark) => mark.letter)).toEqual(["U"]);
    expect(map!.alt).toMatch(/below it: [5-8];/);
  });

  it("stations that nobody saw stay blank: the ribbon of that strand is in two parts, and the alt text counts them", () => {
    const rowsOf: AsLaidRun["rowsOf"] = (strand) => ({ ...run.rowsOf(strand), rows: run.rowsOf(strand).rows.filter((row) => strand.strand !== 1 || row.station < 8 || row.station > 12) });
    const section = surfaceSection({ plan: run.plan, sums: sumsOf(run, rowsOf), vertexUMm: 0.01, isBiasUnknown: false });
    const [map] = section.blocks.flatMap((block) => (block.kind === "drawing" ? [block.drawing] : []));
    expect(map!.alt).toMatch(/nothing laid: 5\./);
    const ribbons = map!.marks.filter((mark) => mark.kind === "path" && mark.closed && mark.fill === "bone");
    expect(ribbons).toHaveLength(2 + 2 + 1 + 1); // two of each strand but the third, and the key
  });

  it("of paste that light enters by an unknown depth nothing is proven, and that is said", () => {
    const words = texts(surfaceSection({ plan: run.plan, sums: sumsOf(run), vertexUMm: 0.01, isBiasUnknown: true }));
    expect(words).toMatch(/is proven neither to conform nor not to conform/);
    expect(words).toMatch(/Light enters this paste/);
  });

  it("nothing was measured: it says so, without a number", () => {
    const section = surfaceSection({ plan: run.plan, sums: sumsOf(run, (strand) => ({ ...run.rowsOf(strand), rows: [] })), vertexUMm: 0.01, isBiasUnknown: false });
    expect(section.blocks).toEqual([{ kind: "words", text: "No section of the top surface was measured and kept, so nothing is said of it." }]);
  });
});
