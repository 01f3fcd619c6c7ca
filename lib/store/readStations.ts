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

function stationOf(row: StoredReading, limitsAt: ReadonlyMap<number, StationLimits>, resultId: string): StationResult {
  const inForce = limitsAt.get(row.limitIndex);
  if (inForce === undefined) throw new TypeError(`result ${resultId} has no limits ${row.limitIndex}`);
  return readingFromRow({ ...row, newest: row.newest === 1, laid: row.laid === 1, proven: row.proven === 1 }, inForce);
}

/** Newest stations strand by strand, so that a long result is never in memory as a whole; the connection is free between two strands. Throws as `readStations`. */
export function* readStrands(db: Sqlite, resultId: string): Generator<StationResult[]> {
  const limitsAt = readLimits(db, resultId);
  const strands = db.prepare<[string], { layer: number; strand: number }>(`SELECT DISTINCT layer, strand FROM "Reading" WHERE resultId = ? ORDER BY layer, strand`).all(resultId);
  const ofStrand = db.prepare<[string, number, number], StoredReading>(`SELECT * FROM "Reading" WHERE resultId = ? AND layer = ? AND strand = ? AND newest = 1 ORDER BY stationIndex`);
  for (const { layer, strand } of strands) yield ofStrand.all(resultId, layer, strand).map((row) => stationOf(row, limitsAt, resultId));
}

/** Every station of a result in order of layer, strand and s, newest attempts and earlier ones apart. Throws TypeError where a row names limits that are not there. */
export function readStations(db: Sqlite, resultId: string): { readonly stations: StationResult[]; readonly earlierAttempts: StationResult[] } {
  const limitsAt = readLimits(db, resultId), stations: StationResult[] = [], earlierAttempts: StationResult[] = [];
  const rows = db.prepare<[string], StoredReading>(`SELECT * FROM "Reading" WHERE resultId = ? ORDER BY layer, strand, stationIndex, attempt`);
  for (const row of rows.iterate(resultId)) {
    (row.newest === 1 ? stations : earlierAttempts).push(stationOf(row, limitsAt, resultId));
  }
  return { stations, earlierAttempts };
}

/** Newest stations of a result, for its small picture in a list; in order of layer, strand and s. */
export function readOutline(db: Sqlite, resultId: string): OutlineRow[] {
  return db.prepare<[string], Omit<OutlineRow, "verdict"> & { readonly verdict: string }>(
    `SELECT layer, strand, sMm, verdict FROM "Reading" WHERE resultId = ? AND newest = 1 ORDER BY layer, strand, stationIndex`,
  ).all(resultId).map((row) => ({ ...row, verdict: verdictFromText(row.verdict) }));
}
