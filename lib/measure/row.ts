import type { BeadShape } from "../model/job.ts";
import type { StrandStations } from "../model/stations.ts";
import type { Chart } from "./chart.ts";
import { alongAt, makeSamples, takeSamples, type Crossing, type Samples } from "./crossing.ts";
import { findBead, type BeadInRow } from "./flank.ts";
import { cellRange, type StrandGrid } from "./grid.ts";
import type { LaidStrand } from "./laid.ts";
import type { Line } from "./line.ts";
import { integrateRow, type RowSums } from "./rowCells.ts";
import { HOLLOW_SHARE } from "./settings.ts";
import { PLANNED, plannedSupport, readSupport, restOf, SEEN, type RowSupport } from "./rowSupport.ts";

/** One profile's cut through one strand: thickness over the support, cell by cell, and the flanks. */
export interface Row extends RowSums, RowSupport {
  readonly strand: StrandStations;
  readonly onMm: Float64Array; // Float64Array[cell], length of the cell that the bead lies over
  sMm: number;
  tS: number;
  /** The profile's own number within its device. */
  seq: number;
  /** The profile's ordinal within its device. */
  ordinal: number;
  along: Float64Array; // Float64Array[cell], arc length that the cell was seen at; NaN = nothing to be had of it
  /** Lateral cells that can hold anything. */
  from: number; to: number;
  rightMm: number; rightS: number; uRightMm: number; // NaN = flank not seen
  leftMm: number; leftS: number; uLeftMm: number; // NaN = flank not seen
  /** Variance of the drift correction along the normal, mm². */
  driftVariance: number;
  sigmaMm: number;
  pitchMm: number;
  /** Sideways doubt that a drifting pose leaves: of its tilt, and of its height where the bead leans against the sensor's z, mm. */
  swayMm: number;
  /** How far along the strand a leaning plane meets the bead's base from its top, mm. */
  leanMm: number;
}

/** What a row needs to know besides the crossing and the profile. */
export interface RowContext {
  readonly shape: BeadShape;
  readonly chart: Chart;
  readonly drift: { readonly offsetMm: number; readonly tilt: number; readonly wanderMm: number; varianceAt(xMm: number): number };
  readonly planUMm: number;
  /** What a translucent material adds to heights on it, mm; 0: opaque, or not stated. */
  readonly surfaceBiasMm: number;
  /** The map of what this strand's layer was laid on. */
  readonly support: Float32Array;
  /** What has been laid of the strand by the profile's time. */
  readonly laid: LaidStrand;
}

/** A tilt turns about a point that nobody knows: its height over or under the bead, mm (common practice, no source). */
const TILT_LEVER_MM = 1;

const samples: Samples = makeSamples();
let thickness = new Float64Array(0); // over the support
let outline = new Float64Array(0); // over what the bead's outline is counted from

export function makeRow(strand: StrandStations, grid: StrandGrid): Row {
  const cells = (): Float64Array => new Float64Array(grid.count);
  return {
    strand, sMm: 0, tS: 0, seq: 0, ordinal: -1, along: cells(), from: 0, to: 0, rightMm: 0, rightS: 0, uRightMm: 0, leftMm: 0, leftS: 0, uLeftMm: 0,
    driftVariance: 0, sigmaMm: 0, pitchMm: 0, swayMm: 0, leanMm: 0, supportNoise: 1, nMm: cells(), restMm: cells(), kind: new Uint8Array(grid.count), variance: cells(),
    areaMm2: cells(), coveredMm: cells(), noiseMm4: cells(), holeMm4: cells(), onMm: cells(),
  };
}

