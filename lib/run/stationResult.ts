import { orNull } from "../base/missing.ts";
import type { LaidStrand } from "../measure/laid.ts";
import type { Point, StationResult, Verdict } from "../model/result.ts";
import type { StrandStations } from "../model/stations.ts";
import type { Standing, StandingReadings } from "./standing.ts";

/** Digits kept of a result's numbers: a nanometre. */
const DIGITS = 1e6;

/** Rounded to 1e-6; never −0. */
export function rounded(value: number): number {
  return Math.round(value * DIGITS) / DIGITS + 0;
}

export function roundedOrNull(value: number): number | null {
  const v = orNull(value);
  return v === null ? null : rounded(v);
}

/** A point of a packed frame. */
export function positionOf(strand: StrandStations, station: number): Point {
  const at = (k: number): number => rounded(strand.frames[12 * station + k] as number);
  return [at(0), at(1), at(2)];
}

/** The result at one station from the reading that stands there (null: none). */
export function stationResult(strand: StrandStations, station: number, laid: LaidStrand, standing: Standing | null, readings: StandingReadings): StationResult {
  const planned = strand.visibleAreaMm2[station] as number;
  const verdict = verdictAt(laid, station, standing);
  const reading = standing?.reading ?? null;
  return {
    layer: strand.layer, strand: strand.strand, sMm: rounded(strand.sMm[station] as number), attempt: laid.attempt[station] as number,
    position: positionOf(strand, station), laid: laid.laid[station] === 1,
    planned: { widthMm: rounded(strand.widthMm[station] as number), heightMm: rounded(strand.heightMm[station] as number), areaMm2: rounded(planned) },
    measured: reading === null ? null : {
      widthMm: roundedOrNull(reading.widthMm), heightMm: roundedOrNull(reading.heightMm), areaMm2: rounded(reading.areaMm2), offsetMm: roundedOrNull(reading.offsetMm),
      coverage: rounded(reading.coverage), support: reading.support, ageS: roundedOrNull((standing as Standing).ageS),
    },
    u: reading === null ? null : {
      widthMm: roundedOrNull(reading.uWidthMm), heightMm: roundedOrNull(reading.uHeightMm), areaMm2: rounded(reading.uAreaMm2), offsetMm: roundedOrNull(reading.uOffsetMm), placementMm: null,
    },
    areaRatio: reading === null ? null : rounded(reading.areaMm2 / planned),
    verdict, proven: standing !== null && standing.judgement.verdict === verdict ? standing.judgement.proven : false,
    sagMm: reading === null ? null : roundedOrNull(reading.sagMm),
    camera: null, limits: readings.limitsOf(strand, station),
  };
}

function verdictAt(laid: LaidStrand, station: number, standing: Standing | null): Verdict {
  if (laid.removed[station] === 1) return "removed";
  if (laid.laid[station] !== 1) return "pending";
  return standing === null ? "unmeasured" : standing.judgement.verdict;
}
