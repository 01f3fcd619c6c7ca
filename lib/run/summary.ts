import type { StationResult, Summary } from "../model/result.ts";

/** Counts, in-band length over laid length, and visible volumes over measured stations. Each station stands for half the way to its neighbours on the strand. */
export function summarise(stations: readonly StationResult[]): Summary {
  let laid = 0, measured = 0, laidMm = 0, inBandMm = 0, planned = 0, seen = 0;
  stations.forEach((station, i) => {
    const before = neighbour(stations, i, -1), after = neighbour(stations, i, 1);
    const lengthMm = (after.sMm - before.sMm) / 2;
    if (station.laid) {
      laid++;
      laidMm += lengthMm;
      if (station.verdict === "inBand") inBandMm += lengthMm;
    }
    if (station.measured === null) return;
    measured++;
    planned += station.planned.areaMm2 * lengthMm;
    seen += station.measured.areaMm2 * lengthMm;
  });
  const round = (v: number): number => Math.round(v * 1e6) / 1e6;
  return {
    stations: stations.length, laid, measured, inBandLengthFraction: laidMm > 0 ? round(inBandMm / laidMm) : null,
    plannedVolumeMm3: round(planned), measuredVolumeMm3: round(seen),
  };
}

/** The station before (−1) or after (+1) on the same strand; the station itself at an end. */
function neighbour(stations: readonly StationResult[], i: number, step: 1 | -1): StationResult {
  const here = stations[i] as StationResult, next = stations[i + step];
  return next !== undefined && next.layer === here.layer && next.strand === here.strand ? next : here;
}
