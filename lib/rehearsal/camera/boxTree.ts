/** A tree of boxes over spheres, so that a ray is tried against few of them. */

const LEAF = 2;

export interface BoxTree {
  /** Calls `visit(sphere, λ)` for every sphere that the ray o + λ·d (d unit) meets between 0 and the limit, λ being where it enters (at least 0); `visit` gives the new limit. */
  cast(o: ArrayLike<number>, d: ArrayLike<number>, limitMm: number, visit: (sphere: number, enterMm: number) => number): void;
}

/** `spheres` // Float64Array[4 · sphere]: centre, radius. */
export function buildBoxTree(spheres: Float64Array): BoxTree {
  const count = spheres.length / 4, order = Int32Array.from({ length: count }, (_, i) => i);
  const boxes: number[] = [], first: number[] = [], size: number[] = [], right: number[] = [];
  function build(from: number, to: number): number {
    const node = first.length, low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    for (let i = from; i < to; i++) {
      const o = 4 * order[i]!, r = spheres[o + 3]!;
      for (let j = 0; j < 3; j++) {
        low[j] = Math.min(low[j]!, spheres[o + j]! - r);
        high[j] = Math.max(high[j]!, spheres[o + j]! + r);
      }
    }
    boxes.push(...low, ...high);
    first.push(from); size.push(to - from); right.push(-1);
    if (to - from <= LEAF) return node;
    let axis = 0;
    for (let j = 1; j < 3; j++) if (high[j]! - low[j]! > high[axis]! - low[axis]!) axis = j;
    order.subarray(from, to).sort((a, b) => spheres[4 * a + axis]! - spheres[4 * b + axis]!);
    const middle = (from + to) >> 1;
    size[node] = 0;
    build(from, middle);
    right[node] = build(middle, to);
    return node;
  }
  if (count > 0) build(0, count);
  const bounds = Float64Array.from(boxes), firsts = Int32Array.from(first), sizes = Int32Array.from(size), rights = Int32Array.from(right), stack = new Int32Array(64);
  return {
    cast(o, d, limitMm, visit) {
      if (count === 0) return;
      const ox = o[0]!, oy = o[1]!, oz = o[2]!, dx = d[0]!, dy = d[1]!, dz = d[2]!, ix = 1 / dx, iy = 1 / dy, iz = 1 / dz;
      let limit = limitMm, top = 0;
      stack[top++] = 0;
      while (top > 0) {
        const node = stack[--top]!, q = 6 * node;
        const x0 = (bounds[q]! - ox) * ix, x1 = (bounds[q + 3]! - ox) * ix, y0 = (bounds[q + 1]! - oy) * iy, y1 = (bounds[q + 4]! - oy) * iy;
        const z0 = (bounds[q + 2]! - oz) * iz, z1 = (bounds[q + 5]! - oz) * iz;
        const near = Math.max(Math.min(x0, x1), Math.min(y0, y1), Math.min(z0, z1), 0), far = Math.min(Math.max(x0, x1), Math.max(y0, y1), Math.max(z0, z1), limit);
        if (near > far) continue; // NaN (a ray in a face's plane) counts as met
        if (sizes[node] === 0) {
          stack[top++] = rights[node]!;
          stack[top++] = node + 1;
          continue;
        }
        for (let i = firsts[node]!, end = i + sizes[node]!; i < end; i++) {
          const sphere = order[i]!, s = 4 * sphere, r = spheres[s + 3]!;
          const wx = spheres[s]! - ox, wy = spheres[s + 1]! - oy, wz = spheres[s + 2]! - oz, along = wx * dx + wy * dy + wz * dz;
          const square = r * r - (wx * wx + wy * wy + wz * wz - along * along);
          if (square <= 0) continue;
          const half = Math.sqrt(square), enter = Math.max(0, along - half);
          if (along + half >= 0 && enter < limit) limit = visit(sphere, enter);
        }
      }
    },
  };
}
