/** The section as a profile saw it, in the drawing of the section: what was used, what was not, the support, and the area between. */
import type { SectionCut } from "../model/sectionCut.ts";
import { sectionXPx, sectionYPx, type SectionScale } from "./sectionView.ts";

const px = (value: number): string => value.toFixed(1);

/** Wave of the support line, px: amplitude and half a wave's length (ISO 128 draws such edges thin and wavy). */
const WAVE_PX = 1.4;
const HALF_WAVE_PX = 6;

/** The support as it was seen or assumed, wavy, x0, y0, x1 … px; empty where there is none. */
export function cutSupportPx(scale: SectionScale, { support }: Pick<SectionCut, "support">): number[] {
  return support.flatMap(({ bMm, nMm }) => {
    const x = sectionXPx(scale, bMm);
    return [x, sectionYPx(scale, nMm) + WAVE_PX * Math.sin(Math.PI * x / HALF_WAVE_PX)];
  });
}

/** Height of the support at lateral `bMm`, mm, between its places; its end's height beyond them, 0 where there is none. */
export function supportAtMm({ support }: Pick<SectionCut, "support">, bMm: number): number {
  const above = support.findIndex((place) => place.bMm >= bMm);
  const high = support[above < 0 ? support.length - 1 : above], low = support[above < 0 ? support.length - 1 : Math.max(0, above - 1)];
  if (high === undefined || low === undefined) return 0;
  return high.bMm === low.bMm ? high.nMm : low.nMm + (bMm - low.bMm) / (high.bMm - low.bMm) * (high.nMm - low.nMm);
}

/** Two used points further apart than this many usual spacings have a hole between them: no line there. */
const HOLE_SPACINGS = 4;

/** Used points in pieces without holes. */
export function usedPieces({ points }: Pick<SectionCut, "points">): { readonly bMm: number; readonly nMm: number }[][] {
  const used = points.filter((point) => point.used);
  const gaps = used.slice(1).map((point, i) => point.bMm - (used[i] as { bMm: number }).bMm).sort((a, b) => a - b);
  const usual = gaps[gaps.length >> 1] ?? 0;
  const pieces: { bMm: number; nMm: number }[][] = [];
  used.forEach((point, i) => {
    const before = used[i - 1];
    if (before === undefined || point.bMm - before.bMm > HOLE_SPACINGS * usual) pieces.push([]);
    pieces.at(-1)?.push(point);
  });
  return pieces;
}

/** Thick lines through the used points, each x0, y0, x1 … px. */
export function measuredCutPx(scale: SectionScale, cut: SectionCut): number[][] {
  return usedPieces(cut).map((piece) => piece.flatMap(({ bMm, nMm }) => [sectionXPx(scale, bMm), sectionYPx(scale, nMm)]));
}

/** Closed outlines between the measured line and the support, inside the lateral window: what was counted; each x0, y0, x1 … px. */
export function countedAreaPx(scale: SectionScale, cut: SectionCut): number[][] {
  const { window } = cut;
  return usedPieces(cut).map((piece) => piece.filter(({ bMm }) => bMm >= window.rightMm && bMm <= window.leftMm)).filter((piece) => piece.length > 1).map((piece) => [
    ...piece.flatMap(({ bMm, nMm }) => [sectionXPx(scale, bMm), sectionYPx(scale, nMm)]),
    ...piece.toReversed().flatMap(({ bMm }) => [sectionXPx(scale, bMm), sectionYPx(scale, supportAtMm(cut, bMm))]),
  ]);
}

/** Used points as dots, the others as crosses: strokes of one path each. */
export function pointMarks(scale: SectionScale, { points }: Pick<SectionCut, "points">): { readonly used: string; readonly rejected: string } {
  const at = (point: { readonly bMm: number; readonly nMm: number }): readonly [number, number] => [sectionXPx(scale, point.bMm), sectionYPx(scale, point.nMm)];
  const dot = ([x, y]: readonly [number, number]): string => `M${px(x)} ${px(y)}h0.01`;
  const cross = ([x, y]: readonly [number, number]): string => `M${px(x - 2)} ${px(y - 2)}l4 4m0 -4l-4 4`;
  return { used: points.filter((point) => point.used).map((point) => dot(at(point))).join(""), rejected: points.filter((point) => !point.used).map((point) => cross(at(point))).join("") };
}

/** What the drawing shows of a profile, in words. */
export function cutWords({ device, seq, alongMm, points, usedCount, notUsedCount }: SectionCut): string {
  const beside = Math.abs(alongMm) < 0.005 ? "at the station" : `${Math.abs(alongMm).toFixed(2)} mm ${alongMm < 0 ? "before" : "beyond"} it`;
  const thinned = points.length < usedCount + notUsedCount ? `, ${points.length} shown` : "";
  return `profile ${seq} of ${device}, ${beside} · dots: ${usedCount} points used · crosses: ${notUsedCount} not used${thinned}`;
}
