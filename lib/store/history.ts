/** Readings with their history and sections to draw, kept beside a result. Written inside the caller's transaction, read station by station. */
import type { HistoryReading, StationHistory } from "../model/history.ts";
import { SUPPORT_KINDS, type SupportKind } from "../model/result.ts";
import { unpackCut, type PackedCut, type SectionCut } from "../model/sectionCut.ts";
import type { Sqlite } from "./connection.ts";
import type { ReadingHistoryModel, StationCutModel } from "./generated/models.ts";
import { verdictFromText } from "./rows.ts";

/** A station of one attempt: layer and strand from 1, station from 0. */
type Place = [resultId: string, layer: number, strand: number, attempt: number, stationIndex: number];

const AT_STATION = `WHERE resultId = ? AND layer = ? AND strand = ? AND attempt = ? AND stationIndex = ?`;

const HISTORY_COLUMNS = [
  "layer", "strand", "attempt", "stationIndex", "ordinal", "device", "seq", "tS", "ageS", "good", "stood", "widthMm", "heightMm", "areaMm2", "offsetMm",
  "uWidthMm", "uHeightMm", "uAreaMm2", "uOffsetMm", "areaRatio", "coverage", "support", "sagMm", "verdict", "proven",
] as const satisfies readonly (keyof HistoryReading)[];

const TABLE_COLUMNS = HISTORY_COLUMNS.map((name) => (name === "coverage" ? "coverageFraction" : name));

/** Writes every reading that is handed in. To be called inside the transaction that writes the result. */
export function writeHistory(db: Sqlite, resultId: string, readings: Iterable<HistoryReading>): void {
  const insert = db.prepare(`INSERT INTO "ReadingHistory" (resultId, ${TABLE_COLUMNS.join(", ")}) VALUES (?, ${TABLE_COLUMNS.map(() => "?").join(", ")})`);
  for (const reading of readings) {
    insert.run(resultId, HISTORY_COLUMNS.map((name) => {
      const value = reading[name];
      return typeof value === "boolean" ? Number(value) : value;
    }));
  }
}

type HistoryRow = Omit<ReadingHistoryModel, "resultId" | "good" | "stood" | "proven"> & { readonly good: number; readonly stood: number; readonly proven: number };

function supportFromText(text: string): SupportKind {
  const known = SUPPORT_KINDS.find((kind) => kind === text);
  if (known === undefined) throw new TypeError(`the database holds ReadingHistory.support "${text}", which this program does not know`);
  return known;
}

/** What was kept of the readings of one attempt of a station, oldest first; count 0 and no readings where there were none. */
export function readHistory(db: Sqlite, ...place: Place): StationHistory {
  const rows = db.prepare<Place, HistoryRow>(`SELECT ${TABLE_COLUMNS.join(", ")} FROM "ReadingHistory" ${AT_STATION} ORDER BY ordinal`).all(...place);
  const readings = rows.map(({ coverageFraction, ...row }): HistoryReading => ({
    ...row, coverage: coverageFraction, good: row.good === 1, stood: row.stood === 1, proven: row.proven === 1,
    support: supportFromText(row.support), verdict: verdictFromText(row.verdict),
  }));
  return { count: readings.at(-1)?.ordinal ?? 0, readings }; // the newest is always kept
}

/** Writes every section that is handed in. To be called inside the transaction that writes the result. */
export function writeCuts(db: Sqlite, resultId: string, cuts: Iterable<PackedCut>): void {
  const insert = db.prepare(`INSERT INTO "StationCut" (resultId, layer, strand, attempt, stationIndex, device, seq, tS, drawing) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`);
  for (const c of cuts) insert.run(resultId, c.layer, c.strand, c.attempt, c.stationIndex, c.device, c.seq, c.tS, c.drawing);
}

/** The section of one attempt of a station; null: none stands there. */
export function readCut(db: Sqlite, ...place: Place): SectionCut | null {
  const row = db.prepare<Place, Omit<StationCutModel, "resultId">>(`SELECT layer, strand, attempt, stationIndex, device, seq, tS, drawing FROM "StationCut" ${AT_STATION}`).get(...place);
  return row === undefined ? null : unpackCut(row);
}
