import { describe, expect, it } from "vitest";
import { buildStations } from "../../lib/plan/stations.ts";
import { targetShape } from "../../lib/report/targetShape.ts";
import { madeJob, madePlan } from "../support/madePlan.ts";

describe("the target's shape", () => {
  it("has the stations of a plan with tip, tangent and normal, the job's nozzle, and the field of its profiler of 200 samples at 0.05 mm from −5", () => {
    const job = madeJob(), plan = madePlan([{ strand: 1, points: [[2, 3, 4], [3.25, 3, 4]] }, { strand: 2, points: [[2, 6, 4], [2, 6.5, 4]] }], job);
    const { strands, nozzle, fieldMm, beadShape } = targetShape(buildStations(plan, 0.5), job);
    expect(strands.map(({ layer, strand, positionsMm }) => [layer, strand, ...positionsMm])).toEqual([[1, 1, 2, 3, 4, 2.5, 3, 4, 3, 3, 4, 3.25, 3, 4], [1, 2, 2, 6, 4, 2, 6.5, 4]]);
    expect([...(strands[0]?.tangents.subarray(0, 3) ?? []), ...(strands[1]?.tangents.subarray(0, 3) ?? []), ...(strands[1]?.normals.subarray(3) ?? [])]).toEqual([1, 0, 0, 0, 1, 0, 0, 0, 1]);
    expect({ nozzle, fieldMm: fieldMm?.map((mm) => Number(mm.toFixed(9))), beadShape }).toEqual({ nozzle: { outerDiameterMm: 1.27, coneAngleDeg: 20, lengthMm: null }, fieldMm: [-5, 4.95], beadShape: "stadium" });
  });

  it("has no field where the job has no profiler", () => {
    const job = madeJob("segment", (json) => { json["devices"] = []; json["nozzle"].lengthMm = 24; });
    const { fieldMm, nozzle, beadShape } = targetShape(buildStations(madePlan([{ strand: 1, points: [[0, 0, 1], [2, 0, 1]] }], job), 0.75), job);
    expect({ fieldMm, lengthMm: nozzle.lengthMm, beadShape }).toEqual({ fieldMm: null, lengthMm: 24, beadShape: "segment" });
  });
});
