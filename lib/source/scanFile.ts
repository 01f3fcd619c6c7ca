/** One file of profiles that comes after its run: read whole once, so that a bad one is refused before anything is made of it. */
import { InputError } from "../base/errors.ts";
import type { Job } from "../model/job.ts";
import type { Message } from "../model/messages.ts";
import { ArrowCursor } from "./arrowCursor.ts";
import { mergeCursors } from "./merge.ts";
import { NdjsonCursor } from "./ndjsonCursor.ts";
import type { ProfileCursor } from "./profileCursor.ts";
import { WarningLog } from "./warningLog.ts";

export interface ScanFile {
  readonly device: string;
  readonly profileCount: number;
  /** Its profiles in order, in batches; the arrays of a batch are valid until the next one is asked for. May be called again. */
  messages(): AsyncGenerator<readonly Message[]>;
}

/**
 * `path` ends in .ndjson or .arrow; `file` is what people call it. InputErrors of the readers (sensing.*); upload.incomplete where it breaks off, sensing.noStream where it
 * holds no profile, sensing.badValue where its frame is not `plan`.
 */
export async function openScanFile(path: string, file: string, { devices }: Pick<Job, "devices">): Promise<ScanFile> {
  const warnings = new WarningLog(), source = { path, file, deviceInName: null }, reading = { devices, isLayerRequired: false, warnings };
  const open = (): ProfileCursor => (path.endsWith(".arrow") ? new ArrowCursor(source, reading) : new NdjsonCursor(source, reading));
  const cursor = open();
  let profileCount = 0;
  try {
    for (let batch = await cursor.refill(); batch !== null; batch = await cursor.refill()) profileCount += batch.length;
  } finally {
    await cursor.close();
  }
  const broken = warnings.list.find(({ code }) => code === "sensing.truncated");
  if (broken !== undefined) throw new InputError("upload.incomplete", "the whole scan", "one that breaks off", { file });
  const { header } = cursor;
  if (header === null || profileCount === 0) throw new InputError("sensing.noStream", "profiles", "none", { file });
  if (header.frame !== "plan") throw new InputError("sensing.badValue", "profiles in the frame plan, as the run’s were", header.frame, { file, key: "frame" });
  return { device: header.profiler.id, profileCount, messages: () => mergeCursors([open()]) };
}
