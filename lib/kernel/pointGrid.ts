/**
 * Points in a grid of boxes, each box with the tight bounds of what it holds: those near a place are found without looking at the others.
 * Numbers only.
 */
export interface PointGrid {
  readonly cellMm: number;
  readonly low: readonly [number, number, number];
  readonly n: readonly [number, number, number];
  /** Points of box i are `points[start[i] … start[i + 1])`. */
  readonly start: Int32Array; // Int32Array[box + 1]
  readonly points: Int32Array; // Int32Array[point], indices of the points given
  readonly bounds: Float64Array; // Float64Array[6 · box], least and greatest x y z; Infinity and −Infinity where it is empty
}

/** Boxes at most for each point; a sparse cloud gets larger boxes. */
const BOXES_A_POINT = 4;

/** A grid over `count` points packed as x y z from `xyz[0]`; boxes are at least `cellMm` wide. */
export function buildPointGrid(xyz: Float64Array, count: number, cellMm: number): PointGrid {
  const low: [number, number, number] = [Infinity, Infinity, Infinity], high: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < count; i++) {
    for (let k = 0; k < 3; k++) {
      const v = xyz[3 * i + k] as number;
      if (v < (low[k] as number)) low[k] = v;
      if (v > (high[k] as number)) high[k] = v;
    }
  }
  let size = cellMm;
  const boxes = (): [number, number, number] => [0, 1, 2].map((k) => (count === 0 ? 1 : Math.floor(((high[k] as number) - (low[k] as number)) / size) + 1)) as [number, number, number];
  let n = boxes();
  while (n[0] * n[1] * n[2] > BOXES_A_POINT * count + 64) {
    size *= 1.5;
    n = boxes();
  }
  return fill(xyz, count, { cellMm: size, low, n });
}

function fill(xyz: Float64Array, count: number, shape: Pick<PointGrid, "cellMm" | "low" | "n">): PointGrid {
  const { cellMm, low, n } = shape;
  const total = n[0] * n[1] * n[2];
  const boxOf = Int32Array.from({ length: count }, (_, i) => {
    const at = (k: 0 | 1 | 2): number => Math.floor(((xyz[3 * i + k] as number) - low[k]) / cellMm);
    return (at(2) * n[1] + at(1)) * n[0] + at(0);
  });
  const start = new Int32Array(total + 1);
  for (const box of boxOf) start[box + 1]!++;
  for (let b = 0; b < total; b++) start[b + 1]! += start[b] as number;
  const next = start.slice(), points = new Int32Array(count);
  const bounds = new Float64Array(6 * total);
  for (let b = 0; b < total; b++) bounds.set([Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity], 6 * b);
  for (let i = 0; i < count; i++) {
    const box = boxOf[i] as number;
    points[next[box]!++] = i;
    for (let k = 0; k < 3; k++) {
      const v = xyz[3 * i + k] as number;
      bounds[6 * box + k] = Math.min(bounds[6 * box + k] as number, v);
      bounds[6 * box + 3 + k] = Math.max(bounds[6 * box + 3 + k] as number, v);
    }
  }
  return { cellMm, low, n, start, points, bounds };
}

/** The boxes that hold anything and that the cube of half-width `reachMm` round (x, y, z) touches, into `out` (replaced where it is too short). */
export function boxesNear(grid: PointGrid, x: number, y: number, z: number, reachMm: number, out: { boxes: Int32Array; count: number }): void {
  const { cellMm, low, n, start } = grid;
  const first = (v: number, k: 0 | 1 | 2): number => Math.max(0, Math.floor((v - reachMm - low[k]) / cellMm));
  const last = (v: number, k: 0 | 1 | 2): number => Math.min(n[k] - 1, Math.floor((v + reachMm - low[k]) / cellMm));
  const x0 = first(x, 0), x1 = last(x, 0), y0 = first(y, 1), y1 = last(y, 1), z1 = last(z, 2);
  out.count = 0;
  for (let iz = first(z, 2); iz <= z1; iz++) {
    for (let iy = y0; iy <= y1; iy++) {
      const row = (iz * n[1] + iy) * n[0];
      for (let box = row + x0; box <= row + x1; box++) {
        if (start[box] === start[box + 1]) continue;
        if (out.count === out.boxes.length) {
          const wider = new Int32Array(2 * out.count);
          wider.set(out.boxes);
          out.boxes = wider;
        }
        out.boxes[out.count++] = box;
      }
    }
  }
}

/** Greatest value of d · (p − o) over a box's bounds. */
export function mostAlong(bounds: Float64Array, box: number, o: readonly [number, number, number], d: readonly [number, number, number]): number {
  let sum = 0;
  for (let k = 0; k < 3; k++) {
    const v = d[k] as number;
    sum += v * ((bounds[6 * box + (v > 0 ? 3 + k : k)] as number) - (o[k] as number));
  }
  return sum;
}
