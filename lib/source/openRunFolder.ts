import { readdir, stat } from "node:fs/promises";
import { join } from "node:path";
import { InputError, type Warning } from "../base/errors.ts";
import { lineAt } from "../base/text.ts";
import type { Job } from "../model/job.ts";
import { resolveJob } from "../model/jobSchema.ts";
import type { FramePixels } from "../model/frame.ts";
import type { FrameMessage, Message } from "../model/messages.ts";
import type { Plan } from "../model/plan.ts";
import { readPlan } from "../plan/readPlan.ts";
import { pixelReader } from "./frames.ts";
import { mergeCursors } from "./merge.ts";
import { insideFolder, readText, realFolder } from "./paths.ts";
import { openStreams } from "./streams.ts";
import { WarningLog } from "./warningLog.ts";

const JOB_FILE = "job.json";

export interface RunFile {
  /** Relative to the folder. */
  readonly path: string;
  readonly size: number;
}

export interface OpenedRun {
  /** As it was asked for. */
  readonly folder: string;
  readonly job: Job;
  /** job.json as it was parsed. */
  readonly rawJob: unknown;
  readonly plan: Plan;
  readonly planText: string;
  /** Grows while messages are read. */
  readonly warnings: readonly Warning[];
  /** The files of the run that are there, by path. */
  readonly files: readonly RunFile[];
  /** Its camera frames in the order of messages; their pictures stay where they are. */
  readonly frames: readonly FrameMessage[];
  /**
   * All messages by reference time (each device's `clockOffsetS`, where the job states one, is taken off its stamps), at equal times
   * in the order progress, rework, marks of paste, poses, signals, profiles, frames, then by device (a signal's name) and in the order of the file,
   * in batches of up to about 256. The arrays of a batch's profiles are valid until the next batch is asked for. Throws InputError at
   * the first row that is wrong; may be called again for another pass.
   */
  messages(): AsyncGenerator<readonly Message[]>;
  /** A frame's picture; null: it cannot be read, which is among the warnings then. */
  pixels(frame: FrameMessage): Promise<FramePixels | null>;
}

/** A folder's job and plan, without its recording. */
export interface OpenedPlan extends Pick<OpenedRun, "job" | "rawJob" | "plan" | "planText" | "warnings"> {
  /** The folder's real path. */
  readonly root: string;
}

/** Reads job and plan alone; the folder need hold nothing else. Throws InputError with file, line and key. */
export async function openPlan(folder: string): Promise<OpenedPlan> {
  const root = await realFolder(folder);
  const rawJob = parseJobText(await readText(join(root, JOB_FILE), JOB_FILE), JOB_FILE);
  const { job, warnings } = resolveJob(rawJob, JOB_FILE);
  const planPath = await insideFolder(root, job.plan.file, { file: JOB_FILE, key: "plan.file" });
  const planText = await readText(planPath, job.plan.file);
  const { plan, warnings: planWarnings } = readPlan(planText, job, job.plan.file);
  return { root, job, rawJob, plan, planText, warnings: [...warnings, ...planWarnings] };
}

/** Opens a run folder: job and plan are read, every stream is looked into, images are looked for. Throws InputError with file, line and key. */
export async function openRunFolder(folder: string): Promise<OpenedRun> {
  const { root, job, rawJob, plan, planText, warnings } = await openPlan(folder);
  const names = new Set(await readdir(root));
  const log = new WarningLog();
  for (const warning of warnings) log.add(warning);
  const streams = await openStreams({ root, names, job, plan, warnings: log });
  const files = await sizesOf(root, [JOB_FILE, job.plan.file, ...streams.files]);
  return { folder, job, rawJob, plan, planText, warnings: log.list, files, frames: streams.frames, messages: () => mergeCursors(streams.cursors()), pixels: pixelReader(root, job.devices, log) };
}

/** The JSON of a job. InputError job.notJson with the line. */
export function parseJobText(text: string, file: string): unknown {
  try {
    return JSON.parse(text);
  } catch (cause) {
    throw new InputError("job.notJson", "JSON", jsonFault(text) ?? "nothing", { file, line: lineAt(text, faultAt(text)) }, cause);
  }
}

/** Why a text is no JSON; null: it is. */
function jsonFault(text: string): string | null {
  try {
    JSON.parse(text);
    return null;
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  }
}

/** Index of the character that makes it no JSON: said in the error, or else found as the end of the shortest beginning that fails by the same kind of token; the end where it breaks off. */
function faultAt(text: string): number {
  const said = jsonFault(text) ?? "", at = /at position (\d+)/.exec(said)?.[1];
  if (at !== undefined) return Number(at);
  const isToken = (message: string | null): boolean => message?.startsWith("Unexpected token") ?? false;
  if (!isToken(said)) return text.length;
  let [good, bad] = [0, text.length];
  while (bad - good > 1) {
    const middle = (good + bad) >> 1;
    if (isToken(jsonFault(text.slice(0, middle)))) bad = middle;
    else good = middle;
  }
  return good;
}

async function sizesOf(root: string, paths: readonly string[]): Promise<RunFile[]> {
  const files = await Promise.all([...new Set(paths)].map(async (path) => ({ path, size: (await stat(join(root, path))).size })));
  return files.sort((a, b) => (a.path < b.path ? -1 : 1));
}
