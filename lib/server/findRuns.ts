/** What the page that finds runs shows. */
import { statfsSync } from "node:fs";
import { FIND_FIELDS, type FindForm, type FindSheet, type FoundLine, type StorageWords } from "../model/findRuns.ts";
import { findErrorSentence, findForm, findSentence, readFindForm } from "../report/findWords.ts";
import { stateSentence } from "../report/sentence.ts";
import { GROWTH_DAYS, storageWords } from "../report/storageForecast.ts";
import { counted } from "../report/words.ts";
import { findRuns, storageFacts } from "../store/findRuns.ts";
import { readRunsById } from "../store/readRuns.ts";
import { dataFolder, nowIso, sharedStore } from "./settings.ts";

/** Runs on one page. */
export const FOUND_A_PAGE = 20;

export type Parameters = Readonly<Record<string, string | readonly string[] | undefined>>;

function storageNow(): StorageWords {
  const nowMs = Date.parse(nowIso()), { bavail, bsize } = statfsSync(dataFolder());
  return storageWords({ ...storageFacts(sharedStore().db, new Date(nowMs - GROWTH_DAYS * 86_400_000).toISOString()), freeBytes: bavail * bsize, nowMs });
}

async function linesOf(runIds: readonly string[]): Promise<FoundLine[]> {
  const found = await readRunsById(sharedStore().prisma, runIds);
  return found.map(({ run, result }) => ({
    runId: run.id, name: run.name, rehearsal: run.rehearsal, demo: run.demo, headline: result === null ? "No result is kept." : stateSentence(result).headline,
    facts: [run.specimen, run.materialName, run.lot === null ? null : `lot ${run.lot}`, counted(run.layerCount, "layer"), counted(run.strandCount, "strand"), `${run.createdAt.slice(0, 10)} ${run.createdAt.slice(11, 16)} UTC`].filter((fact) => fact !== null),
  }));
}

function nextHref(form: FindForm, after: string): string {
  const asked = FIND_FIELDS.filter((field) => form[field] !== "").map((field): [string, string] => [field, form[field]]);
  return `/runs?${new URLSearchParams([...asked, ["after", after]]).toString()}`;
}

/** `parameters`: of the page's address; `after`: id of the last run of the page before. */
export async function readFindSheet(parameters: Parameters): Promise<FindSheet> {
  const form = findForm(parameters), { query, errors } = readFindForm(form), storage = storageNow(), after = typeof parameters["after"] === "string" ? parameters["after"] : null;
  if (query === null) return { form, errors, sentence: findErrorSentence(errors), lines: [], foundCount: 0, nextHref: null, storage };
  const { runIds, count, hasMore } = findRuns(sharedStore().db, query, { count: FOUND_A_PAGE, after });
  const last = runIds.at(-1);
  return { form, errors: {}, sentence: findSentence(form, query, count), lines: await linesOf(runIds), foundCount: count, nextHref: hasMore && last !== undefined ? nextHref(form, last) : null, storage };
}
