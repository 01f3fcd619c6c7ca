/** Between a result in memory and its rows. null stays null both ways; nothing is rounded. */
import type { BeadShape } from "../model/job.ts";
import type { StationCamera } from "../model/frame.ts";
import { VERDICTS, type StationLimits, type StationResult, type SupportKind, type Verdict } from "../model/result.ts";
import type { LimitSetModel, ReadingModel } from "./generated/models.ts";
import { oneOf } from "./oneOf.ts";

export type ReadingRow = ReadingModel;
export type LimitSetRow = LimitSetModel;

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
  const { measured, u, planned, position, camera } = station;
  return {
    ...key, layer: station.layer, strand: station.strand, attempt: station.attempt, sMm: station.sMm,
    xMm: position[0], yMm: position[1], zMm: position[2], laid: station.laid,
    plannedWidthMm: planned.widthMm, plannedHeightMm: planned.heightMm, plannedAreaMm2: planned.areaMm2,
    widthMm: measured?.widthMm ?? null, heightMm: measured?.heightMm ?? null, areaMm2: measured?.areaMm2 ?? null, offsetMm: measured?.offsetMm ?? null,
    coverageFraction: measured?.coverage ?? null, support: measured?.support ?? null, ageS: measured?.ageS ?? null,
    uWidthMm: u?.widthMm ?? null, uHeightMm: u?.heightMm ?? null, uAreaMm2: u?.areaMm2 ?? null, uOffsetMm: u?.offsetMm ?? null, uPlacementMm: u?.placementMm ?? null,
    areaRatio: station.areaRatio, verdict: station.verdict, proven: station.proven, sagMm: station.sagMm,
    cameraState: camera?.state ?? null, cameraWidthMm: camera?.widthMm ?? null, cameraUWidthMm: camera?.u.widthMm ?? null, cameraFile: camera?.file ?? null,
  };
}

const SUPPORTS: readonly SupportKind[] = ["measured", "planned", "spanned"];

function cameraFromRow({ cameraState, cameraWidthMm, cameraUWidthMm, cameraFile }: ReadingRow): StationCamera | null {
  if (cameraState === null || cameraFile === null) return null;
  return { state: oneOf(["present", "absent"] as const, cameraState, "Reading.cameraState"), widthMm: cameraWidthMm, u: { widthMm: cameraUWidthMm }, file: cameraFile };
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
    areaRatio: row.areaRatio, verdict: verdictFromText(row.verdict), proven: row.proven, sagMm: row.sagMm, camera: cameraFromRow(row), limits,
  };
}
