/**
 * A camera from pictures of a plane with known points (Zhang 2000): closed form, then least squares of all reprojection errors over lens
 * and board poses at once, with the covariance of the lens.
 */
import { distortInto, jacobian, type Lens, radialOf } from "./brownConrady.ts";
import { invertPositive, mirrored } from "./dense.ts";
import { fitHomography } from "./homography.ts";
import { type LeastSquares, leastSquares } from "./levenberg.ts";
import { normalisedBy, planePose, startFocal } from "./planarStart.ts";
import { movedPose } from "./rigid.ts";
import { applyPose, axesOfPose, type Pose7 } from "./vec.ts";

/** Points of the plane and where they are seen: x0, y0, x1, y1 … each. */
export interface PlaneView { readonly board: Float64Array; readonly image: Float64Array }

export const LENS_KEYS = ["fx", "fy", "cx", "cy", "k1", "k2", "p1", "p2", "k3"] as const;
export type LensKey = (typeof LENS_KEYS)[number];

export interface LensModel {
  /** Distortions that stay 0. */
  readonly fixed?: readonly Exclude<LensKey, "fx" | "fy" | "cx" | "cy">[];
  /** fx = fy. */
  readonly isSquare?: boolean;
}

export interface PlanarCalibration {
  readonly lens: Lens;
  /** Plane → camera, one a view. */
  readonly poses: readonly Pose7[];
  /** Seen minus computed, px: dx0, dy0, dx1 … one a view. */
  readonly residuals: readonly Float64Array[];
  /** Root of the mean squared distance of a point from where it is computed, px. */
  readonly rmsPx: number;
  /** Standard uncertainties from the covariance at the residuals' own scatter; 0: held; NaN: the views do not determine it. */
  readonly u: Readonly<Record<LensKey, number>>;
  readonly isSettled: boolean;
}

interface State { readonly lens: Lens; readonly poses: readonly Pose7[] }

/** null where a view has no homography (fewer than four points, or all on a line), or there are fewer numbers than unknowns. */
export function calibratePlanes(views: readonly PlaneView[], widthPx: number, heightPx: number, model: LensModel = {}): PlanarCalibration | null {
  const homographies = views.map(({ board, image }) => fitHomography(board, image));
  if (views.length === 0 || homographies.includes(null)) return null;
  const columns = columnsOf(model), pointCount = views.reduce((sum, { image }) => sum + image.length / 2, 0), size = columns.length + 6 * views.length;
  if (2 * pointCount <= size) return null;
  const fit = leastSquares(problemOf(views, columns), startOf(homographies as Float64Array[], widthPx, heightPx));
  const variance = fit.cost / (2 * pointCount - size), inverse = invertPositive(mirrored(fit.normal, size), size);
  const u = Object.fromEntries(LENS_KEYS.map((key) => {
    const at = columns.findIndex((keys) => keys.includes(key));
    return [key, at < 0 ? 0 : inverse === null ? Number.NaN : Math.sqrt(variance * inverse[(size + 1) * at]!)];
  })) as Record<LensKey, number>;
  const residuals = views.map((view, i) => residualsOf(view, fit.state.lens, fit.state.poses[i]!));
  return { ...fit.state, residuals, rmsPx: Math.sqrt(fit.cost / pointCount), u, isSettled: fit.isSettled };
}

/** Each column of the normal equations moves these of the lens together. */
function columnsOf({ fixed = [], isSquare = false }: LensModel): readonly (readonly LensKey[])[] {
  const focal: readonly (readonly LensKey[])[] = isSquare ? [["fx", "fy"]] : [["fx"], ["fy"]];
  return [...focal, ...LENS_KEYS.slice(2).filter((key) => !(fixed as readonly LensKey[]).includes(key)).map((key) => [key])];
}

function startOf(homographies: readonly Float64Array[], widthPx: number, heightPx: number): State {
  const cx = (widthPx - 1) / 2, cy = (heightPx - 1) / 2, found = startFocal(homographies, cx, cy), f = found === found ? found : Math.max(widthPx, heightPx);
  return { lens: { fx: f, fy: f, cx, cy, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0 }, poses: homographies.map((h) => planePose(normalisedBy(h, f, cx, cy))) };
}

function problemOf(views: readonly PlaneView[], columns: readonly (readonly LensKey[])[]): LeastSquares<State> {
  return {
    size: columns.length + 6 * views.length,
    linearise: ({ lens, poses }, normal, gradient) => views.reduce((sum, view, i) => sum + addView(view, { lens, pose: poses[i]!, columns, viewIndex: i, normal, gradient }), 0),
    cost: ({ lens, poses }) => views.reduce((sum, view, i) => sum + squares(residualsOf(view, lens, poses[i]!)), 0),
    moved: ({ lens, poses }, step) => {
      const next = { ...lens };
      columns.forEach((keys, k) => { for (const key of keys) next[key] += step[k]!; });
      return { lens: next, poses: poses.map((pose, i) => movedPose(pose, step, columns.length + 6 * i)) };
    },
  };
}

