/** The section at one station as a drawing: the planned bead and a bead of the measured width, height and offset, to one scale. */
import type { BeadShape } from "../model/job.ts";
import { outlineMm } from "./bead.ts";

export const SECTION_WIDTH_PX = 460;
export const SECTION_HEIGHT_PX = 206;
const BASE_Y_PX = 152;
const MIDDLE_X_PX = 186;
const ROOM_X_PX = 264;
const ROOM_Y_PX = 104;
const POINTS = 80;

export interface BeadSize { readonly widthMm: number; readonly heightMm: number; readonly offsetMm: number }

export interface SectionScale { readonly pxPerMm: number; readonly baseYPx: number }

/** Both beads fit; the same scale in both directions. */
export function sectionScale(beads: readonly BeadSize[]): SectionScale {
  const reachMm = Math.max(...beads.map((bead) => Math.abs(bead.offsetMm) + bead.widthMm / 2));
  const tallMm = Math.max(...beads.map((bead) => bead.heightMm));
  return { pxPerMm: Math.min(ROOM_X_PX / (2 * reachMm), ROOM_Y_PX / tallMm), baseYPx: BASE_Y_PX };
}

/** Lateral position to px. Seen in the direction of travel, so that left of travel (+) is drawn left. */
export function sectionXPx(scale: SectionScale, lateralMm: number): number {
  return MIDDLE_X_PX - lateralMm * scale.pxPerMm;
}

export function sectionYPx(scale: SectionScale, heightMm: number): number {
  return scale.baseYPx - heightMm * scale.pxPerMm;
}

/** A size that its shape allows: a stadium narrower than high is drawn as high as wide can be. */
function drawable(shape: BeadShape, bead: BeadSize): BeadSize {
  return shape === "stadium" && bead.widthMm < bead.heightMm ? { ...bead, widthMm: bead.heightMm } : bead;
}

/** Outline of a bead from its left foot over its crown to its right foot, x0, y0, x1 … px. */
export function beadOutlinePx(scale: SectionScale, shape: BeadShape, bead: BeadSize): number[] {
  const { widthMm, heightMm, offsetMm } = drawable(shape, bead);
  return Array.from({ length: POINTS + 1 }, (_, i) => {
    const bMm = -Math.cos(Math.PI * i / POINTS) * widthMm / 2;
    const zMm = i === 0 || i === POINTS ? 0 : outlineMm(shape, widthMm, heightMm, bMm);
    return [sectionXPx(scale, offsetMm - bMm), sectionYPx(scale, zMm)];
  }).flat();
}

/** The d of an SVG path through points x0, y0, x1 …; "" for fewer than two. */
export function pathText(points: readonly number[]): string {
  const pairs = Array.from({ length: points.length >> 1 }, (_, i) => `${(points[2 * i] as number).toFixed(1)} ${(points[2 * i + 1] as number).toFixed(1)}`);
  return pairs.length < 2 ? "" : `M${pairs.join("L")}`;
}

/** Free-hand line of the support (ISO 128 draws such edges thin and wavy). */
export function supportPath(scale: SectionScale): string {
  const stepPx = 14;
  const startPx = 10;
  const waves = Math.floor((SECTION_WIDTH_PX - 98 - startPx) / stepPx);
  const parts = Array.from({ length: waves }, (_, i) => `q${stepPx / 2} ${i % 2 === 0 ? -2.5 : 2.5} ${stepPx} 0`);
  return `M${startPx} ${scale.baseYPx}${parts.join("")}`;
}
