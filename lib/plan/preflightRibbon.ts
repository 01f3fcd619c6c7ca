/** A short flat ribbon with a round edge, as it lies towards a nozzle. */
import { cylinderClearanceMm, type Cone } from "../formula/nozzleCone.ts";
import { cross, dot, norm, reject, scale, sub, type Vec3 } from "../kernel/vec.ts";

/** Lines along `tangent` through middle + b · lateral, |b| ≤ halfMm, from `fromMm` to `toMm` along them, each `radiusMm` thick all round. */
export interface Ribbon {
  readonly middle: Vec3; readonly tangent: Vec3; readonly lateral: Vec3;
  readonly halfMm: number; readonly radiusMm: number;
  readonly fromMm: number; readonly toMm: number;
}

/** A ribbon that stands on end along the axis has no side to be near. */
const ON_END = 1e-6;

/**
 * Clearance between the nozzle (its tip's middle and axis) and the ribbon: the least over its lines. The distance from a convex body is
 * convex across the ribbon too, so it is least at an edge, or at the line that passes the axis or the tip's rim.
 */
export function ribbonClearanceMm(cone: Cone, tip: Vec3, axis: Vec3, ribbon: Ribbon): number {
  const rise = dot(ribbon.tangent, axis);
  const level = reject(ribbon.tangent, axis), across2 = dot(level, level);
  if (across2 < ON_END) return at(0);
  const aside = scale(cross(axis, level), 1 / Math.sqrt(across2)); // square to axis and line: how far a line passes from the axis
  const away0 = dot(sub(ribbon.middle, tip), aside), perB = dot(ribbon.lateral, aside);
  let least = Math.min(at(-ribbon.halfMm), at(ribbon.halfMm));
  if (Math.abs(perB) < ON_END || ribbon.halfMm === 0) return least;
  for (const awayMm of [-cone.tipRadiusMm, 0, cone.tipRadiusMm]) {
    const b = (awayMm - away0) / perB;
    if (Math.abs(b) < ribbon.halfMm) least = Math.min(least, at(b));
  }
  return least;

  function at(b: number): number {
    const from = [0, 1, 2].map((k) => (ribbon.middle[k] as number) + b * (ribbon.lateral[k] as number) - (tip[k] as number)) as unknown as Vec3;
    const axialMm = dot(from, axis), out = reject(from, axis);
    const tau = across2 < ON_END ? 0 : -dot(out, level) / across2; // along the line to where it comes nearest to the axis
    const nearest: Vec3 = [out[0] + tau * level[0], out[1] + tau * level[1], out[2] + tau * level[2]];
    return cylinderClearanceMm(cone, { awayMm: norm(nearest), axialMm: axialMm + tau * rise, rise }, [ribbon.fromMm - tau, ribbon.toMm - tau], ribbon.radiusMm);
  }
}
