/**
 * Clearances of a nozzle: a truncated cone that stands on its tip. Along its axis, which points away from the target, a runs from 0 at the
 * tip's face to the length; its radius is r(a) = tip + a · tan(half angle). All closed forms are plane and solid geometry. Lengths mm;
 * a clearance below 0 is how deep the other body reaches in.
 */
export interface Cone {
  readonly tipRadiusMm: number;
  readonly halfAngleRad: number;
  readonly lengthMm: number;
}

/** `coneAngleDeg` is the full angle. */
export function coneOf(outerDiameterMm: number, coneAngleDeg: number, lengthMm: number): Cone {
  return { tipRadiusMm: outerDiameterMm / 2, halfAngleRad: coneAngleDeg * Math.PI / 360, lengthMm };
}

/** Radius at height a over the tip's face. */
export function radiusAtMm(cone: Cone, axialMm: number): number {
  return cone.tipRadiusMm + axialMm * Math.tan(cone.halfAngleRad);
}

/** Clearance of a point at `radialMm` from the axis and `axialMm` over the tip's face. */
export function pointClearanceMm(cone: Cone, radialMm: number, axialMm: number): number {
  const { tipRadiusMm: tip, halfAngleRad, lengthMm } = cone;
  const c = Math.cos(halfAngleRad), s = Math.sin(halfAngleRad);
  const out = (radialMm - tip) * c - axialMm * s; // distance from the flank's line, outward
  const top = axialMm - lengthMm, topRadiusMm = radiusAtMm(cone, lengthMm);
  if (radialMm <= tip && axialMm <= 0) return -axialMm;
  if (radialMm <= topRadiusMm && top >= 0) return top;
  if (out <= 0 && axialMm >= 0) return Math.max(out, -axialMm, top);
  const along = (radialMm - tip) * s + axialMm * c; // along the flank from the tip's rim
  if (along <= 0) return Math.hypot(radialMm - tip, axialMm);
  return along <= lengthMm / c ? out : Math.hypot(radialMm - topRadiusMm, top);
}

/** A straight line as the cone sees it: where it comes nearest to the axis, and how much it rises along itself (sine of its angle to the tip's face). */
export interface ConeLine { readonly awayMm: number; readonly axialMm: number; readonly rise: number }

/** Golden section: share of an interval. */
const GOLDEN = (Math.sqrt(5) - 1) / 2;
const STEPS = 24;

/**
 * Clearance of a round cylinder of `radiusMm` about a piece of a line, from `fromMm` to `toMm` along it (0: where it comes nearest to the
 * axis). The distance from a convex body is convex along a line; a level line is nearest at that place, of another the least is searched.
 */
export function cylinderClearanceMm(cone: Cone, line: ConeLine, piece: readonly [fromMm: number, toMm: number], radiusMm: number): number {
  const across = 1 - line.rise * line.rise;
  const at = (tau: number): number => pointClearanceMm(cone, Math.sqrt(line.awayMm * line.awayMm + across * tau * tau), line.axialMm + line.rise * tau);
  let [low, high] = piece;
  if (line.rise === 0) return at(low > 0 ? low : high < 0 ? high : 0) - radiusMm;
  for (let i = 0; i < STEPS; i++) {
    const a = high - GOLDEN * (high - low), b = low + GOLDEN * (high - low);
    if (at(a) < at(b)) high = b;
    else low = a;
  }
  return at((low + high) / 2) - radiusMm;
}

/**
 * Clearance along the axis from a target that is a paraboloid n = κ ρ²/2 round the axis (a sphere of radius 1/κ near its pole), `overMm`
 * beneath the tip; κ above 0 rises on all sides. The gap overMm + a − κ r(a)²/2 is concave in a, so it is least at the rim of the
 * tip, at the top, or beneath the tip's middle; `reachMm` is how far from the axis the paraboloid may be trusted.
 */
export function paraboloidClearanceMm(cone: Cone, overMm: number, curvaturePerMm: number, reachMm: number): number {
  const gap = (axialMm: number): number => overMm + axialMm - curvaturePerMm * radiusAtMm(cone, axialMm) ** 2 / 2;
  if (curvaturePerMm <= 0) return overMm;
  if (cone.tipRadiusMm >= reachMm) return overMm - curvaturePerMm * reachMm * reachMm / 2;
  const t = Math.tan(cone.halfAngleRad);
  const highest = t > 0 ? Math.min(cone.lengthMm, (reachMm - cone.tipRadiusMm) / t) : cone.lengthMm;
  return Math.min(gap(0), gap(highest));
}
