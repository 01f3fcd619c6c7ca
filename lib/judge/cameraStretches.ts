/** Findings along a strand that rest on frames: places where no profile came and paste is missing, and places where camera and profiler contradict each other. */
import type { Tolerance } from "../model/job.ts";
import type { DisagreementFinding, StationResult, StretchFinding, Verdict } from "../model/result.ts";
import { leastLengthMm } from "./bands.ts";

/** A station with what a frame says beside its result. */
export interface SeenStation {
  readonly result: StationResult;
  /** Share of the planned width that paste covers; NaN: no frame shows it. */
  readonly pasteFraction: number;
  /** The frame is newer than the profiler's reading. */
  readonly isNewer: boolean;
}

/** Verdicts that say that paste lies on its path. */
const LIES_THERE: Readonly<Record<Verdict, boolean>> = {
  inBand: true, watch: true, under: true, over: true, lifted: true, displaced: false, gap: false, unmeasured: false, pending: false, removed: false,
};
/** The profiler has to have seen so much of the planned area, or the camera so much of the planned width, before the other one contradicts it. */
const CLEAR = 0.5;

/** Stretches where the camera says absent and no profile came: watch findings. The verdict stays unmeasured. */
export function cameraGaps(stations: readonly SeenStation[], tolerance: Tolerance): StretchFinding[] {
  return runsOf(stations, ({ result }) => result.laid && result.verdict === "unmeasured" && result.camera?.state === "absent").flatMap((run) => {
    const { fromMm, toMm, worst } = placeOf(stations, run), { result, pasteFraction } = worst;
    if (toMm - fromMm < leastLengthMm(tolerance, "gap", result.planned.widthMm) - 1e-9) return [];
    return [{
      kind: "gap", severity: "watch", proven: false, layer: result.layer, strand: result.strand, fromMm, toMm, lengthMm: toMm - fromMm, position: result.position,
      worst: { metric: "pasteFraction", value: pasteFraction, limit: tolerance.gapRatio }, file: result.camera?.file as string,
    }];
  });
}

/** Stretches where a frame contradicts the reading that it is newer than. Nothing is averaged: somebody has to look. */
export function disagreements(stations: readonly SeenStation[], tolerance: Tolerance): DisagreementFinding[] {
  const contradicts = ({ result, pasteFraction, isNewer }: SeenStation): boolean => {
    if (!isNewer || result.camera === null) return false;
    if (result.camera.state === "absent") return LIES_THERE[result.verdict] && (result.areaRatio ?? 0) >= CLEAR;
    return result.verdict === "gap" && pasteFraction >= CLEAR;
  };
  const found = (["absent", "present"] as const).flatMap((state) => runsOf(stations, (s) => s.result.camera?.state === state && contradicts(s)).flatMap((run): DisagreementFinding[] => {
    const { fromMm, toMm, worst: { result, pasteFraction } } = placeOf(stations, run);
    if (toMm - fromMm < leastLengthMm(tolerance, "gap", result.planned.widthMm) - 1e-9) return [];
    return [{
      kind: "sensorsDisagree", severity: "act", proven: true, layer: result.layer, strand: result.strand, fromMm, toMm, lengthMm: toMm - fromMm, position: result.position,
      camera: state, verdict: result.verdict, worst: { metric: "pasteFraction", value: pasteFraction, limit: tolerance.gapRatio }, file: result.camera?.file as string,
    }];
  }));
  return found.sort((a, b) => a.fromMm - b.fromMm);
}

/** `findings` without what lies in `gaps`: a stretch belongs to one finding. What is left of one and shorter than a finding has to be goes. */
export function outsideGaps(findings: readonly StretchFinding[], gaps: readonly StretchFinding[], leastMm: number): StretchFinding[] {
  return findings.flatMap((finding) => {
    if (finding.kind !== "unmeasured") return [finding];
    let left: [number, number][] = [[finding.fromMm, finding.toMm]];
    for (const gap of gaps) {
      if (gap.layer !== finding.layer || gap.strand !== finding.strand) continue;
      left = left.flatMap(([from, to]): [number, number][] => [[from, Math.min(to, gap.fromMm)], [Math.max(from, gap.toMm), to]]).filter(([from, to]) => to > from);
    }
    if (left.length === 1 && left[0]?.[0] === finding.fromMm && left[0][1] === finding.toMm) return [finding];
    return left.filter(([from, to]) => to - from >= leastMm - 1e-9).map(([fromMm, toMm]) => ({ ...finding, fromMm, toMm, lengthMm: toMm - fromMm }));
  });
}

interface Run { readonly first: number; readonly last: number }

function runsOf(stations: readonly SeenStation[], holds: (station: SeenStation) => boolean): Run[] {
  const runs: Run[] = [];
  stations.forEach((station, i) => {
    if (!holds(station)) return;
    const open = runs[runs.length - 1];
    if (open !== undefined && open.last === i - 1) runs[runs.length - 1] = { first: open.first, last: i };
    else runs.push({ first: i, last: i });
  });
  return runs;
}

/** Half-way to the stations beside it, as far as the strand reaches; and the station with the least paste where it is missing, the most where it is not. */
function placeOf(stations: readonly SeenStation[], { first, last }: Run): { readonly fromMm: number; readonly toMm: number; readonly worst: SeenStation } {
  const s = (i: number): number => (stations[i] as SeenStation).result.sMm, isMissing = (stations[first] as SeenStation).result.camera?.state === "absent";
  let worst = stations[first] as SeenStation;
  for (const station of stations.slice(first, last + 1)) if (isMissing ? station.pasteFraction < worst.pasteFraction : station.pasteFraction > worst.pasteFraction) worst = station;
  return { fromMm: first === 0 ? s(0) : (s(first - 1) + s(first)) / 2, toMm: last === stations.length - 1 ? s(last) : (s(last) + s(last + 1)) / 2, worst };
}
