/** A real database in a folder of its own, with a fixed clock and counted identifiers. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { openStore } from "../../lib/store/openStore.ts";
import type { Store } from "../../lib/store/openStore.ts";
import { uuidV7 } from "../../lib/store/uuid.ts";

export const MIGRATIONS = resolve(import.meta.dirname, "../../prisma/migrations");
export const NOW_UNIX_MS = 1_770_109_920_000;

/** Identifiers that sort in the order they were asked for. */
export function countedIds(): () => string {
  let count = 0;
  return () => uuidV7(NOW_UNIX_MS + count++, new Uint8Array(10).fill(7));
}

export interface TempStore { readonly store: Store; readonly folder: string; readonly newId: () => string; readonly remove: () => Promise<void> }

export function tempFolder(): string {
  return mkdtempSync(join(tmpdir(), "aslaid-test-"));
}

export function tempStore(): TempStore {
  const folder = tempFolder();
  const newId = countedIds();
  const store = openStore({ dataFolder: folder, migrationsFolder: MIGRATIONS, signingKeyFile: null, nowUnixMs: NOW_UNIX_MS, newId });
  return { store, folder, newId, remove: async () => { await store.close(); rmSync(folder, { recursive: true, force: true }); } };
}
