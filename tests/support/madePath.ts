import type { Path } from "../../lib/kernel/path.ts";

export type Triple = readonly [number, number, number];

/** A polyline through `points` with `normals` (one for all, or one each), its arc lengths summed up. */
export function madePath(points: readonly Triple[], normals: Triple | readonly Triple[] = [0, 0, 1], closed = false): Path {
  const arcMm = new Float64Array(points.length);
  for (let i = 1; i < points.length; i++) {
    const [a, b] = [points[i - 1]!, points[i]!];
    arcMm[i] = arcMm[i - 1]! + Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
  }
  const each = typeof normals[0] === "number" ? points.map(() => normals as Triple) : (normals as readonly Triple[]);
  return { pointsMm: Float64Array.from(points.flat()), normals: Float64Array.from(each.flat()), arcMm, closed };
}
