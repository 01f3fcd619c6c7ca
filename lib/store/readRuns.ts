/** Runs with their own result: heads, strands and findings through Prisma, stations as readStations.ts gives them. */
import type { Warning } from "../base/errors.ts";
import type { Acceptance, BeadShape } from "../model/job.ts";
import type { Finding, StationResult, Summary } from "../model/result.ts";
import type { CameraAlone } from "../report/frameWords.ts";
import type { PrismaClient } from "./generated/client.ts";
import type { ResultModel, StrandModel } from "./generated/models.ts";
import type { Sqlite } from "./connection.ts";
import type { Store } from "./openStore.ts";
import { readStations } from "./readStations.ts";
import { findingFromRow } from "./findingRows.ts";
import { beadShapeFromText } from "./rows.ts";

/** The head of a run, without its plan, its job and its stations. */
export interface RunHead {
  readonly id: string;
  /** ISO 8601, UTC. */
  readonly createdAt: string;
  readonly name: string;
  readonly specimen: string | null;
  readonly materialName: string;
  readonly lot: string | null;
  /** stadium or segment, as the job says. */
  readonly beadShape: BeadShape;
  readonly rehearsal: boolean;
  readonly demo: boolean;
  readonly jobSha256: string;
  readonly planSha256: string;
  readonly planFile: string;
  readonly layerCount: number;
  readonly strandCount: number;
}

/** What was made of it: its own result, or one that was computed again. */
export interface ResultHead {
  readonly id: string;
  readonly computedAt: string;
  readonly summary: Summary;
  readonly acceptance: Acceptance;
  readonly warnings: readonly Warning[];
  readonly findings: readonly Finding[];
  readonly cameraAlone: CameraAlone;
  /** Of a recompute: who asked for it, why, and its job; null: the run's own. */
  readonly recompute: { readonly computedBy: string; readonly reason: string; readonly jobText: string } | null;
}

export interface RunWithResult { readonly run: RunHead; readonly result: ResultHead }

/** A run with every strand and every station, newest attempts and earlier ones apart. */
export interface WholeRun extends RunWithResult {
  readonly strands: readonly StrandModel[];
  readonly stations: readonly StationResult[];
  readonly earlierAttempts: readonly StationResult[];
}

const HEAD = {
  id: true, createdAt: true, name: true, specimen: true, materialName: true, lot: true, beadShape: true, rehearsal: true, demo: true,
  jobSha256: true, planSha256: true, planFile: true, layerCount: true, strandCount: true,
} as const;

/** The run's own, which no recompute replaces, whatever the clock said when it was made. */
const OWN_RESULT = {
  where: { computedBy: null }, orderBy: [{ computedAt: "asc" as const }, { id: "asc" as const }], take: 1, include: { findings: { orderBy: { findingIndex: "asc" as const } } },
};

function resultHead(row: ResultModel & { findings: Parameters<typeof findingFromRow>[0][] }): ResultHead {
  return {
    id: row.id, computedAt: row.computedAt,
    summary: {
      stations: row.stationCount, laid: row.laidCount, measured: row.measuredCount, inBandLengthFraction: row.inBandLengthFraction,
      plannedVolumeMm3: row.plannedVolumeMm3, measuredVolumeMm3: row.measuredVolumeMm3,
    },
    acceptance: { minMeasuredFraction: row.minMeasuredFraction, minInBandFraction: row.minInBandFraction, maxActFindings: row.maxActFindings },
    warnings: JSON.parse(row.warningsJson) as Warning[],
    findings: row.findings.map(findingFromRow), cameraAlone: { present: row.cameraPresentCount ?? 0, absent: row.cameraAbsentCount ?? 0 },
    recompute: row.computedBy === null || row.reason === null || row.jobText === null ? null : { computedBy: row.computedBy, reason: row.reason, jobText: row.jobText },
  };
}

function runHead<T extends { readonly beadShape: string }>(row: T): T & { readonly beadShape: BeadShape } {
  return { ...row, beadShape: beadShapeFromText(row.beadShape) };
}

