/** The results of a run as its page lists them, and the bands that a recompute begins with. */
import { z } from "zod";
import { guardOf } from "../../judge/bands.ts";
import { resolveJob } from "../../model/jobSchema.ts";
import type { BandTexts, RecomputeAsk, RecomputeState, ResultLine } from "../../model/recompute.ts";
import { bandTexts } from "../../report/bandTexts.ts";
import { stateSentence } from "../../report/sentence.ts";
import { listResults, type ResultHead } from "../../store/readRuns.ts";
import { readJson } from "../personInput.ts";
import { sharedStore } from "../settings.ts";
import { sharedRecomputes } from "./recomputes.ts";

function lineOf(result: ResultHead): ResultLine {
  const { id, computedAt, recompute } = result;
  return { resultId: id, computedAt, recompute: recompute === null ? null : { computedBy: recompute.computedBy, reason: recompute.reason }, headline: stateSentence(result).headline };
}

/** The run's own first; [] for no such run. */
export async function readResultLines(runId: string): Promise<ResultLine[]> {
  return (await listResults(sharedStore().prisma, runId)).map(lineOf);
}

/** The run's own bands as a form begins with them; null where what is kept of the job cannot be read. */
export function readBandTexts(runId: string): BandTexts | null {
  const jobText = sharedStore().db.prepare<[string], string>(`SELECT jobText FROM "Run" WHERE id = ?`).pluck().get(runId);
  try {
    const { job } = resolveJob(JSON.parse(jobText ?? ""), "job.json");
    return bandTexts(job.tolerance, guardOf(job.tolerance.decisionRule));
  } catch {
    return null;
  }
}

/** What a page that waits is told. */
export interface ResultsNow { readonly results: readonly ResultLine[]; readonly recompute: RecomputeState | null }

export async function readResultsNow(runId: string): Promise<ResultsNow> {
  return { results: await readResultLines(runId), recompute: sharedRecomputes().read(runId) };
}

const ask = z.object({ bands: z.record(z.string(), z.unknown()), reason: z.string() });

/** Begins it and answers at once. InputError upload.badRequest, source.tooLarge, those of `readyRecompute`, upload.busy. */
export async function askRecompute(runId: string, request: Request, actor: string): Promise<RecomputeState> {
  const asked: RecomputeAsk = await readJson(request, ask);
  return sharedRecomputes().begin({ runId, actor, ...asked });
}
