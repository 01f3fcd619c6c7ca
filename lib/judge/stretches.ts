import type { Tolerance } from "../model/job.ts";
import type { StretchFinding, StretchKind, Verdict } from "../model/result.ts";
import { leastLengthMm } from "./bands.ts";
import { metricOf, type JudgedStation } from "./judged.ts";
import { watchStretches } from "./watch.ts";

/** The finding that a verdict belongs to; null: none of its own. */
export const KIND_OF: Record<Verdict, StretchKind | null> = {
  inBand: null, watch: null, under: "underExtrusion", over: "overExtrusion", gap: "gap", lifted: "liftedStrand", displaced: "displacedStrand",
  unmeasured: "unmeasured", pending: null, removed: null,
};

/** Stations [first, last] of one strand that make one finding. */
export interface Stretch { readonly kind: StretchKind; readonly first: number; readonly last: number }

/** Area ratio at which a gap begins and ends. */
const GAP_EDGE_RATIO = 0.5;

/** Findings in place of one strand, in order along it: act ones and unmeasured ones first claimed, then watch ones on what is left. */
export function findStretches(stations: readonly JudgedStation[], tolerance: Tolerance): StretchFinding[] {
  const claimed = new Uint8Array(stations.length);
  const found: StretchFinding[] = [];
  for (const stretch of actStretches(stations)) {
    const finding = findingOf(stations, stretch);
    if (finding.lengthMm < leastLengthMm(tolerance, stretch.kind, (stations[stretch.first] as JudgedStation).result.planned.widthMm) - 1e-9) continue;
    claimed.fill(1, stretch.first, stretch.last + 1);
    found.push(finding);
  }
  const watch = watchStretches(stations, claimed).filter((w) => !found.some((a) => a.severity === "act" && a.kind === w.kind && w.fromMm <= a.toMm + spacingOf(stations) && w.toMm >= a.fromMm - spacingOf(stations)));
  return [...found, ...watch].sort((a, b) => a.fromMm - b.fromMm);
}

function spacingOf(stations: readonly JudgedStation[]): number {
  return stations.length > 1 ? (stations[1] as JudgedStation).result.sMm - (stations[0] as JudgedStation).result.sMm : 0;
}

/** Maximal runs of one kind; a run goes on over up to one bead width of stations that settle nothing. */
function actStretches(stations: readonly JudgedStation[]): Stretch[] {
  const runs: { kind: StretchKind; first: number; last: number }[] = [];
  let open: { kind: StretchKind; first: number; last: number } | null = null;
  stations.forEach((station, i) => {
    const kind = KIND_OF[station.result.verdict];
    if (kind === null) {
      if (station.result.verdict !== "watch") open = null;
      return;
    }
    const w = station.result.planned.widthMm;
    if (open !== null && open.kind === kind && station.result.sMm - (stations[open.last] as JudgedStation).result.sMm <= w + 1e-9) open.last = i;
    else {
      open = { kind, first: i, last: i };
      runs.push(open);
    }
  });
  return runs;
}

function findingOf(stations: readonly JudgedStation[], stretch: Stretch): StretchFinding {
  const worst = worstOf(stations, stretch);
  const station = (stations[worst] as JudgedStation).result;
  const cause = (stations[worst] as JudgedStation).cause;
  const fromMm = edge(stations, stretch, -1), toMm = edge(stations, stretch, 1);
  return {
    kind: stretch.kind, severity: stretch.kind === "unmeasured" ? "watch" : "act", proven: station.proven, layer: station.layer, strand: station.strand,
    fromMm, toMm, lengthMm: toMm - fromMm, position: station.position,
    worst: cause === null ? { metric: "coverage", value: null, limit: 0.6 } : { metric: cause.metric, value: cause.value, limit: cause.limit },
  };
}

/** Index of the station furthest beyond its limit, in units of the limit's distance from the plan. */
function worstOf(stations: readonly JudgedStation[], stretch: Stretch): number {
  let best = stretch.first;
  let most = -Infinity;
  for (let i = stretch.first; i <= stretch.last; i++) {
    const cause = (stations[i] as JudgedStation).cause;
    if (cause === null) continue;
    const plan = cause.metric === "areaRatio" ? 1 : 0;
    const beyond = Math.abs(cause.value - plan) / Math.abs(cause.limit - plan);
    if (beyond > most) { most = beyond; best = i; }
  }
  return best;
}

/** Where the stretch begins (side −1) or ends (+1): its metric crosses its limit, linear between stations; half-way where that cannot be told. */
function edge(stations: readonly JudgedStation[], stretch: Stretch, side: 1 | -1): number {
  let inside = side < 0 ? stretch.first : stretch.last;
  const cause = (stations[inside] as JudgedStation).cause;
  for (;;) {
    const here = stations[inside] as JudgedStation, next = stations[inside + side];
    if (next === undefined) return here.result.sMm;
    const a = excess(here, stretch.kind, cause), b = excess(next, stretch.kind, cause);
    if (stretch.kind === "gap" && b !== null && b > 0) { inside += side; continue; } // still under half: the gap reaches on
    if (a === null || b === null || !(a > 0) || b > 0) return (here.result.sMm + next.result.sMm) / 2;
    return here.result.sMm + (next.result.sMm - here.result.sMm) * a / (a - b);
  }
}

/** How far a station's metric lies beyond the limit that ends the stretch (> 0: inside it); null where it was not measured. */
function excess(station: JudgedStation, kind: StretchKind, cause: JudgedStation["cause"]): number | null {
  if (kind === "gap") return station.result.areaRatio === null ? null : GAP_EDGE_RATIO - station.result.areaRatio;
  if (cause === null) return null;
  const value = metricOf(station.result, cause.metric);
  if (value === null) return null;
  if (cause.metric === "offsetMm") return Math.abs(value) - cause.limit;
  const plan = cause.metric === "areaRatio" ? 1 : 0;
  return cause.limit < plan ? cause.limit - value : value - cause.limit;
}
