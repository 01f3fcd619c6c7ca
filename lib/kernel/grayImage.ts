/** Pictures of one channel. */

export interface GrayImage {
  /** Row by row; any number. */
  readonly pixels: Float32Array;
  readonly width: number;
  readonly height: number;
}

/** Half the size: each pixel the mean of four. An odd last row or column is dropped. Pixel (x, y) lies at (2 x + 0.5, 2 y + 0.5) of the whole one. */
export function halved({ pixels, width, height }: GrayImage): GrayImage {
  const w = width >> 1, h = height >> 1, out = new Float32Array(w * h);
  for (let y = 0; y < h; y++) for (let x = 0; x < w; x++) {
    const at = 2 * y * width + 2 * x;
    out[y * w + x] = (pixels[at]! + pixels[at + 1]! + pixels[at + width]! + pixels[at + width + 1]!) / 4;
  }
  return { pixels: out, width: w, height: h };
}

/** Smoothed by the binomial 1 4 6 4 1 along rows and columns, `passes` times: variance 1 px² each. Edges are carried on. */
export function smoothed({ pixels, width, height }: GrayImage, passes: number): GrayImage {
  let from: Float32Array = pixels, to: Float32Array = new Float32Array(pixels.length);
  for (let pass = 0; pass < 2 * passes; pass++) {
    const along = pass % 2 === 0, length = along ? width : height, step = along ? 1 : width, lineStep = along ? width : 1, lines = along ? height : width;
    for (let line = 0; line < lines; line++) {
      const at = (i: number): number => from[line * lineStep + step * Math.min(length - 1, Math.max(0, i))]!;
      for (let i = 0; i < length; i++) to[line * lineStep + step * i] = (at(i - 2) + at(i + 2) + 4 * (at(i - 1) + at(i + 1)) + 6 * at(i)) / 16;
    }
    [from, to] = [to, from === pixels ? new Float32Array(pixels.length) : from];
  }
  return { pixels: from, width, height };
}

/** Mean over squares of half-size `radius`, cut at the edges, by a table of sums. */
export function boxMeans({ pixels, width, height }: GrayImage, radius: number): Float32Array {
  const sums = new Float64Array((width + 1) * (height + 1)), out = new Float32Array(pixels.length), w = width + 1;
  for (let y = 0; y < height; y++) {
    let row = 0;
    for (let x = 0; x < width; x++) {
      row += pixels[y * width + x]!;
      sums[(y + 1) * w + x + 1] = sums[y * w + x + 1]! + row;
    }
  }
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) {
    const left = Math.max(0, x - radius), right = Math.min(width, x + radius + 1), top = Math.max(0, y - radius), bottom = Math.min(height, y + radius + 1);
    out[y * width + x] = (sums[bottom * w + right]! - sums[top * w + right]! - sums[bottom * w + left]! + sums[top * w + left]!) / ((right - left) * (bottom - top));
  }
  return out;
}

/** Value between pixels, bilinear; NaN outside of their centres. */
export function sampleAt({ pixels, width, height }: GrayImage, x: number, y: number): number {
  const x0 = Math.min(width - 2, Math.floor(x)), y0 = Math.min(height - 2, Math.floor(y)), fx = x - x0, fy = y - y0;
  if (!(x0 >= 0 && y0 >= 0 && fx <= 1 && fy <= 1)) return Number.NaN;
  const at = y0 * width + x0;
  return (pixels[at]! * (1 - fx) + pixels[at + 1]! * fx) * (1 - fy) + (pixels[at + width]! * (1 - fx) + pixels[at + width + 1]! * fx) * fy;
}
