/**
 * The files of runs as they came, beside the database: raw/HH/HASH, one file a content, read-only. What comes in is written to a staging
 * folder first and moved into place inside the transaction that names it; so an orphan is only ever left by a process that ended in
 * between, and its staging folder is what tells of it.
 */
import { createHash } from "node:crypto";
import { closeSync, createReadStream, fsyncSync, mkdirSync, openSync, readdirSync, renameSync, rmSync, statSync } from "node:fs";
import { chmod, mkdir, open } from "node:fs/promises";
import { dirname, join } from "node:path";
import type { KeptFile } from "../model/log.ts";
import type { Sqlite } from "./connection.ts";

/** Where the files of a store lie. */
export interface RawStore {
  readonly folder: string;
  /** Staging folders that this process works in. */
  readonly active: Set<string>;
}

const STAGING = "staging";

/** The file of this content; whether it is there is another question. */
export function rawPath({ folder }: RawStore, sha256: string): string {
  return join(folder, sha256.slice(0, 2), sha256);
}

/** A new staging folder; `id` tells it from every other. */
export function openStaging({ folder, active }: RawStore, id: string): string {
  const staging = join(folder, STAGING, `${process.pid}-${id}`);
  active.add(staging);
  mkdirSync(staging, { recursive: true });
  return staging;
}

/** Whether somebody who lives works in a staging folder of this id, in this process or another. */
export function isStagedNow({ folder, active }: RawStore, id: string): boolean {
  return stagingFolders(folder).some((staging) => staging.endsWith(`-${id}`) && (active.has(staging) || isAtWork(staging)));
}

/** Ends the work in a staging folder that was kept or not needed. */
export function closeStaging({ active }: RawStore, staging: string): void {
  rmSync(staging, { recursive: true, force: true });
  active.delete(staging);
}

/** Ends the work in a staging folder after a failure: also what was moved out of it already goes. */
export function abandonStaging(db: Sqlite, raw: RawStore, staging: string): void {
  raw.active.delete(staging);
  sweepRaw(db, raw);
}

export interface Copying {
  /** The file's path in the run folder. */
  readonly name: string;
  readonly chunks: AsyncIterable<Uint8Array>;
  /** Permissions of the copy. */
  readonly mode: number;
  /** Called after each chunk, with its size in bytes; what it throws ends the copying. */
  readonly heard: (bytes: number) => void;
}

/** SHA-256 and size of a file, read in one pass. */
export async function digestFile(path: string, { name, heard }: Pick<Copying, "name" | "heard">): Promise<KeptFile> {
  const hash = createHash("sha256");
  let size = 0;
  for await (const chunk of createReadStream(path) as AsyncIterable<Buffer>) {
    hash.update(chunk);
    size += chunk.length;
    heard(chunk.length);
  }
  return { name, sha256: hash.digest("hex"), size };
}

/** Makes a file that was written otherwise read-only and durable; its hash and size. */
export async function settleFile(folder: string, name: string): Promise<KeptFile> {
  const path = join(folder, name);
  await chmod(path, KEPT_MODE);
  const handle = await open(path, "r");
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
  return digestFile(path, { name, heard: () => undefined });
}

/** Kept files are for reading alone. */
export const KEPT_MODE = 0o444;

/** Writes one file into a folder, on the disk when it returns. */
export async function writeFileFrom(folder: string, { name, chunks, mode, heard }: Copying): Promise<KeptFile> {
  const path = join(folder, name);
  await mkdir(dirname(path), { recursive: true });
  const hash = createHash("sha256");
  let size = 0;
  const handle = await open(path, "wx", mode);
  try {
    for await (const chunk of chunks) {
      await handle.writeFile(chunk);
      hash.update(chunk);
      size += chunk.length;
      heard(chunk.length);
    }
    await handle.sync();
  } finally {
    await handle.close();
  }
  return { name, sha256: hash.digest("hex"), size };
}

/** Moves staged files to their places and names them for the run; to be called inside the transaction that writes the run. */
export function keepStaged(db: Sqlite, raw: RawStore, { runId, staging, files }: { readonly runId: string; readonly staging: string; readonly files: readonly KeptFile[] }): void {
  const insert = db.prepare(`INSERT INTO "RawFile" (runId, name, sha256, size) VALUES (?, ?, ?, ?)`);
  const folders = new Set<string>();
  const moved = new Set<string>();
  for (const { name, sha256, size } of files) {
    insert.run(runId, name, sha256, size);
    if (moved.has(sha256)) continue; // two names, one content
    moved.add(sha256);
    const path = rawPath(raw, sha256);
    mkdirSync(dirname(path), { recursive: true });
    renameSync(join(staging, name), path);
    folders.add(dirname(path));
  }
  for (const folder of [...folders, raw.folder]) syncFolder(folder);
}

/** A rename is durable once its folder is. */
function syncFolder(folder: string): void {
  const handle = openSync(folder, "r");
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** Size of the kept file, bytes; null: it is not there. */
export function rawSize(raw: RawStore, sha256: string): number | null {
  return statSync(rawPath(raw, sha256), { throwIfNoEntry: false })?.size ?? null;
}

/**
 * Clears up after processes that ended in the middle of bringing a run in: raw files that no run names, and their staging folders. Runs
 * under the database's write lock, so that what another process is just moving into place is not taken for an orphan.
 */
export function sweepRaw(db: Sqlite, { folder: rawFolder, active }: RawStore): void {
  const abandoned = stagingFolders(rawFolder).filter((staging) => !active.has(staging) && !isAtWork(staging));
  if (abandoned.length === 0) return;
  const isNamed = db.prepare(`SELECT 1 FROM "RawFile" WHERE sha256 = ? LIMIT 1`);
  db.transaction(() => {
    for (const bucket of readdirSync(rawFolder).filter((name) => name !== STAGING)) {
      for (const sha256 of readdirSync(join(rawFolder, bucket))) if (isNamed.get(sha256) === undefined) rmSync(join(rawFolder, bucket, sha256));
    }
  }).immediate();
  for (const staging of abandoned) rmSync(staging, { recursive: true, force: true });
}

function stagingFolders(rawFolder: string): string[] {
  const folder = join(rawFolder, STAGING);
  return statSync(folder, { throwIfNoEntry: false }) === undefined ? [] : readdirSync(folder).map((name) => join(folder, name));
}

/** Whether the folder belongs to another process that lives; of this process's own, only those in `active` are at work. */
function isAtWork(folder: string): boolean {
  const pid = Number(/(\d+)-[^/\\]*$/.exec(folder)?.[1]);
  if (pid === process.pid) return false;
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "EPERM";
  }
}
