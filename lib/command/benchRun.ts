/** A run of 100 000 stations with its report and its record, made for measuring what pages of it cost. No measuring behind it. */
import { outlineMm } from "../formula/bead.ts";
import type { Job } from "../model/job.ts";
import { resolveJob } from "../model/jobSchema.ts";
import type { Plan } from "../model/plan.ts";
import type { ReportBody } from "../model/report.ts";
import type { SectionCut } from "../model/sectionCut.ts";
import { readPlan } from "../plan/readPlan.ts";
import { simulate } from "../rehearsal/simulate.ts";
import { strandMeans } from "../run/strandMeans.ts";
import type { Finding, InspectResult, StationLimits, StationResult } from "../model/result.ts";
import { makeReportBody, sheetHead, surfaceOfMade } from "../server/reportBody.ts";
import { newId, nowIso } from "../server/settings.ts";
import { strandRows } from "../server/writeWithRecord.ts";
import { appendEntries, sealLog } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { writeReportBody } from "../store/reportBodies.ts";
import { rowsDigest } from "../store/rowsDigest.ts";
import { writeRun, type NewRun, type RunRow } from "../store/writeRun.ts";

const LAYERS = 4, STRANDS = 25, STATIONS = 1000, SPACING_MM = 0.5;
/** Stations from one finding to the next. */
const EVERY = 490;
const LIMITS: StationLimits = {
  areaRatio: { watch: [0.9, 1.1], act: [0.8, 1.25] }, widthMm: { watch: [-0.1, 0.1], act: [-0.2, 0.2] }, heightMm: { watch: [-0.06, 0.06], act: [-0.12, 0.12] },
  offsetMm: { watch: 0.15, act: 0.3 }, gapRatio: 0.25, liftMm: 0.15, strayAreaMm2: 0.5,
};

/** A station whose bead differs from its neighbours', so that no line is level and can be drawn with fewer points. */
export function benchStation(layer: number, strand: number, i: number): StationResult {
  const wave = (k: number): number => Math.sin(i * (0.9 + 0.13 * k) + strand + layer) + Math.sin(i * 0.031 * (k + 1));
  const [widthMm, heightMm, areaMm2, offsetMm] = [1 + 0.03 * wave(1), 0.5 + 0.012 * wave(2), 0.473 * (1 + 0.03 * wave(3)), 0.03 * wave(4)];
  return {
    layer, strand, sMm: i * SPACING_MM, attempt: 1, position: [i * SPACING_MM, strand * 1.4, layer * 0.5], laid: true, planned: { widthMm: 1, heightMm: 0.5, areaMm2: 0.473 },
    measured: { widthMm, heightMm, areaMm2, offsetMm, coverage: 0.97, support: "measured", ageS: 0.6 }, u: { widthMm: 0.02, heightMm: 0.006, areaMm2: 0.008, offsetMm: 0.01, placementMm: null },
    areaRatio: areaMm2 / 0.473, verdict: i % EVERY < 5 ? "under" : "inBand", proven: true, sagMm: null, camera: null, limits: LIMITS,
  };
}

/** At every so many stations of a strand. */
function finding({ layer, strand, sMm, position }: StationResult): Finding {
  return { kind: "underExtrusion", severity: "act", proven: true, layer, strand, fromMm: sMm, toMm: sMm + 2, lengthMm: 2, position, worst: { metric: "areaRatio", value: 0.7, limit: 0.8 } };
}

function madeResult(): InspectResult {
  const count = LAYERS * STRANDS * STATIONS;
  const stations = Array.from({ length: count }, (_, k) => benchStation(1 + Math.floor(k / (STRANDS * STATIONS)), 1 + Math.floor(k / STATIONS) % STRANDS, k % STATIONS));
  return {
    contract: "aslaid/1", warnings: [], tolerance: {}, stations, findings: stations.filter((_, k) => k % STATIONS % EVERY === 0).map(finding), events: [], frames: [], motion: null, earlierAttempts: [],
    summary: { stations: count, laid: count, measured: count, inBandLengthFraction: 1, plannedVolumeMm3: 1, measuredVolumeMm3: 1 },
  };
}

