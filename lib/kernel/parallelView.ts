/** A parallel (orthographic) projection and how a hand moves it. Numbers only: px to the right and down from the picture's middle, mm in space. */
import { axesOfPose, cross, dot, norm, poseOfAxes, reject, unit, type Vec3 } from "./vec.ts";

export interface ParallelView {
  /** Unit, square to each other: to the right and up in the picture, and to the viewer. */
  readonly right: Vec3;
  readonly up: Vec3;
  readonly toward: Vec3;
  /** What lies in the picture's middle, mm. */
  readonly centreMm: Vec3;
  readonly pxPerMm: number;
}

/** px of a point: to the right, down, and how much nearer to the viewer than the middle (in px too). */
export function project({ right, up, toward, centreMm, pxPerMm }: ParallelView, x: number, y: number, z: number): Vec3 {
  const dx = x - centreMm[0], dy = y - centreMm[1], dz = z - centreMm[2];
  return [pxPerMm * (dx * right[0] + dy * right[1] + dz * right[2]), -pxPerMm * (dx * up[0] + dy * up[1] + dz * up[2]), pxPerMm * (dx * toward[0] + dy * toward[1] + dz * toward[2])];
}

/** Axes of a view towards which `toward` points, with `up` as nearly up as it can be; any up where the two are one. */
export function viewAxes(toward: Vec3, up: Vec3): Pick<ParallelView, "right" | "up" | "toward"> {
  const t = unit(toward), flat = reject(up, t), u = unit(norm(flat) > 1e-6 ? flat : reject(Math.abs(t[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0], t));
  return { right: cross(u, t), up: u, toward: t };
}

/** Moves what is seen by px to the right and down. */
export function panned(view: ParallelView, dxPx: number, dyPx: number): ParallelView {
  const { right, up, centreMm, pxPerMm } = view, move = (k: 0 | 1 | 2): number => centreMm[k] + (dyPx * up[k] - dxPx * right[k]) / pxPerMm;
  return { ...view, centreMm: [move(0), move(1), move(2)] };
}

/** Larger by `factor`, within limits; what lies at (xPx, yPx) stays there. */
export function zoomed(view: ParallelView, factor: number, { xPx, yPx, leastPxPerMm, mostPxPerMm }: { readonly xPx: number; readonly yPx: number; readonly leastPxPerMm: number; readonly mostPxPerMm: number }): ParallelView {
  const pxPerMm = Math.min(mostPxPerMm, Math.max(leastPxPerMm, view.pxPerMm * factor)), k = pxPerMm / view.pxPerMm;
  return { ...panned(view, xPx * (1 / k - 1), yPx * (1 / k - 1)), pxPerMm };
}

/** The viewer may go so close to the upright and no further, so that up stays up, rad. */
const POLE_RAD = 1e-3;

/** Goes round the target: `roundRad` about `upright` (unit; the picture turns to the right), `overRad` over it (the picture turns down), never past the pole. */
export function turned(view: ParallelView, roundRad: number, overRad: number, upright: Vec3): ParallelView {
  const round = (a: Vec3): Vec3 => rotated(a, upright, roundRad), right = round(view.right), toward = round(view.toward);
  const heightRad = Math.asin(Math.max(-1, Math.min(1, dot(toward, upright)))), limit = Math.PI / 2 - POLE_RAD;
  const by = Math.abs(heightRad) > limit && overRad * heightRad > 0 ? 0 : Math.max(-limit, Math.min(limit, heightRad + overRad)) - heightRad;
  return { ...view, ...viewAxes(rotated(toward, right, -by), rotated(round(view.up), right, -by)) };
}

/** Rodrigues: `a` turned about a unit axis, counter-clockwise seen against it. */
function rotated(a: Vec3, axis: Vec3, angleRad: number): Vec3 {
  const c = Math.cos(angleRad), s = Math.sin(angleRad), k = dot(axis, a) * (1 - c), x = cross(axis, a);
  return [a[0] * c + x[0] * s + axis[0] * k, a[1] * c + x[1] * s + axis[1] * k, a[2] * c + x[2] * s + axis[2] * k];
}

/** On the way from one view to another, f from 0 to 1: the turn by quaternions along the shorter way, the scale by its logarithm. */
export function between(from: ParallelView, to: ParallelView, f: number): ParallelView {
  if (f >= 1) return to;
  const a = poseOfAxes(from.right, from.up, from.toward, from.centreMm), b = poseOfAxes(to.right, to.up, to.toward, to.centreMm);
  const sign = a[3] * b[3] + a[4] * b[4] + a[5] * b[5] + a[6] * b[6] < 0 ? -1 : 1, at = (k: number): number => (a[k] as number) * (1 - f) + (k < 3 ? 1 : sign) * (b[k] as number) * f;
  const size = Math.hypot(at(3), at(4), at(5), at(6)), { x, y, z } = axesOfPose([0, 0, 0, at(3) / size, at(4) / size, at(5) / size, at(6) / size]);
  return { right: x, up: y, toward: z, centreMm: [at(0), at(1), at(2)], pxPerMm: from.pxPerMm ** (1 - f) * to.pxPerMm ** f };
}

/** The scale and middle at which packed points (Float32Array[3 · point] each) fill a picture of such a size, `marginPx` kept free; the view as it is without points. */
export function fitted(view: ParallelView, points: readonly Float32Array[], { widthPx, heightPx, marginPx, mostPxPerMm }: { readonly widthPx: number; readonly heightPx: number; readonly marginPx: number; readonly mostPxPerMm: number }): ParallelView {
  const low: [number, number, number] = [Infinity, Infinity, Infinity], high: [number, number, number] = [-Infinity, -Infinity, -Infinity], axes = [view.right, view.up, view.toward] as const;
  for (const packed of points) {
    for (let i = 0; i < packed.length; i += 3) {
      for (let k = 0; k < 3; k++) {
        const axis = axes[k] as Vec3, at = (packed[i] as number) * axis[0] + (packed[i + 1] as number) * axis[1] + (packed[i + 2] as number) * axis[2];
        if (at < (low[k] as number)) low[k] = at;
        if (at > (high[k] as number)) high[k] = at;
      }
    }
  }
  if (!(low[0] <= high[0])) return view;
  const room = (px: number): number => Math.max(1, px - 2 * marginPx), [r, u, t] = [0, 1, 2].map((k) => ((low[k] as number) + (high[k] as number)) / 2) as [number, number, number];
  const pxPerMm = Math.min(mostPxPerMm, room(widthPx) / Math.max(1e-3, high[0] - low[0]), room(heightPx) / Math.max(1e-3, high[1] - low[1]));
  const centre = (k: 0 | 1 | 2): number => r * view.right[k] + u * view.up[k] + t * view.toward[k];
  return { ...view, pxPerMm, centreMm: [centre(0), centre(1), centre(2)] };
}

/** The packed point nearest to a place in the picture, closer than `reachPx`, and how much nearer to the viewer than the middle it lies. −1: none. */
export function nearestProjected(view: ParallelView, packed: Float32Array, xPx: number, yPx: number, reachPx: number): { readonly index: number; readonly awayPx: number; readonly nearPx: number } {
  const { right, up, toward, centreMm, pxPerMm } = view;
  let index = -1, awayPx = reachPx, nearPx = -Infinity;
  for (let i = 0; i < packed.length; i += 3) {
    const dx = (packed[i] as number) - centreMm[0], dy = (packed[i + 1] as number) - centreMm[1], dz = (packed[i + 2] as number) - centreMm[2];
    const away = Math.hypot(pxPerMm * (dx * right[0] + dy * right[1] + dz * right[2]) - xPx, -pxPerMm * (dx * up[0] + dy * up[1] + dz * up[2]) - yPx);
    if (away >= awayPx) continue;
    [index, awayPx, nearPx] = [i / 3, away, pxPerMm * (dx * toward[0] + dy * toward[1] + dz * toward[2])];
  }
  return { index, awayPx, nearPx };
}
