/** The store of one data folder: `aslaid.db`, brought up to date when it is opened. */
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { InputError } from "../base/errors.ts";
import { openPrisma, openSqlite } from "./connection.ts";
import type { Sqlite } from "./connection.ts";
import type { PrismaClient } from "./generated/client.ts";
import { applyMigrations, readMigrations } from "./migrate.ts";

export interface StoreSettings {
  readonly dataFolder: string;
  /** prisma/migrations of this program. */
  readonly migrationsFolder: string;
  readonly nowUnixMs: number;
  readonly newId: () => string;
}

export interface Store {
  /** Writes: prepared statements, short transactions. */
  readonly db: Sqlite;
  /** Reads. */
  readonly prisma: PrismaClient;
  readonly close: () => Promise<void>;
}

/** Makes the folder and the database where they are missing. InputError `store.readOnly`, `store.migration`. */
export function openStore({ dataFolder, migrationsFolder, nowUnixMs, newId }: StoreSettings): Store {
  const file = join(dataFolder, "aslaid.db");
  try {
    mkdirSync(dataFolder, { recursive: true });
  } catch (error) {
    throw new InputError("store.readOnly", "a data folder that can be made", "none", { file: dataFolder }, error);
  }
  const db = openSqlite(file);
  try {
    applyMigrations(db, { migrations: readMigrations(migrationsFolder), nowUnixMs, newId });
  } catch (error) {
    db.close();
    throw error;
  }
  const prisma = openPrisma(file);
  return {
    db, prisma,
    close: async () => {
      await prisma.$disconnect();
      db.close();
    },
  };
}
