/** What measuring says in a report, beside its result. Written inside the caller's transaction. */
import type { ReportBody } from "../model/report.ts";
import type { Sqlite } from "./connection.ts";

export function writeReportBody(db: Sqlite, resultId: string, body: ReportBody): void {
  db.prepare(`INSERT INTO "ReportBody" (resultId, bodyJson) VALUES (?, ?)`).run(resultId, JSON.stringify(body));
}

/** null: a result from before bodies were kept. */
export function readReportBody(db: Sqlite, resultId: string): ReportBody | null {
  const text = db.prepare(`SELECT bodyJson FROM "ReportBody" WHERE resultId = ?`).pluck().get(resultId) as string | undefined;
  return text === undefined ? null : JSON.parse(text) as ReportBody;
}
