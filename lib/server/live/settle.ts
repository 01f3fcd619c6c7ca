/** What becomes of a live run's data: the run folder that they are, measured as any recorded folder is. One way for the result so far and for the end. */
import { existsSync, rmSync } from "node:fs";
import { mkdir, readdir, rm, stat } from "node:fs/promises";
import { join, relative, sep } from "node:path";
import { InputError } from "../../base/errors.ts";
import { portableText } from "../../log/portable.ts";
import { PROGRAM_ACTOR, RECORD_FILES, type KeptFile } from "../../model/log.ts";
import { resultText } from "../../report/resultText.ts";
import { inspectRun } from "../../run/inspectRun.ts";
import { RunKeeper } from "../../run/keepRun.ts";
import { writeJournalFolder } from "../../source/journalFolder.ts";
import { openRunFolder } from "../../source/openRunFolder.ts";
import { appendEntries, sealLog } from "../../store/logTable.ts";
import type { Store } from "../../store/openStore.ts";
import { KEPT_MODE, keepStaged, settleFile, writeFileFrom } from "../../store/rawFiles.ts";
import { readRunHead } from "../../store/readRuns.ts";
import { rowsDigest } from "../../store/rowsDigest.ts";
import { findRunByContent, readyResult } from "../../store/writeRun.ts";
import { sheetHead } from "../reportBody.ts";
import { contentSha256, readyBeside, type Made } from "../writeWithRecord.ts";
import { livePaths, readHead, type LiveHead, type LivePaths } from "./liveFolder.ts";

export interface Settling {
  readonly dataFolder: string;
  readonly runId: string;
}

function requireHead(paths: LivePaths, runId: string): LiveHead {
  const head = readHead(paths);
  if (head === null) throw new InputError("store.noRun", "the id of a run that came over the wire", JSON.stringify(runId), {});
  return head;
}

/** The run folder of what is kept up to byte `end` of the journal, in an empty folder of its own. */
async function makeFolder(paths: LivePaths, head: LiveHead, out: string, end: number): Promise<void> {
  await rm(out, { recursive: true, force: true });
  await mkdir(out, { recursive: true });
  await writeJournalFolder({ journal: paths.journal, framesRoot: paths.folder, end, ...head, out });
}

/** result.json of what has been received up to byte `end` of the journal. InputError where it cannot be measured (yet). */
export async function resultSoFar({ dataFolder, runId }: Settling, end: number): Promise<string> {
  const paths = livePaths(dataFolder, runId), out = join(paths.folder, "so-far");
  try {
    await makeFolder(paths, requireHead(paths, runId), out, end);
    return resultText(await inspectRun(await openRunFolder(out)));
  } finally {
    rmSync(out, { recursive: true, force: true });
  }
}

interface Ending extends Settling { readonly newId: () => string; readonly nowIso: () => string }

/**
 * Ends a run whose end was asked for and that takes no more data: its folder, its result, its rows and the end of its log, in one
 * transaction. May be called again after it was cut off anywhere. What cannot be measured is kept all the same, and the log says why.
 */
export async function settleEnd(store: Store, { dataFolder, runId, newId, nowIso }: Ending): Promise<void> {
  const { db } = store, paths = livePaths(dataFolder, runId), staging = join(paths.folder, "ending");
  const endAsked = db.prepare(`SELECT endAsked FROM "Run" WHERE id = ?`).pluck().get(runId) as "finished" | "aborted" | null;
  if (endAsked !== null) {
    await makeFolder(paths, requireHead(paths, runId), staging, (await stat(paths.journal)).size);
    const kept: KeptFile[] = [];
    for (const name of await filesOf(staging)) kept.push(await settleFile(staging, name));
    const made = await measure(staging, kept), end = { runId, endAsked, staging, kept, resultId: newId(), at: nowIso() };
    const resultFile = "code" in made ? null
      : await writeFileFrom(staging, { name: RECORD_FILES.result, chunks: oneChunk(made.text), mode: KEPT_MODE, heard: () => undefined });
    try {
      writeEnd(store, { ...end, made, resultFile });
    } catch (error) {
      if ("code" in made) throw error;
      writeEnd(store, { ...end, made: failureOf(error), resultFile: null });
    }
  }
  for (const over of [paths.journal, join(paths.folder, "frames"), staging]) if (existsSync(over)) rmSync(over, { recursive: true, force: true });
}

