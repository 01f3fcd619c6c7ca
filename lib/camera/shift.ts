/**
 * How far the picture lies from where the frame's pose puts it. Cells that ought to be paste and cells that ought to be bare target are looked up with
 * the picture moved to and fro; where both kinds tell apart best (Mahalanobis distance of their means) the picture lies.
 */
import { fisherDirection, medianOf, type ClassSpread } from "../kernel/twoClasses.ts";
import { thinned, type Labels } from "./labels.ts";
import { COLOURS, type Picture } from "./picture.ts";
import type { View } from "./view.ts";

/** As far as it is looked for, and the steps, mm. */
const REACH_MM = 4, STEPS_MM = [0.4, 0.13, 0.045];
/** A place farther off than the limit has to tell apart better by this than the best one within it. */
const CLEARLY = 1.12;
/** What a millimetre counts against: along parallel strands nothing tells where the picture lies. */
const PER_MM = 0.01;
const MOST_PASTE = 700, MOST_TARGET = 900;
/** Fewer cells of a kind in the picture tell nothing, share. */
const LEAST_SHARE = 0.6;

export interface Shift { readonly columns: number; readonly rows: number; /** Squared Mahalanobis distance there. */ readonly distance: number }

/** The shift in cells; `limitMm`: beyond it a shift has to be clear. */
export function findShift(picture: Picture, view: View, labels: Labels, { cellMm, limitMm }: { readonly cellMm: number; readonly limitMm: number }): Shift {
  const tell = teller(clipped(picture), view, labels);
  const score = (c: number, r: number): number => tell(c, r) * (1 - PER_MM * Math.sqrt(c * c + r * r) * cellMm);
  const best = (from: Shift, halfMm: number, stepMm: number, allowed: (mm: number) => boolean): Shift => {
    let found: Shift = { ...from, distance: -Infinity };
    const step = stepMm / cellMm, half = Math.round(halfMm / stepMm);
    for (let j = -half; j <= half; j++) {
      for (let i = -half; i <= half; i++) {
        const c = from.columns + i * step, r = from.rows + j * step;
        if (!allowed(Math.sqrt(c * c + r * r) * cellMm)) continue;
        const distance = score(c, r);
        if (distance > found.distance) found = { columns: c, rows: r, distance };
      }
    }
    return found;
  };
  const refined = (start: Shift, allowed: (mm: number) => boolean): Shift => {
    const [coarse, fine, finest] = STEPS_MM as [number, number, number];
    return best(best(start, coarse, fine, allowed), 1.5 * fine, finest, allowed);
  };
  const zero: Shift = { columns: 0, rows: 0, distance: 0 }, [coarse] = STEPS_MM as [number];
  const near = refined(best(zero, limitMm, coarse / 2, (mm) => mm <= limitMm), () => true);
  const far = refined(best(zero, REACH_MM, coarse, (mm) => mm > limitMm), () => true);
  return far.distance > CLEARLY * near.distance ? far : near;
}

/** Colours with outliers drawn in to four median deviations: a hand or a highlight does not decide. */
function clipped({ colours }: Picture): Float32Array {
  const out = Float32Array.from(colours);
  for (let k = 0; k < COLOURS; k++) {
    const some = new Float64Array(Math.ceil(colours.length / COLOURS / 16));
    let n = 0;
    for (let i = k; i < colours.length; i += 16 * COLOURS) if (colours[i]! === colours[i]!) some[n++] = colours[i]!;
    const values = some.subarray(0, n), middle = medianOf(values), spread = 1.4826 * medianOf(values.map((v) => Math.abs(v - middle)));
    const low = middle - 6 * spread, high = middle + 6 * spread;
    for (let i = k; i < out.length; i += COLOURS) if (out[i]! < low) out[i] = low; else if (out[i]! > high) out[i] = high;
  }
  return out;
}

/** Squared Mahalanobis distance between the two kinds with the picture moved by columns and rows. */
function teller(colours: Float32Array, { width, height }: View, labels: Labels): (columns: number, rows: number) => number {
  const px = thinned(labels.pasteX, MOST_PASTE), py = thinned(labels.pasteY, MOST_PASTE), cells = thinned(labels.target, MOST_TARGET);
  const tx = Float64Array.from(cells, (at) => at % width), ty = Float64Array.from(cells, (at) => Math.floor(at / width));
  const gather = (xs: Float64Array, ys: Float64Array, c: number, r: number): ClassSpread | null => {
    const s = new Float64Array(9);
    let n = 0;
    for (let i = 0; i < xs.length; i++) {
      const x = Math.round(xs[i]! + c), y = Math.round(ys[i]! + r);
      if (x < 0 || y < 0 || x >= width || y >= height) continue;
      const o = COLOURS * (y * width + x), a = colours[o]!, b = colours[o + 1]!, d = colours[o + 2]!;
      if (a !== a) continue;
      n++;
      s[0]! += a; s[1]! += b; s[2]! += d; s[3]! += a * a; s[4]! += a * b; s[5]! += a * d; s[6]! += b * b; s[7]! += b * d; s[8]! += d * d;
    }
    if (n < LEAST_SHARE * xs.length) return null;
    const m = Float64Array.of(s[0]! / n, s[1]! / n, s[2]! / n), v = (at: number, i: number, j: number): number => s[at]! / n - m[i]! * m[j]!;
    return { mean: m, covariance: Float64Array.of(v(3, 0, 0) + 1e-5, v(4, 0, 1), v(5, 0, 2), v(6, 1, 1) + 1e-5, v(7, 1, 2), v(8, 2, 2) + 1e-5), count: n };
  };
  return (c, r) => {
    const paste = gather(px, py, c, r), target = gather(tx, ty, c, r);
    if (paste === null || target === null) return 0;
    const direction = fisherDirection(target, paste);
    let distance = 0;
    for (let k = 0; k < COLOURS; k++) distance += direction[k]! * (paste.mean[k]! - target.mean[k]!);
    return distance;
  };
}
