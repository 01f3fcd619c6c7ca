/** Scans of finished runs once their material had set: measured, compared with what lay there wet, and kept beside the run's own result, which they never change. All or nothing. */
import { mkdirSync, readFileSync, renameSync } from "node:fs";
import { dirname, extname, join } from "node:path";
import { InputError } from "../base/errors.ts";
import { sizeWords } from "../base/sizeWords.ts";
import { RECORD_FOLDERS, type KeptFile, type LogEntry } from "../model/log.ts";
import type { Message } from "../model/messages.ts";
import { NOTE_MAX_CHARS } from "../model/reason.ts";
import { SCAN_FILE, SCAN_MOST_BYTES, type KeptScan, type ScanComparison, type ScanLine } from "../model/scan.ts";
import { scanLine } from "../report/scanSection.ts";
import { settledScan } from "../run/settledScan.ts";
import { openRunFolder } from "../source/openRunFolder.ts";
import { openScanFile } from "../source/scanFile.ts";
import { diskProblem } from "../source/stage.ts";
import { appendEntries, readEntriesOf, sealLog } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { abandonStaging, closeStaging, isStagedNow, keepStaged, KEPT_MODE, openStaging, rawPath, rawSize, writeFileFrom } from "../store/rawFiles.ts";
import { readSurfaceStations } from "../store/surfaceRows.ts";
import { layOutKept, requireRunFiles } from "./keptFolder.ts";
import { badValue, cleanText } from "./personText.ts";
import { isOpenRun, requireRun } from "./record.ts";
import { sharedStore } from "./settings.ts";

export interface AddingScan {
  readonly runId: string;
  /** What the file is called; it ends in .ndjson or .arrow. */
  readonly fileName: string;
  readonly chunks: AsyncIterable<Uint8Array>;
  /** ISO 8601, when the material had set; null: now. */
  readonly setAt: string | null;
  /** "": none. */
  readonly note: string;
  /** Who stands in the log. */
  readonly actor: string;
  readonly nowIso: () => string;
  /** Ends it half-way: nothing is kept, and its reason is thrown. */
  readonly signal?: AbortSignal;
  /** Told of the messages measured so far. */
  readonly heard?: (messageCount: number) => void;
  /** Between the batches of a recording: lets others be served. */
  readonly breaths?: (batches: AsyncIterable<readonly Message[]>) => AsyncIterable<readonly Message[]>;
}

/** What is known before anything is read. */
interface Ready { readonly files: readonly KeptFile[]; readonly resultId: string; readonly setAt: string; readonly note: string }

const COMPARISON_FILE = "comparison.json";
/** Where its files lie in the staging folder until its number is known. */
const UNNUMBERED = "scan";

/** InputError store.noRun, wire.state (the run is not over, or has no result), log.noRecord, store.damaged, log.badValue, upload.badRequest (another kind of file), upload.busy. */
function readyScan(store: Store, { runId, fileName, setAt, note, nowIso }: AddingScan): Ready {
  requireRun(store, runId);
  if (isOpenRun(runId, store)) throw new InputError("wire.state", "a run that is over", "one that is not", {});
  const resultId = store.db.prepare<[string], string>(`SELECT id FROM "Result" WHERE runId = ? AND computedBy IS NULL`).pluck().get(runId);
  if (resultId === undefined) throw new InputError("wire.state", "a run with a result of its own", "one that could not be measured", {});
  if (!SCAN_FILE.test(fileName)) throw new InputError("upload.badRequest", "a file of profiles, .ndjson or .arrow", JSON.stringify(fileName.slice(0, 60)), { key: "name" });
  if (isStagedNow(store.raw, stagingId(runId))) throw new InputError("upload.busy", "a run to which no other scan is just being added", "one to which one is", {});
  return { files: requireRunFiles(store, runId), resultId, setAt: momentOf(setAt, nowIso()), note: cleanText(note, { key: "note", least: 0, most: NOTE_MAX_CHARS }) };
}

const stagingId = (runId: string): string => `scan-${runId}`;

/** The moment in UTC; it may not lie ahead. */
function momentOf(given: string | null, now: string): string {
  if (given === null) return now;
  const ms = Date.parse(given);
  if (!/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}/.test(given) || Number.isNaN(ms)) return badValue("setAt", "a time as ISO 8601, like 2026-02-03T09:12:00Z", JSON.stringify(given.slice(0, 60)));
  return ms > Date.parse(now) ? badValue("setAt", `a time up to now, ${now}`, new Date(ms).toISOString()) : new Date(ms).toISOString();
}

/** Adds a scan. InputErrors of `readyScan`, of the file's readers (source/scanFile.ts), source.tooLarge, source.diskFull; the signal's reason. Then nothing is kept. */
export async function addScan(store: Store, adding: AddingScan): Promise<KeptScan> {
  adding.signal?.throwIfAborted();
  const ready = readyScan(store, adding), staging = openStaging(store.raw, stagingId(adding.runId));
  try {
    const profiles = await stageProfiles(staging, adding);
    const comparison = await compare(store, { ...adding, ...ready, staging, profiles });
    const text = `${JSON.stringify(comparison, null, 1)}\n`;
    const comparisonFile = await writeFileFrom(staging, { name: `${UNNUMBERED}/${COMPARISON_FILE}`, chunks: oneChunk(text), mode: KEPT_MODE, heard: () => adding.signal?.throwIfAborted() });
    const n = writeScan(store, { ...adding, ...ready, staging, files: [profiles, comparisonFile] });
    closeStaging(store.raw, staging);
    return requireScan(store, adding.runId, n);
  } catch (error) {
    abandonStaging(store.db, store.raw, staging);
    throw diskProblem(error) ?? error;
  }
}

