/** The report that pages and paper show. */
import type { Report } from "../model/report.ts";
import { reportOf } from "./report.ts";
import { sharedStore } from "./settings.ts";

/** null: no such run, it has no result yet, or none of its results is called `resultId`. */
export function readReport(runId: string, resultId: string | null): Promise<Report | null> {
  return reportOf(sharedStore(), runId, resultId, () => ({ sections: [], signedWords: "not signed" }));
}
