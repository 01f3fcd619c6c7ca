/**
 * Closed forms of the two bead shapes. Lengths mm, areas mm², flow mm³/s, speed mm/s.
 *
 * stadium: flat top and bottom, round flanks of radius h/2; needs w ≥ h.
 *   laid area A = h (w − h) + π h² / 4                        (plane geometry)
 * segment: a circular segment on its chord, w the width seen from above (2R once it overhangs, h > w/2).
 *   h ≤ w/2: R = (w²/4 + h²) / (2h);  h > w/2: R = w/2;  A = R² acos((R − h)/R) − (R − h) √(2Rh − h²)   (plane geometry)
 * The visible area is what a sensor looking along the normal can see above the support: the undercut is filled.
 */
import type { BeadShape } from "../model/job.ts";

/** Radius of the flank circle: h/2 of a stadium, R of a segment. */
export function flankRadiusMm(shape: BeadShape, widthMm: number, heightMm: number): number {
  if (shape === "stadium") return heightMm / 2;
  return heightMm > widthMm / 2 ? widthMm / 2 : (widthMm * widthMm / 4 + heightMm * heightMm) / (2 * heightMm);
}

/** Cross-section of the paste itself, undercut left out. A stadium narrower than high is refused with a RangeError (readers refuse it earlier, by line). */
export function laidAreaMm2(shape: BeadShape, widthMm: number, heightMm: number): number {
  if (shape === "stadium") {
    if (widthMm < heightMm) throw new RangeError(`a stadium needs width ≥ height, got ${widthMm} × ${heightMm} mm`);
    return heightMm * (widthMm - heightMm) + Math.PI * heightMm * heightMm / 4;
  }
  const r = flankRadiusMm(shape, widthMm, heightMm);
  const d = r - heightMm;
  return r * r * Math.acos(d / r) - d * Math.sqrt(Math.max(0, 2 * r * heightMm - heightMm * heightMm));
}

/** Cross-section seen from above, undercut filled. A stadium shows w h − (1 − π/4) h²/2. */
export function visibleAreaMm2(shape: BeadShape, widthMm: number, heightMm: number): number {
  if (shape === "stadium") {
    if (widthMm < heightMm) throw new RangeError(`a stadium needs width ≥ height, got ${widthMm} × ${heightMm} mm`);
    return widthMm * heightMm - (1 - Math.PI / 4) * heightMm * heightMm / 2;
  }
  const r = flankRadiusMm(shape, widthMm, heightMm);
  return heightMm <= r ? laidAreaMm2(shape, widthMm, heightMm) : Math.PI * r * r / 2 + 2 * r * (heightMm - r);
}

/** Height of the bead's upper outline over its base at lateral position `bMm` from its centre; 0 outside. */
export function outlineMm(shape: BeadShape, widthMm: number, heightMm: number, bMm: number): number {
  const d = widthMm / 2 - Math.abs(bMm); // distance inside the flank
  if (!(d >= 0)) return 0;
  const r = flankRadiusMm(shape, widthMm, heightMm);
  if (shape === "stadium") return d >= r ? heightMm : r + Math.sqrt(Math.max(0, 2 * r * d - d * d));
  return heightMm - r + Math.sqrt(Math.max(0, r * r - bMm * bMm));
}

/** Volume conservation, Q = A v. */
export function flowMm3S(areaMm2: number, speedMmS: number): number {
  return areaMm2 * speedMmS;
}

/**
 * Width of a bead of laid area `areaMm2` and height `heightMm`.
 * stadium: w = A/h + h (1 − π/4); segment: solved on A(w) by bisection. NaN where no such bead exists.
 */
export function widthFromAreaMm(shape: BeadShape, areaMm2: number, heightMm: number): number {
  if (shape === "stadium") {
    const w = areaMm2 / heightMm + heightMm * (1 - Math.PI / 4);
    return w >= heightMm * (1 - 1e-9) ? Math.max(w, heightMm) : Number.NaN;
  }
  let low = heightMm; // w = h is the full circle, the least area of this height
  let high = 2 * heightMm + 2 * areaMm2 / heightMm;
  if (areaMm2 < laidAreaMm2(shape, low, heightMm)) return Number.NaN;
  for (let i = 0; i < 100; i++) {
    const mid = (low + high) / 2;
    if (laidAreaMm2(shape, mid, heightMm) < areaMm2) low = mid;
    else high = mid;
  }
  return (low + high) / 2;
}

/** Width of a segment of area A and contact angle θ (0 < θ < π): w = √(4A / (θ/sin²θ − cosθ/sinθ)), its chord (Stringer & Derby 2010, from memory). */
export function chordFromAngleMm(areaMm2: number, angleRad: number): number {
  const s = Math.sin(angleRad);
  return Math.sqrt(4 * areaMm2 / (angleRad / (s * s) - Math.cos(angleRad) / s));
}
