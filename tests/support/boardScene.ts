/** Boards before a camera with a known lens: places of their points with noise, and pictures of them, rendered ray by ray. Written apart from what measures them. */
import { makeRandom, type Random } from "../../lib/rehearsal/random.ts";

export type M3 = readonly (readonly number[])[];
/** x_camera = r · x_board + t. */
export interface Stand { readonly r: M3; readonly t: readonly number[] }
export interface TrueLens { readonly fx: number; readonly fy: number; readonly cx: number; readonly cy: number; readonly k1: number; readonly k2: number; readonly p1: number; readonly p2: number; readonly k3: number }

/** Euler's rotation Rz Ry Rx, rad. */
export function turned(x: number, y: number, z: number): M3 {
  const [a, b, c, d, e, f] = [Math.cos(x), Math.sin(x), Math.cos(y), Math.sin(y), Math.cos(z), Math.sin(z)];
  return [[e * c, e * d * b - f * a, e * d * a + f * b], [f * c, f * d * b + e * a, f * d * a - e * b], [-d, c * b, c * a]];
}

export const times = (m: M3, v: readonly number[]): number[] => m.map((row) => row[0]! * v[0]! + row[1]! * v[1]! + row[2]! * v[2]!);
export const product = (a: M3, b: M3): M3 => a.map((row) => [0, 1, 2].map((c) => row[0]! * b[0]![c]! + row[1]! * b[1]![c]! + row[2]! * b[2]![c]!));
export const transposed = (m: M3): M3 => [0, 1, 2].map((r) => [0, 1, 2].map((c) => m[c]![r]!));

/** Brown's model written out again: the pixel of a point in the camera's frame. */
export function pixelOf(l: TrueLens, [x, y, z]: readonly number[]): [number, number] {
  const a = x! / z!, b = y! / z!, s = a * a + b * b, radial = 1 + l.k1 * s + l.k2 * s ** 2 + l.k3 * s ** 3;
  return [l.fx * (a * radial + 2 * l.p1 * a * b + l.p2 * (s + 2 * a * a)) + l.cx, l.fy * (b * radial + l.p1 * (s + 2 * b * b) + 2 * l.p2 * a * b) + l.cy];
}

export interface Board { readonly columns: number; readonly rows: number; readonly pitchMm: number }

/** A board of points with its middle near the view's axis, tilted by up to `tiltRad` about x and y and turned freely by up to 0.5 rad, as far away as it fills `fill` of the width. */
export function standOf(board: Board, lens: TrueLens, widthPx: number, random: Random, { tiltRad, fill }: { readonly tiltRad: number; readonly fill: number }): Stand {
  const uniform = (half: number): number => (2 * random.next() - 1) * half;
  const r = turned(uniform(tiltRad), uniform(tiltRad), uniform(0.5)), distance = lens.fx * board.columns * board.pitchMm / (widthPx * fill) * (1 + 0.2 * random.next());
  const middle = times(r, [(board.columns - 1) / 2 * board.pitchMm, (board.rows - 1) / 2 * board.pitchMm, 0]), room = (1 - fill) * 0.4 * distance * widthPx / lens.fx;
  return { r, t: [uniform(room) - middle[0]!, uniform(room * 0.7) - middle[1]!, distance - middle[2]!] };
}

/** The board's points, row by row, in mm: x0, y0, x1 …. */
export function boardPoints({ columns, rows, pitchMm }: Board): Float64Array {
  return Float64Array.from({ length: 2 * columns * rows }, (_, i) => pitchMm * (i % 2 === 0 ? (i >> 1) % columns : Math.floor((i >> 1) / columns)));
}

export function seenPoints(points: Float64Array, lens: TrueLens, { r, t }: Stand, noise: () => number): Float64Array {
  const out = new Float64Array(points.length);
  for (let i = 0; i < points.length; i += 2) {
    const place = times(r, [points[i]!, points[i + 1]!, 0]), [u, v] = pixelOf(lens, place.map((c, k) => c + t[k]!));
    out[i] = u + noise();
    out[i + 1] = v + noise();
  }
  return out;
}

/** `count` stands of a stream of chance. */
export function stands(board: Board, lens: TrueLens, widthPx: number, options: { readonly seed: number; readonly count: number; readonly tiltRad: number; readonly fill: number }): Stand[] {
  const random = makeRandom(options.seed, "stands");
  return Array.from({ length: options.count }, () => standOf(board, lens, widthPx, random, options));
}
