/** A run's report as of now: what measuring says, kept beside its result, and what the record says, read anew each time. */
import type { RunRecord } from "../model/log.ts";
import type { Report, ReportBody, ReportHead } from "../model/report.ts";
import { stampOf } from "../model/titleWords.ts";
import { wholeReport } from "../report/body/reportBody.ts";
import { scanSection } from "../report/scanSection.ts";
import { readReportBody } from "../store/reportBodies.ts";
import type { Store } from "../store/openStore.ts";
import { readResultHead, readRun, readRunHead } from "../store/readRuns.ts";
import { dispositionsOf } from "./dispositions.ts";
import { readKept } from "./pages.ts";
import { recordAside } from "./recordAside.ts";
import { recordSide } from "./recordSide.ts";
import { bodyOfKept } from "./reportBody.ts";
import { scansOf } from "./scans.ts";
import { nowIso } from "./settings.ts";

async function bodyOf(store: Store, runId: string, resultId: string): Promise<ReportBody> {
  const kept = readReportBody(store.db, resultId);
  if (kept !== null) return kept;
  const whole = await readRun(store, runId, resultId);
  if (whole === null) throw new TypeError(`run ${runId} has no result ${resultId}`);
  return bodyOfKept(store, whole, await readKept(runId, whole.result));
}

/** In `recordWords` while the record is being checked. */
const BEING_CHECKED = "being checked";

export function standingWords(record: RunRecord | null): string {
  return record === null ? BEING_CHECKED : record.whole ? "whole" : `not whole: ${record.problem ?? "it cannot be read"}`;
}

/**
 * null: no such run, none of its results is called so, or it has none yet. `resultId`: of a recompute; null: the run's own. `check`: gives the
 * record as it was checked, which takes seconds at 100 000 stations, or null for a page that is to open before that.
 */
export async function reportOf(store: Store, runId: string, resultId: string | null, check: (runId: string) => Promise<RunRecord> | null = recordAside): Promise<Report | null> {
  const result = readResultHead(store.db, runId, resultId);
  if (result === null) return null;
  const run = readRunHead(store.db, runId), [record, body] = await Promise.all([check(runId), bodyOf(store, runId, result.id)]);
  const { head: logHead, count: logCount, sections, signedWords } = recordSide(store, runId, { resultId: result.id, record }), later = scanSection(scansOf(runId, store));
  const head: ReportHead = {
    runId, resultId: result.id, name: run.name, specimen: run.specimen, materialName: run.materialName, lot: run.lot, planSha256: run.planSha256, runAt: run.createdAt, madeAt: nowIso(), stamp: stampOf(run),
    recomputed: result.computedBy === null ? null : `a recompute under other bands by ${result.computedBy}, ${result.computedAt.slice(0, 10)}: ${result.reason ?? ""}`,
    logHead, logCount, recordWords: standingWords(record), signedWords,
  };
  return wholeReport(head, body, dispositionsOf(runId, store).filter((each) => each.resultId === result.id), later === null ? sections : [...sections, later]);
}
