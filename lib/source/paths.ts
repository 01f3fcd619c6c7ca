import { open, readFile, realpath, stat, type FileHandle } from "node:fs/promises";
import { isAbsolute, join, relative, sep } from "node:path";
import { InputError, type InputCode, type Place } from "../base/errors.ts";

/** The folder's real path; source.noFolder where it is not there or is no folder. */
export async function realFolder(folder: string): Promise<string> {
  try {
    if (!(await stat(folder)).isDirectory()) throw new InputError("source.noFolder", "a run folder", "a file", { file: folder });
    return await realpath(folder);
  } catch (cause) {
    if (cause instanceof InputError) throw cause;
    throw ioError(cause, "source.noFolder", "a run folder", { file: folder });
  }
}

/**
 * The real path of `name`, which a file of the folder names at `place`. source.pathLeaves where it leads out of the folder: absolute,
 * by `..`, or through a link; source.noFile where nothing is there.
 */
export async function insideFolder(root: string, name: string, place: Place): Promise<string> {
  const leaves = (path: string): boolean => path === ".." || path.startsWith(`..${sep}`) || isAbsolute(path);
  const refuseLeaving = (): never => { throw new InputError("source.pathLeaves", "a path inside the run folder", JSON.stringify(name), place); };
  if (isAbsolute(name) || name.includes("\0") || leaves(relative(root, join(root, name)))) refuseLeaving();
  let real: string;
  try {
    real = await realpath(join(root, name));
  } catch (cause) {
    throw ioError(cause, "source.noFile", `the file ${name}`, place);
  }
  return leaves(relative(root, real)) ? refuseLeaving() : real;
}

/** A whole text file, its byte-order mark taken off; source.nulByte with its line where it holds a NUL. */
export async function readText(path: string, file: string): Promise<string> {
  let bytes: Buffer;
  try {
    bytes = await readFile(path);
  } catch (cause) {
    throw ioError(cause, "source.noFile", `the file ${file}`, { file });
  }
  refuseNul(bytes, 1, file);
  return bytes.toString("utf8").replace(/^\uFEFF/, "");
}

/** source.nulByte where `bytes`, which begin at `firstLine`, hold a NUL. */
export function refuseNul(bytes: Uint8Array, firstLine: number, file: string): void {
  const at = bytes.indexOf(0);
  if (at < 0) return;
  let line = firstLine;
  for (let i = bytes.indexOf(10); i >= 0 && i < at; i = bytes.indexOf(10, i + 1)) line++;
  throw new InputError("source.nulByte", "a text file without NUL bytes", "a NUL byte", { file, line });
}

/** Opens a file for reading; source.noFile or source.unreadable (a folder, no permission) where it cannot be. */
export async function openFile(path: string, file: string): Promise<FileHandle> {
  let handle: FileHandle;
  try {
    handle = await open(path, "r");
  } catch (cause) {
    throw ioError(cause, "source.noFile", `the file ${file}`, { file });
  }
  if ((await handle.stat()).isFile()) return handle;
  await handle.close();
  throw new InputError("source.unreadable", `the file ${file}`, "something that is no file", { file });
}

/** `code` where nothing is there, source.unreadable for every other refusal of the file system. */
function ioError(cause: unknown, code: InputCode, expected: string, place: Place): Error {
  if (!(cause instanceof Error) || !("code" in cause)) return cause as Error;
  const isAbsent = cause.code === "ENOENT" || cause.code === "ENOTDIR";
  return new InputError(isAbsent ? code : "source.unreadable", expected, isAbsent ? "nothing there" : String(cause.code), place, cause);
}
