/** Between a result in memory and its rows. null stays null both ways; nothing is rounded. */
import type { BeadShape } from "../model/job.ts";
import type {
  BodyFinding, Finding, FindingKind, Metric, PoreFinding, Severity, StationLimits, StationResult, StretchFinding, SupportKind, Verdict,
} from "../model/result.ts";
import { BODY_KINDS, STRETCH_KINDS, VERDICTS } from "../model/result.ts";
import type { FindingModel, LimitSetModel, ReadingModel } from "./generated/models.ts";

export type ReadingRow = ReadingModel;
export type LimitSetRow = LimitSetModel;
export type FindingRow = FindingModel;

/** One row of LimitSet; `limitIndex` counts the distinct sets of a result from 0. */
export function limitsToRow(resultId: string, limitIndex: number, limits: StationLimits): LimitSetRow {
  const { areaRatio, widthMm, heightMm, offsetMm, gapRatio, liftMm, strayAreaMm2 } = limits;
  return {
    resultId, limitIndex,
    areaRatioActLow: areaRatio.act[0], areaRatioWatchLow: areaRatio.watch[0], areaRatioWatchHigh: areaRatio.watch[1], areaRatioActHigh: areaRatio.act[1],
    widthMmActLow: widthMm.act[0], widthMmWatchLow: widthMm.watch[0], widthMmWatchHigh: widthMm.watch[1], widthMmActHigh: widthMm.act[1],
    heightMmActLow: heightMm.act[0], heightMmWatchLow: heightMm.watch[0], heightMmWatchHigh: heightMm.watch[1], heightMmActHigh: heightMm.act[1],
    offsetMmWatch: offsetMm.watch, offsetMmAct: offsetMm.act, gapRatio, liftMm, strayAreaMm2,
  };
}

export function limitsFromRow(row: LimitSetRow): StationLimits {
  return {
    areaRatio: { watch: [row.areaRatioWatchLow, row.areaRatioWatchHigh], act: [row.areaRatioActLow, row.areaRatioActHigh] },
    widthMm: { watch: [row.widthMmWatchLow, row.widthMmWatchHigh], act: [row.widthMmActLow, row.widthMmActHigh] },
    heightMm: { watch: [row.heightMmWatchLow, row.heightMmWatchHigh], act: [row.heightMmActLow, row.heightMmActHigh] },
    offsetMm: { watch: row.offsetMmWatch, act: row.offsetMmAct },
    gapRatio: row.gapRatio, liftMm: row.liftMm, strayAreaMm2: row.strayAreaMm2,
  };
}

export interface ReadingKey { readonly resultId: string; readonly stationIndex: number; readonly newest: boolean; readonly limitIndex: number }

export function readingToRow(key: ReadingKey, station: StationResult): ReadingRow {
  const { measured, u, planned, position } = station;
  return {
    ...key, layer: station.layer, strand: station.strand, attempt: station.attempt, sMm: station.sMm,
    xMm: position[0], yMm: position[1], zMm: position[2], laid: station.laid,
    plannedWidthMm: planned.widthMm, plannedHeightMm: planned.heightMm, plannedAreaMm2: planned.areaMm2,
    widthMm: measured?.widthMm ?? null, heightMm: measured?.heightMm ?? null, areaMm2: measured?.areaMm2 ?? null, offsetMm: measured?.offsetMm ?? null,
    coverageFraction: measured?.coverage ?? null, support: measured?.support ?? null, ageS: measured?.ageS ?? null,
    uWidthMm: u?.widthMm ?? null, uHeightMm: u?.heightMm ?? null, uAreaMm2: u?.areaMm2 ?? null, uOffsetMm: u?.offsetMm ?? null, uPlacementMm: u?.placementMm ?? null,
    areaRatio: station.areaRatio, verdict: station.verdict, proven: station.proven, sagMm: station.sagMm,
  };
}

const SUPPORTS: readonly SupportKind[] = ["measured", "planned", "spanned"];