/** The head of one run, through a prepared statement. TypeError for one that is not here. */
export function readRunHead(db: Sqlite, id: string): RunHead {
  const row = db.prepare<[string], Omit<RunHead, "rehearsal" | "demo" | "beadShape"> & { readonly rehearsal: number; readonly demo: number; readonly beadShape: string }>(`SELECT ${Object.keys(HEAD).join(", ")} FROM "Run" WHERE id = ?`).get(id);
  if (row === undefined) throw new TypeError(`there is no run ${id}`);
  return runHead({ ...row, rehearsal: row.rehearsal === 1, demo: row.demo === 1 });
}

/** Runs that have a result, newest first, `count` at a time after the run with id `after` (null: from the newest). */
export async function listRuns(prisma: PrismaClient, { count, after }: { count: number; after: string | null }): Promise<RunWithResult[]> {
  const rows = await prisma.run.findMany({
    where: { results: { some: {} } }, orderBy: [{ createdAt: "desc" }, { id: "desc" }], take: count, ...(after === null ? {} : { cursor: { id: after }, skip: 1 }),
    select: { ...HEAD, results: OWN_RESULT },
  });
  return rows.flatMap(({ results, ...run }) => results.map((result) => ({ run: runHead(run), result: resultHead(result) })));
}

/** Of one result, without its findings: its id, and of a recompute who asked for it and why. `resultId` null: the run's own. null: there is none. */
export function readResultHead(db: Sqlite, runId: string, resultId: string | null): Pick<ResultModel, "id" | "computedAt" | "computedBy" | "reason"> | null {
  return db.prepare<[string, string | null, string | null], Pick<ResultModel, "id" | "computedAt" | "computedBy" | "reason">>(
    `SELECT id, computedAt, computedBy, reason FROM "Result" WHERE runId = ? AND CASE WHEN ? IS NULL THEN computedBy IS NULL ELSE id = ? END ORDER BY computedAt, id LIMIT 1`,
  ).get(runId, resultId, resultId) ?? null;
}

/** Runs by their ids and in that order, those without a result too; ids that are not here are left out. */
export async function readRunsById(prisma: PrismaClient, ids: readonly string[]): Promise<{ run: RunHead; result: ResultHead | null }[]> {
  const rows = await prisma.run.findMany({ where: { id: { in: [...ids] } }, select: { ...HEAD, results: OWN_RESULT } }), byId = new Map(rows.map((row) => [row.id, row]));
  return ids.map((id) => byId.get(id)).filter((row) => row !== undefined).map(({ results: [own], ...run }) => ({ run: runHead(run), result: own === undefined ? null : resultHead(own) }));
}

/** null: no such run, or no such result of it. `resultId` of a recompute; null: the run's own result. */
export async function readRun({ db, prisma }: Pick<Store, "db" | "prisma">, id: string, resultId: string | null = null): Promise<WholeRun | null> {
  const row = await prisma.run.findUnique({ where: { id }, select: { ...HEAD, results: resultId === null ? OWN_RESULT : { ...OWN_RESULT, where: { id: resultId } }, strands: { orderBy: [{ layer: "asc" }, { strand: "asc" }] } } });
  const own = row?.results[0];
  if (row === null || own === undefined) return null;
  const { results: _, strands, ...run } = row;
  return { run: runHead(run), result: resultHead(own), strands, ...readStations(db, own.id) };
}

/** Every result of a run with its findings, the run's own first, then recomputes as they came; [] for no such run. */
export async function listResults(prisma: PrismaClient, runId: string): Promise<ResultHead[]> {
  const { include } = OWN_RESULT, rows = await prisma.result.findMany({ where: { runId }, include, orderBy: [{ computedAt: "asc" }, { id: "asc" }] });
  return [...rows.filter((row) => row.computedBy === null), ...rows.filter((row) => row.computedBy !== null)].map(resultHead);
}

/** Runs with a result of their own, newest first. */
export function listRunNames({ db }: Pick<Store, "db">, most: number): Pick<RunHead, "id" | "name" | "createdAt">[] {
  return db.prepare<[number], Pick<RunHead, "id" | "name" | "createdAt">>(
    `SELECT id, name, createdAt FROM "Run" WHERE EXISTS (SELECT 1 FROM "Result" WHERE runId = "Run".id AND computedBy IS NULL) ORDER BY createdAt DESC, id DESC LIMIT ?`,
  ).all(most);
}
