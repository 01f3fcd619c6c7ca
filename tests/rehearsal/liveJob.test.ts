import { describe, expect, it } from "vitest";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import { cellSilenceS, liveJob } from "../../lib/rehearsal/liveJob.ts";
import { fillSettings } from "../../lib/rehearsal/settings.ts";

describe("liveJob", () => {
  it("is a job of the contract, marked as a rehearsal, with the profiler's mount 6.5 mm behind and 55 mm up", () => {
    const { job, planText, planFormat } = liveJob(fillSettings({ trailMm: 6.5, standoffMm: 55, shape: "segment", heightMm: 0.4 }), 1234, 1_770_100_000_000);
    const { job: read, warnings } = resolveJob(job, "job.json");
    expect([planFormat, planText.startsWith("layer,strand,"), read.rehearsal, warnings]).toEqual(["csv", true, true, []]);
    expect(read.mounts[0]?.pose.slice(0, 3)).toEqual([-6.5, 0, 55]);
    expect(job).toMatchObject({ rehearsal: true, name: expect.stringMatching(/^REHEARSAL /), specimen: "machined foam phantom (invented demonstration data)", material: { syringeVolumeMm3: 1234, beadShape: "segment" } });
  });

  it("parts of a file enter, but neither the bead's shape nor the syringe nor the marks", () => {
    const { job } = liveJob(fillSettings({}), 900, 1_770_200_000_000, { policy: { watchdogs: { cellSilenceS: 3.5 } }, material: { name: "gel", lot: "B2", beadShape: "segment", syringeVolumeMm3: 1 } });
    expect(job).toMatchObject({ rehearsal: true, policy: { watchdogs: { cellSilenceS: 3.5 } }, material: { name: "gel", lot: "B2", beadShape: "stadium", syringeVolumeMm3: 900 } });
  });
});

describe("cellSilenceS", () => {
  it("is the job's, else 2 s", () => {
    expect([cellSilenceS({}), cellSilenceS({ policy: { watchdogs: {} } }), cellSilenceS({ policy: { watchdogs: { cellSilenceS: 0.75 } } }), cellSilenceS({ policy: { watchdogs: { cellSilenceS: 0 } } })]).toEqual([2, 2, 0.75, 2]);
  });
});
