/** A scan that a page sends: its bytes as the body, what else is said of it in the query. */
import { addAbortSignal } from "node:stream";
import { InputError } from "../base/errors.ts";
import type { KeptScan } from "../model/scan.ts";
import { bodyOf } from "./offer.ts";
import { addScan } from "./scans.ts";
import { nowIso, sharedStore } from "./settings.ts";
import { SILENCE_MS, withBreaths } from "./sharedUploads.ts";
import { chunksOf, refuseFullDisk } from "./upload.ts";

/** Answers once it is kept. Query: `name` of the file; `setAt`, `note` where they are known. InputErrors of `addScan`; upload.incomplete. */
export async function receiveScan(runId: string, request: Request, actor: string): Promise<KeptScan> {
  const query = new URL(request.url).searchParams, fileName = query.get("name") ?? "", setAt = query.get("setAt") ?? "";
  const stop = new AbortController(), { signal } = stop, store = sharedStore();
  const broken = (got: string): InputError => new InputError("upload.incomplete", "the whole file", got, { file: fileName });
  const silence = setTimeout(() => stop.abort(broken(`silence of ${SILENCE_MS / 1000} s`)), SILENCE_MS).unref();
  request.signal.addEventListener("abort", () => stop.abort(broken("a connection that broke off")), { once: true });
  try {
    await refuseFullDisk(store.raw.folder, Number(request.headers.get("content-length") ?? 0));
    const chunks = async function* (): AsyncGenerator<Uint8Array> {
      yield* chunksOf(addAbortSignal(signal, bodyOf(request)), fileName, silence);
      clearTimeout(silence);
    };
    return await addScan(store, {
      runId, fileName, chunks: chunks(), setAt: setAt === "" ? null : setAt, note: query.get("note") ?? "", actor, nowIso, signal,
      breaths: (batches) => withBreaths(batches, { signal, heardReading: () => undefined, heardProfiles: () => undefined }),
    });
  } catch (error) {
    throw signal.aborted ? signal.reason : error;
  } finally {
    clearTimeout(silence);
  }
}
