/** Two results side by side, read from the shared store, and what can be chosen for each side. */
import type { Beside, BesideAsk } from "../model/beside.ts";
import { buildBeside, type BesideSide } from "../report/beside.ts";
import { listRunNames, readRun } from "../store/readRuns.ts";
import { readStrandMeans } from "../store/strandMeans.ts";
import { readKept, sheetOf } from "./pages.ts";
import { readResultLines } from "./recompute/results.ts";
import type { ResultLine } from "../model/recompute.ts";
import { sharedStore } from "./settings.ts";

/** Runs that a form offers; an older one is reached from its own sheet. */
const MOST_OFFERED = 200;

export interface RunChoice { readonly id: string; readonly name: string; readonly createdAt: string }

export interface SideChoice { readonly asked: BesideAsk | null; readonly results: readonly ResultLine[] }

export interface BesidePage {
  readonly runs: readonly RunChoice[];
  readonly a: SideChoice;
  readonly b: SideChoice;
  /** null: a side is not chosen, or not there. */
  readonly beside: Beside | null;
  /** Which side names nothing that is kept; null: none does. */
  readonly unknown: "A" | "B" | null;
}

async function readSide({ runId, resultId }: BesideAsk): Promise<BesideSide | null> {
  const whole = await readRun(sharedStore(), runId, resultId);
  if (whole === null) return null;
  const { result } = whole, sheet = sheetOf(whole, await readKept(runId, result));
  return { sheet, summary: result.summary, findings: result.findings, means: readStrandMeans(sharedStore().db, result.id), recompute: result.recompute };
}

async function choiceOf(asked: BesideAsk | null): Promise<SideChoice> {
  return { asked, results: asked === null ? [] : await readResultLines(asked.runId) };
}

/** null: that side is not chosen yet. `layer`: the one whose maps are asked for. A chosen run that is too old to be offered is offered all the same. */
export async function readBesidePage(askedA: BesideAsk | null, askedB: BesideAsk | null, layer: number | null): Promise<BesidePage> {
  const left = askedA === null ? null : await readSide(askedA), right = askedB === null ? null : await readSide(askedB);
  const offered = listRunNames(sharedStore(), MOST_OFFERED);
  const chosen = [left, right].flatMap((side) => (side === null ? [] : [{ id: side.sheet.head.runId, name: side.sheet.head.name, createdAt: side.sheet.head.createdAt }]));
  return {
    runs: [...new Map([...offered, ...chosen].map((run) => [run.id, run])).values()], a: await choiceOf(askedA), b: await choiceOf(askedB),
    beside: left === null || right === null ? null : buildBeside(left, right, layer),
    unknown: askedA !== null && left === null ? "A" : askedB !== null && right === null ? "B" : null,
  };
}
