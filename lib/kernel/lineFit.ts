/** Result of a robust straight-line fit y = a + b x; variances per unit sample variance of y. */
export interface LineFit { a: number; b: number; varA: number; varB: number; covAB: number; used: number; scale: number }

/** An iteration that moves the line by less than this share of its scale is the last. */
const SETTLED = 0.002;

/**
 * Robust line through (x, y): Tukey biweight, started from the median, iterated up to 8 times, with a Gaussian prior on the slope
 * (0 ± slopePrior, in units of y over x) so that a narrow cluster of x does not invent a tilt.
 * `sigma` is the known noise of y; residuals are cut at 4.685 · max(sigma, their own MAD scale).
 */
export function robustLine(x: Float64Array, y: Float64Array, count: number, sigma: number, slopePrior: number, scratch: Float64Array): LineFit {
  let a = medianOf(y, count, scratch);
  let b = 0;
  let scale = sigma;
  let sw = 0, sx = 0, sxx = 0, det = 1;
  for (let pass = 0; pass < 8; pass++) {
    for (let i = 0; i < count; i++) scratch[i] = Math.abs((y[i] as number) - a - b * (x[i] as number));
    scale = Math.max(sigma, medianInPlace(scratch, count) / 0.6745);
    const cut = 4.685 * scale;
    sw = 0; sx = 0; sxx = 0;
    let sy = 0, sxy = 0;
    for (let i = 0; i < count; i++) {
      const xi = x[i] as number, yi = y[i] as number;
      const e = (yi - a - b * xi) / cut;
      if (e >= 1 || e <= -1) continue;
      const k = (1 - e * e) * (1 - e * e);
      sw += k; sx += k * xi; sxx += k * xi * xi; sy += k * yi; sxy += k * xi * yi;
    }
    if (sw < 3) break;
    const ridge = scale * scale / (slopePrior * slopePrior);
    det = sw * (sxx + ridge) - sx * sx;
    const before = a, beforeB = b;
    a = ((sxx + ridge) * sy - sx * sxy) / det;
    b = (sw * sxy - sx * sy) / det;
    if (pass > 0 && Math.abs(a - before) < SETTLED * scale && Math.abs(b - beforeB) * Math.sqrt(sxx / sw) < SETTLED * scale) break;
  }
  const ridge = scale * scale / (slopePrior * slopePrior);
  return { a, b, varA: (sxx + ridge) / det, varB: sw / det, covAB: -sx / det, used: sw, scale };
}

/** Median of the first `count` values, by a copy in `scratch`. NaN for none. */
export function medianOf(values: Float64Array, count: number, scratch: Float64Array): number {
  for (let i = 0; i < count; i++) scratch[i] = values[i] as number;
  return medianInPlace(scratch, count);
}

/** Median by quickselect; reorders `v`. The upper of two middles. NaN for none. */
export function medianInPlace(v: Float64Array, count: number): number {
  if (count === 0) return Number.NaN;
  const k = count >> 1;
  let low = 0, high = count - 1;
  while (low < high) {
    const pivot = v[(low + high) >> 1] as number;
    let i = low, j = high;
    while (i <= j) {
      while ((v[i] as number) < pivot) i++;
      while ((v[j] as number) > pivot) j--;
      if (i <= j) {
        const swap = v[i] as number;
        v[i] = v[j] as number;
        v[j] = swap;
        i++; j--;
      }
    }
    if (k <= j) high = j;
    else if (k >= i) low = i;
    else break;
  }
  return v[k] as number;
}
