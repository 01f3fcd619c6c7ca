/** The download of a kept run's report, over the worked example. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { readReport } from "../../lib/server/readReport.ts";
import { readReportPdf, reportFileName } from "../../lib/server/reportPdf.ts";
import { ReadPdf } from "../support/poppler.ts";
import { ownData, recordedExample } from "../support/recorded.ts";

const data = ownData();
let runId = "";
beforeAll(async () => { runId = await recordedExample(); });
afterAll(() => data.restore());

describe("the report on paper", () => {
  it("comes as a PDF with its length and a plain name, never kept by a browser, and says what the page says", async () => {
    const response = await readReportPdf(runId, null, null), bytes = new Uint8Array(await response.arrayBuffer());
    expect([response.headers.get("Content-Type"), response.headers.get("Content-Length"), response.headers.get("Cache-Control")]).toEqual(["application/pdf", String(bytes.length), "no-store"]);
    expect(response.headers.get("Content-Disposition")).toMatch(/^attachment; filename="[a-z0-9-]+-report-\d{4}-\d\d-\d\d\.pdf"$/);
    const report = await readReport(runId, null, null), pdf = new ReadPdf(bytes);
    try {
      const spaced = (text: string): string => text.replaceAll(/\s+/g, " "), heard = spaced(pdf.structure());
      for (const words of [report?.verdict.headline as string, ...(report?.sections ?? []).map(({ title }) => `H2 (block) "${title}"`)]) expect(heard).toContain(spaced(words));
    } finally {
      pdf.close();
    }
  });

  it("of a run or a result that is not here is store.noRun, whatever its name holds", async () => {
    for (const [run, result] of [["none", null], [runId, "none"], ["'; --\u0000", null]] as const) await expect(readReportPdf(run, result, null)).rejects.toMatchObject({ code: "store.noRun" });
  });

  it("that nobody waits for any more is not made, and the next one is, whatever became of the one before", async () => {
    const given = new AbortController(), gone = readReportPdf(runId, null, null, given.signal), next = readReportPdf(runId, null, null);
    given.abort();
    await expect(gone).rejects.toMatchObject({ code: "source.stopped" });
    expect((await next).headers.get("Content-Type")).toBe("application/pdf");
  });

  it("has a name of letters, figures and hyphens: of 80 letters 60 are kept, of none \"run\"", () => {
    const of = (name: string): string => reportFileName({ name, madeAt: "2026-02-04T10:31:44.000Z" });
    expect([of("Angle block 12/Zoë"), of("\u65e5\u672c \"\r\n"), of("ab".repeat(40))]).toEqual(["angle-block-12-zoe-report-2026-02-04.pdf", "run-report-2026-02-04.pdf", `${"ab".repeat(30)}-report-2026-02-04.pdf`]);
  });
});
