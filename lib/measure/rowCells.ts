import { outlineInside, type BeadInRow } from "./flank.ts";
import type { StrandGrid } from "./grid.ts";

/** Sums of one row, cell by cell. */
export interface RowSums {
  areaMm2: Float64Array; // Float64Array[cell], thickness integrated over the cell
  coveredMm: Float64Array; // Float64Array[cell], length that returned light
  noiseMm4: Float64Array; // Float64Array[cell], variance of areaMm2 from sample noise
  holeMm4: Float64Array; // Float64Array[cell], variance of areaMm2 from bridged holes
}

export interface RowSamples {
  readonly b: Float64Array; readonly t: Float64Array;
  readonly count: number; readonly pitchMm: number; readonly sigmaMm: number;
}

/** A gap between samples wider than this many pitches is a hole. */
const HOLE_PITCHES = 1.6;

/** The cells that pieces are added to. */
interface Cells {
  readonly areaMm2: Float64Array; readonly coveredMm: Float64Array;
  readonly firstMm: number; readonly cellMm: number;
  readonly lowMm: number; readonly highMm: number;
}

/**
 * Integrates the outline through the samples over the cells [from, to). At a flank the outline falls where the flank stands,
 * not half-way between two samples: the last piece on the bead follows the flank's circle, beyond it lies the support.
 */
export function integrateRow(out: RowSums, samples: RowSamples, bead: BeadInRow, grid: StrandGrid, range: { from: number; to: number }): void {
  out.areaMm2.fill(0, range.from, range.to);
  out.coveredMm.fill(0, range.from, range.to);
  out.noiseMm4.fill(0, range.from, range.to);
  out.holeMm4.fill(0, range.from, range.to);
  const { b, t, count, pitchMm } = samples;
  if (count === 0) return;
  const cells: Cells = {
    areaMm2: out.areaMm2, coveredMm: out.coveredMm, firstMm: grid.first, cellMm: grid.cellMm,
    lowMm: grid.first + range.from * grid.cellMm, highMm: grid.first + range.to * grid.cellMm,
  };
  addArea(cells, cells.lowMm, b[0] as number, t[0] as number, t[0] as number);
  for (let j = 1; j < count; j++) {
    const b0 = b[j - 1] as number, b1 = b[j] as number, t0 = t[j - 1] as number, t1 = t[j] as number;
    const rightFlank = j === bead.first && bead.right >= b0, leftFlank = j - 1 === bead.last && bead.left <= b1;
    const hole = b1 - b0 > HOLE_PITCHES * pitchMm;
    if (rightFlank) addFlank(cells, b1, t1, b0, t0, bead.right, bead);
    else if (leftFlank) addFlank(cells, b0, t0, b1, t1, bead.left, bead);
    else if (hole) addArea(cells, b0, b1, t0, t1);
    else {
      addBoth(cells, b0, b1, t0, t1);
      continue;
    }
    if (!hole) addSeen(cells, b0, b1);
    else { // half a pitch belongs to each end of a hole
      addSeen(cells, b0, b0 + pitchMm / 2);
      addSeen(cells, b1 - pitchMm / 2, b1);
      if (!rightFlank && !leftFlank) spreadHole(out, grid, range, b0, b1, t1 - t0);
    }
  }
  addArea(cells, b[count - 1] as number, cells.highMm, t[count - 1] as number, t[count - 1] as number);
  sampleNoise(out, samples, grid, range);
}

/** Adds the straight piece from (b0, t0) to (b1, t1), b0 ≤ b1, cut at the cells' borders. */
function addArea(c: Cells, b0: number, b1: number, t0: number, t1: number): void {
  const { areaMm2, firstMm, cellMm } = c;
  const from = b0 > c.lowMm ? b0 : c.lowMm, to = b1 < c.highMm ? b1 : c.highMm;
  if (!(to > from)) return;
  const slope = (t1 - t0) / (b1 - b0);
  let k = Math.floor((from - firstMm) / cellMm + 1e-9);
  let at = from;
  while (at < to) {
    const border = firstMm + (k + 1) * cellMm;
    const next = border < to - 1e-12 ? border : to;
    areaMm2[k] = (areaMm2[k] as number) + (t0 + slope * ((at + next) / 2 - b0)) * (next - at);
    at = next;
    k++;
  }
}

