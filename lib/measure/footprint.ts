import { FRAME_LENGTH, frameAt } from "../kernel/path.ts";
import type { StrandStations } from "../model/stations.ts";
import { IN_WINDOW, NEAR_BEAD, OLD_PASTE, type Chart } from "./chart.ts";

const frame = new Float64Array(FRAME_LENGTH);

/** Index of the station nearest to arc length s. */
export function nearestStation(strand: StrandStations, sMm: number, spacingMm: number): number {
  const i = Math.round(sMm / spacingMm);
  const last = strand.count - 1;
  if (last > 0 && i >= last - 1) { // the last piece may be shorter than a spacing
    const before = strand.sMm[last - 1] as number;
    if (sMm >= before) return Math.abs(before - sMm) < Math.abs((strand.sMm[last] as number) - sMm) ? last - 1 : last;
  }
  if (i <= 0) return 0;
  if (i >= last) return last;
  return i;
}

/** Between two profiles nobody knows where a strand ends: this far beyond its planned end its paste is no stray body, mm. */
const END_BLUR_MM = 0.3;

/**
 * Marks what a laid stretch takes up: its lateral window, and its bead with a margin of 0.3 w beside which the support is bare.
 * The support beneath is looked at for the last time; `agreeMm` is how far two sightings of it may differ by their noise.
 * The tops under the bead are forgotten: paste lies on them now, and until they are seen again nothing is known of them.
 */
export function markLaid(chart: Chart, strand: StrandStations, spacingMm: number, fromMm: number, toMm: number, agreeMm: number): void {
  const step = 0.7 * chart.cellMm;
  const first = fromMm <= 0 ? -END_BLUR_MM : fromMm, last = toMm >= strand.lengthMm - 1e-3 ? toMm + END_BLUR_MM : toMm;
  const steps = Math.max(1, Math.ceil((last - first) / step));
  for (let i = 0; i <= steps; i++) {
    const s = first + (last - first) * i / steps;
    const at = nearestStation(strand, s, spacingMm);
    const w = strand.widthMm[at] as number;
    frameAt(strand.path, s, w / 2, frame);
    const near = 0.8 * w;
    const left = strand.windowLeftMm[at] as number, right = strand.windowRightMm[at] as number;
    const under = s >= fromMm && s <= toMm ? w / 2 : -1;
    strip(chart, -Math.max(near, right), Math.max(near, left), step);
    for (let k = 0; k < stripCount; k++) {
      const cell = stripCells[k] as number, b = stripB[k] as number;
      const mark = chart.mark[cell] as number;
      if ((mark & ~OLD_PASTE) === 0) lastLookAtSupport(chart, cell, agreeMm);
      chart.mark[cell] = mark | (b >= -near && b <= near ? NEAR_BEAD : 0) | (b >= -right && b <= left ? IN_WINDOW : 0);
      if (b >= -under && b <= under) chart.top[cell] = Number.NaN;
    }
  }
}

/** Still bare when paste comes to lie on it: what was seen since the layer began counts where it agrees, or where nothing was seen before. */
function lastLookAtSupport(chart: Chart, cell: number, agreeMm: number): void {
  const before = chart.support[cell] as number, now = chart.top[cell] as number;
  if (before === before && !(Math.abs(now - before) < agreeMm)) return;
  chart.support[cell] = now;
  chart.supportSeen[cell] = chart.seen[cell] as number;
}

/** A bead that left its window but kept about its width is no stray body. `flanks`: [right, left] a station, NaN where not seen. */
export function markFollowedBeads(chart: Chart, strand: StrandStations, flanks: Float64Array): void {
  for (let i = 0; i < strand.count; i++) {
    const right = flanks[2 * i] as number, left = flanks[2 * i + 1] as number;
    const w = strand.widthMm[i] as number;
    const within = right >= -(strand.windowRightMm[i] as number) && left <= (strand.windowLeftMm[i] as number);
    if (within || !(left - right < 1.6 * w)) continue;
    markFollowed(chart, strand, i, right - 0.2 * w, left + 0.2 * w);
  }
}

