/** A frame's colours over the cells of its view: how bright, and two ratios of colours that a shadow leaves as they are. */
import { beforeFold, distortInto } from "../kernel/brownConrady.ts";
import type { FramePixels } from "../model/frame.ts";
import { shifted, type Shift, type View } from "./view.ts";

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
export function takePicture(view: View, pixels: FramePixels, masked: readonly (readonly [number, number, number, number])[], moved: Shift | null = null): Picture {
  const { width, height, step, lens } = view, colours = new Float32Array(COLOURS * width * height).fill(Number.NaN), peak = new Uint8Array(width * height);
  const taps = Math.max(1, Math.round(step)), out = new Float64Array(2), sum = new Float64Array(COLOURS);
  for (let row = 0, cell = 0; row < height; row++) {
    for (let column = 0; column < width; column++, cell++) {
      sum.fill(0);
      let isWhole = true;
      for (let j = 0; j < taps * taps && isWhole; j++) {
        const du = ((j % taps) + 0.5) / taps - 0.5, dv = (Math.floor(j / taps) + 0.5) / taps - 0.5;
        const [c, r] = moved === null ? [column + du, row + dv] : shifted(moved, view, column + du, row + dv);
        const x = (view.u0 + c * step - lens.cx) / lens.fx, y = (view.v0 + r * step - lens.cy) / lens.fy;
        distortInto(lens, x, y, out);
        isWhole = addSample(pixels, out[0] as number, out[1] as number, sum) && (j > 0 || beforeFold(lens, x, y)) && (j > 0 || !isMasked(masked, out[0] as number, out[1] as number));
      }
      if (!isWhole) continue;
      const n = taps * taps, r = (sum[0] as number) / n, g = (sum[1] as number) / n, b = (sum[2] as number) / n;
      const lr = logOf(r), lg = logOf(g), lb = logOf(b);
      colours[COLOURS * cell] = (lr + lg + lb) / 3;
      colours[COLOURS * cell + 1] = lr - lg;
      colours[COLOURS * cell + 2] = lb - lg;
      peak[cell] = Math.max(r, g, b);
    }
  }
  return { colours, peak };
}

function logOf(code: number): number {
  return LOG_OF_CODE[Math.round(code * FINE)] as number;
}

function isMasked(masked: readonly (readonly [number, number, number, number])[], u: number, v: number): boolean {
  for (const [a, b, c, d] of masked) if (u >= Math.min(a, c) && u <= Math.max(a, c) && v >= Math.min(b, d) && v <= Math.max(b, d)) return true;
  return false;
}

/** Adds the colour between four pixels; false: outside the picture. */
function addSample({ widthPx, heightPx, rgb }: FramePixels, u: number, v: number, sum: Float64Array): boolean {
  if (!(u >= 0 && v >= 0 && u <= widthPx - 1 && v <= heightPx - 1)) return false;
  const iu = Math.min(widthPx - 2, Math.floor(u)), iv = Math.min(heightPx - 2, Math.floor(v)), fu = u - iu, fv = v - iv;
  const a = 3 * (iv * widthPx + iu), b = a + 3 * widthPx;
  const w0 = (1 - fu) * (1 - fv), w1 = fu * (1 - fv), w2 = (1 - fu) * fv, w3 = fu * fv;
  for (let k = 0; k < COLOURS; k++) sum[k]! += w0 * rgb[a + k]! + w1 * rgb[a + 3 + k]! + w2 * rgb[b + k]! + w3 * rgb[b + 3 + k]!;
  return true;
}
