/**
 * Measures the kept data of a run again under other bands: a result of its own beside the run's, which it never replaces. What is measured are
 * the kept files; only the job differs, in its tolerance and acceptance. All or nothing.
 */
import { join } from "node:path";
import { InputError } from "../../base/errors.ts";
import { NOTE_MAX_CHARS } from "../../model/reason.ts";
import { RECORD_FILES, RECORD_FOLDERS, type KeptFile } from "../../model/log.ts";
import { withOtherBands } from "../../model/otherBands.ts";
import type { RecomputeAsk } from "../../model/recompute.ts";
import { resultText } from "../../report/resultText.ts";
import { RunKeeper } from "../../run/keepRun.ts";
import { openRunFolder } from "../../source/openRunFolder.ts";
import { diskProblem } from "../../source/stage.ts";
import { appendEntries, sealLog } from "../../store/logTable.ts";
import type { Store } from "../../store/openStore.ts";
import { abandonStaging, closeStaging, isStagedNow, keepStaged, KEPT_MODE, openStaging, writeFileFrom } from "../../store/rawFiles.ts";
import { readRunHead } from "../../store/readRuns.ts";
import { rowsDigest } from "../../store/rowsDigest.ts";
import { readyResult } from "../../store/writeRun.ts";
import { oneChunk, stoppable, type ImportSettings } from "../importRun.ts";
import { layOutKept, requireRunFiles } from "../keptFolder.ts";
import { cleanText } from "../personText.ts";
import { isOpenRun, requireRun } from "../record.ts";
import { sheetHead } from "../reportBody.ts";
import { readyBeside, type Made } from "../writeWithRecord.ts";

const JOB_FILE = "job.json";

export interface Recomputing extends RecomputeAsk, Pick<ImportSettings, "newId" | "nowIso" | "inspect" | "signal" | "heard"> {
  readonly runId: string;
  /** What the bands are called in an error. */
  readonly bandsFile: string;
  /** Who stands in the log. */
  readonly actor: string;
}

/** What a recompute needs of its run. */
export interface ReadyRecompute {
  /** The run's files, the job among them. */
  readonly files: readonly KeptFile[];
  readonly jobText: string;
  readonly reason: string;
}

/** Refuses at once what cannot be: InputError store.noRun, wire.state (the run is not over, or has no result of its own), log.noRecord, store.damaged, log.badValue (the reason), job.*. */
export function readyRecompute(store: Store, { runId, bands, bandsFile, reason }: Pick<Recomputing, "runId" | "bands" | "bandsFile" | "reason">): ReadyRecompute {
  requireRun(store, runId);
  if (isOpenRun(runId, store)) throw new InputError("wire.state", "a run that is over", "one that is not", {});
  if (store.db.prepare(`SELECT 1 FROM "Result" WHERE runId = ? AND computedBy IS NULL`).get(runId) === undefined) throw new InputError("wire.state", "a run with a result of its own", "one that could not be measured", {});
  const files = requireRunFiles(store, runId);
  const own = store.db.prepare<[string], { jobText: string }>(`SELECT jobText FROM "Run" WHERE id = ?`).get(runId)?.jobText ?? "";
  const { rawJob } = withOtherBands(JSON.parse(own.replace(/^\uFEFF/, "")), bands, bandsFile);
  return { files, jobText: `${JSON.stringify(rawJob, null, 2)}\n`, reason: cleanText(reason, { key: "reason", least: 1, most: NOTE_MAX_CHARS }) };
}

/** Returns the new result's id. InputErrors of `readyRecompute`; upload.busy where that run is being measured again already; source.diskFull; the signal's reason. Then nothing is kept. */
export async function recomputeRun(store: Store, settings: Recomputing): Promise<string> {
  const { runId, signal, newId } = settings, { db, raw } = store;
  signal?.throwIfAborted();
  const ready = readyRecompute(store, settings), id = `recompute-${runId}`;
  if (isStagedNow(raw, id)) refuseBusy();
  const staging = openStaging(raw, id);
  try {
    const made = await measureAgain(store, { ...settings, ...ready, folder: join(staging, "run") });
    const resultId = newId(), folder = `${RECORD_FOLDERS.results}/${resultId}`;
    const write = (name: string, text: string): Promise<KeptFile> => writeFileFrom(staging, { name: `${folder}/${name}`, chunks: oneChunk(text), mode: KEPT_MODE, heard: () => signal?.throwIfAborted() });
    writeRecomputed(store, { ...settings, ...ready, made, resultId, staging, jobFile: await write(JOB_FILE, ready.jobText), resultFile: await write(RECORD_FILES.result, resultText(made.result)) });
    closeStaging(raw, staging);
    return resultId;
  } catch (error) {
    abandonStaging(db, raw, staging);
    throw diskProblem(error) ?? error;
  }
}

/** One run is measured again once at a time. */
export function refuseBusy(): never {
  throw new InputError("upload.busy", "a run that is not being measured again already", "one that is", {});
}

interface Again extends Recomputing, ReadyRecompute { readonly folder: string }

/** The run folder of the kept files with the other job, measured as any folder is. InputError store.damaged where a kept file is no longer what came in. */
async function measureAgain(store: Store, { files, jobText, folder, inspect, signal, heard }: Again): Promise<Made> {
  const allBytes = files.reduce((total, { size }) => total + size, 0);
  let doneBytes = 0;
  await layOutKept(store, files.filter(({ name }) => name !== JOB_FILE), folder, (bytes) => {
    signal?.throwIfAborted();
    heard?.(doneBytes += bytes, allBytes);
  });
  await writeFileFrom(folder, { name: JOB_FILE, chunks: oneChunk(jobText), mode: KEPT_MODE, heard: () => undefined });
  const opened = await openRunFolder(folder), keeper = new RunKeeper();
  return { opened, keeper, kept: files, result: await inspect({ ...opened, output: keeper, messages: () => stoppable(opened.messages(), signal) }) };
}

interface Written extends Recomputing, ReadyRecompute { readonly made: Made; readonly resultId: string; readonly staging: string; readonly jobFile: KeptFile; readonly resultFile: KeptFile }

function writeRecomputed({ db, raw, signingKey }: Store, { runId, made, resultId, staging, jobFile, resultFile, jobText, reason, actor, nowIso }: Written): void {
  const at = nowIso(), by = { actor, at } as const;
  const writeResult = readyResult({ run: { id: runId }, resultId, computedAt: at, acceptance: made.opened.job.acceptance, result: made.result, recompute: { computedBy: actor, reason, jobText } });
  const writeBeside = readyBeside(resultId, sheetHead(readRunHead(db, runId)), made);
  db.transaction(() => {
    writeResult(db);
    writeBeside(db);
    keepStaged(db, raw, { runId, staging, files: [jobFile, resultFile] });
    appendEntries(db, runId, [
      { ...by, kind: "raw.kept", payload: jobFile },
      { ...by, kind: "result.recomputed", payload: { ...resultFile, resultId, rowsSha256: rowsDigest(db, runId, resultId), reason } },
    ]);
    sealLog(db, runId, { key: signingKey, at });
  }).immediate();
}
