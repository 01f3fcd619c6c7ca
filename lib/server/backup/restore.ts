/** A backup back into an empty data folder: unpacked beside it, every hash and every log checked, then moved into its place. All of it, or nothing. */
import { chmodSync, existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, rmdirSync, statSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { InputError } from "../../base/errors.ts";
import type { KeptFile } from "../../model/log.ts";
import { isDiskFull } from "../../source/stage.ts";
import { unpackZip } from "../../source/zip.ts";
import { applyMigrations, readMigrations } from "../../store/migrate.ts";
import { settleFile, type RawStore } from "../../store/rawFiles.ts";
import type { Sqlite } from "../../store/connection.ts";
import { openCopy, runsIn } from "../../store/snapshot.ts";
import { recordOf } from "../record.ts";
import { DATABASE, MANIFEST, readManifest, type Manifest } from "./manifest.ts";

export interface RestoreSettings {
  readonly file: string;
  /** New or empty. */
  readonly dataFolder: string;
  readonly migrationsFolder: string;
  readonly nowUnixMs: number;
  readonly newId: () => string;
  readonly signal: AbortSignal;
  readonly heard: (words: string) => void;
}
export type RestoreDone = Pick<Manifest, "madeAt" | "version" | "signingKey" | "runCount" | "notWhole" | "changed"> & { readonly fileCount: number };

/** Modes of what is written on; raw files stay for reading alone. */
const OWN_MODE = 0o600;

/** InputError command.usage (no such file, the folder is not empty), source.notZip, source.zipDamaged, store.damaged (with the first thing that is wrong), source.diskFull. */
export async function restoreFrom(settings: RestoreSettings): Promise<RestoreDone> {
  const { file, newId } = settings, dataFolder = resolve(settings.dataFolder);
  if (!statSync(file, { throwIfNoEntry: false })?.isFile()) throw new InputError("command.usage", "a file that backup made", "none there", { file, key: "FILE" });
  refuseFilled(dataFolder);
  const part = join(dirname(dataFolder), `.restore-${newId()}`);
  try {
    mkdirSync(part, { recursive: true, mode: 0o700 });
    const done = await checked(settings, part);
    replaceEmpty(part, dataFolder);
    return done;
  } catch (error) {
    throw isDiskFull(error) ? new InputError("source.diskFull", "room on the disk of the data folder", "a full disk: nothing was restored", { file }, error) : error;
  } finally {
    rmSync(part, { recursive: true, force: true });
  }
}

function refuseFilled(dataFolder: string): void {
  const there = statSync(dataFolder, { throwIfNoEntry: false });
  if (there === undefined) return;
  const held = there.isDirectory() ? readdirSync(dataFolder).length : 1;
  if (held > 0) throw new InputError("command.usage", "a new or empty data folder", `${JSON.stringify(dataFolder)} with ${held} ${held === 1 ? "entry" : "entries"}: nothing is written over`, { key: "ASLAID_DATA" });
}

/** Fails where something came into it meanwhile, or where it is a mount and cannot be replaced. */
function replaceEmpty(part: string, dataFolder: string): void {
  try {
    if (existsSync(dataFolder)) rmdirSync(dataFolder);
    renameSync(part, dataFolder);
  } catch (cause) {
    throw new InputError("command.usage", "a data folder that can be made: a new folder below a mount, and none that is one", String((cause as NodeJS.ErrnoException).code), { file: dataFolder, key: "ASLAID_DATA" }, cause);
  }
}

function damaged(expected: string, got: string, file: string): never {
  throw new InputError("store.damaged", expected, got, { file });
}

async function checked({ file, migrationsFolder, nowUnixMs, newId, signal, heard }: RestoreSettings, part: string): Promise<RestoreDone> {
  const limits = { mostFiles: Infinity, mostBytes: Infinity, mostFileBytes: Infinity }, staged = { fileCount: 0, byteCount: 0 };
  await unpackZip({ path: file, file, into: part, limits, signal, staged });
  if (!existsSync(join(part, MANIFEST))) damaged(`a backup with its ${MANIFEST}`, "a zip without it", file);
  const manifest = readManifest(readFileSync(join(part, MANIFEST), "utf8"), MANIFEST);
  rmSync(join(part, MANIFEST));
  await checkFiles(part, manifest.files, staged.fileCount - 1, heard);
  checkDatabase(part, manifest, { migrationsFolder, nowUnixMs, newId, heard });
  const { madeAt, version, signingKey, runCount, notWhole, changed, files } = manifest;
  return { madeAt, version, signingKey, runCount, notWhole, changed, fileCount: files.length };
}

/** Every file that the manifest names, byte for byte, in its order; and none beside them. */
async function checkFiles(part: string, files: readonly KeptFile[], thereCount: number, heard: RestoreSettings["heard"]): Promise<void> {
  for (const [i, { name, sha256, size }] of files.entries()) {
    heard(`checking: file ${i + 1} of ${files.length}`);
    if (!existsSync(join(part, name))) damaged(`the file ${name}`, "none there", name);
    const found = await settleFile(part, name);
    if (found.sha256 !== sha256 || found.size !== size) damaged(`the file ${name} as it was put in`, "other bytes", name);
    if (!name.startsWith("raw/")) chmodSync(join(part, name), OWN_MODE);
  }
  if (thereCount !== files.length) damaged(`${files.length} files`, `${thereCount}`, MANIFEST);
}

/** The database's own pages, and every log with the files that it names, as whole as it was when the backup was made. */
function checkDatabase(part: string, { notWhole, runCount }: Manifest, { migrationsFolder, nowUnixMs, newId, heard }: Pick<RestoreSettings, "migrationsFolder" | "nowUnixMs" | "newId" | "heard">): void {
  if (!existsSync(join(part, DATABASE))) damaged(`the file ${DATABASE}`, "none there", DATABASE);
  const { db, damage } = openCopy(join(part, DATABASE));
  try {
    if (damage !== null) damaged("a database that is whole", damage, DATABASE);
    applyMigrations(db, { migrations: readMigrations(migrationsFolder), nowUnixMs, newId });
    checkRecords(db, { folder: join(part, "raw"), active: new Set() }, new Map(notWhole.map(({ runId, problem }) => [runId, problem])), heard);
    if (runsIn(db).length !== runCount) damaged(`${runCount} runs`, String(runsIn(db).length), DATABASE);
    db.pragma("wal_checkpoint(TRUNCATE)");
  } finally {
    db.close();
  }
}

function checkRecords(db: Sqlite, raw: RawStore, knownProblems: ReadonlyMap<string, string>, heard: RestoreSettings["heard"]): void {
  for (const { id, hasRecord } of runsIn(db)) {
    if (!hasRecord) continue;
    heard(`checking: the record of run ${id}`);
    const { problem } = recordOf(id, { db, raw });
    if (problem !== null && knownProblems.get(id) !== problem) damaged(`the record of run ${id} as whole as it was`, problem, DATABASE);
  }
}
