/** Pictures of boards, rendered ray by ray through a known lens, with blur and noise; written apart from what measures them. */
import type { Random } from "../../lib/rehearsal/random.ts";
import { type Board, type Stand, times, transposed, type TrueLens } from "./boardScene.ts";

export interface Scene {
  readonly board: Board;
  readonly pattern: "checkerboard" | "dots";
  readonly lens: TrueLens;
  readonly widthPx: number;
  readonly heightPx: number;
  /** Of the brightness, 0..255. */
  readonly noise: number;
}

const DARK = 40, BRIGHT = 205, SUB = 3;
/** Radius of a dot, of the pitch. */
export const DOT_SHARE = 0.3;

/** Ideal coordinates of a pixel: x ← (xd − tangential(x)) / radial(x), 25 times. */
function idealOf(l: TrueLens, u: number, v: number): readonly [number, number] {
  const xd = (u - l.cx) / l.fx, yd = (v - l.cy) / l.fy;
  let x = xd, y = yd;
  for (let i = 0; i < 25; i++) {
    const s = x * x + y * y, radial = 1 + l.k1 * s + l.k2 * s * s + l.k3 * s * s * s;
    const next = (xd - 2 * l.p1 * x * y - l.p2 * (s + 2 * x * x)) / radial;
    y = (yd - l.p1 * (s + 2 * y * y) - 2 * l.p2 * x * y) / radial;
    x = next;
  }
  return [x, y];
}

/** Brightness of the board at (x, y) mm; (0, 0) is the first corner or dot. The first square inside the corners is dark. */
function shade({ board, pattern }: Scene, x: number, y: number): number {
  const { columns, rows, pitchMm } = board, c = x / pitchMm, r = y / pitchMm;
  if (pattern === "dots") {
    const dc = c - Math.min(columns - 1, Math.max(0, Math.round(c))), dr = r - Math.min(rows - 1, Math.max(0, Math.round(r)));
    return dc * dc + dr * dr < DOT_SHARE * DOT_SHARE ? DARK : BRIGHT;
  }
  if (c < -1 || r < -1 || c > columns || r > rows) return BRIGHT;
  return (Math.floor(c) + Math.floor(r)) % 2 === 0 ? DARK : BRIGHT;
}

/** One ideal point for each of SUB × SUB places of each pixel; the same for all pictures of a lens. */
export function raysOf({ lens, widthPx, heightPx }: Scene): Float64Array {
  const out = new Float64Array(2 * SUB * SUB * widthPx * heightPx);
  for (let y = 0, at = 0; y < heightPx * SUB; y++) for (let x = 0; x < widthPx * SUB; x++, at += 2) out.set(idealOf(lens, (x + 0.5) / SUB - 0.5, (y + 0.5) / SUB - 0.5), at);
  return out;
}

/** Grey values, row by row: each pixel the mean of its places, blurred by 1 2 1 both ways, with noise, rounded to whole numbers. */
export function renderBoard(scene: Scene, rays: Float64Array, { r, t }: Stand, random: Random): Uint8Array {
  const { widthPx, heightPx, noise } = scene, back = transposed(r), m = Float64Array.from(back.flat()), [x0, y0, z0] = times(back, t.map((v) => -v)) as [number, number, number], sharp = new Float64Array(widthPx * heightPx);
  for (let y = 0, at = 0; y < heightPx * SUB; y++) for (let x = 0; x < widthPx * SUB; x++, at += 2) {
    const a = rays[at]!, b = rays[at + 1]!, k = -z0 / (m[6]! * a + m[7]! * b + m[8]!);
    sharp[Math.floor(y / SUB) * widthPx + Math.floor(x / SUB)]! += shade(scene, x0 + k * (m[0]! * a + m[1]! * b + m[2]!), y0 + k * (m[3]! * a + m[4]! * b + m[5]!)) / (SUB * SUB);
  }
  return Uint8Array.from(blurred(sharp, widthPx, heightPx), (v) => Math.min(255, Math.max(0, Math.round(v + noise * random.gauss()))));
}

function blurred(sharp: Float64Array, width: number, height: number): Float64Array {
  const at = (from: Float64Array, x: number, y: number): number => from[Math.min(height - 1, Math.max(0, y)) * width + Math.min(width - 1, Math.max(0, x))]!;
  const along = new Float64Array(sharp.length), both = new Float64Array(sharp.length);
  for (let y = 0, i = 0; y < height; y++) for (let x = 0; x < width; x++, i++) along[i] = (at(sharp, x - 1, y) + 2 * sharp[i]! + at(sharp, x + 1, y)) / 4;
  for (let y = 0, i = 0; y < height; y++) for (let x = 0; x < width; x++, i++) both[i] = (at(along, x, y - 1) + 2 * along[i]! + at(along, x, y + 1)) / 4;
  return both;
}
