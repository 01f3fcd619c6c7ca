/**
 * The rehearsal's camera as geometry: pinhole with Brown–Conrady distortion (radial k1 k2 k3, tangential p1 p2). Axes +x right, +y down, +z into
 * the scene; pixel (0, 0) is the centre of the top left pixel. With x = X/Z, y = Y/Z, r² = x² + y²:
 * x″ = x (1 + k1 r² + k2 r⁴ + k3 r⁶) + 2 p1 x y + p2 (r² + 2 x²); y″ the same with y, p1 and p2 exchanged in the tangential terms; u = fx x″ + cx.
 */
import { poseOfAxes, add, cross, reject, scale, unit, type Pose7, type Vec3 } from "../../kernel/vec.ts";

/** Image size and lens of a camera, pixels (k and p without unit). */
export interface Lens {
  readonly widthPx: number; readonly heightPx: number;
  readonly fx: number; readonly fy: number; readonly cx: number; readonly cy: number;
  readonly k1: number; readonly k2: number; readonly p1: number; readonly p2: number; readonly k3: number;
}

/** Ideal image plane to distorted one, both at Z = 1, and the derivatives [a, b; c, d] of it, into `out`: x″, y″, a, b, c, d. */
function distort({ k1, k2, k3, p1, p2 }: Lens, x: number, y: number, out: Float64Array): void {
  const r2 = x * x + y * y, radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3)), slope = k1 + r2 * (2 * k2 + 3 * r2 * k3); // d radial / d r²
  out[0] = x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x);
  out[1] = y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y;
  out[2] = radial + 2 * x * x * slope + 2 * p1 * y + 6 * p2 * x;
  out[3] = 2 * x * y * slope + 2 * p1 * x + 2 * p2 * y;
  out[4] = out[3];
  out[5] = radial + 2 * y * y * slope + 6 * p1 * y + 2 * p2 * x;
}

/** Pixel (u, v) of a point in the camera's axes into `out[0..1]`; NaN behind the camera. */
export function projectPoint(lens: Lens, x: number, y: number, z: number, out: Float64Array): void {
  if (!(z > 0)) { out[0] = out[1] = Number.NaN; return; }
  distort(lens, x / z, y / z, scratch);
  out[0] = lens.fx * scratch[0]! + lens.cx;
  out[1] = lens.fy * scratch[1]! + lens.cy;
}
const scratch = new Float64Array(6);

/**
 * Ideal image-plane place (X/Z, Y/Z) of pixel (u, v) into `out[0..1]`: Newton on the distortion from the pixel itself, until a step is below
 * 1e-12. NaN where it finds none, or past the place where the lens folds over (its derivative's determinant is no longer above 0).
 */
export function unproject(lens: Lens, u: number, v: number, out: Float64Array): void {
  const xd = (u - lens.cx) / lens.fx, yd = (v - lens.cy) / lens.fy;
  let x = xd, y = yd;
  for (let turn = 0; turn < 50; turn++) {
    distort(lens, x, y, scratch);
    const ex = scratch[0]! - xd, ey = scratch[1]! - yd, det = scratch[2]! * scratch[5]! - scratch[3]! * scratch[4]!;
    if (!(det > 1e-6)) break;
    const dx = (scratch[5]! * ex - scratch[3]! * ey) / det, dy = (scratch[2]! * ey - scratch[4]! * ex) / det;
    x -= dx;
    y -= dy;
    if (dx * dx + dy * dy < 1e-24) { out[0] = x; out[1] = y; return; }
  }
  out[0] = out[1] = Number.NaN;
}

/** Where a camera looks from. */
export interface Stand {
  /** Point that the middle of the image shows. */
  readonly aim: Vec3;
  /** Normal there, and the direction (square to it after projection) that the camera stands in, seen from `aim`. */
  readonly normal: Vec3;
  readonly side: Vec3;
  /** Angle between the view and the normal. */
  readonly angleRad: number;
  readonly distanceMm: number;
}

/** Pose of a camera that stands so: +z looks at `aim`, the normal points upwards in the image. */
export function cameraPose({ aim, normal, side, angleRad, distanceMm }: Stand): Pose7 {
  const out = unit(reject(side, normal)), toward = add(scale(normal, Math.cos(angleRad)), scale(out, Math.sin(angleRad)));
  const z = scale(toward, -1), up = add(scale(normal, Math.sin(angleRad)), scale(out, -Math.cos(angleRad))), y = scale(up, -1);
  return poseOfAxes(cross(y, z), y, z, add(aim, scale(toward, distanceMm)));
}
