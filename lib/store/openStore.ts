/** The store of one data folder: `aslaid.db`, brought up to date when it is opened, the files of runs in `raw/`, and the key that seals. */
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { InputError } from "../base/errors.ts";
import type { SigningKey } from "../log/keys.ts";
import { openPrisma, openSqlite } from "./connection.ts";
import type { Sqlite } from "./connection.ts";
import type { PrismaClient } from "./generated/client.ts";
import { applyMigrations, readMigrations } from "./migrate.ts";
import { sweepRaw } from "./rawFiles.ts";
import type { RawStore } from "./rawFiles.ts";
import { loadSigningKey } from "./signingKey.ts";

export interface StoreSettings {
  readonly dataFolder: string;
  /** prisma/migrations of this program. */
  readonly migrationsFolder: string;
  /** Key file of one's own for the seals; null: the one in the data folder, made at the first start. */
  readonly signingKeyFile: string | null;
  readonly nowUnixMs: number;
  readonly newId: () => string;
  /** False in a thread beside another one of this process that may be staging files: what was left lying about is then taken away by that one (default: true). */
  readonly sweeps?: boolean;
}

export interface Store {
  /** Writes: prepared statements, short transactions. */
  readonly db: Sqlite;
  /** Reads. */
  readonly prisma: PrismaClient;
  /** Files of runs, by their hash. */
  readonly raw: RawStore;
  readonly signingKey: SigningKey;
  readonly close: () => Promise<void>;
}

/** The database and the raw files of a store that is there and migrated, for a thread of its own that reads. The caller closes `db`. */
export function openForLook(dataFolder: string): Pick<Store, "db" | "raw"> {
  return { db: openSqlite(join(dataFolder, "aslaid.db")), raw: { folder: join(dataFolder, "raw"), active: new Set() } };
}

/** Makes folder, key and database where they are missing. InputError `store.readOnly`, `store.migration`, `log.badKey`. */
export function openStore({ dataFolder, migrationsFolder, signingKeyFile, nowUnixMs, newId, sweeps = true }: StoreSettings): Store {
  const file = join(dataFolder, "aslaid.db");
  try {
    mkdirSync(dataFolder, { recursive: true });
  } catch (error) {
    throw new InputError("store.readOnly", "a data folder that can be made", "none", { file: dataFolder }, error);
  }
  const raw: RawStore = { folder: join(dataFolder, "raw"), active: new Set() };
  const db = openSqlite(file);
  let signingKey: SigningKey;
  try {
    applyMigrations(db, { migrations: readMigrations(migrationsFolder), nowUnixMs, newId });
    signingKey = loadSigningKey({ dataFolder, ownKeyFile: signingKeyFile, newId });
    if (sweeps) sweepRaw(db, raw);
  } catch (error) {
    db.close();
    throw error;
  }
  const prisma = openPrisma(file);
  return {
    db, prisma, raw, signingKey,
    close: async () => {
      await prisma.$disconnect();
      db.close();
    },
  };
}
