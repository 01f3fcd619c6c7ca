/**
 * Gives up the raw data of a run that is over: profiles, poses, signals, pictures. Its log, its plan and job and its results stay for ever. Only after the
 * run was exported: whoever drops names the folder of that export, and the server verifies it then and there, byte for byte and by its own key, before
 * anything goes. So nobody has to believe that somebody once looked.
 */
import { existsSync, realpathSync } from "node:fs";
import { isAbsolute, join, relative, sep } from "node:path";
import { z } from "zod";
import { InputError } from "../base/errors.ts";
import { droppedBy, fileOf, readEntryLine } from "../log/readEntry.ts";
import { entryLine } from "../log/entries.ts";
import { verifyRecord, type WholeRecord } from "../log/verifyRecord.ts";
import { isNews, isSensorData, RECORD_FILES, type KeptFile, type LogEntry } from "../model/log.ts";
import { DROP_REASONS } from "../model/reason.ts";
import { openRecordFolder } from "../source/recordFolder.ts";
import { appendEntries, readEntries, readSeals, sealLog } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { abandonStaging, openStaging } from "../store/rawFiles.ts";
import { PICKED, readJson } from "./personInput.ts";
import { reasonText } from "./personText.ts";
import { isOpenRun, refuseNoRecord, requireRun } from "./record.ts";
import { recordAside } from "./recordAside.ts";
import { dataFolder, newId, nowIso, sharedStore } from "./settings.ts";
import { requireWhole } from "./signatures.ts";

const asked = z.object({ folder: z.string().min(1).max(4096), ...PICKED });
/** InputError upload.badRequest, source.tooLarge. */
export const readDrop = (request: Request): Promise<z.output<typeof asked>> => readJson(request, asked);

/** Raw data of the run that is kept here still, as the log names it. */
export function droppableIn(entries: Iterable<LogEntry>): KeptFile[] {
  const files = new Map<string, KeptFile>(), dropped = new Set<string>();
  for (const entry of entries) {
    const read = readEntryLine(entryLine(entry)), file = read === null ? null : fileOf(read);
    if (file !== null && isSensorData(file.name)) files.set(file.sha256, file);
    for (const hash of read === null ? [] : droppedBy(read)) dropped.add(hash);
  }
  return [...files.values()].filter(({ sha256 }) => !dropped.has(sha256));
}

/** What of a run could be given up, and what has been; for its page. */
export function dropState(runId: string, { db }: Pick<Store, "db"> = sharedStore()): { readonly fileCount: number; readonly bytes: number } {
  const files = droppableIn(readEntries(db, runId));
  return { fileCount: files.length, bytes: files.reduce((sum, { size }) => sum + size, 0) };
}

function refuse(expected: string, got: string, cause?: unknown): never {
  throw new InputError("drop.notExported", expected, got, { key: "folder" }, cause);
}

/** A folder of the data folder itself is no copy. */
function requireElsewhere(folder: string): void {
  const under = relative(realpathSync(dataFolder()), realpathSync(folder));
  if (under === "" || (under !== ".." && !under.startsWith(`..${sep}`) && !isAbsolute(under))) refuse("an export that lies outside the data folder", "one inside it");
}

/** The export in the folder, verified now by the key of this server's last seal of the run, with nothing new in the log since. InputError drop.notExported, source.*. */
async function requireExport(store: Store, runId: string, folder: string): Promise<WholeRecord> {
  const { db } = store, pem = readSeals(db, runId).at(-1)?.publicKeyPem ?? refuseNoRecord();
  if (!isAbsolute(folder) || !existsSync(join(folder, RECORD_FILES.log))) refuse("the whole path of a folder that export made, on the machine of this server", JSON.stringify(folder));
  requireElsewhere(folder);
  const verified = await verifyRecord(await openRecordFolder(folder), { pem, file: "the last seal's key" }, () => undefined);
  if (verified.fault !== null) return refuse("an export that is whole", `one that is not: ${verified.fault.words}`);
  if (verified.runId !== runId) refuse("an export of this run", `one of the run ${verified.runId}`);
  const entries = [...readEntries(db, runId)];
  if (entries[verified.count - 1]?.hash !== verified.head) refuse("an export of this run as it is kept here", "one of another log");
  const news = entries.slice(verified.count).filter(isNews).length;
  if (news > 0) refuse("an export since the last change of the run", `one from before ${news} more ${news === 1 ? "entry" : "entries"}: export it again`);
  return verified;
}

export interface Dropping {
  /** Of the export, on this machine. */
  readonly folder: string;
  /** Why, as it will stand in the log. */
  readonly reason: string;
  readonly actor: string;
}
/** What the run gave up. */
export interface Dropped { readonly fileCount: number; readonly bytes: number }

/** A picked reason as text. InputError log.badValue. */
export const dropReason = (picked: z.output<typeof asked>): string => reasonText(DROP_REASONS, picked);

/**
 * Drops what can be dropped: the entry first, sealed, then the bytes; what another run is made of stays for that one. A process that ends in between
 * leaves a staging folder, by which the next start takes up the rest. InputError store.noRun, sign.notOver, sign.notWhole, drop.notExported.
 */
export async function dropRaw(runId: string, { folder, reason, actor }: Dropping, store: Store = sharedStore()): Promise<Dropped> {
  const { db, raw, signingKey } = store;
  requireRun(store, runId);
  if (isOpenRun(runId, store)) throw new InputError("sign.notOver", "a run that is over", "one that is not", {});
  requireWhole(await recordAside(runId));
  const { head } = await requireExport(store, runId, folder), staging = openStaging(raw, newId());
  try {
    return db.transaction((): Dropped => {
      const entries = [...readEntries(db, runId)], files = droppableIn(entries), at = nowIso();
      if (entries.slice(entries.findIndex(({ hash }) => hash === head) + 1).some(isNews)) refuse("an export since the last change of the run", "one from before an entry that came just now");
      if (files.length === 0) refuse("a run with raw data that is kept here", "one without");
      appendEntries(db, runId, [{ actor, at, kind: "raw.dropped", payload: { sha256: files.map(({ sha256 }) => sha256), reason, exportHead: head } }]);
      sealLog(db, runId, { key: signingKey, at });
      const forget = db.prepare(`DELETE FROM "RawFile" WHERE runId = ? AND sha256 = ?`);
      for (const { sha256 } of files) forget.run(runId, sha256);
      return { fileCount: files.length, bytes: files.reduce((sum, { size }) => sum + size, 0) };
    }).immediate();
  } finally {
    abandonStaging(db, raw, staging); // sweeps up what no run names any more
  }
}
