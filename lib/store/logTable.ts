/** A run's log and its seals in the database. Adding is done inside the caller's transaction, so that nothing comes between head and entry. */
import { canonicalJson } from "../log/canonical.ts";
import { EMPTY_LOG, chainEntry } from "../log/entries.ts";
import type { LogDraft, LogHead } from "../log/entries.ts";
import type { SigningKey } from "../log/keys.ts";
import { makeSeal } from "../log/seals.ts";
import { isNews, PROGRAM_ACTOR } from "../model/log.ts";
import type { LogEntry, LogKind, LogPayloads, Seal } from "../model/log.ts";
import type { Sqlite } from "./connection.ts";
import type { LogEntryModel, SealModel } from "./generated/models.ts";

/** A seal with the public key that it was made for. */
export interface StoredSeal { readonly seal: Seal; readonly publicKeyPem: string }

function headOf(db: Sqlite, runId: string): LogHead {
  return db.prepare<[string], LogHead>(`SELECT seq, hash FROM "LogEntry" WHERE runId = ? ORDER BY seq DESC LIMIT 1`).get(runId) ?? EMPTY_LOG;
}

function lastSeal(db: Sqlite, runId: string): SealModel | undefined {
  return db.prepare<[string], SealModel>(`SELECT * FROM "Seal" WHERE runId = ? ORDER BY count DESC LIMIT 1`).get(runId);
}

/** Adds entries at the end. The first one after a seal names that seal, so that it is missed where somebody takes it away. */
export function appendEntries(db: Sqlite, runId: string, drafts: readonly LogDraft[]): LogEntry[] {
  let head = headOf(db, runId);
  const seal = lastSeal(db, runId);
  const [first] = drafts;
  const naming: LogDraft[] = first !== undefined && seal?.count === head.seq
    ? [{ actor: PROGRAM_ACTOR, at: first.at, kind: "seal.named", payload: { count: seal.count, head: seal.head, keyId: seal.keyId } }] : [];
  const insert = db.prepare(`INSERT INTO "LogEntry" (runId, seq, at, actor, kind, payloadJson, prev, hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`);
  return [...naming, ...drafts].map((draft) => {
    const entry = chainEntry(runId, head, draft);
    insert.run(runId, entry.seq, entry.at, entry.actor, entry.kind, canonicalJson(entry.payload), entry.prev, entry.hash);
    head = entry;
    return entry;
  });
}

/**
 * Seals the log as far as it goes; nothing where a seal covers its last entry already, or it has none. Where the key is another than that of the seal
 * before, an entry says so first: a seal by another key without it is a forged one (log/checkLog.ts).
 */
export function sealLog(db: Sqlite, runId: string, { key, at }: { readonly key: SigningKey; readonly at: string }): void {
  const last = lastSeal(db, runId);
  if (headOf(db, runId).seq === (last?.count ?? 0)) return;
  if (last !== undefined && last.keyId !== key.keyId) appendEntries(db, runId, [{ actor: PROGRAM_ACTOR, at, kind: "key.changed", payload: { from: last.keyId, to: key.keyId } }]);
  const head = headOf(db, runId);
  const { count, head: hash, keyId, signature } = makeSeal(runId, head, { key, at });
  db.prepare(`INSERT INTO "Seal" (runId, count, at, head, keyId, publicKeyPem, signature) VALUES (?, ?, ?, ?, ?, ?, ?)`)
    .run(runId, count, at, hash, keyId, key.publicKeyPem, signature);
}

function entryFromRow({ payloadJson, ...row }: LogEntryModel): LogEntry {
  return { ...row, kind: row.kind as LogKind, payload: JSON.parse(payloadJson) as LogPayloads[LogKind] };
}

/** Rows that are read at once: the connection is free between two pages. */
const PAGE_ROWS = 1000;

/** Entries in order, up to the `most`-th. */
export function* readEntries(db: Sqlite, runId: string, most = Number.MAX_SAFE_INTEGER): Generator<LogEntry> {
  const page = db.prepare<[string, number, number, number], LogEntryModel>(`SELECT * FROM "LogEntry" WHERE runId = ? AND seq > ? AND seq <= ? ORDER BY seq LIMIT ?`);
  for (let rows = page.all(runId, 0, most, PAGE_ROWS); rows.length > 0; rows = page.all(runId, rows.at(-1)?.seq ?? most, most, PAGE_ROWS)) yield* rows.map(entryFromRow);
}

/** Entries of one kind, in order. */
export function readEntriesOf<K extends LogKind>(db: Sqlite, runId: string, kind: K): LogEntry<K>[] {
  const rows = db.prepare<[string, string], LogEntryModel>(`SELECT * FROM "LogEntry" WHERE runId = ? AND kind = ? ORDER BY seq`).all(runId, kind);
  return rows.map((row) => entryFromRow(row) as LogEntry<K>);
}

/** Place of the last entry that says something new of the run (`isNews`); 0: none does. */
export function lastNewsSeq(db: Sqlite, runId: string): number {
  for (const { seq, kind } of db.prepare<[string], { seq: number; kind: LogKind }>(`SELECT seq, kind FROM "LogEntry" WHERE runId = ? ORDER BY seq DESC`).iterate(runId)) if (isNews({ kind })) return seq;
  return 0;
}

/** Seals in order of what they cover. */
export function readSeals(db: Sqlite, runId: string): StoredSeal[] {
  const rows = db.prepare<[string], SealModel>(`SELECT * FROM "Seal" WHERE runId = ? ORDER BY count`).all(runId);
  return rows.map(({ publicKeyPem, ...seal }) => ({ seal, publicKeyPem }));
}
