/** Brings one measured run in: everything is computed first, then written in one transaction, whole or not at all. */
import type { Acceptance } from "../model/job.ts";
import type { InspectResult, StationLimits, StationResult } from "../model/result.ts";
import { cameraAlone } from "../report/frameWords.ts";
import type { Sqlite } from "./connection.ts";
import type { FindingModel, FrameModel, LimitSetModel, ReadingModel, ResultModel, RunModel, StrandModel } from "./generated/models.ts";
import { findingToRow } from "./findingRows.ts";
import { frameToRow } from "./frameRows.ts";
import { limitsToRow, readingToRow } from "./rows.ts";

/** A run brought in as a folder has no call that made it and no end to be asked for. */
export type RunRow = Omit<RunModel, "idempotencyKey" | "endAsked"> & Partial<Pick<RunModel, "idempotencyKey" | "endAsked">>;
export type ResultRow = ResultModel;
export type StrandRow = StrandModel;

/** A run's head and its planned strands. */
export interface RunHead {
  readonly run: RunRow;
  readonly strands: readonly Omit<StrandRow, "runId">[];
}

/** A run with what was made of it, as the caller hands it in. */
export interface NewRun extends RunHead, Omit<NewResult, "run"> {}

/** What was made of a run. */
export interface NewResult {
  readonly run: Pick<RunRow, "id">;
  readonly resultId: string;
  readonly computedAt: string;
  readonly acceptance: Acceptance;
  readonly result: InspectResult;
  /** Of a recompute; absent: the run's own result. */
  readonly recompute?: { readonly computedBy: string; readonly reason: string; readonly jobText: string };
}

interface Rows {
  readonly result: ResultRow;
  readonly limits: readonly LimitSetModel[];
  readonly readings: readonly ReadingModel[];
  readonly findings: readonly FindingModel[];
  readonly frames: readonly FrameModel[];
}

type LimitTable = Map<string, { readonly index: number; readonly limits: StationLimits }>;

/** Equal limits share a row: gives the row's index. */
function limitIndexOf(limits: StationLimits, table: LimitTable): number {
  const key = JSON.stringify(limits);
  const shared = table.get(key) ?? { index: table.size, limits };
  table.set(key, shared);
  return shared.index;
}

/** A station's place in its strand, from 0. The newest stations name each place once; an earlier attempt stands at one of them. */
function placeIndices(stations: readonly StationResult[]): (station: StationResult) => number {
  const counts = new Map<string, number>();
  const indexAt = new Map<string, number>();
  for (const { layer, strand, sMm } of stations) {
    const index = counts.get(`${layer}/${strand}`) ?? 0;
    counts.set(`${layer}/${strand}`, index + 1);
    indexAt.set(`${layer}/${strand}/${sMm}`, index);
  }
  return ({ layer, strand, sMm }) => {
    const index = indexAt.get(`${layer}/${strand}/${sMm}`);
    if (index === undefined) throw new TypeError(`layer ${layer}, strand ${strand} has no station at ${sMm} mm`);
    return index;
  };
}

function readingRows(resultId: string, { stations, earlierAttempts }: InspectResult, limits: LimitTable): ReadingModel[] {
  const placeOf = placeIndices(stations);
  const row = (station: StationResult, newest: boolean): ReadingModel =>
    readingToRow({ resultId, stationIndex: placeOf(station), newest, limitIndex: limitIndexOf(station.limits, limits) }, station);
  return [...stations.map((station) => row(station, true)), ...earlierAttempts.map((station) => row(station, false))];
}

function resultRow({ run, resultId, computedAt, acceptance, result, recompute }: NewResult): ResultRow {
  const { summary, findings } = result, alone = cameraAlone(result.stations);
  return {
    id: resultId, runId: run.id, computedAt, toleranceJson: JSON.stringify(result.tolerance), warningsJson: JSON.stringify(result.warnings),
    stationCount: summary.stations, laidCount: summary.laid, measuredCount: summary.measured, inBandLengthFraction: summary.inBandLengthFraction,
    plannedVolumeMm3: summary.plannedVolumeMm3, measuredVolumeMm3: summary.measuredVolumeMm3,
    minMeasuredFraction: acceptance.minMeasuredFraction, minInBandFraction: acceptance.minInBandFraction, maxActFindings: acceptance.maxActFindings,
    actFindingCount: findings.filter((finding) => finding.severity === "act").length,
    watchFindingCount: findings.filter((finding) => finding.severity === "watch").length,
    computedBy: recompute?.computedBy ?? null, reason: recompute?.reason ?? null, jobText: recompute?.jobText ?? null,
    ...(alone.present + alone.absent === 0 ? { cameraPresentCount: null, cameraAbsentCount: null } : { cameraPresentCount: alone.present, cameraAbsentCount: alone.absent }),
  };
}

function toRows(input: NewResult): Rows {
  const { resultId, result } = input;
  const limits: LimitTable = new Map();
  const readings = readingRows(resultId, result, limits);
  return {
    result: resultRow(input), readings,
    limits: [...limits.values()].map((shared) => limitsToRow(resultId, shared.index, shared.limits)),
    findings: result.findings.map((finding, index) => findingToRow(resultId, index, finding)),
    frames: result.frames.map((frame, index) => frameToRow(resultId, index, frame)),
  };
}

/** SQLite has no booleans; Prisma keeps them as 0 and 1. */
function bindable(value: unknown): unknown {
  return typeof value === "boolean" ? Number(value) : value;
}

/** All rows of one table have the same keys, and those are its columns. */
function insertAll<T extends object>(db: Sqlite, table: string, rows: readonly T[]): void {
  const [first] = rows;
  if (first === undefined) return;
  const columns = Object.keys(first) as (keyof T & string)[];
  const insert = db.prepare(`INSERT INTO "${table}" (${columns.map((column) => `"${column}"`).join(", ")}) VALUES (${columns.map(() => "?").join(", ")})`);
  for (const row of rows) insert.run(columns.map((column) => bindable(row[column])));
}

/** To be called inside the caller's transaction. */
export function insertRun(db: Sqlite, { run, strands }: RunHead): void {
  insertAll(db, "Run", [run]);
  insertAll(db, "Strand", strands.map((strand) => ({ runId: run.id, ...strand })));
}

/** Makes the rows of a result ready; what it gives writes them, inside the caller's transaction. */
export function readyResult(input: NewResult): (db: Sqlite) => void {
  const rows = toRows(input);
  return (db) => {
    insertAll(db, "Result", [rows.result]);
    insertAll(db, "LimitSet", rows.limits);
    insertAll(db, "Reading", rows.readings);
    insertAll(db, "Finding", rows.findings);
    insertAll(db, "Frame", rows.frames);
  };
}

/**
 * Writes the run and returns its id. Where a run of the same content is there already (also one that another process wrote in the
 * meantime), nothing is written and that one's id is returned. `record` is called inside the same transaction: what it throws undoes all.
 */
export function writeRun(db: Sqlite, input: NewRun, record: () => void = () => undefined): string {
  const insertResult = readyResult(input);
  const write = db.transaction((): string => {
    const there = findRunByContent(db, input.run.contentSha256);
    if (there !== null) return there;
    insertRun(db, input);
    insertResult(db);
    record();
    return input.run.id;
  });
  return write.immediate();
}

/** Id of the run whose folder had this content; null: not here. */
export function findRunByContent(db: Sqlite, contentSha256: string): string | null {
  return db.prepare<[string], { id: string }>(`SELECT id FROM "Run" WHERE contentSha256 = ?`).get(contentSha256)?.id ?? null;
}