/** Fills `row`; false where the profile shows nothing of this strand. */
export function buildRow(row: Row, c: Crossing, line: Line, grid: StrandGrid, context: RowContext): boolean {
  takeSamples(samples, c, line, context.drift, grid.cellMm);
  keepLaid(samples, c, context.laid);
  if (samples.count < 3) return false;
  narrowView(samples, c);
  const range = cellRange(grid, -c.rightMm, c.leftMm);
  row.from = range.from;
  row.to = range.to;
  row.sMm = c.sMm;
  row.sigmaMm = line.sigmaMm * Math.abs(c.nz);
  row.pitchMm = samples.pitchMm;
  const x = sensorXOfCentre(c);
  row.leanMm = Math.abs(c.tz / c.nz) * c.heightMm;
  row.swayMm = Math.hypot(context.drift.tilt * TILT_LEVER_MM, context.drift.wanderMm * c.bz);
  row.driftVariance = context.drift.varianceAt(x) * c.nz * c.nz;
  readSupport(row, c, { chart: context.chart, support: context.support }, grid, range);
  plannedSupport(row, c, samples, grid, range, { sigmaMm: row.sigmaMm, planUMm: context.planUMm });
  const spanned = restOf(row, c, grid, range, row.sigmaMm);
  reserve(samples.count);
  thicknessOver(row.nMm, thickness, c, grid, range);
  thicknessOver(row.restMm, outline, c, grid, range);
  if (context.surfaceBiasMm !== 0) takeOutBias(row, c, grid, context.surfaceBiasMm);
  const bead = findBead(samples.b, thickness, samples.count, {
    shape: context.shape, widthMm: c.widthMm, heightMm: c.heightMm, sigmaMm: row.sigmaMm, pitchMm: samples.pitchMm,
    windowRightMm: c.strand.windowRightMm[c.at] as number, windowLeftMm: c.strand.windowLeftMm[c.at] as number,
    limitRightMm: c.rightMm, limitLeftMm: c.leftMm, spanned,
  }, outline);
  for (let j = bead.first; j <= bead.last; j++) thickness[j] = outline[j] as number;
  setFlanks(row, c, bead);
  markBead(row, bead, grid, range);
  integrateRow(row, { b: samples.b, t: thickness, count: samples.count, pitchMm: samples.pitchMm, sigmaMm: row.sigmaMm }, bead, grid, range);
  locateCells(row, c, grid, range, context.laid);
  return true;
}

/** A tilted plane meets the strand's end face within this of its end, mm. */
const END_FACE_MM = 0.02;
/** A profile on the very end sees the bead or not, as chance has it. */
const END_MARGIN_MM = 0.004;

/** Drops samples beyond an end of the strand or of what has been laid of it: nothing there is of this bead. */
function keepLaid(s: Samples, c: Crossing, laid: LaidStrand): void {
  if (s.count === 0 || c.strand.path.closed) return;
  const margin = Math.abs(c.tz / c.nz) > 0.05 ? END_FACE_MM : END_MARGIN_MM;
  const first = s.d[0] as number, last = s.d[s.count - 1] as number;
  if (laid.isLaidWhole(c.sMm + Math.min(first, last, 0) - margin, c.sMm + Math.max(first, last, 0) + margin)) return;
  let m = 0;
  for (let j = 0; j < s.count; j++) {
    const at = c.sMm + (s.d[j] as number);
    if (!laid.isLaid(at - margin) || !laid.isLaid(at + margin)) continue;
    s.b[m] = s.b[j] as number; s.n[m] = s.n[j] as number; s.d[m] = s.d[j] as number;
    m++;
  }
  s.count = m;
  if (m === 0) return;
  s.seenRightMm = Math.max(s.seenRightMm, (s.b[0] as number) - s.pitchMm);
  s.seenLeftMm = Math.min(s.seenLeftMm, (s.b[m - 1] as number) + s.pitchMm);
}

/** A row is known as far as its outermost samples and this share of a width beyond: nothing is made of silence. */
const BEYOND_SHARE = 0.15;

function narrowView(s: Samples, c: Crossing): void {
  const beyond = Math.max(1.5 * s.pitchMm, BEYOND_SHARE * c.widthMm);
  s.seenRightMm = Math.max(s.seenRightMm, (s.b[0] as number) - beyond);
  s.seenLeftMm = Math.min(s.seenLeftMm, (s.b[s.count - 1] as number) + beyond);
}

function sensorXOfCentre(c: Crossing): number {
  const det = c.bx * c.nz - c.bz * c.nx;
  return (-c.b0 * c.nz - (c.heightMm - c.n0) * c.bz) / det;
}

function reserve(count: number): void {
  if (thickness.length >= count) return;
  thickness = new Float64Array(2 * count);
  outline = new Float64Array(2 * count);
}

/** Sample thickness over a level, the level interpolated between cell centres; what lies deeper than a hollow counts nothing. */
function thicknessOver(level: Float64Array, out: Float64Array, c: Crossing, grid: StrandGrid, range: { from: number; to: number }): void {
  const inverse = 1 / grid.cellMm, first = grid.first;
  const hollow = -HOLLOW_SHARE * c.heightMm;
  const low = range.from, high = range.to - 1;
  const { b, n, count } = samples;
  for (let j = 0; j < count; j++) {
    const f = ((b[j] as number) - first) * inverse - 0.5;
    let k = Math.floor(f);
    let a = f - k;
    if (k < low) { k = low; a = 0; } else if (k >= high) { k = Math.max(low, high - 1); a = high > low ? 1 : 0; }
    const support = (level[k] as number) * (1 - a) + (level[high > low ? k + 1 : k] as number) * a;
    const at = n[j] as number, t = at - support;
    out[j] = t < 0 && at < hollow ? 0 : t;
  }
}