/** `addArea` and `addSeen` at once: what nearly every piece needs. */
function addBoth(c: Cells, b0: number, b1: number, t0: number, t1: number): void {
  const { areaMm2, coveredMm, firstMm, cellMm } = c;
  const k = Math.floor((b0 - firstMm) / cellMm + 1e-9);
  if (b0 < c.lowMm || b1 > c.highMm || b1 > firstMm + (k + 1) * cellMm) {
    addArea(c, b0, b1, t0, t1);
    addSeen(c, b0, b1);
    return;
  }
  areaMm2[k] = (areaMm2[k] as number) + (t0 + t1) / 2 * (b1 - b0);
  coveredMm[k] = (coveredMm[k] as number) + b1 - b0;
}

/** Counts [b0, b1] as returned light. */
function addSeen(c: Cells, b0: number, b1: number): void {
  const { coveredMm, firstMm, cellMm } = c;
  const to = b1 < c.highMm ? b1 : c.highMm;
  let at = b0 > c.lowMm ? b0 : c.lowMm;
  if (!(to > at)) return;
  let k = Math.floor((at - firstMm) / cellMm + 1e-9);
  while (at < to) {
    const border = firstMm + (k + 1) * cellMm;
    const next = border < to - 1e-12 ? border : to;
    coveredMm[k] = (coveredMm[k] as number) + next - at;
    at = next;
    k++;
  }
}

/** Shares of the way up from a flank to the outermost sample on the bead between which the circle is taken as straight. */
const WAY_UP = [0.08, 0.3, 0.6];

/** Between the outermost sample on the bead and the next one off it: the flank's circle down to where the flank stands, then the support. */
function addFlank(c: Cells, onB: number, onT: number, offB: number, offT: number, at: number, bead: BeadInRow): void {
  const side = onB > at ? 1 : -1;
  const ground = outlineInside(bead, 0);
  const foot = Math.min(ground, onT);
  const inside = Math.abs(onB - at);
  const whole = outlineInside(bead, inside) - ground;
  let b0 = at, t0 = foot;
  if (whole > 0) {
    for (const share of WAY_UP) { // the circle's own way up, fitted to the sample that ends it
      const b1 = at + (onB - at) * share;
      const t1 = foot + (onT - foot) * (outlineInside(bead, inside * share) - ground) / whole;
      addEither(c, side, b0, t0, b1, t1);
      b0 = b1;
      t0 = t1;
    }
  }
  addEither(c, side, b0, t0, onB, onT);
  if ((offB - at) * (offB - onB) > 0) addEither(c, -side, at, Math.min(offT, foot), offB, offT);
}

function addEither(c: Cells, side: number, b0: number, t0: number, b1: number, t1: number): void {
  if (side > 0) addArea(c, b0, b1, t0, t1);
  else addArea(c, b1, b0, t1, t0);
}

/** A bridged hole of length L with a step of Δ across it may hold anything between: u = L Δ / √12 over the hole, shared by its cells. */
function spreadHole(out: RowSums, grid: StrandGrid, range: { from: number; to: number }, b0: number, b1: number, step: number): void {
  const k0 = Math.max(range.from, Math.floor((b0 - grid.first) / grid.cellMm)), k1 = Math.min(range.to - 1, Math.floor((b1 - grid.first) / grid.cellMm));
  if (k1 < k0) return;
  const variance = ((b1 - b0) * step) ** 2 / 12 / 4;
  for (let k = k0; k <= k1; k++) out.holeMm4[k] = (out.holeMm4[k] as number) + variance / (k1 - k0 + 1);
}

/** Each sample stands for half the way to both its neighbours. */
function sampleNoise(out: RowSums, samples: RowSamples, grid: StrandGrid, range: { from: number; to: number }): void {
  const { b, count, sigmaMm } = samples;
  const { noiseMm4 } = out;
  const { from, to } = range;
  const inverse = 1 / grid.cellMm, first = grid.first;
  let before = b[0] as number, here = before;
  for (let j = 0; j < count; j++) {
    const next = j + 1 < count ? (b[j + 1] as number) : here;
    const k = Math.floor((here - first) * inverse);
    if (k >= from && k < to) {
      const share = sigmaMm * (next - before) / 2;
      noiseMm4[k] = (noiseMm4[k] as number) + share * share;
    }
    before = here;
    here = next;
  }
}
