/**
 * Files that come from outside (an upload, a zip), written into a staging folder: names are checked, bytes are counted while they stream.
 * A file that is refused half-way stays in the staging folder, which the caller removes as a whole.
 */
import { mkdir, open, readdir } from "node:fs/promises";
import { dirname, join } from "node:path";
import { InputError, type Place } from "../base/errors.ts";
import { sizeWords } from "../base/sizeWords.ts";

export interface StageLimits {
  readonly mostFiles: number;
  readonly mostBytes: number;
  /** Of one file. */
  readonly mostFileBytes: number;
}

/** Room for two hours of 500 profiles of 1 000 points a second (4 bytes a point), or three minutes of the fastest profilers; common practice, no source. */
export const STAGE_LIMITS: StageLimits = { mostFiles: 20_000, mostBytes: 16e9, mostFileBytes: 8e9 };

/** What lies in a staging folder so far; grows with each chunk. */
export interface Staged {
  fileCount: number;
  byteCount: number;
}

/** Longest name of a file or folder that every usual file system takes, bytes (NAME_MAX of Linux). */
const MOST_NAME_BYTES = 255;
/** Longest path inside a run folder, bytes: far below PATH_MAX (4096 on Linux), with room for the data folder's own. */
const MOST_PATH_BYTES = 1024;

/** What systems leave beside the files of a folder, and which is no part of a run: macOS' resource forks and views, Windows' thumbnails. */
export function isSystemLitter(parts: readonly string[]): boolean {
  return parts[0] === "__MACOSX" || [".DS_Store", "Thumbs.db", "desktop.ini"].includes(parts.at(-1) ?? "");
}

/** The names that lead from the run folder to a file: "frames/004.png" → ["frames", "004.png"]. source.pathLeaves where the path could mean a place outside. */
export function partsInside(path: string, place: Place): readonly string[] {
  const parts = path.split("/").filter((part) => part !== ".");
  // oxlint-disable-next-line no-control-regex -- control characters are what is looked for
  const isOdd = /[\\\u0000-\u001f\u007f]|^[a-z]:/i.test(path);
  const isTooLong = Buffer.byteLength(path) > MOST_PATH_BYTES || parts.some((part) => Buffer.byteLength(part) > MOST_NAME_BYTES);
  if (isOdd || isTooLong || parts.length === 0 || parts.includes("..") || parts.includes("")) {
    throw new InputError("source.pathLeaves", `a path inside the run folder (names parted by "/", at most ${MOST_PATH_BYTES} bytes)`, JSON.stringify(path.slice(0, MOST_NAME_BYTES)), place);
  }
  return parts;
}

export interface StageFile {
  /** The staging folder. */
  readonly root: string;
  /** From `partsInside`. */
  readonly parts: readonly string[];
  readonly chunks: AsyncIterable<Uint8Array>;
  readonly staged: Staged;
  readonly limits: StageLimits;
  readonly signal: AbortSignal;
}

/**
 * Writes one file and counts it. InputError source.tooMany, source.tooLarge, source.twice (that name is there already, as a file or as a folder),
 * source.diskFull; what `chunks` throws; the signal's reason once it is aborted.
 */
export async function stageFile({ root, parts, chunks, staged, limits, signal }: StageFile): Promise<void> {
  const file = parts.join("/");
  if (staged.fileCount >= limits.mostFiles) throw new InputError("source.tooMany", `at most ${limits.mostFiles} files`, "one more", { file });
  staged.fileCount++;
  const path = join(root, ...parts);
  try {
    await mkdir(dirname(path), { recursive: true });
    const handle = await open(path, "wx");
    try {
      let fileBytes = 0;
      for await (const chunk of chunks) {
        signal.throwIfAborted();
        fileBytes += chunk.byteLength;
        staged.byteCount += chunk.byteLength;
        refuseTooLarge(fileBytes, staged.byteCount, limits, file);
        await handle.writeFile(chunk);
      }
      signal.throwIfAborted();
    } finally {
      await handle.close();
    }
  } catch (error) {
    throw stagingError(error, file);
  }
}

/** source.tooLarge where the file or all files together are over their limit. */
export function refuseTooLarge(fileBytes: number, allBytes: number, { mostBytes, mostFileBytes }: StageLimits, file: string): void {
  if (fileBytes > mostFileBytes) throw new InputError("source.tooLarge", `a file of at most ${sizeWords(mostFileBytes)}`, "more", { file });
  if (allBytes > mostBytes) throw new InputError("source.tooLarge", `at most ${sizeWords(mostBytes)} in all files together`, "more", { file });
}

function systemCode(error: unknown): string {
  return error instanceof Error && "code" in error ? String(error.code) : "";
}

/** The file system or the database has no room left, or this user's share of it is used up. */
export function isDiskFull(error: unknown): boolean {
  return ["ENOSPC", "EDQUOT", "SQLITE_FULL"].includes(systemCode(error));
}

/** What the disk has against writing, as an error that says so: source.diskFull, store.readOnly. null: `error` is something else. */
export function diskProblem(error: unknown): InputError | null {
  if (isDiskFull(error)) return new InputError("source.diskFull", "room on the disk of the data folder", "a full disk: nothing of this was kept", {}, error);
  const code = systemCode(error), isMkdir = (error as { readonly syscall?: unknown } | null)?.syscall === "mkdir";
  const isReadOnly = /^(EROFS|EACCES|EPERM|EIO|SQLITE_(READONLY|CANTOPEN|IOERR).*)$/.test(code) || (code === "ENOENT" && isMkdir); // so node's recursive mkdir says it
  return isReadOnly ? new InputError("store.readOnly", "a data folder that can be written", `one that cannot (${code})`, {}, error) : null;
}

function stagingError(error: unknown, file: string): unknown {
  if (isDiskFull(error)) return new InputError("source.diskFull", "room on the disk of the data folder", "a full disk", { file }, error);
  if (["EEXIST", "ENOTDIR", "EISDIR"].includes(systemCode(error))) return new InputError("source.twice", "each name once", "a name that is there already", { file }, error);
  return error;
}

/** The run folder among what was staged: the staging folder itself, or its single top folder. */
export async function runFolderIn(root: string): Promise<string> {
  const entries = await readdir(root, { withFileTypes: true });
  const [only] = entries;
  return only !== undefined && entries.length === 1 && only.isDirectory() ? join(root, only.name) : root;
}
