/** The uploads of this process, on the shared store. */
import { rmSync } from "node:fs";
import { join } from "node:path";
import { setImmediate } from "node:timers/promises";
import type { Message } from "../model/messages.ts";
import { wholeNumber } from "../report/words.ts";
import { inspectRun } from "../run/inspectRun.ts";
import { STAGE_LIMITS } from "../source/stage.ts";
import { importRun, type Imported } from "./importRun.ts";
import { dataFolder, newId, nowIso, sharedStore } from "./settings.ts";
import { makeUploads, type BringInOptions, type Uploads } from "./uploads.ts";

/** Longest silence of a page that sends: a slow disk and a sleeping laptop's first seconds; common practice, no source, ms. */
export const SILENCE_MS = 120_000;
/** So long a page that was out of sight still hears how it ended, ms. */
const KEPT_MS = 3_600_000;
/** Measuring runs on the thread that serves pages: so long it may keep them waiting, ms (two frames of a screen). */
const BREATH_MS = 33;

const KEY = Symbol.for("aslaid.uploads");

/** One set of uploads a process. On first use, at the start, what an earlier process left in the staging folder is swept away. */
export function sharedUploads(): Uploads {
  const holder = globalThis as { [KEY]?: Uploads };
  holder[KEY] ??= openUploads();
  return holder[KEY];
}

/** How much may be brought in, for people. */
export function limitWords(): string {
  const { mostFiles, mostBytes, mostFileBytes } = STAGE_LIMITS;
  return `At most ${wholeNumber(mostFiles)} files, ${mostBytes / 1e9} GB together and ${mostFileBytes / 1e9} GB each.`;
}

/** Cancels what is on its way in. */
export async function closeSharedUploads(): Promise<void> {
  const holder = globalThis as { [KEY]?: Uploads };
  await holder[KEY]?.close();
}

function openUploads(): Uploads {
  const stagingFolder = join(dataFolder(), "staging");
  rmSync(stagingFolder, { recursive: true, force: true });
  return makeUploads({
    stagingFolder, newId, limits: STAGE_LIMITS, silenceMs: SILENCE_MS, keptMs: KEPT_MS, bringIn,
    complain: (error) => console.error("Bringing a run in failed:", error),
  });
}

function bringIn(folder: string, actor: string, options: BringInOptions): Promise<Imported> {
  return importRun(sharedStore(), {
    folder, demo: false, actor, newId, nowIso, signal: options.signal,
    heard: (doneBytes, allBytes) => options.heardReading(doneBytes / allBytes),
    inspect: (opened) => inspectRun({ ...opened, messages: () => withBreaths(opened.messages(), options) }),
  });
}

/** The same batches; between them it says how far they are, lets pages be served, and stops where it is told to. */
export async function* withBreaths(batches: AsyncIterable<readonly Message[]>, { signal, heardProfiles }: BringInOptions): AsyncGenerator<readonly Message[]> {
  let profileCount = 0;
  let breathAtMs = performance.now();
  for await (const batch of batches) {
    yield batch;
    profileCount += batch.filter(({ kind }) => kind === "profile").length;
    const last = batch.at(-1);
    if (last !== undefined) heardProfiles(profileCount, last.tS);
    if (performance.now() - breathAtMs < BREATH_MS) continue;
    await setImmediate();
    signal.throwIfAborted();
    breathAtMs = performance.now();
  }
  signal.throwIfAborted();
}