async function filesOf(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true });
  return entries.filter((entry) => entry.isFile()).map((entry) => relative(folder, join(entry.parentPath, entry.name)).split(sep).join("/")).sort();
}

/** Why there is no result. */
interface Failure { readonly code: string; readonly message: string }

/** What was wrong with the input, or with this program; what is wrong with the disk is thrown on: the end is tried again. */
function failureOf(error: unknown): Failure {
  if (error instanceof InputError) return { code: error.code, message: portableText(error.message) };
  if (!isFaultOfProgram(error)) throw error;
  console.error("what was received cannot be measured:", error);
  return { code: "bug", message: portableText(error instanceof Error ? error.message : String(error)) };
}

/** Errors of the file system and the database carry a code; a broken constraint of a table is a fault of this program all the same. */
function isFaultOfProgram(error: unknown): boolean {
  return !(error instanceof Error && "code" in error && /^(E(?!RR_)|SQLITE_(?!CONSTRAINT))/.test(String(error.code)));
}

/** With the text of result.json. */
interface Measured extends Made { readonly text: string }

async function measure(folder: string, kept: readonly KeptFile[]): Promise<Measured | Failure> {
  try {
    const opened = await openRunFolder(folder), keeper = new RunKeeper(), result = await inspectRun({ ...opened, output: keeper });
    return { opened, keeper, result, kept, text: resultText(result) };
  } catch (error) {
    return failureOf(error);
  }
}

async function* oneChunk(text: string): AsyncGenerator<Uint8Array> {
  yield Buffer.from(text);
}

interface End {
  readonly runId: string;
  readonly endAsked: "finished" | "aborted";
  readonly staging: string;
  readonly kept: readonly KeptFile[];
  readonly made: Made | Failure;
  readonly resultFile: KeptFile | null;
  readonly resultId: string;
  readonly at: string;
}

function writeEnd({ db, raw, signingKey }: Store, { runId, endAsked, staging, kept, made, resultFile, resultId, at }: End): void {
  const writeResult = "code" in made ? null : readyResult({ run: { id: runId }, resultId, computedAt: at, acceptance: made.opened.job.acceptance, result: made.result });
  const writeBeside = "code" in made ? null : readyBeside(resultId, sheetHead(readRunHead(db, runId)), made);
  const entry = { actor: PROGRAM_ACTOR, at } as const;
  db.transaction(() => {
    const content = contentSha256(kept); // the same bytes may have come before, in another run
    if (findRunByContent(db, content) === null) db.prepare(`UPDATE "Run" SET contentSha256 = ? WHERE id = ?`).run(content, runId);
    db.prepare(`UPDATE "Run" SET state = endAsked, endAsked = NULL WHERE id = ?`).run(runId);
    writeResult?.(db);
    writeBeside?.(db);
    keepStaged(db, raw, { runId, staging, files: resultFile === null ? kept : [...kept, resultFile] });
    appendEntries(db, runId, [
      ...kept.map((file) => ({ ...entry, kind: "raw.kept" as const, payload: file })),
      "code" in made || resultFile === null
        ? { ...entry, kind: "result.failed", payload: "code" in made ? made : { code: "", message: "" } }
        : { ...entry, kind: "result.computed", payload: { ...resultFile, resultId, rowsSha256: rowsDigest(db, runId, resultId) } },
      { ...entry, kind: endAsked === "finished" ? "run.finished" : "run.aborted", payload: {} },
    ]);
    sealLog(db, runId, { key: signingKey, at });
  }).immediate();
}
