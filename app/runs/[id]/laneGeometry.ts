/** Where things stand in the drawing of unrolled strands. Pixels out; mm in. */
import type { SheetStrand } from "../../../lib/model/sheet.ts";

export const GUTTER_LEFT_PX = 46;
export const GUTTER_RIGHT_PX = 30;
const MOST_PITCH_PX = 84;

/** Height that all lanes of a layer aim to share; no lane is lower than `leastPitchPx`; what is higher than `mostPx` altogether is scrolled, px. `hasSide`: strands are shown from the side as well. */
export interface LaneRoom { readonly aimPx: number; readonly leastPitchPx: number; readonly mostPx: number; readonly hasSide: boolean }
/** On a sheet that is read at leisure. */
export const REVIEW_ROOM: LaneRoom = { aimPx: 440, leastPitchPx: 50, mostPx: 470, hasSide: true };
/** A lane has the strand from above, then from the side: share of the view from above. */
const ABOVE_SHARE = 0.6;
/** Share of each view that the widest and the tallest planned bead take; the rest is room for what lies beside, bulges or stands up. */
const WIDTH_SHARE = 0.58;
const HEIGHT_SHARE = 0.52;
/** Room under the side view's base line, share of the pitch. */
const FOOT_SHARE = 0.07;
/** Nothing is magnified more than this along the strand, px a mm. */
const MOST_PX_PER_MM = 400;

export interface LaneScale {
  /** Of all lanes as drawn, gutters included; the view may show a part. */
  readonly widthPx: number;
  readonly pitchPx: number;
  /** Along the strand. */
  readonly pxPerMm: number;
  /** Across the strand and in height. */
  readonly acrossPxPerMm: number;
  /** From a lane's top to the strand's path, seen from above. */
  readonly pathPx: number;
  /** And to the base line of the side view; null: from above alone. */
  readonly basePx: number | null;
}

function largest(strands: readonly SheetStrand[], of: (strand: SheetStrand) => Float32Array): number {
  let most = 0;
  for (const strand of strands) for (const value of of(strand)) if (value > most) most = value;
  return most;
}

/** Scale and zoom of lanes `viewPx` wide. Zoom 1: lengths fill the view. Widths and heights share one scale, that of lengths where it fits a lane. */
export function laneScale(strands: readonly SheetStrand[], viewPx: number, zoom = 1, { aimPx, leastPitchPx, hasSide } = REVIEW_ROOM): LaneScale {
  const longestMm = strands.reduce((longest, strand) => Math.max(longest, strand.lengthMm), 0);
  const pitchPx = Math.min(MOST_PITCH_PX, Math.max(leastPitchPx, Math.round(aimPx / Math.max(1, strands.length))));
  const fitPxPerMm = longestMm > 0 ? Math.max(1, viewPx - GUTTER_LEFT_PX - GUTTER_RIGHT_PX) / longestMm : 1;
  const pxPerMm = Math.max(fitPxPerMm, Math.min(fitPxPerMm * zoom, MOST_PX_PER_MM));
  const widestMm = largest(strands, (strand) => strand.plannedWidthMm), tallestMm = largest(strands, (strand) => strand.plannedHeightMm);
  const aboveShare = hasSide ? ABOVE_SHARE : 1;
  const roomPxPerMm = widestMm > 0 && tallestMm > 0
    ? Math.min(WIDTH_SHARE * aboveShare * pitchPx / widestMm, hasSide ? HEIGHT_SHARE * (1 - ABOVE_SHARE) * pitchPx / tallestMm : Infinity) : 1;
  const same = pxPerMm / roomPxPerMm;
  return {
    widthPx: GUTTER_LEFT_PX + longestMm * pxPerMm + GUTTER_RIGHT_PX, pitchPx, pxPerMm, acrossPxPerMm: same > 0.75 && same < 1.25 ? pxPerMm : roomPxPerMm,
    pathPx: aboveShare / 2 * pitchPx, basePx: hasSide ? (1 - FOOT_SHARE) * pitchPx : null,
  };
}

export function isSameScale(a: LaneScale, b: LaneScale): boolean {
  return a.widthPx === b.widthPx && a.pitchPx === b.pitchPx && a.pxPerMm === b.pxPerMm && a.acrossPxPerMm === b.acrossPxPerMm && a.pathPx === b.pathPx && a.basePx === b.basePx;
}

/** Largest zoom that still magnifies. */
export function mostZoom(strands: readonly SheetStrand[], viewPx: number): number {
  return Math.max(1, MOST_PX_PER_MM / laneScale(strands, viewPx).pxPerMm);
}

/** "widths and heights drawn 4.6 times the scale of lengths"; "… to one scale" where they are. */
export function scaleWords({ pxPerMm, acrossPxPerMm, basePx }: LaneScale): string {
  const factor = acrossPxPerMm / pxPerMm, across = basePx === null ? "widths" : "widths and heights";
  if (Math.abs(factor - 1) < 0.005) return basePx === null ? "lengths and widths to one scale" : "lengths, widths and heights to one scale";
  return `${across} drawn ${Number(factor.toPrecision(2))} times the scale of lengths`;
}

export function xPx(scale: LaneScale, sMm: number): number {
  return GUTTER_LEFT_PX + sMm * scale.pxPerMm;
}

/** Index of the station that stands nearest to `sMm`; −1 for a strand without stations. */
export function nearestStation(strand: SheetStrand, sMm: number): number {
  let best = -1;
  strand.sMm.forEach((at, i) => {
    if (best < 0 || Math.abs(at - sMm) < Math.abs((strand.sMm[best] as number) - sMm)) best = i;
  });
  return best;
}

/** Round steps (1, 2, 5 · 10ⁿ) at least `leastPx` apart from 0 up to the end, the end itself included where it does not crowd the one before; only those in [fromMm, toMm]. */
export function axisTicks(endMm: number, pxPerMm: number, leastPx: number, [fromMm, toMm]: readonly [number, number] = [0, endMm]): number[] {
  if (!(endMm > 0)) return [0];
  const roughMm = leastPx / pxPerMm;
  const decade = 10 ** Math.floor(Math.log10(roughMm));
  const stepMm = decade * ([1, 2, 5, 10].find((step) => step * decade >= roughMm) ?? 10);
  const last = Math.floor(endMm / stepMm + 1e-9);
  const low = Math.max(0, Math.ceil(fromMm / stepMm - 1e-9)), high = Math.min(last, Math.floor(toMm / stepMm + 1e-9));
  const ticks = Array.from({ length: Math.max(0, high - low + 1) }, (_, i) => Number(((low + i) * stepMm).toPrecision(12)));
  if (endMm > toMm + 1e-9) return ticks;
  const final = ticks.at(-1) ?? 0;
  if (endMm - final > 1e-6 && (endMm - final) * pxPerMm < leastPx * 0.6 && ticks.length > 1) ticks.pop();
  if (endMm - (ticks.at(-1) ?? -1) > 1e-6) ticks.push(endMm);
  return ticks;
}
