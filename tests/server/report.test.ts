/** A kept run's report, over the worked example. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Report } from "../../lib/model/report.ts";
import { readKept } from "../../lib/server/pages.ts";
import { recordOf } from "../../lib/server/record.ts";
import { reportOf } from "../../lib/server/report.ts";
import { bodyOfKept } from "../../lib/server/reportBody.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { readReportBody } from "../../lib/store/reportBodies.ts";
import { readRun, type WholeRun } from "../../lib/store/readRuns.ts";
import { ownData, recordedExample } from "../support/recorded.ts";

const data = ownData();
let runId = "";
beforeAll(async () => { runId = await recordedExample(); });
afterAll(() => data.restore());

const read = (resultId: string | null = null): Promise<Report | null> => reportOf(sharedStore(), runId, resultId);

describe("the report of a kept run", () => {
  it("rests on the body that was kept with the result, which is what the kept rows give again, byte for byte", async () => {
    const store = sharedStore(), whole = await readRun(store, runId) as WholeRun;
    const kept = readReportBody(store.db, whole.result.id);
    expect(kept).not.toBeNull();
    expect(JSON.stringify(await bodyOfKept(store, whole, await readKept(runId, whole.result)))).toBe(JSON.stringify(kept));
  });

  it("names log and head, and holds what people decided", async () => {
    const report = await read() as Report, { head, count } = recordOf(runId);
    expect([report.head.logHead, report.head.logCount, report.head.recordWords]).toEqual([head, count, "whole"]);
    expect(JSON.stringify(report.sections.find(({ id }) => id === "findings"))).toContain("accepted as it is, Zoë Öz");
  });

  it("of a run or a result that is not here is null", async () => {
    expect([await read("none"), await reportOf(sharedStore(), "none", null)]).toEqual([null, null]);
  });

  it("without the kept body is the same report, and a body that was changed is found by the record", async () => {
    const { db } = sharedStore(), before = await read() as Report;
    db.prepare(`UPDATE "ReportBody" SET bodyJson = replace(bodyJson, 'Planned and laid', 'Planned and loved')`).run();
    expect((await read() as Report).head.recordWords).toBe("not whole: what the database holds of the run and its readings is not what was written into it");
    db.prepare(`DELETE FROM "ReportBody"`).run();
    const measured = ({ sections }: Report) => sections.filter(({ id }) => id !== "record");
    expect(measured(await read() as Report)).toEqual(measured(before));
  });
});
