/**
 * Everything that is kept, in one file, while a server writes: the database as of one instant, then what it names. The order is the point: files of runs
 * are only ever added, and journals only grow, so that what the snapshot names is there when it is copied after it. Where a run ended or raw data were
 * dropped in between, it is begun again.
 */
import { existsSync, linkSync, readdirSync, rmSync, statSync } from "node:fs";
import { basename, dirname, join, relative, resolve, sep } from "node:path";
import { InputError } from "../../base/errors.ts";
import type { KeptFile } from "../../model/log.ts";
import { isDiskFull } from "../../source/stage.ts";
import { writeZip, type ZipPart } from "../../source/zipWrite.ts";
import type { Store } from "../../store/openStore.ts";
import { rawPath, rawSize } from "../../store/rawFiles.ts";
import { KEY_FILE } from "../../store/signingKey.ts";
import { openCopy, rawFilesIn, runsIn, snapshotDatabase, type SnapshotRun } from "../../store/snapshot.ts";
import type { Sqlite } from "../../store/connection.ts";
import { livePaths } from "../live/liveFolder.ts";
import { recordOf } from "../record.ts";
import { DATABASE, MANIFEST, type Manifest } from "./manifest.ts";

export interface BackupSettings {
  readonly dataFolder: string;
  /** To be made; nothing may be there. */
  readonly file: string;
  /** The key that seals is a file of one's own, which no backup takes. */
  readonly ownKey: boolean;
  readonly version: string;
  readonly newId: () => string;
  readonly nowIso: () => string;
  /** Told of the bytes copied so far. */
  readonly heard: (doneBytes: number) => void;
}
export type BackupDone = Pick<Manifest, "signingKey" | "runCount" | "notWhole" | "changed"> & { readonly fileCount: number; readonly bytes: number };

/** How often it begins again at most where runs end while they are copied. */
const MOST_TRIES = 5;
/** A backup holds the key and the hashes of passphrases: for its owner alone. */
const BACKUP_MODE = 0o600;

/** Something went from under the copy: the snapshot is older than what lies there now. */
const isGone = (error: unknown): boolean => error instanceof Error && "code" in error && error.code === "ENOENT";

/** Writes the backup beside its place and then links it there: whole, or not there. InputError command.usage, source.diskFull. */
export async function backupTo(store: Store, settings: BackupSettings): Promise<BackupDone> {
  const file = resolve(settings.file), part = join(dirname(file), `.${basename(file)}.${settings.newId()}`);
  if (existsSync(file)) throw new InputError("command.usage", "a file to be made", "one that is there already", { file, key: "FILE" });
  if (!existsSync(dirname(file))) throw new InputError("command.usage", "a file in a folder that is there", "none there", { file, key: "FILE" });
  try {
    for (let tries = 1; ; tries++) {
      try {
        const done = await writeOnce(store, settings, part);
        linkSync(part, file); // refuses where somebody else has made it meanwhile
        return done;
      } catch (error) {
        if (!isGone(error) || tries === MOST_TRIES) throw error;
        rmSync(part, { force: true });
      }
    }
  } catch (error) {
    throw backupError(error, file);
  } finally {
    for (const over of [part, `${part}.db`, `${part}.db-journal`, `${part}.db-wal`, `${part}.db-shm`]) rmSync(over, { force: true });
  }
}

function backupError(error: unknown, file: string): unknown {
  if (isDiskFull(error)) return new InputError("source.diskFull", "room on the disk for the backup", "a full disk: nothing was written", { file }, error);
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  return ["EACCES", "EROFS", "ENOTDIR", "EPERM", "ENOENT", "EEXIST", "SQLITE_CANTOPEN"].includes(code) ? new InputError("command.usage", "a file that can be made", code, { file, key: "FILE" }, error) : error;
}

async function writeOnce(store: Store, { dataFolder, ownKey, version, nowIso, heard }: BackupSettings, part: string): Promise<BackupDone> {
  const snapshot = `${part}.db`;
  await snapshotDatabase(store.db, snapshot);
  const { db } = openCopy(snapshot);
  let parts: ZipPart[], notWhole: Manifest["notWhole"], runCount: number;
  try {
    const runs = runsIn(db);
    parts = [...liveParts(dataFolder, runs), ...(ownKey ? [] : [partOf(dataFolder, KEY_FILE)]), ...rawParts(store, db)]; // what may go first
    notWhole = runs.flatMap(({ id, hasRecord }) => (hasRecord ? problemOf({ ...store, db }, id) : []));
    runCount = runs.length;
  } finally {
    db.pragma("journal_mode = DELETE");
    db.close();
  }
  const all = [{ name: DATABASE, path: snapshot, size: statSync(snapshot).size }, ...parts], signingKey = { keyId: store.signingKey.keyId, isHere: !ownKey }, madeAt = nowIso();
  let doneBytes = 0, changed: string[] = [];
  const make = (files: readonly KeptFile[]): string => {
    changed = files.filter(({ name, sha256 }) => name.startsWith("raw/") && basename(name) !== sha256).map(({ name }) => name);
    return `${JSON.stringify({ format: "aslaid-backup/1", madeAt, version, signingKey, runCount, notWhole, changed, files: [...files] } satisfies Manifest, null, 1)}\n`;
  };
  await writeZip({ path: part, mode: BACKUP_MODE, parts: all, last: { name: MANIFEST, make }, mtime: new Date(madeAt), heard: (bytes) => heard(doneBytes += bytes) });
  return { signingKey, runCount, notWhole, changed, fileCount: all.length, bytes: doneBytes };
}

function problemOf(store: Pick<Store, "db" | "raw">, runId: string): Manifest["notWhole"] {
  const { problem } = recordOf(runId, store);
  return problem === null ? [] : [{ runId, problem }];
}

function partOf(root: string, name: string): ZipPart {
  const path = join(root, name);
  return { name, path, size: statSync(path).size };
}

/** Files by their hash that the snapshot names; one that is not there is what its run's record is said not to be whole for. */
function rawParts({ raw }: Pick<Store, "raw">, snapshot: Sqlite): ZipPart[] {
  return rawFilesIn(snapshot).flatMap(({ sha256 }) => {
    const size = rawSize(raw, sha256);
    return size === null ? [] : [{ name: `raw/${sha256.slice(0, 2)}/${sha256}`, path: rawPath(raw, sha256), size }];
  });
}

/** What is kept of runs over the wire outside the database: of an open one its journal and pictures, of one that is over what is known by as sent already. */
function liveParts(dataFolder: string, runs: readonly SnapshotRun[]): ZipPart[] {
  return runs.filter(({ isLive }) => isLive).flatMap(({ id, isOpen }) => {
    const { folder, head, journal, seen } = livePaths(dataFolder, id), inData = (path: string): ZipPart => partOf(dataFolder, relative(dataFolder, path).split(sep).join("/"));
    if (!isOpen) return [head, seen].filter((path) => existsSync(path)).map(inData);
    if (!existsSync(journal) && existsSync(seen)) throw Object.assign(new Error(`run ${id} ended meanwhile`), { code: "ENOENT" });
    return [head, journal].filter((path) => existsSync(path)).map(inData).concat(framesIn(folder).map(inData)); // pictures after the journal that names them
  });
}

function framesIn(folder: string): string[] {
  const frames = join(folder, "frames");
  if (!existsSync(frames)) return [];
  return readdirSync(frames, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile() && !entry.name.endsWith("~")).map((entry) => join(entry.parentPath, entry.name));
}
