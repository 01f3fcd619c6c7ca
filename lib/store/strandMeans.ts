/** Strand means beside a result. Written inside the caller's transaction. */
import type { StrandMean } from "../model/strandMean.ts";
import type { Sqlite } from "./connection.ts";

const COLUMNS = [
  "layer", "strand", "laidCount", "measuredCount", "inBandCount", "areaRatio", "widthDevMm", "heightDevMm", "offsetMm", "laidS",
  "uNoiseMm2", "uSamplingMm2", "uSupportMm2", "uDriftMm2", "uHolesMm2", "uCalibrationMm2",
] as const satisfies readonly (keyof StrandMean)[];

export function writeStrandMeans(db: Sqlite, resultId: string, means: readonly StrandMean[]): void {
  const insert = db.prepare(`INSERT INTO "StrandMean" (resultId, ${COLUMNS.join(", ")}) VALUES (?, ${COLUMNS.map(() => "?").join(", ")})`);
  for (const each of means) insert.run(resultId, COLUMNS.map((name) => each[name]));
}

/** In order of layer and strand; empty for a result from before means were kept. */
export function readStrandMeans(db: Sqlite, resultId: string): StrandMean[] {
  return db.prepare<[string], StrandMean>(`SELECT ${COLUMNS.join(", ")} FROM "StrandMean" WHERE resultId = ? ORDER BY layer, strand`).all(resultId);
}
