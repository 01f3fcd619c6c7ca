/** Corners to a fraction of a pixel. */
import { type GrayImage, sampleAt } from "./grayImage.ts";

const MOST_PASSES = 30;
const SETTLED_PX = 1e-3;

/** Weights of a window of half-size `halfPx`, row by row: exp(−(dx² + dy²) / halfPx²). */
export function cornerWindow(halfPx: number): Float64Array {
  const side = 2 * halfPx + 1;
  return Float64Array.from({ length: side * side }, (_, i) => Math.exp(-((i % side - halfPx) ** 2 + (Math.floor(i / side) - halfPx) ** 2) / (halfPx * halfPx)));
}

/**
 * The point that all edges around (x, y) run through: Σ w g gᵀ (q − p) = 0 over a window that moves with the point until it rests (Förstner and
 * Gülch 1987). Puts it into `out[0]`, `out[1]`; NaN where it leaves the window. What of the window lies outside of the picture counts nothing.
 */
export function refineCorner(image: GrayImage, x: number, y: number, { window, out }: { readonly window: Float64Array; readonly out: Float64Array }): void {
  const halfPx = (Math.round(Math.sqrt(window.length)) - 1) / 2;
  out[0] = x;
  out[1] = y;
  for (let pass = 0; pass < MOST_PASSES; pass++) {
    const [mx, my] = pull(image, out[0], out[1], halfPx, window);
    out[0] += mx;
    out[1] += my;
    if (!(Math.abs(out[0] - x) <= halfPx && Math.abs(out[1] - y) <= halfPx)) break;
    if (mx * mx + my * my < SETTLED_PX * SETTLED_PX) return;
  }
  out[0] = Number.NaN;
  out[1] = Number.NaN;
}

/** From the window's middle to where its edges meet. */
function pull(image: GrayImage, x: number, y: number, halfPx: number, window: Float64Array): readonly [number, number] {
  let xx = 0, xy = 0, yy = 0, bx = 0, by = 0, at = 0;
  for (let dy = -halfPx; dy <= halfPx; dy++) for (let dx = -halfPx; dx <= halfPx; dx++) {
    const w = window[at++]!;
    const gx = sampleAt(image, x + dx + 1, y + dy) - sampleAt(image, x + dx - 1, y + dy), gy = sampleAt(image, x + dx, y + dy + 1) - sampleAt(image, x + dx, y + dy - 1);
    if (!(gx * gx + gy * gy > 0)) continue;
    xx += w * gx * gx;
    xy += w * gx * gy;
    yy += w * gy * gy;
    bx += w * (gx * gx * dx + gx * gy * dy);
    by += w * (gx * gy * dx + gy * gy * dy);
  }
  const det = xx * yy - xy * xy;
  return [(yy * bx - xy * by) / det, (xx * by - xy * bx) / det];
}
