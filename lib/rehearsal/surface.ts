/**
 * Targets of the rehearsal. Each has a chart (u, v), in mm on the target or close to it, with the target on the side of −z and its outer
 * normal up, and is cut by rays that come from outside. `mandibleAngle` is an invented form (surfaceMandible.ts).
 */
import { unit, type Vec3 } from "../kernel/vec.ts";
import { mandibleAngle } from "./surfaceMandible.ts";

export const SURFACE_NAMES = ["plane", "cylinder", "sphere", "saddle", "mandibleAngle"] as const;
export type SurfaceName = (typeof SURFACE_NAMES)[number];

export interface Surface {
  readonly name: SurfaceName;
  /** Point of the chart, mm. */
  pointAt(u: number, v: number): Vec3;
  /** Outer unit normal there. */
  normalAt(u: number, v: number): Vec3;
  /** The same at a point of the target. */
  normalOver(x: number, y: number, z: number): Vec3;
  /** Length along the ray o + λ·d (d of unit length) to the first hit from outside, mm; NaN where it misses. */
  castMm(ox: number, oy: number, oz: number, dx: number, dy: number, dz: number): number;
}

/** z = 0; u = x, v = y. */
function plane(): Surface {
  return {
    name: "plane",
    pointAt: (u, v) => [u, v, 0],
    normalAt: () => [0, 0, 1],
    normalOver: () => [0, 0, 1],
    castMm: (_ox, _oy, oz, _dx, _dy, dz) => (dz < 0 ? -oz / dz : Number.NaN),
  };
}

/** Radius R, axis along x at z = −R; v runs around it. */
function cylinder(radiusMm: number): Surface {
  return {
    name: "cylinder",
    pointAt: (u, v) => [u, radiusMm * Math.sin(v / radiusMm), radiusMm * (Math.cos(v / radiusMm) - 1)],
    normalAt: (_u, v) => [0, Math.sin(v / radiusMm), Math.cos(v / radiusMm)],
    normalOver: (_x, y, z) => unit([0, y, z + radiusMm]),
    castMm: (_ox, oy, oz, _dx, dy, dz) => {
      const z = oz + radiusMm, a = dy * dy + dz * dz, b = oy * dy + z * dz, c = oy * oy + z * z - radiusMm * radiusMm;
      const root = b * b - a * c;
      return root < 0 || b > 0 ? Number.NaN : c / (-b + Math.sqrt(root)); // the nearer root, without cancellation
    },
  };
}

/** Radius R, centre at z = −R; v is the arc from the middle plane, u the arc on the equator. */
function sphere(radiusMm: number): Surface {
  const normalAt = (u: number, v: number): Vec3 => {
    const cv = Math.cos(v / radiusMm);
    return [cv * Math.sin(u / radiusMm), Math.sin(v / radiusMm), cv * Math.cos(u / radiusMm)];
  };
  return {
    name: "sphere",
    pointAt: (u, v) => {
      const n = normalAt(u, v);
      return [radiusMm * n[0], radiusMm * n[1], radiusMm * (n[2] - 1)];
    },
    normalAt,
    normalOver: (x, y, z) => unit([x, y, z + radiusMm]),
    castMm: (ox, oy, oz, dx, dy, dz) => {
      const z = oz + radiusMm, b = ox * dx + oy * dy + z * dz, c = ox * ox + oy * oy + z * z - radiusMm * radiusMm;
      const root = b * b - c;
      return root < 0 || b > 0 ? Number.NaN : c / (-b + Math.sqrt(root));
    },
  };
}

/** z = (x² − y²) / 2R: curvature +1/R along x, −1/R along y at the middle; u = x, v = y. */
function saddle(radiusMm: number): Surface {
  const normalAt = (u: number, v: number): Vec3 => {
    const x = -u / radiusMm, y = v / radiusMm, n = Math.sqrt(1 + x * x + y * y);
    return [x / n, y / n, 1 / n];
  };
  return {
    name: "saddle",
    pointAt: (u, v) => [u, v, (u * u - v * v) / (2 * radiusMm)],
    normalAt,
    normalOver: normalAt,
    castMm: (ox, oy, oz, dx, dy, dz) => {
      // f(λ) = z − (x² − y²) / 2R is positive outside; its first root
      const a = -(dx * dx - dy * dy) / (2 * radiusMm), b = dz - (ox * dx - oy * dy) / radiusMm, c = oz - (ox * ox - oy * oy) / (2 * radiusMm);
      const root = b * b - 4 * a * c;
      return root < 0 || b >= Math.sqrt(root) ? Number.NaN : 2 * c / (-b + Math.sqrt(root));
    },
  };
}

/** The named target; `radiusMm` is that of cylinder, sphere and saddle (plane and mandibleAngle have their own form). */
export function makeSurface(name: SurfaceName, radiusMm: number): Surface {
  switch (name) {
    case "plane": return plane();
    case "cylinder": return cylinder(radiusMm);
    case "sphere": return sphere(radiusMm);
    case "saddle": return saddle(radiusMm);
    case "mandibleAngle": return mandibleAngle();
  }
}
