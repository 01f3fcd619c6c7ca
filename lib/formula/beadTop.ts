/**
 * How far a point of a section lies from the planned top of a bead, along the normal of that top: ISO 1101, profile of a surface, whose zone
 * lies ± t/2 along the normal of the theoretically exact surface (from memory). The exact surface is what a sensor looking along the bead's
 * normal is to see: the flat of a stadium, its flank circles down to their widest place and the wall that hides the undercut below it; the arc of a
 * segment, with such a wall where it overhangs. Lengths mm.
 */
import type { BeadShape } from "../model/job.ts";
import { flankRadiusMm, outlineMm } from "./bead.ts";

export interface PlannedTop {
  readonly shape: BeadShape;
  readonly widthMm: number;
  readonly heightMm: number;
  /** How far to the right and to the left this bead's own top reaches at most: half-way to its neighbours, where the neighbour's begins as its mirror image. Infinity: no neighbour. */
  readonly halfRightMm: number;
  readonly halfLeftMm: number;
}

/** Signed distance from the planned top: + outside the paste (too much), − inside it (too little). `bMm` lateral from the bead's middle, `nMm` over its planned base. */
export function topDeviationMm(top: PlannedTop, bMm: number, nMm: number): number {
  const { shape, widthMm, heightMm, halfRightMm, halfLeftMm } = top;
  const nearest = Math.min(distanceToSide(top, halfLeftMm, bMm, nMm), distanceToSide(top, halfRightMm, -bMm, nMm));
  const isOutside = Math.abs(bMm) > widthMm / 2 || nMm >= outlineMm(shape, widthMm, heightMm, bMm);
  return isOutside ? nearest : -nearest;
}

/** Distance to the outline's side at x ≥ 0, as far as `limitMm`. */
function distanceToSide({ shape, widthMm, heightMm }: PlannedTop, limitMm: number, x: number, n: number): number {
  const halfMm = widthMm / 2, r = flankRadiusMm(shape, widthMm, heightMm), centreMm = shape === "stadium" ? halfMm - r : 0, levelMm = heightMm - r;
  // where this side ends: the valley to a neighbour that touches, the foot of a flank, the top of its wall
  const endMm = Math.min(limitMm, halfMm);
  let nearest = Math.hypot(x - endMm, n - Math.max(0, levelMm, outlineMm(shape, widthMm, heightMm, endMm)));
  if (centreMm > 0) nearest = Math.min(nearest, Math.hypot(x - Math.min(Math.max(x, 0), centreMm, limitMm), n - heightMm));
  if (levelMm > 0 && limitMm >= halfMm) nearest = Math.min(nearest, Math.hypot(x - halfMm, n - Math.min(Math.max(n, 0), levelMm)));
  const dx = x - centreMm, dn = n - levelMm, far = Math.hypot(dx, dn), footX = centreMm + r * dx / far, footN = levelMm + r * dn / far;
  return dx >= 0 && footN >= Math.max(0, levelMm) && footX <= limitMm ? Math.min(nearest, Math.abs(far - r)) : nearest;
}
