/** The pre-flight list and the support as found, kept beside a result. Written inside the caller's transaction. */
import type { Preflight } from "../model/preflight.ts";
import type { SupportFound } from "../model/supportFound.ts";
import type { Sqlite } from "./connection.ts";
import type { BeforePrintModel } from "./generated/models.ts";

/** What was known before the print. */
export interface BeforePrint {
  readonly preflight: Preflight;
  /** null: layer 1 was never begun. */
  readonly support: SupportFound | null;
}

/** To be called inside the transaction that writes the result. */
export function writePreflight(db: Sqlite, resultId: string, { preflight, support }: BeforePrint): void {
  db.prepare(`INSERT INTO "BeforePrint" (resultId, preflightJson, supportJson) VALUES (?, ?, ?)`).run(resultId, JSON.stringify(preflight), support === null ? null : JSON.stringify(support));
}

/** null: a result from before these were kept. */
export function readPreflight(db: Sqlite, resultId: string): BeforePrint | null {
  const row = db.prepare<[string], Omit<BeforePrintModel, "resultId">>(`SELECT preflightJson, supportJson FROM "BeforePrint" WHERE resultId = ?`).get(resultId);
  if (row === undefined) return null;
  return { preflight: JSON.parse(row.preflightJson) as Preflight, support: row.supportJson === null ? null : JSON.parse(row.supportJson) as SupportFound };
}
