/** Where things stand in the drawing of unrolled strands. Pixels out; mm in. */
import type { SheetStrand } from "../../../lib/model/sheet.ts";

export const GUTTER_LEFT_PX = 46;
export const GUTTER_RIGHT_PX = 30;
const LEAST_PITCH_PX = 24;
const MOST_PITCH_PX = 52;
/** Height that all lanes of a layer aim to share, px. */
const LANES_AIM_PX = 440;
/** Share of a lane that the widest planned bead takes; the rest is room for what lies beside or bulges. */
const BEAD_SHARE = 0.5;

export interface LaneScale {
  readonly widthPx: number;
  readonly pitchPx: number;
  readonly pxPerMm: number;
  /** Across the strand. */
  readonly acrossPxPerMm: number;
}

/** Lengths fill the width. Widths are drawn to the same scale where that fits a lane, else as large as a lane allows. */
export function laneScale(strands: readonly SheetStrand[], widthPx: number): LaneScale {
  const longestMm = strands.reduce((longest, strand) => Math.max(longest, strand.lengthMm), 0);
  const widestMm = strands.reduce((widest, strand) => Math.max(widest, ...strand.plannedWidthMm), 0);
  const pitchPx = Math.min(MOST_PITCH_PX, Math.max(LEAST_PITCH_PX, Math.round(LANES_AIM_PX / Math.max(1, strands.length))));
  const pxPerMm = longestMm > 0 ? Math.max(1, widthPx - GUTTER_LEFT_PX - GUTTER_RIGHT_PX) / longestMm : 1;
  const roomPxPerMm = widestMm > 0 ? BEAD_SHARE * pitchPx / widestMm : 1;
  const same = pxPerMm / roomPxPerMm;
  return { widthPx, pitchPx, pxPerMm, acrossPxPerMm: same > 0.75 && same < 1.25 ? pxPerMm : roomPxPerMm };
}

/** "widths drawn 4.6 times as large as lengths"; "to one scale" where they are. */
export function scaleWords({ pxPerMm, acrossPxPerMm }: LaneScale): string {
  const factor = acrossPxPerMm / pxPerMm;
  return Math.abs(factor - 1) < 0.005 ? "widths and lengths to one scale" : `widths drawn ${factor.toPrecision(2)} times the scale of lengths`;
}

export function xPx(scale: LaneScale, sMm: number): number {
  return GUTTER_LEFT_PX + sMm * scale.pxPerMm;
}

/** How a flank is known: seen, or hidden by a neighbour and drawn where the measured area would put it. */
export type Flank = "seen" | "hidden";

/** A stretch of adjacent stations that were measured: one outline above, one below, and how each pair of stations is joined. */
export interface Outline {
  /** [left flank, right flank] of each station, px from the lane's middle, + is down; left of travel is up. */
  readonly xPx: readonly number[];
  readonly upPx: readonly number[];
  readonly downPx: readonly number[];
  readonly flank: readonly Flank[];
}

interface Edge { readonly upPx: number; readonly downPx: number; readonly flank: Flank }

/** Both flanks at station i; null: nothing to draw, as nothing was seen or next to nothing lies there. */
function edgesAt(strand: SheetStrand, i: number, scale: LaneScale): Edge | null {
  const ratio = strand.areaRatio[i] ?? null;
  const widthMm = strand.widthMm[i] ?? null;
  if (ratio === null || strand.verdict[i] === "gap") return null;
  const centrePx = -(strand.offsetMm[i] ?? 0) * scale.acrossPxPerMm;
  const halfPx = (widthMm ?? (strand.plannedWidthMm[i] as number) * Math.max(0, ratio)) / 2 * scale.acrossPxPerMm;
  return { upPx: centrePx - halfPx, downPx: centrePx + halfPx, flank: widthMm === null ? "hidden" : "seen" };
}

