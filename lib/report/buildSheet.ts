/** From what is kept of a run to the sheet that shows it. Pure; the strands come unrolled, the findings worst first with their place. */
import type { Warning } from "../base/errors.ts";
import type { Acceptance, BeadShape } from "../model/job.ts";
import type { Finding, StationLimits, StationResult, Summary } from "../model/result.ts";
import type { Sheet, SheetFinding, SheetHead, SheetLayer, SheetStrand } from "../model/sheet.ts";
import { ADVICE, mm } from "./findingWords.ts";
import { rankFindings } from "./ranking.ts";
import { stateSentence } from "./sentence.ts";
import { valueWords } from "./valueWords.ts";

export interface SheetInput {
  readonly head: SheetHead;
  readonly beadShape: BeadShape;
  readonly strands: readonly { readonly layer: number; readonly strand: number; readonly lengthMm: number; readonly closed: boolean }[];
  readonly stations: readonly StationResult[];
  readonly earlierAttempts: readonly StationResult[];
  readonly findings: readonly Finding[];
  readonly summary: Summary;
  readonly acceptance: Acceptance;
  readonly warnings: readonly Warning[];
}

/** Screens need no more digits than this: 0.1 µm, and the page stays small. */
function short<T extends number | null>(value: T): T {
  return (value === null ? null : Math.round(value * 1e4) / 1e4) as T;
}

const keyOf = (at: { readonly layer: number; readonly strand: number }): string => `${at.layer}/${at.strand}`;

function groupByStrand(stations: readonly StationResult[]): Map<string, StationResult[]> {
  const groups = new Map<string, StationResult[]>();
  for (const station of stations) {
    const group = groups.get(keyOf(station));
    if (group === undefined) groups.set(keyOf(station), [station]);
    else group.push(station);
  }
  return groups;
}

class LimitTable {
  readonly sets: StationLimits[] = [];
  readonly #indexOf = new Map<string, number>();

  indexOf(limits: StationLimits): number {
    const key = JSON.stringify(limits);
    const known = this.#indexOf.get(key);
    if (known !== undefined) return known;
    this.#indexOf.set(key, this.sets.length);
    return this.sets.push(limits) - 1;
  }
}

function unroll(strand: SheetInput["strands"][number], stations: readonly StationResult[], limits: LimitTable): SheetStrand {
  return {
    layer: strand.layer, strand: strand.strand, lengthMm: strand.lengthMm, closed: strand.closed, attempt: stations.map((at) => at.attempt),
    sMm: stations.map((at) => short(at.sMm)), laid: stations.map((at) => at.laid),
    plannedWidthMm: stations.map((at) => short(at.planned.widthMm)), plannedHeightMm: stations.map((at) => short(at.planned.heightMm)),
    plannedAreaMm2: stations.map((at) => short(at.planned.areaMm2)),
    widthMm: stations.map((at) => short(at.measured?.widthMm ?? null)), heightMm: stations.map((at) => short(at.measured?.heightMm ?? null)),
    areaMm2: stations.map((at) => short(at.measured?.areaMm2 ?? null)), offsetMm: stations.map((at) => short(at.measured?.offsetMm ?? null)),
    areaRatio: stations.map((at) => short(at.areaRatio)),
    uWidthMm: stations.map((at) => short(at.u?.widthMm ?? null)), uHeightMm: stations.map((at) => short(at.u?.heightMm ?? null)),
    uAreaMm2: stations.map((at) => short(at.u?.areaMm2 ?? null)), uOffsetMm: stations.map((at) => short(at.u?.offsetMm ?? null)),
    coverage: stations.map((at) => short(at.measured?.coverage ?? null)), support: stations.map((at) => at.measured?.support ?? null),
    ageS: stations.map((at) => short(at.measured?.ageS ?? null)), verdict: stations.map((at) => at.verdict), proven: stations.map((at) => at.proven),
    limits: stations.map((at) => limits.indexOf(at.limits)),
  };
}

function buildLayers(input: SheetInput, limits: LimitTable): SheetLayer[] {
  const groups = groupByStrand(input.stations);
  const layers = new Map<number, SheetStrand[]>();
  for (const strand of input.strands) {
    const strands = layers.get(strand.layer) ?? [];
    layers.set(strand.layer, strands);
    strands.push(unroll(strand, groups.get(keyOf(strand)) ?? [], limits));
  }
  return [...layers].map(([layer, strands]) => ({ layer, strands }));
}

function squaredDistanceMm2(a: readonly [number, number, number], b: readonly [number, number, number]): number {
  return (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + (a[2] - b[2]) ** 2;
}

/** The station that lies nearest to a finding's position, on its strand where it has one; null: the layer has no stations. */
function stationOf(finding: Finding, stations: readonly StationResult[]): StationResult | null {
  let best: StationResult | null = null;
  let bestMm2 = Infinity;
  for (const station of stations) {
    if (station.layer !== finding.layer || ("strand" in finding && station.strand !== finding.strand)) continue;
    const distanceMm2 = squaredDistanceMm2(station.position, finding.position);
    if (distanceMm2 < bestMm2) [best, bestMm2] = [station, distanceMm2];
  }
  return best;
}

function toSheetFinding(finding: Finding, rank: number, stations: readonly StationResult[]): SheetFinding {
  const station = stationOf(finding, stations);
  const inStrand = "fromMm" in finding;
  const sMm = station?.sMm ?? 0;
  const strand = station?.strand ?? 1;
  const halfMm = "lengthMm" in finding ? finding.lengthMm / 2 : 0;
  const { value, limit } = valueWords(finding, inStrand ? station : null);
  return {
    rank, kind: finding.kind, severity: finding.severity, proven: finding.proven, layer: finding.layer, strand, offPath: !inStrand,
    fromMm: short(inStrand ? finding.fromMm : Math.max(0, sMm - halfMm)), toMm: short(inStrand ? finding.toMm : sMm + halfMm), sMm: short(sMm),
    areaMm2: "areaMm2" in finding ? finding.areaMm2 : null,
    whereWords: `${inStrand ? "" : "by "}strand ${strand}`,
    rangeWords: inStrand ? `${mm(finding.fromMm)}–${mm(finding.toMm)} mm` : `${mm(sMm)} mm`,
    valueWords: value, limitWords: limit, advice: ADVICE[finding.kind],
  };
}

export function buildSheet(input: SheetInput): Sheet {
  const limits = new LimitTable();
  const layers = buildLayers(input, limits);
  const findings = rankFindings(input.findings).map((index, rank) => toSheetFinding(input.findings[index] as Finding, rank, input.stations));
  return {
    head: input.head, beadShape: input.beadShape, words: stateSentence(input), layers, limits: limits.sets, findings, warnings: input.warnings,
    earlierAttemptCount: groupByStrand(input.earlierAttempts).size,
  };
}
