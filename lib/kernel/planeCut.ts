/**
 * Where a bounded piece of a plane cuts many polylines. A two-level index (a sphere round every 16 segments, built once)
 * keeps the cost far below one test a segment. Numbers only.
 */
import type { Path } from "./path.ts";

const CHUNK = 16;

export interface CutIndex {
  readonly vertices: Float64Array; // Float64Array[3 · vertex], all paths one after the other, ends prolonged
  readonly arcMm: Float64Array; // Float64Array[vertex], < 0 and > L on the prolongations
  readonly pathOf: Int32Array; // Int32Array[chunk]
  readonly firstVertex: Int32Array; // Int32Array[chunk]
  readonly segmentCount: Int32Array; // Int32Array[chunk]
  readonly sphere: Float64Array; // Float64Array[4 · chunk], centre and radius
}

/** The plane piece: origin, axes x (in it), y (its normal), z (in it), and bounds of x and z. */
export interface PlanePiece {
  readonly o: Float64Array; readonly x: Float64Array; readonly y: Float64Array; readonly z: Float64Array;
  minX: number; maxX: number; minZ: number; maxZ: number;
}

export interface Cuts {
  count: number;
  path: Int32Array; // Int32Array[cut]
  sMm: Float64Array; // Float64Array[cut], may lie on a prolongation
}

export function makeCuts(): Cuts {
  return { count: 0, path: new Int32Array(64), sMm: new Float64Array(64) };
}

/** `prolongMm[i]`: how far path i is followed straight on beyond both ends (0 for closed paths). */
export function buildCutIndex(paths: readonly Path[], prolongMm: readonly number[]): CutIndex {
  const vertices: number[] = [];
  const arc: number[] = [];
  const pathOf: number[] = [];
  const firstVertex: number[] = [];
  const segmentCount: number[] = [];
  const sphere: number[] = [];
  paths.forEach((path, which) => {
    const start = arc.length;
    appendPath(path, prolongMm[which] ?? 0, vertices, arc);
    for (let v = start; v < arc.length - 1; v += CHUNK) {
      const count = Math.min(CHUNK, arc.length - 1 - v);
      pathOf.push(which);
      firstVertex.push(v);
      segmentCount.push(count);
      sphere.push(...sphereRound(vertices, v, count + 1));
    }
  });
  return {
    vertices: Float64Array.from(vertices), arcMm: Float64Array.from(arc), pathOf: Int32Array.from(pathOf),
    firstVertex: Int32Array.from(firstVertex), segmentCount: Int32Array.from(segmentCount), sphere: Float64Array.from(sphere),
  };
}

function appendPath(path: Path, prolongMm: number, vertices: number[], arc: number[]): void {
  const n = path.arcMm.length;
  const p = path.pointsMm;
  const length = path.arcMm[n - 1] as number;
  const beyond = (from: number, to: number): void => {
    const d = [0, 1, 2].map((k) => (p[3 * from + k] as number) - (p[3 * to + k] as number));
    const size = Math.hypot(...d);
    for (let k = 0; k < 3; k++) vertices.push((p[3 * from + k] as number) + (d[k] as number) / size * prolongMm);
  };
  if (prolongMm > 0) {
    beyond(0, 1);
    arc.push(-prolongMm);
  }
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < 3; k++) vertices.push(p[3 * i + k] as number);
    arc.push(path.arcMm[i] as number);
  }
  if (prolongMm > 0) {
    beyond(n - 1, n - 2);
    arc.push(length + prolongMm);
  }
}

function sphereRound(vertices: readonly number[], first: number, count: number): number[] {
  const centre = [0, 0, 0];
  for (let i = 0; i < count; i++) for (let k = 0; k < 3; k++) centre[k] = (centre[k] as number) + (vertices[3 * (first + i) + k] as number) / count;
  let radius = 0;
  for (let i = 0; i < count; i++) {
    const d = Math.hypot(...[0, 1, 2].map((k) => (vertices[3 * (first + i) + k] as number) - (centre[k] as number)));
    if (d > radius) radius = d;
  }
  return [...centre, radius];
}

/** Fills `cuts` with every place where a segment passes through the plane piece. A vertex on the plane counts once. */
export function cutPaths(index: CutIndex, plane: PlanePiece, cuts: Cuts): void {
  cuts.count = 0;
  const { sphere, firstVertex, segmentCount } = index;
  const ox = plane.o[0] as number, oy = plane.o[1] as number, oz = plane.o[2] as number;
  const yx = plane.y[0] as number, yy = plane.y[1] as number, yz = plane.y[2] as number;
  const xx = plane.x[0] as number, xy = plane.x[1] as number, xz = plane.x[2] as number;
  for (let c = 0; c < firstVertex.length; c++) {
    const dx = (sphere[4 * c] as number) - ox, dy = (sphere[4 * c + 1] as number) - oy, dz = (sphere[4 * c + 2] as number) - oz;
    const r = sphere[4 * c + 3] as number;
    if (Math.abs(dx * yx + dy * yy + dz * yz) > r) continue;
    const along = dx * xx + dy * xy + dz * xz;
    if (along + r < plane.minX || along - r > plane.maxX) continue;
    cutChunk(index, plane, c, segmentCount[c] as number, cuts);
  }
}

function cutChunk(index: CutIndex, plane: PlanePiece, chunk: number, segments: number, cuts: Cuts): void {
  const first = index.firstVertex[chunk] as number;
  const v = index.vertices;
  let before = signedDistance(v, first, plane.o, plane.y);
  for (let i = 0; i < segments; i++) {
    const at = first + i;
    const after = signedDistance(v, at + 1, plane.o, plane.y);
    if ((before < 0 && after >= 0) || (before >= 0 && after < 0)) {
      const f = before / (before - after);
      if (insidePiece(v, at, f, plane)) {
        const a = index.arcMm[at] as number;
        pushCut(cuts, index.pathOf[chunk] as number, a + ((index.arcMm[at + 1] as number) - a) * f);
      }
    }
    before = after;
  }
}

function signedDistance(v: Float64Array, i: number, o: Float64Array, axis: Float64Array): number {
  return ((v[3 * i] as number) - (o[0] as number)) * (axis[0] as number) + ((v[3 * i + 1] as number) - (o[1] as number)) * (axis[1] as number)
    + ((v[3 * i + 2] as number) - (o[2] as number)) * (axis[2] as number);
}

function insidePiece(v: Float64Array, i: number, f: number, plane: PlanePiece): boolean {
  const x0 = signedDistance(v, i, plane.o, plane.x), x = x0 + (signedDistance(v, i + 1, plane.o, plane.x) - x0) * f;
  if (x < plane.minX || x > plane.maxX) return false;
  const z0 = signedDistance(v, i, plane.o, plane.z), z = z0 + (signedDistance(v, i + 1, plane.o, plane.z) - z0) * f;
  return z >= plane.minZ && z <= plane.maxZ;
}

function pushCut(cuts: Cuts, path: number, sMm: number): void {
  if (cuts.count === cuts.path.length) {
    const path2 = new Int32Array(2 * cuts.count);
    const s2 = new Float64Array(2 * cuts.count);
    path2.set(cuts.path);
    s2.set(cuts.sMm);
    cuts.path = path2;
    cuts.sMm = s2;
  }
  cuts.path[cuts.count] = path;
  cuts.sMm[cuts.count] = sMm;
  cuts.count++;
}
