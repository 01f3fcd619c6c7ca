/** A frame's view of the target: a pinhole picture without distortion, in cells of its own over the part that matters. */
import type { Lens } from "../kernel/brownConrady.ts";
import { axesOfPose, type Vec3 } from "../kernel/vec.ts";
import type { Pose } from "../model/job.ts";

/** Axes and place of a camera in `plan`. */
export interface CameraPlace { readonly x: Vec3; readonly y: Vec3; readonly z: Vec3; readonly t: Vec3 }

export interface View {
  readonly lens: Lens;
  readonly place: CameraPlace;
  /** Ideal pixel of the centre of cell (0, 0), and pixels a cell. */
  readonly u0: number; readonly v0: number; readonly step: number;
  readonly width: number; readonly height: number; // cells
}

/** More cells are not looked at: a bead of 1 mm is some 15 of them wide. */
const MOST_CELLS = 700_000;

/** Puts column, row (cells) and inverse depth (1/mm; 0: not before the camera) of a plan point into `out` from `at`. */
export function projectInto(view: View, px: number, py: number, pz: number, out: Float64Array, at: number): void {
  const { x, y, z, t } = view.place, dx = px - t[0], dy = py - t[1], dz = pz - t[2];
  const depth = z[0] * dx + z[1] * dy + z[2] * dz;
  if (!(depth > 1e-3)) {
    out[at] = Number.NaN;
    out[at + 1] = Number.NaN;
    out[at + 2] = 0;
    return;
  }
  const inverse = 1 / depth, { lens } = view;
  out[at] = (lens.cx + lens.fx * (x[0] * dx + x[1] * dy + x[2] * dz) * inverse - view.u0) / view.step;
  out[at + 1] = (lens.cy + lens.fy * (y[0] * dx + y[1] * dy + y[2] * dz) * inverse - view.v0) / view.step;
  out[at + 2] = inverse;
}

/** The plan point at a cell (fractions allowed) and an inverse depth. */
export function pointAt(view: View, column: number, row: number, inverse: number): Vec3 {
  const { lens, place: { x, y, z, t } } = view, depth = 1 / inverse;
  const a = depth * (view.u0 + column * view.step - lens.cx) / lens.fx, b = depth * (view.v0 + row * view.step - lens.cy) / lens.fy;
  return [t[0] + a * x[0] + b * y[0] + depth * z[0], t[1] + a * x[1] + b * y[1] + depth * z[1], t[2] + a * x[2] + b * y[2] + depth * z[2]];
}

export function placeOf(pose: Pose): CameraPlace {
  return axesOfPose(pose);
}

/**
 * The view that holds the given plan points (Float64Array[3 · point]) and `marginMm` round them, as far as the picture reaches, in cells of about
 * `cellMm` on the target and no finer than a pixel. null: none of them is in the picture.
 */
export function viewOf(lens: Lens & { readonly widthPx: number; readonly heightPx: number }, pose: Pose, points: Float64Array, { marginMm, cellMm }: { readonly marginMm: number; readonly cellMm: number }): View | null {
  const whole: View = { lens, place: placeOf(pose), u0: 0, v0: 0, step: 1, width: lens.widthPx, height: lens.heightPx };
  const at = new Float64Array(3);
  let low = Infinity, high = -Infinity, top = Infinity, bottom = -Infinity, count = 0, inverseSum = 0;
  for (let i = 0; i < points.length; i += 3) {
    projectInto(whole, points[i] as number, points[i + 1] as number, points[i + 2] as number, at, 0);
    const [u, v, inverse] = at as unknown as [number, number, number];
    if (!(u > -lens.widthPx && u < 2 * lens.widthPx && v > -lens.heightPx && v < 2 * lens.heightPx)) continue;
    if (u >= 0 && u < lens.widthPx && v >= 0 && v < lens.heightPx) {
      count++;
      inverseSum += inverse;
    }
    low = Math.min(low, u); high = Math.max(high, u); top = Math.min(top, v); bottom = Math.max(bottom, v);
  }
  if (count === 0) return null;
  const pxPerMm = lens.fx * inverseSum / count, margin = marginMm * pxPerMm;
  // what the lens shows of the ideal picture reaches a little beyond the sensor's own rectangle
  const overU = 0.25 * lens.widthPx, overV = 0.25 * lens.heightPx;
  const u0 = Math.max(low - margin, -overU), u1 = Math.min(high + margin, lens.widthPx + overU), v0 = Math.max(top - margin, -overV), v1 = Math.min(bottom + margin, lens.heightPx + overV);
  const step = Math.max(1, cellMm * pxPerMm, Math.sqrt((u1 - u0) * (v1 - v0) / MOST_CELLS));
  return { ...whole, u0, v0, step, width: Math.max(1, Math.ceil((u1 - u0) / step)), height: Math.max(1, Math.ceil((v1 - v0) / step)) };
}

/** A cell (x, y) of the stage is seen at the picture's cell (x, y) turned about (aboutX, aboutY) and moved. */
export interface Shift { readonly columns: number; readonly rows: number; readonly turnRad: number; readonly aboutX: number; readonly aboutY: number }

export const NO_SHIFT: Shift = { columns: 0, rows: 0, turnRad: 0, aboutX: 0, aboutY: 0 };

/** The same view in cells twice as large. */
export function coarser(view: View): View {
  // the middle of a large cell lies between four small ones
  return { ...view, u0: view.u0 + view.step / 2, v0: view.v0 + view.step / 2, step: 2 * view.step, width: Math.max(1, view.width >> 1), height: Math.max(1, view.height >> 1) };
}

/** Where a shift puts a cell of the stage in the picture. */
export function shifted({ columns, rows, turnRad, aboutX: cx, aboutY: cy }: Shift, x: number, y: number): readonly [number, number] {
  const dx = x - cx, dy = y - cy, cos = 1 - turnRad * turnRad / 2; // a few degrees at most
  return [cx + cos * dx - turnRad * dy + columns, cy + turnRad * dx + cos * dy + rows];
}
