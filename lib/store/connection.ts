/** Connections to the one database file. Every one of them writes ahead, syncs fully and keeps foreign keys. */
import Database from "better-sqlite3";
import { PrismaBetterSqlite3 } from "@prisma/adapter-better-sqlite3";
import { InputError } from "../base/errors.ts";
import { PrismaClient } from "./generated/client.ts";

export type Sqlite = Database.Database;

/** How long a connection waits for another one's write, ms. */
const BUSY_MS = 10_000;

/**
 * What SQLite forgets between connections: it reopens with synchronous=NORMAL in WAL mode and without foreign keys.
 * journal_mode is kept in the file itself, and setting it again costs nothing.
 */
export const CONNECTION_PRAGMAS = ["journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", `busy_timeout = ${BUSY_MS}`] as const;

/** Opens (or makes) the file for writing. InputError `store.readOnly` where that is not allowed. */
export function openSqlite(file: string): Sqlite {
  try {
    const db = new Database(file);
    for (const pragma of CONNECTION_PRAGMAS) db.pragma(pragma);
    return db;
  } catch (error) {
    const code = error instanceof Error && "code" in error ? String(error.code) : "";
    if (code.startsWith("SQLITE_READONLY") || code.startsWith("SQLITE_CANTOPEN") || error instanceof TypeError) {
      throw new InputError("store.readOnly", "a data folder that can be written", code === "" ? "none there" : code, { file }, error);
    }
    throw error;
  }
}

/** Prisma's adapter opens its connection itself; this gives that one the pragmas too. */
class PragmaAdapter extends PrismaBetterSqlite3 {
  override async connect(): ReturnType<PrismaBetterSqlite3["connect"]> {
    const connection = await super.connect();
    await connection.executeScript(CONNECTION_PRAGMAS.map((pragma) => `PRAGMA ${pragma};`).join("\n"));
    return connection;
  }
}

/** Prisma on the same file, for reads and the rare relational write. */
export function openPrisma(file: string): PrismaClient {
  return new PrismaClient({ adapter: new PragmaAdapter({ url: `file:${file}` }) });
}
