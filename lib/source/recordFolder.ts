/** An exported record as it lies on disk. */
import { createReadStream } from "node:fs";
import { readdir } from "node:fs/promises";
import { join, relative, sep } from "node:path";
import { InputError } from "../base/errors.ts";
import { realFolder } from "./paths.ts";

export interface RecordFolder {
  /** Every file, link and the like below the folder, paths with slashes, sorted. */
  readonly names: readonly string[];
  /** InputError `source.unreadable` where the file cannot be read. */
  readonly read: (name: string) => AsyncGenerator<Uint8Array>;
}

/** InputError `source.noFolder`, `source.unreadable`. */
export async function openRecordFolder(folder: string): Promise<RecordFolder> {
  const root = await realFolder(folder);
  const entries = await readdir(root, { recursive: true, withFileTypes: true }).catch((cause: unknown) => unreadable(folder, cause));
  const names = entries.filter((entry) => !entry.isDirectory()).map((entry) => relative(root, join(entry.parentPath, entry.name)).split(sep).join("/")).sort();
  return { names, read: (name) => readChunks(join(root, name), name) };
}

async function* readChunks(path: string, name: string): AsyncGenerator<Uint8Array> {
  try {
    for await (const chunk of createReadStream(path) as AsyncIterable<Buffer>) yield chunk;
  } catch (cause) {
    unreadable(name, cause);
  }
}

function unreadable(file: string, cause: unknown): never {
  const code = cause instanceof Error && "code" in cause ? String(cause.code) : String(cause);
  throw new InputError("source.unreadable", `the file ${file}`, code, { file }, cause);
}