function stageProfiles(staging: string, { fileName, chunks, signal }: AddingScan): Promise<KeptFile> {
  let size = 0;
  const heard = (bytes: number): void => {
    signal?.throwIfAborted();
    if ((size += bytes) > SCAN_MOST_BYTES) throw new InputError("source.tooLarge", `a scan of at most ${sizeWords(SCAN_MOST_BYTES)}`, "more", { file: fileName });
  };
  return writeFileFrom(staging, { name: `${UNNUMBERED}/profiles${extname(fileName)}`, chunks, mode: KEPT_MODE, heard });
}

interface Comparing extends AddingScan, Omit<Ready, "setAt"> { readonly staging: string; readonly profiles: KeptFile }

async function compare(store: Store, { files, resultId, staging, profiles, fileName, signal, heard, breaths = (batches) => batches }: Comparing): Promise<ScanComparison> {
  const folder = join(staging, "run");
  await layOutKept(store, files, folder, () => signal?.throwIfAborted());
  const run = await openRunFolder(folder), scan = await openScanFile(join(staging, profiles.name), fileName, run.job);
  const laid = new Map<string, readonly boolean[]>();
  const laidOf = (layer: number, strand: number): readonly boolean[] => {
    const key = `${layer}/${strand}`, known = laid.get(key) ?? readSurfaceStations(store.db, { resultId, layer, strand }).map((at) => at.laid);
    laid.set(key, known);
    return known;
  };
  const stoppable = async function* (batches: AsyncIterable<readonly Message[]>): AsyncGenerator<readonly Message[]> {
    for await (const batch of breaths(batches)) {
      signal?.throwIfAborted();
      yield batch;
    }
  };
  return settledScan(
    { plan: run.plan, job: run.job, hasProgress: run.files.some(({ path }) => path === "progress.csv"), run: () => stoppable(run.messages()), scan: () => stoppable(scan.messages()), ...(heard === undefined ? {} : { heard }) },
    { device: scan.device, isLaid: ({ layer, strand }, station) => laidOf(layer, strand)[station] === true },
  );
}

interface Writing extends Omit<AddingScan, "setAt">, Ready { readonly staging: string; readonly files: readonly KeptFile[] }

/** Files, rows and log entries in one transaction; its number. */
function writeScan({ db, raw, signingKey }: Store, { runId, staging, files, setAt, note, actor, nowIso }: Writing): number {
  const write = db.transaction((): number => {
    const n = readEntriesOf(db, runId, "scan.added").length + 1, folder = `${RECORD_FOLDERS.scans}/${n}`, at = nowIso();
    mkdirSync(dirname(join(staging, folder)), { recursive: true });
    renameSync(join(staging, UNNUMBERED), join(staging, folder));
    const named = files.map((file): KeptFile => ({ ...file, name: file.name.replace(UNNUMBERED, folder) }));
    keepStaged(db, raw, { runId, staging, files: named });
    appendEntries(db, runId, [
      ...named.map((payload) => ({ actor, at, kind: "raw.kept", payload }) as const), { actor, at, kind: "scan.added", payload: { n, setAt, note } },
    ]);
    sealLog(db, runId, { key: signingKey, at });
    return n;
  });
  return write.immediate();
}

async function* oneChunk(text: string): AsyncGenerator<Uint8Array> {
  yield Buffer.from(text);
}

function requireScan(store: Store, runId: string, n: number): KeptScan {
  const found = scansOf(runId, store).find((scan) => scan.n === n);
  if (found === undefined) throw new TypeError(`scan ${n} of run ${runId} was just kept`);
  return found;
}

/** Every scan of a run in the order in which they came; one whose comparison is not kept any more has none. */
export function scansOf(runId: string, store: Store = sharedStore()): KeptScan[] {
  return readEntriesOf(store.db, runId, "scan.added").map(({ at, actor, payload: { n, setAt, note } }: LogEntry<"scan.added">): KeptScan => ({
    n, setAt, note, addedAt: at, addedBy: actor, comparison: readComparison(store, runId, n),
  }));
}

/** The same as the run's page lists them. */
export function readScanLines(runId: string): ScanLine[] {
  return scansOf(runId).map(scanLine);
}

function readComparison({ db, raw }: Store, runId: string, n: number): ScanComparison | null {
  const name = `${RECORD_FOLDERS.scans}/${n}/${COMPARISON_FILE}`, sha256 = db.prepare<[string, string], string>(`SELECT sha256 FROM "RawFile" WHERE runId = ? AND name = ?`).pluck().get(runId, name);
  return sha256 === undefined || rawSize(raw, sha256) === null ? null : JSON.parse(readFileSync(rawPath(raw, sha256), "utf8")) as ScanComparison;
}
