/** Vectors as plain triples and poses as [tx, ty, tz, qx, qy, qz, qw]; for set-up code, not for inner loops. */
export type Vec3 = readonly [number, number, number];
export type Pose7 = readonly [number, number, number, number, number, number, number];

export function add(a: Vec3, b: Vec3): Vec3 { return [a[0] + b[0], a[1] + b[1], a[2] + b[2]]; }
export function sub(a: Vec3, b: Vec3): Vec3 { return [a[0] - b[0], a[1] - b[1], a[2] - b[2]]; }
export function scale(a: Vec3, k: number): Vec3 { return [a[0] * k, a[1] * k, a[2] * k]; }
export function dot(a: Vec3, b: Vec3): number { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }
export function cross(a: Vec3, b: Vec3): Vec3 {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}
export function norm(a: Vec3): number { return Math.hypot(a[0], a[1], a[2]); }
/** Unit vector; RangeError for a zero vector. */
export function unit(a: Vec3): Vec3 {
  const n = norm(a);
  if (!(n > 0)) throw new RangeError("a zero vector has no direction");
  return scale(a, 1 / n);
}
/** The part of `a` square to unit `n`. */
export function reject(a: Vec3, n: Vec3): Vec3 { return sub(a, scale(n, dot(a, n))); }
export function lerp(a: Vec3, b: Vec3, f: number): Vec3 {
  return [a[0] + (b[0] - a[0]) * f, a[1] + (b[1] - a[1]) * f, a[2] + (b[2] - a[2]) * f];
}
/** The i-th triple of a packed array. */
export function tripleAt(packed: Float64Array, i: number): Vec3 {
  return [packed[3 * i] as number, packed[3 * i + 1] as number, packed[3 * i + 2] as number];
}

/** Columns of the rotation matrix of a unit quaternion (x, y, z, w): images of the sensor's axes. */
export function axesOfPose(p: Pose7): { x: Vec3; y: Vec3; z: Vec3; t: Vec3 } {
  const [tx, ty, tz, x, y, z, w] = p;
  return {
    x: [1 - 2 * (y * y + z * z), 2 * (x * y + z * w), 2 * (x * z - y * w)],
    y: [2 * (x * y - z * w), 1 - 2 * (x * x + z * z), 2 * (y * z + x * w)],
    z: [2 * (x * z + y * w), 2 * (y * z - x * w), 1 - 2 * (x * x + y * y)],
    t: [tx, ty, tz],
  };
}

/** Pose whose axes are the given right-handed orthonormal triple. Shepperd's method: the largest of the four components is found first. */
export function poseOfAxes(x: Vec3, y: Vec3, z: Vec3, t: Vec3): Pose7 {
  const trace = x[0] + y[1] + z[2];
  let q: [number, number, number, number];
  if (trace > 0) {
    const s = Math.sqrt(trace + 1) * 2;
    q = [(y[2] - z[1]) / s, (z[0] - x[2]) / s, (x[1] - y[0]) / s, s / 4];
  } else if (x[0] > y[1] && x[0] > z[2]) {
    const s = Math.sqrt(1 + x[0] - y[1] - z[2]) * 2;
    q = [s / 4, (y[0] + x[1]) / s, (z[0] + x[2]) / s, (y[2] - z[1]) / s];
  } else if (y[1] > z[2]) {
    const s = Math.sqrt(1 + y[1] - x[0] - z[2]) * 2;
    q = [(y[0] + x[1]) / s, s / 4, (z[1] + y[2]) / s, (z[0] - x[2]) / s];
  } else {
    const s = Math.sqrt(1 + z[2] - x[0] - y[1]) * 2;
    q = [(z[0] + x[2]) / s, (z[1] + y[2]) / s, s / 4, (x[1] - y[0]) / s];
  }
  const n = Math.hypot(...q);
  return [t[0], t[1], t[2], q[0] / n, q[1] / n, q[2] / n, q[3] / n];
}

/** Rotates vector `a` by unit quaternion part of `p` and adds its translation. */
export function applyPose(p: Pose7, a: Vec3): Vec3 {
  const m = axesOfPose(p);
  return [
    m.t[0] + m.x[0] * a[0] + m.y[0] * a[1] + m.z[0] * a[2],
    m.t[1] + m.x[1] * a[0] + m.y[1] * a[1] + m.z[1] * a[2],
    m.t[2] + m.x[2] * a[0] + m.y[2] * a[1] + m.z[2] * a[2],
  ];
}
