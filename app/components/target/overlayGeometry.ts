/** What is drawn over the picture as on a drawing: tags, the nozzle's outline, a scale bar; px from the picture's upper left. */
import { coneOf, radiusAtMm } from "../../../lib/formula/nozzleCone.ts";
import { project, type ParallelView } from "../../../lib/kernel/parallelView.ts";
import { add, cross, dot, norm, scale, unit, type Vec3 } from "../../../lib/kernel/vec.ts";
import type { TargetShape } from "../../../lib/model/targetShape.ts";
import { niceStep } from "./ground.ts";

export type Px = readonly [number, number];
export interface Box { readonly widthPx: number; readonly heightPx: number }

/** A point of space in the picture. */
export function pxOf(view: ParallelView, { widthPx, heightPx }: Box, [x, y, z]: Vec3): Px {
  const [right, down] = project(view, x, y, z);
  return [widthPx / 2 + right, heightPx / 2 + down];
}

export const TAG_PX = 26;
/** Tries of a tag, px from its place to its middle: over it first, then further off and to the sides. */
const TRIES: readonly Px[] = [40, 68, 96, 124].flatMap((up) => [0, -30, 30, -62, 62].map((aside): Px => [aside, -up])).concat([40, 70].flatMap((down) => [0, -34, 34].map((aside): Px => [aside, down])));

/** A place for each tag where it lies on no other and inside the picture; one that has none lies over its place. */
export function placeTags(anchors: readonly Px[], { widthPx, heightPx }: Box): Px[] {
  const placed: Px[] = [], half = TAG_PX / 2 + 3;
  for (const [x, y] of anchors) {
    const free = TRIES.map(([dx, dy]): Px => [x + dx, y + dy]).find(([cx, cy]) => cx > half && cx < widthPx - half && cy > half && cy < heightPx - half
      && placed.every(([px, py]) => Math.abs(px - cx) >= TAG_PX + 4 || Math.abs(py - cy) >= TAG_PX + 4) && anchors.every(([ax, ay]) => Math.abs(ax - cx) >= half || Math.abs(ay - cy) >= half));
    placed.push(free ?? [x, y - TAG_PX]);
  }
  return placed;
}

/** A length that is not stated is drawn as so many outer diameters, and left open at its top. */
const OPEN_DIAMETERS = 6;
const ROUND = 28;

export interface NozzleOutline { readonly outline: readonly Px[]; readonly axis: readonly [Px, Px]; readonly isOpen: boolean }

/** The cone that stands on `tip` along `axis`, as it is seen: the hull of its two rims, and its centre line. */
export function nozzleOutline(nozzle: TargetShape["nozzle"], tip: Vec3, axis: Vec3, view: ParallelView, box: Box): NozzleOutline {
  const lengthMm = nozzle.lengthMm ?? OPEN_DIAMETERS * nozzle.outerDiameterMm, cone = coneOf(nozzle.outerDiameterMm, nozzle.coneAngleDeg, lengthMm);
  const side = cross(axis, Math.abs(axis[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0]), u = unit(side), v = cross(axis, u), px = (at: Vec3): Px => pxOf(view, box, at);
  const rim = (axialMm: number): Px[] => Array.from({ length: ROUND }, (_, i) => {
    const r = radiusAtMm(cone, axialMm), angle = 2 * Math.PI * i / ROUND;
    return px(add(add(tip, scale(axis, axialMm)), add(scale(u, r * Math.cos(angle)), scale(v, r * Math.sin(angle)))));
  });
  return { outline: hull([...rim(0), ...rim(lengthMm)]), axis: [px(add(tip, scale(axis, -0.4))), px(add(tip, scale(axis, lengthMm * 1.12)))], isOpen: nozzle.lengthMm === null };
}

/** Convex hull, counter-clockwise in a picture whose y goes down (monotone chain, Andrew 1979, from memory). */
export function hull(points: readonly Px[]): Px[] {
  const sorted = points.toSorted(([ax, ay], [bx, by]) => ax - bx || ay - by), turn = ([ox, oy]: Px, [ax, ay]: Px, [bx, by]: Px): number => (ax - ox) * (by - oy) - (ay - oy) * (bx - ox);
  const half = (from: readonly Px[]): Px[] => {
    const kept: Px[] = [];
    for (const point of from) {
      while (kept.length >= 2 && turn(kept.at(-2) as Px, kept.at(-1) as Px, point) <= 0) kept.pop();
      kept.push(point);
    }
    return kept.slice(0, -1);
  };
  return [...half(sorted), ...half(sorted.toReversed())];
}

/** Length of a scale bar of about `aboutPx`, 1, 2 or 5 times a power of ten, mm. */
export function barMm(pxPerMm: number, aboutPx = 70): number {
  return niceStep(aboutPx / pxPerMm);
}

export const pathOf = (points: readonly Px[], isClosed = false): string => points.map(([x, y], i) => `${i === 0 ? "M" : "L"}${x.toFixed(1)} ${y.toFixed(1)}`).join("") + (isClosed ? "Z" : "");

/** True where an axis points so nearly at the viewer that its outline says nothing. */
export function isEndOn(axis: Vec3, { toward }: ParallelView): boolean {
  return norm(cross(axis, toward)) < 0.05;
}

/** True where it points so much at the viewer that what stands along it would hide what is beneath: it is drawn as an outline alone. */
export function coversMuch(axis: Vec3, { toward }: ParallelView): boolean {
  return dot(axis, toward) > 0.8;
}
