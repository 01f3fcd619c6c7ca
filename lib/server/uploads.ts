/**
 * Runs on their way in from a page: begin, files one by one, finish; then unpacked, measured and stored, one run after another. All or nothing:
 * whatever ends one early leaves no file and no row behind.
 */
import { mkdir, rm } from "node:fs/promises";
import { join } from "node:path";
import { addAbortSignal, type Readable } from "node:stream";
import { InputError } from "../base/errors.ts";
import { sizeWords } from "../base/sizeWords.ts";
import { isOver, type ImportOffer, type ImportState } from "../model/importState.ts";
import { partsInside, runFolderIn, stageFile, type Staged, type StageLimits } from "../source/stage.ts";
import { unpackZip } from "../source/zip.ts";
import type { Imported } from "./importRun.ts";
import { chunksOf, fullDiskAsInput, problemIn, refuseFullDisk, stateOf, type Upload } from "./upload.ts";

/** What bringing in a staged folder is told, and tells. */
export interface BringInOptions {
  readonly signal: AbortSignal;
  /** Share of reading and copying that is done. */
  readonly heardReading: (fraction: number) => void;
  readonly heardProfiles: (profileCount: number, untilS: number) => void;
}

export interface UploadSettings {
  /** Holds a folder for each upload, and nothing else. */
  readonly stagingFolder: string;
  readonly newId: () => string;
  readonly limits: StageLimits;
  /** A sender that is silent for so long is gone, ms. */
  readonly silenceMs: number;
  /** How long the state of one that is over can still be asked for, ms. */
  readonly keptMs: number;
  /** Measures and stores a run folder; rejects with the signal's reason once that is aborted. */
  readonly bringIn: (folder: string, actor: string, options: BringInOptions) => Promise<Imported>;
  /** Told of a bug that ended an upload. */
  readonly complain: (error: unknown) => void;
}

export interface Uploads {
  /** InputError source.tooMany, source.tooLarge, source.diskFull, upload.busy. */
  readonly begin: (offer: ImportOffer, actor: string) => Promise<ImportState>;
  /** InputError upload.unknown, upload.over (not its turn, which changes nothing); any other ends the upload: upload.incomplete, source.pathLeaves, source.twice, source.tooMany, source.tooLarge, source.diskFull. */
  readonly putFile: (id: string, path: string, body: Readable) => Promise<ImportState>;
  /** Answers at once; the rest is told by `read`. InputError upload.unknown, upload.over, upload.incomplete (which ends it). */
  readonly finish: (id: string) => Promise<ImportState>;
  /** Resolves when nothing of it is left; one that is over stays as it was. InputError upload.unknown. */
  readonly cancel: (id: string) => Promise<ImportState>;
  /** InputError upload.unknown. */
  readonly read: (id: string) => ImportState;
  /** Cancels every one. */
  readonly close: () => Promise<void>;
}

/** Uploads that may be on their way at once; common practice, no source. */
export const MOST_OPEN = 4;
const MOST_NAME_LENGTH = 200;
/** Why a person's cancelling ends what is going on. */
const CANCELLED = new InputError("upload.over", "an import that goes on", "one that was cancelled", {});
/** The one file of a zip's upload. */
const ARCHIVE = "run.zip";

