import { readFileSync, rmSync } from "node:fs";
import { join, resolve } from "node:path";
import Database from "better-sqlite3";
import { afterEach, describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { openSqlite } from "../../lib/store/connection.ts";
import type { Sqlite } from "../../lib/store/connection.ts";
import { applyMigrations, migrationChecksum, readMigrations } from "../../lib/store/migrate.ts";
import { MIGRATIONS, NOW_UNIX_MS, countedIds, tempFolder } from "../support/tempStore.ts";

const opened: Sqlite[] = [];
const folders: string[] = [];
function fresh(): Sqlite {
  const folder = tempFolder();
  folders.push(folder);
  const db = openSqlite(join(folder, "aslaid.db"));
  opened.push(db);
  return db;
}
afterEach(() => {
  for (const db of opened.splice(0)) db.close();
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true });
});
const first = { name: "1_one", sql: `CREATE TABLE "One" ("a" INTEGER NOT NULL);` };
const second = { name: "2_two", sql: `CREATE TABLE "Two" ("b" TEXT);` };
const newId = countedIds();
const settings = (migrations: readonly { name: string; sql: string }[]) => ({ migrations, nowUnixMs: NOW_UNIX_MS, newId });
const codeOf = (work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    return error instanceof InputError ? error.code : String(error);
  }
  return "no error";
};

describe("migrations", () => {
  it("applies what is missing, in order, and nothing the second time", () => {
    const db = fresh();
    expect(applyMigrations(db, settings([first]))).toEqual(["1_one"]);
    expect(applyMigrations(db, settings([first, second]))).toEqual(["2_two"]);
    expect(applyMigrations(db, settings([first, second]))).toEqual([]);
  });

  it("keeps Prisma's table: name, SHA-256 of the file, one step, finished at the given instant", () => {
    const db = fresh();
    applyMigrations(db, settings([first]));
    expect(db.prepare("SELECT migration_name, checksum, applied_steps_count, finished_at, rolled_back_at FROM _prisma_migrations").all()).toEqual([
      { migration_name: "1_one", checksum: migrationChecksum(first.sql), applied_steps_count: 1, finished_at: NOW_UNIX_MS, rolled_back_at: null },
    ]);
  });

  it("a checksum is the SHA-256 of the bytes (FIPS 180-4 example: abc)", () => {
    expect(migrationChecksum("abc")).toBe("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  });

  it("refuses an edited migration with store.migration and names its file", () => {
    const db = fresh();
    applyMigrations(db, settings([first]));
    const edited = { ...first, sql: `${first.sql} -- later` };
    expect(codeOf(() => applyMigrations(db, settings([edited])))).toBe("store.migration");
    expect(() => applyMigrations(db, settings([edited]))).toThrow("prisma/migrations/1_one/migration.sql");
  });

  it("refuses a database that a newer program made, with store.migration", () => {
    const db = fresh();
    applyMigrations(db, settings([first, second]));
    expect(codeOf(() => applyMigrations(db, settings([first])))).toBe("store.migration");
  });

  it("leaves nothing behind of two migrations of which the second is broken", () => {
    const db = fresh();
    expect(codeOf(() => applyMigrations(db, settings([first, { name: "2_bad", sql: "CREATE TABLE nonsense;" }])))).toContain("SqliteError");
    expect(db.prepare("SELECT name FROM sqlite_master WHERE name IN ('One', '_prisma_migrations')").all()).toEqual([]);
  });

  it("two connections that start together apply the real migrations once", () => {
    const db = fresh();
    const other = openSqlite(db.name);
    opened.push(other);
    const real = readMigrations(MIGRATIONS);
    expect([applyMigrations(db, settings(real)).length, applyMigrations(other, settings(real)).length]).toEqual([real.length, 0]);
  });
});

describe("schema and migrations", () => {
  it("prisma/schema.prisma and the migrated database have the same tables, columns, types and null rules", () => {
    const db = fresh();
    applyMigrations(db, settings(readMigrations(MIGRATIONS)));
    const schema = readFileSync(resolve(MIGRATIONS, "../schema.prisma"), "utf8");
    const types: Readonly<Record<string, string>> = { String: "TEXT", Int: "INTEGER", Float: "REAL", Boolean: "BOOLEAN", BigInt: "BIGINT", Bytes: "BLOB" };
    const models = [...schema.matchAll(/^model (\w+) \{\n([\s\S]*?)^\}/gm)];
    expect(models).toHaveLength(21);
    for (const [, table, body] of models) {
      const wanted = (body as string).split("\n").map((line) => /^ {2}(\w+)\s+(String|Int|Float|Boolean|BigInt|Bytes)(\??)(?=\s|$)/.exec(line)).filter((match) => match !== null)
        .map(([, name, type, optional]) => `${name} ${types[type as string]}${optional === "?" ? "" : " NOT NULL"}`);
      const there = (db.pragma(`table_info("${table}")`) as { name: string; type: string; notnull: number }[]).map(({ name, type, notnull }) => `${name} ${type}${notnull === 1 ? " NOT NULL" : ""}`);
      expect({ table, columns: there }).toEqual({ table, columns: wanted });
    }
  });
});

describe("connections", () => {
  it("write ahead, sync fully (2) and keep foreign keys, also when the file is opened again", () => {
    const db = fresh();
    const again = openSqlite(db.name);
    opened.push(again);
    for (const each of [db, again]) {
      expect(each.pragma("journal_mode", { simple: true })).toBe("wal");
      expect(each.pragma("synchronous", { simple: true })).toBe(2);
      expect(each.pragma("foreign_keys", { simple: true })).toBe(1);
    }
  });

  it("a plain connection would sync less (1): the pragma is what makes the difference", () => {
    const db = fresh();
    const plain = new Database(db.name);
    opened.push(plain);
    expect(plain.pragma("synchronous", { simple: true })).toBe(1);
  });

  it("a file in a folder that is not there is store.readOnly", () => {
    expect(codeOf(() => openSqlite(join(tempFolder(), "nowhere", "aslaid.db")))).toBe("store.readOnly");
  });
});
