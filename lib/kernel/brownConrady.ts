/**
 * A pinhole with Brown–Conrady distortion (Brown 1971; the order and signs of the five coefficients as OpenCV's documentation of `calib3d`
 * writes them). Lengths in the image in px, pixel (0, 0) being the centre of the top left one.
 */
export interface Lens {
  readonly fx: number;
  readonly fy: number;
  readonly cx: number;
  readonly cy: number;
  readonly k1: number;
  readonly k2: number;
  readonly p1: number;
  readonly p2: number;
  readonly k3: number;
}

const FIXED_POINT_PASSES = 5;
const NEWTON_STEPS = 40;
const SETTLED = 1e-13; // of normalised coordinates: far below a thousandth of a pixel of any camera

/** Puts the pixel at which the ideal normalised point (x, y) = (X / Z, Y / Z) is seen into `out[0]`, `out[1]`. */
export function distortInto(lens: Lens, x: number, y: number, out: Float64Array): void {
  const r2 = x * x + y * y;
  const radial = radialOf(lens, r2);
  out[0] = lens.cx + lens.fx * (x * radial + 2 * lens.p1 * x * y + lens.p2 * (r2 + 2 * x * x));
  out[1] = lens.cy + lens.fy * (y * radial + lens.p1 * (r2 + 2 * y * y) + 2 * lens.p2 * x * y);
}

/**
 * Puts the ideal normalised point that is seen at pixel (u, v) into `out[0]`, `out[1]`: a few passes of `fixedPointInto`, then Newton's steps until
 * they settle. NaN, NaN where no point before the lens's fold is seen there.
 */
export function undistortInto(lens: Lens, u: number, v: number, out: Float64Array): void {
  const xd = (u - lens.cx) / lens.fx;
  const yd = (v - lens.cy) / lens.fy;
  out[0] = xd;
  out[1] = yd;
  for (let pass = 0; pass < FIXED_POINT_PASSES; pass++) fixedPointInto(lens, xd, yd, out);
  if (newtonInto(lens, xd, yd, out) && beforeFold(lens, out[0], out[1])) return;
  out[0] = NaN;
  out[1] = NaN;
}

/** One pass of x ← (xd − tangential(x)) / radial(x) over the ideal point in `out`, for the distorted normalised point (xd, yd). */
export function fixedPointInto(lens: Lens, xd: number, yd: number, out: Float64Array): void {
  const x = out[0]!;
  const y = out[1]!;
  const r2 = x * x + y * y;
  const radial = radialOf(lens, r2);
  out[0] = (xd - 2 * lens.p1 * x * y - lens.p2 * (r2 + 2 * x * x)) / radial;
  out[1] = (yd - lens.p1 * (r2 + 2 * y * y) - 2 * lens.p2 * x * y) / radial;
}

/** Whether the lens still spreads at the ideal point (x, y): beyond the first radius at which it folds back, a pixel has a second origin. */
export function beforeFold(lens: Lens, x: number, y: number): boolean {
  return radiusGrows(lens, x * x + y * y) && jacobian(lens, x, y).det > 0;
}

function newtonInto(lens: Lens, xd: number, yd: number, out: Float64Array): boolean {
  for (let step = 0; step < NEWTON_STEPS; step++) {
    const x = out[0]!;
    const y = out[1]!;
    const r2 = x * x + y * y;
    const radial = radialOf(lens, r2);
    const ex = xd - (x * radial + 2 * lens.p1 * x * y + lens.p2 * (r2 + 2 * x * x));
    const ey = yd - (y * radial + lens.p1 * (r2 + 2 * y * y) + 2 * lens.p2 * x * y);
    const { xx, xy, yy, det } = jacobian(lens, x, y);
    const dx = (yy * ex - xy * ey) / det;
    const dy = (xx * ey - xy * ex) / det;
    if (!(dx * dx + dy * dy < Infinity)) return false;
    out[0] = x + dx;
    out[1] = y + dy;
    if (dx * dx + dy * dy <= SETTLED * SETTLED * (1 + r2)) return true;
  }
  return false;
}

/** Slope of the distorted normalised point by the ideal one, with its determinant; it is symmetric. */
export function jacobian(lens: Lens, x: number, y: number): { xx: number; xy: number; yy: number; det: number } {
  const r2 = x * x + y * y;
  const radial = radialOf(lens, r2);
  const slope = lens.k1 + r2 * (2 * lens.k2 + r2 * 3 * lens.k3); // d radial / d r²
  const xx = radial + 2 * x * x * slope + 2 * lens.p1 * y + 6 * lens.p2 * x;
  const xy = 2 * x * y * slope + 2 * lens.p1 * x + 2 * lens.p2 * y;
  const yy = radial + 2 * y * y * slope + 6 * lens.p1 * y + 2 * lens.p2 * x;
  return { xx, xy, yy, det: xx * yy - xy * xy };
}

/** 1 + k1 r² + k2 r⁴ + k3 r⁶. */
export function radialOf(lens: Lens, r2: number): number {
  return 1 + r2 * (lens.k1 + r2 * (lens.k2 + r2 * lens.k3));
}

/** Whether d(r · radial)/dr = 1 + 3 k1 s + 5 k2 s² + 7 k3 s³ stays positive for s from 0 to r²: its least value lies at the end or where its own slope is 0. */
function radiusGrows(lens: Lens, r2: number): boolean {
  const growth = (s: number) => 1 + s * (3 * lens.k1 + s * (5 * lens.k2 + s * 7 * lens.k3));
  if (!(growth(r2) > 0)) return false;
  const a = 21 * lens.k3;
  const b = 5 * lens.k2; // half of the middle coefficient of 21 k3 s² + 10 k2 s + 3 k1
  const c = 3 * lens.k1;
  const root = b * b - a * c;
  if (root < 0) return true;
  const q = -(b + (b < 0 ? -1 : 1) * Math.sqrt(root));
  return [q / a, c / q].every((s) => !(s > 0 && s < r2) || growth(s) > 0);
}
