/**
 * Brings one recorded run folder into the store, whole or not at all. What is measured is the copy that is kept, so nobody can change the
 * one without the other. The same folder twice, also from two processes at once, is the same run.
 */
import { createReadStream, existsSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { InputError } from "../base/errors.ts";
import { RECORD_FILES, RECORD_FOLDERS } from "../model/log.ts";
import type { KeptFile } from "../model/log.ts";
import type { Message } from "../model/messages.ts";
import type { InspectResult } from "../model/result.ts";
import { resultText } from "../report/resultText.ts";
import type { RecordedRun } from "../run/inspectRun.ts";
import { RunKeeper } from "../run/keepRun.ts";
import type { OpenedRun } from "../source/openRunFolder.ts";
import { openRunFolder } from "../source/openRunFolder.ts";
import { isDiskFull } from "../source/stage.ts";
import type { Store } from "../store/openStore.ts";
import { abandonStaging, closeStaging, digestFile, KEPT_MODE, openStaging, writeFileFrom } from "../store/rawFiles.ts";
import { findRunByContent } from "../store/writeRun.ts";
import { contentSha256, keptName, writeWithRecord } from "./writeWithRecord.ts";

export interface ImportSettings {
  readonly folder: string;
  /** Brought in by the program itself to have something to show. */
  readonly demo: boolean;
  /** Who stands in the log for bringing it in. */
  readonly actor: string;
  readonly newId: () => string;
  readonly nowIso: () => string;
  readonly inspect: (opened: OpenedRun & Pick<RecordedRun, "output">) => Promise<InspectResult>;
  /** Ends it half-way: nothing is kept, and the signal's reason is thrown. */
  readonly signal?: AbortSignal;
  /** Told of the bytes read and copied so far, and of all there are; measuring comes after that and is heard of through `inspect`. */
  readonly heard?: (doneBytes: number, allBytes: number) => void;
}

export interface Imported {
  readonly runId: string;
  /** False: it was here already. */
  readonly isNew: boolean;
}

/** The simulated cell leaves its truth beside the recording; a real cell has none. */
const TRUTH_FILE = "truth.json";

/** Names that a record needs for itself: files, and folders with all that lies in them. The truth of a rehearsal is kept too, though it is no part of the run. */
const RESERVED: readonly string[] = [...Object.values(RECORD_FILES), ...Object.values(RECORD_FOLDERS)];

/** The names under which the files of the run are kept, in order. What lies in the folder and is no file of the run, such as the record of an export, stays out. */
function namesToKeep({ folder, files }: OpenedRun): string[] {
  const names = files.map(({ path }) => keptName(path));
  const reserved = names.find((name) => RESERVED.includes(name.split("/")[0] as string));
  if (reserved !== undefined) throw new InputError("source.reserved", `files of the run under other names than ${RESERVED.join(", ")}, which its record needs`, reserved, { file: reserved });
  return [...new Set([...names, ...(existsSync(join(folder, TRUTH_FILE)) ? [TRUTH_FILE] : [])])].sort();
}

/** Counts bytes for the caller and stops where he asks for it. */
function counter({ signal, heard }: ImportSettings, allBytes: number): (bytes: number) => void {
  let doneBytes = 0;
  return (bytes) => {
    signal?.throwIfAborted();
    doneBytes += bytes;
    heard?.(doneBytes, allBytes);
  };
}

/** The same batches, until the signal has come: then its reason is thrown. */
export async function* stoppable(batches: AsyncIterable<readonly Message[]>, signal: AbortSignal | undefined): AsyncGenerator<readonly Message[]> {
  for await (const batch of batches) {
    signal?.throwIfAborted();
    yield batch;
  }
}

/** InputError where the folder is not a run, changes while it is read, or the disk is full; then nothing is kept. */
export async function importRun(store: Store, settings: ImportSettings): Promise<Imported> {
  const { folder, newId, signal } = settings;
  signal?.throwIfAborted();
  const opened = await openRunFolder(folder);
  const names = namesToKeep(opened);
  const heard = counter(settings, 2 * opened.files.reduce((total, file) => total + file.size, 0));
  const found: KeptFile[] = [];
  for (const name of names) found.push(await digestFile(join(folder, name), { name, heard }));
  const content = contentSha256(found);
  const known = findRunByContent(store.db, content);
  if (known !== null) return { runId: known, isNew: false };
  let staging: string | null = null;
  try {
    staging = openStaging(store.raw, newId());
    const kept = await stageAll(staging, folder, names, heard);
    if (contentSha256(kept) !== content) throw new InputError("source.changed", "a folder that stays as it is while it is read", "one that changed", { file: folder });
    const imported = await measureAndWrite(store, { ...settings, staging, kept, content });
    closeStaging(store.raw, staging);
    return imported;
  } catch (error) {
    if (staging !== null) abandonStaging(store.db, store.raw, staging);
    throw isDiskFull(error) ? new InputError("source.diskFull", "room on the disk of the data folder", "a full disk: nothing was kept", { file: folder }, error) : error;
  }
}

async function stageAll(staging: string, folder: string, names: readonly string[], heard: (bytes: number) => void): Promise<KeptFile[]> {
  const kept: KeptFile[] = [];
  for (const name of names) kept.push(await writeFileFrom(staging, { name, chunks: createReadStream(join(folder, name)), mode: KEPT_MODE, heard }));
  return kept;
}

interface Staged extends ImportSettings { readonly staging: string; readonly kept: readonly KeptFile[]; readonly content: string }

async function measureAndWrite(store: Store, { staging, kept, content, demo, actor, newId, nowIso, inspect, signal }: Staged): Promise<Imported> {
  const opened = await openRunFolder(staging);
  const keeper = new RunKeeper();
  const result = await inspect({ ...opened, output: keeper, messages: () => stoppable(opened.messages(), signal) });
  const resultFile = await writeFileFrom(staging, { name: RECORD_FILES.result, chunks: oneChunk(resultText(result)), mode: KEPT_MODE, heard: () => signal?.throwIfAborted() });
  const jobText = await readFile(join(staging, "job.json"), "utf8");
  signal?.throwIfAborted();
  return writeWithRecord(store, { opened, jobText, result, keeper, kept, resultFile, content, staging, demo, actor, rehearsal: opened.job.rehearsal || kept.some(({ name }) => name === TRUTH_FILE), newId, at: nowIso() });
}

/** A text as something that is written from chunks. */
export async function* oneChunk(text: string): AsyncGenerator<Uint8Array> {
  yield Buffer.from(text);
}
