/** Makes a run ready before its print: what can be said of it beforehand, and the run itself. */
import { statfsSync } from "node:fs";
import { z } from "zod";
import { InputError } from "../base/errors.ts";
import { resolveJob } from "../model/jobSchema.ts";
import type { Job } from "../model/job.ts";
import { withFieldTexts, type PrepareOffer, type PrepareSheet, type PrepareTemplate } from "../model/prepare.ts";
import { BODY_LIMIT_BYTES, type NewRunBody } from "../model/wire.ts";
import { diskForecast } from "../report/diskForecast.ts";
import { deviceLines, prepareSentence } from "../report/prepareWords.ts";
import { parseJobText } from "../source/openRunFolder.ts";
import { listTokens } from "../store/tokens.ts";
import { requirePlanName } from "./live/newRun.ts";
import { requireHub } from "./liveStream.ts";
import { look } from "./look/sharedLook.ts";
import { readJson } from "./personInput.ts";
import { dataFolder, sharedStore } from "./settings.ts";

const offer = z.object({ jobText: z.string(), planText: z.string(), planName: z.string(), fields: z.record(z.string(), z.string()) });

/** InputError upload.badRequest, source.tooLarge. */
export const readPrepareOffer = (request: Request): Promise<PrepareOffer> => readJson(request, offer, BODY_LIMIT_BYTES.json);

const JOB_FILE = "job.json";

/** The run as it would be made. InputError job.*, plan.*. */
function bodyOf({ jobText, planText, planName, fields }: PrepareOffer): { readonly body: NewRunBody; readonly job: Job } {
  if (jobText.trim() === "") throw new InputError("job.missing", "a job", "none", { file: JOB_FILE });
  const raw = withFieldTexts(parseJobText(jobText, JOB_FILE), fields), { job } = resolveJob(raw, JOB_FILE), { file } = job.plan;
  if (planText === "") throw new InputError("plan.noStrand", `the plan that the job names, ${file}`, "none", { file });
  const planFormat = /\.gcode$/i.test(planName) ? "gcode" : "csv";
  requirePlanName(file, planFormat);
  return { body: { job: raw as NewRunBody["job"], planText, planFormat }, job };
}

/** Everything that is known beforehand. InputError job.*, plan.*. */
export async function checkPrepared(given: PrepareOffer, signal: AbortSignal, nowMs: number): Promise<PrepareSheet> {
  const { body, job } = bodyOf(given);
  const { actCount, layingTimeS, stationCount, ...checks } = await look({ op: "check", jobText: JSON.stringify(body.job), planText: body.planText }, signal);
  const { bavail, bsize } = statfsSync(dataFolder());
  const disk = diskForecast({ profilerPoints: job.devices.flatMap((device) => (device.kind === "profiler" ? [device.points] : [])), layingTimeS, freeBytes: bavail * bsize });
  const devices = deviceLines(job, listTokens(sharedStore().db).filter(({ revokedAt }) => revokedAt === null), nowMs);
  return { ...checks, ...prepareSentence({ actCount, stationCount }, disk, devices), rehearsal: job.rehearsal, disk: { isEnough: disk.isEnough, sentence: disk.sentence, assumption: disk.assumption }, devices };
}

/** Makes the run, logged with the name of the person who arms it. InputError job.*, plan.*, wire.busy. */
export async function armRun(given: PrepareOffer, actor: string): Promise<{ readonly runId: string }> {
  return { runId: await requireHub().createRun(bodyOf(given).body, null, actor) };
}

/** Files of an earlier run, for the next: as they were, without the time at which that run's paste was mixed. InputError store.noRun. */
export function readTemplate(runId: string): PrepareTemplate {
  const row = sharedStore().db.prepare<[string], { name: string; jobText: string; planText: string; planFile: string }>(`SELECT name, jobText, planText, planFile FROM "Run" WHERE id = ?`).get(runId);
  if (row === undefined) throw new InputError("store.noRun", "the id of a run that is kept", JSON.stringify(runId.slice(0, 80)), {});
  const job = parseJobText(row.jobText, JOB_FILE) as { readonly material?: Readonly<Record<string, unknown>> };
  const { mixedAt: _, ...material } = job.material ?? {};
  return { name: row.name, jobText: JSON.stringify({ ...job, ...(job.material === undefined ? {} : { material }) }, null, 2), planText: row.planText, planName: row.planFile };
}

/** Earlier runs to begin from, newest first. */
const MOST_TEMPLATES = 100;

export function listTemplates(): readonly { readonly id: string; readonly name: string; readonly createdAt: string }[] {
  return sharedStore().db.prepare<[number], { id: string; name: string; createdAt: string }>(`SELECT id, name, createdAt FROM "Run" ORDER BY createdAt DESC, id DESC LIMIT ?`).all(MOST_TEMPLATES);
}