/** `value` when it is one of `known`; a TypeError where the database holds a word that this program does not know. */
function oneOf<T extends string>(known: readonly T[], value: string, column: string): T {
  const found = known.find((word) => word === value);
  if (found === undefined) throw new TypeError(`the database holds ${column} "${value}", which this program does not know`);
  return found;
}

export function verdictFromText(text: string): Verdict {
  return oneOf(VERDICTS, text, "Reading.verdict");
}

export function beadShapeFromText(text: string): BeadShape {
  return oneOf(["stadium", "segment"] as const, text, "Run.beadShape");
}

export function readingFromRow(row: ReadingRow, limits: StationLimits): StationResult {
  const seen = row.areaMm2 !== null && row.coverageFraction !== null && row.support !== null;
  return {
    layer: row.layer, strand: row.strand, sMm: row.sMm, attempt: row.attempt, position: [row.xMm, row.yMm, row.zMm], laid: row.laid,
    planned: { widthMm: row.plannedWidthMm, heightMm: row.plannedHeightMm, areaMm2: row.plannedAreaMm2 },
    measured: seen
      ? {
          widthMm: row.widthMm, heightMm: row.heightMm, areaMm2: row.areaMm2 as number, offsetMm: row.offsetMm,
          coverage: row.coverageFraction as number, support: oneOf(SUPPORTS, row.support as string, "Reading.support"), ageS: row.ageS,
        }
      : null,
    u: row.uAreaMm2 === null
      ? null
      : { widthMm: row.uWidthMm, heightMm: row.uHeightMm, areaMm2: row.uAreaMm2, offsetMm: row.uOffsetMm, placementMm: row.uPlacementMm },
    areaRatio: row.areaRatio, verdict: verdictFromText(row.verdict), proven: row.proven, sagMm: row.sagMm, camera: null, limits,
  };
}

export function findingToRow(resultId: string, findingIndex: number, finding: Finding): FindingRow {
  const [xMm, yMm, zMm] = finding.position;
  const worst = "worst" in finding ? finding.worst : null;
  return {
    resultId, findingIndex, kind: finding.kind, severity: finding.severity, proven: finding.proven, layer: finding.layer, xMm, yMm, zMm,
    strand: "strand" in finding ? finding.strand : null,
    fromMm: "fromMm" in finding ? finding.fromMm : null, toMm: "toMm" in finding ? finding.toMm : null,
    lengthMm: "lengthMm" in finding ? finding.lengthMm : null,
    areaMm2: "areaMm2" in finding ? finding.areaMm2 : null, volumeMm3: "volumeMm3" in finding ? finding.volumeMm3 : null,
    worstMetric: worst?.metric ?? null, worstValue: worst?.value ?? null, worstLimit: worst?.limit ?? null,
  };
}

function isIn<T extends FindingKind>(kinds: readonly T[], kind: string): kind is T {
  return kinds.some((known) => known === kind);
}

export function findingFromRow(row: FindingRow): Finding {
  const severity = oneOf<Severity>(["act", "watch"], row.severity, "Finding.severity");
  const common = { severity, proven: row.proven, layer: row.layer, position: [row.xMm, row.yMm, row.zMm] as const };
  if (isIn(STRETCH_KINDS, row.kind)) {
    const worst = { metric: row.worstMetric as Metric | "coverage", value: row.worstValue, limit: row.worstLimit as number };
    return { kind: row.kind, ...common, strand: row.strand as number, fromMm: row.fromMm as number, toMm: row.toMm as number, lengthMm: row.lengthMm as number, worst } satisfies StretchFinding;
  }
  if (isIn(BODY_KINDS, row.kind)) {
    const worst = { metric: "areaMm2" as const, value: row.worstValue as number, limit: row.worstLimit as number };
    return { kind: row.kind, ...common, areaMm2: row.areaMm2 as number, volumeMm3: row.volumeMm3, lengthMm: row.lengthMm as number, worst } satisfies BodyFinding;
  }
  return { kind: oneOf(["closedPore"] as const, row.kind, "Finding.kind"), ...common, strand: row.strand as number, areaMm2: row.areaMm2 as number } satisfies PoreFinding;
}
