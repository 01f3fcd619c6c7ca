import { medianInPlace } from "./lineFit.ts";

/**
 * Takes short excursions out of a line of heights: a run of at most `longest` valid samples that stands above (or below) both of its
 * valid neighbours by more than `jump` is replaced by NaN. A step, however high, is no excursion and stays.
 * `z` is changed in place; returns how many samples were taken out. Neighbours are looked for across at most `reach` missing samples.
 */
export function rejectSpikes(z: Float64Array, count: number, options: { jump: number; longest: number; reach: number }): number {
  const { jump, longest, reach } = options;
  let taken = 0;
  let last = Number.NaN; // last good height
  let lastAt = -1;
  for (let j = 0; j < count; j++) {
    const here = z[j] as number;
    const rise = here - last;
    const near = j - lastAt <= reach + 1;
    if (rise <= jump && rise >= -jump && near) { // nearly always
      last = here;
      lastAt = j;
      continue;
    }
    if (here !== here) continue;
    if (last === last && near) {
      const run = excursion(z, count, j, last, options);
      if (run > 0) {
        for (let k = j, left = run; left > 0; k++) {
          if (z[k] === z[k]) left--;
          z[k] = Number.NaN;
        }
        taken += run;
        continue;
      }
    } else if (loneBeforeDrop(z, count, j, jump, longest, reach)) {
      z[j] = Number.NaN;
      taken++;
      continue;
    }
    last = here;
    lastAt = j;
  }
  return taken;
}

/** Number of valid samples from j on that stand off `last` and off what follows, on the same side; 0: it is a step. */
function excursion(z: Float64Array, count: number, j: number, last: number, options: { jump: number; longest: number; reach: number }): number {
  const up = (z[j] as number) > last;
  let run = 1;
  let nearest = z[j] as number; // the run's height closest to its surroundings
  let missing = 0;
  for (let k = j + 1; k < count && missing <= options.reach; k++) {
    const v = z[k] as number;
    if (v !== v) { missing++; continue; }
    missing = 0;
    if (up ? nearest - v > options.jump : v - nearest > options.jump) return run;
    if (++run > options.longest) return 0;
    if (up ? v < nearest : v > nearest) nearest = v;
    if (up ? nearest - last <= options.jump : last - nearest <= options.jump) return 0;
  }
  return 0;
}

/** A sample with nothing before it within reach, followed at once by a jump and then by at least two samples that agree. */
function loneBeforeDrop(z: Float64Array, count: number, j: number, jump: number, longest: number, reach: number): boolean {
  const here = z[j] as number;
  let first = Number.NaN;
  let agree = 0;
  for (let k = j + 1; k < count && k <= j + reach + longest + 2; k++) {
    const v = z[k] as number;
    if (v !== v) continue;
    if (first !== first) {
      if (Math.abs(v - here) <= jump) return false;
      first = v;
    } else if (Math.abs(v - first) > jump) return false;
    if (++agree >= 3) return true;
  }
  return false;
}

/**
 * Noise of one sample from third differences of neighbouring samples: the median of |z0 − 3 z1 + 3 z2 − z3| / (√20 · 0.6745),
 * every `stride`-th place. Slopes and curvature fall out; steps are outvoted. NaN with fewer than 20 places.
 */
export function noiseFromDifferences(z: Float64Array, count: number, stride: number, scratch: Float64Array): number {
  let n = 0;
  for (let j = 0; j + 3 < count && n < scratch.length; j += stride) {
    const d = (z[j] as number) - 3 * (z[j + 1] as number) + 3 * (z[j + 2] as number) - (z[j + 3] as number);
    if (d === d) scratch[n++] = d < 0 ? -d : d;
  }
  if (n < 20) return Number.NaN;
  return medianInPlace(scratch, n) / (Math.sqrt(20) * 0.6745);
}
