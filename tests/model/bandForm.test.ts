import { describe, expect, it } from "vitest";
import { changedBands } from "../../lib/model/bandForm.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import { withOtherBands } from "../../lib/model/otherBands.ts";
import { bandTexts } from "../../lib/report/bandTexts.ts";

const JOB = {
  contract: "aslaid/1", name: "n", plan: { file: "plan.csv" }, stationSpacingMm: 0.5, nozzle: { innerDiameterMm: 0.84, outerDiameterMm: 1.27, coneAngleDeg: 20 }, material: { name: "m", beadShape: "stadium" },
  devices: [{ id: "p", kind: "profiler", points: 32, x0Mm: -1, dxMm: 0.1, sigmaZMm: 0.01 }],
  tolerance: { heightMm: { watch: [-0.07, 0.07], act: [-0.13, 0.13] }, widthMm: { watch: [-0.05, 0.2], act: [-0.1, 0.3] }, offsetMm: { watch: 0.14, act: 0.31 } },
};
const { job } = resolveJob(JOB, "job.json"), own = bandTexts(job.tolerance, 1.645);

describe("the form of bands", () => {
  it("begins with the run’s own: a band that is as far down as up by one number, one that is not, or follows the bead, empty", () => {
    expect(own).toEqual({
      areaRatioWatchLow: "0.9", areaRatioWatchHigh: "1.1", areaRatioActLow: "0.8", areaRatioActHigh: "1.25", widthWatchMm: "", widthActMm: "", heightWatchMm: "0.07", heightActMm: "0.13",
      offsetWatchMm: "0.14", offsetActMm: "0.31", gapRatio: "0.25", guard: "1.645",
    });
  });

  it("sends the groups in which something was typed and no other; an emptied group follows the planned bead again", () => {
    expect(changedBands(own, own)).toEqual({ tolerance: {} });
    expect(changedBands(own, { ...own, areaRatioActLow: "0.75", guard: " 2 " })).toEqual({ tolerance: { areaRatio: { watch: [0.9, 1.1], act: [0.75, 1.25] }, decisionRule: "guarded-2" } });
    expect(changedBands(own, { ...own, heightWatchMm: "", heightActMm: "", widthWatchMm: "0.06", widthActMm: "0.12" })).toEqual({ tolerance: { widthMm: { watch: [-0.06, 0.06], act: [-0.12, 0.12] }, heightMm: null } });
    const changed = withOtherBands(JOB, changedBands(own, { ...own, heightWatchMm: "", heightActMm: "" }), "job.json").job.tolerance;
    expect([changed.heightMm, changed.widthMm]).toEqual([null, job.tolerance.widthMm]);
  });

  it.each([["gapRatio", "a quarter", /got "a quarter".*key tolerance\.gapRatio/], ["gapRatio", " ", /key tolerance\.gapRatio/], ["offsetActMm", "", /key tolerance\.offsetMm\.act/], ["areaRatioWatchLow", "0,9", /key tolerance\.areaRatio\.watch/]] as const)("%s typed as %j is refused by name", (field, text, message) => {
    expect(() => withOtherBands(JOB, changedBands(own, { ...own, [field]: text }), "job.json")).toThrow(message);
  });
});

describe("a job with other bands", () => {
  it("keeps everything else, byte for byte in JSON, and merges block by block", () => {
    const { rawJob, job: other } = withOtherBands(JOB, { tolerance: { minLengthMm: { gap: 2.5 } }, acceptance: { maxActFindings: 2 } }, "job.json");
    expect({ ...rawJob, tolerance: JOB.tolerance, acceptance: undefined }).toEqual({ ...JOB, acceptance: undefined });
    expect([other.tolerance.minLengthMm.gap, other.tolerance.minLengthMm.unmeasured, other.tolerance.offsetMm, other.acceptance]).toEqual([2.5, null, JOB.tolerance.offsetMm, { minMeasuredFraction: 0.95, minInBandFraction: 0.9, maxActFindings: 2 }]);
  });
});
