/** Brings one recorded run folder into the store: read, measure, write. The same folder twice is the same run. */
import { createHash } from "node:crypto";
import { createReadStream, existsSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import type { Plan, PlanStrand } from "../model/plan.ts";
import type { InspectResult } from "../model/result.ts";
import type { OpenedRun } from "../source/openRunFolder.ts";
import { openRunFolder } from "../source/openRunFolder.ts";
import type { Store } from "../store/openStore.ts";
import type { NewRun, RunRow } from "../store/writeRun.ts";
import { findRunByContent, writeRun } from "../store/writeRun.ts";

export interface ImportSettings {
  readonly folder: string;
  /** Brought in by the program itself to have something to show. */
  readonly demo: boolean;
  readonly newId: () => string;
  readonly nowIso: () => string;
  readonly inspect: (opened: OpenedRun) => Promise<InspectResult>;
}

export interface Imported {
  readonly runId: string;
  /** False: it was here already. */
  readonly isNew: boolean;
}

/** First and last waypoint nearer than this are one place: a ring, mm. */
const CLOSED_WITHIN_MM = 1e-3;

/** The simulated cell leaves its truth beside the recording; a real cell has none. */
const TRUTH_FILE = "truth.json";

function sha256(text: string): string {
  return createHash("sha256").update(text).digest("hex");
}

/** SHA-256 over path, size and content of every file of the run, in order of path. Streams: a recording may be larger than memory. */
async function contentSha256({ folder, files }: OpenedRun): Promise<string> {
  const hash = createHash("sha256");
  for (const file of files) {
    hash.update(`${file.path}\0${file.size}\0`);
    for await (const chunk of createReadStream(join(folder, file.path))) hash.update(chunk as Buffer);
  }
  return hash.digest("hex");
}

function isClosed({ pointsMm, pointCount }: PlanStrand): boolean {
  const last = 3 * (pointCount - 1);
  const gapMm = Math.hypot(...[0, 1, 2].map((axis) => (pointsMm[last + axis] as number) - (pointsMm[axis] as number)));
  return pointCount > 2 && gapMm <= CLOSED_WITHIN_MM;
}

function strandRows(plan: Plan): NewRun["strands"] {
  return plan.strands.map((strand) => ({
    layer: strand.layer, strand: strand.strand, approach: strand.approach, waypointCount: strand.pointCount, lengthMm: strand.lengthMm, closed: isClosed(strand),
  }));
}

async function runRow(opened: OpenedRun, contentHash: string, { demo, newId, nowIso }: ImportSettings): Promise<RunRow> {
  const { folder, job, plan, planText } = opened;
  const jobText = await readFile(join(folder, "job.json"), "utf8");
  return {
    id: newId(), createdAt: nowIso(), contentSha256: contentHash, name: job.name, specimen: job.specimen, materialName: job.material.name, lot: job.material.lot,
    beadShape: job.material.beadShape, state: "recorded", rehearsal: existsSync(join(folder, TRUTH_FILE)), demo, jobText, jobSha256: sha256(jobText),
    planFile: job.plan.file, planText, planSha256: sha256(planText), layerCount: plan.layerCount, strandCount: plan.strands.length,
    plannedLengthMm: plan.strands.reduce((total, strand) => total + strand.lengthMm, 0),
  };
}

/** InputError where the folder is not a run; then nothing is written. */
export async function importRun(store: Store, settings: ImportSettings): Promise<Imported> {
  const opened = await openRunFolder(settings.folder);
  const contentHash = await contentSha256(opened);
  const known = findRunByContent(store.db, contentHash);
  if (known !== null) return { runId: known, isNew: false };
  const result = await settings.inspect(opened);
  const run = await runRow(opened, contentHash, settings);
  const runId = writeRun(store.db, {
    run, strands: strandRows(opened.plan), resultId: settings.newId(), computedAt: settings.nowIso(), acceptance: opened.job.acceptance, result,
  });
  return { runId, isNew: runId === run.id };
}
