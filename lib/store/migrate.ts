/**
 * Applies prisma/migrations over better-sqlite3 and keeps Prisma's own `_prisma_migrations` table, so that Prisma's tools can take over
 * where their engine can be had. A migration that was applied and then edited is refused: the database no longer is what the files say.
 */
import { createHash } from "node:crypto";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { InputError } from "../base/errors.ts";
import type { Sqlite } from "./connection.ts";

export interface Migration { readonly name: string; readonly sql: string }

/** Folder and clock that a migration needs from outside. */
export interface MigrationSettings {
  /** The migrations, in the order in which they are applied. */
  readonly migrations: readonly Migration[];
  /** Milliseconds since 1970, as Prisma writes them in its table. */
  readonly nowUnixMs: number;
  /** A new identifier for each row of Prisma's table. */
  readonly newId: () => string;
}

// Column for column what Prisma's schema engine makes on SQLite (from memory).
const TABLE = `CREATE TABLE IF NOT EXISTS "_prisma_migrations" (
  "id" TEXT PRIMARY KEY NOT NULL,
  "checksum" TEXT NOT NULL,
  "finished_at" DATETIME,
  "migration_name" TEXT NOT NULL,
  "logs" TEXT,
  "rolled_back_at" DATETIME,
  "started_at" DATETIME NOT NULL DEFAULT current_timestamp,
  "applied_steps_count" INTEGER UNSIGNED NOT NULL DEFAULT 0
)`;

/** Every NAME/migration.sql of the folder, sorted by name. */
export function readMigrations(folder: string): Migration[] {
  const names = readdirSync(folder, { withFileTypes: true }).filter((entry) => entry.isDirectory()).map((entry) => entry.name).sort();
  return names.map((name) => ({ name, sql: readFileSync(join(folder, name, "migration.sql"), "utf8") }));
}

/** SHA-256 of the file, lower-case hex, as Prisma computes it. */
export function migrationChecksum(sql: string): string {
  return createHash("sha256").update(sql).digest("hex");
}

interface AppliedRow { readonly migration_name: string; readonly checksum: string }

function requireUnchanged(applied: readonly AppliedRow[], migrations: readonly Migration[]): void {
  const known = new Map(migrations.map((migration) => [migration.name, migration]));
  for (const row of applied) {
    const place = { file: `prisma/migrations/${row.migration_name}/migration.sql` };
    const migration = known.get(row.migration_name);
    if (migration === undefined) throw new InputError("store.migration", "the migration that this database was made with", "none (the database is newer than this program)", place);
    const checksum = migrationChecksum(migration.sql);
    if (checksum !== row.checksum) {
      throw new InputError("store.migration", `the file as it was applied (SHA-256 ${row.checksum.slice(0, 12)}…)`, `an edited one (${checksum.slice(0, 12)}…)`, place);
    }
  }
}

/**
 * Brings the database up to the newest migration: all that is missing in one transaction, so that it is applied whole or not at all and
 * two processes that start together do not apply it twice. Returns the names that were applied now.
 */
export function applyMigrations(db: Sqlite, { migrations, nowUnixMs, newId }: MigrationSettings): string[] {
  const apply = db.transaction((): string[] => {
    db.exec(TABLE);
    const applied = db.prepare<[], AppliedRow>(`SELECT migration_name, checksum FROM _prisma_migrations WHERE finished_at IS NOT NULL AND rolled_back_at IS NULL`).all();
    requireUnchanged(applied, migrations);
    const done = new Set(applied.map((row) => row.migration_name));
    const missing = migrations.filter((migration) => !done.has(migration.name));
    const note = db.prepare(`INSERT INTO _prisma_migrations (id, checksum, finished_at, migration_name, started_at, applied_steps_count) VALUES (?, ?, ?, ?, ?, 1)`);
    for (const { name, sql } of missing) {
      db.exec(sql);
      note.run(newId(), migrationChecksum(sql), nowUnixMs, name, nowUnixMs);
    }
    return missing.map((migration) => migration.name);
  });
  return apply.immediate();
}
