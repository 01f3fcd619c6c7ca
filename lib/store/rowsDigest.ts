/** One hash over everything that the pages show of a result, so that a row changed in the database is found out. */
import { createHash } from "node:crypto";
import type { Sqlite } from "./connection.ts";

/** Tables of a result with the columns that order its rows. */
const OF_RESULT = {
  Result: "id", LimitSet: "limitIndex", Reading: "layer, strand, attempt, stationIndex, newest", Finding: "findingIndex",
  ReadingHistory: "layer, strand, attempt, stationIndex, ordinal", StationCut: "layer, strand, attempt, stationIndex", BeforePrint: "resultId",
  StrandMean: "layer, strand", ReportBody: "resultId", Frame: "frameIndex", FramePlace: "file",
} as const;
/** Came later: without rows they count as tables that are not there. */
const LATER = new Set(["StrandMean", "ReportBody", "Frame", "FramePlace"]);

const sha256Of = (bytes: Buffer): string => createHash("sha256").update(bytes).digest("hex");

/** A run's state goes on; what else is said of it does not. */
const GOES_ON = new Set(["state", "endAsked"]);

/**
 * SHA-256, hex, of a run's head, its strands and one result with its readings, findings, history and sections, as they lie in the
 * database. A column without a value counts as one that is not there, and so does a later table without rows: neither changes a digest.
 */
export function rowsDigest(db: Sqlite, runId: string, resultId: string): string {
  const hash = createHash("sha256");
  const take = (table: string, where: string, order: string, id: string): void => {
    const rows = db.prepare<[string]>(`SELECT * FROM "${table}" WHERE ${where} = ? ORDER BY ${order}`).raw();
    const names = rows.columns().map(({ name }) => name);
    const columns = names.map((name, i) => ({ name, i })).filter(({ name }) => !GOES_ON.has(name)).sort((a, b) => (a.name < b.name ? -1 : 1));
    if (!LATER.has(table)) hash.update(`${table}\n`);
    for (const row of rows.iterate(id) as IterableIterator<unknown[]>) {
      let text = "";
      for (const { name, i } of columns) {
        const value = row[i];
        if (value === null) continue;
        text += `${name}:${Buffer.isBuffer(value) ? sha256Of(value) : typeof value === "number" ? value : JSON.stringify(value)}\n`;
      }
      hash.update(`${text}\n`);
    }
  };
  take("Run", "id", "id", runId);
  take("Strand", "runId", "layer, strand", runId);
  for (const [table, order] of Object.entries(OF_RESULT)) take(table, table === "Result" ? "id" : "resultId", order, resultId);
  return hash.digest("hex");
}
