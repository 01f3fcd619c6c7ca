/** A measured run into the database together with its files and the beginning of its log, in one transaction. */
import { posix } from "node:path";
import type { FramePlace } from "../model/framePlace.ts";
import type { FrameMessage } from "../model/messages.ts";
import type { Plan, PlanStrand } from "../model/plan.ts";
import { PROGRAM_ACTOR } from "../model/log.ts";
import type { KeptFile } from "../model/log.ts";
import type { InspectResult } from "../model/result.ts";
import type { SheetHead } from "../model/sheet.ts";
import type { LogDraft } from "../log/entries.ts";
import { sha256Hex } from "../log/hash.ts";
import { portableText } from "../log/portable.ts";
import type { RunKeeper } from "../run/keepRun.ts";
import { strandMeans } from "../run/strandMeans.ts";
import type { OpenedRun } from "../source/openRunFolder.ts";
import { preflightPlan } from "../plan/preflight.ts";
import { writeFramePlaces } from "../store/framePlaces.ts";
import { writeCuts, writeHistory } from "../store/history.ts";
import { partsInside } from "../source/stage.ts";
import { appendEntries, sealLog } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { writePreflight } from "../store/preflight.ts";
import { writeReportBody } from "../store/reportBodies.ts";
import { keepStaged } from "../store/rawFiles.ts";
import { rowsDigest } from "../store/rowsDigest.ts";
import { writeStrandMeans } from "../store/strandMeans.ts";
import type { NewRun, RunRow } from "../store/writeRun.ts";
import { writeRun } from "../store/writeRun.ts";
import type { Imported } from "./importRun.ts";
import { makeReportBody, sheetHead, surfaceOfMade } from "./reportBody.ts";

/** What measuring made of a run, in memory. */
export interface Made {
  readonly opened: OpenedRun;
  readonly result: InspectResult;
  /** Files of the run, pictures among them. */
  readonly kept: readonly KeptFile[];
  /** Readings with their history, and sections. */
  readonly keeper: RunKeeper;
}

export interface MeasuredRun extends Made {
  readonly jobText: string;
  /** result.json there. */
  readonly resultFile: KeptFile;
  readonly staging: string;
  /** What makes it this run and no other. */
  readonly content: string;
  readonly demo: boolean;
  /** Who brought it in. */
  readonly actor: string;
  readonly rehearsal: boolean;
  readonly newId: () => string;
  readonly at: string;
}

/** A folder's identity: SHA-256 over path, size and hash of every file of the run, in order of path. */
export function contentSha256(files: readonly KeptFile[]): string {
  return sha256Hex(files.map(({ name, size, sha256 }) => `${name}\0${size}\0${sha256}\n`).join(""));
}

/** First and last waypoint nearer than this are one place: a ring, mm. */
const CLOSED_WITHIN_MM = 1e-3;

function isClosed({ pointsMm, pointCount }: PlanStrand): boolean {
  const last = 3 * (pointCount - 1);
  const gapMm = Math.hypot(...[0, 1, 2].map((axis) => (pointsMm[last + axis] as number) - (pointsMm[axis] as number)));
  return pointCount > 2 && gapMm <= CLOSED_WITHIN_MM;
}

/** Rows of a plan's strands. */
export function strandRows(plan: Plan): NewRun["strands"] {
  return plan.strands.map((strand) => ({
    layer: strand.layer, strand: strand.strand, approach: strand.approach, waypointCount: strand.pointCount, lengthMm: strand.lengthMm, closed: isClosed(strand),
  }));
}

/** The name under which a file of the run is kept: as the run names it, without detours. */
export function keptName(path: string): string {
  return partsInside(posix.normalize(path), { file: path }).join("/");
}

function hashIn(kept: readonly KeptFile[], name: string): string {
  const file = kept.find((each) => each.name === name);
  if (file === undefined) throw new TypeError(`${name} is not among the kept files`);
  return file.sha256;
}

