/** Where a live run's data lie until it is over: DATA/live/RUN_ID with run.json, journal, frames/ and, when it is over, seen.json. */
import { closeSync, existsSync, fsyncSync, mkdirSync, openSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";

/** What a run is made of before any data came. */
export interface LiveHead {
  /** job.json as it will stand in the export. */
  readonly jobText: string;
  readonly planFile: string;
  readonly planText: string;
}

export interface LivePaths { readonly folder: string; readonly head: string; readonly journal: string; readonly seen: string }

export function livePaths(dataFolder: string, runId: string): LivePaths {
  const folder = join(dataFolder, "live", runId);
  return { folder, head: join(folder, "run.json"), journal: join(folder, "journal"), seen: join(folder, "seen.json") };
}

/** A file that is whole or not there, flushed with its folder. */
export function writeDurably(path: string, content: string | Uint8Array): void {
  mkdirSync(dirname(path), { recursive: true });
  const part = `${path}~`; // no name of a frame ends so
  writeFileSync(part, content, { flush: true });
  renameSync(part, path);
  const folder = openSync(dirname(path), "r");
  try {
    fsyncSync(folder);
  } finally {
    closeSync(folder);
  }
}

export function writeHead(paths: LivePaths, head: LiveHead): void {
  writeDurably(paths.head, JSON.stringify(head));
}

/** null: the folder was not finished when its run was made. */
export function readHead(paths: LivePaths): LiveHead | null {
  return existsSync(paths.head) ? JSON.parse(readFileSync(paths.head, "utf8")) as LiveHead : null;
}
