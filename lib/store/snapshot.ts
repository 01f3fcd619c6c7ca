/** The database as it is at one instant, copied while it is written to; and what that copy names. */
import Database from "better-sqlite3";
import { OPEN_STATES } from "../model/liveRun.ts";
import type { RunState } from "../model/liveRun.ts";
import { openSqlite, type Sqlite } from "./connection.ts";

/** All pages in one step: in write-ahead mode a reader holds up no writer, and a copy in several steps would begin again with each write. */
const ALL_PAGES = 0x7fff_ffff;

/** Copies the database into `file`, one file without its write-ahead log. */
export async function snapshotDatabase(db: Sqlite, file: string): Promise<void> {
  await db.backup(file, { progress: () => ALL_PAGES });
  const copy = new Database(file);
  try {
    copy.pragma("journal_mode = DELETE");
  } finally {
    copy.close();
  }
}

export interface SnapshotRun { readonly id: string; readonly isOpen: boolean; readonly isLive: boolean; readonly hasRecord: boolean }

/** Every run, whether it is open, whether it came over the wire, and whether it has a record. */
export function runsIn(db: Sqlite): SnapshotRun[] {
  return db.prepare<[], { id: string; state: RunState; sealed: number }>(`SELECT id, state, EXISTS (SELECT 1 FROM "Seal" WHERE runId = "Run".id) AS sealed FROM "Run" ORDER BY createdAt, id`).all()
    .map(({ id, state, sealed }) => ({ id, isOpen: OPEN_STATES.includes(state), isLive: state !== "recorded", hasRecord: sealed === 1 }));
}

/** Hash and size of every raw file that some run names, by hash. */
export function rawFilesIn(db: Sqlite): { readonly sha256: string; readonly size: number }[] {
  return db.prepare<[], { sha256: string; size: number }>(`SELECT sha256, max(size) AS size FROM "RawFile" GROUP BY sha256 ORDER BY sha256`).all();
}

/** Opens a copy; the caller closes it. What SQLite finds wrong with its pages, in its words; null: nothing. */
export function openCopy(file: string): { readonly db: Sqlite; readonly damage: string | null } {
  const db = openSqlite(file), found = db.pragma("integrity_check", { simple: true }) as string;
  return { db, damage: found === "ok" ? null : found };
}
