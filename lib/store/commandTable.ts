/** What a run's cell was asked for, in order, and its receipts. */
import type { CommandBody, NumberedCommand, ReceiptBody } from "../model/wire.ts";
import type { Sqlite } from "./connection.ts";
import type { CommandModel } from "./generated/models.ts";

export interface StoredCommand extends Omit<CommandModel, "bodyJson"> { readonly body: CommandBody }

/** Adds a command; its number. To be called inside the transaction that writes its log entry. */
export function addCommand(db: Sqlite, runId: string, { body, actor, at }: { readonly body: CommandBody; readonly actor: string; readonly at: string }): number {
  const n = Number(db.prepare(`SELECT coalesce(max(n), 0) + 1 FROM "Command" WHERE runId = ?`).pluck().get(runId));
  db.prepare(`INSERT INTO "Command" (runId, n, bodyJson, actor, askedAt) VALUES (?, ?, ?, ?, ?)`).run(runId, n, JSON.stringify(body), actor, at);
  return n;
}

/** Commands after number `after`, in order. */
export function commandsAfter(db: Sqlite, runId: string, after: number): NumberedCommand[] {
  return db.prepare<[string, number], CommandModel>(`SELECT * FROM "Command" WHERE runId = ? AND n > ? ORDER BY n`).all(runId, after)
    .map(({ n, bodyJson }) => ({ n, ...(JSON.parse(bodyJson) as CommandBody) }));
}

/** Rows of a plan may be long, and nobody who looks at commands again and again needs them. */
const WITHOUT_ROWS = `runId, n, json_remove(bodyJson, '$.rows') AS bodyJson, actor, askedAt, sentAt, outcome, receiptTS, note, receiptAt`;

/** The newest commands with what became of them, newest first, at most `most`; a resume without its rows. */
export function newestCommands(db: Sqlite, runId: string, most: number): StoredCommand[] {
  return db.prepare<[string, number], CommandModel>(`SELECT ${WITHOUT_ROWS} FROM "Command" WHERE runId = ? ORDER BY n DESC LIMIT ?`).all(runId, most).map(storedOf);
}

/** The newest command that the cell refused or failed in; null: there is none, or a later one was carried out. */
export function refusedSinceDone(db: Sqlite, runId: string): number | null {
  const newest = db.prepare<[string], { n: number; outcome: string }>(`SELECT n, outcome FROM "Command" WHERE runId = ? AND outcome IS NOT NULL ORDER BY n DESC LIMIT 1`).get(runId);
  return newest === undefined || newest.outcome === "done" ? null : newest.n;
}

/** Commands that the cell has not answered, in order. */
export function openCommands(db: Sqlite, runId: string): StoredCommand[] {
  return db.prepare<[string], CommandModel>(`SELECT * FROM "Command" WHERE runId = ? AND outcome IS NULL ORDER BY n`).all(runId).map(storedOf);
}

function storedOf({ bodyJson, ...rest }: CommandModel): StoredCommand {
  return { ...rest, body: JSON.parse(bodyJson) as CommandBody };
}

/** Notes that the cell has been handed the commands up to `n`. */
export function noteSent(db: Sqlite, runId: string, n: number, at: string): void {
  db.prepare(`UPDATE "Command" SET sentAt = ? WHERE runId = ? AND n <= ? AND sentAt IS NULL`).run(at, runId, n);
}

/** null: no such command. */
export function readCommand(db: Sqlite, runId: string, n: number): StoredCommand | null {
  const row = db.prepare<[string, number], CommandModel>(`SELECT * FROM "Command" WHERE runId = ? AND n = ?`).get(runId, n);
  return row === undefined ? null : storedOf(row);
}

export function writeReceipt(db: Sqlite, runId: string, n: number, { outcome, tS, note, at }: ReceiptBody & { readonly at: string }): void {
  db.prepare(`UPDATE "Command" SET outcome = ?, receiptTS = ?, note = ?, receiptAt = ? WHERE runId = ? AND n = ?`).run(outcome, tS, note, at, runId, n);
}
