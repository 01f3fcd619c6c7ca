/** Takes a run out: a run folder again, as it was received, with its record beside it. */
import { createReadStream, existsSync, readdirSync, statSync } from "node:fs";
import { mkdir, open, rename, rm } from "node:fs/promises";
import { basename, dirname, join, resolve } from "node:path";
import { InputError } from "../base/errors.ts";
import { entryLine } from "../log/entries.ts";
import { droppedBy, fileOf, readEntryLine } from "../log/readEntry.ts";
import { sealLine } from "../log/seals.ts";
import { VERIFY_NOTE } from "../log/verifyNote.ts";
import { RECORD_FILES } from "../model/log.ts";
import type { KeptFile } from "../model/log.ts";
import { isDiskFull } from "../source/stage.ts";
import { readEntries, readSeals } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { rawPath, rawSize, writeFileFrom } from "../store/rawFiles.ts";
import { refuseNoRecord, requireRun, sealNow } from "./record.ts";

export interface ExportSettings {
  readonly runId: string;
  /** A new or empty folder. */
  readonly out: string;
  readonly newId: () => string;
  /** Told of the bytes copied so far. */
  readonly heard: (doneBytes: number) => void;
}

/**
 * Writes the export beside `out` and renames it, so that `out` is whole or not there. InputError `store.noRun`, `log.noRecord` (a run from
 * before records were kept), `store.damaged` (a file is no longer what came in), `command.usage` (`out` cannot be made), `source.diskFull`.
 */
export async function exportRun(store: Store, settings: ExportSettings): Promise<void> {
  const { runId, newId } = settings;
  const out = resolve(settings.out);
  requireRun(store, runId);
  refuseTaken(out);
  sealNow(store, runId);
  const seals = readSeals(store.db, runId);
  const last = seals.at(-1) ?? refuseNoRecord();
  const part = join(dirname(out), `.${basename(out)}.${newId()}`);
  try {
    await mkdir(part, { recursive: true });
    const { files, dropped } = await writeLog(store, { runId, count: last.seal.count, folder: part });
    await writeText(part, RECORD_FILES.seals, seals.map(({ seal }) => `${sealLine(seal)}\n`));
    await writeText(part, RECORD_FILES.publicKey, [...new Set(seals.map(({ publicKeyPem }) => publicKeyPem).reverse())]);
    await writeText(part, RECORD_FILES.verify, [VERIFY_NOTE]);
    await copyFiles(store, { ...settings, folder: part, files, dropped });
    await rename(part, out);
  } catch (error) {
    await rm(part, { recursive: true, force: true });
    throw exportError(error, out);
  }
}

function refuseTaken(out: string): void {
  if (!existsSync(out)) return;
  if (!statSync(out).isDirectory()) throw new InputError("command.usage", "a folder to be made", `the file ${JSON.stringify(out)}`, { key: "--out" });
  const held = readdirSync(out).length;
  if (held > 0) throw new InputError("command.usage", "a new or empty folder", `${JSON.stringify(out)} with ${held} ${held === 1 ? "entry" : "entries"}`, { key: "--out" });
}

function exportError(error: unknown, out: string): unknown {
  if (isDiskFull(error)) return new InputError("source.diskFull", "room on the disk for the export", "a full disk: nothing was written", { file: out }, error);
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  return ["EACCES", "EROFS", "ENOTDIR", "EPERM", "ENOTEMPTY"].includes(code) ? new InputError("command.usage", "a folder that can be made", code, { file: out, key: "--out" }, error) : error;
}

interface NamedFiles { readonly files: ReadonlyMap<string, KeptFile>; readonly dropped: ReadonlySet<string> }

/** log.ndjson as far as the last seal covers it; the files that it names, as last named, whether or not it is whole. */
async function writeLog({ db }: Store, { runId, count, folder }: { readonly runId: string; readonly count: number; readonly folder: string }): Promise<NamedFiles> {
  const files = new Map<string, KeptFile>(), dropped = new Set<string>();
  const lines = function* (): Generator<string> {
    for (const entry of readEntries(db, runId, count)) {
      const line = entryLine(entry), read = readEntryLine(line), file = read === null ? null : fileOf(read);
      if (file !== null) files.set(file.name, file);
      for (const hash of read === null ? [] : droppedBy(read)) dropped.add(hash);
      yield `${line}\n`;
    }
  };
  await writeText(folder, RECORD_FILES.log, lines());
  return { files, dropped };
}

/** Characters that are gathered before a write. */
const GATHERED_CHARS = 1 << 16;

async function writeText(folder: string, name: string, parts: Iterable<string>): Promise<void> {
  const handle = await open(join(folder, name), "wx");
  try {
    let text = "";
    for (const part of parts) {
      text += part;
      if (text.length < GATHERED_CHARS) continue;
      await handle.writeFile(text);
      text = "";
    }
    await handle.writeFile(text);
    await handle.sync();
  } finally {
    await handle.close();
  }
}

const EXPORT_MODE = 0o644;

interface Copies extends ExportSettings, NamedFiles { readonly folder: string }

async function copyFiles({ raw }: Store, { folder, files, dropped, heard }: Copies): Promise<void> {
  let doneBytes = 0;
  for (const { name, sha256 } of files.values()) {
    if (rawSize(raw, sha256) === null) {
      if (dropped.has(sha256)) continue;
      throw new InputError("store.damaged", `the kept file ${name}`, "none there", { file: rawPath(raw, sha256) });
    }
    const copy = await writeFileFrom(folder, { name, chunks: createReadStream(rawPath(raw, sha256)), mode: EXPORT_MODE, heard: (bytes) => heard(doneBytes += bytes) });
    if (copy.sha256 !== sha256) throw new InputError("store.damaged", `the kept file ${name} as it came`, "other bytes", { file: rawPath(raw, sha256) });
  }
}
