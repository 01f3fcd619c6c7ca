/** What the record says in a run's report: read from its log anew each time. */
import type { RunRecord } from "../model/log.ts";
import type { ReportSection } from "../model/report.ts";
import { recordSections } from "../report/recordSections.ts";
import { readEntries, readSeals } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { alertRatesOf } from "./alertRates.ts";
import { nowIso } from "./settings.ts";
import { signaturesIn, signedWords } from "./signatures.ts";

/** What the record says, and whether the report is signed. */
export interface RecordSide { /** Of the log that is told of: hash of its last entry, and how many there are. */ readonly head: string; readonly count: number; readonly sections: readonly ReportSection[]; readonly signedWords: string }

/** `record`: as it was checked, and what came after that check is not told of; null: that is going on. */
export function recordSide({ db }: Pick<Store, "db">, runId: string, { resultId, record }: { readonly resultId: string; readonly record: RunRecord | null }): RecordSide {
  const entries = [...readEntries(db, runId, record?.count)], signatures = signaturesIn(entries), last = entries.at(-1);
  const seals = readSeals(db, runId).flatMap(({ seal }) => (record === null || seal.count <= record.count ? [seal] : []));
  return { head: last?.hash ?? "", count: last?.seq ?? 0, sections: recordSections({ entries, seals, record, signatures, resultId, rates: alertRatesOf({ db }, runId, nowIso()) }), signedWords: signedWords(signatures, resultId) };
}
