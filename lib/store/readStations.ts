/** Stations of results, through prepared statements: a run may hold 100 000 of them. */
import type { StationLimits, StationResult, Verdict } from "../model/result.ts";
import type { Sqlite } from "./connection.ts";
import type { LimitSetModel, ReadingModel } from "./generated/models.ts";
import { limitsFromRow, readingFromRow, verdictFromText } from "./rows.ts";

/** A row as SQLite hands it out: 0 or 1 for a boolean. */
type StoredReading = Omit<ReadingModel, "newest" | "laid" | "proven"> & { readonly newest: number; readonly laid: number; readonly proven: number };

/** Of one station no more than a small picture needs. */
export interface OutlineRow {
  readonly layer: number;
  readonly strand: number;
  readonly sMm: number;
  readonly verdict: Verdict;
}

function readLimits(db: Sqlite, resultId: string): Map<number, StationLimits> {
  return new Map(db.prepare<[string], LimitSetModel>(`SELECT * FROM "LimitSet" WHERE resultId = ?`).all(resultId).map((set) => [set.limitIndex, limitsFromRow(set)]));
}

/** Every station of a result in order of layer, strand and s, newest attempts and earlier ones apart. Throws TypeError where a row names limits that are not there. */
export function readStations(db: Sqlite, resultId: string): { readonly stations: StationResult[]; readonly earlierAttempts: StationResult[] } {
  const limitsAt = readLimits(db, resultId), stations: StationResult[] = [], earlierAttempts: StationResult[] = [];
  const rows = db.prepare<[string], StoredReading>(`SELECT * FROM "Reading" WHERE resultId = ? ORDER BY layer, strand, stationIndex, attempt`);
  for (const row of rows.iterate(resultId)) {
    const inForce = limitsAt.get(row.limitIndex);
    if (inForce === undefined) throw new TypeError(`result ${resultId} has no limits ${row.limitIndex}`);
    const station = readingFromRow({ ...row, newest: row.newest === 1, laid: row.laid === 1, proven: row.proven === 1 }, inForce);
    (row.newest === 1 ? stations : earlierAttempts).push(station);
  }
  return { stations, earlierAttempts };
}

/** Newest stations of a result, for its small picture in a list; in order of layer, strand and s. */
export function readOutline(db: Sqlite, resultId: string): OutlineRow[] {
  return db.prepare<[string], Omit<OutlineRow, "verdict"> & { readonly verdict: string }>(
    `SELECT layer, strand, sMm, verdict FROM "Reading" WHERE resultId = ? AND newest = 1 ORDER BY layer, strand, stationIndex`,
  ).all(resultId).map((row) => ({ ...row, verdict: verdictFromText(row.verdict) }));
}