/** Strands on straight lines, as benchStation has them. */
function planText(): string {
  const lengthMm = (STATIONS - 1) * SPACING_MM, rows = ["layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s"];
  for (let layer = 1; layer <= LAYERS; layer++) for (let strand = 1; strand <= STRANDS; strand++) for (const x of [0, lengthMm]) rows.push([layer, strand, x, (strand * 1.4).toFixed(1), layer * 0.5, 0, 0, 1, 1, 0.5, 8, ""].join(","));
  return `${rows.join("\n")}\n`;
}

/** As a profile would have seen it: samples 0.02 mm apart on the outline, a hundredth of a millimetre higher or lower. */
function cutOf(layer: number, strand: number, attempt: number, stationIndex: number): SectionCut {
  const points = Array.from({ length: 70 }, (_, k) => { const bMm = -0.69 + 0.02 * k; return { bMm, nMm: outlineMm("stadium", 1, 0.5, bMm) + 0.01 * Math.sin(k * 1.7 + stationIndex), used: true }; });
  return {
    layer, strand, attempt, stationIndex, device: "profiler-1", seq: stationIndex, tS: stationIndex / 10, alongMm: 0, slant: { perB: 0, perN: 0 }, points, usedCount: points.length, notUsedCount: 0,
    support: [{ bMm: -0.7, nMm: 0, kind: "measured" }, { bMm: 0.7, nMm: 0, kind: "measured" }], flanks: { rightMm: -0.5, leftMm: 0.5 }, crownMm: 0.5, window: { rightMm: -0.7, leftMm: 0.7 },
  };
}

/** Everything that a report of a run of 100 000 stations is made of. */
export interface LargeRun { readonly run: RunRow; readonly resultId: string; readonly job: Job; readonly plan: Plan; readonly strands: NewRun["strands"]; readonly result: InspectResult }

export function makeLargeRun(): LargeRun {
  const jobText = JSON.stringify(simulate({ strands: 1, lengthMm: 3 }).jobJson), sha256 = "0".repeat(64), { job } = resolveJob(JSON.parse(jobText), "job.json"), text = planText(), { plan } = readPlan(text, job, "plan.csv");
  const run: RunRow = {
    id: newId(), createdAt: nowIso(), contentSha256: sha256, name: "bench", specimen: null, materialName: job.material.name, lot: null, beadShape: job.material.beadShape, state: "recorded", rehearsal: true, demo: false,
    jobText, jobSha256: sha256, planFile: "plan.csv", planText: text, planSha256: sha256, layerCount: LAYERS, strandCount: LAYERS * STRANDS, plannedLengthMm: LAYERS * STRANDS * (STATIONS - 1) * SPACING_MM,
  };
  return { run, resultId: newId(), job, plan, strands: strandRows(plan), result: madeResult() };
}

/** What measuring says in its report. */
export function bodyOfLarge({ run, resultId, job, plan, strands, result }: LargeRun): ReportBody {
  return makeReportBody({
    head: sheetHead(run), resultId, job, plan, beadShape: job.material.beadShape, strands, result, acceptance: job.acceptance, means: strandMeans(result.stations, () => undefined), preflight: null, cutAt: cutOf, places: new Map(),
    surface: surfaceOfMade(job, plan, result.stations, cutOf),
  });
}

/** Writes the run; its id. */
export function writeLargeRun({ db, signingKey }: Store): string {
  const large = makeLargeRun(), { run, resultId, job, strands, result } = large, body = bodyOfLarge(large), { id, createdAt: at, name, jobSha256, planFile, planSha256 } = run;
  return writeRun(db, { run, strands, resultId, computedAt: at, acceptance: job.acceptance, result }, () => {
    writeReportBody(db, resultId, body);
    appendEntries(db, id, [
      { actor: "bench", at, kind: "run.created", payload: { name, jobSha256, planFile, planSha256 } },
      { actor: "bench", at, kind: "result.computed", payload: { name: "result.json", sha256: jobSha256, size: 0, resultId, rowsSha256: rowsDigest(db, id, resultId) } },
    ]);
    sealLog(db, id, { key: signingKey, at });
  });
}