/** Adjacent measured stations joined; a station that was not seen ends the outline, so that nothing is drawn where nothing was seen. */
export function measuredOutlines(strand: SheetStrand, scale: LaneScale): Outline[] {
  const outlines: { xPx: number[]; upPx: number[]; downPx: number[]; flank: Flank[] }[] = [];
  let open = false;
  strand.sMm.forEach((sMm, i) => {
    const edge = edgesAt(strand, i, scale);
    if (edge === null) {
      open = false;
      return;
    }
    if (!open) outlines.push({ xPx: [], upPx: [], downPx: [], flank: [] });
    open = true;
    const last = outlines.at(-1) as (typeof outlines)[number];
    last.xPx.push(xPx(scale, sMm));
    last.upPx.push(edge.upPx);
    last.downPx.push(edge.downPx);
    last.flank.push(edge.flank);
  });
  return outlines;
}

const at = (x: number, y: number): string => `${x.toFixed(1)} ${y.toFixed(1)}`;

/** Closed path of the bead's body; a single station becomes a short stroke. */
export function bodyPath(outline: Outline): string {
  const up = outline.xPx.map((x, i) => at(x, outline.upPx[i] as number));
  const down = outline.xPx.map((x, i) => at(x, outline.downPx[i] as number)).reverse();
  return `M${[...up, ...down].join("L")}Z`;
}

/** Both flanks as one path of the wanted kind: a pair of stations is seen only where both are. A lone station is a stroke across. */
export function flankPath(outline: Outline, wanted: Flank): string {
  const parts: string[] = [];
  if (outline.xPx.length === 1 && outline.flank[0] === wanted) {
    const x = outline.xPx[0] as number;
    return `M${at(x, outline.upPx[0] as number)}L${at(x, outline.downPx[0] as number)}`;
  }
  for (const edge of [outline.upPx, outline.downPx]) {
    let drawing = false;
    for (let i = 1; i < outline.xPx.length; i++) {
      const kind: Flank = outline.flank[i - 1] === "seen" && outline.flank[i] === "seen" ? "seen" : "hidden";
      if (kind !== wanted) {
        drawing = false;
        continue;
      }
      if (!drawing) parts.push(`M${at(outline.xPx[i - 1] as number, edge[i - 1] as number)}`);
      drawing = true;
      parts.push(`L${at(outline.xPx[i] as number, edge[i] as number)}`);
    }
  }
  return parts.join("");
}

/** Planned flanks, thin, whether laid or not. */
export function plannedPath(strand: SheetStrand, scale: LaneScale): string {
  return [-1, 1].map((side) => {
    const points = strand.sMm.map((sMm, i) => at(xPx(scale, sMm), side * (strand.plannedWidthMm[i] as number) / 2 * scale.acrossPxPerMm));
    return points.length === 0 ? "" : `M${points.join("L")}`;
  }).join("");
}

/** Index of the station that stands nearest to `sMm`; −1 for a strand without stations. */
export function nearestStation(strand: SheetStrand, sMm: number): number {
  let best = -1;
  strand.sMm.forEach((at, i) => {
    if (best < 0 || Math.abs(at - sMm) < Math.abs((strand.sMm[best] as number) - sMm)) best = i;
  });
  return best;
}

/** Round steps (1, 2, 5 · 10ⁿ) at least `leastPx` apart from 0 up to the end, the end itself included where it does not crowd the one before. */
export function axisTicks(endMm: number, pxPerMm: number, leastPx: number): number[] {
  if (!(endMm > 0)) return [0];
  const roughMm = leastPx / pxPerMm;
  const decade = 10 ** Math.floor(Math.log10(roughMm));
  const stepMm = decade * ([1, 2, 5, 10].find((step) => step * decade >= roughMm) ?? 10);
  const ticks = Array.from({ length: Math.floor(endMm / stepMm + 1e-9) + 1 }, (_, i) => Number((i * stepMm).toPrecision(12)));
  const last = ticks.at(-1) as number;
  if (endMm - last > 1e-6 && (endMm - last) * pxPerMm < leastPx * 0.6 && ticks.length > 1) ticks.pop();
  if (endMm - last > 1e-6) ticks.push(endMm);
  return ticks;
}
