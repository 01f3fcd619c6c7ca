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

/**
 * Integrates the outline through the samples over the cells [from, to). At a flank the outline falls where the flank stands,
 * not half-way between two samples: the last piece on the bead follows the flank's circle, beyond it lies the support.
 */
export function integrateRow(out: RowSums, samples: RowSamples, bead: BeadInRow, grid: StrandGrid, range: { from: number; to: number }): void {
  for (let k = range.from; k < range.to; k++) {
    out.areaMm2[k] = 0; out.coveredMm[k] = 0; out.noiseMm4[k] = 0; out.holeMm4[k] = 0;
  }
  const low = grid.first + range.from * grid.cellMm, high = grid.first + range.to * grid.cellMm;
  const { b, t, count } = samples;
  const piece = pieceAdder(out, grid, low, high);
  if (count === 0) return;
  piece(low, b[0] as number, t[0] as number, t[0] as number);
  for (let j = 1; j < count; j++) {
    const b0 = b[j - 1] as number, b1 = b[j] as number, t0 = t[j - 1] as number, t1 = t[j] as number;
    const rightFlank = j === bead.first && bead.right >= b0, leftFlank = j - 1 === bead.last && bead.left <= b1;
    if (rightFlank) flankPieces(piece, { onB: b1, onT: t1, offB: b0, offT: t0, at: bead.right, bead });
    else if (leftFlank) flankPieces(piece, { onB: b0, onT: t0, offB: b1, offT: t1, at: bead.left, bead });
    else piece(b0, b1, t0, t1);
    const hole = b1 - b0 > HOLE_PITCHES * samples.pitchMm;
    cover(out, grid, range, b0, b1, hole ? samples.pitchMm : b1 - b0);
    if (hole && !rightFlank && !leftFlank) spreadHole(out, grid, range, b0, b1, t1 - t0);
  }
  piece(b[count - 1] as number, high, t[count - 1] as number, t[count - 1] as number);
  sampleNoise(out, samples, grid, range);
}

type AddPiece = (b0: number, b1: number, t0: number, t1: number) => void;

/** Adds the straight piece from (b0, t0) to (b1, t1), cut at the cells' borders. */
function pieceAdder(out: RowSums, grid: StrandGrid, low: number, high: number): AddPiece {
  const inverse = 1 / grid.cellMm;
  return (b0, b1, t0, t1) => {
    const from = b0 > low ? b0 : low, to = b1 < high ? b1 : high;
    if (!(to > from)) return;
    const slope = b1 > b0 ? (t1 - t0) / (b1 - b0) : 0;
    let k = Math.floor((from - grid.first) * inverse + 1e-9);
    let at = from;
    while (at < to) {
      const border = grid.first + (k + 1) * grid.cellMm;
      const next = border < to - 1e-12 ? border : to;
      out.areaMm2[k] = (out.areaMm2[k] as number) + (t0 + slope * ((at + next) / 2 - b0)) * (next - at);
      at = next;
      k++;
    }
  };
}

interface Flank { readonly onB: number; readonly onT: number; readonly offB: number; readonly offT: number; readonly at: number; readonly bead: BeadInRow }

/** Between the outermost sample on the bead and the next one off it: the circle down to the flank, then the support. */
function flankPieces(piece: AddPiece, f: Flank): void {
  const { onB, onT, offB, offT, at, bead } = f;
  const put = (b0: number, t0: number, b1: number, t1: number): void => (b0 <= b1 ? piece(b0, b1, t0, t1) : piece(b1, b0, t1, t0));
  const foot = Math.min(outlineInside(bead, 0), onT);
  const inside = Math.abs(onB - at);
  const whole = outlineInside(bead, inside) - outlineInside(bead, 0);
  let b0 = at, t0 = foot;
  for (const share of whole > 0 ? [0.08, 0.3, 0.6] : []) { // the circle's own way up, fitted to the sample that ends it
    const b1 = at + (onB - at) * share;
    const t1 = foot + (onT - foot) * (outlineInside(bead, inside * share) - outlineInside(bead, 0)) / whole;
    put(b0, t0, b1, t1);
    b0 = b1;
    t0 = t1;
  }
  put(b0, t0, onB, onT);
  const beyond = (offB - at) * (offB - onB);
  if (beyond > 0) put(at, Math.min(offT, foot), offB, offT);
}

/** Spreads `seen` mm of the stretch [b0, b1] over its cells as returned light. */
function cover(out: RowSums, grid: StrandGrid, range: { from: number; to: number }, b0: number, b1: number, seen: number): void {
  if (seen < b1 - b0) { // half a pitch belongs to each end of a hole
    coverPiece(out, grid, range, b0, b0 + seen / 2);
    coverPiece(out, grid, range, b1 - seen / 2, b1);
  } else coverPiece(out, grid, range, b0, b1);
}

function coverPiece(out: RowSums, grid: StrandGrid, range: { from: number; to: number }, b0: number, b1: number): void {
  let at = b0;
  let k = Math.floor((b0 - grid.first) / grid.cellMm);
  while (at < b1) {
    const border = Math.min(b1, grid.first + (k + 1) * grid.cellMm);
    if (k >= range.from && k < range.to) out.coveredMm[k] = (out.coveredMm[k] as number) + border - at;
    at = border;
    if (++k >= range.to) return;
  }
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
  for (let j = 0; j < count; j++) {
    const k = Math.floor(((b[j] as number) - grid.first) / grid.cellMm);
    if (k < range.from || k >= range.to) continue;
    const share = ((b[Math.min(count - 1, j + 1)] as number) - (b[Math.max(0, j - 1)] as number)) / 2;
    out.noiseMm4[k] = (out.noiseMm4[k] as number) + (sigmaMm * share) ** 2;
  }
}
