/** A run of 100 000 stations with its report and its record, made for measuring what pages of it cost. No measuring behind it. */
import type { Finding, InspectResult, StationLimits, StationResult } from "../model/result.ts";
import { makeReportBody, sheetHead } from "../server/reportBody.ts";
import { newId, nowIso } from "../server/settings.ts";
import { appendEntries, sealLog } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { writeReportBody } from "../store/reportBodies.ts";
import { rowsDigest } from "../store/rowsDigest.ts";
import { writeRun, type RunRow } from "../store/writeRun.ts";

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

const ACCEPTANCE = { minMeasuredFraction: 0.95, minInBandFraction: 0.9, maxActFindings: 0 };

/** Writes the run; its id. */
export function writeLargeRun({ db, signingKey }: Store): string {
  const sha256 = "0".repeat(64), lengthMm = (STATIONS - 1) * SPACING_MM, [id, resultId, at] = [newId(), newId(), nowIso()], result = madeResult();
  const run: RunRow = {
    id, createdAt: at, contentSha256: sha256, name: "bench", specimen: null, materialName: "none", lot: null, beadShape: "stadium", state: "recorded", rehearsal: false, demo: false,
    jobText: "{}", jobSha256: sha256, planFile: "plan.csv", planText: "", planSha256: sha256, layerCount: LAYERS, strandCount: LAYERS * STRANDS, plannedLengthMm: LAYERS * STRANDS * lengthMm,
  };
  const strands = Array.from({ length: LAYERS * STRANDS }, (_, k) => ({ layer: 1 + Math.floor(k / STRANDS), strand: 1 + k % STRANDS, approach: 1, waypointCount: 2, lengthMm, closed: false }));
  const body = makeReportBody({ head: sheetHead(run), resultId, job: null, plan: null, beadShape: "stadium", strands, result, acceptance: ACCEPTANCE, means: [], preflight: null, cutAt: () => null, surface: null });
  return writeRun(db, { run, strands, resultId, computedAt: at, acceptance: ACCEPTANCE, result }, () => {
    writeReportBody(db, resultId, body);
    appendEntries(db, id, [
      { actor: "bench", at, kind: "run.created", payload: { name: run.name, jobSha256: sha256, planFile: run.planFile, planSha256: sha256 } },
      { actor: "bench", at, kind: "result.computed", payload: { name: "result.json", sha256, size: 0, resultId, rowsSha256: rowsDigest(db, id, resultId) } },
    ]);
    sealLog(db, id, { key: signingKey, at });
  });
}
