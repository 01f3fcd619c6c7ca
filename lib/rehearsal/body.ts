/**
 * Bodies of paste. A sweep is a cross-section carried along base-line nodes: the space between two nodes' planes is read with coordinates
 * interpolated between both (along u, lateral b, height n over the planned base), so that a body is one closed definition for every ray, and
 * truth and profiles see the same thing. A blob is a half ellipsoid.
 *
 * Section in (b, n), per node: stadium = points within r of the line |b'| ≤ c at height m; segment = disc of radius r round height m (c 0), cut at
 * its chord. b' = b − offset; n' = n − rest − tilt·b − curve·b²/2, which lets the base follow the target's own lateral slope and curvature.
 */
import { tripleAt, type Vec3 } from "../kernel/vec.ts";
import { flankRadiusMm } from "../formula/bead.ts";
import type { BeadShape } from "../model/job.ts";

/** Numbers per node in `frames`: base point, tangent, normal, lateral. */
export const FRAME = 12;
/** Numbers per node in `sections`: c, r, m, offset, rest, tilt, curve. */
export const SECTION = 7;
/** Nodes per chunk: the unit that a profile's plane is tried against. */
const CHUNK = 8;

export interface Life {
  readonly layer: number;
  /** Strand the paste belongs to. */
  readonly strand: number;
  readonly attempt: number;
  /** Lies off the path: a dragged stretch or a blob. */
  readonly stray: boolean;
  /** Clock: there from `bornS` (a sweep grows from then on at `speedMmS`; Infinity: at once) until before `goneS`. */
  readonly bornS: number;
  goneS: number;
}
export interface Sweep extends Life {
  readonly kind: "sweep";
  readonly chord: boolean;
  readonly nodes: number;
  readonly frames: Float64Array; // Float64Array[12 · node]
  readonly sections: Float64Array; // Float64Array[7 · node]
  readonly arcMm: Float64Array; // Float64Array[node]
  /** The body is only there between these arc lengths: flat ends. */
  readonly fromMm: number;
  readonly toMm: number;
  readonly speedMmS: number;
  readonly chunks: Float64Array; // Float64Array[4 · (1 + chunk)], bounding spheres: centre, radius; the first holds the whole body
}
export interface Blob extends Life {
  readonly kind: "blob";
  readonly centre: Vec3;
  readonly axes: readonly [Vec3, Vec3, Vec3];
  /** Half axes along `axes`; the third stands along the normal. */
  readonly halfMm: Vec3;
}
export type Body = Sweep | Blob;

/** c, r, m of a bead of width and height (mm); a stadium narrower than high is taken as a circle of its width. */
export function sectionOf(shape: BeadShape, widthMm: number, heightMm: number): [number, number, number] {
  if (!(heightMm > 1e-6 && widthMm > 1e-6)) return [0, 0, 0];
  if (shape === "stadium") {
    const r = Math.min(heightMm, widthMm) / 2;
    return [widthMm / 2 - r, r, heightMm - r];
  }
  const r = flankRadiusMm(shape, widthMm, heightMm);
  return [0, r, heightMm - r];
}

/** Arc length up to which a sweep is there at time t. */
export function laidToMm(body: Sweep, tS: number): number {
  return body.speedMmS === Infinity ? body.toMm : Math.min(body.toMm, body.fromMm + body.speedMmS * (tS - body.bornS));
}

/** Bounding spheres: of all of it, then of each chunk of nodes. */
export function boundChunks(nodes: number, frames: Float64Array, sections: Float64Array): Float64Array {
  const count = Math.ceil((nodes - 1) / CHUNK), spheres = new Float64Array(4 * (count + 1));
  for (let chunk = 0; chunk < count; chunk++) {
    const [k0, k1] = chunkNodes(chunk, nodes);
    const corners: Vec3[] = [];
    for (let k = k0; k <= k1; k++) corners.push(...sectionCorners(frames, sections, k));
    const centre: [number, number, number] = [0, 0, 0];
    for (const p of corners) for (let j = 0; j < 3; j++) centre[j] = (centre[j] as number) + (p[j] as number) / corners.length;
    let radius = 0;
    for (const p of corners) radius = Math.max(radius, Math.hypot(p[0] - centre[0], p[1] - centre[1], p[2] - centre[2]));
    spheres.set([...centre, radius + 0.02], 4 * (chunk + 1));
  }
  spheres.set(sphereOfSpheres(spheres.subarray(4)));
  return spheres;
}

/** A sphere round all spheres, centred on the mean of their centres. */
function sphereOfSpheres(spheres: Float64Array): [number, number, number, number] {
  const count = spheres.length / 4, centre: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < count; i++) for (let j = 0; j < 3; j++) centre[j] = (centre[j] as number) + (spheres[4 * i + j] as number) / count;
  let radius = 0;
  for (let i = 0; i < count; i++) {
    const [x, y, z, r] = spheres.subarray(4 * i, 4 * i + 4) as unknown as [number, number, number, number];
    radius = Math.max(radius, Math.hypot(x - centre[0], y - centre[1], z - centre[2]) + r);
  }
  return [...centre, radius];
}

/** First and last node of a chunk. */
export function chunkNodes(chunk: number, nodes: number): [number, number] {
  return [chunk * CHUNK, Math.min(nodes - 1, (chunk + 1) * CHUNK)];
}

function sectionCorners(frames: Float64Array, sections: Float64Array, k: number): Vec3[] {
  const [c, r, m, offset, rest, tilt, curve] = sections.subarray(SECTION * k, SECTION * k + SECTION) as unknown as [number, number, number, number, number, number, number];
  const base = tripleAt(frames, 4 * k), normal = tripleAt(frames, 4 * k + 2), lateral = tripleAt(frames, 4 * k + 3);
  const corners: Vec3[] = [];
  for (const b of [offset - c - r, offset + c + r]) {
    const foot = rest + tilt * b + curve * b * b / 2;
    for (const n of [foot, foot + m + r]) corners.push([0, 1, 2].map((j) => (base[j] as number) + b * (lateral[j] as number) + n * (normal[j] as number)) as unknown as Vec3);
  }
  return corners;
}
