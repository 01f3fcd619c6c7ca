/** Makes the measuring side of a report: while a result is written, or, for an older one, when somebody asks. */
import type { FramePlace } from "../model/framePlace.ts";
import type { Acceptance, Job } from "../model/job.ts";
import type { Plan } from "../model/plan.ts";
import type { Preflight } from "../model/preflight.ts";
import type { ReportBody, ReportSection } from "../model/report.ts";
import type { InspectResult, StationResult } from "../model/result.ts";
import type { SectionCut } from "../model/sectionCut.ts";
import type { SheetHead } from "../model/sheet.ts";
import type { StrandMean } from "../model/strandMean.ts";
import { buildStations } from "../plan/stations.ts";
import { reportBody } from "../report/body/reportBody.ts";
import { buildSheet, type SheetInput } from "../report/buildSheet.ts";
import { preflightSentence } from "../report/preflightWords.ts";
import { readFramePlaces } from "../store/framePlaces.ts";
import { readFrames } from "../store/frameRows.ts";
import { readCut } from "../store/history.ts";
import type { Store } from "../store/openStore.ts";
import { readPreflight } from "../store/preflight.ts";
import type { RunHead, WholeRun } from "../store/readRuns.ts";
import { readStrandMeans } from "../store/strandMeans.ts";
import { framing } from "./framing.ts";
import { readSurfaceSection, surfaceSectionNow } from "./surface.ts";

export function sheetHead({ id, name, specimen, lot, materialName, createdAt, rehearsal, demo, planSha256 }: Pick<RunHead, "id" | "name" | "specimen" | "lot" | "materialName" | "createdAt" | "rehearsal" | "demo" | "planSha256">): SheetHead {
  return { runId: id, name, specimen, lot, materialName, createdAt, rehearsal, demo, planSha256 };
}

export interface BodyParts {
  readonly head: SheetHead;
  readonly resultId: string;
  /** As used; null: what is kept of them cannot be read any more. */
  readonly job: Job | null;
  readonly plan: Plan | null;
  readonly beadShape: SheetInput["beadShape"];
  readonly strands: SheetInput["strands"];
  readonly result: Pick<InspectResult, "stations" | "earlierAttempts" | "findings" | "summary" | "warnings" | "frames">;
  /** By file. */
  readonly places: ReadonlyMap<string, FramePlace>;
  readonly acceptance: Acceptance;
  readonly means: readonly StrandMean[];
  readonly preflight: Preflight | null;
  readonly cutAt: (layer: number, strand: number, attempt: number, station: number) => SectionCut | null;
  /** On the whole top surface; null: job and plan cannot be read any more. */
  readonly surface: ReportSection | null;
}

export function makeReportBody({ head, resultId, job, plan, beadShape, strands, result, places, acceptance, means, preflight, cutAt, surface }: BodyParts): ReportBody {
  const sheet = buildSheet({ head, resultId, job, plan, beadShape, strands, ...result, acceptance });
  return reportBody({ ...result, sheet, job, plan, means, preflightSentence: preflight === null ? null : preflightSentence(preflight), cutAt, framed: framing({ frames: result.frames, layers: sheet.layers, job, plan, places }), more: surface === null ? [] : [surface] });
}

/** Of a result that is in memory, as it is being kept. */
export function surfaceOfMade(job: Job, plan: Plan, stations: readonly StationResult[], cutAt: BodyParts["cutAt"]): ReportSection {
  const strands = new Map<string, StationResult[]>();
  for (const station of stations) {
    const key = `${station.layer}/${station.strand}`, group = strands.get(key);
    if (group === undefined) strands.set(key, [station]);
    else group.push(station);
  }
  const of = ({ layer, strand }: Pick<StationResult, "layer" | "strand">): readonly StationResult[] => strands.get(`${layer}/${strand}`) ?? [];
  return surfaceSectionNow({
    job, plan: buildStations(plan, job.stationSpacingMm),
    stationsOf: (strand) => of(strand).map(({ laid, limits: { heightMm } }) => ({ laid, bandMm: heightMm.act })),
    cutsOf: (strand) => of(strand).flatMap(({ measured, attempt }, i) => (measured === null ? [] : cutAt(strand.layer, strand.strand, attempt, i) ?? [])),
  });
}

/** Of a result that was kept without one. */
export async function bodyOfKept(store: Store, { run, result, strands, stations, earlierAttempts }: WholeRun, kept: { readonly job: Job; readonly plan: Plan } | null): Promise<ReportBody> {
  const { db } = store, surface = kept === null ? null : await readSurfaceSection(run.id, result.id, store);
  return makeReportBody({
    surface,
    head: sheetHead(run), resultId: result.id, job: kept?.job ?? null, plan: kept?.plan ?? null, beadShape: run.beadShape, strands, result: { ...result, stations, earlierAttempts, frames: [...readFrames(db, result.id)] }, places: readFramePlaces(db, result.id), acceptance: result.acceptance,
    means: readStrandMeans(db, result.id), preflight: readPreflight(db, result.id)?.preflight ?? null,
    cutAt: (layer, strand, attempt, station) => readCut(db, result.id, layer, strand, attempt, station),
  });
}
