/** Runs for the charts across runs: a strand mean of a given area ratio each, a day apart from 1 January 2026. */
import type { Finding } from "../../lib/model/result.ts";
import type { StrandMean } from "../../lib/model/strandMean.ts";
import type { Store } from "../../lib/store/openStore.ts";
import { writeStrandMeans } from "../../lib/store/strandMeans.ts";
import { writeRun } from "../../lib/store/writeRun.ts";
import { madeResult } from "./madeResult.ts";
import { madeRun } from "./madeRun.ts";
import { madeStrandMean } from "./madeStrandMean.ts";

export interface MadeAcross {
  readonly lot?: string | null;
  readonly nozzleMm?: number;
  readonly devices?: readonly string[];
  /** Strand means of the run; none: the result is from before they were kept. */
  readonly means?: readonly Partial<StrandMean>[];
  readonly findings?: readonly Finding[];
  readonly inBandFraction?: number | null;
  readonly rehearsal?: boolean;
}

/** Writes one run a description, in their order; their ids. `from`: number of the first, so that a second call makes other runs. */
export function writeAcross(store: Store, newId: () => string, runs: readonly MadeAcross[], from = 1): string[] {
  return runs.map(({ lot = "A1", nozzleMm = 0.84, devices = ["profiler-1"], means = [], findings = [], inBandFraction = 0.93, rehearsal = false }, i) => {
    const number = from + i, result = madeResult({ layers: 1, strands: 1, lengthMm: 20, spacingMm: 5, widthMm: 1, heightMm: 0.5, faults: [] }), made = madeRun(number, newId, { ...result, findings, summary: { ...result.summary, inBandLengthFraction: inBandFraction } });
    const createdAt = new Date(Date.UTC(2026, 0, number, 9, 12)).toISOString(), job = { nozzle: { innerDiameterMm: nozzleMm }, devices: [...devices.map((id) => ({ id, kind: "profiler" })), { id: "camera-1", kind: "camera" }] };
    return writeRun(store.db, { ...made, run: { ...made.run, createdAt, lot, rehearsal, demo: false, jobText: JSON.stringify(job) }, computedAt: createdAt }, () => {
      writeStrandMeans(store.db, made.resultId, means.map((mean, k) => madeStrandMean(k + 1, mean)));
    });
  });
}

/** One strand a run, of these area ratios. */
export function ofRatios(ratios: readonly number[]): MadeAcross[] {
  return ratios.map((areaRatio) => ({ means: [{ areaRatio }] }));
}
