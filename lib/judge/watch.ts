import type { Metric, StationLimits, StretchFinding, StretchKind } from "../model/result.ts";
import { metricOf, type JudgedStation } from "./judged.ts";

/** The mean over this many bead widths has to lie beyond a watch limit. */
const WATCH_WIDTHS = 5;

interface Side { readonly metric: Metric; readonly kind: StretchKind; limit(l: StationLimits): number; readonly sign: 1 | -1 }

/** The ways a mean can lie beyond a watch limit, in the order in which they claim stations. */
const SIDES: readonly Side[] = [
  { metric: "areaRatio", kind: "underExtrusion", limit: (l) => l.areaRatio.watch[0], sign: -1 },
  { metric: "areaRatio", kind: "overExtrusion", limit: (l) => l.areaRatio.watch[1], sign: 1 },
  { metric: "widthMm", kind: "underExtrusion", limit: (l) => l.widthMm.watch[0], sign: -1 },
  { metric: "widthMm", kind: "overExtrusion", limit: (l) => l.widthMm.watch[1], sign: 1 },
  { metric: "heightMm", kind: "underExtrusion", limit: (l) => l.heightMm.watch[0], sign: -1 },
  { metric: "heightMm", kind: "overExtrusion", limit: (l) => l.heightMm.watch[1], sign: 1 },
  { metric: "offsetMm", kind: "displacedStrand", limit: (l) => l.offsetMm.watch, sign: 1 },
  { metric: "offsetMm", kind: "displacedStrand", limit: (l) => -l.offsetMm.watch, sign: -1 },
];

/** Watch findings on stations that no other finding has claimed (`claimed` is filled in). */
export function watchStretches(stations: readonly JudgedStation[], claimed: Uint8Array): StretchFinding[] {
  return SIDES.flatMap((side) => {
    const beyond = beyondOnMean(stations, claimed, side);
    return runsOf(beyond).map(([first, last]) => {
      claimed.fill(1, first, last + 1);
      return watchFinding(stations, side, first, last);
    });
  });
}

/** Marks the stations of every window of 5 w (or the whole strand, where it is shorter) whose mean lies beyond the limit, trimmed to those beyond it themselves. */
function beyondOnMean(stations: readonly JudgedStation[], claimed: Uint8Array, side: Side): Uint8Array {
  const n = stations.length;
  const marked = new Uint8Array(n);
  for (let first = 0; first < n; first++) {
    const start = (stations[first] as JudgedStation).result;
    const span = Math.min(WATCH_WIDTHS * start.planned.widthMm, (stations[n - 1] as JudgedStation).result.sMm);
    let last = first, sum = 0, count = 0;
    for (; last < n; last++) {
      const value = claimed[last] === 1 ? null : metricOf((stations[last] as JudgedStation).result, side.metric);
      if (value === null) break;
      sum += value;
      count++;
      if ((stations[last] as JudgedStation).result.sMm - start.sMm >= span - 1e-9) break;
    }
    if (last >= n || claimed[last] === 1 || count < 2 || (stations[last] as JudgedStation).result.sMm - start.sMm < span - 1e-9) continue;
    if (metricOf((stations[last] as JudgedStation).result, side.metric) === null) continue;
    if (side.sign * (sum / count - side.limit(start.limits)) > 0) markBeyond(stations, marked, side, first, last);
  }
  return marked;
}

function markBeyond(stations: readonly JudgedStation[], marked: Uint8Array, side: Side, first: number, last: number): void {
  const out = (i: number): boolean => {
    const r = (stations[i] as JudgedStation).result;
    return side.sign * ((metricOf(r, side.metric) ?? 0) - side.limit(r.limits)) > 0;
  };
  let from = first, to = last;
  while (from < to && !out(from)) from++;
  while (to > from && !out(to)) to--;
  marked.fill(1, from, to + 1);
}

function runsOf(marked: Uint8Array): [number, number][] {
  const runs: [number, number][] = [];
  for (let i = 0; i < marked.length; i++) {
    if (marked[i] !== 1) continue;
    const first = i;
    while (marked[i + 1] === 1) i++;
    if (i > first) runs.push([first, i]);
  }
  return runs;
}

function watchFinding(stations: readonly JudgedStation[], side: Side, first: number, last: number): StretchFinding {
  let worst = first;
  const beyond = (i: number): number => {
    const r = (stations[i] as JudgedStation).result;
    return side.sign * ((metricOf(r, side.metric) ?? side.limit(r.limits)) - side.limit(r.limits));
  };
  for (let i = first; i <= last; i++) if (beyond(i) > beyond(worst)) worst = i;
  const station = (stations[worst] as JudgedStation).result;
  const cross = (inside: number, step: 1 | -1): number => {
    const here = (stations[inside] as JudgedStation).result, next = stations[inside + step]?.result;
    if (next === undefined) return here.sMm;
    const a = beyond(inside), b = beyond(inside + step);
    return a > 0 && b < 0 ? here.sMm + (next.sMm - here.sMm) * a / (a - b) : here.sMm;
  };
  const fromMm = cross(first, -1), toMm = cross(last, 1);
  return {
    kind: side.kind, severity: "watch", proven: station.proven, layer: station.layer, strand: station.strand, fromMm, toMm, lengthMm: toMm - fromMm,
    position: station.position, worst: { metric: side.metric, value: metricOf(station, side.metric), limit: Math.abs(side.limit(station.limits)) * (side.metric === "offsetMm" ? 1 : Math.sign(side.limit(station.limits))) },
  };
}
