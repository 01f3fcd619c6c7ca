/** The environment as the program uses it. scripts/ resolve ASLAID_DATA, ASLAID_SIGNING_KEY and ASLAID_ROOT to absolute paths before anything here runs. */
import { randomBytes } from "node:crypto";
import { join } from "node:path";
import { openStore } from "../store/openStore.ts";
import type { Store, StoreSettings } from "../store/openStore.ts";
import { uuidV7 } from "../store/uuid.ts";

/** The program's own folder: prisma/, fixtures/. */
export function rootFolder(): string {
  return process.env["ASLAID_ROOT"] ?? process.cwd();
}

export function dataFolder(): string {
  return process.env["ASLAID_DATA"] ?? join(rootFolder(), "data");
}

/** Key file of one's own for the seals; null: none is set. */
function signingKeyFile(): string | null {
  const file = process.env["ASLAID_SIGNING_KEY"] ?? "";
  return file === "" ? null : file;
}

/** Whether seals are made with a key file of one's own, and not with the one in the data folder. */
export function ownKeyIsSet(): boolean {
  return signingKeyFile() !== null;
}

/** Whether the server may begin a rehearsal of its own. */
export function rehearsalIsOn(): boolean {
  return process.env["ASLAID_REHEARSAL"] !== "off";
}

/** Whether a host to listen on is this machine alone: 127.0.0.0/8, ::1 or localhost. */
export function isLoopback(host: string): boolean {
  return /^(127(\.\d{1,3}){3}|\[?::1\]?|localhost)$/i.test(host);
}

/** Who may look without signing in: everybody on this machine where ASLAID_LOOKING does not say signIn; beyond this machine nobody, whatever it says. */
export function lookingNeeds(): "nothing" | "signIn" {
  const host = process.env["ASLAID_HOST"] ?? "";
  return (host === "" || isLoopback(host)) && process.env["ASLAID_LOOKING"] !== "signIn" ? "nothing" : "signIn";
}

/** Whether somebody may sign a run that they operated: only where the bench says that it has one person alone. */
export function ownRunsMaySign(): boolean {
  return process.env["ASLAID_OWN_RUNS"] === "sign";
}

/** UUIDv7 of now. */
export function newId(): string {
  return uuidV7(Date.now(), randomBytes(10));
}

/** ISO 8601, UTC, milliseconds. */
export function nowIso(): string {
  return new Date().toISOString();
}

/** About unix ms, by a clock that never goes back, whatever is done to the machine's: silences and ages go by it. */
export function steadyMs(): number {
  return performance.timeOrigin + performance.now();
}

/** The store of this process's data folder, migrated. */
export function openOwnStore({ sweeps = true }: Pick<StoreSettings, "sweeps"> = {}): Store {
  return openStore({ sweeps, dataFolder: dataFolder(), migrationsFolder: join(rootFolder(), "prisma", "migrations"), signingKeyFile: signingKeyFile(), nowUnixMs: Date.now(), newId });
}

const KEY = Symbol.for("aslaid.store");

/**
 * One store a process: pages and start-up code are separate bundles, so it hangs on globalThis.
 * Opened on first use, closed by the server's end.
 */
export function sharedStore(): Store {
  const holder = globalThis as { [KEY]?: Store };
  holder[KEY] ??= openOwnStore();
  return holder[KEY];
}

/** Closes the shared store where one was opened. */
export async function closeSharedStore(): Promise<void> {
  const holder = globalThis as { [KEY]?: Store };
  const store = holder[KEY];
  delete holder[KEY];
  await store?.close();
}
