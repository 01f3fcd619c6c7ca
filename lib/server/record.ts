/** The record of a run as it lies in the database: whether it is whole, and how entries are added to it. */
import { InputError } from "../base/errors.ts";
import { checkLog } from "../log/checkLog.ts";
import { checkSeals } from "../log/checkSeals.ts";
import { entryLine } from "../log/entries.ts";
import type { LogDraft } from "../log/entries.ts";
import { readPublicKeys } from "../log/keys.ts";
import { sealLine } from "../log/seals.ts";
import { OPEN_STATES, type RunState } from "../model/liveRun.ts";
import type { LogEntry, LogPayloads, RunRecord } from "../model/log.ts";
import { appendEntries, readEntries, readSeals, sealLog } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { rawSize } from "../store/rawFiles.ts";
import { rowsDigest } from "../store/rowsDigest.ts";
import { nowIso, sharedStore } from "./settings.ts";

/** Refuses a run that is not here: InputError `store.noRun`. */
export function requireRun({ db }: Store, runId: string): void {
  if (db.prepare(`SELECT 1 FROM "Run" WHERE id = ?`).get(runId) === undefined) throw new InputError("store.noRun", "the id of a run that is kept", JSON.stringify(runId), {});
}

/** Whether a run is not over; false for one that is not here. */
export function isOpenRun(runId: string, { db }: Store = sharedStore()): boolean {
  const state = db.prepare(`SELECT state FROM "Run" WHERE id = ?`).pluck().get(runId) as RunState | undefined;
  return state !== undefined && OPEN_STATES.includes(state);
}

/** For a run that came in before records were kept. */
export function refuseNoRecord(): never {
  throw new InputError("log.noRecord", "a run with a record", "one that was brought in before records were kept: bring its folder in again", {});
}

/** Writes the entry and seals it; both are on the disk when this returns. Returns the entry. InputError `log.noRecord`. */
export function recordEntry({ db, signingKey }: Store, runId: string, draft: LogDraft): LogEntry {
  const write = db.transaction((): LogEntry => {
    if (readSeals(db, runId).length === 0) refuseNoRecord();
    const entry = appendEntries(db, runId, [draft]).at(-1) as LogEntry;
    sealLog(db, runId, { key: signingKey, at: draft.at });
    return entry;
  });
  return write.immediate();
}

/** Seals what no seal covers yet. */
export function sealNow({ db, signingKey }: Store, runId: string): void {
  db.transaction(() => sealLog(db, runId, { key: signingKey, at: nowIso() })).immediate();
}

function rowsProblemOf({ db }: Pick<Store, "db">, runId: string, { resultId, rowsSha256 }: LogPayloads["result.computed" | "result.recomputed"]): string | null {
  return rowsDigest(db, runId, resultId) === rowsSha256 ? null : "what the database holds of the run and its readings is not what was written into it";
}

/**
 * Checks chain and seals now, that every file that the log names is there with its size, and that what the pages show is what was kept;
 * the bytes of files are hashed by `verify` and `export`, not here, so that a page need not wait for gigabytes. A run that is not here has no entry.
 */
export function recordOf(runId: string, store: Pick<Store, "db" | "raw"> = sharedStore()): RunRecord {
  const { db, raw } = store;
  return db.transaction((): RunRecord => {
    const stored = readSeals(db, runId);
    const keys = [...new Set(stored.map(({ publicKeyPem }) => publicKeyPem))].flatMap((pem) => readPublicKeys(pem, "the database"));
    const { seals, fault } = checkSeals(stored.map(({ seal }) => sealLine(seal)), keys);
    const check = checkLog(seals);
    let rowsProblem: string | null = null;
    const unnamed = new Set(db.prepare<[string], string>(`SELECT id FROM "Result" WHERE runId = ?`).pluck().all(runId));
    for (const entry of readEntries(db, runId)) {
      check.take(entryLine(entry));
      if (entry.kind !== "result.computed" && entry.kind !== "result.recomputed") continue;
      const computed = entry.payload as LogPayloads[typeof entry.kind];
      unnamed.delete(computed.resultId);
      rowsProblem ??= rowsProblemOf(store, runId, computed);
    }
    if (unnamed.size > 0) rowsProblem ??= "the database holds a result of this run that no entry of its log names";
    const { fault: logFault, head, files, dropped } = check.finish();
    const absent = [...files.values()].find(({ sha256, size }) => !dropped.has(sha256) && rawSize(raw, sha256) !== size);
    const problem = fault?.words ?? logFault?.words ?? (absent === undefined ? null : `the file ${absent.name} is not kept as it came`) ?? rowsProblem;
    const last = stored.at(-1)?.seal;
    return { whole: problem === null, problem, head: head.seq === 0 ? "" : head.hash, count: head.seq, lastSealAt: last?.at ?? null, keyId: last?.keyId ?? "" };
  })();
}
