/** How long the pages that look across many runs take to answer. */
import type { Finding, InspectResult } from "../model/result.ts";
import { newId } from "../server/settings.ts";
import { appendEntries } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { writeStrandMeans } from "../store/strandMeans.ts";
import { writeRun } from "../store/writeRun.ts";
import type { BenchRow } from "./bench.ts";
import { benchStation } from "./benchRun.ts";
import { served } from "./benchServer.ts";
import type { Io } from "./io.ts";

const RUNS = 1000, STRANDS = 5, STATIONS = 100, SPACING_MM = 0.5, LENGTH_MM = (STATIONS - 1) * SPACING_MM;
/** Entries of each run's log beside its signature. */
const ENTRIES = 60;
/** Answers that the median is taken of; two more go before. */
const ASKED = 9;
const FIRST_MS = Date.UTC(2025, 0, 1), DAY_MS = 86_400_000;

function findingsOf(i: number): Finding[] {
  return i % 3 !== 0 ? [] : [{ kind: "gap", severity: "act", proven: true, layer: 1, strand: 1 + i % STRANDS, fromMm: i % 40, toMm: i % 40 + 2, lengthMm: 2, position: [i % 40, 1, 0], worst: { metric: "areaRatio", value: 0.02, limit: 0.25 } }];
}

function resultOf(i: number, stations: InspectResult["stations"]): InspectResult {
  const count = stations.length, findings = findingsOf(i);
  return {
    contract: "aslaid/1", warnings: [], tolerance: {}, stations, findings, events: [], frames: [], motion: null, earlierAttempts: [],
    summary: { stations: count, laid: count, measured: count, inBandLengthFraction: 0.93 + 0.05 * Math.sin(i), plannedVolumeMm3: 1, measuredVolumeMm3: 1 },
  };
}

/** A job of usual size. */
function jobOf(i: number): string {
  return JSON.stringify({ nozzle: { innerDiameterMm: 0.6 + 0.2 * (i % 3) }, devices: [{ id: `profiler-${1 + i % 4}`, kind: "profiler" }, { id: "arm-1", kind: "arm" }], note: "x".repeat(3000) });
}

function fill({ db }: Store): void {
  const stations = Array.from({ length: STRANDS * STATIONS }, (_, k) => benchStation(1, 1 + Math.floor(k / STATIONS), k % STATIONS));
  for (let i = 0; i < RUNS; i++) {
    const id = newId(), resultId = newId(), hash = i.toString(16).padStart(64, "0"), at = new Date(FIRST_MS + i * DAY_MS / 2).toISOString();
    writeRun(db, {
      run: {
        id, createdAt: at, contentSha256: hash, name: `bench ${i}`, specimen: `block ${i % 70}`, materialName: "paste", lot: `L${i % 25}`, beadShape: "stadium", state: "recorded", rehearsal: false, demo: false,
        jobText: jobOf(i), jobSha256: hash, planFile: "plan.csv", planText: "", planSha256: hash, layerCount: 1, strandCount: STRANDS, plannedLengthMm: STRANDS * LENGTH_MM,
      },
      strands: Array.from({ length: STRANDS }, (_, k) => ({ layer: 1, strand: 1 + k, approach: 1, waypointCount: 2, lengthMm: LENGTH_MM, closed: false })),
      resultId, computedAt: at, acceptance: { minMeasuredFraction: 0.95, minInBandFraction: 0.9, maxActFindings: 0 }, result: resultOf(i, stations),
    }, () => {
      writeStrandMeans(db, resultId, Array.from({ length: STRANDS }, (_, k) => ({
        layer: 1, strand: 1 + k, laidCount: STATIONS, measuredCount: STATIONS, inBandCount: STATIONS, areaRatio: 1 + 0.02 * Math.sin(7 * i + k), widthDevMm: 0.01 * Math.sin(i), heightDevMm: 0.01, offsetMm: 0, laidS: 60 * k,
        uNoiseMm2: 0.004, uSamplingMm2: 0.003, uSupportMm2: 0.002, uDriftMm2: 0.005, uHolesMm2: 0, uCalibrationMm2: 0.001,
      })));
      appendEntries(db, id, Array.from({ length: ENTRIES }, (_, k) => ({ actor: `person ${(i + k) % 12}`, at, kind: "note.added" as const, payload: { layer: 1, strand: 1, sMm: k, text: "bench" } })));
    });
  }
}

const ADDRESSES = [
  ["/runs, nothing asked", "/runs"], ["/runs, all filters", `/runs?${new URLSearchParams({ text: "bench", from: "2025-02-01", to: "2026-12-31", material: "paste", lot: "L1", device: "profiler-2", person: "person 3", verdict: "acceptable", signed: "no" }).toString()}`],
  ["/across, all runs", "/across"], ["/across, one cell by CUSUM", `/across?${new URLSearchParams({ chart: "cusum", cell: "arm-1 + profiler-2" }).toString()}`],
] as const;

/** Milliseconds until the whole page has come. */
async function answerMs(io: Io, address: string): Promise<number> {
  const began = io.nowMs(), answer = await fetch(address);
  await answer.text();
  if (answer.status !== 200) throw new TypeError(`${address} answered ${answer.status}`);
  return io.nowMs() - began;
}

/** Rows of the pages that look across 1 000 runs of 500 stations. */
export async function findRows(io: Io): Promise<BenchRow[]> {
  io.err(`writing ${RUNS} runs of ${STRANDS * STATIONS} stations`);
  return served(fill, async ({ url }) => {
    const rows: BenchRow[] = [];
    for (const [name, address] of ADDRESSES) {
      const ms: number[] = [];
      for (let i = 0; i < ASKED + 2; i++) ms.push(await answerMs(io, `${url}${address}`));
      const sorted = ms.slice(2).sort((a, b) => a - b);
      rows.push({ what: `answer of ${name}, ${RUNS} runs of ${STRANDS * STATIONS} stations: median, longest`, value: `${(sorted[ASKED >> 1] as number).toFixed(0)} ms, ${(sorted.at(-1) as number).toFixed(0)} ms`, aim: "< 500 ms" });
    }
    return rows;
  });
}
