import { describe, expect, it } from "vitest";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import { PREPARE_FIELDS, fieldTexts, withFieldTexts } from "../../lib/model/prepare.ts";

const job = {
  contract: "aslaid/1", name: "block", plan: { file: "plan.csv" }, stationSpacingMm: 0.5, nozzle: { innerDiameterMm: 0.84, outerDiameterMm: 1.27, coneAngleDeg: 20 },
  material: { name: "paste", lot: "A7", beadShape: "stadium", workingTimeS: 240 }, devices: [], unknown: [1, 2],
};

describe("fields over a job", () => {
  it("show what the job says, blank where it says nothing", () => {
    expect(fieldTexts(job)).toEqual({
      name: "block", specimen: "", "material.lot": "A7", "material.workingTimeS": "240", "nozzle.innerDiameterMm": "0.84", "nozzle.outerDiameterMm": "1.27", "nozzle.coneAngleDeg": "20", "nozzle.lengthMm": "",
      "acceptance.minMeasuredFraction": "", "acceptance.minInBandFraction": "", "acceptance.maxActFindings": "",
    });
    expect(Object.values(fieldTexts("no job")).every((text) => text === "")).toBe(true);
  });

  it("left as they are change nothing, not even the order of keys", () => {
    expect(JSON.stringify(withFieldTexts(job, fieldTexts(job)))).toBe(JSON.stringify(job));
  });

  it("put in a text, numbers and a block that was not there; a blank takes a key out; the job given is not changed", () => {
    const made = withFieldTexts(job, { name: " next block ", specimen: "13", "material.lot": "", "material.workingTimeS": "181.5", "acceptance.minMeasuredFraction": "0.9" });
    expect(made).toEqual({ ...job, name: "next block", specimen: "13", material: { name: "paste", beadShape: "stadium", workingTimeS: 181.5 }, acceptance: { minMeasuredFraction: 0.9 } });
    expect(job.material.lot).toBe("A7");
    expect(resolveJob(made, "job.json").job).toMatchObject({ name: "next block", specimen: "13", acceptance: { minMeasuredFraction: 0.9, minInBandFraction: 0.9 } });
  });

  it("what is no number is refused by the schema at its own key", () => {
    const made = withFieldTexts(job, { "nozzle.innerDiameterMm": "wide" });
    expect(() => resolveJob(made, "job.json")).toThrowError(expect.objectContaining({ code: "job.badValue", place: { file: "job.json", key: "nozzle.innerDiameterMm" } }) as Error);
    expect(() => resolveJob(withFieldTexts(job, { name: "" }), "job.json")).toThrowError(expect.objectContaining({ code: "job.missing", place: { file: "job.json", key: "name" } }) as Error);
  });

  it("a job that is no object, or a block that is none, stays what it is", () => {
    expect(withFieldTexts(7, { name: "x" })).toBe(7);
    expect(withFieldTexts({ nozzle: "round" }, { "nozzle.lengthMm": "12" })).toEqual({ nozzle: "round" });
  });

  it("no two fields are one", () => {
    expect(new Set(PREPARE_FIELDS.map(({ key }) => key)).size).toBe(PREPARE_FIELDS.length);
  });
});
