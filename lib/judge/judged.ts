import type { Metric, StationResult } from "../model/result.ts";

/** A station as the findings see it: its result and what its verdict rests on. */
export interface JudgedStation {
  readonly result: StationResult;
  readonly cause: { readonly metric: Metric; readonly value: number; readonly limit: number } | null;
}

/** A metric of a station: the area's ratio, else measured − planned (the offset as it is); null where not measured. */
export function metricOf(station: StationResult, metric: Metric): number | null {
  const m = station.measured;
  if (metric === "areaRatio") return station.areaRatio;
  if (m === null) return null;
  if (metric === "offsetMm") return m.offsetMm;
  const value = metric === "widthMm" ? m.widthMm : m.heightMm;
  return value === null ? null : value - (metric === "widthMm" ? station.planned.widthMm : station.planned.heightMm);
}
