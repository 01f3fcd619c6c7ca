/** Saddle points of a picture: where dark meets bright across both diagonals, as at the corners of a checkerboard. */
import { type GrayImage, smoothed } from "./grayImage.ts";

export interface Saddle {
  readonly x: number;
  readonly y: number;
  /** Unit vector from the point to the brighter sides (either way). */
  readonly brightX: number;
  readonly brightY: number;
}

const SMOOTHING = 2; // passes: variance 2 px²
const APART = 3; // px; nearer ones are one
/** Of the response of a strong one. */
const LEAST_RESPONSE = 0.04;
const STRONG_RANK = 25;
/** Sixteen places of a ring of radius 4 px, in turn. */
const RING = [[4, 0], [4, 2], [3, 3], [2, 4], [0, 4], [-2, 4], [-3, 3], [-4, 2], [-4, 0], [-4, -2], [-3, -3], [-2, -4], [0, -4], [2, -4], [3, -3], [4, -2]] as const;
const RING_RADIUS = 4;
/** How much opposite sides of the ring may differ, of what neighbouring quarters do. */
const MOST_LOPSIDED = 0.4;
const MOST = 4000;

/**
 * Local maxima of the negative determinant of the Hessian (Ixy² − Ixx Iyy) of the smoothed picture, strongest first, to a pixel; those alone around
 * which opposite sides look alike and quarters do not (Bennett and Lasenby 2014), as they do not at the outer corner of a square.
 */
export function findSaddles(image: GrayImage): Saddle[] {
  const soft = smoothed(image, SMOOTHING), { width, height } = image, response = responsesOf(soft), found: number[] = [];
  for (let y = APART; y < height - APART; y++) for (let x = APART; x < width - APART; x++) if (isPeak(response, width, x, y)) found.push(y * width + x);
  found.sort((a, b) => response[b]! - response[a]!);
  const strong = response[found[Math.min(STRONG_RANK, found.length) - 1] ?? 0] ?? 0;
  return found.slice(0, MOST).filter((at) => response[at]! >= LEAST_RESPONSE * strong && isEven(soft, at % width, Math.floor(at / width))).map((at) => saddleAt(soft, at % width, Math.floor(at / width)));
}

function responsesOf({ pixels, width, height }: GrayImage): Float32Array {
  const out = new Float32Array(pixels.length);
  for (let y = 1; y < height - 1; y++) for (let x = 1; x < width - 1; x++) {
    const { xx, xy, yy } = hessian(pixels, width, y * width + x);
    out[y * width + x] = xy * xy - xx * yy;
  }
  return out;
}

function hessian(p: Float32Array, width: number, at: number): { xx: number; xy: number; yy: number } {
  const middle = 2 * p[at]!;
  return {
    xx: p[at - 1]! + p[at + 1]! - middle, yy: p[at - width]! + p[at + width]! - middle,
    xy: (p[at + width + 1]! + p[at - width - 1]! - p[at + width - 1]! - p[at - width + 1]!) / 4,
  };
}

function isPeak(response: Float32Array, width: number, x: number, y: number): boolean {
  const here = response[y * width + x]!;
  if (!(here > 0)) return false;
  for (let dy = -APART; dy <= APART; dy++) for (let dx = -APART; dx <= APART; dx++) {
    const there = response[(y + dy) * width + x + dx]!;
    if (there > here || (there === here && (dy < 0 || (dy === 0 && dx < 0)))) return false;
  }
  return true;
}

function isEven({ pixels, width, height }: GrayImage, x: number, y: number): boolean {
  if (x < RING_RADIUS || y < RING_RADIUS || x >= width - RING_RADIUS || y >= height - RING_RADIUS) return false;
  const ring = RING.map(([dx, dy]) => pixels[(y + dy) * width + x + dx]!);
  let quarters = 0, sides = 0;
  for (let i = 0; i < 4; i++) quarters += Math.abs(ring[i]! + ring[i + 8]! - ring[i + 4]! - ring[i + 12]!);
  for (let i = 0; i < 8; i++) sides += Math.abs(ring[i]! - ring[i + 8]!);
  return sides < MOST_LOPSIDED * 2 * quarters;
}

function saddleAt({ pixels, width }: GrayImage, x: number, y: number): Saddle {
  const { xx, xy, yy } = hessian(pixels, width, y * width + x), half = (xx - yy) / 2, most = (xx + yy) / 2 + Math.sqrt(half * half + xy * xy);
  const [a, b] = Math.abs(most - xx) > Math.abs(most - yy) ? [xy, most - xx] : [most - yy, xy], size = Math.sqrt(a * a + b * b);
  return { x, y, brightX: size > 0 ? a / size : 1, brightY: size > 0 ? b / size : 0 };
}
