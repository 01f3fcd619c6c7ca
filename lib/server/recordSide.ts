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
export interface RecordSide { readonly sections: readonly ReportSection[]; readonly signedWords: string }

/** `record`: as it was checked; what came after that check is not told of. */
export function recordSide({ db }: Pick<Store, "db">, runId: string, { resultId, record }: { readonly resultId: string; readonly record: RunRecord }): RecordSide {
  const entries = [...readEntries(db, runId, record.count)], signatures = signaturesIn(entries);
  const seals = readSeals(db, runId).flatMap(({ seal }) => (seal.count <= record.count ? [seal] : []));
  return { sections: recordSections({ entries, seals, record, signatures, resultId, rates: alertRatesOf({ db }, runId, nowIso()) }), signedWords: signedWords(signatures, resultId) };
}
