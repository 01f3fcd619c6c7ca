/** One run on its way in from a page: what is known of it, and the small things done to it. */
import { statfs } from "node:fs/promises";
import type { Readable } from "node:stream";
import { InputError } from "../base/errors.ts";
import { sizeWords } from "../base/sizeWords.ts";
import type { ImportOffer, ImportState, ImportStep } from "../model/importState.ts";
import { isDiskFull, type Staged } from "../source/stage.ts";
import type { Imported } from "./importRun.ts";
import { problemOf } from "./problem.ts";

export interface Upload {
  readonly id: string;
  readonly offer: ImportOffer;
  /** Who brings it in. */
  readonly actor: string;
  /** Its staging folder, with run/ and, of a zip, archive/ inside. */
  readonly folder: string;
  readonly controller: AbortController;
  readonly received: Staged;
  readonly unpacked: Staged;
  readonly silence: NodeJS.Timeout;
  step: ImportStep;
  readFraction: number;
  profileCount: number;
  measuredUntilS: number | null;
  problem: ImportState["problem"];
  imported: Imported | null;
  /** The file that is being written. */
  writing: Promise<void> | null;
  /** From `finish` to its end. */
  work: Promise<void>;
  /** Removal of its staging folder, once it is over. */
  removal: Promise<void> | null;
}

export function stateOf({ id, offer, step, received, unpacked, readFraction, profileCount, measuredUntilS, problem, imported }: Upload): ImportState {
  return {
    importId: id, offer, step, receivedFileCount: received.fileCount, receivedByteCount: received.byteCount, unpackedFileCount: unpacked.fileCount,
    unpackedByteCount: unpacked.byteCount, readFraction, profileCount, measuredUntilS, problem, runId: imported?.runId ?? null, isNew: imported?.isNew ?? null,
  };
}

/** source.diskFull where so many bytes cannot find room: told before they are sent. */
export async function refuseFullDisk(folder: string, byteCount: number): Promise<void> {
  const { bavail, bsize } = await statfs(folder);
  if (byteCount > bavail * bsize) throw new InputError("source.diskFull", `${sizeWords(byteCount)} of room on the disk of the data folder`, sizeWords(bavail * bsize), {});
}

/** What went wrong, as it travels; a path inside the staging folder means nothing to people, and becomes the name of what they chose. */
export function problemIn({ offer, folder }: Upload, error: unknown): ImportState["problem"] {
  const problem = problemOf(error);
  return problem?.place.file?.startsWith(folder) === true ? { ...problem, place: { ...problem.place, file: offer.name } } : problem;
}

/** A full disk, whoever met it, as InputError source.diskFull; any other error as it is. */
export function fullDiskAsInput(error: unknown): unknown {
  return isDiskFull(error) ? new InputError("source.diskFull", "room on the disk of the data folder", "a full disk", {}, error) : error;
}

/** The body's chunks, each of which shows that the sender lives; upload.incomplete where the connection breaks. */
export async function* chunksOf(body: Readable, file: string, silence: NodeJS.Timeout): AsyncGenerator<Uint8Array> {
  try {
    for await (const chunk of body) {
      silence.refresh();
      yield chunk as Uint8Array;
    }
  } catch (cause) {
    throw new InputError("upload.incomplete", "the whole file", "a connection that broke off", { file }, cause);
  }
}
