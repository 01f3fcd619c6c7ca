/** What the pages read, through Prisma. */
import type { Warning } from "../base/errors.ts";
import type { Acceptance, BeadShape } from "../model/job.ts";
import type { Finding, StationResult, Summary, Verdict } from "../model/result.ts";
import type { PrismaClient } from "./generated/client.ts";
import type { ResultModel, StrandModel } from "./generated/models.ts";
import { beadShapeFromText, findingFromRow, limitsFromRow, readingFromRow, verdictFromText } from "./rows.ts";

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

/** What was made of it: the newest result. */
export interface ResultHead {
  readonly id: string;
  readonly computedAt: string;
  readonly summary: Summary;
  readonly acceptance: Acceptance;
  readonly warnings: readonly Warning[];
  readonly findings: readonly Finding[];
}

/** Of one station no more than a small picture needs. */
export interface OutlineRow {
  readonly resultId: string;
  readonly layer: number;
  readonly strand: number;
  readonly sMm: number;
  readonly verdict: Verdict;
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

const NEWEST_RESULT = {
  orderBy: [{ computedAt: "desc" as const }, { id: "desc" as const }], take: 1, include: { findings: { orderBy: { findingIndex: "asc" as const } } },
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
    findings: row.findings.map(findingFromRow),
  };
}

function runHead<T extends { readonly beadShape: string }>(row: T): T & { readonly beadShape: BeadShape } {
  return { ...row, beadShape: beadShapeFromText(row.beadShape) };
}

/** Runs, newest first, `count` at a time after the run with id `after` (null: from the newest). */
export async function listRuns(prisma: PrismaClient, { count, after }: { count: number; after: string | null }): Promise<RunWithResult[]> {
  const rows = await prisma.run.findMany({
    orderBy: [{ createdAt: "desc" }, { id: "desc" }], take: count, ...(after === null ? {} : { cursor: { id: after }, skip: 1 }),
    select: { ...HEAD, results: NEWEST_RESULT },
  });
  return rows.flatMap(({ results, ...run }) => results.map((result) => ({ run: runHead(run), result: resultHead(result) })));
}

/** null: no such run. */
export async function readRun(prisma: PrismaClient, id: string): Promise<WholeRun | null> {
  const row = await prisma.run.findUnique({ where: { id }, select: { ...HEAD, results: NEWEST_RESULT, strands: { orderBy: [{ layer: "asc" }, { strand: "asc" }] } } });
  const newest = row?.results[0];
  if (row === null || newest === undefined) return null;
  const { results: _, strands, ...run } = row;
  const [readings, limits] = await Promise.all([
    prisma.reading.findMany({ where: { resultId: newest.id }, orderBy: [{ layer: "asc" }, { strand: "asc" }, { stationIndex: "asc" }, { attempt: "asc" }] }),
    prisma.limitSet.findMany({ where: { resultId: newest.id } }),
  ]);
  const limitsAt = new Map(limits.map((set) => [set.limitIndex, limitsFromRow(set)]));
  const stations: StationResult[] = [];
  const earlierAttempts: StationResult[] = [];
  for (const reading of readings) {
    const inForce = limitsAt.get(reading.limitIndex);
    if (inForce === undefined) throw new TypeError(`result ${newest.id} has no limits ${reading.limitIndex}`);
    (reading.newest ? stations : earlierAttempts).push(readingFromRow(reading, inForce));
  }
  return { run: runHead(run), result: resultHead(newest), strands, stations, earlierAttempts };
}

/** Newest stations of many results in one query, for the small pictures of a list; in order of layer, strand and s. */
export async function readOutlines(prisma: PrismaClient, resultIds: readonly string[]): Promise<OutlineRow[]> {
  const rows = await prisma.reading.findMany({
    where: { resultId: { in: [...resultIds] }, newest: true },
    orderBy: [{ resultId: "asc" }, { layer: "asc" }, { strand: "asc" }, { stationIndex: "asc" }],
    select: { resultId: true, layer: true, strand: true, sMm: true, verdict: true },
  });
  return rows.map((row) => ({ ...row, verdict: verdictFromText(row.verdict) }));
}
