/** A chart path brought onto the target: frames at short, equal steps of the chart. Used for strands (from 0 to their length) and for passes (beyond both). */
import { add, cross, norm, reject, scale, sub, tripleAt, unit, type Vec3 } from "../kernel/vec.ts";
import type { ChartPath } from "./path.ts";
import type { Surface } from "./surface.ts";

export interface Track {
  readonly count: number;
  readonly pointsMm: Float64Array; // Float64Array[3 · node]
  readonly normals: Float64Array; // Float64Array[3 · node], unit
  readonly tangents: Float64Array; // Float64Array[3 · node], unit, square to the normal
  /** Length along the nodes, 0 at chart length 0. */
  readonly alongMm: Float64Array; // Float64Array[node]
}

/** Frame of a place on a track: point, tangent, normal and lateral = normal × tangent. */
export interface Stance { readonly point: Vec3; readonly tangent: Vec3; readonly normal: Vec3; readonly lateral: Vec3 }

/** Nodes from chart length `fromMm` to `toMm` at about `stepMm`, `liftMm` above the target along its normal. 0 is a node. */
export function makeTrack(surface: Surface, path: ChartPath, liftMm: number, fromMm: number, toMm: number, stepMm: number): Track {
  const before = Math.ceil(-fromMm / stepMm - 1e-9), inside = Math.max(1, Math.round((toMm - Math.max(0, fromMm)) / stepMm));
  const lead = Math.max(0, before), count = lead + inside + 1, step = (toMm - Math.max(0, fromMm)) / inside;
  const nodeQ = (k: number): number => (k < lead ? (k - lead) * stepMm : (k - lead) * step);
  const pointsMm = new Float64Array(3 * count), normals = new Float64Array(3 * count), tangents = new Float64Array(3 * count);
  const liftedAt = (q: number): Vec3 => {
    const [u, v] = path.at(q);
    return add(surface.pointAt(u, v), scale(surface.normalAt(u, v), liftMm));
  };
  const alongMm = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const q = nodeQ(k), [u, v] = path.at(q), n = surface.normalAt(u, v), eps = 0.25 * stepMm;
    pointsMm.set(liftedAt(q), 3 * k);
    normals.set(n, 3 * k);
    tangents.set(unit(reject(sub(liftedAt(q + eps), liftedAt(q - eps)), n)), 3 * k);
    if (k > 0) alongMm[k] = (alongMm[k - 1] as number) + norm(sub(tripleAt(pointsMm, k), tripleAt(pointsMm, k - 1)));
  }
  const zero = alongMm[lead] as number;
  for (let k = 0; k < count; k++) alongMm[k] = (alongMm[k] as number) - zero;
  return { count, pointsMm, normals, tangents, alongMm };
}

/** Index k with along[k] ≤ at < along[k + 1], held inside the array. */
export function cellOf(alongMm: Float64Array, atMm: number): number {
  let low = 0, high = alongMm.length - 2;
  while (low < high) {
    const mid = (low + high + 1) >> 1;
    if ((alongMm[mid] as number) <= atMm) low = mid;
    else high = mid - 1;
  }
  return low;
}

/** Frame at a length along the track, linear between nodes (straight on beyond its ends). */
export function stanceAt(track: Track, atMm: number): Stance {
  const k = cellOf(track.alongMm, atMm), a = track.alongMm[k] as number, b = track.alongMm[k + 1] as number;
  const f = (atMm - a) / (b - a);
  const mix = (packed: Float64Array): Vec3 => add(scale(tripleAt(packed, k), 1 - f), scale(tripleAt(packed, k + 1), f));
  const normal = unit(mix(track.normals)), tangent = unit(reject(mix(track.tangents), normal));
  return { point: mix(track.pointsMm), tangent, normal, lateral: cross(normal, tangent) };
}