export function makeUploads(settings: UploadSettings): Uploads {
  const uploads = new Map<string, Upload>();
  /** The last run that was finished being sent; the next one is measured after it. */
  let last: Promise<void> = Promise.resolve();

  function find(id: string): Upload {
    const upload = uploads.get(id);
    if (upload === undefined) throw new InputError("upload.unknown", "an import that was begun here", "another number, or one long over", {});
    return upload;
  }

  function receiving(id: string): Upload {
    const upload = find(id);
    if (upload.step !== "receiving" || upload.writing !== null) {
      throw new InputError("upload.over", "an import that waits for its next file", upload.writing === null ? `one that is ${upload.step}` : "one whose file before is still being sent", {});
    }
    return upload;
  }

  /** Ends it as failed by `error`, or as its signal says where that was aborted; the first end counts. Resolves when its folder is gone. */
  function end(upload: Upload, error: unknown): Promise<void> {
    if (!isOver(upload)) {
      const { signal } = upload.controller;
      const cause: unknown = signal.aborted ? signal.reason : error;
      upload.step = cause === CANCELLED ? "cancelled" : "failed";
      upload.problem = cause === CANCELLED ? null : problemIn(upload, cause);
      if (upload.step === "failed" && upload.problem === null) settings.complain(cause);
    }
    return remove(upload);
  }

  /** Removes its folder, and in a while what is known of it. */
  function remove(upload: Upload): Promise<void> {
    if (upload.removal !== null) return upload.removal;
    clearTimeout(upload.silence);
    setTimeout(() => uploads.delete(upload.id), settings.keptMs).unref();
    upload.removal = rm(upload.folder, { recursive: true, force: true }).catch(settings.complain);
    return upload.removal;
  }

  async function stop(upload: Upload, reason: Error): Promise<void> {
    if (isOver(upload)) return remove(upload);
    upload.controller.abort(reason);
    await upload.writing?.catch(() => undefined);
    if (upload.step === "unpacking" || upload.step === "measuring") await upload.work;
    await end(upload, reason);
  }

  async function begin(given: ImportOffer, actor: string): Promise<ImportState> {
    const offer = { ...given, name: given.name.slice(0, MOST_NAME_LENGTH) };
    const { limits, stagingFolder, silenceMs } = settings;
    if (offer.fileCount > limits.mostFiles) throw new InputError("source.tooMany", `at most ${limits.mostFiles} files`, String(offer.fileCount), {});
    if (offer.byteCount > limits.mostBytes) throw new InputError("source.tooLarge", `at most ${sizeWords(limits.mostBytes)} in all files together`, sizeWords(offer.byteCount), {});
    if ([...uploads.values()].filter((each) => !isOver(each)).length >= MOST_OPEN) {
      throw new InputError("upload.busy", `at most ${MOST_OPEN} runs on their way in at once`, "one more", {});
    }
    const id = settings.newId();
    const silence = setTimeout(() => {
      void stop(upload, new InputError("upload.incomplete", `the next bytes within ${silenceMs / 1000} s`, "silence", {}));
    }, silenceMs).unref();
    const upload: Upload = {
      id, offer, actor, folder: join(stagingFolder, id), controller: new AbortController(), received: { fileCount: 0, byteCount: 0 }, unpacked: { fileCount: 0, byteCount: 0 }, silence,
      step: "receiving", readFraction: 0, profileCount: 0, measuredUntilS: null, problem: null, imported: null, writing: null, work: Promise.resolve(), removal: null,
    };
    uploads.set(id, upload);
    try {
      await mkdir(join(upload.folder, "run"), { recursive: true });
      await refuseFullDisk(upload.folder, offer.byteCount);
    } catch (error) {
      await end(upload, error);
      throw fullDiskAsInput(error);
    }
    return stateOf(upload);
  }

  async function putFile(id: string, path: string, body: Readable): Promise<ImportState> {
    const upload = receiving(id);
    const { offer, folder, controller: { signal }, received } = upload;
    try {
      const parts = partsInside(path, { file: path });
      const root = join(folder, offer.kind === "zip" ? "archive" : "run");
      const chunks = chunksOf(addAbortSignal(signal, body), parts.join("/"), upload.silence);
      upload.writing = stageFile({ root, parts: offer.kind === "zip" ? [ARCHIVE] : parts, chunks, staged: received, limits: settings.limits, signal });
      await upload.writing;
    } catch (error) {
      await end(upload, error);
      throw signal.aborted ? signal.reason : error;
    } finally {
      upload.writing = null;
    }
    return stateOf(upload);
  }

  async function finish(id: string): Promise<ImportState> {
    const upload = receiving(id);
    const { offer, received } = upload;
    if (received.fileCount !== offer.fileCount || received.byteCount !== offer.byteCount) {
      const words = ({ fileCount, byteCount }: Staged): string => `${fileCount} files of ${byteCount} bytes together`;
      const error = new InputError("upload.incomplete", words(offer), words(received), {});
      await end(upload, error);
      throw error;
    }
    upload.step = "waiting";
    clearTimeout(upload.silence);
    upload.work = last.then(() => bringIn(upload));
    last = upload.work;
    return stateOf(upload);
  }

  async function bringIn(upload: Upload): Promise<void> {
    const { offer, actor, folder, controller: { signal }, unpacked } = upload;
    if (isOver(upload)) return;
    try {
      const into = join(folder, "run");
      if (offer.kind === "zip") {
        upload.step = "unpacking";
        await unpackZip({ path: join(folder, "archive", ARCHIVE), file: offer.name, into, limits: settings.limits, signal, staged: unpacked });
        await rm(join(folder, "archive"), { recursive: true });
      }
      upload.step = "measuring";
      upload.imported = await settings.bringIn(await runFolderIn(into), actor, {
        signal,
        heardReading: (fraction) => { upload.readFraction = Math.min(1, fraction); }, // a rehearsal's truth is copied on top
        heardProfiles: (profileCount, untilS) => { Object.assign(upload, { profileCount, measuredUntilS: untilS }); },
      });
      upload.step = "done";
      await remove(upload);
    } catch (error) {
      await end(upload, fullDiskAsInput(error));
    }
  }

  return {
    begin, putFile, finish,
    cancel: async (id) => {
      const upload = find(id);
      await stop(upload, CANCELLED);
      return stateOf(upload);
    },
    read: (id) => stateOf(find(id)),
    close: async () => { await Promise.all([...uploads.values()].map((upload) => stop(upload, CANCELLED))); },
  };
}
