/** From where a layer's map is seen: along the mean of its planned normals, with the plan's y (else its x) up. */
import type { Vec3 } from "../kernel/vec.ts";
import { cross, dot, norm, reject, tripleAt, unit } from "../kernel/vec.ts";
import type { PlanStrand } from "../model/plan.ts";
import type { LayerFrame } from "../model/sheet.ts";

/** Normals that cancel to less than this share of their number point all around: there is no one side to look from. */
const LEAST_MEAN = 0.2;
/** Below this length the plan's y is nearly the viewing direction and cannot be "up". */
const LEAST_UP = 0.3;
const X: Vec3 = [1, 0, 0];
const Y: Vec3 = [0, 1, 0];
const Z: Vec3 = [0, 0, 1];

export interface FrameWithWords { readonly frame: LayerFrame; readonly words: string }

function meanNormal(strands: readonly Pick<PlanStrand, "normals" | "pointCount">[]): Vec3 | null {
  let count = 0;
  const sum: [number, number, number] = [0, 0, 0];
  for (const { normals, pointCount } of strands) {
    for (let i = 0; i < pointCount; i++) tripleAt(normals, i).forEach((value, axis) => { sum[axis] = (sum[axis] as number) + value; });
    count += pointCount;
  }
  return count > 0 && norm(sum) / count >= LEAST_MEAN ? unit(sum) : null;
}

const component = (value: number): string => (Math.abs(value) < 0.005 ? 0 : value).toFixed(2).replace("-", "−");

/** Frame of one layer's map and how it is said. Strands without a common side are seen along the plan's z. */
export function layerFrame(strands: readonly Pick<PlanStrand, "normals" | "pointCount">[]): FrameWithWords {
  const mean = meanNormal(strands);
  const normal = mean ?? Z;
  const yInPlane = reject(Y, normal);
  const up = unit(norm(yInPlane) >= LEAST_UP ? yInPlane : reject(X, normal));
  const frame = { normal, up, right: cross(up, normal) };
  return { frame, words: mean === null ? "goes all around, seen along the plan’s z" : `seen along its mean normal (${normal.map(component).join(", ")})` };
}

/** A plan point in the layer's map, mm to the right and up. */
export function mapPoint(frame: LayerFrame, position: Vec3): readonly [number, number] {
  return [dot(frame.right, position), dot(frame.up, position)];
}
