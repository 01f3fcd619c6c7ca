/** How alerts came over a run, from its log. */
import { alertRates } from "../alert/rates.ts";
import type { AlertRates } from "../model/alert.ts";
import { readEntriesOf } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";

/** Up to its end, or to `nowIso` where it is not over; null: the run came as a folder, or nothing of it has come. */
export function alertRatesOf({ db }: Pick<Store, "db">, runId: string, nowIso: string): AlertRates | null {
  const [began] = readEntriesOf(db, runId, "run.state");
  if (began === undefined) return null;
  const end = readEntriesOf(db, runId, "run.finished")[0] ?? readEntriesOf(db, runId, "run.aborted")[0];
  const raised = readEntriesOf(db, runId, "alert.raised").map(({ at, payload: { priority } }) => ({ ms: Date.parse(at), priority }));
  return alertRates(raised, Date.parse(began.at), Date.parse(end?.at ?? nowIso));
}
