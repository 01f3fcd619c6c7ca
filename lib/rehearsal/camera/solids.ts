/** A ray against nozzle, hanging paste and hand, in closed form (quadrics). */
import { add, cross, dot, reject, scale, sub, unit, type Vec3 } from "../../kernel/vec.ts";
import { HAND, HANG, NOZZLE, type Finger, type HangBody, type NozzleBody, type Scene } from "./scene.ts";

/** One solid: length along the ray o + λ·d (d unit) to the first hit beyond λ = 0, NaN for none; outer unit normal at a point of it; a sphere round it. */
export interface Solid {
  readonly what: number;
  readonly centre: Vec3;
  readonly radiusMm: number;
  castMm(o: Vec3, d: Vec3): number;
  normalAt(p: Vec3): Vec3;
}

/** All solids of a scene. */
export function solidsOf({ nozzle, hang, hand }: Scene): Solid[] {
  return [...(nozzle === null ? [] : [coneSolid(nozzle)]), ...(hang === null ? [] : [ellipsoidSolid(hang)]), ...(hand ?? []).map(fingerSolid)];
}

/** Roots of a λ² + 2 b λ + c = 0 in order; null where there are none. */
function roots(a: number, b: number, c: number): [number, number] | null {
  const square = b * b - a * c;
  if (square <= 0 || Math.abs(a) < 1e-15) return null;
  const s = Math.sqrt(square), p = (-b - s) / a, q = (-b + s) / a;
  return p < q ? [p, q] : [q, p];
}

function coneSolid({ tip, axis, outerDiameterMm, coneAngleDeg, lengthMm }: NozzleBody): Solid {
  const t = Math.tan(coneAngleDeg * Math.PI / 360), tipRadius = outerDiameterMm / 2, topRadius = tipRadius + t * lengthMm;
  const inside = (p: Vec3, radius: number): boolean => { const q = reject(sub(p, tip), axis); return dot(q, q) <= radius * radius; };
  return {
    what: NOZZLE, centre: add(tip, scale(axis, lengthMm / 2)), radiusMm: Math.sqrt(lengthMm * lengthMm / 4 + topRadius * topRadius),
    castMm(o, d) {
      const w = sub(o, tip), wa = dot(w, axis), da = dot(d, axis), across = reject(w, axis), along = reject(d, axis), r0 = tipRadius + t * wa;
      let best = Number.NaN;
      const take = (lambda: number): void => { if (lambda > 0 && !(lambda >= best)) best = lambda; };
      const found = roots(dot(along, along) - t * t * da * da, dot(across, along) - t * da * r0, dot(across, across) - r0 * r0);
      for (const lambda of found ?? []) if (wa + lambda * da >= 0 && wa + lambda * da <= lengthMm) take(lambda);
      for (const [height, radius] of [[0, tipRadius], [lengthMm, topRadius]] as const) {
        const lambda = (height - wa) / da;
        if (Number.isFinite(lambda) && inside(add(o, scale(d, lambda)), radius)) take(lambda);
      }
      return best;
    },
    normalAt(p) {
      const height = dot(sub(p, tip), axis);
      if (height < 1e-7) return scale(axis, -1);
      if (height > lengthMm - 1e-7) return axis;
      return unit(add(unit(reject(sub(p, tip), axis)), scale(axis, -t)));
    },
  };
}

function ellipsoidSolid({ centre, axis, halfAlongMm: a, halfAcrossMm: b }: HangBody): Solid {
  /** Into the unit sphere. */
  const shrink = (v: Vec3): Vec3 => add(scale(reject(v, axis), 1 / b), scale(axis, dot(v, axis) / a));
  return {
    what: HANG, centre, radiusMm: Math.max(a, b),
    castMm(o, d) {
      const w = shrink(sub(o, centre)), e = shrink(d), found = roots(dot(e, e), dot(w, e), dot(w, w) - 1);
      return found === null ? Number.NaN : found[0] > 0 ? found[0] : found[1] > 0 ? found[1] : Number.NaN;
    },
    normalAt: (p) => unit(shrink(shrink(sub(p, centre)))),
  };
}

function fingerSolid({ from, to, radiusMm }: Finger): Solid {
  const span = sub(to, from), length = Math.sqrt(dot(span, span)), axis = scale(span, 1 / length);
  const nearest = (p: Vec3): Vec3 => add(from, scale(axis, Math.min(length, Math.max(0, dot(sub(p, from), axis)))));
  return {
    what: HAND, centre: scale(add(from, to), 0.5), radiusMm: length / 2 + radiusMm,
    castMm(o, d) {
      let best = Number.NaN;
      const take = (lambda: number): void => { if (lambda > 0 && !(lambda >= best)) best = lambda; };
      const w = sub(o, from), wa = dot(w, axis), da = dot(d, axis), across = cross(axis, w), along = cross(axis, d);
      for (const lambda of roots(dot(along, along), dot(across, along), dot(across, across) - radiusMm * radiusMm) ?? []) {
        if (wa + lambda * da >= 0 && wa + lambda * da <= length) take(lambda);
      }
      for (const [end, side] of [[from, -1], [to, 1]] as const) {
        const v = sub(o, end);
        for (const lambda of roots(1, dot(v, d), dot(v, v) - radiusMm * radiusMm) ?? []) {
          const at = dot(add(v, scale(d, lambda)), axis);
          if (side * at >= 0) take(lambda);
        }
      }
      return best;
    },
    normalAt: (p) => unit(sub(p, nearest(p))),
  };
}
