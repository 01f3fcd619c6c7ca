/** A frame's colours over the cells of its view: how bright, and two ratios of colours that a shadow leaves as they are. */
import { beforeFold, distortInto, type Lens } from "../kernel/brownConrady.ts";
import type { FramePixels } from "../model/frame.ts";
import { NO_SHIFT, type Shift, type View } from "./view.ts";

/** Columns of `Picture.colours`. */
export const COLOURS = 3;

export interface Picture {
  /** Of each cell ln of the brightness, ln(R/G) and ln(B/G), of linear light; NaN: outside the picture or masked. */
  readonly colours: Float32Array; // Float32Array[3 · cell]
  /** Greatest of the three codes, 0..255. */
  readonly peak: Uint8Array; // Uint8Array[cell]
}

/** Keeps logarithms of dark codes from telling noise, share of full light. */
const FLOOR = 0.004;
/** Steps of the table of logarithms between two codes. */
const FINE = 8;
const LOG_OF_CODE = Float64Array.from({ length: 255 * FINE + 1 }, (_, i) => Math.log(linearOf(i / FINE) + FLOOR));

/** Linear light 0..1 of a code 0..255 (IEC 61966-2-1, sRGB). */
export function linearOf(code: number): number {
  const c = code / 255;
  return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
}

/**
 * Takes the picture over into the view's cells: distortion taken out, each cell the mean of what it covers. `masked`: rectangles of raw pixels, corner to
 * corner, that count as not seen. `moved`: where a cell is looked up instead.
 */
export function takePicture(view: View, pixels: FramePixels, masked: readonly (readonly [number, number, number, number])[], moved: Shift = NO_SHIFT): Picture {
  const { width, height, step, lens } = view, colours = new Float32Array(COLOURS * width * height).fill(Number.NaN), peak = new Uint8Array(width * height);
  const taps = Math.max(1, Math.min(MOST_TAPS, Math.round(step))), apart = step / taps, first = -apart * (taps - 1) / 2, foldR2 = foldRadius2(lens), out = new Float64Array(2), sum = new Float64Array(COLOURS);
  const cx = moved.aboutX, cy = moved.aboutY, cos = 1 - moved.turnRad * moved.turnRad / 2;
  for (let row = 0, cell = 0; row < height; row++) {
    for (let column = 0; column < width; column++, cell++) {
      const dx = column - cx, dy = row - cy, c = cx + cos * dx - moved.turnRad * dy + moved.columns, r = cy + moved.turnRad * dx + cos * dy + moved.rows;
      const x = (view.u0 + c * step - lens.cx) / lens.fx, y = (view.v0 + r * step - lens.cy) / lens.fy;
      if (!(x * x + y * y < foldR2)) continue;
      distortInto(lens, x, y, out);
      const u = out[0]!, v = out[1]!;
      if (masked.length > 0 && isMasked(masked, u, v)) continue;
      sum[0] = 0; sum[1] = 0; sum[2] = 0;
      let isWhole = true;
      for (let j = 0; j < taps && isWhole; j++) for (let i = 0; i < taps && isWhole; i++) isWhole = addSample(pixels, u + first + i * apart, v + first + j * apart, sum);
      if (!isWhole) continue;
      const n = 1 / (taps * taps), red = sum[0] * n, green = sum[1] * n, blue = sum[2] * n;
      const lr = logOf(red), lg = logOf(green), lb = logOf(blue);
      colours[COLOURS * cell] = (lr + lg + lb) / 3;
      colours[COLOURS * cell + 1] = lr - lg;
      colours[COLOURS * cell + 2] = lb - lg;
      peak[cell] = red > green ? (red > blue ? red : blue) : green > blue ? green : blue;
    }
  }
  return { colours, peak };
}

/** Squared ideal radius up to which the lens shows the scene once: beyond it a pixel has a second origin. */
function foldRadius2(lens: Lens): number {
  let good = 0, bad = FAR_RADIUS;
  const isGood = (r: number): boolean => beforeFold(lens, r, 0) && beforeFold(lens, -r, 0) && beforeFold(lens, 0, r) && beforeFold(lens, 0, -r);
  if (isGood(bad)) return bad * bad;
  for (let i = 0; i < 30; i++) {
    const mid = (good + bad) / 2;
    if (isGood(mid)) good = mid;
    else bad = mid;
  }
  return good * good;
}
/** More samples a side of a cell tell no more. */
const MOST_TAPS = 2;
/** No camera here sees farther aside than this, of the depth. */
const FAR_RADIUS = 3;

/** ln of the linear light of a code, 0..255, fractions allowed. */
export function logOf(code: number): number {
  return LOG_OF_CODE[Math.round(code * FINE)] as number;
}

function isMasked(masked: readonly (readonly [number, number, number, number])[], u: number, v: number): boolean {
  for (const [a, b, c, d] of masked) if (u >= Math.min(a, c) && u <= Math.max(a, c) && v >= Math.min(b, d) && v <= Math.max(b, d)) return true;
  return false;
}

/** Adds the colour between four pixels; false: outside the picture. */
function addSample({ widthPx, heightPx, rgb }: FramePixels, u: number, v: number, sum: Float64Array): boolean {
  if (!(u >= 0 && v >= 0 && u <= widthPx - 1 && v <= heightPx - 1)) return false;
  const fu0 = Math.floor(u), fv0 = Math.floor(v), iu = fu0 > widthPx - 2 ? widthPx - 2 : fu0, iv = fv0 > heightPx - 2 ? heightPx - 2 : fv0, fu = u - iu, fv = v - iv;
  const a = 3 * (iv * widthPx + iu), b = a + 3 * widthPx;
  const w0 = (1 - fu) * (1 - fv), w1 = fu * (1 - fv), w2 = (1 - fu) * fv, w3 = fu * fv;
  sum[0]! += w0 * rgb[a]! + w1 * rgb[a + 3]! + w2 * rgb[b]! + w3 * rgb[b + 3]!;
  sum[1]! += w0 * rgb[a + 1]! + w1 * rgb[a + 4]! + w2 * rgb[b + 1]! + w3 * rgb[b + 4]!;
  sum[2]! += w0 * rgb[a + 2]! + w1 * rgb[a + 5]! + w2 * rgb[b + 2]! + w3 * rgb[b + 5]!;
  return true;
}
