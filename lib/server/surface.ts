/** The as-laid surface of a result that is kept: as a PLY file, and summed up for its report. */
import { InputError } from "../base/errors.ts";
import type { AsLaidRow } from "../model/asLaid.ts";
import type { Job } from "../model/job.ts";
import { resolveJob } from "../model/jobSchema.ts";
import type { ReportSection } from "../model/report.ts";
import type { SectionCut } from "../model/sectionCut.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import type { SurfaceStation } from "../model/surfaceSums.ts";
import { asLaidPly, type PlyHead } from "../report/asLaidPly.ts";
import { asLaidRows, latticeOf, surfaceBiasOf } from "../report/asLaidRows.ts";
import type { LaidStrandPlace } from "../report/asLaidVertices.ts";
import { surfaceSection } from "../report/surfaceSection.ts";
import { SurfaceAdder } from "../report/surfaceSums.ts";
import type { Store } from "../store/openStore.ts";
import { readNewestCuts, readSurfaceStations, type StrandOfResult } from "../store/surfaceRows.ts";
import { look } from "./look/sharedLook.ts";
import { sharedStore } from "./settings.ts";

const PLY_TYPE = "application/octet-stream";
/** Rows between two moments at which the server may do something else. */
const ROWS_A_PAUSE = 64;

interface Kept { readonly name: string; readonly rehearsal: number; readonly jobText: string; readonly planText: string; readonly resultId: string }

/** The run and its result: that of `resultId`, else the run's own. InputError store.noRun. */
function findResult({ db }: Store, runId: string, resultId: string | null): Kept {
  const found = db.prepare<[string, string | null, string | null], Kept>(
    `SELECT run.name, run.rehearsal, run.jobText, run.planText, r.id AS resultId FROM "Run" run JOIN "Result" r ON r.runId = run.id
     WHERE run.id = ? AND CASE WHEN ? IS NULL THEN r.computedBy IS NULL ELSE r.id = ? END ORDER BY r.computedAt, r.id LIMIT 1`,
  ).get(runId, resultId, resultId);
  if (found === undefined) throw new InputError("store.noRun", "a run that is kept and a result of it", JSON.stringify(runId.slice(0, 60)), {});
  return found;
}

/** Stations of the plan, and what is known of its profilers. */
interface Planned { readonly plan: StationPlan; readonly job: Job }

/** What a surface is made of, strand by strand: its stations, and the sections of newest readings in their order. */
export interface SurfaceParts extends Planned {
  readonly stationsOf: (strand: StrandStations) => readonly SurfaceStation[];
  readonly cutsOf: (strand: StrandStations) => Iterable<SectionCut>;
}

interface SurfaceStrand { readonly place: LaidStrandPlace; readonly strand: StrandStations; readonly rows: () => Iterable<AsLaidRow> }

/** Every strand of the plan; its sections are read when its rows are asked for. */
function* strandsOf({ plan, job, cutsOf }: Omit<SurfaceParts, "stationsOf">): Generator<SurfaceStrand> {
  const bias = surfaceBiasOf(job);
  for (const strand of plan.strands) {
    const lattice = latticeOf(strand);
    yield { strand, place: { strand, lattice, shape: plan.beadShape }, rows: () => asLaidRows(strand, lattice, cutsOf(strand), bias) };
  }
}

/** As the store keeps them. */
function keptParts({ db }: Store, resultId: string, planned: Planned): SurfaceParts {
  const of = ({ layer, strand }: StrandStations): StrandOfResult => ({ resultId, layer, strand });
  return { ...planned, stationsOf: (strand) => readSurfaceStations(db, of(strand)), cutsOf: (strand) => readNewestCuts(db, of(strand), strand.count) };
}

async function plannedOf(kept: Kept, signal?: AbortSignal): Promise<Planned> {
  const jobText = kept.jobText.replace(/^\uFEFF/, ""); // a job may have come with a byte order mark
  return { plan: await look({ op: "stations", jobText, planText: kept.planText }, signal), job: resolveJob(JSON.parse(jobText), "job.json").job };
}

/** The file "asLaid-RUNID.ply", piece by piece as it is taken. `resultId`: of a recompute; null: the run's own result. InputError store.noRun; job.*, plan.* where what is kept cannot be read any more. */
export async function readSurfacePly(runId: string, resultId: string | null, signal?: AbortSignal, store: Store = sharedStore()): Promise<Response> {
  const kept = findResult(store, runId, resultId), planned = await plannedOf(kept, signal);
  const head: PlyHead = { runId, resultId: kept.resultId, name: kept.name, stamp: kept.rehearsal === 1 ? "REHEARSAL: invented data" : null };
  const pieces = asLaidPly(head, strandsOf(keptParts(store, kept.resultId, planned)));
  const body = new ReadableStream<Uint8Array>({
    async pull(controller) {
      for (;;) {
        const { done, value } = pieces.next();
        if (done === true) return controller.close();
        if (value.length > 0) return controller.enqueue(value);
        await breathe();
      }
    },
  });
  return new Response(body, { headers: { "Content-Type": PLY_TYPE, "Content-Disposition": `attachment; filename="asLaid-${runId}.ply"`, "Cache-Control": "no-store" } });
}

/** Section "surface" of a result's report. InputError as `readSurfacePly`. */
export async function readSurfaceSection(runId: string, resultId: string | null, store: Store = sharedStore()): Promise<ReportSection> {
  const kept = findResult(store, runId, resultId), work = sumSurface(keptParts(store, kept.resultId, await plannedOf(kept)));
  for (let rowCount = 1; ; rowCount++) {
    const { done, value } = work.next();
    if (done === true) return value;
    if (rowCount % ROWS_A_PAUSE === 0) await breathe();
  }
}

/** The same of a result that is in memory, here and now. */
export function surfaceSectionNow(parts: SurfaceParts): ReportSection {
  const work = sumSurface(parts);
  for (;;) {
    const { done, value } = work.next();
    if (done === true) return value;
  }
}

/** Stops after each row, so that something else may be done in between; returns the section. */
function* sumSurface(parts: SurfaceParts): Generator<undefined, ReportSection, undefined> {
  const adder = new SurfaceAdder(), { plan, job, stationsOf } = parts;
  for (const { place, strand, rows } of strandsOf(parts)) for (const _ of adder.add(place, stationsOf(strand), rows())) yield undefined;
  const profilers = job.devices.filter((device) => device.kind === "profiler"), isTranslucent = job.material.translucent;
  return surfaceSection({
    plan, sums: adder.sums(), vertexUMm: Math.max(...profilers.map(({ sigmaZMm, surfaceBiasMm }) => Math.hypot(sigmaZMm, isTranslucent ? (surfaceBiasMm?.u ?? 0) : 0))),
    isBiasUnknown: isTranslucent && profilers.some(({ surfaceBiasMm }) => surfaceBiasMm === null),
  });
}

/** Lets the server do what waits: cells and screens come first. */
function breathe(): Promise<void> {
  return new Promise((done) => { setImmediate(done); });
}
