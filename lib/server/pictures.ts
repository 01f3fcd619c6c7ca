/** Kept pictures of runs: whole for pages, and the parts that a report shows for paper. */
import { createReadStream } from "node:fs";
import { open } from "node:fs/promises";
import { Readable } from "node:stream";
import { InputError } from "../base/errors.ts";
import { pictureKey, type DrawingMark, type Report } from "../model/report.ts";
import { cropPicture } from "../source/cropPicture.ts";
import type { Store } from "../store/openStore.ts";
import { rawPath } from "../store/rawFiles.ts";
import { sharedStore } from "./settings.ts";

/** First bytes of a PNG (ISO/IEC 15948, 5.2) and of a JPEG (ISO/IEC 10918-1, B.1.1.3: SOI, then a marker). */
const HEADS = [["image/png", [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]], ["image/jpeg", [0xff, 0xd8, 0xff]]] as const;
/** A picture never changes under its hash. */
const KEEP = "private, max-age=86400, immutable";

function refuse(sha256: string): never {
  throw new InputError("store.noRun", "a run that is kept and a picture of it", JSON.stringify(sha256.slice(0, 64)), {});
}

/** What the file is by its first bytes; null: no picture. `size`, bytes. */
async function kindOf(path: string): Promise<{ readonly type: string; readonly size: number } | null> {
  try {
    const handle = await open(path, "r");
    try {
      const head = new Uint8Array(8), { bytesRead } = await handle.read(head, 0, 8, 0), found = HEADS.find(([, bytes]) => bytesRead >= bytes.length && bytes.every((byte, i) => head[i] === byte));
      return found === undefined ? null : { type: found[0], size: (await handle.stat()).size };
    } finally {
      await handle.close();
    }
  } catch {
    return null;
  }
}

/** A picture as a page may show it: its bytes, and what it is by them. That nothing in it runs is said for its address in next.config.js. */
export async function pictureResponse(path: string): Promise<Response | null> {
  const kind = await kindOf(path);
  if (kind === null) return null;
  return new Response(Readable.toWeb(createReadStream(path)) as ReadableStream<Uint8Array>, { headers: {
    "Content-Type": kind.type, "Content-Length": String(kind.size), "Content-Disposition": "inline", "X-Content-Type-Options": "nosniff", "Cache-Control": KEEP,
  } });
}

/** Whether the run keeps a file of these bytes. */
export const isKept = ({ db }: Pick<Store, "db">, runId: string, sha256: string): boolean => /^[0-9a-f]{64}$/.test(sha256) && db.prepare(`SELECT 1 FROM "RawFile" WHERE runId = ? AND sha256 = ?`).get(runId, sha256) !== undefined;

/** A kept picture of a run by its hash. InputError store.noRun for anything else: another run's file, one that is kept no more, one that is no picture. */
export async function readPicture(runId: string, sha256: string, store: Pick<Store, "db" | "raw"> = sharedStore()): Promise<Response> {
  return (isKept(store, runId, sha256) ? await pictureResponse(rawPath(store.raw, sha256)) : null) ?? refuse(sha256);
}

type Image = Extract<DrawingMark, { kind: "image" }>;

/** Three px a unit of the drawing: 216 a inch on paper. */
const PX_PER_UNIT = 3;

/** The pictures that a report's drawings show, cut out and made small enough for paper, by `pictureKey`; without those that are kept no more. */
export async function picturesOf(report: Report, store: Pick<Store, "db" | "raw"> = sharedStore()): Promise<Map<string, Uint8Array>> {
  const marks = report.sections.flatMap(({ blocks }) => blocks.flatMap((block) => (block.kind === "drawing" ? block.drawing.marks : []))).filter((mark): mark is Image => mark.kind === "image");
  const pictures = new Map<string, Uint8Array>();
  for (const mark of marks) {
    const key = pictureKey(mark);
    if (pictures.has(key) || !isKept(store, report.head.runId, mark.sha256)) continue;
    const bytes = await cropPicture(rawPath(store.raw, mark.sha256), mark.cropPx, Math.ceil(PX_PER_UNIT * mark.width));
    if (bytes !== null) pictures.set(key, bytes);
  }
  return pictures;
}
