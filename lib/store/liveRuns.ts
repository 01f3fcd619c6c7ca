/** Runs that came over the wire, as far as their life goes. */
import type { RunState } from "../model/liveRun.ts";
import type { Sqlite } from "./connection.ts";
import type { RunModel } from "./generated/models.ts";

export interface LiveRunRow {
  readonly id: string;
  readonly name: string;
  readonly createdAt: string;
  readonly state: RunState;
  readonly endAsked: "finished" | "aborted" | null;
  readonly rehearsal: boolean;
  readonly demo: boolean;
  readonly specimen: string | null;
  readonly lot: string | null;
  readonly materialName: string;
  readonly planSha256: string;
  readonly layerCount: number;
}

const COLUMNS = `id, name, createdAt, state, endAsked, rehearsal, demo, specimen, lot, materialName, planSha256, layerCount`;
type Row = Pick<RunModel, "id" | "name" | "createdAt" | "state" | "endAsked" | "specimen" | "lot" | "materialName" | "planSha256" | "layerCount"> & { readonly rehearsal: number; readonly demo: number };
const rowOf = (row: Row): LiveRunRow => ({ ...row, state: row.state as RunState, endAsked: row.endAsked as LiveRunRow["endAsked"], rehearsal: row.rehearsal === 1, demo: row.demo === 1 });

/** null: no such run. */
export function readLiveRun(db: Sqlite, id: string): LiveRunRow | null {
  const row = db.prepare<[string], Row>(`SELECT ${COLUMNS} FROM "Run" WHERE id = ?`).get(id);
  return row === undefined ? null : rowOf(row);
}

/** Runs that are not over, and those whose end was asked for and is not written yet; newest first. */
export function listOpenRuns(db: Sqlite): LiveRunRow[] {
  return db.prepare<[], Row>(`SELECT ${COLUMNS} FROM "Run" WHERE state IN ('prepared', 'live', 'paused', 'onHold') ORDER BY createdAt DESC, id DESC`).all().map(rowOf);
}

/** Runs that are over and could not be measured; newest first, at most `most`. */
export function listUnmeasuredRuns(db: Sqlite, most: number): LiveRunRow[] {
  return db.prepare<[number], Row>(`SELECT ${COLUMNS} FROM "Run" WHERE state IN ('finished', 'aborted') AND NOT EXISTS (SELECT 1 FROM "Result" WHERE runId = "Run".id) ORDER BY createdAt DESC, id DESC LIMIT ?`).all(most).map(rowOf);
}

/** Whose token made a run, as the first entry of its log says; "": no log. */
export function makerOf(db: Sqlite, id: string): string {
  return (db.prepare(`SELECT actor FROM "LogEntry" WHERE runId = ? AND seq = 1`).pluck().get(id) as string | undefined) ?? "";
}

export function setRunState(db: Sqlite, id: string, state: RunState): void {
  db.prepare(`UPDATE "Run" SET state = ? WHERE id = ?`).run(state, id);
}

export function askRunEnd(db: Sqlite, id: string, end: "finished" | "aborted"): void {
  db.prepare(`UPDATE "Run" SET endAsked = ? WHERE id = ?`).run(end, id);
}

/** Id and the hash of what was asked, of the run that this key made; null: none. */
export function findRunByKey(db: Sqlite, key: string): { readonly id: string; readonly jobText: string; readonly planText: string } | null {
  return db.prepare<[string], { id: string; jobText: string; planText: string }>(`SELECT id, jobText, planText FROM "Run" WHERE idempotencyKey = ?`).get(key) ?? null;
}

/** Whether any run of a real device, not a rehearsal, is stored. */
export function hasRealRun(db: Sqlite): boolean {
  return db.prepare(`SELECT 1 FROM "Run" WHERE rehearsal = 0 AND demo = 0 LIMIT 1`).get() !== undefined;
}
