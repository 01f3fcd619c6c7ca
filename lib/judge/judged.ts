import { orNaN, orNull } from "../base/missing.ts";
import type { Metric, StationReading, StationResult, StationUncertainty } from "../model/result.ts";
import { asHung, type Hung } from "./hung.ts";

/** A station as the findings see it: its result and what its verdict rests on. */
export interface JudgedStation {
  readonly result: StationResult;
  readonly cause: { readonly metric: Metric; readonly value: number; readonly limit: number } | null;
}

/** A metric of a station as it is judged: the area's ratio, else measured − planned (the offset as it is); of a spanned bead area and height as it hangs. null where not measured. */
export function metricOf(station: StationResult, metric: Metric): number | null {
  const { measured: m, planned } = station;
  if (m === null) return null;
  if (metric === "offsetMm") return m.offsetMm;
  if (metric === "widthMm") return m.widthMm === null ? null : m.widthMm - planned.widthMm;
  if (m.support !== "spanned") return metric === "areaRatio" ? station.areaRatio : m.heightMm === null ? null : m.heightMm - planned.heightMm;
  const hung = hungOf(m, station.u as StationUncertainty, planned);
  return orNull(metric === "areaRatio" ? hung.areaMm2 / planned.areaMm2 : hung.heightMm - planned.heightMm);
}

function hungOf(m: StationReading, u: StationUncertainty, planned: StationResult["planned"]): Hung {
  return asHung({
    support: m.support, coverage: m.coverage, areaMm2: m.areaMm2, uAreaMm2: u.areaMm2, heightMm: orNaN(m.heightMm), uHeightMm: orNaN(u.heightMm), widthMm: orNaN(m.widthMm), uWidthMm: orNaN(u.widthMm),
  }, planned);
}
