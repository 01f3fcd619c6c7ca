import type { Pose } from "./job.ts";

/** A quaternion may be off unit length by this much and is then normalised; beyond it the pose is refused. */
export const UNIT_TOLERANCE = 1e-3;

/**
 * The pose [tx, ty, tz, qx, qy, qz, qw] that starts at `values[start]`, its quaternion normalised (mm, vector part first).
 * null where a number is missing or not finite, or the quaternion is not unit within 1e-3: the caller says which and where.
 */
export function unitPose(values: ArrayLike<number>, start = 0): Pose | null {
  const at = (i: number): number => values[start + i] ?? Number.NaN;
  const lengthQ = Math.hypot(at(3), at(4), at(5), at(6));
  if (!(Math.abs(lengthQ - 1) <= UNIT_TOLERANCE)) return null;
  const [tx, ty, tz] = [at(0), at(1), at(2)];
  if (!Number.isFinite(tx + ty + tz)) return null;
  // a length that rounding alone explains is left as it is, so that reading, writing and reading again changes nothing
  const divisor = Math.abs(lengthQ - 1) <= 4 * Number.EPSILON ? 1 : lengthQ;
  return [tx, ty, tz, at(3) / divisor, at(4) / divisor, at(5) / divisor, at(6) / divisor];
}
