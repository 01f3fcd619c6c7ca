/** A reviewer's opening of a report stands in the run's log: once for each person and result, until something new is said of the run. */
import { mayDo } from "../model/person.ts";
import { lastNewsSeq, readEntriesOf, readSeals } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { unlessDiskRefuses } from "./diskRefuses.ts";
import type { Actor } from "./people/actor.ts";
import { isOpenRun, recordEntry } from "./record.ts";
import { nowIso, sharedStore } from "./settings.ts";

/**
 * Notes that `actor` opened the report of a result; to be called before the report is made, so that the report tells of it. Who may not sign and only
 * looks is not noted, nor is anything of a run that is open or has no record. A disk that refuses does not stop looking.
 */
export function noteReportOpened(actor: Pick<Actor, "name" | "roles"> | null, runId: string, resultId: string, store: Store = sharedStore()): void {
  if (actor === null || !mayDo(actor.roles, "sign") || isOpenRun(runId, store) || readSeals(store.db, runId).length === 0) return;
  const opened = readEntriesOf(store.db, runId, "report.opened").findLast((entry) => entry.actor === actor.name && entry.payload.resultId === resultId)?.seq ?? 0;
  if (opened <= lastNewsSeq(store.db, runId)) unlessDiskRefuses(() => { recordEntry(store, runId, { actor: actor.name, at: nowIso(), kind: "report.opened", payload: { resultId } }); });
}