function runRow({ opened: { job, plan, planText }, jobText, kept, content, demo, rehearsal, newId, at }: MeasuredRun): RunRow {
  return {
    id: newId(), createdAt: at, contentSha256: content, name: job.name, specimen: job.specimen, materialName: job.material.name, lot: job.material.lot,
    beadShape: job.material.beadShape, state: "recorded", rehearsal, demo, jobText, jobSha256: hashIn(kept, "job.json"),
    planFile: job.plan.file, planText, planSha256: hashIn(kept, keptName(job.plan.file)), layerCount: plan.layerCount, strandCount: plan.strands.length,
    plannedLengthMm: plan.strands.reduce((total, strand) => total + strand.lengthMm, 0),
  };
}

/** The log of a run that was recorded elsewhere and brought in. */
function firstEntries({ kept, resultFile, actor, at }: MeasuredRun, run: RunRow, computed: { readonly resultId: string; readonly rowsSha256: string }): LogDraft[] {
  const { name, jobSha256, planFile, planSha256 } = run;
  const entry = { actor: PROGRAM_ACTOR, at } as const, brought = { actor, at } as const;
  return [
    { ...brought, kind: "run.created", payload: { name: portableText(name), jobSha256, planFile: keptName(planFile), planSha256 } },
    ...kept.map((file): LogDraft => ({ ...brought, kind: "raw.kept", payload: file })),
    { ...entry, kind: "result.computed", payload: { ...resultFile, ...computed } },
    { ...entry, kind: "run.finished", payload: {} },
  ];
}

/** Frames with the hashes of their pictures. */
function framePlaces(frames: readonly FrameMessage[], kept: readonly KeptFile[]): FramePlace[] {
  const hashes = new Map(kept.map(({ name, sha256 }) => [name, sha256]));
  return frames.flatMap(({ file, device, pose, frame }) => {
    const sha256 = hashes.get(keptName(file));
    return sha256 === undefined ? [] : [{ file, device, pose, frame, sha256 }];
  });
}

/** Makes ready what is kept beside a result; what it gives writes it, inside the caller's transaction. */
export function readyBeside(resultId: string, head: SheetHead, { opened: { job, plan, frames }, keeper, result, kept }: Made): (db: Store["db"]) => void {
  const before = { preflight: preflightPlan(plan, job), support: keeper.support }, means = strandMeans(result.stations, keeper.factsAt), places = framePlaces(frames, kept);
  const body = makeReportBody({
    head, resultId, job, plan, beadShape: job.material.beadShape, strands: strandRows(plan), result, places: new Map(places.map((place) => [place.file, place])), acceptance: job.acceptance, means, preflight: before.preflight, cutAt: keeper.cutAt, surface: surfaceOfMade(job, plan, result.stations, keeper.cutAt),
  });
  return (db) => {
    writeStrandMeans(db, resultId, means);
    writeHistory(db, resultId, keeper.history());
    writeCuts(db, resultId, keeper.cuts());
    writePreflight(db, resultId, before);
    writeReportBody(db, resultId, body);
    writeFramePlaces(db, resultId, places);
  };
}

/** Returns the run's id; where the same content came in meanwhile, that one's, and nothing is written. */
export function writeWithRecord({ db, raw, signingKey }: Store, measured: MeasuredRun): Imported {
  const { opened, result, kept, resultFile, staging, newId, at } = measured;
  const run = runRow(measured);
  const resultId = newId();
  const writeBeside = readyBeside(resultId, sheetHead(run), measured);
  const runId = writeRun(db, { run, strands: strandRows(opened.plan), resultId, computedAt: at, acceptance: opened.job.acceptance, result }, () => {
    writeBeside(db);
    keepStaged(db, raw, { runId: run.id, staging, files: [...kept, resultFile] });
    appendEntries(db, run.id, firstEntries(measured, run, { resultId, rowsSha256: rowsDigest(db, run.id, resultId) }));
    sealLog(db, run.id, { key: signingKey, at });
  });
  return { runId, isNew: runId === run.id };
}
