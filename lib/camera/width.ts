/** A bead's width as seen along the normal, from the edges of its silhouette seen aslant. */
import { flankRadiusMm } from "../formula/bead.ts";
import type { BeadShape } from "../model/job.ts";
import { median } from "../kernel/statistics.ts";
import type { LineReading } from "./line.ts";
import { LAID, type FrameScene } from "./scene.ts";
import { silhouetteMm, type Station } from "./station.ts";

/** An edge is found to this share of its own softness, and of a cell (measured on rendered frames). */
const OF_SOFTNESS = 0.15, OF_CELL = 0.2;
/** A flank is that round, share of what the lean adds (common practice, no source). */
const ROUNDNESS_U = 0.3;

export interface Width { readonly widthMm: number; readonly uWidthMm: number }

/** Good stations whose widths both sensors know; fewer teach nothing about the edge. */
const LEAST_KNOWN = 12;
/** Where nothing teaches where the edge is drawn, in widths (measured on rendered frames). */
const UNKNOWN_LEVEL_U = 0.08;
/** What separates is light and not paste where beads seem so much wider or narrower than the profiler knows, or scatter so much, in widths. */
const MOST_OFF = 0.25, MOST_SCATTER = 0.15;

/**
 * How much wider than the profiler's reading beads appear on the stations that it called good, as a width of its own: where an edge is drawn depends on
 * light and lens and is learned as colours are. Nothing is learned from fewer than twelve. null: what is seen are not the beads.
 */
export function edgeLevel(scene: FrameScene, stations: readonly Station[], widths: readonly Width[]): Width | null {
  const off: number[] = [];
  let planned = 0;
  stations.forEach(({ index, plannedWidthMm }, k) => {
    const d = (widths[k] as Width).widthMm - (scene.widthMm[index] as number);
    if (scene.good[index] !== 1 || scene.laid[index] !== LAID || d !== d) return;
    off.push(d);
    planned += plannedWidthMm;
  });
  if (off.length < LEAST_KNOWN) return { widthMm: 0, uWidthMm: UNKNOWN_LEVEL_U * meanPlanned(stations) };
  const width = planned / off.length, level = median(off), scatter = 1.4826 * median(Float64Array.from(off, (d) => Math.abs(d - level)));
  if (Math.abs(level) > MOST_OFF * width || scatter > MOST_SCATTER * width) return null;
  return { widthMm: level, uWidthMm: 1.2533 * scatter / Math.sqrt(off.length) }; // a median's standard error
}

/** Width and its standard uncertainty, mm; NaN where not both edges were seen. */
export function beadWidth(shape: BeadShape, station: Station, line: LineReading, cellMm: number): Width {
  const seen = line.leftMm - line.rightMm;
  if (seen !== seen) return { widthMm: Number.NaN, uWidthMm: Number.NaN };
  const widthMm = widthOf(shape, seen, station.heightMm, station.lean), slope = 1 / station.cos - 1;
  // noise moves a crossing by its share of the slope there, that of a normal edge; some four cells' worth of lines are averaged
  const noise = line.noise * line.softMm * Math.sqrt(2 * Math.PI) / 2, edge = Math.SQRT2 * Math.sqrt((OF_SOFTNESS * line.softMm) ** 2 + (OF_CELL * cellMm) ** 2 + noise * noise);
  const height = slope * station.uHeightMm, shapeU = ROUNDNESS_U * slope * 2 * flankRadiusMm(shape, Math.max(widthMm, station.heightMm), station.heightMm) / 2;
  return { widthMm, uWidthMm: Math.sqrt(edge * edge + height * height + shapeU * shapeU) };
}

/** The width whose silhouette is `seenMm` across in the middle plane, by halving; a silhouette grows with its width. */
export function widthOf(shape: BeadShape, seenMm: number, heightMm: number, lean: number): number {
  let low = 0.02, high = seenMm + heightMm;
  for (let i = 0; i < 40; i++) {
    const mid = (low + high) / 2, [right, left] = silhouetteMm(shape, mid, heightMm, lean);
    if (left - right < seenMm) low = mid;
    else high = mid;
  }
  return (low + high) / 2;
}

function meanPlanned(stations: readonly Station[]): number {
  return stations.reduce((sum, { plannedWidthMm }) => sum + plannedWidthMm, 0) / Math.max(1, stations.length);
}
