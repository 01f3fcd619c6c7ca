/** What the pages show, read from the shared store. */
import { InputError } from "../base/errors.ts";
import type { Job } from "../model/job.ts";
import { resolveJob } from "../model/jobSchema.ts";
import type { Plan } from "../model/plan.ts";
import type { RecordWords, RunLine, Sheet } from "../model/sheet.ts";
import { readPlan } from "../plan/readPlan.ts";
import { buildSheet } from "../report/buildSheet.ts";
import { recordWords } from "../report/recordWords.ts";
import { registerSentence, stateSentence } from "../report/sentence.ts";
import { buildThumbnail } from "../report/thumbnail.ts";
import { counted } from "../report/words.ts";
import { readFrames } from "../store/frameRows.ts";
import { listRuns, readRun } from "../store/readRuns.ts";
import { readEntriesOf } from "../store/logTable.ts";
import type { ResultHead, WholeRun } from "../store/readRuns.ts";
import { readOutline } from "../store/readStations.ts";
import { alertRatesOf } from "./alertRates.ts";
import { recordAside } from "./recordAside.ts";
import { sheetHead } from "./reportBody.ts";
import { nowIso, sharedStore } from "./settings.ts";

/** Runs on one page of the register. */
export const RUNS_A_PAGE = 20;

export interface RunPage {
  /** What is so, in a sentence. */
  readonly headline: string;
  readonly lines: readonly RunLine[];
  readonly runCount: number;
  /** Id to go on after; null: no older ones. */
  readonly olderAfter: string | null;
}

/** Runs, newest first, after the run with id `after` (null: from the newest). */
export async function readRunPage(after: string | null): Promise<RunPage> {
  const { db, prisma } = sharedStore();
  const found = await listRuns(prisma, { count: RUNS_A_PAGE + 1, after });
  const shown = found.slice(0, RUNS_A_PAGE);
  const runCount = await prisma.run.count({ where: { results: { some: {} } } });
  const lines = shown.map(({ run, result }): RunLine => {
    const { headline, acceptable } = stateSentence(result);
    return {
      head: sheetHead(run), headline, acceptable, sizeWords: [counted(run.layerCount, "layer"), counted(run.strandCount, "strand")],
      thumbnail: buildThumbnail(readOutline(db, result.id)),
    };
  });
  return { headline: registerSentence(runCount, after === null ? lines[0]?.acceptable ?? null : null), lines, runCount, olderAfter: found.length > RUNS_A_PAGE ? shown.at(-1)?.run.id ?? null : null };
}

/** Job and plan as they are kept, byte for byte as they came, or with the job of a recompute; null where those bytes cannot be read any more: the record then says what was changed. */
export async function readKept(runId: string, { recompute }: Pick<ResultHead, "recompute">): Promise<{ job: Job; plan: Plan } | null> {
  const kept = await sharedStore().prisma.run.findUniqueOrThrow({ where: { id: runId }, select: { jobText: true, planText: true } });
  try {
    const { job } = resolveJob(JSON.parse(recompute?.jobText ?? kept.jobText), "job.json");
    return { job, plan: readPlan(kept.planText, job, job.plan.file).plan };
  } catch (error) {
    if (error instanceof InputError || error instanceof SyntaxError) return null;
    throw error;
  }
}

/** The sheet of one run, of its own result or of a recompute; null: no such run, or no such result of it. */
export async function readSheet(id: string, resultId: string | null = null): Promise<Sheet | null> {
  const whole = await readRun(sharedStore(), id, resultId);
  return whole === null ? null : sheetOf(whole, await readKept(id, whole.result));
}

/** `kept`: of readKept. */
export function sheetOf({ run, result, strands, stations, earlierAttempts }: WholeRun, kept: Awaited<ReturnType<typeof readKept>>): Sheet {
  return buildSheet({
    head: sheetHead(run), resultId: result.id, job: kept?.job ?? null, plan: kept?.plan ?? null, beadShape: run.beadShape, strands, stations, earlierAttempts,
    findings: result.findings, frames: [...readFrames(sharedStore().db, result.id)], summary: result.summary, acceptance: result.acceptance, warnings: result.warnings,
  });
}

/** null: no such run. */
export async function readRunName(id: string): Promise<string | null> {
  return (await sharedStore().prisma.run.findUnique({ where: { id }, select: { name: true } }))?.name ?? null;
}

/** The record of a run, checked now, in words. */
export async function readRecordWords(id: string): Promise<RecordWords> {
  const at = nowIso();
  return recordWords(await recordAside(id), at, alertRatesOf(sharedStore(), id, at), readEntriesOf(sharedStore().db, id, "raw.dropped"));
}
