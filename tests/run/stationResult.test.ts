import { describe, expect, it } from "vitest";
import { LaidStrand } from "../../lib/measure/laid.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { StandingReadings } from "../../lib/run/standing.ts";
import { rounded, roundedOrNull, stationResult } from "../../lib/run/stationResult.ts";
import { madeJob, madePlan } from "../support/madePlan.ts";
import { madeReading } from "../support/madeReading.ts";

const PLAN = buildStations(madePlan([{ strand: 1, points: [[1, 2, 0.5], [4, 2, 0.5]] }]), 0.5);
const STRAND = PLAN.strands[0]!;
const readings = new StandingReadings(PLAN.strands, madeJob());
const laid = new LaidStrand(STRAND);
laid.layWhole();

describe("rounding", () => {
  it("keeps 1e-6 and knows no −0; NaN is null, Infinity a bug", () => {
    expect([rounded(1.23456789), Object.is(rounded(-1e-9), 0), roundedOrNull(Number.NaN)]).toEqual([1.234568, true, null]);
    expect(() => roundedOrNull(Infinity)).toThrow(RangeError);
  });
});

describe("a station's result", () => {
  const reading = madeReading({ tS: 14.25, areaMm2: 0.48, widthMm: 1.03, offsetMm: Number.NaN, uOffsetMm: Number.NaN });
  const standing = { reading, judgement: { verdict: "inBand" as const, proven: true, cause: null }, ageS: 2.25 };

  it("has place, plan, reading, uncertainty and ratio; what was not seen is null", () => {
    const result = stationResult(STRAND, 3, laid, standing, readings);
    expect(result).toMatchObject({
      layer: 1, strand: 1, sMm: 1.5, attempt: 1, position: [2.5, 2, 0.5], laid: true, verdict: "inBand", proven: true, sagMm: null, camera: null,
      measured: { widthMm: 1.03, heightMm: 0.5, areaMm2: 0.48, offsetMm: null, coverage: 0.97, support: "measured", ageS: 2.25 },
      u: { widthMm: 0.0053, heightMm: 0.0022, areaMm2: 0.0031, offsetMm: null, placementMm: null },
    });
    expect(result.areaRatio).toBeCloseTo(0.48 / STRAND.visibleAreaMm2[3]!, 6);
  });

  it("with no reading measured, u and areaRatio are null and it is unmeasured, unproven", () => {
    expect(stationResult(STRAND, 2, laid, null, readings)).toMatchObject({ laid: true, measured: null, u: null, areaRatio: null, verdict: "unmeasured", proven: false, sagMm: null });
  });

  it("not laid yet is pending, taken off is removed; neither is proven, whatever was read before", () => {
    const bare = new LaidStrand(STRAND);
    expect(stationResult(STRAND, 2, bare, null, readings)).toMatchObject({ laid: false, verdict: "pending", proven: false });
    bare.progress({ kind: "progress", tS: 1, layer: 1, strand: 1, sMm: 0, event: "start" });
    bare.progress({ kind: "progress", tS: 2, layer: 1, strand: 1, sMm: 3, event: "end" });
    bare.remove(0.5, 1.5);
    expect(stationResult(STRAND, 2, bare, standing, readings)).toMatchObject({ laid: false, verdict: "removed", proven: false });
  });

  it("without progress its age is null", () => {
    expect(stationResult(STRAND, 1, laid, { ...standing, ageS: Number.NaN }, readings).measured?.ageS).toBeNull();
  });
});
