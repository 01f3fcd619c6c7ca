import { describe, expect, it } from "vitest";
import { isSensorData } from "../../lib/model/log.ts";
import { stampOf } from "../../lib/model/titleWords.ts";

describe("raw data that may be dropped", () => {
  it.each(["profiles.arrow", "profiles.ndjson", "profiles.left.ndjson", "poses.csv", "signals.csv", "frames/004.png", "frames/a/b.jpg", "scans/2/profiles.arrow"])("%s is", (name) => expect(isSensorData(name)).toBe(true));
  it.each(["job.json", "plan.csv", "profilesOfThePlan.csv", "progress.csv", "rework.csv", "paste.csv", "frames.csv", "frames/", "result.json", "reports/1.pdf", "results/x/job.json", "scans/2/comparison.json"])("%s stays", (name) => expect(isSensorData(name)).toBe(false));
});

describe("the stamp", () => {
  it("of a demonstration that is a rehearsal says both, of a real cell's run nothing", () => {
    expect([[true, true], [true, false], [false, true], [false, false]].map(([rehearsal, demo]) => stampOf({ rehearsal: rehearsal === true, demo: demo === true }))).toEqual(["DEMO · REHEARSAL", "REHEARSAL", "DEMO", null]);
  });
});
