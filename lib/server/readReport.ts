/** The report that pages and paper show. */
import { InputError } from "../base/errors.ts";
import type { RunRecord } from "../model/log.ts";
import type { SignedIn } from "../model/person.ts";
import type { CheckedRecord, Report } from "../model/report.ts";
import { readResultHead } from "../store/readRuns.ts";
import { recordAside } from "./recordAside.ts";
import { recordSide } from "./recordSide.ts";
import { reportOf, standingWords } from "./report.ts";
import { noteReportOpened } from "./reportOpened.ts";
import { sharedStore } from "./settings.ts";
import { signRefusal } from "./signatures.ts";

/** null: no such run, it has no result yet, or none of its results is called `resultId`. `reader`: who opens it, which stands in the log where they may sign. `check` as in report.ts. */
export async function readReport(runId: string, resultId: string | null, reader: SignedIn | null, check: (runId: string) => Promise<RunRecord> | null = recordAside): Promise<Report | null> {
  const store = sharedStore(), result = readResultHead(store.db, runId, resultId);
  if (result === null) return null;
  noteReportOpened(reader, runId, result.id, store);
  return reportOf(store, runId, result.id, check);
}

/** InputError store.noRun where there is no such run or result. */
export async function readCheckedRecord(runId: string, resultId: string, reader: SignedIn | null): Promise<CheckedRecord> {
  const store = sharedStore();
  if (readResultHead(store.db, runId, resultId) === null) throw new InputError("store.noRun", "a run that is kept, and one of its results", JSON.stringify(runId.slice(0, 60)), {});
  const record = await recordAside(runId), words = standingWords(record), section = recordSide(store, runId, { resultId, record }).sections.find(({ id }) => id === "record");
  if (section === undefined) throw new TypeError("a record's side has its section");
  return { isWhole: record.whole, words, section, refusal: reader === null ? null : signRefusal(runId, reader.name, words, store) };
}
