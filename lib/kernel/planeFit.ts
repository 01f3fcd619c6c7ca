import { invert3 } from "./circleFit.ts";
import { medianInPlace } from "./lineFit.ts";

/** Plane z = a + b x + c y. */
export interface PlaneFit { a: number; b: number; c: number; scale: number; used: number }

/** Planes through three points that are tried at the start: with two fifths of the points off the plane one of them misses all of these in 997 of 1000 cases. */
const TRIES = 24;
/** Points that each try is judged by, at most. */
const JUDGES = 96;
const ROUNDS = 6;

/**
 * Robust plane through (x, y, z): of planes through three of the points the one with the least median distance (least median of
 * squares, Rousseeuw 1984, from memory), then rounds of Tukey's biweight at 4.685 · max(sigma, MAD scale). Up to two fifths of the points
 * may lie off it, on one side or scattered. Null with fewer than 6 points or where no plane is determined.
 */
export function robustPlane(x: Float64Array, y: Float64Array, z: Float64Array, count: number, sigma: number): PlaneFit | null {
  if (count < 6) return null;
  const weight = new Float64Array(count).fill(1);
  const scratch = new Float64Array(count);
  let fit = bestOfTriples(x, y, z, count, scratch) ?? weightedPlane(x, y, z, weight, count);
  for (let round = 0; round < ROUNDS && fit !== null; round++) {
    const scale = Math.max(sigma, medianMiss(fit, x, y, z, count, 1, scratch) / 0.6745);
    let used = 0;
    for (let i = 0; i < count; i++) {
      const e = miss(fit, x, y, z, i) / (4.685 * scale);
      weight[i] = e > -1 && e < 1 ? (1 - e * e) * (1 - e * e) : 0;
      used += weight[i] as number;
    }
    fit = weightedPlane(x, y, z, weight, count);
    if (fit !== null) { fit.scale = scale; fit.used = used; }
  }
  return fit;
}

function miss(p: PlaneFit, x: Float64Array, y: Float64Array, z: Float64Array, i: number): number {
  return (z[i] as number) - p.a - p.b * (x[i] as number) - p.c * (y[i] as number);
}

/** Median distance of every `stride`-th point. */
function medianMiss(p: PlaneFit, x: Float64Array, y: Float64Array, z: Float64Array, count: number, stride: number, scratch: Float64Array): number {
  let n = 0;
  for (let i = 0; i < count; i += stride) scratch[n++] = Math.abs(miss(p, x, y, z, i));
  return medianInPlace(scratch, n);
}

/** The plane through three points, of TRIES such, that lies nearest to half of all; null where none of them determines one. */
function bestOfTriples(x: Float64Array, y: Float64Array, z: Float64Array, count: number, scratch: Float64Array): PlaneFit | null {
  const stride = Math.max(1, Math.floor(count / JUDGES));
  let best: PlaneFit | null = null, least = Infinity;
  let state = 1;
  const next = (): number => (state = (state * 48271) % 0x7fffffff) % count; // the minimal standard generator: the same triples for the same points
  for (let i = 0; i < TRIES; i++) {
    const plane = throughThree(x, y, z, next(), next(), next());
    if (plane === null) continue;
    const middle = medianMiss(plane, x, y, z, count, stride, scratch);
    if (middle < least) { least = middle; best = plane; }
  }
  return best;
}

function throughThree(x: Float64Array, y: Float64Array, z: Float64Array, i: number, j: number, k: number): PlaneFit | null {
  const x1 = (x[j] as number) - (x[i] as number), y1 = (y[j] as number) - (y[i] as number), z1 = (z[j] as number) - (z[i] as number);
  const x2 = (x[k] as number) - (x[i] as number), y2 = (y[k] as number) - (y[i] as number), z2 = (z[k] as number) - (z[i] as number);
  const det = x1 * y2 - x2 * y1;
  if (!(Math.abs(det) > 1e-3 * Math.hypot(x1, y1) * Math.hypot(x2, y2))) return null;
  const b = (z1 * y2 - z2 * y1) / det, c = (x1 * z2 - x2 * z1) / det;
  return { a: (z[i] as number) - b * (x[i] as number) - c * (y[i] as number), b, c, scale: 0, used: 0 };
}

function weightedPlane(x: Float64Array, y: Float64Array, z: Float64Array, weight: Float64Array, count: number): PlaneFit | null {
  const m = new Float64Array(9);
  let g0 = 0, g1 = 0, g2 = 0;
  for (let i = 0; i < count; i++) {
    const w = weight[i] as number, xi = x[i] as number, yi = y[i] as number, zi = z[i] as number;
    m[0]! += w; m[1]! += w * xi; m[2]! += w * yi; m[4]! += w * xi * xi; m[5]! += w * xi * yi; m[8]! += w * yi * yi;
    g0 += w * zi; g1 += w * xi * zi; g2 += w * yi * zi;
  }
  m[3] = m[1]!; m[6] = m[2]!; m[7] = m[5]!;
  const inverse = invert3(m);
  if (inverse === null) return null;
  return {
    a: inverse[0]! * g0 + inverse[1]! * g1 + inverse[2]! * g2, b: inverse[3]! * g0 + inverse[4]! * g1 + inverse[5]! * g2,
    c: inverse[6]! * g0 + inverse[7]! * g1 + inverse[8]! * g2, scale: 0, used: 0,
  };
}
