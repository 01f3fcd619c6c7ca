/** Rigid motions as poses [tx, ty, tz, qx, qy, qz, qw] put together, undone and moved by small steps, by plain arithmetic alone. */
import { applyPose, type Pose7, type Vec3 } from "./vec.ts";

/** a ∘ b: first b, then a. The quaternion comes out unit. */
export function composePoses(a: Pose7, b: Pose7): Pose7 {
  const t = applyPose(a, [b[0], b[1], b[2]]), [, , , ax, ay, az, aw] = a, [, , , bx, by, bz, bw] = b;
  return unitQuaternion(t, aw * bx + ax * bw + ay * bz - az * by, aw * by - ax * bz + ay * bw + az * bx, aw * bz + ax * by - ay * bx + az * bw, aw * bw - ax * bx - ay * by - az * bz);
}

export function invertPose(p: Pose7): Pose7 {
  const back: Pose7 = [0, 0, 0, -p[3], -p[4], -p[5], p[6]], t = applyPose(back, [-p[0], -p[1], -p[2]]);
  return [t[0], t[1], t[2], back[3], back[4], back[5], back[6]];
}

/**
 * The pose moved by step[at] … step[at + 5]: turned by the small rotation vector (the first three, rad, in the frame that it leads into) about
 * the origin of what is carried, and shifted by the last three. Cayley's map, so that no angle function is asked.
 */
export function movedPose(p: Pose7, step: Float64Array, at: number): Pose7 {
  const turn: Pose7 = unitQuaternion([0, 0, 0], step[at]! / 2, step[at + 1]! / 2, step[at + 2]! / 2, 1);
  const turned = composePoses(turn, [0, 0, 0, p[3], p[4], p[5], p[6]]);
  return [p[0] + step[at + 3]!, p[1] + step[at + 4]!, p[2] + step[at + 5]!, turned[3], turned[4], turned[5], turned[6]];
}

/** 2 sin(θ/2) times the axis of the rotation by θ (Tsai and Lenz 1989): rad for small angles, at most 2. */
export function rotationVector(p: Pose7): Vec3 {
  const sign = p[6] < 0 ? -2 : 2;
  return [sign * p[3], sign * p[4], sign * p[5]];
}

function unitQuaternion(t: Vec3, x: number, y: number, z: number, w: number): Pose7 {
  const n = Math.sqrt(x * x + y * y + z * z + w * w);
  return [t[0], t[1], t[2], x / n, y / n, z / n, w / n];
}