/** Marks a followed bead that lies beside its window, from lateral `rightMm` to `leftMm` around station `at`, as no stray body. */
function markFollowed(chart: Chart, strand: StrandStations, at: number, rightMm: number, leftMm: number): void {
  const step = 0.7 * chart.cellMm;
  const from = strand.sMm[Math.max(0, at - 1)] as number, to = strand.sMm[Math.min(strand.count - 1, at + 1)] as number;
  const mid = strand.sMm[at] as number;
  const half = Math.max((to - mid), (mid - from));
  const steps = Math.max(1, Math.ceil(2 * half / step));
  for (let i = 0; i <= steps; i++) {
    frameAt(strand.path, mid - half + 2 * half * i / steps, (strand.widthMm[at] as number) / 2, frame);
    strip(chart, rightMm, leftMm, step);
    for (let k = 0; k < stripCount; k++) {
      const cell = stripCells[k] as number;
      chart.mark[cell] = (chart.mark[cell] as number) | IN_WINDOW | NEAR_BEAD;
    }
  }
}

/**
 * Opens a stretch that was taken off: `wipe` forgets its tops and marks (nothing is known of it until it is seen again);
 * `reseat` makes what has been seen there since the support of the next attempt, but for what still stands half a bead high: the
 * strand's own stumps at both ends, between two profiles.
 */
export function reopenStretch(chart: Chart, strand: StrandStations, spacingMm: number, fromMm: number, toMm: number, how: "wipe" | "reseat"): void {
  const step = 0.7 * chart.cellMm;
  const steps = Math.max(1, Math.ceil((toMm - fromMm) / step));
  for (let i = 0; i <= steps; i++) {
    const s = fromMm + (toMm - fromMm) * i / steps;
    const at = nearestStation(strand, s, spacingMm);
    const most = (strand.heightMm[at] as number) / 2;
    frameAt(strand.path, s, (strand.widthMm[at] as number) / 2, frame);
    strip(chart, -(strand.windowRightMm[at] as number), strand.windowLeftMm[at] as number, step);
    for (let k = 0; k < stripCount; k++) {
      const cell = stripCells[k] as number;
      if (how === "wipe") {
        chart.mark[cell] = (chart.mark[cell] as number) & OLD_PASTE;
        chart.top[cell] = Number.NaN;
        continue;
      }
      const top = chart.top[cell] as number;
      if (top === top && !(top - (chart.support[cell] as number) > most)) chart.support[cell] = top;
    }
  }
}

/** Whether the present layer lies on any part of a station's planned width. */
export function isCovered(chart: Chart, strand: StrandStations, at: number): boolean {
  const w = strand.widthMm[at] as number;
  frame.set(strand.frames.subarray(FRAME_LENGTH * at, FRAME_LENGTH * (at + 1)));
  strip(chart, -w / 2, w / 2, w / 8);
  for (let k = 0; k < stripCount; k++) if (((chart.mark[stripCells[k] as number] as number) & IN_WINDOW) !== 0) return true;
  return false;
}

/** The cells of the last strip, and the lateral place that each was met at. */
let stripCells = new Int32Array(256);
let stripB = new Float64Array(256);
let stripCount = 0;

/** Finds every cell under the lateral line of `frame` from b = from to b = to, each once a step. */
function strip(chart: Chart, from: number, to: number, step: number): void {
  const { origin, u, v, nu, nv } = chart;
  const inverse = 1 / chart.cellMm;
  const pu = (along(0, u) - dot3(origin, u)) * inverse, pv = (along(0, v) - dot3(origin, v)) * inverse;
  const bu = along(9, u) * inverse, bv = along(9, v) * inverse;
  const steps = Math.max(1, Math.ceil((to - from) / step));
  if (stripCells.length <= steps) {
    stripCells = new Int32Array(2 * steps);
    stripB = new Float64Array(2 * steps);
  }
  stripCount = 0;
  for (let k = 0; k <= steps; k++) {
    const b = from + (to - from) * k / steps;
    const iu = Math.floor(pu + b * bu), iv = Math.floor(pv + b * bv);
    if (iu < 0 || iv < 0 || iu >= nu || iv >= nv) continue;
    stripCells[stripCount] = iv * nu + iu;
    stripB[stripCount++] = b;
  }
}

function along(at: number, axis: readonly [number, number, number]): number {
  return (frame[at] as number) * axis[0] + (frame[at + 1] as number) * axis[1] + (frame[at + 2] as number) * axis[2];
}

function dot3(a: readonly [number, number, number], b: readonly [number, number, number]): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}
