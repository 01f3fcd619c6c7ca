/** A zip of stored files, streamed, with what each of them was: sizes and hashes are known once it is written. */
import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { open } from "node:fs/promises";
import { Readable } from "node:stream";
import { ZipFile } from "yazl";
import type { KeptFile } from "../model/log.ts";

/** A file to be put in: its first `size` bytes, which it keeps even where it grows meanwhile. */
export interface ZipPart { readonly name: string; readonly path: string; readonly size: number }

export interface ZipWriting {
  /** Of the new zip; nothing may be there. */
  readonly path: string;
  readonly mode: number;
  readonly parts: readonly ZipPart[];
  /** A last file made of what all the others were. */
  readonly last: { readonly name: string; readonly make: (files: readonly KeptFile[]) => string };
  readonly mtime: Date;
  /** Told of each chunk's bytes. */
  readonly heard: (bytes: number) => void;
}

async function* hashed({ name, path, size }: ZipPart, files: KeptFile[], heard: ZipWriting["heard"]): AsyncGenerator<Uint8Array> {
  const hash = createHash("sha256");
  if (size > 0) {
    for await (const chunk of createReadStream(path, { end: size - 1 }) as AsyncIterable<Buffer>) {
      hash.update(chunk);
      heard(chunk.length);
      yield chunk;
    }
  }
  files.push({ name, sha256: hash.digest("hex"), size });
}

async function* oneText(make: () => string): AsyncGenerator<Uint8Array> {
  yield Buffer.from(make());
}

/** On the disk when it returns. Rejects with what reading or writing throws; what was written so far then stays for the caller to remove. */
export async function writeZip({ path, mode, parts, last, mtime, heard }: ZipWriting): Promise<void> {
  const zip = new ZipFile(), files: KeptFile[] = [];
  const failed = new Promise<never>((_, fail) => { zip.on("error", fail); });
  failed.catch(() => undefined); // it is raced below
  for (const part of parts) zip.addReadStreamLazy(part.name, { compress: false, mtime, mode: 0o100644, size: part.size }, (give) => give(null, Readable.from(hashed(part, files, heard))));
  zip.addReadStreamLazy(last.name, { compress: false, mtime, mode: 0o100644 }, (give) => give(null, Readable.from(oneText(() => last.make(files)))));
  zip.end();
  const handle = await open(path, "wx", mode);
  try {
    const writing = (async () => { for await (const chunk of zip.outputStream as AsyncIterable<Buffer>) await handle.writeFile(chunk); })();
    writing.catch(() => undefined);
    await Promise.race([writing, failed]);
    await handle.sync();
  } finally {
    (zip.outputStream as Readable).destroy();
    await handle.close();
  }
}
