/** Where a calibration from pictures of a plane begins: closed forms after Zhang (2000) from the homographies board → picture. */
import { cross, poseOfAxes, scale, sub, unit, dot, add, norm, type Pose7, type Vec3 } from "./vec.ts";

/**
 * Focal length, px, by Zhang's two constraints a picture (h1ᵀ B h2 = 0, h1ᵀ B h1 = h2ᵀ B h2) with square pixels and the principal point at
 * (cx, cy), least squares over all pictures. NaN where they determine none: all boards stand square to the view.
 */
export function startFocal(homographies: readonly Float64Array[], cx: number, cy: number): number {
  const size = cx + cy;
  let square = 0, mixed = 0;
  for (const h of homographies) {
    const column = (i: number): Vec3 => [(h[i]! - cx * h[6 + i]!) / size, (h[3 + i]! - cy * h[6 + i]!) / size, h[6 + i]!];
    const one = column(0), two = column(1), weight = 1 / (norm(one) * norm(two));
    const inner = one[0] * two[0] + one[1] * two[1], across = one[0] * one[0] + one[1] * one[1] - two[0] * two[0] - two[1] * two[1];
    square += weight * weight * (inner * inner + across * across);
    mixed += weight * weight * (inner * one[2] * two[2] + across * (one[2] * one[2] - two[2] * two[2]));
  }
  const b = -mixed / square; // (size / f)²
  return b > 0 && b < Infinity ? size / Math.sqrt(b) : Number.NaN;
}

/** Pose board → camera from a homography board (z = 0) → ideal normalised coordinates. Its two columns are made square to each other evenly. */
export function planePose(h: Float64Array): Pose7 {
  const columns = [0, 1, 2].map((i): Vec3 => [h[i]!, h[3 + i]!, h[6 + i]!]) as [Vec3, Vec3, Vec3];
  const size = (norm(columns[0]) + norm(columns[1])) / 2 * (columns[2][2] < 0 ? -1 : 1); // the board lies before the camera
  const one = scale(columns[0], 1 / size), two = scale(columns[1], 1 / size);
  const middle = unit(add(one, two)), apart = sub(one, two), across = unit(sub(apart, scale(middle, dot(apart, middle))));
  const x = scale(add(middle, across), Math.SQRT1_2), y = scale(sub(middle, across), Math.SQRT1_2);
  return poseOfAxes(x, y, cross(x, y), scale(columns[2], 1 / size));
}

/** Homography board → normalised coordinates from that board → picture, for a pinhole. */
export function normalisedBy(h: Float64Array, f: number, cx: number, cy: number): Float64Array {
  return Float64Array.from(h, (v, i) => (i < 3 ? (v - cx * h[6 + i]!) / f : i < 6 ? (v - cy * h[3 + i]!) / f : v));
}
