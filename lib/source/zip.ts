/** A zip of a run folder, unpacked into a staging folder. Nothing in it is trusted: not its names, not the sizes it states. */
import { open } from "node:fs/promises";
import { crc32 } from "node:zlib";
import { getFileNameLowLevel, openPromise, type Entry, type ZipFile } from "yauzl";
import { InputError, type Place } from "../base/errors.ts";
import { sizeWords } from "../base/sizeWords.ts";
import { isSystemLitter, partsInside, refuseTooLarge, stageFile, type Staged, type StageLimits } from "./stage.ts";

export interface UnpackSettings {
  /** The zip. */
  readonly path: string;
  /** What people call it. */
  readonly file: string;
  /** An empty folder. */
  readonly into: string;
  readonly limits: StageLimits;
  readonly signal: AbortSignal;
  /** Grows with what is unpacked. */
  readonly staged: Staged;
}

/**
 * What inflates to more than so many times the zip's own size is refused as a bomb. Deflate reaches 1032 (RFC 1951); of recordings even one without a
 * single return stays below: profiles of 1 000, 2 000 and 4 000 blanks were measured at 150, 240 and 350 as text, 160, 270 and 430 as Arrow.
 */
const MOST_RATIO = 500;
/** What may always be unpacked, however small the zip, bytes: a short recording of nothing but blanks. */
const RATIO_FREE_BYTES = 32e6;

/** Compression methods of the zip format (APPNOTE 4.4.5) that are read. */
const METHODS: readonly number[] = [0, 8];

/** Kinds of file in the upper half of an entry's attributes, as Unix systems write them (st_mode, POSIX). */
const KIND_MASK = 0xf000;
const KINDS: Readonly<Record<number, string>> = { 0: "file", 0x4000: "folder", 0x8000: "file", 0xa000: "a symbolic link" };

/**
 * Unpacks every file, one after another, streaming. InputError, with the entry as its place: source.notZip, source.zipDamaged (cut off, or not what its
 * checksum says), source.zipEntry (a link, encrypted, a compression that is not read), source.pathLeaves, source.twice, source.tooMany, source.tooLarge
 * (also for a bomb), source.diskFull. Resource forks and the like are left out. What was written before an error stays in `into`.
 */
export async function unpackZip({ path, file, into, limits, signal, staged }: UnpackSettings): Promise<void> {
  const zip = await openZip(path, file);
  try {
    if (zip.entryCount > limits.mostFiles) throw new InputError("source.tooMany", `at most ${limits.mostFiles} entries in a zip`, String(zip.entryCount), { file });
    for await (const entry of entriesOf(zip, file)) {
      signal.throwIfAborted();
      await unpackEntry(zip, entry, { into, limits, signal, staged });
    }
  } finally {
    zip.close();
  }
}

async function unpackEntry(zip: ZipFile, entry: Entry, { into, limits, signal, staged }: Omit<UnpackSettings, "path" | "file">): Promise<void> {
  const name = getFileNameLowLevel(entry.generalPurposeBitFlag, entry.fileNameRaw, entry.extraFields, true);
  const isFolder = name.endsWith("/");
  const place: Place = { file: name };
  const parts = partsInside(isFolder ? name.slice(0, -1) : name, place);
  refuseOddEntry(entry, place);
  if (isFolder || isSystemLitter(parts)) return;
  const stated = staged.byteCount + entry.uncompressedSize;
  refuseTooLarge(entry.uncompressedSize, stated, limits, name);
  refuseBomb(zip, stated, place);
  await stageFile({ root: into, parts, chunks: contentOf(zip, entry, place, staged), staged, limits, signal });
}

/** source.tooLarge where so many bytes in all are more than a zip of this size can honestly hold. */
function refuseBomb(zip: ZipFile, unpackedBytes: number, place: Place): void {
  const mostBytes = Math.max(RATIO_FREE_BYTES, MOST_RATIO * zip.fileSize);
  if (unpackedBytes <= mostBytes) return;
  throw new InputError("source.tooLarge", `a zip of ${sizeWords(zip.fileSize)} that unpacks to at most ${sizeWords(mostBytes)}`, "more", place);
}

function refuseOddEntry(entry: Entry, place: Place): void {
  const refuse = (got: string): never => { throw new InputError("source.zipEntry", "a plain file, stored or deflated", got, place); };
  const mode = entry.externalFileAttributes >>> 16;
  const kind = KINDS[mode & KIND_MASK] ?? "a special file";
  if (kind !== "file" && kind !== "folder") refuse(kind);
  if (entry.isEncrypted()) refuse("an encrypted one");
  if (!METHODS.includes(entry.compressionMethod)) refuse(`compression method ${entry.compressionMethod}`);
}

/** The bytes of an entry, counted as they inflate; source.zipDamaged at their end where length or checksum is not what the zip states. */
async function* contentOf(zip: ZipFile, entry: Entry, place: Place, staged: Staged): AsyncGenerator<Uint8Array> {
  let checksum = 0;
  try {
    const stream = await zip.openReadStreamPromise(entry);
    for await (const chunk of stream) {
      refuseBomb(zip, staged.byteCount + (chunk as Buffer).byteLength, place);
      checksum = crc32(chunk as Buffer, checksum);
      yield chunk as Buffer;
    }
  } catch (cause) {
    throw damaged(cause, place);
  }
  if (checksum !== entry.crc32) throw new InputError("source.zipDamaged", "the content that its checksum says", "another", place);
}

async function* entriesOf(zip: ZipFile, file: string): AsyncGenerator<Entry> {
  try {
    yield* zip.eachEntry();
  } catch (cause) {
    throw damaged(cause, { file });
  }
}

async function openZip(path: string, file: string): Promise<ZipFile> {
  const beginsAsZip = await startsWithPk(path);
  try {
    return await openPromise(path, { lazyEntries: true, autoClose: false, decodeStrings: false });
  } catch (cause) {
    if (!beginsAsZip) throw new InputError("source.notZip", "a zip", "something else", { file }, cause);
    throw damaged(cause, { file });
  }
}

/** Every zip begins with the signature of an entry, or of the end of an empty one (APPNOTE 4.3.7, 4.3.16). */
async function startsWithPk(path: string): Promise<boolean> {
  const handle = await open(path, "r");
  try {
    const { buffer } = await handle.read(Buffer.alloc(2), 0, 2, 0);
    return buffer.toString("latin1") === "PK";
  } finally {
    await handle.close();
  }
}

/** What the reader says of the zip's bytes; an error of the disk under it stays what it is. */
function damaged(cause: unknown, place: Place): unknown {
  if (!(cause instanceof Error) || cause instanceof InputError || "syscall" in cause) return cause;
  return new InputError("source.zipDamaged", "a whole zip", cause.message.replace(/\.$/, ""), place, cause);
}
