/** What the as-laid surface is made of: stations with their bands, and the sections of newest readings, strand by strand. */
import { unpackCut, type SectionCut } from "../model/sectionCut.ts";
import type { SurfaceStation } from "../model/surfaceSums.ts";
import type { Sqlite } from "./connection.ts";
import type { StationCutModel } from "./generated/models.ts";

/** One strand of a result. */
export interface StrandOfResult { readonly resultId: string; readonly layer: number; readonly strand: number }

/** Stations of the newest attempt of one strand, in order. */
export function readSurfaceStations(db: Sqlite, { resultId, layer, strand }: StrandOfResult): SurfaceStation[] {
  return db.prepare<[string, number, number], { laid: number; low: number; high: number }>(
    `SELECT r.laid, l.heightMmActLow AS low, l.heightMmActHigh AS high FROM "Reading" r JOIN "LimitSet" l ON l.resultId = r.resultId AND l.limitIndex = r.limitIndex
     WHERE r.resultId = ? AND r.layer = ? AND r.strand = ? AND r.newest = 1 ORDER BY r.stationIndex`,
  ).all(resultId, layer, strand).map(({ laid, low, high }) => ({ laid: laid === 1, bandMm: [low, high] }));
}

/** Stations whose sections are read at once: the database is free for others in between. */
const STATIONS_AT_ONCE = 256;

/** The sections of the newest attempts' readings that stand, in order of station; a station that was not measured has none. `count`: stations of the strand. */
export function* readNewestCuts(db: Sqlite, { resultId, layer, strand }: StrandOfResult, count: number): Generator<SectionCut> {
  const read = db.prepare<[string, number, number, number, number], Omit<StationCutModel, "resultId">>(
    `SELECT c.layer, c.strand, c.attempt, c.stationIndex, c.device, c.seq, c.tS, c.drawing FROM "StationCut" c
     JOIN "Reading" r ON r.resultId = c.resultId AND r.layer = c.layer AND r.strand = c.strand AND r.attempt = c.attempt AND r.stationIndex = c.stationIndex AND r.newest = 1
     WHERE c.resultId = ? AND c.layer = ? AND c.strand = ? AND c.stationIndex >= ? AND c.stationIndex < ? AND r.areaMm2 IS NOT NULL ORDER BY c.stationIndex`,
  );
  for (let from = 0; from < count; from += STATIONS_AT_ONCE) for (const row of read.all(resultId, layer, strand, from, from + STATIONS_AT_ONCE)) yield unpackCut(row);
}
