/** Projective maps of a plane, row by row as a Float64Array(9): (x, y) ↦ ((h0 x + h1 y + h2) / w, (h3 x + h4 y + h5) / w), w = h6 x + h7 y + h8. */
import { symmetricEigen } from "./dense.ts";

/** Puts the image of (x, y) into `out[0]`, `out[1]`. */
export function mapPoint(h: Float64Array, x: number, y: number, out: Float64Array): void {
  const w = h[6]! * x + h[7]! * y + h[8]!;
  out[0] = (h[0]! * x + h[1]! * y + h[2]!) / w;
  out[1] = (h[3]! * x + h[4]! * y + h[5]!) / w;
}

/**
 * The map that carries `from` to `to` (x0, y0, x1, y1 … each), least squares of the algebraic error by the direct linear transform with both
 * sets normalised (Hartley 1997). Scaled to h8 = 1 where h8 is not near 0. null below four points, or where they do not determine it
 * (three of four on a line).
 */
export function fitHomography(from: ArrayLike<number>, to: ArrayLike<number>): Float64Array | null {
  const count = from.length >> 1;
  const a = normaliser(from), b = normaliser(to);
  if (count < 4 || a === null || b === null) return null;
  const m = new Float64Array(81), row = new Float64Array(9);
  for (let i = 0; i < count; i++) {
    const x = (from[2 * i]! - a.x) * a.scale, y = (from[2 * i + 1]! - a.y) * a.scale;
    const u = (to[2 * i]! - b.x) * b.scale, v = (to[2 * i + 1]! - b.y) * b.scale;
    addRow(m, row, [x, y, 1, 0, 0, 0, -u * x, -u * y, -u]);
    addRow(m, row, [0, 0, 0, x, y, 1, -v * x, -v * y, -v]);
  }
  const { values, vectors } = symmetricEigen(m, 9);
  if (!(values[1]! > 1e-10 * values[8]!)) return null;
  return denormalised(vectors.subarray(0, 9), a, b);
}

interface Normaliser { readonly x: number; readonly y: number; readonly scale: number }

/** Centroid, and the scale that brings the mean square distance from it to 2; null: all points are one. */
function normaliser(points: ArrayLike<number>): Normaliser | null {
  const count = points.length >> 1;
  let x = 0, y = 0, square = 0;
  for (let i = 0; i < count; i++) {
    x += points[2 * i]! / count;
    y += points[2 * i + 1]! / count;
  }
  for (let i = 0; i < count; i++) square += (points[2 * i]! - x) ** 2 + (points[2 * i + 1]! - y) ** 2;
  return square > 0 ? { x, y, scale: Math.sqrt(2 * count / square) } : null;
}

function addRow(m: Float64Array, row: Float64Array, values: readonly number[]): void {
  row.set(values);
  for (let r = 0; r < 9; r++) for (let c = 0; c < 9; c++) m[9 * r + c]! += row[r]! * row[c]!;
}

/** B⁻¹ H A for the normalisers' similarities A, B. */
function denormalised(h: Float64Array, a: Normaliser, b: Normaliser): Float64Array {
  const g = new Float64Array(9);
  for (let r = 0; r < 3; r++) {
    g[3 * r] = h[3 * r]! * a.scale;
    g[3 * r + 1] = h[3 * r + 1]! * a.scale;
    g[3 * r + 2] = h[3 * r + 2]! - a.scale * (h[3 * r]! * a.x + h[3 * r + 1]! * a.y);
  }
  for (let c = 0; c < 3; c++) {
    g[c] = g[c]! / b.scale + b.x * g[6 + c]!;
    g[3 + c] = g[3 + c]! / b.scale + b.y * g[6 + c]!;
  }
  let most = 0;
  for (const v of g) most = Math.max(most, Math.abs(v));
  const divisor = Math.abs(g[8]!) > 1e-12 * most ? g[8]! : most;
  return g.map((v) => v / divisor);
}