function squares(values: Float64Array): number {
  let sum = 0;
  for (const v of values) sum += v * v;
  return sum;
}

/** Seen minus computed, px; NaN for a point behind the camera. */
export function residualsOf({ board, image }: PlaneView, lens: Lens, pose: Pose7): Float64Array {
  const out = new Float64Array(image.length), pixel = new Float64Array(2);
  for (let i = 0; i < image.length; i += 2) {
    const [x, y, z] = applyPose(pose, [board[i]!, board[i + 1]!, 0]);
    distortInto(lens, x / z, y / z, pixel);
    out[i] = z > 0 ? image[i]! - pixel[0]! : Number.NaN;
    out[i + 1] = z > 0 ? image[i + 1]! - pixel[1]! : Number.NaN;
  }
  return out;
}

interface Into { readonly lens: Lens; readonly pose: Pose7; readonly columns: readonly (readonly LensKey[])[]; readonly viewIndex: number; readonly normal: Float64Array; readonly gradient: Float64Array }

/** Adds a view's rows to the normal equations; its Σ r². */
function addView(view: PlaneView, { lens, pose, columns, viewIndex, normal, gradient }: Into): number {
  const { board, image } = view, residuals = residualsOf(view, lens, pose), axes = axesOfPose(pose);
  const lensCount = columns.length, n = Math.round(Math.sqrt(normal.length)), u = new Float64Array(lensCount + 6), v = new Float64Array(lensCount + 6);
  const at = Int32Array.from(u, (_, k) => (k < lensCount ? k : lensCount + 6 * viewIndex + k - lensCount));
  for (let i = 0; i < image.length; i += 2) {
    const bx = board[i]!, by = board[i + 1]!;
    const rx = axes.x[0] * bx + axes.y[0] * by, ry = axes.x[1] * bx + axes.y[1] * by, rz = axes.x[2] * bx + axes.y[2] * by;
    const z = rz + pose[2], x = (rx + pose[0]) / z, y = (ry + pose[1]) / z, slopes = lensSlopes(lens, x, y);
    for (let k = 0; k < lensCount; k++) {
      u[k] = 0;
      v[k] = 0;
      for (const key of columns[k]!) {
        u[k]! += slopes[key][0];
        v[k]! += slopes[key][1];
      }
    }
    const { xx, xy, yy } = jacobian(lens, x, y);
    poseSlopes(u, lensCount, [lens.fx * xx / z, lens.fx * xy / z, -lens.fx * (xx * x + xy * y) / z], [rx, ry, rz]);
    poseSlopes(v, lensCount, [lens.fy * xy / z, lens.fy * yy / z, -lens.fy * (xy * x + yy * y) / z], [rx, ry, rz]);
    for (let r = 0; r < u.length; r++) {
      gradient[at[r]!]! -= u[r]! * residuals[i]! + v[r]! * residuals[i + 1]!;
      for (let c = 0; c <= r; c++) normal[n * at[r]! + at[c]!]! += u[r]! * u[c]! + v[r]! * v[c]!;
    }
  }
  return squares(residuals);
}

/** Slopes of the pixel (u, v) by each number of the lens at the ideal point (x, y). */
function lensSlopes(lens: Lens, x: number, y: number): Readonly<Record<LensKey, readonly [number, number]>> {
  const { fx, fy, p1, p2 } = lens, r2 = x * x + y * y, radial = radialOf(lens, r2);
  return {
    fx: [x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x), 0], fy: [0, y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y], cx: [1, 0], cy: [0, 1],
    k1: [fx * x * r2, fy * y * r2], k2: [fx * x * r2 * r2, fy * y * r2 * r2], p1: [fx * 2 * x * y, fy * (r2 + 2 * y * y)], p2: [fx * (r2 + 2 * x * x), fy * 2 * x * y],
    k3: [fx * x * r2 * r2 * r2, fy * y * r2 * r2 * r2],
  };
}

/** From the slopes `g` by the point in the camera: those by a turn of its arm `r` (r × g) and by a shift. */
function poseSlopes(out: Float64Array, from: number, g: readonly [number, number, number], r: readonly [number, number, number]): void {
  out[from] = r[1] * g[2] - r[2] * g[1];
  out[from + 1] = r[2] * g[0] - r[0] * g[2];
  out[from + 2] = r[0] * g[1] - r[1] * g[0];
  out[from + 3] = g[0];
  out[from + 4] = g[1];
  out[from + 5] = g[2];
}