/** A flank this close to an end of the strand may be the end itself, which a profile that runs askew cuts off, mm. */
const END_MM = 0.05;

/** A sample on paste reads too high by the stated bias, unless its support is paste that reads so too. */
function takeOutBias(row: Row, c: Crossing, grid: StrandGrid, biasMm: number): void {
  const paste = 0.2 * c.heightMm;
  for (let j = 0; j < samples.count; j++) {
    const k = Math.floor(((samples.b[j] as number) - grid.first) / grid.cellMm);
    const onPaste = c.strand.layer > 1 && row.kind[Math.max(row.from, Math.min(row.to - 1, k))] === SEEN;
    if (onPaste || !((thickness[j] as number) > paste + biasMm)) continue;
    thickness[j] = (thickness[j] as number) - biasMm;
    outline[j] = (outline[j] as number) - biasMm;
  }
}

function setFlanks(row: Row, c: Crossing, bead: BeadInRow): void {
  if (isEnd(c, bead.right)) bead.right = Number.NaN;
  if (isEnd(c, bead.left)) bead.left = Number.NaN;
  row.rightMm = bead.right;
  row.uRightMm = bead.uRight;
  row.rightS = c.sMm + deltaAt(bead.right);
  row.leftMm = bead.left;
  row.uLeftMm = bead.uLeft;
  row.leftS = c.sMm + deltaAt(bead.left);
}

/** How much of each cell the bead lies over: between its flanks or, where one was not seen, as far as its outermost sample. */
function markBead(row: Row, bead: BeadInRow, grid: StrandGrid, range: { from: number; to: number }): void {
  const none = bead.first > bead.last, half = samples.pitchMm / 2;
  const right = none ? Infinity : bead.right === bead.right ? bead.right : (samples.b[bead.first] as number) - half;
  const left = none ? -Infinity : bead.left === bead.left ? bead.left : (samples.b[bead.last] as number) + half;
  for (let k = range.from; k < range.to; k++) {
    const low = grid.first + k * grid.cellMm;
    row.onMm[k] = Math.max(0, Math.min(left, low + grid.cellMm) - Math.max(right, low));
  }
}

function isEnd(c: Crossing, flankMm: number): boolean {
  const s = c.sMm + deltaAt(flankMm);
  const askew = Math.abs(alongAt(c, 1, 0) - alongAt(c, -1, 0)) / 2 > 0.004;
  return askew && !c.strand.path.closed && (s < END_MM || s > c.strand.lengthMm - END_MM);
}

/** δ of the samples at lateral b, interpolated; NaN for NaN. */
function deltaAt(b: number): number {
  if (b !== b) return Number.NaN;
  let low = 0, high = samples.count - 1;
  while (high - low > 1) {
    const mid = (low + high) >> 1;
    if ((samples.b[mid] as number) <= b) low = mid;
    else high = mid;
  }
  const b0 = samples.b[low] as number, b1 = samples.b[high] as number;
  const f = b1 > b0 ? Math.min(1, Math.max(0, (b - b0) / (b1 - b0))) : 0;
  return (samples.d[low] as number) + ((samples.d[high] as number) - (samples.d[low] as number)) * f;
}

/** Arc length of each cell; NaN out of the sensor's view, beyond an end, or not laid yet. */
function locateCells(row: Row, c: Crossing, grid: StrandGrid, range: { from: number; to: number }, laid: LaidStrand): void {
  const { lengthMm, path: { closed } } = c.strand;
  const { along, kind, areaMm2 } = row;
  const { cellMm } = grid, half = 0.45 * cellMm;
  let low = Infinity, high = -Infinity;
  for (let k = range.from; k < range.to; k++) {
    const b = grid.first + (k + 0.5) * cellMm;
    if (b - half < samples.seenRightMm || b + half > samples.seenLeftMm) {
      along[k] = Number.NaN;
      continue;
    }
    let s = c.sMm + alongAt(c, b, kind[k] === PLANNED ? c.heightMm : Math.min(c.heightMm, Math.max(0, (areaMm2[k] as number) / cellMm)));
    if (closed) s = s < 0 ? s + lengthMm : s > lengthMm ? s - lengthMm : s;
    along[k] = s;
    if (s < low) low = s;
    if (s > high) high = s;
  }
  if (low >= 0 && high <= lengthMm && laid.isLaidWhole(low, high)) return;
  for (let k = range.from; k < range.to; k++) {
    const s = along[k] as number;
    if (s < -1e-9 || s > lengthMm + 1e-9 || !laid.isLaid(s)) along[k] = Number.NaN;
  }
}
