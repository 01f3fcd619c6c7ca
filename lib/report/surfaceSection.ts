/** Section "surface" of a report: how the whole top surface that was measured lies against the planned one. */
import type { ReportBlock, ReportSection, ReportTable } from "../model/report.ts";
import type { StationPlan } from "../model/stations.ts";
import type { SurfacePlace, SurfaceSums } from "../model/surfaceSums.ts";
import { surfaceMaps } from "./surfaceMaps.ts";
import { surfaceQuantile } from "./surfaceSums.ts";
import { COVERAGE_FACTOR } from "./uWords.ts";
import { signed } from "./valueWords.ts";
import { percent } from "./words.ts";

export interface SurfaceInput {
  readonly plan: StationPlan;
  readonly sums: SurfaceSums;
  /** Standard uncertainty of one vertex, mm: noise of a sample of the noisiest profiler, and of the bias that was taken out where light enters the paste. */
  readonly vertexUMm: number;
  /** Light enters the paste, and the job does not say how much too high it is seen. */
  readonly isBiasUnknown: boolean;
}

/** Shares of the area whose deviations the table lists. */
const PERCENTILES = [0.01, 0.05, 0.5, 0.95, 0.99];
const MOST_WORST = 6;

/** The profile tolerance zone that holds a surface, and what its band says of it. */
export interface ZoneVerdict {
  /** t = 2 max |deviation|, mm. */
  readonly tMm: number;
  /** Zone of the band: 2 · the nearer limit, mm. */
  readonly limitMm: number;
  readonly outcome: "conforms" | "neither" | "doesNotConform";
}

/**
 * ISO 1101, profile of a surface (from memory): the zone lies between two surfaces that envelop spheres of diameter t centred on the theoretically exact one, so a surface lies in it where no
 * deviation is larger than t / 2. Whether it conforms is proven beyond the guard U alone, either way (ISO 14253-1, from its summaries).
 */
export function zoneVerdict(lowestMm: number, highestMm: number, band: readonly [number, number], guardMm: number): ZoneVerdict {
  const most = Math.max(Math.abs(lowestMm), Math.abs(highestMm)), half = Math.min(Math.abs(band[0]), Math.abs(band[1])), slack = 1e-12;
  return { tMm: 2 * most, limitMm: 2 * half, outcome: most + guardMm <= half + slack ? "conforms" : most - guardMm > half + slack ? "doesNotConform" : "neither" };
}

const OUTCOME_WORDS: Readonly<Record<ZoneVerdict["outcome"], string>> = {
  conforms: "conforms to", neither: "is proven neither to conform nor not to conform to", doesNotConform: "does not conform to",
};

const mm = (value: number): string => `${signed(value, 3)} mm`;

/** What the surface came to; words alone where nothing of it was measured. */
export function surfaceSection({ plan, sums, vertexUMm, isBiasUnknown }: SurfaceInput): ReportSection {
  const { areaMm2, band, lowest, highest, plannedMm2, seenMm2 } = sums;
  const head = { id: "surface", title: "The top surface against the plan" };
  if (areaMm2 === 0 || band === null || lowest === null || highest === null) return { ...head, blocks: [{ kind: "words", text: "No section of the top surface was measured and kept, so nothing is said of it." }] };
  const judged = zoneVerdict(lowest.deviationMm, highest.deviationMm, band, COVERAGE_FACTOR * vertexUMm), zone: ZoneVerdict = isBiasUnknown ? { ...judged, outcome: "neither" } : judged;
  const blocks: ReportBlock[] = [
    { kind: "words", text: `Of the planned top of what was laid, ${percent(Math.min(1, seenMm2 / plannedMm2))} was measured as seen along the normal; ${shareWords(sums)}` },
    { kind: "words", text: `All that was measured lies in a profile zone of t = ${zone.tMm.toFixed(3)} mm (ISO 1101). It ${OUTCOME_WORDS[zone.outcome]} the zone of ${zone.limitMm.toFixed(3)} mm that the act limits of the height make, with U = ${(COVERAGE_FACTOR * vertexUMm).toFixed(3)} mm (k = 2) of a single vertex as guard (ISO 14253-1).` },
    ...surfaceMaps(plan, sums).map((drawing): ReportBlock => ({ kind: "drawing", drawing })),
    { kind: "table", table: percentileTable(sums) }, { kind: "table", table: worstTable(sums.worst.slice(0, MOST_WORST)) },
    { kind: "caution", text: "Deviations are taken along the normal of the planned surface, where a bead stands on its planned base: a target that lies elsewhere moves all of them. The extreme values are single vertices, sensor noise included; nothing was filtered. Undersides and what no profile saw are not part of it." },
  ];
  if (isBiasUnknown) blocks.push({ kind: "caution", text: "Light enters this paste, and its job does not say by how much it is seen too high: every deviation is off by that, and none of this proves that the surface conforms." });
  return { ...head, blocks };
}

function shareWords({ areaMm2, belowMm2, aboveMm2 }: SurfaceSums): string {
  const beyond = belowMm2 + aboveMm2;
  if (beyond === 0) return "all of that lies inside the band of the height.";
  return `${percent(beyond / areaMm2)} of that lies outside the band of the height (${percent(belowMm2 / areaMm2)} below it, ${percent(aboveMm2 / areaMm2)} above it).`;
}

function percentileTable(sums: SurfaceSums): ReportTable {
  return {
    caption: "Deviation of the measured surface by share of its area; + is outside the planned paste", columns: [{ title: "share of the area below, %", isNumber: true }, { title: "deviation, mm", isNumber: true }],
    rows: PERCENTILES.map((p) => [(100 * p).toFixed(0), signed(surfaceQuantile(sums, p), 3)]),
  };
}

function worstTable(places: readonly SurfacePlace[]): ReportTable {
  return {
    caption: "Places furthest from the plan, at most the lowest and the highest of each strand",
    columns: [{ title: "layer", isNumber: true }, { title: "strand", isNumber: true }, { title: "along it, mm", isNumber: true }, { title: "deviation, mm", isNumber: true }, { title: "limit on that side, mm", isNumber: true }],
    rows: places.map(({ layer, strand, sMm, deviationMm, limitMm }) => [String(layer), String(strand), sMm.toFixed(2), mm(deviationMm).replace(" mm", ""), signed(limitMm, 3)]),
  };
}
