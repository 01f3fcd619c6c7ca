/** The files of a run as they are kept, laid out as the run folder that they were: for measuring them again. */
import { copyFileSync, linkSync, mkdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { InputError } from "../base/errors.ts";
import { RECORD_FOLDERS, type KeptFile } from "../model/log.ts";
import { readEntriesOf } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { digestFile, rawPath, rawSize } from "../store/rawFiles.ts";
import { refuseNoRecord } from "./record.ts";

/** The files of the run itself, as the log names them. InputError log.noRecord; store.damaged where one was dropped or is not there. */
export function requireRunFiles({ db, raw }: Store, runId: string): KeptFile[] {
  const folders: readonly string[] = Object.values(RECORD_FOLDERS);
  const kept = readEntriesOf(db, runId, "raw.kept").map(({ payload: { name, sha256, size } }): KeptFile => ({ name, sha256, size }));
  const files = [...new Map(kept.filter(({ name }) => !folders.includes(name.split("/")[0] as string)).map((file) => [file.name, file])).values()];
  if (files.length === 0) refuseNoRecord();
  const dropped = new Set(readEntriesOf(db, runId, "raw.dropped").flatMap(({ payload: { sha256 } }) => sha256));
  if (files.some(({ sha256 }) => dropped.has(sha256))) throw new InputError("store.damaged", "a run whose raw data are kept", "one whose raw data were dropped, so that nothing can be measured again", {});
  const absent = files.find(({ sha256, size }) => rawSize(raw, sha256) !== size);
  if (absent !== undefined) throw new InputError("store.damaged", `the kept file ${absent.name} as it came`, "none there", { file: absent.name });
  return files;
}

/** Lays them out in a folder of their own. InputError store.damaged where one is no longer what came in. */
export async function layOutKept({ raw }: Store, files: readonly KeptFile[], folder: string, heard: (bytes: number) => void): Promise<void> {
  for (const { name, sha256 } of files) {
    const digest = await digestFile(rawPath(raw, sha256), { name, heard });
    if (digest.sha256 !== sha256) throw new InputError("store.damaged", `the kept file ${name} as it came`, "other bytes", { file: name });
    linkOrCopy(rawPath(raw, sha256), join(folder, name));
  }
}

/** Not every file system has links. */
function linkOrCopy(from: string, to: string): void {
  mkdirSync(dirname(to), { recursive: true });
  try {
    linkSync(from, to);
  } catch {
    copyFileSync(from, to);
  }
}
