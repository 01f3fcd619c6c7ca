/** The report that pages and paper show. */
import type { SignedIn } from "../model/person.ts";
import type { Report } from "../model/report.ts";
import { readResultHead } from "../store/readRuns.ts";
import { reportOf } from "./report.ts";
import { noteReportOpened } from "./reportOpened.ts";
import { sharedStore } from "./settings.ts";

/** null: no such run, it has no result yet, or none of its results is called `resultId`. `reader`: who opens it, which stands in the log where they may sign. */
export async function readReport(runId: string, resultId: string | null, reader: SignedIn | null): Promise<Report | null> {
  const store = sharedStore(), result = readResultHead(store.db, runId, resultId);
  if (result === null) return null;
  noteReportOpened(reader, runId, result.id, store);
  return reportOf(store, runId, result.id);
}
