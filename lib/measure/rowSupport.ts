import { robustLine } from "../kernel/lineFit.ts";
import type { Chart } from "./chart.ts";
import { alongAt, type Crossing, type Samples } from "./crossing.ts";
import { HOLLOW_SHARE } from "./settings.ts";
import { SupportSolver } from "./supportSolver.ts";
import { cellRange, type StrandGrid } from "./grid.ts";

/** What a cell of a row stands on. */
export const SEEN = 1; // the support was seen there
export const PLANNED = 2; // never seen: the planned base
export const HOLLOW = 3; // seen more than a quarter of the height below the planned base: the planned base counts

/** The support under one row, cell by cell. */
export interface RowSupport {
  nMm: Float64Array; // Float64Array[cell], over the planned base, what thickness is counted from
  restMm: Float64Array; // Float64Array[cell], over the planned base, what the bead's outline is counted from: see `restOf`
  kind: Uint8Array; // Uint8Array[cell], SEEN, PLANNED or HOLLOW
  variance: Float64Array; // Float64Array[cell], mm², of a planned base; 0 where seen
  /** Mean share of one sample's noise variance that is left in the seen support, by how many sightings it is the mean of. */
  supportNoise: number;
}

const MOST_BARE = 400;
const xs = new Float64Array(MOST_BARE);
const ys = new Float64Array(MOST_BARE);
const scratch = new Float64Array(MOST_BARE);
const solver = new SupportSolver();

/** Fills `out` for the cells [from, to) of a row from the map of what the strand's layer was laid on. */
export function readSupport(out: RowSupport, c: Crossing, on: { chart: Chart; support: Float32Array }, grid: StrandGrid, range: { from: number; to: number }): void {
  solver.aim(c, on.chart, on.support);
  let share = 0, known = 0;
  let guess = 0;
  for (let k = range.from; k < range.to; k++) {
    const b = grid.first + (k + 0.5) * grid.cellMm;
    const n = solver.height(b, alongAt(c, b, c.heightMm), guess);
    out.nMm[k] = n;
    if (n !== n) continue;
    guess = n;
    share += solver.share;
    known++;
  }
  // tops of paste are seen a fraction of a cell aside each time: their mean is no quieter than one of them
  const onPaste = c.strand.layer > 1;
  out.supportNoise = known > 0 && !onPaste ? share / known : 1;
  bridge(out.nMm, range, Math.floor(0.3 * c.widthMm / grid.cellMm));
  for (let k = range.from; k < range.to; k++) {
    const n = out.nMm[k] as number;
    out.variance[k] = 0;
    if (n !== n) out.kind[k] = PLANNED;
    else if (n < -HOLLOW_SHARE * c.heightMm) {
      out.kind[k] = HOLLOW;
      out.nMm[k] = 0;
    } else out.kind[k] = SEEN;
  }
}

/** Slope across a bead that is believed of the paste it rests on. */
const REST_SLOPE = 0.05;

/**
 * What a bead's outline is looked at over. On the target that is the support itself. Paste beneath is seen with noise and, next to
 * its flanks, as a hollow or not from cell to cell, while the bead above is stiff and even: there its outline is taken over the line
 * through the support seen under it or, where most of that is a hollow, over the planned base, either curved across as planned.
 * True where it hangs over a hollow.
 */
export function restOf(out: RowSupport, c: Crossing, grid: StrandGrid, range: { from: number; to: number }, sigmaMm: number): boolean {
  const under = cellRange(grid, -c.widthMm / 2, c.widthMm / 2);
  const curve = (c.strand.acrossCurvature[c.at] as number) / 2;
  let count = 0, hollow = 0, planned = 0;
  for (let k = Math.max(under.from, range.from); k < Math.min(under.to, range.to); k++) {
    if (out.kind[k] === HOLLOW) hollow++;
    else if (out.kind[k] === PLANNED) planned++;
    else if (count < MOST_BARE) {
      const b = grid.first + (k + 0.5) * grid.cellMm;
      xs[count] = b;
      ys[count++] = (out.nMm[k] as number) - curve * b * b;
    }
  }
  const spanned = hollow > count + planned;
  const fit = planned === 0 && c.strand.layer > 1 && !spanned && count > 3 ? robustLine(xs, ys, count, sigmaMm, REST_SLOPE, scratch) : null;
  const even = fit !== null || (spanned && c.strand.layer > 1);
  for (let k = range.from; k < range.to; k++) {
    const b = grid.first + (k + 0.5) * grid.cellMm;
    out.restMm[k] = even ? curve * b * b + (fit === null ? 0 : fit.a + fit.b * b) : (out.nMm[k] as number);
  }
  return spanned;
}

/** Short runs of unseen cells between seen ones are bridged linearly. */
function bridge(n: Float64Array, range: { from: number; to: number }, most: number): void {
  let last = -1;
  for (let k = range.from; k < range.to; k++) {
    const v = n[k] as number;
    if (v !== v) continue;
    const missing = k - last - 1;
    if (last >= 0 && missing > 0 && missing <= most) {
      const v0 = n[last] as number;
      for (let q = 1; q <= missing; q++) n[last + q] = v0 + (v - v0) * q / (missing + 1);
    }
    last = k;
  }
}

/**
 * Where the support was never seen: the planned base, curved across as its neighbours say, moved by the offset and tilt of the bare
 * samples beside the bead in this very profile (robust line). With too few of them the plan's own uncertainty stays.
 */
export function plannedSupport(out: RowSupport, c: Crossing, samples: Samples, grid: StrandGrid, range: { from: number; to: number }, noise: { sigmaMm: number; planUMm: number }): void {
  let any = false;
  for (let k = range.from; k < range.to && !any; k++) any = out.kind[k] === PLANNED;
  if (!any) return;
  const curve = (c.strand.acrossCurvature[c.at] as number) / 2;
  const count = bareSamples(c, samples, curve);
  const fit = count >= 8 ? robustLine(xs, ys, count, noise.sigmaMm, 0.03, scratch) : null;
  for (let k = range.from; k < range.to; k++) {
    if (out.kind[k] !== PLANNED) continue;
    const b = grid.first + (k + 0.5) * grid.cellMm;
    out.nMm[k] = curve * b * b + (fit === null ? 0 : fit.a + fit.b * b);
    out.variance[k] = fit === null ? noise.planUMm * noise.planUMm
      : fit.scale * fit.scale * (fit.varA + 2 * b * fit.covAB + b * b * fit.varB) + (0.1 * curve * b * b) ** 2;
  }
}

/** Samples beside the planned bead and near the planned base, into xs and ys (height over the curved base). */
function bareSamples(c: Crossing, samples: Samples, curve: number): number {
  const inner = 0.8 * c.widthMm, outer = inner + 1.2 * c.widthMm;
  let count = 0;
  for (let i = 0; i < samples.count && count < MOST_BARE; i++) {
    const b = samples.b[i] as number;
    const size = Math.abs(b);
    if (size < inner || size > outer) continue;
    const y = (samples.n[i] as number) - curve * b * b;
    if (Math.abs(y) > HOLLOW_SHARE * c.heightMm) continue;
    xs[count] = b;
    ys[count++] = y;
  }
  return count;
}
