import { describe, expect, it } from "vitest";
import type { StationResult } from "../../lib/model/result.ts";
import { summarise } from "../../lib/run/summary.ts";
import { madeResult } from "../support/madeResult.ts";

/** One strand of 4.0 mm, stations every 0.8 mm, and a second of the same. */
const BASE = madeResult({ layers: 1, strands: 2, lengthMm: 4, spacingMm: 0.8, widthMm: 1.1, heightMm: 0.45, faults: [] }).stations;

function changed(change: (station: StationResult, i: number) => Partial<StationResult>): StationResult[] {
  return BASE.map((station, i) => ({ ...station, ...change(station, i) }));
}

describe("summary", () => {
  it("counts 12 stations, all laid and measured, all in band", () => {
    expect(summarise(BASE)).toMatchObject({ stations: 12, laid: 12, measured: 12, inBandLengthFraction: 1 });
  });

  it("a station stands for half the way to its neighbours on the strand: volumes 2 strands × 4.0 mm × area", () => {
    const { plannedVolumeMm3, measuredVolumeMm3 } = summarise(changed((s) => ({ planned: { ...s.planned, areaMm2: 0.47 }, measured: { ...s.measured!, areaMm2: 0.44 } })));
    expect([plannedVolumeMm3, measuredVolumeMm3]).toEqual([expect.closeTo(8 * 0.47, 6), expect.closeTo(8 * 0.44, 6)]);
  });

  it("one inner station of 0.8 mm out of band is a tenth of 8.0 mm, one at an end (0.4 mm) a twentieth", () => {
    expect(summarise(changed((_, i) => (i === 2 ? { verdict: "watch" } : {}))).inBandLengthFraction).toBeCloseTo(0.9, 6);
    expect(summarise(changed((_, i) => (i === 5 ? { verdict: "over" } : {}))).inBandLengthFraction).toBeCloseTo(0.95, 6);
  });

  it("what is not laid yet counts in neither length; nothing laid at all is null, not 0", () => {
    const half = summarise(changed((s) => (s.strand === 2 ? { laid: false, verdict: "pending", measured: null } : { verdict: s.sMm > 2 ? "under" : "inBand" })));
    expect(half).toMatchObject({ stations: 12, laid: 6, measured: 6, inBandLengthFraction: expect.closeTo(0.5, 6) });
    expect(summarise(changed(() => ({ laid: false, verdict: "pending", measured: null }))).inBandLengthFraction).toBeNull();
  });

  it("both volumes are of measured stations only: one of area 0.47 and 0.8 mm left out takes its share from both", () => {
    const { plannedVolumeMm3, measuredVolumeMm3, measured } = summarise(changed((s, i) => ({ planned: { ...s.planned, areaMm2: 0.47 }, measured: i === 3 ? null : { ...s.measured!, areaMm2: 0.5 } })));
    expect([plannedVolumeMm3, measuredVolumeMm3, measured]).toEqual([expect.closeTo(7.2 * 0.47, 6), expect.closeTo(7.2 * 0.5, 6), 11]);
  });

  it("an uneven last piece counts as it is: stations at 0, 0.8 and 1.0 mm stand for 0.4, 0.5 and 0.1 mm", () => {
    const three = BASE.slice(0, 3).map((s, i) => ({ ...s, sMm: [0, 0.8, 1][i]!, planned: { ...s.planned, areaMm2: [0.3, 0.4, 0.5][i]! } }));
    expect(summarise(three).plannedVolumeMm3).toBeCloseTo(0.4 * 0.3 + 0.5 * 0.4 + 0.1 * 0.5, 6);
  });
});
