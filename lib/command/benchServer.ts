/** The real server for a bench. */
import { spawn, type ChildProcess } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { newId, nowIso, rootFolder } from "../server/settings.ts";
import { makeToken } from "../server/tokens.ts";
import { openStore, type Store } from "../store/openStore.ts";

export interface Served { readonly url: string; readonly pid: number; readonly folder: string }

/** Starts the server as `npm start` does; resolves once it answers. */
async function serve(dataFolder: string): Promise<{ readonly url: string; readonly child: ChildProcess }> {
  const child = spawn(process.execPath, [join(rootFolder(), "scripts", "start.mjs")], { cwd: rootFolder(), env: { ...process.env, ASLAID_PORT: "0", ASLAID_HOST: "127.0.0.1", ASLAID_DATA: dataFolder, ASLAID_REHEARSAL: "off" }, stdio: ["ignore", "pipe", "inherit"] });
  let said = "";
  for await (const chunk of child.stdout) {
    said += String(chunk);
    const url = /^Aslaid is ready at (http:\/\/\S+)$/m.exec(said)?.[1];
    if (url !== undefined) return { url, child };
  }
  throw new TypeError(`the server did not start: ${said}`);
}

/** A store of its own is filled, and served while `work` goes on with what came of filling it; then all of it is taken away. */
export async function served<F, T>(fill: (store: Store) => F, work: (served: Served, filled: F) => Promise<T>): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), "aslaid-bench-"));
  try {
    const store = openStore({ dataFolder: folder, migrationsFolder: join(rootFolder(), "prisma", "migrations"), signingKeyFile: null, nowUnixMs: Date.now(), newId });
    let filled: F;
    try {
      filled = fill(store);
    } finally {
      await store.close();
    }
    const { url, child } = await serve(folder);
    try {
      return await work({ url, pid: child.pid as number, folder }, filled);
    } finally {
      child.kill("SIGTERM");
      await once(child, "close");
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Fills a store with a token alone; the token. */
export function withToken(store: Store): string {
  return makeToken(store, { name: "bench", device: null, at: nowIso() });
}
