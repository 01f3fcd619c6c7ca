/** A bead's width as seen along the normal, from the edges of its silhouette seen aslant. */
import { flankRadiusMm } from "../formula/bead.ts";
import type { BeadShape } from "../model/job.ts";
import type { LineReading } from "./line.ts";
import { silhouetteMm, type Station } from "./station.ts";

/** An edge is found to this share of its own softness, and of a cell (measured on rendered frames). */
const OF_SOFTNESS = 0.12, OF_CELL = 0.2;
/** A flank is that round, share of what the lean adds (common practice, no source). */
const ROUNDNESS_U = 0.3;

/** Width and its standard uncertainty, mm; NaN where not both edges were seen. */
export function beadWidth(shape: BeadShape, station: Station, line: LineReading, cellMm: number): { readonly widthMm: number; readonly uWidthMm: number } {
  const seen = line.leftMm - line.rightMm;
  if (seen !== seen) return { widthMm: Number.NaN, uWidthMm: Number.NaN };
  const widthMm = widthOf(shape, seen, station.heightMm, station.lean), slope = 1 / station.cos - 1;
  const edge = Math.SQRT2 * Math.sqrt((OF_SOFTNESS * line.softMm) ** 2 + (OF_CELL * cellMm) ** 2);
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
